package bot

import (
	"context"
	"slices"
	"sync"
	"time"

	"shimwright/dialogs"
)

const (
	rememberJobs = 30               // how many finished jobs on a sheet are remembered
	rememberLook = 90               // how many jobs on a sheet are looked at for them
	rememberFor  = 10 * time.Minute // how long before other processes' jobs are looked for again
)

// Rememberer is a Desk that can say what a finished job leaves behind.
type Rememberer interface {
	Remember(*dialogs.Job) (dialogs.Past, bool)
}

// memory keeps what finished jobs on a sheet ended with. It is a cache: everything
// in it is read from the jobs' own streams.
type memory struct {
	mu     sync.Mutex
	sheets map[string]remembered
}

type remembered struct {
	at   time.Time
	past []dialogs.Past // newest first
}

// past gives the finished jobs on a sheet, newest first, without the job itself.
// Jobs that cannot be read are left out: advice without memory is better than none.
func (b *Bot) past(ctx context.Context, sheet string) []dialogs.Past {
	desk, ok := b.desk().(Rememberer)
	if b.forget || !ok || sheet == "" {
		return nil
	}
	b.memory.mu.Lock()
	have, ok := b.memory.sheets[sheet]
	b.memory.mu.Unlock()
	if ok && b.now().Sub(have.at).Abs() < rememberFor {
		return have.past
	}
	fresh := remembered{at: b.now()}
	for i, number := range b.directory.onSheet(sheet) {
		if i == rememberLook || len(fresh.past) == rememberJobs {
			break
		}
		records, err := b.store.Events(ctx, string(jobID(number)), 0)
		if err != nil {
			b.log.Warn("a job cannot be remembered", "job", number, "error", err)
			continue
		}
		job, err := dialogs.Fold(string(jobID(number)), JobEvents(records))
		if err != nil {
			b.log.Warn("a job cannot be remembered", "job", number, "error", err)
			continue
		}
		if p, finished := desk.Remember(job); finished {
			fresh.past = append(fresh.past, p)
		}
	}
	b.memory.mu.Lock()
	defer b.memory.mu.Unlock()
	if b.memory.sheets == nil {
		b.memory.sheets = map[string]remembered{}
	}
	b.memory.sheets[sheet] = fresh
	return fresh.past
}

// remember brings the memory up to a job that ended or was taken up again.
func (b *Bot) remember(job *dialogs.Job) {
	desk, ok := b.desk().(Rememberer)
	if !ok {
		return
	}
	p, finished := desk.Remember(job)
	m := &b.memory
	m.mu.Lock()
	defer m.mu.Unlock()
	have, ok := m.sheets[job.Sheet]
	if !ok {
		return // it is read when it is asked for
	}
	past := slices.DeleteFunc(slices.Clone(have.past), func(p dialogs.Past) bool { return p.Number == job.Number })
	if finished {
		i := slices.IndexFunc(past, func(p dialogs.Past) bool { return p.Number < job.Number })
		if i < 0 {
			i = len(past)
		}
		past = slices.Insert(past, i, p)
	}
	have.past = past[:min(len(past), rememberJobs)]
	m.sheets[job.Sheet] = have
}

// forget has all sheets looked at anew.
func (m *memory) forget() {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.sheets = nil
}

// onSheet gives the numbers of the jobs on a sheet, newest first.
func (d *directory) onSheet(sheet string) []int {
	d.mu.Lock()
	defer d.mu.Unlock()
	var out []int
	for i := len(d.cards) - 1; i >= 0; i-- {
		if d.cards[i].opened.Sheet == sheet {
			out = append(out, d.cards[i].opened.Number)
		}
	}
	return out
}
