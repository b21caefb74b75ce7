package dialogs

import (
	"fmt"
	"strings"
	"time"

	"shimwright/calc/unit"
	"shimwright/dialogs/listen"
	"shimwright/dialogs/phrase"
	"shimwright/rules"
)

// voice writes quantities for one person: their own unit first, the sheet's
// behind it in brackets where the two differ.
type voice struct {
	own   unit.System
	sheet unit.System
	words phrase.Speaker
	zone  *time.Location // of the shop
	now   time.Time      // when it is said
}

func (d *Desk) voiceFor(p Person, s *rules.Sheet) voice {
	v := voice{own: unitsFor(p, s), sheet: p.Units, words: d.Phrases.In(p.Language), zone: d.Zone}
	if s != nil {
		v.sheet = s.Units
	}
	return v
}

// unitsFor gives the person's habit, the sheet's where they have none.
func unitsFor(p Person, s *rules.Sheet) unit.System {
	if p.Units == unit.NoSystem && s != nil {
		return s.Units
	}
	return p.Units
}

func (v voice) length(l unit.Length) string {
	if v.own == v.sheet || v.sheet == unit.NoSystem {
		return v.own.Length(l)
	}
	return v.own.Length(l) + " (" + v.sheet.Length(l) + ")"
}

// span writes a range with the unit once: 0.006–0.010 in.
func (v voice) span(low, high unit.Length) string {
	a, b := v.own.Length(low), v.own.Length(high)
	if a == b {
		return a
	}
	from, to, name := bare(a), bare(b), b[strings.LastIndexByte(b, ' '):]
	for len(from) < len(to) && strings.Contains(from, ".") {
		from += "0"
	}
	for len(to) < len(from) && strings.Contains(to, ".") {
		to += "0"
	}
	return from + "–" + to + name
}

// change writes an amount without its sign.
func (v voice) amount(l unit.Length) string { return v.length(l.Abs()) }

// systemOf gives the habit a typed unit belongs to.
func systemOf(typed string) unit.System {
	switch typed {
	case "mm", "N·m", "degC", "km", "km/h":
		return unit.Metric
	}
	return unit.InchUnits
}

// number writes a typed value the way shops write it in that unit.
func number(v float64, typed string) string {
	switch typed {
	case "in":
		return strings.TrimSuffix(unit.InchUnits.Length(unit.Inch(v)), " in")
	case "mm":
		return strings.TrimSuffix(unit.Metric.Length(unit.MM(v)), " mm")
	}
	text := fmt.Sprintf("%.2f", v)
	return strings.TrimSuffix(strings.TrimRight(text, "0"), ".")
}

// unitWord writes a unit for people.
func unitWord(typed string) string {
	switch typed {
	case "degF":
		return "°F"
	case "degC":
		return "°C"
	case "turn":
		return "turns"
	case "deg":
		return "degrees"
	}
	return typed
}

// echo says back one reading, so that a wrong one is caught at once.
func echo(m measured) string {
	name := slotName(m.Slot, m.What)
	if m.What == listen.PatternDrive || m.What == listen.PatternCoast {
		return name + " " + patternWords(m.Along, m.Across, m.Degree)
	}
	parts := make([]string, len(m.Values))
	for i, v := range m.Values {
		parts[i] = number(v, m.Unit)
		if m.What == listen.PinionMark && v > 0 {
			parts[i] = "+" + parts[i]
		}
		if len(m.Positions) == len(m.Values) {
			parts[i] = "at " + m.Positions[i] + ": " + parts[i]
		}
	}
	text := name + " " + strings.Join(parts, " / ")
	if u := unitWord(m.Unit); u != "" {
		text += " " + u
	}
	return text
}

// patternWords says where a pattern lies; degree is how far off the middle.
func patternWords(along, across, degree string) string {
	slight := degree == "slight"
	up := acrossWord(across)
	if slight && across != "center" && across != "" {
		up = "a touch " + up
	} else if slight && along != "center" && along != "" {
		along = "a touch to the " + along
	}
	switch {
	case along == "" && across == "":
		return "seen"
	case along == "center" && across == "center":
		return "centered"
	case across == "":
		return along
	case along == "":
		return up
	}
	return along + ", " + up + pick2(degree == "edge", ", over the edge", "")
}

func acrossWord(across string) string {
	switch across {
	case "face":
		return "high (face)"
	case "flank":
		return "low (flank)"
	}
	return "centered up and down"
}

// where says where the pattern of a reading lies.
func (r Reading) where() string { return patternWords(r.Along, r.Across, r.Degree) }

// slotName names a slot in a word or three.
func slotName(s Slot, what listen.What) string {
	switch s {
	case FoundBacklash, FoundDrive, FoundCoast, FoundDrag, FoundEndPlay, FoundRunout:
		return "as found: " + whatName(what)
	case OldPinion, OldLeft, OldRight, OldPreload, OldMark, OldHeight:
		return "old " + whatName(what)
	case NewMark, NewHeight:
		return "new " + whatName(what)
	case SetupHeight:
		return "setup " + whatName(what)
	case FinalHeight:
		return "final " + whatName(what)
	case RingHeat:
		return "ring temperature"
	case BearingHeat:
		return "bearing temperature"
	case FinalNut:
		return "nut torque"
	case OilFill:
		return "oil"
	case OrderedRatio:
		return "ratio ordered"
	case FinalPreload:
		return "side preload"
	case FinalTotal, FinalDrag:
		return whatName(what)
	}
	return whatName(what)
}

// whatName names a quantity.
func whatName(w listen.What) string {
	switch w {
	case listen.PatternDrive:
		return "drive"
	case listen.PatternCoast:
		return "coast"
	case listen.ShimPinion:
		return "pinion shim"
	case listen.ShimLeft:
		return "left stack"
	case listen.ShimRight:
		return "right stack"
	case listen.ShimPreload:
		return "preload pack"
	case listen.PinionMark:
		return "pinion marking"
	case listen.BearingHeight:
		return "head bearing height"
	case listen.BacklashSpread:
		return "backlash spread"
	case listen.ToothCount:
		return "tooth counts"
	}
	return strings.ReplaceAll(string(w), "_", " ")
}

// list joins words: a, b and c.
func list(words []string) string {
	switch len(words) {
	case 0:
		return ""
	case 1:
		return words[0]
	}
	return strings.Join(words[:len(words)-1], ", ") + " and " + words[len(words)-1]
}
