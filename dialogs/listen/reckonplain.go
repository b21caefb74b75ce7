package listen

import "slices"

// convert: "15 inlb in nm", "how many thou is 0.25 mm".
func (n *note) convert() *Reckoning {
	if len(n.lots) > 14 {
		return nil
	}
	var values []lot
	for _, l := range n.lots {
		switch l.kind {
		case numberLot:
			values = append(values, l)
		case wordLot, markLot:
		default:
			return nil
		}
	}
	if len(values) != 1 {
		return nil
	}
	v := values[0]
	if v.unit == "" {
		return n.headed(v)
	}
	if v.unit == "tooth" || v.unit == "turn" || v.unit == "notch" || v.unit == "rpm" || v.unit == "min" {
		return nil
	}
	to := n.target(v)
	if to == "" || to == v.unit || !convertible(v.unit, to) {
		return nil
	}
	return reckoning(AboutConvert).put(PartValue, &v).word(PartTo, to)
}

// headed: "thou to mm: 12".
func (n *note) headed(v lot) *Reckoning {
	for i := 1; i+1 < v.at; i++ {
		if n.lots[i].text != "to" && n.lots[i].text != "in" && n.lots[i].text != "into" {
			continue
		}
		for k := max(0, i-3); k < i; k++ {
			from, used := n.unitAt(k)
			if to := n.unitWord(i + 1); used > 0 && k+used == i && to != "" && to != from && convertible(from, to) {
				v.unit = from
				return reckoning(AboutConvert).put(PartValue, &v).word(PartTo, to)
			}
		}
	}
	return nil
}

// factor: "how do i convert in lb to nm": one of them in the other.
func (n *note) factor() *Reckoning {
	if !n.asks() && !n.says("convert") || len(n.lots) > 12 {
		return nil
	}
	var units []string
	for i := 0; i < len(n.lots); i++ {
		u, used := n.unitAt(i)
		if used == 0 || used == 1 && (len(n.lots[i].text) < 2 || n.lots[i].text == "in" || n.lots[i].text == "a") {
			continue
		}
		if !slices.Contains(units, u) {
			units = append(units, u)
		}
		i += used - 1
	}
	if len(units) != 2 || !convertible(units[0], units[1]) || units[0] == "degF" || units[0] == "degC" || units[0] == "deg" {
		return nil
	}
	if n.says("how many") || n.says("in a") || n.says("in one") {
		units[0], units[1] = units[1], units[0]
	}
	r := reckoning(AboutConvert).word(PartTo, units[1])
	r.Figures[PartValue] = Figure{1, units[0]}
	return r
}

// target gives the unit a value is wanted in: behind "in", "to", "is how many", or
// before the value behind "how many".
func (n *note) target(v lot) string {
	for i, l := range n.lots {
		lead := l.text == "in" || l.text == "to" || l.text == "into" || l.text == "as" || l.text == "=" || l.text == "many" || l.text == "en" || l.text == "a" || l.text == "cuantos" || l.text == "cuantas"
		if !lead || i == v.at {
			continue
		}
		if l.text == "a" && i < v.at {
			continue
		}
		next := i + 1
		for next < len(n.lots) && n.lots[next].text == "?" { // "25 inlbs =? nm"
			next++
		}
		if u := n.unitWord(next); u != "" {
			return u
		}
		if i+1 < len(n.lots) && n.lots[i+1].text == "metric" {
			return metricOf(v.unit)
		}
		if i+1 < len(n.lots) && (n.lots[i+1].text == "imperial" || n.lots[i+1].text == "english" || n.lots[i+1].text == "inches") {
			return inchOf(v.unit)
		}
	}
	if v.at+1 < len(n.lots) && v.at <= 1 { // "200 ftlb nm?"
		if u := n.unitWord(v.at + 1); u != "" && len(n.lots) <= v.at+5 && n.mark {
			return u
		}
	}
	if n.asks() { // "my oven only has celsius, whats 250 fahrenheit"
		for i, l := range n.lots {
			if u := reckonUnits[l.text]; l.kind == wordLot && len(l.text) > 3 && i != v.at && u != v.unit && convertible(v.unit, u) {
				return u
			}
		}
	}
	if u := n.unitWord(0); u != "" && n.lots[0].kind == wordLot && n.lots[0].text != "n" && n.lots[0].text != "in" { // "thou in 0.25 mm"
		return u
	}
	return ""
}

// unitWord reads a unit that stands alone at lot i.
func (n *note) unitWord(i int) string {
	run, name := "", ""
	for k := i; k < len(n.lots) && k < i+4; k++ {
		l := n.lots[k]
		if l.kind == markLot && (l.text == "-" || l.text == "·" || l.text == "." || l.text == "/" || l.text == "°") {
			continue
		}
		if l.kind != wordLot {
			break
		}
		run += l.text
		if u := reckonUnits[run]; u != "" {
			name = u
		}
	}
	return name
}

// dimensions are the units that can be told in each other.
var dimensions = [][]string{
	{"in", "thou", "mm", "hundredth", "cm", "ft"},
	{"in·lbf", "ft·lbf", "N·m", "kgf·cm"},
	{"lbf", "N", "kgf"},
	{"degF", "degC", "deg"},
	{"mph", "km/h"},
	{"qt", "pt", "L", "mL"},
}

func convertible(a, b string) bool {
	for _, d := range dimensions {
		if slices.Contains(d, a) {
			return slices.Contains(d, b)
		}
	}
	return false
}

func metricOf(u string) string {
	switch u {
	case "in", "thou", "ft":
		return "mm"
	case "in·lbf", "ft·lbf":
		return "N·m"
	case "lbf":
		return "N"
	case "degF":
		return "degC"
	case "mph":
		return "km/h"
	case "qt", "pt":
		return "L"
	}
	return ""
}

func inchOf(u string) string {
	switch u {
	case "mm", "cm", "hundredth":
		return "in"
	case "N·m":
		return "ft·lbf"
	case "N", "kgf":
		return "lbf"
	case "degC":
		return "degF"
	case "km/h":
		return "mph"
	case "L", "mL":
		return "qt"
	}
	return ""
}

// oil: "is 85w140 ok instead of 75w90", "how thick is 75w-90".
func (n *note) oil() *Reckoning {
	oils := n.kinds(oilLot)
	if len(oils) == 0 || len(oils) > 2 || !n.asks() {
		return nil
	}
	if len(oils) == 1 && !n.says("thick", "thin", "cst", "viscosity", "ok", "okay", "good", "use", "run", "instead", "work", "alright", "fine", "put") {
		return nil
	}
	r := reckoning(AboutOil).word(PartOil, oils[0].text)
	if len(oils) == 2 {
		a, b := oils[0], oils[1]
		// the one behind "instead of", "calls for", "sheet says" is the one wanted
		for k := max(0, a.at-3); k < a.at; k++ {
			if n.lots[k].text == "for" || n.lots[k].text == "says" || n.lots[k].text == "of" || n.lots[k].text == "wants" || n.lots[k].text == "takes" {
				a, b = b, a
				break
			}
		}
		r.word(PartOil, a.text).word(PartOilTo, b.text)
	}
	return r
}
