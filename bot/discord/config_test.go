package discord

import (
	"errors"
	"fmt"
	"io"
	"log/slog"
	"net/http"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"
	"time"

	"github.com/bwmarrin/discordgo"

	"shimwright/bot"
	"shimwright/bot/discord/dctest"
)

func TestConfig(t *testing.T) {
	t.Parallel()
	good := Config{Token: "a.b.c", Now: time.Now, Log: slog.New(slog.NewTextHandler(io.Discard, nil))}
	for _, c := range []struct {
		name   string
		change func(*Config)
		want   string // in the error; empty for none
	}{
		{"plain", func(*Config) {}, ""},
		{"loopback", func(c *Config) { c.API = "http://127.0.0.1:8080" }, ""},
		{"loopback by name", func(c *Config) { c.API = "http://localhost:8080/" }, ""},
		{"loopback of version 6", func(c *Config) { c.API = "https://[::1]:8080" }, ""},
		{"another machine", func(c *Config) { c.API = "http://192.0.2.7:8080" }, "not on this machine"},
		{"another machine, encrypted", func(c *Config) { c.API = "https://chat.example" }, "not on this machine"},
		{"a name that looks like it", func(c *Config) { c.API = "http://localhost.example" }, "not on this machine"},
		{"a trick", func(c *Config) { c.API = "http://127.0.0.1@chat.example/" }, "not on this machine"},
		{"a websocket", func(c *Config) { c.API = "ws://127.0.0.1:1" }, "not like"},
		{"no address", func(c *Config) { c.API = "::" }, "address"},
		{"no token", func(c *Config) { c.Token = "" }, "token"},
		{"with the word", func(c *Config) { c.Token = "Bot a.b.c" }, "without \"Bot \""},
		{"a name for a channel", func(c *Config) { c.Channels = []string{"axles"} }, "Copy Channel ID"},
		{"no clock", func(c *Config) { c.Now = nil }, "clock"},
	} {
		t.Run(c.name, func(t *testing.T) {
			config := good
			c.change(&config)
			_, err := New(config)
			switch {
			case c.want == "" && err != nil:
				t.Error(err)
			case c.want != "" && (err == nil || !strings.Contains(err.Error(), c.want)):
				t.Errorf("error %v, want %q", err, c.want)
			}
			if err != nil && strings.Contains(err.Error(), "a.b.c") {
				t.Errorf("the token is in the error: %v", err)
			}
		})
	}
}

// TestNothingLeaks: requests go to Discord or to the base, and to nobody else.
func TestNothingLeaks(t *testing.T) {
	t.Parallel()
	client := newClient(nil, roundTrip(func(r *http.Request) (*http.Response, error) {
		return nil, errors.New("it went out to " + r.URL.Host)
	}))
	for url, out := range map[string]bool{
		"https://discord.com/api/v9/gateway": true, "http://discord.com/api/v9/gateway": false,
		"https://discord.com.example/api": false, "https://cdn.example/x": false,
	} {
		_, err := client.Get(url)
		if went := err != nil && strings.Contains(err.Error(), "it went out"); went != out {
			t.Errorf("%s: %v", url, err)
		}
	}
	l := &life{g: &gateway{now: time.Now}, ctx: t.Context()}
	if c, err := l.dialPlain(t.Context(), "tcp", "192.0.2.7:80"); err == nil || !strings.Contains(err.Error(), "not encrypted") {
		t.Errorf("a plain gateway elsewhere: %v, %v", c, err)
	}
}

type roundTrip func(*http.Request) (*http.Response, error)

func (f roundTrip) RoundTrip(r *http.Request) (*http.Response, error) { return f(r) }

func TestMemory(t *testing.T) {
	t.Parallel()
	file := FileMemory(filepath.Join(t.TempDir(), "state", "discord.json"))
	k, err := openMarks(file, time.Now)
	if err != nil {
		t.Fatal(err)
	}
	seen, old := idAt(time.Now()), idAt(time.Now().Add(-2*forgetAfter))
	k.advance("1", mark{Seen: seen, Parent: "2"})
	k.advance("1", mark{Seen: seen - 5, Edited: 7})
	k.advance("3", mark{Seen: old})
	k.setCommand("9", "hash")
	k.rest(true)
	if err := k.save(); err != nil {
		t.Fatal(err)
	}
	again, err := openMarks(file, time.Now)
	if err != nil {
		t.Fatal(err)
	}
	if got, want := again.room("1"), (mark{Seen: seen, Edited: 7, Parent: "2"}); got != want {
		t.Errorf("recalled %+v, want %+v", got, want)
	}
	if got := again.room("3"); got.Seen != 0 {
		t.Errorf("a place of long ago is kept: %+v", got)
	}
	if again.command("9") != "hash" || !again.alive.IsZero() {
		t.Errorf("command %q, alive %v", again.command("9"), again.alive)
	}
	if err := file.Keep([]byte("{broken")); err != nil {
		t.Fatal(err)
	}
	if _, err := openMarks(file, time.Now); err == nil || !strings.Contains(err.Error(), "remove the file") {
		t.Errorf("a damaged file: %v", err)
	}
}

func TestMember(t *testing.T) {
	t.Parallel()
	d := dctest.New(t)
	d.SetRoles(d.Ben, "71", "72")
	a := newAdapter(t, d, nil, io.Discard)
	m, ok, err := a.Member(t.Context(), bot.UserID(d.Ben.ID))
	if want := (Member{Name: "ben", Roles: []string{"71", "72"}}); !ok || err != nil || !reflect.DeepEqual(m, want) {
		t.Errorf("ben is %+v, %v, %v", m, ok, err)
	}
	for _, nobody := range []bot.UserID{"4", "ben", "../users/@me", ""} {
		if m, ok, err := a.Member(t.Context(), nobody); ok || err != nil {
			t.Errorf("%q is %+v, %v", nobody, m, err)
		}
	}
	elsewhere := newAdapter(t, d, nil, io.Discard, func(c *Config, _ *timing) { c.Guild = "77" })
	if _, ok, err := elsewhere.Member(t.Context(), bot.UserID(d.Ben.ID)); ok || err == nil {
		t.Errorf("on a server where the bot is not: %v, %v", ok, err)
	}
	d.Fail(dctest.Fault{Method: "GET", Path: "/members/", Status: 429, Body: `{"message":"slow","retry_after":5,"global":false}`})
	var later *bot.LaterError
	if _, _, err := a.Member(t.Context(), bot.UserID(d.Ben.ID)); !errors.As(err, &later) {
		t.Errorf("limited: %v", err)
	}
}

// TestPermissions: what a member may do, by the rules of overwrites.
// Source of the rules: Discord developer documentation, "Permissions", Permission
// Overwrites; the rows are derived from them.
func TestPermissions(t *testing.T) {
	t.Parallel()
	const view, send, pin = discordgo.PermissionViewChannel, discordgo.PermissionSendMessages, discordgo.PermissionManageMessages
	role := func(id string, bits int64) *discordgo.Role { return &discordgo.Role{ID: id, Permissions: bits} }
	over := func(id string, kind discordgo.PermissionOverwriteType, allow, deny int64) *discordgo.PermissionOverwrite {
		return &discordgo.PermissionOverwrite{ID: id, Type: kind, Allow: allow, Deny: deny}
	}
	const ofRole, ofMember = discordgo.PermissionOverwriteTypeRole, discordgo.PermissionOverwriteTypeMember
	for _, c := range []struct {
		name  string
		owner string
		roles []*discordgo.Role
		over  []*discordgo.PermissionOverwrite
		want  int64
	}{
		{"roles add up", "x", []*discordgo.Role{role("g", view), role("r", send), role("other", pin)}, nil, view | send},
		{"everybody is denied", "x", []*discordgo.Role{role("g", view|send)}, []*discordgo.PermissionOverwrite{over("g", ofRole, 0, send)}, view},
		{"a role's allowance beats it", "x", []*discordgo.Role{role("g", view|send)}, []*discordgo.PermissionOverwrite{over("r", ofRole, send, 0), over("g", ofRole, 0, send)}, view | send},
		{"of two roles the allowance wins", "x", []*discordgo.Role{role("g", view)}, []*discordgo.PermissionOverwrite{over("r", ofRole, send, 0), over("q", ofRole, 0, send)}, view | send},
		{"the member's own is last", "x", []*discordgo.Role{role("g", view|send)}, []*discordgo.PermissionOverwrite{over("me", ofMember, 0, send), over("r", ofRole, send, 0)}, view},
		{"of somebody else", "x", []*discordgo.Role{role("g", view)}, []*discordgo.PermissionOverwrite{over("you", ofMember, 0, view), over("other", ofRole, 0, view)}, view},
		{"administrator", "x", []*discordgo.Role{role("g", 0), role("r", discordgo.PermissionAdministrator)}, []*discordgo.PermissionOverwrite{over("g", ofRole, 0, view)}, everything},
		{"owner", "me", []*discordgo.Role{role("g", 0)}, nil, everything},
	} {
		g := &discordgo.Guild{ID: "g", OwnerID: c.owner, Roles: c.roles}
		if got := permissions(g, &discordgo.Channel{PermissionOverwrites: c.over}, []string{"r", "q"}, "me"); got != c.want {
			t.Errorf("%s: %b, want %b", c.name, got, c.want)
		}
	}
}

// TestCheck: each thing that is wrong is found, and nothing where all is right.
func TestCheck(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name   string
		broken func(*dctest.Server)
		change change
		want   string // in what is found to be wrong; empty for nothing
		do     string
		failed bool
	}{
		{name: "all right"},
		{name: "token", change: func(c *Config, _ *timing) { c.Token = "another" }, want: "token is not taken", do: "Bot page", failed: true},
		{name: "intent off", broken: func(d *dctest.Server) { d.SetContent(false) }, want: "Message Content Intent is off", do: "message_content"},
		{name: "intent not used", change: func(c *Config, _ *timing) { c.MessageContent = false }, want: "not used", do: "message_content"},
		{name: "permissions", broken: func(d *dctest.Server) { d.SetPermissions(1 << 10) }, want: "Send Messages, Send Messages in Threads, Create Public Threads, Attach Files, Read Message History missing", do: "to open a thread"},
		{name: "channel", broken: func(d *dctest.Server) { d.Forbid(d.Channel, 50001) }, want: "cannot be seen", do: "View Channel"},
		{name: "server", change: func(c *Config, _ *timing) { c.Guild = "77" }, want: "not on server 77", do: "invitation"},
		{name: "clock", change: func(c *Config, _ *timing) {
			c.Now = func() time.Time { return time.Now().Add(90 * time.Second) }
		}, want: "clock is off by 1m", do: "NTP"},
		{name: "no network", broken: func(d *dctest.Server) { d.Close() }, want: "does not answer", do: "network", failed: true},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			d := dctest.New(t)
			changes := []change{func(config *Config, _ *timing) { config.Channels = []string{d.Channel} }}
			if c.change != nil {
				changes = append(changes, c.change)
			}
			a := newAdapter(t, d, nil, io.Discard, changes...)
			if c.broken != nil {
				c.broken(d)
			}
			found, err := a.Check(t.Context())
			if (err != nil) != c.failed {
				t.Errorf("Check: %v", err)
			}
			var wrong []Finding
			for _, f := range found {
				if !f.OK {
					wrong = append(wrong, f)
				}
				if strings.Contains(f.What+f.Do, dctest.Token) {
					t.Errorf("the token is in %q", f.What)
				}
			}
			switch {
			case c.want == "" && len(wrong) != 0:
				t.Errorf("found %+v", wrong)
			case c.want != "" && (len(wrong) != 1 || !strings.Contains(wrong[0].What, c.want) || !strings.Contains(wrong[0].Do, c.do)):
				t.Errorf("found %+v, want %q and %q", wrong, c.want, c.do)
			}
			if c.want == "" && len(found) < 4 {
				t.Errorf("only %d things were looked at: %+v", len(found), found)
			}
		})
	}
}

// TestDeployPage: the invitation asks for exactly what the program needs.
func TestDeployPage(t *testing.T) {
	t.Parallel()
	page, err := os.ReadFile("../../deploy/discord.md")
	if err != nil {
		t.Fatal(err)
	}
	var bits int64
	for _, p := range needed() {
		bits |= p.bit
		if !strings.Contains(string(page), "| "+p.name+" |") {
			t.Errorf("the page does not have %s", p.name)
		}
	}
	for _, want := range []string{
		fmt.Sprintf("permissions=%d\n", bits), fmt.Sprintf("permissions=%d`", bits|discordgo.PermissionManageThreads),
		"scope=bot+applications.commands", "/" + sayCommand, "/" + formCommand,
	} {
		if !strings.Contains(string(page), want) {
			t.Errorf("the page does not have %q", want)
		}
	}
}
