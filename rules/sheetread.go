package rules

import (
	"strconv"
	"strings"

	"go.yaml.in/yaml/v4"

	"shimwright/calc/oil"
	"shimwright/calc/unit"
)

// ReadSheet reads an axle sheet from YAML. name becomes the sheet's name and
// file stands in the problems, which all go to the report. It gives nil where
// there was a mistake; warnings do not keep a sheet from being used.
func ReadSheet(name, file string, data []byte, report *Report) *Sheet {
	s := newSource(file, data, report)
	before, first := report.mistakesIn(file), len(report.Problems)
	defer func() { sortProblems(report.Problems[first:]) }()
	root := parse(s, data)
	if root == nil {
		return nil
	}
	sheet := &Sheet{Name: name, Reviews: DefaultReviews()}
	r := &sheetReader{source: s, sheet: sheet}
	r.read(root)
	r.check()
	if report.mistakesIn(file) > before {
		return nil
	}
	return sheet
}

// sheetReader fills a sheet from its nodes and keeps the nodes, so that the
// checks across keys can point at the right place.
type sheetReader struct {
	*source
	sheet *Sheet

	root                                          *yaml.Node
	top, ring, pinion, carrier, preload, limits   map[string]*yaml.Node
	backlash, spread, dragNew, dragUsed, oven     map[string]*yaml.Node
	fits                                          map[string]map[string]*yaml.Node
	pinionKit, sideKit, preloadKit, torques, legs []*yaml.Node

	spanish                   map[string]*yaml.Node
	spanishTitle, spanishNote string
}

func (r *sheetReader) read(root *yaml.Node) {
	s, r2 := r.sheet, r.source
	r.root = root
	r.units = statedUnits(root)
	r.top = r2.mapping(root, "the sheet",
		must("title", r2.text("title", 120, &s.Title)),
		may("note", r2.text("note", 1200, &s.Note)),
		must("units", word(r2, "units", &s.Units, unit.InchUnits, unit.Metric)),
		must("ring", r.readRing),
		must("pinion", r.readPinion),
		must("carrier", r.readCarrier),
		must("preload", r.readPreload),
		must("limits", r.readLimits),
		may("fits", r.readFits),
		must("torques", r.readTorques),
		must("oil", r.readOil),
		must("break_in", r.readBreakIn),
		must("kit", r.readKit),
		may("reviews", r.readReviews),
		may("es", r.readSpanish),
	)
}

// statedUnits looks ahead for the habit, so that hints before that key are in
// it already.
func statedUnits(root *yaml.Node) unit.System {
	for i := 0; root.Kind == yaml.MappingNode && i+1 < len(root.Content); i += 2 {
		if root.Content[i].Value == "units" && root.Content[i+1].Value == string(unit.InchUnits) {
			return unit.InchUnits
		}
	}
	return unit.Metric
}

// The bounds below say what a figure can be at all on an axle of a road vehicle,
// from the smallest car to a heavy truck; a figure outside is a slip of the unit
// or the decimal point. Source: common practice, no source.

func (r *sheetReader) readRing(n *yaml.Node) {
	ring := &r.sheet.Ring
	r.ring = r.mapping(n, "ring",
		must("teeth", r.count("ring teeth", 20, 90, &ring.Teeth)),
		must("outside_diameter", r.length("ring outside diameter", 90, 600, &ring.OutsideDiameter)),
		must("face_width", r.length("ring face width", 10, 120, &ring.FaceWidth)),
		must("offset", r.length("offset", 0, 150, &ring.Offset)),
		must("side", word(r.source, "ring side", &ring.Side, Left, Right)),
		may("tooth", word(r.source, "tooth", &ring.Tooth, FaceMilled, FaceHobbed)),
		may("spiral", r.angle("ring spiral angle", 10, 50, &ring.Spiral)),
		may("pressure", r.angle("pressure angle", 14, 30, &ring.Pressure)),
		may("pitch_angle", r.angle("ring pitch angle", 50, 88, &ring.PitchAngle)),
		may("cutter", r.length("cutter radius", 30, 300, &ring.Cutter)),
	)
}

func (r *sheetReader) readPinion(n *yaml.Node) {
	p := &r.sheet.Pinion
	r.pinion = r.mapping(n, "pinion",
		must("teeth", r.count("pinion teeth", 5, 25, &p.Teeth)),
		must("shim", word(r.source, "pinion shim", &p.Shim, BehindHeadBearing, UnderInnerRace, UnderCartridge)),
		may("positive_mark", word(r.source, "positive mark", &p.PositiveMark, Farther, Nearer, ThickerShim, ThinnerShim)),
		must("mark_unit", word(r.source, "mark unit", &p.MarkUnit, MarkThou, MarkHundredth)),
		may("mounting", r.length("mounting distance", 30, 400, &p.Mounting)),
		may("high", r.yes("high", &p.High)),
		may("reverse_cut", r.yes("reverse cut", &p.ReverseCut)),
	)
}

func (r *sheetReader) readCarrier(n *yaml.Node) {
	c := &r.sheet.Carrier
	r.carrier = r.mapping(n, "carrier",
		must("by", word(r.source, "by", &c.By, ShimsOutside, ShimsUnder, Adjusters)),
		may("pitch", r.length("adjuster pitch", 0.5, 5, &c.Pitch)),
		may("notches", r.count("adjuster notches", 4, 120, &c.Notches)),
		may("preload_add", r.length("preload added", 0, 1, &c.PreloadAdd)),
		may("spread_limit", r.length("case spread limit", 0, 1, &c.SpreadLimit)),
		may("max_leaves", r.count("leaves in a stack", 1, 30, &c.MaxLeaves)),
		may("minimum_stack", r.length("thinnest side stack", 0, 25, &c.MinimumStack)),
	)
}

func (r *sheetReader) readPreload(n *yaml.Node) {
	p := &r.sheet.Preload
	r.preload = r.mapping(n, "preload",
		must("by", word(r.source, "by", &p.By, CrushSleeve, PreloadShims)),
		may("coupled", r.yes("coupled", &p.Coupled)),
	)
}

func (r *sheetReader) readLimits(n *yaml.Node) {
	l := &r.sheet.Limits
	lengthRange := func(what string, low, high float64, needLow bool, to *LengthRange, keep *map[string]*yaml.Node) func(*yaml.Node) {
		return func(n *yaml.Node) {
			m := readRange(r.source, lengths(), n, what, unit.MM(low), unit.MM(high), needLow, &to.Low, &to.High, &to.Source)
			to.Set = m != nil
			if keep != nil {
				*keep = m
			}
		}
	}
	torqueRange := func(what string, high float64, needLow bool, to *TorqueRange, keep *map[string]*yaml.Node) func(*yaml.Node) {
		return func(n *yaml.Node) {
			m := readRange(r.source, torques(), n, what, 0, unit.NewtonMetre(high), needLow, &to.Low, &to.High, &to.Source)
			to.Set = m != nil
			if keep != nil {
				*keep = m
			}
		}
	}
	temperatureRange := func(what string, low, high float64, to *TemperatureRange, keep *map[string]*yaml.Node) func(*yaml.Node) {
		return func(n *yaml.Node) {
			m := readRange(r.source, temperatures(), n, what, unit.Celsius(low), unit.Celsius(high), false, &to.Low, &to.High, &to.Source)
			to.Set = m != nil
			if keep != nil {
				*keep = m
			}
		}
	}
	r.limits = r.mapping(n, "limits",
		must("backlash", lengthRange("backlash", 0.02, 1, true, &l.Backlash, &r.backlash)),
		must("backlash_spread", lengthRange("backlash spread", 0, 0.3, false, &l.BacklashSpread, &r.spread)),
		must("judge_backlash", word(r.source, "judge backlash", &l.JudgeBacklash, JudgeMinimum, JudgeMean)),
		may("ring_runout", lengthRange("ring runout", 0, 0.3, false, &l.RingRunout, nil)),
		must("pinion_drag_new", torqueRange("pinion drag, new bearings", 12, true, &l.PinionDragNew, &r.dragNew)),
		may("pinion_drag_used", torqueRange("pinion drag, used bearings", 12, true, &l.PinionDragUsed, &r.dragUsed)),
		may("seal_drag", torqueRange("seal drag", 3, true, &l.SealDrag, nil)),
		may("total_drag_add", torqueRange("total drag above pinion drag", 12, true, &l.TotalDragAdd, nil)),
		may("side_preload", lengthRange("side preload", 0, 1, true, &l.SidePreload, nil)),
		may("carrier_end_play", lengthRange("carrier end play", 0, 0.5, false, &l.CarrierEndPlay, nil)),
		may("oven", temperatureRange("oven temperature", 40, 300, &l.OvenTemperature, &r.oven)),
		may("housing", temperatureRange("housing temperature", 40, 160, &l.HousingTemp, nil)),
	)
}

// readRange reads {low, high, source}. It gives nil where something was wrong.
func readRange[T ~float64](s *source, m measure[T], n *yaml.Node, what string, least, most T, needLow bool, low, high *T, from *string) map[string]*yaml.Node {
	before := s.report.mistakesIn(s.name)
	lowField := may("low", quantity(s, m, "lowest "+what, least, most, low))
	lowField.need = needLow
	v := s.mapping(n, what,
		lowField,
		must("high", quantity(s, m, "highest "+what, least, most, high)),
		must("source", s.text("source of "+what, 160, from)),
	)
	if s.report.mistakesIn(s.name) > before {
		return nil
	}
	if v["low"] != nil {
		if *low > *high {
			s.at(v["low"], "", "lowest %s (%s) is above the highest (%s)", what, v["low"].Value, v["high"].Value)
			return nil
		}
		if a, b := s.systemOf(v["low"]), s.systemOf(v["high"]); a != b {
			s.at(v["high"], "", "%s is in %s units at the low end and in %s units at the high end", what, a, b)
			return nil
		}
	}
	return v
}

func (r *sheetReader) readTorques(n *yaml.Node) {
	r.list(n, "torques", func(item *yaml.Node) {
		var f Fastener
		var threads string
		what := "a torque"
		before := r.report.mistakesIn(r.name)
		v := r.mapping(item, what,
			must("name", r.text("name", 60, &f.Name)),
			must("low", quantity(r.source, torques(), "lowest torque", 1, 2000, &f.Low)),
			must("high", quantity(r.source, torques(), "highest torque", 1, 2000, &f.High)),
			must("thread", word(r.source, "thread", &f.Thread, RightHand, LeftHand)),
			may("locker", r.yes("locker", &f.Locker)),
			may("renew", r.yes("renew", &f.Renew)),
			may("threads", word(r.source, "threads", &threads, "dry", "zinc", "oiled")),
			may("k", r.factor("nut factor K", 0.05, 0.5, &f.K)),
			must("source", r.text("source", 160, &f.Source)),
		)
		if r.report.mistakesIn(r.name) > before {
			return
		}
		f.setFinish(threads)
		if f.Low > f.High {
			r.at(v["low"], "", "lowest torque of %s (%s) is above the highest (%s)", f.Name, v["low"].Value, v["high"].Value)
		}
		for i, other := range r.sheet.Torques {
			if strings.EqualFold(other.Name, f.Name) {
				r.at(v["name"], "", "%s is listed twice, first on line %d", f.Name, r.torques[i].Line)
			}
		}
		r.sheet.Torques = append(r.sheet.Torques, f)
		r.torques = append(r.torques, item)
	})
}

func (r *sheetReader) readOil(n *yaml.Node) {
	o := &r.sheet.Oil
	r.mapping(n, "oil",
		must("grade", r.text("oil grade", 40, &o.Grade)),
		must("service", r.text("oil service", 40, &o.Service)),
		must("capacity", r.volume(&o.Litres)),
		may("modifier", r.yes("modifier", &o.Modifier)),
		must("source", r.text("source of the oil", 160, &o.Source)),
	)
}

// volume reads a capacity in litres, US quarts or US pints.
func (r *sheetReader) volume(litres *float64) func(*yaml.Node) {
	return func(n *yaml.Node) {
		text, ok := r.scalar(n, "oil capacity", "a number with its unit")
		if !ok {
			return
		}
		number, name, _ := strings.Cut(text, " ")
		v, err := strconv.ParseFloat(strings.Replace(number, ",", ".", 1), 64)
		factor := map[string]float64{"L": 1, "l": 1, "mL": 0.001, "ml": 0.001, "qt": oil.LitresPerQuart, "pt": oil.LitresPerPint}[strings.TrimSpace(name)]
		switch {
		case err != nil || factor == 0:
			r.at(n, "for example 2.1 L", "oil capacity is %q, want a number with L, mL, qt or pt", short(text))
		case !(v*factor >= 0.1 && v*factor <= 40):
			r.at(n, "check the unit and the decimal point", "oil capacity is %s, outside what it can be (0.1 to 40 L)", short(text))
		default:
			*litres = v * factor
		}
	}
}

func (r *sheetReader) readBreakIn(n *yaml.Node) {
	r.list(n, "break_in", func(item *yaml.Node) {
		var leg Leg
		before := r.report.mistakesIn(r.name)
		v := r.mapping(item, "a break-in leg",
			may("distance", r.distance(&leg.Distance)),
			may("time", r.minutes("driving time", 1, 240, &leg.Minutes)),
			must("cool", r.minutes("cooling time", 5, 1440, &leg.Cool)),
			may("limit", quantity(r.source, temperatures(), "temperature limit", 40, 160, &leg.Limit)),
			may("note", r.text("note", 160, &leg.Note)),
		)
		if r.report.mistakesIn(r.name) == before && (v["distance"] != nil) == (v["time"] != nil) {
			r.at(item, "", "a break-in leg needs a distance or a time, one of them")
		}
		r.sheet.BreakIn = append(r.sheet.BreakIn, leg)
		r.legs = append(r.legs, item)
	})
}

// distance reads a road distance in miles or kilometres. Source: NIST SP 811
// (2008) appendix B.8, mile 1.609344 km.
func (r *sheetReader) distance(to *unit.Length) func(*yaml.Node) {
	return func(n *yaml.Node) {
		text, ok := r.scalar(n, "distance", "a number with its unit")
		if !ok {
			return
		}
		l, err := parseRoad(text)
		switch {
		case err != nil:
			r.at(n, "for example 10 mi or 16 km", "distance: %v", err)
		case !(l >= kilometre && l <= 500*kilometre):
			r.at(n, "", "distance is %s, outside what a leg can be (1 to 500 km)", short(text))
		default:
			*to = l
		}
	}
}

// minutes reads a time written as "30 min" or "1 h".
func (r *sheetReader) minutes(what string, low, high float64, to *float64) func(*yaml.Node) {
	return func(n *yaml.Node) {
		text, ok := r.scalar(n, what, "a time")
		if !ok {
			return
		}
		number, name, _ := strings.Cut(text, " ")
		v, err := strconv.ParseFloat(strings.Replace(number, ",", ".", 1), 64)
		factor := map[string]float64{"min": 1, "h": 60}[strings.TrimSpace(name)]
		if err != nil || factor == 0 {
			r.at(n, "for example 30 min", "%s is %q, want a time in min or h", what, short(text))
			return
		}
		v *= factor
		if !(v >= low && v <= high) {
			r.at(n, "", "%s is %s, outside what it can be (%g to %g min)", what, short(text), low, high)
			return
		}
		*to = v
	}
}

func (r *sheetReader) readKit(n *yaml.Node) {
	k := &r.sheet.Kit
	r.mapping(n, "kit",
		must("pinion", r.leaves("pinion", &k.Pinion, &r.pinionKit)),
		may("side", r.leaves("side", &k.Side, &r.sideKit)),
		may("preload", r.leaves("preload", &k.Preload, &r.preloadKit)),
	)
}

// leaves reads "thickness: how many", one leaf a line.
func (r *sheetReader) leaves(what string, to *[]Leaf, nodes *[]*yaml.Node) func(*yaml.Node) {
	return func(n *yaml.Node) {
		if n.Kind != yaml.MappingNode {
			r.at(n, "for example 0.020 in: 2", "the %s kit is %s, want thickness: count, one a line", what, kindOf(n))
			return
		}
		for i := 0; i+1 < len(n.Content); i += 2 {
			key, value := n.Content[i], n.Content[i+1]
			leaf := Leaf{Count: -1}
			r.length(what+" leaf", 0.01, 15, &leaf.Thickness)(key)
			r.count("count of the leaf", 0, 999, &leaf.Count)(value)
			if leaf.Thickness == 0 || leaf.Count < 0 {
				continue
			}
			twin := false
			for j, other := range *to {
				if (other.Thickness - leaf.Thickness).Abs() < unit.MM(1e-6) {
					r.at(key, "add the counts together", "%s is listed twice in the %s kit, first on line %d", key.Value, what, (*nodes)[j].Line)
					twin = true
				}
			}
			if !twin {
				*to = append(*to, leaf)
				*nodes = append(*nodes, key)
			}
		}
	}
}
