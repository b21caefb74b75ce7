package boltstore

import (
	"context"
	"fmt"
	"path/filepath"
	"testing"
	"time"

	"shimwright/bot/store"
	"shimwright/bot/store/storetest"
)

func Benchmark(b *testing.B) {
	storetest.Bench(b, func(t testing.TB, name string) store.Backend {
		return open(t, filepath.Join(t.TempDir(), name))
	})
}

// BenchmarkOpen opens a store of 10,000 streams with ten reminders each.
func BenchmarkOpen(b *testing.B) {
	path := filepath.Join(b.TempDir(), "jobs.db")
	s := open(b, path)
	done := make(chan error, 100)
	for w := range 100 {
		go func() {
			for i := range 100 {
				batch := store.Batch{ID: "b", Stream: fmt.Sprintf("job/%d-%d", w, i), Now: time.Now(), Events: [][]byte{make([]byte, 300)}}
				for n := range 10 {
					batch.Queue = append(batch.Queue, store.Item{ID: fmt.Sprint(n), Kind: "reminder", Due: time.Now().Add(time.Duration(n+1) * time.Hour), Body: make([]byte, 300)})
				}
				if _, err := s.Commit(context.Background(), batch); err != nil {
					done <- err
					return
				}
			}
			done <- nil
		}()
	}
	for range 100 {
		if err := <-done; err != nil {
			b.Fatal(err)
		}
	}
	s.Close()
	for b.Loop() {
		s, err := Open(path, time.Second)
		if err != nil {
			b.Fatal(err)
		}
		s.Close()
	}
}
