package dialogs

import (
	"shimwright/dialogs/picture"
	"shimwright/rules"
)

// finalPinion draws the stack in the order it goes together. The shim of a cartridge
// goes under its flange last, when the drag is read already.
func (k sketcher) finalPinion(p *picture.StepPicture) {
	sk := picture.Sketch{Of: picture.DrawPinion, Ordered: true}
	add := func(text string, at picture.Spot) { sk.Parts = append(sk.Parts, part(text, at)) }
	p.Note = k.say("sketch.in_order")
	switch k.sheet.Pinion.Shim {
	case rules.UnderInnerRace:
		add(k.say("sketch.goes_shim_race"), picture.SpotShim)
		add(k.say("sketch.goes_bearing"), picture.SpotBearing)
	case rules.UnderCartridge:
		add(k.say("sketch.goes_bearing"), picture.SpotBearing)
	default:
		add(k.say("sketch.goes_shim_head"), picture.SpotShim)
		add(k.say("sketch.goes_bearing"), picture.SpotBearing)
	}
	if k.sheet.Preload.By == rules.CrushSleeve {
		add(k.say("sketch.goes_sleeve"), picture.SpotSpacer)
	} else {
		add(k.say("sketch.goes_pack"), picture.SpotPack)
	}
	add(k.say("sketch.goes_tail"), picture.SpotTail)
	add(k.say("sketch.goes_seal"), picture.SpotSeal)
	if k.sheet.Preload.By == rules.CrushSleeve {
		add(k.say("sketch.goes_nut_sleeve"), picture.SpotNut)
	} else {
		add(k.say("sketch.goes_nut"), picture.SpotNut)
	}
	add(k.drag(), picture.SpotDrag)
	if k.sheet.Pinion.Shim == rules.UnderCartridge {
		add(k.say("sketch.goes_shim_cartridge"), picture.SpotShim)
	}
	p.Sketches = []picture.Sketch{sk}
}

// drag says where the pinion's drag is read and what it should be.
func (k sketcher) drag() string {
	l := k.sheet.Limits
	if l.PinionDragNew.High == 0 {
		return k.say("sketch.drag")
	}
	used := ""
	if l.PinionDragUsed.High > 0 {
		used = k.torques(l.PinionDragUsed)
	}
	return k.say("sketch.drag_limits", "new", k.torques(l.PinionDragNew), "used", used)
}

// torques writes a range of small torques.
func (k sketcher) torques(r rules.TorqueRange) string {
	return bare(k.voice.own.Torque(r.Low)) + "–" + k.voice.own.Torque(r.High)
}

func (k sketcher) finalCarrier(p *picture.StepPicture) {
	sk := k.carrier()
	sk.Way = picture.WayIn
	sides := k.say("sketch.final_sides")
	switch {
	case k.byAdjuster() && k.sheet.Limits.SidePreload.High > 0:
		l := k.sheet.Limits.SidePreload
		sides = k.say("sketch.final_adjusters", "span", k.voice.span(l.Low, l.High))
	case k.byAdjuster():
		sides = k.say("sketch.final_adjusters_manual")
	case k.sheet.Carrier.PreloadAdd > 0:
		sides = k.say("sketch.final_sides_add", "add", k.sheet.Carrier.PreloadAdd)
	}
	total := k.say("sketch.total")
	if l := k.sheet.Limits.TotalDragAdd; l.High > 0 {
		total = k.say("sketch.total_limits", "span", k.torques(l))
	}
	sk.Parts = []picture.Part{
		part(sides, picture.SpotLeft, picture.SpotRight),
		part(k.caps(), picture.SpotCapLeft, picture.SpotCapRight),
		part(total, picture.SpotPinion),
		part(k.say("sketch.again"), picture.SpotRing),
	}
	if k.byAdjuster() {
		sk.Parts = append(sk.Parts, part(k.say("sketch.locks"), picture.SpotLockLeft, picture.SpotLockRight))
	}
	p.Sketches = []picture.Sketch{sk}
}

// closeUp draws what goes on last, with the torque list as it stands: ticked where
// somebody signed.
func (k sketcher) closeUp(p *picture.StepPicture) {
	fill := k.say("sketch.fill")
	if k.sheet.Oil.Litres > 0 {
		fill = k.say("sketch.fill_with", "oil", k.sheet.Oil.Grade+" "+k.sheet.Oil.Service, "fill", oilQuantity(k.sheet.Oil.Litres))
	}
	p.Sketches = []picture.Sketch{{Of: picture.DrawClosed, Parts: []picture.Part{
		part(k.say("sketch.magnet"), picture.SpotMagnet),
		part(k.say("sketch.axles"), picture.SpotAxleL, picture.SpotAxleR),
		part(k.say("sketch.cover"), picture.SpotCover),
		part(fill, picture.SpotFill),
		part(k.say("sketch.vent"), picture.SpotVent),
	}}}
	for _, f := range k.sheet.Torques {
		if f.Name == nutName && k.sheet.Preload.By == rules.CrushSleeve || len(p.Checks) == picture.MaxChecks {
			continue // its torque is whatever the drag asked for
		}
		c := picture.Check{Text: k.say("sketch.torque", "name", axleText(f.Name), "torque", fastenerTorque{f.Low, f.High}, "hand", handNote(f))}
		if by := signedBy(k.job, f); by != "" {
			c.Done, c.Text = true, k.say("sketch.signed", "line", c.Text, "by", by)
		}
		p.Checks = append(p.Checks, c)
	}
}

// signedBy is who signed a fastener, or said that it was torqued; empty for nobody.
func signedBy(j *Job, f rules.Fastener) string {
	if s, ok := j.Torqued[f.Name]; ok {
		return s.Signed
	}
	for _, id := range factsOfFastener(f.Name) {
		if have, ok := j.Facts[id]; ok && have.True {
			return have.By
		}
	}
	return ""
}

func (k sketcher) after(p *picture.StepPicture) {
	p.Sketches = []picture.Sketch{{Of: picture.DrawClosed, Parts: []picture.Part{
		part(k.say("sketch.look_leaks"), picture.SpotCover, picture.SpotVent, picture.SpotAxleL, picture.SpotAxleR),
		part(k.say("sketch.look_wheels"), picture.SpotWheels),
		part(k.say("sketch.look_oil", "far", distance(firstOil(k.sheet))), picture.SpotFill),
	}}}
	p.Notes = []string{k.say("sketch.look_never")}
}
