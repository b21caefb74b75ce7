package picture

import (
	"image"
	"image/color"
	"image/draw"
	"math"

	"git.sr.ht/~sbinet/gg"
	"golang.org/x/image/font/sfnt"
)

// margin is the free edge of a picture.
const margin = 30.0

// inner is the width between the margins.
const inner = Width - 2*margin

// sheet is one picture being drawn: its pixels, the cursor y to which it is
// filled, and the boxes of the texts written so far.
type sheet struct {
	dc      *gg.Context
	img     *image.RGBA
	indexed []uint8
	blank   []uint8 // one row of card
	type_   *typesetter
	y       float64
	boxes   []box
	teeth   []tooth // drawn so far, drive first
	plot    plot    // of a backlash picture
}

// box is where a text stands, so that the next can stand elsewhere.
type box struct {
	text       string
	style      style
	x, y, w, h float64 // top left corner and size, in pixels
	colour     color.RGBA
}

func (b box) meets(o box) bool {
	return b.x < o.x+o.w && o.x < b.x+b.w && b.y < o.y+o.h && o.y < b.y+b.h
}

func newSheet(fonts [2]*sfnt.Font) *sheet {
	s := &sheet{img: image.NewRGBA(image.Rect(0, 0, Width, MaxHeight)), indexed: make([]uint8, Width*MaxHeight), type_: newTypesetter(fonts)}
	s.blank = make([]uint8, Width*4)
	for i := 0; i < len(s.blank); i += 4 {
		copy(s.blank[i:], []uint8{card.R, card.G, card.B, card.A})
	}
	return s
}

// reset makes the sheet as new.
func (s *sheet) reset() {
	for i := 0; i < len(s.img.Pix); i += len(s.blank) {
		copy(s.img.Pix[i:], s.blank)
	}
	s.dc = gg.NewContextForRGBA(s.img)
	s.dc.SetLineCapRound()
	s.dc.SetLineJoinRound()
	s.y = margin
	s.boxes, s.teeth = s.boxes[:0], s.teeth[:0]
}

// frame closes the card under the content. A frame keeps a light card apart from
// a light chat.
func (s *sheet) frame() error {
	s.y = math.Ceil(s.y + margin - 6)
	if s.y > MaxHeight {
		return inputError("too much for one picture: %.0f px high, at most %d", s.y, MaxHeight)
	}
	s.dc.DrawRectangle(2, 2, Width-4, s.y-4)
	s.stroke(rule, 4)
	return nil
}

func (s *sheet) fill(c color.RGBA) {
	s.dc.SetColor(c)
	s.dc.Fill()
}

func (s *sheet) stroke(c color.RGBA, width float64) {
	s.dc.SetColor(c)
	s.dc.SetLineWidth(width)
	s.dc.Stroke()
}

// block fills a rectangle of whole pixels, from x0, y0 up to x1, y1.
func (s *sheet) block(x0, y0, x1, y1 float64, c color.RGBA) {
	draw.Draw(s.img, image.Rect(int(x0), int(y0), int(x1), int(y1)), image.NewUniform(c), image.Point{}, draw.Src)
}

// cased strokes the path twice, a dark casing and a bright core, so that it
// shows on every ground.
func (s *sheet) cased(c color.RGBA, width float64) {
	s.dc.SetColor(ink)
	s.dc.SetLineWidth(width + 5)
	s.dc.StrokePreserve()
	s.stroke(c, width)
}

// polygon lays a closed path.
func (s *sheet) polygon(points []xy) {
	for i, p := range points {
		if i == 0 {
			s.dc.MoveTo(p.x, p.y)
		} else {
			s.dc.LineTo(p.x, p.y)
		}
	}
	s.dc.ClosePath()
}

// polygons lays several closed paths.
func (s *sheet) polygons(paths [][]xy) {
	for _, p := range paths {
		s.polygon(p)
	}
}

// xy is a point of the picture in pixels.
type xy struct{ x, y float64 }

// place says which point of a text stands at the coordinates given.
type place uint8

const (
	fromLeft place = iota
	centred
	fromRight
)

// ascent and descent of a line of text, as parts of its size.
const (
	ascent  = 0.76
	descent = 0.22
)

// measure gives the box a clean text would take with its baseline at y.
func (s *sheet) measure(st style, text string, x, y float64, at place) box {
	w := s.type_.width(st, text)
	switch at {
	case centred:
		x -= w / 2
	case fromRight:
		x -= w
	}
	return box{text: text, style: st, x: x, y: y - ascent*pixels[st], w: w, h: (ascent + descent) * pixels[st]}
}

// write puts a text with its baseline at y, shortened to max pixels, and gives
// the box it takes.
func (s *sheet) write(st style, text string, x, y float64, at place, max float64, c color.RGBA) box {
	text = s.type_.fit(st, s.type_.clean(text), max)
	b := s.measure(st, text, x, y, at)
	s.type_.draw(s.img, st, text, b.x, y, c)
	if text != "" {
		b.colour = c
		s.boxes = append(s.boxes, b)
	}
	return b
}

// writeAmid is write with the text's capitals centred on y.
func (s *sheet) writeAmid(st style, text string, x, y float64, at place, max float64, c color.RGBA) box {
	return s.write(st, text, x, y+0.36*pixels[st], at, max, c)
}

// line writes a text of at most lines lines at the cursor and moves the cursor
// under it.
func (s *sheet) line(st style, text string, lines int, c color.RGBA) {
	for _, part := range s.type_.wrap(st, s.type_.clean(text), inner, lines) {
		if s.y > MaxHeight {
			return // frame reports it
		}
		s.write(st, part, margin, s.y+ascent*pixels[st], fromLeft, inner, c)
		s.y += math.Round(1.26 * pixels[st])
	}
}

// heading writes the title of a picture and what it says about itself.
func (s *sheet) heading(name, note string) {
	s.line(title, name, 2, ink)
	s.y += 2
	s.line(small, note, 2, quiet)
}
