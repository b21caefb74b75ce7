package listen

// Nobody changes a stack by this much in one go: who takes so much out when asked what
// was in there tells what was in there.
const (
	wholeStackIn = 0.020
	wholeStackMM = 0.5
)

// tookOut reads "pulled a 32 out from under the head" as the stack that was asked for.
func (a *analysis) tookOut() {
	if a.expect.q != qShim || len(a.moves.done) != 1 || len(a.readings) > 0 {
		return
	}
	what, place := ShimPinion, "pinion"
	switch {
	case a.expect.mods.side == pLeft:
		what, place = ShimLeft, "left"
	case a.expect.mods.side == pRight:
		what, place = ShimRight, "right"
	case !a.expect.mods.pinion:
		return
	}
	m := a.moves.done[0]
	if m.From != place || m.To != "stock" {
		return
	}
	r := Reading{What: what, Text: m.Text}
	switch {
	case m.AmountIn != nil && *m.AmountIn >= wholeStackIn:
		r.Value, r.Unit = m.AmountIn, "in"
	case m.AmountMM != nil && *m.AmountMM >= wholeStackMM:
		r.Value, r.Unit = m.AmountMM, "mm"
	default:
		return
	}
	a.readings, a.moves.done = append(a.readings, r), nil
}
