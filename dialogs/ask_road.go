package dialogs

import (
	"fmt"

	"shimwright/calc/ratio"
	"shimwright/calc/unit"
	"shimwright/dialogs/listen"
)

// tyreOf reads a tyre of the question.
func tyreOf(r *listen.Reckoning, p listen.Part) (t ratio.Tyre, tall unit.Length, err error) {
	if t, err = ratio.ParseTyre(r.Word(p)); err != nil {
		return t, 0, err
	}
	tall, err = t.Diameter()
	return t, tall, err
}

// rolling is how much less than its diameter a loaded tyre rolls on. Common
// practice, no source.
const rolling = 0.97

// askEngine answers engine speed, road speed or axle ratio, whichever is missing.
func (t *turn) askEngine(r *listen.Reckoning) ([]string, error) {
	if r.Word(listen.PartTyre) == "" {
		return []string{t.text("ask-figures.which_tyre")}, nil
	}
	tyre, tall, err := tyreOf(r, listen.PartTyre)
	if err != nil {
		return nil, err
	}
	gear, gearName := 1.0, t.text("ask-figures.direct")
	if f, ok := r.Figure(listen.PartGear); ok {
		gear, gearName = f.Value, t.text("ask-figures.gear", "gear", figures(f.Value, 3))
	}
	axle, axleName := t.ratioOf(r)
	road, typed, haveRoad := given(r, listen.PartSpeed, speedFigure)
	engine, haveEngine := r.Figure(listen.PartEngine)
	switch r.About {
	case listen.AboutEngine:
		if !haveRoad {
			return nil, errFigures
		}
		rpm, err := ratio.Engine(road, tall, axle, gear)
		if err != nil {
			return nil, err
		}
		return []string{
			t.text("ask-figures.engine", "rpm", figures(rpm, 0), "speed", speedIn(road, typed), "axle", axleName, "tyre", tyre.Name(), "gear", gearName),
			t.text("ask-figures.engine_loaded", "rpm", figures(rpm/rolling, 0)),
		}, nil
	case listen.AboutRoad:
		typed = "mph"
		if t.voice.own == unit.Metric {
			typed = "km/h"
		}
		if road, err = ratio.Road(engine.Value, tall, axle, gear); err != nil {
			return nil, err
		}
		return []string{t.text("ask-figures.road", "speed", speedIn(road, typed), "rpm", figures(engine.Value, 0), "axle", axleName, "tyre", tyre.Name(), "gear", gearName)}, nil
	}
	if !haveRoad || !haveEngine {
		return nil, errFigures
	}
	if axle, err = ratio.AxleFor(engine.Value, road, tall, gear); err != nil {
		return nil, err
	}
	return []string{t.text("ask-figures.axle", "axle", fmt.Sprintf("%.2f", axle), "rpm", figures(engine.Value, 0), "speed", speedIn(road, typed), "tyre", tyre.Name(), "gear", gearName)}, nil
}

// speedIn writes a speed in the unit typed with the other behind it.
func speedIn(s ratio.Speed, typed string) string {
	mph, kmh := figures(s.MPH(), 1)+" mph", figures(s.KMH(), 1)+" km/h"
	if typed == "km/h" {
		return kmh + " (" + mph + ")"
	}
	return mph + " (" + kmh + ")"
}

// askTyre answers how tall a tyre is and how often it turns in a mile.
func (t *turn) askTyre(r *listen.Reckoning) ([]string, error) {
	tyre, tall, err := tyreOf(r, listen.PartTyre)
	if err != nil {
		return nil, err
	}
	mile, err := ratio.TurnsPerMile(tall)
	if err != nil {
		return nil, err
	}
	return []string{
		t.text("ask-figures.tyre", "tyre", tyre.Name(), "turns", figures(mile, 1), "per_km", figures(mile/1.609344, 1), "tall", figures(tall.Inch(), 2)+" in ("+figures(tall.MM(), 0)+" mm)"),
		t.text("ask-figures.tyre_loaded", "turns", figures(mile/rolling, 0)),
	}, nil
}

// askSpeedometer answers how far a speedometer is off after a change of tyre or
// axle ratio.
func (t *turn) askSpeedometer(r *listen.Reckoning) ([]string, error) {
	if _, ratios := r.Figure(listen.PartRatio); !ratios && r.Word(listen.PartTyre) == "" {
		return []string{t.text("ask-figures.which_change")}, nil
	}
	was, is := unit.Inch(30), unit.Inch(30) // any, where the tyre stays
	var err error
	if r.Word(listen.PartTyre) != "" {
		if _, was, err = tyreOf(r, listen.PartTyre); err != nil {
			return nil, err
		}
		if _, is, err = tyreOf(r, listen.PartTyreTo); err != nil {
			return nil, err
		}
	}
	old, next := 1.0, 1.0
	if f, ok := r.Figure(listen.PartRatio); ok {
		to, ok := r.Figure(listen.PartRatioTo)
		if !ok {
			return nil, errFigures
		}
		old, next = f.Value, to.Value
	}
	factor, err := ratio.Speedometer(old, next, was, is)
	if err != nil {
		return nil, err
	}
	shown, typed, ok := given(r, listen.PartSpeed, speedFigure)
	if !ok {
		if shown, typed = ratio.MPH(60), "mph"; t.voice.own == unit.Metric {
			shown, typed = ratio.KMH(100), "km/h"
		}
	}
	actual := ratio.Speed(float64(shown) * factor)
	key := t.text("ask-figures.speedometer_slow", "percent", figures(100*(factor-1), 1), "shown", speedOnly(shown, typed), "true", speedIn(actual, typed))
	if factor < 1 {
		key = t.text("ask-figures.speedometer_fast", "percent", figures(100*(1-factor), 1), "shown", speedOnly(shown, typed), "true", speedIn(actual, typed))
	}
	lines := []string{key}
	if r.Word(listen.PartTyre) != "" && next == 1 {
		lines = append(lines, t.text("ask-figures.speedometer_tyres", "was", figures(was.Inch(), 2), "is", figures(is.Inch(), 2)))
	}
	if next != 1 {
		lines = append(lines, t.text("ask-figures.speedometer_ratio"))
	}
	return lines, nil
}

func speedOnly(s ratio.Speed, typed string) string {
	if typed == "km/h" {
		return figures(s.KMH(), 1) + " km/h"
	}
	return figures(s.MPH(), 1) + " mph"
}

// askRegear answers what a tyre change does to the axle ratio.
func (t *turn) askRegear(r *listen.Reckoning) ([]string, error) {
	_, was, err := tyreOf(r, listen.PartTyre)
	if err != nil {
		return nil, err
	}
	_, is, err := tyreOf(r, listen.PartTyreTo)
	if err != nil {
		return nil, err
	}
	axle, name := t.ratioOf(r)
	effective, err := ratio.Effective(axle, was, is)
	if err != nil {
		return nil, err
	}
	restored, err := ratio.Restored(axle, was, is)
	if err != nil {
		return nil, err
	}
	return []string{
		t.text("ask-figures.effective", "axle", name, "effective", fmt.Sprintf("%.2f", effective)),
		t.text("ask-figures.restored", "restored", fmt.Sprintf("%.2f", restored)),
	}, nil
}

// askTeeth answers "11 41 hunting?".
func (t *turn) askTeeth(r *listen.Reckoning) ([]string, error) {
	pinion, ok := r.Figure(listen.PartPinion)
	ring, ok2 := r.Figure(listen.PartRing)
	if !ok || !ok2 {
		return nil, errFigures
	}
	p, err := ratio.New(int(pinion.Value), int(ring.Value))
	if err != nil {
		return nil, err
	}
	key := t.text("ask-figures.teeth_hunting")
	switch p.Timing() {
	case ratio.Partial:
		key = t.text("ask-figures.teeth_partial", "common", p.Common())
	case ratio.NonHunting:
		key = t.text("ask-figures.teeth_non_hunting", "common", p.Common())
	}
	return []string{
		t.text("ask-figures.teeth", "ring", p.Ring, "pinion", p.Pinion, "ratio", figures(p.Ratio(), 3), "timing", key),
		t.text("ask-figures.teeth_repeat", "turns", p.TurnsToRepeat()),
	}, nil
}

// askShaft answers the ratio counted by hand.
func (t *turn) askShaft(r *listen.Reckoning) ([]string, error) {
	shaft, ok := r.Figure(listen.PartShaft)
	wheel, ok2 := r.Figure(listen.PartWheel)
	if !ok || !ok2 {
		return nil, errFigures
	}
	held := r.Word(listen.PartHeld) != ""
	v, err := ratio.FromTurns(shaft.Value, wheel.Value, held)
	if err != nil {
		return nil, err
	}
	if held {
		return []string{t.text("ask-figures.shaft_held", "ratio", fmt.Sprintf("%.2f", v), "shaft", figures(shaft.Value, 2), "wheel", figures(wheel.Value, 2)), t.text("ask-figures.shaft_care")}, nil
	}
	other, err := ratio.FromTurns(shaft.Value, wheel.Value, true)
	if err != nil {
		return []string{t.text("ask-figures.shaft_both", "ratio", fmt.Sprintf("%.2f", v), "shaft", figures(shaft.Value, 2), "wheel", figures(wheel.Value, 2)), t.text("ask-figures.shaft_care")}, nil
	}
	return []string{
		t.text("ask-figures.shaft_both", "ratio", fmt.Sprintf("%.2f", v), "shaft", figures(shaft.Value, 2), "wheel", figures(wheel.Value, 2)),
		t.text("ask-figures.shaft_other", "ratio", fmt.Sprintf("%.2f", other)),
		t.text("ask-figures.shaft_care"),
	}, nil
}
