package contact

import "shimwright/calc/unit"

// Defaults of Options. What real sets have: lengthwise crown 0.03–0.12 mm,
// profile crown 0.01–0.04 mm, compound film about 6 µm (common practice, no
// source).
const (
	DefaultAlong         = 41
	DefaultAcross        = 21
	DefaultStepsPerPitch = 24
	DefaultFilm          = unit.Length(0.006)
	DefaultCrownAlong    = unit.Length(0.06)
	DefaultCrownAcross   = unit.Length(0.02)
	// CrownFactor is the factor within which the default crowns hold. The
	// pattern's travel is inversely proportional to the crown it travels along.
	CrownFactor = 2.0
)

// Options are what is not gear geometry: the grid and the ease-off. A zero value
// takes the default.
type Options struct {
	Along, Across int // grid nodes along the face (5 to 401) and up the profile (5 to 201)
	StepsPerPitch int // roll angles per tooth pitch, 8 to 200

	Film        unit.Length // clearance below which marking compound shows, 0.5 to 100 µm
	CrownAlong  unit.Length // ease-off at toe and heel, at mid profile, 0.001 to 1 mm
	CrownAcross unit.Length // ease-off at root and top, at mid face, 0.001 to 1 mm
	CrownTwist  unit.Length // ease-off of the term along × across; 0 is none
}

func (o Options) withDefaults() Options {
	count := func(v *int, usual int) {
		if *v == 0 {
			*v = usual
		}
	}
	length := func(v *unit.Length, usual unit.Length) {
		if *v == 0 {
			*v = usual
		}
	}
	count(&o.Along, DefaultAlong)
	count(&o.Across, DefaultAcross)
	count(&o.StepsPerPitch, DefaultStepsPerPitch)
	length(&o.Film, DefaultFilm)
	length(&o.CrownAlong, DefaultCrownAlong)
	length(&o.CrownAcross, DefaultCrownAcross)
	return o
}

func (o Options) check() error {
	l, h, b := o.CrownAlong.MM(), o.CrownAcross.MM(), o.CrownTwist.MM()
	for _, err := range []error{
		within("the number of grid nodes along", float64(o.Along), 5, 401),
		within("the number of grid nodes across", float64(o.Across), 5, 201),
		within("the number of roll angles per pitch", float64(o.StepsPerPitch), 8, 200),
		within("the film in mm", o.Film.MM(), 0.0005, 0.1),
		within("the lengthwise crown in mm", l, 0.001, 1),
		within("the profile crown in mm", h, 0.001, 1),
		within("the twist of the crown in mm", b, -1, 1),
	} {
		if err != nil {
			return err
		}
	}
	if b*b >= 4*l*h {
		return impossible("a crown twist of %.3f mm leaves no high point on the tooth", b)
	}
	return nil
}

// easeOff is E0(l, h), mm: how much the pinion is relieved where it would touch
// the ring gear tooth at along l and across h. It is nothing at mid flank.
func (o Options) easeOff(l, h float64) float64 {
	return o.CrownAlong.MM()*l*l + o.CrownAcross.MM()*h*h + o.CrownTwist.MM()*l*h
}
