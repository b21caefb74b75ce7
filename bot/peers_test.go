package bot

import (
	"context"
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

// On a Redis that is out of memory a message is refused once by all processes
// together, with one sentence, and stays refused for who hears it when there is room
// again.
func TestRefusedByOneRefusedByAll(t *testing.T) {
	server := storetest.StartRedis(t)
	client := redis.NewClient(&redis.Options{Addr: server.Addr})
	defer client.Close()
	p := &plainPlatform{}
	ctx, stop := context.WithCancel(context.Background())
	bots, ended := make([]*Bot, 3), make(chan error, 3)
	for i := range bots {
		backend, err := redisstore.Open(ctx, &redis.UniversalOptions{Addrs: []string{server.Addr}}, redisstore.Options{})
		if err != nil {
			t.Fatal(err)
		}
		st := store.New(backend, time.Now)
		defer st.Close()
		desk := &plainDesk{}
		bots[i], err = New(Config{
			Store: st, Desk: func() Desk { return desk }, Now: time.Now, Log: slog.New(slog.DiscardHandler),
			People:   []Person{{Name: "ann", Role: "technician", Accounts: map[string]UserID{"chat": "u-ann"}}},
			Adapters: map[string]Adapter{"chat": p},
		})
		if err != nil {
			t.Fatal(err)
		}
		go func() { ended <- bots[i].Run(ctx) }()
	}
	next := 0
	message := func(text string) Message {
		next++
		return Message{Place: "bay", Author: "u-ann", ID: MessageID(strings.Repeat("m", next)), Text: text, At: time.Now()}
	}
	hear := func(m Message, by ...*Bot) {
		t.Helper()
		done := make(chan error, len(by))
		for _, b := range by {
			go func() { done <- b.Handle(ctx, "chat", m) }()
		}
		for range by {
			if err := <-done; err != nil {
				t.Fatal(err)
			}
		}
		for _, b := range by {
			if err := b.Settle(ctx); err != nil {
				t.Fatal(err)
			}
		}
	}
	limit := func(bytes string) {
		t.Helper()
		if err := client.ConfigSet(ctx, "maxmemory", bytes).Err(); err != nil {
			t.Fatal(err)
		}
	}
	const refusal = "the shop's store is full: that message was not logged."
	hear(message("open rear"), bots...)
	limit("1")
	reading, opening := message("lash 1"), message("open front")
	hear(reading, bots[:2]...)
	hear(opening, bots[:2]...)
	limit("0")
	hear(reading, bots...) // the third hears both for the first time
	hear(opening, bots...)
	hear(message("lash 2"), bots...)
	waitUntil := time.Now().Add(10 * time.Second)
	for len(p.texts("bay")) < 4 && time.Now().Before(waitUntil) {
		time.Sleep(5 * time.Millisecond) // what another process sends, nothing tells
	}
	var got []string
	for _, text := range p.texts("bay") {
		first, _, _ := strings.Cut(text, "\n")
		got = append(got, first)
	}
	same(t, "said", got, "job 1 is open", refusal, refusal, "2: lash 2")
	stop()
	for range bots {
		if err := <-ended; err != nil {
			t.Error(err)
		}
	}
}
