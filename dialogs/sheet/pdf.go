package sheet

import (
	"bytes"
	"io"
	"strings"
	"time"

	"codeberg.org/go-pdf/fpdf"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/sfnt"

	"shimwright/dialogs/phrase"
	"shimwright/dialogs/picture"
)

// Paper is the size of the printed sheet.
type Paper string

// The two papers.
const (
	A4     Paper = "A4"
	Letter Paper = "Letter"
)

// Options say how a record is printed.
type Options struct {
	Paper   Paper  // A4 where empty
	Shop    string // the shop's name, for the head of the sheet; may be empty
	Words   phrase.Speaker
	Painter *picture.Painter // nil: without pictures
	// Customer prints the first page only: what the axle was, is, and needs now.
	Customer bool
}

// Sizes in millimetres and points.
const (
	margin  = 13.0
	footer  = 12.0
	gutter  = 6.0
	small   = 7.5 // nothing is printed smaller
	plain   = 8.8
	large   = 10.5
	heading = 17.0
	perPt   = 0.3528 // millimetres of a point
)

// few is how many pages a sheet has where that can be done.
const few = 2

// PDF prints the record: a page a customer can read, and behind it everything for
// the owner, on one page where it fits. It errs where a picture cannot be drawn or w
// fails.
func PDF(w io.Writer, r Record, o Options) error {
	p, err := fitted(r, o)
	if err != nil {
		return err
	}
	return p.doc.Output(w)
}

// Lines gives what PDF prints, line by line, by pages, without the foot of the page.
func Lines(r Record, o Options) ([][]string, error) {
	p, err := fitted(r, o)
	if err != nil {
		return nil, err
	}
	return p.printed, nil
}

// fitted prints the record, the lines closer together where it would take too many
// pages.
func fitted(r Record, o Options) (*printer, error) {
	painted := map[string][]byte{}
	const closest = 1.06
	for lead := leading; ; lead = max(closest, lead-0.1) {
		p, err := newPrinter(r, o)
		if err != nil {
			return nil, err
		}
		p.painted = painted
		p.first()
		if !o.Customer {
			p.lead = lead
			p.rest()
		}
		if p.err != nil {
			return nil, p.err
		}
		// Closer lines save a part of a page and never a whole one.
		if n := len(p.printed); n <= few || n > few+1 || lead == closest {
			return p, nil
		}
	}
}

// printer is a sheet being printed.
type printer struct {
	doc  *fpdf.Fpdf
	r    Record
	o    Options
	font *sfnt.Font
	buf  sfnt.Buffer
	err  error

	width, height float64 // of the page
	left, column  float64 // the column that is written to
	top, y        float64
	second        bool // it is the right one of two columns
	columns       int
	widths        map[int]bool      // of the images so far, in pixels
	lead          float64           // of a line, in sizes
	printed       [][]string        // lines by page
	painted       map[string][]byte // pictures drawn so far
}

func newPrinter(r Record, o Options) (*printer, error) {
	size := "A4"
	if o.Paper == Letter {
		size = "Letter"
	}
	font, err := sfnt.Parse(goregular.TTF)
	if err != nil {
		return nil, err
	}
	p := &printer{doc: fpdf.New("P", "mm", size, ""), r: r, o: o, font: font, widths: map[int]bool{}, lead: leading}
	d := p.doc
	// Nothing of the moment of printing may get into the file.
	d.SetCatalogSort(true)
	d.SetCreationDate(r.Last.UTC())
	d.SetModificationDate(r.Last.UTC())
	d.SetProducer("shimwright", true)
	d.SetTitle(p.clean(p.say("summary.pdf_title", "n", r.Number)), true)
	d.SetLang(r.Language)
	d.SetAutoPageBreak(false, 0)
	d.SetMargins(margin, margin, margin)
	d.SetCellMargin(0)
	d.AddUTF8FontFromBytes("go", "", goregular.TTF)
	d.AddUTF8FontFromBytes("go", "B", gobold.TTF)
	d.AliasNbPages("{pages}")
	p.width, p.height = d.GetPageSize()
	d.SetFooterFunc(p.foot)
	return p, nil
}

func (p *printer) say(key string, namesAndValues ...any) string {
	return p.o.Words.Say(key, namesAndValues...)
}

// inner is the width between the margins.
func (p *printer) inner() float64 { return p.width - 2*margin }

// bottom is where the text of a page ends.
func (p *printer) bottom() float64 { return p.height - footer - 3 }

// page begins a page of one or two columns.
func (p *printer) page(columns int) {
	p.doc.AddPage()
	p.printed = append(p.printed, nil)
	p.columns, p.second = columns, false
	p.left, p.column = margin, p.inner()
	if columns == 2 {
		p.column = (p.inner() - gutter) / 2
	}
	p.top, p.y = margin, margin
	if len(p.printed) > few {
		p.style("", small, quiet)
		p.put(margin, p.inner(), small, p.clean(p.say("summary.pdf_continued", "n", p.r.Number)), "L")
		p.y += p.lineHeight(small) + 1
		p.top = p.y
	}
}

// need makes room for h: the next column or page where this one is full.
func (p *printer) need(h float64) {
	switch {
	case p.y+h <= p.bottom() || p.y == p.top && !p.second:
	case p.columns == 2 && !p.second:
		p.second = true
		p.left, p.y = margin+p.column+gutter, p.top
	default:
		p.page(p.columns)
	}
}

func (p *printer) foot() {
	d := p.doc
	d.SetDrawColor(0x8B, 0x94, 0x9D)
	d.SetLineWidth(0.2)
	d.Line(margin, p.height-footer, p.width-margin, p.height-footer)
	v := p.r.Versions
	marks := []string{p.say("summary.pdf_job", "n", p.r.Number), p.say("summary.pdf_axle", "axle", p.r.Axle, "mark", v.Axle)}
	if v.Rules != "" {
		marks = append(marks, p.say("summary.pdf_rules", "mark", v.Rules))
	}
	marks = append(marks, v.Program)
	p.style("", small, quiet)
	page := p.say("summary.pdf_page", "n", d.PageNo(), "of", "{pages}")
	d.SetXY(margin, p.height-footer+1)
	d.CellFormat(p.inner(), 3.5, p.clean(strings.Join(marks, " · ")), "", 0, "L", false, 0, "")
	// The alias is longer than the number it stands for, so the cell ends past the edge.
	d.SetXY(margin, p.height-footer+1)
	d.CellFormat(p.inner()+6, 3.5, page, "", 0, "R", false, 0, "")
}

type tone [3]int

// The colours of the printed sheet: dark enough for a poor printer.
var (
	ink   = tone{0x15, 0x1A, 0x21}
	quiet = tone{0x4A, 0x53, 0x5E}
	alarm = tone{0x9E, 0x22, 0x08}
)

func (p *printer) style(face string, points float64, c tone) {
	p.doc.SetFont("go", face, points)
	p.doc.SetTextColor(c[0], c[1], c[2])
}

// missing stands for a letter the typeface does not have.
const missing = '□'

// clean makes any text printable on one line: what breaks lines becomes a blank,
// what nobody sees is left out, and a letter the typeface lacks becomes a box.
func (p *printer) clean(text string) string {
	var b strings.Builder
	for _, r := range strings.Join(strings.Fields(text), " ") {
		switch {
		case r < ' ' || r == 0x7f || r >= 0x200b && r <= 0x200f || r >= 0x202a && r <= 0x202e || r >= 0x2066 && r <= 0x2069 || r == 0xfeff || r >= 0xfe00 && r <= 0xfe0f:
			continue
		case r == 0x2011:
			r = '-'
		}
		if g, err := p.font.GlyphIndex(&p.buf, r); err != nil || g == 0 || r > 0xffff {
			r = missing
		}
		b.WriteRune(r)
	}
	return b.String()
}

// lines breaks a text to a width in the style that is set; a word that is too long
// is cut.
func (p *printer) lines(text string, width float64) []string {
	var out []string
	line := ""
	fits := func(s string) bool { return p.doc.GetStringWidth(s) <= width }
	for _, word := range strings.Fields(p.clean(text)) {
		for !fits(word) {
			n := len([]rune(word)) - 1
			for n > 1 && !fits(string([]rune(word)[:n])) {
				n--
			}
			if line != "" {
				out, line = append(out, line), ""
			}
			out = append(out, string([]rune(word)[:n]))
			word = string([]rune(word)[n:])
		}
		switch {
		case line == "":
			line = word
		case fits(line + " " + word):
			line += " " + word
		default:
			out, line = append(out, line), word
		}
	}
	if line != "" {
		out = append(out, line)
	}
	return out
}

// drawn paints a picture, once.
func (p *printer) drawn(name string, paint func(io.Writer) error) []byte {
	if data := p.painted[name]; data != nil {
		return data
	}
	var b bytes.Buffer
	if err := paint(&b); err != nil {
		p.fail(err)
		return nil
	}
	p.painted[name] = b.Bytes()
	return b.Bytes()
}

func day(t time.Time) string { return t.Format("2006-01-02") }

func clock(t time.Time) string { return t.Format("01-02 15:04") }

// write prints one line into a box.
func (p *printer) write(x, y, width, height float64, text, at string) {
	if text == "" {
		return
	}
	p.doc.SetXY(x, y)
	p.doc.CellFormat(width, height, text, "", 0, at, false, 0, "")
	last := len(p.printed) - 1
	p.printed[last] = append(p.printed[last], text)
}

// by says who did something and when.
func (m Mark) by() string {
	if m.At.IsZero() {
		return m.By
	}
	return strings.TrimSpace(m.By + ", " + clock(m.At))
}
