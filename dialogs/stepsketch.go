package dialogs

import (
	"strconv"

	"shimwright/calc/unit"
	"shimwright/dialogs/picture"
	"shimwright/rules"
)

// sketcher writes the picture of a step for one person.
type sketcher struct {
	voice voice
	sheet *rules.Sheet
	job   *Job
}

// stepSketch draws what a step is about on this construction, nil where a step has
// nothing to be drawn.
func stepSketch(v voice, s *rules.Sheet, j *Job, step Step) *picture.StepPicture {
	k := sketcher{v, s, j}
	p := &picture.StepPicture{Title: v.say(phrased("sketch.title", "n", step.No, "step", step.Title)), Axle: axleDrawn(s)}
	switch step.ID {
	case StepOpen:
		k.open(p)
	case StepTeardown:
		k.teardown(p)
	case StepParts:
		k.parts(p)
	case StepStart:
		k.start(p)
	case StepRing:
		k.ring(p)
	case StepTrial:
		k.trial(p)
	case StepLoop:
		k.lash(p)
	case StepFinalPinion:
		k.finalPinion(p)
	case StepFinalCarrier:
		k.finalCarrier(p)
	case StepCloseUp:
		k.closeUp(p)
	case StepBreakIn:
		k.breakIn(p)
	case StepAfter:
		k.after(p)
	default:
		return nil
	}
	return p
}

// axleDrawn is the construction of a sheet as it is drawn.
func axleDrawn(s *rules.Sheet) picture.Axle {
	a := picture.Axle{RingRight: s.Ring.Side == rules.Right, HighUp: s.Pinion.High, Teeth: [2]int{s.Pinion.Teeth, s.Ring.Teeth}}
	switch s.Pinion.Shim {
	case rules.UnderInnerRace:
		a.Shim = picture.ShimUnderRace
	case rules.UnderCartridge:
		a.Shim = picture.ShimUnderCartridge
	default:
		a.Shim = picture.ShimBehindHead
	}
	switch s.Carrier.By {
	case rules.ShimsUnder:
		a.Sides = picture.SidesUnder
	case rules.Adjusters:
		a.Sides = picture.SidesAdjuster
	default:
		a.Sides = picture.SidesOutside
	}
	a.Preload = picture.PreloadSleeve
	if s.Preload.By == rules.PreloadShims {
		a.Preload = picture.PreloadPack
	}
	if f, ok := s.RingBolts(); ok {
		a.LeftHand = f.Thread == rules.LeftHand
	}
	return a
}

// say writes a phrase with values in the person's units.
func (k sketcher) say(key string, with ...any) string { return k.voice.say(phrased(key, with...)) }

func part(text string, at ...picture.Spot) picture.Part { return picture.Part{At: at, Text: text} }

// carrier begins a sketch of the carrier, its ends named.
func (k sketcher) carrier() picture.Sketch {
	return picture.Sketch{Of: picture.DrawCarrier, Left: k.say("sketch.left"), Right: k.say("sketch.right")}
}

// byAdjuster says whether threaded adjusters position the carrier.
func (k sketcher) byAdjuster() bool { return k.sheet.Carrier.By == rules.Adjusters }

func (k sketcher) open(p *picture.StepPicture) {
	p.Note = k.say("sketch.from_cover")
	sk := k.carrier()
	side := k.say("bench.left")
	if k.sheet.Ring.Side == rules.Right {
		side = k.say("bench.right")
	}
	sk.Parts = []picture.Part{
		part(k.say("sketch.ring_side", "side", side), picture.SpotRing),
		part(k.say("sketch.pinion_behind"), picture.SpotPinion),
		part(k.sides(), picture.SpotLeft, picture.SpotRight),
		part(k.say("sketch.caps_own"), picture.SpotCapLeft, picture.SpotCapRight),
	}
	p.Sketches = []picture.Sketch{sk}
}

// sides says what positions the carrier.
func (k sketcher) sides() string {
	switch k.sheet.Carrier.By {
	case rules.ShimsUnder:
		return k.say("sketch.sides_under")
	case rules.Adjusters:
		return k.say("sketch.sides_adjusters")
	}
	return k.say("sketch.sides_outside")
}

func (k sketcher) teardown(p *picture.StepPicture) {
	sk := k.carrier()
	sk.Parts = []picture.Part{part(k.say("sketch.caps_mark"), picture.SpotCapLeft, picture.SpotCapRight)}
	if k.byAdjuster() {
		sk.Parts = append(sk.Parts, part(k.say("sketch.adjusters_mark"), picture.SpotLeft, picture.SpotRight))
	} else {
		sk.Parts = append(sk.Parts, part(k.say("sketch.sides_measure"), picture.SpotLeft, picture.SpotRight))
	}
	pin := picture.Sketch{Of: picture.DrawPinion, Ordered: true, Parts: []picture.Part{
		part(k.oldShim(), picture.SpotShim),
		part(k.say("sketch.mark_read"), picture.SpotMark),
		part(k.say("sketch.height_measure"), picture.SpotBearing),
	}}
	if k.sheet.Preload.By == rules.PreloadShims {
		pin.Parts = append(pin.Parts, part(k.say("sketch.pack_measure"), picture.SpotPack))
	}
	p.Sketches = []picture.Sketch{sk, pin}
}

// oldShim says where the depth shim comes out.
func (k sketcher) oldShim() string {
	switch k.sheet.Pinion.Shim {
	case rules.UnderInnerRace:
		return k.say("sketch.shim_race")
	case rules.UnderCartridge:
		return k.say("sketch.shim_cartridge")
	}
	return k.say("sketch.shim_head")
}

func (k sketcher) parts(p *picture.StepPicture) {
	bolt := k.say("sketch.new_bolts")
	if axleDrawn(k.sheet).LeftHand {
		bolt = k.say("sketch.new_bolts_left")
	}
	sk := picture.Sketch{Of: picture.DrawParts, Parts: []picture.Part{
		part(k.say("sketch.teeth", "pinion", k.sheet.Pinion.Teeth, "ring", k.sheet.Ring.Teeth), picture.SpotPinionTeeth, picture.SpotRingTeeth),
		part(k.say("sketch.match"), picture.SpotPinionNo, picture.SpotRingNo),
		part(k.say("sketch.new_nut"), picture.SpotNewNut),
		part(bolt, picture.SpotNewBolt),
	}}
	if k.sheet.Preload.By == rules.CrushSleeve {
		sk.Parts = append(sk.Parts, part(k.say("sketch.new_sleeve"), picture.SpotNewSleeve))
	}
	p.Sketches = []picture.Sketch{sk}
}

func (k sketcher) start(p *picture.StepPicture) {
	way, thicker := picture.WayDeeper, k.say("sketch.thicker_deeper")
	if k.sheet.Pinion.Shim == rules.UnderCartridge {
		way, thicker = picture.WayAway, k.say("sketch.thicker_away")
	}
	p.Sketches = []picture.Sketch{{Of: picture.DrawPinion, Way: way, Parts: []picture.Part{
		part(thicker, picture.SpotShim),
		part(k.say("sketch.mark_means"), picture.SpotMark),
		part(k.say("sketch.centre"), picture.SpotCentre),
	}}}
}

func (k sketcher) ring(p *picture.StepPicture) {
	hand := k.say("sketch.hand_right")
	torque := k.say("sketch.bolts_torque")
	if f, ok := k.sheet.RingBolts(); ok {
		if f.Thread == rules.LeftHand {
			hand = k.say("sketch.hand_left")
		}
		torque = k.say("sketch.bolts_to", "torque", fastenerTorque{f.Low, f.High}, "locker", f.Locker)
	} else {
		hand = k.say("sketch.hand_check")
	}
	runout := k.say("sketch.runout")
	if limit := k.sheet.Limits.RingRunout.High; limit > 0 {
		runout = k.say("sketch.runout_limit", "limit", limit)
	}
	p.Sketches = []picture.Sketch{{Of: picture.DrawBolts, Parts: []picture.Part{
		part(k.say("sketch.faces"), picture.SpotFaces),
		part(k.say("sketch.across"), picture.SpotBolts),
		part(hand, picture.SpotHand),
		part(torque, picture.SpotBolt),
		part(runout, picture.SpotRunout),
	}}}
}

func (k sketcher) trial(p *picture.StepPicture) {
	sk := k.carrier()
	sk.Parts = []picture.Part{part(k.say("sketch.trial_sides"), picture.SpotLeft, picture.SpotRight)}
	if k.byAdjuster() {
		sk.Parts = []picture.Part{part(k.say("sketch.trial_adjusters"), picture.SpotLeft, picture.SpotRight)}
	}
	sk.Parts = append(sk.Parts,
		part(k.caps(), picture.SpotCapLeft, picture.SpotCapRight),
		part(k.say("sketch.trial_pinion", "sleeve", k.sheet.Preload.By == rules.CrushSleeve), picture.SpotPinion))
	p.Sketches = []picture.Sketch{sk}
}

// caps says to what the caps are torqued.
func (k sketcher) caps() string {
	for _, f := range k.sheet.Torques {
		if f.Name == capsName {
			return k.say("sketch.caps_to", "torque", fastenerTorque{f.Low, f.High})
		}
	}
	return k.say("sketch.caps_torqued")
}

// capsName is what sheets call the bolts of the bearing caps.
const capsName = "bearing caps"

func (k sketcher) lash(p *picture.StepPicture) {
	p.Sketches = []picture.Sketch{{Of: picture.DrawLash, Parts: []picture.Part{
		part(k.say("sketch.dial"), picture.SpotDial),
		part(k.say("sketch.places"), picture.SpotPlaces),
		part(k.say("sketch.hold"), picture.SpotHold),
	}}}
	if l := k.sheet.Limits.Backlash; l.High > 0 {
		p.Notes = []string{k.say("sketch.lash_limits", "span", k.voice.span(l.Low, l.High), "mean", k.sheet.Limits.JudgeBacklash == rules.JudgeMean, "least", k.sheet.Limits.JudgeBacklash != rules.JudgeMean)}
	}
}

func (k sketcher) breakIn(p *picture.StepPicture) {
	r := roadOf(k.sheet, k.job)
	p.Note = k.say("sketch.break_in")
	var limit unit.Temperature
	for i, l := range r.plan[:min(len(r.plan), picture.MaxLegs)] {
		leg := picture.Leg{Drive: k.say("reminder.minutes", "n", strconv.FormatFloat(l.Minutes, 'f', -1, 64)), Done: i+1 < r.leg}
		if l.Distance > 0 {
			leg.Drive = distanceWords(k.voice, l.Distance)
		}
		if l.Cool > 0 {
			leg.Cool = k.say("sketch.cool", "n", strconv.FormatFloat(l.Cool, 'f', -1, 64))
		}
		if l.Limit > limit {
			limit = l.Limit
		}
		p.Legs = append(p.Legs, leg)
	}
	if limit > 0 {
		p.Notes = append(p.Notes, k.say("sketch.stop_over", "limit", limit))
	}
	p.Notes = append(p.Notes, k.say("sketch.no_towing", "far", distance(firstOil(k.sheet))))
}
