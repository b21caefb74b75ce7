package unit

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestConversions(t *testing.T) {
	const (
		sp811  = "NIST SP 811 appendix B.8, by the R package NISTunits (second hand), seven digits"
		exact  = "exact by definition"
		bearer = "bearingtrends.com, Bearings heating: 120 °C / 250 °F"
		shop   = "reliabilitydirectstore.com kb ID=6: 125 °C / 257 °F"
	)
	for _, c := range []struct {
		name           string
		got, want, tol float64
		source         string
	}{
		{"1 in in mm", Inch(1).MM(), 25.4, 0, exact},
		{"1 thou in mm", Thou(1).MM(), 0.0254, 1e-18, exact},
		{"8 thou in in", Thou(8).Inch(), 0.008, 1e-17, exact},
		{"23 hundredths in mm", Hundredth(23).MM(), 0.23, 1e-17, exact},
		{"0.23 mm in thou", MM(0.23).Thou(), 9.05511811, 1e-8, exact},
		{"180° in rad", Deg(180).Rad(), math.Pi, 0, exact},
		{"1 rad in °", Rad(1).Deg(), 57.29577951, 1e-8, exact},
		{"1 lbf·in in N·m", InLbf(1).NewtonMetre(), 0.1129848, 5e-8, sp811},
		{"1 lbf·ft in N·m", FtLbf(1).NewtonMetre(), 1.355818, 5e-7, sp811},
		{"1 lbf·in in N·m, all digits", InLbf(1).NewtonMetre(), 0.1129848290276167, 1e-16, exact},
		{"1 lbf·ft in N·m, all digits", FtLbf(1).NewtonMetre(), 1.3558179483314004, 1e-15, exact},
		{"10 lbf·in in N·m", InLbf(10).NewtonMetre(), 1.129848, 5e-7, sp811},
		{"15 lbf·in in N·m", InLbf(15).NewtonMetre(), 1.694772, 5e-7, sp811},
		{"20 lbf·in in N·m", InLbf(20).NewtonMetre(), 2.259696, 1e-6, sp811},
		{"30 lbf·in in N·m", InLbf(30).NewtonMetre(), 3.389544, 1e-6, sp811},
		{"12 lbf·in in lbf·ft", InLbf(12).FtLbf(), 1, 1e-15, exact},
		{"0.80 N·m in lbf·in", NewtonMetre(0.8).InLbf(), 7.081, 5e-4, "statics, 20 N at 40 mm, recomputed"},
		{"1 kgf·cm in N·m", KgfCm(1).NewtonMetre(), 0.0980665, 0, exact},
		{"250 °F in °C", Fahrenheit(250).Celsius(), 121.1, .05, bearer},
		{"257 °F in °C", Fahrenheit(257).Celsius(), 125, 1e-12, shop},
		{"500 °F in °C", Fahrenheit(500).Celsius(), 260, 1e-12, exact},
		{"120 °C in °F", Celsius(120).Fahrenheit(), 248, 1e-12, exact},
		{"−40 °C in °F", Celsius(-40).Fahrenheit(), -40, 1e-12, exact},
		{"length without its sign", MM(-3).Abs().MM(), 3, 0, "derived"},
	} {
		if !(math.Abs(c.got-c.want) <= c.tol) {
			t.Errorf("%s = %.17g, want %.17g ± %g (%s)", c.name, c.got, c.want, c.tol, c.source)
		}
	}
}

func TestWriting(t *testing.T) {
	for _, c := range []struct{ got, want string }{
		{InchUnits.Length(Thou(8)), "0.008 in"},
		{InchUnits.Length(Thou(8.5)), "0.0085 in"},
		{InchUnits.Length(Inch(1)), "1.000 in"},
		{InchUnits.Length(0), "0.000 in"},
		{InchUnits.Length(Thou(-0.00001)), "0.000 in"},
		{InchUnits.Length(Thou(-3)), "-0.003 in"},
		{NoSystem.Length(Thou(8)), "0.008 in"},
		{Metric.Length(MM(0.2)), "0.20 mm"},
		{Metric.Length(MM(0.205)), "0.205 mm"},
		{Metric.Length(Thou(8)), "0.203 mm"},
		{Metric.Length(MM(-1e-9)), "0.00 mm"},
		{InchUnits.Signed(Thou(3)), "+0.003 in"},
		{InchUnits.Signed(Thou(-3)), "-0.003 in"},
		{Metric.Signed(0), "+0.00 mm"},
		{InchUnits.Torque(InLbf(15)), "15 in·lbf"},
		{InchUnits.Torque(InLbf(15.5)), "15.5 in·lbf"},
		{Metric.Torque(NewtonMetre(1.7)), "1.7 N·m"},
		{Metric.Torque(InLbf(15)), "1.69 N·m"},
		{Metric.Torque(NewtonMetre(90)), "90.0 N·m"},
		{InchUnits.Temperature(Fahrenheit(250)), "250 °F"},
		{Metric.Temperature(Fahrenheit(250)), "121 °C"},
		{string(Metric.Other()), string(InchUnits)},
		{string(InchUnits.Other()), string(Metric)},
		{string(NoSystem.Other()), string(Metric)},
	} {
		if c.got != c.want {
			t.Errorf("wrote %q, want %q", c.got, c.want)
		}
	}
}

func TestParse(t *testing.T) {
	length := func(s string) (float64, error) { l, err := ParseLength(s); return l.MM(), err }
	angle := func(s string) (float64, error) { a, err := ParseAngle(s); return a.Deg(), err }
	torque := func(s string) (float64, error) { q, err := ParseTorque(s); return q.NewtonMetre(), err }
	heat := func(s string) (float64, error) { h, err := ParseTemperature(s); return h.Celsius(), err }
	for _, c := range []struct {
		read func(string) (float64, error)
		text string
		want float64
	}{
		{length, "215.9 mm", 215.9}, {length, "215,9mm", 215.9}, {length, "21.59 cm", 215.9}, {length, "0.2159 m", 215.9},
		{length, "230 µm", .23}, {length, "230 um", .23}, {length, "230 μm", .23},
		{length, "8.5 in", 215.9}, {length, `8.5"`, 215.9}, {length, "8.5 inches", 215.9}, {length, "8 thou", .2032},
		{length, "-3 thousandths", -.0762}, {length, "−3 thou", -.0762}, {length, "+3 thou", .0762}, {length, "2 ft", 609.6},
		{length, ".008 IN", .2032}, {length, "2e1 mm", 20}, {length, "2E-1 mm", .2}, {length, "  3 mm  ", 3},
		{angle, "35 deg", 35}, {angle, "35°", 35}, {angle, "0.5 rad", 28.64788976}, {angle, "35 degrees", 35},
		{torque, "15 in·lbf", 1.6947724}, {torque, "15 in-lb", 1.6947724}, {torque, "15 in lbs", 1.6947724}, {torque, "15 lbf.in", 1.6947724},
		{torque, "70 ft·lbf", 94.90726}, {torque, "70 ft-lb", 94.90726}, {torque, "70 lb-ft", 94.90726}, {torque, "90 N·m", 90}, {torque, "90 Nm", 90}, {torque, "90 n-m", 90},
		{torque, "10 kgf·cm", .980665}, {torque, "10 kg-cm", .980665},
		{heat, "120 °C", 120}, {heat, "120 degC", 120}, {heat, "120c", 120}, {heat, "250 °F", 121.1111111}, {heat, "250F", 121.1111111},
	} {
		got, err := c.read(c.text)
		if err != nil || math.Abs(got-c.want) > 1e-5 {
			t.Errorf("%q read as %v, %v, want %v", c.text, got, err, c.want)
		}
	}
	for _, c := range []struct {
		read   func(string) (float64, error)
		text   string
		noUnit bool
		say    string
	}{
		{length, "8", true, "want mm, in or thou"}, {angle, "35", true, "want deg or rad"}, {torque, "70", true, "want N·m"}, {heat, "250", true, "want degC or degF"},
		{length, "8 parsec", false, `unknown unit "parsec"`}, {length, "mm", false, "not a number"}, {length, "", false, "not a number"},
		{length, "1/2 in", false, "unknown unit"}, {length, "1,234.5 mm", false, "not a number"}, {length, "NaN mm", false, "not a number"},
		{length, "1e999 mm", false, "not a number"}, {length, "1e308 m", false, "too large"}, {length, "1e308 ft", false, "too large"},
		{length, "+-3 mm", false, "not a number"}, {torque, "5 mm", false, `unknown unit "mm"`},
	} {
		_, err := c.read(c.text)
		if err == nil || errors.Is(err, ErrNoUnit) != c.noUnit || !strings.Contains(err.Error(), c.say) {
			t.Errorf("%q: error %v, want one with %q, no unit %v", c.text, err, c.say, c.noUnit)
		}
	}
}

// What is written can be read again, to what the writing keeps.
func TestWriteReadProperty(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := rapid.Float64Range(-1000, 1000).Draw(t, "v")
		system := rapid.SampledFrom([]System{InchUnits, Metric}).Draw(t, "system")
		step := .00005 * 25.4
		if system == Metric {
			step = .0005
		}
		l, err := ParseLength(system.Length(MM(v)))
		if err != nil || math.Abs(l.MM()-v) > step+1e-9 {
			t.Fatalf("%v mm written %q, read %v, %v", v, system.Length(MM(v)), l.MM(), err)
		}
		signed, err := ParseLength(system.Signed(MM(v)))
		if err != nil || signed != l {
			t.Fatalf("signed %q read %v, %v", system.Signed(MM(v)), signed, err)
		}
		q, err := ParseTorque(system.Torque(InLbf(v)))
		if err != nil || math.Abs(q.InLbf()-v) > .06 {
			t.Fatalf("%v in·lbf written %q, read %v, %v", v, system.Torque(InLbf(v)), q.InLbf(), err)
		}
		h, err := ParseTemperature(system.Temperature(Celsius(v)))
		if err != nil || math.Abs(h.Celsius()-v) > .51 {
			t.Fatalf("%v °C written %q, read %v, %v", v, system.Temperature(Celsius(v)), h.Celsius(), err)
		}
		for _, pair := range [][2]float64{
			{MM(v).MM(), v}, {Inch(v).Inch(), v}, {Thou(v).Thou(), v}, {Deg(v).Deg(), v},
			{InLbf(v).InLbf(), v}, {FtLbf(v).FtLbf(), v}, {Fahrenheit(v).Fahrenheit(), v},
		} {
			if math.Abs(pair[0]-pair[1]) > 1e-9 {
				t.Fatalf("%v came back as %v", pair[1], pair[0])
			}
		}
	})
}

// FuzzParse: any text is a finite quantity or an error.
func FuzzParse(f *testing.F) {
	for _, seed := range []string{"8 thou", "1e308 m", "−3,5 mm", "9e", "1E+5°", "٣ mm", "5 \x00mm", `"`} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		l, e1 := ParseLength(text)
		a, e2 := ParseAngle(text)
		q, e3 := ParseTorque(text)
		h, e4 := ParseTemperature(text)
		for i, v := range []float64{float64(l), float64(a), float64(q), float64(h)} {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				t.Fatalf("%q read as %v", text, v)
			}
			if err := []error{e1, e2, e3, e4}[i]; err != nil && v != 0 {
				t.Fatalf("%q read as %v with error %v", text, v, err)
			}
		}
	})
}

func ExampleSystem_Length() {
	lash := Thou(8)
	fmt.Println(InchUnits.Length(lash), "or", Metric.Length(lash))
	// Output: 0.008 in or 0.203 mm
}
