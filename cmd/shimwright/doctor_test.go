package main

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"github.com/redis/go-redis/v9"

	"shimwright/bot/store/boltstore"
	"shimwright/bot/store/storetest"
)

// examine runs doctor and gives what it says, as JSON for the findings and as text.
func examine(t *testing.T, file string) (findings []finding, text string, code int) {
	t.Helper()
	var out, errOut bytes.Buffer
	s := surroundings{in: strings.NewReader(""), out: &out, errOut: &errOut, getenv: noEnvironment}
	code = run(s, []string{"doctor", "--config", file, "--json"})
	var answer struct {
		OK       bool
		Findings []finding
	}
	if err := json.Unmarshal(out.Bytes(), &answer); err != nil || errOut.Len() > 0 {
		t.Fatalf("%v: %s%s", err, out.Bytes(), errOut.Bytes())
	}
	if answer.OK != (code == exitOK) {
		t.Errorf("ok is %v and the exit code %d", answer.OK, code)
	}
	out.Reset()
	if again := run(s, []string{"doctor", "--config", file}); again != code {
		t.Errorf("exit %d as text and %d as JSON", again, code)
	}
	return answer.Findings, out.String(), code
}

// says looks for findings: "LEVEL ABOUT: part of what | part of do".
func says(t *testing.T, findings []finding, wanted ...string) {
	t.Helper()
	for _, want := range wanted {
		head, rest, _ := strings.Cut(want, ": ")
		level, about, _ := strings.Cut(head, " ")
		what, do, _ := strings.Cut(rest, " | ")
		if !slices.ContainsFunc(findings, func(f finding) bool {
			return f.Level == level && f.About == about && strings.Contains(f.What, what) && strings.Contains(f.Do, do)
		}) {
			t.Errorf("it does not say %q, but\n%s", want, listed(findings))
		}
	}
}

func listed(findings []finding) string {
	var b strings.Builder
	for _, f := range findings {
		b.WriteString(f.Level + " " + f.About + ": " + f.What + " | " + f.Do + "\n")
	}
	return b.String()
}

// doctorGroups are fakes whose people are all there.
func doctorGroups(t *testing.T) (*mmGroup, *dcGroup) {
	mm, dc := newMattermostGroup(t), newDiscordGroup(t)
	for name := range dc.people {
		if name != "ann" {
			dc.people[name] = dc.server.Ben
		}
	}
	return mm, dc
}

// doctorConfig has ann and a mentor alone, on both platforms.
func doctorConfig(t *testing.T, mm *mmGroup, dc *dcGroup, more string) string {
	t.Helper()
	file := chatConfig(t, mm, dc, more)
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	people, rest, _ := strings.Cut(string(text), "platforms:\n")
	head, _, _ := strings.Cut(people, "people:\n")
	people = head + "people:\n  - {name: ann, role: technician, mattermost: " + mm.ids["ann"] + ", discord: \"" + dc.server.Ann.ID + "\"}\n" +
		"  - {name: mentor, role: mentor, mattermost: " + mm.ids["mentor"] + ", discord: \"" + dc.server.Ben.ID + "\"}\n"
	if err := os.WriteFile(file, []byte(people+"platforms:\n"+rest), 0o600); err != nil {
		t.Fatal(err)
	}
	return file
}

func TestDoctorFindsAllWell(t *testing.T) {
	mm, dc := doctorGroups(t)
	file := doctorConfig(t, mm, dc, "shop: shop\n")
	for _, dir := range []string{"shop/rules", "shop/sheets"} {
		if err := os.MkdirAll(filepath.Join(filepath.Dir(file), dir), 0o700); err != nil {
			t.Fatal(err)
		}
	}
	findings, text, code := examine(t, file)
	if code != exitOK || !strings.HasSuffix(text, "\nall is well\n") {
		t.Errorf("exit %d:\n%s", code, text)
	}
	says(t, findings, "ok configuration: can be used", "ok store: serve makes it", "ok rules and sheets: 0 of them the shop's",
		"ok people: 2 people, 2 of them with an account", "ok mattermost: the token is that of @shopbot", "ok mattermost: 2 accounts of people found",
		"ok discord: all permissions are there", "ok discord: 2 accounts of people found")
	for line := range strings.Lines(text) {
		if n := utf8.RuneCountInString(strings.TrimRight(line, "\n")); n > phoneWidth && strings.Contains(strings.TrimSpace(line), " ") && len(strings.Fields(line)) > 2 {
			t.Errorf("a line of %d characters is too wide for a phone: %s", n, line)
		}
	}
	if _, err := os.Stat(filepath.Join(filepath.Dir(file), "data")); err == nil {
		t.Error("it has made the data folder")
	}
	if n := mm.server.Requests("POST", "/posts"); n != 0 {
		t.Errorf("it has posted %d times on mattermost", n)
	}
	if p := dc.server.Requests("POST "); len(p) != 0 {
		t.Errorf("it has posted on discord: %v", p)
	}
}

func TestDoctorFindsWhatIsWrong(t *testing.T) {
	mm, dc := doctorGroups(t)
	other := mm.server.AddChannel("elsewhere", "P", mm.ids["ann"])
	const nobody = "abcdefghijkmnpqrstuwxyz134"
	file := doctorConfig(t, mm, dc, "shop: shop\nmetrics: 0.0.0.0:1\nroles:\n  - {role: owner, mattermost_channel: "+other+", discord_role: 923456789012345678}\n")
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	for old, now := range map[string]string{
		mm.ids["mentor"]:               nobody,
		dc.server.Ben.ID:               "923456789012345679",
		"role: mentor":                 "role: apprentice",
		"rules_channel: " + mm.channel: "rules_channel: " + other,
	} {
		text = bytes.ReplaceAll(text, []byte(old), []byte(now))
	}
	if err := os.WriteFile(file, text, 0o600); err != nil {
		t.Fatal(err)
	}
	rules := filepath.Join(filepath.Dir(file), "shop", "rules")
	if err := os.MkdirAll(rules, 0o700); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(rules, "mine.yaml"), []byte("rules:\n  - nope: 1\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(filepath.Dir(file), "data"), nil, 0o600); err != nil {
		t.Fatal(err)
	}
	dc.server.SetContent(false)
	dc.server.SetPermissions(0)
	findings, out, code := examine(t, file)
	if code != exitFail || !strings.Contains(out, ": serve does not work so\n") {
		t.Errorf("exit %d:\n%s", code, out)
	}
	says(t, findings,
		"wrong configuration: 0.0.0.0:1 is not this machine alone | 127.0.0.1:1",
		"wrong store: cannot be written | name another folder",
		"wrong rules and sheets: rules/mine.yaml:2:",
		"wrong mattermost: @shopbot is not in channel "+other+", which it listens to | /invite @shopbot",
		"wrong mattermost: @shopbot is not in channel "+other+", which it goes by for the role owner | /invite @shopbot",
		"wrong mattermost: there is no account "+nobody+", which is said to be mentor's | the log shows",
		"wrong discord: Message Content Intent is off | message_content",
		"wrong discord: missing | View Channel",
		"wrong discord: the server has no role 923456789012345678 | Copy Role ID",
		"wrong discord: account 923456789012345679 of mentor is not on the server | invite mentor",
	)
}

func TestDoctorFindsBadTokens(t *testing.T) {
	mm, dc := doctorGroups(t)
	file := doctorConfig(t, mm, dc, "")
	for name, token := range map[string]string{"mattermost.token": "notthetokennotthetokennott", "discord.token": "nor.this.one"} {
		if err := os.WriteFile(filepath.Join(filepath.Dir(file), name), []byte(token), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	findings, text, code := examine(t, file)
	if code != exitFail || strings.Contains(text, "notthetoken") || strings.Contains(text, "nor.this.one") {
		t.Errorf("exit %d:\n%s", code, text)
	}
	says(t, findings, "wrong mattermost: the token is not accepted | make a new token", "wrong discord: the token is not taken | make a new token")
}

func TestDoctorNoServers(t *testing.T) {
	mm, dc := doctorGroups(t)
	file := doctorConfig(t, mm, dc, "")
	mm.server.Close()
	dc.server.Close()
	findings, _, code := examine(t, file)
	if code != exitFail {
		t.Errorf("exit %d", code)
	}
	says(t, findings, "wrong mattermost: refused | that the server runs", "wrong discord: Discord does not answer | network")
}

func TestDoctorStoreFiles(t *testing.T) {
	mm, dc := doctorGroups(t)
	file := doctorConfig(t, mm, dc, "")
	shop := filepath.Join(filepath.Dir(file), "data", "shop.db")
	held, err := boltstore.Open(shop, time.Second)
	if err != nil {
		t.Fatal(err)
	}
	findings, _, code := examine(t, file)
	if code != exitOK {
		t.Errorf("exit %d while serve runs", code)
	}
	says(t, findings, "look store: is held by another program | where serve runs")
	if err := held.Close(); err != nil {
		t.Fatal(err)
	}
	findings, _, _ = examine(t, file)
	says(t, findings, "ok store: can be written, no jobs in it")
	if err := os.Chmod(filepath.Dir(shop), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(shop, bytes.Repeat([]byte("this is no store "), 1000), 0o600); err != nil {
		t.Fatal(err)
	}
	findings, _, code = examine(t, file)
	if code != exitFail {
		t.Errorf("exit %d with a broken store", code)
	}
	says(t, findings, "wrong store: shop.db | backup", "look store: everybody on this machine | chmod o-rwx")
}

func TestDoctorRedis(t *testing.T) {
	server := storetest.StartRedis(t, "--appendonly", "no", "--appendfsync", "no", "--maxmemory-policy", "allkeys-lru", "--maxmemory", "100mb")
	client := redis.NewClient(&redis.Options{Addr: server.Addr})
	if err := client.ConfigSet(t.Context(), "requirepass", "pw").Err(); err != nil {
		t.Fatal(err)
	}
	client.Close()
	mm, dc := doctorGroups(t)
	onRedis := func(more string) string {
		return doctorConfig(t, mm, dc, "store:\n  redis:\n    addresses: [\""+server.Addr+"\"]\n"+more)
	}
	file := onRedis("    password_file: redis.password\n")
	if err := os.WriteFile(filepath.Join(filepath.Dir(file), "redis.password"), []byte("pw"), 0o600); err != nil {
		t.Fatal(err)
	}
	findings, _, code := examine(t, file)
	if code != exitFail {
		t.Errorf("exit %d", code)
	}
	says(t, findings, "ok store: is version", "wrong store: keeps nothing over a restart | appendonly yes",
		"wrong store: throws records out when it is full (allkeys-lru) | noeviction", "look store: leaves it to the system | everysec",
		"ok store: can be written")
	findings, _, _ = examine(t, onRedis(""))
	says(t, findings, "wrong store: does not answer | password_env or password_file")

	good := storetest.StartRedis(t, "--maxmemory-policy", "noeviction")
	server.Addr = good.Addr
	findings, text, code := examine(t, onRedis(""))
	if code != exitOK {
		t.Errorf("exit %d:\n%s", code, text)
	}
	says(t, findings, "ok store: redis at "+good.Addr+" can be written")

	// A user with what the deploy page says is enough, for serve as well.
	client = redis.NewClient(&redis.Options{Addr: good.Addr})
	defer client.Close()
	if err := client.Do(t.Context(), "ACL", "SETUSER", "shim", "on", ">pw", "~shimwright.*", "~{shimwright.*",
		"+@read", "+@write", "+@scripting", "+@connection", "+info").Err(); err != nil {
		t.Fatal(err)
	}
	file = onRedis("    user: shim\n    password_file: redis.password\n")
	if err := os.WriteFile(filepath.Join(filepath.Dir(file), "redis.password"), []byte("pw"), 0o600); err != nil {
		t.Fatal(err)
	}
	if findings, text, code = examine(t, file); code != exitOK {
		t.Errorf("exit %d:\n%s", code, text)
	}
	says(t, findings, "ok store: redis at "+good.Addr+" can be written")
	startService(t, file)
	until(t, "connected", mm.online)
	mm.say("ann", "", "sheets")
	until(t, "answered", func() bool { return len(mm.posts("")) == 1 })

	server.Addr = "127.0.0.1:1"
	findings, _, _ = examine(t, onRedis(""))
	says(t, findings, "wrong store: redis at 127.0.0.1:1 does not answer | see that redis runs there")
}

// What listens for Mattermost is looked at, too.
func TestDoctorInbound(t *testing.T) {
	mm, dc := doctorGroups(t)
	listen := freeAddress(t)
	file := doctorConfig(t, mm, dc, "")
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	text = bytes.Replace(text, []byte("  mattermost:\n"), []byte("  mattermost:\n    called_at: http://"+listen+"\n    listen: "+listen+"\n"), 1)
	if err := os.WriteFile(file, text, 0o600); err != nil {
		t.Fatal(err)
	}
	findings, _, _ := examine(t, file)
	says(t, findings, "ok mattermost: "+listen+" is free for serve")
	startService(t, file)
	until(t, "connected", mm.online)
	findings, _, _ = examine(t, file)
	says(t, findings, "ok mattermost: serve runs and answers at http://"+listen, "look store: is held by another program")
}
