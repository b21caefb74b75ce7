package mattermost

import (
	"strings"
	"testing"

	"shimwright/bot"
	"shimwright/bot/mattermost/mmtest"
)

func TestLargeLinesAreHeadings(t *testing.T) {
	for _, c := range []struct {
		name, text string
		large      []string
		want       string
	}{
		{"none", "# lash 8\nnext: drive?", nil, "\\# lash 8\nnext: drive?"},
		{"the next line", "lash 8\nnext: drive *pattern*?", []string{"next: drive *pattern*?"}, "lash 8\n# next: drive \\*pattern\\*?"},
		{"a list in it", "1. lash 8", []string{"1. lash 8"}, "# 1\\. lash 8"},
		{"a heading in it", "# 8 > 6", []string{"# 8 > 6"}, "# \\# 8 > 6"},
		{"space before it", "  next: x", []string{"  next: x"}, "# next: x"},
		{"a line that was cut", "next: dri\nve", []string{"next: drive"}, "next: dri\nve"},
		{"an empty line", "a\n\nb", []string{""}, "a\n\nb"},
		{"beside a fence", "```\nnext\n```\nnext", []string{"next"}, "```\nnext\n```\nnext"},
	} {
		if got := shownText(bot.Post{Text: c.text, Large: c.large}); got != c.want {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
	}
}

// A heading begins its line also where people are called, and stays when the buttons go.
func TestALargeLineStaysLarge(t *testing.T) {
	bubble(t, func(t *testing.T, l *line) {
		l.reachable()
		to := placeOf(l.bay, "")
		post := bot.Post{Text: "next: caps torqued?", Large: []string{"next: caps torqued?"}}
		asked := post
		asked.Choices, asked.Ping = []string{"yes", "no"}, []bot.UserID{bot.UserID(l.ben)}
		id := l.send(to, asked, "n1")
		want := "@ben \n# next: caps torqued?"
		if got := l.server.Raw(string(id)).Message; got != want {
			t.Errorf("sent %q, want %q", got, want)
		}
		if err := l.adapter.Edit(t.Context(), to, id, post); err != nil {
			t.Fatal(err)
		}
		p := l.server.Raw(string(id))
		if p.Message != want || len(mmtest.Actions(p)) > 0 {
			t.Errorf("without its buttons it is %q", p.Message)
		}
	})
	bubble(t, func(t *testing.T, l *line) { // no buttons: the numbers stay to be read
		l.start()
		to := placeOf(l.bay, "")
		post := bot.Post{Text: "next: caps?", Large: []string{"next: caps?"}}
		asked := post
		asked.Choices = []string{"yes", "no"}
		id := l.send(to, asked, "n1")
		if err := l.adapter.Edit(t.Context(), to, id, post); err != nil {
			t.Fatal(err)
		}
		if got := l.server.Raw(string(id)).Message; !strings.HasPrefix(got, "# next: caps?\n1") {
			t.Errorf("it is %q", got)
		}
	})
}
