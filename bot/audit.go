package bot

import (
	"context"
	"encoding/json"
	"errors"
	"log/slog"
	"strconv"
	"strings"
	"time"

	"shimwright/bot/remind"
	"shimwright/bot/store"
	"shimwright/dialogs"
)

// Directory is the stream that names the jobs; an export has it last.
const Directory = shopStream

// Audit looks whether what a store holds can be worked with: every record is read,
// every job folds, the directory and the jobs know each other, and what waits can be
// sent. It gives the number of jobs. It only reads; the error says why it could not
// look on.
func Audit(ctx context.Context, b store.Backend, now time.Time, report func(store.Finding)) (jobs int, err error) {
	names, err := store.Names(ctx, b)
	if err != nil {
		return 0, err
	}
	// The directory last: it then knows every job that was found before.
	a := auditor{backend: b, report: report, found: map[int]bool{}}
	for _, name := range names {
		if name == shopStream {
			continue
		}
		if err := a.stream(ctx, name); err != nil {
			return len(a.found), err
		}
	}
	return len(a.found), a.directory(ctx, now)
}

type auditor struct {
	backend store.Backend
	report  func(store.Finding)
	found   map[int]bool // jobs with events
}

const doRestore = "restore a backup: shimwright store restore"

func (a *auditor) stream(ctx context.Context, name string) error {
	records, err := a.backend.Events(ctx, name, 0)
	if errors.Is(err, store.ErrCorrupt) {
		a.report(store.Found(name, doRestore, "its events cannot be read: %v", err))
		return nil
	}
	if err != nil {
		return err
	}
	for i, r := range records {
		if !json.Valid(r) {
			a.report(store.Found(name, doRestore, "event %d is no JSON", i+1))
		}
	}
	if number, ok := jobNumber(name); ok {
		a.found[number] = true
		job, err := dialogs.Fold(name, JobEvents(records))
		switch {
		case err != nil:
			a.report(store.Found(name, doRestore, "the job cannot be folded: %v", err))
		case job.ReadOnly != "":
			a.report(store.Found(name, "update the program", "it can only be read: %s", job.ReadOnly))
		}
	}
	return a.queue(ctx, name)
}

// queue looks whether what waits in a stream can be sent.
func (a *auditor) queue(ctx context.Context, name string) error {
	items, err := a.backend.Waiting(ctx, name)
	if errors.Is(err, store.ErrCorrupt) {
		a.report(store.Found(name, doRestore, "its queue cannot be read: %v", err))
		return nil
	}
	if err != nil {
		return err
	}
	for _, it := range items {
		switch it.Kind {
		case kindPost:
			err = json.Unmarshal(it.Body, new(parcel))
		case kindOpen:
			_, err = strconv.Atoi(string(it.Body))
		case kindClosing:
			err = json.Unmarshal(it.Body, new(closing))
		case kindErase:
			err = json.Unmarshal(it.Body, new(erasure))
		case kindLook:
			err = json.Unmarshal(it.Body, new(lookCall))
		case kindOwn:
			err = json.Unmarshal(it.Body, new(ownCall))
		case remind.Kind:
			_, err = remind.Read(it)
		default: // a newer version's
			err = nil
		}
		if err != nil {
			a.report(store.Found(name, "nothing: it is given up when its turn comes", "item %s (%s) cannot be read: %v", it.ID, it.Kind, err))
		}
	}
	return nil
}

// directory holds the directory against the jobs that were found.
func (a *auditor) directory(ctx context.Context, now time.Time) error {
	records, err := a.backend.Events(ctx, shopStream, 0)
	if errors.Is(err, store.ErrCorrupt) {
		a.report(store.Found(shopStream, doRestore, "the list of jobs cannot be read: %v", err))
		return nil
	}
	if err != nil {
		return err
	}
	for i, r := range records {
		if !json.Valid(r) {
			a.report(store.Found(shopStream, doRestore, "entry %d is no JSON", i+1))
		}
	}
	d := newDirectory(store.New(a.backend, func() time.Time { return now }), slog.New(slog.DiscardHandler))
	if err := d.refresh(ctx, now); err != nil {
		return err
	}
	for _, c := range d.cards {
		if n := c.opened.Number; !a.found[n] {
			a.report(store.Found(string(jobID(n)), "say something in its thread: it opens with the next message", "the list names it and it has no events yet"))
		}
	}
	for n := range a.found {
		if d.numbers[n] == nil {
			a.report(store.Found(string(jobID(n)), doRestore, "it has events and the list does not name it"))
		}
	}
	return a.queue(ctx, shopStream)
}

// jobNumber is the number in the name of a job's stream.
func jobNumber(stream string) (int, bool) {
	text, ok := strings.CutPrefix(stream, "job-")
	n, err := strconv.Atoi(text)
	return n, ok && err == nil && n > 0 && string(jobID(n)) == stream
}

// JobStream names the stream of a job.
func JobStream(number int) string { return string(jobID(number)) }

// NotesOf takes from the records of the directory those about one job, in order.
func NotesOf(records [][]byte, number int) [][]byte {
	var out [][]byte
	for _, r := range records {
		var n note
		if json.Unmarshal(r, &n) == nil && n.Number == number {
			out = append(out, r)
		}
	}
	return out
}
