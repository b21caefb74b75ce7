package main

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"log/slog"
	"net/http"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/mattermost/mattermost/server/public/model"

	"shimwright/bot"
	"shimwright/bot/console"
	"shimwright/bot/discord"
	"shimwright/bot/discord/dctest"
	"shimwright/bot/mattermost"
	"shimwright/bot/mattermost/mmtest"
	"shimwright/bot/store"
	"shimwright/bot/store/boltstore"
)

// soon is how long something that happens at once may take on a busy machine.
const soon = 20 * time.Second

// chatPeople are those of the console.
var chatPeople = []struct{ name, role string }{
	{"ann", "technician"}, {"ben", "apprentice"}, {"mentor", "mentor"}, {"owner", "owner"}, {"customer", "customer"},
}

// group is a shop's chat on a fake platform, as the people in it see it.
type group interface {
	say(who, thread, text string) (id string)
	attach(who, thread, text, name string, data []byte) (id string)
	edit(thread, id, text string)
	posts(thread string) []shown // all that the assistant has posted there
	thread(opened string) string // the thread below a message
	online() bool
}

// shown is a post in rows, as the console would tell it.
type shown struct {
	id   string
	rows []string
}

// mmGroup is a channel of a fake Mattermost.
type mmGroup struct {
	server  *mmtest.Server
	ids     map[string]string
	me      string
	token   string
	channel string
}

func newMattermostGroup(t testing.TB) *mmGroup {
	g := &mmGroup{server: mmtest.New().Start(), ids: map[string]string{}}
	t.Cleanup(g.server.Close)
	var members []string
	for _, p := range chatPeople {
		g.ids[p.name], _ = g.server.AddUser(p.name, false)
		members = append(members, g.ids[p.name])
	}
	g.me, g.token = g.server.AddUser("shopbot", true)
	g.channel = g.server.AddChannel("bay", model.ChannelTypePrivate, append(members, g.me)...)
	return g
}

func (g *mmGroup) say(who, thread, text string) string {
	_, root, _ := strings.Cut(thread, ":")
	return g.server.Say(g.ids[who], g.channel, root, text).Id
}

func (g *mmGroup) attach(who, thread, text, name string, data []byte) string {
	_, root, _ := strings.Cut(thread, ":")
	return g.server.AttachIn(g.ids[who], g.channel, root, text, name, data).Id
}

func (g *mmGroup) edit(_, id, text string) { g.server.Edit(id, text) }

func (g *mmGroup) thread(opened string) string { return g.channel + ":" + opened }

func (g *mmGroup) online() bool { return g.server.Connected() == 1 }

func (g *mmGroup) posts(thread string) []shown {
	_, root, _ := strings.Cut(thread, ":")
	var out []shown
	for _, p := range g.server.Seen(g.channel, root) {
		if p.UserId != g.me {
			continue
		}
		rows := []string{mmtest.Plain(p.Message)}
		if list, ok := p.GetProp("shimwright_choices").([]any); ok && namedInText(rows) {
			// Numbers to tap are always written out; the console has none.
			numbered := make([]string, len(list))
			for i, c := range list {
				numbered[i], _ = c.(string)
			}
			rows[0] = strings.TrimSuffix(rows[0], "\n"+bot.ChoiceText(numbered))
		}
		var alts, choices []string
		for _, a := range mmtest.Attachments(p) {
			if a.Text != "" {
				alts = append(alts, mmtest.Plain(a.Text))
			}
			for _, action := range a.Actions {
				if action.Type == model.PostActionTypeButton {
					choices = append(choices, action.Name)
				}
				for _, o := range action.Options {
					choices = append(choices, o.Text)
				}
			}
		}
		for i, id := range p.FileIds {
			name, data := g.server.FileData(id)
			rows = append(rows, pictureRow(name, alts[i], data))
		}
		if len(choices) > 0 && !namedInText(rows) {
			rows = slices.Insert(rows, 1, bot.ChoiceText(choices)) // a console writes them before its pictures
		}
		out = append(out, shown{p.Id, rows})
	}
	return out
}

// pictureRow is a picture or a summary as the console tells it.
func pictureRow(name, alt string, data []byte) string {
	begins := map[string]string{".pdf": "%PDF-1.", ".csv": "\ufeffjob,axle,", ".json": "{"}[filepath.Ext(name)]
	switch {
	case begins != "" && bytes.HasPrefix(data, []byte(begins)):
		return "[file " + name + ": " + alt + "]"
	case !bytes.HasPrefix(data, []byte("\x89PNG")) && !bytes.HasPrefix(data, []byte("\xff\xd8\xff")):
		return name + " is no picture and no summary"
	}
	return "[picture " + name + ": " + strings.TrimPrefix(alt, "picture: ") + "]"
}

func plain(rows []string) string {
	return strings.ReplaceAll(strings.Join(rows, "\n"), "\u200b", "")
}

// namedInText says whether the text names the choices itself, as a look's card does; a
// console then does not list them.
func namedInText(rows []string) bool {
	return strings.Contains(plain(rows), "\nanswer: ")
}

// dcGroup is a channel of a fake Discord.
type dcGroup struct {
	server *dctest.Server
	people map[string]dctest.User
}

func newDiscordGroup(t testing.TB) *dcGroup {
	g := &dcGroup{server: dctest.New(t), people: map[string]dctest.User{}}
	for i, p := range chatPeople {
		g.people[p.name] = dctest.User{ID: fmt.Sprint(100000000000000001 + i), Username: p.name}
	}
	g.people["ann"] = g.server.Ann // Ben is in the server, too, and nobody's account
	return g
}

func (g *dcGroup) place(thread string) string {
	if thread == "" {
		return g.server.Channel
	}
	return thread
}

func (g *dcGroup) say(who, thread, text string) string {
	return g.server.Say(g.place(thread), g.people[who], text)
}

func (g *dcGroup) attach(who, thread, text, name string, data []byte) string {
	return g.server.Say(g.place(thread), g.people[who], text, g.server.WithFile(name, http.DetectContentType(data), data))
}

func (g *dcGroup) edit(thread, id, text string) { g.server.Edit(g.place(thread), id, text) }

func (g *dcGroup) thread(opened string) string { return opened }

func (g *dcGroup) online() bool { return g.server.Connected() }

func (g *dcGroup) posts(thread string) []shown {
	var out []shown
	for _, m := range g.server.Posts(g.place(thread)) {
		text := m.Content
		for _, u := range g.people {
			if call := "<@" + u.ID + ">"; strings.Contains(text, call) {
				text = "@" + u.Username + " " + strings.TrimRight(strings.Replace(text, call, "", 1), " \n")
			}
		}
		rows := []string{text}
		for _, a := range m.Attachments {
			rows = append(rows, pictureRow(a.Filename, a.Description, a.Data))
		}
		var choices []string
		for _, raw := range m.Components {
			var row dctest.Component
			if err := json.Unmarshal(raw, &row); err != nil {
				rows = append(rows, err.Error())
			}
			for _, c := range row.Components {
				if c.Label != "" {
					choices = append(choices, c.Label)
				}
				for _, o := range c.Options {
					choices = append(choices, o.Label)
				}
			}
		}
		if len(choices) > 0 && !namedInText(rows) {
			rows = slices.Insert(rows, 1, bot.ChoiceText(choices)) // a console writes them before its pictures
		}
		out = append(out, shown{m.ID, rows})
	}
	return out
}

// chatConfig writes a configuration for the groups, either may be nil, and gives its
// name. more is added at the end.
func chatConfig(t testing.TB, mm *mmGroup, dc *dcGroup, more string) string {
	t.Helper()
	folder := t.TempDir()
	var b strings.Builder
	fmt.Fprintf(&b, "data: data\npeople:\n")
	for _, p := range chatPeople {
		fmt.Fprintf(&b, "  - name: %s\n    role: %s\n", p.name, p.role)
		if mm != nil {
			fmt.Fprintf(&b, "    mattermost: %s\n", mm.ids[p.name])
		}
		if dc != nil {
			fmt.Fprintf(&b, "    discord: %s\n", dc.people[p.name].ID)
		}
	}
	fmt.Fprintf(&b, "platforms:\n")
	secret := func(name, token string) {
		if err := os.WriteFile(filepath.Join(folder, name), []byte(token+"\n"), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	if mm != nil {
		secret("mattermost.token", mm.token)
		fmt.Fprintf(&b, "  mattermost:\n    url: %s\n    token_file: mattermost.token\n    rules_channel: %s\n    channels:\n      - %s\n", mm.server.URL, mm.channel, mm.channel)
	}
	if dc != nil {
		secret("discord.token", dctest.Token)
		fmt.Fprintf(&b, "  discord:\n    guild: %s\n    base: %s\n    token_file: discord.token\n    message_content: yes\n    rules_channel: %s\n    channels:\n      - %s\n", dc.server.Guild, dc.server.URL, dc.server.Channel, dc.server.Channel)
	}
	b.WriteString(more)
	file := filepath.Join(folder, "shimwright.yaml")
	if err := os.WriteFile(file, []byte(b.String()), 0o600); err != nil {
		t.Fatal(err)
	}
	return file
}

func noEnvironment(string) string { return "" }

func mustLoad(t testing.TB, file string) *config {
	t.Helper()
	c, report := loadConfig(file, noEnvironment)
	if len(report.Problems) > 0 {
		var out strings.Builder
		report.Print(&out)
		t.Fatalf("the configuration of the test:\n%s", out.String())
	}
	return c
}

// chatRecord is a line of the console's history.
type chatRecord struct {
	In *struct {
		ID, Place, Who, Text, Edits, File string
		At                                time.Time
	}
	Out *struct {
		Place string
		Rows  []string
	}
	Thread *struct{ Place, Below string }
	Clock  *time.Duration // how far it was moved in all
}

// playOnConsole plays a chat and gives its history.
func playOnConsole(t *testing.T, file string) []chatRecord {
	t.Helper()
	folder := t.TempDir()
	var errOut bytes.Buffer
	// Whether it says what the file expects is another test's.
	run(surroundings{in: strings.NewReader(""), out: io.Discard, errOut: &errOut, getenv: os.Getenv},
		[]string{"try", "--script", file, "--data", folder})
	f, err := os.Open(filepath.Join(folder, "chat.jsonl"))
	if err != nil {
		t.Fatalf("%v\n%s", err, errOut.String())
	}
	defer f.Close()
	var out []chatRecord
	for r := bufio.NewReader(f); ; {
		line, err := r.ReadBytes('\n')
		if err == io.EOF {
			return out
		}
		var rec chatRecord
		if err == nil {
			err = json.Unmarshal(line, &rec)
		}
		if err != nil {
			t.Fatal(err)
		}
		if rec.Out != nil && strings.HasPrefix(rec.Out.Place, "@") {
			continue // what one person alone is told
		}
		out = append(out, rec)
	}
}

// replay is a service that a recorded chat is said to. Its clock is the recording's:
// the fakes have the real time, and an answer may tell the time.
type replay struct {
	t       *testing.T
	group   group
	bot     *bot.Bot
	handled chan error

	mu      sync.Mutex
	time    time.Time
	threads map[string]string // of the platform by the console's name

	seen map[string]bool
	said map[string]string // by the console's place; noted at once, since choices are taken off again
}

func (r *replay) now() time.Time {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.time
}

// retimed gives what is said the recording's time and notes threads.
type retimed struct {
	platform
	r *replay
}

func (a retimed) Run(ctx context.Context, deliver bot.Deliver) error {
	return a.platform.Run(ctx, func(ctx context.Context, m bot.Message) error {
		m.At = a.r.now()
		err := deliver(ctx, m)
		a.r.handled <- err
		return err
	})
}

func (a retimed) OpenThread(ctx context.Context, in bot.Place, below bot.MessageID, about bot.Topic) (bot.Place, error) {
	place, err := a.platform.OpenThread(ctx, in, below, about)
	a.r.mu.Lock()
	defer a.r.mu.Unlock()
	a.r.threads[fmt.Sprint("#", about.Job)] = string(place)
	return place, err
}

func startReplay(t *testing.T, c *config, g group) *replay {
	t.Helper()
	r := &replay{t: t, group: g, handled: make(chan error, 100), threads: map[string]string{}, seen: map[string]bool{}, said: map[string]string{}}
	log := slog.New(slog.NewTextHandler(&testLog{t: t}, nil))
	d, err := sharedDesk()
	if err != nil {
		t.Fatal(err)
	}
	sv := &service{c: c, now: time.Now, log: log, errOut: io.Discard, meter: newMeter(), desk: d, adapters: map[string]bot.Adapter{}}
	if err := sv.connect(); err != nil {
		t.Fatal(err)
	}
	for name, a := range sv.adapters {
		slow := retimed{a.(platform), r}
		sv.adapters[name] = slow
		if e, ok := a.(bot.Editor); ok {
			sv.adapters[name] = struct {
				retimed
				bot.Editor
			}{slow, e}
		}
	}
	if err := os.MkdirAll(c.data, 0o700); err != nil {
		t.Fatal(err)
	}
	backend, err := boltstore.Open(c.store.file, time.Second)
	if err != nil {
		t.Fatal(err)
	}
	st := store.New(backend, r.now)
	cfg := sv.botConfig(st)
	cfg.Now = r.now
	if r.bot, err = bot.New(cfg); err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(context.Background())
	done := make(chan error, 1)
	t.Cleanup(func() {
		stop()
		if err := <-done; err != nil {
			t.Errorf("Run: %v", err)
		}
		if err := st.Close(); err != nil {
			t.Error(err)
		}
	})
	r.time = time.Date(2026, time.March, 2, 8, 0, 0, 0, time.UTC)
	go func() { done <- r.bot.Run(ctx) }()
	until(t, "connected", g.online)
	return r
}

// play says the recorded lines, each when the one before is answered.
func (r *replay) play(records []chatRecord) {
	r.t.Helper()
	ids := map[string]string{}
	ctx, cancel := context.WithTimeout(r.t.Context(), 2*soon)
	defer cancel()
	for _, rec := range records {
		if rec.Clock != nil {
			r.mu.Lock()
			r.time = console.Standing().Add(*rec.Clock)
			r.mu.Unlock()
			if err := r.bot.Settle(ctx); err != nil {
				r.t.Fatalf("what is due then is never said: %v", err)
			}
			r.look()
		}
		if rec.In == nil {
			continue
		}
		r.mu.Lock()
		r.time = rec.In.At
		thread, ok := r.threads[rec.In.Place]
		r.mu.Unlock()
		if !ok && rec.In.Place != "shop" {
			r.t.Fatalf("%q is said in %s, which is not open", rec.In.Text, rec.In.Place)
		}
		if rec.In.File != "" {
			data, err := os.ReadFile(rec.In.File)
			if err != nil {
				r.t.Fatal(err)
			}
			ids[rec.In.ID] = r.group.attach(rec.In.Who, thread, rec.In.Text, filepath.Base(rec.In.File), data)
		} else if rec.In.Edits != "" {
			r.group.edit(thread, ids[rec.In.Edits], rec.In.Text)
		} else {
			ids[rec.In.ID] = r.group.say(rec.In.Who, thread, rec.In.Text)
		}
		select {
		case err := <-r.handled:
			if err != nil {
				r.t.Fatalf("%q was not taken: %v", rec.In.Text, err)
			}
		case <-ctx.Done():
			r.t.Fatalf("%q is never heard", rec.In.Text)
		}
		if err := r.bot.Settle(ctx); err != nil {
			r.t.Fatalf("%q is never answered: %v", rec.In.Text, err)
		}
		r.look()
	}
}

// look notes what has been posted since the last look.
func (r *replay) look() {
	r.mu.Lock()
	defer r.mu.Unlock()
	places := map[string]string{"shop": ""}
	for name, thread := range r.threads {
		places[name] = thread
	}
	for name, thread := range places {
		for _, p := range r.group.posts(thread) {
			if r.seen[p.id] {
				continue
			}
			r.seen[p.id] = true
			if r.said[name] != "" {
				r.said[name] += "\n"
			}
			r.said[name] += plain(p.rows)
		}
	}
}

// threadsAlone has mentors called in the threads, as on the console.
const threadsAlone = "quiet: {no_private_cards: yes}\n"

// The golden chats give the same text on the console, on Mattermost with and without
// buttons, and on Discord.
func TestGoldenChatsOnEveryPlatform(t *testing.T) {
	t.Parallel()
	for _, file := range chatFiles(t) {
		t.Run(strings.TrimSuffix(filepath.Base(file), ".txt"), func(t *testing.T) {
			records := playOnConsole(t, file)
			want := map[string]string{}
			for _, rec := range records {
				if rec.Out == nil {
					continue
				}
				if want[rec.Out.Place] != "" {
					want[rec.Out.Place] += "\n"
				}
				want[rec.Out.Place] += plain(rec.Out.Rows)
			}
			if len(want) < 1 {
				t.Fatal("the console says nothing")
			}
			check := func(t *testing.T, r *replay) {
				r.play(records)
				for place, text := range want {
					if d := differ(text, r.said[place]); d != "" {
						t.Errorf("in %s: %s", place, d)
					}
				}
			}
			t.Run(mattermost.Name, func(t *testing.T) {
				g := newMattermostGroup(t)
				check(t, startReplay(t, mustLoad(t, chatConfig(t, g, nil, threadsAlone)), g))
			})
			t.Run(mattermost.Name+" with buttons", func(t *testing.T) {
				g := newMattermostGroup(t)
				c := mustLoad(t, chatConfig(t, g, nil, threadsAlone))
				c.mattermost.calledAt = "http://127.0.0.1:9" // nothing is pressed here
				check(t, startReplay(t, c, g))
			})
			t.Run(discord.Name, func(t *testing.T) {
				g := newDiscordGroup(t)
				check(t, startReplay(t, mustLoad(t, chatConfig(t, nil, g, threadsAlone)), g))
			})
		})
	}
}

// differ gives the first line that is not the same. The console shows the beginning
// of a picture's words alone.
func differ(console, here string) string {
	want, got := strings.Split(console, "\n"), strings.Split(here, "\n")
	for i := range max(len(want), len(got)) {
		w, g := "(nothing)", "(nothing)"
		if i < len(want) {
			w = want[i]
		}
		if i < len(got) {
			g = got[i]
		}
		w = strings.Replace(w, ".png: picture: ", ".png: ", 1)
		short, cut := strings.CutSuffix(w, " …]")
		if w != g && !(cut && strings.HasPrefix(w, "[picture ") && strings.HasPrefix(g, short)) {
			return fmt.Sprintf("line %d\n the console says %q\n here it is %q", i+1, w, g)
		}
	}
	return ""
}

// until waits for what a fake shows.
func until(t testing.TB, what string, ok func() bool) {
	t.Helper()
	untilWithin(t, soon, what, ok)
}

func untilWithin(t testing.TB, limit time.Duration, what string, ok func() bool) {
	t.Helper()
	tick := time.NewTicker(2 * time.Millisecond)
	defer tick.Stop()
	timeout := time.After(limit)
	for !ok() {
		select {
		case <-tick.C:
		case <-timeout:
			t.Fatalf("it is never %s", what)
		}
	}
}

// testLog shows the log where the test fails.
type testLog struct {
	t  testing.TB
	mu sync.Mutex
}

func (w *testLog) Write(p []byte) (int, error) {
	w.mu.Lock()
	defer w.mu.Unlock()
	if w.t.Context().Err() == nil {
		w.t.Log(strings.TrimSpace(string(p)))
	}
	return len(p), nil
}
