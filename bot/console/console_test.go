package console

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"shimwright/bot"
	"shimwright/bot/bottest"
)

// feed is what somebody types: reading waits for more until it is closed.
type feed struct {
	mu     sync.Mutex
	more   *sync.Cond
	data   []byte
	closed bool
}

func newFeed() *feed {
	f := &feed{}
	f.more = sync.NewCond(&f.mu)
	return f
}

func (f *feed) Read(p []byte) (int, error) {
	f.mu.Lock()
	defer f.mu.Unlock()
	for len(f.data) == 0 && !f.closed {
		f.more.Wait()
	}
	if len(f.data) == 0 {
		return 0, io.EOF
	}
	n := copy(p, f.data)
	f.data = f.data[n:]
	return n, nil
}

func (f *feed) enter(text string) {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.data = append(f.data, text...)
	f.more.Broadcast()
}

func (f *feed) close() {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.closed = true
	f.more.Broadcast()
}

// terminal is the console as a platform under test. Lines get the ids line-1,
// line-2 and so on.
type terminal struct {
	folder string
	feed   *feed
	said   int // by the test
	read   int // by the console
	open   bool
	now    *Console
}

func (p *terminal) Connect(t *testing.T) bot.Adapter {
	p.feed = newFeed()
	c, err := New(Options{
		Folder: p.folder, People: []string{"ann", "ben"}, Clock: NewClock(Standing), In: p.feed, Out: io.Discard,
		Settle: func(context.Context) error { return nil },
	})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { c.Close() })
	c.newID = func() bot.MessageID {
		p.read++
		return bot.MessageID(fmt.Sprint("line-", p.read))
	}
	p.open, p.now = true, c
	return c
}

func (p *terminal) Say(t *testing.T, who bot.UserID, text string) bot.MessageID {
	p.said++
	id := bot.MessageID(fmt.Sprint("line-", p.said))
	if p.open {
		p.feed.enter(string(who) + "> " + text + "\n")
		return id
	}
	// What is said while nobody takes it stands in the history without its ack.
	p.read++
	data, err := json.Marshal(record{In: &inRecord{ID: id, At: Standing(), Place: Shop, Who: string(who), Text: text}})
	if err != nil {
		t.Fatal(err)
	}
	f, err := os.OpenFile(filepath.Join(p.folder, historyFile), os.O_APPEND|os.O_WRONLY, 0)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if _, err := f.Write(append(data, '\n')); err != nil {
		t.Fatal(err)
	}
	return id
}

func (p *terminal) Press(t *testing.T, _ bot.UserID, _ bot.Place, _ bot.MessageID, choice string) string {
	t.Fatalf("nothing can be pressed on a terminal, not %q either", choice)
	return ""
}

func (p *terminal) Attach(t *testing.T, who bot.UserID, text, name string, data []byte) bot.MessageID {
	file := filepath.Join(p.folder, name)
	if err := os.WriteFile(file, data, 0o600); err != nil {
		t.Fatal(err)
	}
	return p.Say(t, who, strings.TrimSpace(fmt.Sprintf("photo %q %s", file, text)))
}

func (p *terminal) Edit(_ *testing.T, who bot.UserID, text string) {
	p.said++
	p.feed.enter(string(who) + ">\nedit> " + text + "\n")
}

func (p *terminal) HangUp(*testing.T) {
	p.open = false
	p.feed.close()
}

func (p *terminal) People() (bot.UserID, bot.UserID) { return "ann", "ben" }

// Seen reads posts back from the history, pictures from where they were saved.
func (p *terminal) Seen(t *testing.T, at bot.Place) []bot.Post {
	p.now.mu.Lock()
	defer p.now.mu.Unlock()
	var posts []bot.Post
	for _, r := range p.now.history.lines {
		if r.Out == nil || r.Out.Place != at {
			continue
		}
		var post bot.Post
		var rows []string
		for _, row := range r.Out.Rows {
			name, alt, ok := strings.Cut(strings.TrimSuffix(strings.TrimPrefix(row, "[picture "), "]"), ": ")
			if !ok || !strings.HasPrefix(row, "[picture ") {
				rows = append(rows, row)
				continue
			}
			data, err := os.ReadFile(name)
			if err != nil {
				t.Fatal(err)
			}
			post.Files = append(post.Files, bot.File{Alt: alt, Data: data})
		}
		post.Text = strings.Join(rows, "\n")
		posts = append(posts, post)
	}
	return posts
}

func TestConformance(t *testing.T) {
	bottest.Run(t, func(t *testing.T) bottest.Platform { return &terminal{folder: t.TempDir()} })
}

// typeIn plays lines into a console whose bot answers with an echo, and gives what is
// on the screen.
func typeIn(t *testing.T, o Options, answer func(bot.Message) string, lines ...string) string {
	t.Helper()
	var screen strings.Builder
	o.In, o.Out = strings.NewReader(strings.Join(lines, "\n")), &screen
	if o.Clock == nil {
		o.Clock = NewClock(Standing)
	}
	o.People = []string{"ann", "mentor"}
	o.Settle = func(context.Context) error { return nil }
	c, err := New(o)
	if err != nil {
		t.Fatal(err)
	}
	defer c.Close()
	n := 0
	err = c.Run(t.Context(), func(ctx context.Context, m bot.Message) error {
		if text := answer(m); text != "" {
			n++
			_, err := c.Send(ctx, m.Here(), bot.Post{Text: text}, fmt.Sprint(m.ID, n))
			return err
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return screen.String()
}

func echo(m bot.Message) string {
	if strings.HasPrefix(m.Text, "lash") {
		return string(m.Author) + " said " + m.Text + "\nat " + m.At.Format("15:04")
	}
	return ""
}

func TestThePromptShowsAChat(t *testing.T) {
	got := typeIn(t, Options{Intro: []string{"hello"}}, echo,
		"lash 14", "nice weather", "mentor> lash 8", "lash 9", "ann>", "lash 7", "", "bob> hi", "#12> hi", "clock +26h", "lash 6", "clock", "clock never", "edit> lash 5", "\x1b[31mlash\x07", "quit", "lash 1")
	want := `hello
ann> lash 14
bot> ann said lash 14
bot> at 08:00
ann> nice weather
(not for the assistant: nothing logged)
ann> mentor> lash 8
bot> mentor said lash 8
bot> at 08:00
mentor> lash 9
bot> mentor said lash 9
bot> at 08:00
mentor> ann>
ann> lash 7
bot> ann said lash 7
bot> at 08:00
ann>
ann> bob> hi
(there is no "bob" here; there are ann, mentor)
ann> #12> hi
(there is no thread #12 here; jobs lists the jobs, switch and a number goes to one)
ann> clock +26h
(it is Tue 3 Mar 2026 10:00)
ann> lash 6
bot> ann said lash 6
bot> at 10:00
ann> clock
(it is Tue 3 Mar 2026 10:00)
ann> clock never
(the clock moves on by hours and minutes: clock +26h, not "never")
ann> edit> lash 5
bot> ann said lash 5
bot> at 10:00
ann> �[31mlash�
(not for the assistant: nothing logged)
ann> quit
`
	if got != want {
		t.Errorf("got:\n%s\nwant:\n%s", got, want)
	}
}

func TestAStartShowsWhereOneWas(t *testing.T) {
	folder := t.TempDir()
	typeIn(t, Options{Folder: folder}, echo, "lash 14", "mentor> nice", "clock +1h")
	got := typeIn(t, Options{Folder: folder}, echo, "lash 8")
	want := `(before, in the shop:)
ann> lash 14
bot> ann said lash 14
bot> at 08:00
mentor> nice
mentor> lash 8
bot> mentor said lash 8
bot> at 09:00
`
	if got != want {
		t.Errorf("got:\n%s\nwant:\n%s", got, want)
	}
}

func TestColoursAreOnlyForTerminals(t *testing.T) {
	if got := typeIn(t, Options{Color: true}, echo, "lash 14", "nice"); !strings.Contains(got, "\x1b[1mbot>\x1b[0m ann said") || !strings.Contains(got, "\x1b[2m(not for") {
		t.Errorf("with colours: %q", got)
	}
	if got := typeIn(t, Options{}, echo, "lash 14", "nice"); strings.Contains(got, "\x1b") {
		t.Errorf("without: %q", got)
	}
}

func TestLongLinesAreNotSent(t *testing.T) {
	heard := 0
	count := func(bot.Message) string { heard++; return "" }
	got := typeIn(t, Options{}, count, strings.Repeat("x", 100_000), strings.Repeat("x", 3<<20), "short")
	if heard != 1 {
		t.Errorf("%d lines were delivered", heard)
	}
	for _, want := range []string{"(that line has 100000 characters and this chat takes 16000: not sent, nothing logged)", "(that line has more than 1048576 bytes and was not sent)"} {
		if !strings.Contains(got, want) {
			t.Errorf("it does not say %q", want)
		}
	}
	if len(got) > 2000 {
		t.Errorf("the screen is full of it: %d bytes", len(got))
	}
}

// A message that comes while the prompt stands goes above it.
func TestAPostGoesAboveThePrompt(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		var screen strings.Builder
		in, keys := io.Pipe()
		c, err := New(Options{
			People: []string{"ann"}, Clock: NewClock(Standing), In: in, Out: &screen, Terminal: true,
			Settle: func(context.Context) error { return nil },
		})
		if err != nil {
			t.Fatal(err)
		}
		ended := make(chan error)
		go func() {
			ended <- c.Run(t.Context(), func(context.Context, bot.Message) error { return nil })
		}()
		synctest.Wait()
		if _, err := c.Send(t.Context(), Shop, bot.Post{Text: "time to look"}, "n1"); err != nil {
			t.Fatal(err)
		}
		if _, err := c.Send(t.Context(), "#3", bot.Post{Text: "cooled down", Ping: []bot.UserID{"ann"}}, "n2"); err != nil {
			t.Fatal(err)
		}
		keys.Close()
		if err := <-ended; err != nil {
			t.Fatal(err)
		}
		want := "ann> \r\x1b[Kbot> time to look\nann> \r\x1b[Kbot #3> @ann cooled down\nann> \n"
		if screen.String() != want {
			t.Errorf("got  %q\nwant %q", screen.String(), want)
		}
	})
}

func TestCtrlCEndsItAtOnce(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		in, keys := io.Pipe()
		defer keys.Close()
		c, err := New(Options{People: []string{"ann"}, Clock: NewClock(Standing), In: in, Out: io.Discard, Terminal: true, Settle: func(context.Context) error { return nil }})
		if err != nil {
			t.Fatal(err)
		}
		ctx, stop := context.WithCancel(t.Context())
		ended := make(chan error)
		go func() { ended <- c.Run(ctx, func(context.Context, bot.Message) error { return nil }) }()
		synctest.Wait()
		began := time.Now()
		stop()
		if err := <-ended; err != nil || time.Since(began) > 0 {
			t.Errorf("it ended after %v with %v", time.Since(began), err)
		}
	})
}

// A history cut off in the middle of a record, as kill -9 leaves it, is taken up.
func TestHistoryAfterACrash(t *testing.T) {
	folder := t.TempDir()
	typeIn(t, Options{Folder: folder}, echo, "lash 14")
	name := filepath.Join(folder, historyFile)
	whole, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	for cut := range len(whole) {
		if err := os.WriteFile(name, whole[:cut], 0o600); err != nil {
			t.Fatal(err)
		}
		heard := 0
		typeIn(t, Options{Folder: folder}, func(m bot.Message) string { heard++; return echo(m) }, "lash 15")
		taken := strings.Contains(string(whole[:cut]), `"ack"`) && strings.Count(string(whole[:cut]), "\n") >= strings.Count(string(whole), "\n")
		recorded := strings.Count(string(whole[:cut]), "\n") > 0
		want := 1
		if recorded && !taken {
			want = 2
		}
		if heard != want {
			t.Errorf("cut at %d of %d: %d lines delivered, want %d", cut, len(whole), heard, want)
		}
	}
}

func TestADamagedHistoryIsSaid(t *testing.T) {
	folder := t.TempDir()
	if err := os.WriteFile(filepath.Join(folder, historyFile), []byte("not json\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	_, err := New(Options{Folder: folder, People: []string{"ann"}, Clock: NewClock(Standing)})
	if err == nil || !strings.Contains(err.Error(), historyFile+": line 1 is no record of a chat") {
		t.Errorf("got %v", err)
	}
}

func TestALongHistoryIsShortened(t *testing.T) {
	folder := t.TempDir()
	h, err := openHistory(folder)
	if err != nil {
		t.Fatal(err)
	}
	must := func(r record) {
		if err := h.append(r); err != nil {
			t.Fatal(err)
		}
	}
	must(record{Thread: &threadRecord{Place: "#1", Below: "m", Title: "job 1"}})
	must(record{In: &inRecord{ID: "open", Place: "#1", Who: "ann", Text: "not taken"}})
	clock := 26 * time.Hour
	must(record{Clock: &clock})
	must(record{Here: &hereRecord{Place: "#1", Who: "mentor"}})
	long := strings.Repeat("x", 4000)
	for i := range 1200 {
		must(record{Out: &outRecord{Nonce: fmt.Sprint(i), Place: "#1", Rows: []string{long}}})
	}
	if err := h.close(); err != nil {
		t.Fatal(err)
	}
	for range 2 { // the second start reads what the first has written
		h, err = openHistory(folder)
		if err != nil {
			t.Fatal(err)
		}
		if len(h.open) != 1 || h.open[0].Text != "not taken" || h.here != "#1" || h.who != "mentor" || h.titles["#1"] != "job 1" || !h.shown["1199"] {
			t.Fatalf("lost: open %v here %s who %s", h.open, h.here, h.who)
		}
		if h.size > keepSize+10_000 {
			t.Errorf("it still has %d bytes", h.size)
		}
		if err := h.close(); err != nil {
			t.Fatal(err)
		}
	}
	if h.clock != clock {
		t.Errorf("the clock is %v", h.clock)
	}
}

// A terminal has one size of letters: what is large elsewhere is a line like the rest.
func TestLargeLinesAreLinesHere(t *testing.T) {
	c := &Console{}
	if _, ok := any(c).(bot.Enlarger); ok {
		t.Error("the console says that it has large text")
	}
	rows, err := c.rows(bot.Post{Text: "lash 8\nnext: drive?", Large: []string{"next: drive?"}}, "n")
	if err != nil || !slices.Equal(rows, []string{"lash 8", "next: drive?"}) {
		t.Errorf("rows %q, %v", rows, err)
	}
}
