package rules

import (
	"strconv"
	"strings"

	"go.yaml.in/yaml/v4"

	"shimwright/calc/fastener"
	"shimwright/calc/fit"
	"shimwright/calc/unit"
)

// Fits are the parts that go on with heat or cold. One the sheet leaves out has Set
// false.
type Fits struct {
	Ring        Fit // ring gear on the carrier's pilot
	HeadBearing Fit // final head bearing on the pinion
	SideBearing Fit // carrier bearing on the carrier
}

// Fit is how tight a part sits.
type Fit struct {
	Diameter  unit.Length // of hole and shaft
	Low, High unit.Length // interference at 20 °C; a clearance is negative
	Source    string
	Set       bool
}

// list gives the fits by their keys on the sheet.
func (f *Fits) list() []namedFit {
	return []namedFit{{"ring", "ring gear on the carrier", &f.Ring}, {"head_bearing", "head bearing on the pinion", &f.HeadBearing}, {"side_bearing", "carrier bearing on the carrier", &f.SideBearing}}
}

type namedFit struct {
	key, name string
	fit       *Fit
}

// The bounds of a fit: an interference of 0.3 mm is more than any part of an axle is
// warmed over, and a clearance of 0.2 mm is none any more. Source: common practice,
// no source.
func (r *sheetReader) readFits(n *yaml.Node) {
	r.fits = map[string]map[string]*yaml.Node{}
	var fields []field
	for _, one := range r.sheet.Fits.list() {
		fields = append(fields, may(one.key, func(n *yaml.Node) {
			before := r.report.mistakesIn(r.name)
			v := r.mapping(n, one.name,
				must("diameter", r.length("diameter of the fit", 10, 500, &one.fit.Diameter)),
				may("low", r.length("lowest interference", -0.2, 0.3, &one.fit.Low)),
				must("high", r.length("highest interference", -0.2, 0.3, &one.fit.High)),
				must("source", r.text("source of the fit", 160, &one.fit.Source)),
			)
			if r.report.mistakesIn(r.name) > before {
				return
			}
			if v["low"] == nil {
				one.fit.Low = one.fit.High
			}
			one.fit.Set = true
			r.fits[one.key] = v
		}))
	}
	r.mapping(n, "fits", fields...)
}

// checkFits holds a fit against the ring gear and against what heat can do.
func (r *sheetReader) checkFits() {
	for _, one := range r.sheet.Fits.list() {
		f, v := one.fit, r.fits[one.key]
		if !f.Set {
			continue
		}
		if f.Low > f.High {
			r.at(v["low"], "an interference is positive, a clearance negative", "lowest interference (%s) is above the highest (%s)", v["low"].Value, v["high"].Value)
			continue
		}
		if r.good(r.ring, "outside_diameter") && f.Diameter >= r.sheet.Ring.OutsideDiameter {
			r.at(v["diameter"], "it is the bore, not the outside", "%s: diameter %s is not below the ring gear's outside diameter %s", one.name, v["diameter"].Value, r.ring["outside_diameter"].Value)
			continue
		}
		limit := fit.MostBearing
		if one.fit == &r.sheet.Fits.Ring && r.sheet.Limits.OvenTemperature.Set {
			limit = r.sheet.Limits.OvenTemperature.High
		}
		joint := fit.Joint{Diameter: f.Diameter, Interference: f.High, Hole: fit.Steel(), Shaft: fit.Steel()}
		if w, err := joint.HeatFor(0, fit.Reference); err != nil || w.At > limit {
			r.look(v["high"], "is the unit right?", "%s: %s on %s is freed by no heat below the limit of %.0f °C", one.name, v["high"].Value, v["diameter"].Value, limit.Celsius())
		}
	}
}

func (s *Sheet) showFits(p *pageWriter) {
	first := true
	for _, one := range s.Fits.list() {
		f := one.fit
		if !f.Set {
			continue
		}
		if first {
			p.heading("fits, positive is tight")
			first = false
		}
		tight := p.length(f.High)
		if f.Low != f.High {
			tight = p.own(f.Low) + " to " + tight
		}
		p.row(one.name, tight+" on "+p.length(f.Diameter)+p.source(f.Source))
	}
}

// factor reads a plain number.
func (r *sheetReader) factor(what string, low, high float64, to *float64) func(*yaml.Node) {
	return func(n *yaml.Node) {
		text, ok := r.scalar(n, what, "a number")
		if !ok {
			return
		}
		v, err := strconv.ParseFloat(strings.Replace(text, ",", ".", 1), 64)
		switch {
		case err != nil:
			r.at(n, "for example 0.20", "%s is %q, want a number", what, short(text))
		case !(v >= low && v <= high):
			r.at(n, "", "%s is %s, outside what it can be (%g to %g)", what, short(text), low, high)
		default:
			*to = v
		}
	}
}

// setFinish takes the state of the threads, with its usual K where the sheet gives
// none of its own.
func (f *Fastener) setFinish(threads string) {
	switch threads {
	case "dry":
		f.Finish = fastener.Dry
	case "zinc":
		f.Finish = fastener.Zinc
	case "oiled":
		f.Finish = fastener.Lubricated
	default:
		return
	}
	if f.K == 0 {
		f.K, _ = fastener.K(f.Finish) // all three have one
	}
}

// Threads says the state of the threads as the sheet writes it, empty where it does
// not say.
func (f Fastener) Threads() string {
	switch f.Finish {
	case fastener.Dry:
		return "dry"
	case fastener.Zinc:
		return "zinc"
	case fastener.Lubricated:
		return "oiled"
	}
	return ""
}
