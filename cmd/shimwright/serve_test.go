package main

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"
)

// running is a service at work.
type running struct {
	t     testing.TB
	log   *logText
	hup   chan os.Signal
	stop  context.CancelFunc
	ended chan error
}

// logText is what a service writes.
type logText struct {
	mu sync.Mutex
	b  bytes.Buffer
}

func (l *logText) Write(p []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.b.Write(p)
}

func (l *logText) String() string {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.b.String()
}

// startService runs serve on a configuration.
func startService(t testing.TB, file string) *running {
	t.Helper()
	ctx, stop := context.WithCancel(context.Background())
	r := &running{t: t, log: &logText{}, hup: make(chan os.Signal, 1), stop: stop, ended: make(chan error, 1)}
	c := mustLoad(t, file)
	go func() { r.ended <- runService(ctx, r.hup, c, time.Now, r.log) }()
	t.Cleanup(func() {
		r.stop()
		if r.ended != nil {
			if err := r.end(); err != nil {
				t.Errorf("serve: %v", err)
			}
		}
		if t.Failed() {
			t.Log(r.log.String())
		}
	})
	return r
}

// end waits until it has ended.
func (r *running) end() error {
	select {
	case err := <-r.ended:
		r.ended = nil
		return err
	case <-time.After(soon):
		r.ended = nil
		r.t.Fatalf("serve does not end\n%s", r.log)
		return nil
	}
}

// dated and numbered are what differs between two plays of one chat.
var (
	dated    = regexp.MustCompile(`\d{4}-\d\d-\d\d`)
	numbered = regexp.MustCompile(`job \d+`)
)

func undated(text string) string {
	return numbered.ReplaceAllString(dated.ReplaceAllString(text, "DATE"), "job N")
}

// converse says a recorded chat on a group as people do, waiting for each answer as
// it was recorded; what was answered comes back by the console's places.
func converse(t *testing.T, g group, records []chatRecord) map[string]string {
	ids, threads, said, seen := map[string]string{}, map[string]string{}, map[string]string{}, map[string]bool{}
	look := func() int {
		places := map[string]string{"shop": ""}
		for name, thread := range threads {
			places[name] = thread
		}
		for name, thread := range places {
			for _, p := range g.posts(thread) {
				if !seen[p.id] {
					seen[p.id] = true
					said[name] += plain(p.rows) + "\n"
				}
			}
		}
		return len(seen)
	}
	want := 0
	for i, rec := range records {
		switch {
		case rec.Thread != nil:
			threads[rec.Thread.Place] = g.thread(ids[rec.Thread.Below])
		case rec.In != nil:
			thread := threads[rec.In.Place]
			if rec.In.Edits != "" {
				g.edit(thread, ids[rec.In.Edits], rec.In.Text)
			} else {
				ids[rec.In.ID] = g.say(rec.In.Who, thread, rec.In.Text)
			}
		case rec.Out != nil:
			want++
			next := i + 1
			for next < len(records) && records[next].In == nil && records[next].Out == nil {
				next++
			}
			if next == len(records) || records[next].In != nil {
				until(t, fmt.Sprintf("said after %d posts: %s", want-1, plain(rec.Out.Rows)), func() bool { return look() >= want })
			}
		}
	}
	return said
}

// One process talks on both platforms at once, on one store: a whole job on each at
// the same time, each job reachable from the other platform.
func TestServeBothPlatforms(t *testing.T) {
	records := playOnConsole(t, filepath.Join(chatsFolder, "inch-eight-steps.txt"))
	for i, rec := range records {
		if rec.In != nil && (strings.HasPrefix(rec.In.Text, "close") || rec.In.Text == "start break-in") {
			records = records[:i] // the jobs stay open, and no hours of cooling are waited for
			break
		}
	}
	want := map[string]string{}
	for _, rec := range records {
		if rec.Out != nil {
			want[rec.Out.Place] += plain(rec.Out.Rows) + "\n"
		}
	}
	mm, dc := newMattermostGroup(t), newDiscordGroup(t)
	s := startService(t, chatConfig(t, mm, dc, "memory: no\n"+threadsAlone))
	until(t, "on both platforms", func() bool { return mm.online() && dc.online() })

	var both sync.WaitGroup
	got := [2]map[string]string{}
	for i, g := range []group{mm, dc} {
		both.Go(func() { got[i] = converse(t, g, records) })
	}
	both.Wait()
	for i, on := range []string{"mattermost", "discord"} {
		for place, text := range want {
			if d := differ(undated(text), undated(got[i][place])); d != "" {
				t.Errorf("on %s, in %s: %s", on, place, d)
			}
		}
	}

	// A mentor looks at the technician's job from the other platform.
	numberOn := func(texts map[string]string) string { return numbered.FindString(texts["#1"]) }
	jobs := len(dc.posts(""))
	dc.say("owner", "", "bot, jobs")
	until(t, "told of the jobs", func() bool { return len(dc.posts("")) > jobs })
	list := plain(dc.posts("")[jobs].rows)
	for i, on := range []string{"mattermost", "discord"} {
		if n := numberOn(got[i]); n == "" || !strings.Contains(list, n+",") {
			t.Errorf("the job opened on %s (%s) is not in the list on discord:\n%s", on, n, list)
		}
	}
	if numberOn(got[0]) == numberOn(got[1]) {
		t.Errorf("both jobs are %s", numberOn(got[0]))
	}
	there := numberOn(got[0])
	dc.say("mentor", "", "bot, "+there)
	until(t, "at the other job", func() bool { return len(dc.posts("")) > jobs+1 })
	dc.say("mentor", "", "bot, where are we")
	until(t, "told of it", func() bool { return len(dc.posts("")) > jobs+2 })
	if text := plain(dc.posts("")[jobs+2].rows); !strings.Contains(text, there+", lapwing") {
		t.Errorf("on discord it says of the job on mattermost:\n%s", text)
	}

	began := time.Now()
	s.stop()
	if err := s.end(); err != nil {
		t.Errorf("ended with %v", err)
	}
	t.Logf("ended after %v", time.Since(began).Round(time.Millisecond))
}

// A restart goes on where it was, and says nothing twice.
func TestServeAgain(t *testing.T) {
	mm, dc := newMattermostGroup(t), newDiscordGroup(t)
	file := chatConfig(t, mm, dc, "")
	groups := []group{mm, dc}
	threads := [2]string{}
	s := startService(t, file)
	until(t, "on both platforms", func() bool { return mm.online() && dc.online() })
	for i, g := range groups {
		threads[i] = g.thread(g.say("ann", "", "open lapwing leak at the pinion"))
		until(t, "open", func() bool { return len(g.posts(threads[i])) == 1 })
	}
	s.stop()
	if err := s.end(); err != nil {
		t.Fatal(err)
	}
	for i, g := range groups { // said while nobody listens
		g.say("ann", threads[i], "new")
	}
	startService(t, file)
	for i, g := range groups {
		until(t, "answered after the restart", func() bool { return len(g.posts(threads[i])) >= 2 })
		if text := plain(g.posts(threads[i])[1].rows); !strings.HasPrefix(text, "gear set new") {
			t.Errorf("it says %q", text)
		}
		g.say("mentor", threads[i], "where are we")
		until(t, "answered", func() bool { return len(g.posts(threads[i])) >= 3 })
		if n := len(g.posts(threads[i])); n != 3 {
			t.Errorf("%d posts, want 3", n)
		}
	}
}

// A hundred messages, half on each platform, while connections are cut again and
// again: each is answered once.
func TestServeThroughDrops(t *testing.T) {
	const each, every = 50, 10
	mm, dc := newMattermostGroup(t), newDiscordGroup(t)
	startService(t, chatConfig(t, mm, dc, ""))
	until(t, "on both platforms", func() bool { return mm.online() && dc.online() })
	var both sync.WaitGroup
	for _, c := range []struct {
		group
		drop func()
	}{{mm, mm.server.Drop}, {dc, dc.server.Drop}} {
		both.Go(func() {
			for i := range each {
				c.say("ann", "", "what is lash?")
				if i%every == every/2 {
					c.drop()
				}
			}
		})
	}
	both.Wait()
	for _, g := range []group{mm, dc} {
		untilWithin(t, 4*soon, fmt.Sprintf("answering all on %T", g), func() bool { return len(g.posts("")) >= each })
		until(t, "back", g.online)
		g.say("ann", "", "jobs") // answered last: whatever came twice comes before
		until(t, "answering the last", func() bool {
			posts := g.posts("")
			return strings.HasPrefix(plain(posts[len(posts)-1].rows), "no job is open")
		})
		if n := len(g.posts("")); n != each+1 {
			t.Errorf("%d answers to %d messages", n, each+1)
		}
	}
}

// Rules with a mistake are told to the rules channels, and the ones before stay.
func TestServeTellsOfRules(t *testing.T) {
	mm, dc := newMattermostGroup(t), newDiscordGroup(t)
	file := chatConfig(t, mm, dc, "shop: shop\n")
	rule := filepath.Join(filepath.Dir(file), "shop", "rules", "mine.yaml")
	write := func(text string) {
		t.Helper()
		if err := os.MkdirAll(filepath.Dir(rule), 0o700); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(rule, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	write("rules: []\n")
	s := startService(t, file)
	until(t, "on both platforms", func() bool { return mm.online() && dc.online() })
	write("rules:\n  - id: @everyone\n")
	s.hup <- syscall.SIGHUP
	for _, g := range []group{mm, dc} {
		until(t, "told", func() bool { return len(g.posts("")) == 1 })
		text := plain(g.posts("")[0].rows)
		for _, part := range []string{"the changed files were not taken over, they have 1 mistake. the rules and sheets before stay in force.", "rules/mine.yaml:2:", "  - id: @everyone"} {
			if !strings.Contains(text, part) {
				t.Errorf("%q is not in\n%s", part, text)
			}
		}
	}
	write("rules: []\n")
	s.hup <- syscall.SIGHUP
	for _, g := range []group{mm, dc} {
		until(t, "told that all is well", func() bool { return len(g.posts("")) == 2 })
		if text := plain(g.posts("")[1].rows); !strings.HasPrefix(text, "the files are in order again: ") {
			t.Errorf("it says %q", text)
		}
	}
}

// A platform that turns the bot away ends serve with a sentence, or, where another
// one is left, is told there.
func TestServeTurnedAway(t *testing.T) {
	t.Run("from the only one", func(t *testing.T) {
		mm := newMattermostGroup(t)
		mm.token = "notthetokennotthetokennott"
		c := chatConfig(t, mm, nil, "")
		var out, errOut bytes.Buffer
		code := run(surroundings{in: strings.NewReader(""), out: &out, errOut: &errOut, getenv: noEnvironment}, []string{"serve", "--config", c})
		if code != exitFail || !strings.Contains(errOut.String(), "\nshimwright: mattermost: the server does not accept the bot account's token") {
			t.Errorf("exit %d, %s", code, errOut.String())
		}
	})
	t.Run("from one of two", func(t *testing.T) {
		mm, dc := newMattermostGroup(t), newDiscordGroup(t)
		dc.server.SetContent(false) // Discord closes with 4014
		s := startService(t, chatConfig(t, mm, dc, ""))
		until(t, "told on the other platform", func() bool { return len(mm.posts("")) == 1 })
		if text := plain(mm.posts("")[0].rows); !strings.HasPrefix(text, "i am off discord: Discord turned the connection away, close code 4014\n") {
			t.Errorf("it says %q", text)
		}
		mm.say("ann", "", "sheets")
		until(t, "still answering", func() bool { return len(mm.posts("")) == 2 })
		s.stop()
		if err := s.end(); err == nil || !strings.Contains(err.Error(), "close code 4014") {
			t.Errorf("ended with %v", err)
		}
	})
}

func freeAddress(t testing.TB) string {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	return l.Addr().String()
}

// The figures for Prometheus, and a button that Mattermost presses.
func TestServeMetricsAndButtons(t *testing.T) {
	mm, dc := newMattermostGroup(t), newDiscordGroup(t)
	metrics, listen := freeAddress(t), freeAddress(t)
	file := chatConfig(t, mm, dc, "metrics: "+metrics+"\n")
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	text = bytes.Replace(text, []byte("  mattermost:\n"), []byte("  mattermost:\n    called_at: http://"+listen+"\n    listen: "+listen+"\n"), 1)
	if err := os.WriteFile(file, text, 0o600); err != nil {
		t.Fatal(err)
	}
	host, _, _ := net.SplitHostPort(listen)
	mm.server.Allow(host)
	s := startService(t, file)
	until(t, "on both platforms", func() bool { return mm.online() && dc.online() })
	thread := mm.thread(mm.say("ann", "", "open lapwing whine"))
	until(t, "open", func() bool { return len(mm.posts(thread)) == 1 })
	if told, err := mm.server.Press(mm.ids["ann"], mm.posts(thread)[0].id, "choice0", ""); err != nil || told != "" {
		t.Fatalf("the press: %q, %v", told, err)
	}
	until(t, "answering the press", func() bool { return len(mm.posts(thread)) == 2 })
	if text := plain(mm.posts(thread)[1].rows); !strings.HasPrefix(text, "gear set new") {
		t.Errorf("it says %q", text)
	}
	mm.server.Say(mm.me, mm.channel, "", "its own words")
	other := mm.server.AddChannel("elsewhere", "O", mm.ids["ann"], mm.me)
	mm.server.Say(mm.ids["ann"], other, "", "sheets")
	until(t, "leaving the other channel alone", func() bool {
		return strings.Contains(s.log.String(), "messages of a channel that is not in the configuration are ignored")
	})

	resp, err := http.Get("http://" + metrics + "/metrics")
	if err != nil {
		t.Fatal(err)
	}
	defer resp.Body.Close()
	body, err := io.ReadAll(resp.Body)
	if err != nil {
		t.Fatal(err)
	}
	for _, line := range []string{
		`shimwright_messages_total{outcome="taken",platform="mattermost"} 2`,
		`shimwright_messages_total{outcome="left alone",platform="mattermost"} 1`,
		`shimwright_posts_total{outcome="shown",platform="mattermost"} 2`,
		`shimwright_turn_seconds_count{platform="mattermost"} 2`,
		`shimwright_platform_up{platform="mattermost"} 1`, `shimwright_platform_up{platform="discord"} 1`,
		`shimwright_outbox_items 0`, `shimwright_outbox_late_seconds 0`, `shimwright_rules_refused 0`,
		`shimwright_log_records_total{level="error"} 0`,
	} {
		if !strings.Contains(string(body), line+"\n") {
			t.Errorf("no %q in the metrics", line)
		}
	}
	if t.Failed() {
		for line := range strings.Lines(string(body)) {
			if strings.HasPrefix(line, "shimwright_") && !strings.Contains(line, "bucket") {
				t.Log(line)
			}
		}
	}
}

// Two on one file: the second is told so.
func TestServeFolderInUse(t *testing.T) {
	mm := newMattermostGroup(t)
	file := chatConfig(t, mm, nil, "")
	startService(t, file)
	until(t, "connected", mm.online)
	var errOut bytes.Buffer
	code := run(surroundings{in: strings.NewReader(""), out: io.Discard, errOut: &errOut, getenv: noEnvironment}, []string{"serve", "--config", file})
	if want := "end the other shimwright that works there, or keep the jobs in redis, which many can share.\n"; code != exitFail || !strings.HasSuffix(errOut.String(), want) {
		t.Errorf("exit %d, %s", code, errOut.String())
	}
}

// Quiet options, and a role by group.
func TestServeQuietAndRoles(t *testing.T) {
	mm, dc := newMattermostGroup(t), newDiscordGroup(t)
	stranger, _ := mm.server.AddUser("noa", false)
	mm.ids["noa"] = stranger
	mm.server.Join(mm.channel, stranger)
	file := chatConfig(t, mm, dc, "quiet: {only_when_called: yes, no_pings: yes, no_pictures: yes, no_buttons: yes}\n"+
		"roles:\n  - role: mentor\n    mattermost_channel: "+mm.channel+"\n  - role: mentor\n    discord_role: \""+dc.server.Role+"\"\n")
	startService(t, file)
	until(t, "on both platforms", func() bool { return mm.online() && dc.online() })
	for _, g := range []group{mm, dc} {
		g.say("ann", "", "sheets")                // not called
		g.say("ann", "", "bottle of brake clean") // nor here
		id := g.say("ann", "", "bot, open lapwing whine")
		until(t, "open", func() bool { return len(g.posts(g.thread(id))) == 1 })
		if n := len(g.posts("")); n != 0 {
			t.Errorf("%d posts in the channel, want none: %v", n, g.posts(""))
		}
		if text := plain(g.posts(g.thread(id))[0].rows); !strings.HasSuffix(text, "1) new  2) used") {
			t.Errorf("the choices are not text: %q", text)
		}
	}
	// Somebody who is only in the group.
	mm.say("noa", "", "bot, jobs")
	until(t, "answering who is in the group", func() bool { return len(mm.posts("")) == 1 })
	dc.server.SetRoles(dc.server.Ben, dc.server.Guild, dc.server.Role)
	dc.people["max"] = dc.server.Ben
	dc.say("max", "", "bot, jobs")
	until(t, "answering who has the role", func() bool { return len(dc.posts("")) == 1 })
}
