package dialogs

import (
	"strings"
	"testing"
	"time"
)

// What people type to find jobs, against ten jobs of an invented shop. Weeks begin on
// Monday (ISO 8601); now is Wednesday, 2031-10-15.
func TestFindingJobs(t *testing.T) {
	now := time.Date(2031, 10, 15, 14, 0, 0, 0, time.UTC)
	type job struct {
		line JobLine
		card Card
	}
	day := func(month time.Month, d int) time.Time { return time.Date(2031, month, d, 9, 0, 0, 0, time.UTC) }
	jobs := []job{
		{JobLine{Number: 1, Sheet: "lapwing", Title: "Whine on drive", By: "ann", At: day(3, 3)}, Card{State: CardClosed, Last: day(3, 5), People: []string{"ann", "mo"}, Words: []string{"gears", "whine"}}},
		{JobLine{Number: 2, Sheet: "saltmarsh", Title: "leak", By: "ben", At: day(9, 28)}, Card{State: CardClosed, Last: day(10, 2), People: []string{"ann", "ben"}, Words: []string{"leak", "seal"}}},
		{JobLine{Number: 3, Sheet: "lapwing", Title: "", By: "ann", At: day(10, 7)}, Card{State: CardWaiting, Last: day(10, 9), People: []string{"ann"}, Words: []string{"howl"}}},
		{JobLine{Number: 4, Sheet: "curlew", Title: "ratio change", By: "mo", At: day(10, 14)}, Card{State: CardHeld, Last: day(10, 14), People: []string{"mo"}}},
		{JobLine{Number: 12, Sheet: "dunlin", Title: "noise", By: "Ben Ode", At: day(10, 15)}, Card{State: CardBreakIn, Last: day(10, 15), People: []string{"Ben Ode"}}},
	}
	sheets := func(w string) bool { return strings.Contains(" lapwing saltmarsh curlew dunlin ", " "+w+" ") }
	for _, c := range []struct {
		text string
		want []int
	}{
		{"jobs lapwing", []int{1, 3}},
		{"jobs by ann", []int{1, 2, 3}},
		{"jobs by ann last week", []int{3}},
		{"jobs by ben", []int{2, 12}},
		{"jobs waiting", []int{3}},
		{"jobs waiting for review", []int{3}},
		{"jobs on hold", []int{4}},
		{"jobs under break-in", []int{12}},
		{"jobs in break in", []int{12}},
		{"jobs closed", []int{1, 2}},
		{"jobs closed october", []int{2}},
		{"jobs closed in march 2031", []int{1}},
		{"jobs closed march 2030", nil},
		{"jobs closed 2031-10", []int{2}},
		{"jobs 2031-10-14", []int{4}},
		{"jobs since 2031-10-08", []int{3, 4, 12}},
		{"jobs today", []int{12}},
		{"jobs yesterday", []int{4}},
		{"jobs this week", []int{4, 12}},
		{"jobs last month", []int{2}},
		{"jobs open lapwing", []int{3}},
		{"find whine", []int{1}},
		{"find whin", []int{1}},
		{"find the seal", []int{2}},
		{"find whine leak", nil},
		{"find ratio", []int{4}},
		{"find mo", []int{1, 4}},
		{"jobs 12", []int{12}},
		{"jobs #4", []int{4}},
		{"trabajos cerrados octubre", []int{2}},
		{"trabajos por ann semana pasada", []int{3}},
		{"busca howl", []int{3}},
		{"jobs november", nil}, // of last year: the next one is not over
	} {
		words, ok := seeking(c.text)
		if !ok {
			t.Errorf("%q is not taken as a search", c.text)
			continue
		}
		q := readQuery(words, now, sheets)
		var got []int
		for _, j := range jobs {
			if q.fits(j.line, j.card) {
				got = append(got, j.line.Number)
			}
		}
		if len(got) != len(c.want) {
			t.Errorf("%q finds %v, want %v (%+v)", c.text, got, c.want, q)
			continue
		}
		for i := range got {
			if got[i] != c.want[i] {
				t.Errorf("%q finds %v, want %v", c.text, got, c.want)
				break
			}
		}
	}
	for _, text := range []string{"jobs", "find", "lash 8", "good jobs all round", "jobs\nlash 8"} {
		if _, ok := seeking(text); ok {
			t.Errorf("%q is taken as a search", text)
		}
	}
}
