package listen

import (
	"maps"
	"math"
	"slices"
	"strings"

	"shimwright/calc/unit"
)

// quantity says how a figure of one kind is typed and which values can be.
type quantity struct {
	name string // for people
	dim  dim

	// low and high bound what can be at all, in mm, N·m, °C, km, min, km/h, turns
	// or a plain count. Beyond them nothing is read. Source: common practice, no
	// source; wide on purpose, the axle sheet has the limits that count.
	low, high float64

	bare bareForm // what a number without a unit is
	list bool     // several numbers are usual
}

// bareForm is how a number without a unit is typed.
type bareForm uint8

const (
	bareNone     bareForm = iota // it has no unit: counts, markings
	bareSmall                    // 9 is 9 thou, 20 is 20 hundredths
	bareShim                     // 32 is 32 thou; 1.25 mm; 125 hundredths
	bareLarge                    // 2.437 in, 62.05 mm
	bareDrag                     // in·lbf or N·m
	bareTorque                   // ft·lbf or N·m
	bareTemp                     // °F or °C
	bareDistance                 // mi or km
	bareSpeed                    // mph or km/h
	bareMinutes
	bareTurns
)

// quantities by what they are. To change what can be, change low and high here.
var quantities = map[What]quantity{
	Backlash:         {name: "backlash", dim: dimLength, low: 0, high: 1.6, bare: bareSmall, list: true},
	BacklashSpread:   {name: "backlash spread", dim: dimLength, low: 0, high: 0.6, bare: bareSmall},
	RingRunout:       {name: "ring gear runout", dim: dimLength, low: 0, high: 0.8, bare: bareSmall, list: true},
	CarrierEndPlay:   {name: "carrier end play", dim: dimLength, low: 0, high: 3, bare: bareSmall},
	CarrierPreload:   {name: "carrier preload", dim: dimLength, low: 0, high: 1.1, bare: bareSmall},
	CaseSpread:       {name: "case spread", dim: dimLength, low: 0, high: 1.6, bare: bareSmall},
	ShimPinion:       {name: "pinion shim", dim: dimLength, low: 0.02, high: 5.5, bare: bareShim, list: true},
	ShimLeft:         {name: "left side shim", dim: dimLength, low: 0.02, high: 13, bare: bareShim, list: true},
	ShimRight:        {name: "right side shim", dim: dimLength, low: 0.02, high: 13, bare: bareShim, list: true},
	ShimPreload:      {name: "preload shim", dim: dimLength, low: 0.02, high: 13, bare: bareShim, list: true},
	PinionMark:       {name: "pinion marking", dim: dimLength, low: -0.8, high: 0.8, bare: bareNone},
	PinionDepth:      {name: "pinion depth", dim: dimLength, low: 15, high: 250, bare: bareLarge},
	CheckingDistance: {name: "checking distance", dim: dimLength, low: 5, high: 250, bare: bareLarge},
	BearingHeight:    {name: "bearing stand height", dim: dimLength, low: 8, high: 120, bare: bareLarge},
	PinionDrag:       {name: "pinion drag", dim: dimTorque, low: 0, high: 11.4, bare: bareDrag},
	TotalDrag:        {name: "total drag", dim: dimTorque, low: 0, high: 14, bare: bareDrag},
	BreakawayTorque:  {name: "breakaway torque", dim: dimTorque, low: 0, high: 17, bare: bareDrag},
	Torque:           {name: "torque", dim: dimTorque, low: 1, high: 1500, bare: bareTorque},
	Temperature:      {name: "temperature", dim: dimTemp, low: -200, high: 600, bare: bareTemp},
	Distance:         {name: "distance", dim: dimDistance, low: 0, high: 20000, bare: bareDistance},
	Duration:         {name: "duration", dim: dimTime, low: 0, high: 4000, bare: bareMinutes},
	NoiseSpeed:       {name: "speed of the noise", dim: dimSpeed, low: 5, high: 220, bare: bareSpeed, list: true},
	ToothCount:       {name: "tooth count", dim: dimCount, low: 5, high: 90, bare: bareNone, list: true},
	AdjusterTurns:    {name: "adjuster turns", dim: dimTurn, low: 0, high: 60, bare: bareTurns},
	NutTurn:          {name: "nut turn", dim: dimCount, low: 0, high: 360, bare: bareNone},
	Volume:           {name: "oil", dim: dimCount, low: 0, high: 20, bare: bareNone},
	Ratio:            {name: "ratio", dim: dimCount, low: 2, high: 8, bare: bareNone},
	MatchNumber:      {name: "match number", dim: dimCount, low: 0, high: 1e9, bare: bareNone, list: true},
}

// Name gives the words for a quantity, for a sentence.
func (w What) Name() string {
	switch w {
	case PatternDrive:
		return "drive pattern"
	case PatternCoast:
		return "coast pattern"
	}
	if q, ok := quantities[w]; ok {
		return q.name
	}
	return string(w)
}

// Quantities lists what can be read as a figure, a longer name before a shorter one
// that it begins with.
func Quantities() []What {
	return slices.SortedFunc(maps.Keys(quantities), func(a, b What) int { return -strings.Compare(a.Name(), b.Name()) })
}

// scaled is one way to read a figure: times scale in unit name.
type scaled struct {
	factor float64 // to the written value
	name   string  // unit of the written value
	inside float64 // from the written value to mm, N·m, °C, km, min, km/h
	offset float64 // added before inside, for °F
	label  string  // how it is offered as a choice: "thou", "mm"
}

var (
	inThou      = scaled{0.001, "in", 25.4, 0, "thou"}
	inInch      = scaled{1, "in", 25.4, 0, "in"}
	inTenth     = scaled{0.0001, "in", 25.4, 0, "tenths"}
	inMM        = scaled{1, "mm", 1, 0, "mm"}
	inHundredth = scaled{0.01, "mm", 1, 0, "hundredths"}
	inTenthMM   = scaled{0.1, "mm", 1, 0, "tenths of a mm"}
	inMicron    = scaled{0.001, "mm", 1, 0, "micron"}
	inInLb      = scaled{1, "in·lbf", 0.1129848290276167, 0, "in·lbf"}
	inFtLb      = scaled{1, "ft·lbf", 1.3558179483314004, 0, "ft·lbf"}
	inNm        = scaled{1, "N·m", 1, 0, "N·m"}
	inCNm       = scaled{0.01, "N·m", 1, 0, "cN·m"}
	inKgfCm     = scaled{0.0980665, "N·m", 1, 0, "kgf·cm"}
	inDegF      = scaled{1, "degF", 1 / 1.8, -32, "F"}
	inDegC      = scaled{1, "degC", 1, 0, "C"}
	inMile      = scaled{1, "mi", 1.609344, 0, "miles"}
	inKm        = scaled{1, "km", 1, 0, "km"}
	inMinute    = scaled{1, "min", 1, 0, "min"}
	inHour      = scaled{60, "min", 1, 0, "hours"}
	inSecond    = scaled{1.0 / 60, "min", 1, 0, "s"}
	inMph       = scaled{1, "mph", 1.609344, 0, "mph"}
	inKmh       = scaled{1, "km/h", 1, 0, "km/h"}
	inTurn      = scaled{1, "turn", 1, 0, "turns"}
	inCount     = scaled{1, "", 1, 0, ""}
)

// typed gives the ways a figure with the unit u can be read.
func typed(u unitID, q quantity, sys unit.System) []scaled {
	switch u {
	case uThou:
		return []scaled{inThou}
	case uInch:
		return []scaled{inInch}
	case uTenth:
		switch sys {
		case unit.InchUnits:
			return []scaled{inTenth}
		case unit.Metric:
			return []scaled{inTenthMM}
		}
		return []scaled{inTenth, inTenthMM}
	case uHundredth:
		return []scaled{inHundredth}
	case uMM:
		return []scaled{inMM}
	case uMicron:
		return []scaled{inMicron}
	case uMil:
		switch sys {
		case unit.InchUnits:
			return []scaled{inThou}
		case unit.Metric:
			return []scaled{inMM}
		}
		return []scaled{inThou, inMM}
	case uInLb:
		return []scaled{inInLb}
	case uFtLb:
		return []scaled{inFtLb}
	case uPound:
		if q.bare == bareTorque {
			return []scaled{inFtLb}
		}
		return []scaled{inInLb}
	case uNm:
		return []scaled{inNm}
	case uCNm:
		return []scaled{inCNm}
	case uKgfCm:
		return []scaled{inKgfCm}
	case uDegF:
		return []scaled{inDegF}
	case uDegC:
		return []scaled{inDegC}
	case uDeg:
		return bareForms(number{}, quantity{bare: bareTemp}, sys)
	case uMile:
		return []scaled{inMile}
	case uKm, uKay:
		return []scaled{inKm}
	case uMin:
		return []scaled{inMinute}
	case uHour:
		return []scaled{inHour}
	case uSecond:
		return []scaled{inSecond}
	case uMph:
		return []scaled{inMph}
	case uKmh:
		return []scaled{inKmh}
	case uTurn:
		return []scaled{inTurn}
	}
	return nil
}

// bareForms gives the ways a number without a unit can be read in a shop of
// habit sys; the first is the usual one.
func bareForms(n number, q quantity, sys unit.System) []scaled {
	inch, metric := sys == unit.InchUnits, sys == unit.Metric
	pick := func(i, m scaled) []scaled {
		switch {
		case inch:
			return []scaled{i}
		case metric:
			return []scaled{m}
		}
		return []scaled{i, m}
	}
	switch q.bare {
	case bareNone:
		return []scaled{inCount}
	case bareSmall, bareShim, bareLarge:
		var forms []scaled
		if !metric {
			switch {
			case n.padded: // 009
				forms = append(forms, inThou)
			case n.small() && n.val != 0:
				forms = append(forms, inInch)
			case q.bare == bareLarge:
				forms = append(forms, inInch)
				if n.val > 100 {
					forms = append(forms, inThou)
				}
			case n.point && q.bare == bareShim && (n.frac == 3 || n.frac == 2 && n.val < 20):
				forms = append(forms, inInch)
			default:
				forms = append(forms, inThou)
			}
		}
		if !inch {
			switch {
			case n.point || q.bare == bareLarge:
				forms = append(forms, inMM)
				if n.point && n.val >= 5 && q.bare == bareSmall {
					forms[len(forms)-1] = inHundredth // 22.5 hundredths
				}
			case n.padded:
				forms = append(forms, inHundredth)
			case q.bare == bareShim && n.val > 0 && n.val < 10:
				forms = append(forms, inMM)
			default:
				forms = append(forms, inHundredth)
			}
		}
		return forms
	case bareDrag:
		return pick(inInLb, inNm)
	case bareTorque:
		return pick(inFtLb, inNm)
	case bareTemp:
		return pick(inDegF, inDegC)
	case bareDistance:
		return pick(inMile, inKm)
	case bareSpeed:
		return pick(inMph, inKmh)
	case bareMinutes:
		return []scaled{inMinute}
	case bareTurns:
		return []scaled{inTurn}
	}
	return nil
}

// value gives the written value of a number, rounded to what its digits can say
// so that 9 thou is 0.009 and not 0.009000000000000001.
func (s scaled) value(n number) float64 { return tidy(n.val * s.factor) }

// within gives a written value in mm, N·m, °C, km, min, km/h.
func (s scaled) within(v float64) float64 { return (v + s.offset) * s.inside }

func tidy(v float64) float64 {
	r := math.Round(v*1e7) / 1e7
	if r == 0 {
		return 0
	}
	return r
}

// plausible says whether a written value can be at all for the quantity.
func (q quantity) plausible(s scaled, v float64) bool {
	x := s.within(v)
	return x >= q.low-1e-9 && x <= q.high+1e-9
}

// allows says whether a reading as written can be at all.
func (q quantity) allows(rd Reading) bool {
	for _, f := range []scaled{inInch, inMM, inInLb, inFtLb, inNm, inDegF, inDegC, inMile, inKm, inMinute, inMph, inKmh, inTurn, inCount} {
		if f.name != rd.Unit {
			continue
		}
		for _, v := range rd.Numbers() {
			if !q.holds(f, v) {
				return false
			}
		}
		return true
	}
	return false
}
