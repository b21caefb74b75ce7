package listen

// unitID is a unit as typed.
type unitID uint8

const (
	noUnit unitID = iota
	uThou
	uInch
	uTenth // of a thou in an inch shop, of a millimetre in a metric one
	uHundredth
	uMM
	uMicron
	uMil // a thou in an inch shop, a millimetre in a metric one
	uInLb
	uFtLb
	uPound // which of the two is not said
	uNm
	uCNm
	uKgfCm
	uDegF
	uDegC
	uDeg
	uMile
	uKm
	uKay // "20k": kilometres, where a distance is meant
	uMin
	uHour
	uSecond
	uMph
	uKmh
	uTurn
	uNotch
	uOther // litres, tons, psi: nothing the job log holds
)

// dim is what a unit measures.
type dim uint8

const (
	dimNone dim = iota
	dimLength
	dimTorque
	dimTemp
	dimDistance
	dimTime
	dimSpeed
	dimTurn
	dimOther
	dimCount
)

func (u unitID) dim() dim {
	switch u {
	case uThou, uInch, uTenth, uHundredth, uMM, uMicron, uMil:
		return dimLength
	case uInLb, uFtLb, uPound, uNm, uCNm, uKgfCm:
		return dimTorque
	case uDegF, uDegC, uDeg:
		return dimTemp
	case uMile, uKm, uKay:
		return dimDistance
	case uMin, uHour, uSecond:
		return dimTime
	case uMph, uKmh:
		return dimSpeed
	case uTurn, uNotch:
		return dimTurn
	case uOther:
		return dimOther
	}
	return dimNone
}

// unitWords are the spellings of each unit. Hyphens and dots inside are left out.
var unitWords = map[unitID][]string{
	uThou:      {"thou", "thousandths", "thousand", "thousands", "milesimas", "milesima", "thousandths inch", "thousandth inch", "mils", "thow"},
	uInch:      {"in", "inch", "inches", "\"", "''", "pulgadas", "pulgada", "ins"},
	uTenth:     {"tenths", "tenth"},
	uHundredth: {"hundredths", "hundredth", "hundreths", "hundreth", "hundredths mm", "hundredths of a mm", "hundredths of a millimetre", "hundredths of a millimeter", "hundredths of mm", "centesimas", "hundredths of a mil", "hundo", "hundos", "hths"},
	uMM:        {"mm", "millimetre", "millimetres", "millimeter", "millimeters", "m m", "milimetros", "milimetro", "mms"},
	uMicron:    {"micron", "microns", "um", "µm", "micrometre", "micrometres", "micrometers"},
	uMil:       {"mil", "mills"},
	uInLb: {
		"in lb", "in lbs", "in lbf", "inlb", "inlbs", "inlbf", "inch lb", "inch lbs", "inch pounds", "inch pound", "lb in", "lbs in", "lbf in", "lbf inch", "lb inch", "pound inch", "pound inches", "pounds inch", "inchpounds", "inch pounders",
		"in # ", "inch #", "in #", "ip", "in pounds", "in pound", "inlbs of", "lb inches", "lbs inches", "\" lbs", "\" lb", "\" #", "inch lbf", "inch p", "in p", "in / lb", "in / lbs", "in x lb", "in x lbs", "libras pulgada", "inpounds", "inchlbs", "inchlb", "i lb", "i lbs", "\"lb", "\"lbs", "in / lbf", "inches pounds", "lbin", "inch / lbs", "inch / lb", "lb / in", "lbs / in", "pulgada libras", "inch pnds",
	},
	uFtLb: {
		"ft lb", "ft lbs", "ft lbf", "ftlb", "ftlbs", "ftlbf", "foot lb", "foot lbs", "foot pounds", "foot pound", "lb ft", "lbs ft", "lbf ft", "lb foot", "pound foot", "pound feet", "pounds feet", "footpounds", "feet pounds", "lbft", "lbsft", "ft / lb", "ft / lbs", "ft #", "foot #", "fp", "ft pounds", "ft pound", "foot lbf", "pounds foot", "f lb", "f lbs", "foot / lbs", "lb / ft", "lbs / ft", "lb feet", "lbs feet", "libras pie", "' lbs", "' lb", "ftlbs of",
	},
	uPound:  {"lb", "lbs", "pound", "pounds", "lbf", "#", "libras"},
	uNm:     {"nm", "n m", "newton metres", "newton metre", "newton meters", "newton meter", "newtonmetres", "newtonmeters", "newton m", "nms", "newtons", "newton", "n metres", "n meters", "newton meteres", "n mtr", "nmtr", "n / m", "nm of"},
	uCNm:    {"cnm", "c nm", "cn m", "ncm", "n cm", "centinewton metres", "centinewton meters"},
	uKgfCm:  {"kgf cm", "kg cm", "kgfcm", "kgcm", "kgf / cm", "kg / cm", "kilogram centimetres", "kilogram centimeters", "kilo centimetres", "kilo centimeters", "kgf x cm", "kg x cm", "kilogram force centimetres", "kilogram force centimeters", "cm kg", "cm kgf", "kilogramforce centimeters", "cmkg"},
	uDegF:   {"f", "°f", "° f", "deg f", "degf", "degrees f", "fahrenheit", "degrees fahrenheit", "farenheit", "degrees farenheit", "deg fahrenheit", "degree f", "grados f", "° fahrenheit", "freedom units", "freedom degrees"},
	uDegC:   {"c", "°c", "° c", "deg c", "degc", "degrees c", "celsius", "degrees celsius", "centigrade", "degrees centigrade", "celcius", "degrees celcius", "degree c", "grados c", "° celsius", "deg celsius", "grados centigrados"},
	uDeg:    {"°", "deg", "degs", "degrees", "degree", "grados"},
	uMile:   {"mi", "mile", "miles", "millas", "mls"},
	uKm:     {"km", "kms", "kilometre", "kilometres", "kilometer", "kilometers", "kays", "klicks", "klick", "kilometros"},
	uKay:    {"k", "ks", "kay"},
	uMin:    {"min", "mins", "minute", "minutes", "minutos"},
	uHour:   {"hr", "hrs", "hour", "hours", "h", "horas", "hora"},
	uSecond: {"sec", "secs", "seconds"},
	uMph:    {"mph", "miles an hour", "miles per hour", "mi / h", "mile an hour", "mile per hour", "mphs"},
	uKmh:    {"kmh", "km / h", "km h", "kph", "km / hr", "kms / h", "kilometres an hour", "kilometers an hour", "kilometres per hour", "kilometers per hour", "kays an hour", "km per hour", "kms an hour", "k an hour", "ks an hour", "klicks an hour", "clicks an hour", "km an hour", "kmph", "k / h"},
	uTurn:   {"turn", "turns", "vueltas", "vuelta", "revolution", "revolutions", "full turns", "full turn", "rotations", "rotation"},
	uNotch:  {"notch", "notches", "hole", "holes", "click", "clicks", "slot", "slots", "castle", "castles", "lug", "lugs", "nub", "nubs", "castellation", "castellations", "muescas", "muesca", "ntch", "peg holes", "pin holes", "adjuster holes", "adjuster teeth"},
	uOther: {
		"l", "litre", "litres", "liter", "liters", "qt", "qts", "quart", "quarts", "pint", "pints", "pts", "oz", "ounce", "ounces", "ml", "gal", "gallon", "gallons", "kg", "kgs", "kilo", "kilos", "g", "gram", "grams", "psi", "bar", "kpa",
		"ton", "tons", "tonne", "tonnes", "hp", "rpm", "volts", "v", "amps", "amp", "watts", "w", "%", "percent", "years", "year", "yrs", "yr", "days", "day", "weeks", "week", "wks", "months", "month", "hundred", "grand", "bucks", "dollars", "dollar", "quid", "euro", "euros", "usd", "aud", "gbp", "cents", "pesos", "pence",
		"spline", "splines", "speed", "cyl", "cylinder", "gb", "mb", "cc", "db", "hz", "ft", "feet", "foot", "cm", "m", "metres", "meters", "metre", "meter", "yards", "yd", "lumens", "degrees of", "cst", "weight", "wt", "grit", "gauge", "awg",
	},
}

// unitTable is the unit of a single word; unitPhrases finds the longest.
var (
	unitTable = func() map[string]unitID {
		m := make(map[string]unitID)
		for id, words := range unitWords {
			for _, w := range words {
				m[w] = id
			}
		}
		return m
	}()
	unitPhrases = newPhraseTable(func(add func(string, unitID)) {
		for id, words := range unitWords {
			for _, w := range words {
				add(w, id)
			}
		}
	})
)
