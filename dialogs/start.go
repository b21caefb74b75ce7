package dialogs

import (
	"errors"
	"fmt"

	"shimwright/calc/depth"
	"shimwright/calc/ratio"
	"shimwright/calc/unit"
	"shimwright/dialogs/advise"
	"shimwright/dialogs/listen"
	"shimwright/dialogs/phrase"
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
			t.tell(t.inOwnWords(a).Reason)
		}
		return nil
	}
	shim, from, err := t.startFrom()
	switch {
	case errors.Is(err, errNoStart):
		t.tell(t.text("first-shim.no_start"))
		return nil
	case err != nil:
		t.tell(t.text("first-shim.no_work_out", "why", t.startFault(err)))
		return nil
	}
	// The log keeps one language, whoever types.
	reason := t.sumLine(t.desk.Phrases.In(phrase.English), from, shim)
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
	sum, off := "", ""
	if len(leaves) > 1 {
		sum = " (" + leafSum(t.voice, leaves) + ")"
	}
	if miss, ok := a.Misses["pinion"]; ok {
		off = t.text("first-shim.nearest", "wanted", t.voice.length(shim.Thickness), "off", t.voice.amount(miss))
	}
	with := t.text("first-shim.with", "shim", t.voice.length(a.Build["pinion"]), "leaves", sum, "miss", off)
	t.figures = []string{with}
	t.tell(with, t.sumLine(t.voice.words, from, shim))
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

// startFault says why the starting shim does not work out. What the figures are is said
// in English only.
func (t *turn) startFault(err error) string {
	switch {
	case t.voice.words.Language == phrase.English:
		return err.Error()
	case errors.Is(err, depth.ErrMeaning):
		return t.text("first-shim.why_meaning")
	case errors.Is(err, depth.ErrShim):
		return t.text("first-shim.why_shim")
	}
	return t.text("first-shim.why_figure")
}

var errNoStart = errors.New("nothing to start from")

// startFrom picks the surer way: the depth gauge where it was read, else the old
// shim corrected by markings and bearing heights.
func (t *turn) startFrom() (depth.Shim, startSource, error) {
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
			return s, fromGauge, err
		}
	}
	old, ok := t.lengthAt(OldPinion)
	if !ok {
		return depth.Shim{}, fromOld, errNoStart
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
	return s, fromOld, err
}

// sumLine says the terms in one line: old shim 0.030, head markings −0.004.
func (t *turn) sumLine(words phrase.Speaker, from startSource, s depth.Shim) string {
	terms := ""
	for i, term := range s.Terms {
		value := t.voice.own.Signed(term.Value)
		if i == 0 {
			value = t.voice.own.Length(term.Value)
		}
		terms += pick(i == 0, "", ", ") + termName(words, term.Name) + " " + value
	}
	turned := t.sheet.Pinion.Shim == rules.UnderCartridge && len(s.Terms) > 1
	if from == fromGauge {
		return words.Say("first-shim.from_gauge", "terms", terms, "turned", turned)
	}
	return words.Say("first-shim.from_old", "terms", terms, "turned", turned)
}

// startSource is what the starting shim is worked out from.
type startSource uint8

const (
	fromOld startSource = iota
	fromGauge
)

// termName says a term of the sum in a language; one that is not known stays.
func termName(words phrase.Speaker, name string) string {
	switch name {
	case "old shim":
		return words.Say("first-shim.term_old")
	case "head markings, old to new":
		return words.Say("first-shim.term_marks")
	case "head marking":
		return words.Say("first-shim.term_mark")
	case "head bearing height":
		return words.Say("first-shim.term_height")
	case "trial shim":
		return words.Say("first-shim.term_trial")
	case "measured distance":
		return words.Say("first-shim.term_measured")
	case "wanted distance":
		return words.Say("first-shim.term_wanted")
	}
	return name
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
		text += pick(i == 0, "", " + ") + bare(v.own.Length(l))
	}
	return text
}

// ratioLine says the ratio and whether the set is a hunting one.
func ratioLine(words phrase.Speaker, pinion, ring int) string {
	p, err := ratio.New(pinion, ring)
	if err != nil {
		return words.Say("question.ratio_wrong", "pinion", pinion, "ring", ring)
	}
	with := []any{"ring", ring, "pinion", pinion, "ratio", fmt.Sprintf("%.3f", p.Ratio()), "timing", timingWords(words, p.Timing())}
	if p.Marks() {
		return words.Say("question.ratio_marks", with...)
	}
	return words.Say("question.ratio_free", with...)
}

// timingWords says how the teeth of a pair meet.
func timingWords(words phrase.Speaker, timing ratio.Timing) string {
	switch timing {
	case ratio.Hunting:
		return words.Say("question.hunting")
	case ratio.NonHunting:
		return words.Say("question.non_hunting")
	}
	return words.Say("question.partial")
}
