package bot

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"shimwright/bot/store"
	"shimwright/dialogs"
)

// Taking out of a job what could name a person goes over several streams, which no
// store can change at once. It begins with an entry of the directory that says who
// asked for it and queues the work; the work can be done again from the start, as
// often as it breaks off:
//
//  1. the job's stream: each event and each record of a turn is replaced by one
//     without names, words and ids, and an entry at the end says so; what is queued
//     there is withdrawn
//  2. the files beside it
//  3. what was answered at places about it, such as lists of jobs, and the posts of it
//     that offered choices; of its looks what was laid before people in private
//  4. the directory's entries about it
//
// Whoever has read a stream, this process or another, is given the entry at the end
// and then reads the stream again from the start.

// erasure is a queued taking out.
type erasure struct {
	Number int       `json:"number"`
	By     string    `json:"by"`
	Role   string    `json:"role"`
	At     time.Time `json:"at"`
	Salt   string    `json:"salt"`
}

// Limits of one batch of a taking out, below the store's, and when it is gone over
// again.
const (
	eraseEvents = 900
	eraseBytes  = 8 << 20
	eraseAgain  = time.Minute
)

// errNotErased says that a job cannot be taken out of, and why.
var errNotErased = errors.New("the job's personal data cannot be taken out")

// erase enters that a job is to be taken out of, and does it.
func (t *turn) erase(ctx context.Context, c *conversation, l look, door dialogs.DoorReply) error {
	if err := t.bot.canErase(ctx, door.Erase); err != nil {
		return err
	}
	work := erasure{Number: door.Erase, By: t.said.By.Name, Role: string(t.said.By.Role), At: t.said.At, Salt: store.NewID()}
	body, err := json.Marshal(work)
	if err != nil {
		return err
	}
	answers, err := parcel{Spot: t.spot}.items(door.Out)
	if err != nil {
		return err
	}
	// The answer leaves when it is done. Once more a while later: another process may
	// have been answering somebody in the job's thread at this moment.
	queue := append([]store.Item{{Kind: kindErase, Body: body}}, answers...)
	queue = append(queue, store.Item{Kind: kindErase, Body: body, Due: t.bot.now().Add(eraseAgain)})
	n := note{Kind: noteErased, At: t.said.At, By: work.By, Message: t.said.ID, Number: work.Number, Role: work.Role}
	err = t.bot.enterNote(ctx, l, n, queue)
	switch {
	case errors.Is(err, store.ErrConflict):
		return &movedOn{err}
	case err != nil:
		return err
	}
	c.note(t.record(door.Out))
	return nil
}

// canErase says whether the whole log of a job is understood.
func (b *Bot) canErase(ctx context.Context, number int) error {
	records, err := b.store.Events(ctx, string(jobID(number)), 0)
	if err != nil {
		return err
	}
	_, err = takeOutAll(dialogs.NewTakeOut("trial"), records)
	return err
}

// erase does a queued taking out, all of it or what is left of it.
func (b *Bot) erase(ctx context.Context, work erasure) error {
	out := dialogs.NewTakeOut(work.Salt)
	stream := string(jobID(work.Number))
	if err := b.inTurn(ctx, stream, func(c *conversation) error {
		defer c.forget()
		return b.eraseStream(ctx, stream, work, func(r [][]byte) ([][]byte, error) { return takeOutAll(out, r) }, func() ([][]byte, error) {
			end, err := out.Erasure(work.By, dialogs.Role(work.Role), work.At)
			if err != nil {
				return nil, err
			}
			mark, err := encodeTalk(talk{At: work.At, Erased: true})
			return [][]byte{end, mark}, err
		})
	}); err != nil {
		return err
	}
	files, err := b.store.Files(ctx, stream)
	if err != nil {
		return err
	}
	for _, f := range files {
		if err := b.store.DeleteFile(ctx, stream, f.Name); err != nil {
			return err
		}
	}
	if err := b.erasePlaces(ctx, work); err != nil {
		return err
	}
	if err := b.eraseOffers(ctx, work); err != nil {
		return err
	}
	if err := b.eraseCards(ctx, work); err != nil {
		return err
	}
	again := func(records [][]byte) ([][]byte, error) { return takeOutNotes(out, work.Number, records) }
	if err := b.eraseStream(ctx, shopStream, work, again, func() ([][]byte, error) {
		data, err := json.Marshal(note{Kind: noteErased, At: work.At, By: work.By, Number: work.Number, Role: work.Role, Closed: true})
		return [][]byte{data}, err
	}); err != nil {
		return err
	}
	return b.directory.refresh(ctx, b.now())
}

// eraseStream replaces the records of a stream that change says, with a record at the
// end of each batch that says so. Where nothing changes any more nothing is written.
func (b *Bot) eraseStream(ctx context.Context, stream string, work erasure, change func([][]byte) ([][]byte, error), end func() ([][]byte, error)) error {
	return again(ctx, func(int) error {
		for {
			records, err := b.store.Events(ctx, stream, 0)
			if err != nil {
				return err
			}
			changed, err := change(records)
			if err != nil {
				return err
			}
			batch := store.Batch{Stream: stream, Expect: uint64(len(records))}
			size := 0
			for i, r := range changed {
				if bytes.Equal(r, records[i]) {
					continue
				}
				if len(batch.Replace) == eraseEvents || size+len(r) > eraseBytes {
					break
				}
				size += len(r)
				batch.Replace = append(batch.Replace, store.Replacement{Version: uint64(i + 1), Event: r})
			}
			if len(batch.Replace) == 0 {
				return nil
			}
			if batch.Events, err = end(); err != nil {
				return err
			}
			if stream != shopStream {
				// What waits there has names in it. The directory's own queue is this work.
				items, err := b.store.Waiting(ctx, stream)
				if err != nil {
					return err
				}
				for _, it := range items[:min(len(items), store.MaxCount)] {
					batch.Cancel = append(batch.Cancel, it.ID)
				}
			}
			if _, err := b.commit(ctx, batch); err != nil {
				return err
			}
		}
	})
}

// takeOutAll takes out of the records of a job's stream.
func takeOutAll(out *dialogs.TakeOut, records [][]byte) ([][]byte, error) {
	changed := make([][]byte, len(records))
	for i, r := range records {
		var err error
		if bytes.HasPrefix(r, talkMark) {
			changed[i], err = takeOutTalk(out, r)
		} else if changed[i], err = out.Record(r); errors.Is(err, dialogs.ErrNewerEntry) {
			err = fmt.Errorf("%w: %w: update the program first", errNotErased, err)
		}
		if err != nil {
			return nil, err
		}
	}
	return changed, nil
}

// takeOutTalk takes out of the record of a turn.
func takeOutTalk(out *dialogs.TakeOut, record []byte) ([]byte, error) {
	var t struct{ Talk talk }
	if err := json.Unmarshal(record, &t); err != nil {
		return nil, err
	}
	k := t.Talk
	clean := talk{Message: out.ID(k.Message), At: k.At, By: out.Name(k.By), Role: k.Role, Erased: k.Erased}
	for _, id := range k.Passed {
		clean.Passed = append(clean.Passed, out.ID(id))
	}
	if k.Text == "" && len(k.Files) == 0 && len(k.Answers) == 0 && k.Message == clean.Message && k.By == clean.By && slices.Equal(k.Passed, clean.Passed) {
		return record, nil
	}
	return encodeTalk(clean)
}

// takeOutNotes takes out of the directory's entries about a job.
func takeOutNotes(out *dialogs.TakeOut, number int, records [][]byte) ([][]byte, error) {
	changed := slices.Clone(records)
	for i, r := range records {
		var n note
		if err := json.Unmarshal(r, &n); err != nil || n.Number != number || n.Kind == noteErased {
			continue // one that cannot be read is passed over everywhere
		}
		was := n
		n.By, n.Message, n.Spot, n.Below, n.Title, n.Text = "", out.ID(n.Message), nil, "", "", ""
		if n.Card != nil {
			card := *n.Card
			card.People, card.Words, card.State = nil, nil, dialogs.CardErased
			n.Card = &card
		}
		n.Erased = true
		if was.Erased && was.Message == n.Message && was.Spot == nil && was.By == "" {
			continue
		}
		data, err := json.Marshal(n)
		if err != nil {
			return nil, err
		}
		changed[i] = data
	}
	return changed, nil
}

// erasePlaces takes the answers that spoke of a job out of what is kept of places.
func (b *Bot) erasePlaces(ctx context.Context, work erasure) error {
	words := []string{fmt.Sprintf("job %d,", work.Number), fmt.Sprintf("job %d ", work.Number), fmt.Sprintf("trabajo %d,", work.Number), fmt.Sprintf("trabajo %d ", work.Number)}
	speaks := func(answer string) bool {
		return slices.ContainsFunc(words, func(w string) bool { return strings.Contains(answer, w) })
	}
	change := func(records [][]byte) ([][]byte, error) {
		changed := slices.Clone(records)
		for i, r := range records {
			var t struct{ Talk talk }
			if json.Unmarshal(r, &t) != nil || !slices.ContainsFunc(t.Talk.Answers, speaks) {
				continue
			}
			t.Talk.Answers = slices.DeleteFunc(t.Talk.Answers, speaks)
			data, err := encodeTalk(t.Talk)
			if err != nil {
				return nil, err
			}
			changed[i] = data
		}
		return changed, nil
	}
	end := func() ([][]byte, error) {
		mark, err := encodeTalk(talk{At: work.At, Erased: true})
		return [][]byte{mark}, err
	}
	return b.eraseStreams(ctx, "place/", work, change, end)
}

// eraseOffers takes the words of a job's posts out of what was offered at places.
func (b *Bot) eraseOffers(ctx context.Context, work erasure) error {
	change := func(records [][]byte) ([][]byte, error) {
		changed := slices.Clone(records)
		for i, r := range records {
			var n offerNote
			if json.Unmarshal(r, &n) != nil || n.Job != work.Number || n.Text == "" && n.For == nil && n.Choices == nil {
				continue
			}
			n.Text, n.For, n.Choices = "", nil, nil
			data, err := json.Marshal(n)
			if err != nil {
				return nil, err
			}
			changed[i] = data
		}
		return changed, nil
	}
	end := func() ([][]byte, error) {
		data, err := json.Marshal(offerNote{At: work.At, Job: work.Number})
		return [][]byte{data}, err
	}
	return b.eraseStreams(ctx, "offers/", work, change, end)
}

// eraseStreams goes over all streams whose names begin so.
func (b *Bot) eraseStreams(ctx context.Context, prefix string, work erasure, change func([][]byte) ([][]byte, error), end func() ([][]byte, error)) error {
	after := ""
	for {
		names, err := b.store.Streams(ctx, prefix, after, 500)
		if err != nil {
			return err
		}
		for _, name := range names {
			if err := b.eraseStream(ctx, name, work, change, end); err != nil {
				return err
			}
			after = name
		}
		if len(names) < 500 {
			return nil
		}
	}
}
