package bot

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"shimwright/bot/remind"
	"shimwright/bot/store"
	"shimwright/bot/store/boltstore"
	"shimwright/dialogs"
)

// lookDesk is a desk with looks: "look …" asks for one, and what is said next but
// questions ends it. "again" calls its people up once more.
type lookDesk struct {
	relayDesk
	shown *sync.Map // by the text of an answer, the look it was written below
}

// openLookOf gives the number of a job's looks and whether the last one is open.
func openLookOf(j *dialogs.Job) (n int, open bool, by string) {
	if j == nil {
		return 0, false, ""
	}
	for _, e := range j.Log {
		if strings.HasPrefix(e.Said, "look") {
			n, open, by = n+1, true, e.By
		} else if open && e.Kind != "opened" {
			open = false
		}
	}
	return n, open && !j.Closed, by
}

func (d lookDesk) Answer(j *dialogs.Job, s dialogs.Said) (dialogs.Reply, error) {
	d.shown.Store(s.Text, s.Shown)
	r, err := d.relayDesk.Answer(j, s)
	n, open, _ := openLookOf(j)
	switch {
	case strings.HasPrefix(s.Text, "look") && err == nil:
		r.Out = append(r.Out, dialogs.Outgoing{Text: fmt.Sprintf("card %d", n+1), Ping: []string{"mentor"}, Look: n + 1})
	case s.Text == "again" && open:
		return dialogs.Reply{Out: []dialogs.Outgoing{{Text: "called again", Ping: []string{"mentor"}, Look: n}}}, nil
	}
	return r, err
}

func (lookDesk) OpenLook(j *dialogs.Job) dialogs.OpenLook {
	n, open, by := openLookOf(j)
	if !open {
		return dialogs.OpenLook{}
	}
	return dialogs.OpenLook{Look: n, To: []string{"mentor"}, Not: []string{by}}
}

func (lookDesk) PrivateLook(j *dialogs.Job, to dialogs.Person, _, link string, _ time.Time) (dialogs.Outgoing, bool) {
	n, open, by := openLookOf(j)
	return dialogs.Outgoing{Text: fmt.Sprintf("card %d of job %d for %s%s", n, j.Number, to.Name, link), Choices: []string{fmt.Sprintf("approve %d", n)}}, open && by != to.Name
}

func (lookDesk) LookAgain(j *dialogs.Job, look int, to dialogs.Person, _ time.Time) (dialogs.Outgoing, bool) {
	n, open, _ := openLookOf(j)
	return dialogs.Outgoing{Text: fmt.Sprintf("%s, look %d of job %d waits", to.Name, look, j.Number)}, open && n == look
}

func (lookDesk) LookOver(j *dialogs.Job, look int, to dialogs.Person) string {
	return fmt.Sprintf("look %d of job %d is over", look, j.Number)
}

func (lookDesk) LookUnreached(look int, who string) dialogs.Outgoing {
	return dialogs.Outgoing{Text: fmt.Sprintf("%s: look %d is here", who, look), Ping: []string{who}}
}

func (lookDesk) LookWord(s dialogs.Said) dialogs.LookWord {
	var w dialogs.LookWord
	w.Text = s.Text
	if n, _ := fmt.Sscanf(s.Text, "job %d", &w.Job); n == 1 {
		w.Text = strings.Join(strings.Fields(s.Text)[2:], " ")
	}
	for _, word := range []string{"approve", "hold", "why"} {
		w.Answer = w.Answer || strings.HasPrefix(w.Text, word)
	}
	fmt.Sscanf(w.Text, "approve %d", &w.Look)
	return w
}

func (lookDesk) WhichLook(to dialogs.Person, looks []dialogs.LookRef) dialogs.Outgoing {
	return dialogs.Outgoing{Text: fmt.Sprintf("which of %v", looks)}
}

// lookShop is a shop whose mentors mia and max take private cards.
type lookShop struct {
	*shop
	p     *privatePlatform
	shown *sync.Map
}

func newLookShop(t *testing.T, options ...shopOption) *lookShop {
	l := &lookShop{p: &privatePlatform{editPlatform: *newEditPlatform()}, shown: &sync.Map{}}
	l.shop = newShop(t, l.p, append([]shopOption{l.desks}, options...)...)
	return l
}

func (l *lookShop) desks(c *Config, s *shop) {
	c.Desk = func() Desk { return lookDesk{relayDesk{s.desk}, l.shown} }
}

// says has somebody say something in private.
func (l *lookShop) says(who, text string) Message {
	m := l.message(Place("with-u-"+who), text)
	m.Author, m.Addressed = UserID("u-"+who), true
	return m
}

// below gives the look a message was taken to be written below.
func (l *lookShop) below(text string) any {
	v, _ := l.shown.Load(text)
	return v
}

// standing gives what is to be read at a place now, posts that were edited as they are.
func (p *privatePlatform) standing(at Place) []string {
	p.mu.Lock()
	defer p.mu.Unlock()
	var out []string
	for _, s := range p.posts {
		if s.place != at {
			continue
		}
		text := s.post.Text
		for _, e := range p.edits {
			if e.nonce == "out-"+s.nonce {
				text = e.post.Text
			}
		}
		out = append(out, text)
	}
	return out
}

func (p *privatePlatform) pings(at Place) (out []string) {
	p.mu.Lock()
	defer p.mu.Unlock()
	for _, s := range p.posts {
		if s.place == at {
			for _, u := range s.post.Ping {
				out = append(out, string(u))
			}
		}
	}
	return out
}

func TestALookReachesItsMentorsInPrivate(t *testing.T) {
	l := newLookShop(t)
	l.hear(l.message("bay", "open rear"))
	l.hear(l.message("bay", "look here"))
	same(t, "mia", l.p.standing("with-u-mia"), "card 1 of job 1 for mia")
	same(t, "max", l.p.standing("with-u-max"), "card 1 of job 1 for max")
	same(t, "ann", l.p.texts("with-u-ann"))
	same(t, "in the thread", l.p.texts("bay")[1:], "2: look here", "card 1")
	same(t, "notified there", l.p.pings("bay"))
	m := l.says("mia", "approve")
	l.hear(m)
	l.hear(m) // delivered again
	same(t, "logged", l.facts(1), "look here", "approve")
	if got := l.below("approve"); got != 1 {
		t.Errorf("written below look %v", got)
	}
	same(t, "told at home", l.p.texts("bay")[3:], "mia on chat: approve / 3: approve")
	same(t, "mia's card", l.p.standing("with-u-mia"), "look 1 of job 1 is over", "3: approve")
	same(t, "max's card", l.p.standing("with-u-max"), "look 1 of job 1 is over")

	// What comes too late is held against the look it was written below, in the same job.
	l.hear(l.says("max", "approve it"))
	same(t, "logged late", l.facts(1), "look here", "approve", "approve it")
	if got := l.below("approve it"); got != 1 {
		t.Errorf("written below look %v", got)
	}
}

// The card of a look that opens while its author may not see another is the only one a
// word without a number means, whatever the job asks by then.
func TestAWordInPrivateIsBoundToTheCardAboveIt(t *testing.T) {
	l := newLookShop(t)
	l.hear(l.message("bay", "open rear"))
	l.hear(l.message("bay", "look one"))
	early := l.says("mia", "approve")
	l.hear(l.message("bay", "lash 9")) // look 1 is over
	l.hear(l.message("bay", "look two"))
	same(t, "mia", l.p.standing("with-u-mia"), "look 1 of job 1 is over", "card 2 of job 1 for mia")
	l.hear(early) // written before that, and come late
	if got := l.below("approve"); got != 1 {
		t.Errorf("a word that was written below look 1 counts for look %v", got)
	}
	l.hear(l.message("bay", "look three"))
	reply := l.says("mia", "approve that")
	reply.ReplyTo = "out-" + MessageID(l.p.nonceOf("card 2 of job 1 for mia"))
	l.hear(reply)
	if got := l.below("approve that"); got != 2 {
		t.Errorf("a reply to the card of look 2 counts for look %v", got)
	}
	var told []string
	press := l.pressing("with-u-mia", "u-mia", "approve 3", "out-"+MessageID(l.p.nonceOf("card 3 of job 1 for mia")), &told)
	l.hear(press)
	l.hear(l.pressing("with-u-mia", "u-mia", "approve 3", "out-"+MessageID(l.p.nonceOf("card 3 of job 1 for mia")), &told))
	same(t, "presses", told, "overtaken", "overtaken") // approve that ended it
}

// A press on a card nobody remembers decides nothing, least of all for the job the
// talk is about.
func TestAPressOnAForgottenCard(t *testing.T) {
	l := newLookShop(t)
	l.hear(l.message("bay", "open rear"))
	l.hear(l.message("bay", "look one"))
	l.hear(l.message("pit", "open front"))
	l.hear(l.says("mia", "switch 2"))
	var told []string
	l.hear(l.pressing("with-u-mia", "u-mia", "approve 1", "out-long-ago", &told))
	same(t, "told", told, "overtaken")
	same(t, "job 1", l.facts(1), "look one")
	same(t, "job 2", l.facts(2))
}

// A card that was pressed before it is noted is the one that is on its way.
func TestAPressOnACardThatIsBeingSent(t *testing.T) {
	book := privateBook{cards: []ownCard{
		{Job: 1, Look: 1, Nonce: "a", Place: "alone", Posts: []MessageID{"p"}, At: time.Now()},
		{Job: 2, Look: 3, Nonce: "b", Place: "alone"},
	}}
	l := newLookShop(t)
	for _, c := range []struct {
		w         dialogs.LookWord
		look      int
		overtaken bool
	}{
		{dialogs.LookWord{Answer: true, Look: 3}, 3, false},
		{dialogs.LookWord{Answer: true, Look: 1}, 0, true},
		{dialogs.LookWord{}, 0, false},
	} {
		u := &turn{bot: l.bot, m: Message{Place: "alone", Pressed: "q"}}
		u.pressedBare(look{}, book, c.w)
		if u.said.Shown != c.look || u.press.overtaken != c.overtaken {
			t.Errorf("%+v: look %d, overtaken %v", c.w, u.said.Shown, u.press.overtaken)
		}
	}
}

func (p *privatePlatform) nonceOf(text string) string {
	p.mu.Lock()
	defer p.mu.Unlock()
	for _, s := range p.posts {
		if s.post.Text == text {
			return s.nonce
		}
	}
	return "none"
}

func TestSeveralJobsInOnePrivateTalk(t *testing.T) {
	l := newLookShop(t)
	for _, bay := range []Place{"bay", "pit", "yard"} {
		l.hear(l.message(bay, "open rear"))
	}
	l.hear(l.message("bay", "look one"))
	l.hear(l.message("pit", "look one"))
	at := Place("with-u-mia")
	same(t, "asked which", l.hear(l.says("mia", "approve")), "which of [{1 1} {2 1}]")
	same(t, "also with a number both have", l.hear(l.says("mia", "approve 1")), "which of [{1 1} {2 1}]")
	same(t, "nothing logged", append(l.facts(1), l.facts(2)...), "look one", "look one")
	l.hear(l.says("mia", "job 2 approve"))
	same(t, "the one named", l.facts(2), "look one", "approve")
	if got := l.below("approve"); got != 1 {
		t.Errorf("written below look %v", got)
	}
	l.hear(l.says("mia", "hold it"))
	same(t, "the only one left", l.facts(1), "look one", "hold it")
	// A job they went to themselves is the one they talk about, until another card comes.
	l.hear(l.message("bay", "look two"))
	l.hear(l.says("mia", "switch 3"))
	l.hear(l.says("mia", "hold that"))
	same(t, "where they went", l.facts(3), "hold that")
	l.hear(l.message("pit", "look two"))
	same(t, "two again", l.hear(l.says("mia", "why")), "which of [{1 2} {2 2}]")
	l.hear(l.says("mia", "lash 7"))
	same(t, "a reading is of the job they went to", l.facts(3), "hold that", "lash 7")
	if n := len(l.p.texts(at)); n == 0 {
		t.Error("nothing was answered")
	}
}

func TestWhoIsNotReachedIsCalledInTheThread(t *testing.T) {
	var later atomic.Int64
	people := func(c *Config, _ *shop) {
		c.Now = func() time.Time { return time.Now().Add(time.Duration(later.Load())) }
		c.People = append(c.People, Person{Name: "nix", Role: dialogs.Mentor, Accounts: map[string]UserID{"chat": "u-nobody"}})
	}
	l := newLookShop(t, people)
	l.hear(l.message("bay", "open rear"))
	l.hear(l.message("bay", "look one"))
	same(t, "in the thread", l.p.texts("bay")[1:], "2: look one", "card 1", "nix: look 1 is here")
	same(t, "notified there", l.p.pings("bay"), "u-nobody")
	l.hear(l.message("bay", "again"))
	same(t, "called again", l.p.pings("bay")[1:], "u-nobody")
	same(t, "just shown", l.p.texts("with-u-mia"), "card 1 of job 1 for mia")
	later.Store(int64(justShown))
	l.hear(l.message("bay", "again"))
	same(t, "in private", l.p.texts("with-u-mia"), "card 1 of job 1 for mia", "mia, look 1 of job 1 waits")
	l.hear(l.message("bay", "lash 9"))
	same(t, "over without a card", l.p.texts("with-u-nobody"))
}

// A platform that has no time puts the card off: the job is told when that takes long,
// and what was decided meanwhile is not shown any more.
func TestACardThatIsPutOff(t *testing.T) {
	l := newLookShop(t)
	var tries atomic.Int32
	l.p.fail = func(to Place, p Post, _ string) error {
		if to == "with-u-mia" && strings.HasPrefix(p.Text, "card") {
			tries.Add(1)
			return &LaterError{After: time.Minute, Err: errors.New("slow down")}
		}
		return nil
	}
	l.hear(l.message("bay", "open rear"))
	l.hear(l.message("bay", "look one"))
	same(t, "the job goes on", l.p.texts("bay")[1:], "2: look one", "card 1", "mia: look 1 is here")
	same(t, "max has it", l.p.standing("with-u-max"), "card 1 of job 1 for max")
	if n := tries.Load(); n != 1 {
		t.Errorf("%d tries", n)
	}
}

func TestNoCardForWhomItIsNot(t *testing.T) {
	quiet := remind.Quiet{From: 0, To: 1439}
	l := newLookShop(t, func(c *Config, _ *shop) { c.People[2].Quiet = quiet })
	l.hear(l.message("bay", "open rear"))
	l.hear(l.says("mia", "called thread"))
	l.hear(l.message("bay", "look one"))
	same(t, "switched off", l.p.texts("with-u-mia"), "called thread")
	same(t, "quiet hours", l.p.texts("with-u-max"))
	same(t, "notified in the thread", l.p.pings("bay"), "u-mia")
	// At their end max is no mentor any more.
	waiting, err := l.store.Waiting(t.Context(), callee{On: "chat", Who: "u-max"}.stream())
	if err != nil || len(waiting) != 1 || waiting[0].Due.Before(time.Now()) {
		t.Fatalf("waits: %+v, %v", waiting, err)
	}
	l.restart(l.desks, func(c *Config, _ *shop) { c.People[2].Role = dialogs.Technician })
	if err := l.bot.ownLook(t.Context(), waiting[0]); err != nil {
		t.Fatal(err)
	}
	same(t, "no mentor any more", l.p.texts("with-u-max"))
	l.restart(l.desks, func(c *Config, _ *shop) { c.People[0].Role = dialogs.Mentor })
	l.hear(l.says("mia", "called private"))
	l.hear(l.message("bay", "look two")) // ann's own
	same(t, "the author's own", l.p.texts("with-u-ann"))
	same(t, "switched on", l.p.standing("with-u-mia")[2:], "card 2 of job 1 for mia")
}

// Killed between any two writes, with another process on the same queue, each card is
// shown once and ends as what the job is.
func TestCardsOutliveCrashes(t *testing.T) {
	for _, kill := range []string{"Direct", "sent", "noted", "over"} {
		t.Run(kill, func(t *testing.T) {
			l := newLookShop(t)
			var dead atomic.Bool
			dead.Store(true)
			broke := errors.New("killed")
			l.p.fail = func(to Place, p Post, nonce string) error {
				if !dead.Load() || to != "with-u-mia" {
					return nil
				}
				if kill == "sent" && strings.HasPrefix(p.Text, "card") { // it went out, nobody knows
					if !l.p.nonces[nonce] {
						if l.p.nonces == nil {
							l.p.nonces = map[string]bool{}
						}
						l.p.nonces[nonce] = true
						l.p.posts = append(l.p.posts, shown{to, p, nonce})
					}
					return broke
				}
				if kill == "noted" && strings.HasPrefix(p.Text, "card") {
					return broke
				}
				return nil
			}
			l.p.away.Store(kill == "Direct")
			l.hear(l.message("bay", "open rear"))
			l.hear(l.message("bay", "look one"))
			l.end()
			l.p.away.Store(false)
			if kill == "over" {
				l.start(l.desks)
				l.hear(l.message("bay", "lash 9"))
				l.end()
			}
			dead.Store(false)
			l.start(l.desks)
			other := l.another(t)
			if kill == "sent" {
				l.hear(l.message("bay", "lash 9"))
			}
			want := []string{"card 1 of job 1 for mia"}
			if kill == "over" || kill == "sent" {
				want[0] = "look 1 of job 1 is over"
			}
			l.until("mia's card", func() bool { return slices.Equal(l.p.standing("with-u-mia"), want) })
			other()
			l.settle()
			same(t, "in the end", l.p.standing("with-u-mia"), want...)
		})
	}
}

// another runs a second bot on the same store.
func (l *lookShop) another(t *testing.T) (end func()) {
	b, err := New(Config{
		Store: l.store, Desk: func() Desk { return lookDesk{relayDesk{l.desk}, l.shown} }, Now: time.Now, Log: slog.New(slog.DiscardHandler),
		People: l.bot.people.all, Adapters: map[string]Adapter{"chat": l.p},
	})
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(t.Context())
	done := make(chan error, 1)
	go func() { done <- b.Run(ctx) }()
	return func() {
		cancel()
		if err := <-done; err != nil {
			t.Error(err)
		}
	}
}

// A job lives on one platform, its mentor on the other: the card goes there, unless
// that platform has a place where people are called.
func TestACardOnTheOtherPlatform(t *testing.T) {
	for _, reviews := range []bool{false, true} {
		l := &lookShop{shown: &sync.Map{}}
		chat, line := &privatePlatform{editPlatform: *newEditPlatform()}, &privatePlatform{editPlatform: *newEditPlatform()}
		l.p = chat
		l.shop = newShop(t, chat, l.desks, func(c *Config, _ *shop) {
			c.Adapters = map[string]Adapter{"chat": chat, "line": line}
			c.People = append(c.People[:1], Person{Name: "moe", Role: dialogs.Mentor, Accounts: map[string]UserID{"line": "l-moe"}})
			if reviews {
				c.Reviews = map[string]Place{"line": "queue"}
			}
		})
		l.hear(l.message("bay", "open rear"))
		l.hear(l.message("bay", "look one"))
		if reviews {
			same(t, "at the place for reviews", line.texts(""), "card 1\n: job 1 on chat, false")
			continue
		}
		same(t, "on line", line.texts(""), "card 1 of job 1 for moe")
		l.on(t, "line", Message{Place: "with-l-moe", Author: "l-moe", ID: "x1", Text: "approve", Addressed: true})
		same(t, "logged", l.facts(1), "look one", "approve")
		same(t, "told at home", chat.texts("bay")[3:], "moe on line: approve / 3: approve")
		same(t, "in its place", line.standing("with-l-moe"), "look 1 of job 1 is over", "3: approve")
	}
}

// What is kept of cards names nobody once the job was taken out.
func TestErasingTakesCardsOut(t *testing.T) {
	l := newLookShop(t)
	l.hear(l.message("bay", "open rear"))
	l.hear(l.message("bay", "look one"))
	l.hear(l.message("bay", "close"))
	work := erasure{Number: 1, At: time.Now(), Salt: "salt"}
	if err := l.bot.eraseCards(t.Context(), work); err != nil {
		t.Fatal(err)
	}
	for _, stream := range []string{cardStream(account{"chat", "u-mia"}), calledStream(1)} {
		records, err := l.store.Events(t.Context(), stream, 0)
		if err != nil || len(records) < 2 {
			t.Fatalf("%s: %d records, %v", stream, len(records), err)
		}
		for _, r := range records {
			for _, gone := range []string{"with-", "out-", "mia", "max"} {
				if strings.Contains(string(r), gone) {
					t.Errorf("%s: %s", stream, r)
				}
			}
		}
	}
	book, err := l.bot.bookOf(t.Context(), account{"chat", "u-mia"})
	if err != nil || book.place != "" {
		t.Errorf("read again: %+v, %v", book, err)
	}
	// The store stays one that Audit can read.
	l.end()
	backend, err := boltstore.Open(l.path, time.Second)
	if err != nil {
		t.Fatal(err)
	}
	defer backend.Close()
	if _, err := Audit(t.Context(), backend, time.Now(), func(f store.Finding) { t.Errorf("found %v", f) }); err != nil {
		t.Error(err)
	}
}
