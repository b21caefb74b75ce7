package dialogs

import (
	"math"
	"regexp"
	"slices"
	"strings"
	"time"

	"shimwright/calc/fit"
	"shimwright/calc/unit"
	"shimwright/dialogs/listen"
	"shimwright/rules"
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
	if len(t.fits) == 0 {
		return
	}
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

// joint gives how tight a part sits, by what was said in the job before what the
// sheet says; ok is false where diameter or interference is not known.
func joint(s *rules.Sheet, j *Job, piece string) (f rules.Fit, ok bool) {
	switch piece {
	case pieceRing, pieceCarrier:
		f = s.Fits.Ring
	case pieceHead, piecePinion:
		f = s.Fits.HeadBearing
	case pieceSide:
		f = s.Fits.SideBearing
	}
	tight := f.Set
	if r := j.slot(tightSlot(piece)); r != nil {
		if l, known := r.Length(); known {
			f.Low, f.High, tight = l, l, true
		}
	}
	if r := j.slot(boreSlot(piece)); r != nil {
		if l, known := r.Length(); known {
			f.Diameter = l
		}
	}
	return f, tight && f.Diameter > 0
}

// jointOf makes the joint that calc/fit works with, at its tightest.
func jointOf(f rules.Fit, piece string) fit.Joint {
	j := fit.Joint{Diameter: f.Diameter, Interference: f.High, Hole: fit.Steel(), Shaft: fit.Steel()}
	if piece == pieceHead || piece == pieceSide || piece == piecePinion {
		j.Hole = fit.BearingSteel()
	}
	return j
}

// most is how hot a part may get, by the sheet or the tables.
func most(s *rules.Sheet, piece string) unit.Temperature {
	if o := s.Limits.OvenTemperature; piece == pieceRing && o.Set {
		return o.High
	}
	return fit.MostBearing
}

// hotAim is what a part is warmed to.
type hotAim struct {
	Free      unit.Temperature // where it just comes free at its tightest
	Low, High unit.Temperature // with 20 to 30 K for the way from the oven, the limit kept
	Limit     unit.Temperature
	Enough    bool // the limit leaves the way from the oven
}

// aim works out what a part is to be warmed to. Source: chart temperatures of a
// bearing maker's page: what frees it, and 20 to 30 K for handling.
func aim(s *rules.Sheet, f rules.Fit, piece string) (hotAim, error) {
	w, err := jointOf(f, piece).HeatFor(0, room)
	if err != nil {
		return hotAim{}, err
	}
	a := hotAim{Free: w.At, Low: w.At.Warmed(handlingLow), High: w.At.Warmed(handlingHigh), Limit: most(s, piece)}
	a.Enough = a.Low <= a.Limit+1
	a.Low, a.High = min(a.Low, a.Limit), min(a.High, a.Limit)
	return a, nil
}

// aimLine says what to warm a part to, nothing where its fit is not known.
func (t *turn) aimLine(piece, heat string) string {
	f, ok := joint(t.sheet, t.job, piece)
	if !ok {
		return ""
	}
	if f.High <= 0 {
		return t.text("fits.goes_on_cold", "piece", t.pieceName(piece), "clear", t.voice.length(-f.High))
	}
	a, err := aim(t.sheet, f, piece)
	if err != nil {
		return ""
	}
	with := []any{"piece", t.pieceName(piece), "aim", aimed(a, heat), "free", heatOnly(a.Free, heat),
		"tight", t.voice.length(f.High), "diameter", lengthOnlyIn(f.Diameter, t.voice.own), "limit", heatOnly(a.Limit, heat)}
	switch {
	case a.Free > a.Limit:
		return t.text("fits.heat_alone_not", with...)
	case !a.Enough:
		return t.text("fits.aim_short", with...)
	}
	return t.text("fits.aim", with...)
}

// aimed writes the range to warm a part to.
func aimed(a hotAim, heat string) string {
	if heatOnly(a.Low, heat) == heatOnly(a.High, heat) {
		return heatOnly(a.High, heat)
	}
	return degrees(a.Low, heat) + "–" + heatOnly(a.High, heat)
}

// degrees writes a temperature without its unit, for the low end of a range.
func degrees(q unit.Temperature, heat string) string { return bare(heatOnly(q, heat)) }

// lengthOnlyIn writes a diameter shortly: 4.5 in, 110 mm.
func lengthOnlyIn(l unit.Length, own unit.System) string {
	if own == unit.Metric {
		return three(l.MM()) + " mm"
	}
	return figures(l.Inch(), 3) + " in"
}

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
	m := Reading{Values: f.Temperature.Numbers(), Unit: heat}
	at, ok := m.Temperature()
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
	m := Reading{Values: f.Temperature.Numbers(), Unit: f.Temperature.Unit}
	at, ok := m.Temperature()
	if h, err := fit.Tempered(at); ok && err == nil && h.LossHigh > 0.5 {
		t.tell(t.text("fits.hardness", "at", heatOnly(at, m.Unit), "low", figures(math.Floor(h.LossLow), 0), "high", figures(math.Ceil(h.LossHigh), 0), "beyond", h.Beyond))
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
		m := Reading{Values: f.Temperature.Numbers(), Unit: f.Temperature.Unit}
		if v, ok := m.Temperature(); ok {
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

// onLines say how long until the part is cold, and what is done then.
func (t *turn) onLines(piece, how string) {
	g, ok := t.job.Fits[piece]
	if !ok {
		return
	}
	span, until, warm := coolOf(t.sheet, t.job, piece, g)
	switch {
	case warm && piece == pieceRing:
		t.tell(t.text("fits.snug", "left", leftRing(t.sheet)),
			t.text("fits.cools", "low", fiveMinutes(span.Low), "high", fiveMinutes(span.High), "clock", t.voice.clock(until), "touch", heatOnly(fit.Touchable, t.typedHeat()), "room", heatOnly(room, t.typedHeat())))
	case warm:
		t.tell(t.text("fits.hold_bearing"),
			t.text("fits.cools", "low", fiveMinutes(span.Low), "high", fiveMinutes(span.High), "clock", t.voice.clock(until), "touch", heatOnly(fit.Touchable, t.typedHeat()), "room", heatOnly(room, t.typedHeat())))
	case piece != pieceRing && (g.By != "" || g.Warm):
		t.tell(t.text("fits.hold_bearing"))
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
