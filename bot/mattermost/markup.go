package mattermost

import (
	"regexp"
	"strings"
	"unicode"
	"unicode/utf8"

	"shimwright/bot"
)

// What the assistant says is plain text. This makes the platform show it as such:
// signs that would be read as markup are escaped, at most one backslash a sign, so
// that a text never doubles its length. Fenced blocks stay as they are.

const nbsp = "\u00a0"

// lineMarks are beginnings of lines that would make a list, a heading, a quote, a
// rule or an underlined title.
var lineMarks = regexp.MustCompile(`^(?:\d{1,9}[.)](?:\s|$)|[-+](?:\s|$)|-[-\s]*$|#|>)`)

// shortcode is what would turn into an emoji.
var shortcode = regexp.MustCompile(`:(?:[a-z0-9_+-]*[a-z][a-z0-9_+-]*|[+-]1|100|1234):`)

func escape(text string) string {
	var out strings.Builder
	out.Grow(len(text) + len(text)/8)
	lines := strings.SplitAfter(text, "\n")
	for i := 0; i < len(lines); i++ {
		if end := fenceEnd(lines, i); end > i {
			for ; i < end; i++ {
				out.WriteString(quiet(lines[i]))
			}
			out.WriteString(lines[i])
			continue
		}
		escapeLine(&out, lines[i])
	}
	return out.String()
}

// fenceEnd gives the line that closes the fence which opens at line i, or i.
func fenceEnd(lines []string, i int) int {
	mark := fenceOf(lines[i])
	if mark == "" || mark[0] != '`' {
		return i
	}
	for j := i + 1; j < len(lines); j++ {
		if strings.TrimSpace(lines[j]) == mark {
			return j
		}
	}
	return i
}

func escapeLine(out *strings.Builder, line string) {
	// White space in front would be dropped, and four of it make a block of code.
	text := strings.TrimLeft(line, " \t")
	for _, r := range line[:len(line)-len(text)] {
		if r == '\t' {
			out.WriteString(nbsp)
		}
		out.WriteString(nbsp)
	}
	if m := lineMarks.FindString(text); m != "" {
		i := strings.IndexAny(m, ".)-+#>")
		out.WriteString(text[:i] + `\` + text[i:i+1])
		text = text[i+1:]
	}
	for i := 0; i < len(text); {
		if rest := text[i:]; strings.HasPrefix(rest, "http://") || strings.HasPrefix(rest, "https://") {
			n := strings.IndexFunc(rest, unicode.IsSpace)
			if n < 0 {
				n = len(rest)
			}
			out.WriteString(rest[:n])
			i += n
			continue
		}
		r, size := utf8.DecodeRuneInString(text[i:])
		switch r {
		case '\\', '*', '_', '`', '[', '|', '~':
			out.WriteByte('\\')
			out.WriteRune(r)
		case '@':
			out.WriteRune(r)
			out.WriteString(hush(text[i+size:]))
		case ':':
			out.WriteRune(r)
			if at := shortcode.FindStringIndex(text[i:]); at != nil && at[0] == 0 {
				out.WriteString("\u200b")
			}
		default:
			out.WriteString(text[i : i+size])
		}
		i += size
	}
}

// hush gives what to put behind an @ so that nobody is notified.
func hush(after string) string {
	if next, _ := utf8.DecodeRuneInString(after); unicode.IsLetter(next) || unicode.IsDigit(next) {
		return "\u200b"
	}
	return ""
}

// quiet keeps a text that is not escaped from notifying anybody.
func quiet(text string) string {
	if !strings.Contains(text, "@") {
		return text
	}
	var out strings.Builder
	for i, r := range text {
		out.WriteRune(r)
		if r == '@' {
			out.WriteString(hush(text[i+1:]))
		}
	}
	return out.String()
}

// largeMark makes a line a heading.
// Source: Mattermost documentation, "Format messages", headings.
const largeMark = "# "

// LargeCost is what a large line takes more.
func (a *Adapter) LargeCost() int { return len(largeMark) }

// shownText is the escaped text of a post with its large lines as headings. What they
// say is escaped like the rest, so that nobody's words make a heading of their own.
func shownText(p bot.Post) string {
	shown := escape(p.Text)
	if len(p.Large) == 0 || strings.Contains(p.Text, "```") {
		return shown
	}
	lines := strings.Split(shown, "\n") // one for each of the text's
	for i, line := range strings.Split(p.Text, "\n") {
		if p.IsLarge(line) {
			lines[i] = largeMark + strings.TrimLeft(lines[i], nbsp)
		}
	}
	return strings.Join(lines, "\n")
}
