package main

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"time"

	"shimwright/bot"
	"shimwright/bot/store"
	"shimwright/bot/store/boltstore"
)

// storeCheck looks whether all can be read and is consistent.
func storeCheck(ctx context.Context, c *storeCall) error {
	var jobs int
	var findings []store.Finding
	var err error
	name := c.name()
	if len(c.words) == 1 {
		name = c.words[0]
		jobs, findings, err = examineFile(ctx, name)
	} else {
		var b store.Backend
		var done func()
		if b, done, err = c.reading(ctx); err != nil {
			return err
		}
		defer done()
		jobs, findings, err = lookThrough(ctx, b)
	}
	if err != nil {
		return err
	}
	if c.json {
		enc := json.NewEncoder(c.s.out)
		enc.SetEscapeHTML(false)
		if err := enc.Encode(struct {
			OK       bool            `json:"ok"`
			Jobs     int             `json:"jobs"`
			Findings []store.Finding `json:"findings"`
		}{len(findings) == 0, jobs, append([]store.Finding{}, findings...)}); err != nil {
			return err
		}
	} else {
		showFindings(c.s.out, findings)
		if len(findings) == 0 {
			fmt.Fprintf(c.s.out, "%s: %s, all is well\n", name, count(jobs, "job"))
		} else {
			fmt.Fprintf(c.s.out, "%s: %s, %s\n", name, count(jobs, "job"), count(len(findings), "finding"))
		}
	}
	if len(findings) > 0 {
		return errTold
	}
	return nil
}

func showFindings(w io.Writer, findings []store.Finding) {
	for _, f := range findings {
		fmt.Fprintf(w, "%-6s%s\n    → %s\n", wrong, indent(f.String()), indent(f.Do))
	}
}

// lookThrough looks through a store: its own books first, then what they hold.
func lookThrough(ctx context.Context, b store.Backend) (jobs int, findings []store.Finding, err error) {
	report := func(f store.Finding) { findings = append(findings, f) }
	if i, ok := b.(store.Inspector); ok {
		if err := i.Inspect(ctx, report); err != nil {
			return 0, findings, err
		}
	}
	jobs, err = bot.Audit(ctx, b, time.Now(), report)
	return jobs, findings, err
}

func examineStore(ctx context.Context, file string) (jobs int, findings []store.Finding, err error) {
	b, err := boltstore.Open(file, lockWait)
	if err != nil {
		return 0, nil, err
	}
	defer b.Close()
	return lookThrough(ctx, b)
}

// examineFile looks through a backup of either kind, by a store made of it.
func examineFile(ctx context.Context, file string) (jobs int, findings []store.Finding, err error) {
	folder, err := os.MkdirTemp("", "shimwright-store-")
	if err != nil {
		return 0, nil, err
	}
	defer os.RemoveAll(folder)
	staged := filepath.Join(folder, "shop.db")
	if err := stageFile(ctx, file, staged); err != nil {
		return 0, nil, err
	}
	return examineStore(ctx, staged)
}

// storeExport writes JSON lines.
func storeExport(ctx context.Context, c *storeCall) error {
	b, done, err := c.reading(ctx)
	if err != nil {
		return err
	}
	defer done()
	var names []string
	if c.job > 0 {
		if b, names, err = oneJob(ctx, b, c.job); err != nil {
			return err
		}
	}
	if len(c.words) == 0 {
		_, err := store.Export(ctx, b, names, bot.Directory, c.s.out, time.Now())
		return err
	}
	var n store.Counts
	err = writeNew(c.words[0], func(w io.Writer) (err error) {
		n, err = store.Export(ctx, b, names, bot.Directory, w, time.Now())
		return err
	})
	if err == nil {
		fmt.Fprintf(c.s.out, "%s: %s, %s, %d waiting\n", c.words[0], count(n.Streams, "stream"), count(n.Events, "event"), n.Items)
	}
	return err
}

// singleJob is a store with one job in it: its stream, and of the directory what is
// about it.
type singleJob struct {
	store.Backend
	number int
}

func oneJob(ctx context.Context, b store.Backend, number int) (store.Backend, []string, error) {
	events, err := b.Events(ctx, bot.JobStream(number), 0)
	if err != nil {
		return nil, nil, err
	}
	if len(events) == 0 {
		return nil, nil, fmt.Errorf("there is no job %d", number)
	}
	return singleJob{b, number}, []string{bot.JobStream(number), bot.Directory}, nil
}

// Events leaves out of the directory what is about other jobs.
func (j singleJob) Events(ctx context.Context, stream string, after uint64) ([][]byte, error) {
	events, err := j.Backend.Events(ctx, stream, after)
	if stream == bot.Directory {
		events = bot.NotesOf(events, j.number)
	}
	return events, err
}

// Waiting leaves out what the directory has to say of other jobs.
func (j singleJob) Waiting(ctx context.Context, stream string) ([]store.Item, error) {
	if stream == bot.Directory {
		return nil, nil
	}
	return j.Backend.Waiting(ctx, stream)
}
