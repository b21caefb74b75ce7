package bot

import (
	"context"
	"errors"

	"shimwright/bot/store"
	"shimwright/dialogs/phrase"
)

// faultText says to a person why their message could not be taken, "" where the
// cause is inside the program.
func faultText(words phrase.Speaker, err error) string {
	half := (*halfOpen)(nil)
	switch {
	case errors.As(err, &half) && (errors.Is(err, store.ErrFull) || errors.Is(err, store.ErrTemporary)):
		return words.Say("fault.half_open", "n", half.number)
	case errors.Is(err, errNotErased):
		return words.Say("fault.not_erased")
	case errors.Is(err, store.ErrFull):
		return words.Say("fault.full")
	case errors.Is(err, store.ErrTemporary), errors.Is(err, context.DeadlineExceeded):
		return words.Say("fault.no_answer")
	case errors.Is(err, store.ErrLocked):
		return words.Say("fault.locked")
	case errors.Is(err, store.ErrCorrupt):
		return words.Say("fault.damaged")
	case errors.Is(err, store.ErrNewer):
		return words.Say("fault.newer")
	}
	return ""
}

// broken is what is said where the program itself failed.
func broken(words phrase.Speaker, id string) string {
	return words.Say("fault.broke", "id", id)
}

// words gives the phrases of a language for what the bot says itself. They are read
// once, and not taken from the desk: it may be what broke.
func (b *Bot) words(lang phrase.Language) phrase.Speaker {
	b.phrasesOnce.Do(func() {
		book, err := phrase.Load()
		if err != nil {
			b.log.Error("the phrases could not be read", "error", err)
			return
		}
		b.phrases = book
	})
	if b.phrases == nil {
		return phrase.Speaker{}
	}
	return b.phrases.In(lang)
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
