// Package bottest is the one suite that every chat platform's adapter passes: what
// package bot asks of an Adapter, seen from both sides.
package bottest

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"shimwright/bot"
)

// Platform is an adapter under test and the people's side of it.
type Platform interface {
	// Connect makes an adapter that has not run yet; what people and earlier adapters
	// said is still there. It is called again to reconnect, after Run has ended.
	Connect(t *testing.T) bot.Adapter

	// Say posts as a person at the place where people are and gives the message's id,
	// as the adapter will deliver it. Before the adapter runs, and between two runs,
	// it is kept for later.
	Say(t *testing.T, who bot.UserID, text string) bot.MessageID

	// Attach posts a picture with some words, or none.
	Attach(t *testing.T, who bot.UserID, text, name string, data []byte) bot.MessageID

	// Press presses a choice of a post, by what stands on it, and gives what the person
	// alone is told then.
	Press(t *testing.T, who bot.UserID, at bot.Place, post bot.MessageID, choice string) (told string)

	// Edit gives the person's last message a new wording.
	Edit(t *testing.T, who bot.UserID, text string)

	// Seen gives what people see at a place, oldest first.
	Seen(t *testing.T, at bot.Place) []bot.Post

	// Hang up ends what the people's side needs; Run is to return by itself or goes
	// on until its context ends.
	HangUp(t *testing.T)

	// People are two accounts that can say something.
	People() (first, second bot.UserID)
}

// wait is how long something that happens at once may take on a busy machine.
const wait = 20 * time.Second

// Run holds a platform to the suite. open gives a fresh one each time.
func Run(t *testing.T, open func(t *testing.T) Platform) {
	for _, c := range []struct {
		name string
		test func(*testing.T, Platform)
	}{
		{"receive", receive}, {"order", order}, {"redelivery", redelivery}, {"later", later},
		{"send", send}, {"nonce", nonce}, {"before", before}, {"limits", limits}, {"thread", thread},
		{"files", files}, {"attached", attached}, {"choices", choices}, {"press", press}, {"edit", edit}, {"revise", revise}, {"shutdown", shutdown},
	} {
		t.Run(c.name, func(t *testing.T) { c.test(t, open(t)) })
	}
}

// line is a running adapter and what it has delivered.
type line struct {
	t       *testing.T
	adapter bot.Adapter
	stop    context.CancelFunc
	ended   chan error

	mu      sync.Mutex
	heard   []bot.Message
	refuse  error // deliver gives this instead of taking a message
	arrived chan struct{}
	refused chan struct{} // one for each message that was refused
}

// connect runs an adapter of the platform.
func connect(t *testing.T, p Platform) *line {
	t.Helper()
	ctx, stop := context.WithCancel(context.Background())
	l := &line{t: t, adapter: p.Connect(t), stop: stop, ended: make(chan error, 1), arrived: make(chan struct{}, 1000), refused: make(chan struct{}, 1000)}
	go func() { l.ended <- l.adapter.Run(ctx, l.deliver) }()
	t.Cleanup(func() { l.end(p) })
	return l
}

func (l *line) deliver(_ context.Context, m bot.Message) error {
	l.mu.Lock()
	defer l.mu.Unlock()
	defer func() { l.arrived <- struct{}{} }()
	if l.refuse != nil {
		l.refused <- struct{}{}
		return l.refuse
	}
	l.heard = append(l.heard, m)
	return nil
}

// end stops the adapter and waits for it.
func (l *line) end(p Platform) error {
	if l.ended == nil {
		return nil
	}
	l.stop()
	p.HangUp(l.t)
	select {
	case err := <-l.ended:
		l.ended = nil
		return err
	case <-time.After(wait):
		l.ended = nil
		l.t.Fatal("Run does not end")
		return nil
	}
}

// hears waits for n messages in all and gives them.
func (l *line) hears(n int) []bot.Message {
	l.t.Helper()
	timeout := time.After(wait)
	for {
		l.mu.Lock()
		heard := slices.Clone(l.heard)
		l.mu.Unlock()
		if len(heard) >= n {
			return heard
		}
		select {
		case <-l.arrived:
		case <-timeout:
			l.t.Fatalf("%d messages delivered, want %d: %+v", len(heard), n, heard)
		}
	}
}

func (l *line) send(to bot.Place, p bot.Post, nonce string) bot.MessageID {
	l.t.Helper()
	ctx, cancel := context.WithTimeout(context.Background(), wait)
	defer cancel()
	id, err := l.adapter.Send(ctx, to, p, nonce)
	if err != nil {
		l.t.Fatalf("Send %q: %v", p.Text, err)
	}
	return id
}

// nonceOf makes a nonce as long as a real one.
func nonceOf(t *testing.T, n int) string {
	name := strings.Map(func(r rune) rune {
		if r >= 'a' && r <= 'z' {
			return r
		}
		return -1
	}, t.Name())
	return fmt.Sprintf("%.16s-%05d", name+"xxxxxxxxxxxxxxxx", n)
}

func texts(posts []bot.Post) []string {
	out := make([]string, len(posts))
	for i, p := range posts {
		out[i] = p.Text
	}
	return out
}

// errNotNow is what deliver gives when the store is away.
var errNotNow = errors.New("not now")
