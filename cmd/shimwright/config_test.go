package main

import (
	"fmt"
	"log/slog"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"shimwright/bot"
	"shimwright/bot/remind"
	"shimwright/calc/unit"
	"shimwright/dialogs"
	"shimwright/dialogs/phrase"
)

const (
	someID   = "abcdefghijkmnpqrstuwxyz134"
	otherID  = "y3mfwq6ekbgqxnzrtcoh5sapie"
	goodFile = `shop: shop
data: data
units: inch
names: [bot, shim]
memory: no
log: warn
metrics: 127.0.0.1:9464
store:
  redis:
    addresses: ["10.0.0.7:26379", "10.0.0.8:26379"]
    sentinel: jobs
    database: 3
    user: shim
    password_env: REDIS_PASSWORD
    prefix: bay-1
people:
  - name: ann
    role: technician
    units: metric
    language: es
    quiet_hours: 12:00 to 13:00
    mattermost: ` + someID + `
    discord: 123456789012345678
  - name: mia
    role: mentor
    discord: "223456789012345678"
roles:
  - role: apprentice
    mattermost_channel: ` + otherID + `
    discord_role: 323456789012345678
quiet_hours: 18:00-06:30
time_zone: Europe/Berlin
quiet:
  only_when_called: yes
  no_pings: yes
platforms:
  mattermost:
    url: https://chat.example.org
    token_file: mattermost.token
    channels: [` + otherID + `]
    rules_channel: ` + someID + `
    reviews_channel: ` + someID + `
    called_at: http://10.0.0.5:8090/shim
    listen: :8090
    slash_token_env: SLASH
  discord:
    guild: 423456789012345678
    token_env: DISCORD_TOKEN
    channels: [523456789012345678]
    message_content: yes
`
)

func environment(key string) string {
	return map[string]string{"REDIS_PASSWORD": "rpw", "SLASH": "one two", "DISCORD_TOKEN": "dtok\n"}[key]
}

// configFolder makes a folder with a configuration and a token file.
func configFolder(t *testing.T, text string, mode os.FileMode) string {
	t.Helper()
	folder := t.TempDir()
	for name, f := range map[string]struct {
		text string
		mode os.FileMode
	}{"shimwright.yaml": {text, 0o644}, "mattermost.token": {"mtok\n", mode}} {
		file := filepath.Join(folder, name)
		if err := os.WriteFile(file, []byte(f.text), f.mode); err != nil {
			t.Fatal(err)
		}
		if err := os.Chmod(file, f.mode); err != nil {
			t.Fatal(err)
		}
	}
	return filepath.Join(folder, "shimwright.yaml")
}

func TestConfigEverything(t *testing.T) {
	file := configFolder(t, goodFile, 0o640)
	got, report := loadConfig(file, environment)
	if len(report.Problems) > 0 {
		t.Fatalf("problems: %v", report.Problems)
	}
	in := func(name string) string { return filepath.Join(filepath.Dir(file), name) }
	berlin, err := time.LoadLocation("Europe/Berlin")
	if err != nil {
		t.Fatal(err)
	}
	want := &config{
		zone: berlin, hours: remind.Quiet{From: 18 * 60, To: 6*60 + 30, Zone: berlin},
		shop: in("shop"), data: in("data"), units: unit.InchUnits, names: []string{"bot", "shim"}, forget: true,
		logLevel: slog.LevelWarn, metrics: "127.0.0.1:9464",
		store: storeConfig{
			addresses: []string{"10.0.0.7:26379", "10.0.0.8:26379"}, sentinel: "jobs", database: 3,
			user: "shim", password: "rpw", prefix: "bay-1",
		},
		people: []bot.Person{
			{Name: "ann", Role: dialogs.Technician, Units: unit.Metric, Language: phrase.Spanish, Quiet: remind.Quiet{From: 12 * 60, To: 13 * 60, Zone: berlin}, Accounts: map[string]bot.UserID{"mattermost": someID, "discord": "123456789012345678"}},
			{Name: "mia", Role: dialogs.Mentor, Units: unit.InchUnits, Accounts: map[string]bot.UserID{"discord": "223456789012345678"}},
		},
		groups: []groupRole{
			{"mattermost", otherID, dialogs.Apprentice, unit.InchUnits},
			{"discord", "323456789012345678", dialogs.Apprentice, unit.InchUnits},
		},
		quiet: quietConfig{calledOnly: true, noPings: true},
		mattermost: &mattermostConfig{
			url: "https://chat.example.org", token: "mtok", channels: []string{otherID, someID}, rulesChannel: someID, reviews: someID,
			calledAt: "http://10.0.0.5:8090/shim", listen: ":8090", slashTokens: []string{"one", "two"},
		},
		discord: &discordConfig{
			guild: "423456789012345678", token: "dtok", channels: []string{"523456789012345678"}, messageContent: true,
		},
	}
	if d := cmp.Diff(want, got, cmp.AllowUnexported(config{}, storeConfig{}, groupRole{}, quietConfig{}, mattermostConfig{}, discordConfig{}), cmp.Comparer(func(a, b *time.Location) bool { return a.String() == b.String() })); d != "" {
		t.Error(d)
	}
}

// The example that people begin with is a configuration but for what they fill in.
func TestConfigExample(t *testing.T) {
	text, err := os.ReadFile("../../deploy/shimwright.example.yaml")
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"/etc/shimwright/mattermost.token", "/etc/shimwright/discord.token"} {
		if !strings.Contains(string(text), name) {
			t.Errorf("%s is not in the example", name)
		}
		text = []byte(strings.ReplaceAll(string(text), name, "mattermost.token"))
	}
	_, report := loadConfig(configFolder(t, string(text), 0o600), func(string) string { return "" })
	for _, p := range report.Problems {
		t.Error(p)
	}
}

// Every key is on the deploy page.
func TestConfigKeysAreDescribed(t *testing.T) {
	page, err := os.ReadFile("../../deploy/README.md")
	if err != nil {
		t.Fatal(err)
	}
	files, err := filepath.Glob("config*.go")
	if err != nil {
		t.Fatal(err)
	}
	var source []byte
	for _, file := range files {
		text, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		if !strings.HasSuffix(file, "_test.go") {
			source = append(source, text...)
		}
	}
	keys := map[string]bool{}
	for _, m := range regexp.MustCompile(`rules\.(?:May|Must)\("(\w+)"`).FindAllSubmatch(source, -1) {
		keys[string(m[1])] = true
	}
	for _, m := range regexp.MustCompile(`\.secret\("(\w+)"`).FindAllSubmatch(source, -1) {
		keys[string(m[1])+"_env"], keys[string(m[1])+"_file"] = true, true
	}
	if len(keys) < 40 {
		t.Fatalf("only %d keys found in the source", len(keys))
	}
	for key := range keys {
		if !regexp.MustCompile("[`.]" + key + "[`.]").Match(page) {
			t.Errorf("deploy/README.md does not say what %s is", key)
		}
	}
}

// Every mistake is told with its place, all in one run.
func TestConfigMistakes(t *testing.T) {
	const people = "people:\n  - {name: ann, role: technician}\n"
	const discord = "  discord: {guild: 423456789012345678, token_env: DISCORD_TOKEN}\n"
	good := "data: d\n" + people + "platforms:\n" + discord
	for _, c := range []struct {
		name, text string
		want       []string // LINE:COL: beginning of the text | part of the hint
	}{
		{"empty", "", []string{": the file is empty"}},
		{"nothing", "data: d\n", []string{"1:1: the configuration has no people, platforms"}},
		{"unknown keys", "dta: d\n" + good + "shp: x\n", []string{
			`1:1: the configuration has no key "dta" | did you mean "data"?`, `7:1: the configuration has no key "shp" | did you mean "shop"?`}},
		{"twice", good + "log: info\nlog: warn\n", []string{"7:1: log is given twice in the configuration, first on line 6"}},
		{"words", good + "log: loud\nunits: inches\nmemory: perhaps\n", []string{
			`6:6: log is "loud", which it cannot be | there are: debug, info, warn, error`, `7:8: units is "inches"`, `8:9: memory is "perhaps", want yes or no`}},
		{"hours", good + "quiet_hours: 18-6\ntime_zone: Berlin\n", []string{
			`6:14: "18-6" is no time of day to another | write from and to as on the clock: 18:00-06:30`, `7:12: "Berlin" is no time zone | write it as America/Chicago`}},
		{"an hour there is not", good + "quiet_hours: 18:00-24:30\ntime_zone: UTC\n", []string{`6:14: "18:00-24:30" is no span of a day`}},
		{"hours by no clock", good + "quiet_hours: 20:00-06:30\n", []string{"6:14: look at this: the quiet hours are by UTC | add time_zone:"}},
		{"no platform", "data: d\n" + people + "platforms: {}\n", []string{"4:12: there is no platform to talk on | add mattermost: or discord:"}},
		{"nobody", "data: d\npeople: []\nplatforms:\n" + discord, []string{"2:9: nobody would be listened to"}},
		{"a token", "data: d\n" + people + "platforms:\n  discord:\n    guild: 423456789012345678\n    token: hunter2\n", []string{
			"7:12: a token does not belong in this file | token_env: with the name of an environment variable"}},
		{"a token as its variable", "data: d\n" + people + "platforms:\n  discord:\n    guild: 423456789012345678\n    token_env: hunter2.hunter2\n", []string{
			"7:16: token_env is not the name of an environment variable"}},
		{"a token for its variable's name", "data: d\n" + people + "platforms:\n  discord:\n    guild: 423456789012345678\n    token_env: hunter2\n", []string{
			"7:16: the environment variable that token_env names is not set"}},
		{"no token", "data: d\n" + people + "platforms:\n  discord: {guild: 423456789012345678}\n", []string{"5:12: discord has no token | token_env: or token_file:"}},
		{"two tokens", "data: d\n" + people + "platforms:\n  discord: {guild: 423456789012345678, token_env: DISCORD_TOKEN, token_file: x}\n", []string{"5:78: token_env and token_file are both given"}},
		{"no token file", "data: d\n" + people + "platforms:\n  discord: {guild: 423456789012345678, token_file: nowhere}\n", []string{"5:52: FOLDER/nowhere: the file cannot be read: no such file"}},
		{"ids", "data: d\npeople:\n  - {name: ann, role: technician, discord: ann, mattermost: \"@ann\"}\nplatforms:\n  discord: {guild: shop, token_env: DISCORD_TOKEN}\n", []string{
			`3:44: "ann" is no id of Discord | Copy ID`, `3:61: "@ann" is no id of Mattermost`, `5:20: "shop" is no id of Discord`}},
		{"people", "data: d\npeople:\n  - {name: ann, role: boss}\n  - {name: Ann, role: owner}\n  - {role: owner}\n  - {name: ben, role: owner, discord: 123456789012345678}\n  - {name: cat, role: owner, discord: 123456789012345678}\nplatforms:\n" + discord, []string{
			`3:23: role is "boss"`, `3:5: look at this: ann has no account`, `4:12: two people are called "Ann"`, `5:5: a person has no name`, `7:39: this account is ben's already`}},
		{"asked where nobody is", "data: d\npeople:\n  - {name: ben, role: mentor, discord: 123456789012345678, asked_on: mattermost}\n  - {name: ann, role: mentor, asked_on: phone}\nplatforms:\n" + discord, []string{
			`3:70: ben is to be asked on mattermost and has no account there | add mattermost:`, `4:41: asked_on is "phone"`, `4:5: look at this: ann has no account`}},
		{"accounts elsewhere", "data: d\npeople:\n  - {name: ann, role: owner, mattermost: " + someID + "}\nroles:\n  - {role: mentor, mattermost_channel: " + someID + "}\n  - {role: mentor}\nplatforms:\n" + discord, []string{
			"6:5: nobody would have this role", "3:3: look at this: ann has an account on mattermost, which is not under platforms", "5:3: a role goes by mattermost, which is not under platforms"}},
		{"stores", good + "store:\n  file: x\n  redis: {addresses: [one, \"two:1\"]}\n", []string{
			`8:23: "one" is no address | host:port`, "8:10: jobs are kept in a file or in redis, not in both"}},
		{"redis", good + "store:\n  redis: {addresses: [\"a:1\", \"b:1\"], prefix: \"a b\", password: x, database: 4000}\n", []string{
			"7:63: a password does not belong in this file", "7:76: database is 4000, outside", "7:22: several addresses, and not what they are | cluster: yes", "7:46: prefix may have"}},
		{"cluster", good + "store:\n  redis: {addresses: [\"a.example:1\"], cluster: yes, database: 2, password_env: REDIS_PASSWORD}\n", []string{
			"7:63: a cluster has database 0 alone", "7:22: look at this: the password goes to a.example:1 unencrypted | tls: yes"}},
		{"certificates", good + "store:\n  redis: {addresses: [\"a:1\"], tls_ca_file: /nowhere.pem}\n", []string{"7:44: /nowhere.pem: the file cannot be read | readable for the user"}},
		{"no certificates", good + "store:\n  redis: {addresses: [\"a:1\"], tls: yes, tls_ca_file: /etc/passwd}\n", []string{"7:54: /etc/passwd has no certificate in it | it begins with -----BEGIN CERTIFICATE-----"}},
		{"both ways to redis", good + "store:\n  redis: {addresses: [\"a:1\"], cluster: yes, sentinel: x}\n", []string{"7:55: a redis is found through sentinels or is a cluster, not both"}},
		{"metrics for all", good + "metrics: 0.0.0.0:9464\n", []string{"6:10: 0.0.0.0:9464 is not this machine alone"}},
		{"metrics nowhere", good + "metrics: here\n", []string{`6:10: "here" is no address`}},
		{"a base elsewhere", "data: d\n" + people + "platforms:\n  discord: {guild: 423456789012345678, token_env: DISCORD_TOKEN, base: \"http://chat.example.org\"}\n", []string{
			"5:72: base is not on this machine, and the token would go there"}},
		{"mattermost", "data: d\n" + people + "platforms:\n  mattermost:\n    url: chat.example.org\n    token_env: DISCORD_TOKEN\n    listen: here\n    slash_token_env: SLASH\n", []string{
			"6:5: a slash command is of no use", `6:10: "chat.example.org" is no address of the web`, "8:13: listen without called_at"}},
		{"plain http", "data: d\n" + people + "platforms:\n  mattermost:\n    url: http://chat.example.org\n    token_env: DISCORD_TOKEN\n    called_at: http://10.0.0.5:1\n", []string{
			"6:10: look at this: the token goes to chat.example.org unencrypted", "8:16: called_at without listen"}},
		{"a tab", "data: d\n\tshop: x\n", []string{"2:1: a tab in the indentation | indent with spaces"}},
		{"an anchor", "data: &d d\n", []string{"1:7: an anchor (&d)", "1:1: the configuration has no people, platforms"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			file := configFolder(t, c.text, 0o600)
			_, report := loadConfig(file, environment)
			var got []string
			for _, p := range report.Problems {
				p.File = ""
				got = append(got, strings.TrimPrefix(p.String(), ":")+" | "+p.Hint)
			}
			left := slices.Clone(got)
			for _, want := range c.want {
				text, hint, _ := strings.Cut(strings.ReplaceAll(want, "FOLDER", filepath.Dir(file)), " | ")
				i := slices.IndexFunc(left, func(g string) bool {
					what, do, _ := strings.Cut(g, " | ")
					return strings.HasPrefix(what, strings.TrimPrefix(text, ":")) && strings.Contains(do, hint)
				})
				if i < 0 {
					t.Errorf("it does not say %q, only\n%s", want, strings.Join(left, "\n"))
					continue
				}
				left = slices.Delete(left, i, i+1)
			}
			for _, g := range left {
				if !strings.Contains(g, "ann has no account") {
					t.Errorf("it says besides: %s", g)
				}
			}
			var out strings.Builder
			if err := report.Print(&out); err != nil || strings.Contains(out.String(), "hunter2") {
				t.Errorf("%v, or a token is repeated:\n%s", err, out.String())
			}
		})
	}
}

// A file with a secret that everybody can read is refused.
func TestConfigSecretFileModes(t *testing.T) {
	text := "data: d\npeople:\n  - {name: ann, role: owner, mattermost: " + someID + "}\nplatforms:\n  mattermost: {url: \"https://chat.example.org\", token_file: mattermost.token}\n"
	for mode, good := range map[os.FileMode]bool{0o600: true, 0o400: true, 0o640: true, 0o440: true, 0o644: false, 0o604: false, 0o660: false, 0o666: false} {
		t.Run(fmt.Sprintf("%#o", mode), func(t *testing.T) {
			c, report := loadConfig(configFolder(t, text, mode), environment)
			switch {
			case good && (report.Mistakes() > 0 || c.mattermost.token != "mtok"):
				t.Errorf("refused: %v", report.Problems)
			case !good && (report.Mistakes() != 1 || !strings.Contains(report.Problems[0].Hint, "chmod 600 ") || c.mattermost.token != ""):
				t.Errorf("taken: %v", report.Problems)
			}
		})
	}
}

// A file as a person sees it refused, in full.
func TestConfigMistakesPrinted(t *testing.T) {
	file := configFolder(t, "data: d\npeopel:\n  - name: ann\nplatforms:\n  discord:\n    guild: 423456789012345678\n    token: hunter2\n", 0o600)
	_, report := loadConfig(file, environment)
	var out strings.Builder
	if err := report.Print(&out); err != nil {
		t.Fatal(err)
	}
	const want = `F:2:1: the configuration has no key "peopel"
  peopel:
  ^
  did you mean "people"?
F:7:12: a token does not belong in this file
      token: …
             ^
  write token_env: with the name of an environment variable, or token_file: with a file; and make a new one, this one has been read
F:1:1: the configuration has no people
  data: d
  ^
`
	if got := strings.ReplaceAll(out.String(), file, "F"); got != want {
		t.Errorf("%s", cmp.Diff(want, got))
	}
}
