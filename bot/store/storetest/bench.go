package storetest

import (
	"context"
	"fmt"
	"runtime"
	"slices"
	"sync/atomic"
	"testing"
	"time"

	"shimwright/bot/store"
)

// Bench measures a backend: `go test -bench . ./bot/store/boltstore
// ./bot/store/redisstore`. Latencies are reported as p50-µs and p99-µs.
func Bench(b *testing.B, open Open) {
	b.Run("commit", benchCommit(open))
	for _, writers := range []int{8, 64} {
		b.Run(fmt.Sprintf("commit by %d writers", writers), benchParallel(open, writers))
	}
	b.Run("events of 500", benchEvents(open))
	b.Run("commit, claim, mark sent", benchDelivery(open))
	for _, streams := range []int{100, 10_000} {
		b.Run(fmt.Sprintf("claim among %d streams", streams), benchClaim(open, streams))
	}
}

var benchBody = make([]byte, 300) // about what an event and an answer take

func benchStore(b *testing.B, open Open) *store.Store {
	s := store.New(open(b, fmt.Sprintf("bench%d", time.Now().UnixNano())), time.Now)
	b.Cleanup(func() { s.Close() })
	return s
}

// benchBatch is a message handled: an event and an answer, the last answer sent.
func benchBatch(stream string, version uint64) store.Batch {
	return store.Batch{
		Stream: stream, Expect: version, Events: [][]byte{benchBody},
		Queue: []store.Item{{ID: fmt.Sprintf("m%d", version), Kind: "message", Body: benchBody}},
		Done:  []string{fmt.Sprintf("m%d", version-1)},
	}
}

// timed runs f b.N times and reports percentiles.
func timed(b *testing.B, f func(i int) error) {
	took := make([]time.Duration, 0, b.N)
	b.ResetTimer()
	for i := range b.N {
		start := time.Now()
		if err := f(i); err != nil {
			b.Fatal(err)
		}
		took = append(took, time.Since(start))
	}
	b.StopTimer()
	slices.Sort(took)
	for _, p := range []int{50, 99} {
		b.ReportMetric(float64(took[len(took)*p/100].Nanoseconds())/1e3, fmt.Sprintf("p%d-µs", p))
	}
}

func benchCommit(open Open) func(*testing.B) {
	return func(b *testing.B) {
		s := benchStore(b, open)
		timed(b, func(i int) error {
			_, err := s.Commit(context.Background(), benchBatch("job/1", uint64(i)))
			return err
		})
	}
}

func benchParallel(open Open, writers int) func(*testing.B) {
	return func(b *testing.B) {
		s := benchStore(b, open)
		var id atomic.Int64
		b.SetParallelism(max(writers/runtime.GOMAXPROCS(0), 1))
		b.ResetTimer()
		b.RunParallel(func(pb *testing.PB) {
			stream := fmt.Sprintf("job/%d", id.Add(1))
			for version := uint64(0); pb.Next(); version++ {
				if _, err := s.Commit(context.Background(), benchBatch(stream, version)); err != nil {
					b.Error(err)
					return
				}
			}
		})
		b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "commits/s")
	}
}

func benchEvents(open Open) func(*testing.B) {
	return func(b *testing.B) {
		s := benchStore(b, open)
		events := make([][]byte, 500)
		for i := range events {
			events[i] = benchBody
		}
		if _, err := s.Commit(context.Background(), store.Batch{Stream: "job/1", Events: events}); err != nil {
			b.Fatal(err)
		}
		timed(b, func(int) error {
			got, err := s.Events(context.Background(), "job/1", 0)
			if err == nil && len(got) != len(events) {
				err = fmt.Errorf("%d events", len(got))
			}
			return err
		})
	}
}

func benchDelivery(open Open) func(*testing.B) {
	return func(b *testing.B) {
		ctx := context.Background()
		s := benchStore(b, open)
		timed(b, func(i int) error {
			batch := benchBatch("job/1", uint64(i))
			batch.Done = nil
			if _, err := s.Commit(ctx, batch); err != nil {
				return err
			}
			items, err := s.Claim(ctx, time.Minute, 16)
			if err == nil && len(items) != 1 {
				err = fmt.Errorf("%d items claimed", len(items))
			}
			if err != nil {
				return err
			}
			return s.MarkSent(ctx, items...)
		})
	}
}

// benchClaim hands out and back one of ten reminders in each of many streams, most
// of them due in days.
func benchClaim(open Open, streams int) func(*testing.B) {
	return func(b *testing.B) {
		ctx := context.Background()
		s := benchStore(b, open)
		later := time.Now().Add(100 * time.Hour)
		todo := make(chan int)
		failed := make(chan error, 1)
		for range 64 {
			go func() {
				var err error
				for i := range todo {
					batch := store.Batch{Stream: fmt.Sprintf("job/%d", i), Events: [][]byte{benchBody}}
					for n := range 10 {
						batch.Queue = append(batch.Queue, store.Item{Kind: "reminder", Due: later.Add(time.Duration(n) * time.Hour), Body: benchBody})
					}
					if err == nil {
						_, err = s.Commit(ctx, batch)
					}
				}
				failed <- err
			}()
		}
		for i := range streams {
			todo <- i
		}
		close(todo)
		for range 64 {
			if err := <-failed; err != nil {
				b.Fatal(err)
			}
		}
		if _, err := s.Commit(ctx, store.Batch{Stream: "job/0", Expect: 1, Events: [][]byte{benchBody}, Queue: []store.Item{{Kind: "message"}}}); err != nil {
			b.Fatal(err)
		}
		timed(b, func(int) error {
			if _, ok, err := s.NextDue(ctx); err != nil || !ok {
				return fmt.Errorf("next due: %v %w", ok, err)
			}
			items, err := s.Claim(ctx, time.Minute, 16)
			if err == nil && len(items) != 1 {
				err = fmt.Errorf("%d items claimed", len(items))
			}
			if err != nil {
				return err
			}
			return s.Release(ctx, items[0])
		})
	}
}
