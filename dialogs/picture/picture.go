// Package picture draws what is easier seen than read on a phone under a lift:
// the contact pattern on both flanks of a ring gear tooth, backlash round the
// ring gear, the numbered cells a pattern is typed by, and bench labels for the
// shim stacks. Every picture has the same facts in words (AltText).
//
// The pictures are about 900 px wide, opaque, with capitals of at least 22 px,
// and never tell two things apart by colour alone. Equal input gives equal bytes.
//
// Convention, written on every tooth: toe on the left, heel on the right, top up,
// root down, on the drive and on the coast flank alike. The outline tapers
// towards the toe, and so it does on a tooth of uniform depth, where the taper
// only tells the ends apart.
package picture

import (
	"errors"
	"fmt"
	"image"
	"image/png"
	"io"
	"sync"
)

// Width is the width of every picture in pixels; the height follows the content.
const Width = 900

// MaxHeight bounds the height of a picture; more content than fits in it is an
// ErrInput.
const MaxHeight = 1600

// ErrInput says that a picture cannot be drawn from what was given; the error
// that wraps it names the field.
var ErrInput = errors.New("cannot draw this")

func inputError(format string, args ...any) error {
	return fmt.Errorf("%w: %s", ErrInput, fmt.Sprintf(format, args...))
}

// Painter draws pictures in one language. It may be used by several goroutines
// at once.
type Painter struct {
	labels Labels
	lookup *lookup
	others map[string]*Painter // by language
	sheets *sync.Pool          // of *sheet: pixels, glyphs and the encoder's buffers are kept between pictures
	coder  png.Encoder
}

// New makes a painter that writes with the given labels. It errs where a label
// is missing.
func New(labels Labels) (*Painter, error) {
	if err := labels.check(); err != nil {
		return nil, err
	}
	fonts, err := parseFonts()
	if err != nil {
		return nil, err
	}
	p := &Painter{labels: labels, lookup: newLookup(), others: map[string]*Painter{}, sheets: new(sync.Pool)}
	p.sheets.New = func() any { return newSheet(fonts) }
	p.coder = png.Encoder{CompressionLevel: compression, BufferPool: &encoderPool{}}
	return p, nil
}

// NewInAll makes a painter that writes English and, through In, every other
// language there is.
func NewInAll() (*Painter, error) {
	p, err := New(English())
	if err != nil {
		return nil, err
	}
	spanish := Spanish()
	p.others["es"] = &Painter{labels: spanish, lookup: p.lookup, sheets: p.sheets, coder: p.coder}
	return p, spanish.check()
}

// LabelsIn gives the labels of a language by its ISO 639-1 code, the English ones
// where there are no others.
func LabelsIn(language string) Labels {
	if language == "es" {
		return Spanish()
	}
	return English()
}

// In gives the painter of a language by its ISO 639-1 code, itself where it has no
// other for it.
func (p *Painter) In(language string) *Painter {
	if other, ok := p.others[language]; ok {
		return other
	}
	return p
}

// Labels gives the labels the painter writes with, for AltText.
func (p *Painter) Labels() Labels { return p.labels }

// compression was chosen by BenchmarkEncode: on a paletted picture the fastest
// level takes a third of the default level's time for a sixth more bytes, and
// the palette makes either a third of a full-colour picture.
const compression = png.BestSpeed

// paint draws on a clean sheet and writes the PNG. Nothing is written where
// drawing fails.
func (p *Painter) paint(w io.Writer, draw func(*sheet) error) error {
	s := p.sheets.Get().(*sheet)
	defer p.sheets.Put(s)
	if err := p.render(s, draw); err != nil {
		return err
	}
	return p.coder.Encode(w, s.paletted(p.lookup))
}

// render draws on a clean sheet: the card is laid, the content drawn, the frame
// closed round it.
func (p *Painter) render(s *sheet, draw func(*sheet) error) error {
	s.reset()
	if err := draw(s); err != nil {
		return err
	}
	return s.frame()
}

// encoderPool keeps the encoder's buffers between pictures.
type encoderPool struct{ pool sync.Pool }

// Get gives a kept buffer, or nil for a new one.
func (p *encoderPool) Get() *png.EncoderBuffer {
	b, _ := p.pool.Get().(*png.EncoderBuffer)
	return b
}

// Put keeps a buffer.
func (p *encoderPool) Put(b *png.EncoderBuffer) { p.pool.Put(b) }

// paletted gives the drawn part of the sheet in the picture's palette.
func (s *sheet) paletted(l *lookup) *image.Paletted {
	h := int(s.y)
	out := &image.Paletted{Pix: s.indexed[:Width*h], Stride: Width, Rect: image.Rect(0, 0, Width, h), Palette: l.palette}
	l.convert(out.Pix, s.img.Pix[:Width*h*4])
	return out
}
