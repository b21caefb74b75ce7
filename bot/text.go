package bot

import (
	"fmt"
	"regexp"
	"strings"
	"unicode"
	"unicode/utf8"
)

// MaxText is how many characters of a message are read.
const MaxText = 4000

// escapes are the control sequences of terminals.
var escapes = regexp.MustCompile(`\x1b(?:\[[0-?]*[ -/]*[@-~]|\][^\x07\x1b]*(?:\x07|\x1b\\)?|[@-Z\\-_])`)

// clean makes a text fit to be read and repeated: broken UTF-8 is replaced, control
// characters become spaces (so that no two numbers run together), invisible and
// direction marks go.
func clean(text string) string {
	text = strings.ToValidUTF8(text, "\uFFFD")
	text = strings.ReplaceAll(text, "\r\n", "\n")
	if strings.ContainsRune(text, '\x1b') {
		text = escapes.ReplaceAllString(text, " ")
	}
	text = strings.Map(func(r rune) rune {
		switch {
		case r == '\n':
			return r
		case r == '\r', r == '\u2028', r == '\u2029':
			return '\n'
		case unicode.IsControl(r):
			return ' '
		case hidden(r):
			return -1
		}
		return r
	}, text)
	return strings.TrimSpace(text)
}

// Readable makes a text fit to be read, as messages are before they are answered.
// The error says that it is too long.
func Readable(text string) (string, error) {
	text = clean(text)
	if n := runes(text); n > MaxText {
		return "", fmt.Errorf("that message has %d characters, and i read up to %d", n, MaxText)
	}
	return text, nil
}

// hidden says whether a character shows nothing and may change how the text around
// it is read. Joiners and variation selectors stay: emoji are made with them.
func hidden(r rune) bool {
	switch {
	case r == '\u200B', r == '\u2060', r == '\uFEFF', r == '\u00AD', r == '\u200E', r == '\u200F', r == '\u061C':
		return true
	case r >= '\u202A' && r <= '\u202E', r >= '\u2066' && r <= '\u2069', r >= '\U000E0000' && r <= '\U000E007F':
		return true
	}
	return false
}

// defuse keeps a text from notifying anybody: what a person typed may come back in
// an answer, and "@everyone" must not ring every phone of the shop twice.
func defuse(text string) string {
	if !strings.ContainsAny(text, "@<") {
		return text
	}
	var b strings.Builder
	b.Grow(len(text) + 8)
	for i, r := range text {
		b.WriteRune(r)
		next, _ := utf8.DecodeRuneInString(text[i+utf8.RuneLen(r):])
		switch {
		case r == '@' && (unicode.IsLetter(next) || unicode.IsDigit(next) || next == '&' || next == '!'),
			r == '<' && next == '!':
			b.WriteRune('\u200B')
		}
	}
	return b.String()
}

// calledBy takes the assistant's name off the front of a text: "bot, where are we".
func calledBy(names []string, text string) (rest string, called bool) {
	trimmed := strings.TrimPrefix(text, "@")
	for _, name := range names {
		if len(trimmed) < len(name) || !strings.EqualFold(trimmed[:len(name)], name) {
			continue
		}
		after := trimmed[len(name):]
		cut := strings.TrimLeft(after, " ,:;!\n")
		if cut != after && cut != "" {
			return cut, true
		}
		if strings.Trim(after, " ,:;!?.") == "" {
			return text, true // the name alone
		}
	}
	return text, false
}

// runes counts the characters of a text.
func runes(text string) int { return utf8.RuneCountInString(text) }
