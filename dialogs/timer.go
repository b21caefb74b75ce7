package dialogs

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"shimwright/rules"
)

// Timer is something to say at a time if nothing else happens until then. Timers
// follow from the log, as the open question does: none is ever stored, and one that
// is overtaken is simply not there any more.
type Timer struct {
	// Key names it within its job for ever. It begins with the name of its reminder
	// and mostly ends with the entry it counts from: "breakin/cooled/57".
	Key  string
	Due  time.Time
	Ping []string // names of people or roles to notify; the first is answered in their own way
	// Urgent ones are said in quiet hours too.
	Urgent bool
}

// reminder is a source of timers; each has a file of its own.
type reminder struct {
	name string // the first part of its timers' keys

	// timers lists what is still to be said. It need not look at what was said or put
	// off: Timers leaves that out. It is called with each turn, so it stays cheap.
	timers func(*rules.Sheet, *Job) []Timer

	// say tells a timer in the turn's words and adds the events it brings, as the job
	// now stands. Where it tells nothing, nothing is posted.
	say func(*turn, Timer) error
}

// reminders lists the sources; a new one is a line here.
func reminders() []reminder {
	return []reminder{breakInReminder(), afterReminder(), lookReminder(), fitReminder()}
}

// Timers gives what should be said when, if nothing else happens, the earliest
// first. It is pure. What was said is left out, what was put off has its new time,
// and a closed job has none; taken up again, it does not catch up on the time it was
// closed.
func Timers(s *rules.Sheet, j *Job) []Timer { return timersOf(reminders(), s, j) }

func timersOf(from []reminder, s *rules.Sheet, j *Job) []Timer {
	if j.Closed || j.ReadOnly != "" {
		return nil
	}
	var out []Timer
	for _, r := range from {
		for _, tm := range r.timers(s, j) {
			said, wasSaid := j.Reminded[tm.Key]
			off, wasOff := j.PutOff[tm.Key]
			if wasOff && off.Seq > said.Seq {
				tm.Due = off.Until
			} else if wasSaid {
				continue
			}
			if tm.Due.IsZero() || tm.Due.Before(j.TakenUp) {
				continue
			}
			out = append(out, tm)
		}
	}
	slices.SortStableFunc(out, func(a, b Timer) int {
		return cmp.Or(a.Due.Compare(b.Due), strings.Compare(a.Key, b.Key))
	})
	return out
}

// Timers gives the timers of a job. The error is that its sheet cannot be found.
func (d *Desk) Timers(j *Job) ([]Timer, error) {
	if j.Closed || j.ReadOnly != "" {
		return nil, nil
	}
	sheet, err := d.Sheets.Sheet(j.Sheet)
	if err != nil {
		return nil, err
	}
	return Timers(sheet, j), nil
}

// Due says a timer, to the person it is for, and logs that it was said. It gives
// nothing where the timer is overtaken or not due yet. due is when it was to be
// said, quiet hours over, which tells how late it is. The error is internal.
func (d *Desk) Due(j *Job, key string, due, now time.Time, to Person) (Reply, error) {
	if j.Closed || j.ReadOnly != "" {
		return Reply{}, nil
	}
	sheet, err := d.Sheets.Sheet(j.Sheet)
	if err != nil {
		return Reply{}, err
	}
	return d.due(reminders(), sheet, j, key, due, now, to)
}

func (d *Desk) due(from []reminder, sheet *rules.Sheet, j *Job, key string, due, now time.Time, to Person) (Reply, error) {
	all := timersOf(from, sheet, j)
	at := slices.IndexFunc(all, func(tm Timer) bool { return tm.Key == key })
	if at < 0 || all[at].Due.After(now) {
		return Reply{}, nil
	}
	tm := all[at]
	name, _, _ := strings.Cut(key, "/")
	kind := slices.IndexFunc(from, func(r reminder) bool { return r.name == name })
	if kind < 0 {
		return Reply{}, fmt.Errorf("the timer %q belongs to no reminder", key)
	}
	t := &turn{desk: d, sheet: sheet, job: j, said: Said{At: now}, voice: d.voiceFor(to, sheet).at(now), noNext: true, ping: tm.Ping}
	t.step, t.field = Next(sheet, j)
	if err := t.add(reminded{Key: key, Due: tm.Due}); err != nil {
		return Reply{}, err
	}
	if err := from[kind].say(t, tm); err != nil {
		return Reply{}, err
	}
	if late := now.Sub(due); late >= lateFrom && len(t.answer) > 0 {
		t.tell(t.text("reminder.late", "ago", t.duration(late)))
	}
	return t.reply(), nil
}

// lateFrom is how late a reminder says so.
const lateFrom = 5 * time.Minute

// duration writes a time span in the language of who is answered: 40 min, 3 h, 2 days.
func (t *turn) duration(d time.Duration) string {
	switch {
	case d < 90*time.Minute:
		return t.text("reminder.minutes", "n", max(1, int(d.Round(time.Minute)/time.Minute)))
	case d < 36*time.Hour:
		return t.text("reminder.hours", "n", int(d.Round(time.Hour)/time.Hour))
	}
	return t.text("reminder.days", "n", int(d.Round(24*time.Hour)/(24*time.Hour)))
}
