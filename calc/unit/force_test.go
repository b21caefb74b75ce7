package unit

import (
	"math"
	"testing"
)

func TestForceAndRise(t *testing.T) {
	const sp811 = "NIST SP 811 appendix B.8, by the R package NISTunits (second hand), seven digits"
	for _, c := range []struct {
		name           string
		got, want, tol float64
		source         string
	}{
		{"1 lbf in N", Lbf(1).Newton(), 4.448222, 5e-7, sp811},
		{"1 lbf in in N·m over 1 in", Lbf(1).Newton() * Inch(1).MM() / 1000, InLbf(1).NewtonMetre(), 1e-15, "derived: lbf × in = lbf·in"},
		{"1 lbf/in in N/m", Lbf(1).Newton() / (Inch(1).MM() / 1000), 175.1268, 5e-5, sp811},
		{"1 kgf in N", Kgf(1).Newton(), 9.80665, 0, "exact by definition"},
		{"back from lbf", Lbf(5).Lbf(), 5, 1e-15, "derived"},
		{"back from kgf", Kgf(2).Kgf(), 2, 1e-15, "derived"},
		{"80 K as a difference", RiseK(80).F(), 144, 1e-12, "reliabilitydirectstore.com kb ID=6: 80 to 90 °C is 144 to 162 °F as a difference"},
		{"90 K as a difference", RiseK(90).F(), 162, 1e-12, "reliabilitydirectstore.com kb ID=6: 80 to 90 °C is 144 to 162 °F as a difference"},
		{"144 °F as a difference", RiseF(144).K(), 80, 1e-12, "reliabilitydirectstore.com kb ID=6: 80 to 90 °C is 144 to 162 °F as a difference"},
		{"a reading of 80 °C is not 144 °F", Celsius(80).Fahrenheit(), 176, 1e-12, "exact by definition"},
		{"warmed", Celsius(20).Warmed(RiseF(180)).Celsius(), 120, 1e-12, "derived"},
		{"above", Fahrenheit(212).Above(Celsius(0)).K(), 100, 1e-12, "derived"},
	} {
		if !(math.Abs(c.got-c.want) <= c.tol) {
			t.Errorf("%s = %.17g, want %.17g ± %g (%s)", c.name, c.got, c.want, c.tol, c.source)
		}
	}
}
