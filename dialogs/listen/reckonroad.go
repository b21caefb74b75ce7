package listen

import (
	"slices"
	"strconv"
	"strings"
)

func formatPlain(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

// threadText makes a thread as typed readable: `7/16" x 20` is 7/16-20.
func threadText(s string) string {
	s = strings.NewReplacer(`"`, "", " inch", "", " in", "", " by ", "-", "by", "-", "unf", " fine", "unc", " coarse", "nf", " fine", "nc", " coarse").Replace(s)
	s = strings.Join(strings.Fields(s), " ")
	if strings.HasPrefix(s, "m") {
		s = strings.Replace(s, "/", "x", 1)
	}
	return s
}

// ratios gives the axle ratios named: 3.73, 4.10s, "410 gears", and pairs of teeth
// that make one.
func (n *note) ratios() []lot {
	var out []lot
	for i, l := range n.lots {
		if l.kind != numberLot || l.unit != "" {
			continue
		}
		beside := n.beside(i, rRatio)
		switch {
		case l.num != 0 && l.den != 0:
			if v := max(l.num, l.den); v >= 20 && v <= 70 && min(l.num, l.den) >= 5 && min(l.num, l.den) <= 20 {
				l.value = float64(v) / float64(min(l.num, l.den))
				out = append(out, l)
			}
		case l.whole && l.num == 0 && l.value >= 2 && l.value <= 7 && i+1 < len(n.lots) && n.lots[i+1].kind == numberLot && n.lots[i+1].whole && n.lots[i+1].num == 0 && n.lots[i+1].unit == "" && n.lots[i+1].value >= 10 && n.lots[i+1].value < 100 && n.beside(i+1, rRatio):
			l.value += n.lots[i+1].value / 100 // "three seventy three gears"
			out = append(out, l)
		case !l.whole && l.value >= 2 && l.value <= 7.5, l.value >= 2 && l.value <= 7.5 && beside:
			out = append(out, l)
		case l.whole && l.value >= 230 && l.value <= 720 && (beside || l.plural):
			l.value /= 100
			out = append(out, l)
		}
	}
	return out
}

// beside says whether a word of the classes stands next to lot i, or with one
// small word between.
func (n *note) beside(i int, classes ...reckonClass) bool {
	for _, k := range []int{i - 2, i - 1, i + 1, i + 2} {
		if k >= 0 && k < len(n.lots) && n.lots[k].is(classes...) {
			return true
		}
	}
	return false
}

// speeds gives the road speeds: with a unit, or bare behind "at" or "doing".
func (n *note) speeds() []lot {
	out := n.in("mph", "km/h")
	if len(out) > 0 {
		return out
	}
	for i, l := range n.lots {
		if l.kind == numberLot && l.unit == "" && l.whole && l.num == 0 && !l.plural && l.value >= 20 && l.value <= 160 && i > 0 {
			switch n.lots[i-1].text {
			case "at", "doing", "@", "going", "do", "shows", "showing", "reads", "says", "cruise", "cruising", "run", "a", "for":
				l.unit = "mph"
				if n.isMetric() {
					l.unit = "km/h"
				}
				out = append(out, l)
			}
		}
	}
	return out
}

func (n *note) isMetric() bool { return n.units == "metric" }

// gearOf gives the gearbox ratio where one is named: below one, or behind
// "overdrive".
func (n *note) gearOf() *lot {
	for i, l := range n.lots {
		if l.kind == numberLot && l.unit == "" && l.value >= 0.45 && l.value < 1 && l.num == 0 {
			return &n.lots[i]
		}
	}
	return nil
}

// engineSpeeds gives the engine speeds: with the unit, or bare in the hundreds and
// thousands.
func (n *note) engineSpeeds() []lot {
	out := n.in("rpm")
	for i, l := range n.lots {
		if l.kind == numberLot && l.unit == "" && l.value >= 800 && l.value <= 9000 && l.whole && len(out) == 0 && (n.beside(i, rEngine) || n.has(rRatio) && n.has(rWant) && len(n.speeds()) > 0) {
			out = append(out, l)
		}
	}
	return out
}

// engine: "rpm at 65 with 3.90 and 31s", and the same the other ways round.
func (n *note) engine() *Reckoning {
	tyres, ratios, speeds, engines := n.tyres(), n.ratios(), n.speeds(), n.engineSpeeds()
	if len(ratios) == 0 {
		ratios = n.bareRatio()
	}
	words := n.has(rEngine) || len(engines) > 0 || n.says("engine speed")
	if words && len(tyres) == 0 && len(ratios) == 0 && len(speeds) > 0 && n.says("rpm") && len(n.lots) <= 7 {
		return reckoning(AboutEngine).put(PartSpeed, &speeds[0]) // on which tyre?
	}
	if !words || len(tyres) == 0 && len(ratios) == 0 || len(tyres) > 1 {
		return nil
	}
	switch {
	case len(engines) > 0 && len(speeds) > 0 && len(ratios) == 0 && len(tyres) > 0:
		return reckoning(AboutAxle).put(PartEngine, &engines[0]).put(PartSpeed, &speeds[0]).word(PartTyre, tyres[0].text).put(PartGear, n.gearOf())
	case len(engines) > 0 && len(speeds) == 0 && (n.has(rSpeed) || n.asks() || len(ratios) > 0 && len(tyres) > 0):
		return n.train(reckoning(AboutRoad).put(PartEngine, &engines[0]), tyres, ratios)
	case len(speeds) > 0 && len(engines) == 0:
		return n.train(reckoning(AboutEngine).put(PartSpeed, &speeds[0]), tyres, ratios)
	}
	return nil
}

// bareRatio: "rpm 70mph 456 33s".
func (n *note) bareRatio() []lot {
	for _, l := range n.in("") {
		if l.whole && l.num == 0 && l.value >= 250 && l.value <= 720 {
			l.value /= 100
			return []lot{l}
		}
	}
	return nil
}

// train adds tyre, ratio and gear to a question.
func (n *note) train(r *Reckoning, tyres, ratios []lot) *Reckoning {
	if len(tyres) > 0 {
		r.word(PartTyre, tyres[0].text)
	}
	return r.put(PartRatio, first(ratios)).put(PartGear, n.gearOf())
}

// revsPerMile: "245/75r16 how many revs per mile".
func (n *note) revsPerMile() *Reckoning {
	tyres := n.tyres()
	if len(tyres) != 1 || !n.has(rRevs) && !n.says("rpm") || !n.has(rMile) || len(n.in("mph", "km/h")) > 0 {
		return nil
	}
	return reckoning(AboutTyre).word(PartTyre, tyres[0].text)
}

// tyre: "how tall is a 245/75r16".
func (n *note) tyre() *Reckoning {
	tyres := n.tyres()
	if len(tyres) != 1 || tyres[0].kind != tyreLot || !n.has(rTall) && !(n.mark && len(n.lots) <= 2) {
		return nil
	}
	return reckoning(AboutTyre).word(PartTyre, tyres[0].text)
}

// speedometer: "speedo off by how much going from 215/65r15 to 255/60r15".
func (n *note) speedometer() *Reckoning {
	tyres, ratios := n.fromTo(n.tyres()), n.fromTo(n.ratios())
	named := n.has(rSpeedometer) || n.says("true speed", "actual speed", "real speed", "really going", "actually going", "actually doing", "really doing")
	if !named && !(len(tyres) == 2 && len(ratios) == 0 && n.has(rChange) && (n.asks() || n.says("difference"))) || len(tyres) < 2 && len(ratios) < 2 {
		return nil
	}
	if !named && n.has(rEffective, rRegear) {
		return nil
	}
	r := reckoning(AboutSpeedometer).put(PartSpeed, first(n.speeds()))
	if len(tyres) > 1 {
		r.word(PartTyre, tyres[0].text).word(PartTyreTo, tyres[1].text)
	}
	if len(ratios) > 1 {
		r.put(PartRatio, &ratios[0]).put(PartRatioTo, &ratios[1])
	}
	return r
}

// speedometerOf: "speedo with 33s", of which half is missing.
func (n *note) speedometerOf() *Reckoning {
	if !n.has(rSpeedometer) || len(n.tyres()) != 1 || len(n.ratios()) > 0 || len(n.lots) > 10 {
		return nil
	}
	return reckoning(AboutSpeedometer).word(PartTyreTo, n.tyres()[0].text)
}

// fromTo puts two things in the order of the change: "33s from 31s", "was", "stock",
// "old" turn the order of the words round.
func (n *note) fromTo(all []lot) []lot {
	if len(all) < 2 {
		return all
	}
	old := func(l lot) bool {
		for k := l.at - 1; k >= 0 && k >= l.at-3; k-- {
			if slices.Contains([]string{"from", "was", "were", "stock", "old", "instead", "originally", "original", "had", "of"}, n.lots[k].text) {
				return true
			}
			if n.lots[k].kind != wordLot || n.lots[k].is(rTyre) {
				break
			}
		}
		k := l.at + 1
		return k < len(n.lots) && slices.Contains([]string{"stock", "before", "originally"}, n.lots[k].text)
	}
	if old(all[1]) && !old(all[0]) {
		return []lot{all[1], all[0]}
	}
	return all[:2]
}

// regear: "3.42 going from 215/65r15 to 255/60r15, effective ratio?".
func (n *note) regear() *Reckoning {
	tyres, ratios := n.fromTo(n.tyres()), n.ratios()
	if len(tyres) != 2 || len(ratios) != 1 && !n.has(rEffective, rRegear, rRatio) || n.has(rSpeedometer) {
		return nil
	}
	return reckoning(AboutRegear).word(PartTyre, tyres[0].text).word(PartTyreTo, tyres[1].text).put(PartRatio, first(ratios))
}

// teeth: "11 41 hunting?", "what ratio is 41 over 10".
func (n *note) teeth() *Reckoning {
	hunting := n.has(rHunting) || n.says("non hunting", "timing marks", "timing mark", "marks or no marks", "marks or not", "need marks")
	if !hunting && !(n.has(rRatio) && n.asks()) {
		return nil
	}
	var counts []int
	for _, l := range n.lots {
		switch {
		case l.kind != numberLot || l.unit != "" && l.unit != "tooth":
		case l.num != 0 && l.den != 0:
			counts = append(counts, l.num, l.den)
		case l.whole && l.value >= 4 && l.value <= 120:
			counts = append(counts, int(l.value))
		}
	}
	if len(counts) != 2 {
		return nil
	}
	small, big := min(counts[0], counts[1]), max(counts[0], counts[1])
	if small < 4 || small > 30 || big < 12 || big > 99 || big < small+1 || !hunting && (big < 20 || len(n.tyres()) > 0 || n.has(rEngine, rShaft, rTotal)) {
		return nil
	}
	r := reckoning(AboutTeeth)
	r.Figures[PartPinion], r.Figures[PartRing] = Figure{float64(small), "tooth"}, Figure{float64(big), "tooth"}
	return r
}

// shaft: "driveshaft turned 3.7 for one turn of the wheel".
func (n *note) shaft() *Reckoning {
	if !n.has(rShaft) || !n.has(rWheel) || !n.asks() && !n.has(rRatio) {
		return nil
	}
	var turns []lot
	for _, l := range n.lots {
		if l.kind == numberLot && (l.unit == "turn" || l.unit == "") && l.value > 0 && l.value < 200 {
			turns = append(turns, l)
		}
	}
	if len(turns) == 0 || !(n.has(rRevs) || len(n.in("turn")) > 0 || n.says("turned", "times", "spins", "spun")) {
		return nil
	}
	taken := map[int]bool{}
	shaft, _ := n.near(turns, taken, rShaft)
	taken[shaft.at] = true
	wheel, _ := n.near(turns, taken, rWheel)
	r := reckoning(AboutShaft).put(PartShaft, shaft).put(PartWheel, wheel)
	if wheel == nil {
		if !n.says("once", "one", "a full", "1 turn", "full turn", "per") {
			return nil
		}
		r.Figures[PartWheel] = Figure{1, "turn"}
	}
	if s, w := r.Figures[PartShaft], r.Figures[PartWheel]; s.Value < w.Value {
		r.Figures[PartShaft], r.Figures[PartWheel] = w, s
	}
	if n.says("one wheel up", "other held", "other wheel held", "other one held", "one side held", "other locked", "other on the ground", "one wheel off the ground", "other wheel locked", "held still", "other stationary", "other wheel on the ground", "one up", "other still", "holding the other") {
		r.word(PartHeld, "yes")
	}
	return r
}
