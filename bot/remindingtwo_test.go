package bot

import (
	"context"
	"fmt"
	"log/slog"
	"math/rand/v2"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/redis/go-redis/v9"

	"shimwright/bot/store"
	"shimwright/bot/store/redisstore"
	"shimwright/bot/store/storetest"
	"shimwright/dialogs"
)

// process is a bot with a connection of its own to a Redis it shares.
type process struct {
	t       *testing.T
	bot     *Bot
	backend store.Backend
	stop    func()
}

func startProcess(t *testing.T, addr string, p Adapter, d Desk, clock *setClock, options ...func(*Config)) *process {
	t.Helper()
	backend, err := redisstore.Open(context.Background(), &redis.UniversalOptions{Addrs: []string{addr}}, redisstore.Options{})
	if err != nil {
		t.Fatal(err)
	}
	c := Config{
		Store: store.New(backend, clock.Now), Desk: func() Desk { return d }, Now: clock.Now,
		People:   []Person{{Name: "ann", Role: dialogs.Technician, Accounts: map[string]UserID{"chat": "u-ann"}}},
		Adapters: map[string]Adapter{"chat": p}, Log: slog.New(slog.DiscardHandler),
	}
	for _, o := range options {
		o(&c)
	}
	b, err := New(c)
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	done := make(chan error, 1)
	go func() { done <- b.Run(ctx) }()
	var once sync.Once
	return &process{t: t, bot: b, backend: backend, stop: func() {
		once.Do(func() {
			cancel()
			<-done
			backend.Close()
		})
	}}
}

// cutAt has something done while the n-th post from here on is sent; nil for no more.
func (p *plainPlatform) cutAt(n int, do func()) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.fail = nil
	if do == nil {
		return
	}
	p.fail = func(Place, Post, string) error {
		if n--; n == -1 {
			go do()
		}
		return nil
	}
}

// Two processes share a Redis, and now and then one of them is cut off from it in the
// middle of whatever it does and another one takes its place, while reminders are
// made, fall due and are taken back, and the clock is stepped both ways. Each that
// stands when it is due is said once; none is lost.
func TestTwoProcessesSayEachReminderOnce(t *testing.T) {
	server := storetest.StartRedis(t)
	p, d, clock := &threadPlatform{}, &timerDesk{}, newClock()
	const jobs, rounds = 6, 8
	all := []*process{startProcess(t, server.Addr, p, d, clock), startProcess(t, server.Addr, p, d, clock)}
	defer func() {
		for _, a := range all {
			a.stop()
		}
	}()
	var mu sync.Mutex
	n := 0
	say := func(by *process, place Place, text string) error {
		mu.Lock()
		n++
		m := Message{Place: place, Author: "u-ann", ID: MessageID(fmt.Sprint("m", n)), Text: text, At: clock.Now()}
		mu.Unlock()
		if parent, _, ok := strings.Cut(string(place), "/"); ok {
			m.Place, m.Thread = Place(parent), place
		}
		return by.bot.Handle(context.Background(), "chat", m)
	}
	for range jobs {
		if err := say(all[0], "bay", "open rear"); err != nil {
			t.Fatal(err)
		}
	}
	settle := func(live ...*process) {
		for _, a := range live {
			ctx, cancel := context.WithTimeout(context.Background(), 30*time.Second)
			if err := a.bot.Settle(ctx); err != nil {
				t.Fatal(err)
			}
			cancel()
		}
	}
	settle(all...)
	wanted := 0
	for round := range rounds {
		var talking sync.WaitGroup
		for job := range jobs {
			place := Place(fmt.Sprint("bay/m", job+1))
			wanted++
			talking.Go(func() {
				by := all[job%2]
				text := fmt.Sprintf("remind %dm ann round %d", rand.IntN(90), round)
				if err := say(by, place, text); err != nil {
					t.Errorf("%q was not taken: %v", text, err)
				}
			})
		}
		talking.Wait()
		if round%2 == 1 {
			// Cut off at one of the next posts; its leases run out.
			victim := all[round/2%2]
			p.cutAt(rand.IntN(5), func() { victim.backend.Close() })
		}
		clock.move(time.Duration(rand.IntN(60)-15) * time.Minute)
		if round%2 == 1 {
			settle(all[1-round/2%2])
			p.cutAt(0, nil)
			all[round/2%2].stop()
			clock.move(time.Minute)
			all[round/2%2] = startProcess(t, server.Addr, p, d, clock)
		}
		settle(all...)
	}
	for range 6 {
		clock.move(time.Hour)
		settle(all...)
	}
	said := map[string]int{}
	for job := range jobs {
		place := Place(fmt.Sprint("bay/m", job+1))
		for _, text := range p.texts(place) {
			if key, _, ok := strings.Cut(text, " "); ok && strings.HasPrefix(key, "t/") {
				said[string(place)+" "+key]++
			}
		}
	}
	for key, times := range said {
		if times != 1 {
			t.Errorf("%s was said %d times", key, times)
		}
	}
	if len(said) != wanted {
		t.Errorf("%d reminders were said, want %d", len(said), wanted)
	}
}
