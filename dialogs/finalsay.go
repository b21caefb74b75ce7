package dialogs

import (
	"math"

	"shimwright/calc/preload"
	"shimwright/calc/unit"
	"shimwright/dialogs/advise"
	"shimwright/dialogs/listen"
	"shimwright/rules"
)

// finalLines say what the readings of this message mean on the final assembly.
func (t *turn) finalLines() {
	t.fitLines()
	if t.brought(FinalHeight) || t.brought(SetupHeight) && t.job.Finished {
		t.heightLines()
	}
	for _, slot := range []Slot{FinalPinion, FinalPack, FinalLeft, FinalRight} {
		if t.brought(slot) {
			t.stackLines(slot)
		}
	}
	if a, b, ok := swapped(t.sheet, t.job); ok && (t.brought(a) || t.brought(b)) {
		t.tell(t.text("final-carrier.swapped", "a", t.slotWord(a), "b", t.slotWord(b)), t.text("final-carrier.swapped_hint"))
	}
	switch {
	case t.brought(FinalDrag):
		t.tell(t.dragLines()...)
	case t.brought(FinalTurn) || t.brought(FinalNut):
		t.tell(t.text("final-pinion.read_drag"))
	}
	if t.brought(FinalTotal) {
		t.totalLines()
	}
}

// slotWord names a stack of the final assembly.
func (t *turn) slotWord(slot Slot) string {
	switch slot {
	case FinalPinion:
		return t.text("final-carrier.pinion")
	case FinalPack:
		return t.text("final-carrier.pack")
	case FinalLeft:
		return t.text("final-carrier.left")
	}
	return t.text("final-carrier.right")
}

// heightLines say what the final bearing does to depth and backlash, and the shim
// that makes up for it.
func (t *turn) heightLines() {
	setup, okSetup := slotLength(t.job, SetupHeight)
	final, okFinal := slotLength(t.job, FinalHeight)
	p, ok := finalPinion(t.sheet, t.job)
	if !okSetup || !okFinal || !ok {
		return
	}
	diff := final - setup
	if diff.Abs() < unit.MM(0.005) {
		t.tell(t.text("final-pinion.same_height", "shim", t.voice.length(p.Thickness)))
		return
	}
	closes, _ := lashFor(t.sheet, diff, 0)
	t.tell(t.text("final-pinion.taller", "by", t.voice.amount(diff), "taller", diff > 0, "shorter", diff < 0,
		"lash", t.voice.amount(asRead(t.voice, closes)), "closes", closes > 0, "opens", closes < 0))
	leaves, built := kitFor(t.sheet, t.job, FinalPinion)
	line := t.text("final-pinion.shim", "was", bare(t.voice.own.Length(p.Trial)), "is", t.voice.length(built), "leaves", t.leaves(leaves),
		"turned", t.sheet.Pinion.Shim == rules.UnderCartridge)
	if miss := built - p.Thickness; miss.Abs() > unit.MM(0.002) {
		line += t.text("final-pinion.shim_miss", "want", t.voice.length(p.Thickness), "miss", t.voice.amount(miss))
	}
	t.tell(line)
}

func (t *turn) leaves(all []unit.Length) string {
	if len(all) < 2 {
		return ""
	}
	return " (" + leafSum(t.voice, all) + ")"
}

// stackLines hold a stack that is to go in against what it should be.
func (t *turn) stackLines(slot Slot) {
	is, okIs := slotLength(t.job, slot)
	p, okPlan := plannedFor(t.sheet, t.job, slot)
	if !okIs || !okPlan || near2(is, p.Thickness) {
		return
	}
	if _, built := kitFor(t.sheet, t.job, slot); near2(is, built) {
		return
	}
	if a, b, ok := swapped(t.sheet, t.job); ok && (a == slot || b == slot) {
		return
	}
	// Another stack's figure in one place is more likely a mixed-up stack than a new one.
	for _, other := range []Slot{FinalPinion, FinalPack, FinalLeft, FinalRight} {
		q, ok := plannedFor(t.sheet, t.job, other)
		if ok && other != slot && near2(is, q.Thickness) {
			t.tell(t.text("final-carrier.looks_like", "a", t.slotWord(slot), "is", t.voice.length(is), "b", t.slotWord(other), "want", t.voice.length(p.Thickness)))
			return
		}
	}
	if slot == FinalLeft || slot == FinalRight {
		if _, both := slotLength(t.job, pick(slot == FinalLeft, FinalRight, FinalLeft)); both {
			if slot == FinalRight || !t.brought(FinalRight) {
				t.sideLines()
			}
			return
		}
	}
	t.tell(t.text("final-carrier.differs", "a", t.slotWord(slot), "is", t.voice.length(is), "want", t.voice.length(p.Thickness), "diff", t.voice.amount(is-p.Thickness),
		"thicker", is > p.Thickness, "thinner", is < p.Thickness))
}

// sideLines say what two side stacks other than planned do: the preload they make
// and how they move the ring gear.
func (t *turn) sideLines() {
	sides := finalSides(t.sheet, t.job)
	b, was := t.job.Trial().Build, t.job.lastTrial().Build
	ring := RingMove(t.sheet, b) - RingMove(t.sheet, was)
	more := b.Left.Thickness + b.Right.Thickness - sides[0].Trial - sides[1].Trial
	closes, _ := lashFor(t.sheet, 0, ring)
	lash := ""
	if closes.Abs() > unit.MM(0.003) {
		lash = t.voice.amount(asRead(t.voice, closes))
	}
	t.tell(t.text("final-carrier.sides", "preload", t.voice.own.Signed(more), "planned", t.voice.own.Signed(t.sheet.Carrier.PreloadAdd),
		"lash", lash, "closes", lash != "" && closes > 0, "opens", lash != "" && closes < 0))
}

// totalLines judge the total drag against the pinion's own.
func (t *turn) totalLines() {
	r := t.job.slot(FinalTotal)
	total, ok := r.Torque()
	l := t.job.lastDrag()
	if !ok || l == nil {
		t.tell(t.text("final-carrier.no_pinion_drag"))
		return
	}
	add, limit := total-l.Drag, t.sheet.Limits.TotalDragAdd
	ratio := float64(t.sheet.Ring.Teeth) / float64(t.sheet.Pinion.Teeth)
	carrier, err := preload.Carrier(total, l.Drag, ratio)
	if err != nil || !limit.Set {
		return // the rule on a total below the pinion's says it
	}
	with := []any{"add", t.voice.own.Torque(add), "range", t.torques(limit.Low, limit.High), "carrier", t.voice.own.Torque(carrier)}
	switch bandOf(limit).Judge(add) {
	case preload.Inside:
		t.tell(t.text("final-carrier.total_inside", with...))
	case preload.Under:
		t.tell(t.text("final-carrier.total_under", with...), t.text("final-carrier.total_under_hint"))
	}
}

// compareFinal holds the final assembly's lash against the trial's and against
// what the parts that changed should have done to it.
func (t *turn) compareFinal(a Advice) {
	now, before := t.job.lastRead()
	if before == nil || now.Backlash == nil || before.Backlash == nil {
		return
	}
	is, was := now.Backlash.Lengths(), before.Backlash.Lengths()
	if len(is) == 0 || len(was) == 0 {
		return
	}
	expected := expectedLash(t.sheet, mean(was), before.Build, now.Build)
	if !expected.Set {
		return
	}
	off := mean(is) - expected.Value
	with := []any{"trial", t.voice.length(asRead(t.voice, mean(was))), "expected", t.voice.length(asRead(t.voice, expected.Value)), "off", t.voice.amount(asRead(t.voice, off)),
		"wider", off > 0, "tighter", off < 0, "final", before.Final}
	if off.Abs() <= asExpected {
		t.tell(t.text("final-carrier.as_expected", with...))
	} else {
		t.tell(t.text("final-carrier.not_expected", with...), t.text("final-carrier.not_expected_hint"))
	}
	if a.PinionShim != 0 && (a.Verdict == advise.Change || a.Verdict == advise.Bracket) {
		t.tell(t.text("final-carrier.pinion_out", "sleeve", t.sheet.Preload.By == rules.CrushSleeve))
	}
}

// asExpected is how far the final lash may lie from the expected one: two dial
// readings and a press fit. Common practice, no source.
const asExpected = unit.Length(0.03)

// asPlanned files the stack, the notches or the oil that was planned where the
// open question offers it.
func (t *turn) asPlanned() (bool, error) {
	if t.field == nil {
		return false, nil
	}
	m := measured{Slot: t.field.Slot, What: t.field.What, Sum: true, Unit: "in"}
	var length unit.Length
	switch _, ok := plannedFor(t.sheet, t.job, t.field.Slot); {
	case ok:
		_, length = kitFor(t.sheet, t.job, t.field.Slot)
	case t.field.Slot == FinalPreload:
		n, ok := preloadNotches(t.sheet)
		if !ok {
			return false, nil
		}
		length = n.Given
	case t.field.Slot == OilFill && t.sheet.Oil.Litres > 0:
		m.Unit, m.Values = "l", []float64{t.sheet.Oil.Litres}
		if t.sheet.Units != unit.Metric {
			m.Unit, m.Values = "pt", []float64{math.Round(t.sheet.Oil.Litres/litresPerPint*10) / 10}
		}
	default:
		return false, nil
	}
	if m.Values == nil {
		m.Values = []float64{length.Inch()}
		if t.sheet.Units == unit.Metric {
			m.Unit, m.Values = "mm", []float64{length.MM()}
		}
	}
	if err := t.add(m); err != nil {
		return true, err
	}
	t.understood = append(t.understood, t.voice.echo(m))
	if m.Slot == OilFill {
		if err := t.oilIn(m); err != nil {
			return true, err
		}
	}
	if err := t.judge(); err != nil {
		return true, err
	}
	return true, t.advance()
}

// signOpen answers the open question of a fastener: yes signs it off.
func (t *turn) signOpen(yes bool) error {
	if !yes {
		t.noNext = true
		t.tell(t.text("fasteners.not_yet", "name", t.voice.axleText(t.field.Fastener)))
		return nil
	}
	t.u.Signed = append(t.u.Signed, listen.SignOff{Part: t.field.Fastener})
	if err := t.sign(); err != nil {
		return err
	}
	return t.advance()
}

// oilIn holds the oil that went in against the sheet's quantity. It is on record
// as filled with that.
func (t *turn) oilIn(m measured) error {
	if !t.job.holds(listen.FactOilFilled) {
		if err := t.add(stated{Fact: listen.FactOilFilled}); err != nil {
			return err
		}
	}
	r := Reading{Values: m.Values, Unit: m.Unit}
	in, ok := r.litres()
	want := t.sheet.Oil.Litres
	if !ok || want == 0 {
		return nil
	}
	// A tenth either way is what a filler hole lets show. Common practice, no source.
	if in < want*0.9 || in > want*1.1 {
		t.tell(t.text("close-up.oil_off", "in", t.voice.oil(oilQuantity(in)), "want", t.voice.oil(oilQuantity(want)), "source", t.voice.axleText(t.sheet.Oil.Source), "less", in < want, "more", in > want))
	}
	return nil
}
