package main

import (
	"crypto/x509"
	"log/slog"
	"net"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"time"

	"github.com/mattermost/mattermost/server/public/model"
	"go.yaml.in/yaml/v4"

	"shimwright/bot"
	"shimwright/bot/discord"
	"shimwright/bot/mattermost"
	"shimwright/bot/remind"
	"shimwright/calc/unit"
	"shimwright/dialogs"
	"shimwright/dialogs/phrase"
	"shimwright/dialogs/sheet"
	"shimwright/rules"
)

// config is what the file of --config says. Secrets are read; the file never has
// them.
type config struct {
	shop, data string // folders; shop may be empty
	store      storeConfig
	people     []bot.Person
	groups     []groupRole
	units      unit.System // of those who have none of their own
	mattermost *mattermostConfig
	discord    *discordConfig
	names      []string
	quiet      quietConfig
	hours      remind.Quiet   // in which nobody is reminded
	zone       *time.Location // of the shop; never nil
	print      bot.Printing
	forget     bool
	noPhotos   bool
	logLevel   slog.Level
	metrics    string // address, empty for none
}

// storeConfig says where jobs are kept: in a file, or in Redis where addresses are.
type storeConfig struct {
	file      string
	addresses []string
	sentinel  string // the name of the group
	cluster   bool
	database  int
	user      string
	password  string
	// of the sentinels themselves
	sentinelUser, sentinelPassword string
	tls                            bool
	roots                          *x509.CertPool // of who may have signed the server's certificate; nil: the system's
	prefix                         string
}

// groupRole gives a role to whoever is in a channel of Mattermost or has a role of
// Discord.
type groupRole struct {
	on, id string
	role   dialogs.Role
	units  unit.System
}

type mattermostConfig struct {
	url, token   string
	channels     []string
	rulesChannel string
	reviews      string // the channel where people are called about jobs of the other platform
	calledAt     string // where the server reaches this program; empty: it does not
	listen       string
	slashTokens  []string
}

type discordConfig struct {
	token          string
	guild          string
	channels       []string
	rulesChannel   string
	reviews        string
	messageContent bool
	base           string
}

// quietConfig is what the shop wants less of.
type quietConfig struct{ calledOnly, noPings, noPictures, noButtons, noPrivate bool }

// configReader reads the file.
type configReader struct {
	*rules.Form
	c      *config
	folder string // relative paths begin here
	getenv func(string) string
	owners map[string]string // accounts by platform, and whose they are
	names  map[string]bool
}

// loadConfig reads the file and the secrets it names. Where the report has mistakes
// the config must not be used.
func loadConfig(file string, getenv func(string) string) (*config, *rules.Report) {
	report := &rules.Report{}
	data, err := readBounded(file)
	if err != nil {
		report.Problems = append(report.Problems, rules.Problem{File: file, Text: "the file cannot be read: " + err.Error()})
		return nil, report
	}
	folder, err := filepath.Abs(filepath.Dir(file))
	if err != nil {
		report.Problems = append(report.Problems, rules.Problem{File: file, Text: err.Error()})
		return nil, report
	}
	form, root := rules.OpenForm(file, data, report)
	c := &config{quiet: quietConfig{}, logLevel: slog.LevelInfo}
	if root == nil {
		return c, report
	}
	r := &configReader{form, c, folder, getenv, map[string]string{}, map[string]bool{}}
	r.whole(root)
	return c, report
}

func (r *configReader) whole(root *yaml.Node) {
	c, memory, photos, level := r.c, true, true, "info"
	given := r.Mapping(root, "the configuration",
		rules.Must("data", r.path("data", &c.data)),
		rules.May("shop", r.path("shop", &c.shop)),
		rules.May("store", r.store),
		rules.Must("people", func(n *yaml.Node) { r.List(n, "people", r.person) }),
		rules.May("roles", func(n *yaml.Node) { r.List(n, "roles", r.group) }),
		rules.Must("platforms", r.platforms),
		rules.May("units", rules.FormWord(r.Form, "units", &c.units, unit.InchUnits, unit.Metric)),
		rules.May("names", func(n *yaml.Node) { r.List(n, "names", r.name) }),
		rules.May("quiet", r.quiet),
		rules.May("quiet_hours", r.hours(&c.hours)),
		rules.May("time_zone", r.timeZone(&c.zone)),
		rules.May("print", r.print),
		rules.May("memory", r.Yes("memory", &memory)),
		rules.May("photos", r.Yes("photos", &photos)),
		rules.May("log", rules.FormWord(r.Form, "log", &level, "debug", "info", "warn", "error")),
		rules.May("metrics", r.loopback("metrics", &c.metrics)),
	)
	c.forget, c.noPhotos = !memory, !photos
	c.setZones()
	if c.hours.From != c.hours.To && given["time_zone"] == nil {
		r.Look(given["quiet_hours"], "add time_zone: America/Chicago, or where the shop is", "the quiet hours are by UTC")
	}
	if err := c.logLevel.UnmarshalText([]byte(level)); err != nil {
		r.Mistake(given["log"], "", "log: %v", err)
	}
	for i := range c.people {
		if !c.reviewed() {
			c.people[i].Looked = nowhere()
		}
		if c.people[i].Units == unit.NoSystem {
			c.people[i].Units = c.units
		}
	}
	for i := range c.groups {
		if c.groups[i].units == unit.NoSystem {
			c.groups[i].units = c.units
		}
	}
	if len(c.people) == 0 && len(c.groups) == 0 && given["people"] != nil {
		r.Mistake(given["people"], "name at least one person, or a group under roles", "nobody would be listened to")
	}
	if len(c.store.addresses) == 0 && c.store.file == "" && c.data != "" {
		c.store.file = filepath.Join(c.data, "shop.db")
	}
	r.belongs(given)
	r.mentors(given)
}

// belongs reports people and groups of a platform that is not there.
func (r *configReader) belongs(given map[string]*yaml.Node) {
	missing := map[string]bool{mattermost.Name: r.c.mattermost == nil, discord.Name: r.c.discord == nil}
	for _, p := range r.c.people {
		for on := range p.Accounts {
			if missing[on] && given["people"] != nil {
				r.Look(given["people"], "take the account out, or add the platform", "%s has an account on %s, which is not under platforms", p.Name, on)
			}
		}
	}
	for _, g := range r.c.groups {
		if missing[g.on] && given["roles"] != nil {
			r.Mistake(given["roles"], "take the entry out, or add the platform", "a role goes by %s, which is not under platforms", g.on)
		}
	}
}

func (r *configReader) name(n *yaml.Node) {
	var name string
	r.Text("a name", 40, &name)(n)
	if name != "" {
		r.c.names = append(r.c.names, name)
	}
}

func (r *configReader) quiet(n *yaml.Node) {
	q := &r.c.quiet
	r.Mapping(n, "quiet",
		rules.May("only_when_called", r.Yes("only_when_called", &q.calledOnly)),
		rules.May("no_pings", r.Yes("no_pings", &q.noPings)),
		rules.May("no_pictures", r.Yes("no_pictures", &q.noPictures)),
		rules.May("no_buttons", r.Yes("no_buttons", &q.noButtons)),
		rules.May("no_private_cards", r.Yes("no_private_cards", &q.noPrivate)),
	)
}

// printing is how summaries are printed: by the shop's clock.
func (c *config) printing() bot.Printing {
	p := c.print
	p.Zone = c.zone
	return p
}

// print says how summaries are printed.
func (r *configReader) print(n *yaml.Node) {
	paper := "a4"
	r.Mapping(n, "print",
		rules.May("paper", rules.FormWord(r.Form, "paper", &paper, "a4", "letter")),
		rules.May("name", r.Text("the shop's name", 60, &r.c.print.Shop)),
	)
	if paper == "letter" {
		r.c.print.Paper = sheet.Letter
	}
}

// reviewed says whether there is anybody who may review.
func (c *config) reviewed() bool {
	return slices.ContainsFunc(c.people, func(p bot.Person) bool { return p.Role.Reviews() }) ||
		slices.ContainsFunc(c.groups, func(g groupRole) bool { return g.role.Reviews() })
}

// nowhere is where a mentor looks at anybody's figures in a shop that has no
// reviewer: nobody could ever approve, and every job would wait.
func nowhere() []dialogs.StepID { return []dialogs.StepID{} }

func (r *configReader) person(n *yaml.Node) {
	p := bot.Person{Accounts: map[string]bot.UserID{}}
	at := r.Mapping(n, "a person",
		rules.Must("name", r.Text("name", 40, &p.Name)),
		rules.Must("role", r.role(&p.Role)),
		rules.May("units", rules.FormWord(r.Form, "units", &p.Units, unit.InchUnits, unit.Metric)),
		rules.May("language", rules.FormWord(r.Form, "language", &p.Language, phrase.Languages()...)),
		rules.May("quiet_hours", r.hours(&p.Quiet)),
		rules.May("time_zone", r.timeZone(&p.Quiet.Zone)),
		rules.May("reviews", r.looked(&p.Looked)),
		rules.May("mentor", r.Text("mentor", 40, &p.Mentor)),
		rules.May("mattermost", r.account(mattermost.Name, &p)),
		rules.May("discord", r.account(discord.Name, &p)),
		rules.May("asked_on", rules.FormWord(r.Form, "asked_on", &p.AskedOn, mattermost.Name, discord.Name)),
	)
	if _, has := p.Accounts[p.AskedOn]; p.AskedOn != "" && !has && at[p.AskedOn] == nil {
		r.Mistake(at["asked_on"], "add "+p.AskedOn+": with their account's id, or leave asked_on out", "%s is to be asked on %s and has no account there", p.Name, p.AskedOn)
	}
	switch {
	case p.Name == "":
		return
	case r.names[strings.ToLower(p.Name)]:
		r.Mistake(at["name"], "give one of them another name, the log goes by it", "two people are called %q", p.Name)
		return
	case len(p.Accounts) == 0 && at["mattermost"] == nil && at["discord"] == nil:
		r.Look(n, "add mattermost: or discord: with the account's id", "%s has no account, so nothing of theirs is heard", p.Name)
	}
	r.names[strings.ToLower(p.Name)] = true
	r.c.people = append(r.c.people, p)
}

// looked reads the steps at which a mentor looks at one person's figures; an empty
// list is none.
func (r *configReader) looked(to *[]dialogs.StepID) func(*yaml.Node) {
	return func(n *yaml.Node) {
		var steps []string
		r.ReviewSteps(&steps)(n)
		*to = []dialogs.StepID{}
		for _, s := range steps {
			*to = append(*to, dialogs.StepID(s))
		}
	}
}

// mentors reports people whose mentor is nobody who may review.
func (r *configReader) mentors(given map[string]*yaml.Node) {
	for _, p := range r.c.people {
		may := p.Mentor == ""
		for _, other := range r.c.people {
			may = may || other.Name == p.Mentor && other.Role.Reviews() && other.Name != p.Name
		}
		if !may {
			r.Mistake(given["people"], "name a mentor or the owner as they are called here", "%s's mentor is %s, who is nobody that may review", p.Name, p.Mentor)
		}
	}
}

func (r *configReader) role(to *dialogs.Role) func(*yaml.Node) {
	return rules.FormWord(r.Form, "role", to, dialogs.Technician, dialogs.Apprentice, dialogs.Mentor, dialogs.Owner, dialogs.Customer)
}

// account reads a person's account on a platform.
func (r *configReader) account(on string, p *bot.Person) func(*yaml.Node) {
	return func(n *yaml.Node) {
		var id string
		r.id(on, "an account", &id)(n)
		if id == "" {
			return
		}
		if other := r.owners[on+" "+id]; other != "" {
			r.Mistake(n, "an account is one person's", "this account is %s's already", other)
			return
		}
		r.owners[on+" "+id] = p.Name
		p.Accounts[on] = bot.UserID(id)
	}
}

var snowflake = regexp.MustCompile(`^[1-9][0-9]{14,19}$`)

// id reads an id of a platform into to.
func (r *configReader) id(on, what string, to *string) func(*yaml.Node) {
	return func(n *yaml.Node) {
		var id string
		r.Text(what, 60, &id)(n)
		switch {
		case id == "":
		case on == discord.Name && !snowflake.MatchString(id):
			r.Mistake(n, "in Discord turn on Developer Mode (Advanced), then right-click or hold and Copy ID", "%q is no id of Discord, which is a number of 15 to 20 digits", id)
		case on == mattermost.Name && !model.IsValidId(id):
			r.Mistake(n, "a channel's id is under View Info; of an account, the log shows it when it says something", "%q is no id of Mattermost, which has 26 small letters and digits", id)
		default:
			*to = id
		}
	}
}

func (r *configReader) group(n *yaml.Node) {
	var g groupRole
	var channel, role string
	at := r.Mapping(n, "a role",
		rules.Must("role", r.role(&g.role)),
		rules.May("mattermost_channel", r.id(mattermost.Name, "mattermost_channel", &channel)),
		rules.May("discord_role", r.id(discord.Name, "discord_role", &role)),
		rules.May("units", rules.FormWord(r.Form, "units", &g.units, unit.InchUnits, unit.Metric)),
	)
	if at["mattermost_channel"] == nil && at["discord_role"] == nil {
		r.Mistake(n, "add mattermost_channel: or discord_role: with its id", "nobody would have this role")
		return
	}
	if channel != "" {
		g.on, g.id = mattermost.Name, channel
		r.c.groups = append(r.c.groups, g)
	}
	if role != "" {
		g.on, g.id = discord.Name, role
		r.c.groups = append(r.c.groups, g)
	}
}

// path reads a file or folder, relative to the configuration's folder.
func (r *configReader) path(what string, to *string) func(*yaml.Node) {
	return func(n *yaml.Node) {
		var p string
		if r.Text(what, 1000, &p)(n); p == "" {
			return
		}
		if !filepath.IsAbs(p) {
			p = filepath.Join(r.folder, p)
		}
		*to = p
	}
}

// loopback reads an address of this machine.
func (r *configReader) loopback(what string, to *string) func(*yaml.Node) {
	return func(n *yaml.Node) {
		var a string
		if r.Text(what, 260, &a)(n); a == "" {
			return
		}
		host, port, err := net.SplitHostPort(a)
		switch {
		case err != nil || port == "":
			r.Mistake(n, "write host:port, for example 127.0.0.1:9464", "%q is no address", a)
		case !loopbackHost(host):
			r.Mistake(n, "write 127.0.0.1:"+port+", and let a proxy of yours serve it where it is to be seen", "%s is not this machine alone, and %s is for nobody else", a, what)
		default:
			*to = a
		}
	}
}

func loopbackHost(host string) bool {
	ip := net.ParseIP(host)
	return host == "localhost" || ip != nil && ip.IsLoopback()
}

func privateHost(host string) bool {
	ip := net.ParseIP(host)
	return ip != nil && ip.IsPrivate() || ip == nil && !strings.Contains(host, ".")
}
