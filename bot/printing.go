package bot

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"time"

	"shimwright/bot/photo"
	"shimwright/dialogs"
	"shimwright/dialogs/phrase"
	"shimwright/dialogs/sheet"
)

// Printing is how the shop's summaries are printed.
type Printing struct {
	Paper sheet.Paper    // A4 where empty
	Shop  string         // the shop's name, may be empty
	Zone  *time.Location // where it is, UTC where nil
}

// Printer is a Desk that can write the summary of a job.
type Printer interface {
	Print(w io.Writer, j *dialogs.Job, o dialogs.Printout, p dialogs.Press) error
	// Words gives the phrases of a language.
	Words(phrase.Language) phrase.Speaker
}

// printed adds the summary a message asks for to what is posted: the file, or a line
// that says how to get it where the platform takes none.
func (b *Bot) printed(ctx context.Context, a Adapter, out dialogs.Outgoing) (text string, files []File) {
	o := out.Print
	printer, ok := b.desk().(Printer)
	if o == nil || !ok {
		return "", nil
	}
	words := printer.Words(o.Language)
	count, size := 0, 0
	if f, ok := a.(Filer); ok {
		count, size = f.FileLimits()
	}
	if count == 0 {
		return "\n" + words.Say("summary.sheet_no_files", "n", o.Job, "format", string(o.Format)), nil
	}
	data, err := b.print(ctx, printer, *o)
	switch {
	case err != nil:
		id := b.report("a sheet could not be made", err)
		return "\n" + words.Say("summary.sheet_failed", "id", id), nil
	case len(data) > size:
		b.log.Warn("a sheet is too large to be posted", "job", o.Job, "bytes", len(data), "most", size)
		return "\n" + words.Say("summary.sheet_no_files", "n", o.Job, "format", string(o.Format)), nil
	}
	return "", []File{{Name: o.Name(), Type: o.Format.Type(), Alt: words.Say("summary.sheet_alt", "n", o.Job), Data: data}}
}

// print writes the summary of a job as its log was when it was asked for.
func (b *Bot) print(ctx context.Context, printer Printer, o dialogs.Printout) ([]byte, error) {
	stream := string(jobID(o.Job))
	records, err := b.store.Events(ctx, stream, 0)
	if err != nil {
		return nil, err
	}
	own := JobEvents(records)
	if len(own) == 0 {
		return nil, fmt.Errorf("%w: %d", ErrNoJob, o.Job)
	}
	if o.Entries > 0 && o.Entries < uint64(len(own)) {
		own = own[:o.Entries]
	}
	job, err := dialogs.Fold(stream, own)
	if err != nil {
		return nil, err
	}
	press := dialogs.Press{Paper: b.printing.Paper, Shop: b.printing.Shop, Zone: b.printing.Zone, Photo: b.thumb(ctx, stream)}
	if b.painter != nil {
		if press.Painter, err = b.painter(); err != nil {
			return nil, err
		}
	}
	var w bytes.Buffer
	if err := printer.Print(&w, job, o, press); err != nil {
		return nil, err
	}
	return w.Bytes(), nil
}

// thumb gives the kept photos of a stream, small.
func (b *Bot) thumb(ctx context.Context, stream string) func(string) []byte {
	return func(name string) []byte {
		data, err := b.store.File(ctx, stream, name)
		if err == nil {
			data, err = photo.Thumb(data)
		}
		if err != nil {
			b.log.Warn("a photo is left off a sheet", "stream", stream, "photo", name, "error", err)
			return nil
		}
		return data
	}
}

// Print writes the summary of a job from a store that nothing else need have open:
// for a command line. The error of a job that is not there wraps ErrNoJob.
func Print(ctx context.Context, c Config, o dialogs.Printout) ([]byte, error) {
	printer, ok := c.Desk().(Printer)
	if !ok {
		return nil, errors.New("the desk cannot print")
	}
	b := &Bot{store: c.Store, desk: c.Desk, painter: c.Painter, log: c.Log, printing: c.Printing, now: c.Now}
	return b.print(ctx, printer, o)
}

// ErrNoJob says that a store has no job of a number.
var ErrNoJob = errors.New("there is no such job")
