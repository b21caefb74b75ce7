package discord

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/bwmarrin/discordgo"

	"shimwright/bot"
	"shimwright/bot/discord/dctest"
	"shimwright/calc/unit"
	"shimwright/dialogs/listen"
)

func answered(t *testing.T, i *dctest.Interaction) dctest.Answer {
	t.Helper()
	a, ok := i.Answer(soon)
	if !ok {
		t.Fatal("the interaction is not answered")
	}
	return a
}

// TestPress: buttons and menus say what stands on them, also after a restart.
func TestPress(t *testing.T) {
	t.Parallel()
	d := dctest.New(t)
	clock := &shifted{}
	set := clock.with(d)
	r := start(t, d, set)
	var many []string
	for i := range 25 {
		many = append(many, fmt.Sprintf("%d %s", i, strings.Repeat("ß", 77)))
	}
	buttons := string(r.must(d.Channel, bot.Post{Text: "which side?", Choices: []string{"drive", "coast", "both"}}, "n1"))
	a := d.Press(d.Ann, d.Channel, buttons, "coast")
	if got := answered(t, a); got.Type != 6 {
		t.Errorf("answered with type %d", got.Type)
	}
	m := r.hears(1)[0]
	if m.Text != "coast" || string(m.Author) != d.Ann.ID || string(m.Place) != d.Channel || !m.Addressed || m.Bot || m.ID == "" {
		t.Errorf("heard %+v", m)
	}
	answered(t, d.Press(d.Ann, d.Channel, buttons, "coast")) // a slip
	answered(t, d.Press(d.Ben, d.Channel, buttons, "coast")) // somebody else
	if got := r.hears(2)[1]; string(got.Author) != d.Ben.ID || got.Text != "coast" {
		t.Errorf("heard %+v", got)
	}
	r.end()
	r.connect(set)
	r.until("connected", d.Connected)
	answered(t, d.Press(d.Ann, d.Channel, buttons, "both"))
	if got := r.hears(3)[2]; got.Text != "both" {
		t.Errorf("after a restart: %+v", got)
	}
	menu := string(r.must(d.Channel, bot.Post{Text: "which?", Choices: many}, "n2"))
	answered(t, d.Press(d.Ann, d.Channel, menu, many[24]))
	if got := r.hears(4)[3]; got.Text != many[24] {
		t.Errorf("of a menu: %+v", got)
	}
	answered(t, d.Press(d.Ann, d.Channel, buttons, "drive"))
	if got := r.hears(5)[4]; got.Text != "drive" || got.Pressed != bot.MessageID(buttons) {
		t.Errorf("of an older post, for package bot to judge: %+v", got)
	}
	clock.forward(20 * time.Minute) // the interaction's token is long over
	r.must(d.Channel, bot.Post{Text: "late answer"}, "n3")
	d.Say(d.Channel, d.Ann, "the end")
	if got := r.hears(6); got[5].Text != "the end" {
		t.Errorf("heard %q", texts(got))
	}
	if n := len(d.Requests("POST /api/v9/webhooks")); n != 0 {
		t.Errorf("%d calls with an interaction's token", n)
	}
}

// TestCommand: what is typed behind a slash is shown to all, heard, and a thread can
// hang below it.
func TestCommand(t *testing.T) {
	t.Parallel()
	d := dctest.New(t)
	r := start(t, d)
	r.until("registered", func() bool { _, n := d.Commands(); return n == 1 })
	got := answered(t, d.Command(d.Ann, d.Channel, sayCommand, "text", "open lapwing\n@everyone"))
	if got.Type != 4 || got.Data.Flags != 0 || got.Data.Content != "> open lapwing\n> @everyone" {
		t.Errorf("answered %+v", got)
	}
	m := r.hears(1)[0]
	if m.Text != "open lapwing\n@everyone" || string(m.Author) != d.Ann.ID || !m.Addressed {
		t.Errorf("heard %+v", m)
	}
	thread, err := r.a.OpenThread(t.Context(), m.Place, m.ID, bot.Topic{Job: 1, Title: "job 1"})
	all := d.Messages(d.Channel)
	if err != nil || len(all) != 1 || string(thread) != all[0].ID {
		t.Errorf("its thread is %s below %+v, %v", thread, all, err)
	}
	r.end()
	r.connect()
	again, err := r.a.OpenThread(t.Context(), m.Place, m.ID, bot.Topic{Job: 1, Title: "job 1"})
	if err != nil || again != thread {
		t.Errorf("after a restart it is %s, %v", again, err)
	}
	r.until("connected", d.Connected)
	d.Say(d.Channel, d.Ann, "the end")
	if got := r.hears(2); got[1].Text != "the end" {
		t.Errorf("after a restart: %q", texts(got))
	}
	if _, n := d.Commands(); n != 1 {
		t.Errorf("the commands were written %d times", n)
	}
}

// TestCommandAfterCrash: a command that was answered and not taken is found again by
// its echo, under the same id.
func TestCommandAfterCrash(t *testing.T) {
	t.Parallel()
	d := dctest.New(t)
	r := start(t, d)
	d.Say(d.Channel, d.Ann, "one")
	r.hears(1)
	r.mu.Lock()
	r.refuse = func(bot.Message) error { return errors.New("not now") }
	r.mu.Unlock()
	i := d.Command(d.Ann, d.Channel, sayCommand, "text", "lash 9\nlash 8")
	answered(t, i)
	<-r.arrived
	r.end()
	r.mu.Lock()
	r.refuse = nil
	r.mu.Unlock()
	r.connect()
	if m := r.hears(2)[1]; m.Text != "lash 9\nlash 8" || string(m.ID) != "i"+i.ID || string(m.Author) != d.Ann.ID {
		t.Errorf("heard %+v", m)
	}
}

// TestForm: readings on a form come as typed lines.
func TestForm(t *testing.T) {
	t.Parallel()
	d := dctest.New(t)
	r := start(t, d)
	got := answered(t, d.Command(d.Ann, d.Channel, formCommand, "", ""))
	if got.Type != 9 || len(got.Data.Components) != 5 || got.Data.CustomID != formID {
		t.Fatalf("answered %+v", got)
	}
	a := answered(t, d.Submit(d.Ann, d.Channel, formID, map[string]string{
		"lash": "8 9 8 9", "drive": "Drive high, toe", "coast": " centre ", "drag": "", "rest": "seal is new",
	}))
	const want = "lash 8 9 8 9\nDrive high, toe\ncoast centre\nseal is new"
	if m := r.hears(1)[0]; m.Text != want {
		t.Errorf("heard %q", m.Text)
	}
	if a.Type != 4 || a.Data.Content != "> "+strings.ReplaceAll(want, "\n", "\n> ") {
		t.Errorf("shown as %q", a.Data.Content)
	}
	if e := answered(t, d.Submit(d.Ann, d.Channel, formID, map[string]string{"lash": " "})); e.Data.Flags&64 == 0 {
		t.Errorf("an empty form: %+v", e)
	}
}

// TestFormIsUnderstood: the lines that a form makes are read as what its rows ask for.
func TestFormIsUnderstood(t *testing.T) {
	t.Parallel()
	var rows []discordgo.MessageComponent
	for _, f := range formFields() {
		if f.word != "" { // with the example that stands in it
			rows = append(rows, &discordgo.ActionsRow{Components: []discordgo.MessageComponent{&discordgo.TextInput{CustomID: f.id, Value: f.hint}}})
		}
	}
	var got []string
	for _, r := range listen.Parse(listen.Input{Text: formText(rows), Units: unit.InchUnits}).Readings {
		got = append(got, string(r.What))
	}
	slices.Sort(got)
	if want := []string{"backlash", "pattern_coast", "pattern_drive", "pinion_drag"}; !slices.Equal(got, want) {
		t.Errorf("of %q: read %q, want %q", formText(rows), got, want)
	}
}

// TestOddInteractions: what the library cannot read, or the bot does not know, is
// answered all the same and says nothing.
func TestOddInteractions(t *testing.T) {
	t.Parallel()
	d := dctest.New(t)
	other := d.AddChannel("lunch")
	r := start(t, d, func(c *Config, _ *timing) { c.Channels = []string{d.Channel} })
	for name, i := range map[string]*dctest.Interaction{
		"unknown component":  d.Raw(d.Ann, d.Channel, 5, map[string]any{"custom_id": formID, "components": []any{map[string]any{"type": 18, "component": map[string]any{"type": 4}}}}),
		"another form":       d.Submit(d.Ann, d.Channel, "else", map[string]string{"a": "b"}),
		"unknown command":    d.Command(d.Ann, d.Channel, "nothing", "", ""),
		"foreign button":     d.Raw(d.Ann, d.Channel, 3, map[string]any{"custom_id": "x", "component_type": 2}),
		"menu without value": d.Raw(d.Ann, d.Channel, 3, map[string]any{"custom_id": menuID, "component_type": 3, "values": []string{}}),
		"elsewhere":          d.Command(d.Ann, other, sayCommand, "text", "lash 9"),
	} {
		if a := answered(t, i); a.Type != 4 || a.Data.Flags&64 == 0 {
			t.Errorf("%s: %+v", name, a)
		}
	}
	d.Say(d.Channel, d.Ann, "the end")
	if got := r.hears(1); got[0].Text != "the end" {
		t.Errorf("heard %q", texts(got))
	}
}

// TestPressOnNewerMessage: what is newer than the library on the message of a button
// does not make its press unreadable.
func TestPressOnNewerMessage(t *testing.T) {
	t.Parallel()
	d := dctest.New(t)
	r := start(t, d)
	d.Say(d.Channel, d.Bot, "which?", func(m *dctest.Message) {
		m.Components = []json.RawMessage{
			json.RawMessage(`{"type":1,"components":[{"type":2,"style":2,"label":"drive","custom_id":"say:0:drive"}]}`),
			json.RawMessage(`{"type":99,"odd":[1]}`),
		}
	})
	if a := answered(t, d.Press(d.Ann, d.Channel, d.Posts(d.Channel)[0].ID, "drive")); a.Type != 6 {
		t.Errorf("answered %+v", a)
	}
	if m := r.hears(1)[0]; m.Text != "drive" {
		t.Errorf("heard %+v", m)
	}
}

// TestAckFirst: the answer to a press waits for nothing: not for the store, not for
// a global rate limit, not for posts that hang.
func TestAckFirst(t *testing.T) {
	t.Parallel()
	d := dctest.New(t)
	r := start(t, d)
	d.Say(d.Channel, d.Ann, "hello")
	r.hears(1) // from here on the channel's history is not read any more
	post := string(r.must(d.Channel, bot.Post{Text: "which?", Choices: []string{"drive", "coast"}}, "n1"))
	free := make(chan struct{})
	r.mu.Lock()
	r.refuse = func(bot.Message) error {
		select {
		case <-free:
			return nil
		default:
			return errors.New("the store is away")
		}
	}
	r.mu.Unlock()
	d.Fail(dctest.Fault{Method: "POST", Path: "/messages", Status: 429, Header: map[string]string{"Retry-After": "60", "X-RateLimit-Global": "true", "X-RateLimit-Reset-After": "60"},
		Body: `{"message":"You are being rate limited.","retry_after":60,"global":true}`})
	var later *bot.LaterError
	if _, err := r.send(d.Channel, bot.Post{Text: "x"}, "n2"); !errors.As(err, &later) {
		t.Fatalf("Send: %v", err)
	}
	hang := make(chan struct{})
	defer close(hang)
	d.Fail(dctest.Fault{Method: "GET", Path: "/messages", Times: 10, Hang: hang})
	for _, choice := range []string{"drive", "coast"} {
		if a := answered(t, d.Press(d.Ann, d.Channel, post, choice)); a.After > 2*time.Second {
			t.Errorf("%s is answered after %v", choice, a.After)
		}
	}
	close(free)
	if got := texts(r.hears(3)); got[1] != "drive" || got[2] != "coast" {
		t.Errorf("heard %q", got)
	}
}

// TestAckLost: an answer whose outcome is not known is given again; one that comes
// too late leaves the press as good as any.
func TestAckLost(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name  string
		fault dctest.Fault
		asks  int
	}{
		{"502, done", dctest.Fault{Status: 502, Done: true}, 2},
		{"502", dctest.Fault{Status: 502}, 2},
		{"too late", dctest.Fault{Status: 404, Body: `{"code":10062,"message":"Unknown interaction"}`}, 1},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			d := dctest.New(t)
			r := start(t, d)
			post := string(r.must(d.Channel, bot.Post{Text: "which?", Choices: []string{"drive"}}, "n1"))
			c.fault.Method, c.fault.Path = "POST", "/callback"
			d.Fail(c.fault)
			d.Press(d.Ann, d.Channel, post, "drive")
			if m := r.hears(1)[0]; m.Text != "drive" {
				t.Errorf("heard %+v", m)
			}
			r.until(fmt.Sprintf("asked %d times", c.asks), func() bool { return len(d.Requests("POST /api/v9/interactions")) == c.asks })
			if c.asks == 1 {
				r.until("said", func() bool { return r.log.has("as failed") })
			} else if r.end(); r.log.has("as failed") {
				t.Error("the log says it failed")
			}
		})
	}
}

// TestAckTooLate: after three seconds Discord takes no answer any more; what was
// pressed counts all the same.
func TestAckTooLate(t *testing.T) {
	t.Parallel()
	d := dctest.New(t)
	clock := &shifted{}
	r := start(t, d, clock.with(d))
	hang := make(chan struct{})
	d.Fail(dctest.Fault{Method: "POST", Path: "/callback", Hang: hang})
	i := d.Command(d.Ann, d.Channel, sayCommand, "text", "open lapwing")
	m := r.hears(1)[0]
	clock.forward(4 * time.Second)
	close(hang)
	r.until("said", func() bool { return r.log.has("Unknown interaction") })
	if _, ok := i.Answer(0); ok {
		t.Error("an answer after the deadline was taken")
	}
	// There is no message that shows the command: the thread hangs below one of its own.
	thread, err := r.a.OpenThread(t.Context(), m.Place, m.ID, bot.Topic{Job: 1, Title: "job 1, lapwing"})
	if err != nil {
		t.Fatal(err)
	}
	if posts := d.Posts(d.Channel); len(posts) != 1 || posts[0].Content != "job 1, lapwing" || posts[0].ID != string(thread) {
		t.Errorf("thread %s below %q", thread, sentTexts(d, d.Channel))
	}
	again, err := r.a.OpenThread(t.Context(), m.Place, m.ID, bot.Topic{Job: 1, Title: "job 1, lapwing"})
	if err != nil || again != thread || len(d.Posts(d.Channel)) != 1 {
		t.Errorf("asked again: %s, %v, %q", again, err, sentTexts(d, d.Channel))
	}
}

// TestInteractionTwice: an interaction that is replayed is answered and heard once.
func TestInteractionTwice(t *testing.T) {
	t.Parallel()
	d := dctest.New(t)
	r := start(t, d)
	answered(t, d.Command(d.Ann, d.Channel, sayCommand, "text", "lash 9"))
	d.Repeat(3)
	d.Say(d.Channel, d.Ann, "the end")
	if got := texts(r.hears(2)); got[0] != "lash 9" || got[1] != "the end" {
		t.Errorf("heard %q", got)
	}
	if n := len(d.Requests("POST /api/v9/interactions")); n != 1 {
		t.Errorf("answered %d times", n)
	}
}

// TestWhispers: what package bot says about a press goes to its author alone, behind
// the first answer however long that takes.
func TestWhispers(t *testing.T) {
	t.Parallel()
	d := dctest.New(t)
	r := start(t, d)
	post := string(r.must(d.Channel, bot.Post{Text: "which?", Choices: []string{"drive"}}, "n1"))
	slow := make(chan struct{})
	d.Fail(dctest.Fault{Method: "POST", Path: "/callback", Hang: slow})
	told := make(chan error, 1)
	r.mu.Lock()
	r.refuse = func(m bot.Message) error {
		if m.Pressed != bot.MessageID(post) {
			t.Errorf("pressed on %q", m.Pressed)
		}
		go func() { told <- m.Whisper(t.Context(), "asked something else since") }()
		return nil
	}
	r.mu.Unlock()
	i := d.Press(d.Ann, d.Channel, post, "drive")
	r.hears(1)
	close(slow)
	answered(t, i)
	select {
	case err := <-told:
		if err != nil {
			t.Error(err)
		}
	case <-time.After(soon):
		t.Fatal("nothing is told")
	}
	if got := d.Whispers(); len(got) != 1 || got[0] != "ann: asked something else since" {
		t.Errorf("told %q", got)
	}
}

// TestButtonsForSome: others are told so at once, alone; beyond the room in a button
// it is left to package bot.
func TestButtonsForSome(t *testing.T) {
	t.Parallel()
	d := dctest.New(t)
	r := start(t, d)
	ben := []bot.UserID{bot.UserID(d.Ben.ID)}
	long := strings.Repeat("ä", maxLabel)
	for i, label := range []string{"approve", long} {
		post := string(r.must(d.Channel, bot.Post{Text: "go on?", Choices: []string{label}, For: ben}, fmt.Sprint("n", i)))
		if a := answered(t, d.Press(d.Ann, d.Channel, post, label)); a.Type != 4 || a.Data.Flags != 64 || !strings.Contains(a.Data.Content, "somebody else") {
			t.Errorf("%.20s: ann is answered %+v", label, a)
		}
		answered(t, d.Press(d.Ben, d.Channel, post, label))
		if m := r.hears(i + 1)[i]; m.Author != ben[0] || m.Text != label {
			t.Errorf("heard %+v", m)
		}
	}
	many := slices.Repeat(ben, 30)
	post := string(r.must(d.Channel, bot.Post{Text: "go on?", Choices: []string{"approve"}, For: many}, "n9"))
	answered(t, d.Press(d.Ann, d.Channel, post, "approve"))
	r.hears(3)
	for _, id := range []string{"say:0!:x", "say:0!$:x", "say:0!zzzzzzzzzzzzzzzzzzzz:x", "say:0", "say:0:"} {
		if _, _, ok := choiceOf(id); ok {
			t.Errorf("%q is taken for a choice", id)
		}
	}
}

func TestDirect(t *testing.T) {
	t.Parallel()
	d := dctest.New(t)
	r := start(t, d)
	at, err := r.a.Direct(t.Context(), bot.UserID(d.Ben.ID))
	again, err2 := r.a.Direct(t.Context(), bot.UserID(d.Ben.ID))
	if err != nil || err2 != nil || at != again || string(at) != d.DM(d.Ben) {
		t.Fatalf("%q and %q, %v, %v", at, again, err, err2)
	}
	r.must(string(at), bot.Post{Text: "a look is wanted"}, "n1")
	d.Say(string(at), d.Ben, "approve 1")
	if m := r.hears(1)[0]; m.Place != at || m.Thread != "" || !m.Addressed || m.Author != bot.UserID(d.Ben.ID) {
		t.Errorf("heard %+v", m)
	}
	for _, who := range []bot.UserID{"", "ben", bot.UserID(d.Bot.ID)} {
		if _, err := r.a.Direct(t.Context(), who); !errors.Is(err, bot.ErrRefused) {
			t.Errorf("%q: %v", who, err)
		}
	}
}

// A private talk that opens may still take nothing; what is final and what comes later is
// told apart, and a slow server holds nobody longer than they want to wait.
func TestDirectThatFails(t *testing.T) {
	t.Parallel()
	d := dctest.New(t)
	r := start(t, d)
	ben := bot.UserID(d.Ben.ID)
	d.CloseDM(d.Ben, true)
	at, err := r.a.Direct(t.Context(), ben)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := r.a.Send(t.Context(), at, bot.Post{Text: "a look"}, "n1"); !errors.Is(err, bot.ErrRefused) || !strings.Contains(err.Error(), "takes no private messages") {
		t.Errorf("closed: %v", err)
	}
	d.CloseDM(d.Ben, false)
	r.must(string(at), bot.Post{Text: "a look"}, "n1")
	if err := r.a.Edit(t.Context(), at, bot.MessageID(d.Posts(string(at))[0].ID), bot.Post{Text: "over"}); err != nil || d.Posts(string(at))[0].Content != "over" {
		t.Errorf("edited: %v", err)
	}
	d.Fail(dctest.Fault{Method: "POST", Path: "/users/@me/channels", Status: 400, Body: `{"code":40003,"message":"You are opening direct messages too fast"}`})
	later := (*bot.LaterError)(nil)
	if _, err := r.a.Direct(t.Context(), ben); !errors.As(err, &later) || errors.Is(err, bot.ErrRefused) {
		t.Errorf("too fast: %v", err)
	}
	hang := make(chan struct{})
	defer close(hang)
	d.Fail(dctest.Fault{Method: "POST", Path: "/users/@me/channels", Hang: hang})
	ctx, cancel := context.WithTimeout(t.Context(), 50*time.Millisecond)
	defer cancel()
	if _, err := r.a.Direct(ctx, ben); err == nil || errors.Is(err, bot.ErrRefused) {
		t.Errorf("slow: %v", err)
	}
	d.Leave(d.Ben)
	if _, err := r.a.Direct(t.Context(), ben); !errors.Is(err, bot.ErrRefused) {
		t.Errorf("gone: %v", err)
	}
	if _, err := r.a.Send(t.Context(), at, bot.Post{Text: "a look"}, "n2"); !errors.Is(err, bot.ErrRefused) {
		t.Errorf("gone, in the old talk: %v", err)
	}
}

func TestLink(t *testing.T) {
	t.Parallel()
	d := dctest.New(t)
	r := start(t, d)
	post := r.must(d.Channel, bot.Post{Text: "a look"}, "n1")
	if got, want := r.a.Link(t.Context(), bot.Place(d.Channel), bot.MessageID(post)), "https://discord.com/channels/"+d.Guild+"/"+d.Channel+"/"+string(post); got != want {
		t.Errorf("%s, want %s", got, want)
	}
	at, err := r.a.Direct(t.Context(), bot.UserID(d.Ben.ID))
	if err != nil || r.a.Link(t.Context(), at, "") != "" {
		t.Errorf("a private talk has a link: %v", err)
	}
}
