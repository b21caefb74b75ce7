package listen

import (
	"encoding/json"
	"math"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"shimwright/calc/unit"
)

var (
	allKinds = []Kind{Correction, Review, Caution, Clarify, Question, Moved, BreakIn, Read, Ignore}
	allUnits = []string{"", "in", "mm", "in·lbf", "ft·lbf", "N·m", "degF", "degC", "mi", "km", "min", "mph", "km/h", "turn", "notch", "deg", "l", "pt", "qt"}
	allWhats = []What{
		Backlash, BacklashSpread, PinionDrag, TotalDrag, PatternDrive, PatternCoast, ShimPinion, ShimLeft, ShimRight, ShimPreload, PinionMark, PinionDepth,
		BearingHeight, RingRunout, Temperature, Distance, Duration, Torque, NoiseSpeed, ToothCount, CarrierEndPlay, CarrierPreload, CaseSpread, AdjusterTurns,
		CheckingDistance, BreakawayTorque, MatchNumber, ShimRingSide, ShimFarSide,
		NutTurn, Volume, Ratio,
	}
	allPlaces    = []string{"", "left", "right", "pinion", "stock", "ring_side", "opposite_ring_side", "preload_pack"}
	allDecisions = []string{"", DecisionApprove, DecisionRedo, DecisionHold, DecisionRequest}
	allWhich     = []string{"", "old", "new", "setup", "final", "before_teardown"}
)

// checkUtterance says what is wrong with an utterance whatever the message was.
func checkUtterance(in Input, u Utterance) string {
	if !slices.Contains(allKinds, u.Kind) {
		return "kind " + string(u.Kind)
	}
	if u.Readings == nil || u.Moves == nil {
		return "readings and moves are lists, never null"
	}
	if !slices.Contains(allDecisions, u.Decision) || (u.Decision != "") != (u.Kind == Review) {
		return "decision " + u.Decision + " of a " + string(u.Kind)
	}
	numbers := numbersIn(in)
	for _, r := range u.Readings {
		if !slices.Contains(allWhats, r.What) || !slices.Contains(allUnits, r.Unit) || !slices.Contains(allWhich, r.Which) {
			return "a reading of unknown kind, unit or which: " + string(r.What) + " " + r.Unit + " " + r.Which
		}
		if !slices.Contains([]string{"", "toe", "center", "heel"}, r.Length) || !slices.Contains([]string{"", "face", "center", "flank"}, r.Profile) {
			return "a pattern at " + r.Length + " " + r.Profile
		}
		if isPattern(r.What) == (len(r.Numbers()) > 0) {
			return "a pattern has places and no numbers, all else has numbers"
		}
		if r.Value != nil && r.Values != nil {
			return "value and values"
		}
		if len(r.Positions) > 0 && len(r.Positions) != len(r.Numbers()) {
			return "positions do not go with the values"
		}
		for _, v := range r.Numbers() {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				return "not a finite number"
			}
			if !derivable(v, numbers) {
				return "a number that nobody typed"
			}
		}
	}
	for _, m := range slices.Concat(u.Moves, u.Pending) {
		if !slices.Contains(allPlaces, m.From) || !slices.Contains(allPlaces, m.To) {
			return "a move from " + m.From + " to " + m.To
		}
	}
	for _, m := range u.Moves {
		amounts := 0
		for _, a := range []*float64{m.AmountIn, m.AmountMM, m.Notches} {
			if a != nil {
				amounts++
				if math.IsNaN(*a) || math.IsInf(*a, 0) || *a <= 0 || !derivable(*a, numbers) {
					return "an amount that cannot be"
				}
			}
		}
		if amounts != 1 || m.From == m.To || m.From == "" || m.To == "" {
			return "a move made has one amount, a from and a to"
		}
	}
	for _, id := range u.Cautions {
		if dangerText([]string{id}) == "" {
			return "a caution without a text: " + id
		}
	}
	if u.Kind == Caution && len(u.Cautions) == 0 {
		return "a caution that names no danger"
	}
	if u.Kind == Clarify && (u.Ask == nil || u.Ask.Key == "") {
		return "a clarify that asks nothing"
	}
	if u.Kind == Question && len(u.Topics) == 0 {
		return "a question about nothing"
	}
	if u.Kind == Correction && len(u.Retract) == 0 && u.Ask == nil {
		return "a correction that takes nothing back"
	}
	if u.Reckoning != nil {
		if u.Kind != Question || u.Reckoning.About == "" || len(u.Moves) > 0 {
			return "a " + string(u.Kind) + " that asks to work something out"
		}
		for part, f := range u.Reckoning.Figures {
			if math.IsNaN(f.Value) || math.IsInf(f.Value, 0) || f.Value < 0 || f.Value > 1e9 {
				return "a figure that cannot be: " + string(part)
			}
		}
	}
	raw, err := json.Marshal(u)
	if err != nil || !utf8.Valid(raw) {
		return "not JSON"
	}
	return ""
}

// numbersIn gives the numbers typed in the message and in the talk before it.
func numbersIn(in Input) []float64 {
	var out []float64
	for _, text := range append([]string{in.Text}, in.Context...) {
		plain, _, _ := reworded(text)
		for _, metric := range []bool{false, true} {
			for _, it := range mixedNumbers(decimalCommas(tagTokens(spellOut(mend(scan(plain)))), metric, !metric)) {
				if it.kind == figureItem {
					out = append(out, it.num.val)
				}
			}
		}
	}
	return out
}

// derivable says whether v is a typed number in another scale, or the sum of some
// that were typed beside each other.
func derivable(v float64, typed []float64) bool {
	for i := range typed {
		sum := 0.0
		for k := i; k < len(typed) && k < i+12; k++ {
			sum += typed[k]
			for _, f := range []float64{1, 1e-3, 1e-2, 0.1, 1e-4, 0.0980665, 60, 1.0 / 60} {
				if math.Abs(v-sum*f) <= 1e-6*math.Max(1, math.Abs(v)) || math.Abs(v+sum*f) <= 1e-6*math.Max(1, math.Abs(v)) {
					return true
				}
			}
		}
	}
	return false
}

// FuzzParse holds that any text is understood to something well formed: no
// panic, no number that was not typed, only known kinds, units and places.
func FuzzParse(f *testing.F) {
	for _, name := range corpusFiles(f) {
		for i, m := range loadCorpus(f, name) {
			if i%7 == 0 {
				f.Add(m.Text, m.Units, m.Sender, strings.Join(m.Context, "\n"))
			}
		}
	}
	f.Add("lash \x00\xff 9\u202e", "inch", "", "")
	f.Add(strings.Repeat("9", 400), "metric", "tech", "bot: backlash?")
	f.Add(strings.Repeat("lash 8, ", 900), "none", "mentor", "")
	f.Add("| a | b |\n|---|---|\n| lash | 9 |", "inch", "tech", "")
	f.Fuzz(func(t *testing.T, text, units, sender, context string) {
		in := Input{Text: text, Units: unit.System(units), Sender: Sender(sender)}
		if context != "" {
			in.Context = strings.Split(context, "\n")
		}
		if in.Units != unit.InchUnits && in.Units != unit.Metric {
			in.Units = unit.NoSystem
		}
		u := Parse(in)
		if bad := checkUtterance(in, u); bad != "" {
			raw, _ := json.Marshal(u)
			t.Fatalf("%s\n%q (%s %s %q)\n%s", bad, text, units, sender, context, raw)
		}
		again, _ := json.Marshal(Parse(in))
		raw, _ := json.Marshal(u)
		if string(raw) != string(again) {
			t.Fatalf("not the same twice: %q\n%s\n%s", text, raw, again)
		}
	})
}
