package dialogs

import (
	"errors"

	"shimwright/calc/preload"
	"shimwright/calc/unit"
	"shimwright/dialogs/listen"
	"shimwright/rules"
)

// DragLook is one look at the pinion drag on the final assembly, on the sleeve
// that is in now.
type DragLook struct {
	Drag     unit.Torque
	Nut      unit.Torque // torque it took to move the nut before it, 0 where not said
	Turn     unit.Angle  // turned since the first look, adding up; 0 where not said
	Seal     string      // on or off, empty where not known
	Bearings string      // new or used, empty where not known
	Pack     unit.Length // preload pack that was in, 0 where there is none
	entryMeta
}

// lookAtDrag keeps a drag reading of the final pinion assembly with the nut step
// that led to it.
func (j *Job) lookAtDrag(r Reading) {
	drag, ok := r.Torque()
	if !ok {
		return
	}
	look := DragLook{Drag: drag, Nut: j.nut, Turn: j.turned, Seal: r.Seal, Bearings: r.Bearings, entryMeta: r.entryMeta}
	if look.Seal == "" {
		look.Seal = j.sealSaid()
	}
	if look.Bearings == "" {
		look.Bearings = j.bearingsSaid()
	}
	if p := j.Trial().Build.Preload; p.Known {
		look.Pack = p.Thickness
	}
	j.Drags, j.nut = append(j.Drags, look), 0
}

func (j *Job) sealSaid() string {
	switch {
	case j.holds(listen.FactSealFitted):
		return "on"
	case j.holds(listen.FactNoSeal):
		return "off"
	}
	return ""
}

func (j *Job) bearingsSaid() string {
	switch {
	case j.holds(listen.FactUsedBearings):
		return "used"
	case j.holds(listen.FactNewBearings):
		return "new"
	}
	return ""
}

// lastDrag is the latest look, nil where there is none on this sleeve.
func (j *Job) lastDrag() *DragLook {
	if len(j.Drags) == 0 {
		return nil
	}
	return &j.Drags[len(j.Drags)-1]
}

// dragBand gives the drag a look is held against. False where the sheet has no
// figure for it.
func dragBand(s *rules.Sheet, l DragLook) (preload.Expected, bool) {
	figures := preload.Figures{New: bandOf(s.Limits.PinionDragNew), Used: bandOf(s.Limits.PinionDragUsed), Seal: bandOf(s.Limits.SealDrag)}
	bearings := preload.NewBearings
	if l.Bearings == "used" {
		bearings = preload.UsedBearings
	}
	e, err := preload.Expect(figures, bearings, preload.Seal(l.Seal))
	return e, err == nil && s.Limits.PinionDragNew.Set
}

func bandOf(r rules.TorqueRange) preload.Band {
	if !r.Set {
		return preload.Band{}
	}
	return preload.Band{Low: r.Low, High: r.High}
}

// dragIn says whether the last look is inside the sheet's band, or there is no
// band to be inside of.
func dragIn(s *rules.Sheet, j *Job) bool {
	l := j.lastDrag()
	if l == nil || l.Seq < j.stripped {
		return false
	}
	band, ok := dragBand(s, *l)
	return !ok || band.Judge(l.Drag) == preload.Inside
}

// dragLines judge the latest look and give the next step of the nut or the pack.
func (t *turn) dragLines() []string {
	l := t.job.lastDrag()
	band, ok := dragBand(t.sheet, *l)
	if !ok {
		return []string{t.text("final-pinion.no_band")}
	}
	with := []any{
		"drag", t.voice.own.Torque(l.Drag), "range", t.torques(band.Low, band.High), "bearings", t.dragWord(l.Bearings), "seal", t.dragWord("seal " + l.Seal),
	}
	if t.sheet.Preload.By == rules.PreloadShims {
		return t.packLines(*l, band, with)
	}
	seal := unit.Torque(0)
	if l.Seal == "on" {
		seal = t.sheet.Limits.SealDrag.Low
	}
	steps := make([]preload.Step, len(t.job.Drags))
	for i, d := range t.job.Drags {
		steps[i] = preload.Step{Turn: d.Turn, Nut: d.Nut, Drag: d.Drag}
	}
	a, err := preload.NextStep(steps, preload.Pulled{Want: band.Band, Seal: seal})
	switch {
	case errors.Is(err, preload.ErrBackedOff):
		return []string{t.text("final-pinion.backed_off"), t.text("final-pinion.backed_off_hint")}
	case err != nil:
		return []string{t.text("final-pinion.cannot", "error", err)}
	case a.Scrap:
		return []string{t.text("final-pinion.over", with...), t.text("final-pinion.over_hint")}
	case a.Verdict == preload.Inside:
		return []string{t.text("final-pinion.inside", with...), t.text("final-pinion.inside_hint")}
	}
	var lines []string
	if !t.shownNow["drag-low-final"] { // which says as much
		lines = append(lines, t.text("final-pinion.under", with...))
	}
	switch {
	case a.Turn > 0:
		expect := ""
		if !a.HalfStep {
			expect = t.torques(a.Low, a.High)
		}
		lines = append(lines, t.text("final-pinion.turn", "degrees", asDegrees(a.Turn), "expect", expect, "known", !a.HalfStep))
	case a.Nut > 0:
		lines = append(lines, t.text("final-pinion.nut", "more", wrenchTorque(t.voice, a.Nut), "expect", t.torques(a.Low, a.High)))
	default:
		lines = append(lines, t.text("final-pinion.small_step"))
	}
	if len(t.job.Drags) == 1 {
		lines = append(lines, t.text("final-pinion.never_back"))
	}
	return lines
}

// packLines judge the drag of a shim-set preload and give the change of the pack.
func (t *turn) packLines(l DragLook, band preload.Expected, with []any) []string {
	rates := preload.UsualRates()
	for i := len(t.job.Drags) - 2; i >= 0; i-- {
		before := t.job.Drags[i]
		if before.Pack == 0 || l.Pack == 0 || before.Pack == l.Pack || before.Seal != l.Seal {
			continue
		}
		if r, err := preload.RatesFrom(preload.Tried{Pack: before.Pack, Drag: before.Drag}, preload.Tried{Pack: l.Pack, Drag: l.Drag}, unit.InLbf(1)); err == nil {
			rates = r
		}
		break
	}
	c, err := preload.ChangePack(l.Drag, band.Band, rates)
	switch {
	case err != nil:
		return []string{t.text("final-pinion.cannot", "error", err)}
	case band.Judge(l.Drag) == preload.Inside:
		return []string{t.text("final-pinion.pack_inside", with...)}
	}
	change := c.Change
	if c.Change < 0 {
		change = max(c.Change, c.Safe) // rather too thick and once more than too tight
	}
	change = t.onGrid(change)
	soft, hard := l.Drag-unit.Torque(float64(rates.Low)*change.MM()), l.Drag-unit.Torque(float64(rates.High)*change.MM())
	var lines []string
	if !t.shownNow["drag-low-final"] {
		lines = append(lines, t.text("final-pinion.outside", with...))
	}
	if change == 0 {
		return append(lines, t.text("final-pinion.pack_turn"))
	}
	said := []any{"by", t.voice.amount(change), "thinner", change < 0, "thicker", change > 0, "expect", t.torques(max(0, min(soft, hard)), max(soft, hard)), "pack", ""}
	if l.Pack > 0 {
		leaves, built := kitStack(t.sheet.Kit.Preload, l.Pack+change, t.sheet.Carrier.MaxLeaves)
		pack := t.voice.length(built)
		if len(leaves) > 1 {
			pack += " (" + leafSum(t.voice, leaves) + ")"
		}
		said[len(said)-1] = pack
		return append(lines, t.text("final-pinion.pack_to", said...))
	}
	return append(lines, t.text("final-pinion.pack_by", said...))
}

// onGrid rounds a change to what a kit has.
func (t *turn) onGrid(l unit.Length) unit.Length {
	step := gridOf(t.sheet)
	return unit.Length(int(float64(l/step)+pickSign(l)*0.5)) * step
}

func pickSign(l unit.Length) float64 {
	if l < 0 {
		return -1
	}
	return 1
}

// torques writes a range of torques with the unit once.
func (t *turn) torques(low, high unit.Torque) string {
	a, b := t.voice.own.Torque(low), t.voice.own.Torque(high)
	if a == b {
		return a
	}
	return bare(a) + "–" + b
}

// dragWord says a state of seal or bearings.
func (t *turn) dragWord(state string) string {
	switch state {
	case "seal on":
		return t.text("final-pinion.seal_on")
	case "seal off":
		return t.text("final-pinion.seal_off")
	case "used":
		return t.text("final-pinion.used")
	case "new":
		return t.text("final-pinion.new")
	case "seal ":
		return t.text("final-pinion.seal_unknown")
	}
	return t.text("final-pinion.taken_new")
}

// asDegrees says a turn of the nut as a wrench does: degrees, and the part of a
// turn near it.
func asDegrees(a unit.Angle) string {
	d := a.Deg()
	text := number(float64(int(d+0.5)), "deg") + "°"
	for _, part := range []struct {
		degrees float64
		name    string
	}{{90, "1/4"}, {45, "1/8"}, {30, "1/12"}, {22.5, "1/16"}, {15, "1/24"}, {11.25, "1/32"}} {
		if d > part.degrees*0.85 && d < part.degrees*1.15 {
			return text + " (" + part.name + ")"
		}
	}
	return text
}
