package mattermost

import (
	"context"
	"io"
	"log/slog"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/mattermost/mattermost/server/public/model"

	"shimwright/bot"
	"shimwright/bot/mattermost/mmtest"
	"shimwright/bot/store"
	"shimwright/bot/store/boltstore"
	"shimwright/dialogs"
	"shimwright/dialogs/advise"
	"shimwright/dialogs/listen"
	"shimwright/dialogs/phrase"
	"shimwright/dialogs/picture"
	"shimwright/rules"
)

// soon is how long something that happens at once may take on a busy machine.
const soon = 20 * time.Second

// assistant is the whole of it on a server over loopback.
type assistant struct {
	*shop
	t       testing.TB
	folder  string
	adapter *Adapter
	posted  chan *model.Post // what the assistant says
	stop    context.CancelFunc
	ended   chan error
}

func openAssistant(t testing.TB) *assistant {
	s := mmtest.New().Start()
	t.Cleanup(s.Close)
	a := &assistant{shop: newShop(s), t: t, folder: t.TempDir(), posted: make(chan *model.Post, 10_000)}
	s.OnPost(func(p *model.Post) {
		if p.UserId == a.me {
			a.posted <- p
		}
	})
	s.Allow("10.0.0.5")
	a.begin()
	t.Cleanup(a.end)
	return a
}

func (a *assistant) begin() {
	a.t.Helper()
	backend, err := boltstore.Open(filepath.Join(a.folder, "shop.db"), 10*time.Second)
	if err != nil {
		a.t.Fatal(err)
	}
	kept := store.New(backend, time.Now)
	log := slog.New(slog.NewTextHandler(io.Discard, nil))
	live, report := rules.NewLive(nil, time.Now, log)
	if len(report.Problems) > 0 {
		a.t.Fatalf("%+v", report.Problems)
	}
	a.adapter, err = New(Config{
		URL: a.server.URL, Token: a.token, CallbackURL: "http://10.0.0.5:8090",
		Marks: FileMarks(filepath.Join(a.folder, "marks.json")), Now: time.Now, Log: log,
	})
	if err != nil {
		a.t.Fatal(err)
	}
	a.server.Reach(a.adapter.Handler())
	phrases, err := phrase.Load()
	if err != nil {
		a.t.Fatal(err)
	}
	var adviser advise.Adviser
	b, err := bot.New(bot.Config{
		Store: kept, Now: time.Now, Log: log,
		People: []bot.Person{
			{Name: "ann", Role: dialogs.Technician, Accounts: map[string]bot.UserID{Name: bot.UserID(a.ann)}},
			{Name: "ben", Role: dialogs.Mentor, Accounts: map[string]bot.UserID{Name: bot.UserID(a.ben)}},
		},
		Painter: sync.OnceValues(func() (*picture.Painter, error) { return picture.New(picture.English()) }),
		Desk: func() bot.Desk {
			return &dialogs.Desk{Sheets: live.Book(), Rules: live.Rules(), Advise: adviser.Recommend, Listen: listen.Parse, Phrases: phrases}
		},
		Adapters: map[string]bot.Adapter{Name: a.adapter},
	})
	if err != nil {
		a.t.Fatal(err)
	}
	ctx, stop := context.WithCancel(context.Background())
	a.stop, a.ended = stop, make(chan error, 1)
	go func() {
		err := b.Run(ctx)
		if closed := kept.Close(); err == nil {
			err = closed
		}
		a.ended <- err
	}()
}

func (a *assistant) end() {
	if a.ended == nil {
		return
	}
	a.stop()
	select {
	case err := <-a.ended:
		if err != nil {
			a.t.Errorf("Run: %v", err)
		}
	case <-time.After(soon):
		a.t.Error("Run does not end")
	}
	a.ended = nil
}

// answer waits for the next post of the assistant.
func (a *assistant) answer() *model.Post {
	a.t.Helper()
	select {
	case p := <-a.posted:
		return p
	case <-time.After(soon):
		a.t.Fatal("no answer")
		return nil
	}
}

// chat reads a transcript: what is said, and the lines that answer it, pictures
// aside.
func chat(t testing.TB) (said []string, answers [][]string) {
	t.Helper()
	data, err := os.ReadFile("../../testdata/chats/readme.txt")
	if err != nil {
		t.Fatal(err)
	}
	for line := range strings.Lines(string(data)) {
		line = strings.TrimRight(line, "\n")
		if text, ok := strings.CutPrefix(line, "bot> "); ok && len(said) > 0 {
			if !strings.HasPrefix(text, "[picture ") {
				answers[len(answers)-1] = append(answers[len(answers)-1], text)
			}
		} else if text, ok := strings.CutPrefix(line, "ann> "); ok {
			said, answers = append(said, text), append(answers, nil)
		} else if line != "" && !strings.HasPrefix(line, "#") {
			break // what else can stand in one is not for this test
		}
	}
	return said, answers
}

// lines are what people read of a post, buttons as the numbers they stand for.
func lines(p *model.Post) []string {
	text := mmtest.Plain(p.Message)
	var choices []string
	for _, b := range mmtest.Actions(p) {
		if b.Type == model.PostActionTypeButton {
			choices = append(choices, b.Name)
		}
		for _, o := range b.Options {
			choices = append(choices, o.Text)
		}
	}
	if len(choices) > 0 {
		text += "\n" + bot.ChoiceText(choices)
	}
	return strings.Split(text, "\n")
}

// The transcript reads the same here; its job lives in the thread below the message
// that opens it; pictures come with their words; what is restarted meanwhile loses
// and repeats nothing; a button is an answer.
func TestWholeAssistant(t *testing.T) {
	a := openAssistant(t)
	said, answers := chat(t)
	if len(said) < 10 {
		t.Fatalf("the transcript has %d messages", len(said))
	}
	root, pictures, pressed := "", 0, 0
	for i, text := range said {
		switch i % 5 {
		case 2:
			a.server.Drop()
		case 3:
			a.server.Restart()
		case 4:
			a.end()
		}
		p := a.server.Say(a.ann, a.bay, root, text)
		if i%5 == 4 {
			a.begin()
		}
		if root == "" {
			root = p.Id
		}
		got := a.answer()
		if got.RootId != root {
			t.Errorf("%q is answered in %q", text, got.RootId)
		}
		if d := cmp.Diff(answers[i], lines(got)); d != "" {
			t.Errorf("%q is answered otherwise:\n%s", text, d)
		}
		if len(got.FileIds) > 0 {
			pictures++
			name, data := a.server.FileData(got.FileIds[0])
			if !strings.HasSuffix(name, ".png") || !strings.HasPrefix(string(data), "\x89PNG") || mmtest.Attachments(got)[0].Text == "" {
				t.Errorf("picture %s with %d bytes", name, len(data))
			}
		}
		for _, b := range mmtest.Actions(got) {
			if pressed == 0 && b.Type == model.PostActionTypeButton && b.Name == "no" {
				if _, err := a.server.Press(a.ann, got.Id, b.Id, ""); err != nil {
					t.Errorf("pressing %q: %v", b.Name, err)
				}
				t.Logf("a press of %q is answered %q", b.Name, lines(a.answer()))
				a.server.Say(a.ann, a.bay, root, "undo")
				a.answer()
				pressed++
			}
		}
	}
	if pictures == 0 || pressed == 0 {
		t.Errorf("%d pictures and %d presses in the transcript", pictures, pressed)
	}
	select {
	case p := <-a.posted:
		t.Errorf("one answer too many: %q", p.Message)
	case <-time.After(50 * time.Millisecond):
	}
}

// BenchmarkAnswer measures from a person's post to the assistant's, over loopback,
// store and server included.
func BenchmarkAnswer(b *testing.B) {
	for _, c := range []struct {
		name  string
		texts []string
	}{
		{"text", []string{"lash 8 8 9 8", "lash 7 8 8 8"}},
		{"picture", []string{"lash 14 14 13 14, drive high toward the heel, coast high and heel", "lash 13 13 13 14, drive high toward the heel, coast high and heel"}},
	} {
		b.Run(c.name, func(b *testing.B) {
			a := openAssistant(b)
			root := &model.Post{}
			said, _ := chat(b)
			upTo := 1
			if c.name == "picture" {
				upTo = slices.Index(said, "caps torqued") + 1
			}
			for _, text := range said[:upTo] {
				p := a.server.Say(a.ann, a.bay, root.Id, text)
				if root.Id == "" {
					root = p
				}
				a.answer()
			}
			say := func(i int) *model.Post {
				a.server.Say(a.ann, a.bay, root.Id, c.texts[i%len(c.texts)])
				return a.answer()
			}
			if p := say(0); (len(p.FileIds) > 0) != (c.name == "picture") {
				b.Fatalf("answered with %d files: %q", len(p.FileIds), p.Message)
			}
			var took []time.Duration
			for i := 0; b.Loop(); i++ {
				began := time.Now()
				say(i)
				took = append(took, time.Since(began))
			}
			slices.Sort(took)
			at := func(part float64) float64 {
				return float64(took[min(len(took)-1, int(part*float64(len(took))))].Microseconds()) / 1000
			}
			b.ReportMetric(at(0.5), "p50-ms")
			b.ReportMetric(at(0.99), "p99-ms")
			b.ReportMetric(float64(len(took)), "answers")
		})
	}
}
