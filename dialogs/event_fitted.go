package dialogs

import (
	"time"

	"shimwright/calc/unit"
	"shimwright/dialogs/listen"
)

const kindFitted = "fitted"

// fitted tells of a part that is warmed or chilled, that went on, or that is cold
// again. What it measured is an entry of its own before it.
type fitted struct {
	Piece  string `json:"piece"`            // ring, head_bearing, side_bearing, pinion, carrier
	By     string `json:"by,omitempty"`     // how it is warmed or chilled, as listen.Fit has it
	On     string `json:"on,omitempty"`     // that it is on, and how
	Cooled bool   `json:"cooled,omitempty"` // it is cold again
}

func (fitted) kind() string { return kindFitted }

func (f fitted) apply(j *Job, e Entry) {
	g := j.Fits[f.Piece]
	g.entryMeta = metaOf(e)
	switch {
	case !g.Cooled:
	case f.By != "":
		g.On = "" // it came off, and is warmed again
	case f.On != "":
		g.By = "" // it came off, and goes on again without
	}
	if f.By != "" {
		g.By, g.Cooled = f.By, false
	}
	if f.On != "" {
		r := j.warmth(f.Piece, e.At)
		g.On, g.OnBy, g.Cooled, g.Warm = f.On, metaOf(e), false, false
		if r != nil {
			g.Was, g.Warm = r.Temperature()
		}
	}
	g.Cooled = g.Cooled || f.Cooled
	j.Fits[f.Piece] = g
}

// Fitting is how a part that is warmed or chilled stands.
type Fitting struct {
	By     string           // how it was warmed or chilled, empty where it was not said
	On     string           // how it went on, empty while it is not
	OnBy   entryMeta        // the entry that said so
	Was    unit.Temperature // when it went on, where Warm
	Warm   bool             // it went on warm, at a known temperature
	Cooled bool             // it is cold again
	entryMeta
}

// chilled says whether the part is made cold.
func (g Fitting) chilled() bool { return listen.Chills(g.By) }

// heatHolds is how long a temperature that was read counts as that of the part going
// on.
const heatHolds = 3 * time.Hour

// warmth gives the temperature that a part was read at lately, nil where it went on
// since, or the other bearing did: that one it was then.
func (j *Job) warmth(piece string, at time.Time) *Reading {
	r := j.slot(heatSlot(piece))
	if r == nil || at.Sub(r.At) >= heatHolds {
		return nil
	}
	for other, g := range j.Fits {
		if heatSlot(other) == heatSlot(piece) && g.OnBy.Seq > r.Seq {
			return nil
		}
	}
	return r
}

// heatSlot is where the temperature of a warm part is kept.
func heatSlot(piece string) Slot {
	if piece == pieceRing {
		return RingHeat
	}
	return BearingHeat
}
