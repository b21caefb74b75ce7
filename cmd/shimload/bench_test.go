package main

import (
	"fmt"
	"log/slog"
	"os"
	"strings"
	"testing"
	"time"

	"shimwright/dialogs"
	"shimwright/dialogs/advise"
	"shimwright/dialogs/listen"
	"shimwright/dialogs/phrase"
	"shimwright/rules"
)

// BenchmarkTalks says the talks to the desk alone, without store and platform: what
// is left of a message's cost when those cost nothing.
func BenchmarkTalks(b *testing.B) {
	live, _ := rules.NewLive(nil, time.Now, slog.New(slog.DiscardHandler))
	phrases, err := phrase.Load()
	if err != nil {
		b.Fatal(err)
	}
	desk := &dialogs.Desk{Sheets: live.Book(), Rules: live.Rules(), Advise: new(advise.Adviser).Recommend, Listen: listen.Parse, Models: new(dialogs.Models), Phrases: phrases}
	at := time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC)
	b.ReportAllocs()
	n, used := 0, cpuOf(os.Getpid())
	for b.Loop() {
		for number, talk := range talks {
			lines := strings.Split(strings.TrimSpace(talk), "\n")
			said := dialogs.Said{ID: "0", At: at, Text: lines[0], By: dialogs.Person{Name: "ann", Role: dialogs.Technician}, Addressed: true}
			door := desk.Door(said, dialogs.View{})
			reply, err := desk.Opened(number+1, *door.Open, said)
			if err != nil {
				b.Fatal(err)
			}
			job, _ := dialogs.Fold("1", nil)
			if job, err = job.With(reply.Events); err != nil {
				b.Fatal(err)
			}
			said.Addressed = false
			here := dialogs.JobLine{Number: number + 1}
			for i, text := range lines[1:] {
				said.ID, said.Text = fmt.Sprint(i+1), text
				if door := desk.Door(said, dialogs.View{Here: &here}); door.Handled {
					b.Fatal(text)
				}
				if reply, err = desk.Answer(job, said); err != nil {
					b.Fatal(err)
				}
				if len(reply.Events) > 0 {
					if job, err = job.With(reply.Events); err != nil {
						b.Fatal(err)
					}
				}
				said.Context = append(said.Context, "tech: "+text)
				for _, o := range reply.Out {
					said.Context = append(said.Context, "bot: "+o.Text)
				}
				said.Context = said.Context[max(0, len(said.Context)-6):]
			}
			n += len(lines)
		}
	}
	b.ReportMetric(float64((cpuOf(os.Getpid())-used).Microseconds())/float64(n), "cpu-µs/message")
}
