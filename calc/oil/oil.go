// Package oil knows the viscosity grades of axle oils and what volumes are in the
// other unit.
package oil

import (
	"errors"
	"fmt"
	"math"
	"regexp"
	"strings"
)

// ErrGrade is wrapped by every error about a grade that is none.
var ErrGrade = errors.New("no SAE gear oil grade")

// Edition is an edition of SAE J306; limits and grades changed between them.
type Edition string

// The editions that tables were found of.
const (
	J306of2019 Edition = "SAE J306, February 2019"
	// Before2005 had no 110 and no 190; 90 ran up to 24.0 cSt.
	Before2005 Edition = "SAE J306 before January 2005"
)

// Grade is a gear oil's viscosity grade: winter part, summer part or both.
type Grade struct {
	Winter string // "75W", empty where the oil has none
	Summer string // "90", empty where the oil has none
}

var form = regexp.MustCompile(`^(?:sae\s*)?(?:(\d{2})\s*w)?[\s/-]*(\d{2,3})?$`)

// Parse reads a grade: "75W-90", "75w90", "80W", "SAE 90". It errs (ErrGrade) on
// what the 2019 edition has no grade for.
func Parse(text string) (Grade, error) {
	m := form.FindStringSubmatch(strings.ToLower(strings.TrimSpace(text)))
	if m == nil || m[1] == "" && m[2] == "" {
		return Grade{}, fmt.Errorf("%w: %q", ErrGrade, text)
	}
	g := Grade{Summer: m[2]}
	if m[1] != "" {
		g.Winter = m[1] + "W"
	}
	if _, _, err := g.At100(J306of2019); err != nil {
		return Grade{}, fmt.Errorf("%w: %q", ErrGrade, text)
	}
	return g, nil
}

// String writes the grade as it is said.
func (g Grade) String() string {
	switch {
	case g.Winter == "":
		return g.Summer
	case g.Summer == "":
		return g.Winter
	}
	return g.Winter + "-" + g.Summer
}

// winterOf gives a winter grade's least viscosity at 100 °C in cSt and the
// temperature in °C at which it is at most 150,000 cP.
//
// Source: SAE J306 February 2019, as tabled on pmlubrication.com.au/charts (second
// hand). An older table (yumpu document 26048615) has 4.1 for 70W and 75W and 7.0
// for 80W.
func winterOf(grade string, e Edition) (least, cold float64, ok bool) {
	switch grade {
	case "70W":
		return pick(e, 3.8, 4.1), -55, true
	case "75W":
		return pick(e, 3.8, 4.1), -40, true
	case "80W":
		return pick(e, 8.5, 7.0), -26, true
	case "85W":
		return 11.0, -12, true
	}
	return 0, 0, false
}

func pick(e Edition, newer, older float64) float64 {
	if e == Before2005 {
		return older
	}
	return newer
}

// summerOf gives a summer grade's band at 100 °C in cSt, the top not included.
// Source: as winterOf; the older band of 90 and the coming of 110 and 190 from the
// catalogue record of the January 2005 edition.
func summerOf(grade string, e Edition) (low, high float64, ok bool) {
	switch {
	case e == Before2005 && grade == "90":
		return 13.5, 24.0, true
	case e == Before2005 && grade == "140":
		return 24.0, 41.0, true
	case e == Before2005 && (grade == "110" || grade == "190" || grade == "65" || grade == "70" || grade == "75"):
		return 0, 0, false
	}
	for _, s := range [...]struct {
		grade     string
		low, high float64
	}{
		{"65", 3.8, 5.0}, {"70", 5.0, 6.5}, {"75", 6.5, 8.5}, {"80", 8.5, 11.0}, {"85", 11.0, 13.5},
		{"90", 13.5, 18.5}, {"110", 18.5, 24.0}, {"140", 24.0, 32.5}, {"190", 32.5, 41.0}, {"250", 41.0, math.Inf(1)},
	} {
		if s.grade == grade {
			return s.low, s.high, true
		}
	}
	return 0, 0, false
}

// At100 gives the band of kinematic viscosity at 100 °C in cSt (mm²/s), the top
// not included and +Inf for 250 or a winter grade alone. It errs on a grade that
// the edition does not have.
func (g Grade) At100(e Edition) (low, high float64, err error) {
	low, high = 0, math.Inf(1)
	if g.Winter != "" {
		least, _, ok := winterOf(g.Winter, e)
		if !ok {
			return 0, 0, fmt.Errorf("%w: %s in %s", ErrGrade, g.Winter, e)
		}
		low = least
	}
	if g.Summer != "" {
		from, to, ok := summerOf(g.Summer, e)
		if !ok {
			return 0, 0, fmt.Errorf("%w: %s in %s", ErrGrade, g.Summer, e)
		}
		low, high = max(low, from), to
	}
	if !(low < high) || g == (Grade{}) {
		return 0, 0, fmt.Errorf("%w: %s contradicts itself", ErrGrade, g)
	}
	return low, high, nil
}

// Cold gives the temperature in °C down to which a winter grade still flows
// (150,000 cP at most); ok is false without a winter part.
func (g Grade) Cold() (celsius float64, ok bool) {
	_, c, ok := winterOf(g.Winter, J306of2019)
	return c, ok
}

// Compared is how one grade stands to another at working heat.
type Compared string

// The comparisons.
const (
	Same    Compared = "same"
	Thicker Compared = "thicker"
	Thinner Compared = "thinner"
)

// Against says whether g is thicker or thinner than the sheet's grade at 100 °C by
// the 2019 bands, and how many degrees later it stops flowing in the cold
// (positive: it gets stiff at a higher temperature than the sheet's oil).
func (g Grade) Against(sheet Grade) (hot Compared, stiffer float64, err error) {
	a, _, err := g.At100(J306of2019)
	if err != nil {
		return "", 0, err
	}
	b, _, err := sheet.At100(J306of2019)
	if err != nil {
		return "", 0, err
	}
	hot = Same
	switch {
	case a > b:
		hot = Thicker
	case a < b:
		hot = Thinner
	}
	mine, one := g.Cold()
	theirs, two := sheet.Cold()
	if one && two {
		stiffer = mine - theirs
	}
	return hot, stiffer, nil
}

// Litres in the units oil is sold in. Source: NIST SP 811 (2008) appendix B.8; the
// US quart and pint.
const (
	LitresPerQuart = 0.946352946
	LitresPerPint  = LitresPerQuart / 2
)
