package main

import (
	"context"
	"fmt"
	"math/rand/v2"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
	"syscall"
	"testing"
	"time"

	"github.com/redis/go-redis/v9"

	"shimwright/bot/mattermost/mmtest"
	"shimwright/bot/store/storetest"
)

// siegeTime is the environment variable that says how long the siege is kept up; left
// out it is siegeShort. The long run of a release:
//
//	SHIMWRIGHT_SIEGE=5m go test ./cmd/shimwright -run TestSiege -v -timeout 30m
const (
	siegeTime  = "SHIMWRIGHT_SIEGE"
	siegeShort = 5 * time.Second
	siegeSeed  = "SHIMWRIGHT_SIEGE_SEED"
)

// clockFile is the environment variable that names a file with what is added to the
// time of a process of the tests. The clock of a real one cannot be set from outside;
// libfaketime does not reach a Go program, which asks the kernel itself.
const clockFile = "SHIMWRIGHT_TEST_CLOCK"

// steppedClock reads the offset again and again.
func steppedClock(file string) func() time.Time {
	var offset, read atomic.Int64
	return func() time.Time {
		now := time.Now()
		if last := read.Load(); now.UnixNano()-last > int64(20*time.Millisecond) && read.CompareAndSwap(last, now.UnixNano()) {
			if text, err := os.ReadFile(file); err == nil {
				if d, err := time.ParseDuration(string(text)); err == nil {
					offset.Store(int64(d))
				}
			}
		}
		return now.Add(time.Duration(offset.Load()))
	}
}

// besieged is a serve process that is killed and started again.
type besieged struct {
	t     testing.TB
	name  string
	file  string // its configuration
	clock string
	log   *logText

	mu  sync.Mutex
	cmd *exec.Cmd
}

func (p *besieged) start() {
	p.mu.Lock()
	defer p.mu.Unlock()
	c := exec.Command(os.Args[0])
	c.Args = []string{"shimwright", "serve", "--config", p.file}
	c.Env = append(os.Environ(), "GORACE=atexit_sleep_ms=0", clockFile+"="+p.clock)
	c.Stdout, c.Stderr = p.log, p.log
	if err := c.Start(); err != nil {
		p.t.Error(err)
		return
	}
	p.cmd = c
}

func (p *besieged) signal(s os.Signal) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.cmd != nil {
		p.cmd.Process.Signal(s)
	}
}

// end sends a signal that ends it and waits for that.
func (p *besieged) end(s os.Signal) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.cmd == nil {
		return
	}
	p.cmd.Process.Signal(s)
	p.cmd.Wait()
	p.cmd = nil
}

func (p *besieged) step(offset time.Duration) {
	if err := os.WriteFile(p.clock+".new", []byte(offset.String()), 0o600); err != nil {
		p.t.Error(err)
	}
	if err := os.Rename(p.clock+".new", p.clock); err != nil {
		p.t.Error(err)
	}
}

// siege is three serve processes on one Redis and one account of a fake Mattermost.
type siege struct {
	t         *testing.T
	rng       *rand.Rand
	group     *mmGroup
	redis     *storetest.Redis
	client    *redis.Client
	processes []*besieged
	said      *sayings
	slow      atomic.Int64 // ns, at most, that the platform takes for a request
	done      map[string]int
}

// TestSiege has people talk in many jobs while processes, Redis, clocks and the
// platform fail at random; then everything said must have been logged once and
// answered once, in order, or its author must have been told the truth.
func TestSiege(t *testing.T) {
	length := siegeShort
	if text := os.Getenv(siegeTime); text != "" {
		var err error
		if length, err = time.ParseDuration(text); err != nil {
			t.Fatalf("%s: %v", siegeTime, err)
		}
	}
	seed := uint64(time.Now().UnixNano())
	if text := os.Getenv(siegeSeed); text != "" {
		var err error
		if seed, err = strconv.ParseUint(text, 10, 64); err != nil {
			t.Fatalf("%s: %v", siegeSeed, err)
		}
	}
	jobs, drives, pause := 12, 2, 40*time.Millisecond
	if length > time.Minute {
		jobs, drives = 60, 12
	}
	t.Logf("%v, %d jobs, a message every %v, seed %d", length, jobs, pause, seed)
	s := newSiege(t, seed)
	s.said.open(jobs)
	s.said.drive(drives)
	s.step(40 * time.Minute)
	s.said.cooled()
	s.step(0)
	s.said.drive(drives)
	ctx, stop := context.WithTimeout(t.Context(), length)
	defer stop()
	var both sync.WaitGroup
	both.Go(func() { s.said.talk(ctx, pause) })
	both.Go(func() { s.harm(ctx) })
	both.Wait()
	s.relief()
	s.step(2 * time.Hour) // whatever is to be said of the break-ins is due
	began := time.Now()
	s.said.settle(2*time.Minute, s.client)
	t.Logf("settled %v after it was over; done: %v", time.Since(began).Round(100*time.Millisecond), s.done)
	for _, p := range s.processes {
		p.end(syscall.SIGTERM)
	}
	s.said.judge(s.client)
	if t.Failed() {
		t.Logf("all of the store is in %s", s.said.dump(s.client, fmt.Sprint("siege-", seed, ".jsonl")))
		for _, p := range s.processes {
			file := filepath.Join(os.TempDir(), fmt.Sprint("siege-", seed, "-", p.name, ".log"))
			if err := os.WriteFile(file, []byte(p.log.String()), 0o600); err == nil {
				t.Logf("the log of process %s is in %s", p.name, file)
			}
		}
	}
}

func (s *siege) step(offset time.Duration) {
	for _, p := range s.processes {
		p.step(offset)
	}
}

func newSiege(t *testing.T, seed uint64) *siege {
	// With everysec a server that is killed may lose a second or two of what it has
	// confirmed, so every write is synced.
	s := &siege{t: t, rng: rand.New(rand.NewPCG(seed, 1)), group: newMattermostGroup(t), redis: storetest.StartRedis(t, "--appendfsync", "always"), done: map[string]int{}}
	s.client = redis.NewClient(&redis.Options{Addr: s.redis.Addr})
	t.Cleanup(func() { s.client.Close() })
	jitter := atomic.Int64{}
	s.group.server.OnRequest(func(r *http.Request) {
		if most := s.slow.Load(); most > 0 && !strings.HasSuffix(r.URL.Path, "/websocket") {
			time.Sleep(time.Duration(jitter.Add(7919*int64(time.Millisecond)) % most))
		}
	})
	for _, name := range []string{"1", "2", "3"} {
		file := chatConfig(t, s.group, nil, "store: {redis: {addresses: [\""+s.redis.Addr+"\"]}}\n")
		p := &besieged{t: t, name: name, file: file, clock: filepath.Join(filepath.Dir(file), "clock"), log: &logText{}}
		p.step(0)
		p.start()
		t.Cleanup(func() { p.end(syscall.SIGKILL) })
		s.processes = append(s.processes, p)
	}
	until(t, "connected", func() bool { return s.group.server.Connected() == 3 })
	s.said = newSayings(t, s.group, s.rng)
	return s
}

// harm does one bad thing after the other until ctx ends.
func (s *siege) harm(ctx context.Context) {
	rest := func(least, most time.Duration) bool {
		d := least + time.Duration(s.rng.Int64N(int64(most-least)))
		select {
		case <-time.After(d):
			return true
		case <-ctx.Done():
			return false
		}
	}
	for rest(200*time.Millisecond, 1500*time.Millisecond) {
		p := s.processes[s.rng.IntN(len(s.processes))]
		what := ""
		switch n := s.rng.IntN(20); {
		case n < 6:
			what = "kill -9"
			p.end(syscall.SIGKILL)
			rest(0, time.Second)
			p.start()
		case n == 6:
			what = "restart"
			p.end(syscall.SIGTERM)
			p.start()
		case n < 9:
			what = "redis killed"
			s.redis.Kill()
			rest(50*time.Millisecond, 2*time.Second)
			s.redis.Restart()
		case n == 9:
			what = "redis hangs"
			s.redis.Pause()
			rest(200*time.Millisecond, 2*time.Second)
			s.redis.Resume()
		case n < 12:
			what = "redis full"
			s.memory("1")
			rest(300*time.Millisecond, 1500*time.Millisecond)
			s.memory("0")
		case n < 14:
			what = "clock stepped"
			steps := []time.Duration{-time.Hour, time.Hour, -20 * time.Second, 20 * time.Second, 0}
			p.step(steps[s.rng.IntN(len(steps))])
		case n == 14:
			what = "process hangs"
			p.signal(syscall.SIGSTOP)
			rest(200*time.Millisecond, 3*time.Second)
			p.signal(syscall.SIGCONT)
		case n == 15:
			what = "sockets cut"
			s.group.server.Drop()
		case n == 16:
			what = "said twice"
			s.group.server.Replay(5)
		case n == 17:
			what = "slow platform"
			s.slow.Store(int64(600 * time.Millisecond))
			rest(500*time.Millisecond, 2*time.Second)
			s.slow.Store(0)
		default:
			what = "platform errs"
			s.group.server.Fail(mmtest.Fault{Method: "POST", Path: "/posts", Times: 1 + s.rng.IntN(4), Status: []int{0, 500, 502}[s.rng.IntN(3)], After: s.rng.IntN(2) == 0})
		}
		s.done[what]++
	}
}

func (s *siege) memory(limit string) {
	ctx, cancel := context.WithTimeout(context.Background(), 10*time.Second)
	defer cancel()
	if err := s.client.ConfigSet(ctx, "maxmemory", limit).Err(); err != nil {
		s.t.Errorf("maxmemory %s: %v", limit, err)
	}
}

// relief ends all harm.
func (s *siege) relief() {
	s.slow.Store(0)
	s.group.server.Mend()
	s.redis.Resume()
	s.memory("0")
	for _, p := range s.processes {
		p.signal(syscall.SIGCONT)
	}
}
