package picture

import (
	"bytes"
	"errors"
	"fmt"
	"image/color"
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"shimwright/calc/unit"
)

// near says that a pixel is of a colour, give or take the smoothing of edges.
func near(a, b color.RGBA, tol int) bool {
	for _, d := range [3]int{int(a.R) - int(b.R), int(a.G) - int(b.G), int(a.B) - int(b.B)} {
		if d > tol || d < -tol {
			return false
		}
	}
	return true
}

// where gives the middle and the number of the pixels of a colour between the
// rows y0 and y1.
func (s *sheet) where(c color.RGBA, tol int, y0, y1 float64) (mid xy, n int) {
	for y := y0; y < y1; y++ {
		for x := 0.0; x < Width; x++ {
			if near(s.pixel(x, y), c, tol) {
				mid.x, mid.y, n = mid.x+x, mid.y+y, n+1
			}
		}
	}
	if n > 0 {
		mid.x, mid.y = mid.x/float64(n), mid.y/float64(n)
	}
	return mid, n
}

// said finds the box of a text, the nth of its kind from the top.
func (s *sheet) said(tb testing.TB, text string, nth int) box {
	tb.Helper()
	for _, b := range s.boxes {
		if b.text == text {
			if nth == 0 {
				return b
			}
			nth--
		}
	}
	tb.Fatalf("no text %q", text)
	return box{}
}

func (b box) mid() xy { return xy{b.x + b.w/2, b.y + b.h/2} }

// TestPatchLiesWhereItIsTold finds the patch by its colour and the words by their
// boxes: a patch told at the heel must be nearer to the word heel than to toe, on
// both flanks alike. Nothing of the drawing's own geometry is used.
func TestPatchLiesWhereItIsTold(t *testing.T) {
	fewer(t, 5)
	p := painter(t)
	l := English()
	rapid.Check(t, func(rt *rapid.T) {
		coast := rapid.Bool().Draw(rt, "coast")
		c := Point{rapid.Float64Range(-0.7, 0.7).Draw(rt, "along"), rapid.Float64Range(-0.6, 0.6).Draw(rt, "across")}
		f := Flank{Reported: &Patch{Centre: c, Size: Point{0.2, 0.3}, Slack: Point{0.1, 0.1}}}
		l := l
		l.Now = "" // the tag's ground has the patch's colour
		pic := PatternPicture{Drive: f}
		nth := 0
		if coast {
			pic, nth = PatternPicture{Coast: f}, 1
		}
		s := p.sheets.Get().(*sheet)
		defer p.sheets.Put(s)
		if err := p.render(s, func(s *sheet) error { return pic.draw(s, l) }); err != nil {
			rt.Fatal(err)
		}
		top, root := s.said(t, l.Top, nth).mid(), s.said(t, l.Root, nth).mid()
		toe, heel := s.said(t, l.Toe, nth).mid(), s.said(t, l.Heel, nth).mid()
		mid, n := s.where(amber, 30, top.y-60, root.y)
		if n < 1500 {
			rt.Fatalf("only %d pixels of patch at %v", n, c)
		}
		along := (mid.x - (toe.x+heel.x)/2) / ((heel.x - toe.x) / 2)
		if math.Abs(along-c.Along) > 0.17 { // the words stand a little outside of the tooth
			rt.Errorf("patch told at %v along is drawn at %.2f between toe (−1) and heel (+1)", c, along)
		}
		if c.Along > 0.1 != (heel.x-mid.x < mid.x-toe.x) && math.Abs(c.Along) > 0.1 {
			rt.Errorf("patch told at %v is nearer to the wrong end", c)
		}
		if top.y >= root.y {
			rt.Fatalf("top (%.0f) is written under root (%.0f)", top.y, root.y)
		}
		// Along the middle line of the tooth, across is linear from root to top.
		if math.Abs(c.Along) < 0.15 {
			across := (root.y - 22 - mid.y) / (root.y - top.y - 44)
			if math.Abs(2*across-1-c.Across) > 0.2 {
				rt.Errorf("patch told at %v is drawn at %.2f from root to top", c, 2*across-1)
			}
		}
	})
}

func TestTeethAreAlike(t *testing.T) {
	p := painter(t)
	s := drawn(t, p, patternDrawing("sample", samplePattern()))
	if len(s.teeth) != 2 {
		t.Fatalf("%d teeth", len(s.teeth))
	}
	a, b := s.teeth[0], s.teeth[1]
	if a.x0 != b.x0 || a.x1 != b.x1 || a.toeDepth != b.toeDepth || a.heelDepth != b.heelDepth {
		t.Errorf("the flanks differ: %+v, %+v", a, b)
	}
	if a.toeDepth > 0.85*a.heelDepth {
		t.Errorf("toe %.0f px, heel %.0f px: the taper does not tell them apart", a.toeDepth, a.heelDepth)
	}
	l := English()
	for i, name := range []string{l.Drive, l.Coast} {
		if y := s.said(t, name, 0).mid().y; y > s.teeth[i].root-s.teeth[i].heelDepth || (i == 1 && y < s.teeth[0].root) {
			t.Errorf("%s is not written over its own tooth", name)
		}
		toe, heel := s.said(t, l.Toe, i), s.said(t, l.Heel, i)
		if toe.x+toe.w > s.teeth[i].x0 || heel.x < s.teeth[i].x1 {
			t.Errorf("%s: toe or heel is not beside the tooth's ends", name)
		}
	}
}

// TestPatchesDifferWithoutColour holds that the reported patch is filled, the
// predicted one hatched, and the target only outlined, with gaps.
func TestPatchesDifferWithoutColour(t *testing.T) {
	p := painter(t)
	c, size := Point{0.1, -0.1}, Point{0.5, 0.6}
	inside := func(t tooth, f func(xy)) {
		for y := t.root - t.heelDepth; y < t.root; y++ {
			for x := t.x0; x < t.x1; x++ {
				q := t.from(x+0.5, y+0.5)
				if math.Hypot((q.Along-c.Along)/size.Along, (q.Across-c.Across)/size.Across) < 0.8 {
					f(xy{x, y})
				}
			}
		}
	}
	share := func(pic PatternPicture, want color.RGBA) float64 {
		s := drawn(t, p, patternDrawing("one patch", pic))
		n, hits := 0, 0
		inside(s.teeth[0], func(at xy) {
			n++
			if near(s.pixel(at.x, at.y), want, 20) {
				hits++
			}
		})
		return float64(hits) / float64(n)
	}
	patch := &Patch{Centre: c, Size: size}
	if got := share(PatternPicture{Drive: Flank{Reported: patch}}, amber); got < 0.97 {
		t.Errorf("the reported patch is %.0f %% filled, want all", 100*got)
	}
	if got := share(PatternPicture{Drive: Flank{Predicted: patch}}, sky); got < 0.2 || got > 0.5 {
		t.Errorf("the predicted patch is %.0f %% filled, want hatching of some third", 100*got)
	}
	zone := &Zone{Point{c.Along - size.Along, c.Across - size.Across}, Point{c.Along + size.Along, c.Across + size.Across}}
	if got := share(PatternPicture{Drive: Flank{Target: zone}}, white); got > 0.001 {
		t.Errorf("the target zone is %.1f %% filled, want nothing", 100*got)
	}
	s := drawn(t, p, patternDrawing("zone", PatternPicture{Drive: Flank{Target: zone}}))
	tooth := s.teeth[0]
	dashes, gaps := 0, 0
	for x := tooth.at(zone.Low).x + 40; x < tooth.at(zone.High).x-40; x++ {
		y := tooth.at(Point{tooth.from(x, 0).Along, zone.Low.Across}).y
		switch c := s.pixel(x, y); {
		case near(c, white, 20):
			dashes++
		case near(c, steel, 20):
			gaps++
		}
	}
	if dashes < 80 || gaps < 40 {
		t.Errorf("the edge of the target zone has %d px of dash and %d px of gap", dashes, gaps)
	}
}

// TestPatchOfSeveralParts holds that each part is drawn and a hole is left free,
// for a patch as it is and for a predicted one.
func TestPatchOfSeveralParts(t *testing.T) {
	p := painter(t)
	hole := ellipse(Point{-0.3, 0}, Point{0.2, 0.3})[0]
	slices.Reverse(hole)
	patch := &Patch{Centre: Point{0.8, -0.8}, Outline: [][]Point{ellipse(Point{-0.3, 0}, Point{0.5, 0.7})[0], hole, ellipse(Point{0.6, 0.2}, Point{0.15, 0.3})[0]}}
	for name, row := range map[string]struct {
		flank  Flank
		colour color.RGBA
	}{
		"as it is":  {Flank{Reported: patch}, amber},
		"predicted": {Flank{Predicted: patch}, sky},
	} {
		s := drawn(t, p, patternDrawing(name, PatternPicture{Coast: row.flank}))
		tooth := s.teeth[1]
		// a small square, larger than the hatching's step
		found := func(c Point) (n int) {
			at := tooth.at(c)
			for dy := -10.0; dy < 10; dy++ {
				for dx := -10.0; dx < 10; dx++ {
					if near(s.pixel(at.x+dx, at.y+dy), row.colour, 20) {
						n++
					}
				}
			}
			return n
		}
		for _, c := range []Point{{-0.65, 0}, {0.05, 0}, {0.6, 0.2}} {
			if n := found(c); n < 80 {
				t.Errorf("%s: only %d of 400 pixels at %v, which is on the patch", name, n, c)
			}
		}
		for _, c := range []Point{{-0.3, 0}, {0.35, 0.2}, {0.9, 0.2}} {
			if n := found(c); n > 0 {
				t.Errorf("%s: %d pixels at %v, which is off the patch or in its hole", name, n, c)
			}
		}
		if n := len(s.teeth); n != 2 {
			t.Fatalf("%d teeth", n)
		}
	}
}

func TestSoftPatchFadesOverItsSlack(t *testing.T) {
	p := newPainter(t)
	// A middle known to ±0.2 and a half length of 0.4: surely covered up to 0.2, half
	// likely at 0.4, surely free from 0.6 on.
	soft := &Patch{Centre: Point{0, 0}, Size: Point{0.4, 0.5}, Slack: Point{0.2, 0.2}}
	p.labels.Now = "" // no tag in the way
	s := drawn(t, p, patternDrawing("soft", PatternPicture{Drive: Flank{Reported: soft}}))
	tooth := s.teeth[0]
	for _, way := range []struct {
		name string
		at   func(v float64) Point
		half float64
	}{
		{"towards heel", func(v float64) Point { return Point{v, 0} }, 0.4},
		{"towards toe", func(v float64) Point { return Point{-v, 0} }, 0.4},
		{"towards root", func(v float64) Point { return Point{0, -v} }, 0.5},
	} {
		for _, row := range []struct{ past, chance float64 }{{-0.23, 1}, {-0.1, 0.75}, {0, 0.5}, {0.1, 0.25}, {0.23, 0}} {
			at := tooth.at(way.at(way.half + row.past))
			red := float64(s.pixel(at.x, at.y).R)
			got := (red - float64(steel.R)) / (float64(amber.R) - float64(steel.R))
			if math.Abs(got-row.chance) > 0.06 {
				t.Errorf("%s, %+.2f from the nominal edge: opacity %.2f, want %.2f (derived: the chance to lie on the patch)", way.name, row.past, got, row.chance)
			}
		}
	}
}

func TestArrowPointsToThePrediction(t *testing.T) {
	p := painter(t)
	pic := PatternPicture{Drive: Flank{Reported: &Patch{Centre: Point{0.6, 0.5}}, Predicted: &Patch{Centre: Point{-0.4, -0.3}}}}
	s := drawn(t, p, patternDrawing("arrow", pic))
	tooth := s.teeth[0]
	a, b := tooth.at(Point{0.6, 0.5}), tooth.at(Point{-0.4, -0.3})
	// half way stands its white shaft, and its wide end is at the prediction
	if got := s.pixel((a.x+b.x)/2, (a.y+b.y)/2); !near(got, white, 20) {
		t.Errorf("no shaft half way: %v", got)
	}
	across := func(f float64) int {
		n := 0
		dx, dy := b.x-a.x, b.y-a.y
		d := math.Hypot(dx, dy)
		for k := -40.0; k <= 40; k += 0.5 {
			if near(s.pixel(a.x+f*dx-k*dy/d, a.y+f*dy+k*dx/d), white, 20) {
				n++
			}
		}
		return n
	}
	d := math.Hypot(b.x-a.x, b.y-a.y)
	if head, shaft := across(1-20/d), across(0.5); head < 2*shaft {
		t.Errorf("near the prediction the arrow is %d wide, its shaft %d: no head there", head, shaft)
	}
}

func TestCells(t *testing.T) {
	l := English()
	for _, row := range []struct {
		n      int
		words  string
		at     Point
		source string
	}{
		{1, "toe top", Point{-0.9, 0.9}, "convention of this package, as a typed answer needs it"},
		{2, "centre top", Point{0, 0.5}, "same"},
		{3, "heel top", Point{0.5, 0.4}, "same"},
		{4, "toe middle", Point{-0.4, -0.3}, "same"},
		{5, "centre", Point{0.3, -0.3}, "same"},
		{6, "heel middle", Point{1, 0}, "same"},
		{7, "toe root", Point{-1, -1}, "same"},
		{8, "centre root", Point{0.1, -0.4}, "same"},
		{9, "heel root", Point{2, -2}, "a place off the tooth counts to the cell beside it"},
	} {
		if got := l.place(row.n); got != row.words {
			t.Errorf("cell %d is called %q, want %q (%s)", row.n, got, row.words, row.source)
		}
		if got, err := CellAt(row.at); err != nil || got != row.n {
			t.Errorf("%v lies in cell %d (%v), want %d (%s)", row.at, got, err, row.n, row.source)
		}
		c, err := CellCentre(row.n)
		if err != nil {
			t.Fatal(err)
		}
		if got, _ := CellAt(c); got != row.n {
			t.Errorf("the middle of cell %d lies in cell %d (%s)", row.n, got, row.source)
		}
	}
	for _, n := range []int{-1, 0, 10, math.MaxInt} {
		if _, err := CellCentre(n); !errors.Is(err, ErrInput) {
			t.Errorf("cell %d: %v, want ErrInput", n, err)
		}
	}
	if _, err := CellAt(Point{math.NaN(), 0}); !errors.Is(err, ErrInput) {
		t.Errorf("a place that is no number: %v", err)
	}
}

// TestCellsAreDrawnWhereTheyCount compares the drawn figures with the cells:
// the box of the figure n lies in cell n.
func TestCellsAreDrawnWhereTheyCount(t *testing.T) {
	p := painter(t)
	s := drawn(t, p, choiceDrawing("choices", ChoicePicture{Coast: 7}))
	for flank, tooth := range s.teeth {
		for n := 1; n <= Cells; n++ {
			at := s.said(t, fmt.Sprint(n), flank).mid()
			if got, _ := CellAt(tooth.from(at.x, at.y)); got != n {
				t.Errorf("flank %d: figure %d stands in cell %d", flank, n, got)
			}
		}
	}
	// the picked cell is bright, the same cell of the other flank is not
	c, _ := CellCentre(7)
	at := func(tooth tooth) color.RGBA { q := tooth.at(c); return s.pixel(q.x+60, q.y) }
	if !near(at(s.teeth[1]), amber, 20) || !near(at(s.teeth[0]), steel, 20) {
		t.Errorf("picked cell %v, the other flank's %v", at(s.teeth[1]), at(s.teeth[0]))
	}
}

func TestClipKeepsWhatIsOnTheTooth(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		point := rapid.Custom(func(t *rapid.T) Point {
			return Point{rapid.Float64Range(-3, 3).Draw(t, "a"), rapid.Float64Range(-3, 3).Draw(t, "c")}
		})
		in := rapid.SliceOfN(point, 3, 9).Draw(rt, "outline")
		out := clip(in)
		for _, q := range out {
			if math.Abs(q.Along) > 1+1e-9 || math.Abs(q.Across) > 1+1e-9 {
				rt.Fatalf("%v is off the tooth", q)
			}
		}
		for range 40 {
			q := Point{rapid.Float64Range(-0.999, 0.999).Draw(rt, "qa"), rapid.Float64Range(-0.999, 0.999).Draw(rt, "qc")}
			if margin := edgeDistance(in, q); margin < 1e-6 {
				continue // on an edge either answer is right
			}
			if (shape{in}).holds(q) != (shape{out}).holds(q) {
				rt.Fatalf("%v: inside before %v, after %v", q, (shape{in}).holds(q), (shape{out}).holds(q))
			}
		}
	})
}

// edgeDistance is the distance from a point to the nearest edge of an outline.
func edgeDistance(outline []Point, p Point) float64 {
	least := math.Inf(1)
	for i, a := range outline {
		b := outline[(i+len(outline)-1)%len(outline)]
		dx, dy := b.Along-a.Along, b.Across-a.Across
		f := 0.0
		if d := dx*dx + dy*dy; d > 0 {
			f = math.Max(0, math.Min(1, ((p.Along-a.Along)*dx+(p.Across-a.Across)*dy)/d))
		}
		least = math.Min(least, math.Hypot(a.Along+f*dx-p.Along, a.Across+f*dy-p.Across))
	}
	return least
}

func TestFlankCoordinatesAndBack(t *testing.T) {
	tooth := tooth{x0: 100, x1: 780, root: 400, toeDepth: 140, heelDepth: 200}
	rapid.Check(t, func(rt *rapid.T) {
		p := Point{rapid.Float64Range(-1, 1).Draw(rt, "along"), rapid.Float64Range(-1, 1).Draw(rt, "across")}
		at := tooth.at(p)
		if q := tooth.from(at.x, at.y); math.Abs(q.Along-p.Along) > 1e-9 || math.Abs(q.Across-p.Across) > 1e-9 {
			rt.Fatalf("%v comes back as %v", p, q)
		}
	})
}

func TestPatternFacts(t *testing.T) {
	l := English()
	for _, row := range []struct {
		name   string
		pic    PatternPicture
		moves  string
		lash   string
		source string
	}{
		{"deeper and away", PatternPicture{Units: unit.InchUnits, Change: &Change{unit.Thou(5), unit.Thou(-3)}}, "pinion +0.005 in (deeper)|ring gear −0.003 in (away from pinion)", "", "sign convention: + deeper, + towards the pinion"},
		{"shallower and towards", PatternPicture{Units: unit.Metric, Change: &Change{unit.MM(-0.05), unit.MM(0.1)}}, "pinion −0.05 mm (shallower)|ring gear +0.10 mm (towards pinion)", "", "same"},
		{"ring only", PatternPicture{Units: unit.InchUnits, Change: &Change{0, unit.Thou(10)}}, "ring gear +0.010 in (towards pinion)", "", "same"},
		{"lash", PatternPicture{Units: unit.InchUnits, Backlash: &Backlash{Value: unit.Thou(8)}}, "", "backlash 0.008 in", "derived"},
		{"lash, interval", PatternPicture{Units: unit.InchUnits, Backlash: &Backlash{Value: unit.Thou(8), Low: unit.Thou(7), High: unit.Thou(9)}}, "", "backlash 0.008 in (0.007 to 0.009 in)", "derived"},
		{"lash before", PatternPicture{Units: unit.Metric, Backlash: &Backlash{Before: new(unit.MM(0.28)), Value: unit.MM(0.2)}}, "", "backlash 0.28 mm → 0.20 mm", "derived"},
	} {
		if got := strings.Join(row.pic.moves(l), "|"); got != row.moves {
			t.Errorf("%s: moves %q, want %q (%s)", row.name, got, row.moves, row.source)
		}
		if got := row.pic.lash(l); got != row.lash {
			t.Errorf("%s: backlash %q, want %q (%s)", row.name, got, row.lash, row.source)
		}
	}
}

func TestPatternRefuses(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	good := &Patch{}
	p := painter(t)
	for name, pic := range map[string]PatternPicture{
		"nothing":            {},
		"centre":             {Drive: Flank{Reported: &Patch{Centre: Point{nan, 0}}}},
		"centre far off":     {Drive: Flank{Predicted: &Patch{Centre: Point{0, 3.1}}}},
		"slack":              {Coast: Flank{Reported: &Patch{Slack: Point{-0.1, 0}}}},
		"slack inf":          {Coast: Flank{Reported: &Patch{Slack: Point{inf, 0}}}},
		"size":               {Coast: Flank{Predicted: &Patch{Size: Point{0, nan}}}},
		"two points":         {Drive: Flank{Reported: &Patch{Outline: [][]Point{make([]Point, 2)}}}},
		"too many points":    {Drive: Flank{Reported: &Patch{Outline: [][]Point{make([]Point, MaxOutline-1), make([]Point, 3)}}}},
		"point":              {Drive: Flank{Reported: &Patch{Outline: [][]Point{{{}, {0, nan}, {1, 1}}}}}},
		"zone turned":        {Drive: Flank{Target: &Zone{Point{0.5, 0}, Point{0.2, 1}}}},
		"zone nan":           {Drive: Flank{Target: &Zone{Point{nan, 0}, Point{0.2, 1}}}},
		"zone off":           {Drive: Flank{Target: &Zone{Point{0, 0}, Point{0.2, 1.1}}}},
		"change":             {Drive: Flank{Reported: good}, Change: &Change{Pinion: unit.Length(nan)}},
		"backlash":           {Drive: Flank{Reported: good}, Backlash: &Backlash{Value: unit.Length(inf)}},
		"backlash interval":  {Drive: Flank{Reported: good}, Backlash: &Backlash{Low: 2, High: 1}},
		"backlash before":    {Drive: Flank{Reported: good}, Backlash: &Backlash{Before: new(unit.Length(nan))}},
		"too many notes":     {Drive: Flank{Reported: good}, Notes: make([]string, MaxNotes+1)},
		"change out of hand": {Drive: Flank{Reported: good}, Change: &Change{Ring: 1e9}},
	} {
		var b bytes.Buffer
		if err := p.Pattern(&b, pic); !errors.Is(err, ErrInput) || b.Len() > 0 {
			t.Errorf("%s: got %v and %d bytes, want ErrInput and none", name, err, b.Len())
		}
		if alt := pic.AltText(English()); alt != "" {
			t.Errorf("%s: alt text %q of a picture that cannot be drawn", name, alt)
		}
	}
	if err := p.Pattern(failing{}, PatternPicture{Drive: Flank{Reported: good}}); !errors.Is(err, errFull) {
		t.Errorf("a failing writer's error is lost: %v", err)
	}
}

var errFull = errors.New("full")

type failing struct{}

func (failing) Write([]byte) (int, error) { return 0, errFull }
