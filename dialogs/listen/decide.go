package listen

import (
	"slices"
	"strings"
)

// contradicts: the bot has just said the value under another name ("250 is the
// right, left is 247").
func (a *analysis) contradicts(depth int) bool {
	if len(a.readings) < 2 || depth > 0 || len(a.talk) == 0 || !a.talk[len(a.talk)-1].bot() || strings.Contains(a.talk[len(a.talk)-1].text, "?") {
		return false
	}
	h := corrector{in: a.in, talk: a.talk[len(a.talk)-1:], depth: depth}.history()
	if len(h) == 0 {
		return false
	}
	for _, old := range h[0].readings {
		for _, rd := range a.readings {
			if old.Value != nil && rd.Value != nil && *old.Value == *rd.Value && old.Unit == rd.Unit && otherName(old.What) == rd.What {
				return true
			}
		}
	}
	return false
}

// deniedAny: a number is denied in so many words.
func (a *analysis) deniedAny() bool {
	return slices.ContainsFunc(a.bounds, func(b bound) bool { return b.moods&moodNot != 0 })
}

// shop says whether the message has any word of the trade.
func (a *analysis) shop() bool {
	for _, c := range a.clauses {
		for _, it := range c.items {
			for _, t := range shopTalk {
				if it.tags.has(t) {
					return true
				}
			}
		}
	}
	return false
}

// noteworthy: something was stated that the log keeps without a figure.
func (a *analysis) noteworthy() bool {
	for _, f := range a.facts {
		switch f {
		case FactPhoto, FactQuiet, FactNoise, FactCooled, FactOilFilled, FactCoverOn, FactAxlesIn:
			if a.shop() && f != FactPhoto {
				return true
			}
		default:
			return true
		}
	}
	return false
}

// tellsToDo: a mentor's order that is no judgement: "ring off and check runout".
func (a *analysis) tellsToDo() bool {
	return a.shop() && mentorOrders.in(allWords(a.clauses))
}

var mentorOrders = compileTrigger(`take it apart | check | send another | send a new | recheck | re check | measure | send me | send the | show me | post a | post the | post both | get me | give me ~ lash | give me ~ readings | paint | roll it | pull it | pull the | take the ring | ring off | spread it | add | swap | put a dial | dial it | spin it | clean it | stone it | torque the | mark the | photo of | need ~ photo | need ~ pic | need ~ picture | want ~ photo | want ~ pic | want to see | need to see ! you did | you checked | did you | have you | what | ? | if you`)

// besideBothSides says whether the message gives left and right stack beside the one
// shim that names none, and that can be the pinion's.
func (a *analysis) besideBothSides(b bound) bool {
	left, right, others := 0, 0, 0
	for _, o := range a.bounds {
		switch {
		case o.q != qShim && o.q != none:
		case o.mods.side == pLeft:
			left++
		case o.mods.side == pRight:
			right++
		case o.q == qShim && !o.mods.pack:
			others++
		}
	}
	return left == 1 && right == 1 && others == 1 && !a.sumOfSides(b)
}

// allAsk: every clause asks.
func allAsk(clauses []clause) bool {
	for _, c := range clauses {
		if c.moods&moodQuestion == 0 {
			return false
		}
	}
	return true
}

// questionOnly: every clause asks, so what a number is is the asker's business.
func questionOnly(clauses []clause) bool {
	for _, c := range clauses {
		if c.moods&moodQuestion == 0 {
			return false
		}
	}
	return true
}

// obey makes an utterance of an order to the assistant. ok is false where the
// word stands for something else here: "pass" of a mentor, "done" with readings.
func (a *analysis) obey(u *Utterance, decision string) (Utterance, bool) {
	v := a.command.Verb
	switch v {
	case VerbStatus, VerbJobs, VerbSheets, VerbReviews, VerbCard, VerbLog, VerbSummary, VerbHelp, VerbGlossary, VerbWhy, VerbNext:
		u.Kind, u.Note = Question, "asks for "+string(v)
		u.Topics = map[Verb][]string{VerbStatus: {TopicStatus}, VerbLog: {TopicHistory}, VerbSummary: {TopicStatus}, VerbGlossary: {TopicGlossary}, VerbWhy: {TopicWhy}, VerbNext: {TopicNext}}[v]
		if u.Topics == nil {
			u.Topics = []string{TopicOther}
		}
		return *u, true
	case VerbPicture:
		u.Kind, u.Note, u.Topics = Question, "asks for a picture", []string{TopicOther}
		u.Facts, u.Readings, u.Moves = nil, nil, nil
		return *u, true
	case VerbYes, VerbNo:
		if strings.TrimSpace(strings.ToLower(a.in.Text)) == "right" && strings.Contains(a.expect.text, "left") {
			u.Kind, u.Note, u.Command = Clarify, "which side of what?", nil
			return *u, true
		}
		if decision != "" || a.in.Sender == Mentor && !a.expect.yesNo {
			return *u, false
		}
		u.Kind, u.Note = Ignore, string(v)
		return *u, true
	case VerbSkip:
		if a.in.Sender == Mentor && decision != "" {
			return *u, false
		}
		if slices.Contains(a.cautions, DangerNoPattern) {
			return *u, false
		}
		u.Kind, u.Note, u.Readings, u.Moves, u.Cautions = Ignore, "skip", nil, nil, nil
		return *u, true
	case VerbLanguage, VerbReplies, VerbType, VerbCalled:
		u.Kind, u.Note, u.Readings, u.Moves, u.Cautions = Ignore, "language", nil, nil, nil
		return *u, true
	case VerbUnits:
		if a.command.Rest == "" {
			u.Kind, u.Topics, u.Note = Question, []string{TopicOther}, "asks for units"
			return *u, true
		}
		u.Kind, u.Note = Ignore, "units"
		return *u, true
	case VerbTeach, VerbDone, VerbClose, VerbReopen, VerbOverride, VerbOpen, VerbSwitch:
		u.Kind, u.Note, u.Readings, u.Moves, u.Cautions = Ignore, string(v), nil, nil, nil
		return *u, true
	}
	return *u, false
}
