package bot

import (
	"context"

	"shimwright/dialogs"
)

// mostLooked is how many open jobs are asked what waits in them, the newest first.
const mostLooked = 200

// Looker is a Desk that can say what waits for people in a job.
type Looker interface {
	WaitingLook(*dialogs.Job) (dialogs.WaitingLook, bool)
}

// looks gives what waits for people in the open jobs. It reads them when it is asked,
// which is seldom, so that there is no second record that could disagree with the
// jobs' own. One that cannot be read is left out.
func (b *Bot) looks(ctx context.Context) []dialogs.WaitingLook {
	desk, ok := b.desk().(Looker)
	if !ok {
		return nil
	}
	var out []dialogs.WaitingLook
	for _, number := range b.directory.open(mostLooked) {
		records, err := b.store.Events(ctx, string(jobID(number)), 0)
		if err != nil {
			b.log.Warn("a job cannot be asked what waits in it", "job", number, "error", err)
			continue
		}
		job, err := dialogs.Fold(string(jobID(number)), JobEvents(records))
		if err != nil {
			b.log.Warn("a job cannot be asked what waits in it", "job", number, "error", err)
			continue
		}
		if w, waits := desk.WaitingLook(job); waits {
			out = append(out, w)
		}
	}
	return out
}

// open gives the numbers of the open jobs, newest first, at most so many.
func (d *directory) open(most int) []int {
	d.mu.Lock()
	defer d.mu.Unlock()
	var out []int
	for i := len(d.cards) - 1; i >= 0 && len(out) < most; i-- {
		if c := d.cards[i]; !c.closed {
			out = append(out, c.opened.Number)
		}
	}
	return out
}
