package listen

import "strings"

// expectation is what the bot's open question asks for.
type expectation struct {
	q     tag    // quantity, none where nothing was asked or a pattern was
	sides []What // pattern sides asked for
	mods  mods
	text  string // the question, normalised
	yesNo bool   // it can be answered with yes or no
	asked bool   // the last line is the bot's and asks
}

// said is one line of the talk before the message.
type said struct {
	who  string // "bot", "tech", a name
	text string
}

// splitContext parts "tech: lash 9" into who and what.
func splitContext(lines []string) []said {
	out := make([]said, 0, len(lines))
	if len(lines) > 12 {
		lines = lines[len(lines)-12:]
	}
	for _, l := range lines {
		who, text, ok := strings.Cut(l, ":")
		who = strings.ToLower(strings.TrimSpace(who))
		if !ok || len(who) > 24 || strings.ContainsAny(who, "?!.") {
			who, text = "", l
		}
		out = append(out, said{strings.Trim(who, "@<> "), strings.TrimSpace(text)})
	}
	return out
}

func (s said) bot() bool { return s.who == "bot" || s.who == "assistant" || s.who == "shimwright" }

// openQuestion finds what the bot asks for and nobody has answered: the last
// line, or an earlier one with only chatter behind it.
func openQuestion(talk []said) (said, bool) {
	for i := len(talk) - 1; i >= 0 && i >= len(talk)-3; i-- {
		if talk[i].bot() {
			return talk[i], true
		}
		if strings.Contains(talk[i].text, "?") {
			return said{}, false // someone else's question may be the one answered
		}
		if strings.ContainsAny(talk[i].text, "0123456789") {
			return said{}, false // answered already
		}
	}
	return said{}, false
}

// expect gives what the open question asks for.
func expect(in Input, talk []said) expectation {
	if in.Expect != "" {
		e := expectationOf(in.Expect)
		if q, ok := openQuestion(talk); ok {
			e.text = plainWords(q.text)
			e.asked = true
		}
		return e
	}
	line, ok := openQuestion(talk)
	if !ok {
		return expectation{}
	}
	return readQuestion(line.text)
}

func plainWords(text string) string {
	plain, _, _ := reworded(text)
	return plain
}

// readQuestion finds the quantity in a line of the bot. The last question of the
// line is the one that is open.
func readQuestion(text string) expectation {
	plain, _, _ := reworded(text)
	e := expectation{text: plain, asked: strings.Contains(plain, "?")}
	items := prepare(plain, false, false)
	clauses := splitClauses(items, "")
	from := 0
	for i, c := range clauses {
		if c.mark == '?' {
			from = i
			for from > 0 && clauses[from-1].sentence == c.sentence {
				from--
			}
		}
	}
	if !e.asked {
		// "send backlash at position 2." asks without a question mark
		words := map[string]bool{}
		for _, c := range clauses {
			for _, w := range c.words {
				words[w] = true
			}
		}
		if !(words["send"] || words["give"] || words["type"] || words["tell"] || words["enter"] || words["need"] || words["what"] || words["read"] || words["measure"] || words["waiting"] || words["post"] || words["next"]) {
			return expectation{text: plain}
		}
		e.asked = true
	}
	b := binder{clauses: clauses}
	for ci := from; ci < len(clauses); ci++ {
		c := &clauses[ci]
		drive, coast, pattern := false, false, false
		for i, it := range c.items {
			if q := b.frameTag(c, i); q != none && (e.q == none || weakQuantity(e.q)) {
				e.q = q
			} else if quantityOf(it) == qTeeth && e.q == none {
				e.q = qTeeth
			} else if quantityOf(it) == qMark && e.q == none {
				e.q = qMark
			}
			drive = drive || it.tags.has(sDrive)
			coast = coast || it.tags.has(sCoast)
			pattern = pattern || it.tags.has(qPattern)
			if it.text == "drive and coast" {
				drive, coast = true, true
			}
			b.modsOf(c, i, &e.mods)
		}
		for _, ask := range asked {
			if e.q == none && ask.when.inAny(c.words) {
				e.q, drive, coast = ask.q, false, false
			}
		}
		if pattern || (drive || coast) && e.q == none || e.q == qTeeth && (drive || coast) {
			e.sides = nil
			e.q = none
			if drive || !coast {
				e.sides = append(e.sides, PatternDrive)
			}
			if coast || !drive {
				e.sides = append(e.sides, PatternCoast)
			}
			if !drive && !coast {
				e.sides = []What{"pattern"}
			}
		}
		if e.q == qDrag && e.mods.total {
			e.q = qTotalDrag
		}
		if (e.q == none || weakQuantity(e.q)) && e.sides == nil {
			for _, ask := range asked {
				if ask.when.inAny(c.words) {
					e.q = ask.q
					break
				}
			}
		}
		first := ""
		if w := skipFillers(c.words); len(w) > 0 {
			first = w[0]
		}
		switch first {
		case "is", "are", "do", "does", "did", "have", "has", "was", "were", "should", "can", "shall", "ready", "ok", "log", "keep", "open", "skip", "want":
			e.yesNo = true
		}
	}
	return e
}

// asked says what a question wants by its unit.
var asked = []struct {
	q    tag
	when trigger
}{
	{qDistance, compileTrigger(`how many miles | how many km | how many kilomet* | how far | distance | how many kays | miles ? | km ?`)},
	{qDuration, compileTrigger(`how many minutes | how long`)},
	{qTemp, compileTrigger(`how hot | how warm | what temp* | which temp*`)},
	{qNoise, compileTrigger(`what speed | at which speed | how fast | what mph`)},
	{qAdjuster, compileTrigger(`how many turns | how many notches`)},
	{qTeeth, compileTrigger(`how many teeth`)},
}

func weakQuantity(q tag) bool { return q == qTeeth || q == qTemp || q == qTorque }

// expectationOf gives the expectation for a quantity the caller names.
func expectationOf(w What) expectation {
	e := expectation{asked: true}
	switch w {
	case PatternDrive, PatternCoast:
		e.sides = []What{w}
	case ShimPinion:
		e.q, e.mods.pinion = qShim, true
	case ShimLeft:
		e.q, e.mods.side = qShim, pLeft
	case ShimRight:
		e.q, e.mods.side = qShim, pRight
	case ShimPreload:
		e.q, e.mods.pack = qShim, true
	default:
		for q, what := range whatOf {
			if what == w {
				e.q = q
			}
		}
	}
	return e
}

// whatOf gives the reading of each quantity tag; shims depend on their place.
var whatOf = map[tag]What{
	qBacklash: Backlash, qSpread: BacklashSpread, qDrag: PinionDrag, qTotalDrag: TotalDrag, qBreakaway: BreakawayTorque, qMark: PinionMark,
	qDepth: PinionDepth, qChecking: CheckingDistance, qHeight: BearingHeight, qRunout: RingRunout, qTemp: Temperature, qDistance: Distance,
	qDuration: Duration, qNoise: NoiseSpeed, qTeeth: ToothCount, qEndPlay: CarrierEndPlay, qCarrierPreload: CarrierPreload, qCaseSpread: CaseSpread,
	qAdjuster: AdjusterTurns, qMatch: MatchNumber, qTorque: Torque,
}

// prepare turns plain text into grouped items.
func prepare(plain string, metric, inch bool) []item {
	tokens := spellOut(mend(scan(plain)))
	return groupFigures(markFigures(tagTokens(tokens), metric, inch))
}
