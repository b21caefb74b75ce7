// Package redisstore keeps the store in Redis or Valkey (7.0 or later; single,
// Sentinel or Cluster), for any number of processes.
//
// Streams are spread over a fixed number of shards, each with a hash tag of its own:
// a stream's events, queue and lease, the index of what is due and the list of names
// lie in one slot, so a single script changes all of them at once and none can be
// stale. (A tag for each stream would need an index in other slots that is corrected
// afterwards.) Scripts name every key they use. They read no clock.
//
// Keys, with the default prefix and for shard 3:
//
//	shimwright.format          hash    format, shards
//	{shimwright.alive}:all     hash    processes that have claimed; leases begin with such a name
//	{shimwright.alive}PROCESS  string  its sign of life, which the server forgets
//	{shimwright.3}log:STREAM   list    events, see record
//	{shimwright.3}queue:STREAM zset    sequence and item id by due time in µs (0: at once)
//	{shimwright.3}items:STREAM hash    item id -> sequence, kind, body
//	{shimwright.3}line:STREAM  hash    the queue's state: lease, attempts, holds
//	{shimwright.3}files:STREAM hash    name -> file
//	{shimwright.3}ready        zset    streams that can be claimed, by how long they have waited
//	{shimwright.3}due          zset    streams by when they will be due
//	{shimwright.3}busy         zset    streams leased or held, by until when
//	{shimwright.3}names        zset    all streams
//
// What a server loses, the store loses: it needs `appendonly yes`, with `appendfsync
// always` where the last second must survive a power failure, `maxmemory-policy
// noeviction`, and replicas that are asked for with `min-replicas-to-write` where a
// failover must not lose the end of a stream (readers then see store.ErrRewound).
package redisstore

import (
	"context"
	"fmt"
	"hash/fnv"
	"slices"
	"strconv"
	"strings"

	"github.com/redis/go-redis/v9"
	"github.com/redis/go-redis/v9/maintnotifications"

	"shimwright/bot/store"
)

// format is the version of the layout of keys.
const format = 1

// DefaultPrefix begins all keys where Options.Prefix is empty.
const DefaultPrefix = "shimwright"

const defaultShards = 16 // enough to spread over as many masters; each costs a little at every look for due items

// Options say where in a server the store lies.
type Options struct {
	Prefix string // of all keys; letters, digits, - _ . : only
	Shards int    // of a new store, 1 to 1024, 0 for 16; one that exists keeps its own
}

// Store is a store.Backend on a Redis server.
type Store struct {
	client  redis.UniversalClient
	name    string // of the server, for messages
	prefix  string
	shards  int
	scripts scripts
	gather  *gather // nil in a cluster, where a round trip goes to one node
	alive   *alive
}

var _ store.Backend = (*Store)(nil)

// Open connects to one server, to a Sentinel group (MasterName) or to a cluster
// (several addresses, or IsClusterMode) and opens or makes the store there. Calls
// honour the deadline of their context.
func Open(ctx context.Context, server *redis.UniversalOptions, o Options) (*Store, error) {
	opt := *server
	opt.ContextTimeoutEnabled = true
	if opt.DialerRetries == 0 {
		opt.DialerRetries = 1 // commands are retried, and five times as much makes people wait
	}
	// neither is known to all servers of the versions above
	opt.DisableIdentity = true
	opt.MaintNotificationsConfig = &maintnotifications.Config{Mode: maintnotifications.ModeDisabled}
	name := strings.Join(opt.Addrs, ", ")
	if opt.MasterName != "" {
		name = opt.MasterName + " (through " + name + ")"
	}
	return openOn(ctx, redis.NewUniversalClient(&opt), name, o)
}

// New opens or makes the store on a client's server. The client is the store's from
// here on: Close closes it, and so does an error of New.
func New(ctx context.Context, client redis.UniversalClient, o Options) (*Store, error) {
	return openOn(ctx, client, nameOf(client), o)
}

func openOn(ctx context.Context, client redis.UniversalClient, name string, o Options) (_ *Store, err error) {
	s := &Store{client: client, name: name, prefix: o.Prefix, shards: o.Shards, scripts: newScripts(), alive: newAlive()}
	defer func() {
		if err != nil {
			client.Close()
		}
	}()
	if s.prefix == "" {
		s.prefix = DefaultPrefix
	}
	if s.shards == 0 {
		s.shards = defaultShards
	}
	wrong := func(r rune) bool {
		return !(r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || strings.ContainsRune("-_.:", r))
	}
	if strings.ContainsFunc(s.prefix, wrong) || s.shards < 1 || s.shards > 1024 {
		return nil, fmt.Errorf("%w: prefix %q with %d shards", store.ErrInvalid, s.prefix, s.shards)
	}
	if _, cluster := client.(*redis.ClusterClient); !cluster {
		s.gather = &gather{client: client}
	}
	if err := s.agree(ctx); err != nil {
		return nil, err
	}
	return s, nil
}

// agree makes the format record of a new store and takes over that of an old one.
func (s *Store) agree(ctx context.Context) error {
	key := s.prefix + ".format"
	got, err := s.client.HMGet(ctx, key, "format", "shards").Result()
	if err == nil && got[0] == nil {
		pipe := s.client.Pipeline()
		pipe.HSetNX(ctx, key, "shards", s.shards) // the first of two openers decides; format last, as it is asked for first
		pipe.HSetNX(ctx, key, "format", format)
		set := pipe.HMGet(ctx, key, "format", "shards")
		if _, err = pipe.Exec(ctx); err == nil {
			got, err = set.Result()
		}
	}
	if err != nil {
		return s.fault(ctx, err)
	}
	var n [2]int
	for i, v := range got {
		text, _ := v.(string)
		if n[i], err = strconv.Atoi(text); err != nil || n[i] < 1 {
			return fmt.Errorf("%w: %s at %s does not say which format it has; restore a backup or choose another prefix", store.ErrCorrupt, key, s.name)
		}
	}
	if n[0] > format {
		return fmt.Errorf("%w: %s at %s has format %d and this version knows %d; update the program", store.ErrNewer, key, s.name, n[0], format)
	}
	s.shards = n[1]
	return nil
}

func nameOf(client redis.UniversalClient) string {
	switch c := client.(type) {
	case *redis.Client:
		return c.Options().Addr
	case *redis.ClusterClient:
		return strings.Join(c.Options().Addrs, ", ")
	}
	return "redis"
}

// shardOf spreads streams evenly; it must never change.
func (s *Store) shardOf(stream string) int {
	h := fnv.New32a()
	h.Write([]byte(stream))
	return int(h.Sum32() % uint32(s.shards))
}

func (s *Store) shardKey(shard int, what string) string {
	return "{" + s.prefix + "." + strconv.Itoa(shard) + "}" + what
}

// keys gives the keys of a stream in the order in which the scripts name them.
func (s *Store) keys(stream string) []string {
	tag := s.shardKey(s.shardOf(stream), "")
	return []string{
		tag + "log:" + stream, tag + "queue:" + stream, tag + "items:" + stream, tag + "line:" + stream,
		tag + "ready", tag + "due", tag + "busy", tag + "names",
	}
}

// Events gives the events after a version; see store.Log.
func (s *Store) Events(ctx context.Context, stream string, after uint64) ([][]byte, error) {
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	key := s.keys(stream)[0]
	pipe := s.client.Pipeline()
	length := pipe.LLen(ctx, key) // first: the list only grows, so what comes after it is at least as new
	records := pipe.LRange(ctx, key, int64(min(after, 1<<53)), -1)
	if _, err := pipe.Exec(ctx); err != nil {
		return nil, s.fault(ctx, err)
	}
	if v := uint64(length.Val()); v < after {
		return nil, fmt.Errorf("%w: %s has %d events and was read up to %d; read it from the start", store.ErrRewound, stream, v, after)
	}
	events := make([][]byte, 0, len(records.Val()))
	for _, r := range records.Val() {
		if len(r) == 0 || len(r) < 1+int(r[0]) {
			return nil, s.damaged("an event of " + stream)
		}
		events = append(events, []byte(r[1+int(r[0]):]))
	}
	return events, nil
}

// Streams gives names of streams in byte order; see store.Log.
func (s *Store) Streams(ctx context.Context, prefix, after string, limit int) ([]string, error) {
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	by := &redis.ZRangeBy{Min: "-", Max: "+", Count: int64(limit)}
	if prefix != "" {
		by.Min, by.Max = "["+prefix, "("+prefix+"\xff"
	}
	if after >= prefix && after != "" {
		by.Min = "(" + after
	}
	pipe := s.client.Pipeline()
	for shard := range s.shards {
		pipe.ZRangeByLex(ctx, s.shardKey(shard, "names"), by)
	}
	cmds, err := pipe.Exec(ctx)
	if err != nil {
		return nil, s.fault(ctx, err)
	}
	var names []string
	for _, c := range cmds {
		names = append(names, c.(*redis.StringSliceCmd).Val()...)
	}
	slices.Sort(names)
	return names[:min(len(names), limit)], nil
}

// Close closes the client.
func (s *Store) Close() error {
	s.alive.rest(s)
	if err := s.client.Close(); err != nil && err != redis.ErrClosed {
		return fmt.Errorf("closing the connection to %s: %w", s.name, err)
	}
	return nil
}
