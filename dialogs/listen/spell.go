package listen

import "strings"

// rewrites mends what dictation and autocorrect make of the trade's words, and
// brings spellings together. Longest first match on whole words.
var rewrites = map[string]string{
	"back lash": "backlash", "blacklash": "backlash", "black lash": "backlash", "backlish": "backlash", "back last": "backlash",
	"backless": "backlash", "back slash": "backlash", "backslash": "backlash", "bak lash": "backlash", "back lashes": "backlash",
	"backlask": "backlash", "bag lash": "backlash", "back wash": "backlash", "b / l": "backlash", "b/l": "backlash", "back flash": "backlash",
	"lsh": "lash", "lsah": "lash", "lahs": "lash", "lassh": "lash", "slash reading": "lash reading",
	"heal": "heel", "heals": "heel", "hill side": "heel side", "heel's": "heel", "hell end": "heel end", "he'll end": "heel end",
	"tow end": "toe end", "tow side": "toe side", "towards tow": "towards toe", "toward tow": "toward toe", "toe's": "toe",
	"pinon": "pinion", "pinyon": "pinion", "pinin": "pinion", "pinoin": "pinion", "piñon": "pinion", "pinions": "pinion",
	"opinion shim": "pinion shim", "opinion drag": "pinion drag", "opinion depth": "pinion depth", "opinion nut": "pinion nut",
	"opinion mark": "pinion mark", "opinion preload": "pinion preload", "opinion bearing": "pinion bearing", "the opinion": "the pinion", "opinion shims": "pinion shims", "opinion stack": "pinion stack",
	"minion shim": "pinion shim", "minion drag": "pinion drag", "pinning shim": "pinion shim", "pin shim": "pinion shim", "pinion's": "pinion",
	"shin pack": "shim pack", "shin stack": "shim stack", "pinion shin": "pinion shim", "left shin": "left shim", "right shin": "right shim", "pinion ship": "pinion shim", "left ship": "left shim", "right ship": "right shim", "chim": "shim", "chims": "shims", "shimm": "shim", "shm": "shim", "pinion chim": "pinion shim",
	"cost side": "coast side", "coats side": "coast side", "coast's": "coast", "cost pattern": "coast pattern", "coat side": "coast side", "ghost side": "coast side",
	"drive's": "drive is", "dive side": "drive side",
	"pre load": "preload", "pre-load": "preload", "preloads": "preload",
	"run out of": "run out of", "run out": "runout", "run-out": "runout", "runnout": "runout",
	"thread lock": "threadlocker", "thread locker": "threadlocker", "threadlock": "threadlocker", "thread locking": "threadlocker", "thread sealant": "threadlocker", "threadlocking": "threadlocker",
	"break away": "breakaway", "brake away": "breakaway", "brakeaway": "breakaway",
	"break in": "breakin", "brake in": "breakin", "break-in": "breakin", "breaking in": "breakin", "broke in": "breakin", "bed in": "breakin", "bedding in": "breakin",
	"tear down": "teardown", "tore down": "tore down", "stripdown": "strip down",
	"end-play": "end play", "endplay": "end play", "end plays": "end play",
	"courier": "carrier", "carriers": "carrier", "carrier's": "carrier", "carier": "carrier", "carrer": "carrier",
	"ring here": "ring gear", "rings gear": "ring gear", "ringgear": "ring gear", "wring gear": "ring gear", "ring gears": "ring gear", "rg": "ring gear", "ring year": "ring gear",
	"crush sleeves": "crush sleeve", "crush sleave": "crush sleeve", "crushed sleeve": "crush sleeve", "crash sleeve": "crush sleeve", "brush sleeve": "crush sleeve", "crush leave": "crush sleeve",
	"patern": "pattern", "pattren": "pattern", "patturn": "pattern", "pattens": "patterns", "patten": "pattern",
	"thousands of an inch": "thousandths", "thousands of inch": "thousandths", "thousandths of an inch": "thousandths", "thousandth of an inch": "thousandths",
	"thow": "thou", "thuo": "thou", "htou": "thou", "tohu": "thou", "thiu": "thou", "thoy": "thou", "thpu": "thou", "yhou": "thou", "tho": "though", "thous": "thou", "thowsandths": "thousandths", "thousanths": "thousandths", "thousandth": "thousandths", "thousandeths": "thousandths", "thousnadths": "thousandths", "thosandths": "thousandths",
	"o clock": "oclock", "oclock": "oclock",
	"inches pounds": "inch pounds", "ench pounds": "inch pounds", "inch bounds": "inch pounds", "foot bounds": "foot pounds", "inch pound": "inch pounds", "interpounds": "inch pounds", "in pounds": "inch pounds", "inch-pounds": "inch pounds",
	"dead knots": "dead nuts", "dead nut": "dead nuts", "deadnuts": "dead nuts", "dead-nuts": "dead nuts", "ded nuts": "dead nuts", "dead nutz": "dead nuts",
	"scratch tat": "scratch that", "stratch that": "scratch that", "scratch dat": "scratch that",
	"mic s": "mics", "mike d": "miked", "micd": "miked",
	"setupbearing": "setup bearing", "set up": "setup", "setups": "setup",
	"u joint": "ujoint", "fourth gear": "gear4", "third gear": "gear3", "second gear": "gear2", "first gear": "gear1", "top gear": "gear5",
	"lt": "left", "rt": "right",
	"oclck": "oclock", "brg": "bearing", "brgs": "bearings",
	"dunno": "dont know", "gonna": "going to", "gunna": "going to", "gona": "going to", "imma": "going to", "ima": "going to", "wanna": "want to", "tryna": "trying to", "finna": "going to",
	"wat": "what", "wut": "what", "wht": "what", "shud": "should", "cud": "could", "wud": "would", "shoulda": "should have", "shld": "should",
	"k p h": "kph", "m p h": "mph", "km h": "km/h", "k m h": "km/h",
	"center section": "carrier", "centre section": "carrier", "center line": "centerline", "centre line": "centerline", "center punch": "centerpunch", "center punched": "centerpunch",
	"tyre": "tire", "tyres": "tires",
	"lightly": "lightly",
}

// typoTargets are the words worth mending when a long word is one or two letters
// off.
var typoTargets = []string{
	"backlash", "pattern", "pinion", "carrier", "runout", "preload", "breakaway", "thousandths", "hundredths",
	"bearing", "bearings", "adjuster", "adjusters", "notches", "centered", "coast", "torque", "torqued",
	"temperature", "checking", "position", "slightly", "perfect", "degrees", "sleeve", "spread", "housing",
	"measured", "teardown", "distance", "toward", "flank", "drive", "right", "scratch", "correction", "approved",
	"threadlocker", "breakin", "rotating", "inches", "pounds", "shims", "differential", "heel",
}

// notTypos are true words that look like a slip of one of the targets.
var notTypos = wordSet(`
	barrier carried carries patter patterns pinions opinion minion bearing hearing wearing tearing nearing bearings
	coats roast toast boast coach coasts coasted coaster costs drove driver driven dives drives derive strive dried
	torques sleep sleeves sleeved steve spreads spreader spreading burnout turnout reload preloads preloaded entered
	cantered notched watches matches marking parking making barking positions degree inch pinches housings measure
	measures measuring distant instance towards forward reward flanks blank frank plank flame right night light might
	tight fight sight weight bright eight height fright rights righty torch torched shins ships skims shims shims
	pound bounds rounds sounds founds approve approves approved proved improved adjusted adjusting adjust adjusts
	corrections connection scratched scratches rotation rotated rotate hundreds hundred thousands thousand instances
	feel heels heeled wheel steel reel peel keel hell held help heal keep teeth tool tooth three there these their
	where were while white whole drift drip dive arrive broad bread board bearer rearing teaming beating heating
	leaving sealing dealing meaning cleaning cleared clearing earring housing horsing hosing causing pausing
	chucking clicking cracking choking cheating checkin checked checker checkers perfectly prefect tempered
	driving shim shimmed shimming drivers center centers centre centre entire entered coasting sprayed
	possible portion petition rotten slighter lightly nightly tightly brightly inched itches niches
	coats coast cost costed most post least last past passed paste
	carrier carriers courier career careers cashier drain train brain
`)

func wordSet(words string) map[string]bool {
	set := make(map[string]bool)
	for _, w := range strings.Fields(words) {
		set[w] = true
	}
	return set
}

// rewriteTable is rewrites cut into words, by first word, longest first.
var rewriteTable = newPhraseTable(func(add func(phrase string, value []string)) {
	for from, to := range rewrites {
		add(from, strings.Fields(strings.ReplaceAll(to, "km/h", "kmh")))
	}
})

// mend joins what a hyphen or a dot splits ("in-lb", "N.m"), applies the
// rewrites and corrects slips in long words.
func mend(tokens []token) []token {
	tokens = unitsBehind(joinHyphens(tokens))
	out := make([]token, 0, len(tokens))
	for i := 0; i < len(tokens); {
		t := tokens[i]
		if t.kind != word {
			out = append(out, t)
			i++
			continue
		}
		if words, n := rewriteTable.longest(tokens, i); n > 0 {
			last := tokens[i+n-1]
			for k, w := range words {
				nt := token{kind: word, text: w, raw: w, a: t.a, b: last.b, glued: k == 0 && t.glued}
				out = append(out, nt)
			}
			i += n
			continue
		}
		if fixed, ok := fuzzy(t.text); ok {
			t.text = fixed
		}
		out = append(out, t)
		i++
	}
	return out
}

// joinHyphens drops the hyphen of "in-lb", the dots of "N·m" and "in.lb" and the
// star of "N*m".
func joinHyphens(tokens []token) []token {
	out := make([]token, 0, len(tokens))
	for i, t := range tokens {
		if t.kind == mark && t.glued && i > 0 && i+1 < len(tokens) {
			before, after := tokens[i-1], tokens[i+1]
			words := before.kind == word && after.kind == word && after.glued
			switch {
			case words && (t.text == "-" || t.text == "·" || t.text == "*" || t.text == "_"):
				continue
			case words && t.text == "." && len(before.text) <= 4 && len(after.text) <= 4 && unitStart[before.text]:
				continue
			case t.text == "." && before.kind == word && after.kind == word && unitStart[before.text] && strings.HasPrefix(after.text, "lb"):
				continue // "in. lb"
			}
		}
		out = append(out, t)
	}
	return out
}

// unitsBehind moves a unit that stands before its number behind it: "shim (mm):
// 1.52", "lash mm = 0.18". Of a row the last number gets it.
func unitsBehind(tokens []token) []token {
	out := make([]token, 0, len(tokens))
	for i := 0; i < len(tokens); i++ {
		t := tokens[i]
		k := i
		paren := t.kind == mark && t.text == "("
		if paren {
			k++
		}
		if k >= len(tokens) || tokens[k].kind != word || !leadUnit[tokens[k].text] || i == 0 || tokens[i-1].kind == numeral || tokens[i-1].kind == newline {
			out = append(out, t)
			continue
		}
		_, n := unitPhrases.longest(tokens, k)
		j := k + n
		if paren {
			if n == 0 || j >= len(tokens) || tokens[j].text != ")" {
				out = append(out, t)
				continue
			}
			j++
		}
		sign := j
		for j < len(tokens) && tokens[j].kind == mark && (tokens[j].text == ":" || tokens[j].text == "=") {
			j++
		}
		if n == 0 || j >= len(tokens) || tokens[j].kind != numeral || !paren && (sign == j && tokens[k].text != "mm" && tokens[k].text != "nm" || tokens[k].text == "in" && n == 1) {
			out = append(out, t)
			continue
		}
		out = append(out, tokens[sign:j]...)
		end := j
		for end < len(tokens) && (tokens[end].kind == numeral || tokens[end].kind == mark && end+1 < len(tokens) && tokens[end+1].kind == numeral) {
			out = append(out, tokens[end])
			end++
		}
		if end >= len(tokens) || tokens[end].kind != word || unitTable[tokens[end].text] == noUnit {
			out = append(out, tokens[k:k+n]...)
		}
		i = end - 1
	}
	return out
}

var leadUnit = wordSet("mm in thou nm n inch inches hundredths microns ft f c")

var unitStart = wordSet("n nm in ft kg kgf lb lbf inch foot a p newton")

// fuzzy mends one slip in a word of five letters or more, two in one of nine or
// more. The first letter must stand; real words are left alone.
func fuzzy(w string) (string, bool) {
	if len(w) < 5 || len(w) > 16 || notTypos[w] || vocabulary[w] {
		return "", false
	}
	best, bestD := "", 3
	for _, target := range typoTargets {
		allowed := 1
		if len(target) >= 8 && len(w) >= 7 {
			allowed = 2
		}
		if len(target) < 5 || abs(len(target)-len(w)) > allowed || target[0] != w[0] {
			continue
		}
		if d := distance(w, target, allowed); d <= allowed && d < bestD {
			best, bestD = target, d
		}
	}
	return best, best != ""
}

func abs(n int) int {
	if n < 0 {
		return -n
	}
	return n
}

// distance is the Damerau-Levenshtein distance with adjacent transpositions, cut
// off above limit. Source: R. Lowrance, R. Wagner, "An extension of the
// string-to-string correction problem" (1975), restricted form.
func distance(a, b string, limit int) int {
	var rows [3][24]int
	if len(a) >= 24 || len(b) >= 24 {
		return limit + 1
	}
	for j := 0; j <= len(b); j++ {
		rows[0][j] = j
	}
	for i := 1; i <= len(a); i++ {
		cur, last, before := &rows[i%3], &rows[(i+2)%3], &rows[(i+1)%3]
		cur[0] = i
		low := i
		for j := 1; j <= len(b); j++ {
			cost := 1
			if a[i-1] == b[j-1] {
				cost = 0
			}
			d := min(last[j]+1, cur[j-1]+1, last[j-1]+cost)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				d = min(d, before[j-2]+1)
			}
			cur[j] = d
			low = min(low, d)
		}
		if low > limit {
			return limit + 1
		}
	}
	return rows[len(a)%3][len(b)]
}
