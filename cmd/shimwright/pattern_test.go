package main

import (
	"bytes"
	"encoding/json"
	"image/png"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf8"
)

// runContactPattern runs the command as from a shell.
func runContactPattern(args string) (code int, stdout, stderr string) {
	var out, errs bytes.Buffer
	code = contactPattern(strings.Fields(args), &out, &errs)
	return code, out.String(), errs.String()
}

// patternOf runs the command with --json and reads the answer.
func patternOf(t *testing.T, args string) map[string]any {
	t.Helper()
	code, out, errs := runContactPattern(args + " --json")
	if code != 0 || errs != "" {
		t.Fatalf("%s: exit %d, %s", args, code, errs)
	}
	var v map[string]any
	if err := json.Unmarshal([]byte(out), &v); err != nil {
		t.Fatal(err)
	}
	return v
}

// at follows keys to a number.
func at(t *testing.T, v map[string]any, keys ...string) float64 {
	t.Helper()
	var x any = v
	for _, k := range keys {
		m, ok := x.(map[string]any)
		if !ok {
			t.Fatalf("no %s in the answer", strings.Join(keys, "."))
		}
		x = m[k]
	}
	f, ok := x.(float64)
	if !ok {
		t.Fatalf("%s is %v, want a number", strings.Join(keys, "."), x)
	}
	return f
}

// sampleF3 is ISO 23509:2016 annex F sample F.3 as a shop would type it.
const sampleF3 = "--z1 13 --z2 42 --od 171.56mm --face 30mm --offset 15mm --spiral 38.609deg --pressure 20deg --pitch-angle 68.324deg --cutter 63.5mm"

func TestPatternOfPublishedSet(t *testing.T) {
	v := patternOf(t, sampleF3+" --pinion 0.1mm --ring -0.05mm")
	for _, row := range []struct {
		what      string
		got, want float64
		share     float64
		source    string
	}{
		{"ring gear slope, transverse", -at(t, v, "per_mm", "ring", "backlash", "transverse_at_dial"), 0.8672 * 85.78 / 70.9386, 0.02, "closed backlash formula on ISO 23509 sample F.3, derived"},
		{"pinion slope, transverse", -at(t, v, "per_mm", "pinion", "backlash", "transverse_at_dial"), 0.3388 * 85.78 / 70.9386, 0.02, "closed backlash formula on ISO 23509 sample F.3, derived"},
		{"normal over transverse", at(t, v, "per_mm", "ring", "backlash", "normal_at_dial") / at(t, v, "per_mm", "ring", "backlash", "transverse_at_dial"), 0.12654 / 0.200, 0.01, "ISO 23509 sample F.3 jen over jet2, recomputed"},
		{"mean cone distance", at(t, v, "gear", "mean_cone_distance_mm"), 76.337, 0.01, "ISO 23509:2016 annex F sample F.3, found (2nd hand)"},
		{"drive pressure angle", at(t, v, "gear", "pressure_convex_deg"), 17.747, 0.01, "ISO 23509:2016 annex F sample F.3, found (2nd hand)"},
		{"coast pressure angle", at(t, v, "gear", "pressure_concave_deg"), 22.253, 0.01, "ISO 23509:2016 annex F sample F.3, found (2nd hand)"},
		{"backlash change from the slopes", at(t, v, "backlash_change_mm", "transverse_at_dial"),
			0.1*at(t, v, "per_mm", "pinion", "backlash", "transverse_at_dial") - 0.05*at(t, v, "per_mm", "ring", "backlash", "transverse_at_dial"), 1e-9, "derived"},
	} {
		if !(math.Abs(row.got/row.want-1) <= row.share) {
			t.Errorf("%s: %.5f, want %.5f ± %g %% (%s)", row.what, row.got, row.want, 100*row.share, row.source)
		}
	}
}

// Every number the contract names is there, is finite and has the right sign.
func TestPatternAnswerKeys(t *testing.T) {
	deeper := patternOf(t, "--sheet lapwing --pinion +0.005in")
	for _, flank := range []string{"drive", "coast"} {
		if a := at(t, deeper, flank, "area"); !(a > 0.05 && a < 0.6) {
			t.Errorf("%s: %.3f of the flank marked", flank, a)
		}
		if at(t, deeper, flank, "across") >= 0 {
			t.Errorf("%s: a deeper pinion does not go to the root (common practice, no source)", flank)
		}
		for _, k := range []string{"along", "across"} {
			low, mid, high := at(t, deeper, flank, "low", k), at(t, deeper, flank, k), at(t, deeper, flank, "high", k)
			if !(low < mid && mid < high) {
				t.Errorf("%s %s: %.3f not between %.3f and %.3f", flank, k, mid, low, high)
			}
			for _, member := range []string{"pinion", "ring", "offset"} {
				at(t, deeper, "per_mm", member, flank, k)
			}
		}
	}
	if at(t, deeper, "drive", "along") >= 0 || at(t, deeper, "coast", "along") <= 0 {
		t.Error("a deeper pinion: drive to the toe, coast to the heel (common practice, no source)")
	}
	for _, dir := range []string{"normal_at_dial", "transverse_at_dial"} {
		if at(t, deeper, "backlash_change_mm", dir) >= 0 {
			t.Errorf("%s: a deeper pinion is not tighter", dir)
		}
		for _, member := range []string{"pinion", "ring"} {
			if at(t, deeper, "per_mm", member, "backlash", dir) >= 0 {
				t.Errorf("%s, %s: not tighter", member, dir)
			}
		}
	}
	shallower := patternOf(t, "--sheet lapwing --pinion -0.005in")
	for _, k := range []string{"along", "across"} {
		if a, b := at(t, deeper, "drive", k), at(t, shallower, "drive", k); math.Abs(a+b) > 0.05 { // the root is near
			t.Errorf("drive %s: %+.3f deeper, %+.3f shallower", k, a, b)
		}
	}
}

func TestPatternOverridesSheet(t *testing.T) {
	const base = "--sheet lapwing --pinion 0.1mm"
	plain := patternOf(t, base)
	for flag, key := range map[string]string{
		"--z1 10": "pinion_teeth", "--z2 43": "ring_teeth", "--od 9.2in": "dial_radius_mm", "--face 1.3in": "face_width_mm",
		"--offset 1.3in": "offset_mm", "--spiral 30deg": "spiral_deg", "--pressure 21deg": "pressure_convex_deg",
		"--pitch-angle 71.5deg": "pitch_angle_deg", "--cutter 95mm": "cutter_radius_mm",
	} {
		v := patternOf(t, base+" "+flag)
		if at(t, v, "gear", key) == at(t, plain, "gear", key) {
			t.Errorf("%s does not change %s", flag, key)
		}
	}
	if v := patternOf(t, base+" --offset 0mm"); at(t, v, "gear", "offset_mm") != 0 {
		t.Error("an offset of 0 is not taken")
	}
	if v := patternOf(t, "--sheet dunlin --cutter 76mm"); at(t, v, "gear", "blade_groups") != 13 || at(t, v, "gear", "dedendum_angle_deg") != 0 {
		t.Error("a face hobbed set with its cutter is not worked as one")
	}
	if v := patternOf(t, "--sheet curlew"); v["drive_flank"] != "concave" {
		t.Errorf("reverse cut: drive is %v", v["drive_flank"])
	}
}

func TestPatternRefuses(t *testing.T) {
	for _, row := range []struct {
		args string
		code int
		says string
	}{
		{"--sheet lapwing --pinion 0.005", 2, "no unit"},
		{"--sheet lapwing --pinion 0", 2, "no unit"},
		{"--sheet lapwing --spiral 28", 2, "--spiral \"28\": no unit, want deg or rad"},
		{"--sheet lapwing --pinion 5deg", 2, "unknown unit"},
		{"--sheet lapwing --pinion NaNmm", 2, "not a number"},
		{"--sheet lapwing --pinion 3in", 2, "out of range"},
		{"--sheet lapwing --spiral 0deg", 2, "more than 0"},
		{"--sheet lapwing --offset -1in", 2, "without sign"},
		{"--sheet lapwing --z1 two", 2, "tooth count"},
		{"--sheet lapwing --nothing", 2, "nothing"},
		{"--sheet lapwing extra", 2, "extra"},
		{"", 2, "--z1 is missing"},
		{"--z1 11 --z2 41 --od 226mm", 2, "--offset is missing"},
		{"--sheet lapwin --pinion 0.005in", 1, "lapwing"},
		{"--sheet lapwing --shop /no/such/folder", 1, "cannot be opened"},
		{"--sheet lapwing --offset 3.1in", 1, "no such gear"},
		{"--sheet lapwing --cutter 250mm", 1, "no such gear"},
		{"--sheet lapwing --png /no/such/folder/a.png", 1, "cannot be written"},
	} {
		code, out, errs := runContactPattern(row.args)
		if code != row.code || !strings.Contains(errs, row.says) {
			t.Errorf("%q: exit %d, want %d; says %q, want %q", row.args, code, row.code, errs, row.says)
		}
		if out != "" {
			t.Errorf("%q: printed %q", row.args, out)
		}
	}
	if code, out, _ := runContactPattern("--help"); code != 0 || !strings.Contains(out, "--pitch-angle") {
		t.Errorf("--help: exit %d, %q", code, out)
	}
}

func TestPatternText(t *testing.T) {
	for args, want := range map[string][]string{
		"--sheet lapwing --pinion +0.005in --ring -0.003in": {"lapwing", "pinion +0.005 in (deeper)", "ring gear -0.003 in (away", "drive: ", "to the root", "coast: ", "looser", "± 0.045 mm"},
		"--sheet dunlin --ring 0.1mm":                       {"dunlin", "ring gear +0.10 mm (towards", "tighter"},
		"--sheet saltmarsh":                                 {"nothing moved", "no change", "coast: mid face, mid depth"},
		"--sheet saltmarsh --ring -5thou":                   {"ring gear -0.005 in", "looser", "8.071 in"},
		"--sheet lapwing --pinion 0.05in":                   {"runs off at the", "take it as a direction"},
		"--z1 11 --z2 41 --od 8.9in --offset 1.5in":         {"gear set as given", "8.900 in", "face width"},
	} {
		code, out, errs := runContactPattern(args)
		if code != 0 || errs != "" {
			t.Errorf("%s: exit %d, %s", args, code, errs)
		}
		flat := strings.Join(strings.Fields(out), " ")
		for _, w := range want {
			if !strings.Contains(flat, w) {
				t.Errorf("%s: no %q in\n%s", args, w, out)
			}
		}
		for line := range strings.Lines(out) {
			if n := utf8.RuneCountInString(strings.TrimRight(line, "\n")); n > phone {
				t.Errorf("%s: a line of %d characters: %s", args, n, line)
			}
		}
		if strings.Contains(out, "NaN") || strings.Contains(out, "-0.00 ") || strings.Contains(out, "Inf") {
			t.Errorf("%s: a figure that is none:\n%s", args, out)
		}
	}
	if code, out, _ := runContactPattern("--help"); code == 0 {
		for line := range strings.Lines(out) {
			if n := utf8.RuneCountInString(line); n > 80 {
				t.Errorf("help: a line of %d characters", n)
			}
		}
	}
}

func TestPatternPicture(t *testing.T) {
	file := filepath.Join(t.TempDir(), "pattern.png")
	for _, args := range []string{"--pinion +0.005in", "", "--pinion 0.1in --ring 0.1in"} {
		code, out, errs := runContactPattern("--sheet shingle-bank " + args + " --png " + file)
		if code != 0 || out == "" {
			t.Fatalf("%s: exit %d, %s", args, code, errs)
		}
		f, err := os.Open(file)
		if err != nil {
			t.Fatal(err)
		}
		img, err := png.Decode(f)
		f.Close()
		if err != nil || img.Bounds().Dx() < 600 {
			t.Errorf("%s: %v", args, err)
		}
	}
}
