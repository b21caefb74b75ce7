package dialogs

import (
	"shimwright/dialogs/listen"
	"shimwright/rules"
)

func ringStep(s *rules.Sheet, _ *Job) Step {
	return Step{
		ID: StepRing, Title: phrased("steps.ring"), First: phrased("steps.ring_first", "bolts", ringBolts(s)), past: pastOnceFinished,
		Fields: []Field{
			reading(RingHeat, May, phrased("steps.ring_heat"), phrased("steps.ring_heat_ask"), Text{}),
			fact(listen.FactRingBoltsTorqued, Must, phrased("steps.ring_bolts"), phrased("steps.ring_bolts_ask"), phrased("steps.ring_bolts_why")),
			reading(RingRunout, Should, phrased("steps.runout"), phrased("steps.runout_ask"), phrased("steps.runout_why")),
		},
	}
}

// ringBolts names the thread hand before a wrench touches a bolt.
func ringBolts(s *rules.Sheet) Text {
	f, ok := s.RingBolts()
	switch {
	case !ok:
		return phrased("steps.hand_unknown")
	case f.Thread == rules.LeftHand:
		return phrased("steps.hand_left")
	}
	return phrased("steps.hand_right")
}
