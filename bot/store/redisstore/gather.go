package redisstore

import (
	"context"
	"sync"
	"time"

	"github.com/redis/go-redis/v9"
)

// gather lets single calls that come at the same time share round trips: while as many
// as atOnce are under way, what comes gathers, and leaves together when one is back.
// A call that comes alone leaves at once. Most of what a small call costs, here and in
// the server, is reading and writing its connection.
type gather struct {
	client redis.UniversalClient

	mu      sync.Mutex
	waiting []*gathered
	out     int // round trips under way
}

const (
	atOnce   = 2   // round trips
	together = 128 // calls of one

	afterLast = 50 * time.Millisecond
)

// gathered is a call on its way.
type gathered struct {
	call call
	ctx  context.Context
	full bool // with the script's source
	cmd  *redis.Cmd
	done chan struct{}
}

// do does one call; nil where ctx ended before the answer was there, after which it may
// be done or not.
func (g *gather) do(ctx context.Context, c call, full bool) *redis.Cmd {
	w := &gathered{call: c, ctx: ctx, full: full, done: make(chan struct{})}
	g.mu.Lock()
	g.waiting = append(g.waiting, w)
	if g.out < atOnce {
		g.out++
		go g.work()
	}
	g.mu.Unlock()
	select {
	case <-w.done:
		return w.cmd
	case <-ctx.Done():
		return nil
	}
}

// work sends what has gathered until nothing waits.
func (g *gather) work() {
	for {
		g.mu.Lock()
		n := min(len(g.waiting), together)
		if n == 0 {
			g.out--
			g.mu.Unlock()
			return
		}
		group := g.waiting[:n:n]
		g.waiting = g.waiting[n:]
		g.mu.Unlock()
		g.send(group)
	}
}

// send does one round trip. It may take a little longer than the most patient of its
// callers, so that they see their own time end.
func (g *gather) send(group []*gathered) {
	var last time.Time
	ctx, patient := context.Background(), false
	for _, w := range group {
		end, ok := w.ctx.Deadline()
		patient = patient || !ok
		if end.After(last) {
			last = end
		}
	}
	if !patient {
		var cancel context.CancelFunc
		ctx, cancel = context.WithDeadline(ctx, last.Add(afterLast))
		defer cancel()
	}
	pipe := g.client.Pipeline()
	for _, w := range group {
		if w.ctx.Err() == nil {
			w.cmd = w.call.in(ctx, pipe, w.full)
		}
	}
	pipe.Exec(ctx) // each command has its own error
	for _, w := range group {
		close(w.done)
	}
}
