package rules

import (
	"os"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// withReviews is a shipped sheet with another reviews block, none where empty.
func withReviews(t *testing.T, block string) (*Sheet, *Report) {
	t.Helper()
	text, err := os.ReadFile("sheets/lapwing.yaml")
	if err != nil {
		t.Fatal(err)
	}
	before, _, ok := strings.Cut(string(text), "\nreviews:")
	if !ok {
		t.Fatal("the shipped sheet has no reviews")
	}
	var report Report
	return ReadSheet("x", "x.yaml", []byte(before+"\n"+block), &report), &report
}

func TestReviews(t *testing.T) {
	all := DefaultReviews()
	for _, row := range []struct {
		name, block string
		want        Reviews
	}{
		{"left out", "", all},
		{"in the order of the job, each once", "reviews:\n  apprentice: [loop, parts, loop]\n",
			Reviews{Apprentice: []string{"parts", "loop"}, Technician: all.Technician, Remind: all.Remind}},
		{"nobody", "reviews:\n  apprentice: []\n  technician: []\n  remind: 2 h\n", Reviews{Remind: 120}},
	} {
		s, report := withReviews(t, row.block)
		if s == nil {
			t.Errorf("%s: %v", row.name, report.Err())
			continue
		}
		if diff := cmp.Diff(row.want, s.Reviews); diff != "" {
			t.Errorf("%s (-want +got):\n%s", row.name, diff)
		}
	}
	for _, row := range []struct{ block, want string }{
		{"reviews:\n  apprentice: [lop]\n", `did you mean "loop"?`},
		{"reviews:\n  apprentice: [finished]\n", "there are: open, as-found"},
		{"reviews:\n  helper: [loop]\n", "apprentice, technician, remind"},
		{"reviews:\n  apprentice: loop\n", "want a list"},
		{"reviews:\n  remind: 20\n", "for example 30 min"},
	} {
		s, report := withReviews(t, row.block)
		var text strings.Builder
		if err := report.Print(&text); err != nil {
			t.Fatal(err)
		}
		if s != nil || !strings.Contains(text.String(), row.want) {
			t.Errorf("%s: sheet %v, want %q in\n%s", row.block, s != nil, row.want, text.String())
		}
	}
}

func TestReviewsOfARole(t *testing.T) {
	r := DefaultReviews()
	if len(r.Of("apprentice")) <= len(r.Of("tech")) {
		t.Errorf("an apprentice is looked at more than a technician: %v, %v", r.Of("apprentice"), r.Of("tech"))
	}
	for _, role := range []string{"mentor", "owner", "customer", ""} {
		if got := r.Of(role); got != nil {
			t.Errorf("%q: %v, want none", role, got)
		}
	}
}
