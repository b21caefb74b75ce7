package dialogs

import (
	"errors"
	"fmt"
	"strings"

	"shimwright/calc/ratio"
	"shimwright/calc/unit"
	"shimwright/dialogs/listen"
)

// errFigures says that a question's figures do not go together.
var errFigures = errors.New("the figures do not go together")

// reckon answers a question whose figures are to be worked out, with or without a
// job. What the message leaves out is taken from the sheet and said to be.
func (t *turn) reckon(r *listen.Reckoning) error {
	t.noNext = true
	var lines []string
	var err error
	switch r.About {
	case listen.AboutBolt:
		lines, err = t.askBolt(r)
	case listen.AboutFinish:
		lines, err = t.askFinish(r)
	case listen.AboutExtension:
		lines, err = t.askExtension(r)
	case listen.AboutPull:
		lines, err = t.askPull(r)
	case listen.AboutCarrierDrag:
		lines, err = t.askCarrierDrag(r)
	case listen.AboutDrag:
		lines, err = t.askDrag(r)
	case listen.AboutPack:
		lines, err = t.askPack(r)
	case listen.AboutSleeve:
		lines, err = t.askSleeve(r)
	case listen.AboutSides:
		lines, err = t.askSides(r)
	case listen.AboutHeat:
		lines, err = t.askHeat(r)
	case listen.AboutHeatFor:
		lines, err = t.askHeatFor(r)
	case listen.AboutChillFor:
		lines, err = t.askChillFor(r)
	case listen.AboutGrowth:
		lines, err = t.askGrowth(r)
	case listen.AboutCooling:
		lines, err = t.askCooling(r)
	case listen.AboutEngine, listen.AboutRoad, listen.AboutAxle:
		lines, err = t.askEngine(r)
	case listen.AboutTyre:
		lines, err = t.askTyre(r)
	case listen.AboutSpeedometer:
		lines, err = t.askSpeedometer(r)
	case listen.AboutRegear:
		lines, err = t.askRegear(r)
	case listen.AboutTeeth:
		lines, err = t.askTeeth(r)
	case listen.AboutShaft:
		lines, err = t.askShaft(r)
	case listen.AboutConvert:
		lines, err = t.askConvert(r)
	case listen.AboutOil:
		lines, err = t.askOil(r)
	default:
		err = errFigures
	}
	if err != nil {
		t.tell(t.text("ask-figures.cannot"))
		return nil // the person's figures, not ours
	}
	t.tell(lines...)
	return nil
}

// lengthFigure, torqueFigure, forceFigure and heatFigure make a quantity of a typed figure; ok is
// false where it has another kind of unit.
func lengthFigure(f listen.Figure) (unit.Length, bool) {
	switch f.Unit {
	case "in":
		return unit.Inch(f.Value), true
	case "thou":
		return unit.Thou(f.Value), true
	case "ft":
		return unit.Inch(12 * f.Value), true
	case "mm":
		return unit.MM(f.Value), true
	case "hundredth":
		return unit.Hundredth(f.Value), true
	case "cm":
		return unit.MM(10 * f.Value), true
	}
	return 0, false
}

func torqueFigure(f listen.Figure) (unit.Torque, bool) {
	switch f.Unit {
	case "in·lbf":
		return unit.InLbf(f.Value), true
	case "ft·lbf":
		return unit.FtLbf(f.Value), true
	case "N·m":
		return unit.NewtonMetre(f.Value), true
	case "kgf·cm":
		return unit.KgfCm(f.Value), true
	}
	return 0, false
}

func forceFigure(f listen.Figure) (unit.Force, bool) {
	switch f.Unit {
	case "lbf":
		return unit.Lbf(f.Value), true
	case "N":
		return unit.Newton(f.Value), true
	case "kgf":
		return unit.Kgf(f.Value), true
	}
	return 0, false
}

func heatFigure(f listen.Figure) (unit.Temperature, bool) {
	switch f.Unit {
	case "degF":
		return unit.Fahrenheit(f.Value), true
	case "degC":
		return unit.Celsius(f.Value), true
	}
	return 0, false
}

func speedFigure(f listen.Figure) (ratio.Speed, bool) {
	switch f.Unit {
	case "mph":
		return ratio.MPH(f.Value), true
	case "km/h":
		return ratio.KMH(f.Value), true
	}
	return 0, false
}

// given reads a part of the question; ok is false where it is missing or of another
// kind.
func given[Q any](r *listen.Reckoning, p listen.Part, read func(listen.Figure) (Q, bool)) (q Q, typed string, ok bool) {
	f, there := r.Figure(p)
	if !there {
		return q, "", false
	}
	q, ok = read(f)
	return q, f.Unit, ok
}

// figures writes v with about four figures and no needless zeros.
func figures(v float64, decimals int) string {
	text := fmt.Sprintf("%.*f", decimals, v)
	if strings.Contains(text, ".") {
		text = strings.TrimRight(strings.TrimRight(text, "0"), ".")
	}
	if text == "-0" {
		return "0"
	}
	return text
}

// decimalsFor gives the decimals that leave about three figures.
func decimalsFor(v float64) int {
	switch {
	case v < 0:
		return decimalsFor(-v)
	case v >= 100:
		return 0
	case v >= 10:
		return 1
	case v > 0 && v < 1:
		return 3
	}
	return 2
}

func three(v float64) string { return figures(v, decimalsFor(v)) }

// torqueIn writes a torque in the unit typed with the other habit's behind it.
func torqueIn(q unit.Torque, typed string) string {
	in, ft, nm := three(q.InLbf())+" in·lbf", three(q.FtLbf())+" ft·lbf", three(q.NewtonMetre())+" N·m"
	switch typed {
	case "ft·lbf":
		return ft + " (" + nm + ")"
	case "in·lbf":
		return in + " (" + nm + ")"
	case "kgf·cm":
		return three(q.NewtonMetre()/unit.KgfCm(1).NewtonMetre()) + " kgf·cm (" + nm + ")"
	}
	if q < 10 {
		return nm + " (" + in + ")"
	}
	return nm + " (" + ft + ")"
}

// torqueOnly writes a torque in the unit typed alone.
func torqueOnly(q unit.Torque, typed string) string {
	text := torqueIn(q, typed)
	return text[:strings.Index(text, " (")]
}

// lengthIn writes a length in the habit of the unit typed with the other behind it;
// small ones to the ten-thousandth of an inch.
func lengthIn(l unit.Length, typed string) string {
	inch, mm := unit.InchUnits.Length(l), unit.Metric.Length(l)
	if l.Abs() >= unit.Inch(1) {
		inch, mm = three(l.Inch())+" in", three(l.MM())+" mm"
	}
	if typed == "mm" || typed == "cm" || typed == "hundredth" {
		return mm + " (" + inch + ")"
	}
	return inch + " (" + mm + ")"
}

func forceIn(f unit.Force, typed string) string {
	lb, n := three(f.Lbf())+" lbf", three(f.Newton())+" N"
	if f.Newton() >= 1e4 {
		n = figures(f.Newton()/1000, 1) + " kN"
	}
	switch typed {
	case "N":
		return n + " (" + lb + ")"
	case "kgf":
		return three(f.Kgf()) + " kgf (" + n + ")"
	}
	return lb + " (" + n + ")"
}

func heatIn(q unit.Temperature, typed string) string {
	f, c := unit.InchUnits.Temperature(q), unit.Metric.Temperature(q)
	if typed == "degC" {
		return c + " (" + f + ")"
	}
	return f + " (" + c + ")"
}

// heatOnly writes a temperature in the unit typed alone.
func heatOnly(q unit.Temperature, typed string) string {
	if typed == "degC" {
		return unit.Metric.Temperature(q)
	}
	return unit.InchUnits.Temperature(q)
}

// typedHeat, typedTorque and such give the unit to answer in where the person
// typed none: their habit's.
func (t *turn) typedHeat() string {
	if t.voice.own == unit.Metric {
		return "degC"
	}
	return "degF"
}

func (t *turn) typedBolt(metric bool) string {
	if metric && t.said.By.Units != unit.InchUnits || t.voice.own == unit.Metric {
		return "N·m"
	}
	return "ft·lbf"
}

func (t *turn) typedDrag() string {
	if t.voice.own == unit.Metric {
		return "N·m"
	}
	return "in·lbf"
}
