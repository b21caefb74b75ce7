package listen

import (
	"slices"
	"strings"

	"shimwright/calc/unit"
)

// temperatures gives the temperatures: with a unit, or bare and of the size where
// heat is spoken of.
func (n *note) temperatures() []lot {
	var out []lot
	for i, l := range n.lots {
		if l.kind != numberLot || l.num != 0 {
			continue
		}
		switch {
		case l.unit == "degF", l.unit == "degC":
		case l.unit == "deg", l.unit == "" && l.whole && l.value >= 60 && l.value <= 900 && !l.plural && n.has(rHeat, rCool, rGrow, rTouch) && !n.beside(i, rRatio):
			l.unit = "degF"
			if n.isMetric() {
				l.unit = "degC"
			}
		default:
			continue
		}
		out = append(out, l)
	}
	return out
}

// piece gives what is heated, empty where it is not said.
func (n *note) piece() string {
	switch {
	case n.has(rBearing):
		return "bearing"
	case n.has(rRing) || n.says("gear"):
		return "ring gear"
	}
	return ""
}

// heat: "ring in the oven at 500f?".
func (n *note) heat() *Reckoning {
	t := n.temperatures()
	if len(t) != 1 || !n.asks() || n.piece() == "" && !n.says("oven") || !n.has(rHeat) && !n.says("soft", "hardness", "temper", "draw") || len(n.lengths()) > 0 {
		return nil
	}
	if n.says("housing", "carrier bearing end", "mile", "miles", "drove", "drive") {
		return nil // a running temperature
	}
	if n.piece() == "bearing" && !n.heating() && degreesC(t[0]) <= 122 {
		return nil // what a bearing may run at is the sheet's business
	}
	return reckoning(AboutHeat).put(PartTemperature, &t[0]).word(PartPiece, n.piece())
}

// heating says whether something is being heated, rather than hot.
func (n *note) heating() bool {
	return slices.ContainsFunc(n.lots, func(l lot) bool {
		return slices.Contains([]string{"oven", "bake", "baked", "baking", "heat", "heated", "heating", "torch", "hotplate", "boil", "cook", "cooked", "horno", "calentar", "caliento"}, l.text)
	})
}

func degreesC(l lot) float64 {
	if l.unit == "degF" {
		return unit.Fahrenheit(l.value).Celsius()
	}
	return l.value
}

// diameter gives the diameter among the lengths: named so, else the largest that is
// no clearance.
func (n *note) diameter() *lot {
	all := n.lengths()
	for _, l := range n.in("") { // "a 4.5 ring"
		if l.num == 0 && !l.plural && n.beside(l.at, rRing, rBearing, rDiameter) && (n.isMetric() && l.value >= 20 && l.value <= 500 || !n.isMetric() && l.value >= 1 && l.value < 20) {
			if l.unit = "in"; n.isMetric() {
				l.unit = "mm"
			}
			all = append(all, l)
		}
	}
	if d, away := n.near(all, nil, rDiameter); d != nil && away <= 3 && millimetres(d.value, d.unit) > 8 {
		return d
	}
	best := -1
	for i := range all {
		if mm := millimetres(all[i].value, all[i].unit); mm > 8 && (best < 0 || mm > millimetres(all[best].value, all[best].unit)) {
			best = i
		}
	}
	if best < 0 {
		return nil
	}
	return &all[best]
}

// small gives the lengths below 1.5 mm: clearances and interferences.
func (n *note) small() []lot {
	return slices.DeleteFunc(slices.Clone(n.lengths()), func(l lot) bool { return millimetres(l.value, l.unit) > 1.5 })
}

// heatFor: "how hot for 3 thou clearance on a 4.5 in ring".
func (n *note) heatFor() *Reckoning {
	d := n.diameter()
	if d == nil || !n.asks() && !n.lots[0].is(rHeat) || !n.has(rHeat) || len(n.temperatures()) > 0 || !n.has(rClearance, rInterference, rFit, rRing, rBearing) {
		return nil
	}
	r := reckoning(AboutHeatFor).put(PartDiameter, d).word(PartPiece, n.piece())
	return n.fitFigures(r)
}

// chillFor: "how cold for 2 thou on a 1.5 in pin".
func (n *note) chillFor() *Reckoning {
	d := n.diameter()
	if d == nil || !n.asks() || !n.has(rCold) || len(n.small()) == 0 {
		return nil
	}
	return n.fitFigures(reckoning(AboutChillFor).put(PartDiameter, d).word(PartPiece, n.piece()))
}

// fitFigures files clearance and interference.
func (n *note) fitFigures(r *Reckoning) *Reckoning {
	small := n.small()
	taken := map[int]bool{}
	if len(small) > 0 {
		tight, away := n.near(small, taken, rInterference)
		if tight != nil && (away <= 2 || !n.has(rClearance, rFit)) {
			taken[tight.at] = true
			r.put(PartInterference, tight)
		}
		for i := range small {
			if !taken[small[i].at] {
				r.put(PartClearance, &small[i])
				break
			}
		}
	}
	return r
}

// growth: "how much does a 4 in bore grow at 250f".
func (n *note) growth() *Reckoning {
	d, t := n.diameter(), n.temperatures()
	if d == nil || len(t) == 0 || !n.has(rGrow) && !n.says("open up", "opens up", "open out") || !n.asks() && !n.lots[0].is(rGrow) {
		return nil
	}
	return reckoning(AboutGrowth).put(PartDiameter, d).put(PartTemperature, &t[0]).word(PartPiece, n.piece())
}

// cooling: "how long till a 250 degree ring is cool enough to touch".
func (n *note) cooling() *Reckoning {
	t := n.temperatures()
	if len(t) == 0 || !n.has(rCool, rTouch) || !n.says("how long", "how many minutes", "how soon", "when can", "when is", "when will", "minutes till", "time to", "how much time", "what time", "wait") || n.says("mile", "miles", "drive", "drove", "housing", "leg") {
		return nil
	}
	if n.piece() == "" && !strings.Contains(n.joined(), "steel") {
		return nil
	}
	return reckoning(AboutCooling).put(PartTemperature, &t[0]).put(PartDiameter, n.diameter()).word(PartPiece, n.piece())
}

// ringCooling: "how long does the ring take to cool", from its limit.
func (n *note) ringCooling() *Reckoning {
	if !n.has(rCool, rTouch) || !n.has(rRing, rBearing) || !n.says("how long", "when can", "how much tarda", "how much falta", "cuando puedo", "cuándo puedo") || n.says("oil") || len(n.temperatures()) > 0 {
		return nil
	}
	return reckoning(AboutCooling).word(PartPiece, n.piece()).put(PartDiameter, n.diameter())
}

func (n *note) joined() string {
	parts := make([]string, len(n.lots))
	for i, l := range n.lots {
		parts[i] = l.text
	}
	return strings.Join(parts, " ")
}
