package bot

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"time"

	"shimwright/bot/store"
	"shimwright/dialogs"
)

// inTurn does something with a stream's conversation while no other turn of this
// process does. What broke off half way leaves nothing in memory.
func (b *Bot) inTurn(ctx context.Context, stream string, do func(*conversation) error) error {
	c, err := b.conversations.take(ctx, stream)
	if err != nil {
		return fmt.Errorf("waiting for the turn of %s: %w", stream, err)
	}
	whole := false
	defer func() {
		if !whole {
			c.forget()
		}
		b.conversations.give(c)
	}()
	err = do(c)
	whole = true
	return err
}

// write appends a turn to a conversation: events, its record, and what is to be
// sent, all or nothing.
func (b *Bot) write(ctx context.Context, c *conversation, r dialogs.Reply, record talk, base parcel) error {
	return b.writeBatch(ctx, c, store.Batch{}, r, record, base)
}

// writeBatch adds a turn to a batch that may end queued items of the stream.
func (b *Bot) writeBatch(ctx context.Context, c *conversation, batch store.Batch, r dialogs.Reply, record talk, base parcel) error {
	batch.Stream, batch.Expect, batch.Last = c.stream, c.version, c.last
	next := c.job
	for _, e := range r.Events {
		data, err := dialogs.Encode(e)
		if err != nil {
			return err
		}
		batch.Events = append(batch.Events, data)
	}
	if r.Job != nil {
		next = r.Job
	} else if len(r.Events) > 0 {
		var err error
		if next, err = c.job.With(r.Events); err != nil {
			return err
		}
	}
	record.Passed = c.passed
	data, err := encodeTalk(record)
	if err != nil {
		return err
	}
	batch.Events = append(batch.Events, data)
	out, looks, err := b.callLook(c.job, next, r.Out)
	if err != nil {
		return err
	}
	r.Out = out
	posts, err := base.items(r.Out)
	if err != nil {
		return err
	}
	batch.Queue = append(batch.Queue, posts...)
	calls, err := b.awayItems(base, r.Out, max(base.Job, base.Of))
	if err != nil {
		return err
	}
	batch.Queue = append(slices.Concat(batch.Queue, calls), looks...)
	for _, id := range r.Forget {
		item, err := forgotten{Job: next.Number, ID: id}.item()
		if err != nil {
			return err
		}
		batch.Queue = append(batch.Queue, item)
	}
	rows, err := b.setTimers(ctx, c, next, &batch)
	if err != nil {
		return err
	}
	if next != nil && next.Closed != c.job.Closed {
		item, err := closing{Number: next.Number, Closed: next.Closed}.item()
		if err != nil {
			return err
		}
		batch.Queue = append(batch.Queue, item)
	}
	version, err := b.commit(ctx, batch)
	if errors.Is(err, store.ErrDuplicate) {
		c.forget() // a row waits that was not known of
		return fmt.Errorf("%w: %w", store.ErrConflict, err)
	}
	if err != nil {
		if !errors.Is(err, store.ErrConflict) && !errors.Is(err, store.ErrFull) {
			c.forget() // what is there now is not known
		}
		return err
	}
	c.version, c.last, c.job, c.rows, c.passed = version, data, next, rows, nil
	c.note(record)
	return nil
}

// commit makes a batch last. A store that does not answer is asked again with the
// same batch, which cannot do it twice.
func (b *Bot) commit(ctx context.Context, batch store.Batch) (uint64, error) {
	if batch.ID == "" {
		batch.ID = store.NewID()
	}
	if len(batch.Queue) > 0 {
		if sending, ok := b.office.promise(); ok {
			batch.Take, batch.TakeFor, batch.Told = store.NewID(), leaseTime, &store.Told{}
			defer b.handOver(sending, batch.Told)
		}
	}
	wait, waited, unsure := 50*time.Millisecond, time.Duration(0), false
	for {
		version, err := b.store.Commit(ctx, batch)
		if errors.Is(err, store.ErrRewound) {
			err = fmt.Errorf("%w: %w", store.ErrConflict, err) // read anew as after one
		}
		if err == nil || errors.Is(err, store.ErrConflict) {
			return version, err
		}
		// Once one try may have done it, a later refusal says nothing any more.
		unsure = unsure || errors.Is(err, store.ErrTemporary)
		if !unsure {
			return version, err
		}
		if waited >= askAgain || sleep(ctx, wait) != nil {
			return version, fmt.Errorf("%w, perhaps it is done: %v", store.ErrTemporary, err)
		}
		batch.Take = "" // what was given to nobody is found again
		waited += wait
		wait = min(2*wait, 2*time.Second)
	}
}

// handOver sends what a commit was given to send.
func (b *Bot) handOver(ctx context.Context, told *store.Told) {
	if len(told.Items) == 0 {
		b.office.back()
		return
	}
	go func() {
		defer b.office.back()
		b.sendGroup(ctx, told.Items)
	}()
}

// enterNote appends an entry to the directory as the message saw it.
func (b *Bot) enterNote(ctx context.Context, l look, n note, queue []store.Item) error {
	data, err := json.Marshal(n)
	if err != nil {
		return err
	}
	_, err = b.commit(ctx, store.Batch{Stream: shopStream, Expect: l.version, Last: l.last, Events: [][]byte{data}, Queue: queue})
	if refresh := b.directory.refresh(ctx, b.now()); err == nil {
		err = refresh
	}
	return err
}
