package discord

import (
	"context"
	"fmt"
	"io"
	"log/slog"
	"slices"
	"testing"
	"time"

	"shimwright/bot"
	"shimwright/bot/discord/dctest"
)

// BenchmarkAnswer is the time from a message on Discord's side to the answer there,
// with nothing thought in between: the adapter's own share.
func BenchmarkAnswer(b *testing.B) {
	picture := make([]byte, 60<<10)
	for _, c := range []struct {
		name string
		post bot.Post
	}{
		{"text", bot.Post{Text: "set the left stack to 0.238 in"}},
		{"picture", bot.Post{Text: "drive low", Files: []bot.File{{Name: "a.png", Type: "image/png", Alt: "drive low", Data: picture}}}},
	} {
		b.Run(c.name, func(b *testing.B) {
			d := dctest.New(b)
			d.Unchecked()
			a, err := New(Config{Token: dctest.Token, Guild: d.Guild, MessageContent: true, API: d.URL, Memory: &keep{}, Now: time.Now, Log: discard()})
			if err != nil {
				b.Fatal(err)
			}
			ctx, stop := context.WithCancel(context.Background())
			answered := make(chan error)
			ended := make(chan error, 1)
			n := 0
			go func() {
				ended <- a.Run(ctx, func(ctx context.Context, m bot.Message) error {
					n++
					_, err := a.Send(ctx, m.Here(), c.post, fmt.Sprint("n", n))
					answered <- err
					return nil
				})
			}()
			var took []time.Duration
			for range b.N {
				began := time.Now()
				d.Say(d.Channel, d.Ann, "lash 9")
				if err := <-answered; err != nil {
					b.Fatal(err)
				}
				took = append(took, time.Since(began))
			}
			stop()
			<-ended
			slices.Sort(took)
			b.ReportMetric(float64(took[len(took)/2].Microseconds()), "p50-µs")
			b.ReportMetric(float64(took[len(took)*99/100].Microseconds()), "p99-µs")
		})
	}
}

func discard() *slog.Logger { return slog.New(slog.NewTextHandler(io.Discard, nil)) }
