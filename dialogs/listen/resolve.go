package listen

import (
	"math"
	"strconv"
	"strings"

	"shimwright/calc/unit"
)

// outcome of reading one bound group.
type outcome struct {
	readings []Reading
	proposed []Reading // hypothetical figures
	wanted   []Reading // targets and limits that were named
	ask      *Ask
	warn     []string // cautions that carry the reading
	refuse   string   // implausible: why nothing was read
}

// resolver turns bound numbers into readings.
type resolver struct {
	sys unit.System
}

// shim stacks named by the side of the ring gear instead of left or right.
const (
	ShimRingSide What = "shim_ring_side"
	ShimFarSide  What = "shim_opposite_ring_side"
)

// targets gives the readings a bound group is for.
func (r resolver) targets(b bound) []What {
	switch b.q {
	case qShim:
		switch {
		case b.mods.pack:
			return []What{ShimPreload}
		case b.mods.side == pLeft:
			return []What{ShimLeft}
		case b.mods.side == pRight:
			return []What{ShimRight}
		case b.mods.side == pBoth:
			return []What{ShimLeft, ShimRight}
		case b.mods.side == pRingSide:
			return []What{ShimRingSide}
		case b.mods.side == pFarSide:
			return []What{ShimFarSide}
		case b.mods.pinion, b.mods.part == "head":
			return []What{ShimPinion}
		case b.mods.part == "tail":
			return []What{ShimPreload}
		}
		return nil
	case none:
		return nil
	}
	if w, ok := whatOf[b.q]; ok {
		return []What{w}
	}
	return nil
}

// resolve reads one bound group.
func (r resolver) resolve(b bound) outcome {
	var out outcome
	if b.q == none {
		return r.unnamed(b)
	}
	const hypothetical = moodQuestion | moodIf | moodTarget | moodSpec
	const blocked = hypothetical | moodPlan | moodOther | moodNot | moodShould | moodOrder
	whats := r.targets(b)
	if b.q == qMark || b.q == qRunout && b.moods&moodSpec != 0 && strings.Contains(b.said, "max") && !strings.Contains(b.said, "spec") && !strings.Contains(b.said, "limit") {
		b.moods &^= moodSpec // what the paper says is the marking; the most a dial shows is the runout
	}
	if b.moods&moodOrder != 0 && b.moods&blocked == moodOrder && b.set && len(whats) > 0 {
		// "set lash at 8": the past of set is set
		out.ask = &Ask{Key: "ask.measured_wanted", With: []any{"what", whats[0], "n", b.g.text}, Choices: []string{whats[0].Name() + " is " + b.g.text}}
		return out
	}
	if b.moods&blocked != 0 {
		if b.moods&hypothetical != 0 && b.moods&(moodOther|moodNot) == 0 && len(whats) == 1 {
			if rd, ok := r.read(b, whats[0], b.g); ok == nil {
				if b.moods&(moodTarget|moodSpec) != 0 {
					rd.Which = ""
					out.wanted = append(out.wanted, rd)
				} else {
					out.proposed = append(out.proposed, rd)
				}
			}
		}
		return out
	}
	if len(whats) == 0 {
		if b.q == qShim {
			out.ask = &Ask{Key: "ask.which_shim", With: []any{"n", b.g.text}, Choices: r.shimChoices(b)}
		}
		return out
	}
	if b.q == qMark && b.signUnsure {
		out.ask = &Ask{Key: "ask.plus_minus", With: []any{"n", b.g.text}, Choices: []string{"pinion mark +" + b.g.text, "pinion mark -" + b.g.text}}
		return out
	}
	if b.moods&moodDoubt != 0 {
		out.ask = &Ask{Key: "ask.measured_guess", With: []any{"n", b.g.text}}
		if !b.g.inexact && !b.g.mixed {
			out.ask.Choices = []string{whats[0].Name() + " " + b.g.text}
		}
		return out
	}
	if b.g.mixed || b.g.inexact && b.q != qDistance {
		out.ask = &Ask{Key: "ask.reads_for", With: []any{"n", quoted(b.g.text), "what", whats[0]}}
		return out
	}
	if b.g.change && len(b.g.values) == 2 {
		return r.change(b, whats[0])
	}
	// two stacks, two numbers
	if len(whats) == 2 && len(b.g.values) == 2 && !b.g.sum {
		for k, w := range whats {
			one := &group{values: b.g.values[k : k+1], positions: b.g.positions[k : k+1], unit: b.g.unit, text: b.g.text}
			rd, why := r.read(b, w, one)
			if why != nil {
				return *why
			}
			out.readings = append(out.readings, rd)
		}
		return out
	}
	if b.q == qShim && b.g.unit == noUnit && !b.asked && oneDigit(b.g) && len(b.g.values) == 1 && r.sys != unit.Metric {
		// a stack of 3 thou is rare, a change of 3 thou is not
		out.ask = &Ask{Key: "ask.or_changed", With: []any{"what", whats[0], "n", b.g.text}, Choices: []string{whats[0].Name() + " " + b.g.text + " thou", "added " + b.g.text + " to the " + strings.TrimSuffix(whats[0].Name(), " shim")}}
		return out
	}
	for _, w := range whats {
		rd, why := r.read(b, w, b.g)
		if why != nil {
			return *why
		}
		out.readings = append(out.readings, rd)
		out.warn = append(out.warn, warnings(rd, b)...)
	}
	return out
}

// shimChoices offers the stacks a shim of this thickness can be in.
func (r resolver) shimChoices(b bound) []string {
	var out []string
	for _, w := range []What{ShimPinion, ShimLeft, ShimRight} {
		if _, bad := r.read(b, w, b.g); bad == nil {
			out = append(out, w.Name()+" "+b.g.text)
		}
	}
	return out
}

// change reads "from 12 to 9": what it was, and what it is.
func (r resolver) change(b bound, w What) outcome {
	var out outcome
	for k := range b.g.values {
		one := &group{values: b.g.values[k : k+1], positions: b.g.positions[k : k+1], unit: b.g.unit, text: b.g.text}
		bb := b
		if k == 0 {
			bb.mods.which = "old"
		}
		rd, why := r.read(bb, w, one)
		if why != nil {
			return *why
		}
		out.readings = append(out.readings, rd)
	}
	out.warn = warnings(out.readings[1], b)
	return out
}

func quoted(s string) string { return "\"" + s + "\"" }

// unnamed asks what a number is that looks like a measurement and has no
// quantity.
func (r resolver) unnamed(b bound) outcome {
	if b.moods&moodQuestion != 0 && b.g.unit != noUnit && b.g.unit.dim() != dimOther {
		// "what is 9 thou in mm": the figure asked about, of nothing in particular
		if forms := typed(b.g.unit, quantities[Backlash], r.sys); len(forms) > 0 {
			rd := Reading{Unit: forms[0].name, Text: b.g.text}
			for _, n := range b.g.values {
				rd.Values = append(rd.Values, forms[0].value(n))
			}
			if len(rd.Values) == 1 {
				rd.Value, rd.Values = &rd.Values[0], nil
			}
			return outcome{proposed: []Reading{rd}}
		}
	}
	const elsewhere = moodPlan | moodOther | moodSpec | moodTarget | moodNot | moodShould | moodOrder
	if b.moods&moodQuestion != 0 && b.moods&elsewhere == 0 && b.g.unit == noUnit && !b.g.inexact && !b.g.mixed && !ratioLike(b.g.values[0]) && (r.sys == unit.InchUnits || r.sys == unit.Metric) {
		// "is 9 ok": the bare figure, read as lash is
		form := bareForms(b.g.values[0], quantities[Backlash], r.sys)[0]
		rd := Reading{Unit: form.name, Text: b.g.text}
		for _, n := range b.g.values {
			rd.Values = append(rd.Values, form.value(n))
		}
		if len(rd.Values) == 1 {
			rd.Value, rd.Values = &rd.Values[0], nil
		}
		return outcome{proposed: []Reading{rd}}
	}
	if b.moods&(moodQuestion|moodIf|elsewhere) != 0 {
		return outcome{}
	}
	t := b.g.text
	switch b.g.unit.dim() {
	case dimLength:
		if b.g.unit == uInch && b.g.values[0].val >= 1 {
			return outcome{} // nothing of this job but depths and heights is that long
		}
		return outcome{ask: &Ask{Key: "ask.measures", With: []any{"n", t}, Choices: []string{"backlash " + t, "pinion shim " + t, "runout " + t}}}
	case dimTorque:
		if b.g.unit == uPound {
			return outcome{} // a pull on a scale, a weight
		}
		if b.g.unit == uFtLb {
			return outcome{ask: &Ask{Key: "ask.took", With: []any{"n", t}, Choices: []string{"caps torqued to " + t, "nut torque " + t, "ring bolts torqued to " + t}}}
		}
		return outcome{ask: &Ask{Key: "ask.which_drag", With: []any{"n", t}, Choices: []string{"pinion drag " + t, "total drag " + t}}}
	}
	return outcome{}
}

// read makes the reading of group g for quantity w, or says why not.
func (r resolver) read(b bound, w What, g *group) (Reading, *outcome) {
	q := quantities[w]
	if w == ShimRingSide || w == ShimFarSide {
		q = quantities[ShimLeft]
		q.name = strings.ReplaceAll(string(w), "_", " ")
	}
	rd := Reading{What: w, Which: b.mods.which, Text: g.text}
	switch w {
	case Torque, Temperature, Distance, Duration:
		rd.Which = "" // of now, whatever else is old or final
	case NoiseSpeed:
		if rd.Which != "before_teardown" {
			rd.Which = ""
		}
	}
	values, form, bad := r.scale(w, q, g)
	if bad != nil {
		return rd, bad
	}
	rd.Unit = form.name
	if g.sum {
		total := 0.0
		for _, v := range values {
			total += v
		}
		total = tidy(total)
		rd.Value = &total
	} else if len(values) == 1 {
		rd.Value = &values[0]
	} else {
		rd.Values = values
	}
	for _, p := range g.positions {
		if p != "" {
			rd.Positions = g.positions
			break
		}
	}
	switch w {
	case ToothCount, MatchNumber:
		if len(values) == 1 {
			if b.mods.ring && !b.mods.pinion {
				rd.Part = "ring"
			} else if b.mods.pinion && !b.mods.ring {
				rd.Part = "pinion"
			}
		}
		for _, v := range values {
			if v != math.Trunc(v) {
				return rd, &outcome{refuse: q.name + " is a whole number"}
			}
		}
	case PinionDrag, TotalDrag, BreakawayTorque:
		rd.Seal, rd.Bearings = b.mods.seal, b.mods.bearings
	case Torque, Temperature, BearingHeight:
		rd.Part = b.mods.part
	case NoiseSpeed:
		rd.Load = b.mods.load
	case AdjusterTurns, CarrierEndPlay:
		switch b.mods.side {
		case pLeft:
			rd.Part = "left"
		case pRight:
			rd.Part = "right"
		}
	}
	return rd, nil
}

// scale finds how a group is to be read: its values in one unit.
func (r resolver) scale(w What, q quantity, g *group) ([]float64, scaled, *outcome) {
	systems := []unit.System{r.sys}
	if r.sys == unit.NoSystem {
		systems = []unit.System{unit.InchUnits, unit.Metric}
	}
	type reading struct {
		values []float64
		form   scaled
	}
	try := func(sys unit.System) (reading, bool) {
		var out reading
		for _, n := range g.values {
			var forms []scaled
			if w == PinionMark {
				forms = markForms(n, g.unit, sys)
			} else if g.unit != noUnit {
				forms = typed(g.unit, q, sys)
				if q.dim == dimCount {
					forms = nil
				}
			} else {
				forms = bareForms(n, q, sys)
			}
			if len(forms) == 0 {
				return out, false
			}
			v := forms[0].value(n)
			if !q.holds(forms[0], v) {
				return out, false
			}
			if out.form.name != "" && out.form.name != forms[0].name {
				return out, false
			}
			out.form = forms[0]
			out.values = append(out.values, v)
		}
		return out, true
	}
	if r.sys == unit.InchUnits && g.unit == noUnit && q.bare == bareSmall && len(g.values) == 1 && ratioLike(g.values[0]) {
		return nil, scaled{}, &outcome{ask: &Ask{Key: "ask.or_ratio", With: []any{"what", w, "n", g.text}, Choices: []string{q.name + " " + g.text + " thou"}}}
	}
	if g.unit == uNotch {
		return nil, scaled{}, &outcome{ask: &Ask{Key: "ask.which_adjuster", With: []any{"n", g.text}}}
	}
	var fits []reading
	for _, sys := range systems {
		if rd, ok := try(sys); ok {
			if len(fits) > 0 && fits[0].form.name == rd.form.name && fits[0].values[0] == rd.values[0] {
				continue
			}
			fits = append(fits, rd)
		}
	}
	// with the habit unknown, an odd value in one unit gives way to a usual one
	if len(fits) == 2 && g.unit.dim() != dimLength {
		if a, b := q.usual(fits[0].form, fits[0].values), q.usual(fits[1].form, fits[1].values); a != b {
			if b {
				fits = fits[1:]
			} else {
				fits = fits[:1]
			}
		}
	}
	switch {
	case len(fits) == 1:
		if r.sys == unit.Metric && g.unit == noUnit && q.bare == bareSmall && oneDigit(g) {
			return nil, scaled{}, &outcome{ask: &Ask{
				Key: "ask.which_unit", With: []any{"what", w, "n", g.text},
				Choices: []string{q.name + " " + hundredthsText(g) + " mm", q.name + " " + g.text + " thou"},
			}}
		}
		return fits[0].values, fits[0].form, nil
	case len(fits) == 2:
		name := q.name
		if w == Torque {
			name = "torqued to" // "torque 75 N·m" would be an order
		}
		return nil, scaled{}, &outcome{ask: &Ask{
			Key: "ask.which_unit", With: []any{"what", w, "n", g.text},
			Choices: []string{name + " " + g.text + " " + fits[0].form.label, name + " " + g.text + " " + fits[1].form.label},
		}}
	}
	// not possible as typed; would it be in the other habit?
	if r.sys != unit.NoSystem && g.unit == noUnit && pointed(g) {
		if rd, ok := try(r.sys.Other()); ok && q.usual(rd.form, rd.values) {
			return nil, scaled{}, &outcome{ask: &Ask{
				Key: "ask.is_that", With: []any{"what", w, "n", g.text, "unit", rd.form.label},
				Choices: []string{q.name + " " + g.text + " " + rd.form.label},
			}}
		}
	}
	if g.unit != noUnit && g.unit.dim() != q.dim && q.dim != dimCount && !(q.dim == dimLength && g.unit.dim() == dimTorque) {
		return nil, scaled{}, &outcome{ask: &Ask{Key: "ask.what_is", With: []any{"n", g.text}}}
	}
	return nil, scaled{}, &outcome{refuse: q.name + " " + g.text + " cannot be"}
}

// ratioLike: "4.10" has the size and the digits of an axle ratio; no dial reads
// hundredths of a thou.
func ratioLike(n number) bool {
	quarter := math.Mod(n.val*4, 1)
	return n.point && n.frac == 2 && n.val >= 2.4 && n.val < 8 && quarter > 1e-9 && quarter < 1-1e-9
}

// holds is plausible, but for a few that a zero or the smallest step makes odd.
func (q quantity) holds(s scaled, v float64) bool {
	if v == 0 {
		return q.low <= 0
	}
	if q.bare == bareSmall && math.Abs(s.within(v)) < 0.004 {
		return false
	}
	if q.name == quantities[Backlash].name && math.Abs(s.within(v)) < 0.0125 {
		return false // below half a thou no dial reads it
	}
	return q.plausible(s, v)
}

// usual says whether the values are of an everyday size, to choose between two
// units where the habit is not known.
func (q quantity) usual(s scaled, values []float64) bool {
	low, high := q.low, q.high
	switch q.bare {
	case bareTemp:
		low, high = 15, 150
	case bareSmall:
		high = 1.1
		low = 0.02
	case bareDrag:
		low, high = 0.2, 6
	case bareShim:
		low = 0.05
	}
	for _, v := range values {
		if x := s.within(v); x < low || x > high {
			return false
		}
	}
	return true
}

func oneDigit(g *group) bool {
	for _, v := range g.values {
		if v.point || v.padded || v.val <= 0 || v.val >= 10 {
			return false
		}
	}
	return true
}

func pointed(g *group) bool {
	for _, v := range g.values {
		if !v.point {
			return false
		}
	}
	return true
}

func hundredthsText(g *group) string {
	parts := make([]string, len(g.values))
	for i, v := range g.values {
		parts[i] = strconv.FormatFloat(v.val/100, 'f', 2, 64)
	}
	return strings.Join(parts, " ")
}

// markForms: a marking is a count of thou or of hundredths ("+3"), by the habit,
// unless it is written as a length.
func markForms(n number, u unitID, sys unit.System) []scaled {
	if u != noUnit {
		return typed(u, quantities[Backlash], sys)
	}
	if sys == unit.Metric {
		if n.point {
			return []scaled{inMM}
		}
		return []scaled{inHundredth}
	}
	if n.small() && n.val != 0 {
		return []scaled{inInch}
	}
	return []scaled{inThou}
}

// warnings are the cautions a reading raises by its size alone. They carry the
// reading; the axle sheet's own limits are judged elsewhere. Source: common
// practice, no source.
func warnings(rd Reading, b bound) []string {
	var out []string
	n := rd.Numbers()
	if len(n) == 0 {
		return nil
	}
	lo, hi := n[0], n[0]
	for _, v := range n {
		lo, hi = math.Min(lo, v), math.Max(hi, v)
	}
	mm := 1.0
	if rd.Unit == "in" {
		mm = 25.4
	}
	current := rd.Which == "" || rd.Which == "final" || rd.Which == "setup"
	switch rd.What {
	case Backlash:
		if !current {
			break
		}
		switch {
		case lo == 0:
			out = append(out, DangerNoLash)
		case lo*mm < lashFarLow:
			out = append(out, DangerLashLow)
		}
		if hi*mm > lashFarOut {
			out = append(out, DangerLashFarOut)
		}
		if len(n) > 1 && (hi-lo)*mm > spreadLimit && lo > 0 {
			out = append(out, DangerSpread)
		}
	case BacklashSpread:
		if hi*mm > spreadLimit {
			out = append(out, DangerSpread)
		}
	case RingRunout:
		if current && hi*mm > runoutLimit {
			out = append(out, DangerRunout)
		}
	case CaseSpread:
		if hi*mm > caseSpreadLimit {
			out = append(out, DangerCaseSpread)
		}
	case Temperature:
		c := hi
		if rd.Unit == "degF" {
			c = (hi - 32) / 1.8
		}
		switch {
		case c > housingHot && rd.Part == "ring", c > housingHot && rd.Part == "oven":
			out = append(out, DangerRingHot)
		case c > housingHot:
			out = append(out, DangerHousingHot)
		}
	case TotalDrag:
		if lo == 0 {
			out = append(out, DangerNoPreload)
		}
		if rd.Unit == "in·lbf" && hi > excessTotal || rd.Unit == "N·m" && hi > excessTotal*0.113 {
			out = append(out, DangerTotalDrag)
		}
	case PinionDrag:
		if rd.Which == "" || rd.Which == "final" {
			if lo == 0 {
				out = append(out, DangerNoPreload)
			}
		}
	case Torque:
		ft := hi
		if rd.Unit == "N·m" {
			ft = hi / 1.3558179483314004
		}
		if ft > noCrushTorque && (rd.Part == "nut" || rd.Part == "") {
			out = append(out, DangerNoCrush)
		}
	}
	return out
}

// Sizes at which a reading is a caution whatever the axle, in mm, °C, ft·lbf.
// Source: common practice, no source.
const (
	lashFarLow      = 0.0765 // 3 thou
	lashFarOut      = 0.77   // 30 thou
	spreadLimit     = 0.1017 // 4 thou
	runoutLimit     = 0.0763 // 3 thou
	caseSpreadLimit = 0.509  // 20 thou
	housingHot      = 121.2  // 250 °F
	noCrushTorque   = 450
	excessTotal     = 50 // in·lbf
	excessAdded     = 20 // in·lbf of total over pinion drag
)
