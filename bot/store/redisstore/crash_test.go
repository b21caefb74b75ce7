package redisstore

import (
	"context"
	"errors"
	"fmt"
	"testing"
	"time"

	"github.com/redis/go-redis/v9"

	"shimwright/bot/store"
	"shimwright/bot/store/storetest"
)

// TestKill kills the server under four writers that go on until it is back. Each
// repeats its batch as it is until it knows the outcome; then what is in the log must
// be what was written, once.
func TestKill(t *testing.T) {
	const rounds, writers, most = 4, 4, 100_000
	r := storetest.StartRedis(t, "--appendfsync", "always")
	ctx, cancel := context.WithTimeout(context.Background(), time.Minute)
	defer cancel()
	// without retries of its own, so that each cut connection shows
	s, err := Open(ctx, &redis.UniversalOptions{Addrs: []string{r.Addr}, MaxRetries: -1, PoolSize: writers}, Options{Prefix: "s"})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	stop := make(chan struct{})
	type result struct {
		committed uint64
		unknown   int // commits whose outcome was not known at first
		err       error
	}
	results := make(chan result)
	progress := make(chan struct{}, writers*most)
	for w := range writers {
		go func() {
			var res result
			for res.committed < most {
				n := res.committed
				b := batch(fmt.Sprintf("job/%d", w), n, message(fmt.Sprintf("i%d", n+1)))
				b.Events = [][]byte{fmt.Appendf(nil, "event %d", n+1)}
				b.Done = []string{fmt.Sprintf("i%d", n)}
				_, err := s.Commit(ctx, b)
				for errors.Is(err, store.ErrTemporary) && ctx.Err() == nil {
					res.unknown++
					time.Sleep(time.Millisecond) // the server is away; nothing tells when it is back
					_, err = s.Commit(ctx, b)
				}
				if err != nil {
					res.err = fmt.Errorf("commit %d of writer %d: %w", n, w, err)
					break
				}
				res.committed++
				progress <- struct{}{}
				select {
				case <-stop:
					results <- res
					return
				default:
				}
			}
			results <- res
		}()
	}
	for range rounds {
		for range 50 {
			select {
			case <-progress:
			case <-ctx.Done():
				t.Fatal("no progress")
			}
		}
		r.Kill()
		r.Restart()
	}
	close(stop)
	total, unknown := uint64(0), 0
	var committed []uint64
	for range writers {
		res := <-results
		if res.err != nil {
			t.Fatal(res.err)
		}
		total += res.committed
		unknown += res.unknown
		committed = append(committed, res.committed)
	}
	found := uint64(0)
	for w := range writers {
		stream := fmt.Sprintf("job/%d", w)
		events, err := s.Events(ctx, stream, 0)
		if err != nil {
			t.Fatal(err)
		}
		found += uint64(len(events))
		for i, e := range events {
			if string(e) != fmt.Sprintf("event %d", i+1) {
				t.Fatalf("event %d of %s is %q", i+1, stream, e)
			}
		}
		items, err := s.Waiting(ctx, stream)
		if want := fmt.Sprintf("i%d", len(events)); err != nil || len(items) != 1 || items[0].ID != want {
			t.Fatalf("%s has %+v waiting, error %v, want only %s", stream, items, err, want)
		}
	}
	if found != total {
		t.Fatalf("%d events are in the logs, %d were committed (%v)", found, total, committed)
	}
	if unknown == 0 {
		t.Error("no commit was ever cut off, so the test did not test it")
	}
	t.Logf("%d commits, %d repeated", total, unknown)
}

// TestConformanceCluster runs the suite on a cluster of three masters.
func TestConformanceCluster(t *testing.T) {
	addrs := storetest.StartCluster(t, 3)
	storetest.Run(t, func(t testing.TB, name string) store.Backend {
		s, err := Open(context.Background(), &redis.UniversalOptions{Addrs: addrs}, Options{Prefix: prefixOf(name)})
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { s.Close() })
		return s
	})
}
