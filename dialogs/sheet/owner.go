package sheet

import (
	"fmt"
	"strconv"
	"strings"
)

// rest prints everything else, for the owner, in two columns. What there is nothing
// of is left out.
func (p *printer) rest() {
	p.page(2)
	p.readings()
	p.trials()
	p.stacks()
	p.fasteners()
	p.rows("summary.pdf_damage", p.r.Damage)
	p.skipped()
	p.cautions()
	p.reviews()
	p.corrected()
	if b := p.r.BreakIn; b != nil {
		p.rows("summary.pdf_break_in_said", b.Reports)
	}
	p.stages()
	p.photos()
	p.versions()
}

func (p *printer) readings() {
	for _, g := range p.r.Readings {
		p.listed(g.Name, g.Rows)
	}
}

func (p *printer) rows(title string, rows []Row) {
	if len(rows) > 0 {
		p.listed(p.say(title), rows)
	}
}

// listed prints rows under a heading. Who read most of them stands beside that, and at
// the rows of others; short ones stand two beside each other.
func (p *printer) listed(title string, rows []Row) {
	most := mostBy(rows)
	p.sectionBy(title, most)
	const air = 1.4
	half := p.column/2 - air
	fits := func(x Row) bool {
		p.style("", small, ink)
		name := p.doc.GetStringWidth(p.clean(x.Name))
		p.style("B", small, ink)
		return x.by() == most && name+p.doc.GetStringWidth(p.clean(x.Text))+2 <= half
	}
	for i := 0; i < len(rows); i++ {
		x := rows[i]
		switch {
		case fits(x) && i+1 < len(rows) && fits(rows[i+1]):
			p.pair(x, rows[i+1])
			i++
		case x.by() == most:
			p.row(small, cell{text: x.Name, part: 0.34, tone: ink}, cell{text: x.Text, part: 0.66, bold: true, tone: ink})
		default:
			p.row(small, cell{text: x.Name, part: 0.34, tone: ink}, cell{text: x.Text, part: 0.40, bold: true, tone: ink}, cell{text: x.by(), part: 0.26, tone: quiet, at: "R"})
		}
	}
}

// mostBy gives who did most of the rows, and when.
func mostBy(rows []Row) string {
	count := map[string]int{}
	most := ""
	for _, x := range rows {
		by := x.by()
		if count[by]++; most == "" || count[by] > count[most] {
			most = by
		}
	}
	return most
}

// pair prints two short rows beside each other.
func (p *printer) pair(a, b Row) {
	const air = 1.4
	height := p.lineHeight(small) + 0.5
	p.need(height)
	half := p.column / 2
	for i, x := range []Row{a, b} {
		left := p.left + float64(i)*half
		p.style("", small, ink)
		p.write(left, p.y+0.2, half-air, p.lineHeight(small), p.clean(x.Name), "L")
		p.style("B", small, ink)
		at, width := "R", half-2*air
		if i == 1 {
			width = half - air
		}
		p.write(left, p.y+0.2, width, p.lineHeight(small), p.clean(x.Text), at)
	}
	p.y += height
	p.hairline()
}

func (p *printer) trials() {
	if len(p.r.Trials) == 0 {
		return
	}
	p.section(p.say("summary.pdf_trials"))
	for _, t := range p.r.Trials {
		parts := []string{}
		for _, s := range []string{t.Backlash, t.Drive, t.Coast} {
			if s != "" {
				parts = append(parts, s)
			}
		}
		no := strconv.Itoa(t.No)
		if t.Final {
			no = p.say("summary.pdf_final")
		}
		p.row(small, cell{text: no, part: 0.10, bold: true, tone: ink}, cell{text: t.Stacks, part: 0.28, tone: ink}, cell{text: strings.Join(parts, "; "), part: 0.36, tone: ink}, cell{text: t.by(), part: 0.26, tone: quiet, at: "R"})
	}
}

func (p *printer) stacks() {
	if len(p.r.Stacks) == 0 {
		return
	}
	p.section(p.say("summary.pdf_stacks"))
	for _, s := range p.r.Stacks {
		was := s.Was
		if was != "" {
			was = p.say("summary.pdf_was", "was", was)
		}
		p.row(small, cell{text: s.Name, part: 0.26, tone: ink}, cell{text: s.Text, part: 0.48, bold: true, tone: ink}, cell{text: was, part: 0.26, tone: quiet, at: "R"})
	}
}

func (p *printer) fasteners() {
	if len(p.r.Fasteners) == 0 {
		return
	}
	p.section(p.say("summary.pdf_fasteners"))
	for _, f := range p.r.Fasteners {
		signed, c := cell{text: p.say("summary.pdf_not_signed"), part: 0.27, tone: alarm, at: "R"}, f.Torque
		if f.Signed != nil {
			signed = cell{text: f.Signed.by(), part: 0.27, tone: ink, at: "R"}
		}
		if f.Value != "" {
			c = f.Value + " (" + c + ")"
		}
		extras := strings.Trim(f.Thread+", "+f.Extras, ", ")
		p.row(small, cell{text: f.Name, part: 0.24, bold: true, tone: ink}, cell{text: c, part: 0.25, tone: ink}, cell{text: extras, part: 0.24, tone: quiet}, signed)
	}
}

func (p *printer) skipped() {
	if len(p.r.Skipped) == 0 {
		return
	}
	p.section(p.say("summary.pdf_skipped"))
	for _, s := range p.r.Skipped {
		p.row(small, cell{text: s.Name, part: 0.34, bold: true, tone: ink}, cell{text: s.Reason, part: 0.40, tone: ink}, cell{text: s.by(), part: 0.26, tone: quiet, at: "R"})
	}
}

func (p *printer) cautions() {
	if len(p.r.Cautions) == 0 {
		return
	}
	p.section(p.say("summary.pdf_cautions"))
	for _, c := range p.r.Cautions {
		text := c.Text
		if c.Closed != "" {
			text += " → " + c.Closed
			if c.ClosedBy != "" {
				text += " (" + c.ClosedBy + ")"
			}
		}
		bold := c.Level == "stop"
		p.row(small, cell{text: p.level(c.Level), part: 0.15, bold: bold, tone: ink}, cell{text: text, part: 0.62, tone: ink}, cell{text: clock(c.At), part: 0.23, tone: quiet, at: "R"})
	}
}

func (p *printer) level(level string) string {
	switch level {
	case "stop":
		return p.say("job.level_stop")
	case "caution":
		return p.say("job.level_caution")
	}
	return p.say("job.level_note")
}

// reviews prints each request for a look with what was said to it in one row.
func (p *printer) reviews() {
	if len(p.r.Reviews) == 0 {
		return
	}
	p.section(p.say("summary.pdf_reviews"))
	for i := 0; i < len(p.r.Reviews); {
		step, said := p.r.Reviews[i].Step, []string{}
		for n := 0; i < len(p.r.Reviews); n, i = n+1, i+1 {
			v := p.r.Reviews[i]
			if n > 0 && (v.Decision == "request" || v.Step != step) {
				break
			}
			text := v.Verb
			if text == "" {
				text = v.Name
			}
			if v.Lapsed {
				text += " (" + p.say("summary.pdf_lapsed") + ")"
			}
			if v.Text != "" {
				text += ": " + v.Text
			}
			said = append(said, text+" ("+v.by()+")")
		}
		p.row(small, cell{text: step, part: 0.22, bold: true, tone: ink}, cell{text: strings.Join(said, "; "), part: 0.78, tone: ink})
	}
}

func (p *printer) corrected() {
	if len(p.r.Corrected) == 0 {
		return
	}
	p.section(p.say("summary.pdf_corrected"))
	for _, c := range p.r.Corrected {
		then := c.Then
		if then == "" {
			then = p.say("summary.pdf_taken_back")
		}
		p.row(small, cell{text: c.Name, part: 0.28, tone: ink}, cell{text: c.First + " → " + then, part: 0.46, tone: ink}, cell{text: c.by(), part: 0.26, tone: quiet, at: "R"})
	}
}

func (p *printer) stages() {
	if len(p.r.Stages) == 0 {
		return
	}
	p.section(p.say("summary.pdf_stages"))
	for _, s := range p.r.Stages {
		p.row(small, cell{text: s.Name, part: 0.5, tone: ink}, cell{text: clock(s.Began), part: 0.25, tone: quiet}, cell{text: s.Text, part: 0.25, bold: true, tone: ink, at: "R"})
	}
}

// photos prints the pictures small, beside each other, and below them what they are.
func (p *printer) photos() {
	if len(p.r.Photos) == 0 {
		return
	}
	p.section(p.say("summary.pdf_photos"))
	const across, gap, height = 4, 1.6, 17.0
	width := (p.column - (across-1)*gap) / across
	n := 0
	for i, ph := range p.r.Photos {
		if imageKind(ph.Thumb) == "" {
			continue
		}
		if n%across == 0 {
			if n > 0 {
				p.y += height + gap + p.lineHeight(small)
			}
			p.need(height + gap + p.lineHeight(small))
		}
		x := p.left + float64(n%across)*(width+gap)
		tall := p.image("photo"+strconv.Itoa(i), ph.Thumb, x, p.y, width, height)
		p.style("", small, quiet)
		p.write(x, p.y+tall+0.2, width, p.lineHeight(small), strconv.Itoa(i+1), "C")
		n++
	}
	if n > 0 {
		p.y += height + gap + p.lineHeight(small)
	}
	for i, ph := range p.r.Photos {
		p.row(small, cell{text: strconv.Itoa(i + 1), part: 0.06, bold: true, tone: ink}, cell{text: ph.About, part: 0.68, tone: ink}, cell{text: ph.by(), part: 0.26, tone: quiet, at: "R"})
	}
}

func (p *printer) versions() {
	v := p.r.Versions
	p.section(p.say("summary.pdf_versions"))
	var made []string
	pair := func(name, now, then string) {
		if now == "" {
			return
		}
		if then != "" && then != now {
			now = p.say("summary.pdf_changed_since", "then", then, "now", now)
		}
		made = append(made, name+": "+now)
	}
	pair(p.say("summary.pdf_v_program"), v.Program, "")
	pair(p.say("summary.pdf_v_axle"), v.Axle, v.AxleThen)
	pair(p.say("summary.pdf_v_rules"), v.Rules, v.RulesThen)
	pair(p.say("summary.pdf_v_log"), fmt.Sprintf("%d, %s", p.r.Entries, p.r.Last.Format("2006-01-02 15:04 MST")), "")
	p.paragraph("", small, ink, strings.Join(made, " · "))
}
