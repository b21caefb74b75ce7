package unit

// Force is a force in newtons.
type Force float64

// Rise is a difference between two temperatures in kelvin. A difference of
// 80 K is 144 °F, not 176 °F: it has no offset, so it is no Temperature.
type Rise float64

// Exact. Source: NIST SP 811 (2008) appendix B.8.
const (
	nPerLbf = 4.4482216152605
	nPerKgf = 9.80665
)

// Newton makes a force from newtons.
func Newton(v float64) Force { return Force(v) }

// Lbf makes a force from pounds-force.
func Lbf(v float64) Force { return Force(v * nPerLbf) }

// Kgf makes a force from kilograms-force.
func Kgf(v float64) Force { return Force(v * nPerKgf) }

// Newton gives the force in newtons.
func (f Force) Newton() float64 { return float64(f) }

// Lbf gives the force in pounds-force.
func (f Force) Lbf() float64 { return float64(f) / nPerLbf }

// Kgf gives the force in kilograms-force.
func (f Force) Kgf() float64 { return float64(f) / nPerKgf }

// RiseK makes a temperature difference from kelvin (or degrees Celsius).
func RiseK(v float64) Rise { return Rise(v) }

// RiseF makes a temperature difference from degrees Fahrenheit.
func RiseF(v float64) Rise { return Rise(v / fahrPerCels) }

// K gives the difference in kelvin.
func (r Rise) K() float64 { return float64(r) }

// F gives the difference in degrees Fahrenheit.
func (r Rise) F() float64 { return float64(r) * fahrPerCels }

// Above gives how much hotter t is than base.
func (t Temperature) Above(base Temperature) Rise { return Rise(t - base) }

// Warmed gives the temperature a rise above t.
func (t Temperature) Warmed(by Rise) Temperature { return t + Temperature(by) }
