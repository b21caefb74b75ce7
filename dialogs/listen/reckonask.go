package listen

import (
	"regexp"
	"slices"
	"strings"

	"shimwright/calc/fastener"
	"shimwright/calc/ratio"
	"shimwright/calc/unit"
)

// ask tries the questions one after the other; the narrow ones stand first.
func (n *note) ask() *Reckoning {
	if !slices.ContainsFunc(n.lots, func(l lot) bool { return l.kind != wordLot && l.kind != markLot }) {
		for _, try := range []func() *Reckoning{n.expectDrag, n.ringCooling, n.extension, n.factor} { // all the others have figures
			if r := try(); r != nil {
				return r
			}
		}
		return nil
	}
	for _, try := range []func() *Reckoning{
		n.speedometer, n.revsPerMile, n.engine, n.regear, n.tyre, n.shaft, n.teeth,
		n.extension, n.finish, n.bolt,
		n.pull, n.sleeve, n.carrierDrag, n.sides, n.pack,
		n.cooling, n.chillFor, n.growth, n.heatFor,
		n.oil, n.convert, n.heat, n.ringCooling, n.speedometerOf,
	} {
		if r := try(); r != nil {
			return r
		}
	}
	return nil
}

// torques gives the numbers that are torques, bare ones with the habit's unit
// where bare is given.
func (n *note) torques(bare string) []lot {
	out := n.in("in·lbf", "ft·lbf", "N·m", "kgf·cm")
	if len(out) == 0 && bare != "" {
		for _, l := range n.in("") {
			if l.num == 0 && !l.plural {
				l.unit = bare
				out = append(out, l)
			}
		}
	}
	return out
}

// bigTorque and smallTorque are the units of bare nut torques and bare drags.
func (n *note) bigTorque() string {
	if n.units == unit.Metric {
		return "N·m"
	}
	return "ft·lbf"
}

func (n *note) smallTorque() string {
	if n.units == unit.Metric {
		return "N·m"
	}
	return "in·lbf"
}

// lengths gives the numbers that are lengths: with a unit, or bare decimals of the
// size of a shim.
func (n *note) lengths() []lot {
	var out []lot
	for _, l := range n.lots {
		if l.kind != numberLot {
			continue
		}
		switch l.unit {
		case "in", "mm", "cm", "ft", "thou", "hundredth":
			out = append(out, l)
		case "":
			if l.whole || l.num != 0 || l.plural {
				continue
			}
			if l.unit = "in"; n.isMetric() {
				l.unit = "mm"
			}
			if mm := millimetres(l.value, l.unit); mm > 0 && mm <= 0.7 {
				out = append(out, l)
			}
		}
	}
	return out
}

// finishOf gives the finish a lot names, empty where it names none.
func finishOf(l lot) string {
	switch {
	case l.is(rDry):
		return string(fastener.Dry)
	case l.is(rZinc):
		return string(fastener.Zinc)
	case l.is(rLubed):
		return string(fastener.Lubricated)
	}
	return ""
}

// finishes gives the finishes named, in order, each once.
func (n *note) finishes() []string {
	var out []string
	for i, l := range n.lots {
		f := finishOf(l)
		if f == string(fastener.Dry) && i > 0 && n.lots[i-1].text == "not" {
			continue
		}
		if f != "" && !slices.Contains(out, f) {
			out = append(out, f)
		}
	}
	return out
}

// FinishSaid gives the state of the threads that a message names beside a torque,
// empty where it names none or more than one. Oil that goes into the axle is none.
func FinishSaid(in Input) fastener.Finish {
	plain, _, _ := normalise(in.Text)
	n := &note{units: in.Units}
	n.cut(respell(strings.ToLower(fromSpanish(plain))))
	for i := range n.lots {
		n.lots[i].at = i
	}
	if f := n.finishes(); len(f) == 1 && !n.says("gear oil", "oil filled", "no oil", "without oil", "dry ice", "oil in") && len(n.in("qt", "pt", "L")) == 0 {
		return fastener.Finish(f[0])
	}
	return ""
}

// threads gives the threads that are ones.
func (n *note) threads() []string {
	var out []string
	for _, l := range n.kinds(threadLot) {
		if _, err := fastener.ParseThread(threadText(l.text)); err == nil && !slices.Contains(out, threadText(l.text)) {
			out = append(out, threadText(l.text))
		}
	}
	return out
}

// size gives an inch size without its series: "7/16 grade 8".
func (n *note) size() string {
	for _, l := range n.lots {
		if l.kind == numberLot && l.num > 0 && (l.unit == "" || l.unit == "in") {
			if _, err := fastener.ParseThread(l.text + " fine"); err == nil {
				return l.text
			}
		}
	}
	return ""
}

// bolt: "torque 7/16-20 grade 8 lubed".
func (n *note) bolt() *Reckoning {
	threads, grades, torques := n.threads(), n.kinds(gradeLot), n.torques("")
	if len(threads) == 0 {
		if len(grades) == 0 || !n.asks() && !n.has(rTorque) {
			return nil
		}
		if s := n.size(); s != "" {
			threads = []string{s}
		} else if !n.asks() || !n.has(rTorque, rClamp) && !n.says("bolt") && !n.says("bolts") {
			return nil
		}
	}
	if len(grades) == 0 && !n.has(rTorque, rClamp) && len(n.finishes()) == 0 {
		return nil
	}
	if len(torques) > 0 && !n.asks() && len(grades) == 0 {
		return nil // a torque told, not asked for
	}
	r := reckoning(AboutBolt).put(PartTorque, first(torques))
	if len(threads) > 0 {
		r.word(PartThread, threads[0])
	}
	if len(threads) > 1 {
		r.word(PartThreadTo, threads[1])
	}
	if len(grades) > 0 {
		r.word(PartGrade, grades[0].text)
	}
	if f := n.finishes(); len(f) > 0 {
		r.word(PartFinish, f[0])
	}
	return r
}

// finish: "78 ft lb dry, what is that oiled".
func (n *note) finish() *Reckoning {
	f := n.finishes()
	torques := n.torques(n.bigTorque())
	if len(f) != 2 || len(torques) != 1 || len(n.threads()) > 0 || !n.asks() {
		return nil
	}
	near, _ := n.nearFinish(torques[0])
	if near == f[1] && !n.says("to "+wordOf(f[1])) {
		f[0], f[1] = f[1], f[0]
	}
	return reckoning(AboutFinish).put(PartTorque, &torques[0]).word(PartFinish, f[0]).word(PartFinishTo, f[1])
}

func wordOf(f string) string {
	if f == string(fastener.Lubricated) {
		return "lubed"
	}
	return f
}

// nearFinish gives the finish that stands nearest to a lot, one behind it before
// one in front.
func (n *note) nearFinish(to lot) (string, int) {
	best, far := "", 1<<30
	for i, l := range n.lots {
		if f := finishOf(l); f != "" {
			d := 3 * (i - to.at)
			if d < 0 {
				d = -d + 1
			}
			if d < far {
				best, far = f, d
			}
		}
	}
	return best, far
}

// extension: "60 ftlb with a 2 in extension on a 14 in wrench", "what do i set for the
// caps with a 2 in crowfoot on a 14 in wrench", "caps torqued 75 with a crowfoot at 90".
func (n *note) extension() *Reckoning {
	if !n.has(rExtension) {
		return nil
	}
	part, told := n.fastener(), n.toldTorque()
	lengths := n.lengths()
	torques := n.torques("")
	if len(torques) > 0 || told && (part != "" || len(lengths) > 0) || part != "" && n.asks() {
		for _, l := range n.in("") { // "dogbone is 1 1/2"
			if (l.den == 0 || l.num < l.den) && n.beside(l.at, rExtension, rWrench) && (l.value < 100 || n.isMetric() && l.value < 1000) && l.value != 90 && n.bareLength(l) {
				if l.unit = "in"; n.isMetric() {
					l.unit = "mm"
				}
				lengths = append(lengths, l)
			}
		}
	}
	if len(torques) == 0 {
		for _, l := range n.torques(n.bigTorque()) {
			if !slices.ContainsFunc(lengths, func(k lot) bool { return k.at == l.at }) && !(n.bareNinety() && l.value == 90 && n.lots[max(0, l.at-1)].text == "at") {
				torques = append(torques, l)
			}
		}
	}
	straight := n.straight(lengths)
	angled := n.bareNinety() || len(n.in("deg")) > 0
	if part != "" && (told && len(torques) > 0 || n.asks()) {
		// what it is on is enough: lengths are asked for, and the sheet has the torque
		if len(lengths) == 0 && len(torques) == 0 && !n.has(rWrench, rTorque) && !n.says("set") {
			return nil
		}
	} else if len(torques) == 0 || len(lengths) == 0 && !(straight || angled || n.asks() && n.has(rWrench, rTorque) && len(n.torques("")) > 0) ||
		!n.has(rWrench, rTorque) && !n.asks() && len(n.torques("")) == 0 {
		return nil
	}
	r := reckoning(AboutExtension).put(PartTorque, first(torques)).word(PartFastener, part)
	if told {
		r.word(PartTold, "yes")
	}
	if straight {
		r.word(PartStraight, "yes")
	}
	taken := map[int]bool{}
	ext, _ := n.near(lengths, taken, rExtension)
	if ext != nil {
		taken[ext.at] = true
	}
	wrench, _ := n.near(lengths, taken, rWrench)
	if wrench == nil {
		for i := range lengths {
			if !taken[lengths[i].at] {
				wrench = &lengths[i]
			}
		}
	}
	if wrench == nil && n.has(rWrench) && !n.asks() && !n.has(rTorque) && !told {
		return nil
	}
	if wrench != nil && ext != nil && millimetres(wrench.value, wrench.unit) < millimetres(ext.value, ext.unit) {
		wrench, ext = ext, wrench
	}
	r.put(PartExtension, ext).put(PartWrench, wrench)
	switch degrees := n.in("deg"); {
	case len(degrees) > 0:
		r.put(PartAngle, &degrees[0])
	case n.says("right angle", "square to", "sideways", "perpendicular") || n.bareNinety():
		r.Figures[PartAngle] = Figure{90, "deg"}
	case n.bareAngle() != 0:
		r.Figures[PartAngle] = Figure{n.bareAngle(), "deg"}
	case n.says("pointing back", "points back", "backwards", "pointed back", "facing back", "turned back", "back toward me", "back at me"):
		r.Figures[PartAngle] = Figure{180, "deg"}
	}
	return r
}

// bareLength says whether a bare number may be a length beside an extension or a
// wrench, which "caps 75 crowfoot" is not.
func (n *note) bareLength(l lot) bool {
	if l.at > 0 && slices.Contains([]string{"to", "at", "caps", "bolts", "nut", "cover", "torqued", "tightened", "got", "clicked", "set"}, n.lots[l.at-1].text) {
		return false
	}
	return n.isMetric() || l.value <= 40
}

// straight says whether the extension lies along the bolt, as one under a socket does.
func (n *note) straight(lengths []lot) bool {
	if n.says("crow", "crowfoot", "crowsfoot", "dogbone", "adapter", "adaptor", "claw") {
		return false
	}
	return n.says("socket extension", "socket ext", "straight down", "in line with the bolt", "inline with the bolt", "in line with the socket", "extension bar", "on the socket", "under the socket", "between wrench and socket", "wobble extension", "drive extension", "prolongador recto", "extension recta")
}

var (
	fastenerText = regexp.MustCompile(`\b(?:ring(?: gear)? bolts?|crown ?wheel bolts?|bearing caps?|cap bolts?|caps?|pinion nut|nut|(?:rear )?cover(?: bolts?)?|(?:adjuster )?locks?(?: bolts?)?|cartridge(?: bolts?)?|carrier (?:to housing )?(?:nuts?|bolts?)|housing nuts?|tornillos de (?:la )?corona|tapas?|tuerca)\b`)
	didTorque    = regexp.MustCompile(`\b(?:torqued|used|us[eé]|tightened|pulled|clicked|did|done|went to|got|apret[eé]|apretad[oa]s?|apretamos)\b`)
)

// fastener gives what is torqued, in English words, empty where it is not said.
func (n *note) fastener() string {
	switch name := fastenerText.FindString(n.joined()); {
	case strings.HasPrefix(name, "tornillos"):
		return "ring bolts"
	case strings.HasPrefix(name, "tapa"):
		return "caps"
	case name == "tuerca":
		return "nut"
	default:
		return name
	}
}

// toldTorque says whether the torque was put on already.
func (n *note) toldTorque() bool { return !n.asks() && didTorque.MatchString(n.joined()) }

// bareNinety: "at 90", and no torque or length of 90.
func (n *note) bareNinety() bool {
	return slices.ContainsFunc(n.lots, func(l lot) bool { return l.kind == numberLot && l.value == 90 && l.unit == "" })
}

// bareAngle: "60 ftlb with a 2 in crow foot at 45", where the torque has its unit; 0
// for none.
func (n *note) bareAngle() float64 {
	if len(n.torques("")) == 0 {
		return 0
	}
	for i, l := range n.lots {
		if i > 0 && n.lots[i-1].text == "at" && l.kind == numberLot && l.unit == "" && slices.Contains([]float64{30, 45, 60, 120, 135, 150, 180}, l.value) {
			return l.value
		}
	}
	return 0
}

func millimetres(v float64, u string) float64 {
	switch u {
	case "in":
		return v * 25.4
	case "ft":
		return v * 304.8
	case "cm":
		return v * 10
	case "thou":
		return v * 0.0254
	case "hundredth":
		return v / 100
	}
	return v
}

// tyres gives the tyres named: sizes, and heights ("31s", "33 in tires").
func (n *note) tyres() []lot {
	var out []lot
	for i, l := range n.lots {
		switch {
		case l.kind == tyreLot:
			if _, err := ratio.ParseTyre(l.text); err == nil && (l.text[0] != '1' || len(l.text) > 6) {
				out = append(out, l)
			}
		case l.kind != numberLot || l.num != 0 || l.value < 22 || l.value > 54:
		case l.plural && l.unit == "", l.unit == "in" && n.tyreWordAt(i), l.unit == "" && l.whole && i+1 < len(n.lots) && n.lots[i+1].is(rTyre), l.unit == "in" && l.value >= 26 && n.has(rEngine, rSpeedometer, rMile, rRatio):
			l.text = formatPlain(l.value)
			out = append(out, l)
		}
	}
	return n.barePairs(out)
}

// barePairs adds the bare height before "to" and another tyre: "29 to 33 inch
// tires", "31 to 35s".
func (n *note) barePairs(tyres []lot) []lot {
	for _, t := range tyres {
		i := t.at - 2
		if i < 0 || n.lots[i].kind != numberLot || n.lots[i].unit != "" && n.lots[i].unit != "in" || !n.lots[i].whole || n.lots[i].plural || n.lots[i].value < 22 || n.lots[i].value > 54 || !slices.Contains([]string{"to", "vs", "or", "and", "-", "→"}, n.lots[i+1].text) {
			continue
		}
		if slices.ContainsFunc(tyres, func(l lot) bool { return l.at == i }) {
			continue
		}
		l := n.lots[i]
		l.text = formatPlain(l.value)
		return append([]lot{l}, tyres...)
	}
	return tyres
}

func (n *note) tyreWordAt(i int) bool {
	for k := max(0, i-2); k < len(n.lots) && k <= i+3; k++ {
		if n.lots[k].is(rTyre) || n.lots[k].text == "tall" {
			return true
		}
	}
	return false
}
