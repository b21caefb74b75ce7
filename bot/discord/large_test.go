package discord

import (
	"strings"
	"testing"

	"shimwright/bot"
)

func TestLargeLinesAreHeadings(t *testing.T) {
	for _, c := range []struct {
		name, text string
		large      []string
		want       string
	}{
		{"none", "lash 8\nnext: drive?", nil, "lash 8\nnext: drive?"},
		{"the next line", "lash 8\nnext: drive?", []string{"next: drive?"}, "lash 8\n# next: drive?"},
		{"space before it", "  next: x", []string{"  next: x"}, "# next: x"},
		{"a line that was cut", "next: dri\nve", []string{"next: drive"}, "next: dri\nve"},
		{"an empty line", "a\n\nb", []string{""}, "a\n\nb"},
	} {
		m, _, err := compose(bot.Post{Text: c.text, Large: c.large, Ping: []bot.UserID{"77"}}, "n")
		if err != nil {
			t.Fatal(err)
		}
		// Who is called stands below, so that a heading begins its line.
		if want := c.want + "\n<@77>"; m.Content != want {
			t.Errorf("%s: %q, want %q", c.name, m.Content, want)
		}
	}
}

// The longest post with large lines is one Discord still takes.
func TestALongPostTakesItsLargeLines(t *testing.T) {
	a := &Adapter{}
	large := []string{"next: drive?"}
	text := large[0] + "\n" + strings.Repeat("x", a.Limits().Text-len(large[0])-1-a.LargeCost())
	if _, _, err := compose(bot.Post{Text: text, Large: large}, "n"); err != nil {
		t.Error(err)
	}
}
