package bot

import (
	"context"
	"errors"
	"fmt"
	"strconv"

	"shimwright/bot/store"
	"shimwright/dialogs"
)

// enter writes what the door decided into the directory: a new job, the job a place
// talks about, a person's units.
func (t *turn) enter(ctx context.Context, c *conversation, l look, door dialogs.DoorReply) error {
	n := note{At: t.said.At, By: t.said.By.Name, Message: t.said.ID}
	queue, err := parcel{Spot: t.spot}.items(door.Out)
	if err != nil {
		return err
	}
	switch {
	case door.Open != nil:
		// Asked beforehand, so that no number goes to a job that cannot begin.
		if _, err := t.bot.desk().Opened(l.next, *door.Open, t.said); err != nil {
			return err
		}
		n.Kind, n.Number, n.Sheet, n.Title = noteOpened, l.next, door.Open.Sheet, door.Open.Title
		n.Role, n.Text, n.Units = string(t.said.By.Role), t.said.Text, t.said.By.Units
		n.Language, n.Replies, n.Type = t.said.By.Language, t.said.By.Replies, t.said.By.Type
		n.Spot = &spot{t.on, t.m.Place}
		if _, threads := t.bot.adapters[t.on].(Threader); !threads {
			n.Spot, n.Here = &t.spot, true
		} else if t.m.Thread == "" {
			n.Below = t.m.ID
		}
		queue = append(queue, store.Item{ID: "open-" + strconv.Itoa(l.next), Kind: kindOpen, Body: []byte(strconv.Itoa(l.next))})
	case door.Switch != 0:
		n.Kind, n.Number, n.Spot = noteHere, door.Switch, &t.spot
	default:
		n.Kind, n.Units, n.Language, n.Replies, n.Type, n.Called = noteUnits, door.Units, door.Language, door.Replies, door.Type, door.Called
	}
	err = t.bot.enterNote(ctx, l, n, queue)
	switch {
	case errors.Is(err, store.ErrConflict):
		return &movedOn{err}
	case err != nil:
		return &entering{err}
	}
	c.note(t.record(door.Out))
	if n.Kind == noteOpened {
		if err := t.bot.open(ctx, n.Number); err != nil {
			return &halfOpen{n.Number, err}
		}
	}
	return nil
}

// halfOpen says that a job has its number and not yet its first events.
type halfOpen struct {
	number int
	err    error
}

func (e *halfOpen) Error() string { return fmt.Sprintf("job %d: %v", e.number, e.err) }
func (e *halfOpen) Unwrap() error { return e.err }

// open makes sure that a job of the directory has its first events.
func (b *Bot) open(ctx context.Context, number int) error {
	return b.inTurn(ctx, string(jobID(number)), func(c *conversation) error {
		return again(ctx, func(int) error { return b.load(ctx, c, number) })
	})
}

// load brings a conversation up to its stream; a job without events gets its first.
func (b *Bot) load(ctx context.Context, c *conversation, number int) (err error) {
	defer func() {
		if err != nil {
			c.forget() // half a job must not be answered from
		}
	}()
	id := JobID("")
	if number != 0 {
		id = jobID(number)
	}
	if err = c.load(ctx, b.store, id); err != nil {
		return err
	}
	if number == 0 || c.version > 0 {
		return nil
	}
	card, ok := b.directory.card(number)
	if !ok {
		return fmt.Errorf("job %d is not in the directory", number)
	}
	n := card.opened
	said := dialogs.Said{
		ID: n.Message, At: n.At, Text: n.Text, Addressed: true,
		By: dialogs.Person{Name: n.By, Role: dialogs.Role(n.Role), Units: n.Units, Language: n.Language, Replies: n.Replies, Type: n.Type},
	}
	reply, err := b.desk().Opened(number, dialogs.Opening{Sheet: n.Sheet, Title: n.Title}, said)
	if err != nil {
		return fmt.Errorf("job %d cannot begin: %w", number, err)
	}
	record := talk{Message: n.Message, At: n.At, By: n.By, Role: n.Role, Text: n.Text}
	for _, o := range reply.Out {
		record.Answers = append(record.Answers, o.Text)
	}
	return b.write(ctx, c, reply, record, parcel{Spot: *n.Spot, Job: number})
}
