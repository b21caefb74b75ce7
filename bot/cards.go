package bot

import (
	"context"
	"encoding/json"
	"sync"

	"shimwright/bot/store"
	"shimwright/dialogs"
)

// Carder is a Desk that can say what is kept of a job to find it again.
type Carder interface {
	Card(*dialogs.Job) dialogs.Card
}

// cardReaders is how many jobs are read at the same time for their cards.
const cardReaders = 8

// cardBox keeps the cards of jobs that the directory has none of: those that are
// open, and those that were closed before cards were kept.
type cardBox struct {
	mu    sync.Mutex
	cards map[int]kept
}

type kept struct {
	version uint64 // of the job's stream
	closed  bool   // as the directory had it
	card    dialogs.Card
}

// cards gives the cards of all jobs. A closed job's stands in the directory; an open
// one's stream is asked for what is new, and read again only where there is something.
// Jobs that cannot be read have none.
func (b *Bot) cards(ctx context.Context) (map[int]dialogs.Card, error) {
	desk, ok := b.desk().(Carder)
	if !ok {
		return map[int]dialogs.Card{}, nil
	}
	out, rest := b.directory.cardsKept()
	var mu sync.Mutex
	var missing []note
	var wg sync.WaitGroup
	work := make(chan jobCard)
	for range min(cardReaders, len(rest)) {
		wg.Go(func() {
			for c := range work {
				card, ok := b.freshCard(ctx, desk, c)
				if ok {
					mu.Lock()
					out[c.opened.Number] = card
					if c.closed && len(missing) < mostEntered {
						missing = append(missing, note{Kind: noteCard, At: b.now(), Number: c.opened.Number, Card: &card})
					}
					mu.Unlock()
				}
			}
		})
	}
	for _, c := range rest {
		work <- c
	}
	close(work)
	wg.Wait()
	b.enterCards(ctx, missing)
	return out, ctx.Err()
}

// mostEntered is how many missing cards one search enters into the directory.
const mostEntered = 200

// enterCards brings cards into the directory that jobs closed by an older version
// lack. It does not matter when it fails: the next search does it again.
func (b *Bot) enterCards(ctx context.Context, cards []note) {
	batch := store.Batch{Stream: shopStream, Expect: store.Any}
	for _, n := range cards {
		data, err := json.Marshal(n)
		if err != nil {
			return
		}
		batch.Events = append(batch.Events, data)
	}
	if len(batch.Events) == 0 {
		return
	}
	if _, err := b.store.Commit(ctx, batch); err != nil {
		b.log.Warn("the cards of closed jobs were not entered", "error", err)
	}
}

// freshCard gives a job's card, from memory where nothing was added since.
func (b *Bot) freshCard(ctx context.Context, desk Carder, c jobCard) (dialogs.Card, bool) {
	n := c.opened.Number
	b.box.mu.Lock()
	have, ok := b.box.cards[n]
	b.box.mu.Unlock()
	if ok && have.closed == c.closed {
		if c.closed {
			return have.card, true
		}
		if news, err := b.store.Events(ctx, string(c.id), have.version); err == nil && len(news) == 0 {
			return have.card, true
		}
	}
	card, version, err := b.cardOf(ctx, desk, n)
	if err != nil {
		if ctx.Err() == nil {
			b.log.Warn("a job cannot be read to find it", "job", n, "error", err)
		}
		return dialogs.Card{}, false
	}
	b.box.mu.Lock()
	if b.box.cards == nil {
		b.box.cards = map[int]kept{}
	}
	b.box.cards[n] = kept{version: version, closed: c.closed, card: card}
	b.box.mu.Unlock()
	return card, true
}

// cardOf reads a job and makes its card.
func (b *Bot) cardOf(ctx context.Context, desk Carder, number int) (dialogs.Card, uint64, error) {
	stream := string(jobID(number))
	records, err := b.store.Events(ctx, stream, 0)
	if err != nil {
		return dialogs.Card{}, 0, err
	}
	job, err := dialogs.Fold(stream, JobEvents(records))
	if err != nil {
		return dialogs.Card{}, 0, err
	}
	return desk.Card(job), uint64(len(records)), nil
}

// drop forgets a job's card.
func (x *cardBox) drop(number int) {
	x.mu.Lock()
	defer x.mu.Unlock()
	delete(x.cards, number)
}

// cardsKept gives the cards that stand in the directory, and the jobs without one.
func (d *directory) cardsKept() (map[int]dialogs.Card, []jobCard) {
	d.mu.Lock()
	defer d.mu.Unlock()
	out := make(map[int]dialogs.Card, len(d.cards))
	var rest []jobCard
	for _, c := range d.cards {
		if c.closed && c.card != nil {
			out[c.opened.Number] = *c.card
			continue
		}
		rest = append(rest, *c)
	}
	return out, rest
}
