package main

import (
	"bytes"
	"context"
	"encoding/json"
	"log/slog"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"shimwright/bot"
	"shimwright/bot/store"
	"shimwright/bot/store/boltstore"
	"shimwright/dialogs"
	"shimwright/dialogs/phrase"
	"shimwright/dialogs/picture"
	"shimwright/dialogs/sheet"
)

// sheetPainter draws for all sheets of the tests.
var sheetPainter = sync.OnceValues(picture.NewInAll)

// fitsTwoPages prints the first job of a folder on both papers, and looks whether the
// sheet has two pages and all that its record has.
func fitsTwoPages(t *testing.T, data string) {
	t.Helper()
	backend, err := boltstore.Open(filepath.Join(data, "shop.db"), time.Second)
	if err != nil {
		t.Fatal(err)
	}
	defer backend.Close()
	d, err := sharedDesk()
	if err != nil {
		t.Fatal(err)
	}
	printed := func(format dialogs.Format, paper sheet.Paper) []byte {
		data, err := bot.Print(context.Background(), bot.Config{
			Store: store.New(backend, time.Now), Desk: func() bot.Desk { return d.now() }, Log: slog.New(slog.DiscardHandler), Now: time.Now,
			Painter: sheetPainter, Printing: bot.Printing{Paper: paper},
		}, dialogs.Printout{Job: 1, Format: format})
		if err != nil {
			t.Fatal(err)
		}
		return data
	}
	for _, paper := range []sheet.Paper{sheet.A4, sheet.Letter} {
		if n := bytes.Count(printed(dialogs.PDF, paper), []byte("/Type /Page\n")); n != 2 {
			t.Errorf("the sheet has %d pages on %s", n, paper)
		}
	}
	var r sheet.Record
	if err := json.Unmarshal(printed(dialogs.JSON, sheet.A4), &r); err != nil {
		t.Fatal(err)
	}
	book, err := phrase.Load()
	if err != nil {
		t.Fatal(err)
	}
	lines, err := sheet.Lines(r, sheet.Options{Words: book.In(phrase.Language(r.Language))})
	if err != nil {
		t.Fatal(err)
	}
	var all []string
	for _, page := range lines {
		all = append(all, page...)
	}
	squeeze := func(s string) string { return strings.Join(strings.Fields(s), "") }
	text := squeeze(strings.Join(all, ""))
	rows := 0
	there := func(what string, parts ...string) {
		rows++
		for _, p := range parts {
			if !strings.Contains(text, squeeze(p)) {
				t.Errorf("%s: %q is not on the sheet", what, p)
			}
		}
	}
	mark := func(m sheet.Mark) string { return m.By + ", " + m.At.Format("01-02 15:04") }
	for _, g := range r.Readings {
		for _, x := range g.Rows {
			there("reading", x.Name, x.Text, mark(x.Mark))
		}
	}
	for _, x := range r.Trials {
		there("trial assembly", x.Stacks, x.Backlash, x.Drive, x.Coast)
	}
	for _, x := range r.Stacks {
		there("stack", x.Name, x.Text, x.Was)
	}
	for _, x := range r.Fasteners {
		there("fastener", x.Name, x.Torque, x.Thread, x.Extras, x.Value)
		if x.Signed != nil {
			there("sign-off", mark(*x.Signed))
		}
	}
	for _, x := range r.Cautions {
		there("caution", x.Text, x.Closed, x.ClosedBy)
	}
	for _, x := range r.Skipped {
		there("left out", x.Name, x.Reason, mark(x.Mark))
	}
	for _, x := range r.Reviews {
		there("review", x.Verb, x.Step, x.Text, mark(x.Mark))
	}
	for _, x := range r.Corrected {
		there("correction", x.Name, x.First, x.Then, mark(x.Mark))
	}
	for _, x := range append(r.Damage, r.Parts...) {
		there("damage or part", x.Name)
	}
	if r.BreakIn != nil {
		for _, x := range r.BreakIn.Reports {
			there("break-in", x.Name, x.Text, mark(x.Mark))
		}
		for _, x := range r.BreakIn.Legs {
			there("leg", x.Text, x.Note)
		}
	}
	for _, x := range r.Photos {
		there("photo", x.About, mark(x.Mark))
	}
	if rows == 0 {
		t.Error("the record is empty")
	}
}
