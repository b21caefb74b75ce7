package dialogs

import (
	"fmt"
	"io"
	"strings"
	"time"

	"shimwright/calc/unit"
	"shimwright/dialogs/phrase"
	"shimwright/dialogs/picture"
	"shimwright/dialogs/sheet"
)

// Printout asks for the summary of a job as a file. It is drawn when it is sent, so
// that the outbox stays small, from the log as it was when it was asked for, so that
// a file sent again is the same one.
type Printout struct {
	Job      int             `json:"job"`
	Entries  uint64          `json:"entries"` // of the log, 0 for all
	Format   Format          `json:"format"`
	Customer bool            `json:"customer,omitempty"` // the customer's page only
	Language phrase.Language `json:"language,omitempty"`
	Units    unit.System     `json:"units,omitempty"`
}

// Format is how a summary is written.
type Format string

// The formats; without one it is the chat's few lines.
const (
	PDF  Format = "pdf"
	JSON Format = "json"
	CSV  Format = "csv"
)

// Type gives the media type of a format.
func (f Format) Type() string {
	switch f {
	case JSON:
		return "application/json"
	case CSV:
		return "text/csv; charset=utf-8"
	}
	return "application/pdf"
}

// Name gives the file's name.
func (p Printout) Name() string { return fmt.Sprintf("job-%d.%s", p.Job, p.Format) }

// Press is what a sheet is printed with, beside the job.
type Press struct {
	Paper   sheet.Paper
	Shop    string // its name, may be empty
	Zone    *time.Location
	Painter *picture.Painter // nil: without pictures
	// Photo gives a kept photo made small, nil where it is not at hand; may be nil.
	Photo func(name string) []byte
}

// Print writes the summary a printout asks for. Equal logs, sheets and rules give
// equal bytes. It errs where the axle sheet is gone, a picture cannot be drawn or w
// fails.
func (d *Desk) Print(w io.Writer, j *Job, o Printout, p Press) error {
	to := Person{Units: o.Units, Language: o.Language}
	if o.Format == "" {
		return d.printLines(w, j, to)
	}
	r, err := d.Record(j, to, p.Zone)
	if err != nil {
		return err
	}
	switch o.Format {
	case JSON:
		return sheet.JSON(w, r)
	case CSV:
		return sheet.CSV(w, r)
	}
	if p.Photo != nil {
		for i := range r.Photos {
			r.Photos[i].Thumb = p.Photo(r.Photos[i].Name)
		}
	}
	painter := p.Painter
	if painter != nil {
		painter = painter.In(string(o.Language))
	}
	return sheet.PDF(w, r, sheet.Options{Paper: p.Paper, Shop: p.Shop, Words: d.Phrases.In(o.Language), Painter: painter, Customer: o.Customer})
}

// printLines writes the summary as the chat says it.
func (d *Desk) printLines(w io.Writer, j *Job, to Person) error {
	s, err := d.Sheets.Sheet(j.Sheet)
	if err != nil {
		return err
	}
	t := &turn{desk: d, sheet: s, job: j, said: Said{By: to}, voice: d.voiceFor(to, s)}
	_, err = fmt.Fprintln(w, strings.Join(t.summary(), "\n"))
	return err
}

// formatOf gives the format a summary is asked for in, and whether it is to be a
// file at all.
func formatOf(text string) (Format, bool) {
	file := false
	for _, w := range strings.FieldsFunc(strings.ToLower(text), func(r rune) bool { return strings.ContainsRune(" .,!?:;", r) }) {
		switch w {
		case "csv", "spreadsheet":
			return CSV, true
		case "json":
			return JSON, true
		case "sheet", "pdf", "print", "printout", "report", "export", "hoja", "imprime", "imprimir", "informe":
			file = true
		}
	}
	return PDF, file
}

// askSummary answers for the summary: in a few lines, or as a file.
func (t *turn) askSummary() {
	t.noNext = true
	format, file := formatOf(t.said.Text)
	customer := t.said.By.Role == Customer
	if !file && !customer {
		t.tell(t.summary()...)
		t.tell(t.text("summary.how_to_print"))
		return
	}
	if customer {
		format = PDF
	}
	pages := t.text("summary.sheet_pages_all")
	switch {
	case customer:
		pages = t.text("summary.sheet_pages_customer")
	case format != PDF:
		pages = strings.ToUpper(string(format))
	}
	t.tell(t.text("summary.sheet_here", "n", t.job.Number, "pages", pages))
	t.printout = &Printout{
		Job: t.job.Number, Entries: t.job.Version(), Format: format, Customer: customer,
		Language: t.said.By.Language, Units: t.voice.own,
	}
}
