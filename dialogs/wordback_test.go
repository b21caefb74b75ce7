package dialogs_test

import (
	"bufio"
	"encoding/json"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"shimwright/calc/unit"
	"shimwright/dialogs"
	"shimwright/dialogs/listen"
)

// heardLine is a line of the listener's corpus, with whether it wants a word back.
type heardLine struct {
	Text    string
	Units   string
	Sender  string
	Context []string
	Expect  listen.What
	Look    bool
	Want    struct {
		Kind listen.Kind
		Word string // word, silent, or either where empty
	}
}

func heardLines(t *testing.T, pattern string) []heardLine {
	t.Helper()
	paths, err := filepath.Glob(pattern)
	if err != nil || len(paths) == 0 {
		t.Fatal("no corpus", err)
	}
	var out []heardLine
	for _, path := range paths {
		f, err := os.Open(path)
		if err != nil {
			t.Fatal(err)
		}
		defer f.Close()
		for sc := bufio.NewScanner(f); sc.Scan(); {
			var l heardLine
			if err := json.Unmarshal(sc.Bytes(), &l); err != nil {
				t.Fatal(path, err)
			}
			out = append(out, l)
		}
	}
	return out
}

// oneByOne answers a job's questions one after the other.
const oneByOne = "new; skip 2 bare housing; old pinion shim 30; left 250; right 245; +2; -1; skip not read; skip 4 checked; done; not heated; yes; runout 1.5; same; same; yes; " +
	"8 8.5 8 8; drive center; coast center; setup bearing 1.235; final bearing 1.238; same; yes; new; yes; no seal; 14; skip not read; skip not read; yes; 22; " +
	"8 8.5 8 8; drive center; coast center; mentor: approve 1; yes; yes; yes"

// jobsByQuestion keeps one job for each quantity the talk below asks for.
func jobsByQuestion(t *testing.T) map[listen.What]*talk {
	t.Helper()
	k := open(t, "lapwing")
	sheet, err := k.desk.Sheets.Sheet("lapwing")
	if err != nil {
		t.Fatal(err)
	}
	states := map[listen.What]*talk{}
	keep := func() {
		if _, f := dialogs.Next(sheet, k.job); f != nil && states[f.What] == nil {
			states[f.What] = k.copy()
		}
	}
	for text := range strings.SplitSeq(oneByOne, "; ") {
		if by, ok := strings.CutPrefix(text, "mentor: "); ok {
			k.hear("mentor", by)
		} else {
			k.hear("ann", text)
		}
		keep()
	}
	return states
}

// copy gives a talk with the same job, that goes its own way.
func (k *talk) copy() *talk {
	c := *k
	c.records = slices.Clone(k.records)
	c.past = slices.Clone(k.past)
	var err error
	if c.job, err = dialogs.Fold("7", c.records); err != nil {
		k.t.Fatal(err)
	}
	return &c
}

// A word comes back to whoever answers the open question or speaks to the assistant,
// and none to chatter.
func TestWordBack(t *testing.T) {
	states := jobsByQuestion(t)
	look := states[listen.PatternDrive].copy()
	look.hear("ann", "drive center, coast a bit toward heel")
	look.hear("ann", "mentor please have a look")
	silent, chatty := 0, 0
	for _, l := range heardLines(t, "listen/testdata/set2[1-9].jsonl") {
		k := states[l.Expect]
		if l.Look {
			k = look
		}
		if k == nil {
			t.Fatalf("no job is at a question for %q", l.Expect)
		}
		p := people[map[string]string{"tech": "ann", "apprentice": "ben", "mentor": "mentor"}[l.Sender]]
		if l.Units == "metric" {
			p.Units = unit.Metric
		}
		s := k.said(p.Name, l.Text)
		s.By = p
		r, err := k.desk.Answer(k.job, s)
		if err != nil {
			t.Fatalf("%q: %v", l.Text, err)
		}
		switch {
		case l.Want.Word == "word" && len(r.Out) == 0:
			silent++
			t.Errorf("no word back to %s at %q: %q", l.Sender, l.Expect, l.Text)
		case l.Want.Word == "silent" && len(r.Out) > 0:
			chatty++
			t.Errorf("chatter answered at %q: %q -> %q", l.Expect, l.Text, r.Out[0].Text)
		}
	}
	t.Logf("no word back %d, chatter answered %d", silent, chatty)
}

// What the older sets log is always said back, and of their chatter no more than one
// in fifty, that speaks of what is asked, gets a word.
func TestWordBackToOlderSets(t *testing.T) {
	k := jobsByQuestion(t)[listen.Backlash]
	chatter, answered := 0, 0
	for i, l := range heardLines(t, "listen/testdata/set[01]*.jsonl") {
		if i%3 != 0 || l.Sender == "customer" || len(l.Context) > 0 {
			continue
		}
		p := people["ann"]
		if l.Units == "metric" {
			p.Units = unit.Metric
		}
		s := k.said(p.Name, l.Text)
		s.By, s.Context = p, nil
		r, err := k.desk.Answer(k.job, s)
		if err != nil {
			t.Fatalf("%q: %v", l.Text, err)
		}
		switch l.Want.Kind {
		case listen.Read, listen.Moved, listen.Correction, listen.Clarify, listen.BreakIn:
			if len(r.Out) == 0 {
				t.Errorf("no word back to %q", l.Text)
			}
		case listen.Ignore:
			if len(r.Events) > 0 || k.desk.Listen(listen.Input{Text: l.Text}).Command != nil {
				continue
			}
			if chatter++; len(r.Out) > 0 {
				answered++
				t.Logf("chatter answered: %q", l.Text)
			}
		}
	}
	if chatter < 50 || answered*50 > chatter {
		t.Errorf("%d of %d lines of chatter answered", answered, chatter)
	}
}
