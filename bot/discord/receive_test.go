package discord

import (
	"encoding/json"
	"errors"
	"io"
	"net/http"
	"net/http/httptest"
	"net/url"
	"slices"
	"strings"
	"testing"
	"time"

	"shimwright/bot"
	"shimwright/bot/discord/dctest"
)

// TestWhoIsHeard: people in the shop's places, and nobody and nothing else.
func TestWhoIsHeard(t *testing.T) {
	t.Parallel()
	d := dctest.New(t)
	other := d.AddChannel("lunch")
	private := d.AddDM()
	r := start(t, d, func(c *Config, _ *timing) { c.Channels = []string{d.Channel} })
	d.Say(d.Channel, d.Bot, "its own")
	d.Say(d.Channel, dctest.User{ID: "99", Username: "other bot", Bot: true}, "of another bot")
	d.Say(d.Channel, d.Ann, "of a webhook", func(m *dctest.Message) { m.WebhookID = "98" })
	d.Say(d.Channel, d.Ann, "a notice of a pin", func(m *dctest.Message) { m.Type = 6 })
	d.Say(d.Channel, d.Ann, "a notice of a thread", func(m *dctest.Message) { m.Type = 18 })
	d.Say(d.Channel, d.Ann, "the start of a thread", func(m *dctest.Message) { m.Type = 21 })
	d.Say(other, d.Ann, "elsewhere")
	first := d.Say(d.Channel, d.Ann, "in the channel")
	thread := d.AddThread(d.Channel, first, "job 1")
	d.Say(d.Channel, d.Ben, "a reply", func(m *dctest.Message) { m.Type = 19 })
	r.hears(2)
	d.Say(thread, d.Ann, "in the thread")
	r.hears(3)
	d.Say(private, d.Ben, "in private")
	got := r.hears(4)
	want := []bot.Message{
		{Place: bot.Place(d.Channel), Text: "in the channel", Author: bot.UserID(d.Ann.ID)},
		{Place: bot.Place(d.Channel), Text: "a reply", Author: bot.UserID(d.Ben.ID)},
		{Place: bot.Place(d.Channel), Thread: bot.Place(thread), Text: "in the thread", Author: bot.UserID(d.Ann.ID)},
		{Place: bot.Place(private), Text: "in private", Author: bot.UserID(d.Ben.ID), Addressed: true},
	}
	for i, w := range want {
		g := got[i]
		if g.Place != w.Place || g.Thread != w.Thread || g.Text != w.Text || g.Author != w.Author || g.Addressed != w.Addressed || g.Bot {
			t.Errorf("message %d: %+v, want %+v", i, g, w)
		}
		if g.At.IsZero() || time.Since(g.At).Abs() > time.Minute {
			t.Errorf("message %d is of %v", i, g.At)
		}
	}
	r.until("said once", func() bool { return r.log.has("a channel that is not configured") })
}

func TestMention(t *testing.T) {
	t.Parallel()
	d := dctest.New(t)
	r := start(t, d)
	me := "<@" + d.Bot.ID + ">"
	old := "<@!" + d.Bot.ID + ">"
	for i, c := range []struct {
		text, want string
		addressed  bool
	}{
		{me + " lash 9", "lash 9", true},
		{old + ", lash 9", "lash 9", true},
		{"lash 9 " + me, "lash 9", true},
		{"hey " + me + " lash 9", "hey lash 9", true},
		{"one\n" + me + " two", "one\ntwo", true},
		{"<@" + d.Ben.ID + "> look", "<@" + d.Ben.ID + "> look", false},
		{"<@&" + d.Role + "> lash 9", "lash 9", true},
		{"<@&" + d.Guild + "> look", "<@&" + d.Guild + "> look", false},
		{"nobody", "nobody", false},
	} {
		d.Say(d.Channel, d.Ann, c.text)
		if got := r.hears(i + 1)[i]; got.Text != c.want || got.Addressed != c.addressed {
			t.Errorf("%q is heard as %q, addressed %v", c.text, got.Text, got.Addressed)
		}
	}
}

// TestWithoutContent: without the privileged intent only what mentions the bot, and
// what is private, has its text; the rest is left alone.
func TestWithoutContent(t *testing.T) {
	t.Parallel()
	d := dctest.New(t)
	d.SetContent(false)
	private := d.AddDM()
	r := start(t, d, func(c *Config, _ *timing) { c.MessageContent = false })
	d.Say(d.Channel, d.Ann, "unheard", d.WithFile("a.png", "image/png", []byte("x")))
	d.Say(d.Channel, d.Ann, "<@"+d.Bot.ID+"> lash 9")
	d.Say(private, d.Ben, "lash 8")
	got := texts(r.hears(2))
	slices.Sort(got)
	if !slices.Equal(got, []string{"lash 8", "lash 9"}) {
		t.Errorf("heard %q", got)
	}
	r.until("said", func() bool { return r.log.has("come without their text") })
	thread := d.AddThread(d.Channel, d.Say(d.Channel, d.Ann, "<@"+d.Bot.ID+"> open lapwing"), "job")
	r.hears(3)
	post := r.must(thread, bot.Post{Text: "which side?", Choices: []string{"drive", "coast"}}, "q")
	d.Press(d.Ann, thread, string(post), "coast")
	if m := r.hears(4)[3]; m.Text != "coast" || !m.Addressed || string(m.Thread) != thread {
		t.Errorf("pressed: %+v", m)
	}
	d.Command(d.Ann, thread, sayCommand, "text", "lash 7")
	if m := r.hears(5)[4]; m.Text != "lash 7" {
		t.Errorf("by command: %+v", m)
	}
}

// TestUnknownParts: what is newer than the library does not make a message, or the
// page of a history it is on, unreadable.
func TestUnknownParts(t *testing.T) {
	t.Parallel()
	d := dctest.New(t)
	r := start(t, d)
	newer := func(m *dctest.Message) { m.Components = []json.RawMessage{json.RawMessage(`{"type":99,"odd":[1]}`)} }
	id := d.Say(d.Channel, d.Ann, "live", newer)
	r.hears(1)
	d.Edit(d.Channel, id, "live, corrected")
	r.hears(2)
	r.end()
	d.Say(d.Channel, d.Bot, "of a bot", newer)
	d.Say(d.Channel, d.Ann, "in the gap", newer)
	d.Say(d.Channel, d.Ben, "after it")
	r.connect()
	if got := texts(r.hears(4)); !slices.Equal(got, []string{"live", "live, corrected", "in the gap", "after it"}) {
		t.Errorf("heard %q", got)
	}
}

// TestEdits: new wordings are told from Discord's other updates, live and after a gap.
func TestEdits(t *testing.T) {
	t.Parallel()
	d := dctest.New(t)
	clock := &shifted{} // edits of the same millisecond cannot be told apart by their time
	set := clock.with(d)
	r := start(t, d, set)
	id := d.Say(d.Channel, d.Ann, "lash 7")
	other := d.Say(d.Channel, d.Ann, "lash 4")
	r.hears(2)
	d.Unfold(d.Channel, id)
	clock.forward(time.Second)
	d.Edit(d.Channel, id, "lash 8")
	d.Unfold(d.Channel, id)
	got := r.hears(3)
	if m := got[2]; m.Text != "lash 8" || string(m.EditOf) != id || m.ID == m.EditOf {
		t.Errorf("edited: %+v", m)
	}
	r.end()
	clock.forward(time.Second)
	d.Edit(d.Channel, other, "lash 5")
	clock.forward(time.Second)
	late := d.Say(d.Channel, d.Ben, "lash 6")
	clock.forward(time.Second)
	d.Edit(d.Channel, late, "lash 66")
	r.connect(set)
	got = r.hears(5)
	if got[3].Text != "lash 5" || string(got[3].EditOf) != other || got[4].Text != "lash 66" || string(got[4].ID) != late || got[4].EditOf != "" {
		t.Errorf("after the gap: %+v", got[3:])
	}
	r.end()
	r.connect(set)
	r.until("connected", d.Connected)
	d.Say(d.Channel, d.Ann, "the end")
	if got := texts(r.hears(6)); got[5] != "the end" || len(got) != 6 {
		t.Errorf("after another start: %q", got)
	}
}

// TestBackfill: after a stop all channels and threads are read, new threads too.
func TestBackfill(t *testing.T) {
	t.Parallel()
	d := dctest.New(t)
	second := d.AddChannel("gearboxes")
	private := d.AddDM()
	r := start(t, d)
	root := d.Say(d.Channel, d.Ann, "open")
	thread := d.AddThread(d.Channel, root, "job 1")
	d.Say(thread, d.Ann, "in it")
	d.Say(private, d.Ann, "in private")
	d.Say(second, d.Ann, "there")
	r.hears(4)
	r.end()
	before := len(r.hears(4))
	want := map[string][]string{}
	say := func(at, text string) { d.Say(at, d.Ann, text); want[at] = append(want[at], text) }
	for i := range 120 { // more than a page
		say(thread, "reading "+string(rune('a'+i%26))+strings.Repeat("+", i/26))
	}
	say(d.Channel, "channel")
	say(second, "second")
	say(private, "private")
	fresh := d.AddThread(second, d.Say(second, d.Bot, "of the bot"), "job 2")
	say(fresh, "in a new thread")
	r.connect()
	got := map[string][]string{}
	for _, m := range r.hears(before + 124)[before:] {
		got[string(m.Here())] = append(got[string(m.Here())], m.Text)
	}
	for at, texts := range want {
		if !slices.Equal(got[at], texts) {
			t.Errorf("at %s: %q, want %q", at, got[at], texts)
		}
	}
}

// TestBackfillFails: a history that fails for a moment is asked again; one that must
// not be read is said once, and live messages go on.
func TestBackfillFails(t *testing.T) {
	t.Parallel()
	d := dctest.New(t)
	r := start(t, d)
	d.Say(d.Channel, d.Ann, "one")
	r.hears(1)
	r.end()
	d.Say(d.Channel, d.Ann, "two")
	d.Fail(dctest.Fault{Method: "GET", Path: "/messages", Times: 2, Status: 500})
	r.connect()
	if got := texts(r.hears(2)); got[1] != "two" {
		t.Errorf("heard %q", got)
	}
	r.end()
	d.Say(d.Channel, d.Ann, "lost")
	d.Fail(dctest.Fault{Method: "GET", Path: "/messages", Times: 1, Status: 403, Body: `{"code":50013,"message":"Missing Permissions"}`})
	r.connect()
	r.until("connected", d.Connected)
	r.until("said", func() bool { return r.log.has("Read Message History") })
	d.Say(d.Channel, d.Ann, "three")
	if got := texts(r.hears(3)); got[2] != "three" {
		t.Errorf("heard %q", got)
	}
}

// TestOrderAfterRefusal: what could not be taken holds back what follows in its
// place only, and is delivered again before it.
func TestOrderAfterRefusal(t *testing.T) {
	t.Parallel()
	d := dctest.New(t)
	second := d.AddChannel("gearboxes")
	r := start(t, d)
	free := make(chan struct{})
	r.mu.Lock()
	r.refuse = func(m bot.Message) error {
		select {
		case <-free:
			return nil
		default:
		}
		if string(m.Place) == d.Channel {
			return errors.New("not now")
		}
		return nil
	}
	r.mu.Unlock()
	d.Say(d.Channel, d.Ann, "one")
	d.Say(d.Channel, d.Ann, "two")
	d.Say(second, d.Ann, "elsewhere")
	if got := texts(r.hears(1)); got[0] != "elsewhere" {
		t.Errorf("heard %q", got)
	}
	close(free)
	if got := texts(r.hears(3)); !slices.Equal(got, []string{"elsewhere", "one", "two"}) {
		t.Errorf("heard %q", got)
	}
}

// TestFlood: more than a queue holds is read from the history later, once each.
func TestFlood(t *testing.T) {
	t.Parallel()
	d := dctest.New(t)
	r := start(t, d)
	free := make(chan struct{})
	r.mu.Lock()
	r.refuse = func(bot.Message) error {
		select {
		case <-free:
			return nil
		default:
			return errors.New("not now")
		}
	}
	r.mu.Unlock()
	const n = maxWaiting + 150
	for range n {
		d.Say(d.Channel, d.Ann, "x")
	}
	close(free)
	seen := map[bot.MessageID]bool{}
	last := snowflake(0)
	for _, m := range r.hears(n) {
		if id := parseID(string(m.ID)); seen[m.ID] || id <= last {
			t.Fatalf("%s comes twice or late", m.ID)
		} else {
			last = id
		}
		seen[m.ID] = true
	}
}

// TestAttachment: a file is fetched without the token, and its address renewed.
func TestAttachment(t *testing.T) {
	t.Parallel()
	d := dctest.New(t)
	r := start(t, d)
	d.Say(d.Channel, d.Ann, "", d.WithFile("drive.png", "image/png", []byte("picture")))
	m := r.hears(1)[0]
	if len(m.Files) != 1 || m.Files[0].Name != "drive.png" || m.Files[0].Type != "image/png" || m.Files[0].Size != 7 {
		t.Fatalf("heard %+v", m)
	}
	for _, when := range []string{"at once", "after its address expired"} {
		body, err := m.Files[0].Open(t.Context())
		if err != nil {
			t.Fatalf("%s: %v", when, err)
		}
		b, err := io.ReadAll(body)
		body.Close()
		if err != nil || string(b) != "picture" {
			t.Errorf("%s: %q, %v", when, b, err)
		}
		d.ExpireFiles()
	}
}

// TestAttachmentElsewhere: nothing is fetched from where Discord does not keep files,
// whatever an address says or leads to.
func TestAttachmentElsewhere(t *testing.T) {
	t.Parallel()
	d := dctest.New(t)
	r := start(t, d)
	asked := 0
	elsewhere := httptest.NewServer(http.HandlerFunc(func(http.ResponseWriter, *http.Request) { asked++ }))
	defer elsewhere.Close()
	for _, address := range []string{elsewhere.URL + "/x.png", d.URL + "/moved?to=" + elsewhere.URL, "file:///etc/passwd", "", "http://127.0.0.1:1/x.png"} {
		d.Say(d.Channel, d.Ann, "", d.WithFile("x.png", "image/png", []byte("x")), func(m *dctest.Message) { m.Attachments[0].URL = address })
	}
	for _, m := range r.hears(5) {
		if body, err := m.Files[0].Open(t.Context()); err == nil {
			body.Close()
			t.Errorf("something was fetched: %+v", m.Files[0])
		}
	}
	if asked > 0 {
		t.Errorf("%d requests went elsewhere", asked)
	}
	own := &Adapter{}
	for address, want := range map[string]bool{
		"https://cdn.discordapp.com/attachments/1/2/x.png?ex=1": true, "https://media.discordapp.net/attachments/1/2/x.png": true,
		"http://cdn.discordapp.com/x.png": false, "https://cdn.discordapp.com.example.org/x": false, "https://discordapp.com/x": false,
		"https://cdn.discordapp.com:8443/x": false, "https://ann@cdn.discordapp.com/x": true, "http://127.0.0.1/x": false, "https://[::1]/x": false,
	} {
		u, err := url.Parse(address)
		if err != nil || own.ownFile(u) != want {
			t.Errorf("%s is Discord's: %v, want %v", address, !want, want)
		}
	}
}
