package bot

import (
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"pgregory.net/rapid"
)

func TestCleanMakesTextFitToRead(t *testing.T) {
	for _, c := range []struct{ in, want string }{
		{"  lash 14  ", "lash 14"},
		{"lash\t14\r\ncoast low", "lash 14\ncoast low"},
		{"\x1b[31mlash 14\x1b[0m", "lash 14"},
		{"\x1b]0;title\x07lash 14", "lash 14"},
		{"lash 1\x004", "lash 1 4"},            // never 14: nobody typed that
		{"lash 1\x1b[0m4", "lash 1 4"},         // the same
		{"lash 1\xff4", "lash 1\uFFFD4"},       // broken bytes do not join numbers either
		{"lash 1\u200b4", "lash 14"},           // a phone's invisible break
		{"\u202elash 14", "lash 14"},           // text that would run backwards
		{"👍🏽 \u2764\ufe0f", "👍🏽 \u2764\ufe0f"}, // skin tones and variation selectors stay
		{"a\u2028b", "a\nb"},
		{"\x07\x08", ""},
	} {
		if got := clean(c.in); got != c.want {
			t.Errorf("clean(%q) = %q, want %q", c.in, got, c.want)
		}
	}
}

func TestCleanProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := string(rapid.SliceOf(rapid.Byte()).Draw(t, "bytes"))
		out := clean(in)
		if !utf8.ValidString(out) {
			t.Fatalf("not UTF-8: %q", out)
		}
		for _, r := range out {
			if r != '\n' && unicode.IsControl(r) {
				t.Fatalf("%q has the control character %U", out, r)
			}
		}
		if again := clean(out); again != out {
			t.Fatalf("cleaning %q twice gives %q", out, again)
		}
	})
}

func TestDefuseRingsNobody(t *testing.T) {
	for _, text := range []string{"@everyone look", "hey @here", "@all", "ask @channel", "<@123>", "<@&77>", "<@!9>", "<!channel>", "@Everyone", "x@all"} {
		got := defuse(text)
		for _, bad := range []string{"@everyone", "@here", "@all", "@channel", "<@1", "@&", "@!", "<!", "@E"} {
			if strings.Contains(got, bad) {
				t.Errorf("defuse(%q) = %q still has %q", text, got, bad)
			}
		}
		if strings.ReplaceAll(got, "\u200B", "") != text {
			t.Errorf("defuse(%q) = %q changes what is seen", text, got)
		}
	}
	for _, text := range []string{"lash 8 at 12 o'clock", "left @ 0.230 in", "1 < 2"} {
		if got := defuse(text); got != text {
			t.Errorf("defuse(%q) = %q, and nothing there notifies anybody", text, got)
		}
	}
}

func TestCalledByName(t *testing.T) {
	names := []string{"shimwright", "bot"}
	for _, c := range []struct {
		in, rest string
		called   bool
	}{
		{"bot, where are we", "where are we", true},
		{"@bot lash 14", "lash 14", true},
		{"Bot: undo", "undo", true},
		{"Shimwright what now", "what now", true},
		{"bot", "bot", true},
		{"bot?", "bot?", true},
		{"bottom of the tooth", "bottom of the tooth", false},
		{"the bot is down", "the bot is down", false},
		{"", "", false},
	} {
		rest, called := calledBy(names, c.in)
		if rest != c.rest || called != c.called {
			t.Errorf("calledBy(%q) = %q, %v, want %q, %v", c.in, rest, called, c.rest, c.called)
		}
	}
}
