package bot

import (
	"encoding/json"
	"fmt"
	"testing"
	"time"

	"shimwright/bot/store"
	"shimwright/dialogs"
	"shimwright/dialogs/phrase"
)

// BenchmarkFinding looks for a word among 10,000 jobs, 60 of them open, whose closed
// ones have said some hundred words each: reading the directory once, and each search
// after that.
func BenchmarkFinding(b *testing.B) {
	s := newShop(b, &plainPlatform{}, func(c *Config, s *shop) { c.Desk = func() Desk { return eraser{s.desk} } })
	ctx := b.Context()
	const jobs, open = 10_000, 60
	day := time.Date(2026, 3, 2, 8, 0, 0, 0, time.UTC)
	var notes [][]byte
	flush := func() {
		if _, err := s.store.Commit(ctx, store.Batch{Stream: shopStream, Expect: store.Any, Events: notes}); err != nil {
			b.Fatal(err)
		}
		notes = nil
	}
	enter := func(n note) {
		data, err := json.Marshal(n)
		if err != nil {
			b.Fatal(err)
		}
		if notes = append(notes, data); len(notes) == store.MaxCount {
			flush()
		}
	}
	for i := 1; i <= jobs; i++ {
		at := day.Add(time.Duration(i) * time.Hour)
		enter(note{Kind: noteOpened, At: at, By: "ann", Number: i, Spot: &spot{"chat", Place(fmt.Sprint("place", i))}, Sheet: "lapwing", Title: "whine"})
		if i <= jobs-open {
			card := dialogs.Card{Entries: 150, State: dialogs.CardClosed, Last: at.Add(time.Hour), People: []string{"ann", "mia"}, Trials: 2, Good: true}
			for w := range 100 {
				card.Words = append(card.Words, fmt.Sprintf("word%03d", (i*7+w)%997))
			}
			enter(note{Kind: noteClosed, At: at, Number: i, Closed: true, Card: &card})
			continue
		}
		var log [][]byte
		for n := range 150 {
			log = append(log, fmt.Appendf(nil, `{"kind":"stated","at":%q,"by":"ann","msg":"m%d-%d","said":"word one","data":{"fact":"x%d"}}`, at.Format(time.RFC3339), i, n, n%20))
		}
		if _, err := s.store.Commit(ctx, store.Batch{Stream: string(jobID(i)), Events: log}); err != nil {
			b.Fatal(err)
		}
	}
	flush()
	phrases, err := phrase.Load()
	if err != nil {
		b.Fatal(err)
	}
	desk := &dialogs.Desk{Sheets: noSheets{}, Phrases: phrases}
	find := func(bot *Bot) int {
		if err := bot.directory.refresh(ctx, time.Now()); err != nil {
			b.Fatal(err)
		}
		l := bot.directory.look(spot{"chat", "bay"}, dialogs.Said{}, time.Now())
		var err error
		if l.view.Cards, err = bot.cards(ctx); err != nil {
			b.Fatal(err)
		}
		door := desk.Door(dialogs.Said{Text: "find word012 whine", At: day.AddDate(2, 0, 0), By: dialogs.Person{Role: dialogs.Owner}}, l.view)
		return len(door.Out[0].Text)
	}
	b.Run("first", func(b *testing.B) {
		for b.Loop() {
			fresh := &Bot{store: s.store, desk: s.bot.desk, now: time.Now, log: s.bot.log, directory: newDirectory(s.store, s.bot.log)}
			find(fresh)
		}
	})
	b.Run("again", func(b *testing.B) {
		find(s.bot)
		for b.Loop() {
			find(s.bot)
		}
	})
}
