package fit

import (
	"fmt"

	"shimwright/calc/unit"
)

// Material is a material's linear expansion in 1/K: likely, and the ends of what
// was found for it.
type Material struct {
	Name              string
	Likely, Low, High float64
}

// Steel is the gear, shaft and carrier steel: 11.6 to 12.6·10⁻⁶/K. Source:
// amesweb.info, linear thermal expansion coefficient of steel (1045 11.6, 1020
// 11.7, 4140 and 4340 12.3, 0 to 100 °C); no figure for 8620 was found.
func Steel() Material { return Material{"steel", 12.3e-6, 11.6e-6, 12.6e-6} }

// BearingSteel is 52100. Source: compraco.com.br, AISI 52100 sheet: 11.9
// annealed, 12.6 hardened.
func BearingSteel() Material { return Material{"bearing steel", 12.6e-6, 11.9e-6, 12.6e-6} }

// CastIron is grey cast iron. Source: tigerquesttech.com and wisetool.com, 6.0 per
// °F; Dooley, Applied science for metal workers §109, 5.56 per °F.
func CastIron() Material { return Material{"cast iron", 10.8e-6, 10.0e-6, 10.8e-6} }

// DuctileIron is ductile iron, 6.6 to 10.4·10⁻⁶ per °F: it hangs on the grade more
// than the others do. Source: wisetool.com.
func DuctileIron() Material { return Material{"ductile iron", 12.0e-6, 11.8e-6, 18.8e-6} }

// Aluminium is aluminium alloys, 11.7 to 13.7·10⁻⁶ per °F. Source: wisetool.com.
func Aluminium() Material { return Material{"aluminium", 22.9e-6, 21.1e-6, 24.7e-6} }

// Growth gives how much a diameter (0 to 5 m) grows by a rise of temperature
// (−300 to 1000 K), ΔD = α·D·ΔT: with the likely coefficient, and with the ends.
func Growth(diameter unit.Length, rise unit.Rise, m Material) (likely, low, high unit.Length, err error) {
	if err := m.check(); err != nil {
		return 0, 0, 0, err
	}
	if err := sensible("diameter in mm", diameter.MM(), 0, 5000); err != nil {
		return 0, 0, 0, err
	}
	if err := sensible("rise in K", rise.K(), -300, 1000); err != nil {
		return 0, 0, 0, err
	}
	by := func(alpha float64) unit.Length { return unit.MM(alpha * diameter.MM() * rise.K()) }
	return by(m.Likely), by(m.Low), by(m.High), nil
}

func (m Material) check() error {
	if err := sensible("expansion of "+m.Name+" in 1/K", m.Low, 1e-7, m.Likely); err != nil {
		return err
	}
	return sensible("expansion of "+m.Name+" in 1/K", m.High, m.Likely, 1e-4)
}

// Joint is a hole on a shaft: ring gear on carrier, bearing on journal.
type Joint struct {
	Diameter     unit.Length // 1 mm to 2 m
	Interference unit.Length // at 20 °C; negative is a clearance
	Hole, Shaft  Material
}

func (j Joint) check() error {
	if err := sensible("diameter in mm", j.Diameter.MM(), 1, 2000); err != nil {
		return err
	}
	if err := sensible("interference in mm", j.Interference.MM(), -5, j.Diameter.MM()/100); err != nil {
		return err
	}
	if err := j.Hole.check(); err != nil {
		return err
	}
	return j.Shaft.check()
}

// Clearance gives the play between hole and shaft at their own temperatures (each
// −273 to 1000 °C), negative where they still interfere.
//
// Derivation: each diameter is D·(1 + α·(T − 20 °C)).
func (j Joint) Clearance(hole, shaft unit.Temperature) (unit.Length, error) {
	if err := j.check(); err != nil {
		return 0, err
	}
	for _, t := range []unit.Temperature{hole, shaft} {
		if err := sensible("temperature in °C", t.Celsius(), -273.15, 1000); err != nil {
			return 0, err
		}
	}
	d := j.Diameter.MM()
	grown := (d-j.Interference.MM())*(1+j.Hole.Likely*hole.Above(Reference).K()) - d*(1+j.Shaft.Likely*shaft.Above(Reference).K())
	return unit.MM(grown), nil
}

// Wanted is a temperature for a wanted clearance.
type Wanted struct {
	At        unit.Temperature // with the likely expansion
	Low, High unit.Temperature // with the ends of the expansion found: cooler may do, hotter may be needed
	Rise      unit.Rise        // of At from the other part's temperature; negative for chilling
}

// HeatFor gives how hot the hole must be for a clearance (0 to 1 mm) with the shaft
// at its own temperature. The part loses heat on the way from the oven: common
// charts add 20 to 30 K for handling, which is not in this figure. It errs where
// no temperature below 1000 °C gives it.
//
// Source: ΔD = α·D·ΔT.
func (j Joint) HeatFor(want unit.Length, shaft unit.Temperature) (Wanted, error) {
	if err := j.ask(want, shaft); err != nil {
		return Wanted{}, err
	}
	need := j.Diameter.MM()*(1+j.Shaft.Likely*shaft.Above(Reference).K()) + want.MM()
	size := j.Diameter.MM() - j.Interference.MM()
	at := func(alpha float64) unit.Temperature {
		return Reference.Warmed(unit.RiseK((need/size - 1) / alpha))
	}
	w := between(at, j.Hole)
	if w.At < shaft { // it goes on cold
		w = Wanted{At: shaft, Low: shaft, High: shaft}
	}
	if err := sensible("temperature wanted in °C", w.High.Celsius(), -273.15, 1000); err != nil {
		return Wanted{}, err
	}
	w.Rise = w.At.Above(shaft)
	return w, nil
}

// ChillFor gives how cold the shaft must be for a clearance with the hole at its
// own temperature. Expansion falls with temperature, so deep cold shrinks less
// than this says; it errs below −200 °C.
func (j Joint) ChillFor(want unit.Length, hole unit.Temperature) (Wanted, error) {
	if err := j.ask(want, hole); err != nil {
		return Wanted{}, err
	}
	have := (j.Diameter.MM()-j.Interference.MM())*(1+j.Hole.Likely*hole.Above(Reference).K()) - want.MM()
	at := func(alpha float64) unit.Temperature {
		return Reference.Warmed(unit.RiseK((have/j.Diameter.MM() - 1) / alpha))
	}
	w := between(at, j.Shaft)
	if w.At > hole {
		w = Wanted{At: hole, Low: hole, High: hole}
	}
	if w.Low.Celsius() < -200 {
		return Wanted{}, fmt.Errorf("%w: chilling alone does not reach it; %.0f °C would be needed", ErrFigure, w.At.Celsius())
	}
	w.Rise = w.At.Above(hole)
	return w, nil
}

// between works a temperature with the likely expansion and with both ends, which
// change places below 20 °C.
func between(at func(alpha float64) unit.Temperature, m Material) Wanted {
	a, b := at(m.Low), at(m.High)
	return Wanted{At: at(m.Likely), Low: min(a, b), High: max(a, b)}
}

func (j Joint) ask(want unit.Length, other unit.Temperature) error {
	if err := j.check(); err != nil {
		return err
	}
	if err := sensible("clearance in mm", want.MM(), 0, 1); err != nil {
		return err
	}
	return sensible("temperature in °C", other.Celsius(), -200, 500)
}
