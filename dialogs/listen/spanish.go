package listen

import "strings"

// fromSpanish puts the words of a message in Spanish, or half in Spanish, into the
// English the lexicon knows, and leaves every other message as it is. text is
// normalised: lower case, without accents.
//
// A message is taken for Spanish where it has one word of spanishTrade; only then
// are the small words of spanishSmall put over, as many of them ("no", "a", "once")
// are English too.
func fromSpanish(text string) string {
	tokens := scan(text)
	spanish := false
	for i := range tokens {
		if tokens[i].kind == word && !spanish {
			_, n := spanishTrade.longest(tokens, i)
			spanish = n > 0
		}
	}
	if !spanish {
		return text
	}
	var b strings.Builder
	end, taking := 0, false
	for i := 0; i < len(tokens); {
		t := tokens[i]
		said, n := "", 0
		if t.kind == word {
			said, n = spanishTrade.longest(tokens, i)
			if less, k := spanishSmall.longest(tokens, i); k > n {
				said, n = less, k
			}
		}
		switch {
		case n == 0 && t.text == "¿":
			b.WriteString(text[end:t.a])
			end = t.b
			i++
			continue
		case n == 0 && t.text == "no" && i+1 < len(tokens) && tokens[i+1].kind == numeral:
			said, n = "not", 1
		case n == 0:
			i++
			continue
		case said == spanishAt:
			// "le quité 10 a la derecha" takes off, "le puse 10 a la derecha" adds
			said = "to the"
			if taking {
				said = "from the"
			}
		case strings.HasPrefix(said, "took"), strings.HasPrefix(said, "take"):
			taking = true
		case strings.HasPrefix(said, "put"), strings.HasPrefix(said, "added"), strings.HasPrefix(said, "add "), strings.HasPrefix(said, "moved"):
			taking = false
		}
		b.WriteString(text[end:t.a])
		b.WriteString(said)
		end = tokens[i+n-1].b
		i += n
	}
	b.WriteString(text[end:])
	return b.String()
}

// reworded is normalise with Spanish put over.
func reworded(text string) (plain string, cut, struck bool) {
	plain, cut, struck = normalise(text)
	return fromSpanish(plain), cut, struck
}
