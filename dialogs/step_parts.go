package dialogs

import (
	"shimwright/dialogs/listen"
	"shimwright/rules"
)

func partsStep(s *rules.Sheet, _ *Job) Step {
	bench := fact(listen.FactNewNut, Should, phrased("steps.bench"), phrased("steps.bench_ask"), phrased("steps.bench_why"))
	bench.Facts = append(bench.Facts, listen.FactNewRingBolts)
	if s.Preload.By == rules.CrushSleeve {
		bench = fact(listen.FactNewNut, Should, phrased("steps.bench_sleeve"), phrased("steps.bench_sleeve_ask"), phrased("steps.bench_sleeve_why"))
		bench.Facts = append(bench.Facts, listen.FactNewRingBolts, listen.FactNewSleeve)
	}
	return Step{ID: StepParts, Title: phrased("steps.parts"), past: partsCanWait, Fields: []Field{
		reading(Teeth, Should, phrased("steps.teeth"), phrased("steps.teeth_ask", "pinion", s.Pinion.Teeth, "ring", s.Ring.Teeth), phrased("steps.teeth_why")),
		fact(listen.FactNumbersAgree, Should, phrased("steps.match"), phrased("steps.match_ask"), phrased("steps.match_why")),
		bench,
	}}
}

// partsCanWait leaves the bench alone while trials are built and read; before the final
// assembly it is asked for again.
func partsCanWait(j *Job) bool {
	if j.Reopened[StepParts] > 0 {
		return false
	}
	last, _ := j.lastRead()
	return j.Trial().Final || last.read() && !j.Finished
}
