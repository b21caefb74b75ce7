package listen

import (
	"bufio"
	"fmt"
	"os"
	"strings"
	"testing"

	"shimwright/calc/unit"
)

// roadLine is a line of testdata/road*.txt: units (i, m), what was asked before where
// something was, what was typed, and what that says; | between them.
type roadLine struct {
	in   RoadInput
	want string
	line int
}

func loadRoad(t testing.TB, path string) []roadLine {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	var out []roadLine
	sc := bufio.NewScanner(f)
	for n := 1; sc.Scan(); n++ {
		if sc.Text() == "" || strings.HasPrefix(sc.Text(), "#") {
			continue
		}
		parts := strings.Split(sc.Text(), "|")
		if len(parts) != 3 {
			t.Fatalf("%s:%d: %d parts, want 3", path, n, len(parts))
		}
		habit, asked, _ := strings.Cut(parts[0], " ")
		in := RoadInput{Text: parts[1], Units: unit.InchUnits, Asked: RoadAsk(asked)}
		if habit == "m" {
			in.Units = unit.Metric
		}
		out = append(out, roadLine{in, parts[2], n})
	}
	return out
}

// said writes what a message says in the words of the corpus.
func (r Road) said() string {
	var out []string
	add := func(yes bool, word string) {
		if yes {
			out = append(out, word)
		}
	}
	add(r.Begin, "begin")
	add(r.Out, "out")
	add(r.Back, "back")
	add(r.Resume, "resume")
	add(r.Pause, "pause")
	add(r.Leg != 0, fmt.Sprint("leg", r.Leg))
	add(r.Oil, "oil")
	if r.Distance != nil {
		out = append(out, fmt.Sprint(*r.Distance.Value, r.Distance.Unit))
	}
	add(r.Minutes > 0, fmt.Sprint(r.Minutes, "min"))
	add(r.Cooled, "cooled")
	add(r.Cooling > 0, fmt.Sprint("cool", r.Cooling))
	for _, h := range r.Heat {
		word := fmt.Sprint(*h.Value, strings.TrimPrefix(h.Unit, "deg"))
		if h.Part != "" {
			word += "@" + h.Part
		}
		out = append(out, word)
	}
	add(r.Quiet, "quiet")
	if n := r.Noise; n != nil {
		word := fmt.Sprintf("noise(%s;%s;%s", n.Sound, strings.Join(n.Loads, ","), strings.Join(n.Not, ","))
		speed, how := "", ""
		switch {
		case n.High > n.Low:
			speed = fmt.Sprint(n.Low, "-", n.High, n.Unit)
		case n.High > 0:
			speed = fmt.Sprint(n.High, n.Unit)
		}
		if n.Speed {
			how = "speed"
		}
		if n.Louder {
			how = strings.TrimPrefix(how+",louder", ",")
		}
		if how != "" {
			speed += ";" + how
		}
		if speed != "" {
			word += ";" + speed
		}
		out = append(out, word+")")
	}
	if l := r.Later; l != nil {
		switch {
		case l.Days > 0:
			out = append(out, fmt.Sprintf("later%dd", l.Days))
		case l.Minutes > 0:
			out = append(out, fmt.Sprintf("later%gm", l.Minutes))
		default:
			out = append(out, "later")
		}
	}
	add(r.Torque, "torque")
	add(r.Dry, "dry")
	add(r.Leak, "leak")
	add(r.Yes, "yes")
	add(r.No, "no")
	add(r.Unsure != "", "unsure")
	return strings.Join(out, " ")
}

func TestRoad(t *testing.T) {
	for _, path := range []string{"testdata/road01.txt", "testdata/road02.txt", "testdata/road03.txt"} {
		lines := loadRoad(t, path)
		right := 0
		for _, l := range lines {
			got := ReadRoad(l.in).said()
			if got == l.want {
				right++
				continue
			}
			t.Errorf("%s:%d: %q\n got %q\nwant %q", path, l.line, l.in.Text, got, l.want)
		}
		t.Logf("%s: %d of %d", path, right, len(lines))
	}
}

// Any text is read without a panic, and gives no figure that was not typed.
func FuzzRoad(f *testing.F) {
	for _, path := range []string{"testdata/road01.txt", "testdata/road02.txt", "testdata/road03.txt"} {
		for _, l := range loadRoad(f, path) {
			f.Add(l.in.Text, string(l.in.Asked), l.in.Units == unit.Metric)
		}
	}
	f.Fuzz(func(t *testing.T, text, asked string, metric bool) {
		in := RoadInput{Text: text, Units: unit.InchUnits, Asked: RoadAsk(asked)}
		if metric {
			in.Units = unit.Metric
		}
		r := ReadRoad(in)
		if r.Distance != nil && (*r.Distance.Value <= 0 || *r.Distance.Value > 200_000) {
			t.Errorf("%q: %v driven", text, *r.Distance.Value)
		}
		for _, h := range r.Heat {
			if h.Unit != "degF" && h.Unit != "degC" || h.Value == nil {
				t.Errorf("%q: a temperature %+v", text, h)
			}
		}
		if n := r.Noise; n != nil && n.Low > n.High {
			t.Errorf("%q: %g to %g", text, n.Low, n.High)
		}
	})
}
