package listen

import (
	"slices"
	"strings"
)

// breakInWords speak of a drive.
var breakInWords = compileTrigger(`breakin | drove | drive it | driven | driving | loop | loops | leg | legs | lap | laps | heat cycle* | cooled | cool down | cooling | cooldown | miles | highway | freeway | motorway | test drive | road test | test drove | went for a drive | took it out | took it for | took her out | mph | on the road | back from | cruise | cruising | mi | run # | by mile | at mile | on coast | float | fifty mile | back roads | around the block | motorway ! drive side # | ring gear drive`)

// startsDrive reports the break-in itself.
var startsDrive = compileTrigger(`off on ~ breakin | off on the first | out on the first ~ drive | starting breakin | started breakin | starting the breakin | started the breakin | begin breakin | beginning breakin | out on breakin | heading out ~ breakin | breakin started | breakin done | breakin complete* | breakin is done | finished breakin | finished the breakin | first leg | second leg | third leg | leaving on ~ leg | off on ~ loop | heading out ~ loop | heading out on ~ leg | going out on ~ leg ! when | how | if | before | after ~ breakin | ?`)

// breakIn says whether the message reports a drive.
func (a *analysis) breakIn() bool {
	for _, r := range a.readings {
		switch r.What {
		case NoiseSpeed:
			return r.Which != "before_teardown" // what it came in with
		case Distance:
			return true
		case Duration:
			if !roomSoak.inAny(allWords(a.clauses)) {
				return true
			}
		}
	}
	if strings.Contains(a.expect.text, "why is it open") || strings.Contains(a.expect.text, "why it is open") || strings.Contains(a.expect.text, "why open") {
		return false // what it came in for
	}
	words := allWords(a.clauses)
	drive := breakInWords.in(words)
	if len(a.readings) == 0 && startsDrive.in(words) {
		return true
	}
	if a.expect.q != none && len(a.readings) > 0 && breakInWords.in(strings.Fields(a.expect.text)) {
		return true
	}
	for _, r := range a.readings {
		if r.What == Temperature && (drive || r.Part == "housing" || a.expect.q == qDistance || a.expect.q == qTemp && strings.Contains(a.expect.text, "drive")) && r.Part != "ring" && r.Part != "oven" {
			return true
		}
	}
	for _, f := range a.facts {
		switch f {
		case FactQuiet, FactNoise, FactNoiseDrive, FactNoiseCoast, FactNoiseFloat, FactLegDone, FactCooled, FactOilChanged:
			if drive || strings.Contains(a.expect.text, "noise") || f != FactQuiet && f != FactCooled && f != FactNoise {
				return true
			}
			if f == FactQuiet && a.noiseSpoken() && len(a.readings) == 0 {
				return true
			}
			if f == FactNoise && !slices.Contains(a.facts, FactWhyNoise) && len(a.readings) == 0 {
				return true
			}
		}
	}
	return false
}

// roomSoak: parts brought to one temperature on the bench, and no cooling of a
// drive.
var roomSoak = compileTrigger(`parts soak | parts ~ soak | gears ~ soak | soak* ~ room | soak* ~ shop | soak* ~ bench | soak* ~ parts | overnight ~ room ! drive | drove | leg | loop | housing`)

// driven: a distance, a time or a speed is a reading only of a drive.
func (a *analysis) driven(b bound) bool {
	words := allWords(a.clauses)
	switch b.q {
	case qDistance:
		if b.g.unit == noUnit && a.loadFigures() {
			return false // "drive 5 coast 15": cells, speeds or miles
		}
		if b.asked || a.expect.q == qDistance {
			return true
		}
		if onIt.inAny(a.clauses[b.clause].words) && !a.noisy() {
			return false
		}
		return breakInWords.inAny(words) && distanceDone.inAny(words) && !schedule.inAny(a.clauses[b.clause].words)
	case qDuration:
		if b.asked {
			return true
		}
		head := b.clause > 0 && a.clauses[b.clause-1].sentence == a.clauses[b.clause].sentence && !hasFigureGroup(a.clauses[b.clause-1]) && driveHead.inAny(a.clauses[b.clause-1].words)
		return (head || durationDone.inAny(a.clauses[b.clause].words) || b.withDistance(a.clauses)) && !schedule.inAny(a.clauses[b.clause].words)
	case qNoise:
		if b.g.unit == noUnit && b.g.values[0].val < slowest {
			return false // "noise on drive 5" names a drive or a gear
		}
		for _, c := range a.clauses {
			if noiseHeard(c) {
				return true
			}
		}
		return b.asked
	case qTemp:
		return (!weather.in(words) || a.expect.q == qTemp) && (!plainWeather.in(words) || b.mods.part != "")
	}
	return true
}

// slowest is the lowest plain figure that is a road speed.
const slowest = 10

// loadFigures: two plain numbers, each behind drive or coast.
func (a *analysis) loadFigures() bool {
	n := 0
	for _, c := range a.clauses {
		for i, it := range c.items {
			if i > 0 && it.group != nil && it.group.unit == noUnit && c.items[i-1].tags.hasAny(sDrive, sCoast) {
				n++
			}
		}
	}
	return n > 1
}

// driveHead opens a report: "loop 1: 20 minutes round the back roads".
var driveHead = compileTrigger(`leg | loop | lap | cycle | cooling | cooled`)

// plainWeather is of the place and never of the axle.
var plainWeather = compileTrigger(`in the shop | in this shop | in the garage | shop is | shop air | en el taller | deg in this | deg out there | deg in here | deg out here | workshop | melting | sweating | this shed | the shed | this shop | this garage | this heat | outside | forecast | weather | bloody hot today`)

func (a *analysis) noiseSpoken() bool {
	for _, c := range a.clauses {
		if hasTag(c.items, mNoise) {
			return true
		}
	}
	return false
}

// noiseHeard: the clause tells of a noise and not of none.
func noiseHeard(c clause) bool {
	for i, it := range c.items {
		if it.tags.has(mNoise) && !negatedItem(c.items, i) {
			return true
		}
	}
	return false
}

// withDistance: "16 km in 18 min".
func (b bound) withDistance(clauses []clause) bool {
	for _, it := range clauses[b.clause].items {
		if it.group != nil && it.group.unit.dim() == dimDistance {
			return true
		}
	}
	return false
}

// onIt: "40 miles on it" tells the age of the work, and is a report only beside
// what was heard or felt.
var onIt = compileTrigger(`# miles on it | # miles on her | # miles on this | # miles on the diff | got # miles on`)

func (a *analysis) noisy() bool {
	for _, c := range a.clauses {
		for _, it := range c.items {
			if it.tags.has(mNoise) || it.group != nil && it.group.unit.dim() == dimTemp {
				return true
			}
		}
	}
	return false
}
