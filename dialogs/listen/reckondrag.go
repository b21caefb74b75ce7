package listen

import "slices"

// pull: "5 lb on a string at 2 in", "what should the scale show for 15 in lb at 2
// inch radius".
func (n *note) pull() *Reckoning {
	forces, lengths := n.in("lbf", "N", "kgf"), n.lengths()
	cord := n.has(rCord)
	if !cord && !(n.has(rScale) && n.has(rPull, rRadius, rDrag) && n.asks()) || len(lengths) == 0 {
		return nil
	}
	taken := map[int]bool{}
	thick, away := n.near(lengths, taken, rThick)
	if thick != nil && away <= 2 && len(lengths) > 1 {
		taken[thick.at] = true
	} else {
		thick = nil
	}
	radius, _ := n.near(lengths, taken, rRadius)
	if radius == nil {
		for i := range lengths {
			if !taken[lengths[i].at] {
				radius = &lengths[i]
				break
			}
		}
	}
	if radius == nil {
		return nil
	}
	value := *radius
	if n.has(rDiameter) && !n.has(rRadius) {
		value.value /= 2
	}
	r := reckoning(AboutPull).put(PartRadius, &value).put(PartCord, thick)
	if len(forces) > 0 {
		return r.put(PartForce, &forces[0])
	}
	torques := n.torques("")
	if len(torques) == 0 {
		for _, l := range n.in("") {
			if n.beside(l.at, rDrag) {
				l.unit = n.smallTorque()
				torques = append(torques, l)
			}
		}
	}
	if len(torques) > 0 {
		return r.put(PartTorque, &torques[0])
	}
	for _, l := range n.in("") { // a bare pull
		if l.num == 0 && cord {
			l.unit = "lbf"
			if n.isMetric() {
				l.unit = "N"
			}
			return r.put(PartForce, &l)
		}
	}
	return nil
}

// carrierDrag: "total 20 pinion 14 ratio 3.7 what's the carrier".
func (n *note) carrierDrag() *Reckoning {
	n = n.withCarrier()
	if !n.asks() || !n.has(rTotal) || !n.has(rPinion) || !n.has(rCarrier) && !n.has(rRatio) {
		return nil
	}
	ratios := n.ratios()
	taken := map[int]bool{}
	var ratio *lot
	if r, _ := n.near(ratios, nil, rRatio); r != nil {
		ratio = r
	} else if len(ratios) == 1 && (ratios[0].num != 0 || len(n.kinds(numberLot)) == 3) {
		ratio = &ratios[0]
	}
	if ratio != nil {
		taken[ratio.at] = true
	}
	var drags []lot
	for _, l := range n.lots {
		if l.kind == numberLot && !taken[l.at] && l.num == 0 && (l.unit == "" || slices.Contains([]string{"in·lbf", "N·m", "ft·lbf", "kgf·cm", "lbf"}, l.unit)) {
			if l.unit == "" || l.unit == "lbf" {
				l.unit = n.smallTorque()
			}
			drags = append(drags, l)
		}
	}
	if len(drags) != 2 {
		return nil
	}
	if typed := n.torques(""); len(typed) > 0 { // "20 and 14 in lb": one unit for both
		for i := range drags {
			if n.lots[drags[i].at].unit == "" {
				drags[i].unit = typed[0].unit
			}
		}
	}
	asked := n.askedOf(rCarrier, rTotal, rPinion)
	r := reckoning(AboutCarrierDrag).put(PartRatio, ratio)
	used := map[int]bool{}
	for _, p := range []struct {
		part  Part
		class reckonClass
	}{{PartTotal, rTotal}, {PartPinion, rPinion}, {PartCarrier, rCarrier}} {
		if p.class == asked {
			continue
		}
		if l := n.ownNumber(drags, used, p.class); l != nil {
			used[l.at] = true
			r.put(p.part, l)
		}
	}
	if len(r.Figures) < 2 || len(used) != 2 {
		return nil
	}
	return r
}

// withCarrier reads "with the carrier 18" as the total.
func (n *note) withCarrier() *note {
	c := *n
	c.lots = slices.Clone(n.lots)
	for i := range c.lots {
		if !c.lots[i].is(rCarrier) || i == 0 {
			continue
		}
		k := i - 1
		if c.lots[k].text == "the" && k > 0 {
			k--
		}
		if c.lots[k].text == "with" && !n.has(rTotal) {
			c.lots[i].text = "total"
		}
	}
	return &c
}

// askedOf gives the class that a word of asking stands before, else the one whose
// word no number follows, else the first.
func (n *note) askedOf(classes ...reckonClass) reckonClass {
	for i, l := range n.lots {
		switch l.text {
		case "what", "whats", "what's", "wat", "wats", "how", "hows", "which", "figure", "calc", "calculate", "cual", "cuanto":
		default:
			continue
		}
		for k := i + 1; k < len(n.lots) && k <= i+5; k++ {
			for _, c := range classes {
				if n.lots[k].is(c) {
					return c
				}
			}
		}
	}
	for _, c := range classes {
		for i, l := range n.lots {
			if l.is(c) && (i+1 == len(n.lots) || n.lots[i+1].kind == markLot && n.lots[i+1].text == "?") {
				return c
			}
		}
	}
	return classes[0]
}

// ownNumber gives the number that belongs to a word: the next one behind it before
// any other word of its kind, else the nearest.
func (n *note) ownNumber(choices []lot, used map[int]bool, class reckonClass) *lot {
	for k, l := range n.lots {
		if !l.is(class) {
			continue
		}
		for i := range choices {
			if d := choices[i].at - k; !used[choices[i].at] && (d > 0 && d <= 4) {
				between := false
				for m := k + 1; m < choices[i].at; m++ {
					between = between || n.lots[m].is(rTotal, rPinion, rCarrier)
				}
				if !between {
					return &choices[i]
				}
			}
		}
	}
	l, _ := n.near(choices, used, class)
	return l
}

// pack: "drag is 8, want 15, how much out of the preload pack".
func (n *note) pack() *Reckoning {
	if !n.asks() || !n.has(rPack) || !n.has(rDrag) || !n.has(rWant) || n.has(rSleeve) || n.has(rBoth, rClearance) || n.says("end play", "lash", "backlash", "depth", "side") {
		return nil
	}
	var drags []lot
	for _, l := range n.lots {
		if l.kind == numberLot && l.num == 0 && (l.unit == "" && l.whole && l.value < 60 || slices.Contains([]string{"in·lbf", "N·m", "kgf·cm"}, l.unit)) {
			if l.unit == "" {
				l.unit = n.smallTorque()
			}
			drags = append(drags, l)
		}
	}
	if len(drags) < 2 || len(drags) > 3 {
		return nil
	}
	same(drags, n)
	want := n.wantedFrom(drags)
	if want < 0 {
		return nil
	}
	r := reckoning(AboutPack).put(PartWanted, &drags[want])
	if want+1 < len(drags) && len(drags) == 3 {
		r.put(PartWantedTo, &drags[want+1])
	}
	for i := range drags {
		if i != want && i != want+1 || len(drags) == 2 && i != want {
			return r.put(PartDrag, &drags[i])
		}
	}
	return nil
}

// same gives bare drags the unit that another of them was typed with.
func same(drags []lot, n *note) {
	if typed := n.torques(""); len(typed) > 0 {
		for i := range drags {
			if n.lots[drags[i].at].unit == "" {
				drags[i].unit = typed[0].unit
			}
		}
	}
}

// wantedFrom gives the first of the numbers that follows a word of wanting, or −1.
func (n *note) wantedFrom(all []lot) int {
	for k, l := range n.lots {
		if !l.is(rWant) {
			continue
		}
		for i := range all {
			if d := all[i].at - k; d > 0 && d <= 5 {
				return i
			}
		}
	}
	return -1
}

// sleeve: "crush sleeve: turned 10 deg and drag went from 5 to 9, want 12 to 18, how
// much more".
func (n *note) sleeve() *Reckoning {
	degrees := n.in("deg")
	if !n.asks() || !n.has(rSleeve, rNut) || len(degrees) != 1 || !(n.says("how much more", "how much further", "how far", "how many more", "what next", "next", "how much", "how many degrees") || n.has(rWant)) {
		return nil
	}
	var drags []lot
	for _, l := range n.lots {
		if l.kind == numberLot && l.num == 0 && (l.unit == "" || slices.Contains([]string{"in·lbf", "N·m", "kgf·cm"}, l.unit)) && l.value < 100 {
			if l.unit == "" {
				l.unit = n.smallTorque()
			}
			drags = append(drags, l)
		}
	}
	if len(drags) < 2 || len(drags) > 4 {
		return nil
	}
	same(drags, n)
	want := n.wantedFrom(drags)
	r := reckoning(AboutSleeve).put(PartTurn, &degrees[0])
	var rest []lot
	for i := range drags {
		switch {
		case want >= 0 && i == want:
			r.put(PartWanted, &drags[i])
		case want >= 0 && i == want+1 && len(drags) == 4:
			r.put(PartWantedTo, &drags[i])
		default:
			rest = append(rest, drags[i])
		}
	}
	if len(rest) != 2 {
		return nil
	}
	if rest[1].value < rest[0].value {
		rest[0], rest[1] = rest[1], rest[0]
	}
	return r.put(PartBefore, &rest[0]).put(PartAfter, &rest[1])
}

// sides: "split 9 thou of side preload to both sides", "how many notches for 6 thou
// of preload".
func (n *note) sides() *Reckoning {
	lengths := n.lengths()
	if len(lengths) != 1 || !n.has(rDrag) || !n.asks() && !n.has(rSplit) || n.has(rPinion, rTotal) {
		return nil
	}
	if !(n.has(rSplit) && n.has(rSide, rBoth)) && !n.says("notches") && !n.says("each side") && !n.says("per side") {
		return nil
	}
	return reckoning(AboutSides).put(PartAdded, &lengths[0])
}

// expectDrag: "what drag should i see with used bearings and the seal in".
func (n *note) expectDrag() *Reckoning {
	if !n.asks() || !n.has(rDrag) || !n.has(rBearing) && !n.has(rSeal) || n.has(rTotal, rCarrier, rPack, rSleeve, rNut, rHeat) || n.says("lash", "backlash", "pattern") {
		return nil
	}
	if !n.says("what drag", "how much drag", "what preload", "how much preload", "drag range", "drag should", "what should", "drag spec", "preload should", "whats the drag", "what is the drag", "expect") {
		return nil
	}
	r := reckoning(AboutDrag)
	for i, l := range n.lots {
		switch {
		case l.is(rBearing):
			for k := max(0, i-3); k < i; k++ {
				if n.lots[k].is(rUsed) {
					r.word(PartBearings, "used")
				} else if n.lots[k].is(rNew) && r.Word(PartBearings) == "" {
					r.word(PartBearings, "new")
				}
			}
		case l.is(rSeal):
			state := "on"
			for k := max(0, i-3); k < i; k++ {
				if n.lots[k].is(rOff) {
					state = "off"
				}
			}
			if i+1 < len(n.lots) && (n.lots[i+1].text == "out" || n.lots[i+1].text == "off" || n.lots[i+1].text == "not") {
				state = "off"
			}
			r.word(PartSeal, state)
		}
	}
	return r
}
