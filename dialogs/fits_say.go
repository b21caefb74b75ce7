package dialogs

import (
	"math"

	"shimwright/calc/fit"
	"shimwright/calc/unit"
	"shimwright/dialogs/listen"
	"shimwright/rules"
)

// heatTyped is the unit a temperature of this message was typed in, else the habit's.
func (t *turn) heatTyped() string {
	for _, f := range t.fits {
		if f.Temperature != nil {
			return f.Temperature.Unit
		}
	}
	return t.typedHeat()
}

// fitLines say what this message's temperatures and parts mean.
func (t *turn) fitLines() {
	for _, f := range t.fits {
		switch {
		case f.Cooled && f.On == "":
			t.coldLine(f.Piece)
		case f.On != "":
			t.onLines(f.Piece, f.On)
		case f.Chilling():
			t.chillLines(f)
		case f.Temperature != nil:
			t.warmLines(f)
		case f.By != "" || f.Interference != nil || f.Diameter != nil:
			t.aimOrAsk(f.Piece)
		}
	}
	if len(t.fits) == 0 && t.brought(RingHeat) { // read by the words of every step
		t.touchLine(pieceRing)
	}
	t.torquedWarm()
}

// aimOrAsk says what to warm the part to, or what it takes to know.
func (t *turn) aimOrAsk(piece string) {
	if piece == pieceCarrier || piece == piecePinion {
		return
	}
	if line := t.aimLine(piece, t.heatTyped()); line != "" {
		t.tell(line)
		return
	}
	t.tell(t.text("fits.unknown", "piece", t.pieceName(piece), "limit", heatOnly(most(t.sheet, piece), t.heatTyped()), "example", t.exampleFit(piece)))
}

func (t *turn) exampleFit(piece string) string {
	name := t.pieceName(piece)
	if t.voice.own == unit.Metric {
		return t.text("fits.example_mm", "piece", name)
	}
	return t.text("fits.example_in", "piece", name)
}

// warmLines judge a temperature against the fit.
func (t *turn) warmLines(f listen.Fit) {
	heat := f.Temperature.Unit
	at, ok := readingOf(*f.Temperature).Temperature()
	if !ok {
		return
	}
	limit := most(t.sheet, f.Piece)
	if at > limit+1 {
		return // the caution says what to do
	}
	g, known := joint(t.sheet, t.job, f.Piece)
	if !known {
		t.aimOrAsk(f.Piece)
	} else if line := t.roomLine(f.Piece, g, at, heat); line != "" {
		t.tell(line)
	}
	if f.Temperature.Part != "oven" {
		t.touchLine(f.Piece)
	}
}

// hardnessLine says what too much heat has cost a ring gear.
func (t *turn) hardnessLine(f listen.Fit) {
	if f.Temperature == nil || f.Piece != pieceRing {
		return
	}
	at, ok := readingOf(*f.Temperature).Temperature()
	if h, err := fit.Tempered(at); ok && err == nil && h.LossHigh > 0.5 {
		t.tell(t.text("fits.hardness", "at", heatOnly(at, f.Temperature.Unit), "low", figures(math.Floor(h.LossLow), 0), "high", figures(math.Ceil(h.LossHigh), 0), "beyond", h.Beyond))
	}
}

// roomLine says what a temperature leaves between part and seat.
func (t *turn) roomLine(piece string, g rules.Fit, at unit.Temperature, heat string) string {
	if g.High <= 0 {
		return ""
	}
	j := jointOf(g, piece)
	play, err := j.Clearance(at, room)
	a, err2 := aim(t.sheet, g, piece)
	if err != nil || err2 != nil {
		return ""
	}
	grown, _, _, err := fit.Growth(g.Diameter, at.Above(room), j.Hole)
	if err != nil {
		return ""
	}
	with := []any{"at", heatOnly(at, heat), "grown", t.voice.length(grown), "tight", t.voice.length(g.High), "play", t.voice.length(play.Abs()),
		"aim", aimed(a, heat), "limit", heatOnly(a.Limit, heat)}
	switch {
	case play < 0:
		return t.text("fits.too_cold", with...)
	case at < a.Low-2:
		return t.text("fits.little_room", with...)
	}
	return t.text("fits.room", with...)
}

// chillLines say what cold does for the fit.
func (t *turn) chillLines(f listen.Fit) {
	heat := t.heatTyped()
	g, known := joint(t.sheet, t.job, f.Piece)
	at, from := fit.Freezer, true
	switch f.By {
	case "dry_ice":
		at = fit.DryIce
	case "nitrogen":
		at = fit.LiquidNitrogen
	}
	if f.Temperature != nil {
		if v, ok := readingOf(*f.Temperature).Temperature(); ok {
			at, from = v, false
		}
	}
	if !known || f.Piece == pieceRing {
		return
	}
	grown, _, _, err := fit.Growth(g.Diameter, at.Above(room), fit.Steel())
	if err != nil {
		return
	}
	t.tell(t.text("fits.shrinks", "at", heatOnly(at, heat), "shrink", t.voice.length(-grown), "diameter", lengthOnlyIn(g.Diameter, t.voice.own), "tight", t.voice.length(g.High), "taken", from))
}
