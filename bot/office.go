package bot

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"math/rand/v2"
	"strconv"
	"sync"
	"time"

	"shimwright/bot/remind"
	"shimwright/bot/store"
	"shimwright/dialogs"
	"shimwright/dialogs/phrase"
)

const (
	leaseTime = 45 * time.Second // longer than an item may take, see extendAge
	sendTime  = 20 * time.Second // one item
	extendAge = 3 * time.Second  // less than another process takes to miss this one
	pollTime  = 2 * time.Second  // how soon the work that a dead process left is found
	firstWait = time.Second      // before a post that failed is tried again, then doubled
	longWait  = 2 * time.Minute
	ownWait   = 5 * time.Second        // the same for what the program does itself: it holds back the directory's answers
	graceTime = 800 * time.Millisecond // for what is under way when the process is to end
	tellTime  = 5 * time.Second
	maxBreaks = 5 // how often an item that breaks the program is tried
)

// office sends what is queued: of each stream one after the other, of several
// streams at the same time. Most of it is handed over by the commit that queued it
// (see Bot.commit); the rest is fetched in the order in which streams have waited.
type office struct {
	senders int
	settle  chan chan struct{}
	stopped chan struct{}
	change  chan struct{} // a value once a sender has come back

	mu      sync.Mutex
	ctx     context.Context // of sendAll, nil while it is not on
	busy    int             // senders that are out or promised
	trips   int             // how often one went out or was promised
	backlog bool            // more waits than could be fetched: its turn comes first
	sent    map[string]bool // posted, but the store could not be told
	owed    []store.Batch   // what became of items, for when the store answers again
}

func newOffice(senders int) *office {
	return &office{
		senders: senders, settle: make(chan chan struct{}), stopped: make(chan struct{}), change: make(chan struct{}, 1),
		sent: map[string]bool{},
	}
}

// promise keeps a sender for what a commit is about to queue, and gives the context
// it will work in; false where none is free or others wait.
func (o *office) promise() (context.Context, bool) {
	o.mu.Lock()
	defer o.mu.Unlock()
	if o.ctx == nil || o.ctx.Err() != nil || o.backlog || o.busy >= o.senders {
		return nil, false
	}
	o.busy, o.trips = o.busy+1, o.trips+1
	return o.ctx, true
}

// back says that a sender has come back, or is not needed after all.
func (o *office) back() {
	o.mu.Lock()
	o.busy--
	o.mu.Unlock()
	select {
	case o.change <- struct{}{}:
	default:
	}
}

// fetch asks the store for what is due and sends it out. found says that it was
// something; full that no sender is free for more. A sender that comes back from a
// backlog does not go for one stream alone: looking for what is due costs more than
// handing it out.
func (b *Bot) fetch(ctx context.Context) (found, full bool, err error) {
	o := b.office
	o.mu.Lock()
	free := o.senders - o.busy
	if free <= 0 || o.backlog && free < (o.senders+3)/4 && o.busy > 0 {
		o.mu.Unlock()
		return false, true, nil
	}
	o.busy += free
	o.mu.Unlock()
	items, err := b.store.Claim(ctx, leaseTime, free)
	groups := byStream(items)
	o.mu.Lock()
	o.busy, o.trips = o.busy-free+len(groups), o.trips+len(groups)
	o.backlog = len(items) == free
	o.mu.Unlock()
	for _, group := range groups {
		go func() {
			defer o.back()
			b.sendGroup(ctx, group)
		}()
	}
	return len(groups) > 0, false, err
}

// open lets senders go out until ctx ends.
func (o *office) open(ctx context.Context) {
	o.mu.Lock()
	defer o.mu.Unlock()
	o.ctx = ctx
}

// out gives how many senders are out, and how often one went.
func (o *office) out() (busy, trips int) {
	o.mu.Lock()
	defer o.mu.Unlock()
	return o.busy, o.trips
}

// Settle waits until nothing is due any more and nothing is on its way, while Run
// runs. What is put off after a failed post is not waited for.
func (b *Bot) Settle(ctx context.Context) error {
	done := make(chan struct{})
	select {
	case b.office.settle <- done:
	case <-b.office.stopped:
		return nil
	case <-ctx.Done():
		return ctx.Err()
	}
	select {
	case <-done:
		return nil
	case <-ctx.Done():
		return ctx.Err()
	}
}

// sendAll works until ctx ends and the senders have come back.
func (b *Bot) sendAll(ctx context.Context) {
	o := b.office
	o.open(ctx)
	defer close(o.stopped)
	var waiting []chan struct{}
	settled := func() {
		for _, w := range waiting {
			close(w)
		}
		waiting = nil
	}
	defer settled()
	failed, look := false, true
	timer := time.NewTimer(pollTime)
	defer timer.Stop()
	var next time.Time // when the timer fires
	rest := func(d time.Duration) {
		look, next = false, time.Now().Add(d)
		timer.Reset(d)
	}
	for {
		if ctx.Err() == nil && look {
			busy, trips := o.out()
			found, full, err := b.fetch(ctx)
			if err != nil && !failed && ctx.Err() == nil {
				b.log.Error("what is queued cannot be fetched; trying on", "error", err)
			}
			failed = err != nil
			if err == nil && !full {
				b.payOwed(ctx)
			}
			switch {
			case found:
				continue
			case full: // as soon as a sender comes back
			case err != nil:
				rest(pollTime)
			default:
				rest(b.untilDue(ctx))
				// Nothing was there and nobody was out who might have left something.
				if _, again := o.out(); busy == 0 && trips == again {
					settled()
				}
			}
		}
		over := ctx.Done()
		if ctx.Err() != nil {
			if busy, _ := o.out(); busy == 0 {
				return
			}
			over = nil
		}
		select {
		case <-over:
		case <-o.change:
			look = look || len(waiting) > 0
		case w := <-o.settle:
			waiting, look = append(waiting, w), true
		case <-b.store.Wake():
			if soon, ok := b.store.Soon(); ok {
				switch wait := soon.Sub(b.now()); {
				case wait <= 0:
					look = true
				case !look && time.Now().Add(wait).Before(next):
					rest(wait)
				}
			}
		case <-timer.C:
			look = true
		}
	}
}

// untilDue gives how long nothing will be due, pollTime at most.
func (b *Bot) untilDue(ctx context.Context) time.Duration {
	due, ok, err := b.store.NextDue(ctx)
	if err != nil || !ok {
		return pollTime
	}
	return max(10*time.Millisecond, min(pollTime, due.Sub(b.now())))
}

func byStream(items []store.Item) [][]store.Item {
	var groups [][]store.Item
	for i, it := range items {
		if i == 0 || it.Stream != items[i-1].Stream {
			groups = append(groups, nil)
		}
		groups[len(groups)-1] = append(groups[len(groups)-1], it)
	}
	return groups
}

// sendGroup sends claimed items of one stream until one has to be put off.
func (b *Bot) sendGroup(ctx context.Context, items []store.Item) {
	claimed := b.now()
	for _, it := range items {
		tell := store.Batch{Stream: it.Stream, Expect: store.Any, Lease: it.Lease}
		release := tell
		release.Release = true
		if ctx.Err() != nil {
			b.settleItem(it, release)
			return
		}
		if age := b.now().Sub(claimed); age > extendAge || age < 0 {
			err := b.store.Extend(ctx, it, leaseTime)
			switch {
			case errors.Is(err, store.ErrLost):
				return // another process has it, or will
			case err != nil:
				b.office.owe(release)
				return
			}
			claimed = b.now()
		}
		err := b.sendItem(ctx, it)
		switch {
		case err == nil && it.Kind == remind.Kind:
			continue // the store was told with what it brought
		case err == nil:
		case errors.Is(err, ErrRefused):
			b.log.Error("a message is given up", "item", it.ID, "stream", it.Stream, "error", err)
		case ctx.Err() != nil:
			b.settleItem(it, release)
			return
		default:
			wait := retryWait(err, it.Attempts)
			if it.Kind != kindPost && it.Kind != kindReach && it.Kind != kindOwn {
				wait = min(wait, ownWait)
			}
			b.log.Warn("a message is put off", "item", it.ID, "stream", it.Stream, "for", wait, "error", err)
			tell.Retry = &store.Retry{ID: it.ID, Due: b.now().Add(wait)}
			b.settleItem(it, tell)
			return
		}
		tell.Done = []string{it.ID}
		if !b.settleItem(it, tell) {
			b.office.remember(it.ID)
			return
		}
	}
}

// settleItem tells the store what became of an item, also while shutting down. What
// it cannot be told is owed.
func (b *Bot) settleItem(it store.Item, what store.Batch) bool {
	ctx, cancel := context.WithTimeout(context.Background(), tellTime)
	defer cancel()
	for wait := 20 * time.Millisecond; ; wait *= 2 {
		_, err := b.store.Commit(ctx, what)
		if err == nil {
			return true
		}
		if !errors.Is(err, store.ErrTemporary) || sleep(ctx, wait) != nil {
			b.log.Error("the store was not told what became of a message", "item", it.ID, "stream", it.Stream, "error", err)
			b.office.owe(what)
			return false
		}
	}
}

// owe keeps what the store could not be told. Without it the stream would wait until
// the lease is over.
func (o *office) owe(what store.Batch) {
	o.mu.Lock()
	defer o.mu.Unlock()
	if len(o.owed) < 10_000 {
		o.owed = append(o.owed, what)
	}
}

// payOwed tells the store what it could not be told before.
func (b *Bot) payOwed(ctx context.Context) {
	b.office.mu.Lock()
	owed := b.office.owed
	b.office.owed = nil
	b.office.mu.Unlock()
	for i, what := range owed {
		_, err := b.store.Commit(ctx, what)
		switch {
		case err == nil:
		case !errors.Is(err, store.ErrTemporary) && !errors.Is(err, store.ErrFull) && ctx.Err() == nil:
			b.log.Error("the store will not be told what became of a message", "stream", what.Stream, "error", err)
		default:
			b.office.mu.Lock()
			b.office.owed = append(b.office.owed, owed[i:]...)
			b.office.mu.Unlock()
			return
		}
	}
}

// remember keeps that an item was posted although the store does not know, so that
// it is not posted again by this process.
func (o *office) remember(id string) {
	o.mu.Lock()
	defer o.mu.Unlock()
	if len(o.sent) > 10_000 {
		clear(o.sent)
	}
	o.sent[id] = true
}

func (o *office) posted(id string) bool {
	o.mu.Lock()
	defer o.mu.Unlock()
	return o.sent[id]
}

// retryWait is how long a failed item waits: what the platform asked for, or twice
// as long each time, a little spread.
func retryWait(err error, attempts int) time.Duration {
	if later := (*LaterError)(nil); errors.As(err, &later) && later.After > 0 {
		return min(later.After, store.MaxHold)
	}
	wait := longWait
	if attempts < 7 {
		wait = firstWait << attempts
	}
	return wait - time.Duration(rand.Int64N(int64(wait/5)))
}

// sendItem does what an item asks for. Nil and ErrRefused finish it.
func (b *Bot) sendItem(ctx context.Context, it store.Item) (err error) {
	if b.office.posted(it.ID) {
		return nil
	}
	defer func() {
		if p := recover(); p != nil {
			id := b.report("a queued message broke", p)
			err = fmt.Errorf("it broke, see %s", id)
			if it.Attempts >= maxBreaks {
				err = fmt.Errorf("%w: %w", ErrRefused, err)
			}
		}
	}()
	ctx, cancel := context.WithTimeout(ctx, sendTime)
	defer cancel()
	switch it.Kind {
	case kindPost:
		var p parcel
		if err := json.Unmarshal(it.Body, &p); err != nil {
			return fmt.Errorf("%w: %w", ErrRefused, err)
		}
		return b.post(ctx, p, it.ID)
	case kindOpen:
		number, err := strconv.Atoi(string(it.Body))
		if err != nil {
			return fmt.Errorf("%w: %w", ErrRefused, err)
		}
		return b.openQueued(ctx, number)
	case kindClosing:
		var c closing
		if err := json.Unmarshal(it.Body, &c); err != nil {
			return fmt.Errorf("%w: %w", ErrRefused, err)
		}
		return b.enterClosing(ctx, c)
	case kindAway:
		return b.sendAway(ctx, it)
	case kindReach:
		return b.reach(ctx, it)
	case kindLook:
		return b.spreadLook(ctx, it)
	case kindOwn:
		return b.ownLook(ctx, it)
	case kindForget:
		var f forgotten
		if err := json.Unmarshal(it.Body, &f); err != nil {
			return fmt.Errorf("%w: %w", ErrRefused, err)
		}
		return b.store.DeleteFile(ctx, string(jobID(f.Job)), f.ID)
	case kindErase:
		var work erasure
		if err := json.Unmarshal(it.Body, &work); err != nil {
			return fmt.Errorf("%w: %w", ErrRefused, err)
		}
		return b.erase(ctx, work)
	case remind.Kind:
		return b.remind(ctx, it)
	}
	// Of a newer version that runs beside this one: leave it for that.
	return &LaterError{After: 10 * time.Second, Err: fmt.Errorf("items of kind %q are not known here", it.Kind)}
}

// openQueued finishes an opening that a crash may have broken off.
func (b *Bot) openQueued(ctx context.Context, number int) error {
	if _, ok := b.directory.card(number); !ok {
		if err := b.directory.refresh(ctx, b.now()); err != nil {
			return err
		}
	}
	err := b.open(ctx, number)
	if err == nil || faultText(b.words(phrase.English), err) != "" || ctx.Err() != nil {
		return err
	}
	// The sheet is gone since: said once, tried again with the next message there.
	card, _ := b.directory.card(number)
	if card.opened.Spot != nil {
		m := Message{Place: card.opened.Spot.In}
		if told := b.tell(card.opened.Spot.On, m, b.words(card.opened.Language).Say("fault.no_sheet", "n", number, "sheet", card.opened.Sheet)); told != nil {
			return told
		}
	}
	return fmt.Errorf("%w: %w", ErrRefused, err)
}

// enterClosing brings the directory up to a job that was closed or taken up again.
func (b *Bot) enterClosing(ctx context.Context, c closing) error {
	var kept *dialogs.Card
	if desk, ok := b.desk().(Carder); ok && c.Closed {
		made, _, err := b.cardOf(ctx, desk, c.Number)
		if err != nil && !errors.Is(err, store.ErrCorrupt) {
			return err
		}
		kept = &made
	}
	return again(ctx, func(int) error {
		if err := b.directory.refresh(ctx, b.now()); err != nil {
			return err
		}
		l := b.directory.look(spot{}, dialogs.Said{}, b.now())
		card, ok := b.directory.card(c.Number)
		if !ok || card.closed == c.Closed {
			return nil
		}
		return b.enterNote(ctx, l, note{Kind: noteClosed, At: b.now(), Number: c.Number, Closed: c.Closed, Card: kept}, nil)
	})
}
