package dialogs

import (
	"fmt"
	"strings"
	"time"

	"shimwright/calc/unit"
	"shimwright/rules"
)

// phase is where a break-in stands.
type phase int

const (
	notBegun phase = iota
	onHold         // heat or noise: a mentor's word is waited for
	paused
	driving
	cooling
	ready  // for the next leg
	driven // all legs, and cooled
)

// road is the break-in of a job against the plan of its sheet.
type road struct {
	plan  []rules.Leg
	phase phase
	leg   int         // the one that is on or comes next, 1 for the first; past the plan when all are driven
	part  unit.Length // what is driven of it already
	until time.Time   // the end of the cooling
}

// planOf gives the sheet's legs. Without any they are the usual ones: common
// practice, no source.
func planOf(s *rules.Sheet) []rules.Leg {
	if len(s.BreakIn) > 0 {
		return s.BreakIn
	}
	leg := rules.Leg{Distance: unit.MM(16e6), Cool: 30, Limit: unit.Celsius(120)}
	if s.Units != unit.Metric {
		leg.Distance, leg.Limit = roadLength(10, "mi"), unit.Fahrenheit(250)
	}
	return []rules.Leg{leg, leg, leg}
}

// roadOf says where the break-in stands. It is pure: cooling is over when somebody
// says so, or once the reminder of it was said.
func roadOf(s *rules.Sheet, j *Job) road {
	r := road{plan: planOf(s), leg: 1}
	b := j.BreakIn
	if b == nil {
		return r
	}
	for r.leg <= len(r.plan) && r.driven(b) {
		r.leg++
	}
	last := b.last()
	if last != nil {
		r.until = last.At.Add(minutes(r.at(last.Leg).Cool))
	}
	switch {
	case b.Hold != nil && b.Hold.Asks != "":
		r.phase = onHold
	case b.Hold != nil:
		r.phase = paused
	case b.Out != nil:
		r.phase, r.leg = driving, b.Out.Leg
	case last != nil && last.Cooled == nil && !j.wasReminded(cooledKey(last)) && (last.Seq > b.Resumed.Seq || b.Resumed.At.Before(r.until)):
		r.phase = cooling
	case r.leg > len(r.plan):
		r.phase = driven
	default:
		r.phase = ready
	}
	return r
}

// enough is how much of a leg's distance makes it driven.
const enough = 0.8

// driven says whether the leg is done, and notes what is driven of it.
func (r *road) driven(b *BreakIn) bool {
	plan := r.at(r.leg)
	var far unit.Length
	var long float64
	for _, d := range b.Drives {
		if d.Leg != r.leg {
			continue
		}
		if d.Distance == 0 && d.Minutes == 0 {
			r.part = 0
			return true // said to be done
		}
		if plan.Distance > 0 && d.Distance == 0 || plan.Distance == 0 && d.Minutes == 0 {
			r.part = 0
			return true // told in the other measure
		}
		far, long = far+d.Distance, long+d.Minutes
	}
	if plan.Distance > 0 && far >= plan.Distance*enough || plan.Distance == 0 && long >= plan.Minutes*enough {
		r.part = 0
		return true
	}
	r.part = far
	return false
}

// at gives a leg of the plan, the last one behind it.
func (r *road) at(leg int) rules.Leg { return r.plan[min(max(leg, 1), len(r.plan))-1] }

func minutes(n float64) time.Duration { return time.Duration(n * float64(time.Minute)) }

func (j *Job) wasReminded(key string) bool { _, ok := j.Reminded[key]; return ok }

func cooledKey(d *Drive) string { return fmt.Sprintf("breakin/cooled/%d", d.Seq) }

// onTheRoad says whether a message to the job may be about a drive: from the step of
// the break-in on.
func onTheRoad(j *Job, step StepID) bool {
	switch step {
	case StepBreakIn, StepAfter:
		return true
	case StepFinished:
		return j.Finished
	}
	return j.BreakIn != nil
}

// distance is a length on the road; it is written in miles or kilometres.
type distance unit.Length

// What the last drive has not told.
type roadAsk int

const (
	asksNothing roadAsk = iota
	asksDrive           // how far, how hot, any noise
	asksFar
	asksHeat
	asksSound
)

// roadAsks gives what is missing about the last drive. It is asked for as long as it
// cools.
func (j *Job) roadAsks() roadAsk {
	b := j.BreakIn
	if b == nil || b.last() == nil {
		return asksNothing
	}
	d := b.last()
	heat, sound := false, false
	for _, r := range j.roadHeat(d.Began.Seq) {
		heat = heat || r.Seq+reportEntries > d.Seq
	}
	for _, h := range b.Heard {
		sound = sound || h.Seq+reportEntries > d.Seq
	}
	switch {
	case d.Distance == 0 && d.Minutes == 0 && !d.Done && heat:
		return asksFar
	case d.Distance == 0 && d.Minutes == 0 && !d.Done:
		return asksDrive
	case !heat:
		return asksHeat
	case !sound:
		return asksSound
	}
	return asksNothing
}

// reportEntries is within how many entries before the end of a drive a reading
// belongs to its report.
const reportEntries = 8

// roadHeat gives the temperatures of the road after an entry, in order.
func (j *Job) roadHeat(since uint64) []Reading {
	var out []Reading
	for _, e := range j.Log {
		m, ok := e.payload.(*measured)
		if !ok || !e.Live || e.Seq <= since || !strings.HasPrefix(string(m.Slot), "road.") {
			continue
		}
		out = append(out, Reading{Slot: m.Slot, What: m.What, Values: m.Values, Unit: m.Unit, Part: m.Part, entryMeta: metaOf(e)})
	}
	return out
}
