package sheet

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"image"
	"image/jpeg"
	"slices"
	"strings"
	"testing"
	"time"

	"shimwright/calc/unit"
	"shimwright/dialogs/phrase"
	"shimwright/dialogs/picture"
)

var when = time.Date(2026, 3, 2, 8, 30, 0, 0, time.UTC)

// sample is a record of an invented job with something in every part.
func sample() Record {
	yes, no, mm := true, false, 1.016
	mark := Mark{By: "ann", Role: "technician", At: when}
	r := Record{
		Schema: Schema, Language: "en", Units: "inch", Number: 7, Axle: "lapwing", AxleTitle: "solid axle", Title: "whine",
		State: "closed", StateText: "closed", Opened: mark, Closed: &Mark{By: "ann", At: when.Add(time.Hour)}, Entries: 40, Last: when.Add(time.Hour),
		Versions: Versions{Program: "shimwright test", Axle: "01234567", AxleThen: "76543210", Rules: "89abcdef"},
		Result:   []Line{{Text: "finished", Good: &yes}, {Text: "on hold: no lash", Good: &no}},
		Compared: []Compared{{ID: "backlash", Name: "backlash", Before: "0.014 in", After: "0.008 in", Limit: "0.006–0.010 in", Good: &no}},
		Readings: []Group{{ID: "as-found", Name: "as found", Rows: []Row{{ID: "found.backlash", Name: "backlash", Text: "0.014 in", Values: []float64{0.014}, Unit: "in", Mark: mark}}}},
		Trials:   []Trial{{No: 1, Stacks: "pinion 0.040 in", Backlash: "0.008 in", Drive: "drive heel", Mark: mark}},
		Stacks:   []Stack{{ID: "pinion", Name: "pinion", Text: "0.040 in", MM: &mm, Was: "0.030 in"}},
		Fasteners: []Fastener{
			{ID: "caps torqued", Name: "bearing caps", Torque: "70–80 ft·lbf", Signed: &mark},
			{Name: "ring gear bolts", Torque: "70–78 ft·lbf", Thread: "left-hand thread", Extras: "thread locker"},
		},
		Parts:     []Row{{ID: "new nut", Name: "pinion nut", Text: "yes", Mark: mark}},
		Damage:    []Row{{ID: "damage", Name: "head bearing", Text: "pitted", Mark: mark}},
		Oil:       "75W-90",
		Cautions:  []Caution{{Rule: "no-lash", Level: "stop", Text: "no lash", Closed: "gone over: =HYPERLINK(1)", ClosedBy: "mo", Over: true, Mark: mark}},
		Skipped:   []Skipped{{Step: "parts", Name: "step parts check", Reason: "-2+3 checked", Mark: mark}},
		Reviews:   []Review{{Decision: "approve", Name: "approved", Text: "+ok", Lapsed: true, Mark: mark}},
		Corrected: []Correction{{Name: "backlash", First: "0.009 in", Then: "0.008 in", Mark: mark}},
		BreakIn:   &BreakIn{Legs: []Leg{{Text: "10 mi, then 30 min of cooling"}}, Reports: []Row{{ID: "leg", Name: "leg 1", Text: "@quiet", Mark: mark}}},
		Stages:    []Stage{{ID: "as-found", Name: "as found", Began: when, Minutes: 25, Text: "25 min"}},
		Photos:    []Photo{{Name: "p1", About: "drive", Mark: mark}},
		Log:       []Entry{{Entry: 1, Kind: "opened", Live: true, Mark: mark}},
		Standing:  "follow the vehicle's service manual.",
		Pattern:   &picture.PatternPicture{Units: unit.InchUnits, Drive: picture.Flank{Reported: &picture.Patch{Words: "center"}}},
		Round:     &picture.BacklashPicture{Units: unit.InchUnits, Readings: []picture.RoundReading{{Value: unit.Thou(8)}, {At: 2, Value: unit.Thou(9)}, {At: 4, Value: unit.Thou(8)}}},
	}
	return r
}

func options(t *testing.T) Options {
	t.Helper()
	book, err := phrase.Load()
	if err != nil {
		t.Fatal(err)
	}
	painter, err := picture.New(picture.English())
	if err != nil {
		t.Fatal(err)
	}
	return Options{Words: book.In(phrase.English), Painter: painter}
}

func printed(t *testing.T, r Record, o Options) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := PDF(&b, r, o); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// Equal records give equal bytes, whatever the clock says meanwhile, and other
// records others.
func TestEqualRecordsEqualBytes(t *testing.T) {
	withPhotos := func() Record {
		r := sample()
		var thumb bytes.Buffer
		if err := jpeg.Encode(&thumb, image.NewGray(image.Rect(0, 0, 90, 60)), nil); err != nil {
			t.Fatal(err)
		}
		for range 4 { // of one width, as the two pictures are
			r.Photos = append(r.Photos, Photo{Name: "p", About: "drive", Thumb: thumb.Bytes()})
		}
		return r
	}
	first := printed(t, withPhotos(), options(t))
	for range 8 {
		if again := printed(t, withPhotos(), options(t)); !bytes.Equal(first, again) {
			t.Fatal("the same record gave two PDFs")
		}
	}
	other := sample()
	other.Title = "howl"
	if bytes.Equal(first, printed(t, other, options(t))) {
		t.Error("another record gave the same PDF")
	}
	for name, write := range map[string]func(*bytes.Buffer) error{
		"json": func(b *bytes.Buffer) error { return JSON(b, sample()) },
		"csv":  func(b *bytes.Buffer) error { return CSV(b, sample()) },
	} {
		var a, b bytes.Buffer
		if err := write(&a); err != nil {
			t.Fatal(err)
		}
		if err := write(&b); err != nil {
			t.Fatal(err)
		}
		if a.Len() == 0 || !bytes.Equal(a.Bytes(), b.Bytes()) {
			t.Errorf("%s differs", name)
		}
	}
}

// pages counts the pages of a PDF by its page objects.
func pages(pdf []byte) int { return bytes.Count(pdf, []byte("/Type /Page\n")) }

func TestPages(t *testing.T) {
	r := sample()
	if n := pages(printed(t, r, options(t))); n != 2 {
		t.Errorf("%d pages, want the customer's and the owner's", n)
	}
	o := options(t)
	o.Customer, o.Paper = true, Letter
	pdf := printed(t, r, o)
	if n := pages(pdf); n != 1 || !bytes.Contains(pdf, []byte("/MediaBox [0 0 612.00 792.00]")) {
		t.Errorf("the customer's sheet has %d pages on letter", n)
	}
	for range 500 {
		r.Readings[0].Rows = append(r.Readings[0].Rows, r.Readings[0].Rows[0])
	}
	if n := pages(printed(t, r, options(t))); n < 3 || n > 5 {
		t.Errorf("a long log has %d pages", n)
	}
	if n := pages(printed(t, Record{Language: "en", Axle: "lapwing", Standing: "x"}, options(t))); n != 2 {
		t.Errorf("an empty job has %d pages", n)
	}
}

// Names of other scripts print as far as the typeface goes; what it lacks shows as a
// box, and nothing turns the page over.
func TestClean(t *testing.T) {
	p, err := newPrinter(sample(), options(t))
	if err != nil {
		t.Fatal(err)
	}
	for in, want := range map[string]string{
		"Łukasz, Žaneta, Ægir":    "Łukasz, Žaneta, Ægir",
		"Жанна Иванова":           "Жанна Иванова",
		"Ελένη":                   "Ελένη",
		"田中 太郎":                   "□□ □□",
		"🔧 ok":                    "□ ok",
		"a\u202egnp\u202c\nb\x00": "agnp b",
		"0.008 in – 20 °C · µm":   "0.008 in – 20 °C · µm",
	} {
		if got := p.clean(in); got != want {
			t.Errorf("%q prints as %q, want %q", in, got, want)
		}
	}
	r := sample()
	r.Title, r.Opened.By = strings.Repeat("ж田", 300), "Ünsal Åström"
	printed(t, r, options(t))
}

// No cell of the CSV is a formula, and each line has its columns.
// Source: OWASP, "CSV Injection"; RFC 4180 for the form.
func TestCSVHasNoFormulas(t *testing.T) {
	r := sample()
	r.Title = "=1+1"
	r.Damage[0].Text = "\t=cmd|' /C calc'!A0"
	r.Parts[0].Text = "＝1"
	var b bytes.Buffer
	if err := CSV(&b, r); err != nil {
		t.Fatal(err)
	}
	text, ok := strings.CutPrefix(b.String(), "\ufeff")
	if !ok {
		t.Error("no byte order mark")
	}
	rows, err := csv.NewReader(strings.NewReader(text)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	seen := map[string]bool{}
	for _, row := range rows {
		if len(row) != len(columns) {
			t.Errorf("%d cells: %q", len(row), row)
		}
		seen[row[2]] = true
		for _, cell := range row {
			if cell != "" && strings.ContainsRune("=+-@\t\r＝", []rune(cell)[0]) {
				t.Errorf("a spreadsheet would take %q for a formula", cell)
			}
		}
	}
	for _, section := range []string{"job", "compared", "as-found", "trial", "stack", "fastener", "part", "damage", "caution", "skipped", "review", "correction", "break-in", "stage"} {
		if !seen[section] {
			t.Errorf("nothing of %s is in it", section)
		}
	}
	if got := defused("-0.25"); got != "-0.25" {
		t.Errorf("a number became %q", got)
	}
}

func TestJSONRoundTrip(t *testing.T) {
	var b bytes.Buffer
	if err := JSON(&b, sample()); err != nil {
		t.Fatal(err)
	}
	var back map[string]any
	if err := json.Unmarshal(b.Bytes(), &back); err != nil {
		t.Fatal(err)
	}
	if back["schema"] != float64(Schema) || back["number"] != float64(7) {
		t.Errorf("schema %v, number %v", back["schema"], back["number"])
	}
	row := back["readings"].([]any)[0].(map[string]any)["rows"].([]any)[0].(map[string]any)
	if row["id"] != "found.backlash" || row["unit"] != "in" || row["by"] != "ann" {
		t.Errorf("a reading is %v", row)
	}
}

// A job that is too long for two pages runs on, says so on each page more, and keeps
// all of it; one that is only somewhat too long has its lines closer together.
func TestALongJobRunsOn(t *testing.T) {
	r := sample()
	for i := range 12 {
		tr := r.Trials[0]
		tr.No, tr.Backlash, tr.Coast = i+2, fmt.Sprintf("0.01%d / 0.014 / 0.013 / 0.013 in", i), "coast center, a touch high (face)"
		r.Trials = append(r.Trials, tr)
	}
	var thumb bytes.Buffer
	if err := jpeg.Encode(&thumb, image.NewGray(image.Rect(0, 0, 90, 60)), nil); err != nil {
		t.Fatal(err)
	}
	for i := range 20 {
		r.Photos = append(r.Photos, Photo{Name: "p", About: fmt.Sprintf("drive side of trial %d", i), Mark: r.Opened, Thumb: thumb.Bytes()})
	}
	for i := range 60 {
		r.Reviews = append(r.Reviews, Review{Decision: "request", Verb: "asked for a look", Step: fmt.Sprintf("step %d", i), Mark: r.Opened}, Review{Decision: "approve", Verb: "approved", Step: fmt.Sprintf("step %d", i), Text: fmt.Sprintf("approve %d", i), Mark: r.Opened})
	}
	o := options(t)
	o.Painter = nil
	lines, err := Lines(r, o)
	if err != nil {
		t.Fatal(err)
	}
	if len(lines) != pages(printed(t, r, o)) || len(lines) != 3 {
		t.Fatalf("%d pages", len(lines))
	}
	for i, page := range lines {
		if continued := strings.Contains(page[0], "continued"); continued != (i > 1) {
			t.Errorf("page %d begins %q", i+1, page[0])
		}
	}
	all := strings.Join(slices.Concat(lines...), " ")
	for _, want := range []string{"0.0111 / 0.014", "drive side of trial 19", "approve 59 (ann", "step 59"} {
		if !strings.Contains(all, want) {
			t.Errorf("%q is not there", want)
		}
	}
	closer := false
	for looks := r.Reviews; len(looks) > 0 && !closer; looks = looks[:len(looks)-6] {
		r.Reviews = looks
		p, err := fitted(r, o)
		if err != nil {
			t.Fatal(err)
		}
		closer = len(p.printed) == few && p.lead < leading
	}
	if !closer {
		t.Error("no job fits by lines that are closer together")
	}
}
