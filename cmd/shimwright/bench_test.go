package main

import (
	"context"
	"fmt"
	"io"
	"log/slog"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"shimwright/bot"
	"shimwright/bot/store"
	"shimwright/bot/store/boltstore"
)

// wire is a platform that hands posts to whoever waits for them.
type wire struct{ posts chan string }

func (w *wire) Run(ctx context.Context, _ bot.Deliver) error {
	<-ctx.Done()
	return nil
}

func (w *wire) Limits() bot.Limits { return bot.Limits{Text: 2000} }

func (w *wire) Send(_ context.Context, _ bot.Place, p bot.Post, nonce string) (bot.MessageID, error) {
	w.posts <- p.Text
	return bot.MessageID(nonce), nil
}

// BenchmarkMessage is one message in and its answer out: understood, logged with
// fsync to a bbolt file, taken from the queue, posted. Jobs of a usual length: after
// so many messages a new one is opened. What it reports besides is the middle and the
// slowest hundredth of the single messages.
func BenchmarkMessage(b *testing.B) {
	const perJob = 60
	lines := []string{"lash 8 8.5 8 9", "drive center, a touch high", "coast centered", "where are we", "scratch that, 9 not 8"}
	backend, err := boltstore.Open(filepath.Join(b.TempDir(), "shop.db"), time.Second)
	if err != nil {
		b.Fatal(err)
	}
	st := store.New(backend, time.Now)
	d, err := openDesk("", time.Now, slog.New(slog.DiscardHandler), io.Discard)
	if err != nil {
		b.Fatal(err)
	}
	w := &wire{posts: make(chan string, 100)}
	people := consolePeople("inch")
	for i := range people {
		people[i].Accounts = map[string]bot.UserID{"wire": bot.UserID(people[i].Name)}
	}
	bt, err := bot.New(bot.Config{
		Store: st, People: people, Now: time.Now, Log: slog.New(slog.DiscardHandler),
		Desk: func() bot.Desk { return d.now() }, Adapters: map[string]bot.Adapter{"wire": w},
	})
	if err != nil {
		b.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	done := make(chan error)
	go func() { done <- bt.Run(ctx) }()
	n := 0
	say := func(text string) {
		n++
		m := bot.Message{Place: "bay", Author: "ann", ID: bot.MessageID(fmt.Sprint(n)), Text: text, At: time.Now()}
		if err := bt.Handle(ctx, "wire", m); err != nil {
			b.Fatal(err)
		}
		<-w.posts
	}
	var took []time.Duration
	for b.Loop() {
		if len(took)%perJob == 0 {
			b.StopTimer()
			say("open lapwing whine on drive, new gears")
			b.StartTimer()
		}
		began := time.Now()
		say(lines[len(took)%len(lines)])
		took = append(took, time.Since(began))
	}
	cancel()
	if err := <-done; err != nil {
		b.Fatal(err)
	}
	if err := st.Close(); err != nil {
		b.Fatal(err)
	}
	slices.Sort(took)
	ms := func(share float64) float64 {
		return float64(took[int(share*float64(len(took)-1))]) / float64(time.Millisecond)
	}
	b.ReportMetric(ms(0.50), "p50-ms")
	b.ReportMetric(ms(0.99), "p99-ms")
}

// BenchmarkStartToPrompt is the whole process: started in a folder with a job in it,
// its store opened, sheets and rules loaded, the chat shown, and left again.
func BenchmarkStartToPrompt(b *testing.B) {
	program := filepath.Join(b.TempDir(), "shimwright")
	if out, err := exec.Command("go", "build", "-o", program, ".").CombinedOutput(); err != nil {
		b.Fatalf("%v\n%s", err, out)
	}
	folder := b.TempDir()
	start := func(typed string) string {
		c := exec.Command(program, "try", "--data", folder)
		c.Stdin = strings.NewReader(typed)
		out, err := c.CombinedOutput()
		if err != nil {
			b.Fatalf("%v\n%s", err, out)
		}
		return string(out)
	}
	start("open lapwing whine on drive\nnew\nlash 14 14 13 14\n")
	for b.Loop() {
		if !strings.Contains(start(""), "before, in job 1, lapwing") {
			b.Fatal("it does not come to the prompt")
		}
	}
}
