package fastener

import (
	"fmt"
	"math"

	"shimwright/calc/unit"
)

// Finish is the state of the thread and under the head, which decides K.
type Finish string

// The finishes with a published K.
const (
	Dry        Finish = "dry"
	Zinc       Finish = "zinc plated"
	Lubricated Finish = "lubricated"
)

// K gives the nut factor: 0.20 plain and dry, 0.18 zinc plated (0.17 to 0.18),
// 0.15 lubricated. Thread locker is wet while it is tightened, but no published
// figure for it was found: take the sheet's torque.
//
// Source: engineersedge.com, torque vs tension of bolts (0.15, 0.18, 0.20).
func K(f Finish) (float64, error) {
	switch f {
	case Dry:
		return 0.20, nil
	case Zinc:
		return 0.18, nil
	case Lubricated:
		return 0.15, nil
	}
	return 0, fmt.Errorf("%w: no K for %q", ErrFigure, f)
}

// Spread is how far the clamp load of one torque scatters from bolt to bolt, as a
// part of it, either way. Source: from memory, common practice says 25 to 35 %.
const Spread = 0.3

// Torque gives the tightening torque T = K·D·F: nut factor K (0.05 to 0.5), thread
// and clamp load (0 to 10 MN).
//
// Source: engineersedge.com, torque vs tension of bolts.
func Torque(t Thread, clamp unit.Force, k float64) (unit.Torque, error) {
	if err := t.check(); err != nil {
		return 0, err
	}
	if err := sensible("nut factor K", k, 0.05, 0.5); err != nil {
		return 0, err
	}
	if err := finiteForce(clamp); err != nil {
		return 0, err
	}
	return unit.Torque(k * t.Diameter.MM() / 1000 * clamp.Newton()), nil
}

// ClampAt gives the clamp load of a torque, the reverse of Torque.
func ClampAt(t Thread, torque unit.Torque, k float64) (unit.Force, error) {
	per, err := Torque(t, 1, k)
	if err != nil {
		return 0, err
	}
	if err := sensible("torque in N·m", float64(torque), 0, 1e5); err != nil {
		return 0, err
	}
	return unit.Force(float64(torque) / float64(per)), nil
}

// Usual gives the usual torque of a bolt in its grade and finish: 75 % of proof.
func Usual(t Thread, g Grade, f Finish) (torque unit.Torque, clamp unit.Force, k float64, err error) {
	if clamp, err = Clamp(t, g); err != nil {
		return 0, 0, 0, err
	}
	if k, err = K(f); err != nil {
		return 0, 0, 0, err
	}
	torque, err = Torque(t, clamp, k)
	return torque, clamp, k, err
}

// Rescale gives the torque that clamps as hard with another finish: T·K2/K1. A
// torque given dry and used on an oiled thread clamps K1/K2 times too hard.
//
// Derivation: T = K·D·F at equal F.
func Rescale(torque unit.Torque, was, is Finish) (unit.Torque, error) {
	k1, err := K(was)
	if err != nil {
		return 0, err
	}
	k2, err := K(is)
	if err != nil {
		return 0, err
	}
	if err := sensible("torque in N·m", float64(torque), 0, 1e5); err != nil {
		return 0, err
	}
	return torque * unit.Torque(k2/k1), nil
}

// Setting gives what a torque wrench must show for a torque at the fastener with an
// extension (crow foot) on its end: T·L/(L + E·cos θ). wrench is from the middle
// of the handle to the square drive (0 to 3 m), extension from the square drive to
// the fastener (0 to 1 m), angle between extension and wrench: 0 straight ahead,
// 90° to the side (no correction), 180° pointing back to the hand. A socket
// extension along the fastener's own axis needs no correction at all.
//
// Source: engineersedge.com, torque_wrench_1 and _2 (L + E and L − E);
// agentcalc.com for the angle. Derivation: the force at the hand is T/(L + E·cos θ).
func Setting(at unit.Torque, wrench, extension unit.Length, angle unit.Angle) (unit.Torque, error) {
	part, err := arm(at, wrench, extension, angle)
	return unit.Torque(float64(at) * part), err
}

// Reached gives the torque at the fastener where the wrench showed a torque with an
// extension on it, the reverse of Setting.
func Reached(shown unit.Torque, wrench, extension unit.Length, angle unit.Angle) (unit.Torque, error) {
	part, err := arm(shown, wrench, extension, angle)
	if err != nil {
		return 0, err
	}
	return unit.Torque(float64(shown) / part), nil
}

func arm(t unit.Torque, wrench, extension unit.Length, angle unit.Angle) (float64, error) {
	for _, f := range []struct {
		name           string
		v, least, most float64
	}{
		{"torque in N·m", float64(t), 0, 1e5}, {"wrench length in mm", wrench.MM(), 20, 3000},
		{"extension in mm", extension.MM(), 0, 1000}, {"angle in degrees", angle.Deg(), -360, 360},
	} {
		if err := sensible(f.name, f.v, f.least, f.most); err != nil {
			return 1, err
		}
	}
	whole := wrench.MM() + extension.MM()*math.Cos(angle.Rad())
	if whole < wrench.MM()/4 {
		return 1, fmt.Errorf("%w: the extension reaches back to the hand", ErrFigure)
	}
	return wrench.MM() / whole, nil
}
