package fastener

import (
	"fmt"
	"math"
	"strings"

	"shimwright/calc/unit"
)

// Grade is a strength class of a bolt.
type Grade string

// SAE J429 grades (inch) and ISO 898-1 property classes (metric).
const (
	Grade2   Grade = "grade 2"
	Grade5   Grade = "grade 5"
	Grade8   Grade = "grade 8"
	Class88  Grade = "8.8"
	Class98  Grade = "9.8"
	Class109 Grade = "10.9"
	Class129 Grade = "12.9"
)

// mpaPerPSI is exact to its digits. Source: NIST SP 811 (2008) appendix B.8.
const mpaPerPSI = 6.894757293168e-3

// strengths by grade and largest diameter, proof and tensile in MPa (ksi where the
// grade is SAE's).
//
// Source: SAE J429 proof/tensile of powersyourteam.com and coxhardware.com, grade
// 2 tensile printed 74 and 72 ksi in two places; smaller figures of large bolts
// from memory. ISO 898-1: proof stress 580/600, 830, 970 MPa from the proof loads
// of EN ISO 898-1; 9.8 and tensile of 8.8, 12.9 from memory.
var strengths = [...]struct {
	grade          Grade
	most           unit.Length
	proof, tensile float64
	ksi            bool
}{
	{Grade2, unit.Length(0.75 * 25.4), 55, 74, true},
	{Grade2, unit.Length(1.5 * 25.4), 33, 60, true},
	{Grade5, unit.Length(1 * 25.4), 85, 120, true},
	{Grade5, unit.Length(1.5 * 25.4), 74, 105, true},
	{Grade8, unit.Length(1.5 * 25.4), 120, 150, true},
	{Class88, 16, 580, 800, false},
	{Class88, 39, 600, 830, false},
	{Class98, 16, 650, 900, false},
	{Class109, 39, 830, 1040, false},
	{Class129, 39, 970, 1220, false},
}

// ParseGrade reads a grade: "8", "gr8", "grade 8", "8.8", "class 10.9".
func ParseGrade(text string) (Grade, error) {
	s := strings.NewReplacer("grade", "", "class", "", "gr", "", "sae", "", "iso", "", " ", "").Replace(strings.ToLower(text))
	for word, g := range map[string]Grade{"2": Grade2, "5": Grade5, "8": Grade8, "8.8": Class88, "9.8": Class98, "10.9": Class109, "12.9": Class129} {
		if s == word {
			return g, nil
		}
	}
	return "", fmt.Errorf("%w: %q is no grade; say 5, 8, 8.8, 10.9 or 12.9", ErrFigure, text)
}

// Strength gives proof and tensile strength in MPa for a grade at a diameter. It
// errs where the grade is not made in that size.
func (g Grade) Strength(diameter unit.Length) (proof, tensile float64, err error) {
	for _, s := range strengths {
		if s.grade == g && diameter <= s.most+unit.MM(1e-6) {
			scale := 1.0
			if s.ksi {
				scale = 1000 * mpaPerPSI
			}
			return s.proof * scale, s.tensile * scale, nil
		}
	}
	return 0, 0, fmt.Errorf("%w: %s is not made in %.4g mm", ErrFigure, g, diameter.MM())
}

// Proof gives the proof load: stress area × proof strength.
func Proof(t Thread, g Grade) (unit.Force, error) {
	if err := t.check(); err != nil {
		return 0, err
	}
	proof, _, err := g.Strength(t.Diameter)
	if err != nil {
		return 0, err
	}
	return unit.Force(t.StressArea() * proof), nil
}

// usualPart of the proof load is clamped in joints that are taken apart again.
// Source: engineersedge.com, torque vs tension of bolts.
const usualPart = 0.75

// Clamp gives the usual clamp load of a reusable joint, 75 % of the proof load.
func Clamp(t Thread, g Grade) (unit.Force, error) {
	p, err := Proof(t, g)
	return p * usualPart, err
}

// finiteForce errs on what cannot be a bolt load.
func finiteForce(f unit.Force) error {
	if math.IsNaN(float64(f)) || f < 0 || f > 1e7 {
		return fmt.Errorf("%w: a load of %.4g N", ErrFigure, float64(f))
	}
	return nil
}
