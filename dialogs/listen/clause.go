package listen

import "strings"

// mood is how a clause means its numbers. A clause without one asserts them.
type mood uint16

const (
	moodSpec     mood = 1 << iota // "spec is 6 to 10"
	moodTarget                    // "want 8"
	moodIf                        // "if I get 9"
	moodPlan                      // "going to pull 5"
	moodOther                     // another job, another day
	moodDoubt                     // "I think", "not sure"
	moodQuestion                  // "is 9 ok"
	moodOrder                     // "set it to 8"
	moodNot                       // "not 9"
	moodShould                    // "should have been"
)

// clause is a run of items that says one thing.
type clause struct {
	items    []item
	words    []string
	wordItem []int // the item of each word
	moods    mood
	hits     []moodHit
	sentence int
	mark     byte // what ends it: , . ? ! : or 0
	lead     bool // first of its sentence
}

func (c clause) is(m mood) bool { return c.moods&m != 0 }

// moodHit is a mood and the item at which it is said; -1 where it comes from
// before the clause.
type moodHit struct {
	mood mood
	item int
}

// at gives the moods that hold for the item at i: those said before it, and of
// those said shortly after it the ones that look back ("9 is the limit").
func (c clause) at(i int) mood {
	const back = moodSpec | moodIf | moodOther | moodDoubt
	var m mood
	for _, h := range c.hits {
		if h.mood == moodNot {
			// "7 not 9" denies the 9 alone
			if h.item < i && !figureWithin(c.items, h.item, i-h.item) {
				m |= moodNot
			}
			continue
		}
		if h.item <= i || h.item <= i+5 && h.mood&back != 0 {
			m |= h.mood
		}
	}
	return m | c.moods&(moodQuestion|moodOrder)
}

// text gives the words of the clause as read.
func (c clause) text() string {
	parts := make([]string, len(c.items))
	for i, it := range c.items {
		parts[i] = it.text
	}
	return strings.Join(parts, " ")
}

// clauseStarters begin a new clause wherever they stand.
var clauseStarters = wordSet(`but because cuz coz cause then so while although whereas except however also unless if suppose
	wait actually sorry pero whether thumbsup`)

// askStarters begin a question in the middle of a sentence; the value is what
// must follow for the ambiguous ones.
var askStarters = map[string]map[string]bool{
	"what": nil, "which": nil, "how": nil, "why": nil, "wats": nil, "que": wordSet("hago cambio"),
	"should": wordSet("i we it that this they"), "shall": wordSet("i we"), "do": wordSet("i we you they u it"), "does": wordSet("that it this the"),
	"is": wordSet("that it this there"), "am": wordSet("i"), "are": wordSet("we they these those you u"), "can": wordSet("i we you u it that someone"),
	"could": wordSet("i we you it that"), "would": wordSet("that it you i we"), "will": wordSet("that it this"), "did": wordSet("i we you u"),
	"where": wordSet("do does will would are should is to did"), "who": nil, "anyone": nil, "thoughts": nil, "any": wordSet("ideas idea thoughts advice"), "when": wordSet("do should can"),
}

// specStarters begin a clause of their own when a number follows them.
var specStarters = wordSet(`spec specs specification want wanting need target aiming shooting limit limits book manual should supposed tolerance goal
	wanted looking`)

// splitClauses cuts items into clauses and finds their moods.
func splitClauses(items []item, sender Sender) []clause {
	var out []clause
	var cur []item
	sentence, lead := 0, true
	hasFigure := false
	flush := func(mark byte) {
		if len(cur) > 0 {
			out = append(out, clause{items: cur, sentence: sentence, mark: mark, lead: lead})
			lead = false
		} else if len(out) > 0 && (mark == '?' || mark == '!') && out[len(out)-1].sentence == sentence {
			out[len(out)-1].mark = mark
		}
		cur, hasFigure = nil, false
	}
	end := func(mark byte) {
		flush(mark)
		sentence++
		lead = true
	}
	for i := 0; i < len(items); i++ {
		it := items[i]
		switch {
		case it.kind == lineItem:
			end('\n')
			continue
		case it.kind == signItem:
			switch it.text {
			case "?", "!", ".", ";":
				if it.text == "?" {
					// "??": nothing between
					end('?')
				} else {
					end(it.text[0])
				}
				continue
			case "…":
				flush(',')
				continue
			case ",", "(", ")", "|":
				flush(',')
				continue
			case "\"":
				continue
			case "-":
				if !it.glued || i+1 < len(items) && !items[i+1].glued {
					flush(',')
					continue
				}
			case ":":
				if len(cur) > 0 && (hasFigure || !leadsValue(cur)) {
					flush(':')
					continue
				}
			}
		case len(cur) > 0 && startsClause(items, i, cur, hasFigure):
			flush(0)
		}
		if it.kind == figureItem && it.group != nil {
			hasFigure = true
		}
		cur = append(cur, it)
	}
	flush(0)
	for i := range out {
		out[i].words, out[i].wordItem = wordsOf(out[i].items)
	}
	setMoods(out, sender)
	return out
}

// leadsValue: "lash: 9", "drive: heel". The colon belongs to what stands before.
func leadsValue(cur []item) bool {
	for _, it := range cur {
		if it.tags.hasAny(qBacklash, qSpread, qDrag, qTotalDrag, qBreakaway, qPattern, qShim, qMark, qDepth, qChecking, qHeight, qRunout, qTemp, qTeeth, qEndPlay,
			qCarrierPreload, qCaseSpread, qAdjuster, qMatch, qTorque, sDrive, sCoast, pLeft, pRight, pBoth, wOld, wNew) {
			return true
		}
	}
	return false
}

// startsClause says whether the item at i begins a new clause.
func startsClause(items []item, i int, cur []item, hasFigure bool) bool {
	it := items[i]
	if it.kind != phraseItem {
		return false
	}
	first, _, _ := strings.Cut(it.text, " ")
	if clauseStarters[it.text] {
		return true
	}
	if it.text == "and" || it.text == "&" || it.text == "y" {
		return i+1 < len(items) && (startsAfterAnd(items, i+1) || hasFigure && secondWay(items, i+1, cur))
	}
	if need, ok := askStarters[first]; ok {
		if need == nil {
			last := cur[len(cur)-1].text
			return !knowsWhat[last]
		}
		rest := strings.Fields(it.text)
		if len(rest) > 1 && need[rest[1]] {
			return true
		}
		if len(rest) == 1 && i+1 < len(items) {
			next, _, _ := strings.Cut(items[i+1].text, " ")
			if need[next] {
				// "lash is the same": a statement; "lash 14 is the spread ok": hm
				if first == "is" && !hasFigure {
					return false
				}
				return first != "do" || !isWord(cur, len(cur)-1, "to", "will")
			}
		}
		return false
	}
	if hasFigure {
		if specStarters[first] {
			return figureWithin(items, i+1, 5)
		}
		if it.text == "now" || it.tags.has(mMeasure) && it.text != "read" && it.text != "reading" || it.text == "is" && figureWithin(items, i+1, 1) {
			return figureWithin(items, i+1, 4)
		}
	}
	return false
}

var knowsWhat = wordSet("off from by know see tell about of idea knows matter say for to with exactly thats is was sure remember understand show and or on at depending depends matter regardless")

func figureWithin(items []item, i, n int) bool {
	for k := i; k < len(items) && k < i+n; k++ {
		if items[k].kind == figureItem {
			return true
		}
		if items[k].kind == signItem || items[k].kind == lineItem {
			return false
		}
	}
	return false
}

// secondWay: "0.08 from right into left and 0.05 out of pinion": a second change
// told without a verb.
func secondWay(items []item, i int, cur []item) bool {
	if i+1 >= len(items) || items[i].group == nil || !isWord(items, i+1, "out of", "from", "into", "off", "outta") {
		return false
	}
	way := false
	for _, it := range cur {
		if it.tags.hasAny(vRemove, vAdd, vMove, vSwap) {
			return false
		}
		way = way || it.tags.has(vFrom) || it.text == "into"
	}
	return way
}

func startsAfterAnd(items []item, i int) bool {
	it := items[i]
	if it.kind != phraseItem {
		return false
	}
	if it.tags.hasAny(qBacklash, qDrag, qTotalDrag, qRunout, qEndPlay, mNoise, qPattern, qTemp, qSpread, qBreakaway, qCaseSpread, qShim, pCaps, pNut, pRingBolts) {
		return true
	}
	switch it.text {
	case "i", "we", "it", "that", "this", "what", "which", "how", "now", "then", "im", "is", "should", "do", "got", "spec", "want", "my", "she", "he", "they", "the", "going", "still", "not":
		return true
	}
	return false
}

// wordsOf gives the words of items, a number as "#", and the item of each.
func wordsOf(items []item) (words []string, of []int) {
	words = make([]string, 0, len(items)+4)
	of = make([]int, 0, len(items)+4)
	for i, it := range items {
		switch it.kind {
		case figureItem:
			words = append(words, "#")
			if it.group != nil && it.group.unit != noUnit {
				words = append(words, unitWord(it.group.unit))
			}
		case signItem:
			words = append(words, it.text)
		case lineItem:
			words = append(words, ".")
		default:
			if it.text == "'s" {
				words = append(words, "is")
			} else if strings.IndexByte(it.text, ' ') < 0 {
				words = append(words, it.text)
			} else {
				words = append(words, strings.Fields(it.text)...)
			}
		}
		for len(of) < len(words) {
			of = append(of, i)
		}
		// "that is", "it's" and "thats" are one word to the patterns
		if n := len(words); n > 1 && (words[n-1] == "is" || words[n-1] == "'s") && contracts[words[n-2]] {
			words[n-2] += "s"
			words, of = words[:n-1], of[:n-1]
		}
	}
	return words, of
}

// contracts are the words an "is" melts into.
var contracts = wordSet("that it what where who how there here he she")

// unitWord stands for a unit in the words of a clause.
func unitWord(u unitID) string {
	switch u.dim() {
	case dimLength:
		return "thou"
	case dimTorque:
		return "lbs"
	case dimTemp:
		return "deg"
	case dimDistance:
		return "miles"
	case dimTime:
		return "minutes"
	case dimSpeed:
		return "mph"
	case dimTurn:
		if u == uTurn {
			return "turns"
		}
		return "notches"
	}
	return "units"
}
