package listen

import "slices"

// Reckoning is a question that is answered by working it out of the figures in it,
// without a job: what torque a bolt takes, what a string and scale mean, how fast
// the engine turns.
type Reckoning struct {
	About   About           `json:"about"`
	Figures map[Part]Figure `json:"figures,omitempty"`
	Words   map[Part]string `json:"words,omitempty"` // threads, grades, tyre sizes and such, as typed
}

// Figure is one number of a question in the unit it was typed in: in, thou, mm,
// hundredth, cm, ft, in·lbf, ft·lbf, N·m, kgf·cm, lbf, N, kgf, degF, degC, deg, mph,
// km/h, rpm, min, qt, pt, L, mL, turn, tooth, or empty.
type Figure struct {
	Value float64 `json:"value"`
	Unit  string  `json:"unit,omitempty"`
}

// About is what is to be worked out.
type About string

// The questions. Behind each: the parts it has, those that may be missing in
// brackets.
const (
	AboutBolt        About = "bolt"         // [Thread ThreadTo Grade Finish Torque]: torque and clamp
	AboutFinish      About = "finish"       // Torque Finish FinishTo: the same clamp with another finish
	AboutExtension   About = "extension"    // [Torque Fastener Wrench Extension Angle Straight Told]: what to set the wrench to
	AboutPull        About = "pull"         // Radius and Force or Torque [Cord]: string and scale
	AboutCarrierDrag About = "carrier_drag" // two of Pinion, Total, Carrier [Ratio]: the third
	AboutDrag        About = "drag"         // [Bearings Seal Drag]: what drag to expect
	AboutPack        About = "pack"         // Drag Wanted: change of the preload pack
	AboutSleeve      About = "sleeve"       // Before After Turn [Wanted]: the next turn of the nut
	AboutSides       About = "sides"        // Added: side preload split to both sides
	AboutHeat        About = "heat"         // Temperature [Piece]: may it get so hot
	AboutHeatFor     About = "heat_for"     // Diameter [Clearance Interference Piece]: how hot
	AboutChillFor    About = "chill_for"    // Diameter Clearance: how cold
	AboutGrowth      About = "growth"       // Diameter Temperature: how much bigger
	AboutCooling     About = "cooling"      // [Temperature Diameter]: when it can be touched
	AboutEngine      About = "engine"       // Speed [Ratio Tyre Gear]: engine speed
	AboutRoad        About = "road"         // Engine [Ratio Tyre Gear]: road speed
	AboutAxle        About = "axle"         // Engine Speed Tyre [Gear]: axle ratio
	AboutTyre        About = "tyre"         // Tyre: height and turns a mile
	AboutSpeedometer About = "speedometer"  // [Tyre TyreTo Ratio RatioTo Speed]: how far off
	AboutRegear      About = "regear"       // Tyre TyreTo [Ratio]: effective ratio, and the one that makes up
	AboutTeeth       About = "teeth"        // Pinion Ring: ratio and hunting
	AboutShaft       About = "shaft"        // Shaft Wheel: ratio by turning
	AboutConvert     About = "convert"      // Value To: another unit
	AboutOil         About = "oil"          // Oil [OilTo]: grade
)

// Part names a figure or word of a Reckoning.
type Part string

// The parts.
const (
	PartThread       Part = "thread" // a size alone stands for both its series
	PartThreadTo     Part = "thread_to"
	PartGrade        Part = "grade"
	PartFinish       Part = "finish" // dry, zinc plated, lubricated
	PartFinishTo     Part = "finish_to"
	PartTorque       Part = "torque"
	PartWrench       Part = "wrench"
	PartExtension    Part = "extension"
	PartAngle        Part = "angle"    // degrees between extension and wrench; 0 straight ahead
	PartFastener     Part = "fastener" // what is torqued, in the words of sign-offs
	PartStraight     Part = "straight" // a socket extension along the bolt's own axis
	PartTold         Part = "told"     // it was done, the torque is what the wrench showed
	PartForce        Part = "force"
	PartRadius       Part = "radius"
	PartCord         Part = "cord"
	PartPinion       Part = "pinion"
	PartRing         Part = "ring"
	PartTotal        Part = "total"
	PartCarrier      Part = "carrier"
	PartRatio        Part = "ratio"
	PartRatioTo      Part = "ratio_to"
	PartBearings     Part = "bearings" // new, used
	PartSeal         Part = "seal"     // on, off
	PartDrag         Part = "drag"
	PartWanted       Part = "wanted"
	PartWantedTo     Part = "wanted_to" // the other end of a wanted range
	PartBefore       Part = "before"
	PartAfter        Part = "after"
	PartTurn         Part = "turn"
	PartAdded        Part = "added"
	PartTemperature  Part = "temperature"
	PartPiece        Part = "piece" // ring gear, bearing
	PartDiameter     Part = "diameter"
	PartClearance    Part = "clearance"
	PartInterference Part = "interference"
	PartSpeed        Part = "speed"
	PartEngine       Part = "engine"
	PartGear         Part = "gear"
	PartTyre         Part = "tyre"
	PartTyreTo       Part = "tyre_to"
	PartShaft        Part = "shaft"
	PartWheel        Part = "wheel"
	PartHeld         Part = "held" // the other wheel stands still
	PartValue        Part = "value"
	PartTo           Part = "to"
	PartOil          Part = "oil"
	PartOilTo        Part = "oil_to"
)

// Figure gives a figure by its part.
func (r *Reckoning) Figure(p Part) (Figure, bool) {
	f, ok := r.Figures[p]
	return f, ok
}

// Word gives a word by its part, empty where it was not said.
func (r *Reckoning) Word(p Part) string { return r.Words[p] }

func reckoning(a About) *Reckoning {
	return &Reckoning{About: a, Figures: map[Part]Figure{}, Words: map[Part]string{}}
}

// put files a figure, where there is one.
func (r *Reckoning) put(p Part, l *lot) *Reckoning {
	if l != nil {
		r.Figures[p] = Figure{l.value, l.unit}
	}
	return r
}

// word files a word, where there is one.
func (r *Reckoning) word(p Part, w string) *Reckoning {
	if w != "" {
		r.Words[p] = w
	}
	return r
}

// topicOf gives the topic that a question counts under.
func (a About) topicOf() string {
	switch a {
	case AboutBolt, AboutFinish, AboutExtension:
		return TopicTorque
	case AboutPull, AboutCarrierDrag, AboutDrag, AboutPack, AboutSleeve, AboutSides:
		return TopicPreload
	case AboutHeat, AboutHeatFor, AboutChillFor, AboutGrowth, AboutCooling:
		return TopicHeat
	case AboutConvert:
		return TopicConvert
	case AboutOil:
		return TopicOil
	}
	return TopicRatio
}

// onTheBench says whether the question is of the job on the bench, whose words may
// also be a correction or a warning.
func (a About) onTheBench() bool {
	switch a.topicOf() {
	case TopicRatio, TopicConvert, TopicOil, TopicTorque:
		return false
	}
	return true
}

// reckon makes the utterance of a message that asks for something to be worked
// out; ok is false where it asks for no such thing, or does something else besides.
func (a *analysis) reckon(correcting bool) (Utterance, bool) {
	if a.command != nil || a.in.Sender == Customer || len(a.moves.done) > 0 || len(a.moves.pending) > 0 && a.in.Sender == Mentor {
		return Utterance{}, false
	}
	if slices.Contains(a.cautions, DangerInjected) || slices.Contains(a.cautions, DangerFalseApproval) {
		return Utterance{}, false
	}
	topics, asking := findQuestion(a.clauses, a.talk, len(a.readings)+len(a.proposed)+len(a.patterns.out) > 0)
	n := takeNote(a.plain, a.in, asking)
	if n == nil {
		return Utterance{}, false
	}
	r := n.ask()
	if r == nil || r.About.onTheBench() && (correcting || slices.Contains(a.cautions, DangerFabricated)) || findReview(a.clauses, a.in, len(a.readings) > 0) != "" {
		return Utterance{}, false
	}
	a.void()
	u := Utterance{Kind: Question, Reckoning: r, Facts: a.facts, Cautions: without(a.cautions, DangerFabricated), Note: "asks to work out: " + string(r.About)}
	switch r.About {
	case AboutExtension:
		u.Cautions = without(without(u.Cautions, DangerRunout), DangerImplausible) // its lengths are none of what is asked for
		u.Facts = without(u.Facts, FactCapsTorqued)                                // until the torque is worked out
		for _, id := range []string{FactRingBoltsTorqued, FactNutTorqued, FactCoverTorqued} {
			u.Facts = without(u.Facts, id)
		}
	case AboutPack, AboutDrag:
		u.Readings, u.Proposed, u.Wanted = a.readings, a.proposed, a.wanted
	case AboutTeeth:
		if n.says("set") || n.says("gears") || n.says("teeth") { // told of the set at hand
			u.Readings = onlyTeeth(a.readings)
		}
	case AboutConvert:
		u.Proposed = a.proposed
	case AboutHeat:
		if n.supposes() {
			u.Cautions = without(u.Cautions, DangerRingHot) // nothing was heated yet: the answer says no
		}
	case AboutCooling:
		u.Cautions = without(u.Cautions, DangerBurn) // nobody was burnt yet: that is what is asked
	}
	u.Topics = []string{r.About.topicOf()}
	for _, t := range topics {
		u.Topics = appendOnce(u.Topics, t)
	}
	return u, true
}

func onlyTeeth(all []Reading) []Reading {
	var out []Reading
	for _, r := range all {
		if r.What == ToothCount {
			out = append(out, r)
		}
	}
	return out
}

func without(list []string, id string) []string {
	var out []string
	for _, s := range list {
		if s != id {
			out = append(out, s)
		}
	}
	return out
}
