package fit

import "shimwright/calc/unit"

// Piece is what is heated.
type Piece string

// The pieces with a limit.
const (
	Bearing  Piece = "bearing"
	RingGear Piece = "ring gear"
)

// MostBearing is the limit for heating a bearing. Source: bearingtrends.com,
// Bearings heating: never above 120 °C / 250 °F, oil bath also; a second page
// (reliabilitydirectstore.com kb ID=6) allows 125 °C.
const MostBearing = unit.Temperature(120)

// MostRingGear is what a case-hardened gear stands without loss in the tables: the
// lowest temper found is 149 °C (300 °F). A sheet's own, lower limit wins.
// Source: eng-tips thread 340771, quoting a steel stockist: 8620 carburized,
// tempered at 300 °F, case HRC 63.
const MostRingGear = unit.Temperature(148.9)

// What parts are chilled in. Source: nitrogen linde-gas.is; dry ice and a domestic
// freezer from memory.
const (
	Freezer        = unit.Temperature(-18)
	DryIce         = unit.Temperature(-78.5)
	LiquidNitrogen = unit.Temperature(-196)
)

// Hardness is what heat leaves of a case that was tempered at 149 °C.
type Hardness struct {
	LossLow, LossHigh float64 // points of HRC lost, by the two series found
	CaseLow, CaseHigh float64 // HRC left of a case of 63
	Beyond            bool    // hotter than either series goes: at least this much
}

// temperSteps is the loss by temper of ~0.9 % C oil-hardening tool steel, a stand-in
// for a carburized case: 63–65, 60–62, 58–60, 56–58, 53–55 HRC at 300 to 700 °F,
// two hours or more. Source: steelmaker's table quoted at bladeforums thread
// 323095.
var temperSteps = [...]struct{ fahrenheit, loss float64 }{{300, 0}, {400, 3}, {500, 5}, {600, 7}, {700, 10}}

// Case 8620 loses 5 HRC from 300 to 450 °F. Source: eng-tips thread 340771.
const (
	case8620    = 63.0
	case8620Low = 300.0
	case8620Per = 5.0 / 150.0
)

// Tempered gives what a temperature does to the hardness of a case-hardened gear.
// Time counts too: the figures are for tempers of hours, so a short visit costs
// less, and nothing measured says how much less. Linear between the published
// points; the 8620 series is drawn on above 450 °F.
func Tempered(t unit.Temperature) (Hardness, error) {
	if err := sensible("temperature in °C", t.Celsius(), -273.15, 1500); err != nil {
		return Hardness{}, err
	}
	f := t.Fahrenheit()
	var h Hardness
	first := max(0, (f-case8620Low)*case8620Per)
	last := temperSteps[len(temperSteps)-1]
	second := 0.0
	for i := 1; i < len(temperSteps); i++ {
		a, b := temperSteps[i-1], temperSteps[i]
		if f > a.fahrenheit {
			second = a.loss + (min(f, b.fahrenheit)-a.fahrenheit)/(b.fahrenheit-a.fahrenheit)*(b.loss-a.loss)
		}
	}
	if f > last.fahrenheit {
		h.Beyond = true
		first = min(first, (last.fahrenheit-case8620Low)*case8620Per)
	}
	h.LossLow, h.LossHigh = min(first, second), max(first, second)
	h.CaseLow, h.CaseHigh = case8620-h.LossHigh, case8620-h.LossLow
	return h, nil
}

// Heated is what to make of a part that was, or is to be, at a temperature.
type Heated string

// The verdicts, in order.
const (
	HeatFine    Heated = "fine"    // within the limit
	HeatOver    Heated = "over"    // over the limit, no loss in the figures found: do not go there again, and not on
	HeatSuspect Heated = "suspect" // hardness or stability may have gone: not to be fitted without a hardness test or the maker's word
	HeatReject  Heated = "reject"  // two HRC and more lost, or a bearing above 150 °C
)

const (
	rejectLoss    = 2.0
	suspectLoss   = 0.05
	ruinedBearing = 150.0 // °C, from memory: usual heat stabilisation ends between 120 and 150
)

// Judge says what a temperature means for a piece; limit is the sheet's, or 0 for
// 120 °C, the bearing's, which shops keep for the ring gear too.
func Judge(p Piece, t, limit unit.Temperature) (Heated, error) {
	h, err := Tempered(t)
	if err != nil {
		return "", err
	}
	if limit == 0 {
		limit = MostBearing
	}
	// A limit given as 250 °F is 121.1 °C, and 120 °C is said as 250 °F.
	over := t.Celsius() > limit.Celsius()+1.2
	switch {
	case p == Bearing && t.Celsius() > ruinedBearing, p != Bearing && h.LossHigh >= rejectLoss:
		return HeatReject, nil
	case p == Bearing && t.Celsius() > 125.5, p != Bearing && h.LossHigh > suspectLoss:
		return HeatSuspect, nil
	case over:
		return HeatOver, nil
	}
	return HeatFine, nil
}

// Soak gives how long an inner ring of a section thickness (0 to 200 mm) takes in
// the oven or bath to be warm through, in minutes.
//
// Source: bearingtrends.com, Bearings heating: 20 to 30 min for an inch of section.
func Soak(section unit.Length) (low, high float64, err error) {
	if err := sensible("section in mm", section.MM(), 0, 200); err != nil {
		return 0, 0, err
	}
	return 20 * section.Inch(), 30 * section.Inch(), nil
}
