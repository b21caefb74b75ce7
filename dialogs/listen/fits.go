package listen

import (
	"math"
	"regexp"
	"slices"
	"strings"

	"shimwright/calc/unit"
)

// Fit is what a message says of one part that is warmed or chilled to go on. Like
// Road it is read beside Parse, where such parts are at hand: there a plain 190 is a
// temperature, and "ring is on" is the ring on its carrier.
type Fit struct {
	Piece  string `json:"piece,omitempty"`  // ring, bearing, head_bearing, side_bearing, pinion, carrier; empty where not said
	By     string `json:"by,omitempty"`     // oven, heater, plate, lamp, bath, gun, torch, heat; freezer, dry_ice, nitrogen, cold
	On     string `json:"on,omitempty"`     // on, and how where said: dropped, drawn, pressed, struck
	Cooled bool   `json:"cooled,omitempty"` // it is cold again

	Temperature  *Reading `json:"temperature,omitempty"`  // Part oven where it is what the oven is set to
	Interference *Reading `json:"interference,omitempty"` // how tight it is, cold
	Diameter     *Reading `json:"diameter,omitempty"`     // of the fit
}

// Chilling says whether the part is made cold, not warm.
func (f Fit) Chilling() bool {
	return Chills(f.By) || f.By == "" && f.Temperature != nil && celsiusOf(*f.Temperature) < 5
}

// Chills says whether a way of Fit.By makes a part cold.
func Chills(by string) bool {
	switch by {
	case "freezer", "dry_ice", "nitrogen", "cold":
		return true
	}
	return false
}

// Numbers lists the figures taken.
func (f Fit) Numbers() []float64 {
	var out []float64
	for _, r := range []*Reading{f.Temperature, f.Interference, f.Diameter} {
		if r != nil {
			out = append(out, r.Numbers()...)
		}
	}
	return out
}

func celsiusOf(r Reading) float64 {
	if r.Unit == "degF" {
		return unit.Fahrenheit(*r.Value).Celsius()
	}
	return *r.Value
}

var (
	fitClauses = regexp.MustCompile(`[,;.]\s+|\n|\s+(?:and|then|y|luego|while|mientras)\s+`)
	fitUnsaid  = regexp.MustCompile(`\?|\b(?:ll|will|gonna|going to|should|would|could|can|may|want|wants|need|needs|plan|later|tomorrow|if|when|once|until|till|before|dont|not|never|how|what|why|isnt|wont|havent|hasnt|voy a|vamos a|si|cuando|antes|hasta|no|debo|puedo|quiero|mañana|cuánto|cuanto)\b|n't\b|'ll\b`)
	fitBolts   = regexp.MustCompile(`\b(?:bolts?|tornillos|caps?|tapas|nut|tuerca|lash|backlash|juego|drag|arrastre|pattern|compound|shim|runout|drive|coast|teeth|tooth|seal|ft|nm|lb|lbs|ftlb|inlb)\b`)

	fitRing    = regexp.MustCompile(`\b(?:ring|ring gear|crown ?wheel|crown|corona)\b`)
	fitSide    = regexp.MustCompile(`\b(?:side|carrier|lateral(?:es)?|diff(?:erential)?) (?:bearings?|brgs?|cones?)\b|\brodamientos? (?:laterales|lateral|del (?:carrier|portacoronas?|diferencial))\b`)
	fitHead    = regexp.MustCompile(`\b(?:head|pinion|inner|big|rear|cabeza|piñ[oó]n) (?:bearing|brg|cone|race)\b|\brodamiento (?:de cabeza|del piñ[oó]n|grande)\b`)
	fitBearing = regexp.MustCompile(`\b(?:bearings?|brgs?|cones?|race|races|rodamientos?|cojinetes?|baleros?)\b`)
	fitPinion  = regexp.MustCompile(`\b(?:pinion|pinions|pin|piñ[oó]n|pinon)\b`)
	fitCarrier = regexp.MustCompile(`\b(?:carrier|case|diff|portacoronas?|caja)\b`)
	fitOn      = regexp.MustCompile(`\b(?:is|'s|s|went|goes|it's|its|dropped|drop|fell|slid|slipped|popped|got it|got the ring|put the ring|put it|now|all the way|right|seated|home|knocked|tapped|beat|hammered|drove|pressed|pulled|drew|bolted|just) +(?:the ring |the bearing |it |right |straight |all the way |fully |easy |home )*(?:on|down|home)\b|\b(?:on|down|home) (?:easy|by itself|on its own|by its own weight)|\b(?:dropped|fell|slid|slipped) (?:right |straight )?(?:on|in|over|into place|in place)\b|\b(?:entr[oó]|cay[oó]|baj[oó]|asent[oó])\b|\best[aá] (?:puest[ao]|montad[ao]|en su sitio|asentad[ao])\b|\bpuest[ao]\b`)
	fitCooled  = regexp.MustCompile(`\b(?:has cooled|is cold|cold now|cooled down|cooled off|is cool|cool now|hand ?warm|cool to touch|can touch it|room temp(?:erature)?|stone cold|se enfri[oó]|ya est[aá] fr[ií][ao]|est[aá] fr[ií][ao]|fr[ií]a ya)\b`)
	fitSetting = regexp.MustCompile(`\b(?:oven|horno|hot ?plate|placa|heater|calentador)\b(?:'s| is| est[aá]| set| at| a| on| to| puesto| puse)*\s*$|\b(?:oven|horno|heater|calentador)\b.*\b(?:set|puesto|ajustado|cranked|turned)\b`)
)

var (
	fitInto  = regexp.MustCompile(`\b(?:knock(?:ed)?|tap(?:ped)?|beat|hammer(?:ed)?|drove|whacked|dropped|press(?:ed)?|pull(?:ed)?|drew|slid) (?:the |my )?(?:\w+ ){1,3}(?:on|down|home|in|into place|in place)\b|\b(?:met[ií]|puse|baj[eé]|clav[eé]) (?:la |el )?(?:corona|rodamiento)\b`)
	fitWhere = regexp.MustCompile(`\bon (?:the|my|a|an|its) (\w+)`)
)

// laidAside says whether the part is on something it does not belong on: the bench,
// the press, the scale.
func laidAside(clause string) bool {
	if strings.Contains(clause, "on order") || strings.Contains(clause, "back order") {
		return true
	}
	m := fitWhere.FindStringSubmatch(clause)
	if m == nil {
		return false
	}
	switch m[1] {
	case "carrier", "case", "pinion", "journal", "pilot", "shaft", "head", "stem", "flange", "shoulder", "seat":
		return false
	}
	return true
}

// fitMeans are the ways to warm or to chill a part, the telling ones first.
var fitMeans = []struct {
	by    string
	words *regexp.Regexp
}{
	{"torch", regexp.MustCompile(`\b(?:torch|torched|blow ?torch|flame|propane|oxy\w*|soplete|llama|antorcha)\b`)},
	{"nitrogen", regexp.MustCompile(`\b(?:nitrogen|nitro|ln2|n2|nitr[oó]geno)\b`)},
	{"dry_ice", regexp.MustCompile(`\b(?:dry ?ice|hielo seco|ice)\b`)},
	{"freezer", regexp.MustCompile(`\b(?:freezer|deep freeze|fridge|frezer|freezr|congelador|nevera|heladera|freeser)\b`)},
	{"bath", regexp.MustCompile(`\b(?:oil bath|hot oil|baño de aceite|fryer)\b`)},
	{"oven", regexp.MustCompile(`\b(?:oven|ovn|baked|baking|horno|toaster)\b`)},
	{"heater", regexp.MustCompile(`\b(?:heater|induction|inductor|cone heater|calentador|inducci[oó]n)\b`)},
	{"plate", regexp.MustCompile(`\b(?:hot ?plate|stove|placa|plancha|hornilla)\b`)},
	{"lamp", regexp.MustCompile(`\b(?:heat lamp|lamp|l[aá]mpara)\b`)},
	{"gun", regexp.MustCompile(`\b(?:heat ?gun|pistola de calor)\b`)},
	{"cold", regexp.MustCompile(`\b(?:froze|frozen|freezing|chilled|chilling|cooled it|helad[ao]|congelad[ao]|enfriando)\b`)},
	{"heat", regexp.MustCompile(`\b(?:heated|heating|warmed|warming|heat soaked|calent[eé]|calentamos|calentad[ao]|calentando|caliente|hot)\b`)},
}

// fitHows are the ways a part went on.
var fitHows = []struct {
	how   string
	words *regexp.Regexp
}{
	{"struck", regexp.MustCompile(`\b(?:knock\w*|hammer\w*|beat|beating|tapp?ed|tap|mallet|drift|whack\w*|martillo|martillazos|golpes?|golpeando|mazo)\b`)},
	{"pressed", regexp.MustCompile(`\b(?:press|pressed|prensa|prens[eé]|prensad[ao])\b`)},
	{"drawn", regexp.MustCompile(`\b(?:drew|drawn|draw|pulled|pulling|with (?:the |its )?bolts|bolts|con (?:los |sus )?tornillos)\b`)},
	{"dropped", regexp.MustCompile(`\b(?:drop\w*|fell|falls|slid|slipped|popped|itself|its own|own weight|easy|sol[ao]|cay[oó])\b`)},
}

// ReadFits reads what a message says of parts that are warmed or chilled. Nothing
// comes back where it asks, plans or speaks of something else. expect is the part
// that is at hand where none is named; warming says that it is being warmed, so that
// "it's at 210 now" is its temperature.
func ReadFits(in Input, expect string, warming bool) []Fit {
	if in.Sender == Customer {
		return nil
	}
	plain, _, _ := normalise(in.Text)
	plain = strings.ToLower(plain)
	if len(plain) > 300 || fitUnsaid.MatchString(plain) {
		return nil
	}
	var out []Fit
	for _, part := range fitClauses.Split(plain, -1) {
		hot := len(out) > 0 && out[len(out)-1].By != "" && out[len(out)-1].Temperature == nil
		f, ok := readFit(part, in.Units, expect, hot, warming)
		if !ok {
			continue
		}
		if k := len(out) - 1; k >= 0 && out[k].takes(f) {
			continue
		}
		out = append(out, f)
	}
	return slices.DeleteFunc(out, func(f Fit) bool { return f.empty() })
}

// empty says whether nothing was told of the part.
func (f Fit) empty() bool {
	return f.By == "" && f.On == "" && !f.Cooled && len(f.Numbers()) == 0
}

// takes joins what a later clause tells of the same part: "bearing on the heater,
// 240", "ring is on, dropped on by itself".
func (f *Fit) takes(next Fit) bool {
	if next.Piece != "" && f.Piece != "" && next.Piece != f.Piece || next.By != "" && f.By != "" && next.By != f.By {
		return false
	}
	if next.Temperature != nil && f.Temperature != nil || next.Interference != nil && f.Interference != nil {
		return false
	}
	if f.Piece == "" {
		f.Piece = next.Piece
	}
	if f.By == "" {
		f.By = next.By
	}
	if next.On != "" && (f.On == "" || f.On == "on") {
		f.On = next.On
	}
	f.Cooled = f.Cooled || next.Cooled
	for _, r := range []struct{ mine, its **Reading }{{&f.Temperature, &next.Temperature}, {&f.Interference, &next.Interference}, {&f.Diameter, &next.Diameter}} {
		if *r.mine == nil {
			*r.mine = *r.its
		}
	}
	return true
}

// readFit reads one clause; ok is false where it is of something else. hot says that
// the clause before it was of a part that is being warmed or chilled.
func readFit(clause string, units unit.System, expect string, hot, warming bool) (Fit, bool) {
	f := Fit{Piece: fitPiece(clause)}
	for _, m := range fitMeans {
		if m.words.MatchString(clause) {
			f.By = m.by
			break
		}
	}
	heated := f.By != "" || f.Piece != ""
	n := &note{units: units}
	n.cut(respell(clause))
	n.join()
	for i := range n.lots {
		n.lots[i].at = i
	}
	f.tight(n, clause)
	if len(f.Numbers()) == 0 && (heated || hot && fewWords(n) || expect != "" && fewWords(n) && named(n) || warming && plainlyWarm(n)) {
		f.temperature(n, clause, hot)
	}
	if f.By == "" || f.By == "heat" {
		if (fitOn.MatchString(clause) && !laidAside(clause) || fitInto.MatchString(clause)) && (f.Piece != "" || expect != "") {
			f.On = "on"
			for _, h := range fitHows {
				if h.words.MatchString(clause) {
					f.On = h.how
					break
				}
			}
		}
		if fitCooled.MatchString(clause) {
			f.Cooled, f.By, f.On = true, "", ""
		}
	}
	if f.By == "heat" && f.On == "" && f.Temperature == nil && !hotNow.MatchString(clause) && !strings.Contains(clause, "heat") && !strings.Contains(clause, "warm") && !strings.Contains(clause, "calent") {
		f.By = "" // "the ring is hot" tells nothing new
	}
	if fitBolts.MatchString(clause) && f.On != "drawn" && f.On != "struck" && f.Interference == nil {
		return Fit{}, false
	}
	return f, f.Piece != "" || !f.empty()
}

func fitPiece(clause string) string {
	switch {
	case fitSide.MatchString(clause):
		return "side_bearing"
	case fitHead.MatchString(clause):
		return "head_bearing"
	case fitBearing.MatchString(clause):
		return "bearing"
	case fitRing.MatchString(clause):
		return "ring"
	case fitPinion.MatchString(clause):
		return "pinion"
	case fitCarrier.MatchString(clause):
		return "carrier"
	}
	return ""
}

// named says whether the clause has one number and that in degrees.
func named(n *note) bool {
	return len(n.in("degF", "degC")) == 1 || len(n.lots) == 1 && len(n.in("deg")) == 1
}

// fewWords says whether the clause is little more than its number: "240", "now at
// 190 f".
func fewWords(n *note) bool {
	words := 0
	for _, l := range n.lots {
		if l.kind == wordLot {
			words++
		}
	}
	return words <= 3
}

// temperature takes the one temperature of the clause: with its unit, or bare and of
// the size.
func (f *Fit) temperature(n *note, clause string, hot bool) {
	var all []lot
	for i, l := range n.lots {
		if l.kind != numberLot || l.num != 0 {
			continue
		}
		if i > 0 && (n.lots[i-1].text == "minus" || n.lots[i-1].text == "menos" || n.lots[i-1].text == "-" && (i < 2 || n.lots[i-2].kind != numberLot)) {
			l.value = -l.value
		}
		habit := "degF"
		if n.isMetric() {
			habit = "degC"
		}
		switch {
		case l.unit == "degF" || l.unit == "degC":
		case l.unit == "deg":
			l.unit = habit
		case l.unit == "" && l.whole && !l.plural && (f.By != "" || hot || plainlyWarm(n)) && (l.value >= 60 && l.value <= 900 || l.value < 30 && f.Chilling()):
			l.unit = habit
		default:
			continue
		}
		all = append(all, l)
	}
	if len(all) != 1 {
		return
	}
	v := all[0].value
	f.Temperature = &Reading{What: Temperature, Value: &v, Unit: all[0].unit, Text: clause}
	if fitSetting.MatchString(clause[:max(0, strings.Index(clause, all[0].text))]) && fitPiece(clause) == "" || f.By != "" && f.Piece == "" {
		f.Temperature.Part = "oven"
	}
}

// plainlyWarm says whether the clause is a part, a bare number and the few words that
// tell a temperature: "ring's at 250", "250 on the ring". A match number, a count or a
// height has other words.
func plainlyWarm(n *note) bool {
	tells := false
	for _, l := range n.lots {
		switch {
		case l.kind == numberLot, l.kind == markLot:
		case slices.Contains(warmTells, strings.TrimPrefix(l.text, "ring'")) || strings.HasSuffix(l.text, "'s"):
			tells = true
		case !slices.Contains(warmFill, l.text):
			return false
		}
	}
	return tells
}

var (
	warmTells = strings.Fields(`is s at to on hits hit reads reading says shows temp temperature está esta a hot warm caliente marca`)
	warmFill  = strings.Fields(`the ring gear crown wheel crownwheel corona bearing bearings brg cone head pinion side carrier inner now about around just roughly like up it its got gun reading rodamiento de del lateral cabeza la el ya unos and deg degrees grados`)
)

var hotNow = regexp.MustCompile(`\b(?:'s|is|est[aá]) (?:hot|caliente)\b`)

var fitTight = regexp.MustCompile(`\b(?:tight|interference|press ?fit|press|shrink ?fit|apriete|interferencia|apretad[ao])\b`)

// tight takes interference and diameter: "ring is 2 thou tight on a 4.5 in pilot".
func (f *Fit) tight(n *note, clause string) {
	bore := regexpBore.MatchString(clause)
	if !fitTight.MatchString(clause) && !bore {
		return
	}
	lengths := n.lengths()
	for _, l := range n.in("") { // "2 thou tight on 4.5"
		if l.num == 0 && !l.plural && (n.isMetric() && l.value >= 20 && l.value <= 300 || !n.isMetric() && l.value >= 0.8 && l.value < 12 && !l.whole) {
			if l.unit = "in"; n.isMetric() {
				l.unit = "mm"
			}
			lengths = append(lengths, l)
		}
	}
	for i := range lengths {
		l := &lengths[i]
		mm := millimetres(l.value, l.unit)
		r := &Reading{Unit: "in", Text: clause}
		v := math.Round(unit.MM(mm).Inch()*1e6) / 1e6
		if l.unit == "mm" || l.unit == "cm" || l.unit == "hundredth" {
			r.Unit, v = "mm", math.Round(mm*1e5)/1e5
		}
		r.Value = &v
		switch {
		case mm > 0 && mm <= 0.3 && fitTight.MatchString(clause) && f.Interference == nil:
			r.What, f.Interference = Interference, r
		case mm >= 10 && mm <= 500 && f.Diameter == nil:
			r.What, f.Diameter = FitDiameter, r
		}
	}
}

var regexpBore = regexp.MustCompile(`\b(?:pilot|bore|register|spigot|journal|diam\w*|seat|piloto|centrador|asiento|di[aá]metro)\b`)
