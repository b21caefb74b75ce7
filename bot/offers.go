package bot

import (
	"context"
	"encoding/json"
	"errors"
	"slices"
	"sync"
	"time"

	"shimwright/bot/store"
	"shimwright/dialogs"
)

// offerNote is an entry of the stream of a place's offers: a post with choices, or
// that a job has none open there any more.
type offerNote struct {
	At      time.Time `json:"at"`
	Job     int       `json:"job,omitempty"`  // 0: about no job
	Post    MessageID `json:"post,omitempty"` // empty: none
	Text    string    `json:"text,omitempty"` // of the post, for when its choices go
	Large   []string  `json:"large,omitempty"`
	Choices []string  `json:"choices,omitempty"`
	For     []string  `json:"for,omitempty"` // names and roles of those who may press; empty for all
}

// offers knows which posts have choices that can be pressed, at each place the latest
// of a job. The store keeps it, so that another process and the next one know too.
type offers struct {
	mu     sync.Mutex
	places map[spot]*offersAt
}

type offersAt struct {
	mu      sync.Mutex
	version uint64
	open    map[int]offerNote // by job
	ever    map[MessageID]int // the job of each post that had choices
}

// mostOffers is of how many places the offers are kept in memory.
const mostOffers = 4096

func (o *offers) at(at spot) *offersAt {
	o.mu.Lock()
	defer o.mu.Unlock()
	p := o.places[at]
	if p == nil {
		if o.places == nil || len(o.places) >= mostOffers {
			o.places = map[spot]*offersAt{}
		}
		p = &offersAt{open: map[int]offerNote{}, ever: map[MessageID]int{}}
		o.places[at] = p
	}
	return p
}

func offerStream(at spot) string {
	return "offers/" + safeName(at.On, 40) + "/" + safeName(string(at.In), 100)
}

// read brings a place's offers up to the store; with mu held.
func (p *offersAt) read(ctx context.Context, s *store.Store, at spot) error {
	records, err := s.Events(ctx, offerStream(at), p.version)
	if errors.Is(err, store.ErrRewound) {
		p.version = 0
		clear(p.open)
		clear(p.ever)
		records, err = s.Events(ctx, offerStream(at), 0)
	}
	if err != nil {
		return err
	}
	for _, r := range records {
		p.version++
		var n offerNote
		if json.Unmarshal(r, &n) != nil {
			continue // of a newer version
		}
		delete(p.open, n.Job)
		if n.Post != "" {
			p.open[n.Job], p.ever[n.Post] = n, n.Job
		}
	}
	return nil
}

// withdraw takes the choices off the post of a job before this one, so that nobody
// presses what is no longer asked, and notes those of this one. Where that fails old
// ones stay to be seen; pressed, they count for nothing (see answerable).
func (b *Bot) withdraw(ctx context.Context, a Adapter, at spot, job int, id MessageID, post Post, who []string) {
	editor, edits := a.(Editor)
	if _, offers := a.(Chooser); !offers && !edits {
		return
	}
	old, offered := b.offer(ctx, at, job, id, post, who)
	if !offered || !edits {
		return
	}
	if err := editor.Edit(ctx, at.In, old.Post, Post{Text: old.Text, Large: old.Large}); err != nil {
		b.log.Warn("the choices of an old post stay", "place", at.In, "post", old.Post, "error", err)
	}
}

// offer notes what a post offers and gives the offer of its job that ends with it.
func (b *Bot) offer(ctx context.Context, at spot, job int, id MessageID, post Post, who []string) (old offerNote, ended bool) {
	p := b.offers.at(at)
	p.mu.Lock()
	defer p.mu.Unlock()
	if err := p.read(ctx, b.store, at); err != nil {
		b.log.Warn("what was offered before is not known", "place", at.In, "error", err)
	}
	old, offered := p.open[job]
	if offered && old.Post == id || !offered && len(post.Choices) == 0 {
		return offerNote{}, false
	}
	n := offerNote{At: b.now(), Job: job}
	if len(post.Choices) > 0 {
		n.Post, n.Text, n.Large, n.Choices, n.For = id, post.Text, post.Large, post.Choices, who
	}
	data, err := json.Marshal(n)
	if err == nil {
		_, err = b.store.Commit(ctx, store.Batch{Stream: offerStream(at), Expect: store.Any, Events: [][]byte{data}})
	}
	if err == nil {
		err = p.read(ctx, b.store, at)
	}
	if err != nil {
		b.log.Warn("what is offered is not kept", "place", at.In, "post", id, "error", err)
	}
	return old, offered
}

// press is what is known of the post that a choice was pressed on.
type press struct {
	known     bool // it is on record; otherwise it is from before there were records
	overtaken bool // something else was asked since
	offer     offerNote
}

// pressed looks up a post that a choice was pressed on.
func (b *Bot) pressed(ctx context.Context, at spot, post MessageID) (press, error) {
	p := b.offers.at(at)
	p.mu.Lock()
	defer p.mu.Unlock()
	if err := p.read(ctx, b.store, at); err != nil {
		return press{}, err
	}
	job, known := p.ever[post]
	open := p.open[job]
	return press{known: known, overtaken: known && open.Post != post, offer: offerNote{Job: job, For: open.For}}, nil
}

// Presser is a Desk that has words for a press that does not count.
type Presser interface {
	Overtaken(to dialogs.Person) string              // something else was asked since
	NotYours(to dialogs.Person, who []string) string // it is for those alone
}

// answerable says whether a press counts; where it does not its author is told, alone.
func (t *turn) answerable(ctx context.Context) bool {
	mayPress := len(t.press.offer.For) == 0 || slices.ContainsFunc(t.press.offer.For, func(name string) bool {
		return name == t.said.By.Name || name == string(t.said.By.Role)
	})
	if !t.press.overtaken && mayPress {
		return true
	}
	words, ok := t.bot.desk().(Presser)
	if !ok || t.m.Whisper == nil {
		return false
	}
	text := ""
	if t.press.overtaken {
		text = words.Overtaken(t.said.By)
	} else {
		text = words.NotYours(t.said.By, t.press.offer.For)
	}
	if err := t.m.Whisper(ctx, defuse(text)); err != nil {
		t.bot.log.Warn("why a press does not count could not be told", "message", t.m.ID, "error", err)
	}
	return false
}
