package dialogs

import (
	"shimwright/calc/fit"
	"shimwright/calc/unit"
	"shimwright/rules"
)

// joint gives how tight a part sits, by what was said in the job before what the
// sheet says; ok is false where diameter or interference is not known.
func joint(s *rules.Sheet, j *Job, piece string) (f rules.Fit, ok bool) {
	switch piece {
	case pieceRing, pieceCarrier:
		f = s.Fits.Ring
	case pieceHead, piecePinion:
		f = s.Fits.HeadBearing
	case pieceSide:
		f = s.Fits.SideBearing
	}
	tight := f.Set
	if r := j.slot(tightSlot(piece)); r != nil {
		if l, known := r.Length(); known {
			f.Low, f.High, tight = l, l, true
		}
	}
	if r := j.slot(boreSlot(piece)); r != nil {
		if l, known := r.Length(); known {
			f.Diameter = l
		}
	}
	return f, tight && f.Diameter > 0
}

// jointOf makes the joint that calc/fit works with, at its tightest.
func jointOf(f rules.Fit, piece string) fit.Joint {
	j := fit.Joint{Diameter: f.Diameter, Interference: f.High, Hole: fit.Steel(), Shaft: fit.Steel()}
	if piece == pieceHead || piece == pieceSide || piece == piecePinion {
		j.Hole = fit.BearingSteel()
	}
	return j
}

// most is how hot a part may get, by the sheet or the tables.
func most(s *rules.Sheet, piece string) unit.Temperature {
	if o := s.Limits.OvenTemperature; piece == pieceRing && o.Set {
		return o.High
	}
	return fit.MostBearing
}

// hotAim is what a part is warmed to.
type hotAim struct {
	Free      unit.Temperature // where it just comes free at its tightest
	Low, High unit.Temperature // with 20 to 30 K for the way from the oven, the limit kept
	Limit     unit.Temperature
	Enough    bool // the limit leaves the way from the oven
}

// aim works out what a part is to be warmed to. Source: chart temperatures of a
// bearing maker's page: what frees it, and 20 to 30 K for handling.
func aim(s *rules.Sheet, f rules.Fit, piece string) (hotAim, error) {
	w, err := jointOf(f, piece).HeatFor(0, room)
	if err != nil {
		return hotAim{}, err
	}
	a := hotAim{Free: w.At, Low: w.At.Warmed(handlingLow), High: w.At.Warmed(handlingHigh), Limit: most(s, piece)}
	a.Enough = a.Low <= a.Limit+1
	a.Low, a.High = min(a.Low, a.Limit), min(a.High, a.Limit)
	return a, nil
}

// aimLine says what to warm a part to, nothing where its fit is not known.
func (t *turn) aimLine(piece, heat string) string {
	f, ok := joint(t.sheet, t.job, piece)
	if !ok {
		return ""
	}
	if f.High <= 0 {
		return t.text("fits.goes_on_cold", "piece", t.pieceName(piece), "clear", t.voice.length(-f.High))
	}
	a, err := aim(t.sheet, f, piece)
	if err != nil {
		return ""
	}
	with := []any{"piece", t.pieceName(piece), "aim", aimed(a, heat), "free", heatOnly(a.Free, heat),
		"tight", t.voice.length(f.High), "diameter", lengthOnlyIn(f.Diameter, t.voice.own), "limit", heatOnly(a.Limit, heat)}
	switch {
	case a.Free > a.Limit:
		return t.text("fits.heat_alone_not", with...)
	case !a.Enough:
		return t.text("fits.aim_short", with...)
	}
	return t.text("fits.aim", with...)
}

// aimed writes the range to warm a part to.
func aimed(a hotAim, heat string) string {
	if heatOnly(a.Low, heat) == heatOnly(a.High, heat) {
		return heatOnly(a.High, heat)
	}
	return degrees(a.Low, heat) + "–" + heatOnly(a.High, heat)
}

// degrees writes a temperature without its unit, for the low end of a range.
func degrees(q unit.Temperature, heat string) string { return bare(heatOnly(q, heat)) }

// lengthOnlyIn writes a diameter shortly: 4.5 in, 110 mm.
func lengthOnlyIn(l unit.Length, own unit.System) string {
	if own == unit.Metric {
		return three(l.MM()) + " mm"
	}
	return figures(l.Inch(), 3) + " in"
}
