package main

import (
	"log/slog"
	"net"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"runtime"
	"strings"

	"github.com/mattermost/mattermost/server/public/model"
	"go.yaml.in/yaml/v4"

	"shimwright/bot"
	"shimwright/bot/discord"
	"shimwright/bot/mattermost"
	"shimwright/bot/store/redisstore"
	"shimwright/calc/unit"
	"shimwright/dialogs"
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
	forget     bool
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
	url, token     string
	channels       []string
	rulesChannel   string
	calledAt       string // where the server reaches this program; empty: it does not
	listen         string
	slashTokens    []string
	plainTextToken bool // the address is http and not this machine
}

type discordConfig struct {
	token          string
	guild          string
	channels       []string
	rulesChannel   string
	messageContent bool
	base           string
}

// quietConfig is what the shop wants less of.
type quietConfig struct{ calledOnly, noPings, noPictures, noButtons bool }

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
	c, memory, level := r.c, true, "info"
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
		rules.May("memory", r.Yes("memory", &memory)),
		rules.May("log", rules.FormWord(r.Form, "log", &level, "debug", "info", "warn", "error")),
		rules.May("metrics", r.loopback("metrics", &c.metrics)),
	)
	c.forget = !memory
	if err := c.logLevel.UnmarshalText([]byte(level)); err != nil {
		r.Mistake(given["log"], "", "log: %v", err)
	}
	for i := range c.people {
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
	)
}

func (r *configReader) store(n *yaml.Node) {
	s := &r.c.store
	given := r.Mapping(n, "store",
		rules.May("file", r.path("file", &s.file)),
		rules.May("redis", r.redis),
	)
	if given["file"] != nil && given["redis"] != nil {
		r.Mistake(given["redis"], "keep one of them", "jobs are kept in a file or in redis, not in both")
	}
}

func (r *configReader) redis(n *yaml.Node) {
	s := &r.c.store
	password, sentinelPassword := r.secret("password", &s.password), r.secret("sentinel_password", &s.sentinelPassword)
	given := r.Mapping(n, "redis", append(append([]rules.Field{
		rules.Must("addresses", func(n *yaml.Node) { r.List(n, "addresses", r.address) }),
		rules.May("sentinel", r.Text("sentinel", 100, &s.sentinel)),
		rules.May("cluster", r.Yes("cluster", &s.cluster)),
		rules.May("database", r.Count("database", 0, 1023, &s.database)),
		rules.May("user", r.Text("user", 100, &s.user)),
		rules.May("sentinel_user", r.Text("sentinel_user", 100, &s.sentinelUser)),
		rules.May("tls", r.Yes("tls", &s.tls)),
		rules.May("prefix", r.Text("prefix", 40, &s.prefix)),
	}, password.fields...), sentinelPassword.fields...)...)
	password.read(given)
	sentinelPassword.read(given)
	switch {
	case given["sentinel"] != nil && s.cluster:
		r.Mistake(given["sentinel"], "keep one of them", "a redis is found through sentinels or is a cluster, not both")
	case s.cluster && s.database != 0:
		r.Mistake(given["database"], "leave it out", "a cluster has database 0 alone")
	case len(s.addresses) > 1 && s.sentinel == "" && !s.cluster:
		r.Mistake(given["addresses"], "add cluster: yes, or sentinel: with the name of the group", "several addresses, and not what they are")
	}
	if s.prefix == "" {
		s.prefix = redisstore.DefaultPrefix
	} else if strings.ContainsFunc(s.prefix, func(c rune) bool { return !prefixRune(c) }) {
		r.Mistake(given["prefix"], "", "prefix may have letters, digits and - _ . : in it")
	}
	if s.password != "" && !s.tls {
		for _, a := range s.addresses {
			if host, _, _ := net.SplitHostPort(a); !loopbackHost(host) && !privateHost(host) {
				r.Look(given["addresses"], "add tls: yes", "the password goes to %s unencrypted", a)
			}
		}
	}
}

func prefixRune(c rune) bool {
	return c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c >= '0' && c <= '9' || strings.ContainsRune("-_.:", c)
}

func (r *configReader) address(n *yaml.Node) {
	var a string
	r.Text("an address", 260, &a)(n)
	if a == "" {
		return
	}
	host, port, err := net.SplitHostPort(a)
	if err != nil || host == "" || port == "" {
		r.Mistake(n, "write host:port, for example 127.0.0.1:6379", "%q is no address", a)
		return
	}
	r.c.store.addresses = append(r.c.store.addresses, a)
}

func (r *configReader) person(n *yaml.Node) {
	p := bot.Person{Accounts: map[string]bot.UserID{}}
	at := r.Mapping(n, "a person",
		rules.Must("name", r.Text("name", 40, &p.Name)),
		rules.Must("role", r.role(&p.Role)),
		rules.May("units", rules.FormWord(r.Form, "units", &p.Units, unit.InchUnits, unit.Metric)),
		rules.May("mattermost", r.account(mattermost.Name, &p)),
		rules.May("discord", r.account(discord.Name, &p)),
	)
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

// secretKeys are the keys of one secret in a mapping.
type secretKeys struct {
	r      *configReader
	what   string
	to     *string
	fields []rules.Field
	from   struct{ env, file string }
}

// secret makes the keys NAME_env and NAME_file, and refuses NAME itself. Its value
// is there after read.
func (r *configReader) secret(what string, to *string) *secretKeys {
	s := &secretKeys{r: r, what: what, to: to}
	s.fields = []rules.Field{
		rules.May(what, func(n *yaml.Node) {
			r.Mistake(n, "write "+what+"_env: with the name of an environment variable, or "+what+"_file: with a file; and make a new one, this one has been read", "a %s does not belong in this file", what)
		}),
		rules.May(what+"_env", r.Text(what+"_env", 1000, &s.from.env)),
		rules.May(what+"_file", r.path(what+"_file", &s.from.file)),
	}
	return s
}

var envName = regexp.MustCompile(`^[A-Za-z_][A-Za-z0-9_]*$`)

// read fetches the secret, and says whether the mapping names one.
func (s *secretKeys) read(given map[string]*yaml.Node) bool {
	env, file := given[s.what+"_env"], given[s.what+"_file"]
	if given[s.what] != nil {
		return true
	}
	switch {
	case env != nil && file != nil:
		s.r.Mistake(file, "keep one of them", "%s_env and %s_file are both given", s.what, s.what)
	case env != nil && s.from.env != "":
		if !envName.MatchString(s.from.env) {
			s.r.Mistake(env, "write the name alone, for example SHOP_TOKEN", "%s_env is not the name of an environment variable", s.what)
			return true
		}
		*s.to = strings.TrimSpace(s.r.getenv(s.from.env))
		if *s.to == "" {
			// The name is not repeated: somebody may have put the secret itself here.
			s.r.Mistake(env, "set it for the service that starts shimwright, for example in its environment file", "the environment variable that %s_env names is not set", s.what)
		}
	case file != nil && s.from.file != "":
		text, hint, err := readSecret(s.from.file)
		if err != "" {
			s.r.Mistake(file, hint, "%s: %s", s.from.file, err)
		}
		*s.to = text
	}
	return env != nil || file != nil
}

// readSecret reads a file that only its owner, and perhaps a group, can read.
func readSecret(file string) (text, hint, fault string) {
	data, err := readBounded(file)
	if err != nil {
		return "", "let it be readable for the user shimwright runs as", "the file cannot be read: " + err.Error()
	}
	if info, err := os.Stat(file); err == nil && runtime.GOOS != "windows" && info.Mode().Perm()&0o027 != 0 {
		return "", "chmod 600 " + file, "everybody on this machine can read or change it"
	}
	text = strings.TrimSpace(string(data))
	switch {
	case text == "":
		return "", "put the token into it, alone", "the file is empty"
	case strings.ContainsAny(text, "\n\r"):
		return "", "put the token into it, alone", "the file has several lines"
	}
	return text, "", ""
}

func (r *configReader) platforms(n *yaml.Node) {
	r.Mapping(n, "platforms",
		rules.May("mattermost", r.readMattermost),
		rules.May("discord", r.readDiscord),
	)
	if n.Kind == yaml.MappingNode && len(n.Content) == 0 {
		r.Mistake(n, "add mattermost: or discord:", "there is no platform to talk on")
	}
}

func (r *configReader) readMattermost(n *yaml.Node) {
	m := &mattermostConfig{}
	r.c.mattermost = m
	var slash string
	token, slashToken := r.secret("token", &m.token), r.secret("slash_token", &slash)
	given := r.Mapping(n, "mattermost", append(append([]rules.Field{
		rules.Must("url", r.Text("url", 500, &m.url)),
		rules.May("channels", r.channels(mattermost.Name, &m.channels)),
		rules.May("rules_channel", r.id(mattermost.Name, "rules_channel", &m.rulesChannel)),
		rules.May("called_at", r.Text("called_at", 500, &m.calledAt)),
		rules.May("listen", r.Text("listen", 260, &m.listen)),
	}, token.fields...), slashToken.fields...)...)
	if !token.read(given) && n.Kind == yaml.MappingNode {
		r.Mistake(n, "add token_env: or token_file:", "mattermost has no token")
	}
	if slashToken.read(given) && m.calledAt == "" && given["called_at"] == nil {
		r.Mistake(n, "add called_at: and listen:, or leave the slash command out", "a slash command is of no use where the server does not reach this program")
	}
	m.slashTokens = strings.Fields(slash)
	if u := r.web(given["url"], m.url); u != nil && u.Scheme == "http" && !loopbackHost(u.Hostname()) {
		m.plainTextToken = true
		r.Look(given["url"], "use https, unless the network between is the shop's own", "the token goes to %s unencrypted", u.Host)
	}
	r.web(given["called_at"], m.calledAt)
	switch at, listen := given["called_at"], given["listen"]; {
	case at != nil && listen == nil:
		r.Mistake(at, "add listen: with the address to listen on, for example 127.0.0.1:8090", "called_at without listen")
	case at == nil && listen != nil:
		r.Mistake(listen, "add called_at: with the address at which the server reaches it", "listen without called_at")
	case listen != nil && m.listen != "":
		if _, port, err := net.SplitHostPort(m.listen); err != nil || port == "" {
			r.Mistake(listen, "write host:port, for example 127.0.0.1:8090", "%q is no address", m.listen)
		}
	}
}

// web checks an address of the web, nil where it is none.
func (r *configReader) web(n *yaml.Node, text string) *url.URL {
	if n == nil || text == "" {
		return nil
	}
	u, err := url.Parse(text)
	if err != nil || u.Scheme != "http" && u.Scheme != "https" || u.Host == "" || u.User != nil || u.RawQuery != "" || u.Fragment != "" {
		r.Mistake(n, "write it like https://chat.example.org", "%q is no address of the web", text)
		return nil
	}
	return u
}

func (r *configReader) channels(on string, to *[]string) func(*yaml.Node) {
	return func(n *yaml.Node) {
		r.List(n, "channels", func(n *yaml.Node) {
			var id string
			if r.id(on, "a channel", &id)(n); id != "" {
				*to = append(*to, id)
			}
		})
	}
}

func (r *configReader) readDiscord(n *yaml.Node) {
	d := &discordConfig{}
	r.c.discord = d
	token := r.secret("token", &d.token)
	given := r.Mapping(n, "discord", append([]rules.Field{
		rules.Must("guild", r.id(discord.Name, "guild", &d.guild)),
		rules.May("channels", r.channels(discord.Name, &d.channels)),
		rules.May("rules_channel", r.id(discord.Name, "rules_channel", &d.rulesChannel)),
		rules.May("message_content", r.Yes("message_content", &d.messageContent)),
		rules.May("base", r.Text("base", 260, &d.base)),
	}, token.fields...)...)
	if !token.read(given) && n.Kind == yaml.MappingNode {
		r.Mistake(n, "add token_env: or token_file:", "discord has no token")
	}
	if strings.HasPrefix(d.token, "Bot ") || strings.ContainsAny(d.token, " \t") {
		r.Mistake(n, "give the token alone, without the word Bot", "the token of discord has a space in it")
	}
	if u := r.web(given["base"], d.base); u != nil && !loopbackHost(u.Hostname()) {
		r.Mistake(given["base"], "leave it out for Discord itself; it is for tests", "base is not on this machine, and the token would go there")
	}
}
