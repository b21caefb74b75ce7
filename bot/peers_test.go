package bot

import (
	"context"
	"fmt"
	"log/slog"
	"strings"
	"testing"
	"time"

	"shimwright/bot/store"
	"shimwright/bot/store/redisstore"
	"shimwright/bot/store/storetest"

	"github.com/redis/go-redis/v9"
)

// A message that one process left alone is left alone by another that hears it late,
// although it would mean something to that one now.
func TestWhatOneProcessPassedOverAnotherDoes(t *testing.T) {
	p := &plainPlatform{}
	s := newShop(t, p)
	s.hear(s.message("bay", "open rear"))
	late := s.message("bay", "~ yes")
	s.hear(late)
	s.hear(s.message("bay", "lash 14"))
	s.restart()
	late.Text = "yes" // as it would be understood after the reading
	same(t, "heard late", s.hear(late))
	same(t, "log", s.facts(1), "lash 14")

	// Before anything else is written it is only remembered.
	next := s.message("bay", "~ no")
	s.hear(next)
	next.Text = "no"
	same(t, "heard again", s.hear(next))
}

// What was said before a place went over to another job belongs to the one before,
// whoever hears it late.
func TestALateMessageBelongsToTheJobOfItsTime(t *testing.T) {
	p := &plainPlatform{}
	s := newShop(t, p)
	at := time.Now().Add(-time.Hour)
	say := func(text string) Message {
		m := s.message("bay", text)
		at = at.Add(time.Minute)
		m.At = at
		return m
	}
	before := say("lash 0")
	s.hear(say("open rear"))
	first := say("lash 1")
	s.hear(first)
	late := say("lash 2")
	s.hear(say("open front"))
	s.hear(say("lash 3"))
	s.restart()
	same(t, "answered already", s.hear(first))
	same(t, "said late", s.hear(late), "3: lash 2")
	same(t, "the first job", s.facts(1), "lash 1", "lash 2")
	same(t, "the second job", s.facts(2), "lash 3")
	same(t, "said before there was a job", s.hear(before))
	now := s.message("bay", "lash 4") // of this moment
	s.hear(now)
	same(t, "the second job goes on", s.facts(2), "lash 3", "lash 4")
}

// Whoever goes on below the opening before it is answered talks about the job, too.
func TestTalkBelowAnOpeningThatIsNotAnswered(t *testing.T) {
	p := &threadPlatform{refuses: 1}
	s := newShop(t, p)
	opening := s.message("bay", "open rear")
	same(t, "opening", s.hear(opening))
	s.hear(s.message(Place("bay/"+opening.ID), "lash 14"))
	same(t, "log", s.facts(1), "lash 14")
	p.mu.Lock()
	p.refuses = 9
	p.mu.Unlock()
	other := s.message("bay", "open front")
	s.hear(other)
	same(t, "below another one, while threads cannot be opened", s.hear(s.message(Place("bay/"+other.ID), "lash 15")))
}

// A message that one process has told that there is no job in its thread, as it could
// not take the opening, is left alone by one that opens the job later.
func TestToldBeforeTheThreadHadItsJob(t *testing.T) {
	p := &threadPlatform{}
	s := newShop(t, p)
	opening := s.message("bay", "open rear")
	below := s.message(Place("bay/"+opening.ID), "? anything")
	same(t, "before the opening", s.hear(below), "no job here, ann")
	s.hear(opening)
	same(t, "again, behind the opening", s.hear(below))
	s.hear(s.message(Place("bay/"+opening.ID), "lash 14"))
	same(t, "log", s.facts(1), "lash 14")
}

// peers are several bots on one Redis, hearing what they are told to hear.
type peers struct {
	t        *testing.T
	client   *redis.Client
	platform *plainPlatform
	bots     []*Bot
	next     int
}

func newPeers(t *testing.T, count int) *peers {
	server := storetest.StartRedis(t)
	p := &peers{t: t, client: redis.NewClient(&redis.Options{Addr: server.Addr}), platform: &plainPlatform{}}
	t.Cleanup(func() { p.client.Close() })
	ctx, stop := context.WithCancel(context.Background())
	ended := make(chan error, count)
	for range count {
		backend, err := redisstore.Open(ctx, &redis.UniversalOptions{Addrs: []string{server.Addr}}, redisstore.Options{Shards: 1})
		if err != nil {
			t.Fatal(err)
		}
		st := store.New(backend, time.Now)
		t.Cleanup(func() { st.Close() })
		desk := &plainDesk{}
		b, err := New(Config{
			Store: st, Desk: func() Desk { return desk }, Now: time.Now, Log: slog.New(slog.DiscardHandler),
			People:   []Person{{Name: "ann", Role: "technician", Accounts: map[string]UserID{"chat": "u-ann"}}},
			Adapters: map[string]Adapter{"chat": p.platform},
		})
		if err != nil {
			t.Fatal(err)
		}
		p.bots = append(p.bots, b)
		go func() { ended <- b.Run(ctx) }()
	}
	t.Cleanup(func() {
		stop()
		for range count {
			if err := <-ended; err != nil {
				t.Error(err)
			}
		}
	})
	return p
}

func (p *peers) message(text string) Message {
	p.next++
	return Message{Place: "bay", Author: "u-ann", ID: MessageID(fmt.Sprint("m", p.next)), Text: text, At: time.Now()}
}

// hear has bots hear a message at the same time.
func (p *peers) hear(m Message, by ...*Bot) {
	p.t.Helper()
	done := make(chan error, len(by))
	for _, b := range by {
		go func() { done <- b.Handle(context.Background(), "chat", m) }()
	}
	for range by {
		if err := <-done; err != nil {
			p.t.Fatal(err)
		}
	}
	for _, b := range by {
		if err := b.Settle(context.Background()); err != nil {
			p.t.Fatal(err)
		}
	}
}

// said waits until so much was said, and gives the first lines of it.
func (p *peers) said(count int) (first []string) {
	limit := time.Now().Add(10 * time.Second)
	for len(p.platform.texts("bay")) < count && time.Now().Before(limit) {
		time.Sleep(5 * time.Millisecond) // what another process sends, nothing tells
	}
	for _, text := range p.platform.texts("bay") {
		line, _, _ := strings.Cut(text, "\n")
		first = append(first, line)
	}
	return first
}

// On a Redis that is out of memory a message is refused once by all processes
// together, with one sentence, and stays refused for who hears it when there is room
// again.
func TestRefusedByOneRefusedByAll(t *testing.T) {
	p := newPeers(t, 3)
	limit := func(bytes string) {
		t.Helper()
		if err := p.client.ConfigSet(t.Context(), "maxmemory", bytes).Err(); err != nil {
			t.Fatal(err)
		}
	}
	const refusal = "the shop's store is full: that message was not logged."
	p.hear(p.message("open rear"), p.bots...)
	limit("1")
	reading, opening := p.message("lash 1"), p.message("open front")
	p.hear(reading, p.bots[:2]...)
	p.hear(opening, p.bots[:2]...)
	limit("0")
	p.hear(reading, p.bots...) // the third hears both for the first time
	p.hear(opening, p.bots...)
	p.hear(p.message("lash 2"), p.bots...)
	same(t, "said", p.said(4), "job 1 is open", refusal, refusal, "2: lash 2")
}

// A Redis that lost the end of a job in a failover, and had it written anew by
// another process since, is read anew by who remembers what is lost; what was lost is
// taken when it is heard again.
func TestWhatAFailoverLostIsForgotten(t *testing.T) {
	p := newPeers(t, 2)
	one, other := p.bots[0], p.bots[1]
	p.hear(p.message("open rear"), one)
	lost := p.message("lash 1")
	p.hear(lost, one)
	same(t, "said before", p.said(2), "job 1 is open", "2: lash 1")
	if err := p.client.RPopCount(t.Context(), "{shimwright.0}log:job-000001", 2).Err(); err != nil {
		t.Fatal(err)
	}
	p.hear(p.message("lash 9"), other) // now there are as many records as before
	p.hear(p.message("lash 2"), one)
	p.hear(lost, one)
	same(t, "said", p.said(5), "job 1 is open", "2: lash 1", "2: lash 9", "3: lash 2", "4: lash 1")
}
