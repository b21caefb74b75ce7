// Compare measures how fast items that are scheduled get delivered, on one Redis and
// with the same work for each: this project's store, github.com/hibiken/asynq, and
// the same flow written straight on go-redis, which is about as fast as it can be.
//
//	cd cmd/shimload/compare && go run .                    # due at once
//	cd cmd/shimload/compare && go run . --in 3s            # due together, later
//
// It is a module of its own, so that the product does not depend on asynq.
//
// Every item has a body of 200 bytes, is scheduled by one call of one of the callers,
// is handed to one of the workers under a lease, counted there, and acknowledged.
// Items belong to jobs in turn. The store keeps an event with each item, since what is
// queued without a reason is refused; asynq and the bare flow keep none, and have no
// order within a job.
//
// With --in 0s callers and workers run at the same time, and the rate is that of items
// from the first call to the last acknowledgement. With --in 3s all items are
// scheduled before, due at one time, and the rate is that from this time on. asynq
// looks every 5 s for what became due unless it is told otherwise; here it is told to
// look every 100 ms, about as often as the others.
//
// The redis-server is one of its own, append-only file on and written to disk every
// second; --redis names an empty one that runs. Contestants take turns, and each
// round begins with an empty server.
package main

import (
	"context"
	"flag"
	"fmt"
	"net"
	"os"
	"os/exec"
	"slices"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
	"syscall"
	"time"

	"github.com/redis/go-redis/v9"
)

// work is what all contestants do.
type work struct {
	addr             string
	items, jobs      int
	callers, workers int
	in               time.Duration
	body             []byte
}

// task is one round of it.
type task struct {
	work

	due       time.Time // of all items, where they are not due at once
	seen      []atomic.Int32
	delivered atomic.Int64
	done      chan struct{} // closed once all are acknowledged
	acked     atomic.Int64
	late      []time.Duration // by item, from due to delivery
	scheduled []time.Time
}

// deliver counts an item.
func (t *task) deliver(i int) {
	now := time.Now()
	t.seen[i].Add(1)
	t.delivered.Add(1)
	from := t.due
	if t.in == 0 {
		from = t.scheduled[i]
	}
	t.late[i] = now.Sub(from)
}

// ack counts items that will not come again.
func (t *task) ack(n int) {
	if t.acked.Add(int64(n)) == int64(t.items) {
		close(t.done)
	}
}

// schedule calls f for every item from the callers, and gives the first error.
func (t *task) schedule(f func(i int) error) error {
	var next atomic.Int64
	var wg sync.WaitGroup
	failed := make(chan error, t.callers)
	for range t.callers {
		wg.Go(func() {
			for {
				i := int(next.Add(1)) - 1
				if i >= t.items {
					return
				}
				t.scheduled[i] = time.Now()
				if err := f(i); err != nil {
					failed <- err
					return
				}
			}
		})
	}
	wg.Wait()
	close(failed)
	return <-failed
}

// contestant is one way of doing it: start begins delivering and gives how to
// schedule one item and how to end.
type contestant struct {
	name  string
	start func(ctx context.Context, t *task) (schedule func(i int) error, stop func(), err error)
}

// result is one round.
type result struct {
	scheduling, rate float64 // items a second
	p50, p99         time.Duration
	lost, twice      int
	own, redis       time.Duration // processor time an item, of this process and of the server
}

func (w work) run(ctx context.Context, c contestant, admin *redis.Client) (r result, err error) {
	t := &task{work: w, seen: make([]atomic.Int32, w.items), late: make([]time.Duration, w.items), scheduled: make([]time.Time, w.items), done: make(chan struct{})}
	if t.in > 0 {
		t.due = time.Now().Add(t.in)
	}
	schedule, stop, err := c.start(ctx, t)
	if err != nil {
		return r, err
	}
	defer stop()
	own, server := ownTime(), serverTime(ctx, admin)
	began := time.Now()
	if err := t.schedule(schedule); err != nil {
		return r, err
	}
	r.scheduling = float64(t.items) / time.Since(began).Seconds()
	if t.in > 0 {
		if time.Now().After(t.due) {
			return r, fmt.Errorf("%s was not done with scheduling after %v; a longer --in or fewer --items", c.name, t.in)
		}
		began = t.due
	}
	select {
	case <-t.done:
	case <-time.After(time.Minute):
	}
	r.own, r.redis = (ownTime()-own)/time.Duration(t.items), (serverTime(ctx, admin)-server)/time.Duration(t.items)
	r.rate = float64(t.acked.Load()) / time.Since(began).Seconds()
	for i := range t.seen {
		switch n := t.seen[i].Load(); {
		case n == 0:
			r.lost++
		case n > 1:
			r.twice++
		}
	}
	slices.Sort(t.late)
	r.p50, r.p99 = t.late[t.items/2], t.late[t.items*99/100]
	return r, nil
}

func main() {
	var t work
	flag.StringVar(&t.addr, "redis", "", "host:port of an empty redis; without it one is started")
	flag.IntVar(&t.items, "items", 20_000, "items a round")
	flag.IntVar(&t.jobs, "jobs", 500, "jobs they belong to")
	flag.IntVar(&t.callers, "callers", 64, "calls at the same time that schedule")
	flag.IntVar(&t.workers, "workers", 32, "workers that deliver")
	flag.DurationVar(&t.in, "in", 0, "after which all items are due; 0 for at once")
	rounds := flag.Int("rounds", 3, "rounds of each")
	flag.Parse()
	t.body = []byte(strings.Repeat("drive pattern, coast pattern. ", 7)[:200])
	if err := compare(t, *rounds); err != nil {
		fmt.Fprintln(os.Stderr, "compare:", err)
		os.Exit(1)
	}
}

func compare(t work, rounds int) error {
	ctx := context.Background()
	own := t.addr == ""
	if own {
		stop, addr, err := startRedis()
		if err != nil {
			return err
		}
		defer stop()
		t.addr = addr
	}
	admin := redis.NewClient(&redis.Options{Addr: t.addr})
	defer admin.Close()
	for range 200 {
		if admin.Ping(ctx).Err() == nil {
			break
		}
		time.Sleep(20 * time.Millisecond)
	}
	if n, err := admin.DBSize(ctx).Result(); err != nil || n > 0 {
		return fmt.Errorf("redis at %s: %d keys, and an empty one is wanted (%v)", t.addr, n, err)
	}
	contestants := []contestant{{"shimwright's store", startStore}, {"asynq v0.26.0", startAsynq}, {"bare go-redis", startBare}}
	all := make([][]result, len(contestants))
	for range rounds {
		for i, c := range contestants {
			r, err := t.run(ctx, c, admin)
			if err != nil {
				return fmt.Errorf("%s: %w", c.name, err)
			}
			all[i] = append(all[i], r)
			if err := admin.FlushAll(ctx).Err(); err != nil {
				return err
			}
		}
	}
	load, _ := os.ReadFile("/proc/loadavg")
	fmt.Printf("%d items in %d jobs, due in %v, %d callers, %d workers, median of %d rounds, load average %.4s\n", t.items, t.jobs, t.in, t.callers, t.workers, rounds, load)
	for i, c := range contestants {
		slices.SortFunc(all[i], func(a, b result) int { return int(a.rate - b.rate) })
		m := all[i][len(all[i])/2]
		fmt.Printf("%-20s scheduled %6.0f/s  delivered %6.0f/s (%.0f to %.0f)  late p50 %v p99 %v  processor %v here + %v redis an item  lost %d twice %d\n", c.name, m.scheduling, m.rate,
			all[i][0].rate, all[i][len(all[i])-1].rate, m.p50.Round(100*time.Microsecond), m.p99.Round(100*time.Microsecond), m.own.Round(time.Microsecond), m.redis.Round(time.Microsecond), m.lost, m.twice)
	}
	return nil
}

// ownTime is the processor time of this process.
func ownTime() time.Duration {
	var u syscall.Rusage
	if syscall.Getrusage(syscall.RUSAGE_SELF, &u) != nil {
		return 0
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

// serverTime is that of the server.
func serverTime(ctx context.Context, admin *redis.Client) time.Duration {
	text, err := admin.Info(ctx, "cpu").Result()
	if err != nil {
		return 0
	}
	sum := 0.0
	for row := range strings.Lines(text) {
		key, value, _ := strings.Cut(strings.TrimSpace(row), ":")
		if key == "used_cpu_sys" || key == "used_cpu_user" {
			v, _ := strconv.ParseFloat(value, 64)
			sum += v
		}
	}
	return time.Duration(sum * float64(time.Second))
}

// startRedis starts a server of its own.
func startRedis() (stop func(), addr string, err error) {
	dir, err := os.MkdirTemp("", "compare")
	if err != nil {
		return nil, "", err
	}
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		return nil, "", err
	}
	addr = l.Addr().String()
	l.Close()
	_, port, _ := net.SplitHostPort(addr)
	cmd := exec.Command("redis-server", "--port", port, "--bind", "127.0.0.1", "--dir", dir, "--save", "", "--appendonly", "yes", "--appendfsync", "everysec")
	if err := cmd.Start(); err != nil {
		return nil, "", err
	}
	return func() {
		cmd.Process.Kill()
		cmd.Wait()
		os.RemoveAll(dir)
	}, addr, nil
}
