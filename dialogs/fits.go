package dialogs

import (
	"math"
	"regexp"
	"slices"
	"strings"
	"time"

	"shimwright/dialogs/listen"
)

// The parts that are warmed or chilled, as entries name them.
const (
	pieceRing    = "ring"
	pieceHead    = "head_bearing"
	pieceSide    = "side_bearing"
	piecePinion  = "pinion"
	pieceCarrier = "carrier"
)

// atHand gives the part that is put on at a step where none is named; ok is false
// at steps at which nothing is put on with heat.
func atHand(step StepID) (piece string, ok bool) {
	switch step {
	case StepRing:
		return pieceRing, true
	case StepFinalPinion:
		return pieceHead, true
	case StepFinalCarrier:
		return pieceSide, true
	case StepParts, StepStart, StepTrial:
		return "", true
	}
	return "", false
}

// hearFits reads what the message says of parts that are warmed or chilled, and
// takes their figures out of what else was understood.
func (t *turn) hearFits(text string) {
	t.fits = nil
	u := &t.u
	expect, ok := atHand(t.step.ID)
	if !ok || !t.mayAct() || t.job.Closed || u.Command != nil || u.Reckoning != nil || len(u.Retract) > 0 || u.Decision != "" {
		return
	}
	switch u.Kind {
	case listen.Question:
		if t.asksCold(text) {
			u.Reckoning = &listen.Reckoning{About: listen.AboutCooling}
		}
		return
	case listen.Correction, listen.Review:
		return
	}
	if t.asksCold(text) {
		u.Reckoning = &listen.Reckoning{About: listen.AboutCooling}
		u.Kind, u.Topics = listen.Question, []string{listen.TopicHeat}
		return
	}
	for _, f := range listen.ReadFits(t.input(text), expect, t.warming(expect)) {
		switch {
		case f.Piece == "bearing" && expect == pieceSide:
			f.Piece = pieceSide
		case f.Piece == "bearing":
			f.Piece = pieceHead
		case f.Piece == "":
			f.Piece = expect
		}
		bearing := f.Piece == pieceHead || f.Piece == pieceSide
		if bearing && f.On != "" && f.By == "" && f.Temperature == nil && !t.wasWarm(f.Piece) {
			continue // pressed on cold: a fact of its own
		}
		if g := t.job.Fits[f.Piece]; f.On == "on" && g.On != "" && !g.Cooled && t.said.At.Sub(g.OnBy.At) < heatHolds {
			f.On = "" // said again
			if f.By == "" && !f.Cooled && len(f.Numbers()) == 0 {
				continue
			}
		}
		if f.Piece == "" || f.On != "" && (f.Piece == piecePinion || f.Piece == pieceCarrier) || t.step.ID == StepTrial && f.Piece != pieceRing {
			continue
		}
		t.fits = append(t.fits, f)
	}
	if len(t.fits) > 0 {
		t.leaveToFits()
	}
}

// leaveToFits takes the figures of the fits out of what else was understood.
func (t *turn) leaveToFits() {
	u := &t.u
	var taken []float64
	for _, f := range t.fits {
		taken = append(taken, f.Numbers()...)
	}
	u.Readings = slices.DeleteFunc(u.Readings, func(r listen.Reading) bool {
		return r.What == listen.Temperature || r.What == listen.CarrierPreload || slices.ContainsFunc(r.Numbers(), func(v float64) bool {
			return slices.ContainsFunc(taken, func(w float64) bool {
				return math.Abs(v-w) < 1e-6 || math.Abs(1000*v-w) < 1e-6 || math.Abs(100*v-w) < 1e-6 || math.Abs(v-1000*w) < 1e-6
			})
		})
	})
	if len(taken) > 0 {
		u.Cautions = slices.DeleteFunc(u.Cautions, func(id string) bool { return id == listen.DangerRunout || id == listen.DangerImplausible })
	}
	u.Facts = slices.DeleteFunc(u.Facts, func(id string) bool { return id == listen.FactCooled })
	for i, r := range u.Readings {
		if r.What == listen.Torque && r.Part == "" && t.fits[0].Piece == pieceRing {
			u.Readings[i].Part = "ring bolts"
		}
	}
	u.Ask = nil
	if u.Kind == listen.Clarify || u.Kind == listen.BreakIn {
		u.Kind = listen.Read
	}
}

var (
	coldWords = regexp.MustCompile(`(?i)\b(?:touch|cold|cool|cooled|hot|tocar|tocarla|fr[ií][ao]|caliente|enfriad[ao])\b`)
	coldAsks  = regexp.MustCompile(`(?i)^(?:can|when|is|how|are|ya|cu[aá]ndo|cu[aá]nto|puedo|est[aá]|still)\b|\?\s*$|^ring still`)
)

// asksCold says whether a message asks for the part that went on warm and is not cold
// yet: "can i touch it yet".
func (t *turn) asksCold(text string) bool {
	if len(strings.Fields(text)) > 9 || !coldWords.MatchString(text) || !coldAsks.MatchString(text) || strings.ContainsAny(text, "0123456789") {
		return false
	}
	return t.coolingNow(&listen.Reckoning{}) != nil
}

// warming says whether the part at hand is being warmed: told of or measured lately,
// and not on yet.
func (t *turn) warming(piece string) bool {
	g, ok := t.job.Fits[piece]
	if ok && g.On != "" || piece == "" {
		return false
	}
	r := t.job.warmth(piece, t.said.At)
	return ok && g.By != "" && !g.chilled() && t.said.At.Sub(g.At) < heatHolds || r != nil && t.said.At.Sub(r.At) < time.Hour
}

// wasWarm says whether the part was warmed or chilled lately.
func (t *turn) wasWarm(piece string) bool {
	if g, ok := t.job.Fits[piece]; ok && g.By != "" && g.On == "" {
		return true
	}
	return t.job.warmth(piece, t.said.At) != nil
}

// takeFits files what was heard of the parts.
func (t *turn) takeFits() error {
	for _, f := range t.fits {
		for _, r := range []struct {
			reading *listen.Reading
			slot    Slot
		}{{f.Interference, tightSlot(f.Piece)}, {f.Diameter, boreSlot(f.Piece)}, {f.Temperature, tempSlot(f)}} {
			if r.reading == nil || r.slot == "" {
				continue
			}
			m := measuredFrom(r.slot, *r.reading)
			if err := t.add(m); err != nil {
				return err
			}
			words := t.voice.echo(m)
			if m.Part == "oven" && m.What == listen.Temperature {
				words = t.text("fits.set_to", "at", number(m.Values[0], m.Unit)+" "+t.voice.unitWord(m.Unit))
			}
			t.understood = append(t.understood, words)
			t.u.Readings = append(t.u.Readings, *r.reading) // the rules look at it too
		}
		t.hardnessLine(f)
		e := fitted{Piece: f.Piece, By: f.By, On: f.On, Cooled: f.Cooled}
		if e.By == "" && e.On == "" && !e.Cooled {
			continue
		}
		if err := t.add(e); err != nil {
			return err
		}
		if words := t.fittedWords(e); f.Temperature == nil || e.On != "" {
			t.understood = append(t.understood, words)
		}
	}
	return nil
}
