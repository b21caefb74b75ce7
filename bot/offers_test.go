package bot

import (
	"context"
	"strings"
	"testing"
)

// pressing is a press of a choice on the post shown last, and what its author is told.
func (s *shop) pressing(at Place, who UserID, text string, on MessageID, told *[]string) Message {
	m := s.message(at, text)
	m.Author, m.Pressed = who, on
	m.Whisper = func(_ context.Context, text string) error { *told = append(*told, text); return nil }
	return m
}

func (p *editPlatform) lastID() MessageID {
	p.mu.Lock()
	defer p.mu.Unlock()
	return MessageID("out-" + p.posts[len(p.posts)-1].nonce)
}

func newEditPlatform() *editPlatform {
	return &editPlatform{richPlatform: richPlatform{choices: 5, length: 80}}
}

// What was offered is known after a restart: the old post loses its choices then, and
// a press on it counts for nothing.
func TestOffersOutliveTheProcess(t *testing.T) {
	p := newEditPlatform()
	s := newShop(t, p)
	var told []string
	s.hear(s.message("bay", "open rear"))
	s.hear(s.message("bay", "choose"))
	first := p.lastID()
	s.restart()
	same(t, "pressed after a restart", s.hear(s.pressing("bay", "u-ann", "drive", first, &told)), "2: drive")
	if len(p.edits) != 1 || p.edits[0].nonce != string(first) || p.edits[0].post.Text != "which?" || p.edits[0].post.Choices != nil {
		t.Fatalf("edits %+v, of %s", p.edits, first)
	}
	same(t, "pressed once more", s.hear(s.pressing("bay", "u-ann", "coast", first, &told)))
	s.restart()
	s.hear(s.message("bay", "choose"))
	same(t, "after one more", s.hear(s.pressing("bay", "u-ann", "coast", first, &told)))
	same(t, "told alone", told, "overtaken", "overtaken")
	same(t, "logged", s.facts(1), "drive")
	same(t, "a post from before there were records", s.hear(s.pressing("bay", "u-ann", "drive", "out-of-old", &told)), "3: drive")
}

// Two processes share what was offered: the one that posts next takes the other's
// choices off.
func TestOffersOfAnotherProcess(t *testing.T) {
	p := newEditPlatform()
	s := newShop(t, p)
	s.hear(s.message("bay", "open rear"))
	s.hear(s.message("bay", "choose"))
	first := p.lastID()
	other, err := New(Config{
		Store: s.store, Desk: func() Desk { return s.desk }, Now: s.bot.now, Log: s.bot.log,
		People: s.bot.people.all, Adapters: map[string]Adapter{"chat": p},
	})
	if err != nil {
		t.Fatal(err)
	}
	at := spot{"chat", "bay"}
	other.withdraw(t.Context(), p, at, 1, "other", Post{Text: "and now?", Choices: []string{"yes"}}, nil)
	if len(p.edits) != 1 || p.edits[0].nonce != string(first) {
		t.Fatalf("edits %+v", p.edits)
	}
	if got, err := s.bot.pressed(t.Context(), at, first); err != nil || !got.overtaken {
		t.Errorf("here it is %+v, %v", got, err)
	}
	if got, err := s.bot.pressed(t.Context(), at, "other"); err != nil || got.overtaken || got.offer.Job != 1 {
		t.Errorf("the other's is %+v, %v", got, err)
	}
}

// A choice that is for some is theirs alone.
func TestChoicesForSome(t *testing.T) {
	p := newEditPlatform()
	s := newShop(t, p)
	var told []string
	s.hear(s.message("bay", "open rear"))
	for _, who := range []string{"mentor", "mia"} {
		s.hear(s.message("bay", "only "+who))
		post := p.posts[len(p.posts)-1].post
		want := map[string]int{"mentor": 2, "mia": 1}[who]
		if len(post.For) != want || post.For[0] != "u-mia" {
			t.Errorf("for %s: %q may press", who, post.For)
		}
		same(t, "somebody else", s.hear(s.pressing("bay", "u-ann", "approve", p.lastID(), &told)))
		if got := s.hear(s.pressing("bay", "u-mia", "approve", p.lastID(), &told)); len(got) != 1 {
			t.Errorf("the one it is for: %q", got)
		}
	}
	same(t, "told alone", told, "not ann's, mentor", "not ann's, mia")
	same(t, "logged", s.facts(1), "approve", "approve")
	// Where nobody of them is, nothing can be pressed.
	s.hear(s.message("bay", "only owner"))
	if post := p.posts[len(p.posts)-1].post; len(post.Choices) != 0 || post.Text != "go on?\n1) approve" {
		t.Errorf("for nobody here: %+v", post)
	}
}

// A press is about the job whose post it was on, wherever that was shown.
func TestAPressKnowsItsJob(t *testing.T) {
	p := newEditPlatform()
	s := newShop(t, p)
	var told []string
	s.hear(s.message("bay", "open rear"))
	s.hear(s.message("pit", "open front"))
	s.hear(s.message("queue", "switch 1"))
	s.hear(s.message("queue", "choose"))
	rear := p.lastID()
	s.hear(s.message("queue", "switch 2"))
	s.hear(s.message("queue", "choose"))
	front := p.lastID()
	same(t, "the first", s.hear(s.pressing("queue", "u-ann", "drive", rear, &told)), "2: drive")
	same(t, "the second", s.hear(s.pressing("queue", "u-ann", "coast", front, &told)), "2: coast")
	same(t, "of the first", s.facts(1), "drive")
	same(t, "of the second", s.facts(2), "coast")
	same(t, "told", told)
}

// Taken out of a job, its posts' words are gone from what was offered.
func TestOffersAreErased(t *testing.T) {
	p := newEditPlatform()
	s := newShop(t, p)
	s.hear(s.message("bay", "open rear"))
	s.hear(s.message("bay", "only mia"))
	at := spot{"chat", "bay"}
	for range 2 { // it may be done again
		if err := s.bot.eraseOffers(t.Context(), erasure{Number: 1, At: s.bot.now()}); err != nil {
			t.Fatal(err)
		}
	}
	records, err := s.store.Events(t.Context(), offerStream(at), 0)
	if err != nil || len(records) != 2 {
		t.Fatalf("%q, %v", records, err)
	}
	for _, r := range records {
		if strings.Contains(string(r), "go on") || strings.Contains(string(r), "mia") {
			t.Errorf("left: %s", r)
		}
	}
	if got, err := s.bot.pressed(t.Context(), at, p.lastID()); err != nil || !got.overtaken {
		t.Errorf("its choices are %+v, %v", got, err)
	}
}
