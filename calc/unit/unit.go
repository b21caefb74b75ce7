// Package unit holds the physical quantities the calculations work in.
//
// A quantity keeps one unit inside (millimetre, radian, newton-metre, degree
// Celsius) and is made and read through named constructors and getters, so a
// bare float64 never has to be guessed at. The types are plain float64s: adding
// two lengths is +, and the zero value is zero.
package unit

import "math"

// Length is a length or a displacement in millimetres.
type Length float64

// Angle is a plane angle in radians.
type Angle float64

// Torque is a turning moment in newton-metres.
type Torque float64

// Temperature is a temperature in degrees Celsius (not a difference).
type Temperature float64

// Exact conversion factors. Source: NIST SP 811 (2008) appendix B.8; the inch
// and the pound-force are exact by definition.
const (
	mmPerInch   = 25.4
	nmPerInLbf  = 0.1129848290276167
	nmPerFtLbf  = 1.3558179483314004
	nmPerKgfCm  = 0.0980665
	degPerRad   = 180 / math.Pi
	fahrOffset  = 32
	fahrPerCels = 1.8
)

// MM makes a length from millimetres.
func MM(v float64) Length { return Length(v) }

// Inch makes a length from inches.
func Inch(v float64) Length { return Length(v * mmPerInch) }

// Thou makes a length from thousandths of an inch (0.001 in each).
func Thou(v float64) Length { return Length(v * mmPerInch / 1000) }

// Hundredth makes a length from hundredths of a millimetre (0.01 mm each).
func Hundredth(v float64) Length { return Length(v / 100) }

// MM gives the length in millimetres.
func (l Length) MM() float64 { return float64(l) }

// Inch gives the length in inches.
func (l Length) Inch() float64 { return float64(l) / mmPerInch }

// Thou gives the length in thousandths of an inch.
func (l Length) Thou() float64 { return float64(l) / mmPerInch * 1000 }

// Abs gives the length without its sign.
func (l Length) Abs() Length { return Length(math.Abs(float64(l))) }

// Rad makes an angle from radians.
func Rad(v float64) Angle { return Angle(v) }

// Deg makes an angle from degrees.
func Deg(v float64) Angle { return Angle(v / degPerRad) }

// Rad gives the angle in radians.
func (a Angle) Rad() float64 { return float64(a) }

// Deg gives the angle in degrees.
func (a Angle) Deg() float64 { return float64(a) * degPerRad }

// NewtonMetre makes a torque from newton-metres.
func NewtonMetre(v float64) Torque { return Torque(v) }

// InLbf makes a torque from pound-force inches ("inch-pounds").
func InLbf(v float64) Torque { return Torque(v * nmPerInLbf) }

// FtLbf makes a torque from pound-force feet ("foot-pounds").
func FtLbf(v float64) Torque { return Torque(v * nmPerFtLbf) }

// KgfCm makes a torque from kilogram-force centimetres.
func KgfCm(v float64) Torque { return Torque(v * nmPerKgfCm) }

// NewtonMetre gives the torque in newton-metres.
func (t Torque) NewtonMetre() float64 { return float64(t) }

// InLbf gives the torque in pound-force inches.
func (t Torque) InLbf() float64 { return float64(t) / nmPerInLbf }

// FtLbf gives the torque in pound-force feet.
func (t Torque) FtLbf() float64 { return float64(t) / nmPerFtLbf }

// Celsius makes a temperature from degrees Celsius.
func Celsius(v float64) Temperature { return Temperature(v) }

// Fahrenheit makes a temperature from degrees Fahrenheit.
func Fahrenheit(v float64) Temperature { return Temperature((v - fahrOffset) / fahrPerCels) }

// Celsius gives the temperature in degrees Celsius.
func (t Temperature) Celsius() float64 { return float64(t) }

// Fahrenheit gives the temperature in degrees Fahrenheit.
func (t Temperature) Fahrenheit() float64 { return float64(t)*fahrPerCels + fahrOffset }
