package listen

import "strconv"

// Where on the ring a value was read: "12 o'clock 8, 3 o'clock 9", "bolt 1: 8",
// "1) 8 2) 9", "8 at 12, 9 at 3". The number of the place is an index and never
// a value.

var placeWords = wordSet("bolt position pos spot point place station tooth location reading check posn quadrant loc")

// markPositions finds the numbers that name places and sets their pos.
func markPositions(items []item) {
	markCompass(items)
	markClock(items)
	markNamed(items)
	markEnumerated(items)
	markAt(items)
	markCounted(items)
}

// bareInt says whether items[i] is a plain whole number not yet taken.
func bareInt(items []item, i int) (int, bool) {
	if i < 0 || i >= len(items) {
		return 0, false
	}
	it := items[i]
	if it.kind != figureItem || it.num.point || it.num.sign != 0 || it.skip != keep || it.pos != "" || it.num.padded {
		return 0, false
	}
	return int(it.num.val), true
}

// freeFigure says whether items[i] is a number not yet taken.
func freeFigure(items []item, i int) bool {
	return i >= 0 && i < len(items) && items[i].kind == figureItem && items[i].skip == keep && items[i].pos == ""
}

func isSign(items []item, i int, signs string) bool {
	if i < 0 || i >= len(items) || items[i].kind != signItem || len(items[i].text) != 1 {
		return false
	}
	for k := range len(signs) {
		if signs[k] == items[i].text[0] {
			return true
		}
	}
	return false
}

func isWord(items []item, i int, words ...string) bool {
	if i < 0 || i >= len(items) {
		return false
	}
	for _, w := range words {
		if items[i].text == w {
			return true
		}
	}
	return false
}

// compass are words for places on the ring where they stand before numbers.
var compass = wordSet("n e s w north east south west top bottom a b c d")

// markCompass: "north 8, east 9, south 8, west 8".
func markCompass(items []item) {
	var at []int
	for i := range items {
		if items[i].kind != phraseItem || !compass[items[i].text] {
			continue
		}
		k := i + 1
		for k < len(items) && k < i+3 && (isSign(items, k, ":=") || isWord(items, k, "is", "was", "reads")) {
			k++
		}
		if freeFigure(items, k) || k < len(items) && items[k].kind == figureItem && items[k].skip == skipLabel {
			at = append(at, i)
		}
	}
	if len(at) < 3 {
		return
	}
	for k, i := range at {
		if len(items[at[0]].text) == 1 && items[at[0]].text == "a" && items[i].text != string(rune('a'+k)) {
			return // an article and no place
		}
	}
	for _, i := range at {
		items[i].kind, items[i].pos = figureItem, items[i].text
		for k := i + 1; k < len(items) && k < i+4; k++ {
			if items[k].kind == figureItem {
				items[k].skip = keep
				break
			}
		}
	}
}

// markClock: "12 o'clock". A clock time stays a time unless a value stands by it.
func markClock(items []item) {
	for i := range items {
		// 12:00 .008 / 3:00 .009
		if items[i].skip == skipTime && i+3 < len(items) && isSign(items, i+1, ":") && items[i+2].text == "00" && (freeFigure(items, i+3) || i+4 < len(items) && isSign(items, i+3, "=:-") && freeFigure(items, i+4)) && items[i].num.val <= 12 {
			items[i].skip, items[i].pos = keep, strconv.Itoa(int(items[i].num.val))
			continue
		}
		v, ok := bareInt(items, i)
		if !ok || v < 1 || v > 12 || !isWord(items, i+1, "oclock", "oc", "o'c") {
			continue
		}
		next := i + 2
		for next < len(items) && next < i+6 && (isSign(items, next, ":=,-") || isWord(items, next, "is", "was", "reads", "read", "its", "at", "i", "got", "shows", "it", "position", "and", "'s", "a", "about", "spot", "we", "get")) {
			next++
		}
		before := i - 1
		for before >= 0 && before > i-4 && (isWord(items, before, "at", "on", "the", "@") || items[before].kind == unitItem || isSign(items, before, "@(")) {
			before--
		}
		_, clock := bareInt(items, next)
		clock = clock && isWord(items, next+1, "oclock")
		if freeFigure(items, next) && !clock || before >= 0 && before < i-1 && freeFigure(items, before) {
			items[i].pos = strconv.Itoa(v)
		} else if lashNear(items, i) {
			items[i].pos = strconv.Itoa(v)
		} else {
			items[i].skip = skipTime
		}
	}
}

func lashNear(items []item, i int) bool {
	for k := i + 2; k < len(items) && k < i+5; k++ {
		if items[k].tags.hasAny(qBacklash, qRunout) || isWord(items, k, "tight", "loose", "tightest", "loosest", "position", "bolt") {
			return true
		}
	}
	return false
}

// spotKinds say which spot it is, so that a number behind it is a reading.
var spotKinds = wordSet("left right tight loose tightest loosest high low top bottom first second third fourth next last other same each every worst best")

// markNamed: "bolt 3: 8", "position 2 is 9", "8 at bolt 4", "#2 9".
func markNamed(items []item) {
	for i := 1; i < len(items); i++ {
		v, ok := bareInt(items, i)
		if !ok || v > 80 {
			continue
		}
		k := i - 1
		if isSign(items, k, "#") || isWord(items, k, "number", "no", "num") {
			k--
		}
		if k < 0 || !placeWords[items[k].text] {
			continue
		}
		if items[k].text == "spot" && k > 0 && spotKinds[items[k-1].text] {
			continue // "8 in the left spot 9 in the right"
		}
		label := items[k].text + " " + strconv.Itoa(v)
		if items[k].text == "tooth" && lineCountsTeeth(items, k) {
			continue
		}
		next := i + 1
		for next < len(items) && next < i+5 && (isSign(items, next, ":=,-)@") || isWord(items, next, "is", "was", "reads", "read", "its", "at", "got", "shows", "a", "about", "i", "get", "it", "'s")) {
			next++
		}
		before := k - 1
		for before >= 0 && before > k-4 && (isWord(items, before, "at", "on", "the", "@", "by") || items[before].kind == unitItem || isSign(items, before, "@(")) {
			before--
		}
		switch {
		case items[k].text == "reading" || items[k].text == "check" || items[k].text == "point":
			if next > i+1 && freeFigure(items, next) && isSign(items, i+1, ":=-") {
				items[i].pos = strconv.Itoa(v)
			}
		case freeFigure(items, next) || before >= 0 && before < k-1 && freeFigure(items, before):
			items[i].pos = label
		default:
			items[i].pos = label
		}
	}
}

func lineCountsTeeth(items []item, i int) bool { return isWord(items, i+2, "pinion", "ring") }

// markEnumerated: "1) 8 2) 9 3) 8", "1: 8, 2: 9", "12: 8 3: 9 6: 8 9: 9",
// "0 deg 8, 90 deg 9", one pair a line with a dash.
func markEnumerated(items []item) {
	type pair struct{ i, v int }
	for _, sep := range []string{":", "=", ")", "-", "°", "."} {
		var pairs []pair
		for i := range items {
			v, ok := bareInt(items, i)
			if !ok {
				continue
			}
			k := i + 1
			switch sep {
			case "°":
				if k >= len(items) || items[k].unit != uDeg {
					continue
				}
				k++
				if isSign(items, k, ":=,-") {
					k++
				}
			case "-", ".":
				// a dash or a stop pairs only with one pair a line
				if !isSign(items, k, sep) || i > 0 && items[i-1].kind != lineItem {
					continue
				}
				k++
			default:
				if !isSign(items, k, sep) {
					continue
				}
				k++
			}
			if !freeFigure(items, k) || k+1 < len(items) && isSign(items, k+1, sep) && sep != "°" {
				continue
			}
			pairs = append(pairs, pair{i, v})
		}
		if len(pairs) < 2 {
			continue
		}
		values := make([]int, len(pairs))
		for k, p := range pairs {
			values[k] = p.v
		}
		if !places(values, sep == "°") {
			continue
		}
		for _, p := range pairs {
			items[p.i].pos = strconv.Itoa(p.v)
			if sep == "°" {
				items[p.i].pos += "°"
			}
		}
	}
}

// markCounted: "1 0.20 2 0.21 3 0.20": numbers that count beside numbers that
// read.
func markCounted(items []item) {
	for i := range items {
		if v, ok := bareInt(items, i); !ok || v != 1 {
			continue
		}
		var index []int
		k, decimals := i, true
		for n := 1; ; n++ {
			v, ok := bareInt(items, k)
			if !ok || v != n || !freeFigure(items, k+1) || items[k+1].num.sign != 0 {
				break
			}
			decimals = decimals && items[k+1].num.point
			index = append(index, k)
			k += 2
			for k < len(items) && (items[k].kind == unitItem || isSign(items, k, ",;|") || items[k].kind == lineItem) {
				k++
			}
		}
		if len(index) >= 2 && decimals || len(index) >= 4 {
			for _, x := range index {
				items[x].pos = items[x].text
			}
			return
		}
	}
}

// places says whether numbers count places on the ring: 1 2 3 4, the hours of a
// clock face, or angles.
func places(v []int, angles bool) bool {
	if len(v) < 2 {
		return false
	}
	if angles {
		for _, x := range v {
			if x%15 != 0 || x > 360 {
				return false
			}
		}
		return true
	}
	counted, clock, turn := true, true, true
	seen := make(map[int]bool)
	for i, x := range v {
		counted = counted && x == i+1
		clock = clock && (x == 12 || x == 3 || x == 6 || x == 9) && !seen[x]
		turn = turn && x%45 == 0 && x <= 360 && !seen[x]
		seen[x] = true
	}
	return counted || clock || turn
}

// markAt: "8 at 12, 9 at 3, 8 at 6", "at 12 8, at 3 9".
func markAt(items []item) {
	var after, before []int
	for i := range items {
		if !isWord(items, i, "at", "@") && !(isSign(items, i, "(") && isSign(items, i+2, ")")) {
			continue
		}
		v, ok := bareInt(items, i+1)
		if !ok || v > 360 {
			continue
		}
		prev := i - 1
		if prev >= 0 && items[prev].kind == unitItem {
			prev--
		}
		if freeFigure(items, prev) {
			after = append(after, i+1)
		} else if freeFigure(items, i+2) || isSign(items, i+2, ":=-") && freeFigure(items, i+3) || isWord(items, i+2, "is", "its") && freeFigure(items, i+3) {
			before = append(before, i+1)
		}
	}
	for _, list := range [][]int{after, before} {
		values := make([]int, len(list))
		for k, i := range list {
			values[k] = int(items[i].num.val)
		}
		if !places(values, false) {
			continue
		}
		for _, i := range list {
			items[i].pos = strconv.Itoa(int(items[i].num.val))
		}
	}
}
