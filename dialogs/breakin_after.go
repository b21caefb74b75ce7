package dialogs

import (
	"fmt"
	"strings"
	"time"

	"shimwright/calc/unit"
	"shimwright/rules"
)

const (
	lookAfter = 16 * time.Hour      // leaks show after a night
	oilAgain  = 7 * 24 * time.Hour  // between two questions about the first oil change
	oilSoon   = 2 * 24 * time.Hour  // the soonest one
	oilLate   = 21 * 24 * time.Hour // the latest one
	oilByDate = 60 * 24 * time.Hour // the first oil change is due by then, however little it ran
	oilMost   = 9                   // so often it is asked
)

// firstOil is how far the axle runs before its first oil change: common practice, no
// source.
func firstOil(s *rules.Sheet) unit.Length {
	if s.Units == unit.Metric {
		return roadLength(800, "km")
	}
	return roadLength(500, "mi")
}

func (b *BreakIn) dry() bool {
	c, ok := b.Checks[checkLeaks]
	return ok && !c.No
}

func (b *BreakIn) torqued() bool { _, ok := b.Checks[checkTorque]; return ok }

// openChecks names what is still to be looked at.
func (b *BreakIn) openChecks() Text {
	switch {
	case !b.dry() && !b.torqued():
		return phrased("breakin.open_both")
	case !b.dry():
		return phrased("breakin.open_leaks")
	}
	return phrased("breakin.open_torque")
}

// afterBase is the end of the break-in, nil where it has none yet.
func afterBase(s *rules.Sheet, j *Job) *entryMeta {
	b := j.BreakIn
	if b == nil || b.last() == nil || roadOf(s, j).phase != driven {
		return nil
	}
	return &b.last().entryMeta
}

// afterReminder brings up what is looked at later: leaks and bolts after a night,
// the first oil change after its distance or its date. Nobody knows the odometer, so
// the distance is asked for.
func afterReminder() reminder {
	return reminder{name: "after", timers: afterTimers, say: sayAfter}
}

func afterTimers(s *rules.Sheet, j *Job) []Timer {
	base := afterBase(s, j)
	if base == nil || j.roadSkipped(StepAfter) {
		return nil
	}
	b := j.BreakIn
	var out []Timer
	if !b.dry() || !b.torqued() {
		out = append(out, Timer{Key: fmt.Sprintf("after/look/%d", base.Seq), Due: base.At.Add(lookAfter), Ping: b.pings()})
	}
	if _, ok := b.Checks[checkOil]; !ok {
		if n, due := oilQuestion(s, j, *base); n < oilMost {
			out = append(out, Timer{Key: oilKey(*base, n), Due: due, Ping: b.pings()})
			if n > 0 { // the one said last can be put off
				out = append(out, Timer{Key: oilKey(*base, n-1), Due: due, Ping: b.pings()})
			}
		}
	}
	return out
}

func oilKey(base entryMeta, n int) string { return fmt.Sprintf("after/oil/%d/%d", base.Seq, n) }

// oilQuestion gives which question about the oil comes next and when: a week after
// the last one, or when the distance will be reached as it was driven so far.
func oilQuestion(s *rules.Sheet, j *Job, base entryMeta) (n int, due time.Time) {
	from := base.At
	for j.wasReminded(oilKey(base, n)) {
		from = j.Reminded[oilKey(base, n)].At
		n++
	}
	wait := oilAgain
	if told, ok := j.BreakIn.Checks[checkMiles]; ok && told.Seq > base.Seq {
		from = maxTime(from, told.At)
		switch {
		case told.Enough:
			wait = oilSoon // told to change it, and not done yet
		case told.Distance > 0 && told.after(base) > oilSoon/2:
			days := told.after(base)
			left := firstOil(s) - told.Distance
			wait = min(max(time.Duration(float64(days)*float64(left/told.Distance)), oilSoon), oilLate)
		}
	}
	due = from.Add(wait)
	if last := base.At.Add(oilByDate); due.After(last) && from.Before(last) {
		due = last
	}
	return n, due
}

func maxTime(a, b time.Time) time.Time {
	if b.After(a) {
		return b
	}
	return a
}

// sayAfter says a timer of the time after the break-in.
func sayAfter(t *turn, tm Timer) error {
	b := t.job.BreakIn
	if strings.HasPrefix(tm.Key, "after/look/") {
		t.tell(t.text("breakin.look", "open", t.voice.say(b.openChecks())), t.text("breakin.look_how"))
		return nil
	}
	base := afterBase(t.sheet, t.job)
	far := distanceWords(t.voice, firstOil(t.sheet))
	if base != nil && !t.said.At.Before(base.At.Add(oilByDate)) {
		t.tell(t.text("breakin.oil_by_date", "far", far))
		return nil
	}
	t.tell(t.text("breakin.oil_yet", "far", far))
	t.choices = []string{t.text("breakin.oil_choice"), t.text("breakin.not_yet_choice")}
	return nil
}

// checks files what a message says was looked at or changed.
func (t *turn) checks() error {
	r := t.road
	base := afterBase(t.sheet, t.job)
	b := t.job.BreakIn
	if r.Torque {
		if err := t.add(checked{What: checkTorque}); err != nil {
			return err
		}
		t.heardRoad(t.text("breakin.did_torque"))
	}
	if r.Dry || r.Leak {
		if err := t.add(checked{What: checkLeaks, No: r.Leak}); err != nil {
			return err
		}
		t.heardRoad(t.text("breakin.did_look", "leak", r.Leak))
		if r.Leak {
			t.tell(t.text("breakin.leak_how"))
			t.ping = append(t.ping, string(Mentor))
		}
	}
	if base == nil {
		return nil
	}
	if r.Oil {
		c := checked{What: checkOil}
		if r.Distance != nil {
			c.Distance, c.Unit = *r.Distance.Value, r.Distance.Unit
		}
		if err := t.add(c); err != nil {
			return err
		}
		t.heardRoad(t.text("breakin.did_oil"))
		if c.Distance > 0 && roadLength(c.Distance, c.Unit) < firstOil(t.sheet)*enough {
			t.tell(t.text("breakin.oil_early", "far", distanceWords(t.voice, firstOil(t.sheet))))
		}
		t.tell(t.text("breakin.oil_magnet"))
		return nil
	}
	asked := t.oilAsked(*base)
	if _, done := b.Checks[checkOil]; done || r.Distance == nil && !(asked && (r.Yes || r.No)) {
		return nil
	}
	c := checked{What: checkMiles, Enough: r.Yes && r.Distance == nil}
	if r.Distance != nil {
		c.Distance, c.Unit = *r.Distance.Value, r.Distance.Unit
		c.Enough = roadLength(c.Distance, c.Unit) >= firstOil(t.sheet)*0.95
	}
	c.No = !c.Enough
	if err := t.add(c); err != nil {
		return err
	}
	if c.Distance > 0 {
		t.heardRoad(t.text("breakin.miles", "far", distanceWords(t.voice, roadLength(c.Distance, c.Unit))))
	}
	if c.Enough {
		t.tell(t.text("breakin.oil_now"))
		return nil
	}
	_, due := oilQuestion(t.sheet, t.job, *base)
	t.tell(t.text("breakin.oil_wait", "date", t.voice.day(due)))
	return nil
}

// oilAsked says whether the question about the oil is the last thing that was asked.
func (t *turn) oilAsked(base entryMeta) bool {
	n, _ := oilQuestion(t.sheet, t.job, base)
	if n == 0 {
		return false
	}
	asked := t.job.Reminded[oilKey(base, n-1)]
	told, ok := t.job.BreakIn.Checks[checkMiles]
	return !ok || told.Seq < asked.Seq
}
