package sheet

// cell is a cell of a table's row.
type cell struct {
	text string
	part float64 // of the column's width
	bold bool
	tone tone
	at   string // L, C or R; empty for L
}

const leading = 1.24 // of a line, in sizes

// lineHeight is the height of a line of text in millimetres.
func (p *printer) lineHeight(points float64) float64 { return points * perPt * p.lead }

// paragraph prints a text at the cursor.
func (p *printer) paragraph(face string, points float64, c tone, text string) {
	p.style(face, points, c)
	for _, line := range p.lines(text, p.column) {
		p.need(p.lineHeight(points))
		p.style(face, points, c) // a new page sets another
		p.put(p.left, p.column, points, line, "L")
		p.y += p.lineHeight(points)
	}
}

// put prints one line at the cursor's height.
func (p *printer) put(x, width, points float64, text, at string) {
	p.write(x, p.y, width, p.lineHeight(points), text, at)
}

// section prints a heading, kept together with what follows it.
func (p *printer) section(text string) { p.sectionBy(text, "") }

// sectionBy prints a heading with who did what stands below it, and when, where nothing
// else stands there.
func (p *printer) sectionBy(text, by string) {
	const points = 9.6
	p.need(p.lineHeight(points) + 3*p.lineHeight(small) + 2)
	if p.y > p.top {
		p.y += 1.7
	}
	p.style("B", points, ink)
	p.put(p.left, p.column, points, p.clean(text), "L")
	p.style("", small, quiet)
	p.put(p.left, p.column-1.4, points, p.clean(by), "R")
	p.y += p.lineHeight(points)
	p.doc.SetDrawColor(0x15, 0x1A, 0x21)
	p.doc.SetLineWidth(0.25)
	p.doc.Line(p.left, p.y, p.left+p.column, p.y)
	p.y += 0.9
}

// row prints cells beside each other, each broken to its width, with a hairline
// under them.
func (p *printer) row(points float64, cells ...cell) {
	const air = 1.4 // between cells
	texts := make([][]string, len(cells))
	most := 1
	for i, c := range cells {
		p.style(face(c), points, c.tone)
		texts[i] = p.lines(c.text, c.part*p.column-air)
		most = max(most, len(texts[i]))
	}
	height := float64(most)*p.lineHeight(points) + 0.5
	p.need(height)
	x := p.left
	for i, c := range cells {
		p.style(face(c), points, c.tone)
		at := c.at
		if at == "" {
			at = "L"
		}
		for n, line := range texts[i] {
			p.write(x, p.y+0.2+float64(n)*p.lineHeight(points), c.part*p.column-air, p.lineHeight(points), line, at)
		}
		x += c.part * p.column
	}
	p.y += height
	p.hairline()
}

// hairline prints the thin line below a row.
func (p *printer) hairline() {
	p.doc.SetDrawColor(0xC9, 0xCE, 0xD3)
	p.doc.SetLineWidth(0.1)
	p.doc.Line(p.left, p.y, p.left+p.column, p.y)
	p.y += 0.25
}

func face(c cell) string {
	if c.bold {
		return "B"
	}
	return ""
}
