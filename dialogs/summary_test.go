package dialogs_test

import (
	"bytes"
	"encoding/json"
	"strings"
	"testing"
	"time"

	"shimwright/dialogs"
	"shimwright/dialogs/phrase"
	"shimwright/dialogs/picture"
	"shimwright/dialogs/sheet"
)

// whole is a job from the opening to a finished trial, with a correction, a skip, an
// override and both unit systems.
func whole(t *testing.T) *talk {
	t.Helper()
	k := open(t, "lapwing")
	for _, line := range []string{
		"ann> new", "ann> lash 14 14 13 14", "ann> drive toe and low, coast toe", "ann> caps marked",
		"ann> old pinion shim 30, left 250, right 245", "ann> old mark +2, new mark -1",
		"ann> skip 4 checked yesterday", "ann> done", "ann> ring bolts torqued with thread locker, runout 0.04 mm",
		"ann> same", "ann> same", "ann> caps torqued",
		"ann> lash 0 0 0 0", "ann> override dial stem was bent, it turns freely",
		"ann> lash 9 9 9 9", "ann> not 9, 14 14 13 14", "ann> drive high toward the heel, coast high and heel", "ann> done",
		"ann> lash 8 8.5 8 8, drive center, coast centered",
	} {
		k.play(line)
	}
	return k
}

func TestRecordHasTheWholeJob(t *testing.T) {
	k := whole(t)
	r, err := k.desk.Record(k.job, people["owner"], nil)
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	if err := sheet.JSON(&b, r); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{
		`"text": "0.014 / 0.014 / 0.013 / 0.014 in (0.356 / 0.356 / 0.33 / 0.356 mm)"`, // as found; the job mixes units
		`"text": "0.04 mm (0.0016 in)"`,
		`"reason": "checked yesterday"`,
		`"closed": "gone over: dial stem was bent, it turns freely"`,
		`"name": "ring gear bolts"`,
		`"text": "0.255 in = 0.240 + 0.010 + 0.005"`,
		`"limit": "0.006–0.010 in"`,
		`"state": "good"`,
		`"id": "old.mark"`,
	} {
		if !strings.Contains(b.String(), want) {
			t.Errorf("the record lacks %s", want)
		}
	}
	var first string
	for _, c := range r.Corrected {
		first += c.First + " → " + c.Then + "; "
	}
	if !strings.Contains(first, "0.009") || !strings.Contains(first, "0.014 / 0.014 / 0.013 / 0.014") {
		t.Errorf("what was read first, and what came in its place: %q", first)
	}
	if len(r.Trials) != 2 || r.Trials[1].Good == nil || r.Pattern == nil || r.Round == nil {
		t.Errorf("trials %+v, pictures %v %v", r.Trials, r.Pattern != nil, r.Round != nil)
	}
	spent := 0
	for _, s := range r.Stages {
		spent += s.Minutes
	}
	if spent < 15 || spent > 20 {
		t.Errorf("%d minutes in %+v, and a message came every minute", spent, r.Stages)
	}
	if len(r.Log) != int(k.job.Version()) {
		t.Errorf("%d lines of %d entries", len(r.Log), k.job.Version())
	}
}

// The summary of a log in both languages and all formats is the same each time, and
// made of the log alone.
func TestPrintIsTheSameEachTime(t *testing.T) {
	k := whole(t)
	painter, err := picture.NewInAll()
	if err != nil {
		t.Fatal(err)
	}
	press := dialogs.Press{Painter: painter, Paper: sheet.Letter, Shop: "the sheds", Zone: time.FixedZone("shop", 3600)}
	for _, o := range []dialogs.Printout{
		{Format: dialogs.PDF}, {Format: dialogs.PDF, Language: phrase.Spanish, Customer: true}, {Format: dialogs.JSON, Language: phrase.Spanish}, {Format: dialogs.CSV}, {},
	} {
		print := func() []byte {
			var b bytes.Buffer
			if err := k.desk.Print(&b, k.job, o, press); err != nil {
				t.Fatalf("%+v: %v", o, err)
			}
			return b.Bytes()
		}
		a, b := print(), print()
		if len(a) == 0 || !bytes.Equal(a, b) {
			t.Errorf("%+v: %d bytes and %d, or not the same", o, len(a), len(b))
		}
		if strings.Contains(string(a), "‹") {
			t.Errorf("%+v: a phrase is missing: %s", o, a)
		}
	}
}

func TestSummaryIsAskedFor(t *testing.T) {
	k := whole(t)
	for _, c := range []struct {
		who, text string
		format    dialogs.Format // empty: in the chat
		customer  bool
	}{
		{"ann", "summary", "", false},
		{"ann", "sheet", dialogs.PDF, false},
		{"ann", "print it", dialogs.PDF, false},
		{"ann", "summary pdf", dialogs.PDF, false},
		{"owner", "export csv", dialogs.CSV, false},
		{"owner", "summary json", dialogs.JSON, false},
		{"customer", "summary", dialogs.PDF, true},
		{"customer", "export json", dialogs.PDF, true},
	} {
		s := k.said(c.who, c.text)
		s.By = dialogs.Person{Name: c.who, Role: dialogs.Role(c.who)}
		if c.who == "ann" {
			s.By = people["ann"]
		}
		reply, err := k.desk.Answer(k.job, s)
		if err != nil || len(reply.Out) == 0 {
			t.Fatalf("%s> %s: %v, %v", c.who, c.text, reply, err)
		}
		p := reply.Out[0].Print
		switch {
		case c.format == "":
			if p != nil || strings.Count(reply.Out[0].Text, "\n") > 7 {
				t.Errorf("%s> %s: a file, or %q", c.who, c.text, reply.Out[0].Text)
			}
		case p == nil || p.Format != c.format || p.Customer != c.customer || p.Job != 7:
			t.Errorf("%s> %s: %+v, want %s", c.who, c.text, p, c.format)
		}
		if data, err := json.Marshal(reply.Out); err != nil || len(data) > 2000 {
			t.Errorf("what is queued has %d bytes (%v)", len(data), err)
		}
	}
}
