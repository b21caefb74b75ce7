package dialogs_test

import (
	"bytes"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"sort"
	"strings"
	"testing"

	"shimwright/dialogs"
)

var keepJob = flag.String("keep-job", "", "write the log of the conversation played here under testdata/jobs/v1 by this name")

// Logs of earlier versions must fold to what they folded to then. A log is never
// rewritten; a new one is added with -keep-job NAME when the log learns something.
func TestOldJobsFoldAsTheyDid(t *testing.T) {
	if *keepJob != "" {
		writeJob(t, *keepJob)
	}
	files, err := filepath.Glob("../testdata/jobs/v1/*.jsonl")
	if err != nil || len(files) == 0 {
		t.Fatalf("no old job logs: %v", err)
	}
	for _, file := range files {
		log, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		job, err := dialogs.Fold("old", bytes.Split(bytes.TrimSpace(log), []byte("\n")))
		if err != nil {
			t.Errorf("%s: %v", file, err)
			continue
		}
		want, err := os.ReadFile(strings.TrimSuffix(file, ".jsonl") + ".txt")
		if err != nil {
			t.Fatal(err)
		}
		if got := portrait(job); got != string(want) {
			t.Errorf("%s folds to\n%s\nwant\n%s", file, got, want)
		}
	}
}

// portrait says the state of a job in lines, independent of how it is kept.
func portrait(j *dialogs.Job) string {
	var b strings.Builder
	fmt.Fprintf(&b, "job %d sheet %s title %q by %s\n", j.Number, j.Sheet, j.Title, j.OpenedBy)
	fmt.Fprintf(&b, "entries %d finished %v closed %v read-only %q\n", j.Version(), j.Finished, j.Closed, j.ReadOnly)
	var slots []string
	for s, r := range j.Slots {
		slots = append(slots, fmt.Sprintf("%s %v %s %s %s %s", s, r.Values, r.Unit, r.Along, r.Across, r.Degree))
	}
	sort.Strings(slots)
	for _, s := range slots {
		fmt.Fprintln(&b, strings.TrimSpace(s))
	}
	for _, t := range j.Trials {
		fmt.Fprintf(&b, "trial %d pinion %.4f left %.4f right %.4f notches %+g %+g read %v %v %v\n", t.No,
			t.Build.Pinion.Thickness.MM(), t.Build.Left.Thickness.MM(), t.Build.Right.Thickness.MM(),
			t.Build.LeftNotches, t.Build.RightNotches, t.Backlash != nil, t.Drive != nil, t.Coast != nil)
	}
	for _, w := range j.Warnings {
		fmt.Fprintf(&b, "warning %s %s %q\n", w.Level, w.Rule, w.Closed)
	}
	for _, r := range j.Reviews {
		fmt.Fprintf(&b, "review %s by %s up to %d\n", r.Decision, r.By, r.Upto)
	}
	var skips []string
	for key, s := range j.Skipped {
		skips = append(skips, fmt.Sprintf("skipped %s %q", key, s.Reason))
	}
	sort.Strings(skips)
	for _, s := range skips {
		fmt.Fprintln(&b, s)
	}
	for _, e := range j.Log {
		if !e.Live {
			fmt.Fprintf(&b, "entry %d %s is taken back\n", e.Seq, e.Kind)
		}
	}
	return b.String()
}

// writeJob plays a conversation that uses every kind of entry and keeps its log.
func writeJob(t *testing.T, name string) {
	k := open(t, "lapwing")
	k.play("ann> new", "ann> lash 14 14 13 14", "ann> drive toe and low", "ann> meant coast", "ann> undo", "ann> drive toe, low",
		"ann> coast toe, a touch low", "ann> caps marked", "ann> old pinion shim 30, left 250, right 245", "ann> old mark +2, new mark -1",
		"ann> skip 4 checked before", "ann> reopen 4", "ann> skip 4 checked twice", "ann> done", "ann> ring bolts torqued, runout 1.5 thou",
		"ann> same", "ann> same", "ann> caps torqued", "ann> pinion shim", "ann> lash 14 14 13 14, drive high and heel, coast high and heel",
		"mentor> pull 2 out of the right and put it left", "ann> done", "ann> lash 12 12 12 11, drive high and heel, coast high and heel",
		"ann> done", "ann> no lash now, it binds", "ann> override dial foot was loose", "ann> lash 8 8 8 9, drive centered, coast centered",
		"ben> approved", "mentor> approved", "ann> close job")
	var log bytes.Buffer
	for _, e := range k.job.Log {
		r, err := dialogs.Encode(e.Event)
		if err != nil {
			t.Fatal(err)
		}
		log.Write(append(r, '\n'))
	}
	base := "../testdata/jobs/v1/" + name
	if err := os.WriteFile(base+".jsonl", log.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(base+".txt", []byte(portrait(k.job)), 0o644); err != nil {
		t.Fatal(err)
	}
}
