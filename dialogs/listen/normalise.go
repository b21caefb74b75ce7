package listen

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"
)

// MaxRunes is how much of one message is understood, in characters. A shop
// message has a line or two; what comes after this much is left unread and the
// note says so.
const MaxRunes = 4000

// normalise brings text to lower-case plain characters: compatibility forms
// folded, invisible and control characters dropped, dashes, quotes and arrows
// made one kind, emoji that say something turned into words, links and quoted
// lines removed. cut says that the text was longer than MaxRunes; struck that
// something was struck out in it.
func normalise(text string) (plain string, cut, struck bool) {
	text = strings.ToValidUTF8(text, " ")
	text, cut = firstRunes(text, MaxRunes)
	text = flattenTables(dropQuoted(text))
	text, struck = dropStruck(text)
	text = maskAngles(text)
	text = emphasis.Replace(text)

	var b strings.Builder
	b.Grow(len(text) + 16)
	for _, r := range text {
		switch {
		case r == '\n' || r == '\u2028' || r == '\u2029':
			b.WriteByte('\n')
		case r == '\u20e3': // the keycap round a digit
			b.WriteByte(' ')
		case r == '\t' || unicode.IsSpace(r):
			b.WriteByte(' ')
		case unicode.IsControl(r), invisible(r):
			// dropped
		default:
			if s, ok := folded(r); ok {
				b.WriteString(s)
			} else {
				b.WriteRune(r)
			}
		}
	}
	plain = strings.ToLower(norm.NFKC.String(b.String()))
	plain = strings.Map(func(r rune) rune {
		switch r {
		case '⁄', '∕':
			return '/'
		case 'μ':
			return 'µ'
		case 'ı':
			return 'i'
		}
		return r
	}, stripAccents(plain))
	return maskLinks(plain), cut, struck
}

// emphasis is the markup of chat platforms that only changes the look.
var emphasis = strings.NewReplacer("**", "", "__", " ", "_", " ", "||", " ")

// firstRunes cuts text after n characters, at a space so that no number is cut
// in two.
func firstRunes(text string, n int) (string, bool) {
	if len(text) <= n {
		return text, false
	}
	i, count := 0, 0
	for i < len(text) && count < n {
		_, size := utf8.DecodeRuneInString(text[i:])
		i += size
		count++
	}
	if i == len(text) {
		return text, false
	}
	if k := strings.LastIndexAny(text[:i], " \n\t"); k > 0 {
		return text[:k], true
	}
	return "", true
}

// dropQuoted removes the lines that quote someone ("> lash 9").
func dropQuoted(text string) string {
	if !strings.Contains(text, ">") {
		return text
	}
	lines := strings.Split(text, "\n")
	kept := lines[:0]
	for _, l := range lines {
		if t := strings.TrimSpace(l); strings.HasPrefix(t, "> ") || strings.HasPrefix(t, ">>") {
			continue
		}
		kept = append(kept, l)
	}
	return strings.Join(kept, "\n")
}

// dropStruck removes what is struck out with double tildes.
func dropStruck(text string) (string, bool) {
	struck := false
	for {
		i := strings.Index(text, "~~")
		if i < 0 {
			return text, struck
		}
		j := strings.Index(text[i+2:], "~~")
		if j < 0 {
			return text, struck
		}
		text = text[:i] + " " + text[i+2+j+2:]
		struck = true
	}
}

// maskAngles blanks what chat platforms put in angle brackets: mentions,
// channels, their own emoji, links.
func maskAngles(text string) string {
	if !strings.Contains(text, "<") {
		return text
	}
	var b strings.Builder
	for {
		i := strings.IndexByte(text, '<')
		if i < 0 || i+1 >= len(text) {
			break
		}
		j := strings.IndexByte(text[i:], '>')
		if j < 0 {
			break
		}
		b.WriteString(text[:i])
		switch inner := text[i+1 : i+j]; {
		case inner != "" && strings.IndexByte("@#:", inner[0]) >= 0, strings.Contains(inner, "://"):
			b.WriteByte(' ')
		default:
			b.WriteString(text[i : i+j+1])
		}
		text = text[i+j+1:]
	}
	b.WriteString(text)
	return b.String()
}

// maskLinks blanks web addresses, whose digits are no readings.
func maskLinks(text string) string {
	for _, mark := range []string{"http://", "https://", "www."} {
		for {
			i := strings.Index(text, mark)
			if i < 0 {
				break
			}
			j := i
			for j < len(text) && text[j] != ' ' && text[j] != '\n' {
				j++
			}
			text = text[:i] + " (link) " + text[j:]
		}
	}
	return text
}

// stripAccents removes combining marks, so that "milésimas" and "milesimas" are
// one word; ñ becomes n.
func stripAccents(s string) string {
	ascii := true
	for i := 0; i < len(s); i++ {
		if s[i] >= utf8.RuneSelf {
			ascii = false
			break
		}
	}
	if ascii {
		return s
	}
	return strings.Map(func(r rune) rune {
		if unicode.Is(unicode.Mn, r) {
			return -1
		}
		return r
	}, norm.NFD.String(s))
}

func invisible(r rune) bool {
	switch {
	case r >= 0x200b && r <= 0x200f, r >= 0x202a && r <= 0x202e, r >= 0x2060 && r <= 0x206f,
		r == 0xfeff, r == 0xad, r == 0xfe0e, r == 0xfe0f, r >= 0x1f3fb && r <= 0x1f3ff,
		r >= 0xe0000 && r <= 0xe007f:
		return true
	}
	return false
}

// folded gives what a character stands for in a shop message.
func folded(r rune) (string, bool) {
	switch r {
	case '½':
		return " 1/2 ", true
	case '¼':
		return " 1/4 ", true
	case '¾':
		return " 3/4 ", true
	case '⅓':
		return " 1/3 ", true
	case '⅔':
		return " 2/3 ", true
	case '⅛':
		return " 1/8 ", true
	case '–', '‒', '−', '‐', '‑', '﹣':
		return "-", true
	case '—', '―':
		return " - ", true
	case '`':
		return " ", true
	case '’', '‘', 'ʼ', '′', '´':
		return "'", true
	case '“', '”', '″', '„', '«', '»':
		return "\"", true
	case '×', '✕', '✖':
		return " x ", true
	case '→', '➡', '⇒', '⟶':
		return " → ", true
	case '⬅', '←':
		return " ← ", true
	case '·', '⋅', '∙':
		return "·", true
	case '•', '‣', '▪', '◦', '●':
		return ", ", true
	case 'º', '˚':
		return "°", true
	case '👍', '✅', '✔', '👌', '💯', '🆗', '☑':
		return " thumbsup ", true
	case '👎', '❌', '✗', '✘':
		return " thumbsdown ", true
	case '🛑', '⛔', '✋':
		return " stop ", true
	case '📷', '📸', '🖼', '🎥':
		return " (photo) ", true
	case '🔥', '🌡':
		return " ", true
	case '❓', '❔', '🤔':
		return " ? ", true
	case '⬆', '⬇', '↑', '↓':
		return map[rune]string{'⬆': " up ", '↑': " up ", '⬇': " down ", '↓': " down "}[r], true
	}
	if r >= 0x1f000 || r >= 0x2600 && r <= 0x27bf || r >= 0x2b00 && r <= 0x2bff {
		return " ", true // other pictures say nothing
	}
	return "", false
}
