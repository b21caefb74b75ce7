package bot

import (
	"context"
	"fmt"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"shimwright/dialogs"
)

// relayDesk has words for calls to another platform, too.
type relayDesk struct{ *plainDesk }

func (relayDesk) Away(o dialogs.Outgoing, job int, from string, here bool, to dialogs.Person) dialogs.Outgoing {
	o.Text += fmt.Sprintf("\n%s: job %d on %s, %v", to.Name, job, from, here)
	return o
}

func (relayDesk) Unreached(_ int, who, on string) dialogs.Outgoing {
	return dialogs.Outgoing{Text: who + " is not reached on " + on}
}

func (relayDesk) Told(_ int, by, on, said, answer string) dialogs.Outgoing {
	return dialogs.Outgoing{Text: by + " on " + on + ": " + said + " / " + answer}
}

// privatePlatform has private talks.
type privatePlatform struct {
	editPlatform
	away atomic.Bool
}

func (p *privatePlatform) Direct(_ context.Context, who UserID) (Place, error) {
	switch {
	case p.away.Load():
		return "", fmt.Errorf("not connected")
	case who == "u-nobody":
		return "", fmt.Errorf("%w: no messages, please", ErrRefused)
	}
	return "with-" + Place(who), nil
}

// twoPlatforms is a shop whose job is on chat, with mentors who are on line.
func twoPlatforms(t *testing.T, options ...shopOption) (*shop, *privatePlatform, *privatePlatform) {
	chat := &privatePlatform{editPlatform: *newEditPlatform()}
	line := &privatePlatform{editPlatform: *newEditPlatform()}
	s := newShop(t, chat, append([]shopOption{func(c *Config, s *shop) {
		c.Desk = func() Desk { return relayDesk{s.desk} }
		c.Adapters = map[string]Adapter{"chat": chat, "line": line}
		c.People = []Person{
			{Name: "ann", Role: dialogs.Technician, Accounts: map[string]UserID{"chat": "u-ann"}},
			{Name: "mia", Role: dialogs.Mentor, Accounts: map[string]UserID{"chat": "u-mia", "line": "l-mia"}},
			{Name: "moe", Role: dialogs.Mentor, Accounts: map[string]UserID{"line": "l-moe"}},
		}
	}}, options...)...)
	return s, chat, line
}

func (s *shop) on(t *testing.T, platform string, m Message) {
	t.Helper()
	if err := s.bot.Handle(context.Background(), platform, m); err != nil {
		t.Fatal(err)
	}
	s.settle()
}

// A call reaches whoever has no account where the job is, with what is needed to
// answer there; the answer counts for the job, whose own place is told.
func TestACallReachesAnotherPlatform(t *testing.T) {
	s, chat, line := twoPlatforms(t)
	s.hear(s.message("bay", "open rear"))
	s.hear(s.message("bay", "call mentor"))
	same(t, "in the job", chat.texts("bay"), "job 1 is open", "please look")
	if ping := chat.posts[len(chat.posts)-1].post.Ping; len(ping) != 1 || ping[0] != "u-mia" {
		t.Errorf("called there: %q", ping)
	}
	same(t, "elsewhere", line.texts(""), "please look\nmoe: job 1 on chat, true")
	if p := line.posts[0]; p.place != "with-l-moe" || len(p.post.Ping) != 0 {
		t.Errorf("shown at %s, notifies %q", p.place, p.post.Ping)
	}
	m := Message{Place: "with-l-moe", Author: "l-moe", ID: "x1", Text: "looks good", Addressed: true}
	s.on(t, "line", m)
	s.on(t, "line", m) // delivered again
	same(t, "logged", s.facts(1), "looks good")
	same(t, "answered", line.texts("with-l-moe")[1:], "2: looks good")
	same(t, "told at home", chat.texts("bay")[2:], "moe on line: looks good / 2: looks good")
	s.on(t, "line", Message{Place: "with-l-moe", Author: "l-moe", ID: "x2", Text: "? where", Addressed: true})
	same(t, "a question is not told", chat.texts("bay")[3:])
}

// With another job under way in the private talk the call says which it is about, and
// a press on it counts for that one.
func TestACallAmongOthers(t *testing.T) {
	s, chat, line := twoPlatforms(t, func(c *Config, _ *shop) { c.People[1].AskedOn = "line" })
	s.hear(s.message("bay", "open rear"))
	s.hear(s.message("pit", "open front"))
	s.hear(s.message("bay", "call moe"))
	s.hear(s.message("pit", "call moe"))
	same(t, "calls", line.texts("with-l-moe"), "please look\nmoe: job 1 on chat, true", "please look\nmoe: job 2 on chat, false")
	var told []string
	at := spot{"line", "with-l-moe"}
	if _, err := line.Send(t.Context(), at.In, Post{Text: "go on?", Choices: []string{"approve"}}, "offer"); err != nil {
		t.Fatal(err)
	}
	s.bot.withdraw(t.Context(), line, at, 2, "out-offer", Post{Text: "go on?", Choices: []string{"approve"}}, nil)
	press := Message{Place: at.In, Author: "l-moe", ID: "p1", Text: "approve", Pressed: "out-offer", Addressed: true,
		Whisper: func(_ context.Context, text string) error { told = append(told, text); return nil }}
	s.on(t, "line", press)
	same(t, "of job 2", s.facts(2), "approve")
	same(t, "of job 1", s.facts(1))
	same(t, "told at home", chat.texts("pit")[2:], "moe on line: approve / 2: approve")
	// Mia lives on line, says the configuration: she is called there as well.
	s.hear(s.message("bay", "call mia"))
	same(t, "mia", line.texts("with-l-mia"), "please look\nmia: job 1 on chat, true")
	if ping := chat.posts[len(chat.posts)-1].post.Ping; len(ping) != 1 || ping[0] != "u-mia" {
		t.Errorf("and here: %q", ping)
	}
}

func TestACallGoesToThePlaceForReviews(t *testing.T) {
	s, _, line := twoPlatforms(t, func(c *Config, _ *shop) { c.Reviews = map[string]Place{"line": "queue"}; c.People[1].AskedOn = "line" })
	s.hear(s.message("bay", "open rear"))
	s.hear(s.message("bay", "call mentor"))
	if len(line.posts) != 1 || line.posts[0].place != "queue" || len(line.posts[0].post.Ping) != 2 || !strings.Contains(line.posts[0].post.Text, "job 1 on chat, false") {
		t.Errorf("shown %+v", line.posts)
	}
	s.on(t, "line", Message{Place: "queue", Author: "l-moe", ID: "x1", Text: "switch 1", Addressed: true})
	s.on(t, "line", Message{Place: "queue", Author: "l-moe", ID: "x2", Text: "fine"})
	same(t, "logged", s.facts(1), "fine")
}

// A platform that is away holds up nobody's answers, and the call goes there later,
// once; somebody who cannot be reached is told of.
func TestACallThatDoesNotGoThrough(t *testing.T) {
	s, chat, line := twoPlatforms(t)
	s.hear(s.message("bay", "open rear"))
	line.away.Store(true)
	s.hear(s.message("bay", "call mentor"))
	same(t, "answers go on", s.hear(s.message("bay", "lash 9")), "2: lash 9")
	same(t, "not yet", line.texts(""))
	s.restart(func(c *Config, s *shop) {
		c.Desk = func() Desk { return relayDesk{s.desk} }
		c.Adapters = map[string]Adapter{"chat": chat, "line": line}
		c.People = []Person{
			{Name: "ann", Role: dialogs.Technician, Accounts: map[string]UserID{"chat": "u-ann"}},
			{Name: "nix", Role: dialogs.Mentor, Accounts: map[string]UserID{"line": "u-nobody"}},
		}
	})
	line.away.Store(false)
	s.until("the call goes through", func() bool { return len(line.texts("")) == 1 })
	s.hear(s.message("bay", "call nix"))
	s.until("it is told", func() bool {
		texts := chat.texts("bay")
		return texts[len(texts)-1] == "nix is not reached on line"
	})
	same(t, "calls", line.texts(""), "please look\nmoe: job 1 on chat, true")
}

func (s *shop) until(what string, ok func() bool) {
	s.t.Helper()
	tick := time.NewTicker(2 * time.Millisecond)
	defer tick.Stop()
	timeout := time.After(20 * time.Second)
	for !ok() {
		select {
		case <-tick.C:
		case <-timeout:
			s.t.Fatal("never: " + what)
		}
	}
}
