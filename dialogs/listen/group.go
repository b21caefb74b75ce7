package listen

import (
	"math"
	"strings"
)

// group is one number or several that belong together, with their unit.
type group struct {
	values    []number
	positions []string // of each value, empty where not said
	unit      unitID
	sum       bool // a stated sum: the values were added up
	span      bool // 8-9, "8 to 9"
	change    bool // 12 → 9, "from 12 to 9"
	inexact   bool // "under 10", "8 or 9", "9+"
	mixed     bool // units that do not go together, a sum that does not add up
	text      string
}

// groupFigures joins numbers that belong together and the unit behind them into
// one item each. Numbers that are no measurements are left as they are.
func groupFigures(items []item) []item {
	items = collapsePlaces(items)
	out := make([]item, 0, len(items))
	for i := 0; i < len(items); {
		g, n := readGroup(items, i)
		if n == 0 {
			it := items[i]
			if it.kind == placeItem {
				it.kind = phraseItem
				it.tags = tagSet{}.with(light)
				it.place = it.pos
			}
			out = append(out, it)
			i++
			continue
		}
		if len(out) > 0 {
			last := out[len(out)-1]
			if last.tags.has(mInexact) && !measureBefore(out) || last.kind == signItem && (last.text == "<" || last.text == ">") {
				g.inexact = true
			}
		}
		texts := make([]string, 0, n)
		for _, it := range items[i : i+n] {
			texts = append(texts, it.text)
		}
		g.text = strings.ReplaceAll(strings.Join(texts, " "), " over ", " / ")
		out = append(out, item{
			kind: figureItem, text: g.text, tags: tagSet{}.with(figure), group: g,
			a: items[i].a, b: items[i+n-1].b, glued: items[i].glued,
		})
		i += n
	}
	return out
}

// measureBefore: "came in over at 9" — a verb stands between.
func measureBefore(out []item) bool {
	last := out[len(out)-1]
	// "over", "up to" also lead a number without meaning more than it
	return last.text == "up to" && len(out) > 1 && (quantityOf(out[len(out)-2]) != none || out[len(out)-2].tags.hasAny(pRing, pBearing) || isWord(out, len(out)-2, "add", "adds", "added", "adding", "stack", "stacks", "total", "totals", "opened", "went", "came", "is", "its", "moved", "jumped", "closed"))
}

const placeItem itemKind = 100 // a place on the ring, between tagging and grouping

// collapsePlaces makes one item of "bolt 3", "12 o'clock", "position #2".
func collapsePlaces(items []item) []item {
	out := make([]item, 0, len(items))
	for i := 0; i < len(items); i++ {
		it := items[i]
		if it.kind != figureItem || it.pos == "" {
			out = append(out, it)
			continue
		}
		for len(out) > 0 && (placeWords[out[len(out)-1].text] || isSign(out, len(out)-1, "#") || isWord(out, len(out)-1, "number", "no", "num")) {
			it.a = out[len(out)-1].a
			out = out[:len(out)-1]
		}
		if len(out) > 0 && isSign(out, len(out)-1, "(") && isSign(items, i+1, ")") { // "(1) 0.19"
			out = out[:len(out)-1]
			i++
			it.b = items[i].b
		}
		it.kind = placeItem
		for i+1 < len(items) && (isWord(items, i+1, "oclock", "oc") || items[i+1].unit == uDeg || isSign(items, i+1, ")") && !isSign(items, i-1, "(")) {
			i++
			it.b = items[i].b
		}
		if isSign(items, i+1, ":") && i+2 < len(items) && items[i+2].text == "00" && items[i+2].skip == skipTime {
			i += 2
			it.b = items[i].b
		}
		it.text = it.pos
		out = append(out, it)
	}
	return out
}

// element is one value of a group with its place and unit.
type element struct {
	num   number
	pos   string
	unit  unitID
	times int
	end   int
}

// readElement reads [place] value [unit] [at place] at items[i].
func readElement(items []item, i int) (element, bool) {
	e := element{times: 1}
	k := i
	for n := 0; n < 2 && isWord(items, k, "at", "on", "@", "by") && k+1 < len(items) && items[k+1].kind == placeItem; n++ {
		k++
	}
	if k < len(items) && items[k].kind == placeItem {
		e.pos = items[k].pos
		k++
		for n := 0; k < len(items) && n < 4 && (isSign(items, k, ":=-,.@(") || isWord(items, k, "gave", "gives", "showed", "made") || items[k].kind == phraseItem && items[k].tags.has(light)); n++ {
			k++
		}
	}
	if !freeFigure(items, k) {
		return e, false
	}
	e.num = items[k].num
	k++
	if k < len(items) && isSign(items, k, "-") && items[k].glued && k+1 < len(items) && items[k+1].kind == unitItem && items[k+1].glued {
		k++
	}
	if k < len(items) && items[k].kind == unitItem {
		e.unit = items[k].unit
		k++
	}
	// times: 8 x4, 8x4, 2x .020
	if isWord(items, k, "x") && freeFigure(items, k+1) {
		left, right := items[k].glued, items[k+1].glued
		other := items[k+1].num
		n, isInt := bareInt(items, k+1)
		first, firstInt := int(e.num.val), !e.num.point && e.num.sign == 0
		switch {
		case firstInt && first >= 2 && first <= 12 && (left && !right || other.point || k+2 < len(items) && items[k+2].kind == unitItem):
			e.times, e.num = first, other
			k += 2
			if k < len(items) && items[k].kind == unitItem {
				e.unit = items[k].unit
				k++
			}
		case isInt && n >= 2 && n <= 12 && (right || e.num.point || e.unit != noUnit || first > 12):
			e.times = n
			k += 2
		}
	} else if isWord(items, k, "times") && freeFigure(items, k+1) {
		if n, ok := bareInt(items, k+1); ok && n >= 2 && n <= 12 {
			e.times = n
			k += 2
		}
	}
	if e.pos == "" {
		j := k
		for j < len(items) && j < k+3 && (isWord(items, j, "at", "on", "the", "@") || isSign(items, j, "@(")) {
			j++
		}
		if j < len(items) && items[j].kind == placeItem && (j > k || !placeOfNext(items, j)) {
			e.pos = items[j].pos
			k = j + 1
			if isSign(items, k, ")") {
				k++
			}
		}
	}
	e.end = k
	return e, true
}

// placeOfNext says whether the place at items[j] belongs to the value after it.
func placeOfNext(items []item, j int) bool {
	k := j + 1
	for k < len(items) && k < j+4 && (isSign(items, k, ":=-") || items[k].kind == phraseItem && items[k].tags.has(light)) {
		k++
	}
	return freeFigure(items, k)
}

// separator reads what may stand between two values of one group at items[k]. It
// gives the kind of separator and where the next value starts.
func separator(items []item, k int) (sep string, next int, ok bool) {
	start := k
	for k < len(items) && k < start+4 {
		it := items[k]
		switch {
		case it.kind == signItem && (it.text == "," || it.text == ";" || it.text == "|" || it.text == "&"), it.kind == signItem && it.text == "/":
			if sep == "" || sep == "line" {
				sep = "list"
			}
		case it.kind == signItem && it.text == ".":
			sep = "stop"
		case it.kind == lineItem:
			if sep == "" {
				sep = "line"
			}
		case it.kind == signItem && it.text == "-":
			sep = "-"
		case it.kind == signItem && it.text == "+", isWord(items, k, "plus"):
			sep = "+"
		case it.text == "to", it.text == "thru", it.text == "through", it.text == "till":
			sep = "to"
		case it.text == "→":
			sep = "→"
		case it.text == "or":
			sep = "or"
		case it.text == "and", it.text == "then", it.text == "y", it.text == "n", it.text == "und":
			if sep == "" || sep == "line" || sep == "list" {
				sep = "and"
			}
		case it.text == "a" && (sep == "and" || sep == "list"):
		case it.text == "over" && k == start, isSign(items, k, ":") && k == start && glued2(items, k):
			sep = "over"
		case it.text == "thumbsup" && k == start:
			sep = "list"
		default:
			return sep, k, k == start || sep != ""
		}
		k++
	}
	return sep, k, true
}

// readGroup reads the numbers that belong together from items[i].
func readGroup(items []item, i int) (*group, int) {
	if items[i].kind != placeItem && !freeFigure(items, i) && !(isWord(items, i, "at", "@") && i+1 < len(items) && items[i+1].kind == placeItem) {
		return nil, 0
	}
	first, ok := readElement(items, i)
	if !ok {
		return nil, 0
	}
	g := &group{unit: first.unit}
	fromChange := false
	for k := i - 1; k >= 0 && k > i-5; k-- {
		fromChange = fromChange || strings.HasSuffix(items[k].text, " from") || isWord(items, k, "went", "dropped", "jumped", "changed", "moved", "closed", "opened", "came", "gone", "fell", "reduced", "increased", "climbed", "grew", "tightened", "loosened", "bumped", "swapped", "raised", "cut", "stepped")
	}
	add := func(e element) {
		for range e.times {
			g.values = append(g.values, e.num)
			g.positions = append(g.positions, e.pos)
		}
	}
	add(first)
	end := first.end
	before := quantityBefore(items, i)
	seps := map[string]int{}
	denied := i > 0 && (negator[items[i-1].text] && items[i-1].text != "no")
	for len(g.values) < 40 && !denied {
		sep, next, ok := separator(items, end)
		if !ok || next >= len(items) {
			break
		}
		spaced := next == end
		e, ok := readElement(items, next)
		if !ok {
			break
		}
		if !continues(items, g, e, sep, next, spaced, before) {
			break
		}
		if sep == "=" {
			break
		}
		if g.unit == noUnit {
			g.unit = e.unit
		} else if e.unit != noUnit && e.unit != g.unit {
			// the same in another unit: 0.009 in / 0.23 mm
			if len(g.values) == 1 && sameLength(g.values[0].val, g.unit, e.num.val, e.unit) {
				end = e.end
				if isSign(items, end, ")") {
					end++
				}
				return g, end - i
			}
			g.mixed = true
		}
		if spaced {
			sep = " "
		}
		seps[sep]++
		add(e)
		end = e.end
	}
	n := len(g.values)
	switch {
	case n == 2 && (seps["to"] == 1 && fromChange || seps["→"] == 1):
		g.change = true
	case seps["→"] > 0:
		g.mixed = true
	case n == 2 && (seps["-"] == 1 || seps["to"] == 1):
		g.span = true
	case seps["or"] > 0:
		g.inexact = true
	case seps["+"] > 0 && seps["+"] == n-countTimes(first, n)-1 || seps["+"] > 0 && seps["+"]+seps["list"]+seps[" "] >= 1 && onlyPlus(seps):
		g.sum = true
	case seps["+"] > 0:
		g.mixed = true
	}
	// "20 and 13, 33 all up": the last is the sum of the others
	if n >= 3 && end < len(items) && items[end].tags.has(mSum) {
		sum := 0.0
		for _, v := range g.values[:n-1] {
			sum += v.val
		}
		if math.Abs(sum-g.values[n-1].val) <= 1e-9*math.Max(1, sum) {
			g.values, g.positions, g.sum = g.values[:n-1], g.positions[:n-1], true
			return g, end + 1 - i
		}
	}
	// a stated total behind: 200 + 41 = 241, "20 and 21 for 41 total"
	end = g.total(items, end)
	// 9 +/- 1, 9±1: the tolerance is no reading; 9+ is no exact one
	if isSign(items, end, "+") && isSign(items, end+1, "/") || textAt(items, end) == "±" {
		k := end + 1
		for k < len(items) && k < end+4 && items[k].kind != figureItem {
			k++
		}
		if k < len(items) && items[k].kind == figureItem {
			end = k + 1
			if end < len(items) && items[end].kind == unitItem {
				if g.unit == noUnit {
					g.unit = items[end].unit
				}
				end++
			}
		}
	} else if isWord(items, end, "and") && (isWord(items, end+1, "a") && isWord(items, end+2, "bit", "smidge", "hair", "touch", "tad") || isWord(items, end+1, "a bit", "change", "some", "a hair", "a touch", "a tad", "something", "a smidge")) {
		g.inexact = true // "nine and a bit"
		end += 2
	} else if isSign(items, end, "+") && items[end].glued && !freeFigure(items, end+1) {
		g.inexact = true
		end++
	}
	// the same in another unit in parentheses: .009 (0.23 mm)
	if isSign(items, end, "(") && freeFigure(items, end+1) && end+2 < len(items) && items[end+2].kind == unitItem && len(g.values) == 1 {
		if isSign(items, end+3, ")") {
			other := items[end+2].unit
			unit := g.unit
			if unit == noUnit && other == uMM && g.values[0].small() {
				unit = uInch
			}
			if sameLength(g.values[0].val, unit, items[end+1].num.val, other) || sameLength(g.values[0].val, uThou, items[end+1].num.val, other) {
				if g.unit == noUnit && unit == noUnit {
					unit = uThou
				}
				g.unit = unit
				end += 4
			}
		}
	}
	return g, end - i
}

func countTimes(first element, n int) int {
	if first.times > 1 {
		return first.times - 1
	}
	return 0
}

func onlyPlus(seps map[string]int) bool {
	for s := range seps {
		if s != "+" {
			return false
		}
	}
	return true
}

// total reads a stated sum behind the values: "= 41", "makes 41", "41 total".
func (g *group) total(items []item, end int) int {
	if len(g.values) < 2 {
		return end
	}
	k := end
	for k < len(items) && k < end+3 && (isSign(items, k, "=,(") || items[k].tags.has(mSum) || isWord(items, k, "for", "so", "is", "a", "thats", "of", "that", "'s")) {
		k++
	}
	stated := k > end && (isSign(items, end, "=") || items[k-1].tags.has(mSum) || items[end].tags.has(mSum))
	if !freeFigure(items, k) {
		if g.sum {
			return end
		}
		// "20 and 21 total": the word says they are to be added
		return end
	}
	j := k + 1
	unit := noUnit
	if j < len(items) && items[j].kind == unitItem {
		unit = items[j].unit
		j++
	}
	if j < len(items) && items[j].tags.has(mSum) {
		stated = true
		j++
	}
	if !stated {
		return end
	}
	sum := 0.0
	for _, v := range g.values {
		sum += v.val
	}
	if math.Abs(sum-items[k].num.val) > 1e-9*math.Max(1, math.Abs(sum)) {
		g.mixed = true
		return j
	}
	g.sum = true
	if g.unit == noUnit {
		g.unit = unit
	}
	return j
}

// continues says whether element e, after separator sep, belongs to group g.
func continues(items []item, g *group, e element, sep string, next int, spaced bool, before tag) bool {
	last := g.values[len(g.values)-1]
	if e.unit != noUnit && g.unit != noUnit && e.unit.dim() != g.unit.dim() {
		return false
	}
	if g.unit != noUnit && e.unit == noUnit && spaced && e.pos == "" {
		return false // "9 thou 15"
	}
	if e.unit.dim() == dimTime || e.unit.dim() == dimDistance || e.unit.dim() == dimSpeed || e.unit.dim() == dimTemp {
		if g.unit == noUnit && sep != "-" && sep != "to" && sep != "→" && !(sep == "list" && isSign(items, next-1, "/") && items[next-1].glued) && sep != "and" {
			return false
		}
	}
	if g.unit.dim() == dimTime || g.unit.dim() == dimDistance || g.unit.dim() == dimTemp || g.unit.dim() == dimSpeed {
		if e.unit == noUnit && sep != "-" && sep != "to" && sep != "→" {
			return false
		}
	}
	if sep == "over" && !(len(g.values) == 1 && e.unit == noUnit && g.unit == noUnit && teethPair(&group{values: []number{last, e.num}}, true)) {
		return false
	}
	if sep == "stop" && (e.num.spelt != last.spelt && !last.spelt || e.pos == "" && !allFiguresRow(items, next)) {
		return false
	}
	if sep == "and" && e.unit == noUnit && g.unit != noUnit && e.pos == "" {
		return false
	}
	if spaced && last.sign == 0 && e.num.sign != 0 {
		return false
	}
	if sep == "+" && e.pos != "" {
		return false
	}
	// a number with its own quantity right behind it starts something new
	if before != none && sep != "-" && sep != "to" {
		k := e.end
		for k < len(items) && k < e.end+3 && isWord(items, k, "of", "on", "for", "the") {
			k++
		}
		if k < len(items) && startsQuantity(items[k]) && !items[k].tags.has(before) && !numberAfter(items, k+1) {
			return false
		}
	}
	// an hour or a count behind a comma is another thing
	if sep == "list" && isSign(items, next-1, ",") && !items[next-1].glued && e.unit != noUnit && g.unit == noUnit && len(g.values) == 1 && e.unit.dim() != dimLength && e.unit.dim() != dimTorque {
		return false
	}
	return true
}

// numberAfter: the quantity at k-1 has its own number behind it, so it does not
// need the one before.
func numberAfter(items []item, k int) bool {
	for n := 0; k < len(items) && n < 3; n++ {
		if freeFigure(items, k) {
			return true
		}
		if items[k].kind == phraseItem && items[k].tags.has(light) || isSign(items, k, ":=") {
			k++
			continue
		}
		return false
	}
	return false
}

// startsQuantity says whether an item names a quantity a number can belong to.
func startsQuantity(it item) bool {
	return it.kind == phraseItem && it.tags.hasAny(qBacklash, qSpread, qDrag, qTotalDrag, qBreakaway, qShim, qRunout, qEndPlay,
		qCarrierPreload, qCaseSpread, qMark, qDepth, qChecking, qHeight, qTeeth)
}

// quantityBefore gives the quantity that stands before items[i] in the same
// sentence with no number between, or none.
func quantityBefore(items []item, i int) tag {
	for k := i - 1; k >= 0 && k > i-12; k-- {
		if startsQuantity(items[k]) {
			return quantityOf(items[k])
		}
		if items[k].kind == figureItem && items[k].skip == keep && items[k].pos == "" || items[k].kind == signItem && (items[k].text == "." || items[k].text == "?" || items[k].text == "!") {
			return none
		}
	}
	return none
}

// allFiguresRow: "8. 8. 9. 8." is a row of readings, "lash 9. 18 drag" is not.
func allFiguresRow(items []item, k int) bool {
	return k+1 >= len(items) || items[k+1].kind == lineItem || items[k+1].kind == unitItem && k+2 >= len(items) ||
		isSign(items, k+1, ".") && (k+2 >= len(items) || freeFigure(items, k+2) || items[k+2].kind == lineItem)
}

// sameLength says whether two figures are one length in two units, within the
// rounding of a converted figure.
func sameLength(a float64, ua unitID, b float64, ub unitID) bool {
	sa, oka := lengthScale(ua)
	sb, okb := lengthScale(ub)
	if !oka || !okb {
		return false
	}
	x, y := a*sa, b*sb
	return math.Abs(x-y) <= 0.03*math.Max(math.Abs(x), math.Abs(y))+1e-9
}

// lengthScale gives the millimetres of one unit of length.
func lengthScale(u unitID) (float64, bool) {
	switch u {
	case uThou:
		return 0.0254, true
	case uInch:
		return 25.4, true
	case uHundredth:
		return 0.01, true
	case uMM:
		return 1, true
	case uMicron:
		return 0.001, true
	}
	return 0, false
}
