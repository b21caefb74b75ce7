package dialogs

import (
	"fmt"
	"strings"

	"shimwright/calc/fit"
	"shimwright/dialogs/listen"
	"shimwright/rules"
)

// fitReminder says when a part that went on warm should be cold: then ring bolts get
// their torque, and a bearing is looked at.
func fitReminder() reminder {
	return reminder{name: "fit", timers: fitTimers, say: sayFit}
}

func fitTimers(s *rules.Sheet, j *Job) []Timer {
	if len(j.Fits) == 0 || j.Held || j.BreakIn != nil {
		return nil
	}
	var out []Timer
	for _, piece := range []string{pieceRing, pieceHead, pieceSide} {
		g, ok := j.Fits[piece]
		if !ok || g.Cooled || j.Reopened[StepRing] > g.OnBy.Seq {
			continue
		}
		_, until, warm := coolOf(s, j, piece, g)
		if !warm {
			continue
		}
		if piece == pieceRing {
			// Torqued when it was cold, though nobody said that it was.
			if f, ok := j.Facts[listen.FactRingBoltsTorqued]; ok && f.True && f.Seq > g.OnBy.Seq && !f.At.Before(until) {
				continue
			}
		}
		out = append(out, Timer{Key: fmt.Sprintf("fit/%s/%d", piece, g.OnBy.Seq), Due: until, Ping: []string{g.OnBy.By}})
	}
	return out
}

func sayFit(t *turn, tm Timer) error {
	piece := strings.Split(tm.Key, "/")[1]
	touch := heatOnly(fit.Touchable, t.typedHeat())
	if piece != pieceRing {
		t.tell(t.text("fits.remind_bearing", "piece", t.pieceName(piece), "touch", touch))
		return nil
	}
	f, ok := t.sheet.RingBolts()
	torque := ""
	if ok {
		torque = torqueSpan(t.voice, f.Low, f.High)
	}
	again := t.job.Facts[listen.FactRingBoltsTorqued]
	t.tell(t.text("fits.remind_ring", "touch", touch, "torque", torque, "figure", ok, "left", ok && f.Thread == rules.LeftHand,
		"again", again.True && again.Seq > t.job.Fits[pieceRing].OnBy.Seq))
	return nil
}
