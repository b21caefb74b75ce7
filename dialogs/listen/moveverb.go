package listen

import (
	"strings"
)

// vagueShim: a shim was moved and its thickness not said.
var vagueShim = compileTrigger(`added a shim | added another shim | added shim | added some shim | added one shim | took a shim | took one shim | took another shim | removed a shim | pulled a shim | took out a shim | took shim | pulled shim | removed shim | removed some shim | moved a shim | moved one shim | moved the shim | swapped a shim | swapped one shim | put a shim | swapped the shims | swapped shims | moved some shim ! back in | photo`)

// oneToOther: a move between the sides that does not say which.
var oneToOther = compileTrigger(`one side ~ the other | one side ~ other side | from side to side | side to side | across to the other | over to the other side | one side to another | swapped sides | to the other side ! left | right | lh | rh | play | ring side`)

// placeDoubt: the move was made, and where is not remembered.
var placeDoubt = compileTrigger(`or was it | or was that | cant remember which | dont remember which | dont remember if | cant remember if | not sure which side | not sure which stack | forgot which | no idea which`)

// verbAt gives what the word at i does to a stack: +1 onto, −1 off, 2 from one to
// another; tense is 'p' past, 'b' base, 'i' going on.
func verbAt(items []item, i int) (op int, tense byte, adjuster bool) {
	it := items[i]
	if it.kind != phraseItem {
		return 0, 0, false
	}
	first, _, _ := strings.Cut(it.text, " ")
	tense = 'p'
	switch {
	case baseVerbs[first]:
		tense = 'b'
	case bothForms[first]:
		tense = 'a'
	case goingVerb[first]:
		tense = 'i'
		if isWord(items, i-1, "by") {
			tense = 'p' // "opened it by moving 5"
		}
	}
	switch {
	case it.text == "backed" || it.text == "back":
		for k := i + 1; k < len(items) && k < i+6; k++ {
			if isWord(items, k, "off", "out") {
				return -1, tense, true
			}
		}
		return 0, 0, false
	case it.text == "opened" || it.text == "closed":
		// an adjuster, by notches
		for k := i + 1; k < len(items) && k < i+6; k++ {
			if g := items[k].group; g != nil && g.unit == uNotch {
				if it.text == "closed" {
					return 1, 'p', true
				}
				return -1, 'p', true
			}
		}
		return 0, 0, false
	case it.text == "shimmed":
		// "shimmed the left up 6 and the right down 6" is told by up and down
		for k := i + 1; k < len(items) && k < i+4; k++ {
			if isWord(items, k, "up", "down") {
				return 0, 0, false
			}
		}
		return 1, 'p', false
	case isWord(items, i, "gone", "went") && i+2 < len(items) && items[i+1].group != nil && isWord(items, i+2, "up", "down", "thicker", "thinner"):
		if isWord(items, i+2, "up", "thicker") {
			return 1, 'p', false
		}
		return -1, 'p', false
	case isWord(items, i, "went", "came", "slid", "goes") && carrierMoves(items) && (towardPinion(items) || awayFromPinion(items)):
		return 2, 'p', false
	case isWord(items, i, "took", "take", "ran", "run", "brought", "bring", "wound", "wind", "turned", "turn", "went", "go", "screwed", "moved", "move", "spun", "cranked", "crank", "walked", "let"):
		// "took the left in 3": an adjuster
		if dir := adjusterWay(items, i+1); dir != 0 {
			return dir, tense, true
		}
		if !it.tags.hasAny(vMove, vRemove, vTighten) || it.text == "ran" || it.text == "run" {
			return 0, 0, false
		}
		if it.tags.has(vMove) {
			return 2, tense, false
		}
		return -1, tense, false
	case it.tags.has(vMove) && it.text != "brought":
		return 2, tense, false
	case it.tags.has(vTighten) && it.text != "in" && it.text != "clockwise":
		return 1, tense, true
	case it.tags.has(vLoosen) && it.text != "out" && it.text != "counterclockwise":
		return -1, tense, true
	case it.tags.has(vRemove) && it.text != "minus" && (it.text != "lost" || figureWithin(items, i+1, 1)) && it.text != "dropped" && it.text != "cut":
		return -1, tense, false
	case isWord(items, i, "dropped", "cut") && byAmount(items, i+1):
		return -1, tense, false
	case it.text == "dropped" && intoPlace(items, i+1):
		return 1, tense, false // "dropped a 5 thou leaf in behind the head"
	case it.text == "dropped" && (figureWithin(items, i+1, 2)) && !isWord(items, i+1, "to"):
		return -1, tense, false
	case it.text == "add" && isWord(items, i+1, "up", "up to"):
		return 0, 0, false
	case it.tags.has(vAdd) && it.text != "plus" && it.text != "gave":
		return 1, tense, false
	case it.tags.has(vSwap):
		return 3, tense, false
	case it.text == "gave" && i+1 < len(items) && items[i+1].group != nil && placeBetween(items, i+1, len(items)) == none:
		return 0, 0, false // "bolt 4 gave 8"
	case it.text == "gave":
		return 1, tense, false
	}
	return 0, 0, false
}

// intoPlace: "a 5 thou leaf in behind the head".
func intoPlace(items []item, i int) bool {
	figure := false
	for k := i; k+1 < len(items) && k < i+6; k++ {
		figure = figure || items[k].group != nil
		if items[k].text == "in" && figure {
			return placeOf(items[k+1]) == pPinion || isWord(items, k+1, "behind", "under", "on")
		}
	}
	return false
}

// byAmount: "dropped the pinion shim by 3".
func byAmount(items []item, i int) bool {
	for k := i; k < len(items) && k < i+6; k++ {
		if items[k].text == "by" {
			return figureWithin(items, k+1, 2)
		}
	}
	return false
}

// adjusterWay reads "the left in 3", "the right one out 2 notches": which way an
// adjuster was turned, 0 where it is none.
func adjusterWay(items []item, i int) int {
	place := false
	for k := i; k < len(items) && k < i+5; k++ {
		switch {
		case placeOf(items[k]) == pLeft || placeOf(items[k]) == pRight || placeOf(items[k]) == pBoth:
			place = true
		case place && isWord(items, k, "in", "out", "up", "down"):
			if figureWithin(items, k+1, 2) && !isWord(items, k+1, "of", "the") {
				if isWord(items, k, "in", "up") {
					return 1
				}
				return -1
			}
			return 0
		case items[k].tags.has(qAdjuster), isWord(items, k, "the", "one", "side", "adjuster"):
		default:
			return 0
		}
	}
	return 0
}

const notDone = moodIf | moodPlan | moodOther | moodQuestion | moodTarget | moodSpec | moodShould

func planned(c *clause, at int) bool {
	for k := max(0, at-4); k < at; k++ {
		if isWord(c.items, k, "will", "going to", "might", "could", "would", "should", "was going", "thought", "plan", "want to", "need to", "have to", "if", "let", "lets") {
			return true
		}
		if isWord(c.items, k, "to") && isWord(c.items, k-1, "going", "want", "need", "have", "trying", "about") {
			return true
		}
	}
	return false
}

func wordsBefore(c *clause, item int) []string {
	for k, of := range c.wordItem {
		if of >= item {
			return c.words[:k]
		}
	}
	return c.words
}

func youSubject(items []item, at int) bool {
	for k := at - 1; k >= 0 && k >= at-3; k-- {
		switch items[k].text {
		case "you", "u", "ya", "yall":
			return true
		}
		if !items[k].tags.has(light) && items[k].text != "should" && items[k].text != "already" {
			return false
		}
	}
	return false
}

// quantityLead: what went up or down is a reading.
func quantityLead(items []item, verb int) bool {
	for i := 0; i < verb; i++ {
		if items[i].tags.hasAny(qBacklash, qDrag, qTotalDrag, qRunout, qTemp, qSpread) && !items[i].tags.has(light) {
			return isWord(items, verb, "went up", "went down", "gone up", "gone down", "going up", "increased", "reduced", "decreased", "raised", "lowered", "dropped", "moved", "changed", "went from", "bumped up")
		}
	}
	return false
}

// forPreload: the drag or preload is what the move is for.
func forPreload(items []item) bool {
	for i, it := range items {
		if it.tags.has(qDrag) && (isWord(items, i-1, "for", "more", "less", "up", "the", "extra", "bring") || i == 0) && !soonFigure(items, i+1) {
			return true
		}
	}
	return false
}
