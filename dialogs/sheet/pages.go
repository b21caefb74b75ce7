package sheet

import (
	"io"
	"slices"
	"strconv"
	"strings"
)

// first prints the page for the customer.
func (p *printer) first() {
	p.page(1)
	p.title()
	p.result()
	p.compared()
	p.pictures()
	p.newParts()
	p.breakIn()
	p.closing()
}

func (p *printer) title() {
	r := p.r
	p.style("B", heading, ink)
	p.put(margin, p.inner()*0.68, heading, p.clean(p.say("summary.pdf_title", "n", r.Number)), "L")
	if p.o.Shop != "" {
		p.style("B", large, quiet)
		p.put(margin, p.inner(), heading, p.clean(p.o.Shop), "R")
	}
	p.y += p.lineHeight(heading)
	axle := r.Axle
	if r.AxleTitle != "" {
		axle += ": " + r.AxleTitle
	}
	p.paragraph("", large, ink, axle)
	if r.Title != "" {
		p.paragraph("", large, ink, p.say("summary.pdf_about", "what", r.Title))
	}
	line := p.say("summary.pdf_opened", "date", day(r.Opened.At), "by", r.Opened.By)
	if r.Closed != nil {
		line += " · " + p.say("summary.pdf_closed", "date", day(r.Closed.At), "by", r.Closed.By)
	} else {
		line += " · " + r.StateText
	}
	p.paragraph("", plain, quiet, line)
	p.y += 1.5
}

// result prints how the job ended in a frame that is told apart without colour.
func (p *printer) result() {
	if len(p.r.Result) == 0 {
		return
	}
	begin := p.y
	p.y += 1.6
	p.left, p.column = margin+4, p.inner()-8
	for i, l := range p.r.Result {
		f, c := "", ink
		if i == 0 {
			f = "B"
		}
		if l.Good != nil && !*l.Good {
			f, c = "B", alarm
		}
		p.paragraph(f, large, c, l.Text)
	}
	p.left, p.column = margin, p.inner()
	p.y += 1.6
	p.doc.SetDrawColor(ink[0], ink[1], ink[2])
	p.doc.SetLineWidth(0.5)
	p.doc.Rect(margin, begin, p.inner(), p.y-begin, "D")
	p.y += 2.2
}

func (p *printer) compared() {
	if len(p.r.Compared) == 0 {
		return
	}
	// Without anything as found that column is left out.
	found := slices.ContainsFunc(p.r.Compared, func(c Compared) bool { return c.Before != "" })
	row := func(name, before, now, limit cell) {
		name.part, before.part, now.part, limit.part = 0.19, 0.26, 0.33, 0.22
		if found {
			p.row(plain, name, before, now, limit)
			return
		}
		now.part += before.part
		p.row(plain, name, now, limit)
	}
	row(cell{}, cell{text: p.say("summary.pdf_before"), tone: quiet}, cell{text: p.say("summary.pdf_now"), tone: quiet}, cell{text: p.say("summary.pdf_limit"), tone: quiet})
	for _, c := range p.r.Compared {
		now, limit := cell{text: c.After, bold: true, tone: ink}, cell{text: c.Limit, tone: ink}
		if c.Good != nil && !*c.Good {
			now.tone = alarm
			limit.text = strings.TrimPrefix(limit.text+"; "+p.say("summary.pdf_outside"), "; ")
		}
		row(cell{text: c.Name, tone: ink}, cell{text: c.Before, tone: quiet}, now, limit)
	}
	p.y += 2
}

// pictures prints pattern and backlash side by side, the remaining page deciding
// how large.
func (p *printer) pictures() {
	if p.o.Painter == nil || p.r.Pattern == nil && p.r.Round == nil {
		return
	}
	const rest = 76 // millimetres kept for what comes below
	height := min(92, p.bottom()-p.y-rest)
	if height < 45 {
		height = 45
	}
	width := (p.inner() - gutter) / 2
	x, tallest := margin, 0.0
	if p.r.Pattern != nil {
		if data := p.drawn("pattern", func(w io.Writer) error { return p.o.Painter.Pattern(w, *p.r.Pattern) }); data != nil {
			tallest = max(tallest, p.image("pattern", data, x, p.y, width, height))
		}
		x += width + gutter
	}
	if p.r.Round != nil {
		if data := p.drawn("round", func(w io.Writer) error { return p.o.Painter.Backlash(w, *p.r.Round) }); data != nil {
			tallest = max(tallest, p.image("round", data, x, p.y, width, height))
		}
	}
	p.y += tallest + 2
}

func (p *printer) newParts() {
	var names []string
	for _, x := range p.r.Parts {
		names = append(names, x.Name)
	}
	if len(names) > 0 {
		p.paragraph("", plain, ink, p.say("summary.pdf_new_parts", "parts", strings.Join(names, ", ")))
	}
	if p.r.Oil != "" {
		p.paragraph("", plain, ink, p.say("summary.pdf_oil", "oil", p.r.Oil))
	}
}

func (p *printer) breakIn() {
	if p.r.BreakIn == nil || len(p.r.BreakIn.Legs) == 0 {
		return
	}
	p.section(p.say("summary.pdf_break_in"))
	for i, l := range p.r.BreakIn.Legs {
		text := strconv.Itoa(i+1) + ". " + l.Text
		if l.Note != "" {
			text += "; " + l.Note
		}
		p.paragraph("", plain, ink, text)
	}
	p.paragraph("B", plain, ink, p.say("summary.pdf_customer_care"))
}

// closing prints what every summary says and the lines to sign on.
func (p *printer) closing() {
	const lines = 17.0
	p.y += 1.5
	p.paragraph("B", plain, ink, p.r.Standing)
	p.need(lines)
	p.y = max(p.y, p.bottom()-lines) + 9
	names := []string{p.say("summary.pdf_sign_technician"), p.say("summary.pdf_sign_review"), p.say("summary.pdf_sign_licensed"), p.say("summary.pdf_sign_customer")}
	width := (p.inner() - 3*gutter) / 4
	for i, name := range names {
		x := margin + float64(i)*(width+gutter)
		p.doc.SetDrawColor(ink[0], ink[1], ink[2])
		p.doc.SetLineWidth(0.25)
		p.doc.Line(x, p.y, x+width, p.y)
		p.style("", small, quiet)
		p.put(x, width, small, p.clean(name), "L")
	}
	p.y += p.lineHeight(small) + 1
}
