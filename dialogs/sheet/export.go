package sheet

import (
	"encoding/csv"
	"encoding/json"
	"io"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"
)

// JSON writes the record; the package comment has its fields.
func JSON(w io.Writer, r Record) error {
	e := json.NewEncoder(w)
	e.SetIndent("", "  ")
	e.SetEscapeHTML(false)
	return e.Encode(r)
}

// columns of the CSV, in order.
var columns = [...]string{"job", "axle", "section", "id", "name", "text", "value", "unit", "mm", "by", "role", "at", "note"}

// CSV writes the record as lines for a spreadsheet; the package comment has the
// columns. It begins with a byte order mark, by which spreadsheets know UTF-8.
func CSV(w io.Writer, r Record) error {
	if _, err := io.WriteString(w, "\ufeff"); err != nil {
		return err
	}
	out := csv.NewWriter(w)
	out.UseCRLF = true // RFC 4180
	if err := out.Write(columns[:]); err != nil {
		return err
	}
	var failed error
	line := func(section, id, name, text, value, unit, mm string, m Mark, note string) {
		cells := []string{strconv.Itoa(r.Number), r.Axle, section, id, name, text, value, unit, mm, m.By, m.Role, stamp(m.At), note}
		for i, c := range cells {
			cells[i] = defused(c)
		}
		if err := out.Write(cells); err != nil && failed == nil {
			failed = err
		}
	}
	plain := func(section, id, name, text string, m Mark, note string) {
		line(section, id, name, text, "", "", "", m, note)
	}
	row := func(section string, x Row) {
		values := make([]string, len(x.Values))
		for i, v := range x.Values {
			values[i] = decimal(v)
		}
		line(section, x.ID, x.Name, x.Text, strings.Join(values, " "), x.Unit, optional(x.MM), x.Mark, "")
	}
	plain("job", r.Axle, r.Title, r.StateText, r.Opened, r.ClosedReason)
	for _, c := range r.Compared {
		plain("compared", c.ID, c.Name, c.Before+" → "+c.After, Mark{}, c.Limit)
	}
	for _, g := range r.Readings {
		for _, x := range g.Rows {
			row(g.ID, x)
		}
	}
	for _, t := range r.Trials {
		plain("trial", strconv.Itoa(t.No), t.Stacks, t.Backlash, t.Mark, strings.Trim(t.Drive+"; "+t.Coast, "; "))
	}
	for _, s := range r.Stacks {
		line("stack", s.ID, s.Name, s.Text, "", "", optional(s.MM), s.Mark, s.Was)
	}
	for _, f := range r.Fasteners {
		var m Mark
		if f.Signed != nil {
			m = *f.Signed
		}
		plain("fastener", f.ID, f.Name, strings.Trim(f.Torque+", "+f.Thread+", "+f.Extras, ", "), m, f.Value)
	}
	for _, x := range r.Parts {
		row("part", x)
	}
	for _, x := range r.Damage {
		row("damage", x)
	}
	for _, c := range r.Cautions {
		plain("caution", c.Rule, c.Level, c.Text, c.Mark, strings.Trim(c.Closed+" "+c.ClosedBy, " "))
	}
	for _, s := range r.Skipped {
		plain("skipped", strings.Trim(s.Step+"/"+s.Field, "/"), s.Name, s.Reason, s.Mark, "")
	}
	for _, v := range r.Reviews {
		plain("review", v.Decision, v.Name, v.Text, v.Mark, "")
	}
	for _, c := range r.Corrected {
		plain("correction", "", c.Name, c.First, c.Mark, c.Then)
	}
	if r.BreakIn != nil {
		for _, x := range r.BreakIn.Reports {
			row("break-in", x)
		}
	}
	for _, s := range r.Stages {
		line("stage", s.ID, s.Name, s.Text, strconv.Itoa(s.Minutes), "min", "", Mark{At: s.Began}, "")
	}
	out.Flush()
	if err := out.Error(); err != nil {
		return err
	}
	return failed
}

// defused keeps a spreadsheet from taking a cell for a formula: it gets an
// apostrophe in front where it begins, after blanks and signs nobody sees, with one
// of the characters that start one. A plain number keeps its sign.
// Source: OWASP, "CSV Injection": = + - @, tab and carriage return.
func defused(cell string) string {
	if _, err := strconv.ParseFloat(cell, 64); err == nil {
		return cell
	}
	first, _ := utf8.DecodeRuneInString(strings.TrimLeft(cell, " \u00a0\ufeff\u200b\u200e\u200f"))
	switch first {
	case '=', '+', '-', '@', '\t', '\r', '\n', '|', '＝', '＋', '－', '＠', '−':
		return "'" + cell
	}
	return cell
}

func stamp(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.Format(time.RFC3339)
}

func optional(v *float64) string {
	if v == nil {
		return ""
	}
	return decimal(*v)
}

// decimal writes a figure without the noise of binary fractions.
func decimal(v float64) string {
	text := strconv.FormatFloat(v, 'f', 6, 64)
	return strings.TrimRight(strings.TrimRight(text, "0"), ".")
}
