package main

import (
	"context"
	"encoding/json"
	"fmt"
	"log/slog"
	"net"
	"os"
	"runtime"
	"runtime/pprof"
	"strconv"
	"sync"
	"time"

	"github.com/redis/go-redis/v9"

	"shimwright/bot"
	"shimwright/bot/store"
	"shimwright/bot/store/boltstore"
	"shimwright/bot/store/redisstore"
	"shimwright/dialogs"
	"shimwright/dialogs/advise"
	"shimwright/dialogs/listen"
	"shimwright/dialogs/phrase"
	"shimwright/rules"
)

// product is what the bot's process is told on its command line, as JSON.
type product struct {
	Platform string // host:port of the load's platform
	Redis    string // host:port, empty for the embedded store
	File     string // of the embedded store
	People   int
	Senders  int
	Keep     int
	Forget   bool
}

// runProduct is the process that is measured: the bot as `shimwright serve` wires it,
// with the wire for a platform. It ends when the platform hangs up.
func runProduct(ctx context.Context, p product) (err error) {
	log := slog.New(slog.NewTextHandler(os.Stderr, &slog.HandlerOptions{Level: slog.LevelWarn}))
	var backend store.Backend
	if p.Redis != "" {
		backend, err = redisstore.Open(ctx, &redis.UniversalOptions{Addrs: []string{p.Redis}}, redisstore.Options{})
	} else {
		backend, err = boltstore.Open(p.File, time.Second)
	}
	if err != nil {
		return err
	}
	st := store.New(backend, time.Now)
	defer st.Close()
	conn, err := net.Dial("tcp", p.Platform)
	if err != nil {
		return err
	}
	a := newAdapter(newWire(conn), log)
	a.control = (&control{st: st}).answer
	b, err := newBot(p, st, a, log)
	if err != nil {
		return err
	}
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	go bot.Headroom(ctx)
	return b.Run(ctx)
}

// newBot wires the shipped sheets and rules to a bot.
func newBot(p product, st *store.Store, a bot.Adapter, log *slog.Logger) (*bot.Bot, error) {
	live, report := rules.NewLive(nil, time.Now, log)
	if len(report.Problems) > 0 {
		return nil, fmt.Errorf("the shipped rules have mistakes")
	}
	phrases, err := phrase.Load()
	if err != nil {
		return nil, err
	}
	adviser := new(advise.Adviser)
	lessons, models := advise.LessonsOf(adviser), new(dialogs.Models)
	cfg := bot.Config{
		Store: st, Now: time.Now, Log: log, Senders: p.Senders, Keep: p.Keep, Forget: p.Forget,
		Desk: func() bot.Desk {
			return &dialogs.Desk{Sheets: live.Book(), Rules: live.Rules(), Advise: adviser.Recommend, Listen: listen.Parse, Learn: lessons.Learn, Models: models, Phrases: phrases}
		},
		Adapters: map[string]bot.Adapter{platformName: a},
	}
	for i := range p.People {
		name := personName(i)
		cfg.People = append(cfg.People, bot.Person{Name: name, Role: dialogs.Technician, Accounts: map[string]bot.UserID{platformName: bot.UserID(name)}})
	}
	return bot.New(cfg)
}

func personName(i int) string { return "tech" + strconv.Itoa(i+1) }

// memoryFigures is what the bot's process says of its memory after a collection.
type memoryFigures struct {
	Heap    uint64 // bytes that are reachable
	Objects uint64
	Cycles  uint32 // collections so far
	Paused  time.Duration
}

// control does what the load asks of the bot's process beside talking.
type control struct {
	st      *store.Store
	mu      sync.Mutex
	profile *os.File
}

func (c *control) answer(f frame) frame {
	c.mu.Lock()
	defer c.mu.Unlock()
	switch f.op {
	case opMemory:
		var m runtime.MemStats
		runtime.ReadMemStats(&m)
		cycles, paused := m.NumGC, time.Duration(m.PauseTotalNs)
		runtime.GC()
		runtime.GC() // the first may only have emptied pools into the second's hands
		runtime.ReadMemStats(&m)
		data, _ := json.Marshal(memoryFigures{m.HeapAlloc, m.HeapObjects, cycles, paused})
		f.text = string(data)
	case opFuture:
		if err := c.future(int(f.n)); err != nil {
			f.text = err.Error()
		}
	case opTrace:
		if err := c.trace(f.text); err != nil {
			f.text = err.Error()
		} else {
			f.text = ""
		}
	}
	return f
}

// trace begins a processor profile, or with "" ends it and writes the heap's beside it.
func (c *control) trace(file string) (err error) {
	if file != "" {
		if c.profile, err = os.Create(file); err != nil {
			return err
		}
		return pprof.StartCPUProfile(c.profile)
	}
	if c.profile == nil {
		return nil
	}
	pprof.StopCPUProfile()
	name := c.profile.Name()
	if err := c.profile.Close(); err != nil {
		return err
	}
	c.profile = nil
	heap, err := os.Create(name + ".heap")
	if err != nil {
		return err
	}
	defer heap.Close()
	return pprof.WriteHeapProfile(heap)
}

// future lays up n reminders, evenly over the jobs there are, due between an hour and
// forty days from now.
func (c *control) future(n int) error {
	ctx := context.Background()
	var jobs []string
	for after := ""; ; after = jobs[len(jobs)-1] {
		names, err := c.st.Streams(ctx, "job-", after, 1000)
		if err != nil {
			return err
		}
		if len(names) == 0 {
			break
		}
		jobs = append(jobs, names...)
	}
	if len(jobs) == 0 {
		return fmt.Errorf("no job to lay up reminders for")
	}
	body, err := json.Marshal(map[string]any{"to": map[string]string{"on": platformName, "in": "nowhere"}, "out": map[string]string{"text": "that is due"}})
	if err != nil {
		return err
	}
	record := fmt.Appendf(nil, `{"talk":{"at":%q}}`, time.Now().UTC().Format(time.RFC3339))
	var wg sync.WaitGroup
	todo, failed := make(chan int), make(chan error, 32)
	for range 32 {
		wg.Go(func() {
			var err error
			for i := range todo {
				b := store.Batch{Stream: jobs[i], Expect: store.Any, Events: [][]byte{record}}
				for k := i; k < n; k += len(jobs) {
					b.Queue = append(b.Queue, store.Item{Kind: "post", Due: time.Now().Add(time.Hour + time.Duration(k)*(40*24*time.Hour/time.Duration(n))), Body: body})
				}
				if err == nil && len(b.Queue) > 0 {
					_, err = c.st.Commit(ctx, b)
				}
			}
			failed <- err
		})
	}
	for i := range jobs {
		todo <- i
	}
	close(todo)
	wg.Wait()
	for range 32 {
		if err := <-failed; err != nil {
			return err
		}
	}
	return nil
}
