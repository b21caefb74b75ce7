package dialogs

import (
	"errors"
	"math"
	"time"

	"shimwright/calc/fit"
	"shimwright/calc/unit"
	"shimwright/dialogs/listen"
)

// room is what a shop is taken to be at where nobody says.
const room = unit.Temperature(20)

// handling is what common charts add for the way from the oven. Source: bearing
// maker's heating chart, 20 to 30 K.
const (
	handlingLow  = unit.Rise(20)
	handlingHigh = unit.Rise(30)
)

// pieceOf says what is heated, and its limit by the sheet or the tables.
func (t *turn) pieceOf(r *listen.Reckoning) (piece fit.Piece, name string, limit unit.Temperature) {
	if r.Word(listen.PartPiece) == "bearing" {
		return fit.Bearing, t.text("ask-figures.a_bearing"), fit.MostBearing
	}
	limit = fit.MostBearing
	if o := t.sheet.Limits.OvenTemperature; o.Set {
		limit = o.High
	}
	return fit.RingGear, t.text("ask-figures.a_ring_gear"), limit
}

// askHeat answers "ring in the oven at 500f?" with what it costs in hardness.
func (t *turn) askHeat(r *listen.Reckoning) ([]string, error) {
	at, typed, ok := given(r, listen.PartTemperature, heatFigure)
	if !ok {
		return nil, errFigures
	}
	piece, name, limit := t.pieceOf(r)
	v, err := fit.Judge(piece, at, limit)
	if err != nil {
		return nil, err
	}
	h, err := fit.Tempered(at)
	if err != nil {
		return nil, err
	}
	var lines []string
	switch {
	case v == fit.HeatFine:
		lines = append(lines, t.text("ask-figures.heat_fine", "at", heatIn(at, typed), "piece", name, "limit", heatIn(limit, typed)))
	case v == fit.HeatOver:
		lines = append(lines, t.text("ask-figures.heat_over", "at", heatIn(at, typed), "piece", name, "limit", heatIn(limit, typed)))
	case piece == fit.Bearing:
		lines = append(lines, t.text("ask-figures.heat_bearing", "at", heatIn(at, typed), "limit", heatIn(limit, typed)))
	default:
		lines = append(lines, t.text("ask-figures.heat_hardness", "at", heatIn(at, typed), "low", figures(math.Floor(h.LossLow), 0), "high", figures(math.Ceil(h.LossHigh), 0), "left", figures(h.CaseLow, 0),
			"beyond", h.Beyond, "limit", heatIn(limit, typed)))
	}
	if (v == fit.HeatSuspect || v == fit.HeatReject) && len(t.cautions) == 0 {
		lines = append(lines, t.text("ask-figures.heat_done"))
	}
	return append(lines, t.text("ask-figures.heat_gloves")), nil
}

// askHeatFor answers "how hot for 3 thou clearance on a 4.5 in ring".
func (t *turn) askHeatFor(r *listen.Reckoning) ([]string, error) {
	d, _, ok := given(r, listen.PartDiameter, lengthFigure)
	if !ok {
		return nil, errFigures
	}
	clearance, typed, said := given(r, listen.PartClearance, lengthFigure)
	tight, typedTight, haveTight := given(r, listen.PartInterference, lengthFigure)
	if typed == "" {
		typed = typedTight
	}
	if !said && !haveTight {
		clearance = unit.Thou(3)
	}
	piece, name, limit := t.pieceOf(r)
	j := fit.Joint{Diameter: d, Interference: tight, Hole: fit.Steel(), Shaft: fit.Steel()}
	if piece == fit.Bearing {
		j.Hole = fit.BearingSteel()
	}
	w, err := j.HeatFor(clearance, room)
	if err != nil {
		return nil, err
	}
	heat := t.typedHeat()
	with := []any{"at", heatIn(w.At, heat), "low", heatOnly(w.Low, heat), "high", heatOnly(w.High, heat), "clearance", lengthIn(clearance, typed), "assumed", !said,
		"diameter", lengthIn(d, pick(t.voice.own == unit.Metric, "mm", "in")), "tight", lengthIn(tight, typed), "room", heatOnly(room, heat)}
	var lines []string
	switch {
	case haveTight && !said: // the way from the oven is what play it needs
		lines = append(lines, t.text("ask-figures.heat_for_free", with...))
	case haveTight:
		lines = append(lines, t.text("ask-figures.heat_for", with...), t.text("ask-figures.heat_for_tight", with...))
	default:
		lines = append(lines, t.text("ask-figures.heat_for", with...), t.text("ask-figures.heat_for_no_tight", with...))
	}
	rise := func(k unit.Rise) string {
		if heat == "degC" {
			return figures(k.K(), 0)
		}
		return figures(k.F(), 0)
	}
	lines = append(lines, t.text("ask-figures.heat_for_handling", "low", rise(handlingLow), "high", rise(handlingHigh), "unit", t.voice.unitWord(heat)))
	if w.At.Warmed(handlingLow) > limit+1 {
		lines = append(lines, t.text("ask-figures.heat_for_limit", "piece", name, "limit", heatIn(limit, heat)))
	} else {
		lines = append(lines, t.text("ask-figures.heat_for_under", "piece", name, "limit", heatIn(limit, heat)))
	}
	return append(lines, t.text("ask-figures.heat_gloves")), nil
}

// askChillFor answers "how cold for 2 thou on a 1.5 in pin".
func (t *turn) askChillFor(r *listen.Reckoning) ([]string, error) {
	d, _, ok := given(r, listen.PartDiameter, lengthFigure)
	clearance, typed, said := given(r, listen.PartClearance, lengthFigure)
	tight, typedTight, haveTight := given(r, listen.PartInterference, lengthFigure)
	if !ok || !said && !haveTight {
		return nil, errFigures
	}
	if typed == "" {
		typed = typedTight
	}
	j := fit.Joint{Diameter: d, Interference: tight, Hole: fit.Steel(), Shaft: fit.Steel()}
	if r.Word(listen.PartPiece) == "bearing" {
		j.Shaft = fit.BearingSteel()
	}
	heat := t.typedHeat()
	w, err := j.ChillFor(clearance, room)
	switch {
	case errors.Is(err, fit.ErrFigure):
		return []string{t.text("ask-figures.chill_not_enough", "clearance", lengthIn(clearance+tight, typed), "ice", heatIn(fit.DryIce, heat)), t.text("ask-figures.chill_care")}, nil
	case err != nil:
		return nil, err
	}
	lines := []string{t.text("ask-figures.chill_for", "at", heatIn(w.At, heat), "shrink", lengthIn(clearance+tight, typed), "diameter", lengthIn(d, pick(t.voice.own == unit.Metric, "mm", "in")), "room", heatOnly(room, heat))}
	if w.At < fit.DryIce {
		lines = append(lines, t.text("ask-figures.chill_beyond_ice", "ice", heatIn(fit.DryIce, heat)))
	}
	return append(lines, t.text("ask-figures.chill_care")), nil
}

// askGrowth answers how much a diameter grows.
func (t *turn) askGrowth(r *listen.Reckoning) ([]string, error) {
	d, _, ok := given(r, listen.PartDiameter, lengthFigure)
	at, heat, ok2 := given(r, listen.PartTemperature, heatFigure)
	if !ok || !ok2 {
		return nil, errFigures
	}
	m := fit.Steel()
	if r.Word(listen.PartPiece) == "bearing" {
		m = fit.BearingSteel()
	}
	likely, low, high, err := fit.Growth(d, at.Above(room), m)
	if err != nil {
		return nil, err
	}
	typed := pick(heat == "degC" && t.voice.own != unit.InchUnits || t.voice.own == unit.Metric, "mm", "in")
	return []string{
		t.text("ask-figures.growth", "growth", lengthIn(likely, typed), "diameter", lengthIn(d, typed), "room", heatOnly(room, heat), "at", heatIn(at, heat)),
		t.text("ask-figures.growth_band", "low", t.lengthOnly(low, typed), "high", t.lengthOnly(high, typed)),
	}, nil
}

func (t *turn) lengthOnly(l unit.Length, typed string) string {
	if typed == "mm" {
		return unit.Metric.Length(l)
	}
	return unit.InchUnits.Length(l)
}

// askCooling answers when a hot part can be touched.
func (t *turn) askCooling(r *listen.Reckoning) ([]string, error) {
	at, heat, ok := given(r, listen.PartTemperature, heatFigure)
	if !ok {
		if lines := t.coolingNow(r); lines != nil {
			return lines, nil
		}
		_, _, at = t.pieceOf(r)
		heat = t.typedHeat()
	}
	d, _, said := given(r, listen.PartDiameter, lengthFigure)
	if !said {
		d = t.sheet.Ring.OutsideDiameter
	}
	s, err := fit.Cooling(fit.UsualRing(d), at, fit.Touchable, room)
	if err != nil {
		return nil, err
	}
	if s.Likely == 0 {
		return []string{t.text("ask-figures.cooling_now", "touch", heatIn(fit.Touchable, heat))}, nil
	}
	return []string{
		t.text("ask-figures.cooling", "likely", fiveMinutes(s.Likely), "low", fiveMinutes(s.Low), "high", fiveMinutes(s.High), "at", heatIn(at, heat), "touch", heatIn(fit.Touchable, heat)),
		t.text("ask-figures.cooling_why", "diameter", lengthIn(d, pick(t.voice.own == unit.Metric, "mm", "in")), "room", heatOnly(room, heat)),
		t.text("ask-figures.cooling_care"),
	}, nil
}

// fiveMinutes writes a time to five minutes, which is more than it is sure of.
func fiveMinutes(d time.Duration) string {
	return figures(max(5, math.Round(d.Minutes()/5)*5), 0)
}
