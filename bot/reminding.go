package bot

import (
	"context"
	"fmt"
	"maps"
	"strings"
	"time"

	"shimwright/bot/remind"
	"shimwright/bot/store"
	"shimwright/dialogs"
)

// Timekeeper is a Desk with something to say later.
type Timekeeper interface {
	// Timers lists what is to be said when, if nothing else happens. The error is
	// that it cannot be known now.
	Timers(*dialogs.Job) ([]dialogs.Timer, error)
	// Due says a timer by its key; nothing where it is overtaken.
	Due(j *dialogs.Job, key string, due, now time.Time, to dialogs.Person) (dialogs.Reply, error)
}

// noTimers is how long a timer is put off that cannot be judged, as its sheet is
// missing.
const noTimers = 10 * time.Minute

// rows gives the timers a job wants in its queue.
func (b *Bot) rows(keeper Timekeeper, j *dialogs.Job) ([]remind.Row, error) {
	timers, err := keeper.Timers(j)
	if err != nil {
		return nil, err
	}
	now := b.now()
	rows := make([]remind.Row, len(timers))
	for i, tm := range timers {
		rows[i] = remind.Row{Key: tm.Key, At: b.sayAt(tm, now)}
	}
	return rows, nil
}

// sayAt is when a timer is said: its time, or the end of the quiet hours that time
// falls into, or, where it is overdue by now, of those that now falls into.
func (b *Bot) sayAt(tm dialogs.Timer, now time.Time) time.Time {
	if tm.Urgent {
		return tm.Due
	}
	var groups [][]remind.Quiet
	for _, name := range tm.Ping {
		var group []remind.Quiet
		for _, p := range b.people.called(name) {
			group = append(group, p.Quiet)
		}
		groups = append(groups, group)
	}
	at := remind.When(tm.Due, b.quiet, groups...)
	if at.Before(now) {
		if later := remind.When(now, b.quiet, groups...); later.After(now) {
			return later
		}
	}
	return at
}

// setTimers adds to a batch what brings the queue from the timers that wait to those
// of the job as it will be. It gives the rows as they are after the commit, nil
// where they were not asked for.
func (b *Bot) setTimers(ctx context.Context, c *conversation, next *dialogs.Job, batch *store.Batch) (remind.Rows, error) {
	keeper, ok := b.desk().(Timekeeper)
	if !ok || next == nil {
		return nil, nil
	}
	wanted, err := b.rows(keeper, next)
	if err != nil {
		b.log.Warn("the timers of a job stay as they are", "stream", c.stream, "error", err)
		return nil, nil
	}
	waiting := maps.Clone(c.rows)
	if waiting == nil {
		if len(wanted) == 0 && len(batch.Done) == 0 {
			if before, err := keeper.Timers(c.job); err == nil && len(before) == 0 {
				return nil, nil // as for most jobs: the queue need not be asked
			}
		}
		queue, err := b.store.Waiting(ctx, c.stream)
		if err != nil {
			return nil, err
		}
		waiting = remind.RowsOf(queue)
	}
	for _, id := range batch.Done {
		delete(waiting, id)
	}
	items, cancel, after, err := waiting.Change(c.stream, wanted)
	batch.Queue, batch.Cancel = append(batch.Queue, items...), append(batch.Cancel, cancel...)
	return after, err
}

// remind says a timer whose row is due; see package remind for what that promises.
// A nil error means that the store knows what became of the row.
func (b *Bot) remind(ctx context.Context, it store.Item) error {
	row, err := remind.Read(it)
	if err != nil {
		return fmt.Errorf("%w: %w", ErrRefused, err)
	}
	number, ok := jobNumber(it.Stream)
	if !ok {
		return fmt.Errorf("%w: a timer waits in %s, which is no job", ErrRefused, it.Stream)
	}
	return b.inTurn(ctx, it.Stream, func(c *conversation) error {
		return again(ctx, func(int) error {
			if err := b.load(ctx, c, number); err != nil {
				return err
			}
			return b.remindIn(ctx, c, it, row)
		})
	})
}

// remindIn answers a due row with the job as it stands: the timer is said, or gets
// its row for a later time, or is gone. Each is one commit that ends the row.
func (b *Bot) remindIn(ctx context.Context, c *conversation, it store.Item, row remind.Row) error {
	now := b.now()
	batch := store.Batch{Done: []string{it.ID}, Lease: it.Lease}
	record, base := talk{At: now}, parcel{Job: number(c.job)}
	keeper, ok := b.desk().(Timekeeper)
	if !ok {
		return b.writeBatch(ctx, c, batch, dialogs.Reply{}, record, base)
	}
	timers, err := keeper.Timers(c.job)
	if err != nil {
		b.log.Warn("a timer is put off", "stream", it.Stream, "timer", row.Key, "error", err)
		later, err := remind.Row{Key: row.Key, At: now.Add(noTimers)}.Item(it.Stream)
		if err != nil {
			return err
		}
		batch.Queue = []store.Item{later}
		return b.writeBatch(ctx, c, batch, dialogs.Reply{}, record, base)
	}
	var reply dialogs.Reply
	for _, tm := range timers {
		at := b.sayAt(tm, now)
		if tm.Key != row.Key || at.After(now) {
			continue
		}
		if reply, err = keeper.Due(c.job, tm.Key, at, now, b.addressee(tm)); err != nil {
			return err
		}
	}
	where := b.elsewhere(base.Job)
	for i, o := range reply.Out {
		reply.Out[i].Text = where + o.Text
		for k, line := range o.Large {
			if where != "" && strings.HasPrefix(o.Text, line) {
				o.Large[k] = where + line
			}
		}
		record.Answers = append(record.Answers, reply.Out[i].Text)
	}
	return b.writeBatch(ctx, c, batch, reply, record, base)
}

// addressee is the first person a timer is for: it is said as they are used to.
func (b *Bot) addressee(tm dialogs.Timer) dialogs.Person {
	for _, name := range tm.Ping {
		if called := b.people.called(name); len(called) > 0 {
			return b.directory.habitsOf(called[0].Name).of(called[0].person())
		}
	}
	return dialogs.Person{}
}

// elsewhere names the job where its home talks about another one now.
func (b *Bot) elsewhere(number int) string {
	card, ok := b.directory.card(number)
	if !ok || card.erased || b.directory.talksOf(card.home()) == number {
		return ""
	}
	if _, threads := b.adapters[card.opened.Spot.On].(Threader); threads && card.thread == nil {
		return "" // its thread is yet to be opened
	}
	return fmt.Sprintf("job %d: ", number)
}

func number(j *dialogs.Job) int {
	if j == nil {
		return 0
	}
	return j.Number
}
