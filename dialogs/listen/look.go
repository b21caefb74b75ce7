package listen

import "strings"

// What a mentor's word on an open look can come to besides a decision: a question
// back, by the phrase of its text.
const (
	lookCondition = "ask.look_condition" // "fine once the lash is under 9"
	lookNo        = "ask.look_no"        // "nope, too tight"
	lookUnclear   = "ask.look_unclear"   // "almost there"
)

// lookWord is what a mentor says while a look waits for them: a decision, or the key
// of what to ask back; both empty where the message is about something else.
type lookWord struct{ decision, ask string }

// atLook reads a mentor's message as the answer to an open look. Here a plain "yep"
// is an approval, and one under a condition is none yet.
func (a *analysis) atLook() lookWord {
	if !a.in.Look || a.in.Sender != Mentor || len(a.moves.done)+len(a.moves.pending) > 0 {
		return lookWord{}
	}
	words := lookWords(a.clauses)
	if len(words) == 0 || a.command != nil && !consents(a.command.Verb) {
		return lookWord{}
	}
	if i := takesBack.after(words); i > 0 {
		if w := a.lookAnswer(words[i:]); w.decision != "" {
			return w
		}
		return lookWord{decision: DecisionHold} // an approval taken back holds the job
	}
	if i := rephrases.after(words); i > 0 {
		if w := a.lookAnswer(words[i:]); w.decision != "" {
			return w
		}
		return lookWord{}
	}
	return a.lookAnswer(words)
}

func (a *analysis) lookAnswer(words []string) lookWord {
	if len(words) == 0 {
		return lookWord{}
	}
	asks := strings.Contains(a.plain, "?") || lookQuestion[words[0]]
	but := lookBut.inAny(words)
	switch {
	case asks && !lookRedo.inAny(words):
		return lookWord{}
	case lookRedo.inAny(words):
		return lookWord{decision: DecisionRedo}
	case lookIf.inAny(words) && lookGood.inAny(words):
		return lookWord{ask: lookCondition}
	case lookHold.inAny(words):
		return lookWord{decision: DecisionHold}
	case redoes.inAny(words):
		return lookWord{} // as anywhere
	case lookSure.inAny(words) && holds.inAny(words) && !lookPraise.inAny(words):
		return lookWord{ask: lookUnclear} // "approve the first one, hold the second"
	case !but && lookSure.inAny(words):
		return lookWord{decision: DecisionApprove}
	case lookFault.inAny(words) && (lookPraise.inAny(words) || approves.in(words)):
		return lookWord{ask: lookUnclear} // praise of one thing, and a fault of another
	case !but && lookPraise.inAny(words):
		return lookWord{decision: DecisionApprove}
	case lookDenied.inAny(words):
		return lookWord{ask: lookNo}
	case lifts.in(words), takesOver.in(words), handsBack.in(words):
		return lookWord{}
	case holds.inAny(words):
		return lookWord{decision: DecisionHold}
	case a.plainYes(words), approves.in(words):
		return lookWord{decision: DecisionApprove}
	case mentorOrders.inAny(words):
		return lookWord{decision: DecisionRequest}
	case but && lookSure.inAny(words):
		return lookWord{ask: lookUnclear} // "approved, but check the runout"
	case lookJudges.inAny(words):
		return lookWord{ask: lookUnclear}
	}
	return lookWord{}
}

// consents says whether a command's word can be the answer to a look.
func consents(v Verb) bool { return v == VerbYes || v == VerbNo || v == VerbNext || v == VerbSkip }

// plainYes says whether every word is one of consent, as the answer to what the
// assistant has just shown.
func (a *analysis) plainYes(words []string) bool {
	n := len(a.talk)
	if n > 0 && !a.talk[n-1].bot() {
		return false
	}
	yes := false
	for _, w := range words {
		if !lookConsent[w] && !lookFillers[w] {
			return false
		}
		yes = yes || lookConsent[w]
	}
	return yes
}

// lookWords are the words of all clauses without the ends of sentences.
func lookWords(clauses []clause) []string {
	var out []string
	for _, w := range allWords(clauses) {
		if w != "." && w != "," {
			out = append(out, w)
		}
	}
	return out
}

// after gives where the words behind the first phrase of the trigger begin, 0 where
// it is not there.
func (t trigger) after(words []string) int {
	if !t.inAny(words) {
		return 0
	}
	end := 0
	for i := range words {
		t.all[0].match(words, i, func(_ phrase, e int) bool { end = max(end, e); return false })
	}
	return end
}

// hearsay: somebody who is no mentor tells of a mentor's word on an open look.
func (a *analysis) hearsay() bool {
	return a.in.Look && a.in.Sender != Mentor && a.in.Sender != Customer && !strings.Contains(a.plain, "?") && toldOf.inAny(lookWords(a.clauses))
}

// answerLook asks back where a mentor's word decides nothing, and refuses one that is
// only told of.
func (a *analysis) answerLook(u Utterance, w lookWord) (Utterance, bool) {
	switch {
	case a.hearsay():
		return Utterance{Kind: Caution, Cautions: []string{DangerFalseApproval}, Note: dangerText([]string{DangerFalseApproval})}, true
	case w.ask != "":
		ask := Ask{Key: w.ask}
		return Utterance{Kind: Clarify, Ask: &ask, Note: ask.Key}, true
	case w.decision != "":
		return Utterance{Kind: Review, Decision: w.decision, Note: "review: " + w.decision}, true
	}
	return u, false
}

// asksWorker says whether a mentor asks, at an open look, what the log does not tell.
func (a *analysis) asksWorker(u Utterance) bool {
	words := lookWords(a.clauses)
	switch {
	case u.Kind == Question:
		return len(u.Topics) == 1 && u.Topics[0] == TopicOther
	case u.Kind != Ignore || len(words) < 2 || offTopic.inAny(words) || smallTalk.inAny(words):
		return false
	}
	return lookQuestion[words[0]] && (strings.Contains(a.plain, "?") || a.shop())
}
