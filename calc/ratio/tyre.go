package ratio

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"shimwright/calc/unit"
)

// Tyre is a tyre by its size. Either the size by width, aspect and rim (215/65R15
// is width 215 mm, aspect 65 and rim 15 in) or the diameter as sold (31x10.50R15,
// or just 31 in) is given.
type Tyre struct {
	Width  unit.Length // section width
	Aspect float64     // sidewall height in hundredths of the width
	Rim    unit.Length // rim diameter
	Tall   unit.Length // diameter as sold, where the size says it; the rest may then be 0
}

var (
	metricSize = regexp.MustCompile(`^(?:p|lt)?\s*(\d{3})\s*[/ -]\s*(\d{2})\s*[/ -]?\s*(?:z?r)?\s*-?\s*(\d{2}(?:\.5)?)(?:lt|c)?$`)
	tallSize   = regexp.MustCompile(`^(\d{2}(?:\.\d+)?)\s*x\s*(\d{1,2}(?:\.\d+)?)\s*[-x/ ]?\s*(?:z?r)?\s*-?\s*(\d{2}(?:\.5)?)(?:lt)?$`)
	plainSize  = regexp.MustCompile(`^(\d{2}(?:\.\d+)?)\s*(?:'?s|in|inch|inches|")?$`)
)

// ParseTyre reads a tyre size as it is said: "245/75R16", "P215/65 r15",
// "LT245/75R16", "245/75/16", "31x10.50R15", "31s", "33 in".
func ParseTyre(text string) (Tyre, error) {
	s := strings.ToLower(strings.TrimSpace(strings.NewReplacer(",", ".", "×", "x").Replace(text)))
	number := func(v string) float64 { f, _ := strconv.ParseFloat(v, 64); return f } // the pattern has digits only
	var t Tyre
	switch {
	case metricSize.MatchString(s):
		m := metricSize.FindStringSubmatch(s)
		t = Tyre{Width: unit.MM(number(m[1])), Aspect: number(m[2]), Rim: unit.Inch(number(m[3]))}
	case tallSize.MatchString(s):
		m := tallSize.FindStringSubmatch(s)
		t = Tyre{Tall: unit.Inch(number(m[1])), Width: unit.Inch(number(m[2])), Rim: unit.Inch(number(m[3]))}
	case plainSize.MatchString(s):
		t = Tyre{Tall: unit.Inch(number(plainSize.FindStringSubmatch(s)[1]))}
	default:
		return Tyre{}, fmt.Errorf("%w: %q is no tyre size; say 245/75R16, 31x10.50R15 or 31 in", ErrFigure, text)
	}
	if _, err := t.Diameter(); err != nil {
		return Tyre{}, err
	}
	return t, nil
}

// Name writes the size as it is said.
func (t Tyre) Name() string {
	g := func(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }
	switch {
	case t.Tall > 0 && t.Rim > 0:
		return g(round(t.Tall.Inch())) + "x" + strconv.FormatFloat(t.Width.Inch(), 'f', 2, 64) + "R" + g(round(t.Rim.Inch()))
	case t.Tall > 0:
		return g(round(t.Tall.Inch())) + " in"
	}
	return g(round(t.Width.MM())) + "/" + g(round(t.Aspect)) + "R" + g(round(t.Rim.Inch()))
}

func round(v float64) float64 { return float64(int(v*100+.5)) / 100 }

// Diameter gives the outside diameter: rim and two sidewalls, or what the size
// says. It is of the tyre standing free; a loaded one rolls about 3 parts in a
// hundred less (common practice, no source).
//
// Source: 0xff.com, formulas: rim + 2·(width/25.4)·(aspect/100) in inches.
func (t Tyre) Diameter() (unit.Length, error) {
	if t.Tall != 0 {
		return t.Tall, sensible("tyre diameter in inches", t.Tall.Inch(), 10, 80)
	}
	for _, f := range []struct {
		name           string
		v, least, most float64
	}{{"tyre width in mm", t.Width.MM(), 20, 1000}, {"tyre aspect", t.Aspect, 10, 120}, {"rim in inches", t.Rim.Inch(), 3, 60}} {
		if err := sensible(f.name, f.v, f.least, f.most); err != nil {
			return 0, err
		}
	}
	return t.Rim + 2*t.Width*unit.Length(t.Aspect/100), nil
}
