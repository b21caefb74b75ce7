package dialogs

import (
	"math"

	"shimwright/calc/oil"
	"shimwright/calc/unit"
	"shimwright/dialogs/listen"
)

// askConvert answers "15 inlb in nm".
func (t *turn) askConvert(r *listen.Reckoning) ([]string, error) {
	f, ok := r.Figure(listen.PartValue)
	if !ok {
		return nil, errFigures
	}
	if f.Unit == "deg" { // "200 degrees in celsius": from the other scale
		f.Unit = "degF"
		if r.Word(listen.PartTo) == "degF" {
			f.Unit = "degC"
		}
	}
	v, decimals, ok := inOther(f, r.Word(listen.PartTo))
	if !ok {
		return nil, errFigures
	}
	return []string{t.text("ask-figures.convert", "value", figures(f.Value, 4), "unit", t.voice.convertUnit(f.Unit), "other", figures(v, decimals), "to", t.voice.convertUnit(r.Word(listen.PartTo)))}, nil
}

// convertUnit writes a unit of a question for people.
func (v voice) convertUnit(u string) string {
	if u == "hundredth" {
		return "× 0.01 mm"
	}
	return v.unitWord(u)
}

// inOther gives a figure in another unit with the decimals to write it with.
func inOther(f listen.Figure, to string) (v float64, decimals int, ok bool) {
	if l, ok := lengthFigure(f); ok {
		switch to {
		case "in":
			return l.Inch(), 4, true
		case "thou":
			return l.Thou(), 1, true
		case "mm":
			return l.MM(), 3, true
		case "hundredth":
			return l.MM() * 100, 1, true
		case "cm":
			return l.MM() / 10, 3, true
		case "ft":
			return l.Inch() / 12, 3, true
		}
	}
	if q, ok := torqueFigure(f); ok {
		switch to {
		case "in·lbf", "ft·lbf", "N·m", "kgf·cm":
			v = inUnit(q, to)
			return v, decimalsFor(v), true
		}
	}
	if q, ok := forceFigure(f); ok {
		v, known := map[string]float64{"lbf": q.Lbf(), "N": q.Newton(), "kgf": q.Kgf()}[to]
		return v, decimalsFor(v), known
	}
	if q, ok := heatFigure(f); ok {
		switch to {
		case "degF":
			return q.Fahrenheit(), 0, true
		case "degC":
			return q.Celsius(), 0, true
		}
	}
	if s, ok := speedFigure(f); ok {
		switch to {
		case "mph":
			return s.MPH(), 1, true
		case "km/h":
			return s.KMH(), 1, true
		}
	}
	litres := map[string]float64{"L": 1, "mL": 0.001, "qt": oil.LitresPerQuart, "pt": oil.LitresPerPint}
	if a, b := litres[f.Unit], litres[to]; a > 0 && b > 0 {
		v = f.Value * a / b
		return v, decimalsFor(v), true
	}
	return 0, 0, false
}

// askOil answers how thick a grade is, and how it stands to the sheet's or another.
func (t *turn) askOil(r *listen.Reckoning) ([]string, error) {
	mine, err := oil.Parse(r.Word(listen.PartOil))
	if err != nil {
		return []string{t.text("ask-figures.oil_no_grade", "oil", r.Word(listen.PartOil))}, nil
	}
	low, high, err := mine.At100(oil.J306of2019)
	if err != nil {
		return nil, err
	}
	band := t.text("ask-figures.oil_at_least", "low", figures(low, 1))
	if !math.IsInf(high, 1) {
		band = t.text("ask-figures.oil_band", "low", figures(low, 1), "high", figures(high, 1))
	}
	cold := ""
	if c, ok := mine.Cold(); ok {
		cold = heatIn(unit.Celsius(c), t.typedHeat())
	}
	lines := []string{t.text("ask-figures.oil", "oil", mine.String(), "band", band, "cold", cold, "edition", string(oil.J306of2019))}
	wanted, name := r.Word(listen.PartOilTo), ""
	if wanted == "" {
		wanted, name = t.sheet.Oil.Grade, t.sheet.Name
	}
	other, err := oil.Parse(wanted)
	if err != nil {
		return lines, nil // the sheet names no grade to hold it against
	}
	hot, stiffer, err := mine.Against(other)
	if err != nil {
		return nil, err
	}
	word := t.text("ask-figures.oil_same")
	switch hot {
	case oil.Thicker:
		word = t.text("ask-figures.oil_thicker")
	case oil.Thinner:
		word = t.text("ask-figures.oil_thinner")
	}
	lines = append(lines, t.text("ask-figures.oil_against", "oil", mine.String(), "compared", word, "other", other.String(), "sheet", name))
	if stiffer > 0 {
		degrees := figures(stiffer, 0) + " °C"
		if t.typedHeat() == "degF" {
			degrees = figures(unit.RiseK(stiffer).F(), 0) + " °F"
		}
		lines = append(lines, t.text("ask-figures.oil_stiffer", "degrees", degrees))
	}
	return append(lines, t.text("ask-figures.oil_manual")), nil
}
