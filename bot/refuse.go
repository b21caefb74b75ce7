package bot

import (
	"context"
	"encoding/json"
	"errors"

	"shimwright/bot/store"
	"shimwright/dialogs"
)

// entering marks an error of writing to the directory: the message belongs there.
type entering struct{ err error }

func (e *entering) Error() string { return e.err.Error() }
func (e *entering) Unwrap() error { return e.err }

// refuse writes down that a message is not taken because the store is full, and
// queues the sentence that says so. A server out of memory has room for that much,
// and from then on no process takes the message: what its author was told stays true.
// An error means that nothing was written, nor anything told.
func (t *turn) refuse(ctx context.Context, cause error, text string) error {
	b := t.bot
	queue, err := parcel{Spot: t.spot}.items([]dialogs.Outgoing{{Text: text}})
	if err != nil {
		return err
	}
	if e := (*entering)(nil); errors.As(cause, &e) {
		return again(ctx, func(int) error {
			if err := b.directory.refresh(ctx, b.now()); err != nil {
				return err
			}
			l := b.directory.look(t.spot, t.said, b.now())
			if l.heard {
				return nil
			}
			data, err := json.Marshal(note{Kind: noteRefused, At: t.said.At, By: t.said.By.Name, Message: t.said.ID})
			if err != nil {
				return err
			}
			_, err = b.commit(ctx, store.Batch{Stream: shopStream, Expect: l.version, Last: l.last, Events: [][]byte{data}, Queue: queue, Squeeze: true})
			return err
		})
	}
	l := b.directory.look(t.spot, t.said, b.now())
	return b.inTurn(ctx, t.stream(l), func(c *conversation) error {
		return again(ctx, func(int) error {
			if err := b.load(ctx, c, l.number); err != nil {
				return err
			}
			if c.knows(t.said.ID) {
				return nil // another process had more luck, or has refused it
			}
			record := talk{Message: t.said.ID, At: t.said.At, By: t.said.By.Name, Role: string(t.said.By.Role), Answers: []string{text}}
			data, err := encodeTalk(record)
			if err != nil {
				return err
			}
			version, err := b.commit(ctx, store.Batch{Stream: c.stream, Expect: c.version, Last: c.last, Events: [][]byte{data}, Queue: queue, Squeeze: true})
			if err != nil {
				c.forget()
				return err
			}
			c.version, c.last = version, data
			c.note(record)
			return nil
		})
	})
}
