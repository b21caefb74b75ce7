package listen

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"

	"shimwright/calc/unit"
)

// finishing is what is said only at the end of a job and at its beginning, in forms
// of its own: the step of a nut, oil by volume, a drag by string and scale, a name
// under a torque, the ratio that was ordered. It is taken out of the text first, so
// that its figures are no riddle to the rest.
type finishing struct {
	readings []Reading
	signed   []SignOff
	damage   []Damaged
}

// num is a number as typed: 2, 2.5, 2,5, 1/2, 2 1/2.
const num = `(\d+(?:[.,]\d+)?(?:\s+\d/\d)?|\d/\d+|[.,]\d+)`

var (
	noStatement = regexp.MustCompile(`\?|\b(?:need|want|buy|order me|capacity|spec|holds|takes|manual|how much|how many|if i|should|would|what|going to|gonna|will|plan|quote|price|cost|per)\b`)

	scaleText = regexp.MustCompile(`\b` + num + `\s*(lbs?|lbf|pounds?|#|kgf?|kilos?|newtons?|n)\b\.?\s*(?:of pull |pull |on the (?:scale|string) )?(?:at|on|x|×|@|with)\s*(?:an? )?` + num + `\s*(in|inch|inches|"|''|mm|cm)(?:\W*(?:radius|from (?:the )?cent(?:er|re)|on the (?:string|scale|drum)|drum|bar|arm|string|out))*`)
	dragWords = regexp.MustCompile(`\b(?:drag|arrastre|rotating torque)\b`)
	backwards = regexp.MustCompile(`\b(?:back|backed|backing|loosen\w*|let it|eased|undid|off|out|counter\w*|ccw|left)\b`)

	// A stand height with a comma, which two figures in a row would otherwise be.
	heightWords = regexp.MustCompile(`\b(?:bearings?|brgs?|stands?|height|tall)\b`)
	tallComma   = regexp.MustCompile(`\b(\d{2,3}),(\d{1,3})\b`)

	packText = regexp.MustCompile(`(?:^|[,;] *)\b(?:the )?pack(?: is| at| now| of)*[ :]*` + num + `\b`)

	nutWords  = regexp.MustCompile(`\b(?:nut|tuerca)\b`)
	adjusters = regexp.MustCompile(`\b(?:adjusters?|notch(?:es)?|left|right)\b`)
	turnText  = regexp.MustCompile(`(?:\b(?:the )?(?:pinion )?nut(?: went| turned| moved| is)?\s*)?(?:\b(?:another|one more|went|gave it|turned it|turned|moved|plus|and) )*(?:an? )?(?:(\d{1,2})\s*/\s*(\d{1,2})|(half|quarter|eighth|sixteenth)|(?:about )?(\d{1,3})\s*(?:°|deg|degs|degrees))(?:\s*(?:th )?(?:of )?(?:an? )?(?:turns?|rev|revolution)\b)?(?:\s*(?:more|further|tighter|on the (?:pinion )?nut|on it|in|of nut)\b)*`)
	turnUnit  = regexp.MustCompile(`\b(?:turns?|rev|revolution)\b|°|\bdeg`)

	fillWords = regexp.MustCompile(`\b(?:oil|lube|aceite|filled|fill|poured|topped|went in|took|75w\w*|80w\w*|85w\w*|gl.?5|in it)\b`)
	oilText   = regexp.MustCompile(`\b` + num + `\s*(litres?|liters?|litros?|lts?|l|us pints?|pints?|pts?|quarts?|qts?)\b`)
	bareText  = regexp.MustCompile(`^\W*(?:about |roughly |just |exactly )?` + num + `\W*$`)

	orderText  = regexp.MustCompile(`\b(?:ordered|order was|order is|on order|ticket says|invoice says|box says|supposed to be|asked for)\W{1,3}(?:an? |the |for )*(\d[.,]\d{1,3})(?:s|:1| gears?| ratio)*\b|\b(\d[.,]\d{1,3})(?:s|:1| gears?| ratio)*\s+(?:were |was |is what (?:was|we|he|she) )?ordered\b`)
	decimals   = regexp.MustCompile(`\d[.,]\d`)
	ratioFit   = [2]float64{2, 8}
	signText   = regexp.MustCompile(`\b(?:sign(?:ed|s)?(?: off)?(?: by)?|signing(?: off)?|firma(?:do|da|n)?(?: por)?)\b[: ]*(?:the |las? |los )*([\p{L}][\p{L}'-]{1,20})?`)
	signParts  = regexp.MustCompile(`\b((?:ring gear|ring|crown ?wheel) bolts?|bearing caps?|caps?|cap bolts?|(?:pinion )?nut|(?:rear )?cover(?: bolts?)?|(?:adjuster )?locks?(?: bolts?)?|cartridge(?: bolts?)?|carrier (?:to housing )?(?:nuts?|bolts?)|housing nuts?|tornillos de (?:la )?corona|tapas?|tuerca)\b`)
	nobodyText = regexp.MustCompile(`\b(?:not|no|nobody|isnt|arent|hasnt|need|needs|who|wont|cant|unsigned)\b|\?`)

	sidesText = regexp.MustCompile(`^\W*(?:final )?(?:left|l)(?: (?:stack|side|pack|is|at))*[ :=]*` + num + `[ ,;/]*(?:and )?(?:right|r)(?: (?:stack|side|pack|is|at))*[ :=]*` + num + `\W*$`)
)

// typedNumber reads a number as typed.
func typedNumber(text string) (float64, bool) {
	text = strings.ReplaceAll(strings.TrimSpace(text), ",", ".")
	whole, part, mixed := strings.Cut(text, " ")
	if !mixed && strings.Contains(text, "/") {
		whole, part = "0", text
	}
	v, err := strconv.ParseFloat(whole, 64)
	if err != nil {
		return 0, false
	}
	if part = strings.TrimSpace(part); part != "" {
		over, under, _ := strings.Cut(part, "/")
		a, errA := strconv.ParseFloat(over, 64)
		b, errB := strconv.ParseFloat(under, 64)
		if errA != nil || errB != nil || b == 0 {
			return 0, false
		}
		v += a / b
	}
	return v, true
}

// takeFinishing takes what belongs to the ends of a job out of the text.
func takeFinishing(plain string, in Input) (string, finishing) {
	var f finishing
	if in.Sender == Customer {
		return plain, f
	}
	low := strings.ToLower(plain)
	f.damage = findDamage(low)
	if len(low) != len(plain) {
		return plain, f // a letter that changes its length with its case
	}
	plain, low = f.takeSigns(plain, low)
	if noStatement.MatchString(low) {
		return plain, f
	}
	if in.Units == unit.Metric && heightWords.MatchString(low) {
		plain = tallComma.ReplaceAllString(plain, "$1.$2")
		low = strings.ToLower(plain)
	}
	drag := in.Expect == PinionDrag || in.Expect == TotalDrag
	if m := scaleText.FindStringSubmatchIndex(low); m != nil && (drag || dragWords.MatchString(low)) {
		if said, ok := pulled(low, m, in.Expect == TotalDrag || strings.Contains(low, "total")); ok {
			plain = plain[:m[0]] + said + plain[m[1]:]
			return plain, f
		}
	}
	if in.Expect == PinionDrag && packText.MatchString(low) {
		plain = packText.ReplaceAllString(low, "preload pack $1")
		low = plain
	}
	plain, low = f.takeTurn(plain, low, in)
	plain, low = f.takeOil(plain, low, in)
	if m := orderText.FindStringSubmatchIndex(low); m != nil && len(decimals.FindAllString(low, 2)) == 1 {
		text := ""
		for _, g := range []int{2, 4} {
			if m[g] >= 0 {
				text = low[m[g]:m[g+1]]
			}
		}
		if v, ok := typedNumber(text); ok && v >= ratioFit[0] && v <= ratioFit[1] {
			f.readings = append(f.readings, Reading{What: Ratio, Value: &v, Text: low[m[0]:m[1]]})
			plain, low = cutOut(plain, low, m[0], m[1])
		}
	}
	if m := sidesText.FindStringSubmatch(low); m != nil && isStack(m[1], in.Units) && isStack(m[2], in.Units) {
		plain = "left shim " + m[1] + ", right shim " + m[2]
	}
	return plain, f
}

// isStack says whether a bare figure can only be a side stack in this shop.
func isStack(text string, units unit.System) bool {
	v, ok := typedNumber(text)
	switch {
	case !ok:
		return false
	case units == unit.InchUnits:
		return v >= 100 && v < 500 || v >= 0.1 && v < 0.5
	case units == unit.Metric:
		_, places, _ := strings.Cut(strings.ReplaceAll(text, ",", "."), ".")
		return v >= 1 && v < 13 && len(places) >= 2 // 2.1 may be anything

	}
	return false
}

// pulled says a pull on a string as the drag it is.
func pulled(low string, m []int, total bool) (string, bool) {
	force, okF := typedNumber(low[m[2]:m[3]])
	arm, okA := typedNumber(low[m[6]:m[7]])
	if !okF || !okA {
		return "", false
	}
	name := "pinion drag"
	if total {
		name = "total drag"
	}
	var newtons, inches float64
	switch u := low[m[4]:m[5]]; u[0] {
	case 'k':
		newtons = unit.Kgf(force).Newton()
	case 'n':
		newtons = force
	default:
		newtons = unit.Lbf(force).Newton()
	}
	metric := false
	switch low[m[8]:m[9]] {
	case "mm":
		inches, metric = unit.MM(arm).Inch(), true
	case "cm":
		inches, metric = unit.MM(10*arm).Inch(), true
	default:
		inches = arm
	}
	// T = F·r, by statics.
	torque := unit.NewtonMetre(newtons * unit.Inch(inches).MM() / 1000)
	if metric {
		return fmt.Sprintf(" %s %.2f nm ", name, torque.NewtonMetre()), true
	}
	return fmt.Sprintf(" %s %s in lb ", name, strconv.FormatFloat(math.Round(torque.InLbf()*10)/10, 'f', -1, 64)), true
}

func cutOut(plain, low string, a, b int) (string, string) {
	return plain[:a] + " , " + plain[b:], low[:a] + " , " + low[b:]
}

// takeTurn takes the step of the pinion nut: 1/16 turn, an eighth, 15 degrees.
func (f *finishing) takeTurn(plain, low string, in Input) (string, string) {
	if in.Expect != PinionDrag || adjusters.MatchString(low) || backwards.MatchString(low) {
		return plain, low // while the drag is brought up, and forwards
	}
	for _, m := range turnText.FindAllStringSubmatchIndex(low, -1) {
		if !turnUnit.MatchString(low[m[0]:m[1]]) && !(m[2] >= 0 && nutWords.MatchString(low[:m[1]])) {
			continue
		}
		degrees := 0.0
		switch {
		case m[2] >= 0:
			a, _ := strconv.ParseFloat(low[m[2]:m[3]], 64)
			b, _ := strconv.ParseFloat(low[m[4]:m[5]], 64)
			if b == 0 || a/b > 1 {
				continue
			}
			degrees = 360 * a / b
		case m[6] >= 0:
			degrees = map[string]float64{"half": 180, "quarter": 90, "eighth": 45, "sixteenth": 22.5}[low[m[6]:m[7]]]
		case m[8] >= 0:
			degrees, _ = strconv.ParseFloat(low[m[8]:m[9]], 64)
		}
		if degrees <= 0 || degrees > 360 {
			continue
		}
		f.readings = append(f.readings, Reading{What: NutTurn, Value: &degrees, Unit: "deg", Text: low[m[0]:m[1]]})
		plain, low = cutOut(plain, low, m[0], m[1])
		if in.Expect == PinionDrag && !dragWords.MatchString(low) && strings.ContainsAny(low, "0123456789") && !strings.Contains(low, "nut") {
			plain, low = "drag "+strings.TrimLeft(plain, " ,"), "drag "+strings.TrimLeft(low, " ,")
		}
		break
	}
	return plain, low
}

// takeOil takes the oil that went in, by volume.
func (f *finishing) takeOil(plain, low string, in Input) (string, string) {
	if in.Expect != Volume && !fillWords.MatchString(low) {
		return plain, low
	}
	if m := bareText.FindStringSubmatch(low); m != nil && in.Expect == Volume {
		if v, ok := typedNumber(m[1]); ok && v > 0 && v < 20 {
			name := "l"
			if in.Units == unit.InchUnits {
				name = "pt"
			}
			f.readings = append(f.readings, Reading{What: Volume, Value: &v, Unit: name, Text: low})
			return "", ""
		}
	}
	m := oilText.FindStringSubmatchIndex(low)
	if m == nil {
		return plain, low
	}
	v, ok := typedNumber(low[m[2]:m[3]])
	if !ok || v <= 0 || v > 20 {
		return plain, low
	}
	name := low[m[4]:m[5]]
	switch {
	case name[0] == 'l':
		name = "l"
	case name[0] == 'q':
		name = "qt"
	default:
		name = "pt"
	}
	f.readings = append(f.readings, Reading{What: Volume, Value: &v, Unit: name, Text: low[m[0]:m[1]]})
	return cutOut(plain, low, m[0], m[1])
}

// takeSigns takes the names under torques: "caps signed mo", "cover bolts signed off".
func (f *finishing) takeSigns(plain, low string) (string, string) {
	m := signText.FindStringSubmatchIndex(low)
	if m == nil || nobodyText.MatchString(low) {
		return plain, low
	}
	parts := signParts.FindAllStringIndex(low, -1)
	if len(parts) == 0 {
		return plain, low
	}
	name := ""
	if m[2] >= 0 {
		name = low[m[2]:m[3]]
	}
	if signParts.MatchString(name) || notNames[name] {
		name = ""
	}
	for _, p := range parts {
		if p[0] < m[0] || p[0] >= m[1]-len(low[m[0]:m[1]]) {
			f.signed = append(f.signed, SignOff{Part: low[p[0]:p[1]], By: name})
		}
	}
	end := m[1]
	if name == "" && m[2] >= 0 {
		end = m[2]
	}
	return cutOut(plain, low, m[0], end)
}

// notNames are words behind "signed" that are nobody's name.
var notNames = wordSet("off by me myself the and all too now today already please in on at it them both here for yo mi ring cap caps cover nut pinion lock locks carrier cartridge bearing")

// attach adds what was taken out to what the rest was understood to say.
func (f finishing) attach(u Utterance) Utterance {
	if u.Reckoning != nil {
		return u
	}
	u.Damage = f.damage
	u.Signed = f.signed
	if len(f.readings) == 0 {
		return u
	}
	u.Readings = append(append([]Reading{}, f.readings...), u.Readings...)
	if u.Kind == Ignore {
		u.Kind, u.Note = Read, "read"
	}
	return u
}
