package redisstore

import (
	"cmp"
	"context"
	"fmt"
	"iter"
	"math"
	"slices"
	"strconv"
	"time"

	"github.com/redis/go-redis/v9"

	"shimwright/bot/store"
)

// claimRounds is how often Claim looks again when others were faster every time, or
// the index was only set right because the clock had been stepped back.
const claimRounds = 8

// manyStreams is how many streams a claim goes to before it takes several items of each.
const manyStreams = 32

// leastEach is how many candidates each shard is asked for, where so many are wanted.
const leastEach = 8

// candidate is a stream that may have something to claim, and since when.
type candidate struct {
	stream string
	since  float64
}

// Claim hands out due items under leases; see store.Queue.
func (s *Store) Claim(ctx context.Context, now time.Time, lease time.Duration, limit int) ([]store.Item, error) {
	if err := s.begin(ctx); err != nil {
		return nil, err
	}
	if err := s.takeOver(ctx, now); err != nil {
		return nil, err
	}
	if err := s.letGo(ctx, now); err != nil {
		return nil, err
	}
	for range claimRounds {
		// Where much is asked for, some items each of fewer streams cost less.
		found, err := s.peek(ctx, now, min(limit, max(manyStreams, limit/8)))
		if err != nil || len(found) == 0 {
			return nil, err
		}
		items, err := s.claim(ctx, found, now, lease, limit)
		if err != nil || len(items) > 0 {
			return items, err
		}
	}
	return nil, nil
}

// peek gives at most limit candidates of all shards, the one that has waited longest
// first. Of a large limit it may give fewer: each shard is asked for somewhat more than
// its share, and what comes after the end of a shard's list cannot be put in order.
func (s *Store) peek(ctx context.Context, now time.Time, limit int) ([]candidate, error) {
	each := min(limit, max(leastEach, 3*limit/s.shards))
	var calls []call
	for keys := range s.indexes() {
		calls = append(calls, call{s.scripts.peek, keys, []any{micros(now), micros(horizon(now)), each}})
	}
	cmds, err := s.run(ctx, calls...)
	if err != nil {
		return nil, err
	}
	var found []candidate
	whole := math.Inf(1)
	for _, c := range cmds {
		list, err := c.StringSlice()
		if err != nil || len(list) == 0 {
			return nil, s.damaged("the index of what is due")
		}
		if list[0] != "" && each < limit {
			bound, err := strconv.ParseFloat(list[0], 64)
			if err != nil {
				return nil, s.damaged("the index of what is due")
			}
			whole = min(whole, bound)
		}
		for list = list[1:]; len(list) >= 2; list = list[2:] {
			since, err := strconv.ParseFloat(list[1], 64)
			if err != nil {
				return nil, s.damaged("the index of what is due")
			}
			found = append(found, candidate{list[0], since})
		}
	}
	slices.SortFunc(found, func(a, b candidate) int {
		return cmp.Or(cmp.Compare(a.since, b.since), cmp.Compare(a.stream, b.stream))
	})
	n := min(len(found), limit)
	for n > 1 && found[n-1].since > whole {
		n--
	}
	return found[:n], nil
}

func (s *Store) claim(ctx context.Context, found []candidate, now time.Time, lease time.Duration, limit int) ([]store.Item, error) {
	each := min(max(limit/len(found), 1), store.RunLimit)
	token := s.alive.name + "." + store.NewID() // one for the whole claim; it is compared within a stream only
	calls := make([]call, len(found))
	for i, f := range found {
		calls[i] = call{s.scripts.claim, s.keys(f.stream), []any{
			f.stream, micros(now), token, micros(now.Add(lease)), each,
		}}
	}
	cmds, err := s.run(ctx, calls...)
	if err != nil {
		s.alive.unanswered(found, token) // some may be leased
		return nil, err
	}
	var items []store.Item
	for i, c := range cmds {
		list, err := c.StringSlice()
		if err != nil {
			return nil, s.damaged("the queue of " + found[i].stream)
		}
		run, err := s.items(found[i].stream, token, list)
		if err != nil {
			return nil, err
		}
		items = append(items, run...)
	}
	return items, nil
}

// horizon is the latest end that a lease or hold can rightly have.
func horizon(now time.Time) time.Time { return now.Add(store.MaxHold + store.ClockSlip) }

// index gives the keys of a shard's index.
func (s *Store) index(shard int) []string {
	return []string{s.shardKey(shard, "ready"), s.shardKey(shard, "due"), s.shardKey(shard, "busy")}
}

// indexes gives the keys of all shards' indexes, in as few lists as one script may
// have: in a cluster, shards lie on different nodes.
func (s *Store) indexes() iter.Seq[[]string] {
	return func(yield func([]string) bool) {
		_, cluster := s.client.(*redis.ClusterClient)
		var keys []string
		for i := range s.shards {
			keys = append(keys, s.index(i)...)
			if cluster || i == s.shards-1 {
				if !yield(keys) {
					return
				}
				keys = nil
			}
		}
	}
}

// Extend moves the end of a lease; see store.Queue.
func (s *Store) Extend(ctx context.Context, stream, token string, now time.Time, lease time.Duration) error {
	cmds, err := s.run(ctx, call{s.scripts.extend, s.keys(stream), []any{stream, micros(now), token, micros(now.Add(lease))}})
	if err != nil {
		return err
	}
	if held, err := cmds[0].Int(); err != nil || held != 1 {
		return fmt.Errorf("%w: that of %s", store.ErrLost, stream)
	}
	return nil
}

// NextDue gives the time from which something can be claimed; see store.Queue.
func (s *Store) NextDue(ctx context.Context, now time.Time) (time.Time, bool, error) {
	var calls []call
	for keys := range s.indexes() {
		calls = append(calls, call{s.scripts.next, keys, []any{micros(horizon(now))}})
	}
	cmds, err := s.run(ctx, calls...)
	if err != nil {
		return time.Time{}, false, err
	}
	var next time.Time
	found := false
	for _, c := range cmds {
		text, err := c.Text()
		if err != nil {
			return time.Time{}, false, s.damaged("the index of what is due")
		}
		if text == "" {
			continue
		}
		score, err := strconv.ParseFloat(text, 64)
		if err != nil {
			return time.Time{}, false, s.damaged("the index of what is due")
		}
		if score == 0 {
			return time.Time{}, true, nil
		}
		if t := time.UnixMicro(int64(score)).UTC(); !found || t.Before(next) {
			next, found = t, true
		}
	}
	return next, found, nil
}

// Waiting gives the stream's queue in order; see store.Queue.
func (s *Store) Waiting(ctx context.Context, stream string) ([]store.Item, error) {
	cmds, err := s.run(ctx, call{s.scripts.waiting, s.keys(stream), []any{stream, "0"}})
	if err != nil {
		return nil, err
	}
	list, err := cmds[0].StringSlice()
	if err != nil {
		return nil, s.damaged("the queue of " + stream)
	}
	return s.items(stream, "", list)
}
