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
		p.section(g.Name)
		p.list(g.Rows)
	}
}

func (p *printer) rows(title string, rows []Row) {
	if len(rows) == 0 {
		return
	}
	p.section(p.say(title))
	p.list(rows)
}

func (p *printer) list(rows []Row) {
	for _, x := range rows {
		p.row(small, cell{text: x.Name, part: 0.34, tone: ink}, cell{text: x.Text, part: 0.40, bold: true, tone: ink}, cell{text: x.by(), part: 0.26, tone: quiet, at: "R"})
	}
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

func (p *printer) reviews() {
	if len(p.r.Reviews) == 0 {
		return
	}
	p.section(p.say("summary.pdf_reviews"))
	for _, v := range p.r.Reviews {
		name := v.Name
		if v.Lapsed {
			name += " (" + p.say("summary.pdf_lapsed") + ")"
		}
		p.row(small, cell{text: name, part: 0.30, bold: true, tone: ink}, cell{text: v.Text, part: 0.41, tone: ink}, cell{text: v.by(), part: 0.29, tone: quiet, at: "R"})
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

// photos prints the pictures small, three beside each other.
func (p *printer) photos() {
	if len(p.r.Photos) == 0 {
		return
	}
	p.section(p.say("summary.pdf_photos"))
	const across, gap, height = 3, 2.0, 24.0
	width := (p.column - (across-1)*gap) / across
	n := 0
	for i, ph := range p.r.Photos {
		if imageKind(ph.Thumb) == "" {
			continue
		}
		if n%across == 0 {
			if n > 0 {
				p.y += height + 4.5
			}
			p.need(height + 4.5)
		}
		x := p.left + float64(n%across)*(width+gap)
		p.image("photo"+strconv.Itoa(i), ph.Thumb, x, p.y, width, height)
		caption := p.clean(strings.Trim(ph.About+", "+ph.by(), ", "))
		p.style("", 5.6, quiet)
		if lines := p.lines(caption, width); len(lines) > 0 {
			p.doc.SetXY(x, p.y+height+0.3)
			p.doc.CellFormat(width, 3, lines[0], "", 0, "L", false, 0, "")
		}
		n++
	}
	if n > 0 {
		p.y += height + 4.5
	}
	for _, ph := range p.r.Photos {
		if imageKind(ph.Thumb) == "" {
			p.row(small, cell{text: ph.Name, part: 0.34, tone: ink}, cell{text: ph.About, part: 0.40, tone: ink}, cell{text: ph.by(), part: 0.26, tone: quiet, at: "R"})
		}
	}
}

func (p *printer) versions() {
	v := p.r.Versions
	p.section(p.say("summary.pdf_versions"))
	pair := func(name, now, then string) {
		if now == "" {
			return
		}
		if then != "" && then != now {
			now = p.say("summary.pdf_changed_since", "then", then, "now", now)
		}
		p.row(small, cell{text: name, part: 0.34, tone: ink}, cell{text: now, part: 0.66, tone: ink})
	}
	pair(p.say("summary.pdf_v_program"), v.Program, "")
	pair(p.say("summary.pdf_v_axle"), v.Axle, v.AxleThen)
	pair(p.say("summary.pdf_v_rules"), v.Rules, v.RulesThen)
	pair(p.say("summary.pdf_v_log"), fmt.Sprintf("%d, %s", p.r.Entries, p.r.Last.Format("2006-01-02 15:04 MST")), "")
}
