package redisstore

import (
	"context"
	"fmt"
	"strconv"
	"strings"
	"sync"

	"github.com/redis/go-redis/v9"

	"shimwright/bot/store"
)

const (
	doRestore = "restore a backup: shimwright store restore"
	doTouch   = "say something in that job: its next entry sorts it in again"
	scanPage  = 500
	looks     = 4
)

var _ store.Inspector = (*Store)(nil)

// Inspect holds each stream's queue against its items and the index of its shard, and
// looks for records without a stream; see store.Inspector. What is not right is
// looked at again before it counts: it may be changing just now.
func (s *Store) Inspect(ctx context.Context, report func(store.Finding)) error {
	for after := ""; ; {
		names, err := s.Streams(ctx, "", after, scanPage)
		if err != nil {
			return err
		}
		for _, name := range names {
			var found []store.Finding
			for range looks {
				if found, err = s.inspect(ctx, name); err != nil || len(found) == 0 {
					break
				}
			}
			if err != nil {
				return err
			}
			for _, f := range found {
				report(f)
			}
		}
		if len(names) < scanPage {
			break
		}
		after = names[len(names)-1]
	}
	return s.orphans(ctx, report)
}

// inspect looks at one stream.
func (s *Store) inspect(ctx context.Context, stream string) (found []store.Finding, err error) {
	key := s.keys(stream)
	pipe := s.client.Pipeline()
	length := pipe.LLen(ctx, key[0])
	queue := pipe.ZRange(ctx, key[1], 0, -1)
	items := pipe.HGetAll(ctx, key[2])
	line := pipe.HGetAll(ctx, key[3])
	var in [3]*redis.FloatCmd
	for i := range in {
		in[i] = pipe.ZScore(ctx, key[4+i], stream)
	}
	if _, err := pipe.Exec(ctx); err != nil && err != redis.Nil {
		return nil, s.fault(ctx, err)
	}
	add := func(do, what string, args ...any) {
		found = append(found, store.Found(stream, do, what, args...))
	}
	if length.Val() == 0 {
		add(doRestore, "it is in the list of streams and has no events")
	}
	last := int64(0)
	if text := line.Val()["seq"]; text != "" {
		if last, err = strconv.ParseInt(text, 10, 64); err != nil {
			add(doRestore, "the count of its items is %q", text)
		}
	}
	waiting := map[string]bool{}
	for _, member := range queue.Val() {
		id := member[min(16, len(member)):]
		waiting[id] = true
		v, ok := items.Val()[id]
		n, err := strconv.ParseInt(member[:min(16, len(member))], 10, 64)
		switch {
		case err != nil || id == "":
			add(doRestore, "a place in its queue cannot be read")
		case !ok:
			add(doRestore, "item %s waits and what it says is missing", id)
		case len(v) < 17 || v[:16] != member[:16] || len(v) < 17+int(v[16]):
			add(doRestore, "item %s cannot be read", id)
		case n > last:
			add(doRestore, "item %s has a number that was not given out yet", id)
		}
	}
	for id := range items.Val() {
		if !waiting[id] {
			add(doRestore, "item %s is kept and waits nowhere", id)
		}
	}
	places := 0
	for _, c := range in {
		if c.Err() == nil {
			places++
		}
	}
	switch {
	case len(waiting) > 0 && places == 0:
		add(doTouch, "%d items wait and nobody looks for them", len(waiting))
	case places > 1:
		add(doTouch, "its queue is sorted in at %d places", places)
	case len(waiting) == 0 && places > 0:
		add(doTouch, "its queue is empty and is looked at")
	}
	return found, nil
}

// orphans looks for keys of the store that belong to no stream of its list.
func (s *Store) orphans(ctx context.Context, report func(store.Finding)) error {
	return s.scan(ctx, func(keys []string) error {
		for _, key := range keys {
			tag, rest, ok := strings.Cut(key, "}")
			kind, stream, has := strings.Cut(rest, ":")
			if !ok || !has || kind != "log" && kind != "queue" && kind != "items" && kind != "line" && kind != "files" {
				continue
			}
			shard := s.shardOf(stream)
			if tag+"}" != s.shardKey(shard, "") {
				report(store.Found(stream, doRestore, "a part of it is in another place (%s) than it is looked for", key))
				continue
			}
			err := s.client.ZScore(ctx, s.shardKey(shard, "names"), stream).Err()
			if err == redis.Nil {
				// it may have been made or emptied since
				if n, gone := s.client.Exists(ctx, key).Result(); gone == nil && n == 0 {
					continue
				}
				report(store.Found(stream, doRestore, "its %s is there and it is in no list of streams", kind))
			} else if err != nil {
				return s.fault(ctx, err)
			}
		}
		return nil
	})
}

// scan goes through all keys of the store but the format record, on every master.
func (s *Store) scan(ctx context.Context, do func(keys []string) error) error {
	one := func(ctx context.Context, c redis.Cmdable) error {
		pattern := "{" + s.prefix + ".*}*"
		for cursor := uint64(0); ; {
			keys, next, err := c.Scan(ctx, cursor, pattern, scanPage).Result()
			if err != nil {
				return s.fault(ctx, err)
			}
			if len(keys) > 0 {
				if err := do(keys); err != nil {
					return err
				}
			}
			if cursor = next; cursor == 0 {
				return nil
			}
		}
	}
	cluster, ok := s.client.(*redis.ClusterClient)
	if !ok {
		return one(ctx, s.client)
	}
	masters, err := mastersOf(ctx, cluster)
	if err != nil {
		return s.fault(ctx, err)
	}
	for _, c := range masters {
		if err := one(ctx, c); err != nil {
			return err
		}
	}
	return nil
}

func mastersOf(ctx context.Context, cluster *redis.ClusterClient) ([]*redis.Client, error) {
	var mu sync.Mutex // ForEachMaster calls at the same time
	var masters []*redis.Client
	err := cluster.ForEachMaster(ctx, func(_ context.Context, c *redis.Client) error {
		mu.Lock()
		defer mu.Unlock()
		masters = append(masters, c)
		return nil
	})
	return masters, err
}

// Clear deletes everything in the store. Nothing may work on it meanwhile.
func (s *Store) Clear(ctx context.Context) error {
	return s.scan(ctx, func(keys []string) error {
		pipe := s.client.Pipeline()
		for _, key := range keys {
			pipe.Unlink(ctx, key)
		}
		if _, err := pipe.Exec(ctx); err != nil {
			return s.fault(ctx, err)
		}
		return nil
	})
}

// Shrink has each master write its append-only file anew, in the background and while
// everything goes on.
func (s *Store) Shrink(ctx context.Context) error {
	ask := func(c redis.Cmdable, name string) error {
		err := c.BgRewriteAOF(ctx).Err()
		if err != nil && strings.Contains(err.Error(), "already in progress") {
			return nil
		}
		if err != nil {
			return fmt.Errorf("redis at %s: %w", name, err)
		}
		return nil
	}
	cluster, ok := s.client.(*redis.ClusterClient)
	if !ok {
		return ask(s.client, s.name)
	}
	masters, err := mastersOf(ctx, cluster)
	if err != nil {
		return s.fault(ctx, err)
	}
	for _, c := range masters {
		if err := ask(c, c.Options().Addr); err != nil {
			return err
		}
	}
	return nil
}
