package listen

import (
	"strings"
	"testing"

	"shimwright/calc/unit"
)

// BenchmarkParse is one shop message; the mean over a corpus of them.
func BenchmarkParse(b *testing.B) {
	var inputs []Input
	for _, m := range loadCorpus(b, "testdata/set01.jsonl") {
		inputs = append(inputs, m.input())
	}
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		Parse(inputs[i%len(inputs)])
	}
}

// BenchmarkParse100kB is a message far beyond what is understood of one.
func BenchmarkParse100kB(b *testing.B) {
	in := Input{Text: strings.Repeat("lash 9, drive heel and high, took 5 out of the right. ", 1900), Units: unit.InchUnits}
	b.SetBytes(int64(len(in.Text)))
	b.ReportAllocs()
	for b.Loop() {
		Parse(in)
	}
}
