package bot

import (
	"context"
	"encoding/json"
	"errors"
	"slices"
	"sync"
	"time"

	"shimwright/bot/store"
)

// ownCard is an entry of the stream of an account's cards: a look that was laid before
// somebody in private. The last entry of a job's look counts.
type ownCard struct {
	Job   int         `json:"job"`
	Look  int         `json:"look,omitempty"`
	Nonce string      `json:"nonce,omitempty"`
	Place Place       `json:"alone,omitempty"` // the private talk
	Posts []MessageID `json:"posts,omitempty"` // none until it is known to be there
	At    time.Time   `json:"at,omitzero"`     // when it was known to be there
	Over  time.Time   `json:"over,omitzero"`   // when it was taken back, or given up
	// Erased says that earlier entries were replaced: who has read them reads again.
	Erased bool `json:"erased,omitempty"`
}

// keptCards is how many cards that are over are remembered of an account.
const keptCards = 50

// privateBook is the fold of an account's cards.
type privateBook struct {
	cards []ownCard // by the time they were begun
	place Place     // of the last one that is known to be there
}

// bookAt is a book as far as it was read.
type bookAt struct {
	mu      sync.Mutex
	version uint64
	privateBook
}

// books keeps those in use.
type books struct {
	mu sync.Mutex
	of map[account]*bookAt
}

func (x *books) at(a account) *bookAt {
	x.mu.Lock()
	defer x.mu.Unlock()
	if x.of == nil || len(x.of) >= mostOffers {
		x.of = map[account]*bookAt{}
	}
	if x.of[a] == nil {
		x.of[a] = &bookAt{}
	}
	return x.of[a]
}

func cardStream(a account) string {
	return "cards/" + safeName(a.on, 40) + "/" + safeName(string(a.id), 100)
}

// bookOf gives an account's cards as the store has them now.
func (b *Bot) bookOf(ctx context.Context, a account) (privateBook, error) {
	book := b.books.at(a)
	book.mu.Lock()
	defer book.mu.Unlock()
	records, err := b.store.Events(ctx, cardStream(a), book.version)
	if errors.Is(err, store.ErrRewound) || slices.ContainsFunc(records, erasesCards) {
		book.version, book.cards, book.place = 0, nil, ""
		records, err = b.store.Events(ctx, cardStream(a), 0)
	}
	if err != nil {
		return privateBook{}, err
	}
	for _, r := range records {
		book.version++
		var c ownCard
		if json.Unmarshal(r, &c) == nil && c.Job > 0 {
			book.put(c)
		}
	}
	return privateBook{cards: slices.Clone(book.cards), place: book.place}, nil
}

func erasesCards(record []byte) bool {
	var c ownCard
	return json.Unmarshal(record, &c) == nil && c.Erased
}

func (p *privateBook) put(c ownCard) {
	i := slices.IndexFunc(p.cards, func(o ownCard) bool { return o.Job == c.Job && o.Nonce == c.Nonce })
	if i < 0 {
		p.cards = append(p.cards, c)
	} else {
		p.cards[i] = c
	}
	if len(c.Posts) > 0 {
		p.place = c.Place
	}
	for over, i := 0, len(p.cards)-1; i >= 0; i-- {
		if p.cards[i].Over.IsZero() {
			continue
		}
		if over++; over > keptCards {
			p.cards = slices.Delete(p.cards, i, i+1)
		}
	}
}

// open gives the card of a job that was not taken back, nil for none.
func (p *privateBook) open(job int) *ownCard {
	for i := len(p.cards) - 1; i >= 0; i-- {
		if c := p.cards[i]; c.Job == job && c.Over.IsZero() {
			return &c
		}
	}
	return nil
}

// noteCard enters a card; the id makes it count once.
func (b *Bot) noteCard(ctx context.Context, a account, c ownCard, id string) error {
	data, err := json.Marshal(c)
	if err != nil {
		return err
	}
	_, err = b.commit(ctx, store.Batch{ID: id, Stream: cardStream(a), Expect: store.Any, Events: [][]byte{data}})
	return err
}

// calledStream names the stream of who was ever called to a job's looks in private.
func calledStream(job int) string { return "called/" + string(jobID(job)) }

// everCalled adds who is called now to who was called before, and gives all of them.
func (b *Bot) everCalled(ctx context.Context, call lookCall, id string) ([]callee, error) {
	records, err := b.store.Events(ctx, calledStream(call.Job), 0)
	if err != nil {
		return nil, err
	}
	var all []callee
	for _, r := range records {
		var c callee
		if json.Unmarshal(r, &c) == nil && c.Who != "" {
			all = append(all, c)
		}
	}
	batch := store.Batch{ID: id + "-c", Stream: calledStream(call.Job), Expect: store.Any}
	for _, c := range call.To {
		i := slices.IndexFunc(all, func(o callee) bool { return o.account() == c.account() })
		if i >= 0 {
			all[i] = c
			continue
		}
		all = append(all, c)
		c.Again = false
		data, err := json.Marshal(c)
		if err != nil {
			return nil, err
		}
		batch.Events = append(batch.Events, data)
	}
	if len(batch.Events) > 0 {
		_, err = b.commit(ctx, batch)
	}
	return all, err
}

// eraseCards takes out of the cards of a job what the platforms know them by, and out
// of who was called to it the names.
func (b *Bot) eraseCards(ctx context.Context, work erasure) error {
	end := func() ([][]byte, error) {
		data, err := json.Marshal(ownCard{Erased: true})
		return [][]byte{data}, err
	}
	blank := func(r []byte) ([]byte, error) {
		var c ownCard
		if json.Unmarshal(r, &c) != nil || c.Job != work.Number || len(c.Posts) == 0 && c.Nonce == "" {
			return r, nil
		}
		return json.Marshal(ownCard{Job: c.Job, Look: c.Look, At: c.At, Over: work.At})
	}
	each := func(change func([]byte) ([]byte, error)) func([][]byte) ([][]byte, error) {
		return func(records [][]byte) (out [][]byte, err error) {
			out = slices.Clone(records)
			for i, r := range records {
				if out[i], err = change(r); err != nil {
					return nil, err
				}
			}
			return out, nil
		}
	}
	if err := b.eraseStreams(ctx, "cards/", work, each(blank), end); err != nil {
		return err
	}
	nobody := func(r []byte) ([]byte, error) {
		var c callee
		if json.Unmarshal(r, &c) != nil || c.Who == "" {
			return r, nil
		}
		return json.Marshal(callee{On: c.On})
	}
	return b.eraseStream(ctx, calledStream(work.Number), work, each(nobody), end)
}
