package listen

import (
	"cmp"
	"fmt"
	"slices"

	"shimwright/calc/unit"
)

// Where a temperature is read.
const (
	HeatPinion  = "pinion"
	HeatCarrier = "carrier"
	HeatHousing = "housing"
)

var (
	heatParts = []struct {
		part string
		when trigger
	}{
		{HeatPinion, compileTrigger(`pinion | pinion bearing* | nose | pumpkin nose | front of | yoke | flange | snout | piñon | pinon | drive pinion | companion | by the yoke | ritzel | pin`)},
		{HeatCarrier, compileTrigger(`carrier | side bearing* | ring gear | carrier bearing* | caps | carr | laterales`)},
		{HeatHousing, compileTrigger(`housing | cover | case | diff | pumpkin | center section | centre section | casting | body | oil | middle | bottom | tube* | carcasa | tapa`)},
	}
	otherHeat = compileTrigger(`tyre* | tire* | brake* | rotor* | drum* | hub* | engine | coolant | trans | transmission | gearbox | outside | ambient | weather | exhaust | wheel bearing* | air temp* | shop is | road is | today`)
	heatWords = compileTrigger(`temp* | hot | warm | heat | housing | pinion | carrier | cover | ir gun | gun says | gun reads | ir | laser | infrared | reads | measured | thermometer | degrees | caliente | temperatura`)
	coolWords = compileTrigger(`cool* | sat | sitting | rest* | standing | stood | left it | parked | enfri* | been off`)
	itStands  = compileTrigger(`its at # | shes at # | it is at # | now at # | its # now | running # | sitting at # | at # now`)
	reached   = compileTrigger(`got to # | hit # | up to # | peaked at # | topped out at #`)
	notDriven = compileTrigger(`every # | until # | till # | before # | at mile | next # | # more | # to go | # left | # miles left | # miles to go | # minutes left | ago | warranty | from here | # away | need # | due | range | per hour | leg is # | legs of # | plan is | wants # | for the first # | of # | odo | odometer | clock | mile marker | speedo`)
	saidSpeed = compileTrigger(`at # | around # | about # | from # | between # | over # | above # | past # | under # | below # | # to # | near # | by # | after # | # and up | a # | entre # | hasta # | desde # | # float | # coast* | # cruis* | # steady | # on`)
)

// figures gives the numbers of a clause their meaning.
func (f *roadFinder) figures(ci int) {
	c := &f.clauses[ci]
	var at []int
	for i, it := range c.items {
		if it.group != nil && !it.group.mixed && !it.group.change && it.place == "" && !(i > 0 && legNouns[c.items[i-1].text] && it.group.unit == noUnit && it.group.values[0].val < 10 && f.in.Asked != AskDistance) {
			at = append(at, i)
		}
	}
	behind := false // the figure before has its part behind it
	for n, i := range at {
		from, to := 0, len(c.items)
		if n > 0 {
			from = at[n-1] + 1
		}
		if behind {
			from = i
		}
		if n+1 < len(at) {
			to = at[n+1]
		}
		if c.at(i)&moodNot == 0 {
			f.figure(ci, i, from, to, len(at))
		}
		dim := c.items[i].group.unit.dim()
		behind = (dim == dimTemp || dim == dimNone) && partIn(wordsIn(c, from, i)) == "" && partIn(firstWords(wordsIn(c, i+1, to), 3)) != ""
	}
}

func firstWords(words []string, n int) []string { return words[:min(len(words), n)] }

// figure reads one group of numbers; from and to bound the words that are its own.
func (f *roadFinder) figure(ci, i, from, to, count int) {
	c := &f.clauses[ci]
	g := c.items[i].group
	plan := c.is(moodPlan | moodSpec)
	switch g.unit.dim() {
	case dimTemp:
		f.heat(c, i, from, to)
	case dimDistance:
		if len(g.values) == 1 && !plan && !(f.planned && !backWords.in(c.words)) && !notDriven.in(c.words) {
			f.distance(g.values[0].val, g.unit)
		}
	case dimTime:
		if plan || len(g.values) != 1 {
			return
		}
		m := minutesOf(g.values[0].val, g.unit)
		switch {
		case coolWords.in(c.words):
			f.out.Cooling = m
		case notDriven.in(c.words) || f.planned:
		case backWords.in(f.all) || breakInWords.in(f.all):
			f.out.Minutes = m
		}
	case dimSpeed:
		f.speed(g)
	case dimNone:
		f.plain(ci, i, from, to, count)
	}
}

// plain reads a number without a unit.
func (f *roadFinder) plain(ci, i, from, to, count int) {
	c := &f.clauses[ci]
	g := c.items[i].group
	own := c.words
	heard := f.sounds > 0 && f.sounds <= ci+1
	v := g.values[0].val
	switch {
	case heard && f.speedLike(g) && (saidSpeed.in(own) || f.sounds == ci+1 && g.values[0].val >= 20) && partNear(c, i, from, to) == "":
		f.speed(g)
	case f.heatLike(g) && !otherHeat.in(own) && (partNear(c, i, from, to) != "" || heatWords.in(own) || f.in.Asked == AskHeat || len(f.out.Heat) > 0 && !breakInWords.in(own) || f.told() && v >= f.surelyHeat()):
		f.heat(c, i, from, to)
	case f.heatLike(g) && v >= f.surelyHeat() && !f.speedLike(g) && itStands.in(own):
		f.heat(c, i, from, to)
	case f.in.Asked == AskSpeed && f.speedLike(g):
		f.speed(g)
	case f.in.Asked == AskDistance && len(g.values) == 1 && v > 0 && v < 5000 && f.out.Distance == nil:
		if count > 1 || len(f.clauses) > 1 && figuresIn(f.clauses) > 1 {
			f.out.Unsure = fmt.Sprint(v)
			return
		}
		f.distance(v, noUnit)
	}
}

// told says whether the message has reported a drive so far: the plain figure behind
// "10 miles, quiet," is how hot it is.
func (f *roadFinder) told() bool {
	return f.quiet || f.out.Back || f.out.Distance != nil
}

// surelyHeat is from where on a plain figure of a report can be nothing else.
func (f *roadFinder) surelyHeat() float64 {
	if f.in.Units == unit.Metric {
		return 45
	}
	return 100
}

func figuresIn(clauses []clause) (n int) {
	for _, c := range clauses {
		for _, it := range c.items {
			if it.group != nil && it.group.unit == noUnit {
				n++
			}
		}
	}
	return n
}

// distance files what was driven. A second, other figure takes the first one's
// place only where that had no unit.
func (f *roadFinder) distance(v float64, u unitID) {
	name := "mi"
	switch {
	case u == uKm, u == uKay, u == noUnit && f.in.Units == unit.Metric:
		name = "km"
	}
	if v <= 0 || v > 200_000 {
		return
	}
	if d := f.out.Distance; d != nil {
		if *d.Value != v {
			f.out.Unsure = fmt.Sprintf("%g", v)
		}
		return
	}
	f.out.Distance = &Reading{What: Distance, Value: &v, Unit: name}
}

// heatLike: it can be the temperature of an axle.
func (f *roadFinder) heatLike(g *group) bool {
	low, high := 60.0, 450.0
	if f.in.Units == unit.Metric {
		low, high = 15, 230
	}
	for _, v := range g.values {
		if v.val < low || v.val > high || v.point && f.in.Units != unit.Metric {
			return false
		}
	}
	return len(g.values) <= 2
}

// speedLike: it can be a road speed.
func (f *roadFinder) speedLike(g *group) bool {
	low, high := 10.0, 95.0
	if f.in.Units == unit.Metric {
		low, high = 15, 150
	}
	for _, v := range g.values {
		if v.val < low || v.val > high || v.point {
			return false
		}
	}
	return len(g.values) <= 2
}

func (f *roadFinder) speed(g *group) {
	n := f.out.Noise
	if n == nil {
		if f.in.Asked != AskSpeed {
			return // how fast they drove is no matter
		}
		n = &Noise{}
		f.out.Noise = n
	}
	for _, v := range g.values {
		if n.High == 0 {
			n.Low = v.val
		}
		n.Low, n.High = min(n.Low, v.val), max(n.High, v.val)
	}
	n.Unit = "mph"
	if g.unit == uKmh || g.unit.dim() != dimSpeed && f.in.Units == unit.Metric {
		n.Unit = "km/h"
	}
}

// heat files a temperature with where it was read: "190 at the pinion", "pinion 190".
func (f *roadFinder) heat(c *clause, i, from, to int) {
	g := c.items[i].group
	if g.unit.dim() == dimTemp && otherHeat.in(c.words) && partNear(c, i, from, to) == "" || c.is(moodSpec) || c.is(moodPlan) && !reached.in(c.words) {
		return
	}
	name := "degF"
	kilometres := f.out.Distance != nil && f.out.Distance.Unit == "km" // whoever counts in them
	if g.unit == uDegC || g.unit != uDegF && (f.in.Units == unit.Metric || kilometres) {
		name = "degC"
	}
	if g.unit == uDeg && !kilometres && f.in.Units != unit.Metric && f.in.Units != unit.InchUnits {
		return
	}
	part := partNear(c, i, from, to)
	values := g.values
	if g.span || len(values) > 2 {
		values = []number{slices.MaxFunc(values, func(a, b number) int { return cmp.Compare(a.val, b.val) })} // the hottest counts
	}
	for k, n := range values {
		v := n.val
		r := Reading{What: Temperature, Value: &v, Unit: name, Part: part}
		if len(values) == 2 {
			r.Part = [...]string{HeatPinion, HeatCarrier}[k] // as they are asked for
		}
		if slices.ContainsFunc(f.out.Heat, func(h Reading) bool { return h.Part == r.Part && *h.Value == v }) {
			continue
		}
		f.out.Heat = append(f.out.Heat, r)
	}
	f.pairHeat(c, i)
}

// heatAt is where a temperature stood.
type heatAt struct {
	clause *clause
	item   int
}

// pairHeat takes two temperatures that stand side by side and name no part for pinion
// and carrier, as they are asked for: "85 C 75 C".
func (f *roadFinder) pairHeat(c *clause, i int) {
	last := f.lastHeat
	f.lastHeat = heatAt{c, i}
	h := f.out.Heat
	if last.clause == nil || len(h) != 2 || h[0].Part != "" || h[1].Part != "" {
		return
	}
	between := c.items[:i]
	if last.clause == c {
		between = c.items[last.item+1 : i]
	} else {
		between = append(slices.Clone(last.clause.items[last.item+1:]), between...)
	}
	for _, it := range between {
		if it.kind != unitItem && it.kind != signItem && !pairWords[it.text] {
			return
		}
	}
	h[0].Part, h[1].Part = HeatPinion, HeatCarrier
}

// partNear gives the part a temperature was read at: named behind it with "at" or
// "on", before it, or right behind it.
func partNear(c *clause, i, from, to int) string {
	before, behind := wordsIn(c, from, i), wordsIn(c, i+1, to)
	if len(behind) > 0 {
		switch behind[0] {
		case "at", "on", "by", "near", "over", "around", "en", "am", "behind":
			if p := partIn(firstWords(behind, 6)); p != "" {
				return p
			}
		}
	}
	if p := partIn(before); p != "" {
		return p
	}
	return partIn(firstWords(behind, 3))
}

// partIn gives the part some words name, the last of them.
func partIn(words []string) string {
	part, last := "", -1
	for _, p := range heatParts {
		for k := len(words) - 1; k > last; k-- {
			if p.when.in(words[k:min(len(words), k+3)]) && p.when.in(words[k:k+1]) {
				part, last = p.part, k
			}
		}
	}
	return part
}

func wordsIn(c *clause, from, to int) []string {
	var out []string
	for k, at := range c.wordItem {
		if at >= from && at < to && k < len(c.words) {
			out = append(out, c.words[k])
		}
	}
	return out
}

// pairWords may stand between two temperatures; C and F there are their units.
var pairWords = wordSet("and y c f")
