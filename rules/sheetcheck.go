package rules

import (
	"math"
	"regexp"
	"slices"
	"strings"

	"shimwright/calc/gearset"
	"shimwright/calc/unit"
)

// check looks at the keys of a sheet together, once each of them could be read.
func (r *sheetReader) check() {
	r.checkGears()
	r.checkCarrier()
	r.checkPreload()
	r.checkLimits()
	r.checkTorques()
	r.checkKit()
	r.checkUnits()
}

func (r *sheetReader) checkGears() {
	ring, pinion := r.sheet.Ring, r.sheet.Pinion
	if pinion.Teeth >= ring.Teeth {
		r.at(r.pinion["teeth"], "are the two counts swapped?", "the pinion has %d teeth and the ring gear %d", pinion.Teeth, ring.Teeth)
	} else if ratio := float64(ring.Teeth) / float64(pinion.Teeth); ratio < 2 || ratio > 8 {
		r.look(r.ring["teeth"], "", "%d/%d teeth make a ratio of %.2f, unusual for a drive axle", pinion.Teeth, ring.Teeth, ratio)
	}
	// The face of a hypoid ring gear is at most 0.3 of the outer cone distance,
	// which is never below half the diameter. Source: ISO 23509:2016, 6.3 (b ≤ 0.3 Re2), from memory.
	if face := ring.FaceWidth; face > ring.OutsideDiameter/4 {
		r.at(r.ring["face_width"], "the face is the length of a tooth, toe to heel", "face width %s is more than a quarter of the outside diameter %s",
			r.ring["face_width"].Value, r.ring["outside_diameter"].Value)
	}
	if ring.Offset >= ring.OutsideDiameter/2 {
		r.at(r.ring["offset"], "the offset is from the ring gear's axis to the pinion's", "offset %s is not below half the outside diameter %s",
			r.ring["offset"].Value, r.ring["outside_diameter"].Value)
	} else if ring.Offset > ring.OutsideDiameter*3/10 {
		r.look(r.ring["offset"], "", "offset %s is large for an outside diameter of %s", r.ring["offset"].Value, r.ring["outside_diameter"].Value)
	}
	// The spiral angle grows towards the heel only where 1/rc > sin β/A, with A
	// the mean cone distance; half of diameter less face is a lower bound of it
	// times the sine of the pitch angle, near enough for a warning.
	if ring.Cutter > 0 && ring.Spiral > 0 {
		cone := (ring.OutsideDiameter - ring.FaceWidth) / 2
		if ring.Cutter.MM()*math.Sin(ring.Spiral.Rad()) >= cone.MM() {
			r.look(r.ring["cutter"], "the key wants the radius, not the diameter", "cutter radius %s is large for this ring gear", r.ring["cutter"].Value)
		}
	}
	if ring.Tooth == FaceHobbed && ring.Cutter > 0 {
		r.look(r.ring["cutter"], "leave it out on face-hobbed teeth", "a face-mill cutter radius on face-hobbed teeth")
	}
	if pinion.Mounting > 0 && (pinion.Mounting < ring.OutsideDiameter*3/10 || pinion.Mounting > ring.OutsideDiameter*9/10) {
		r.look(r.pinion["mounting"], "it is from the ring gear's centre line to the back face of the pinion head", "mounting distance %s is unusual for an outside diameter of %s",
			r.pinion["mounting"].Value, r.ring["outside_diameter"].Value)
	}
	if pinion.Teeth < ring.Teeth {
		if _, err := gearset.Complete(r.sheet.GearSet()); err != nil {
			r.look(r.top["ring"], "backlash and pattern cannot be computed from it", "%v", err)
		}
	}
	if pinion.PositiveMark == MarkUnknown {
		r.look(r.root, "add positive_mark under pinion where the manual says it", "what a + on the pinion head means is not said; it will be asked each time")
	}
}

func (r *sheetReader) checkCarrier() {
	c := r.sheet.Carrier
	adjusterKeys, shimKeys := []string{"pitch", "notches"}, []string{"preload_add", "max_leaves", "minimum_stack"}
	if c.By == Adjusters {
		for _, key := range adjusterKeys {
			if r.carrier[key] == nil {
				r.at(r.carrier["by"], "", "threaded adjusters need a %s", key)
			}
		}
		for _, key := range shimKeys {
			if n := r.carrier[key]; n != nil {
				r.at(n, "leave it out", "%s is for side shims, this carrier has adjusters", key)
			}
		}
		return
	}
	for _, key := range adjusterKeys {
		if n := r.carrier[key]; n != nil {
			r.at(n, "leave it out", "%s is for adjusters, this carrier has side shims", key)
		}
	}
}

func (r *sheetReader) checkPreload() {
	p, shim := r.sheet.Preload, r.sheet.Pinion.Shim
	switch {
	case p.By == CrushSleeve && p.Coupled:
		r.at(r.preload["coupled"], "a crush sleeve takes up a change of depth by itself", "coupled is for shim packs, this pinion has a crush sleeve")
	case p.By == PreloadShims && p.Coupled && shim == UnderCartridge:
		r.at(r.preload["coupled"], "the shim under a cartridge does not touch the bearings", "coupled on a cartridge pinion")
	case p.By == PreloadShims && !p.Coupled && shim != UnderCartridge && r.preload["coupled"] == nil:
		r.at(r.preload["by"], "write coupled: yes where a depth change needs the same change in the pack", "a shim pack on a %s pinion: coupled is not said", shim)
	case p.By == PreloadShims && !p.Coupled && shim != UnderCartridge:
		r.look(r.preload["coupled"], "on most such axles depth and pack change together", "a shim pack on a %s pinion that is not coupled", shim)
	}
}

func (r *sheetReader) checkLimits() {
	l := r.sheet.Limits
	if l.BacklashSpread.High > l.Backlash.High {
		r.at(r.spread["high"], "", "the spread allowed round the ring (%s) is more than the highest backlash (%s)", r.spread["high"].Value, r.backlash["high"].Value)
	}
	if l.BacklashSpread.High == 0 {
		r.at(r.spread["high"], "", "a spread of nothing round the ring cannot be met")
	}
	if l.PinionDragUsed.Set && l.PinionDragUsed.High > l.PinionDragNew.High {
		r.look(r.dragUsed["high"], "used bearings run at about half the new figure", "drag of used bearings (%s) is above that of new ones (%s)", r.dragUsed["high"].Value, r.dragNew["high"].Value)
	}
	// Hardened gears are safe to about 150 °C. Source: common practice, no source.
	if l.OvenTemperature.Set && l.OvenTemperature.High > unit.Celsius(150) {
		r.at(r.oven["high"], "stay at or below 150 degC, 120 degC where a bearing is heated", "an oven at %s draws the hardness of the teeth", r.oven["high"].Value)
	}
	if r.sheet.Preload.By == CrushSleeve && l.PinionDragNew.Low <= 0 {
		r.at(r.dragNew["low"], "", "a crush sleeve is brought up to the pinion drag, which cannot begin at zero")
	}
}

func (r *sheetReader) checkTorques() {
	if _, ok := r.sheet.RingBolts(); !ok {
		r.at(r.top["torques"], "one line named \"ring gear bolts\"", "the torques have no ring gear bolts, so their thread hand is not known")
	}
	for i, f := range r.sheet.Torques {
		if f.High > 2*f.Low {
			r.look(r.torques[i], "", "the torque of %s has a wide range", f.Name)
		}
	}
	grade := regexp.MustCompile(`^(?:\d{2}W(?:-\d{2,3})?|\d{2,3})$`)
	if !grade.MatchString(r.sheet.Oil.Grade) {
		r.look(r.top["oil"], "for example 75W-90", "oil grade %q does not look like an SAE gear oil grade", r.sheet.Oil.Grade)
	}
}

func (r *sheetReader) checkKit() {
	by := r.sheet.Carrier.By
	switch {
	case by == Adjusters && len(r.sideKit) > 0:
		r.at(r.sideKit[0], "leave it out", "side shims in the kit, but the carrier has adjusters")
	case by != Adjusters && len(r.sideKit) == 0:
		r.at(r.top["kit"], "", "the kit has no side shims, which this carrier is positioned with")
	}
	switch {
	case r.sheet.Preload.By == CrushSleeve && len(r.preloadKit) > 0:
		r.at(r.preloadKit[0], "leave it out", "preload shims in the kit, but the pinion has a crush sleeve")
	case r.sheet.Preload.By == PreloadShims && len(r.preloadKit) == 0:
		r.at(r.top["kit"], "", "the kit has no preload shims, which this pinion is preloaded with")
	}
	if len(r.pinionKit) == 0 {
		r.at(r.top["kit"], "", "the kit has no pinion shims")
	}
	if len(r.sheet.BreakIn) == 0 {
		r.look(r.top["break_in"], "", "the break-in has no legs")
	}
}

// checkUnits warns of figures in the other unit system: a slip here turns 0.20
// into a gross figure without anyone noticing.
func (r *sheetReader) checkUnits() {
	for _, w := range r.written {
		if w.system != r.sheet.Units {
			r.look(w.node, "is the unit right?", "%s is in %s units (%s), the sheet is in %s units", w.what, w.system, w.node.Value, r.sheet.Units)
		}
	}
	mark := map[unit.System]MarkUnit{unit.InchUnits: MarkThou, unit.Metric: MarkHundredth}[r.sheet.Units]
	if r.sheet.Pinion.MarkUnit != mark {
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
