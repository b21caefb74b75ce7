package listen

import (
	"strconv"
	"strings"
)

// Number words, as dictation writes them.
var (
	digitWords = map[string]int{
		"zero": 0, "oh": 0, "o": 0, "nought": 0, "naught": 0, "aught": 0, "ought": 0, "one": 1, "two": 2, "three": 3, "four": 4,
		"five": 5, "six": 6, "seven": 7, "eight": 8, "nine": 9, "niner": 9,
		"uno": 1, "dos": 2, "tres": 3, "cuatro": 4, "cinco": 5, "seis": 6, "siete": 7, "ocho": 8, "nueve": 9, "cero": 0,
	}
	teenWords = map[string]int{
		"ten": 10, "eleven": 11, "twelve": 12, "thirteen": 13, "fourteen": 14, "fifteen": 15, "sixteen": 16,
		"seventeen": 17, "eighteen": 18, "nineteen": 19, "diez": 10, "doce": 12, "quince": 15, "veinte": 20,
	}
	tensWords = map[string]int{
		"twenty": 20, "thirty": 30, "forty": 40, "fourty": 40, "fifty": 50, "sixty": 60, "seventy": 70, "eighty": 80,
		"ninety": 90, "treinta": 30, "cuarenta": 40, "cincuenta": 50,
	}
	// afterHalf are the units a bare "half" or "a" counts: "half a thou", "a thou".
	afterHalf = wordSet("thou thousandths thousandth turn notch notches mile mil hole flat click hour mm")
)

// spellOut turns number words into number tokens: "point oh oh nine" is 0.009,
// "eight and a half" 8.5, "one hundred and eighty" 180, "two fifty" 250.
func spellOut(tokens []token) []token {
	tokens = halfFirst(tokens)
	out := make([]token, 0, len(tokens))
	for i := 0; i < len(tokens); {
		if n, used, raw := readWords(tokens, i, out); used > 0 {
			last := tokens[i+used-1]
			out = append(out, token{kind: numeral, text: raw, num: n, glued: tokens[i].glued, a: tokens[i].a, b: last.b})
			i += used
			continue
		}
		out = append(out, tokens[i])
		i++
	}
	return out
}

// halfFirst puts the unit behind its half: "8 thou and a half" is "8 and a half
// thou", "a thou and a half" is "one and a half thou".
func halfFirst(tokens []token) []token {
	at := func(k int) string {
		if k >= 0 && k < len(tokens) && tokens[k].kind == word {
			return tokens[k].text
		}
		return ""
	}
	var out []token
	for i := 1; i+3 < len(tokens); i++ {
		if !afterHalf[at(i)] && unitTable[at(i)] != uThou && unitTable[at(i)].dim() != dimTurn || at(i+1) != "and" || at(i+2) != "a" || at(i+3) != "half" && at(i+3) != "quarter" {
			continue
		}
		_, digit := digitWords[at(i-1)]
		if tokens[i-1].kind != numeral && at(i-1) != "a" && !digit {
			continue
		}
		if out == nil {
			out = append(out, tokens...)
		}
		if at(i-1) == "a" {
			out[i-1].text, out[i-1].raw = "one", "one"
		}
		out[i], out[i+1], out[i+2], out[i+3] = tokens[i+1], tokens[i+2], tokens[i+3], tokens[i]
	}
	if out == nil {
		return tokens
	}
	return out
}

// readWords reads a number in words at tokens[i]; before is what was already
// put out.
func readWords(tokens []token, i int, before []token) (number, int, string) {
	at := func(k int) string {
		if k < len(tokens) && tokens[k].kind == word {
			return tokens[k].text
		}
		return ""
	}
	isWord := func(k int) bool { _, ok := digitWords[at(k)]; return ok }
	w := at(i)

	// 8 and a half; 7 and 3 quarters; eight and a half
	half := func(k int) (float64, int) {
		if k < len(tokens) && tokens[k].kind == mark && tokens[k].text == "-" {
			k++
		}
		start := k
		if at(k) == "and" || at(k) == "y" {
			k++
		}
		if at(k) == "a" || at(k) == "one" || at(k) == "un" {
			k++
		}
		switch at(k) {
		case "half", "medio", "media":
			if start != k {
				return 0.5, k + 1
			}
		case "quarter":
			if start != k {
				return 0.25, k + 1
			}
		}
		if at(start) == "and" && at(start+1) == "three" && at(start+2) == "quarters" {
			return 0.75, start + 3
		}
		return 0, 0
	}
	if i < len(tokens) && tokens[i].kind == numeral {
		t := tokens[i]
		// dictation puts a space in: "0. 21"
		if t.text == "0" && i+2 < len(tokens) && tokens[i+1].kind == mark && tokens[i+1].text == "." && tokens[i+1].glued && tokens[i+2].kind == numeral && !tokens[i+2].num.point {
			return fromDigits("0", tokens[i+2].text), 3, "0." + tokens[i+2].text
		}
		// "0 point 23", "8 point 5"
		if (at(i+1) == "point" || at(i+1) == "dot") && !t.num.point {
			if digits, n := pointDigits(tokens, i+2); n > 0 {
				return fromDigits(strconv.Itoa(int(t.num.val)), digits), 2 + n, t.text + "." + digits
			}
		}
		if f, k := half(i + 1); k > 0 && !t.num.point {
			num := t.num
			num.val, num.point, num.frac, num.spelt = num.val+f, true, 2, true
			return num, k - i, t.text + " and a half"
		}
		return number{}, 0, ""
	}

	switch w {
	case "another":
		if u := unitTable[at(i+1)]; u.dim() == dimTurn || u == uThou {
			return number{val: 1, whole: 1, spelt: true}, 1, "another"
		}
		return number{}, 0, ""
	case "minus", "plus", "negative", "positive":
		// "minus two", "plus 2"; between two numbers it adds
		if k := len(before) - 1; k >= 0 && w == "plus" {
			if before[k].kind == word && unitTable[before[k].text] != noUnit && k > 0 {
				k--
			}
			if before[k].kind == numeral && before[k].num.sign == 0 {
				return number{}, 0, ""
			}
		}
		var n number
		used, raw := 0, ""
		if i+1 < len(tokens) && tokens[i+1].kind == numeral && tokens[i+1].num.sign == 0 {
			n, used, raw = tokens[i+1].num, 1, tokens[i+1].text
		} else if i+1 < len(tokens) && tokens[i+1].kind == word && at(i+1) != "minus" && at(i+1) != "plus" && at(i+1) != "a" {
			n, used, raw = readWords(tokens, i+1, before)
			if used == 0 && at(i+1) == "one" {
				n, used, raw = readCardinal(tokens, i+1, at, false)
			}
		}
		if used == 0 {
			return number{}, 0, ""
		}
		n.sign = '+'
		if w == "minus" || w == "negative" {
			n.sign, n.val, raw = '-', -n.val, "-"+raw
		} else {
			raw = "+" + raw
		}
		return n, 1 + used, raw
	case "point", "dot", "decimal":
		if digits, n := pointDigits(tokens, i+1); n > 0 {
			return fromDigits("0", digits), 1 + n, "." + digits
		}
		return number{}, 0, ""
	case "half":
		k := i + 1
		if at(k) == "a" || at(k) == "an" || at(k) == "of" {
			k++
		}
		if at(k) == "a" || at(k) == "an" {
			k++
		}
		if afterHalf[at(k)] {
			return number{val: 0.5, point: true, frac: 1, spelt: true}, k - i, "half"
		}
		return number{}, 0, ""
	case "quarter":
		k := i + 1
		if at(k) == "of" && at(k+1) == "a" {
			k += 2
		}
		if afterHalf[at(k)] {
			return number{val: 0.25, point: true, frac: 2, spelt: true}, k - i, "quarter"
		}
		return number{}, 0, ""
	case "a", "an":
		if at(i+1) == "half" || at(i+1) == "quarter" {
			return number{}, 0, ""
		}
		if at(i+1) == "hundred" {
			return readCardinal(tokens, i, at, false)
		}
		if afterHalf[at(i+1)] && at(i+1) != "mm" && at(i+1) != "mil" {
			num := number{val: 1, whole: 1, spelt: true}
			return num, 1, "a"
		}
		return number{}, 0, ""
	case "double", "triple":
		if z := at(i + 1); z == "oh" || z == "o" || z == "zero" {
			if d, ok := digitWords[at(i+2)]; ok {
				zeros := map[string]string{"double": "00", "triple": "000"}[w]
				return fromDigits("0", zeros+strconv.Itoa(d)), 3, "." + zeros + strconv.Itoa(d)
			}
		}
		return number{}, 0, ""
	}

	if d, ok := digitWords[w]; ok {
		if w == "zero" && len(before) > 0 {
			switch before[len(before)-1].text {
			case "over", "of", "to", "from", "past", "the", "above", "below", "on", "set", "dial", "back":
				return number{}, 0, "" // where the dial stands
			}
		}
		if d == 0 {
			if w == "oh" || w == "o" || w == "ought" || w == "aught" {
				// "oh oh nine" is .009; a lone "oh" is a sigh
				if z := at(i + 1); z == "oh" || z == "o" || z == "zero" {
					if d2, ok := digitWords[at(i+2)]; ok && d2 != 0 {
						return fromDigits("0", "00"+strconv.Itoa(d2)), 3, ".00" + strconv.Itoa(d2)
					}
				}
				return number{}, 0, ""
			}
			if at(i+1) == "zero" && isWord(i+2) { // "zero zero eight"
				if d2 := digitWords[at(i+2)]; d2 != 0 {
					return fromDigits("0", "00"+strconv.Itoa(d2)), 3, ".00" + strconv.Itoa(d2)
				}
			}
		}
		if w == "one" && !oneCounts(tokens, i, before) {
			return number{}, 0, ""
		}
	}
	row := len(before) > 0 && before[len(before)-1].kind == numeral
	return readCardinal(tokens, i, at, row)
}

// oneCounts says whether "one" is the number and not "this one".
func oneCounts(tokens []token, i int, before []token) bool {
	if i+1 < len(tokens) {
		next := tokens[i+1].text
		if afterHalf[next] || next == "hundred" || next == "point" || next == "and" && i+2 < len(tokens) && tokens[i+2].text == "a" {
			return true
		}
		if _, ok := unitTable[next]; ok && next != "in" && next != "on" {
			return true
		}
		if len(before) > 0 && pronounOne[before[len(before)-1].text] {
			return false // "second one nine", "new one minus one"
		}
		if _, ok := digitWords[next]; ok {
			return true
		}
		if tensWords[next] > 0 || teenWords[next] > 0 {
			return true
		}
	}
	if len(before) > 0 {
		last := before[len(before)-1]
		if last.kind == numeral {
			return true
		}
		if (last.text == "at" || last.text == "in" || last.text == "out") && (i+1 >= len(tokens) || tokens[i+1].kind != word) {
			return true
		}
		switch last.text {
		case "position", "bolt", "pos", "plus", "minus", "point", "backlash", "lash":
			return true
		}
	}
	return false
}

// pronounOne are the words before a "one" that stands for a thing.
var pronounOne = wordSet("first second third fourth last next other new old setup final real this that the each same")

// readCardinal reads units, teens, tens and hundreds; in a row of numbers "nine ten"
// are two.
func readCardinal(tokens []token, i int, at func(int) string, row bool) (number, int, string) {
	k, total, raw := i, -1, ""
	take := func(v int) {
		if total < 0 {
			total = 0
		}
		total += v
		raw += " " + at(k)
		k++
	}
	unitAt := func(k int) int {
		if d, ok := digitWords[at(k)]; ok && at(k) != "o" && at(k) != "oh" && at(k) != "ought" {
			return d
		}
		return -1
	}
	switch {
	case at(k) == "a" && at(k+1) == "hundred":
		k++
		take(100)
	case unitAt(k) > 0 && at(k+1) == "hundred":
		v := unitAt(k) * 100
		k++
		take(v)
	case unitAt(k) > 0 && tensWords[at(k+1)] > 0: // "two fifty"
		take(unitAt(k) * 100)
	case unitAt(k) > 0 && teenWords[at(k+1)] > 0 && !row && unitAt(k+2) < 0: // "two twelve"
		take(unitAt(k) * 100)
	}
	hundred := total > 0
	if hundred && at(k) == "and" && (unitAt(k+1) > 0 || teenWords[at(k+1)] > 0 || tensWords[at(k+1)] > 0) {
		k++
	}
	switch {
	case tensWords[at(k)] > 0:
		take(tensWords[at(k)])
		if at(k) == "y" && unitAt(k+1) > 0 { // "treinta y uno"
			k++
		}
		if d := unitAt(k); d > 0 && unitTable[at(k)] == noUnit && !(k+1 < len(tokens) && at(k+1) == "hundred") {
			take(d)
		}
	case teenWords[at(k)] > 0:
		take(teenWords[at(k)])
	case hundred && at(i+1) != "hundred" && at(i) != "a":
	case unitAt(k) >= 0:
		take(unitAt(k))
	}
	if total < 0 {
		return number{}, 0, ""
	}
	raw = strings.TrimSpace(raw)
	num := number{val: float64(total), whole: len(strconv.Itoa(total)), spelt: true}
	if (at(k) == "point" || at(k) == "dot") && k > i {
		if digits, n := pointDigits(tokens, k+1); n > 0 {
			num = fromDigits(strconv.Itoa(total), digits)
			k += 1 + n
			return num, k - i, raw + "." + digits
		}
	}
	// and a half
	j := k
	if at(j) == "and" || at(j) == "y" {
		j++
	}
	if at(j) == "medio" || at(j) == "media" {
		num.val, num.point, num.frac = num.val+0.5, true, 1
		return num, j + 1 - i, raw + " and a half"
	}
	if at(j) == "a" || at(j) == "one" {
		j++
		switch at(j) {
		case "half":
			num.val, num.point, num.frac = num.val+0.5, true, 1
			return num, j + 1 - i, raw + " and a half"
		case "quarter":
			num.val, num.point, num.frac = num.val+0.25, true, 2
			return num, j + 1 - i, raw + " and a quarter"
		}
	}
	if at(k) == "and" && at(k+1) == "three" && at(k+2) == "quarters" {
		num.val, num.point, num.frac = num.val+0.75, true, 2
		return num, k + 3 - i, raw + " and three quarters"
	}
	return num, k - i, raw
}

// pointDigits reads what follows "point": digit words, or one number token.
func pointDigits(tokens []token, i int) (string, int) {
	if i < len(tokens) && tokens[i].kind == numeral && !tokens[i].num.point && tokens[i].num.sign == 0 {
		return tokens[i].text, 1
	}
	digits, k := "", i
	for k < len(tokens) && len(digits) < 6 && tokens[k].kind == word {
		w := tokens[k].text
		if d, ok := digitWords[w]; ok {
			digits += strconv.Itoa(d)
		} else if (w == "double" || w == "triple") && k+1 < len(tokens) {
			d, ok := digitWords[tokens[k+1].text]
			if !ok {
				break
			}
			for n := map[string]int{"double": 2, "triple": 3}[w]; n > 0; n-- {
				digits += strconv.Itoa(d)
			}
			k++
		} else if v := tensWords[w]; v > 0 {
			if k+1 < len(tokens) {
				if d, ok := digitWords[tokens[k+1].text]; ok && d > 0 {
					v, k = v+d, k+1
				}
			}
			digits += strconv.Itoa(v)
		} else if v := teenWords[w]; v > 0 {
			digits += strconv.Itoa(v)
		} else {
			break
		}
		k++
	}
	if digits == "" {
		return "", 0
	}
	return digits, k - i
}

func fromDigits(whole, frac string) number {
	n := parseNumber(whole+"."+frac, 0)
	n.spelt = true
	return n
}
