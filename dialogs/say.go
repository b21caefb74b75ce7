package dialogs

import (
	"fmt"
	"strconv"
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
	short bool // short replies
	large bool // large type
	own   unit.System
	sheet unit.System
	axle  *rules.Sheet // whose texts it says in its language; may be nil
	words phrase.Speaker
	zone  *time.Location // of the shop
	now   time.Time      // when it is said
}

func (d *Desk) voiceFor(p Person, s *rules.Sheet) voice {
	v := voice{own: unitsFor(p, s), sheet: p.Units, axle: s, words: d.Phrases.In(p.Language), short: p.Replies == ShortReplies || p.Type == LargeType, large: p.Type == LargeType, zone: d.Zone}
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

// amount writes an amount without its sign.
func (v voice) amount(l unit.Length) string { return v.length(l.Abs()) }

// systemOf gives the habit a typed unit belongs to.
func systemOf(typed string) unit.System {
	switch typed {
	case "mm", "N·m", "degC", "km", "km/h":
		return unit.Metric
	}
	return unit.InchUnits
}

// axleText says a text of the axle sheet.
func (v voice) axleText(text string) string {
	return v.axle.Said(string(v.words.Language), text)
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

// unitWord writes a unit in the person's language.
func (v voice) unitWord(typed string) string {
	switch typed {
	case "degF":
		return "°F"
	case "degC":
		return "°C"
	case "turn", "turns":
		return v.words.Say("say.turns")
	case "deg":
		return v.words.Say("say.degrees")
	case "thou":
		return v.words.Say("say.thou")
	case "hundredths":
		return v.words.Say("say.hundredths")
	case "tenths":
		return v.words.Say("say.tenths")
	case "tenths of a mm":
		return v.words.Say("say.tenths_mm")
	case "micron":
		return v.words.Say("say.microns")
	case "miles":
		return v.words.Say("say.miles")
	case "hours":
		return v.words.Say("say.hours")
	}
	return typed
}

// echo says back one reading, so that a wrong one is caught at once.
func (v voice) echo(m measured) string {
	name := v.slotName(m.Slot, m.What)
	if m.What == listen.PatternDrive || m.What == listen.PatternCoast {
		return name + " " + v.patternWords(m.Along, m.Across, m.Degree)
	}
	parts := make([]string, len(m.Values))
	for i, value := range m.Values {
		parts[i] = number(value, m.Unit)
		if m.What == listen.PinionMark && value > 0 {
			parts[i] = "+" + parts[i]
		}
		if len(m.Positions) == len(m.Values) {
			parts[i] = v.words.Say("say.at", "place", v.ringPlace(m.Positions[i]), "value", parts[i])
		}
	}
	text := name + " " + strings.Join(parts, " / ")
	if u := v.unitWord(m.Unit); u != "" {
		text += " " + u
	}
	return text
}

// patternWords says where a pattern lies; degree is how far off the middle.
func (v voice) patternWords(along, across, degree string) string {
	end, up := v.alongWord(along), v.acrossWord(across)
	switch slight := degree == "slight"; {
	case slight && across != "center" && across != "":
		up = v.words.Say("say.a_touch", "where", up)
	case slight && along != "center" && along != "":
		end = v.words.Say("say.a_touch_to", "end", end)
	}
	switch {
	case along == "" && across == "":
		return v.words.Say("say.seen")
	case along == "center" && across == "center":
		return v.words.Say("say.centered")
	case across == "":
		return end
	case along == "":
		return up
	case degree == "edge":
		return v.words.Say("say.over_the_edge", "where", end+", "+up)
	}
	return end + ", " + up
}

func (v voice) alongWord(along string) string {
	switch along {
	case "toe":
		return v.words.Say("say.toe")
	case "heel":
		return v.words.Say("say.heel")
	case "center":
		return v.words.Say("say.center")
	}
	return along
}

func (v voice) acrossWord(across string) string {
	switch across {
	case "face":
		return v.words.Say("say.high")
	case "flank":
		return v.words.Say("say.low")
	}
	return v.words.Say("say.centered_height")
}

// where says where the pattern of a reading lies.
func (v voice) where(r Reading) string { return v.patternWords(r.Along, r.Across, r.Degree) }

// slotName names a slot in a word or three.
func (v voice) slotName(s Slot, what listen.What) string {
	switch s {
	case FoundBacklash, FoundDrive, FoundCoast, FoundDrag, FoundEndPlay, FoundRunout:
		return v.words.Say("say.as_found", "what", v.whatName(what))
	case OldPinion, OldLeft, OldRight, OldPreload, OldMark, OldHeight:
		return v.words.Say("say.old", "what", v.whatName(what))
	case NewMark, NewHeight:
		return v.words.Say("say.new", "what", v.whatName(what))
	case SetupHeight:
		return v.words.Say("say.setup", "what", v.whatName(what))
	case FinalHeight:
		return v.words.Say("say.final", "what", v.whatName(what))
	case RingHeat:
		return v.words.Say("say.ring_heat")
	case RingTight, RingPilot:
		return v.words.Say("say.of_ring", "what", v.whatName(what))
	case HeadTight, HeadBore:
		return v.words.Say("say.of_head_bearing", "what", v.whatName(what))
	case SideTight, SideBore:
		return v.words.Say("say.of_side_bearing", "what", v.whatName(what))
	case ColdHeat:
		return v.words.Say("say.cold_heat")
	case BearingHeat:
		return v.words.Say("say.bearing_heat")
	case FinalNut:
		return v.words.Say("say.nut_torque")
	case OilFill:
		return v.words.Say("say.oil")
	case OrderedRatio:
		return v.words.Say("say.ratio_ordered")
	case FinalPreload:
		return v.words.Say("say.side_preload")
	}
	return v.whatName(what)
}

// whatName names a quantity.
func (v voice) whatName(w listen.What) string {
	switch w {
	case listen.PatternDrive:
		return v.words.Say("say.what_pattern_drive")
	case listen.PatternCoast:
		return v.words.Say("say.what_pattern_coast")
	case listen.ShimPinion:
		return v.words.Say("say.what_shim_pinion")
	case listen.ShimLeft:
		return v.words.Say("say.what_shim_left")
	case listen.ShimRight:
		return v.words.Say("say.what_shim_right")
	case listen.ShimPreload:
		return v.words.Say("say.what_shim_preload")
	case listen.PinionMark:
		return v.words.Say("say.what_pinion_mark")
	case listen.BearingHeight:
		return v.words.Say("say.what_bearing_height")
	case listen.BacklashSpread:
		return v.words.Say("say.what_backlash_spread")
	case listen.ToothCount:
		return v.words.Say("say.what_tooth_count")
	case listen.Backlash:
		return v.words.Say("say.what_backlash")
	case listen.PinionDrag:
		return v.words.Say("say.what_pinion_drag")
	case listen.TotalDrag:
		return v.words.Say("say.what_total_drag")
	case listen.PinionDepth:
		return v.words.Say("say.what_pinion_depth")
	case listen.RingRunout:
		return v.words.Say("say.what_ring_runout")
	case listen.Temperature:
		return v.words.Say("say.what_temperature")
	case listen.Distance:
		return v.words.Say("say.what_distance")
	case listen.Duration:
		return v.words.Say("say.what_duration")
	case listen.Torque:
		return v.words.Say("say.what_torque")
	case listen.NoiseSpeed:
		return v.words.Say("say.what_noise_speed")
	case listen.CarrierEndPlay:
		return v.words.Say("say.what_carrier_end_play")
	case listen.CarrierPreload:
		return v.words.Say("say.what_carrier_preload")
	case listen.CaseSpread:
		return v.words.Say("say.what_case_spread")
	case listen.AdjusterTurns:
		return v.words.Say("say.what_adjuster_turns")
	case listen.CheckingDistance:
		return v.words.Say("say.what_checking_distance")
	case listen.BreakawayTorque:
		return v.words.Say("say.what_breakaway_torque")
	case listen.MatchNumber:
		return v.words.Say("say.what_match_number")
	case listen.NutTurn:
		return v.words.Say("say.what_nut_turn")
	case listen.Volume:
		return v.words.Say("say.what_volume")
	case listen.Ratio:
		return v.words.Say("say.what_ratio")
	case listen.Interference:
		return v.words.Say("say.what_interference")
	case listen.FitDiameter:
		return v.words.Say("say.what_fit_diameter")
	}
	return strings.ReplaceAll(string(w), "_", " ")
}

// list joins words: a, b and c.
func (v voice) list(words []string) string {
	switch len(words) {
	case 0:
		return ""
	case 1:
		return words[0]
	}
	return v.words.Say("say.and", "most", strings.Join(words[:len(words)-1], ", "), "last", words[len(words)-1])
}

// notches writes a count of notches.
func (v voice) notches(n float64) string {
	return v.words.Say("say.notches", "n", strconv.FormatFloat(n, 'f', -1, 64))
}
