package bot

import (
	"context"
	"errors"
	"fmt"

	"shimwright/bot/store"
)

// faultText says to a person why their message could not be taken, "" where the
// cause is inside the program.
func faultText(err error) string {
	half := (*halfOpen)(nil)
	switch {
	case errors.As(err, &half) && (errors.Is(err, store.ErrFull) || errors.Is(err, store.ErrTemporary)):
		return fmt.Sprintf("job %d has its number, but the shop's store gives trouble: it opens by itself once that is over.\nno need to say it again.", half.number)
	case errors.Is(err, errNotErased):
		return "that job was written by a newer version of this program, so i cannot tell what in it names a person: nothing was taken out.\nupdate the program, then say it again."
	case errors.Is(err, store.ErrFull):
		return "the shop's store is full: that message was not logged.\nmake room on its disk, then say it again."
	case errors.Is(err, store.ErrTemporary), errors.Is(err, context.DeadlineExceeded):
		return "the shop's store does not answer, so it is not sure that your message was logged.\nin a minute, say status and look before you say it again."
	case errors.Is(err, store.ErrLocked):
		return "another program holds the shop's store: that message was not logged.\nclose the other one, then say it again."
	case errors.Is(err, store.ErrCorrupt):
		return "the shop's store is damaged: nothing is logged from here on.\nwrite down your readings and have a backup restored."
	case errors.Is(err, store.ErrNewer):
		return "the shop's store belongs to a newer version of this program: that message was not logged.\nupdate the program, then say it again."
	}
	return ""
}

// broken is what is said where the program itself failed.
func broken(id string) string {
	return "something broke on my side, and that message was not logged.\nsay it again; if it breaks again, give the owner this number: " + id
}

// tell posts directly, past the queue: what has to be said when the store cannot be
// used. Its error means that the person knows nothing.
func (b *Bot) tell(on string, m Message, text string) error {
	ctx, cancel := context.WithTimeout(context.Background(), tellTime)
	defer cancel()
	nonce := store.NewID()
	if m.ID != "" {
		// Other processes may have the same to say of the message.
		nonce = hashName("tell " + on + ":" + string(m.ID))
	}
	_, err := b.adapters[on].Send(ctx, m.Here(), Post{Text: defuse(text)}, nonce)
	if err != nil {
		b.log.Error("a fault could not be told", "place", m.Here(), "text", text, "error", err)
	}
	return err
}
