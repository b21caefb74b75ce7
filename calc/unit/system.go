package unit

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"
)

// System is the unit habit of a shop or a person.
type System string

// The two unit habits, and none where it is not known.
const (
	NoSystem  System = ""
	InchUnits System = "inch"
	Metric    System = "metric"
)

// Other gives the opposite habit, for showing a second figure beside the first.
func (s System) Other() System {
	if s == Metric {
		return InchUnits
	}
	return Metric
}

// Length writes a length the way a shop of this habit writes it: 0.008 in (three
// decimals; four where the fourth is not zero) or 0.20 mm (two decimals; three
// where the third is not zero). A habit that is not known writes inches.
func (s System) Length(l Length) string {
	if s == Metric {
		return decimals(l.MM(), 2, 3) + " mm"
	}
	return decimals(l.Inch(), 3, 4) + " in"
}

// Signed is Length with an explicit + or −, for moves and changes.
func (s System) Signed(l Length) string {
	if strings.HasPrefix(s.Length(l), "-") {
		return s.Length(l)
	}
	return "+" + s.Length(l)
}

// Torque writes a torque in N·m (metric) or in·lbf, with at most one decimal
// (two in N·m).
func (s System) Torque(t Torque) string {
	if s == Metric {
		return decimals(t.NewtonMetre(), 1, 2) + " N·m"
	}
	return decimals(t.InLbf(), 0, 1) + " in·lbf"
}

// Temperature writes a temperature in whole °C or °F.
func (s System) Temperature(t Temperature) string {
	if s == Metric {
		return decimals(t.Celsius(), 0, 0) + " °C"
	}
	return decimals(t.Fahrenheit(), 0, 0) + " °F"
}

// decimals writes v with low decimals, or with high where rounding to low would
// drop a digit that rounding to high keeps; never "-0".
func decimals(v float64, low, high int) string {
	text := strconv.FormatFloat(v, 'f', high, 64)
	for i := high; i > low && strings.HasSuffix(text, "0"); i-- {
		text = text[:len(text)-1]
	}
	text = strings.TrimSuffix(text, ".")
	if strings.Trim(text, "-0.") == "" {
		text = strings.TrimPrefix(text, "-")
	}
	return text
}

// ErrNoUnit says that a quantity was written without its unit.
var ErrNoUnit = errors.New("no unit")

// ParseLength reads a length with its unit: mm, cm, m, µm, in, inch, inches, ",
// thou, thousandths, ft. A sign and a decimal comma are accepted. It errs with
// ErrNoUnit where the unit is missing, and otherwise names what it found.
func ParseLength(text string) (Length, error) {
	v, suffix, err := splitQuantity(text)
	if err != nil {
		return 0, err
	}
	switch suffix {
	case "mm":
		return finite(text, MM(v))
	case "cm":
		return finite(text, MM(v*10))
	case "m":
		return finite(text, MM(v*1000))
	case "µm", "um", "μm":
		return finite(text, MM(v/1000))
	case "in", "inch", "inches", `"`, "”":
		return finite(text, Inch(v))
	case "thou", "thousandths":
		return finite(text, Thou(v))
	case "ft":
		return finite(text, Inch(v*12))
	}
	return 0, unitError(text, suffix, "mm, in or thou")
}

// ParseAngle reads an angle with its unit: deg, °, degrees, rad.
func ParseAngle(text string) (Angle, error) {
	v, suffix, err := splitQuantity(text)
	if err != nil {
		return 0, err
	}
	switch suffix {
	case "deg", "°", "degree", "degrees":
		return finite(text, Deg(v))
	case "rad":
		return finite(text, Rad(v))
	}
	return 0, unitError(text, suffix, "deg or rad")
}

// ParseTorque reads a torque with its unit: N·m, Nm, in·lbf, in-lb, ft·lbf,
// ft-lb, kgf·cm.
func ParseTorque(text string) (Torque, error) {
	v, suffix, err := splitQuantity(text)
	if err != nil {
		return 0, err
	}
	switch strings.NewReplacer("·", "", "-", "", ".", "", " ", "", "*", "").Replace(suffix) {
	case "nm":
		return finite(text, NewtonMetre(v))
	case "inlbf", "inlb", "inlbs", "lbfin", "lbin":
		return finite(text, InLbf(v))
	case "ftlbf", "ftlb", "ftlbs", "lbfft", "lbft":
		return finite(text, FtLbf(v))
	case "kgfcm", "kgcm":
		return finite(text, KgfCm(v))
	}
	return 0, unitError(text, suffix, "N·m, in·lbf or ft·lbf")
}

// ParseTemperature reads a temperature with its unit: degC, °C, C, degF, °F, F.
func ParseTemperature(text string) (Temperature, error) {
	v, suffix, err := splitQuantity(text)
	if err != nil {
		return 0, err
	}
	switch strings.TrimSpace(strings.NewReplacer("°", "", "deg", "").Replace(suffix)) {
	case "c":
		return finite(text, Celsius(v))
	case "f":
		return finite(text, Fahrenheit(v))
	}
	return 0, unitError(text, suffix, "degC or degF")
}

// splitQuantity cuts "215,9 mm" into 215.9 and "mm" (lower case). The number
// must be finite.
func splitQuantity(text string) (float64, string, error) {
	s := strings.TrimSpace(strings.ReplaceAll(text, "−", "-"))
	end := 0
	for end < len(s) && strings.IndexByte("+-.,0123456789", s[end]) >= 0 {
		end++
	}
	// An exponent belongs to the number only where a digit follows it.
	if end > 0 && end+1 < len(s) && (s[end] == 'e' || s[end] == 'E') {
		k := end + 1
		if s[k] == '+' || s[k] == '-' {
			k++
		}
		if k < len(s) && s[k] >= '0' && s[k] <= '9' {
			for k < len(s) && s[k] >= '0' && s[k] <= '9' {
				k++
			}
			end = k
		}
	}
	v, err := strconv.ParseFloat(strings.Replace(s[:end], ",", ".", 1), 64)
	if err != nil || math.IsInf(v, 0) || math.IsNaN(v) {
		return 0, "", fmt.Errorf("%q is not a number with a unit", text)
	}
	return v, strings.ToLower(strings.TrimSpace(s[end:])), nil
}

// finite refuses a quantity that overflowed on the way from its own unit.
func finite[Q ~float64](text string, q Q) (Q, error) {
	if math.IsInf(float64(q), 0) || math.IsNaN(float64(q)) {
		return 0, fmt.Errorf("%q is too large a number", text)
	}
	return q, nil
}

func unitError(text, suffix, want string) error {
	if suffix == "" {
		return fmt.Errorf("%q: %w, want %s", text, ErrNoUnit, want)
	}
	return fmt.Errorf("%q: unknown unit %q, want %s", text, suffix, want)
}
