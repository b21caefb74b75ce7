package listen

import (
	"slices"
	"strings"
)

// voice finds approvals by those who may not give them, and text made to steer
// the program.
func (a *analysis) voice(all []string) {
	if injected(a.in.Text) {
		a.cautions = appendOnce(a.cautions, DangerInjected)
	}
	for _, t := range injectedWords {
		if t.in(all) {
			a.cautions = appendOnce(a.cautions, DangerInjected)
		}
	}
	if a.in.Sender == Mentor {
		return
	}
	for _, s := range sentencesOf(a.clauses) {
		if s.mark == '?' || s.moods&(moodQuestion|moodIf) != 0 {
			continue
		}
		for i, t := range falseApproval {
			if i == 3 && a.in.Sender == "" {
				continue
			}
			if t.in(s.words) {
				a.cautions = appendOnce(a.cautions, DangerFalseApproval)
			}
		}
	}
}

// skipsHonestly says whether the message skips what is asked because it was not measured:
// that is the reason of a skip, and nothing made up.
func (a *analysis) skipsHonestly(words []string) bool {
	return a.command != nil && a.command.Verb == VerbSkip && !slices.Contains(words, "#") && !invents.inAny(words)
}

var invents = compileTrigger(`make ~ up | made up | makes up | fudge* | pencil* | copy* | copied | invent* | fake* | pretend* | falsif* | whatever | anything | any number | same numbers | use last | use the last | use the old | nobody | no one | so it passes | so it looks | make it look | put | write | log | enter | say | call it | guess* | inventa* | copia* | pon | anota`)

// void drops readings that a danger makes worthless.
func (a *analysis) void() {
	drop := func(whats ...What) {
		a.readings = slices.DeleteFunc(a.readings, func(r Reading) bool { return slices.Contains(whats, r.What) })
	}
	if notZeroed.inAny(allWords(a.clauses)) && len(a.readings) > 0 {
		n := len(a.readings)
		drop(Backlash, BacklashSpread, RingRunout)
		if len(a.readings) < n {
			a.asks = append(a.asks, Ask{Key: "ask.dial_zero"})
		}
	}
	for _, id := range a.cautions {
		switch id {
		case DangerNutBackedOff:
			drop(PinionDrag, TotalDrag, BreakawayTorque)
		case DangerCapsLoose:
			drop(Backlash, BacklashSpread, TotalDrag, PatternDrive, PatternCoast)
		}
	}
}

// compare raises the cautions that need two readings side by side.
func (a *analysis) compare() {
	var pinion, carrier *Reading
	for i := range a.readings {
		r := &a.readings[i]
		if r.What == Temperature && r.Value != nil {
			switch r.Part {
			case "pinion", "head", "tail":
				pinion = r
			case "carrier", "housing", "cover", "caps":
				carrier = r
			}
		}
		if r.What == MatchNumber && len(r.Values) == 2 && r.Values[0] != r.Values[1] {
			a.cautions = appendOnce(a.cautions, DangerMismatch)
			a.facts = appendOnce(a.facts, FactNumbersDiffer)
		}
	}
	if pinion != nil && carrier != nil && pinion.Unit == carrier.Unit {
		limit := 30.0
		if pinion.Unit == "degC" {
			limit = 17
		}
		if *pinion.Value-*carrier.Value > limit {
			a.cautions = appendOnce(a.cautions, DangerPinionHot)
		}
	}
	var depth, side float64
	for _, m := range a.moves.done {
		amount := 0.0
		if m.AmountIn != nil {
			amount = *m.AmountIn * 25.4
		} else if m.AmountMM != nil {
			amount = *m.AmountMM
		}
		if m.From == "pinion" || m.To == "pinion" {
			depth += amount
		} else {
			side += amount
		}
	}
	if depth >= 0.2 && side >= 0.2 && len(a.moves.done) == 2 {
		a.cautions = appendOnce(a.cautions, DangerBothAtOnce)
	}
}

func dangerText(ids []string) string {
	var parts []string
	for _, id := range ids {
		for _, e := range dangerTable {
			if e.ID == id {
				parts = append(parts, e.Text)
			}
		}
	}
	return strings.Join(parts, "; ")
}

// notZeroed: what the dial reads is no reading yet.
var notZeroed = compileTrigger(`dial isnt zeroed | dial is not zeroed | dial not zeroed | dial wasnt zeroed | dial wasnt at zero | dial isnt at zero | didnt zero | havent zeroed | not zeroed | forgot to zero | isnt zeroed | wasnt zeroed`)
