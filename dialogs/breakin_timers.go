package dialogs

import (
	"fmt"
	"strings"
	"time"

	"shimwright/rules"
)

const (
	backSpeed = 40e6             // mm in an hour: as slow as a leg is driven
	backSlack = 30 * time.Minute // before somebody who is not back is asked
	idleAfter = 22 * time.Hour   // before a leg that nobody drives comes up again
	morning   = 8                // o'clock
)

// breakInReminder says when the axle has cooled, asks after a drive nobody came back
// from, and brings a leg up again that nobody drives.
func breakInReminder() reminder {
	return reminder{name: "breakin", timers: breakInTimers, say: sayBreakIn}
}

func breakInTimers(s *rules.Sheet, j *Job) []Timer {
	b := j.BreakIn
	if b == nil || j.Held || j.roadSkipped(StepBreakIn) || len(j.Stops()) > 0 {
		return nil
	}
	r := roadOf(s, j)
	switch r.phase {
	case driving:
		return []Timer{{Key: fmt.Sprintf("breakin/back/%d", b.Out.Seq), Due: b.Out.At.Add(r.takes() + backSlack), Ping: b.pings()}}
	case paused:
		return []Timer{{Key: fmt.Sprintf("breakin/paused/%d", b.Hold.Seq), Due: b.Hold.At.Add(7 * 24 * time.Hour), Ping: b.pings()}}
	case cooling:
		return []Timer{{Key: cooledKey(b.last()), Due: r.until, Ping: b.pings()}}
	case ready:
		// From what made it ready: the reminder, a word, the going on.
		from := later(b.Begun, b.Resumed)
		if d := b.last(); d != nil {
			from = later(from, d.entryMeta)
			if d.Cooled != nil {
				from = later(from, d.Cooled.entryMeta)
			}
			if said, ok := j.Reminded[cooledKey(d)]; ok {
				from = later(from, said.entryMeta)
			}
		}
		return []Timer{
			{Key: fmt.Sprintf("breakin/idle/%d", from.Seq), Due: from.At.Add(idleAfter), Ping: b.pings()},
			{Key: fmt.Sprintf("breakin/week/%d", from.Seq), Due: from.At.Add(7 * 24 * time.Hour), Ping: b.pings()},
		}
	}
	return nil
}

// roadTimers gives the timers of the reminders of the road, said or not.
func roadTimers(s *rules.Sheet, j *Job) []Timer {
	var out []Timer
	for _, r := range []reminder{breakInReminder(), afterReminder()} {
		out = append(out, r.timers(s, j)...)
	}
	return out
}

func later(a, b entryMeta) entryMeta {
	if b.Seq > a.Seq {
		return b
	}
	return a
}

// roadSkipped says whether somebody left a step of the road out.
func (j *Job) roadSkipped(step StepID) bool {
	_, ok := j.Skipped[skipKey(step, "")]
	return ok
}

// takes is how long the leg takes at the most.
func (r road) takes() time.Duration {
	plan := r.at(r.leg)
	if plan.Distance == 0 {
		return minutes(plan.Minutes)
	}
	return time.Duration(plan.Distance.MM() / backSpeed * float64(time.Hour))
}

// pings is who drives.
func (b *BreakIn) pings() []string {
	if b.Driver == "" {
		return []string{string(Technician)}
	}
	return []string{b.Driver}
}

// sayBreakIn says a timer of the break-in.
func sayBreakIn(t *turn, tm Timer) error {
	// The entry that it was said is in the job by now, so cooling is over.
	r := roadOf(t.sheet, t.job)
	switch kind := strings.Split(tm.Key, "/")[1]; kind {
	case "cooled":
		stood := t.job.BreakIn.last()
		t.tell(t.text("breakin.cooled", "min", r.at(stood.Leg).Cool))
		if r.phase == driven {
			t.tell(t.text("breakin.all_driven"))
			t.tellNext()
			return nil
		}
		t.tell(t.voice.say(r.prompt(t.job)))
		if reports := t.job.heatReports(stood.Seq); len(reports) > 0 {
			if now := reports[len(reports)-1]; now.hottest > handWarm {
				t.tell(t.text("breakin.last_read", "temp", t.voice.own.Temperature(now.hottest), "at", t.voice.clock(now.at.At)))
			}
		}
	case "paused":
		t.tell(t.text("breakin.paused_long", "at", t.voice.clock(t.job.BreakIn.Hold.At)))
	case "back":
		t.tell(t.text("breakin.back_yet", "n", r.leg))
	default:
		t.tell(t.text("breakin.idle", "leg", t.voice.say(r.legText())))
	}
	t.choices = nil
	return nil
}

// tellNext says what the job waits for.
func (t *turn) tellNext() {
	t.noNext = false
	step, _ := t.next()
	t.step = Step{}
	if step.ID == StepFinished {
		t.noNext = true
	}
}
