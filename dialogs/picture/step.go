package picture

import (
	"io"
	"slices"
)

// StepPicture shows what a step of the job is about: sketches of the axle with marked
// places, and under each what every mark is. All its texts come with it, in the order
// of the marks: a mark is the letter or the number of its part.
type StepPicture struct {
	Title    string
	Note     string // under the title, may be empty
	Axle     Axle
	Sketches []Sketch // at most MaxSketches
	Checks   []Check  // at most MaxChecks, lines to be ticked
	Legs     []Leg    // at most MaxLegs, of a break-in
	Notes    []string // at most MaxNotes
}

// Axle is the construction the sketches are drawn for.
type Axle struct {
	RingRight bool    `json:",omitempty"` // seen from the cover
	HighUp    bool    `json:",omitempty"` // the pinion lies above the ring gear's centre
	Shim      Shim    `json:",omitempty"`
	Sides     Sides   `json:",omitempty"`
	Preload   Preload `json:",omitempty"`
	LeftHand  bool    `json:",omitempty"` // the ring gear bolts
	Teeth     [2]int  // of pinion and ring gear, as written on the parts
}

// Shim is the place of the depth shim.
type Shim string

// The places: between pinion head and head bearing, under that bearing's race in the
// housing, under the flange of a bolted cartridge.
const (
	ShimBehindHead     Shim = "head"
	ShimUnderRace      Shim = "race"
	ShimUnderCartridge Shim = "cartridge"
)

// Sides is what positions the carrier.
type Sides string

// Shims between bearing and housing, shims between bearing and carrier, threaded
// adjusters.
const (
	SidesOutside  Sides = "outside"
	SidesUnder    Sides = "under"
	SidesAdjuster Sides = "adjusters"
)

// Preload is what lies between the pinion's two bearings.
type Preload string

// A sleeve that is crushed, or a spacer with a pack of shims.
const (
	PreloadSleeve Preload = "sleeve"
	PreloadPack   Preload = "pack"
)

// Sketch is one drawing with its marked parts.
type Sketch struct {
	Of    Drawing
	Way   Way    `json:",omitempty"` // what an arrow shows
	Left  string `json:",omitempty"` // written at the ends of a carrier
	Right string `json:",omitempty"`
	Parts []Part // at most MaxParts
	// Ordered marks the parts by number, in the order they go together, and not by
	// letter.
	Ordered bool `json:",omitempty"`
}

// Drawing is what a sketch shows.
type Drawing string

// The drawings.
const (
	DrawPinion  Drawing = "pinion"  // cut lengthwise, the head on the left
	DrawCarrier Drawing = "carrier" // in the housing, seen from the cover
	DrawBolts   Drawing = "bolts"   // the back of the ring gear, and it edgewise on the carrier
	DrawLash    Drawing = "lash"    // the ring gear with a dial on a tooth
	DrawParts   Drawing = "parts"   // the gear set on the bench
	DrawClosed  Drawing = "closed"  // the axle with everything on it
)

// Way is what an arrow in a sketch shows, none where empty.
type Way string

// The ways: a pinion that goes deeper, or away; a carrier squeezed from both sides.
const (
	WayDeeper Way = "deeper"
	WayAway   Way = "away"
	WayIn     Way = "in"
)

// Part is one mark: the spots of the drawing it stands at, and what it is.
type Part struct {
	At   []Spot
	Text string
}

// Check is a line with a box before it, ticked where it is done.
type Check struct {
	Text string
	Done bool `json:",omitempty"`
}

// Leg is one drive of a break-in and the cooling after it.
type Leg struct {
	Drive string
	Cool  string // empty: none
	Done  bool   `json:",omitempty"`
}

// Limits of a step picture.
const (
	MaxSketches = 2
	MaxParts    = 9
	MaxChecks   = 12
	MaxLegs     = 8
)

func (p StepPicture) check() error {
	if len(p.Sketches) > MaxSketches || len(p.Checks) > MaxChecks || len(p.Legs) > MaxLegs || len(p.Notes) > MaxNotes {
		return inputError("%d sketches, %d checks, %d legs, %d notes; at most %d, %d, %d, %d", len(p.Sketches), len(p.Checks), len(p.Legs), len(p.Notes), MaxSketches, MaxChecks, MaxLegs, MaxNotes)
	}
	if len(p.Sketches)+len(p.Legs) == 0 {
		return inputError("nothing to draw")
	}
	for _, sk := range p.Sketches {
		draw, ok := sketches()[sk.Of]
		if !ok {
			return inputError("sketch of %q", sk.Of)
		}
		if len(sk.Parts) > MaxParts {
			return inputError("%d parts, at most %d", len(sk.Parts), MaxParts)
		}
		spots := draw.spots(p.Axle)
		for _, part := range sk.Parts {
			for _, at := range part.At {
				if _, ok := spots[at]; !ok {
					return inputError("no %q in the sketch of %q", at, sk.Of)
				}
			}
		}
	}
	return nil
}

// Step writes the picture of a step as a PNG. It errs (ErrInput) where there is
// nothing to draw, where a spot is not in its drawing, and where it does not fit.
func (p *Painter) Step(w io.Writer, pic StepPicture) error {
	if err := pic.check(); err != nil {
		return err
	}
	return p.paint(w, func(s *sheet) error { return pic.draw(s) })
}

func (p StepPicture) draw(s *sheet) error {
	s.heading(p.Title, p.Note)
	s.y += 8
	for _, sk := range p.Sketches {
		if s.y+sketches()[sk.Of].height+2*callRow > MaxHeight {
			return inputError("no room for the sketch of %q", sk.Of)
		}
		s.sketch(p.Axle, sk)
	}
	for i, l := range p.Legs {
		s.leg(i+1, l)
	}
	if len(p.Legs) > 0 {
		s.y += 14
	}
	for _, c := range p.Checks {
		s.checkLine(c)
	}
	for _, text := range p.Notes {
		s.line(plain, text, 3, ink)
	}
	return nil
}

// markOf writes the mark of part i.
func (sk Sketch) markOf(i int) string {
	if sk.Ordered {
		return string(rune('1' + i))
	}
	return string(rune('A' + i))
}

// discSize is the half width of a mark's disc.
const discSize = 24.0

// disc draws a mark.
func (s *sheet) disc(at xy, mark string) {
	s.dc.DrawCircle(at.x, at.y, discSize)
	s.dc.SetColor(white)
	s.dc.FillPreserve()
	s.stroke(ink, 4)
	s.writeAmid(label, mark, at.x, at.y, centred, 2*discSize, ink)
}

// callRow is the height of a row of marks.
const callRow = 2*discSize + 26

// sketch draws one sketch, its marks above and below it, and what they are.
func (s *sheet) sketch(a Axle, sk Sketch) {
	d := sketches()[sk.Of]
	const row = callRow
	top := s.y
	s.dc.DrawRectangle(margin, top, inner, d.height+2*row)
	s.stroke(rule, 3)
	at := xy{margin, top + row}
	d.draw(s, at, a, sk)
	spots := d.spots(a)
	var above, below []call
	for i, part := range sk.Parts {
		for _, name := range part.At {
			sp := spots[name]
			c := call{mark: sk.markOf(i), to: xy{at.x + sp.x, at.y + sp.y}}
			if sp.y < d.middle {
				above = append(above, c)
			} else {
				below = append(below, c)
			}
		}
	}
	s.calls(above, top+discSize+8)
	s.calls(below, top+2*row+d.height-discSize-8)
	s.y = top + 2*row + d.height + 14
	for i, part := range sk.Parts {
		s.caption(sk.markOf(i), part.Text)
	}
	s.y += 6
}

// call is a mark and the spot its line leads to.
type call struct {
	mark string
	to   xy
	x    float64 // of the disc
}

// calls draws a row of marks at height y, each as near above or below its spot as the
// others let it, in the order of the spots, so that no two lines cross.
func (s *sheet) calls(all []call, y float64) {
	slices.SortStableFunc(all, func(a, b call) int {
		switch {
		case a.to.x < b.to.x:
			return -1
		case a.to.x > b.to.x:
			return 1
		}
		return 0
	})
	const step, left, right = 2*discSize + 14, margin + discSize + 8, Width - margin - discSize - 8
	for i := range all {
		all[i].x = max(all[i].to.x, left)
		if i > 0 {
			all[i].x = max(all[i].x, all[i-1].x+step)
		}
	}
	for i := len(all) - 1; i >= 0; i-- { // what was pushed out on the right comes back
		most := right
		if i+1 < len(all) {
			most = all[i+1].x - step
		}
		all[i].x = min(all[i].x, most)
	}
	for _, c := range all {
		s.dc.DrawLine(c.x, y, c.to.x, c.to.y)
		s.dc.SetColor(white)
		s.dc.SetLineWidth(8)
		s.dc.StrokePreserve()
		s.stroke(ink, 3)
		s.dc.DrawCircle(c.to.x, c.to.y, 8)
		s.dc.SetColor(white)
		s.dc.FillPreserve()
		s.stroke(ink, 3)
	}
	for _, c := range all {
		s.disc(xy{c.x, y}, c.mark)
	}
}

// caption writes what a mark is.
func (s *sheet) caption(mark, text string) {
	const x = margin + 2*discSize + 18
	if s.y > MaxHeight {
		return // frame reports it
	}
	s.disc(xy{margin + discSize, s.y + discSize}, mark)
	first := s.y
	s.y += 9
	for _, part := range s.type_.wrap(plain, s.type_.clean(text), Width-margin-x, 3) {
		s.write(plain, part, x, s.y+ascent*pixels[plain], fromLeft, Width-margin-x, ink)
		s.y += 1.2 * pixels[plain]
	}
	s.y = max(s.y, first+2*discSize) + 6
}

// checkLine writes a line with its box.
func (s *sheet) checkLine(c Check) {
	const size, x = 34.0, margin + 34.0 + 18
	if s.y > MaxHeight {
		return // frame reports it
	}
	s.y += 4
	s.dc.DrawRectangle(margin+2, s.y+2, size, size)
	s.dc.SetColor(white)
	s.dc.FillPreserve()
	s.stroke(ink, 4)
	if c.Done {
		s.dc.MoveTo(margin+9, s.y+19)
		s.dc.LineTo(margin+17, s.y+29)
		s.dc.LineTo(margin+32, s.y+6)
		s.stroke(ink, 6)
	}
	for _, part := range s.type_.wrap(plain, s.type_.clean(c.Text), Width-margin-x, 2) {
		s.write(plain, part, x, s.y+ascent*pixels[plain], fromLeft, Width-margin-x, ink)
		s.y += 1.2 * pixels[plain]
	}
	s.y += 4
}

// leg draws one drive as a solid block with an arrow's head, and the cooling after it
// as a hatched one.
func (s *sheet) leg(n int, l Leg) {
	const high, head, x, split = 66.0, 30.0, margin + 2*discSize + 18, 470.0
	s.y += 10
	mark := string(rune('0' + n))
	s.disc(xy{margin + discSize, s.y + high/2}, mark)
	s.polygon([]xy{{x, s.y}, {split - head, s.y}, {split, s.y + high/2}, {split - head, s.y + high}, {x, s.y + high}})
	s.dc.SetColor(steel)
	s.dc.FillPreserve()
	s.stroke(ink, 4)
	room := split - head - x - 20
	if l.Done {
		room -= 44
		tick := xy{split - head - 52, s.y + high/2}
		s.dc.MoveTo(tick.x, tick.y)
		s.dc.LineTo(tick.x+13, tick.y+15)
		s.dc.LineTo(tick.x+38, tick.y-19)
		s.stroke(white, 7)
	}
	s.writeAmid(strong, l.Drive, x+14, s.y+high/2, fromLeft, room, white)
	if l.Cool != "" {
		x0, x1 := split+14, Width-margin-2
		s.dc.DrawRectangle(x0, s.y, x1-x0, high)
		s.fill(band)
		s.hatch(x0, s.y, x1-x0, high, 26)
		text := s.type_.fit(strong, s.type_.clean(l.Cool), x1-x0-60)
		w := s.type_.width(strong, text) + 28
		s.dc.DrawRoundedRectangle((x0+x1-w)/2, s.y+8, w, high-16, 10)
		s.fill(card)
		s.writeAmid(strong, text, (x0+x1)/2, s.y+high/2, centred, w, ink)
		s.dc.DrawRectangle(x0, s.y, x1-x0, high)
		s.stroke(ink, 4)
	}
	s.y += high + 4
}

// AltText says in words what the picture shows, in at most 1000 characters; it is
// empty where the picture cannot be drawn.
func (p StepPicture) AltText(l Labels) string {
	if p.check() != nil {
		return ""
	}
	var facts []string
	if p.Note != "" {
		facts = append(facts, p.Note)
	}
	for _, sk := range p.Sketches {
		for i, part := range sk.Parts {
			facts = append(facts, sk.markOf(i)+" "+part.Text)
		}
	}
	for i, leg := range p.Legs {
		text := string(rune('1'+i)) + " " + leg.Drive
		if leg.Cool != "" {
			text += ", " + leg.Cool
		}
		facts = append(facts, text)
	}
	for _, c := range p.Checks {
		facts = append(facts, c.Text)
	}
	return altText(l, p.Title, append(facts, p.Notes...))
}
