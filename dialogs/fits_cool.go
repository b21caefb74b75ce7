package dialogs

import (
	"strings"
	"time"

	"shimwright/calc/fit"
	"shimwright/dialogs/listen"
	"shimwright/rules"
)

// onLines say how long until the part is cold, and what is done then.
func (t *turn) onLines(piece, how string) {
	g, ok := t.job.Fits[piece]
	if !ok {
		return
	}
	span, until, warm := coolOf(t.sheet, t.job, piece, g)
	switch {
	case warm && piece == pieceRing:
		t.tell(t.text("fits.snug", "left", leftRing(t.sheet)))
	case piece != pieceRing && (warm || g.By != "" || g.Warm):
		t.tell(t.text("fits.hold_bearing"))
	}
	if warm {
		t.tell(t.text("fits.cools", "low", fiveMinutes(span.Low), "high", fiveMinutes(span.High), "clock", t.voice.clock(until), "touch", heatOnly(fit.Touchable, t.typedHeat()), "room", heatOnly(room, t.typedHeat())))
	}
	if piece == pieceRing && (how == "drawn" || how == "pressed") {
		t.tell(t.text("fits.drawn"))
	}
}

func leftRing(s *rules.Sheet) bool {
	f, ok := s.RingBolts()
	return ok && f.Thread == rules.LeftHand
}

// coolOf gives how long a part that went on warm takes to be touchable, and when
// that is likely; ok is false where it did not go on warm, or its size is not known.
// It is worked out for the part alone in still air at 20 °C; on a cold seat it is
// sooner.
func coolOf(s *rules.Sheet, j *Job, piece string, g Fitting) (span fit.Span, until time.Time, ok bool) {
	if g.On == "" || g.chilled() || !g.Warm && g.By == "" {
		return span, until, false
	}
	at := g.Was
	if !g.Warm {
		at = most(s, piece) // warmed, to what was not said: the limit, to be sure
	}
	ring := fit.UsualRing(s.Ring.OutsideDiameter)
	if piece != pieceRing {
		f, _ := joint(s, j, piece)
		if f.Diameter <= 0 {
			return span, until, false
		}
		ring = fit.UsualCone(f.Diameter)
	}
	span, err := fit.Cooling(ring, min(at, 600), fit.Touchable, room)
	if err != nil || span.Likely == 0 {
		return span, until, false
	}
	return span, g.OnBy.At.Add(span.Likely.Round(time.Minute)), true
}

// touchLine says how long a warm part takes until a bare hand may touch it.
func (t *turn) touchLine(piece string) {
	r := t.job.slot(heatSlot(piece))
	if r == nil || r.Part == "oven" {
		return
	}
	hot, ok := r.Temperature()
	if !ok || hot <= fit.Touchable || t.sheet.Ring.OutsideDiameter <= 0 || piece != pieceRing {
		return
	}
	span, err := fit.Cooling(fit.UsualRing(t.sheet.Ring.OutsideDiameter), hot, fit.Touchable, fit.Reference)
	if err != nil {
		return
	}
	minutes := func(d time.Duration) int { return int(d.Minutes() + 0.5) }
	t.tell(t.text("fits.touch", "low", minutes(span.Low), "high", minutes(span.High), "at", t.voice.own.Temperature(fit.Touchable)))
}

// torquedWarm says that bolts which were torqued on a ring that is still warm are
// torqued again.
func (t *turn) torquedWarm() {
	g, ok := t.job.Fits[pieceRing]
	if !ok || g.Cooled {
		return
	}
	_, until, warm := coolOf(t.sheet, t.job, pieceRing, g)
	have, torqued := t.job.Facts[listen.FactRingBoltsTorqued]
	if !warm || !torqued || !have.True || have.Seq <= t.came || have.Seq < g.OnBy.Seq || !t.said.At.Before(until) {
		return
	}
	t.tell(t.text("fits.torqued_warm", "clock", t.voice.clock(until)))
}

// coolingNow answers when the part of this job that went on warm can be touched, nil
// where none did.
func (t *turn) coolingNow(r *listen.Reckoning) []string {
	piece := pieceRing
	at, _ := atHand(t.step.ID)
	switch {
	case r.Word(listen.PartPiece) == "bearing" && at == pieceSide:
		piece = pieceSide
	case r.Word(listen.PartPiece) == "bearing":
		piece = pieceHead
	case r.Word(listen.PartPiece) == "" && at != "":
		piece = at
	}
	g := t.job.Fits[piece]
	span, until, warm := coolOf(t.sheet, t.job, piece, g)
	if !warm || g.Cooled {
		return nil
	}
	touch := heatOnly(fit.Touchable, t.typedHeat())
	began := t.voice.clock(g.OnBy.At)
	if !t.said.At.Before(until) {
		return []string{t.text("fits.cold_by_now", "touch", touch, "began", began)}
	}
	return []string{t.text("fits.left_to_cool", "touch", touch, "clock", t.voice.clock(until), "low", fiveMinutes(span.Low), "high", fiveMinutes(span.High), "began", began)}
}

// coldLine says what comes once the part is cold.
func (t *turn) coldLine(piece string) {
	if piece != pieceRing {
		t.tell(t.text("fits.cold_bearing"))
		return
	}
	if f, ok := t.sheet.RingBolts(); ok && t.job.Facts[listen.FactRingBoltsTorqued].Seq <= t.came {
		t.tell(t.text("fits.cold_ring", "torque", torqueSpan(t.voice, f.Low, f.High), "left", f.Thread == rules.LeftHand, "locker", f.Locker))
	}
}

// fitAsked answers how hot a part should be, by its fit; nothing where that is not
// known.
func (t *turn) fitAsked() []string {
	piece := pieceRing
	if p, _ := atHand(t.step.ID); p != "" {
		piece = p
	}
	low := strings.ToLower(t.said.Text)
	switch {
	case strings.Contains(low, "bearing") || strings.Contains(low, "rodamiento"):
		if piece == pieceRing {
			piece = pieceHead
		}
	case strings.Contains(low, "ring") || strings.Contains(low, "corona"):
		piece = pieceRing
	}
	if line := t.aimLine(piece, t.typedHeat()); line != "" {
		return []string{line}
	}
	return nil
}
