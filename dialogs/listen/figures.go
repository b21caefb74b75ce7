package listen

import "strings"

// skip is why a number is no measurement.
type skip uint8

const (
	keep skip = iota
	skipTime
	skipDate
	skipPrice
	skipLabel // bay, job, part number, page, model
	skipPhone
	skipTyre
	skipOil
	skipFastener
	skipTool
	skipCount // so many shims, bolts, people
	skipRatio // gear ratio
	skipOrdinal
	skipOther
)

var (
	labelWords = wordSet(`bay lift stall hoist rack door room unit job ticket ro wo order invoice inv part parts pn p/n sku page pg fig
		step chapter route hwy highway exit line grade class level version rev model year yr truck van rig car axle vin plate rego
		order po box bin drawer shelf row aisle slot locker apt suite ext extension channel ch table col item option section
		stage phase gen mk type size d m mod code pin password serial sn id ref docket card bulletin tsb day week appt lot
		attempt gl api sae iso din post thread msg message photo pic picture img image video`)
	countNouns = wordSet(`shims shim bolts bolt leaves sleeves sleeve nuts nut bearings bearing guys guy men people beers beer readings
		spots places points positions times time tries days weeks jobs trucks truck cars car photos photos pics pic donuts washers
		washer seals seal caps sheets pieces pcs pc piece pieces ones packs pack boxes box cans can bottles bottle tubes rags hands
		hand fingers teeth passes pass laps loops loop drives legs leg cycles cycle heats runs run more other others different of
		new old extra spare sets set pairs pair kids coffees tacos burgers pizzas bucks dogs customers appointments messages texts
		techs tech apprentices setups setup swings whacks hits taps tap goes go attempts clicks steps checks check measurements
		numbers things thing bits stages wheel wheels doors door axles axle diffs diff patterns pattern
		corners sides lines marks studs stud inspections stars percenters jacks jack stands stand mates blokes
		guards gaskets gasket magnets magnet`)
	toolWords = wordSet(`wrench socket spanner bit drill ratchet impact bar breaker extension allen hex torx key tap die punch gun square air press ton jack rattle feeler
		wrenches sockets spanners`)
	monthWords = wordSet(`jan feb mar apr jun jul aug sep sept oct nov dec january february march april june july august
		september october november december monday tuesday wednesday thursday friday saturday sunday mon tue tues wed thu thurs
		fri sat sun`)
	axleNouns   = wordSet("rear rearend diff differential axle housing bolt bolts front third member center locker carrier gears ring lift tires wheels tall rims trailer deck")
	ratioWords  = wordSet("gears gear ratio ratios geared gearing gearset final")
	priceWords  = wordSet("cost costs costing paid pay price priced prices quote quoted bill billed charge charged worth owe owes labor labour invoice deposit msrp")
	driveLabels = wordSet("leg loop lap cycle circuit trip")
	clockWords  = wordSet("am pm oclock a.m p.m tonight tomorrow noon midnight sharp")
)

// markFigures merges decimal commas, finds places on the ring and marks the
// numbers that are no measurements.
func markFigures(items []item, metric bool, inch bool) []item {
	items = decimalCommas(items, metric, inch)
	items = mixedNumbers(items)
	markPhone(items)
	for i := range items {
		if items[i].kind == figureItem && items[i].skip == keep {
			items[i].skip = why(items, i)
		}
	}
	markChains(items)
	markPositions(items)
	return items
}

// decimalCommas joins "0,23".
func decimalCommas(items []item, metric, inch bool) []item {
	glued := func(k int) bool { return k < len(items) && items[k].glued }
	out := make([]item, 0, len(items))
	for i := 0; i < len(items); i++ {
		it := items[i]
		if it.kind == figureItem && !it.num.point && !it.num.spelt && isSign(items, i+1, ",") && glued(i+1) && glued(i+2) && i+2 < len(items) &&
			items[i+2].kind == figureItem && !items[i+2].num.point && items[i+2].num.sign == 0 && !items[i+2].num.spelt {
			frac := items[i+2].num
			whole := strings.TrimLeft(it.text, "+-")
			chain := isSign(items, i+3, ",") && glued(i+3) && glued(i+4) && i+4 < len(items) && items[i+4].kind == figureItem ||
				i >= 2 && isSign(items, i-1, ",") && it.glued && len(out) > 0 && items[i-2].kind == figureItem && items[i-1].glued && whole != "0"
			unitAfter := noUnit
			if i+3 < len(items) && items[i+3].kind == unitItem {
				unitAfter = items[i+3].unit
			}
			fracDigits := len(items[i+2].text)
			join, thousands := false, false
			switch {
			case whole == "0" && fracDigits <= 4:
				join = true
			case chain:
			case fracDigits == 3 && !metric && len(whole) <= 3:
				join, thousands = true, unitAfter != uMM
			case metric && len(whole) >= 2 && fracDigits == 2 && largeBefore(items, i):
				join = true
			case metric && len(whole) == 1 && fracDigits <= 3,
				metric && fracDigits == 1,
				unitAfter == uMM || unitAfter == uNm || unitAfter == uKgfCm,
				!metric && !inch && len(whole) == 1 && fracDigits == 2:
				join = true
			}
			if join {
				text := whole + "," + items[i+2].text
				n := parseNumber(text, len(whole))
				if thousands {
					n = parseNumber(whole+items[i+2].text, 0)
				}
				if it.num.sign == '-' {
					n.val = -n.val
				}
				n.sign = it.num.sign
				_ = frac
				it.num, it.text, it.b = n, text, items[i+2].b
				out = append(out, it)
				i += 2
				continue
			}
		}
		out = append(out, it)
	}
	return out
}

// largeBefore: a depth, a height or a shim stack is named, whose figures have two
// digits before the comma.
func largeBefore(items []item, i int) bool {
	for k := max(0, i-6); k < i; k++ {
		if items[k].tags.hasAny(qDepth, qChecking, qHeight, pHead, pTail, pBearing) && !items[k].tags.has(qShim) {
			return true
		}
	}
	return false
}

// mixedNumbers joins "8 1/2" and reads fractions: "1/4 turn", "3/4 of a notch".
// "7/8" stays two numbers: it is how a lash from 7 to 8 is written.
func mixedNumbers(items []item) []item {
	out := make([]item, 0, len(items))
	for i := 0; i < len(items); i++ {
		it := items[i]
		top, ok1 := bareInt(items, i)
		if !ok1 || !isSign(items, i+1, "/") || !items[i+1].glued {
			out = append(out, it)
			continue
		}
		den, ok2 := bareInt(items, i+2)
		chain := isSign(items, i+3, "/") && items[i+3].glued || i > 0 && isSign(items, i-1, "/") && it.glued
		if !ok2 || chain || top < 1 || top >= den || !items[i+2].glued {
			out = append(out, it)
			continue
		}
		mixed := false
		if len(out) > 0 {
			last := out[len(out)-1]
			mixed = last.kind == figureItem && !last.num.point && last.num.sign == 0 && !it.glued && last.pos == ""
			if !mixed && len(out) > 1 && (isWord(out, len(out)-1, "and") || isSign(out, len(out)-1, "-") && it.glued) {
				last = out[len(out)-2]
				if last.kind == figureItem && !last.num.point && last.num.sign == 0 && den <= 8 {
					mixed = true
					out = out[:len(out)-1]
				}
			}
		}
		easy := den == 2 || den == 3 || den == 4 || den == 8
		switch {
		case mixed && easy:
			k := len(out) - 1
			out[k].num.val += float64(top) / float64(den)
			out[k].num.point, out[k].num.frac = true, 3
			out[k].text += " " + it.text + "/" + items[i+2].text
			out[k].b = items[i+2].b
			i += 2
			continue
		case i+3 < len(items) && (items[i+3].unit.dim() == dimTurn || items[i+3].unit == uInch && !toolWords[textAt(items, i+4)] && !isWord(items, i+4, "drive", "shank") || items[i+3].unit == uThou && easy && den < 8 && top == 1) ||
			isWord(items, i+3, "of") && isWord(items, i+4, "a") && easy:
			it.num.val = float64(top) / float64(den)
			it.num.point, it.num.frac, it.num.spelt = true, 3, true
			it.text = it.text + "/" + items[i+2].text
			it.b = items[i+2].b
			out = append(out, it)
			i += 2
			if isWord(items, i+1, "of") { // "1/4 of a turn"
				u := unitTable[textAt(items, i+3)]
				i += 2
				if u.dim() == dimTurn || u == uThou {
					out = append(out, item{kind: unitItem, unit: u, text: items[i+1].text, a: items[i+1].a, b: items[i+1].b})
					i++
				}
			}
			continue
		case easy && den != 8 || den == 16 || den == 32:
			if toolWords[textAt(items, i+3)] || den >= 16 || isWord(items, i+3, "drive", "inch", "in", "\"") {
				it.skip = skipTool
				it.b = items[i+2].b
				it.text += "/" + items[i+2].text
				out = append(out, it)
				i += 2
				continue
			}
		}
		if toolWords[textAt(items, i+3)] || isSign(items, i+3, "-") && glued2(items, i+3) {
			it.skip = skipTool
			it.b = items[i+2].b
			it.text += "/" + items[i+2].text
			out = append(out, it)
			i += 2
			continue
		}
		out = append(out, it)
	}
	return out
}

func glued2(items []item, i int) bool {
	return i+1 < len(items) && items[i].glued && items[i+1].glued
}

func textAt(items []item, i int) string {
	if i < 0 || i >= len(items) {
		return ""
	}
	return items[i].text
}

// why says why the number at items[i] is no measurement, or keep.
func why(items []item, i int) skip {
	it := items[i]
	prev, next := textAt(items, i-1), textAt(items, i+1)
	prevGlued := it.glued && i > 0
	nextGlued := i+1 < len(items) && items[i+1].glued
	nextIs := func(kind itemKind) bool { return i+1 < len(items) && items[i+1].kind == kind }
	unit := noUnit
	if nextIs(unitItem) {
		unit = items[i+1].unit
	}
	v := it.num.val
	whole := !it.num.point && it.num.sign == 0

	switch {
	case prev == "$" || prev == "£" || prev == "€" || next == "$" || next == "€" || next == "£":
		return skipPrice
	case priceWords[prev] || priceWords[textAt(items, i-2)] && !nextIs(unitItem):
		return skipPrice
	case unit == uOther:
		return skipOther
	case prev == "every" || prev == "each" && whole && unit != noUnit:
		return skipOther
	// 10:30, 3pm, at 3 am
	case whole && next == ":" && nextGlued && i+2 < len(items) && items[i+2].kind == figureItem && items[i+2].glued && len(items[i+2].text) == 2 && v <= 24 && items[i+2].num.val < 60:
		return skipTime
	case whole && prev == ":" && prevGlued && i >= 2 && items[i-2].kind == figureItem && items[i-2].skip == skipTime:
		return skipTime
	case clockWords[next] && next != "oclock" && whole && v <= 12 && (next == "am" || next == "pm" || next == "sharp" || next == "tonight" || next == "tomorrow"):
		return skipTime
	case (next == "a" || next == "p") && isWord(items, i+2, "m"):
		return skipTime
	case whole && v <= 12 && (prev == "by" && (!stackBefore(items, i) || isWord(items, i-2, "done", "finished", "ready", "out", "home", "there", "here", "it")) || prev == "til" || prev == "till" || prev == "until" || prev == "before") && unit == noUnit:
		return skipTime
	case whole && v <= 12 && prev == "at" && (monthWords[next] || isWord(items, i-2, "back", "lunch", "meeting", "here", "there", "pickup", "leave", "leaving", "call", "home", "smoko", "tomorrow", "tonight", "done", "start", "starting", "closing", "open", "opens", "closes", "close", "appointment", "in")):
		return skipTime
	case monthWords[prev] && unit == noUnit || monthWords[next] && whole && v <= 31 && next != "mar" && next != "sun" && next != "sat":
		return skipDate
	case nextGlued && (next == "st" || next == "nd" || next == "rd" || next == "th") && whole:
		return skipOrdinal
	// oil 75W-90, 80w90
	case next == "w" && nextGlued, prev == "w" && prevGlued && i >= 2 && items[i-2].kind == figureItem:
		return skipOil
	case prev == "-" && prevGlued && isWord(items, i-2, "w") && i >= 3 && items[i-3].kind == figureItem:
		return skipOil
	// d60, m10, x5
	case prevGlued && isPlainWord(items, i-1) && items[i-1].tags.empty() && prev != "x" && prev != "@" && prev != "r" && prev != "l" && prev != "b" && len(prev) > 0 && !labelledQuantity(prev):
		return skipLabel
	// 4wd, 3d: letters glued that are no unit
	case nextGlued && nextIs(phraseItem) && items[i+1].tags.empty() && next != "x" && next != "ish" && next != "@" && next != "oclock" && next != "and" && next != "s" && next != "r" && next != "l" && next != "on" && next != "no" && next != "bl":
		return skipLabel
	case nextGlued && next == "s" && it.num.point && it.num.frac == 2 && v >= 2 && v < 8:
		return skipRatio
	case nextGlued && next == "s" && whole && (v >= 20 && v < 60):
		if axleNouns[textAt(items, i+2)] || isWord(items, i-1, "on", "to", "with") {
			return skipTyre
		}
	case labelWords[prev] && whole && unit == noUnit && !items[i-1].tags.hasAny(qBacklash, qDrag) || labelWords[textAt(items, i-2)] && (prev == "#" || prev == "number" || prev == "no" || prev == "num") && whole:
		return skipLabel
	// 2 of 4 caps
	case whole && unit == noUnit && (next == "of" && countBehind(items, i+2, v) || prev == "of" && i >= 2 && items[i-2].skip == skipCount):
		return skipCount
	// leg 2, loop 1: a count of the drives
	case whole && unit == noUnit && v >= 1 && v <= 9 && driveLabels[prev] && !isWord(items, i-2, "first", "second", "third", "last", "this", "that"):
		return skipLabel
	case whole && unit == noUnit && it.num.whole >= 6 && !(i > 0 && matchNear(items, i)):
		return skipLabel
	case whole && unit == noUnit && v >= 1950 && v <= 2035 && it.num.whole == 4 && !(i > 0 && items[i-1].tags.hasAny(qMatch, qShim)):
		return skipDate
	case it.num.point && it.num.frac == 2 && v >= 2.4 && v < 8 && it.num.whole == 1 && (ratioWords[next] || ratioWords[prev] || next == ":" || next == "to" && isWord(items, i+2, "one", "1") || isWord(items, i-2, "ratio", "gears")):
		return skipRatio
	case whole && v == 1 && (prev == ":" || prev == "to") && i >= 2 && items[i-2].skip == skipRatio:
		return skipRatio
	case unit != noUnit && toolWords[textAt(items, i+2)], unit == noUnit && toolWords[next] && next != "bar":
		return skipTool
	case unit == uInch && whole && axleNouns[textAt(items, i+2)]:
		return skipLabel
	case whole && unit == noUnit && (next == "bolt" || next == "spline" || next == "speed" || next == "cylinder" || next == "point" && nextGlued):
		return skipLabel
	case whole && unit == noUnit && prev == "m" && prevGlued:
		return skipFastener
	case whole && unit == noUnit && v >= 2 && v <= 16 && (next == "point" || next == "spot" || next == "place" || next == "position") && i+2 < len(items) && quantityOf(items[i+2]) != none:
		return skipCount // "8 point lash"
	case whole && unit == noUnit && next == "set" && prev == "-" && prevGlued:
	case whole && unit == noUnit && countNouns[next] && !nextIsQuantityValue(items, i) && !leafValue(items, i) && !stateBehind(items, i):
		return skipCount
	case whole && unit == noUnit && isPlainWord(items, i+1) && items[i+1].tags.empty() && strings.HasSuffix(next, "s") && len(next) > 4 && !strings.HasSuffix(next, "ss") && !nextGlued && notAfterNumber(next) && !(isSign(items, i-1, "/:") && it.glued):
		return skipCount
	case whole && v == 24 && next == "/" && isWord(items, i+2, "7"), whole && v == 7 && prev == "/" && isWord(items, i-2, "24"),
		whole && v == 50 && (next == "/" && isWord(items, i+2, "50") || prev == "/" && isWord(items, i-2, "50")):
		return skipOther
	}
	return keep
}

// stackBefore: "dropped the pinion shim by 3": a change and no hour.
func stackBefore(items []item, i int) bool {
	for k := max(0, i-6); k < i; k++ {
		if items[k].tags.hasAny(qShim, pPinion, pLeft, pRight, qBacklash, qSpread, qDrag, pPack) && !items[k].tags.has(light) {
			return true
		}
	}
	return false
}

// matchNear: a match number is spoken of, so a long number is not a part number.
func matchNear(items []item, i int) bool {
	for k := max(0, i-6); k < i; k++ {
		if items[k].tags.has(qMatch) {
			return true
		}
	}
	return false
}

// notAfterNumber says that a plural is not one of the words that follow a value
// without counting it ("9 thanks", "9 always").
func notAfterNumber(w string) bool {
	switch w {
	case "thanks", "always", "cheers", "looks", "seems", "reads", "shows", "feels", "means", "unless", "besides", "sometimes", "perhaps", "yes", "fellas", "folks", "needs", "makes", "wants", "guess", "boss", "across", "gets", "stays", "turns", "varies":
		return false
	}
	return true
}

// nextIsQuantityValue says that the word after the number is a quantity that the
// number measures and not a thing it counts: "9 lash", "41 teeth", "new" in "9 new".
func nextIsQuantityValue(items []item, i int) bool {
	next := items[i+1]
	if next.tags.hasAny(qTeeth) {
		return true
	}
	switch next.text {
	case "more", "new", "old", "of", "go", "run", "drives", "drive", "check", "set", "pattern", "others", "other", "shim", "pack", "teeth", "setup", "sides", "time":
		// "9 old 8 new", "9 of lash": values; "2 new nuts": a count
		k := i + 2
		if k < len(items) && items[k].tags.hasAny(pRingBolts, pCaps, pBearing, pSeal, pNut, pSleeve, pCover) {
			return false
		}
		return !(k < len(items) && countNouns[items[k].text]) && next.text != "time"
	}
	return false
}

// fourthOfRow: "lash 8 8 9 8 spots marked": three readings and a fourth of their
// size, which counts nothing.
func fourthOfRow(items []item, i int) bool {
	if i < 3 || items[i-1].kind != figureItem || items[i-2].kind != figureItem || items[i-3].kind != figureItem || i > 3 && items[i-4].kind == figureItem {
		return false
	}
	a, b, c := items[i-3].num.val, items[i-2].num.val, items[i-1].num.val
	return items[i].num.val >= min(a, b, c)-1 && items[i].num.val <= max(a, b, c)+1
}

// countBehind: a whole number that v is a part of.
func countBehind(items []item, i int, v float64) bool {
	return i+1 < len(items) && items[i].kind == figureItem && !items[i].num.point && items[i].num.sign == 0 && v <= items[i].num.val && items[i+1].kind == phraseItem && !items[i+1].tags.has(qBacklash)
}

// stateBehind: "lash 8 8 9 8 caps torqued", "drag 18 new bearings": the number is
// the last of a row, or right behind its quantity, and what follows is a state and
// nothing it counts.
func stateBehind(items []item, i int) bool {
	fact := i+1 < len(items) && (items[i+1].tags.hasAny(pCaps, pSeal, pBearing, pRingBolts, pSleeve, pNut) ||
		i+2 < len(items) && isWord(items, i+1, "new", "old", "used", "fresh") && items[i+2].tags.hasAny(pBearing, pSeal))
	if i == 0 {
		return false
	}
	if !fact {
		return fourthOfRow(items, i)
	}
	if items[i-1].tags.hasAny(qDrag, qTotalDrag, qBreakaway) {
		return true
	}
	row := 0
	for k := i - 1; k >= 0; k-- {
		if items[k].kind == figureItem {
			row++
		} else if !isSign(items, k, ",/-") {
			break
		}
	}
	return row >= 2
}

// leafValue: "20, 10, 3 leaves" and "247 shims" give thicknesses and not counts.
func leafValue(items []item, i int) bool {
	if !items[i+1].tags.has(qShim) {
		return false
	}
	return items[i].num.val > 12 || i >= 2 && (isSign(items, i-1, ",+/") && items[i-2].kind == figureItem || isWord(items, i-1, "plus"))
}

func isPlainWord(items []item, i int) bool {
	return i >= 0 && i < len(items) && items[i].kind == phraseItem
}

// labelledQuantity are short glued prefixes that name a quantity or a place:
// "p1:", "b4".
func labelledQuantity(w string) bool { return w == "p" || w == "b" || w == "pos" || w == "bolt" }

// markPhone marks runs of digits that are telephone numbers.
func markPhone(items []item) {
	for i := 0; i < len(items); i++ {
		if items[i].kind != figureItem || items[i].num.point {
			continue
		}
		j, digits, widest, groups := i, 0, 0, 0
		for k := i; k < len(items); k++ {
			it := items[k]
			if it.kind == figureItem && !it.num.point && !it.num.spelt {
				n := len(strings.TrimLeft(it.text, "+-"))
				digits += n
				widest = max(widest, n)
				groups++
				j = k + 1
				continue
			}
			if (isSign(items, k, "-()") && k+1 < len(items)) && (items[k].glued || isSign(items, k, "(")) {
				continue
			}
			break
		}
		lead := strings.TrimLeft(items[i].text, "+")
		phone := digits >= 7 && groups >= 2 && groups <= 5 && widest >= 3 && widest <= 6 && (groups == 2 && len(lead) >= 3 && digits <= 11 && shortRun(items, i, j) || groups > 2 && (lead == "1" || len(lead) >= 3) && shortRun(items, i, j)) ||
			groups >= 2 && digits >= 9 && strings.HasPrefix(lead, "0") && len(lead) >= 2
		if phone && hasFour(items, i, j) {
			for k := i; k < j; k++ {
				if items[k].kind == figureItem {
					items[k].skip = skipPhone
				}
			}
		}
		if j > i {
			i = j - 1
		}
	}
}

// shortRun: a telephone number is written with hyphens, or is asked for.
func shortRun(items []item, i, j int) bool {
	for k := i; k < j; k++ {
		if isSign(items, k, "-") {
			return true
		}
	}
	for k := max(0, i-4); k < i; k++ {
		switch items[k].text {
		case "call", "phone", "ring", "text", "cell", "number", "mobile", "tel", "fax", "whatsapp", "him", "her", "reach", "dial":
			return true
		}
	}
	return false
}

func hasFour(items []item, i, j int) bool {
	for k := i; k < j; k++ {
		if items[k].kind == figureItem && len(items[k].text) >= 3 {
			return true
		}
	}
	return false
}

// markChains marks dates (3/14/25), tyre sizes (35x12.5R17, 265/70R17) and
// thread sizes (7/16-20).
func markChains(items []item) {
	num := func(k int) bool { return k >= 0 && k < len(items) && items[k].kind == figureItem }
	for i := range items {
		if !num(i) {
			continue
		}
		v := items[i].num.val
		// tyre: N x N r N, N/N r N
		if (isWord(items, i+1, "x") || isSign(items, i+1, "/")) && num(i+2) && isWord(items, i+3, "r", "zr", "-") && num(i+4) && v >= 20 && items[i+4].num.val >= 13 && items[i+4].num.val <= 24 {
			items[i].skip, items[i+2].skip, items[i+4].skip = skipTyre, skipTyre, skipTyre
		}
		if isWord(items, i+1, "r") && items[i+1].glued && num(i+2) && items[i+2].glued && items[i+2].num.val >= 13 && items[i+2].num.val <= 24 {
			items[i].skip, items[i+2].skip = skipTyre, skipTyre
			if isSign(items, i-1, "/") && num(i-2) {
				items[i-2].skip = skipTyre
			}
		}
		// part numbers: 41-11-3.73, 20-0.23-118
		if isSign(items, i+1, "-") && isSign(items, i+3, "-") && num(i+2) && num(i+4) && glued2(items, i+1) && glued2(items, i+3) && uneven(v, items[i+2].num.val, items[i+4].num.val) {
			items[i].skip, items[i+2].skip, items[i+4].skip = skipLabel, skipLabel, skipLabel
		}
		// date: N/N/N or N-N-N with a year at the end
		if (isSign(items, i+1, "/") && isSign(items, i+3, "/") || isSign(items, i+1, "-") && isSign(items, i+3, "-")) && num(i+2) && num(i+4) && glued2(items, i+1) && glued2(items, i+3) &&
			!(isSign(items, i+5, "/-") && num(i+6)) && !(isSign(items, i-1, "/-") && num(i-2)) && !items[i].num.point {
			y := items[i+4].num.val
			if v >= 1 && v <= 31 && items[i+2].num.val <= 31 && (y >= 2000 && y <= 2099 || y >= 22 && y <= 40 && !lashLike(v, items[i+2].num.val)) || v >= 2000 && v <= 2099 {
				items[i].skip, items[i+2].skip, items[i+4].skip = skipDate, skipDate, skipDate
			}
		}
	}
}

// uneven: numbers too far apart to be readings of one thing.
func uneven(a, b, c float64) bool {
	lo, hi := min(a, b, c), max(a, b, c)
	return lo >= 0 && hi > 3*lo && !places([]int{int(a), int(b), int(c)}, false) // 12-3-6-9 is a clock
}

// lashLike says that two numbers of a row with slashes look like readings near
// the third rather than day and month.
func lashLike(a, b float64) bool { return a >= 15 && b >= 15 }
