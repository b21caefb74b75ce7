package dialogs_test

import (
	"fmt"
	"testing"

	"shimwright/dialogs"
)

// longLog makes a job's log of n entries from conversation.
func longLog(b testing.TB, n int) [][]byte {
	k := open(b, "lapwing")
	k.play("ann> new", "ann> skip 2 bare", "ann> skip 3 bare", "ann> skip 4 bare", "ann> pinion shim 33",
		"ann> ring bolts torqued, runout 1 thou", "ann> left 250 right 245", "ann> caps torqued")
	for i := 0; int(k.job.Version()) < n; i++ {
		k.play(fmt.Sprintf("ann> lash %d %d 14 14", 12+i%4, 13+i%3), "ann> took 1 out of the right and put it left")
	}
	var records [][]byte
	for _, e := range k.job.Log[:n] {
		r, err := dialogs.Encode(e.Event)
		if err != nil {
			b.Fatal(err)
		}
		records = append(records, r)
	}
	return records
}

// BenchmarkFold500 folds a job of 500 entries from its records.
func BenchmarkFold500(b *testing.B) {
	records := longLog(b, 500)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := dialogs.Fold("7", records); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkAnswer answers one reading in a job of some 40 entries.
func BenchmarkAnswer(b *testing.B) {
	records := longLog(b, 40)
	k := open(b, "lapwing")
	job, err := dialogs.Fold("7", records)
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := k.desk.Answer(job, k.said("ann", "lash 9 9 9 10")); err != nil {
			b.Fatal(err)
		}
	}
}
