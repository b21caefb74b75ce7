package listen

import (
	"bufio"
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"sort"
	"testing"

	"shimwright/calc/unit"
)

// message is one line of the corpus: what was typed and what it means. Only the
// fields that are given in want are compared.
type message struct {
	Text    string   `json:"text"`
	Units   string   `json:"units"`
	Context []string `json:"context"`
	Sender  string   `json:"sender"`
	Expect  What     `json:"expect"`
	Look    bool     `json:"look"`
	Want    struct {
		Kind     Kind      `json:"kind"`
		Readings []Reading `json:"readings"`
		Moves    []Move    `json:"moves"`
		Retract  retracted `json:"retract"`
		Decision string    `json:"decision"`
		Caution  string    `json:"caution"`
		Command  Verb      `json:"command"`
		Topic    string    `json:"topic"`
		Fact     string    `json:"fact"`
		leeway
	} `json:"want"`
	line int
}

// leeway is what else would do, where a colleague could answer in several ways.
type leeway struct {
	Kinds       []Kind   `json:"kinds"`        // any of these
	Optional    bool     `json:"optional"`     // nothing taken is right as well, never anything else
	AnyReadings bool     `json:"any_readings"` // the desk knows what stood before
	Decisions   []string `json:"decisions"`    // any of these
	NotDecision string   `json:"not_decision"` // anything but this
	NotFact     string   `json:"not_fact"`
	Damage      bool     `json:"damage"` // some is noted
	Commands    []Verb   `json:"commands"`
}

// holds says whether an utterance keeps within what else the line asks for.
func (l leeway) holds(u Utterance) bool {
	switch {
	case len(l.Decisions) > 0 && !slices.Contains(l.Decisions, u.Decision), l.NotDecision != "" && u.Decision == l.NotDecision:
		return false
	case l.NotFact != "" && slices.Contains(u.Facts, l.NotFact), l.Damage && len(u.Damage) == 0:
		return false
	case u.Command != nil && len(l.Commands) > 0 && !slices.Contains(l.Commands, u.Command.Verb):
		return false
	}
	return true
}

// retracted is what a correction must take back: true for anything, or a list.
type retracted struct {
	any  bool
	list []Retract
}

func (r *retracted) UnmarshalJSON(raw []byte) error {
	if err := json.Unmarshal(raw, &r.any); err == nil {
		return nil
	}
	var one Retract
	if err := json.Unmarshal(raw, &one); err == nil {
		r.list = []Retract{one}
		return nil
	}
	return json.Unmarshal(raw, &r.list)
}

func (r retracted) MarshalJSON() ([]byte, error) {
	if r.list == nil {
		return json.Marshal(r.any)
	}
	return json.Marshal(r.list)
}

func (m message) input() Input {
	in := Input{Text: m.Text, Context: m.Context, Sender: Sender(m.Sender), Expect: m.Expect, Look: m.Look}
	switch m.Units {
	case "inch":
		in.Units = unit.InchUnits
	case "metric":
		in.Units = unit.Metric
	}
	return in
}

func loadCorpus(t testing.TB, path string) []message {
	t.Helper()
	raw, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	var out []message
	sc := bufio.NewScanner(bytes.NewReader(raw))
	sc.Buffer(nil, 1<<22)
	for n := 1; sc.Scan(); n++ {
		if len(bytes.TrimSpace(sc.Bytes())) == 0 {
			continue
		}
		var m message
		if err := json.Unmarshal(sc.Bytes(), &m); err != nil {
			t.Fatalf("%s:%d: %v", path, n, err)
		}
		m.line = n
		out = append(out, m)
	}
	if err := sc.Err(); err != nil {
		t.Fatal(err)
	}
	return out
}

// sameReading compares what is committed of a reading.
func sameReading(a, b Reading) bool {
	return a.What == b.What && sameNumbers(a, b) && a.Unit == b.Unit && a.Length == b.Length && a.Profile == b.Profile && a.Which == b.Which
}

func sameNumbers(a, b Reading) bool {
	if (a.Value == nil) != (b.Value == nil) || len(a.Values) != len(b.Values) {
		return false
	}
	if a.Value != nil && !near(*a.Value, *b.Value) {
		return false
	}
	for i := range a.Values {
		if !near(a.Values[i], b.Values[i]) {
			return false
		}
	}
	return true
}

// near allows for the rounding of a converted figure (kgf·cm).
func near(a, b float64) bool { return math.Abs(a-b) <= 1e-6+5e-4*math.Abs(b) }

func sameMove(a, b Move) bool {
	same := func(x, y *float64) bool { return (x == nil) == (y == nil) && (x == nil || near(*x, *y)) }
	return a.From == b.From && a.To == b.To && same(a.AmountIn, b.AmountIn) && same(a.AmountMM, b.AmountMM) && same(a.Notches, b.Notches)
}

// sameSet compares lists without order.
func sameSet[T any](got, want []T, same func(a, b T) bool) (missing, extra []T) {
	left := slices.Clone(want)
	for _, g := range got {
		if i := slices.IndexFunc(left, func(w T) bool { return same(g, w) }); i >= 0 {
			left = slices.Delete(left, i, i+1)
		} else {
			extra = append(extra, g)
		}
	}
	return left, extra
}

// score is how a corpus came out.
type score struct {
	total, kind, readings, moves, all int
	silent                            int // messages with a reading or move that is not what was said
	bad                               []string
}

func (s *score) String() string {
	p := func(n int) string {
		return fmt.Sprintf("%d/%d (%.1f %%)", n, s.total, 100*float64(n)/float64(max(1, s.total)))
	}
	return fmt.Sprintf("kind right %s, readings right %s, moves right %s, all right %s, wrong silent readings %d",
		p(s.kind), p(s.readings), p(s.moves), p(s.all), s.silent)
}

// judge compares one utterance with what is wanted.
func (s *score) judge(m message, u Utterance) {
	s.total++
	kind := u.Kind == m.Want.Kind || slices.Contains(m.Want.Kinds, u.Kind)
	missing, extra := sameSet(u.Readings, m.Want.Readings, sameReading)
	lost, more := sameSet(u.Moves, m.Want.Moves, sameMove)
	if m.Want.AnyReadings {
		missing, extra = nil, nil
	}
	if m.Want.Optional && len(u.Readings)+len(u.Moves) == 0 {
		missing, lost = nil, nil
	}
	readings, moves := len(missing)+len(extra) == 0, len(lost)+len(more) == 0
	rest := m.Want.holds(u)
	rest = rest && (m.Want.Decision == "" || m.Want.Decision == u.Decision)
	if m.Want.Caution != "" {
		rest = rest && slices.Contains(u.Cautions, m.Want.Caution)
	}
	if m.Want.Command != "" {
		rest = rest && u.Command != nil && u.Command.Verb == m.Want.Command
	}
	if m.Want.Topic != "" {
		rest = rest && slices.Contains(u.Topics, m.Want.Topic)
	}
	if m.Want.Fact != "" {
		rest = rest && slices.Contains(u.Facts, m.Want.Fact)
	}
	rest = rest && (!m.Want.Retract.any || len(u.Retract) > 0)
	for _, r := range m.Want.Retract.list {
		rest = rest && slices.ContainsFunc(u.Retract, func(x Retract) bool {
			return (r.What == "" || x.What == r.What) && x.Move == r.Move && (!r.Last || x.Last)
		})
	}
	if kind {
		s.kind++
	}
	if readings {
		s.readings++
	}
	if moves {
		s.moves++
	}
	silent := len(extra)+len(more) > 0
	if silent {
		s.silent++
	}
	if kind && readings && moves && rest {
		s.all++
		return
	}
	got, _ := json.Marshal(u)
	want, _ := json.Marshal(m.Want)
	tag := ""
	if silent {
		tag = " SILENT"
	}
	s.bad = append(s.bad, fmt.Sprintf("line %d%s [%s %s] %v %q\n     got  %s\n     want %s", m.line, tag, m.Units, m.Sender, m.Context, m.Text, got, want))
}

// floor is the least share of each set of messages that must come out right. No
// wrong silent reading is allowed. Sets 2 and 3 were written by other hands; all
// were tried unseen before the listener was mended for them.
var floor = struct{ kind, readings, all float64 }{0.99, 0.99, 0.98}

func corpusFiles(t testing.TB) []string {
	t.Helper()
	paths, err := filepath.Glob("testdata/*.jsonl")
	if err != nil || len(paths) == 0 {
		t.Fatal("no corpus", err)
	}
	sort.Strings(paths)
	return paths
}

// TestCorpus prints how well the messages of testdata are understood.
func TestCorpus(t *testing.T) {
	paths := corpusFiles(t)
	if extra := os.Getenv("LISTEN_CORPUS"); extra != "" { // an unseen corpus, tried by hand
		paths = []string{extra}
	}
	for _, path := range paths {
		t.Run(filepath.Base(path), func(t *testing.T) {
			var s score
			for _, m := range loadCorpus(t, path) {
				u := Parse(m.input())
				if bad := checkUtterance(m.input(), u); bad != "" {
					t.Errorf("line %d: %s: %q %+v", m.line, bad, m.Text, u)
				}
				s.judge(m, u)
			}
			t.Logf("%s: %s", filepath.Base(path), s.String())
			for _, b := range s.bad {
				t.Log(b)
			}
			f := floor
			n := float64(s.total)
			if os.Getenv("LISTEN_CORPUS") != "" {
				return // tried by hand, and only counted
			}
			if float64(s.kind) < f.kind*n || float64(s.readings) < f.readings*n || float64(s.all) < f.all*n {
				t.Errorf("below the floor of %+v", f)
			}
			if s.silent > 0 {
				t.Errorf("%d wrong silent readings", s.silent)
			}
		})
	}
}

// The command of an utterance is the one VerbOf finds, or it was found to be none.
func TestVerbOf(t *testing.T) {
	for _, file := range corpusFiles(t) {
		for _, m := range loadCorpus(t, file) {
			verb, u := VerbOf(m.input().Text), Parse(m.input())
			if u.Command != nil && u.Command.Verb != verb {
				t.Errorf("%q: %q, and Parse finds %q", m.input().Text, verb, u.Command.Verb)
			}
		}
	}
}
