package mattermost

import (
	"strings"
	"testing"
	"time"

	"shimwright/bot/mattermost/mmtest"
)

func TestCheck(t *testing.T) {
	for _, c := range []struct {
		name    string
		prepare func(*line, *Config)
		found   string // part of what is found wrong; empty: all is well
		do      string // part of what to do about it
	}{
		{"all well", func(*line, *Config) {}, "", ""},
		{"with buttons", func(_ *line, c *Config) { c.CallbackURL = "https://10.0.0.5/chat" }, "", ""},
		{"wrong token", func(_ *line, c *Config) { c.Token = "x" }, "token is not accepted", "Bot Accounts"},
		{"a person's token", func(l *line, c *Config) { _, c.Token = l.server.AddUser("cora", false) }, "person's account", "bot account"},
		{"no channel", func(l *line, c *Config) { l.server.Kick(l.bay, l.me) }, "in no channel", "/invite @shopbot"},
		{"clock", func(_ *line, c *Config) { c.Now = func() time.Time { return time.Now().Add(5 * time.Minute) } }, "5m0s apart", "NTP"},
		{"no server", func(l *line, _ *Config) { l.server.Fail(mmtest.Fault{Times: 9}) }, "cannot be reached", "address"},
		{"no websocket", func(l *line, _ *Config) { l.server.Fail(mmtest.Fault{Path: "websocket", Times: 9, Status: 400}) }, "events cannot be received", "proxy"},
		{"no limits", func(l *line, _ *Config) { l.server.Fail(mmtest.Fault{Path: "config", Times: 9, Status: 500}) }, "not known", ""},
		{"open buttons", func(_ *line, c *Config) { c.CallbackURL = "http://shop.example.org" }, "plain http", "https"},
	} {
		t.Run(c.name, func(t *testing.T) {
			bubble(t, func(t *testing.T, l *line) {
				config := Config{URL: l.server.URL, Token: l.token, Now: time.Now, Log: testLog(t), Dial: l.dial}
				c.prepare(l, &config)
				a, err := New(config)
				if err != nil {
					t.Fatal(err)
				}
				var bad []Finding
				for _, f := range a.Check(t.Context()) {
					if !f.OK && !strings.Contains(f.What, "the server's address is plain http") {
						bad = append(bad, f)
					}
				}
				a.transport.CloseIdleConnections()
				switch {
				case c.found == "" && len(bad) > 0:
					t.Errorf("found %+v", bad)
				case c.found != "" && (len(bad) == 0 || !strings.Contains(bad[0].What, c.found) || !strings.Contains(bad[0].Do, c.do)):
					t.Errorf("found %+v", bad)
				}
				if n := l.server.Requests("POST", "/posts"); n != 0 {
					t.Error("the check posts something")
				}
			})
		})
	}
}

func TestConfigurations(t *testing.T) {
	good := Config{URL: "https://chat.example.org/sub/", Token: "t", Now: time.Now, Log: testLog(t)}
	a, err := New(good)
	if err != nil || a.api.APIURL != "https://chat.example.org/sub/api/v4" {
		t.Fatalf("%v", err)
	}
	for name, change := range map[string]func(*Config){
		"no address":   func(c *Config) { c.URL = "" },
		"no scheme":    func(c *Config) { c.URL = "chat.example.org" },
		"another":      func(c *Config) { c.URL = "ftp://chat.example.org" },
		"no token":     func(c *Config) { c.Token = " " },
		"no clock":     func(c *Config) { c.Now = nil },
		"short key":    func(c *Config) { c.Key = []byte("short") },
		"bad callback": func(c *Config) { c.CallbackURL = "10.0.0.5" },
	} {
		c := good
		change(&c)
		if _, err := New(c); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
}
