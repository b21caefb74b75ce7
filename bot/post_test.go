package bot

import (
	"bytes"
	"context"
	"fmt"
	"image/png"
	"slices"
	"strings"
	"testing"

	"shimwright/dialogs"
)

func TestLongAnswersAreSplitWithNoncesOfTheirOwn(t *testing.T) {
	p := &plainPlatform{limit: 40}
	s := newShop(t, p)
	s.hear(s.message("bay", "open rear"))
	got := s.hear(s.message("bay", "say the left stack is 0.238 in, the right stack is 0.242 in, the pinion shim is 0.031 in"))
	if len(got) < 3 {
		t.Fatalf("only %d parts: %q", len(got), got)
	}
	for _, part := range got {
		if runes(part) > 40 {
			t.Errorf("%q is too long", part)
		}
	}
	for _, q := range []string{"0.238 in", "0.242 in", "0.031 in"} {
		if !slices.ContainsFunc(got, func(part string) bool { return strings.Contains(part, q) }) {
			t.Errorf("%s was cut: %q", q, got)
		}
	}
	var ids []string
	for i, post := range p.posts[1:] {
		id, n, _ := strings.Cut(post.nonce, ".")
		if n != fmt.Sprint(i+1) || len(post.nonce) > 25 {
			t.Errorf("part %d has the nonce %q", i+1, post.nonce)
		}
		ids = append(ids, id)
	}
	if len(slices.Compact(ids)) != 1 {
		t.Errorf("nonces of one message: %q", ids)
	}
}

// richPlatform can show files and choices.
type richPlatform struct {
	plainPlatform
	files, choices, length int
}

func (p *richPlatform) FileLimits() (int, int)   { return p.files, 1 << 20 }
func (p *richPlatform) ChoiceLimits() (int, int) { return p.choices, p.length }

func TestChoices(t *testing.T) {
	plain := &plainPlatform{}
	s := newShop(t, plain)
	s.hear(s.message("bay", "open rear"))
	same(t, "typed", s.hear(s.message("bay", "choose")), "which?\n1) drive  2) coast")

	for _, c := range []struct {
		name          string
		count, length int
		pressed       bool
	}{{"fit", 2, 5, true}, {"too many", 1, 80, false}, {"too long", 5, 4, false}, {"no buttons now", 0, 0, false}} {
		t.Run(c.name, func(t *testing.T) {
			p := &richPlatform{choices: c.count, length: c.length}
			s := newShop(t, p)
			s.hear(s.message("bay", "open rear"))
			s.hear(s.message("bay", "choose"))
			last := p.posts[len(p.posts)-1].post
			if c.pressed {
				same(t, "buttons", last.Choices, "drive", "coast")
				same(t, "text", []string{last.Text}, "which?")
			} else {
				same(t, "buttons", last.Choices)
				same(t, "text", []string{last.Text}, "which?\n1) drive  2) coast")
			}
		})
	}
}

// editPlatform can change its posts.
type editPlatform struct {
	richPlatform
	edits []shown
}

func (p *editPlatform) Edit(_ context.Context, at Place, id MessageID, post Post) error {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.edits = append(p.edits, shown{at, post, string(id)})
	return nil
}

func TestOvertakenChoicesAreTakenOff(t *testing.T) {
	p := &editPlatform{richPlatform: richPlatform{choices: 5, length: 80}}
	s := newShop(t, p)
	s.hear(s.message("bay", "open rear"))
	s.hear(s.message("bay2", "open front"))
	s.hear(s.message("bay", "choose"))
	id := "out-" + p.posts[len(p.posts)-1].nonce
	s.hear(s.message("bay2", "lash 14"))
	if len(p.edits) != 0 {
		t.Fatalf("an answer elsewhere takes them off: %+v", p.edits)
	}
	s.hear(s.message("bay", "drive"))
	if len(p.edits) != 1 || p.edits[0].nonce != id || p.edits[0].post.Text != "which?" || p.edits[0].post.Choices != nil {
		t.Fatalf("edits: %+v, of post %s", p.edits, id)
	}
	s.hear(s.message("bay", "lash 14"))
	if len(p.edits) != 1 {
		t.Errorf("they are taken off once, not %d times", len(p.edits))
	}
}

func TestChoiceTextFitsAPhone(t *testing.T) {
	got := ChoiceText([]string{"the drive side pattern", "the coast side pattern", "both of them"})
	if want := "1) the drive side pattern\n2) the coast side pattern\n3) both of them"; got != want {
		t.Errorf("got %q", got)
	}
}

func TestPictures(t *testing.T) {
	p := &richPlatform{files: 1}
	s := newShop(t, p)
	s.hear(s.message("bay", "open rear"))
	s.hear(s.message("bay", "draw"))
	last := p.posts[len(p.posts)-1].post
	if len(last.Files) != 1 || last.Text != "see" {
		t.Fatalf("posted: %q with %d files", last.Text, len(last.Files))
	}
	f := last.Files[0]
	if _, err := png.Decode(bytes.NewReader(f.Data)); err != nil || f.Type != "image/png" || f.Name != "cells.png" || f.Alt == "" || strings.Contains(f.Alt, "\n") {
		t.Errorf("the file: %q %q %q %v", f.Name, f.Type, f.Alt, err)
	}

	plain := &plainPlatform{}
	s = newShop(t, plain)
	s.hear(s.message("bay", "open rear"))
	same(t, "where there are no files it is told in words", s.hear(s.message("bay", "draw")), "see\n[picture: "+f.Alt+"]")
}

func TestPingsReachPeopleAndRoles(t *testing.T) {
	p := &plainPlatform{}
	s := newShop(t, p)
	s.hear(s.message("bay", "open rear"))
	for _, c := range []struct {
		call string
		want []UserID
	}{{"mentor", []UserID{"u-mia", "u-max"}}, {"max", []UserID{"u-max"}}, {"nobody", nil}} {
		s.hear(s.message("bay", "call "+c.call))
		if got := p.posts[len(p.posts)-1].post.Ping; !slices.Equal(got, c.want) {
			t.Errorf("call %s: %q, want %q", c.call, got, c.want)
		}
	}
}

func TestPeopleMustBeClear(t *testing.T) {
	for _, list := range [][]Person{
		{{Name: ""}},
		{{Name: "ann"}, {Name: "ann"}},
		{{Name: "ann", Accounts: map[string]UserID{"chat": "1"}}, {Name: "ben", Accounts: map[string]UserID{"chat": "1"}}},
	} {
		if _, err := newPeople(list, nil); err == nil {
			t.Errorf("%+v is accepted", list)
		}
	}
}

// headingPlatform shows large lines.
type headingPlatform struct{ plainPlatform }

func (p *headingPlatform) LargeCost() int { return 2 }

func TestLargeLinesReachThePlatformsThatHaveThem(t *testing.T) {
	s := newShop(t, &plainPlatform{})
	out := dialogs.Outgoing{Text: "left 0.238 in @all\nnext: drive?", Large: []string{"left 0.238 in @all"}}
	for _, c := range []struct {
		a    Adapter
		want []string
	}{{&headingPlatform{}, []string{"left 0.238 in @\u200ball"}}, {&plainPlatform{}, nil}} {
		posts, err := s.bot.compose(t.Context(), c.a, "x", out, nil)
		if err != nil || len(posts) != 1 || !slices.Equal(posts[0].Large, c.want) {
			t.Errorf("%T: %+v, %v", c.a, posts, err)
		}
	}
	p := &headingPlatform{plainPlatform{limit: 31}}
	posts, err := s.bot.compose(t.Context(), p, "x", out, nil)
	if err != nil || len(posts) != 2 || !posts[0].IsLarge("left 0.238 in @\u200ball") {
		t.Errorf("split: %+v, %v", posts, err)
	}
	for _, post := range posts {
		if n := runes(post.Text); n > 31-2 {
			t.Errorf("%q has %d characters and no room for its heading", post.Text, n)
		}
	}
}
