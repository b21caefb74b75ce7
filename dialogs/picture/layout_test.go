package picture

import (
	"bytes"
	"errors"
	"fmt"
	"image/color"
	"image/png"
	"maps"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"
	"unicode"

	"pgregory.net/rapid"

	"shimwright/calc/unit"
)

// drawing is one picture to test, whatever its kind.
type drawing struct {
	name  string
	draw  func(*sheet, Labels) error
	write func(*Painter, *bytes.Buffer) error
	alt   func(Labels) string
}

func patternDrawing(name string, p PatternPicture) drawing {
	return drawing{name, p.draw, func(q *Painter, b *bytes.Buffer) error { return q.Pattern(b, p) }, p.AltText}
}

func backlashDrawing(name string, p BacklashPicture) drawing {
	return drawing{name, p.draw, func(q *Painter, b *bytes.Buffer) error { return q.Backlash(b, p) }, p.AltText}
}

func choiceDrawing(name string, p ChoicePicture) drawing {
	return drawing{name, p.draw, func(q *Painter, b *bytes.Buffer) error { return q.Choices(b, p) }, p.AltText}
}

func stacksDrawing(name string, p StacksPicture) drawing {
	return drawing{name, p.draw, func(q *Painter, b *bytes.Buffer) error { return q.Stacks(b, p) }, p.AltText}
}

func stepDrawing(name string, p StepPicture) drawing {
	return drawing{name, func(s *sheet, _ Labels) error { return p.draw(s) }, func(q *Painter, b *bytes.Buffer) error { return q.Step(b, p) }, p.AltText}
}

// axles are the constructions sketches are drawn for.
func axles() []Axle {
	var out []Axle
	for _, shim := range []Shim{ShimBehindHead, ShimUnderRace, ShimUnderCartridge} {
		for _, sides := range []Sides{SidesOutside, SidesUnder, SidesAdjuster} {
			for i, preload := range []Preload{PreloadSleeve, PreloadPack} {
				out = append(out, Axle{Shim: shim, Sides: sides, Preload: preload, RingRight: i == 1, HighUp: i == 0, LeftHand: i == 1, Teeth: [2]int{11, 41}})
			}
		}
	}
	return out
}

// sampleStep is a step with a sketch, marks at every second spot of it, and lines to
// tick.
func sampleStep() StepPicture {
	a := Axle{Shim: ShimBehindHead, Sides: SidesOutside, Preload: PreloadSleeve}
	return StepPicture{
		Title: "step 9: final pinion assembly", Note: "in the order it goes together", Axle: a,
		Sketches: []Sketch{{Of: DrawPinion, Ordered: true, Parts: []Part{
			{[]Spot{SpotShim}, "pinion shim, measured once more"}, {[]Spot{SpotBearing}, "head bearing pressed on"},
			{[]Spot{SpotSpacer}, "new crush sleeve"}, {[]Spot{SpotDrag}, "read the drag here"},
		}}},
		Checks: []Check{{Text: "pinion nut", Done: true}, {Text: "cover bolts 25–35 ft·lbf"}},
	}
}

// everySpot marks all the spots of a drawing, in as many pictures as that takes.
func everySpot(a Axle, of Drawing) []StepPicture {
	names := slices.Sorted(maps.Keys(sketches()[of].spots(a)))
	var out []StepPicture
	for len(names) > 0 {
		sk := Sketch{Of: of, Way: WayIn}
		if of == DrawCarrier {
			sk.Left, sk.Right = "left", "right"
		}
		for _, n := range names[:min(MaxParts, len(names))] {
			sk.Parts = append(sk.Parts, Part{[]Spot{n}, string(n) + ": " + strings.Repeat("what it is ", 7)})
		}
		names = names[min(MaxParts, len(names)):]
		out = append(out, StepPicture{Title: "step", Axle: a, Sketches: []Sketch{sk}})
	}
	return out
}

// Every mark of every sketch stands in the frame, apart from the others, and its line
// ends inside the sketch.
func TestMarksKeepApartOnEveryConstruction(t *testing.T) {
	p := painter(t)
	seen := map[string]bool{} // of the same spots one is drawn
	for _, a := range axles() {
		for of, d := range sketches() {
			for spot, at := range d.spots(a) {
				if at.x < 0 || at.x > inner || at.y < 0 || at.y > d.height {
					t.Errorf("%s: the spot %q lies at %v, outside", of, spot, at)
				}
			}
			if key := fmt.Sprint(of, d.spots(a)); seen[key] {
				continue
			} else {
				seen[key] = true
			}
			for _, pic := range everySpot(a, of) {
				s := drawn(t, p, stepDrawing(string(of), pic))
				checkBoxes(t.Errorf, fmt.Sprintf("%s of %+v", of, a), s)
				for i := range pic.Sketches[0].Parts { // each in the sketch and beside its words
					s.said(t, pic.Sketches[0].markOf(i), 1)
				}
				p.sheets.Put(s)
			}
		}
	}
}

func TestAStepThatCannotBeDrawn(t *testing.T) {
	sk := Sketch{Of: DrawPinion, Parts: []Part{{[]Spot{SpotCapLeft}, "a cap"}}}
	for name, pic := range map[string]StepPicture{
		"nothing": {Title: "x"}, "no such sketch": {Sketches: []Sketch{{Of: "axle"}}},
		"a spot of another sketch":         {Sketches: []Sketch{sk}},
		"a pack where there is a sleeve":   {Axle: Axle{Preload: PreloadSleeve}, Sketches: []Sketch{{Of: DrawPinion, Parts: []Part{{[]Spot{SpotPack}, "pack"}}}}},
		"too many parts":                   {Sketches: []Sketch{{Of: DrawPinion, Parts: make([]Part, MaxParts+1)}}},
		"too many legs":                    {Legs: make([]Leg, MaxLegs+1)},
		"more lines than fit in a picture": {Legs: make([]Leg, MaxLegs), Checks: slices.Repeat([]Check{{Text: strings.Repeat("cover bolts ", 9)}}, MaxChecks)},
	} {
		var b bytes.Buffer
		if err := painter(t).Step(&b, pic); !errors.Is(err, ErrInput) || b.Len() > 0 {
			t.Errorf("%s: %v and %d bytes, want ErrInput and none", name, err, b.Len())
		}
	}
}

// drawings are pictures of every kind, usual and awkward.
func drawings() []drawing {
	pattern := samplePattern()
	reported := pattern
	reported.Change, reported.Backlash, reported.Drive.Predicted, reported.Coast.Predicted = nil, nil, nil, nil
	edge := pattern
	edge.Title = ""
	edge.Drive.Reported = &Patch{Centre: Point{0.9, -0.8}, Outline: ellipse(Point{0.9, -0.8}, Point{0.4, 0.5})}
	edge.Drive.Predicted = &Patch{Centre: Point{0.1, 0.1}, Outline: ellipse(Point{0.1, 0.1}, Point{0.5, 0.6})}
	edge.Coast = Flank{}
	wordy := pattern
	wordy.Title = strings.Repeat("a title that will not end ", 9)
	wordy.Drive.Reported = &Patch{Centre: Point{-0.2, 0.2}, Words: strings.Repeat("far out at the heel, high ", 9)}
	wordy.Notes = []string{strings.Repeat("why ", 300), "Zähne am Rand · Ζυγός · зуб \u202eאב 歯 🦷\x00\xff", strings.Repeat("W", 500), ""}
	wordy.Now = "now, computed from the axle sheet and nothing else at all"
	round := sampleBacklash()
	outside := round
	outside.Low, outside.SpreadLimit, outside.Clock, outside.Units = unit.Thou(7.4), unit.Thou(2), false, unit.Metric
	many := BacklashPicture{Units: unit.InchUnits, Low: unit.Thou(6), High: unit.Thou(10), Notes: []string{strings.Repeat("note ", 90)}}
	for i := range MaxReadings {
		many.Readings = append(many.Readings, RoundReading{At: unit.Deg(5 * float64(i)), Place: fmt.Sprintf("bolt %d of the ring gear", i), Value: unit.Thou(5 + float64(i*7%11))})
	}
	lone := BacklashPicture{Readings: []RoundReading{{Value: unit.Thou(8)}}}
	stacks := sampleStacks()
	tall := StacksPicture{Units: unit.Metric, Title: strings.Repeat("stack ", 40)}
	for i := range 4 {
		st := Stack{Name: strings.Repeat("left of the carrier ", i), Was: new(unit.MM(3)), Wanted: new(unit.MM(3.1))}
		for k := range 3 * i {
			st.Leaves = append(st.Leaves, Leaf{Thickness: unit.MM(0.05 + 0.3*float64(k)), Mark: strings.Repeat("kit ", k), New: k%2 == 0})
		}
		tall.Stacks = append(tall.Stacks, st)
	}
	return []drawing{
		patternDrawing("pattern", pattern), patternDrawing("pattern as reported", reported),
		patternDrawing("pattern at the edge", edge), patternDrawing("pattern with long words", wordy),
		backlashDrawing("backlash", round), backlashDrawing("backlash outside", outside),
		backlashDrawing("backlash, many", many), backlashDrawing("backlash, one", lone),
		choiceDrawing("choices", ChoicePicture{}), choiceDrawing("choices picked", ChoicePicture{Drive: 3, Coast: 7}),
		choiceDrawing("choices of one flank", ChoicePicture{Ask: CoastFlank, Coast: 5}),
		stacksDrawing("stacks", stacks), stacksDrawing("stacks, tall", tall),
		stepDrawing("step", sampleStep()), stepDrawing("break-in", StepPicture{Title: "break-in", Legs: []Leg{{"10 mi", "cool 30 min", true}, {"10 mi", "", false}}, Notes: []string{strings.Repeat("no towing ", 40)}}),
	}
}

// drawn renders a picture and gives its sheet, for looking at boxes and pixels.
func drawn(tb testing.TB, p *Painter, d drawing) *sheet {
	tb.Helper()
	s := p.sheets.Get().(*sheet)
	if err := p.render(s, func(s *sheet) error { return d.draw(s, p.labels) }); err != nil {
		tb.Fatalf("%s: %v", d.name, err)
	}
	return s
}

func (s *sheet) pixel(x, y float64) color.RGBA { return s.img.RGBAAt(int(x), int(y)) }

// minCapital is the least height of a capital letter, in pixels: on a phone that
// shows the picture 360 px wide it is the capital of a 12 px text.
const minCapital = 22

func TestTextIsTallEnough(t *testing.T) {
	p := painter(t)
	s := p.sheets.Get().(*sheet)
	for st := range styles {
		if h := float64(s.type_.faces[st].Metrics().CapHeight) / 64; h < minCapital {
			t.Errorf("style %d: capitals of %.1f px, want at least %d", st, h, minCapital)
		}
	}
}

func checkBoxes(fail func(string, ...any), name string, s *sheet) {
	for i, b := range s.boxes {
		if b.x < 6 || b.y < 6 || b.x+b.w > Width-6 || b.y+b.h > s.y-6 {
			fail("%s: %q at %.0f,%.0f size %.0f,%.0f leaves the picture (%d × %.0f)", name, b.text, b.x, b.y, b.w, b.h, Width, s.y)
		}
		for _, o := range s.boxes[:i] {
			if b.meets(o) {
				fail("%s: %q and %q overlap", name, b.text, o.text)
			}
		}
	}
}

func TestTextsKeepApart(t *testing.T) {
	for _, language := range []string{"en", "es"} {
		for _, d := range drawings() {
			s := drawn(t, painter(t).In(language), d)
			if len(s.boxes) < 4 {
				t.Errorf("%s in %s: only %d texts", d.name, language, len(s.boxes))
			}
			checkBoxes(t.Errorf, d.name+" in "+language, s)
		}
	}
}

// A figure goes on the next line with its unit.
func TestNoLineEndsBetweenFigureAndUnit(t *testing.T) {
	s := painter(t).sheets.Get().(*sheet)
	for _, text := range []string{"oil to the filler's edge: 80W-90 GL-5, 5.0 pt (2.4 l)", "adjuster lock bolts 12–18 N·m, 9 ft·lbf", "stop over 250 °F, about 500 mi or 800 km"} {
		for width := 240.0; width < 900; width += 7 {
			lines := s.type_.wrap(plain, text, width, 12)
			for i, line := range lines[:len(lines)-1] {
				if next := strings.Fields(lines[i+1])[0]; endsInFigure(line) && isUnit(next) {
					t.Errorf("%q is broken before %q", line, next)
				}
			}
			if got := strings.Join(lines, " "); got != text {
				t.Fatalf("%.0f px: %q", width, lines)
			}
		}
	}
}

// Every label of a language has the figures of the English one.
func TestLabelsHaveTheSameFigures(t *testing.T) {
	mark := regexp.MustCompile(`\{[a-z]+\}`)
	english, spanish := reflect.ValueOf(English()), reflect.ValueOf(Spanish())
	for i := range english.NumField() {
		name, en, es := english.Type().Field(i).Name, english.Field(i).String(), spanish.Field(i).String()
		want, got := mark.FindAllString(en, -1), mark.FindAllString(es, -1)
		slices.Sort(want)
		slices.Sort(got)
		if !slices.Equal(want, got) {
			t.Errorf("%s: %q in Spanish, English speaks of %q", name, es, want)
		}
	}
}

func TestTextsKeepApartWhateverIsDrawn(t *testing.T) {
	fewer(t, 5)
	p := painter(t)
	words := rapid.OneOf(rapid.Just(""), rapid.StringN(0, 60, 200), rapid.SampledFrom([]string{"heel, high", "toe", strings.Repeat("m", 99)}))
	point := rapid.Custom(func(t *rapid.T) Point {
		return Point{rapid.Float64Range(-1.2, 1.2).Draw(t, "along"), rapid.Float64Range(-1.2, 1.2).Draw(t, "across")}
	})
	patch := rapid.Custom(func(t *rapid.T) *Patch {
		if rapid.IntRange(0, 3).Draw(t, "none") == 0 {
			return nil
		}
		q := &Patch{Centre: point.Draw(t, "centre"), Words: words.Draw(t, "words")}
		q.Slack = Point{rapid.Float64Range(0, 0.5).Draw(t, "slack"), rapid.Float64Range(0, 0.5).Draw(t, "slack")}
		if rapid.Bool().Draw(t, "outlined") {
			q.Outline = rapid.SliceOfN(rapid.SliceOfN(point, 3, 12), 1, 3).Draw(t, "outline")
		}
		return q
	})
	rapid.Check(t, func(rt *rapid.T) {
		pic := PatternPicture{
			Title: words.Draw(rt, "title"), Units: rapid.SampledFrom([]unit.System{"", unit.InchUnits, unit.Metric}).Draw(rt, "units"),
			Drive: Flank{Reported: patch.Draw(rt, "drive now"), Predicted: patch.Draw(rt, "drive after"), Target: &Zone{Point{-0.5, -0.5}, Point{0.3, 0.4}}},
			Coast: Flank{Reported: patch.Draw(rt, "coast now"), Predicted: patch.Draw(rt, "coast after")},
			Notes: rapid.SliceOfN(words, 0, MaxNotes).Draw(rt, "notes"),
		}
		if err := pic.check(); err != nil {
			rt.Fatal(err)
		}
		s := drawn(t, p, patternDrawing("any", pic))
		defer p.sheets.Put(s)
		checkBoxes(rt.Errorf, "any", s)
		checkGround(rt.Errorf, "any", s)
		checkTags(rt.Errorf, pic, s)
	})
}

// checkTags holds that a tag hides less than half of itself's worth of the other
// patch, and stands on its own tooth.
func checkTags(fail func(string, ...any), pic PatternPicture, s *sheet) {
	l := English()
	for i, f := range [...]Flank{pic.Drive, pic.Coast} {
		tooth := s.teeth[i]
		for _, row := range []struct {
			text  string
			other *Patch
		}{{l.Now, f.Predicted}, {l.After, f.Reported}} {
			for _, b := range s.boxes {
				if b.text != row.text || b.style != small || row.other == nil || b.y < tooth.root-tooth.heelDepth || b.y > tooth.root {
					continue
				}
				const nx, ny = 30, 12
				n := 0
				for ix := range nx {
					for iy := range ny {
						if row.other.outline().holds(tooth.from(b.x+b.w*float64(ix)/nx, b.y+b.h*float64(iy)/ny)) {
							n++
						}
					}
				}
				if share := float64(n) / (nx * ny); share > 0.6 {
					fail("flank %d: the tag %q lies with %.0f %% on the other patch", i, b.text, 100*share)
				}
			}
		}
	}
}

func TestTagsAreThereAndOutOfTheWay(t *testing.T) {
	p := painter(t)
	pic := samplePattern()
	s := drawn(t, p, patternDrawing("sample", pic))
	l := English()
	for i := range 2 { // on both flanks
		if b := s.said(t, l.Now, i); b.y < s.teeth[i].root-s.teeth[i].heelDepth || b.y > s.teeth[i].root {
			t.Errorf("tag %q of flank %d is not on it", b.text, i)
		}
		s.said(t, l.After, i)
	}
	checkTags(t.Errorf, pic, s)
}

func TestBacklashTextsKeepApartWhateverIsDrawn(t *testing.T) {
	fewer(t, 4)
	p := painter(t)
	rapid.Check(t, func(rt *rapid.T) {
		reading := rapid.Custom(func(t *rapid.T) RoundReading {
			return RoundReading{
				At:    unit.Deg(rapid.Float64Range(-720, 720).Draw(t, "at")),
				Place: rapid.SampledFrom([]string{"", "12", "bolt 3", "a quarter turn on from the paint mark"}).Draw(t, "place"),
				Value: unit.Thou(rapid.Float64Range(0, 30).Draw(t, "value")),
			}
		})
		pic := BacklashPicture{Units: rapid.SampledFrom([]unit.System{unit.InchUnits, unit.Metric}).Draw(rt, "units"),
			Readings: rapid.SliceOfN(reading, 1, 16).Draw(rt, "readings"), SpreadLimit: unit.Thou(3), Clock: rapid.Bool().Draw(rt, "clock")}
		if rapid.Bool().Draw(rt, "limited") {
			pic.Low = unit.Thou(rapid.Float64Range(0, 10).Draw(rt, "low"))
			pic.High = pic.Low + unit.Thou(rapid.Float64Range(0.5, 9).Draw(rt, "band"))
		}
		if rapid.Bool().Draw(rt, "waved") {
			pic.Wave = &Wave{Mean: unit.Thou(8), Amplitude: unit.Thou(rapid.Float64Range(0, 9).Draw(rt, "amplitude")), Widest: unit.Deg(70)}
		}
		s := drawn(t, p, backlashDrawing("any", pic))
		defer p.sheets.Put(s)
		checkBoxes(rt.Errorf, "any", s)
		checkMarkers(rt.Errorf, "any", pic, s)
	})
}

// checkMarkers holds that no text of the plot lies on the marker of a reading.
func checkMarkers(fail func(string, ...any), name string, pic BacklashPicture, s *sheet) {
	r, g := pic.sorted(), s.plot
	for _, q := range r {
		m := box{x: g.x(turn(q.At)) - markerSize, y: g.y(q.Value) - markerSize, w: 2 * markerSize, h: 2 * markerSize}
		for _, b := range s.boxes {
			if b.meets(m) {
				fail("%s: %q lies on the marker of %v at %q", name, b.text, q.Value, q.Place)
			}
		}
	}
}

// A limit is named where there is room, though a reading stands at the left end of
// its line.
func TestLimitsAreNamedBesideTheMarkers(t *testing.T) {
	for _, language := range []string{"en", "es"} {
		p := painter(t).In(language)
		for _, first := range []float64{10, 10.6, 5.4, 6} {
			pic := sampleBacklash()
			pic.Wave = nil
			for i := range pic.Readings[:3] {
				pic.Readings[i].Value = unit.Thou(first)
			}
			s := drawn(t, p, backlashDrawing("at a limit", pic))
			checkBoxes(t.Errorf, "at a limit", s)
			checkMarkers(t.Errorf, "at a limit", pic, s)
			s.said(t, say(p.labels.Maximum, "value", "0.010 in"), 0)
			s.said(t, say(p.labels.Minimum, "value", "0.006 in"), 0)
			p.sheets.Put(s)
		}
	}
}

func TestSizeBytesAndSameBytes(t *testing.T) {
	p, other := painter(t), newPainter(t)
	all := drawings()
	first := make([]bytes.Buffer, len(all))
	for i, d := range all {
		if err := d.write(p, &first[i]); err != nil {
			t.Fatalf("%s: %v", d.name, err)
		}
	}
	for i := len(all) - 1; i >= 0; i-- { // each after another one than before
		d, a := all[i], &first[i]
		var b bytes.Buffer
		if err := d.write([...]*Painter{p, other}[i%2], &b); err != nil || !bytes.Equal(a.Bytes(), b.Bytes()) {
			t.Errorf("%s: drawn again, the bytes differ (%v)", d.name, err)
		}
		if a.Len() >= 120_000 {
			t.Errorf("%s: %d bytes, want below 120 000", d.name, a.Len())
		}
		im, err := png.Decode(a)
		if err != nil {
			t.Errorf("%s: %v", d.name, err)
			continue
		}
		if r := im.Bounds(); r.Dx() != Width || r.Dy() < 300 || r.Dy() > MaxHeight {
			t.Errorf("%s: %v px", d.name, r)
		}
		if o, ok := im.(interface{ Opaque() bool }); !ok || !o.Opaque() {
			t.Errorf("%s: the ground is not opaque, so a chat's own shows through", d.name)
		}
	}
}

func TestPainterIsSharedSafely(t *testing.T) {
	p := painter(t)
	all := drawings()[3:7]
	want := make([][]byte, len(all))
	for i, d := range all {
		var b bytes.Buffer
		if err := d.write(p, &b); err != nil {
			t.Fatal(err)
		}
		want[i] = b.Bytes()
	}
	var wg sync.WaitGroup
	for range 3 {
		wg.Go(func() {
			for i, d := range all {
				var b bytes.Buffer
				if err := d.write(p, &b); err != nil || !bytes.Equal(b.Bytes(), want[i]) {
					t.Errorf("%s: other bytes when drawn beside others (%v)", d.name, err)
				}
			}
		})
	}
	wg.Wait()
}

func TestTooMuchIsAnError(t *testing.T) {
	pic := StacksPicture{}
	for range MaxStacks {
		st := Stack{Name: "left"}
		for range MaxLeaves {
			st.Leaves = append(st.Leaves, Leaf{Thickness: unit.Thou(10), Mark: "kit"})
		}
		pic.Stacks = append(pic.Stacks, st)
	}
	var b bytes.Buffer
	if err := painter(t).Stacks(&b, pic); !errors.Is(err, ErrInput) || b.Len() > 0 {
		t.Errorf("got %v and %d bytes, want ErrInput and none", err, b.Len())
	}
}

func TestLabelsAreTheOnlyWords(t *testing.T) {
	// A language in capitals: what is still in small letters did not come from it.
	labels := English()
	v := reflect.ValueOf(&labels).Elem()
	mark := regexp.MustCompile(`\{[a-z]+\}`)
	for i := range v.NumField() {
		text := strings.ToUpper(v.Field(i).String())
		for _, m := range mark.FindAllString(v.Field(i).String(), -1) {
			text = strings.Replace(text, strings.ToUpper(m), m, 1)
		}
		v.Field(i).SetString(text)
	}
	p, err := New(labels)
	if err != nil {
		t.Fatal(err)
	}
	pattern, round, stacks := samplePattern(), sampleBacklash(), sampleStacks()
	pattern.Title, pattern.Drive.Reported.Words, pattern.Coast.Reported.Words = "", "", ""
	stacks.Note = ""
	for i := range stacks.Stacks {
		stacks.Stacks[i].Name = "A"
		for k := range stacks.Stacks[i].Leaves {
			stacks.Stacks[i].Leaves[k].Mark = ""
		}
	}
	units := regexp.MustCompile(`\b(in|mm)\b`)
	small := func(text string) bool {
		return strings.ContainsFunc(units.ReplaceAllString(text, ""), unicode.IsLower)
	}
	for _, d := range []drawing{patternDrawing("pattern", pattern), backlashDrawing("backlash", round), choiceDrawing("choices", ChoicePicture{Drive: 2}), choiceDrawing("one", ChoicePicture{Ask: DriveFlank}), stacksDrawing("stacks", stacks)} {
		for _, b := range drawn(t, p, d).boxes {
			if small(b.text) {
				t.Errorf("%s: %q is not from the labels", d.name, b.text)
			}
		}
		if alt := d.alt(labels); small(alt) {
			t.Errorf("%s: alt text %q is not from the labels", d.name, alt)
		}
	}
}

func TestMissingLabels(t *testing.T) {
	l := English()
	l.Heel, l.Wave = "", " "
	if _, err := New(l); err == nil || !strings.Contains(err.Error(), "Heel, Wave") {
		t.Errorf("got %v, want both missing labels named", err)
	}
}
