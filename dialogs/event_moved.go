package dialogs

import (
	"shimwright/calc/unit"
	"shimwright/dialogs/listen"
)

const kindMoved = "moved"

// moved is a change somebody says was made, relative to what was there.
type moved struct {
	From    string      `json:"from,omitempty"`
	To      string      `json:"to,omitempty"`
	Amount  unit.Length `json:"mm,omitempty"`
	Notches float64     `json:"notches,omitempty"`
	Unit    unit.System `json:"unit,omitempty"` // the habit it was typed in
}

func (moved) kind() string { return kindMoved }

func (m moved) apply(j *Job, e Entry) {
	j.startTrial(e)
	b := &j.Trials[len(j.Trials)-1].Build
	b.take(m.From, -m.Amount, -m.Notches)
	b.take(m.To, m.Amount, m.Notches)
	j.pinionOut(e.Seq, m.From == "pinion" || m.To == "pinion", m.From == "preload_pack" || m.To == "preload_pack")
	j.Moves = append(j.Moves, Move{moved: m, entryMeta: metaOf(e)})
}

// Move is a change on record.
type Move struct {
	moved
	entryMeta
}

// movedFrom resolves a typed move. ring_side and opposite_ring_side become left
// or right by the sheet before this is called.
func movedFrom(m listen.Move) moved {
	out := moved{From: m.From, To: m.To}
	switch {
	case m.AmountIn != nil:
		out.Amount, out.Unit = unit.Inch(*m.AmountIn), unit.InchUnits
	case m.AmountMM != nil:
		out.Amount, out.Unit = unit.MM(*m.AmountMM), unit.Metric
	}
	if m.Notches != nil {
		out.Notches = *m.Notches
	}
	return out
}
