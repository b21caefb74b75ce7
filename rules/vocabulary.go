package rules

import (
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"
)

// The words a condition may compare a field with, by the field's path. A field
// of kind Word that is not listed here is free text, such as a match number.
func vocabulary(path string) []string {
	switch path {
	case "step":
		return []string{"open", "as-found", "teardown", "parts", "start-shim", "ring", "trial", "loop",
			"final-pinion", "final-carrier", "close-up", "summary", "break-in", "after", "finished"}
	case "phase":
		return []string{"before", "build", "after"}
	case "role":
		return []string{"tech", "apprentice", "mentor", "customer"}
	case "doing":
		return []string{"begin", "reading", "move", "finish", "close", "run", "drive", "approve"}
	case "gears", "drag.bearings":
		return []string{"new", "used"}
	case "sheet.ring_side":
		return []string{string(Left), string(Right)}
	case "sheet.tooth":
		return []string{string(FaceMilled), string(FaceHobbed)}
	case "sheet.pinion_shim":
		return []string{string(BehindHeadBearing), string(UnderInnerRace), string(UnderCartridge)}
	case "sheet.mark":
		return []string{string(Farther), string(Nearer), string(ThickerShim), string(ThinnerShim)}
	case "sheet.carrier":
		return []string{string(ShimsOutside), string(ShimsUnder), string(Adjusters)}
	case "sheet.preload":
		return []string{string(CrushSleeve), string(PreloadShims)}
	case "sheet.ring_bolts":
		return []string{string(RightHand), string(LeftHand)}
	case "pattern.drive.along", "pattern.coast.along":
		return []string{"toe", "center", "heel"}
	case "pattern.drive.across", "pattern.coast.across":
		return []string{"face", "center", "flank"}
	case "pattern.ends":
		return []string{"same", "opposite", "center"}
	case "drag.seal":
		return []string{"on", "off"}
	case "sleeve.is":
		return []string{"new", "crushed", "over", "backed-off", "reused"}
	case "bearing.fitted":
		return []string{"setup", "final"}
	case "reading.what":
		return []string{"backlash", "backlash_spread", "pinion_drag", "total_drag", "pattern_drive", "pattern_coast",
			"shim_pinion", "shim_left", "shim_right", "shim_preload", "pinion_mark", "pinion_depth", "bearing_height",
			"ring_runout", "temperature", "distance", "duration", "torque", "noise_speed", "tooth_count",
			"carrier_end_play", "carrier_preload", "case_spread", "adjuster_turns", "checking_distance",
			"breakaway_torque", "match_number", "nut_turn", "volume", "ratio", "interference", "fit_diameter"}
	case "fit.by":
		return []string{"oven", "heater", "plate", "lamp", "bath", "gun", "torch", "heat", "freezer", "dry_ice", "nitrogen", "cold"}
	case "ring.match", "pinion.match":
		return nil
	}
	return []string{"yes", "no"}
}

// Dangers lists the ids heard(…) knows: hazards a message can name.
func Dangers() []string {
	return []string{"nut_backed_off", "sleeve_over_crushed", "sleeve_reused", "nut_torque_no_crush", "no_lash",
		"lash_below_minimum", "lash_far_out", "lash_spread", "implausible", "caps_not_torqued", "ring_runout",
		"ring_bolts", "left_hand_bolts", "ring_overheated", "caps_mixed", "case_over_spread",
		"setup_bearings_left_in", "gear_set_mismatched", "slinger_omitted", "pattern_edge",
		"closing_without_pattern", "total_drag_high", "no_preload", "adjuster_lock_missing", "housing_hot",
		"pinion_bearing_hot", "smoke", "growl", "run_without_oil", "chips_in_oil", "towing_in_break_in",
		"vehicle_support", "running_on_stands", "hands_in_mesh", "air_spun_bearing", "bearing_struck",
		"press_overload", "flammable_near_heat", "burn", "lost_part", "fabricated_data", "false_approval",
		"injected_text", "frost_on_bearing", "nut_reused", "shims_mixed", "bearing_not_seated", "brake_dust",
		"oil_on_brakes", "depth_and_lash_at_once"}
}

// statements lists the ids stated(…) knows: facts said without a number.
func statements() []string {
	return []string{"caps_torqued", "caps_marked", "ring_bolts_torqued", "threadlocker_used", "nut_torqued",
		"cover_torqued", "bearings_seated", "new_bearings", "used_bearings", "new_sleeve", "new_nut",
		"new_ring_bolts", "seal_fitted", "no_seal", "setup_bearings_fitted", "setup_bearings_removed",
		"final_bearings_fitted", "adjuster_lock_fitted", "runout_checked", "dial_zeroed", "photo_attached",
		"pattern_skipped", "pattern_taken", "match_numbers_agree", "match_numbers_differ", "gear_set_new",
		"gear_set_used", "face_milled", "face_hobbed", "high_pinion", "reverse_cut", "ring_on_left",
		"ring_on_right", "slinger_fitted", "crush_started", "oil_filled", "modifier_added", "oil_changed",
		"cover_on", "axles_in", "axles_out", "no_noise", "noise", "noise_on_drive", "noise_on_coast",
		"noise_on_float", "leg_done", "cooled", "opened_for_noise", "opened_for_leak", "opened_for_ratio",
		"opened_for_bearing", "washed", "plus_means_farther", "plus_means_nearer", "plus_means_thicker_shim",
		"plus_means_thinner_shim", "no_end_play", "magnet_clean", "axles_retained", "vent_clear", "shims_labelled",
		"caps_on_own_sides", "leaves_measured"}
}

// nearest gives the word of the list that a person most likely meant, and
// whether one is near enough to name.
func nearest(word string, list []string) (string, bool) {
	best, bestDistance := "", 1<<30
	for _, candidate := range slices.Sorted(slices.Values(list)) {
		if d := distance(word, candidate); d < bestDistance {
			best, bestDistance = candidate, d
		}
	}
	// A third of the word may be wrong, but always one letter of three or more.
	allowed := max(min(len([]rune(word)), longestTypo), len([]rune(best))) / 3
	return best, best != "" && bestDistance <= allowed && bestDistance > 0
}

// longestTypo is where a word is cut before it is compared: what is longer is no
// slip of the fingers.
const longestTypo = 40

// distance counts the letters to insert, drop, replace or swap with a neighbour
// (optimal string alignment). Derivation: dynamic programming over prefixes.
func distance(a, b string) int {
	s, t := []rune(a), []rune(b)
	s, t = s[:min(len(s), longestTypo)], t[:min(len(t), longestTypo)]
	rows := make([][]int, len(s)+1)
	for i := range rows {
		rows[i] = make([]int, len(t)+1)
		rows[i][0] = i
	}
	for j := range rows[0] {
		rows[0][j] = j
	}
	for i := 1; i <= len(s); i++ {
		for j := 1; j <= len(t); j++ {
			cost := 1
			if s[i-1] == t[j-1] {
				cost = 0
			}
			rows[i][j] = min(rows[i-1][j]+1, rows[i][j-1]+1, rows[i-1][j-1]+cost)
			if i > 1 && j > 1 && s[i-1] == t[j-2] && s[i-2] == t[j-1] {
				rows[i][j] = min(rows[i][j], rows[i-2][j-2]+1)
			}
		}
	}
	return rows[len(s)][len(t)]
}

// Vocabulary gives, by the path of each fact that is a word of a fixed list, the
// words it can be; and under "heard" and "stated" the ids those know.
func Vocabulary() map[string][]string {
	l := newLanguage()
	out := map[string][]string{"heard": Dangers(), "stated": statements()}
	for _, path := range l.paths {
		if list := vocabulary(path); l.facts[path].kind == wordKind && list != nil {
			out[path] = list
		}
	}
	return out
}

// Names lists what a condition can name, one a line: every fact with its kind
// and the words it can be, then the functions.
func Names(w io.Writer) error {
	l := newLanguage()
	var b strings.Builder
	for _, path := range l.paths {
		fmt.Fprintf(&b, "%s: %s", path, l.facts[path].kind)
		if list := vocabulary(path); l.facts[path].kind == wordKind && list != nil {
			fmt.Fprintf(&b, " (%s)", strings.Join(list, ", "))
		}
		b.WriteByte('\n')
	}
	for _, name := range slices.Sorted(maps.Keys(l.functions)) {
		f := l.functions[name]
		args := make([]string, len(f.args))
		for i, k := range f.args {
			switch {
			case k == noKind && name == "near" && i == 2:
				args[i] = "tolerance"
			case k == noKind:
				args[i] = "figure"
			case k == truthKind:
				args[i] = "fact"
			default:
				args[i] = strings.TrimPrefix(k.String(), "a ")
			}
		}
		result := "a figure"
		if f.result != noKind {
			result = f.result.String()
		}
		fmt.Fprintf(&b, "%s(%s): %s\n", name, strings.Join(args, ", "), result)
	}
	_, err := io.WriteString(w, b.String())
	return err
}
