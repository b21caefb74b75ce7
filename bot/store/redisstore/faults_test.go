package redisstore

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/redis/go-redis/v9"

	"shimwright/bot/store"
	"shimwright/bot/store/storetest"
)

func batch(stream string, expect uint64, items ...store.Item) store.Batch {
	return store.Batch{ID: store.NewID(), Stream: stream, Expect: expect, Now: time.Now(), Events: [][]byte{[]byte("said")}, Queue: items}
}

func message(id string) store.Item { return store.Item{ID: id, Kind: "message", Body: []byte("text")} }

func mustCommit(t *testing.T, s *Store, b store.Batch) {
	t.Helper()
	if _, err := s.Commit(context.Background(), b); err != nil {
		t.Fatal(err)
	}
}

func wantError(t *testing.T, what string, err, want error, words ...string) {
	t.Helper()
	if !errors.Is(err, want) {
		t.Fatalf("%s: error %v, want %v", what, err, want)
	}
	for _, w := range words {
		if !strings.Contains(err.Error(), w) {
			t.Fatalf("%s: error %q does not say %q", what, err, w)
		}
	}
}

func config(t *testing.T, s *Store, parameter, value string) {
	t.Helper()
	if err := s.client.ConfigSet(context.Background(), parameter, value).Err(); err != nil {
		t.Fatal(err)
	}
}

// A server at its maxmemory refuses what adds, in whole, and lets the queue be
// emptied.
func TestOutOfMemory(t *testing.T) {
	ctx := context.Background()
	r := storetest.StartRedis(t)
	s := open(t, r.Addr, "s", 0)
	mustCommit(t, s, batch("job/1", 0, message("a"), message("b"), message("c")))
	config(t, s, "maxmemory", "1")
	_, err := s.Commit(ctx, batch("job/1", 1, message("d")))
	wantError(t, "commit", err, store.ErrFull, r.Addr)
	_, err = s.Commit(ctx, batch("job/2", 0, message("d")))
	wantError(t, "commit of a new stream", err, store.ErrFull)
	if names, err := s.Streams(ctx, "", "", 10); err != nil || len(names) != 1 {
		t.Fatalf("streams %q, error %v", names, err)
	}
	if events, err := s.Events(ctx, "job/1", 0); err != nil || len(events) != 1 {
		t.Fatalf("%d events, error %v, want 1", len(events), err)
	}
	items, err := s.Claim(ctx, time.Now(), time.Minute, 2)
	if err != nil || len(items) != 2 {
		t.Fatalf("claimed %+v, error %v", items, err)
	}
	if err := s.Extend(ctx, "job/1", items[0].Lease, time.Now(), time.Minute); err != nil {
		t.Fatal(err)
	}
	done := store.Batch{ID: "x", Stream: "job/1", Expect: store.Any, Now: time.Now(), Done: []string{"a"}, Lease: items[0].Lease}
	mustCommit(t, s, done)
	done.Done, done.Retry = nil, &store.Retry{ID: "b", Due: time.Now()}
	mustCommit(t, s, done)
	if items, err := s.Claim(ctx, time.Now().Add(time.Second), time.Minute, 2); err != nil || len(items) != 2 || items[0].Attempts != 1 {
		t.Fatalf("claimed %+v, error %v", items, err)
	}
	_, err = New(ctx, redis.NewClient(&redis.Options{Addr: r.Addr}), Options{Prefix: "new"})
	wantError(t, "a new store", err, store.ErrFull)
	config(t, s, "maxmemory", "0")
	mustCommit(t, s, batch("job/1", 1, message("d")))
}

func TestUnreachable(t *testing.T) {
	ctx := context.Background()
	r := storetest.StartRedis(t)
	s := open(t, r.Addr, "s", 0)
	mustCommit(t, s, batch("job/1", 0, message("a")))
	r.Stop()
	short, cancel := context.WithTimeout(ctx, 20*time.Second)
	defer cancel()
	_, err := s.Commit(short, batch("job/1", 1))
	wantError(t, "commit", err, store.ErrTemporary, r.Addr)
	t.Log(err)
	_, err = s.Events(short, "job/1", 0)
	wantError(t, "events", err, store.ErrTemporary)
	_, err = Open(short, &redis.UniversalOptions{Addrs: []string{r.Addr}}, Options{})
	wantError(t, "open", err, store.ErrTemporary, r.Addr)
	r.Restart()
	mustCommit(t, s, batch("job/1", 1))
}

func TestReadOnly(t *testing.T) {
	ctx := context.Background()
	r := storetest.StartRedis(t)
	s := open(t, r.Addr, "s", 0)
	mustCommit(t, s, batch("job/1", 0))
	if err := s.client.Do(ctx, "REPLICAOF", "127.0.0.1", "1").Err(); err != nil {
		t.Fatal(err)
	}
	_, err := s.Commit(ctx, batch("job/1", 1))
	wantError(t, "commit to a replica", err, store.ErrTemporary, "READONLY")
	if err := s.client.Do(ctx, "REPLICAOF", "NO", "ONE").Err(); err != nil {
		t.Fatal(err)
	}
	mustCommit(t, s, batch("job/1", 1))
}

// A commit whose answer does not come is done or not; the same batch once more tells.
func TestUnknownOutcome(t *testing.T) {
	ctx := context.Background()
	r := storetest.StartRedis(t)
	s := open(t, r.Addr, "s", 0)
	mustCommit(t, s, batch("job/1", 0))
	for round := range uint64(5) {
		b := batch("job/1", 1+round, message(fmt.Sprintf("m%d", round)))
		r.Pause()
		short, cancel := context.WithTimeout(ctx, 20*time.Millisecond)
		_, err := s.Commit(short, b)
		cancel()
		r.Resume()
		wantError(t, "commit to a server that does not answer", err, context.DeadlineExceeded, r.Addr)
		mustCommit(t, s, b)
		mustCommit(t, s, b)
		events, err := s.Events(ctx, "job/1", 0)
		if err != nil || len(events) != int(round)+2 {
			t.Fatalf("%d events, error %v, want %d", len(events), err, round+2)
		}
		if items, err := s.Waiting(ctx, "job/1"); err != nil || len(items) != int(round)+1 {
			t.Fatalf("%d items, error %v, want %d", len(items), err, round+1)
		}
	}
}

// A claim whose answer was lost is repeated by the client and gives the same items.
func TestClaimRepeated(t *testing.T) {
	ctx := context.Background()
	s := open(t, storetest.StartRedis(t).Addr, "s", 0)
	mustCommit(t, s, batch("job/1", 0, message("a"), message("b"), message("c")))
	now := time.Now()
	for _, token := range []string{"one", "one", "two"} {
		cmds, err := s.run(ctx, call{s.scripts.claim, s.keys("job/1"), []any{"job/1", micros(now), token, micros(now.Add(time.Minute)), 2}})
		if err != nil {
			t.Fatal(err)
		}
		list, err := cmds[0].StringSlice()
		if err != nil {
			t.Fatal(err)
		}
		items, err := s.items("job/1", token, list)
		if want := map[string]int{"one": 2}[token]; err != nil || len(items) != want {
			t.Fatalf("claim %s gave %+v, error %v, want %d items", token, items, err, want)
		}
		if len(items) > 0 && (items[0].ID != "a" || items[1].ID != "b" || items[0].Attempts != 0 || string(items[1].Body) != "text") {
			t.Fatalf("claim %s gave %+v", token, items)
		}
	}
}

// A server that lost the scripts (restart, failover, SCRIPT FLUSH) is given them
// again.
func TestScriptsForgotten(t *testing.T) {
	ctx := context.Background()
	s := open(t, storetest.StartRedis(t).Addr, "s", 0)
	for n := range uint64(3) {
		if err := s.client.ScriptFlush(ctx).Err(); err != nil {
			t.Fatal(err)
		}
		mustCommit(t, s, batch("job/1", n, message(fmt.Sprint(n))))
		if err := s.client.ScriptFlush(ctx).Err(); err != nil {
			t.Fatal(err)
		}
		if items, err := s.Claim(ctx, time.Now().Add(time.Hour*time.Duration(n)), time.Minute, 5); err != nil || len(items) != int(n)+1 {
			t.Fatalf("claimed %d items, error %v", len(items), err)
		}
	}
}

func TestOtherFormats(t *testing.T) {
	ctx := context.Background()
	r := storetest.StartRedis(t)
	again := func(prefix string, shards int) (*Store, error) {
		s, err := Open(ctx, &redis.UniversalOptions{Addrs: []string{r.Addr}}, Options{Prefix: prefix, Shards: shards})
		if err == nil {
			t.Cleanup(func() { s.Close() })
		}
		return s, err
	}
	s := open(t, r.Addr, "s", 3)
	if s, err := again("s", 5); err != nil || s.shards != 3 {
		t.Fatalf("opened again with other shards: %+v, error %v", s, err)
	}
	s.client.HSet(ctx, "s.format", "format", format+1)
	_, err := again("s", 0)
	wantError(t, "a newer format", err, store.ErrNewer, r.Addr, "update")
	s.client.HSet(ctx, "s.format", "format", "?")
	_, err = again("s", 0)
	wantError(t, "a format that is no number", err, store.ErrCorrupt, r.Addr)
	for _, o := range []Options{{Prefix: "a{b}"}, {Prefix: "a b"}, {Shards: -1}, {Shards: 5000}} {
		_, err = again(o.Prefix, o.Shards)
		wantError(t, fmt.Sprintf("options %+v", o), err, store.ErrInvalid)
	}
	s.client.RPush(ctx, s.keys("job/9")[0], "")
	_, err = s.Events(ctx, "job/9", 0)
	wantError(t, "a record that is none", err, store.ErrCorrupt)
}

// serverError is an error as a server would give it.
type serverError string

func (e serverError) Error() string { return string(e) }
func (serverError) RedisError()     {}

func TestServerErrors(t *testing.T) {
	s := &Store{name: "server:1"}
	ctx := context.Background()
	for text, want := range map[string]error{
		"LOADING Redis is loading the dataset in memory":                                         store.ErrTemporary,
		"CLUSTERDOWN The cluster is down":                                                        store.ErrTemporary,
		"TRYAGAIN Multiple keys request during rehashing of slot":                                store.ErrTemporary,
		"MASTERDOWN Link with MASTER is down and replica-serve-stale-data is set to 'no'.":       store.ErrTemporary,
		"NOREPLICAS Not enough good replicas to write.":                                          store.ErrTemporary,
		"BUSY Redis is busy running a script.":                                                   store.ErrTemporary,
		"MISCONF Redis is configured to save RDB snapshots, but it's unable to persist to disk.": store.ErrTemporary,
		"MISCONF Errors writing to the AOF file: No space left on device":                        store.ErrFull,
		"OOM command not allowed when used memory > 'maxmemory'. script: 1f, on @user_script:1.": store.ErrFull,
	} {
		wantError(t, text, s.fault(ctx, serverError(text)), want, "server:1")
	}
	err := s.fault(ctx, serverError("NOAUTH Authentication required."))
	if errors.Is(err, store.ErrTemporary) || !strings.Contains(err.Error(), "server:1 refuses: NOAUTH") {
		t.Errorf("wrong password: %v", err)
	}
}

// What is finished leaves nothing behind but its log and its name.
func TestLeavesNoKeys(t *testing.T) {
	ctx := context.Background()
	s := open(t, storetest.StartRedis(t).Addr, "s", 1)
	now := time.Now()
	b := batch("job/1", 0, message("a"), message("b"), message("c"), store.Item{ID: "r", Kind: "reminder", Due: now.Add(time.Hour)})
	mustCommit(t, s, b)
	items, err := s.Claim(ctx, now, time.Minute, 2)
	if err != nil || len(items) != 2 {
		t.Fatalf("claimed %+v, error %v", items, err)
	}
	end := store.Batch{ID: "x", Stream: "job/1", Expect: store.Any, Now: now, Lease: items[0].Lease, Retry: &store.Retry{ID: "a", Due: now.Add(time.Second)}}
	mustCommit(t, s, end)
	mustCommit(t, s, store.Batch{ID: "x", Stream: "job/1", Expect: store.Any, Now: now, Cancel: []string{"r", "c"}})
	if items, err = s.Claim(ctx, now.Add(time.Second), time.Minute, 2); err != nil || len(items) != 2 {
		t.Fatalf("claimed %+v, error %v", items, err)
	}
	mustCommit(t, s, store.Batch{ID: "x", Stream: "job/1", Expect: store.Any, Now: now, Done: []string{"a", "b"}, Lease: items[0].Lease})
	keys, err := s.client.Keys(ctx, "*").Result()
	keys = slices.DeleteFunc(keys, func(k string) bool { return strings.HasPrefix(k, "{s.alive}") }) // the process's own
	if err != nil || len(keys) != 3 {
		t.Fatalf("keys %q, error %v, want format, log and names", keys, err)
	}
	if d := bytes.Compare([]byte(s.keys("job/1")[0]), []byte("{s.0}log:job/1")); d != 0 {
		t.Fatalf("the log's key is %q", s.keys("job/1")[0])
	}
}
