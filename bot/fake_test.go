package bot

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"log/slog"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"shimwright/bot/store"
	"shimwright/bot/store/boltstore"
	"shimwright/calc/unit"
	"shimwright/dialogs"
	"shimwright/dialogs/phrase"
	"shimwright/dialogs/picture"
)

// plainDesk is a desk whose answers can be counted: it logs what is said to a job as
// one event and answers with the event's number. "?" asks without an event,
// "choose" offers choices, "close" closes, "break" panics, chatter begins with "~".
type plainDesk struct {
	mu      sync.Mutex
	context map[string][]string // of the message with this text, as it came
}

func (d *plainDesk) Door(s dialogs.Said, v dialogs.View) dialogs.DoorReply {
	d.mu.Lock()
	if d.context == nil {
		d.context = map[string][]string{}
	}
	d.context[s.Text] = s.Context
	d.mu.Unlock()
	verb, rest, _ := strings.Cut(s.Text, " ")
	say := func(text string) []dialogs.Outgoing { return []dialogs.Outgoing{{Text: text}} }
	switch verb {
	case "open":
		return dialogs.DoorReply{Handled: true, Open: &dialogs.Opening{Sheet: "plain", Title: rest}}
	case "switch":
		n, _ := strconv.Atoi(rest)
		return dialogs.DoorReply{Handled: true, Switch: n, Out: say("now job " + rest)}
	case "units":
		return dialogs.DoorReply{Handled: true, Units: unit.System(rest), Out: say("units " + rest)}
	case "language":
		return dialogs.DoorReply{Handled: true, Language: phrase.Language(rest), Out: say("language " + rest)}
	case "called":
		return dialogs.DoorReply{Handled: true, Called: dialogs.Calling(rest), Out: say("called " + rest)}
	case "jobs":
		var lines []string
		for _, j := range v.All {
			lines = append(lines, fmt.Sprintf("%d %s %v", j.Number, j.Title, j.Closed))
		}
		return dialogs.DoorReply{Handled: true, Out: say(strings.Join(lines, "; "))}
	}
	if v.Here != nil {
		return dialogs.DoorReply{}
	}
	if verb == "?" {
		return dialogs.DoorReply{Handled: true, Out: say("no job here, " + s.By.Name)}
	}
	return dialogs.DoorReply{Handled: true}
}

func (d *plainDesk) Opened(number int, o dialogs.Opening, s dialogs.Said) (dialogs.Reply, error) {
	if o.Title == "impossible" {
		return dialogs.Reply{}, fmt.Errorf("no such sheet")
	}
	data := fmt.Sprintf(`{"number":%d,"sheet":%q,"title":%q}`, number, o.Sheet, o.Title)
	return dialogs.Reply{
		Events: []dialogs.Event{{Kind: "opened", At: s.At, By: s.By.Name, Message: s.ID, Data: json.RawMessage(data)}},
		Out:    []dialogs.Outgoing{{Text: fmt.Sprintf("job %d is open", number)}},
	}, nil
}

func (d *plainDesk) Answer(j *dialogs.Job, s dialogs.Said) (dialogs.Reply, error) {
	verb, rest, _ := strings.Cut(s.Text, " ")
	event := func(kind, data string) []dialogs.Event {
		return []dialogs.Event{{Kind: kind, At: s.At, By: s.By.Name, Message: s.ID, Said: s.Text, Data: json.RawMessage(data)}}
	}
	if len(s.Files)+len(s.Unkept) > 0 {
		text := s.Text
		for _, f := range s.Files {
			text += " " + f.ID
		}
		for _, u := range s.Unkept {
			text += " " + u.Name + ":" + string(u.Why)
		}
		fact, _ := json.Marshal(text)
		return dialogs.Reply{Events: event("stated", `{"fact":`+string(fact)+`}`), Out: []dialogs.Outgoing{{Text: strings.TrimSpace(text)}}}, nil
	}
	switch verb {
	case "show":
		return dialogs.Reply{Out: []dialogs.Outgoing{{Text: "look", Photos: []dialogs.PhotoRef{{Job: j.Number, ID: rest, Alt: "photo 1, drive side"}}}}}, nil
	case "forget":
		return dialogs.Reply{Events: event("stated", `{"fact":"gone"}`), Out: []dialogs.Outgoing{{Text: "gone"}}, Forget: []string{rest}}, nil
	case "~":
		return dialogs.Reply{}, nil
	case "?":
		return dialogs.Reply{Out: []dialogs.Outgoing{{Text: fmt.Sprintf("%d entries, %s %s%s", j.Version(), s.By.Name, s.By.Units, s.By.Language)}}}, nil
	case "choose":
		return dialogs.Reply{Out: []dialogs.Outgoing{{Text: "which?", Choices: []string{"drive", "coast"}}}}, nil
	case "only":
		return dialogs.Reply{Out: []dialogs.Outgoing{{Text: "go on?", Choices: []string{"approve"}, For: []string{rest}}}}, nil
	case "call":
		return dialogs.Reply{Out: []dialogs.Outgoing{{Text: "please look", Ping: []string{rest}}}}, nil
	case "draw":
		return dialogs.Reply{Out: []dialogs.Outgoing{{Text: "see", Picture: []dialogs.Picture{{Name: "cells", Cells: &picture.ChoicePicture{}}}}}}, nil
	case "say":
		return dialogs.Reply{Out: []dialogs.Outgoing{{Text: rest}}}, nil
	case "break":
		panic("the desk broke")
	case "fail":
		return dialogs.Reply{}, fmt.Errorf("the desk failed")
	case "close":
		return dialogs.Reply{Events: event("closed", `{}`), Out: []dialogs.Outgoing{{Text: "closed"}}}, nil
	}
	fact, _ := json.Marshal(s.Text)
	return dialogs.Reply{
		Events: event("stated", `{"fact":`+string(fact)+`}`),
		Out:    []dialogs.Outgoing{{Text: fmt.Sprintf("%d: %s", j.Version()+1, s.Text)}},
	}, nil
}

func (d *plainDesk) Overtaken(dialogs.Person) string { return "overtaken" }

func (d *plainDesk) NotYours(to dialogs.Person, who []string) string {
	return "not " + to.Name + "'s, " + strings.Join(who, " ")
}

// shown is a post as a platform showed it.
type shown struct {
	place Place
	post  Post
	nonce string
}

// plainPlatform is a platform without threads that remembers nonces.
type plainPlatform struct {
	mu     sync.Mutex
	posts  []shown
	nonces map[string]bool
	calls  []string // nonces of all calls of Send, in order
	limit  int
	fail   func(to Place, p Post, nonce string) error
	block  bool // Send waits for the end of its context
}

func (p *plainPlatform) Run(ctx context.Context, _ Deliver) error {
	<-ctx.Done()
	return nil
}

func (p *plainPlatform) Limits() Limits { return Limits{Text: p.limit} }

func (p *plainPlatform) Send(ctx context.Context, to Place, post Post, nonce string) (MessageID, error) {
	if p.block {
		<-ctx.Done()
		return "", ctx.Err()
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	p.calls = append(p.calls, nonce)
	if p.fail != nil {
		if err := p.fail(to, post, nonce); err != nil {
			return "", err
		}
	}
	if p.nonces == nil {
		p.nonces = map[string]bool{}
	}
	if !p.nonces[nonce] {
		p.nonces[nonce] = true
		p.posts = append(p.posts, shown{to, post, nonce})
	}
	return MessageID("out-" + nonce), nil
}

// texts gives what was shown at a place, all places when it is empty.
func (p *plainPlatform) texts(at Place) []string {
	p.mu.Lock()
	defer p.mu.Unlock()
	var out []string
	for _, s := range p.posts {
		if at == "" || s.place == at {
			out = append(out, s.post.Text)
		}
	}
	return out
}

// threadPlatform has threads, too.
type threadPlatform struct {
	plainPlatform
	opened  []Topic
	refuses int // so many threads are not opened at first
}

func (p *threadPlatform) OpenThread(_ context.Context, in Place, below MessageID, about Topic) (Place, error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.refuses > 0 {
		p.refuses--
		return "", errors.New("no threads just now")
	}
	p.opened = append(p.opened, about)
	return in + "/" + Place(below), nil
}

// painter is made once for all tests: reading its fonts takes a while.
var painter = sync.OnceValues(func() (*picture.Painter, error) { return picture.New(picture.English()) })

// shop is a bot at work in a test.
type shop struct {
	t        testing.TB
	path     string
	backend  store.Backend
	store    *store.Store
	bot      *Bot
	desk     *plainDesk
	platform Adapter
	log      *strings.Builder
	stop     func()
	next     int
}

type shopOption func(*Config, *shop)

// newShop starts a bot on a store in a folder of the test.
func newShop(t testing.TB, platform Adapter, options ...shopOption) *shop {
	t.Helper()
	s := &shop{t: t, platform: platform, desk: &plainDesk{}, path: filepath.Join(t.TempDir(), "shop.db"), log: &strings.Builder{}}
	s.start(options...)
	t.Cleanup(func() { s.end() })
	return s
}

func (s *shop) start(options ...shopOption) {
	s.t.Helper()
	c := Config{
		People: []Person{
			{Name: "ann", Role: dialogs.Technician, Accounts: map[string]UserID{"chat": "u-ann"}},
			{Name: "mia", Role: dialogs.Mentor, Accounts: map[string]UserID{"chat": "u-mia"}},
			{Name: "max", Role: dialogs.Mentor, Accounts: map[string]UserID{"chat": "u-max"}},
		},
		Desk: func() Desk { return s.desk }, Painter: painter, Now: time.Now,
		Adapters: map[string]Adapter{"chat": s.platform},
		Log:      slog.New(slog.NewTextHandler(&locked{b: s.log}, nil)),
	}
	var err error
	if s.backend, err = boltstore.Open(s.path, time.Second); err != nil {
		s.t.Fatal(err)
	}
	for _, o := range options {
		o(&c, s)
	}
	s.store = store.New(s.backend, c.Now)
	c.Store = s.store
	if s.bot, err = New(c); err != nil {
		s.t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	done := make(chan error, 1)
	go func() { done <- s.bot.Run(ctx) }()
	s.stop = func() {
		cancel()
		if err := <-done; err != nil {
			s.t.Errorf("Run: %v", err)
		}
		if err := s.store.Close(); err != nil {
			s.t.Errorf("Close: %v", err)
		}
	}
}

func (s *shop) end() {
	if s.stop != nil {
		s.stop()
		s.stop = nil
	}
}

// restart ends the bot and starts another one on the same file.
func (s *shop) restart(options ...shopOption) {
	s.t.Helper()
	s.end()
	s.start(options...)
}

// message makes a message of ann with an id of its own.
func (s *shop) message(at Place, text string) Message {
	s.next++
	m := Message{Place: at, Author: "u-ann", ID: MessageID("m" + strconv.Itoa(s.next)), Text: text, At: time.Now()}
	if parent, _, ok := strings.Cut(string(at), "/"); ok {
		m.Place, m.Thread = Place(parent), at
	}
	return m
}

// hear delivers a message and gives what was shown because of it.
func (s *shop) hear(m Message) []string {
	s.t.Helper()
	all := func() []string {
		return s.platform.(interface{ texts(Place) []string }).texts("")
	}
	before := len(all())
	if err := s.bot.Handle(context.Background(), "chat", m); err != nil {
		s.t.Fatalf("%q: %v", m.Text, err)
	}
	s.settle()
	return all()[before:]
}

func (s *shop) settle() {
	s.t.Helper()
	ctx, cancel := context.WithTimeout(context.Background(), 30*time.Second)
	defer cancel()
	if err := s.bot.Settle(ctx); err != nil {
		s.t.Fatal(err)
	}
}

// facts gives what a job's log says was stated, in order.
func (s *shop) facts(number int) []string {
	s.t.Helper()
	records, err := s.store.Events(context.Background(), string(jobID(number)), 0)
	if err != nil {
		s.t.Fatal(err)
	}
	var out []string
	for _, r := range JobEvents(records) {
		var e struct {
			Kind string
			Data struct{ Fact string }
		}
		if err := json.Unmarshal(r, &e); err != nil {
			s.t.Fatal(err)
		}
		if e.Kind == "stated" {
			out = append(out, e.Data.Fact)
		}
	}
	return out
}

// locked lets several goroutines write into a builder.
type locked struct {
	mu sync.Mutex
	b  *strings.Builder
}

func (l *locked) Write(p []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.b.Write(p)
}

func same(t testing.TB, what string, got []string, want ...string) {
	t.Helper()
	if !slices.Equal(got, want) {
		t.Errorf("%s:\n got %q\nwant %q", what, got, want)
	}
}
