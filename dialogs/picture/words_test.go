package picture

import (
	"regexp"
	"strings"
	"testing"
	"unicode/utf8"

	"pgregory.net/rapid"

	"shimwright/calc/unit"
)

// TestAltTextSaysWhatThePictureSays finds every figure with its unit that is
// written in a picture in its alt text.
func TestAltTextSaysWhatThePictureSays(t *testing.T) {
	p := painter(t)
	l := English()
	number := regexp.MustCompile(`\d[\d.:]*`)
	for _, d := range []drawing{
		patternDrawing("pattern", samplePattern()), backlashDrawing("backlash", sampleBacklash()),
		choiceDrawing("choices", ChoicePicture{Drive: 3, Coast: 7}), choiceDrawing("choices", ChoicePicture{}),
	} {
		alt := d.alt(l)
		for _, b := range drawn(t, p, d).boxes {
			for _, n := range number.FindAllString(b.text, -1) {
				if !strings.Contains(alt, n) {
					t.Errorf("%s: the picture says %q, the alt text does not: %s", d.name, n, alt)
				}
			}
		}
	}
	for _, row := range []struct {
		name, alt, want, source string
	}{
		{"pattern", samplePattern().AltText(l), `drive pattern now at heel top (cell 3), told as "heel, high", give or take 13 % of the face width and 13 % of the depth; drive pattern after the change predicted at centre (cell 5)`, "derived: ±0.25 of a half is 12.5 % of the whole"},
		{"pattern", samplePattern().AltText(l), "picture: drive is high: go deeper; pinion +0.005 in (deeper); ring gear −0.003 in (away from pinion); backlash 0.011 in → 0.008 in (0.007 to 0.009 in); ", "the answer comes first"},
		{"backlash", sampleBacklash().AltText(l), "12: 0.008 in, 1:30: 0.0085 in, 3: 0.009 in", "derived"},
		{"choices", ChoicePicture{}.AltText(l), "3 = heel top, 4 = toe middle", "derived"},
		{"stacks", sampleStacks().AltText(l), "left 0.241 in: 0.200 + 0.041, was 0.244 in (−0.003 in); right 0.238 in: 0.200 + 0.030 + 0.005 + 0.003, was 0.235 in (+0.003 in), wanted 0.2384 in: this is 0.0004 in thin", "derived"},
	} {
		if !strings.Contains(row.alt, row.want) {
			t.Errorf("%s: %q\nlacks %q (%s)", row.name, row.alt, row.want, row.source)
		}
	}
}

func TestAltTextIsBounded(t *testing.T) {
	l := English()
	for _, d := range drawings() {
		alt := d.alt(l)
		if n := utf8.RuneCountInString(alt); n < 40 || n > maxAlt {
			t.Errorf("%s: alt text of %d characters", d.name, n)
		}
		if !utf8.ValidString(alt) || strings.ContainsAny(alt, "\n\x00\u202e") {
			t.Errorf("%s: alt text %q holds what no line should", d.name, alt)
		}
	}
}

func TestStackWords(t *testing.T) {
	l := English()
	leaves := func(thou ...float64) (out []Leaf) {
		for _, v := range thou {
			out = append(out, Leaf{Thickness: unit.Thou(v)})
		}
		return out
	}
	for _, row := range []struct {
		name   string
		stack  Stack
		want   string
		source string
	}{
		{"plain", Stack{Name: "left", Leaves: leaves(200, 41)}, "left 0.241 in: 0.200 + 0.041", "derived"},
		{"thinner than before", Stack{Name: "left", Leaves: leaves(200, 38), Was: new(unit.Thou(241))}, "left 0.238 in: 0.200 + 0.038, was 0.241 in (−0.003 in)", "derived"},
		{"as before", Stack{Name: "right", Leaves: leaves(30), Was: new(unit.MM(0.762))}, "right 0.030 in: 0.030, as before", "derived: 0.030 in is 0.762 mm"},
		{"too thick", Stack{Name: "pinion", Leaves: leaves(35), Wanted: new(unit.Thou(34))}, "pinion 0.035 in: 0.035, wanted 0.034 in: this is 0.001 in thick", "derived"},
		{"met", Stack{Name: "pinion", Leaves: leaves(35), Wanted: new(unit.Thou(35))}, "pinion 0.035 in: 0.035", "derived"},
		{"none", Stack{Name: "right"}, "right 0.000 in: no shim", "derived"},
	} {
		got := row.stack.headline(unit.InchUnits, l) + ": " + row.stack.sum(unit.InchUnits, l)
		for _, r := range row.stack.remarks(unit.InchUnits, l) {
			got += ", " + r
		}
		if got != row.want {
			t.Errorf("%s: %q, want %q (%s)", row.name, got, row.want, row.source)
		}
	}
}

func TestThickerLeavesAreDrawnWider(t *testing.T) {
	pic := sampleStacks()
	scale := pic.scale()
	p := painter(t)
	s := drawn(t, p, stacksDrawing("stacks", pic))
	// The figure of a leaf stands in the middle of its block: the right stack's
	// blocks follow each other with one gap between.
	var mids []float64
	for _, b := range s.boxes {
		if b.style == label && b.text != "+" {
			mids = append(mids, b.mid().x)
		}
	}
	right := mids[len(mids)-4:]
	width := func(v unit.Length) float64 { return leafLeast + scale*v.MM() }
	for i, leaf := range pic.Stacks[2].Leaves[1:] {
		want := (width(pic.Stacks[2].Leaves[i].Thickness)+width(leaf.Thickness))/2 + leafGap
		if got := right[i+1] - right[i]; got < want-1 || got > want+1 {
			t.Errorf("leaf %d stands %.1f px from the one before, want %.1f", i+1, got, want)
		}
	}
	if last := right[3] + width(unit.Thou(3))/2; last > Width-margin+1 {
		t.Errorf("the last block ends at %.0f px", last)
	}
}

func TestTidy(t *testing.T) {
	latin := func(r rune) bool { return r < 0x250 }
	for _, row := range []struct{ in, want, source string }{
		{" a \n\t b ", "a b", "derived"},
		{"-3 and 4-5 (-6) x-ray", "−3 and 4-5 (−6) x-ray", "a minus before a number, a hyphen within a range"},
		{"\u202eabc\u200b\u0000", "abc", "direction marks and controls are dropped"},
		{"e\u0301\u0302\u0303", "e", "combining marks pile up without end"},
		{"ok 🦷🦷🦷 ok", "ok □ ok", "a run of missing letters is one box"},
		{"\xff\xfe", "□", "bytes that are no text"},
		{"", "", "derived"},
	} {
		if got := tidy(row.in, 99, latin); got != row.want {
			t.Errorf("%q becomes %q, want %q (%s)", row.in, got, row.want, row.source)
		}
	}
	if got := tidy(strings.Repeat("x", 500), 7, nil); got != "xxxxxxx" {
		t.Errorf("cut to %q", got)
	}
}

func TestFitAndWrapStayInside(t *testing.T) {
	p := painter(t)
	s := p.sheets.Get().(*sheet)
	rapid.Check(t, func(rt *rapid.T) {
		text := s.type_.clean(rapid.String().Draw(rt, "text"))
		st := style(rapid.IntRange(0, int(styles)-1).Draw(rt, "style"))
		most := rapid.Float64Range(80, 900).Draw(rt, "most")
		lines := rapid.IntRange(1, 4).Draw(rt, "lines")
		out := s.type_.wrap(st, text, most, lines)
		if len(out) > lines {
			rt.Fatalf("%d lines, want at most %d", len(out), lines)
		}
		for _, part := range out {
			if w := s.type_.width(st, part); w > most {
				rt.Fatalf("%q is %.0f px, want at most %.0f", part, w, most)
			}
		}
		if joined := strings.Join(out, " "); !strings.Contains(joined, "…") && joined != strings.Join(strings.Fields(text), " ") {
			rt.Fatalf("%q is wrapped to %q without a sign that something is missing", text, joined)
		}
	})
}

func TestTypefaceHasEveryLetterOfTheLabels(t *testing.T) {
	p := painter(t)
	s := p.sheets.Get().(*sheet)
	for _, text := range []string{"→ ± − · × ° % ' \" Ø µ", "Zähne, Fußflanke, ÄÖÜß", "dents, côté, flanc à œuvre", "diente, talón, año", "зуб, впадина", "δόντι"} {
		if got := s.type_.clean(text); strings.ContainsRune(got, missing) {
			t.Errorf("%q would be written %q", text, got)
		}
	}
}
