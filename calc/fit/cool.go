package fit

import (
	"math"
	"time"

	"shimwright/calc/unit"
)

// Ring is a hot ring as a plain ring of steel.
type Ring struct {
	Outside, Bore, Width unit.Length
}

// UsualRing gives a ring gear's rough shape from its outside diameter: bore six
// tenths of it, width (along the axis) fifteen hundredths. Common practice, no
// source; the time it gives is good to a third from this alone.
func UsualRing(outside unit.Length) Ring {
	return Ring{outside, outside * 0.6, outside * 0.15}
}

// Touchable is what a bare hand may rest on: 48 °C (118 °F) is the least that burns
// skin, and only after long contact. Source: biologyinsights.com, What temperature
// is too hot to touch; ISO 13732-1 has 48 °C for ten minutes on bare metal, from
// memory.
const Touchable = unit.Temperature(48)

// Surroundings are how heat leaves the ring.
type Surroundings struct {
	Emissivity float64 // 0.15 bright and dry to 0.95 black coated
	Convection float64 // C of h = C·(ΔT/L)^¼, W/(m²·K) with ΔT in K and L in m
	Open       float64 // part of the surface that air reaches
	Solid      float64 // part of the plain ring's volume that is steel (teeth, bolt holes)
}

// bench gives the three ways that Cooling works it: the middle, and what is at
// either end on a shop bench.
//
// Source: still air h = 1.32·(ΔT/L)^¼ for horizontal and 1.42 for vertical faces:
// engineersedge.com, convection heat transfer coefficients (L in m, though the
// page prints mm); emissivities of steel from bright to oxidised, the draught and
// the shares of surface and volume from memory.
func bench() (middle, quick, slow Surroundings) {
	middle = Surroundings{Emissivity: 0.5, Convection: 1.32, Open: 1, Solid: 0.85}
	quick = Surroundings{Emissivity: 0.9, Convection: 1.42 * 1.3, Open: 1.2, Solid: 0.75}
	slow = Surroundings{Emissivity: 0.2, Convection: 1.2, Open: 0.7, Solid: 0.95}
	return middle, quick, slow
}

const (
	steelDensity = 7850.0 // kg/m³, handbook figure
	steelHeat    = 475.0  // J/(kg·K), handbook figure near 60 °C
	boltzmann    = 5.670374e-8
	kelvinOffset = 273.15
)

// Span is a time with its ends.
type Span struct {
	Likely, Low, High time.Duration
}

// Cooling gives how long a steel ring takes in still shop air from one temperature
// to another, as one lump (steel that thick is even inside to within a degree):
// m·c·dT/dt = −(convection + radiation). Ring dimensions 5 mm to 2 m; from up to
// 600 °C; to at least 3 K above the air. Low and High are the ends of what a bench
// does (draught and dark coating; bright, lying flat on wood); water, a cold steel
// plate or a fan are quicker than Low. It errs on figures outside.
//
// Derivation: t = ∫ m·c dT / (A·(h·ΔT + ε·σ·(T⁴ − T₀⁴))), Simpson's rule.
func Cooling(r Ring, from, to, air unit.Temperature) (Span, error) {
	if err := checkCooling(r, from, to, air); err != nil {
		return Span{}, err
	}
	if from <= to {
		return Span{}, nil
	}
	at := func(s Surroundings) time.Duration {
		return time.Duration(s.seconds(r, from, to, air) * float64(time.Second))
	}
	middle, quick, slow := bench()
	return Span{Likely: at(middle), Low: at(quick), High: at(slow)}, nil
}

func checkCooling(r Ring, from, to, air unit.Temperature) error {
	for _, f := range []struct {
		name           string
		v, least, most float64
	}{
		{"outside diameter in mm", r.Outside.MM(), 10, 2000},
		{"bore in mm", r.Bore.MM(), 0, r.Outside.MM() - 2},
		{"width in mm", r.Width.MM(), 2, 1000},
		{"temperature from in °C", from.Celsius(), -50, 600},
		{"air temperature in °C", air.Celsius(), -40, 60},
		{"temperature to in °C", to.Celsius(), air.Celsius() + 3, 600},
	} {
		if err := sensible(f.name, f.v, f.least, f.most); err != nil {
			return err
		}
	}
	return nil
}

// seconds integrates the cooling.
func (s Surroundings) seconds(r Ring, from, to, air unit.Temperature) float64 {
	d, b, w := r.Outside.MM()/1000, r.Bore.MM()/1000, r.Width.MM()/1000
	faces := math.Pi / 4 * (d*d - b*b)
	mass := steelDensity * faces * w * s.Solid
	area := (2*faces + math.Pi*(d+b)*w) * s.Open
	across := (d - b) / 2 // the length that the air rises along is about the ring's own section
	leaving := func(t float64) float64 {
		dt := t - air.Celsius()
		tk, ak := t+kelvinOffset, air.Celsius()+kelvinOffset
		return area * (s.Convection*math.Pow(dt/across, 0.25)*dt + s.Emissivity*boltzmann*(tk*tk*tk*tk-ak*ak*ak*ak))
	}
	const pieces = 400
	step := (from.Celsius() - to.Celsius()) / pieces
	sum := 0.0
	for i := range pieces + 1 {
		weight := 2.0
		switch {
		case i == 0 || i == pieces:
			weight = 1
		case i%2 == 1:
			weight = 4
		}
		sum += weight / leaving(to.Celsius()+float64(i)*step)
	}
	return mass * steelHeat * sum * step / 3
}

// UsualCone gives the rough shape of a bearing's inner ring with its rollers from its
// bore: outside one and a half times that, width half of it. Common practice, no
// source; the time it gives is good to a third from this alone.
func UsualCone(bore unit.Length) Ring { return Ring{bore * 1.5, bore, bore * 0.5} }
