package rules

import (
	"math"
	"slices"
	"strings"

	"go.yaml.in/yaml/v4"

	"shimwright/calc/gearset"
	"shimwright/calc/oil"
	"shimwright/calc/unit"
)

// check looks at the keys of a sheet together. Each check is made where the keys
// it needs could be read, so that one run gives these mistakes as well.
func (r *sheetReader) check() {
	r.checkGears()
	r.checkFace()
	r.checkCarrier()
	r.checkPreload()
	r.checkLimits()
	r.checkFits()
	r.checkTorques()
	r.checkKit()
	r.checkUnits()
	r.checkSpanish()
}

// good says whether all the keys of a mapping were read without a mistake.
func (r *sheetReader) good(section map[string]*yaml.Node, keys ...string) bool {
	for _, key := range keys {
		if n := section[key]; n == nil || r.faulty(n) {
			return false
		}
	}
	return true
}

// faulty says whether a mistake was reported at a node or inside it.
func (r *sheetReader) faulty(n *yaml.Node) bool {
	own := slices.ContainsFunc(r.report.Problems, func(p Problem) bool {
		return p.File == r.name && !p.Warning && p.Line == n.Line && p.Column == n.Column
	})
	return own || slices.ContainsFunc(n.Content, r.faulty)
}

func (r *sheetReader) checkGears() {
	ring, pinion := r.sheet.Ring, r.sheet.Pinion
	if r.good(r.ring, "teeth") && r.good(r.pinion, "teeth") {
		if pinion.Teeth >= ring.Teeth {
			r.at(r.pinion["teeth"], "are the two counts swapped?", "the pinion has %d teeth and the ring gear %d", pinion.Teeth, ring.Teeth)
		} else if ratio := float64(ring.Teeth) / float64(pinion.Teeth); ratio < 2 || ratio > 8 {
			r.look(r.ring["teeth"], "", "%d/%d teeth make a ratio of %.2f, unusual for a drive axle", pinion.Teeth, ring.Teeth, ratio)
		}
	}
	if r.good(r.ring, "cutter", "spiral", "outside_diameter", "face_width") {
		// The spiral angle grows towards the heel only where 1/rc > sin β/A, with A
		// the mean cone distance, here at its least: half of diameter less face.
		cone := (ring.OutsideDiameter - ring.FaceWidth) / 2
		if ring.Cutter.MM()*math.Sin(ring.Spiral.Rad()) >= cone.MM() {
			r.look(r.ring["cutter"], "the key wants the radius, not the diameter", "cutter radius %s is large for this ring gear", r.ring["cutter"].Value)
		}
	}
	if ring.Tooth == FaceHobbed && r.good(r.ring, "cutter") {
		r.look(r.ring["cutter"], "leave it out on face-hobbed teeth", "a face-mill cutter radius on face-hobbed teeth")
	}
	if r.good(r.pinion, "mounting") && r.good(r.ring, "outside_diameter") && (pinion.Mounting < ring.OutsideDiameter*3/10 || pinion.Mounting > ring.OutsideDiameter*9/10) {
		r.look(r.pinion["mounting"], "it is from the ring gear's centre line to the back face of the pinion head", "mounting distance %s is unusual for an outside diameter of %s",
			r.pinion["mounting"].Value, r.ring["outside_diameter"].Value)
	}
	if r.pinion != nil && r.pinion["positive_mark"] == nil {
		r.look(r.root, "add positive_mark under pinion where the manual says it", "what a + on the pinion head means is not said; it will be asked each time")
	}
}

// checkFace checks the sizes of the ring gear against each other, and the whole
// against the geometry that will be computed from it.
func (r *sheetReader) checkFace() {
	ring := r.sheet.Ring
	if r.good(r.ring, "face_width", "outside_diameter") && ring.FaceWidth > ring.OutsideDiameter/4 {
		// Source: common practice, no source: a face is at most 0.3 of the outer
		// cone distance, which is a little over half the diameter.
		r.at(r.ring["face_width"], "the face is the length of a tooth, toe to heel", "face width %s is more than a quarter of the outside diameter %s",
			r.ring["face_width"].Value, r.ring["outside_diameter"].Value)
	}
	if r.good(r.ring, "offset", "outside_diameter") {
		if ring.Offset >= ring.OutsideDiameter/2 {
			r.at(r.ring["offset"], "the offset is from the ring gear's axis to the pinion's", "offset %s is not below half the outside diameter %s",
				r.ring["offset"].Value, r.ring["outside_diameter"].Value)
		} else if ring.Offset > ring.OutsideDiameter*3/10 {
			r.look(r.ring["offset"], "", "offset %s is large for an outside diameter of %s", r.ring["offset"].Value, r.ring["outside_diameter"].Value)
		}
	}
	if r.good(r.top, "ring", "pinion") {
		if _, err := gearset.Complete(r.sheet.GearSet()); err != nil {
			r.look(r.top["ring"], "backlash and pattern cannot be computed from it", "%v", err)
		}
	}
}

func (r *sheetReader) checkCarrier() {
	if !r.good(r.carrier, "by") {
		return
	}
	foreign, whose, has := []string{"pitch", "notches"}, "adjusters", "side shims"
	if r.sheet.Carrier.By == Adjusters {
		for _, key := range foreign {
			if r.carrier[key] == nil {
				r.at(r.carrier["by"], "", "threaded adjusters need a key %s", key)
			}
		}
		foreign, whose, has = []string{"preload_add", "max_leaves", "minimum_stack"}, "side shims", "adjusters"
	}
	for _, key := range foreign {
		if n := r.carrier[key]; n != nil {
			r.at(n, "leave it out", "%s is for %s, this carrier has %s", key, whose, has)
		}
	}
}

func (r *sheetReader) checkPreload() {
	if !r.good(r.preload, "by") || !r.good(r.pinion, "shim") {
		return
	}
	p, shim := r.sheet.Preload, r.sheet.Pinion.Shim
	switch said := r.preload["coupled"]; {
	case p.By == CrushSleeve && p.Coupled:
		r.at(said, "a crush sleeve takes up a change of depth by itself", "coupled is for shim packs, this pinion has a crush sleeve")
	case p.By == CrushSleeve:
	case p.Coupled && shim == UnderCartridge:
		r.at(said, "the shim under a cartridge does not touch the bearings", "coupled on a cartridge pinion")
	case p.Coupled || shim == UnderCartridge:
	case said == nil:
		r.at(r.preload["by"], "write coupled: yes where a depth change needs the same change in the pack", "a shim pack on a pinion shimmed at the %s: coupled is not said", shim)
	default:
		r.look(said, "on most such axles depth and pack change together", "a shim pack on a pinion shimmed at the %s that is not coupled", shim)
	}
}

func (r *sheetReader) checkLimits() {
	l := r.sheet.Limits
	if l.BacklashSpread.Set {
		if l.Backlash.Set && l.BacklashSpread.High > l.Backlash.High {
			r.at(r.spread["high"], "", "the spread allowed round the ring (%s) is more than the highest backlash (%s)", r.spread["high"].Value, r.backlash["high"].Value)
		}
		if l.BacklashSpread.High == 0 {
			r.at(r.spread["high"], "", "a spread of nothing round the ring cannot be met")
		}
	}
	if l.PinionDragUsed.Set && l.PinionDragNew.Set && l.PinionDragUsed.High > l.PinionDragNew.High {
		r.look(r.dragUsed["high"], "used bearings run at about half the new figure", "drag of used bearings (%s) is above that of new ones (%s)", r.dragUsed["high"].Value, r.dragNew["high"].Value)
	}
	// Hardened gears are safe to about 150 °C. Source: common practice, no source.
	if l.OvenTemperature.Set && l.OvenTemperature.High > unit.Celsius(150) {
		r.at(r.oven["high"], "stay at or below 150 degC, 120 degC where a bearing is heated", "an oven at %s draws the hardness of the teeth", r.oven["high"].Value)
	}
	if r.sheet.Preload.By == CrushSleeve && l.PinionDragNew.Set && l.PinionDragNew.Low <= 0 {
		r.at(r.dragNew["low"], "", "a crush sleeve is brought up to the pinion drag, which cannot begin at zero")
	}
}

func (r *sheetReader) checkTorques() {
	if r.good(r.top, "torques") {
		if _, ok := r.sheet.RingBolts(); !ok {
			r.at(r.top["torques"], "one line named \"ring gear bolts\"", "the torques have no ring gear bolts, so their thread hand is not known")
		}
	}
	for i, f := range r.sheet.Torques {
		if f.High > 2*f.Low {
			r.look(r.torques[i], "", "the torque of %s has a wide range", f.Name)
		}
	}
	if r.good(r.top, "oil") {
		if _, err := oil.Parse(r.sheet.Oil.Grade); err != nil {
			r.look(r.top["oil"], "for example 75W-90", "oil grade %q does not look like an SAE gear oil grade", r.sheet.Oil.Grade)
		}
	}
}

func (r *sheetReader) checkKit() {
	if !r.good(r.top, "kit") {
		return
	}
	if r.good(r.carrier, "by") {
		r.kitFits(r.sheet.Carrier.By != Adjusters, r.sideKit, "side", "the carrier has adjusters")
	}
	if r.good(r.preload, "by") {
		r.kitFits(r.sheet.Preload.By == PreloadShims, r.preloadKit, "preload", "the pinion has a crush sleeve")
	}
	r.kitFits(true, r.pinionKit, "pinion", "")
	if r.good(r.top, "break_in") && len(r.sheet.BreakIn) == 0 {
		r.look(r.top["break_in"], "", "the break-in has no legs")
	}
}

// kitFits reports shims that are needed and missing, or there and of no use.
func (r *sheetReader) kitFits(needed bool, leaves []*yaml.Node, name, why string) {
	switch {
	case needed && len(leaves) == 0:
		r.at(r.top["kit"], "", "the kit has no %s shims, which this axle is set with", name)
	case !needed && len(leaves) > 0:
		r.at(leaves[0], "leave them out", "%s shims in the kit, but %s", name, why)
	}
}

// checkUnits warns of figures in the other unit system: a slip here turns 0.20
// into a gross figure without anyone noticing.
func (r *sheetReader) checkUnits() {
	if !r.good(r.top, "units") {
		return
	}
	for _, w := range r.written {
		if w.system != r.sheet.Units {
			r.look(w.node, "is the unit right?", "%s is in %s units (%s), the sheet is in %s units", w.what, w.system, w.node.Value, r.sheet.Units)
		}
	}
	mark := map[unit.System]MarkUnit{unit.InchUnits: MarkThou, unit.Metric: MarkHundredth}[r.sheet.Units]
	if r.good(r.pinion, "mark_unit") && r.sheet.Pinion.MarkUnit != mark {
		r.look(r.pinion["mark_unit"], "", "the marking counts %s on a sheet in %s units", r.sheet.Pinion.MarkUnit, r.sheet.Units)
	}
}

// GearSet gives what the sheet knows of the gears, for gearset.Complete.
func (s *Sheet) GearSet() gearset.Known {
	return gearset.Known{
		Z1: s.Pinion.Teeth, Z2: s.Ring.Teeth, OuterDiameter: s.Ring.OutsideDiameter, FaceWidth: s.Ring.FaceWidth,
		Offset: s.Ring.Offset, ShaftAngle: unit.Deg(90), RingSpiral: s.Ring.Spiral, Pressure: s.Ring.Pressure,
		RingPitchAngle: s.Ring.PitchAngle, CutterRadius: s.Ring.Cutter, UniformDepth: s.Ring.Tooth == FaceHobbed,
	}
}

// RingBolts gives the torque line of the ring gear bolts: the one whose name
// has both "ring" and "bolt".
func (s *Sheet) RingBolts() (Fastener, bool) {
	i := slices.IndexFunc(s.Torques, func(f Fastener) bool {
		name := strings.ToLower(f.Name)
		return strings.Contains(name, "ring") && strings.Contains(name, "bolt")
	})
	if i < 0 {
		return Fastener{}, false
	}
	return s.Torques[i], true
}
