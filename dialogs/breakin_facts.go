package dialogs

import (
	"shimwright/calc/unit"
	"shimwright/dialogs/listen"
	"shimwright/rules"
)

// The slots of temperatures on the road.
const (
	RoadPinion  Slot = "road.pinion"
	RoadCarrier Slot = "road.carrier"
	RoadHousing Slot = "road.housing"
)

// roadSlot files a temperature of the road.
func roadSlot(part string) Slot {
	switch part {
	case listen.HeatPinion:
		return RoadPinion
	case listen.HeatCarrier:
		return RoadCarrier
	}
	return RoadHousing
}

// heatReport is what was read in one message: the hottest place, and the two that
// are held against each other.
type heatReport struct {
	at              entryMeta
	hottest         unit.Temperature
	pinion, carrier rules.Temperature
}

// heatReports gives the reports since an entry, in order.
func (j *Job) heatReports(since uint64) []heatReport {
	var out []heatReport
	for _, r := range j.roadHeat(since) {
		v, ok := r.Temperature()
		if !ok {
			continue
		}
		if n := len(out); n == 0 || !out[n-1].at.At.Equal(r.At) {
			out = append(out, heatReport{at: r.entryMeta, hottest: v})
		}
		last := &out[len(out)-1]
		last.hottest = max(last.hottest, v)
		switch r.Slot {
		case RoadPinion:
			last.pinion = rules.Know(v)
		case RoadCarrier:
			last.carrier = rules.Know(v)
		}
	}
	return out
}

// fillRoad gives the rules what the break-in has.
func fillRoad(f *rules.Facts, s *rules.Sheet, j *Job) {
	b := j.BreakIn
	if b == nil {
		return
	}
	r := roadOf(s, j)
	leg := r.at(r.leg)
	if last := b.last(); last != nil && b.Out == nil {
		leg = r.at(last.Leg)
	}
	if leg.Limit > 0 {
		f.Limit.Housing.High = rules.Know(leg.Limit)
	}
	f.BreakIn.Running = rules.YesNo(r.phase != driven)
	var far unit.Length
	for _, d := range b.Drives {
		far += d.Distance
	}
	if c, ok := b.Checks[checkMiles]; ok {
		far = max(far, c.Distance)
	}
	if far > 0 {
		f.BreakIn.Distance = rules.Know(far)
	}
	// Cooling counts when the next drive sets off.
	if last := b.last(); last != nil && b.Out != nil && b.Out.Seq > last.Seq && (last.Cooled == nil || last.Cooled.Minutes > 0) && !j.wasReminded(cooledKey(last)) && (b.Resumed.Seq < last.Seq || b.Resumed.At.Before(last.At.Add(minutes(r.at(last.Leg).Cool)))) {
		stood := float64(int(b.Out.after(last.entryMeta).Minutes()))
		if last.Cooled != nil {
			stood = max(stood, last.Cooled.Minutes)
		}
		f.BreakIn.Cooled, f.BreakIn.Cool = rules.Know(stood), rules.Know(r.at(last.Leg).Cool)
	}
	reports := j.heatReports(max(b.Begun.Seq, b.Resumed.Seq))
	if len(reports) == 0 {
		return
	}
	now := reports[len(reports)-1]
	f.Temp.Housing, f.Temp.PinBrg, f.Temp.CarBrg = rules.Know(now.hottest), now.pinion, now.carrier
	if n := len(reports); n > 1 && j.sameDrive(reports[n-2].at, now.at) {
		f.Temp.Before = rules.Know(reports[n-2].hottest)
		f.Temp.Minutes = rules.Know(now.at.after(reports[n-2].at).Minutes())
	}
}

// sameDrive says whether no drive began or ended between two reports, so that the
// one can have risen from the other.
func (j *Job) sameDrive(a, b entryMeta) bool {
	for _, e := range j.Log[a.Seq:min(int(b.Seq), len(j.Log))] {
		switch e.payload.(type) {
		case *setOff, *drove:
			return false
		}
	}
	return true
}
