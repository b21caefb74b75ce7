package bot

import (
	"regexp"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"pgregory.net/rapid"
)

func TestSplitBreaksWhereOneReads(t *testing.T) {
	for _, c := range []struct {
		name  string
		text  string
		limit int
		want  []string
	}{
		{"fits", "lash 0.008 in", 13, []string{"lash 0.008 in"}},
		{"no limit", "lash 0.008 in", 0, []string{"lash 0.008 in"}},
		{"empty", "", 10, []string{""}},
		{"line", "one two three\nfour five", 18, []string{"one two three", "four five"}},
		{"paragraph before line", "aaaa\n\nbbbb\ncccc dddd", 14, []string{"aaaa", "bbbb\ncccc dddd"}},
		{"sentence", "it is done. now read the lash", 20, []string{"it is done.", "now read the lash"}},
		{"unit stays", "the lash now reads 0.008 in again", 25, []string{"the lash now reads", "0.008 in again"}},
		{"range stays", "wanted: 0.006–0.010 in please", 20, []string{"wanted:", "0.006–0.010 in", "please"}},
		{"fraction stays", "turn it back by 1 1/2 in or so", 22, []string{"turn it back by", "1 1/2 in or so"}},
		{"attached unit stays", "xxxxxxxxxxxx0.20mm", 16, []string{"xxxxxxxxxxxx", "0.20mm"}},
		{"long word", strings.Repeat("x", 25), 10, []string{"xxxxxxxxxx", "xxxxxxxxxx", "xxxxx"}},
		{"umlauts are one", "ääää öööö", 5, []string{"ääää", "öööö"}},
		{"an accent stays", "aaaaaaaaae\u0301bbb", 10, []string{"aaaaaaaaa", "e\u0301bbb"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := Split(c.text, c.limit)
			if strings.Join(got, "|") != strings.Join(c.want, "|") {
				t.Errorf("got  %q\nwant %q", got, c.want)
			}
		})
	}
}

func TestSplitClosesAndReopensAFence(t *testing.T) {
	code := strings.Repeat("0123456789\n", 20)
	parts := Split("before\n```go\n"+code+"```\nafter", 120)
	if len(parts) < 3 {
		t.Fatalf("only %d parts", len(parts))
	}
	var back strings.Builder
	for i, p := range parts {
		if n := strings.Count(p, "```"); n%2 != 0 {
			t.Errorf("part %d has %d fence marks:\n%s", i, n, p)
		}
		if runes(p) > 120 {
			t.Errorf("part %d has %d runes", i, runes(p))
		}
		for _, line := range strings.Split(p, "\n") {
			if !strings.HasPrefix(line, "```") {
				back.WriteString(line + "\n")
			}
		}
	}
	if want := "before\n" + code + "after\n"; back.String() != want {
		t.Errorf("the lines are not the same:\n%s", back.String())
	}
}

// piece draws text as answers have it: words, numbers with units, line ends, code.
func piece() *rapid.Generator[string] {
	return rapid.OneOf(
		rapid.SampledFrom([]string{"lash", "drive", "a", "pinion", "of", "Öl", "µ", "👍🏽", "e\u0301", "stop.", "why?"}),
		rapid.Custom(func(t *rapid.T) string {
			number := rapid.SampledFrom([]string{"0.008", "14", "-0.25", "0.006–0.010", "1/2", "120", "+3"}).Draw(t, "number")
			unit := rapid.SampledFrom([]string{"in", "mm", "in·lbf", "N·m", "thou", "°F"}).Draw(t, "unit")
			return number + " " + unit
		}),
		rapid.StringMatching(`[a-zA-Zäöü0-9.,]{1,60}`),
	)
}

var numberUnit = regexp.MustCompile(`[-+]?[0-9][0-9./–-]* (?:in·lbf|in|mm|N·m|thou|°F)(?:[ \n]|$)`)

func TestSplitProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		limit := rapid.IntRange(70, 400).Draw(t, "limit")
		var b strings.Builder
		for range rapid.IntRange(0, 120).Draw(t, "pieces") {
			b.WriteString(piece().Draw(t, "piece"))
			b.WriteString(rapid.SampledFrom([]string{" ", " ", " ", "\n", "\n\n", ", "}).Draw(t, "gap"))
		}
		text := b.String()
		parts := Split(text, limit)
		for _, p := range parts {
			switch {
			case runes(p) > limit:
				t.Fatalf("a part of %d runes, and %d is the limit: %q", runes(p), limit, p)
			case !utf8.ValidString(p):
				t.Fatalf("not UTF-8: %q", p)
			}
		}
		if got, want := squeeze(strings.Join(parts, " ")), squeeze(text); got != want {
			t.Fatalf("lost or changed:\n%q\n%q", got, want)
		}
		joined := strings.Join(parts, "\x00")
		for _, q := range numberUnit.FindAllString(text, -1) {
			q = strings.TrimSpace(q)
			if strings.Count(joined, q) < strings.Count(text, q) {
				t.Fatalf("%q was cut in %q", q, parts)
			}
		}
	})
}

func TestSplitFenceProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		limit := rapid.IntRange(80, 300).Draw(t, "limit")
		var b strings.Builder
		for range rapid.IntRange(1, 4).Draw(t, "blocks") {
			b.WriteString(rapid.StringMatching(`([a-z]{1,9} ){0,20}`).Draw(t, "prose"))
			b.WriteString("\n```" + rapid.SampledFrom([]string{"", "go", "text"}).Draw(t, "language") + "\n")
			for range rapid.IntRange(0, 30).Draw(t, "lines") {
				b.WriteString(rapid.StringMatching(`[ ]{0,4}[a-z0-9]{0,30}`).Draw(t, "line") + "\n")
			}
			b.WriteString("```\n")
		}
		for _, p := range Split(b.String(), limit) {
			if strings.Count(p, "```")%2 != 0 {
				t.Fatalf("a fence is left open:\n%s\n---- of\n%s", p, b.String())
			}
			if runes(p) > limit {
				t.Fatalf("%d runes, limit %d:\n%s", runes(p), limit, p)
			}
		}
	})
}

// Any text at all, any limit: it ends, keeps the limit and every visible rune.
func TestSplitAnything(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.String().Draw(t, "text")
		limit := rapid.IntRange(1, 60).Draw(t, "limit")
		parts := Split(text, limit)
		for _, p := range parts {
			if runes(p) > limit {
				t.Fatalf("%d runes, limit %d: %q", runes(p), limit, p)
			}
		}
		if !strings.Contains(text, "```") && squeeze(strings.Join(parts, "")) != squeeze(text) {
			t.Fatalf("%q became %q", text, parts)
		}
	})
}

// squeeze drops white space, which a break may take away.
func squeeze(text string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsSpace(r) {
			return -1
		}
		return r
	}, text)
}
