package listen

import (
	"regexp"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"shimwright/calc/unit"
)

// lotKind of a lot.
type lotKind uint8

const (
	wordLot lotKind = iota
	numberLot
	threadLot
	gradeLot
	tyreLot
	oilLot
	markLot
)

// lot is a word, a number with its unit, or a thread, grade, tyre or oil as one.
type lot struct {
	kind   lotKind
	text   string
	value  float64
	unit   string
	whole  bool // a whole number
	plural bool // "31s", "4.10s"
	num    int  // of a fraction or pair as typed: 11/41
	den    int
	at     int // place among the lots
}

// note is a message cut for the questions that want something worked out. It is
// read from the message itself, before its spelling is mended towards the words of
// the job.
type note struct {
	lots   []lot
	units  unit.System
	asking bool // a question by its mood
	mark   bool // has a question mark
}

// reckonGate are stems one of which is in every message that can be such a
// question. Most messages are told by it in one pass.
var reckonGate = []string{
	"torq", "tq", "grade", "gr ", "gr5", "gr8", "class", "clamp", "proof", "lub", "oil", "dry", "ext", "crow", "adapt", "dog", "string", "cord", "rope", "scale", "pull",
	"carrier", "side", "drag", "preload", "pack", "sleeve", "crush", "nut", "hot", "heat", "oven", "bake", "cold", "chill", "freez", "ice", "nitrogen", "grow", "expan", "bigger",
	"temp", "clr", "cool", "touch", "hand", "how long", "when can", "rpm", "rev", "tach", "speed", "mph", "km", "kph", "fast", "tire", "tyre", "tall", "height", "diam", "ratio", "gear", "hunt", "timing", "teeth", "tooth",
	"shaft", "wheel", "convert", " in ", " to ", "=", " is ", "how many", "whats", "what's", "into", "w9", "w-", "w1", "soft", "temper", "bearing", "unf", "unc", "fine", "coarse",
	"mile", "turn", "claw", "marks", "par", "tornillo", "horno", "corona", "llanta", "neumatic", "veloc", "relacion", "cuant", "cuerda", "diente", "r14", "r15", "r16", "r17", "r18", "r20", "alarg", "llave", "pata", "enfri", "tocar", "m8", "m10", "m12", "m14", "m16", "split", "notch", "fit", "clear", "slip", "drop on", "regear", "swap", "going from", "went from", "effective", "nm", "lb", "tight",
}

// takeNote cuts a message; nil where it can be no such question.
func takeNote(plain string, in Input, asking bool) *note {
	if len(plain) > 400 || !slices.ContainsFunc(reckonGate, func(g string) bool { return strings.Contains(plain, g) }) {
		return nil
	}
	n := &note{units: in.Units, asking: asking, mark: strings.Contains(plain, "?")}
	n.cut(respell(plain))
	n.join()
	for i := range n.lots {
		n.lots[i].at = i
	}
	return n
}

// respell puts digits for numbers in words, so that "two inch" is 2 inch and "seven
// sixteenths" 7/16.
func respell(plain string) string {
	var b strings.Builder
	at := 0
	for _, t := range spellOut(scan(plain)) {
		if t.kind != numeral || !strings.ContainsFunc(t.text, unicode.IsLetter) || t.a < at || t.b > len(plain) {
			continue
		}
		b.WriteString(plain[at:t.a])
		b.WriteString(strconv.FormatFloat(t.num.val, 'f', -1, 64))
		at = t.b
	}
	b.WriteString(plain[at:])
	out := fractionWords.ReplaceAllStringFunc(b.String(), func(s string) string {
		m := fractionWords.FindStringSubmatch(s)
		return m[1] + "/" + map[string]string{"s": "16", "e": "8", "q": "4", "h": "2"}[m[2][:1]]
	})
	return tyreWords.ReplaceAllStringFunc(out, func(s string) string {
		m := tyreWords.FindStringSubmatch(s)
		return m[1] + strconv.Itoa(manyWords[m[2]]) + "s"
	})
}

var (
	fractionWords = regexp.MustCompile(`\b(\d{1,2}) (sixteenths?|eighths?|quarters?|halfs?|halves)\b`)
	tyreWords     = regexp.MustCompile(`\b([234])0 (ones|twos|threes|fours|fives|sixes|sevens|eights|nines)\b`)
)

// manyWords are the tyres of a height in words: "thirty threes".
var manyWords = map[string]int{"ones": 1, "twos": 2, "threes": 3, "fours": 4, "fives": 5, "sixes": 6, "sevens": 7, "eights": 8, "nines": 9}

var lotForms = regexp.MustCompile(strings.Join([]string{
	`(?P<tyre>\b(?:p|lt)?\d{3} ?/ ?\d{2} ?(?:/|-|,)? ?z?r? ?-?\d{2}(?:\.5)?(?:lt|s)?\b|\b(?:p|lt)?\d{3} ?[-/ ] ?\d{2} ?z?r ?\d{2}(?:\.5)?s?\b|\b\d{3} \d{2} \d{2}\b|\b\d{2}(?:\.\d+)? ?x ?\d{1,2}(?:\.\d+)? ?(?:-|x|/| )? ?r? ?\d{2}s?\b)`,
	`(?P<thread>\b(?:\d[- ])?\d{1,2}/(?:2|4|8|16)(?:"| inch| in)? ?(?:(?:-|x|by| )? ?(?:unf|unc|nf|nc|fine|coarse)\b|(?:-|x|by) ?\d{1,2}\b| (?:8|9|1\d|2\d)\b)|\bm ?(?:5|6|7|8|10|12|14|16|18|20|22|24|27|30|33|36)(?: ?(?:x|by|-|\*|/) ?\d(?:[.,]\d+)?| fine| coarse)?\b)`,
	`(?P<grade>\b(?:grade|grd|gr|class|gd|property class) ?\.?-? ?\d{1,2}(?:\.\d)?\b|\b(?:8\.8|9\.8|10\.9|12\.9)s?\b)`,
	`(?P<oil>\b(?:sae ?)?\d{2} ?w ?-? ?\d{2,3}\b|\b(?:70|75|80|85)w\b|\bsae ?\d{2,3}\b)`,
	`(?P<pair>\b\d{1,2} ?(?:/|:|-) ?\d{1,2}\b)`,
	`(?P<number>\b\d{1,2},\d{3}\b|\d+[.,]\d+|\d+|\.\d+)`,
	`(?P<word>[a-z°µ]+(?:'[a-z]+)?)`,
	`(?P<mark>\n|[^\s])`,
}, "|"))

// cut finds the lots.
func (n *note) cut(plain string) {
	names := lotForms.SubexpNames()
	end := -1
	for _, m := range lotForms.FindAllStringSubmatchIndex(plain, -1) {
		text := plain[m[0]:m[1]]
		glued := m[0] == end
		end = m[1]
		kind := ""
		for g := 1; g < len(names); g++ {
			if m[2*g] >= 0 {
				kind = names[g]
				break
			}
		}
		n.add(kind, text, glued)
	}
}

func (n *note) add(kind, text string, glued bool) {
	switch kind {
	case "tyre":
		n.lots = append(n.lots, lot{kind: tyreLot, text: strings.TrimSuffix(text, "s")})
	case "thread":
		n.lots = append(n.lots, lot{kind: threadLot, text: text})
	case "grade":
		v, _ := strconv.ParseFloat(strings.TrimRight(strings.TrimLeft(text, "abcdefghijklmnopqrstuvwxyz. -"), "s"), 64) // the pattern has a number
		n.lots = append(n.lots, lot{kind: gradeLot, text: strconv.FormatFloat(v, 'f', -1, 64), value: v})
	case "oil":
		n.lots = append(n.lots, lot{kind: oilLot, text: strings.ReplaceAll(text, " ", "")})
	case "pair":
		f := strings.FieldsFunc(text, func(r rune) bool { return r == '/' || r == ':' || r == '-' || r == ' ' })
		a, _ := strconv.Atoi(f[0]) // the pattern has digits
		b, _ := strconv.Atoi(f[1])
		l := lot{kind: numberLot, text: text, num: a, den: b}
		if b != 0 {
			l.value = float64(a) / float64(b)
		}
		// "1 1/2" and "1-1/2"
		if k := len(n.lots) - 1; k >= 0 && a < b && n.lots[k].kind == numberLot && n.lots[k].whole && n.lots[k].unit == "" && n.lots[k].value < 40 {
			n.lots[k].value += l.value
			n.lots[k].whole = false
			return
		}
		n.lots = append(n.lots, l)
	case "number":
		plain := text
		if i := strings.IndexByte(text, ','); i >= 0 {
			if len(text)-i == 4 {
				plain = text[:i] + text[i+1:]
			} else {
				plain = text[:i] + "." + text[i+1:]
			}
		}
		v, err := strconv.ParseFloat(plain, 64)
		if err != nil || v > 1e9 {
			v = 1e9
		}
		n.lots = append(n.lots, lot{kind: numberLot, text: text, value: v, whole: !strings.Contains(plain, ".")})
	case "word":
		if k := len(n.lots) - 1; k >= 0 && n.lots[k].kind == numberLot && (text == "s" && glued || text == "'s") {
			n.lots[k].plural = true
			return
		}
		n.lots = append(n.lots, lot{kind: wordLot, text: text})
	default:
		if text == "'" && len(n.lots) > 0 && n.lots[len(n.lots)-1].kind == numberLot {
			return // "31's" comes as 31 ' s
		}
		n.lots = append(n.lots, lot{kind: markLot, text: text})
	}
}

// reckonUnits are units by how they are written, run together.
var reckonUnits = func() map[string]string {
	m := map[string]string{}
	for name, words := range map[string]string{
		"in·lbf":    `inlb inlbs inlbf inlbsf inchpound inchpounds inchlb inchlbs inpound inpounds lbin lbsin lbfin poundinch poundinches lbinch lbsinch inpds inchpnds libraspulgada librapulgada libraspulgadas`,
		"ft·lbf":    `ftlb ftlbs ftlbf ftlbsf footpound footpounds footlb footlbs ftpound ftpounds lbft lbsft lbfft poundfoot poundfeet lbfoot ftpds flb libraspie librapie libraspies`,
		"N·m":       `nm newtonmeter newtonmeters newtonmetre newtonmetres newtonm nms mn`,
		"kgf·cm":    `kgcm kgfcm`,
		"lbf":       `lb lbs lbf pound pounds libras libra #`,
		"N":         `n newton newtons`,
		"kgf":       `kg kgs kgf kilo kilos kilogram kilograms`,
		"thou":      `thou thous thousandth thousandths tho thousand mil mils thow milesima milesimas`,
		"hundredth": `hundredth hundredths`,
		"in":        `in inch inches ins " inchs pulgada pulgadas`,
		"mm":        `mm millimeter millimeters millimetre millimetres milimetro milimetros`,
		"cm":        `cm centimeter centimeters centimetre centimetres`,
		"ft":        `ft foot feet`,
		"degF":      `f degf degreesf degreef °f fahrenheit degreesfahrenheit degfahrenheit farenheit fahrenheight`,
		"degC":      `c degc degreesc degreec °c celsius celcius centigrade degreescelsius`,
		"deg":       `deg degs degree degrees ° degress grado grados`,
		"mph":       `mph milesanhour milesperhour`,
		"km/h":      `kmh kph kmph km/h kmhr kilometersanhour kilometresanhour kmsperhour`,
		"rpm":       `rpm rpms`,
		"tooth":     `teeth tooth t`,
		"min":       `min mins minute minutes`,
		"qt":        `qt qts quart quarts`,
		"pt":        `pt pts pint pints`,
		"L":         `l litre litres liter liters ltr ltrs`,
		"mL":        `ml`,
		"turn":      `turn turns`,
		"notch":     `notch notches`,
	} {
		for _, w := range strings.Fields(words) {
			m[w] = name
		}
	}
	return m
}()

// join puts units to the numbers before them: up to four lots run together, with
// the signs between left out.
func (n *note) join() {
	out := n.lots[:0:0]
	for i := 0; i < len(n.lots); i++ {
		l := n.lots[i]
		if l.kind == numberLot && !l.plural {
			if unit, used := n.unitAt(i + 1); used > 0 {
				l.unit = unit
				i += used
			}
		}
		out = append(out, l)
	}
	n.lots = out
}

func (n *note) unitAt(i int) (name string, used int) {
	run := ""
	for k := i; k < len(n.lots) && k < i+5; k++ {
		l := n.lots[k]
		if l.text == "in" && n.place(k+1) {
			break
		}
		if l.kind == markLot && strings.Contains("-·.*", l.text) && k+1 < len(n.lots) {
			continue
		}
		if l.kind != wordLot && !(l.kind == markLot && strings.Contains(`"#/°`, l.text)) {
			break
		}
		run += l.text
		u, ok := reckonUnits[strings.TrimSuffix(run, "'s")]
		if ok && !(run == "t" && k > i) {
			name, used = u, k-i+1
		}
	}
	return name, used
}

// place says whether "in" before lot k is no inch: "60 in nm", "9 in the left".
func (n *note) place(k int) bool {
	if k >= len(n.lots) || n.lots[k].kind != wordLot {
		return false
	}
	switch w := n.lots[k].text; w {
	case "the", "an", "my", "this", "that", "metric", "english", "it", "there", "here", "third", "fourth", "top", "fifth", "first", "second", "overdrive", "od", "money":
		return true
	case "lb", "lbs", "lbf", "pound", "pounds", "pnds", "pds":
		return false // inch pounds
	case "foot", "ft", "inch":
		return k+1 < len(n.lots) && n.lots[k+1].kind == wordLot
	default:
		return reckonUnits[w] != "" && w != "t"
	}
}
