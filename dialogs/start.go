package dialogs

import (
	"errors"
	"fmt"

	"shimwright/calc/depth"
	"shimwright/calc/ratio"
	"shimwright/calc/unit"
	"shimwright/dialogs/advise"
	"shimwright/dialogs/listen"
	"shimwright/rules"
)

// meaningOf gives what + on the pinion head means: what somebody said of this
// job's paper, else the sheet's.
func meaningOf(s *rules.Sheet, j *Job) depth.Meaning {
	for fact, meaning := range map[string]depth.Meaning{
		listen.FactPlusFarther: depth.Farther, listen.FactPlusNearer: depth.Nearer,
		listen.FactPlusThicker: depth.ThickerShim, listen.FactPlusThinner: depth.ThinnerShim,
	} {
		if j.holds(fact) {
			return meaning
		}
	}
	return depth.Meaning(s.Pinion.PositiveMark)
}

// marksMatter says whether the starting shim hangs on what + means.
func marksMatter(s *rules.Sheet, j *Job) bool {
	was, okWas := markAt(s, j, OldMark)
	is, okIs := markAt(s, j, NewMark)
	return okWas && okIs && was != is
}

func markAt(s *rules.Sheet, j *Job, slot Slot) (unit.Length, bool) {
	r := j.slot(slot)
	if r == nil {
		return 0, false
	}
	return r.MarkLength(s.Pinion.MarkUnit)
}

// startShim works the starting shim out and says it, once for what is on record.
func (t *turn) startShim() error {
	if len(meaningField(t.sheet, t.job)) > 0 {
		return nil // it is asked next
	}
	if a := t.job.Advice; a != nil && a.Trial == 0 && !t.job.changedSince(a.Seq) {
		if len(t.events) == 0 {
			t.tell(a.Reason)
		}
		return nil
	}
	shim, reason, err := t.startFrom()
	switch {
	case errors.Is(err, errNoStart):
		t.tell("no old shim and no depth reading to start from: give the checking distance, or start from the shim that came with the set.")
		return nil
	case err != nil:
		t.tell("the starting shim does not work out: " + err.Error() + ".")
		return nil
	}
	a := Advice{Verdict: advise.Change, Build: map[string]unit.Length{"pinion": shim.Thickness}, Reason: reason}
	for _, term := range shim.Terms {
		a.Terms = append(a.Terms, advise.Term{Name: term.Name, Value: t.voice.own.Signed(term.Value)})
	}
	leaves, built := kitStack(t.sheet.Kit.Pinion, shim.Thickness, t.sheet.Carrier.MaxLeaves)
	if len(leaves) > 0 {
		a.Leaves = map[string][]unit.Length{"pinion": leaves}
		a.Build["pinion"] = built
		if miss := built - shim.Thickness; miss.Abs() > unit.MM(0.002) {
			a.Misses = map[string]unit.Length{"pinion": miss}
		}
	}
	if err := t.add(advised{Advice: a}); err != nil {
		return err
	}
	line := "start with a pinion shim of " + t.voice.length(a.Build["pinion"])
	if len(leaves) > 1 {
		line += " (" + leafSum(t.voice, leaves) + ")"
	}
	if miss, ok := a.Misses["pinion"]; ok {
		line += fmt.Sprintf(", the nearest the kit makes to %s (%s off)", t.voice.length(shim.Thickness), t.voice.amount(miss))
	}
	t.tell(line+".", reason)
	return nil
}

// changedSince says whether a figure the starting shim is made of came or went
// after an entry.
func (j *Job) changedSince(seq uint64) bool {
	for _, slot := range []Slot{OldPinion, OldMark, NewMark, OldHeight, NewHeight, SetupHeight, Checking, Mounting} {
		if r := j.slot(slot); r != nil && r.Seq > seq {
			return true
		}
	}
	for _, e := range j.Log[seq:] {
		if e.Live && e.Kind == kindRetracted {
			return true
		}
	}
	return false
}

var errNoStart = errors.New("nothing to start from")

// startFrom picks the surer way: the depth gauge where it was read, else the old
// shim corrected by markings and bearing heights.
func (t *turn) startFrom() (depth.Shim, string, error) {
	sense := depth.Sense(t.sheet.Pinion.Shim.Deeper())
	meaning := meaningOf(t.sheet, t.job)
	mark := func(slot Slot) depth.Mark {
		l, _ := markAt(t.sheet, t.job, slot)
		return depth.Mark{Value: l, Meaning: meaning}
	}
	if measured, ok := t.lengthAt(Checking); ok {
		want, ok := t.lengthAt(Mounting)
		if !ok {
			want = t.sheet.Pinion.Mounting
		}
		if want > 0 {
			s, err := depth.FromGauge(depth.Gauge{Sense: sense, Measured: measured, Wanted: want, Mark: mark(NewMark)})
			return s, t.sumLine("from the depth gauge", s), err
		}
	}
	old, ok := t.lengthAt(OldPinion)
	if !ok {
		return depth.Shim{}, "", errNoStart
	}
	from := depth.Old{Sense: sense, Shim: old}
	if marksMatter(t.sheet, t.job) {
		from.OldMark, from.NewMark = mark(OldMark), mark(NewMark)
	}
	if was, ok := t.lengthAt(OldHeight); ok {
		is, ok := t.lengthAt(SetupHeight)
		if !ok {
			is, _ = t.lengthAt(NewHeight)
		}
		from.Pushes = append(from.Pushes, depth.Push{Name: "head bearing height", Old: was, New: is})
	}
	s, err := depth.FromOld(from)
	return s, t.sumLine("from the old shim", s), err
}

// sumLine says the terms in one line: old shim 0.030, head markings −0.004.
func (t *turn) sumLine(from string, s depth.Shim) string {
	text := from + ":"
	for i, term := range s.Terms {
		value := t.voice.own.Signed(term.Value)
		if i == 0 {
			value = t.voice.own.Length(term.Value)
		}
		text += pick2(i == 0, " ", ", ") + term.Name + " " + value
	}
	if t.sheet.Pinion.Shim == rules.UnderCartridge && len(s.Terms) > 1 {
		text += ". under this cartridge a thicker shim backs the pinion away, so the signs are turned round"
	}
	return text + "."
}

func (t *turn) lengthAt(slot Slot) (unit.Length, bool) {
	r := t.job.slot(slot)
	if r == nil {
		return 0, false
	}
	return r.Length()
}

// startBuilt says that the advised starting shim is in.
func (t *turn) startBuilt(a *Advised) error {
	system := t.sheet.Units
	m := measured{Slot: BuildPinion, What: listen.ShimPinion, Sum: true, Unit: "in", Values: []float64{a.Build["pinion"].Inch()}}
	if system == unit.Metric {
		m.Unit, m.Values[0] = "mm", a.Build["pinion"].MM()
	}
	if err := t.add(m); err != nil {
		return err
	}
	t.understood = append(t.understood, t.voice.echo(m))
	return t.advance()
}

func leafSum(v voice, leaves []unit.Length) string {
	text := ""
	for i, l := range leaves {
		text += pick2(i == 0, "", " + ") + bare(v.own.Length(l))
	}
	return text
}

// ratioLine says the ratio and whether the set is a hunting one.
func ratioLine(pinion, ring int) string {
	p, err := ratio.New(pinion, ring)
	if err != nil {
		return err.Error()
	}
	line := fmt.Sprintf("%d/%d, ratio %.3f, %s", ring, pinion, p.Ratio(), p.Timing())
	if p.Marks() {
		return line + ": line the timing marks up."
	}
	return line + ": no timing marks to line up."
}
