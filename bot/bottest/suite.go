package bottest

import (
	"context"
	"fmt"
	"io"
	"slices"
	"strings"
	"testing"
	"time"

	"shimwright/bot"
)

// receive: a message comes with all that package bot goes by.
func receive(t *testing.T, p Platform) {
	ann, ben := p.People()
	l := connect(t, p)
	id := p.Say(t, ann, "lash 14, drive high toward the heel")
	other := p.Say(t, ben, "größer: 0,20 mm – ok 👍🏽")
	got := l.hears(2)
	for i, want := range []struct {
		who  bot.UserID
		id   bot.MessageID
		text string
	}{{ann, id, "lash 14, drive high toward the heel"}, {ben, other, "größer: 0,20 mm – ok 👍🏽"}} {
		m := got[i]
		if m.Author != want.who || m.ID != want.id || m.Text != want.text {
			t.Errorf("message %d: %s %s %q, want %s %s %q", i, m.Author, m.ID, m.Text, want.who, want.id, want.text)
		}
		if m.Place == "" || len(m.Place) > 100 || m.Bot || m.EditOf != "" {
			t.Errorf("message %d: %+v", i, m)
		}
	}
	if got[0].ID == got[1].ID {
		t.Errorf("two messages have the id %s", got[0].ID)
	}
	l.send(got[0].Here(), bot.Post{Text: "its own post"}, nonceOf(t, 1))
	p.Say(t, ann, "the end")
	for _, m := range l.hears(3) {
		if m.Text == "its own post" && !m.Bot {
			t.Error("the assistant's own post is delivered as somebody's message")
		}
	}
}

func order(t *testing.T, p Platform) {
	ann, ben := p.People()
	l := connect(t, p)
	var want []string
	for i := range 30 {
		text := fmt.Sprint("lash ", i)
		want = append(want, text)
		p.Say(t, []bot.UserID{ann, ben}[i%2], text)
	}
	var got []string
	for _, m := range l.hears(len(want)) {
		got = append(got, m.Text)
	}
	if !slices.Equal(got, want) {
		t.Errorf("heard %q", got)
	}
}

// redelivery: what could not be taken comes again with the same id, what was taken
// does not.
func redelivery(t *testing.T, p Platform) {
	ann, _ := p.People()
	l := connect(t, p)
	p.Say(t, ann, "taken")
	l.hears(1)
	l.mu.Lock()
	l.refuse = errNotNow
	l.mu.Unlock()
	id := p.Say(t, ann, "not taken")
	select {
	case <-l.refused:
	case <-time.After(wait):
		t.Fatal("it is not delivered")
	}
	l.end(p)
	l = connect(t, p)
	p.Say(t, ann, "after it")
	got := l.hears(2)
	if got[0].Text != "not taken" || got[0].ID != id || got[1].Text != "after it" {
		t.Errorf("after a reconnect: %+v", got)
	}
}

// later: what people say while nobody is connected is delivered at the next start.
func later(t *testing.T, p Platform) {
	ann, _ := p.People()
	l := connect(t, p)
	p.Say(t, ann, "one")
	l.hears(1)
	l.end(p)
	id := p.Say(t, ann, "two")
	l = connect(t, p)
	if got := l.hears(1); got[0].ID != id || got[0].Text != "two" {
		t.Errorf("heard %+v", got)
	}
}

func send(t *testing.T, p Platform) {
	ann, _ := p.People()
	l := connect(t, p)
	p.Say(t, ann, "hello")
	at := l.hears(1)[0].Here()
	var want []string
	ids := map[bot.MessageID]bool{}
	for i := range 10 {
		text := fmt.Sprintf("answer %d:\nset the left stack to 0.238 in, `not code`, *not bold*", i)
		want = append(want, text)
		ids[l.send(at, bot.Post{Text: text}, nonceOf(t, i))] = true
	}
	if got := texts(p.Seen(t, at)); !slices.Equal(got, want) {
		t.Errorf("seen %q", got)
	}
	if len(ids) != len(want) || ids[""] {
		t.Errorf("%d ids for %d posts: %v", len(ids), len(want), ids)
	}
}

// nonce: a post that is sent again is not seen again, also after a reconnect.
func nonce(t *testing.T, p Platform) {
	ann, _ := p.People()
	l := connect(t, p)
	p.Say(t, ann, "hello")
	at := l.hears(1)[0].Here()
	first := l.send(at, bot.Post{Text: "once"}, nonceOf(t, 1))
	again := l.send(at, bot.Post{Text: "once"}, nonceOf(t, 1))
	l.send(at, bot.Post{Text: "once"}, nonceOf(t, 2)) // another message with the same text
	l.end(p)
	l = connect(t, p)
	l.send(at, bot.Post{Text: "once"}, nonceOf(t, 1))
	if got := texts(p.Seen(t, at)); !slices.Equal(got, []string{"once", "once"}) {
		t.Errorf("seen %q", got)
	}
	if first != again {
		t.Errorf("one post has the ids %s and %s", first, again)
	}
}

// before: Send does not lose anything while Run has not connected.
func before(t *testing.T, p Platform) {
	ann, _ := p.People()
	l := connect(t, p)
	p.Say(t, ann, "hello")
	at := l.hears(1)[0].Here()
	l.end(p)

	a := p.Connect(t)
	ctx, cancel := context.WithTimeout(context.Background(), 50*time.Millisecond)
	_, err := a.Send(ctx, at, bot.Post{Text: "early"}, nonceOf(t, 1))
	cancel()
	run, stop := context.WithCancel(context.Background())
	ended := make(chan error, 1)
	go func() { ended <- a.Run(run, func(context.Context, bot.Message) error { return nil }) }()
	if err != nil {
		long, cancel := context.WithTimeout(context.Background(), wait)
		defer cancel()
		for err != nil && long.Err() == nil {
			_, err = a.Send(long, at, bot.Post{Text: "early"}, nonceOf(t, 1))
		}
		if err != nil {
			t.Errorf("after connecting: %v", err)
		}
	}
	if got := texts(p.Seen(t, at)); !slices.Equal(got, []string{"early"}) {
		t.Errorf("seen %q", got)
	}
	stop()
	p.HangUp(t)
	<-ended
}

// limits: the longest post is shown whole.
func limits(t *testing.T, p Platform) {
	ann, _ := p.People()
	l := connect(t, p)
	p.Say(t, ann, "hello")
	at := l.hears(1)[0].Here()
	limit := l.adapter.Limits().Text
	if limit == 0 {
		limit = 100_000
	}
	for i, letter := range []string{"x", "ä", "👍"} {
		text := strings.Repeat(letter, limit)
		l.send(at, bot.Post{Text: text}, nonceOf(t, i))
		seen := p.Seen(t, at)
		if got := seen[len(seen)-1].Text; got != text {
			t.Errorf("%d times %s: %d characters are seen", limit, letter, len([]rune(got)))
		}
	}
}

func thread(t *testing.T, p Platform) {
	ann, _ := p.People()
	l := connect(t, p)
	threader, ok := l.adapter.(bot.Threader)
	if !ok {
		t.Skip("this platform has no threads")
	}
	p.Say(t, ann, "open")
	m := l.hears(1)[0]
	about := bot.Topic{Job: 12, Title: "job 12, lapwing: noisy rear, " + strings.Repeat("x", 61)}
	ctx, cancel := context.WithTimeout(context.Background(), wait)
	defer cancel()
	var places []bot.Place
	for range 2 {
		place, err := threader.OpenThread(ctx, m.Place, m.ID, about)
		if err != nil {
			t.Fatal(err)
		}
		places = append(places, place)
	}
	if places[0] != places[1] || places[0] == m.Place || len(places[0]) > 100 {
		t.Fatalf("threads of one message: %q, in %q", places, m.Place)
	}
	l.send(places[0], bot.Post{Text: "welcome"}, nonceOf(t, 1))
	if got := texts(p.Seen(t, places[0])); !slices.Equal(got, []string{"welcome"}) {
		t.Errorf("seen in the thread: %q", got)
	}
	if got := texts(p.Seen(t, m.Place)); slices.Contains(got, "welcome") {
		t.Errorf("seen outside of it: %q", got)
	}
	if guide, ok := l.adapter.(bot.Guide); ok {
		guide.Show(ann, places[0])
		p.Say(t, ann, "in the thread")
		if got := l.hears(2)[1]; got.Thread != places[0] || got.Place != m.Place {
			t.Errorf("said in the thread: %+v", got)
		}
		guide.Show(ann, m.Place)
		p.Say(t, ann, "outside")
		if got := l.hears(3)[2]; got.Thread != "" || got.Place != m.Place {
			t.Errorf("said outside: %+v", got)
		}
	}
	l.end(p)
	l = connect(t, p)
	place, err := l.adapter.(bot.Threader).OpenThread(ctx, m.Place, m.ID, about)
	if err != nil || place != places[0] {
		t.Errorf("after a reconnect the thread is %q, %v", place, err)
	}
}

func files(t *testing.T, p Platform) {
	ann, _ := p.People()
	l := connect(t, p)
	f, ok := l.adapter.(bot.Filer)
	if !ok {
		t.Skip("this platform has no files")
	}
	count, size := f.FileLimits()
	if count == 0 {
		t.Skip("this platform takes no files just now")
	}
	p.Say(t, ann, "hello")
	at := l.hears(1)[0].Here()
	post := bot.Post{Text: "see"}
	for i := range count {
		post.Files = append(post.Files, bot.File{
			Name: fmt.Sprintf("pattern-%d.png", i), Type: "image/png", Alt: fmt.Sprintf("drive low, %d", i), Data: []byte(fmt.Sprintf("picture %d", i)),
		})
	}
	post.Files[0].Data = slices.Repeat([]byte{0x89}, size)
	l.send(at, post, nonceOf(t, 1))
	seen := p.Seen(t, at)
	if len(seen) != 1 || seen[0].Text != "see" || len(seen[0].Files) != count {
		t.Fatalf("seen %d posts, %+v", len(seen), texts(seen))
	}
	for i, got := range seen[0].Files {
		if want := post.Files[i]; got.Alt != want.Alt || !slices.Equal(got.Data, want.Data) {
			t.Errorf("file %d: %q with %d bytes, want %q with %d", i, got.Alt, len(got.Data), want.Alt, len(want.Data))
		}
	}
}

// attached: pictures come with the message they are on, also where it has no words,
// and can be fetched for as long as it is looked at.
func attached(t *testing.T, p Platform) {
	ann, ben := p.People()
	l := connect(t, p)
	data := append([]byte("\x89PNG\r\n\x1a\n"), slices.Repeat([]byte{7}, 100_000)...)
	first := p.Attach(t, ann, "drive side, high", "drive.png", data)
	second := p.Attach(t, ben, "", "coast.png", data[:50])
	got := l.hears(2)
	for i, want := range []struct {
		who  bot.UserID
		id   bot.MessageID
		text string
		name string
		data []byte
	}{{ann, first, "drive side, high", "drive.png", data}, {ben, second, "", "coast.png", data[:50]}} {
		m := got[i]
		if m.Author != want.who || m.ID != want.id || m.Text != want.text || len(m.Files) != 1 {
			t.Fatalf("message %d: %+v", i, m)
		}
		f := m.Files[0]
		if f.Name != want.name || f.Size != int64(len(want.data)) || !strings.HasPrefix(f.Type, "image/") {
			t.Errorf("message %d has %+v", i, f)
		}
		for range 2 {
			ctx, cancel := context.WithTimeout(context.Background(), wait)
			r, err := f.Open(ctx)
			if err != nil {
				t.Fatal(err)
			}
			got, err := io.ReadAll(r)
			if r.Close() != nil || err != nil || !slices.Equal(got, want.data) {
				t.Errorf("message %d: %d bytes, %v", i, len(got), err)
			}
			cancel()
		}
	}
}

func choices(t *testing.T, p Platform) {
	ann, _ := p.People()
	l := connect(t, p)
	c, ok := l.adapter.(bot.Chooser)
	if !ok {
		t.Skip("this platform has no buttons: choices are typed")
	}
	count, length := c.ChoiceLimits()
	if count == 0 {
		t.Skip("this platform has no buttons just now")
	}
	p.Say(t, ann, "hello")
	at := l.hears(1)[0].Here()
	var all []string
	for i := range count {
		all = append(all, fmt.Sprint(i)+strings.Repeat("ä", length-len(fmt.Sprint(i))))
	}
	l.send(at, bot.Post{Text: "which?", Choices: all}, nonceOf(t, 1))
	seen := p.Seen(t, at)
	if len(seen) != 1 || !slices.Equal(seen[0].Choices, all) {
		t.Errorf("seen %+v", seen)
	}
}

// press: a choice that is pressed is a message that names its post, of one person each
// choice once, and not of those it is not for.
func press(t *testing.T, p Platform) {
	ann, ben := p.People()
	l := connect(t, p)
	c, ok := l.adapter.(bot.Chooser)
	if !ok {
		t.Skip("this platform has no buttons: choices are typed")
	}
	if count, _ := c.ChoiceLimits(); count == 0 {
		t.Skip("this platform has no buttons just now")
	}
	p.Say(t, ann, "hello")
	at := l.hears(1)[0].Here()
	all := l.send(at, bot.Post{Text: "which?", Choices: []string{"drive", "coast"}}, nonceOf(t, 1))
	some := l.send(at, bot.Post{Text: "go on?", Choices: []string{"approve"}, For: []bot.UserID{ben}}, nonceOf(t, 2))
	p.Press(t, ann, at, some, "approve") // not hers
	p.Press(t, ann, at, all, "coast")
	l.hears(2)
	p.Press(t, ben, at, some, "approve")
	l.hears(3)
	l.end(p)
	l = connect(t, p)
	p.Press(t, ben, at, all, "drive")
	p.Say(t, ann, "the end")
	got := append(l.hears(2), bot.Message{})
	slices.SortFunc(got, func(a, b bot.Message) int { return strings.Compare(b.Text, a.Text) }) // a press may go a way of its own
	if got[0].Text != "the end" || got[1].Text != "drive" || got[1].Author != ben || got[1].Pressed != all || !got[1].Addressed || got[1].Here() != at {
		t.Errorf("after a reconnect: %+v", got)
	}
}

// revise: a post of the assistant can be changed, and loses its choices so.
func revise(t *testing.T, p Platform) {
	ann, _ := p.People()
	l := connect(t, p)
	e, ok := l.adapter.(bot.Editor)
	if !ok {
		t.Skip("this platform cannot change its posts")
	}
	p.Say(t, ann, "hello")
	at := l.hears(1)[0].Here()
	post := bot.Post{Text: "which?"}
	if c, ok := l.adapter.(bot.Chooser); ok {
		if count, _ := c.ChoiceLimits(); count > 0 {
			post.Choices = []string{"drive"}
		}
	}
	id := l.send(at, post, nonceOf(t, 1))
	l.send(at, bot.Post{Text: "another"}, nonceOf(t, 2))
	ctx, cancel := context.WithTimeout(context.Background(), wait)
	defer cancel()
	if err := e.Edit(ctx, at, id, bot.Post{Text: "which? drive"}); err != nil {
		t.Fatal(err)
	}
	seen := p.Seen(t, at)
	if got := texts(seen); !slices.Equal(got, []string{"which? drive", "another"}) || len(seen[0].Choices) != 0 {
		t.Errorf("seen %+v", seen)
	}
}

// edit: a new wording is a message of its own that names the old one.
func edit(t *testing.T, p Platform) {
	ann, _ := p.People()
	l := connect(t, p)
	id := p.Say(t, ann, "lash 7")
	l.hears(1)
	p.Edit(t, ann, "lash 9")
	p.Edit(t, ann, "lash 8")
	got := l.hears(3)
	for i, want := range []string{"lash 7", "lash 9", "lash 8"} {
		if got[i].Text != want {
			t.Errorf("message %d is %q", i, got[i].Text)
		}
		if i > 0 && got[i].EditOf != id {
			t.Errorf("%q edits %q, want %q", want, got[i].EditOf, id)
		}
	}
	if got[0].ID == got[1].ID || got[1].ID == got[2].ID || got[0].ID == got[2].ID {
		t.Errorf("wordings share an id: %s %s %s", got[0].ID, got[1].ID, got[2].ID)
	}
}

// shutdown: Run returns nil within a second of the end of its context.
func shutdown(t *testing.T, p Platform) {
	ann, _ := p.People()
	l := connect(t, p)
	p.Say(t, ann, "hello")
	l.hears(1)
	l.stop()
	began := time.Now()
	select {
	case err := <-l.ended:
		l.ended = nil
		if err != nil {
			t.Errorf("Run: %v", err)
		}
		if took := time.Since(began); took > time.Second {
			t.Errorf("it took %v", took)
		}
	case <-time.After(wait):
		t.Fatal("Run does not end")
	}
}
