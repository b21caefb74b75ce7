package redisstore

import (
	"context"
	"strings"
	"sync"
	"time"

	"github.com/redis/go-redis/v9"

	"shimwright/bot/store"
)

// A process that claims gives a sign of life: a key that the server forgets after
// aliveLife, set anew every aliveEvery. Its leases carry its name, so that others take
// them over soon after it died instead of when they run out. A process must have been
// missed for aliveDoubt, without an error between: after a restart of the server all
// are missing until they have connected again. Whoever was only held up finds its
// lease gone at the next Extend.
const (
	aliveEvery = 2 * time.Second
	aliveLife  = 6 * time.Second
	aliveDoubt = 5 * time.Second
)

// alive is what this process says and knows of who is alive. Its times are not those
// of the queue: a stepped clock does not touch them.
type alive struct {
	name string // begins the tokens of all leases of this process, before a "."

	mu      sync.Mutex
	stop    context.CancelFunc // of the goroutine that gives the sign, nil before the first claim
	said    time.Time
	looked  time.Time
	missing map[string]time.Time // other processes, and since when
	unheard []unheard

	beating sync.WaitGroup
}

// unheard is a claim whose answer never came.
type unheard struct {
	stream, token string
}

func newAlive() *alive { return &alive{name: store.NewID(), missing: map[string]time.Time{}} }

func (s *Store) aliveKey(process string) string { return "{" + s.prefix + ".alive}" + process }

// processesKey holds all processes that have claimed and were not cleared away.
func (s *Store) processesKey() string { return "{" + s.prefix + ".alive}:all" }

// begin gives the sign of life before the first claim, and again where it is late.
func (s *Store) begin(ctx context.Context) error {
	a := s.alive
	a.mu.Lock()
	fresh := a.stop != nil && time.Since(a.said) < aliveLife/2
	a.mu.Unlock()
	if fresh {
		return nil
	}
	if err := s.beat(ctx); err != nil {
		return err
	}
	a.mu.Lock()
	defer a.mu.Unlock()
	if a.stop == nil {
		var beat context.Context
		beat, a.stop = context.WithCancel(context.Background())
		a.beating.Go(func() { s.keepBeating(beat) })
	}
	return nil
}

func (s *Store) beat(ctx context.Context) error {
	began := time.Now()
	keys := []string{s.aliveKey(s.alive.name), s.processesKey()}
	if _, err := s.run(ctx, call{s.scripts.beat, keys, []any{s.alive.name, aliveLife.Milliseconds()}}); err != nil {
		return err
	}
	s.alive.mu.Lock()
	defer s.alive.mu.Unlock()
	s.alive.said = began
	return nil
}

func (s *Store) keepBeating(ctx context.Context) {
	tick := time.NewTicker(aliveEvery)
	defer tick.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
		}
		short, cancel := context.WithTimeout(ctx, aliveEvery)
		s.beat(short) // what is wrong shows in what is asked for besides
		cancel()
	}
}

// rest takes the sign of life back. Others clear away what is left, if anything.
func (a *alive) rest(s *Store) {
	a.mu.Lock()
	stop := a.stop
	a.mu.Unlock()
	if stop == nil {
		return
	}
	stop()
	a.beating.Wait()
	ctx, cancel := context.WithTimeout(context.Background(), time.Second)
	defer cancel()
	s.client.Del(ctx, s.aliveKey(a.name))
}

// Others gives how many other processes work on the store.
func (s *Store) Others(ctx context.Context) (int, error) {
	present, _, err := s.present(ctx)
	return present, err
}

// present asks which processes are there.
func (s *Store) present(ctx context.Context) (n int, missing []string, err error) {
	names, err := s.client.HKeys(ctx, s.processesKey()).Result()
	if err != nil {
		return 0, nil, s.fault(ctx, err)
	}
	pipe := s.client.Pipeline()
	signs := map[string]*redis.IntCmd{}
	for _, name := range names {
		if name != s.alive.name {
			signs[name] = pipe.Exists(ctx, s.aliveKey(name))
		}
	}
	if len(signs) == 0 {
		return 0, nil, nil
	}
	if _, err := pipe.Exec(ctx); err != nil {
		return 0, nil, s.fault(ctx, err)
	}
	for name, sign := range signs {
		if sign.Val() == 1 {
			n++
		} else {
			missing = append(missing, name)
		}
	}
	return n, missing, nil
}

// takeOver ends the leases of processes that are gone. It looks every aliveEvery.
func (s *Store) takeOver(ctx context.Context, now time.Time) error {
	a := s.alive
	a.mu.Lock()
	if time.Since(a.looked) < aliveEvery {
		a.mu.Unlock()
		return nil
	}
	a.looked = time.Now()
	a.mu.Unlock()
	_, missing, err := s.present(ctx)
	a.mu.Lock()
	since := a.missing
	a.missing = map[string]time.Time{}
	var gone []string
	if err == nil {
		for _, name := range missing {
			if since[name].IsZero() {
				since[name] = a.looked
			}
			a.missing[name] = since[name]
			if a.looked.Sub(since[name]) >= aliveDoubt {
				gone = append(gone, name)
			}
		}
	}
	a.mu.Unlock()
	if err != nil || len(gone) == 0 {
		return err
	}
	for shard := range s.shards {
		if err := s.abandon(ctx, shard, gone, now); err != nil {
			return err
		}
	}
	return s.fault(ctx, s.client.HDel(ctx, s.processesKey(), gone...).Err())
}

// abandon ends the leases of some processes in one shard.
func (s *Store) abandon(ctx context.Context, shard int, gone []string, now time.Time) error {
	streams, err := s.client.ZRange(ctx, s.shardKey(shard, "busy"), 0, -1).Result()
	if err != nil || len(streams) == 0 {
		return s.fault(ctx, err)
	}
	pipe := s.client.Pipeline()
	tokens := make([]*redis.StringCmd, len(streams))
	for i, stream := range streams {
		tokens[i] = pipe.HGet(ctx, s.keys(stream)[3], "token")
	}
	if _, err := pipe.Exec(ctx); err != nil && err != redis.Nil {
		return s.fault(ctx, err)
	}
	var calls []call
	for i, stream := range streams {
		for _, name := range gone {
			if strings.HasPrefix(tokens[i].Val(), name+".") {
				calls = append(calls, call{s.scripts.abandon, s.keys(stream), []any{stream, micros(now), tokens[i].Val()}})
			}
		}
	}
	if len(calls) == 0 {
		return nil
	}
	_, err = s.run(ctx, calls...)
	return err
}

// unanswered notes claims whose answer did not come: they may hold leases that nobody
// knows of.
func (a *alive) unanswered(found []candidate, token string) {
	a.mu.Lock()
	defer a.mu.Unlock()
	for _, f := range found {
		a.unheard = append(a.unheard, unheard{f.stream, token})
	}
}

// letGo ends leases of claims whose answer did not come.
func (s *Store) letGo(ctx context.Context, now time.Time) error {
	a := s.alive
	a.mu.Lock()
	list := a.unheard
	a.unheard = nil
	a.mu.Unlock()
	if len(list) == 0 {
		return nil
	}
	calls := make([]call, len(list))
	for i, u := range list {
		calls[i] = call{s.scripts.abandon, s.keys(u.stream), []any{u.stream, micros(now), u.token}}
	}
	_, err := s.run(ctx, calls...)
	if err != nil {
		a.mu.Lock()
		a.unheard = append(a.unheard, list...)
		a.mu.Unlock()
	}
	return err
}
