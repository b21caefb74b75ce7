package picture

import (
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"strings"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
)

// style is a face at a size. The smallest has capitals of 23 px.
type style uint8

const (
	small  style = iota // regular 32
	plain               // regular 35
	strong              // bold 35
	label               // bold 36: toe, heel, top, root
	head                // bold 40: the name of a flank or a stack
	title               // bold 44
	digit               // bold 58: the number of a cell
	styles
)

var pixels = [styles]float64{small: 32, plain: 35, strong: 35, label: 36, head: 40, title: 44, digit: 58}

// maxRunes bounds a text before it is measured; no line of a picture holds more.
const maxRunes = 600

// missing stands for a letter the typeface does not have.
const missing = '□'

// parseFonts reads the regular and the bold typeface.
func parseFonts() ([2]*sfnt.Font, error) {
	var fonts [2]*sfnt.Font
	for i, raw := range [...][]byte{goregular.TTF, gobold.TTF} {
		f, err := opentype.Parse(raw)
		if err != nil {
			return fonts, fmt.Errorf("typeface %d: %w", i, err)
		}
		fonts[i] = f
	}
	return fonts, nil
}

// typesetter measures and draws text, keeping the glyphs it has drawn.
type typesetter struct {
	faces  [styles]font.Face
	glyphs map[glyphKey]glyph
	buf    sfnt.Buffer
	fonts  [2]*sfnt.Font
}

type glyphKey struct {
	style style
	sub   uint8 // quarter pixels
	r     rune
}

type glyph struct {
	mask    *image.Alpha // nil for a blank
	at      image.Point  // of the mask's corner, from the dot
	advance fixed.Int26_6
}

// maxGlyphs bounds what is kept; a shop's texts use some two hundred.
const maxGlyphs = 1500

func newTypesetter(fonts [2]*sfnt.Font) *typesetter {
	t := &typesetter{glyphs: map[glyphKey]glyph{}, fonts: fonts}
	for s := range styles {
		f := fonts[1]
		if s == small || s == plain {
			f = fonts[0]
		}
		// NewFace only copies its arguments; with options given it cannot fail.
		t.faces[s], _ = opentype.NewFace(f, &opentype.FaceOptions{Size: pixels[s], DPI: 72, Hinting: font.HintingNone})
	}
	return t
}

// clean makes a text of an unknown source drawable on one line.
func (t *typesetter) clean(text string) string {
	return tidy(text, maxRunes, func(r rune) bool {
		g, err := t.fonts[0].GlyphIndex(&t.buf, r)
		return err == nil && g != 0
	})
}

// width gives the length of a clean text in pixels.
func (t *typesetter) width(s style, text string) float64 {
	return float64(font.MeasureString(t.faces[s], text)) / 64
}

// fit shortens a clean text with an ellipsis until it is at most max pixels wide.
func (t *typesetter) fit(s style, text string, max float64) string {
	if t.width(s, text) <= max {
		return text
	}
	runes := []rune(text)
	lo, hi := 0, len(runes)
	for lo < hi { // the longest beginning that fits with its ellipsis
		mid := (lo + hi + 1) / 2
		if t.width(s, strings.TrimRight(string(runes[:mid]), " ")+"…") <= max {
			lo = mid
		} else {
			hi = mid - 1
		}
	}
	return strings.TrimRight(string(runes[:lo]), " ") + "…"
}

// wrap breaks a clean text into at most lines lines of max pixels; what is left
// over is cut with an ellipsis.
func (t *typesetter) wrap(s style, text string, max float64, lines int) []string {
	var out []string
	words := strings.Fields(text)
	for len(words) > 0 {
		if len(out) == lines-1 {
			return append(out, t.fit(s, strings.Join(words, " "), max))
		}
		n := 1
		for n < len(words) && t.width(s, strings.Join(words[:n+1], " ")) <= max {
			n++
		}
		if n > 1 && n < len(words) && isUnit(words[n]) && endsInFigure(words[n-1]) {
			n-- // a figure goes with its unit
		}
		out = append(out, t.fit(s, strings.Join(words[:n], " "), max))
		words = words[n:]
	}
	return out
}

// isUnit says whether a word is a unit, brackets and commas aside.
func isUnit(word string) bool {
	switch strings.Trim(word, "().,;:") {
	case "in", "mm", "mi", "km", "min", "l", "pt", "N·m", "ft·lbf", "in·lbf", "°F", "°C":
		return true
	}
	return false
}

// endsInFigure says whether a word ends in a digit.
func endsInFigure(word string) bool {
	last := word[len(word)-1]
	return last >= '0' && last <= '9'
}

// draw writes a clean text with its baseline starting at x, y.
func (t *typesetter) draw(dst *image.RGBA, s style, text string, x, y float64, c color.RGBA) {
	src := image.NewUniform(c)
	dot := fixed.Point26_6{X: fixed.Int26_6(x * 64), Y: fixed.Int26_6(y * 64)}
	prev := rune(-1)
	for _, r := range text {
		if prev >= 0 {
			dot.X += t.faces[s].Kern(prev, r)
		}
		g := t.glyph(glyphKey{s, uint8(dot.X>>4) & 3, r})
		if g.mask != nil {
			at := g.at.Add(image.Pt(dot.X.Floor(), dot.Y.Round()))
			draw.DrawMask(dst, g.mask.Rect.Add(at), src, image.Point{}, g.mask, image.Point{}, draw.Over)
		}
		dot.X += g.advance
		prev = r
	}
}

// glyph gives a drawn glyph, from memory where it was drawn before.
func (t *typesetter) glyph(k glyphKey) glyph {
	if g, ok := t.glyphs[k]; ok {
		return g
	}
	var g glyph
	// The face reuses its mask, so it is copied.
	dr, mask, mp, advance, ok := t.faces[k.style].Glyph(fixed.Point26_6{X: fixed.Int26_6(k.sub) * 16}, k.r)
	if ok {
		g.advance = advance
		if !dr.Empty() {
			g.mask = image.NewAlpha(image.Rect(0, 0, dr.Dx(), dr.Dy()))
			g.at = dr.Min
			draw.Draw(g.mask, g.mask.Rect, mask, mp, draw.Src)
		}
	}
	if len(t.glyphs) >= maxGlyphs {
		clear(t.glyphs)
	}
	t.glyphs[k] = g
	return g
}
