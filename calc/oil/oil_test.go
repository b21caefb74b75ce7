package oil

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"
)

func TestBands(t *testing.T) {
	const (
		now   = "SAE J306 February 2019, pmlubrication.com.au/charts (second hand)"
		older = "yumpu document 26048615, older J306 table"
		ihs   = "catalogue record of J306 January 2005: 110 is 18.5–24.0, 190 is 32.5–41.0, before that 90 ran 13.5–24"
	)
	inf := math.Inf(1)
	for _, c := range []struct {
		grade     string
		edition   Edition
		low, high float64
		source    string
	}{
		{"70W", J306of2019, 3.8, inf, now}, {"75W", J306of2019, 3.8, inf, now}, {"80W", J306of2019, 8.5, inf, now}, {"85W", J306of2019, 11, inf, now},
		{"65", J306of2019, 3.8, 5, now}, {"70", J306of2019, 5, 6.5, now}, {"75", J306of2019, 6.5, 8.5, now}, {"80", J306of2019, 8.5, 11, now},
		{"85", J306of2019, 11, 13.5, now}, {"90", J306of2019, 13.5, 18.5, now}, {"110", J306of2019, 18.5, 24, now + "; " + ihs},
		{"140", J306of2019, 24, 32.5, now}, {"190", J306of2019, 32.5, 41, now + "; " + ihs}, {"250", J306of2019, 41, inf, now},
		{"75W-90", J306of2019, 13.5, 18.5, now}, {"80W-140", J306of2019, 24, 32.5, now},
		{"75W", Before2005, 4.1, inf, older}, {"80W", Before2005, 7, inf, older}, {"85W", Before2005, 11, inf, older}, {"90", Before2005, 13.5, 24, ihs},
	} {
		g, err := Parse(c.grade)
		if err != nil {
			t.Fatal(err)
		}
		low, high, err := g.At100(c.edition)
		if err != nil || low != c.low || high != c.high {
			t.Errorf("%s in %s: %g to %g cSt, %v, want %g to %g (%s)", c.grade, c.edition, low, high, err, c.low, c.high, c.source)
		}
	}
	for grade, want := range map[string]float64{"70W": -55, "75W-90": -40, "80W-90": -26, "85W-140": -12} {
		g, err := Parse(grade)
		if got, ok := g.Cold(); err != nil || !ok || got != want {
			t.Errorf("%s flows down to %g °C, %v, want %g (%s)", grade, got, err, want, now)
		}
	}
	if g, _ := Parse("75W-110"); g.String() != "75W-110" {
		t.Errorf("%v", g)
	}
	if _, _, err := (Grade{Winter: "75W", Summer: "110"}).At100(Before2005); !errors.Is(err, ErrGrade) {
		t.Errorf("110 before 2005: %v (%s)", err, ihs)
	}
	for _, text := range []string{"", "10W-30", "75W-91", "90W", "GL-5", "75W-90W", "85W-80"} {
		if g, err := Parse(text); !errors.Is(err, ErrGrade) {
			t.Errorf("%q is %v, %v", text, g, err)
		}
	}
}

func TestAgainst(t *testing.T) {
	for _, c := range []struct {
		mine, sheet string
		hot         Compared
		stiffer     float64
	}{
		{"75W-90", "75W-90", Same, 0}, {"85W-140", "75W-90", Thicker, 28}, {"75W-90", "80W-140", Thinner, -14}, {"90", "75W-90", Same, 0}, {"75W-140", "75W-90", Thicker, 0},
	} {
		a, e1 := Parse(c.mine)
		b, e2 := Parse(c.sheet)
		hot, stiffer, err := a.Against(b)
		if e1 != nil || e2 != nil || err != nil || hot != c.hot || stiffer != c.stiffer {
			t.Errorf("%s for %s is %s, %g, %v, want %s, %g (derived from the 2019 bands)", c.mine, c.sheet, hot, stiffer, err, c.hot, c.stiffer)
		}
	}
}

// The summer bands of an edition meet without gap or overlap.
func TestBandsMeet(t *testing.T) {
	order := []string{"65", "70", "75", "80", "85", "90", "110", "140", "190", "250"}
	last := 3.8
	for _, g := range order {
		low, high, ok := summerOf(g, J306of2019)
		if !ok || low != last || high <= low {
			t.Errorf("%s runs from %g to %g after %g (derived)", g, low, high, last)
		}
		last = high
	}
}

func TestParseProperty(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g, err := Parse(rapid.String().Draw(t, "text"))
		if err != nil {
			return
		}
		back, err := Parse(g.String())
		if err != nil || back != g {
			t.Fatalf("%v came back as %v, %v", g, back, err)
		}
	})
}
