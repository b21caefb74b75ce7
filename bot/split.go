package bot

import (
	"strings"
	"unicode"
)

const (
	fence       = "```"
	maxOpener   = 24 // runes of a fence's first line that are repeated
	fenceCost   = maxOpener + len(fence) + 2
	smallestCut = 3 // a part is at least a third full where a better break allows it
)

// Split cuts a text into parts of at most limit characters, limit 0 for no limit.
// It breaks at an empty line, else a line, a sentence, a word, in this order, and
// never between a number and its unit or inside a character. A code fence that
// does not fit is closed at the break and opened again behind it. White space at a
// break is dropped. A single number or word longer than the limit is cut.
func Split(text string, limit int) []string {
	if limit <= 0 || runes(text) <= limit {
		return []string{text}
	}
	fenced := strings.Contains(text, fence) && limit > 2*fenceCost
	var parts []string
	rest := []rune(text)
	for len(rest) > limit {
		room := limit
		if fenced {
			room -= len(fence) + 1
		}
		cut := cutBefore(rest, room, fenced)
		part, next := rest[:cut], rest[cut:]
		if opener := openFence(part); fenced && opener != "" {
			next = trimLines(next)
			part = append(trimEnd(part), []rune("\n"+fence)...)
			if atFence(next, 0) { // nothing of it is left
				next = trimStart(next[len(fence):])
			} else {
				next = append([]rune(opener+"\n"), next...)
			}
		} else {
			part, next = trimEnd(part), trimStart(next)
		}
		if len(part) > 0 {
			parts = append(parts, string(part))
		}
		rest = next
	}
	if len(trimEnd(rest)) > 0 {
		parts = append(parts, string(rest))
	}
	return parts
}

// breaks are the kinds of break, the best first.
const (
	breakParagraph = iota
	breakLine
	breakSentence
	breakWord
	breakKinds
)

// cutBefore gives the place of the best break in the first room runes.
func cutBefore(text []rune, room int, fenced bool) int {
	best := [breakKinds]int{}
	inside := false // of a fence
	for i := 0; i < len(text) && i <= room; i++ {
		if fenced && atFence(text, i) {
			if !inside && i > 0 {
				best[breakParagraph] = i // before a fence rather than in it
			}
			inside = !inside
		}
		if i == 0 || !breakable(text[i]) {
			continue
		}
		switch {
		case text[i] == '\n' && i+1 < len(text) && text[i+1] == '\n' && !inside:
			best[breakParagraph] = i
		case text[i] == '\n':
			best[breakLine] = i
		case inside || numberThenUnit(text, i):
		case strings.ContainsRune(".!?;:", text[i-1]):
			best[breakSentence] = i
		default:
			best[breakWord] = i
		}
	}
	least := room / smallestCut
	if fenced && atFence(text, 0) {
		least = max(least, fenceCost) // a fence's first line alone gets nowhere: it is repeated
	}
	for _, at := range best {
		if at > 0 && at >= least {
			return at
		}
	}
	longest := 0
	for _, at := range best {
		longest = max(longest, at)
	}
	if longest > fenceCost || longest > 0 && !fenced {
		return longest
	}
	return hardCut(text, room)
}

// breakable says whether a text may break at this white space.
func breakable(r rune) bool { return r == ' ' || r == '\n' }

// numberThenUnit says whether the space at i stands behind a number, so that what
// follows may be its unit: "0.008 in", "1 1/2 in", "0.006–0.010 in".
func numberThenUnit(text []rune, i int) bool {
	j := i - 1
	for j >= 0 && strings.ContainsRune(")]*_'\"", text[j]) {
		j--
	}
	return j >= 0 && unicode.IsDigit(text[j]) && i+1 < len(text) && text[i+1] != ' ' && text[i+1] != '\n'
}

// hardCut cuts where there is no break: not inside a number with its unit if that
// can be helped, and not inside a character made of several runes.
func hardCut(text []rune, room int) int {
	cut := room
	if space := lastSpace(text, room); space > 0 {
		// A run of numbers longer than the room: between two of them, no unit there.
		cut = space
	} else if start := numberStart(text, room); start > 0 {
		cut = start
	}
	for back := cut; back > 0 && cut-back < 16; back-- {
		if !joins(text, back) {
			return back
		}
	}
	return cut
}

// lastSpace gives the last space before room with a digit behind it.
func lastSpace(text []rune, room int) int {
	for i := min(room, len(text)-2); i > 0; i-- {
		if text[i] == ' ' && (unicode.IsDigit(text[i+1]) || !unicode.IsDigit(text[i-1])) {
			return i
		}
	}
	return 0
}

// numberStart gives where the number begins that a cut at room would break, 0 where
// there is none. "0.20mm" counts up to its last letter.
func numberStart(text []rune, room int) int {
	i := room
	for i > 0 && (unicode.IsLetter(text[i-1]) || strings.ContainsRune("·°µ\"", text[i-1])) && room-i < 8 {
		i--
	}
	end := i
	for i > 0 && (unicode.IsDigit(text[i-1]) || strings.ContainsRune(".,/–-+−", text[i-1])) && end-i < 40 {
		i--
	}
	if i == end || end-i >= 40 {
		return 0
	}
	return i
}

// joins says whether the runes before and at i belong to one character.
func joins(text []rune, i int) bool {
	if i >= len(text) {
		return false
	}
	r, before := text[i], text[i-1]
	return unicode.In(r, unicode.Mn, unicode.Me, unicode.Mc, unicode.Variation_Selector) ||
		r == '\u200D' || before == '\u200D' || (r >= 0x1F3FB && r <= 0x1F3FF)
}

func atFence(text []rune, i int) bool {
	return i+2 < len(text) && text[i] == '`' && text[i+1] == '`' && text[i+2] == '`' && (i == 0 || text[i-1] == '\n')
}

// openFence gives the first line of the fence that is open at the end of a part.
func openFence(part []rune) string {
	opener := ""
	for _, line := range strings.Split(string(part), "\n") {
		if !strings.HasPrefix(line, fence) {
			continue
		}
		if opener != "" {
			opener = ""
			continue
		}
		opener = line
		if runes(opener) > maxOpener {
			opener = fence
		}
	}
	return opener
}

func trimEnd(r []rune) []rune {
	n := len(r)
	for n > 0 && breakable(r[n-1]) {
		n--
	}
	return r[:n:n]
}

func trimStart(r []rune) []rune {
	for len(r) > 0 && breakable(r[0]) {
		r = r[1:]
	}
	return r
}

// trimLines drops line ends but not the indentation of code.
func trimLines(r []rune) []rune {
	for len(r) > 0 && r[0] == '\n' {
		r = r[1:]
	}
	return r
}
