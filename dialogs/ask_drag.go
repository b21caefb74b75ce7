package dialogs

import (
	"fmt"

	"shimwright/calc/preload"
	"shimwright/calc/unit"
	"shimwright/dialogs/listen"
	"shimwright/rules"
)

// askPull answers "5 lb on a string at 2 in" and what the scale shows for a drag.
func (t *turn) askPull(r *listen.Reckoning) ([]string, error) {
	radius, typedLength, ok := given(r, listen.PartRadius, lengthFigure)
	if !ok {
		return nil, errFigures
	}
	cord, _, haveCord := given(r, listen.PartCord, lengthFigure)
	var first, logged string
	if torque, typed, ok := given(r, listen.PartTorque, torqueFigure); ok {
		force, err := preload.PullFor(torque, radius, cord)
		if err != nil {
			return nil, err
		}
		first = t.text("ask-figures.pull_scale", "force", forceIn(force, pick(typed == "N·m", "N", "lbf")), "torque", torqueOnly(torque, typed), "radius", lengthIn(radius, typedLength))
	} else {
		force, typed, ok := given(r, listen.PartForce, forceFigure)
		if !ok {
			return nil, errFigures
		}
		torque, err := preload.Pull(force, radius, cord)
		if err != nil {
			return nil, err
		}
		small := pick(typed == "lbf", "in·lbf", "N·m")
		logged = torqueOnly(torque, small)
		first = t.text("ask-figures.pull", "torque", torqueIn(torque, small), "force", forceIn(force, typed), "radius", lengthIn(radius, typedLength))
	}
	lines := []string{first}
	if logged != "" && t.job.Number > 0 {
		lines = append(lines, t.text("ask-figures.pull_log", "drag", logged))
	}
	if haveCord {
		lines = append(lines, t.text("ask-figures.pull_cord", "cord", lengthIn(cord, typedLength)))
	} else {
		lines = append(lines, t.text("ask-figures.pull_thick"))
	}
	return append(lines, t.text("ask-figures.pull_steady")), nil
}

// ratioOf gives the axle ratio of the question, else the sheet's, and how to say
// which.
func (t *turn) ratioOf(r *listen.Reckoning) (value float64, name string) {
	if f, ok := r.Figure(listen.PartRatio); ok {
		return f.Value, fmt.Sprintf("%.2f", f.Value)
	}
	value = float64(t.sheet.Ring.Teeth) / float64(t.sheet.Pinion.Teeth)
	return value, t.text("ask-figures.ratio_of_sheet", "ratio", fmt.Sprintf("%.2f", value), "sheet", t.sheet.Name)
}

// askCarrierDrag answers "total 20 pinion 14 ratio 3.7 what's the carrier", or for
// the total or the pinion.
func (t *turn) askCarrierDrag(r *listen.Reckoning) ([]string, error) {
	total, typed, haveTotal := given(r, listen.PartTotal, torqueFigure)
	pinion, typedPinion, havePinion := given(r, listen.PartPinion, torqueFigure)
	carrier, _, haveCarrier := given(r, listen.PartCarrier, torqueFigure)
	if typed == "" {
		typed = typedPinion
	}
	by, name := t.ratioOf(r)
	var lines []string
	var err error
	switch {
	case haveTotal && havePinion:
		if total < pinion {
			return []string{t.text("ask-figures.total_below", "total", torqueIn(total, typed), "pinion", torqueIn(pinion, typed)), t.text("ask-figures.total_below_hint")}, nil
		}
		if carrier, err = preload.Carrier(total, pinion, by); err == nil {
			lines = []string{t.text("ask-figures.carrier", "carrier", torqueIn(carrier, typed), "total", torqueOnly(total, typed), "pinion", torqueOnly(pinion, typed), "ratio", name)}
		}
	case haveCarrier && havePinion:
		if total, err = preload.Total(pinion, carrier, by); err == nil {
			lines = []string{t.text("ask-figures.total", "total", torqueIn(total, typed), "pinion", torqueOnly(pinion, typed), "carrier", torqueOnly(carrier, typed), "ratio", name)}
		}
	case haveCarrier && haveTotal:
		if pinion, err = preload.Pinion(total, carrier, by); err == nil {
			lines = []string{t.text("ask-figures.pinion", "pinion", torqueIn(pinion, typed), "total", torqueOnly(total, typed), "carrier", torqueOnly(carrier, typed), "ratio", name)}
		}
	default:
		return nil, errFigures
	}
	if err != nil {
		return nil, err
	}
	if add := t.sheet.Limits.TotalDragAdd; add.Set {
		band := preload.Band{Low: add.Low, High: add.High}
		lines = append(lines, t.text("ask-figures.total_judged", "added", torqueOnly(total-pinion, typed), "verdict", t.verdict(band.Judge(total-pinion)), "low", three(inUnit(add.Low, typed)), "high", torqueOnly(add.High, typed), "sheet", t.sheet.Name))
	}
	return append(lines, t.text("ask-figures.total_clean")), nil
}

func inUnit(q unit.Torque, typed string) float64 {
	switch typed {
	case "ft·lbf":
		return q.FtLbf()
	case "N·m":
		return q.NewtonMetre()
	case "kgf·cm":
		return q.NewtonMetre() / unit.KgfCm(1).NewtonMetre()
	}
	return q.InLbf()
}

func (t *turn) verdict(v preload.Verdict) string {
	switch v {
	case preload.Under:
		return t.text("ask-figures.under")
	case preload.Over:
		return t.text("ask-figures.over")
	}
	return t.text("ask-figures.inside")
}

// dragFigures gives the sheet's drag figures.
func dragFigures(s *rules.Sheet) preload.Figures {
	band := func(r rules.TorqueRange) preload.Band { return preload.Band{Low: r.Low, High: r.High} }
	return preload.Figures{New: band(s.Limits.PinionDragNew), Used: band(s.Limits.PinionDragUsed), Seal: band(s.Limits.SealDrag)}
}

// askDrag answers what drag to expect with the bearings and the seal there are.
func (t *turn) askDrag(r *listen.Reckoning) ([]string, error) {
	bearings := preload.NewBearings
	if r.Word(listen.PartBearings) == "used" {
		bearings = preload.UsedBearings
	}
	seal := preload.Seal(r.Word(listen.PartSeal))
	e, err := preload.Expect(dragFigures(t.sheet), bearings, seal)
	if err != nil {
		return []string{t.text("ask-figures.no_drag_figure", "sheet", t.sheet.Name)}, nil
	}
	typed := t.typedDrag()
	state := t.text("ask-figures.seal_unknown")
	switch seal {
	case preload.SealOn:
		state = t.text("ask-figures.seal_on")
	case preload.SealOff:
		state = t.text("ask-figures.seal_off")
	}
	which := t.text("ask-figures.bearings_new")
	if bearings == preload.UsedBearings {
		which = t.text("ask-figures.bearings_used")
	}
	lines := []string{t.text("ask-figures.drag", "bearings", which, "seal", state, "low", three(inUnit(e.Low, typed)), "high", torqueIn(e.High, typed), "sheet", t.sheet.Name)}
	if e.AssumedUsed {
		lines = append(lines, t.text("ask-figures.drag_half"))
	}
	if e.AssumedSeal {
		lines = append(lines, t.text("ask-figures.drag_seal"))
	}
	return append(lines, t.text("ask-figures.drag_how")), nil
}

// wantedBand gives the drag asked for: the figure or range of the question, else the
// sheet's for new bearings without seal.
func (t *turn) wantedBand(r *listen.Reckoning) (preload.Band, bool) {
	low, _, ok := given(r, listen.PartWanted, torqueFigure)
	high, _, two := given(r, listen.PartWantedTo, torqueFigure)
	switch {
	case ok && two:
		return preload.Band{Low: min(low, high), High: max(low, high)}, true
	case ok: // one figure: as near as a wrench reads
		return preload.Band{Low: low * 0.9, High: low * 1.1}, true
	}
	l := t.sheet.Limits.PinionDragNew
	return preload.Band{Low: l.Low, High: l.High}, l.Set
}

// askPack answers "drag is 8, want 15, how much out of the preload pack".
func (t *turn) askPack(r *listen.Reckoning) ([]string, error) {
	drag, typed, ok := given(r, listen.PartDrag, torqueFigure)
	want, have := t.wantedBand(r)
	if !ok || !have {
		return nil, errFigures
	}
	c, err := preload.ChangePack(drag, want, preload.UsualRates())
	if err != nil {
		return nil, err
	}
	if c.Change == 0 {
		return []string{t.text("ask-figures.pack_inside", "drag", torqueIn(drag, typed))}, nil
	}
	key := t.text("ask-figures.pack_out", "change", t.voice.own.Length(c.Change.Abs()), "other", t.voice.own.Other().Length(c.Change.Abs()))
	if c.Change > 0 {
		key = t.text("ask-figures.pack_in", "change", t.voice.own.Length(c.Change.Abs()), "other", t.voice.own.Other().Length(c.Change.Abs()))
	}
	return []string{
		key,
		t.text("ask-figures.pack_why", "drag", torqueOnly(drag, typed), "low", three(inUnit(c.Low, typed)), "high", torqueOnly(c.High, typed), "rate_low", torqueOnly(unit.InLbf(4), typed), "rate_high", torqueOnly(unit.InLbf(8), typed)),
		t.text("ask-figures.pack_own"),
	}, nil
}

// askSleeve answers how much further to turn the nut on a crush sleeve.
func (t *turn) askSleeve(r *listen.Reckoning) ([]string, error) {
	before, typed, ok := given(r, listen.PartBefore, torqueFigure)
	after, _, ok2 := given(r, listen.PartAfter, torqueFigure)
	turned, ok3 := r.Figure(listen.PartTurn)
	want, have := t.wantedBand(r)
	if !ok || !ok2 || !ok3 || !have {
		return nil, errFigures
	}
	a, err := preload.NextStep([]preload.Step{{Drag: before}, {Turn: unit.Deg(turned.Value), Drag: after}}, preload.Pulled{Want: want})
	if err != nil {
		return nil, err
	}
	span := three(inUnit(want.Low, typed)) + "–" + torqueOnly(want.High, typed)
	switch {
	case a.Scrap:
		return []string{t.text("ask-figures.sleeve_over", "drag", torqueIn(after, typed), "want", span), t.text("ask-figures.sleeve_scrap")}, nil
	case a.Verdict == preload.Inside:
		return []string{t.text("ask-figures.sleeve_inside", "drag", torqueIn(after, typed), "want", span)}, nil
	case a.HalfStep:
		return []string{t.text("ask-figures.sleeve_half", "turn", figures(turned.Value/2, 0)), t.text("ask-figures.sleeve_never")}, nil
	}
	return []string{
		t.text("ask-figures.sleeve_turn", "turn", figures(a.Turn.Deg(), 0), "low", three(inUnit(a.Low, typed)), "high", torqueIn(a.High, typed)),
		t.text("ask-figures.sleeve_why", "slope", torqueOnly(unit.Torque(a.Slope*10), typed), "want", span),
		t.text("ask-figures.sleeve_never"),
	}, nil
}

// askSides answers how side preload is split, in shims or in notches.
func (t *turn) askSides(r *listen.Reckoning) ([]string, error) {
	add, typed, ok := given(r, listen.PartAdded, lengthFigure)
	if !ok {
		return nil, errFigures
	}
	c := t.sheet.Carrier
	if c.By == rules.Adjusters && c.PerNotch() > 0 {
		n, err := preload.SplitNotches(add, c.Pitch, c.Notches, t.farSide())
		if err != nil {
			return nil, err
		}
		return []string{
			t.text("ask-figures.sides_notches", "left", n.Left, "right", n.Right, "given", lengthIn(n.Given, typed), "per", lengthIn(c.PerNotch(), typed)),
			t.text("ask-figures.sides_finish"),
		}, nil
	}
	s, err := preload.SplitShims(add, 0, t.farSide())
	if err != nil {
		return nil, err
	}
	return []string{
		t.text("ask-figures.sides_shims", "each", lengthIn(s.Left, typed), "add", lengthIn(add, typed)),
		t.text("ask-figures.sides_same"),
	}, nil
}

// farSide is the side away from the ring gear: an odd step there opens the backlash
// rather than closing it.
func (t *turn) farSide() string {
	if t.sheet.Ring.Side == rules.Left {
		return "right"
	}
	return "left"
}
