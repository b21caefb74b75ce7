// Package listen turns what a person typed in a shop chat into readings, moves,
// questions and commands. It is pure: no I/O, no clock, no state. What it cannot
// be sure of it says so (kind clarify, with the choices); what is not for it, it
// leaves alone (kind ignore). A wrong silent reading is the worst outcome.
//
// A message goes through these in order: normalise (characters, emoji, markup),
// scan and mend (tokens, slips, number words), tagTokens (units and the words of
// the lexicon), markFigures (numbers that are no measurements), groupFigures
// (lists, ranges, sums, places on the ring), splitClauses and setMoods (what is
// asserted, asked, wanted, planned, told of another job). Then small
// interpreters take the clauses: moves, patterns, the binder that gives each
// number its quantity, dangers, facts, corrections, reviews, questions. weigh
// decides. To teach it a word, add it to the line of its meaning in lexicon.go,
// units.go, macros.go, dangertable.go or spell.go; to change what can be, change
// the bounds in quantities.go.
package listen

import "shimwright/calc/unit"

// Input is one message with what is needed to understand it.
type Input struct {
	Text    string
	Units   unit.System // the shop's or the person's habit; empty where not known
	Sender  Sender      // empty where not known
	Context []string    // the last messages, oldest first, each "bot: …" or "tech: …"
	Expect  What        // what the bot's open question asks for, where the caller knows; empty otherwise
	Look    bool        // a look waits for a mentor's answer
}

// Sender is the role of the person who typed.
type Sender string

// The senders.
const (
	Tech       Sender = "tech"
	Apprentice Sender = "apprentice"
	Mentor     Sender = "mentor"
	Customer   Sender = "customer"
)

// Kind is what a message is. Where several apply, the first of this order is
// given: correction, review, caution, clarify, question, move, breakin, reading,
// ignore.
type Kind string

// The kinds, in their order of precedence.
const (
	Correction Kind = "correction"
	Review     Kind = "review"
	Caution    Kind = "caution"
	Clarify    Kind = "clarify"
	Question   Kind = "question"
	Moved      Kind = "move"
	BreakIn    Kind = "breakin"
	Read       Kind = "reading"
	Ignore     Kind = "ignore"
)

// What names a measured quantity.
type What string

// The quantities.
const (
	Backlash         What = "backlash"
	BacklashSpread   What = "backlash_spread"
	PinionDrag       What = "pinion_drag"
	TotalDrag        What = "total_drag"
	PatternDrive     What = "pattern_drive"
	PatternCoast     What = "pattern_coast"
	ShimPinion       What = "shim_pinion"
	ShimLeft         What = "shim_left"
	ShimRight        What = "shim_right"
	ShimPreload      What = "shim_preload"
	PinionMark       What = "pinion_mark" // signed; "+3" is 0.003 in or 0.03 mm by the habit
	PinionDepth      What = "pinion_depth"
	BearingHeight    What = "bearing_height"
	RingRunout       What = "ring_runout"
	Temperature      What = "temperature"
	Distance         What = "distance"
	Duration         What = "duration"
	Torque           What = "torque"
	NoiseSpeed       What = "noise_speed"
	ToothCount       What = "tooth_count"
	CarrierEndPlay   What = "carrier_end_play"
	CarrierPreload   What = "carrier_preload"
	CaseSpread       What = "case_spread"
	AdjusterTurns    What = "adjuster_turns"
	CheckingDistance What = "checking_distance"
	BreakawayTorque  What = "breakaway_torque"
	MatchNumber      What = "match_number"
	NutTurn          What = "nut_turn"     // of the pinion nut while the sleeve yields; in degrees
	Volume           What = "volume"       // of oil
	Ratio            What = "ratio"        // as ordered
	Interference     What = "interference" // of a part that goes on warm, measured cold
	FitDiameter      What = "fit_diameter" // of the hole and the shaft of such a part
)

// Reading is one quantity that would be committed to the job log, in the unit it
// was typed in.
type Reading struct {
	What    What      `json:"what"`
	Value   *float64  `json:"value,omitempty"`   // one number, or a stated sum
	Values  []float64 `json:"values,omitempty"`  // several numbers in the order typed
	Unit    string    `json:"unit,omitempty"`    // in, mm, in·lbf, ft·lbf, N·m, degF, degC, mi, km, min, mph, km/h, turn, deg, l, pt, qt
	Length  string    `json:"length,omitempty"`  // toe, center, heel (patterns)
	Profile string    `json:"profile,omitempty"` // face, center, flank (patterns)
	Which   string    `json:"which,omitempty"`   // old, new, setup, final, before_teardown where stated

	Positions []string `json:"positions,omitempty"` // where each value was read, as typed ("12", "bolt 3"), same length as Values
	Part      string   `json:"part,omitempty"`      // ring or pinion (tooth counts, match numbers); head or tail (bearings); caps, nut, ring bolts, cover (torques); pinion, carrier, housing, ring, oil, oven (temperatures); left or right (adjusters)
	Seal      string   `json:"seal,omitempty"`      // on or off (drag)
	Bearings  string   `json:"bearings,omitempty"`  // new or used (drag)
	Degree    string   `json:"degree,omitempty"`    // patterns: slight, strong or edge, where said
	Load      string   `json:"load,omitempty"`      // noise_speed: drive, coast or float
	Text      string   `json:"-"`                   // the words it was read from
}

// Numbers gives the values of a reading in order, one or several.
func (r Reading) Numbers() []float64 {
	if r.Value != nil {
		return []float64{*r.Value}
	}
	return r.Values
}

// Move is a change that was made (or, in a mentor's instruction, is to be made):
// from the stack it comes off to where it goes. Right to left means the right
// stack gets thinner and the left one thicker; adjusters likewise.
type Move struct {
	From     string   `json:"from,omitempty"` // left, right, pinion, stock, ring_side, opposite_ring_side, preload_pack
	To       string   `json:"to,omitempty"`
	AmountIn *float64 `json:"amount_in,omitempty"`
	AmountMM *float64 `json:"amount_mm,omitempty"`
	Notches  *float64 `json:"notches,omitempty"`
	Text     string   `json:"-"`
}

// Utterance is what a message was understood to say. Readings and Moves are
// exactly what would be committed to the job log.
type Utterance struct {
	Kind     Kind      `json:"kind"`
	Readings []Reading `json:"readings"`
	Moves    []Move    `json:"moves"`
	Retract  []Retract `json:"retract,omitempty"`  // corrections: what no longer holds
	Decision string    `json:"decision,omitempty"` // reviews: approve, redo, hold; request where a review is asked for, or a mentor asks for a change or a picture
	Look     int       `json:"look,omitempty"`     // reviews: the number of the look an answer names, "approve 2"
	Back     bool      `json:"back,omitempty"`     // a mentor asks whoever entered the figures, not the assistant
	Note     string    `json:"note,omitempty"`     // why, in one line

	Ask      *Ask      `json:"ask,omitempty"`      // clarify: the one question back
	Command  *Command  `json:"command,omitempty"`  // an order to the assistant itself
	Cautions []string  `json:"cautions,omitempty"` // ids of the dangers named in the text, see Dangers
	Topics   []string  `json:"topics,omitempty"`   // questions: what is asked about, see the Topic constants
	Facts    []string  `json:"facts,omitempty"`    // things stated without a number, see the Fact constants; a message of facts alone is of kind ignore
	Pending  []Move    `json:"pending,omitempty"`  // a move asked for by a mentor but not made yet
	Proposed []Reading `json:"proposed,omitempty"` // clarify or question: hypothetical figures ("lash 14, what do I change?" carries Readings; "what if it were 14" carries these)
	Signed   []SignOff `json:"signed,omitempty"`   // fasteners somebody answers for
	Damage   []Damaged `json:"damage,omitempty"`   // what was found worn or broken
	Wanted   []Reading `json:"wanted,omitempty"`   // targets named in the message ("want 8", "spec is 6 to 10"): never committed

	Unread bool `json:"unread,omitempty"` // it answers what is asked or asks about it, and nothing could be made of it

	Reckoning *Reckoning `json:"reckoning,omitempty"` // questions: what is to be worked out of the figures in it
}

// SignOff is a fastener signed off, by its part as said, and by whom; By is empty
// where the one who typed signs.
type SignOff struct {
	Part string `json:"part"`
	By   string `json:"by,omitempty"`
}

// Damaged is a part found worn or broken, and the sign of it.
type Damaged struct {
	Part string `json:"part"` // of DamageParts
	Sign string `json:"sign"` // of DamageSigns
}

// Retract names what a correction takes back: a quantity, and the value where it
// was said. Last stands for "the last thing I said".
type Retract struct {
	What  What     `json:"what,omitempty"`
	Value *float64 `json:"value,omitempty"`
	Move  bool     `json:"move,omitempty"`
	Last  bool     `json:"last,omitempty"`
}

// Ask is a question back with its choices; each choice is a text that, sent
// instead of the message, would be understood.
type Ask struct {
	// Key and With are the phrase of the text and its values, name and value in turn: a
	// quantity as a What, a unit as it is typed. Text is the text instead, where whoever
	// asks has the words already.
	Key     string   `json:"key,omitempty"`
	With    []any    `json:"-"`
	Text    string   `json:"text,omitempty"`
	Choices []string `json:"choices,omitempty"` // as they would be typed in English
}

// Command is an order to the assistant: a verb of the Verb constants and the rest
// of the line as typed.
type Command struct {
	Verb Verb   `json:"verb"`
	Rest string `json:"rest,omitempty"`
}

// Verb is what the assistant is told to do.
type Verb string

// The verbs. Each has short forms for a thumb on a phone; see commands.go.
const (
	VerbOpen     Verb = "open"     // open a job; Rest names the sheet and the rest of the line
	VerbStatus   Verb = "status"   // where are we
	VerbNext     Verb = "next"     // what now
	VerbUndo     Verb = "undo"     // take the last entry back
	VerbSkip     Verb = "skip"     // skip the step or the field; Rest is the reason
	VerbReopen   Verb = "reopen"   // reopen a step; Rest names it
	VerbOverride Verb = "override" // go on over a stop; Rest is the reason
	VerbWhy      Verb = "why"      // the whole computation
	VerbSummary  Verb = "summary"  // the job so far
	VerbClose    Verb = "close"    // close the job
	VerbJobs     Verb = "jobs"     // the open jobs
	VerbSwitch   Verb = "switch"   // talk about another job; Rest is its number
	VerbSheets   Verb = "sheets"   // the axle sheets
	VerbLog      Verb = "log"      // who entered what and when
	VerbUnits    Verb = "units"    // inch or metric for this person
	VerbLanguage Verb = "language" // what this person is answered in; Rest is its code
	VerbReviews  Verb = "reviews"  // what waits for this person
	VerbCard     Verb = "card"     // the card of the open look
	VerbTeach    Verb = "teach"    // questions back on or off; Rest says for whom
	VerbType     Verb = "type"     // how large this person is written to; Rest is large or normal
	VerbReplies  Verb = "replies"  // how long this person is answered; Rest is short or full
	VerbCalled   Verb = "called"   // how this person is called to a look; Rest is private or thread
	VerbHelp     Verb = "help"
	VerbYes      Verb = "yes"
	VerbNo       Verb = "no"
	VerbDone     Verb = "done"    // the recommended change is built
	VerbGlossary Verb = "words"   // what a word means; Rest is the word
	VerbPicture  Verb = "picture" // the picture of the present step
	VerbLabels   Verb = "labels"  // where every shim goes
	VerbParts    Verb = "parts"   // what has to be ordered
	VerbTools    Verb = "tools"   // what should lie ready before the start
	VerbTorques  Verb = "torques" // the torque list and who signed what
	VerbDamage   Verb = "damage"  // what was found worn or broken
)
