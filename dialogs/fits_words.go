package dialogs

import (
	"strings"

	"shimwright/dialogs/listen"
)

// tempSlot is where a temperature goes: of the part that is warmed, or of one that
// is chilled.
func tempSlot(f listen.Fit) Slot {
	if f.Chilling() {
		return ColdHeat
	}
	return heatSlot(f.Piece)
}

func tightSlot(piece string) Slot {
	switch piece {
	case pieceRing, pieceCarrier:
		return RingTight
	case pieceSide:
		return SideTight
	}
	return HeadTight
}

func boreSlot(piece string) Slot {
	switch piece {
	case pieceRing, pieceCarrier:
		return RingPilot
	case pieceSide:
		return SideBore
	}
	return HeadBore
}

// fittedWords says what was done with a part: ring: in the oven; ring: on, dropped
// on by itself.
func (t *turn) fittedWords(f fitted) string {
	var parts []string
	if f.By != "" {
		parts = append(parts, t.byWord(f.By))
	}
	if f.On != "" {
		parts = append(parts, t.onWord(f.On))
	}
	if f.Cooled {
		parts = append(parts, t.text("fits.cold_again"))
	}
	return t.text("fits.of", "piece", t.pieceName(f.Piece), "what", strings.Join(parts, ", "))
}

func (t *turn) pieceName(piece string) string {
	switch piece {
	case pieceRing:
		return t.text("fits.piece_ring")
	case pieceHead:
		return t.text("fits.piece_head_bearing")
	case pieceSide:
		return t.text("fits.piece_side_bearing")
	case piecePinion:
		return t.text("fits.piece_pinion")
	case pieceCarrier:
		return t.text("fits.piece_carrier")
	}
	return piece
}

func (t *turn) byWord(by string) string {
	switch by {
	case "oven":
		return t.text("fits.by_oven")
	case "heater":
		return t.text("fits.by_heater")
	case "plate":
		return t.text("fits.by_plate")
	case "lamp":
		return t.text("fits.by_lamp")
	case "bath":
		return t.text("fits.by_bath")
	case "gun":
		return t.text("fits.by_gun")
	case "torch":
		return t.text("fits.by_torch")
	case "heat":
		return t.text("fits.by_heat")
	case "freezer":
		return t.text("fits.by_freezer")
	case "dry_ice":
		return t.text("fits.by_dry_ice")
	case "nitrogen":
		return t.text("fits.by_nitrogen")
	case "cold":
		return t.text("fits.by_cold")
	}
	return by
}

func (t *turn) onWord(on string) string {
	switch on {
	case "on":
		return t.text("fits.on_on")
	case "dropped":
		return t.text("fits.on_dropped")
	case "drawn":
		return t.text("fits.on_drawn")
	case "pressed":
		return t.text("fits.on_pressed")
	case "struck":
		return t.text("fits.on_struck")
	}
	return on
}
