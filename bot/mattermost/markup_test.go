package mattermost

import (
	"strings"
	"testing"
	"unicode/utf8"

	"pgregory.net/rapid"

	"shimwright/bot/mattermost/mmtest"
)

func TestTextIsShownAsItIs(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"lash 14, spec 6 to 10 thou", "lash 14, spec 6 to 10 thou"},
		{"-0.004 in", "-0.004 in"},
		{"+2 thou", "+2 thou"},
		{"- a list", `\- a list`},
		{"+ a list", `\+ a list`},
		{"---", `\---`},
		{"-", `\-`},
		{"1. step\n2) step", "1\\. step\n2\\) step"},
		{"0.238 in", "0.238 in"},
		{"12.", `12\.`},
		{"# 3", `\# 3`},
		{"job #3", "job #3"},
		{"> 10 thou", `\> 10 thou`},
		{"a > b", "a > b"},
		{"*bold* _it_ `code` [x](y) ~~no~~ a|b", "\\*bold\\* \\_it\\_ \\`code\\` \\[x](y) \\~\\~no\\~\\~ a\\|b"},
		{`a\b`, `a\\b`},
		{"    four spaces\n\ttab", nbsp + nbsp + nbsp + nbsp + "four spaces\n" + nbsp + nbsp + "tab"},
		{"see https://chat.example.org/a_b*c now_", "see https://chat.example.org/a_b*c now\\_"},
		{":toe: 14:30:05 :100: :+1:", ":\u200btoe: 14:30:05 :\u200b100: :\u200b+1:"},
		{"@all @ 5 a@b", "@\u200ball @ 5 a@\u200bb"},
		{"```\n  a_b | c\n@all\n```\n*x*", "```\n  a_b | c\n@\u200ball\n```\n\\*x\\*"},
		{"```\nnever closed *x*", "\\`\\`\\`\nnever closed \\*x\\*"},
		{"größer 👍🏽 – µm", "größer 👍🏽 – µm"},
		{"", ""},
	} {
		if got := escape(c.text); got != c.want {
			t.Errorf("%q: %q, want %q", c.text, got, c.want)
		}
	}
}

// Whatever a text holds, people see it as it is, nobody is notified by it, and it
// does not double.
func TestAnyTextIsShownAsItIs(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.StringOf(rapid.OneOf(
			rapid.SampledFrom([]rune("*_`[]()~|\\#>+-.:@ \n1a0ä👍")), rapid.Rune(),
		)).Draw(t, "text")
		if strings.Contains(text, "```") || strings.ContainsAny(text, "\u00a0\u200b\t") || strings.Contains(text, "http") || !utf8.ValidString(text) {
			t.Skip("what is not compared here")
		}
		got := escape(text)
		if seen := mmtest.Plain(got); seen != text {
			t.Fatalf("%q is seen as %q through %q", text, seen, got)
		}
		if n, m := utf8.RuneCountInString(got), utf8.RuneCountInString(text); n > 2*m {
			t.Fatalf("%d characters become %d", m, n)
		}
		for _, name := range []string{"a", "1", "ä"} {
			if newMention(name).any.MatchString(got) {
				t.Fatalf("%q calls @%s", got, name)
			}
		}
	})
}
