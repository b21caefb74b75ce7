package boltstore

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"shimwright/bot/store"
)

// TestBackup copies the store while two streams are written in step, so that a copy
// that is not of one moment would show.
func TestBackup(t *testing.T) {
	ctx := context.Background()
	dir := t.TempDir()
	s := open(t, filepath.Join(dir, "jobs.db"))
	stop, stopped := make(chan struct{}), make(chan error)
	go func() {
		for n := uint64(0); ; n++ {
			for _, stream := range []string{"job/a", "job/b"} {
				_, err := s.Commit(ctx, store.Batch{ID: "b", Stream: stream, Expect: n, Now: time.Now(), Events: [][]byte{make([]byte, 2000)},
					Queue: []store.Item{{ID: fmt.Sprintf("m%d", n), Kind: "k"}}})
				if err != nil {
					stopped <- err
					return
				}
			}
			select {
			case <-stop:
				stopped <- nil
				return
			default:
			}
		}
	}()
	for i := range 5 {
		path := filepath.Join(dir, fmt.Sprintf("copy%d.db", i))
		if err := s.Backup(ctx, path); err != nil {
			t.Fatal(err)
		}
		c := open(t, path)
		if err := c.Check(ctx); err != nil {
			t.Fatal(err)
		}
		a, errA := c.Events(ctx, "job/a", 0)
		b, errB := c.Events(ctx, "job/b", 0)
		items, errI := c.Waiting(ctx, "job/a")
		if err := errors.Join(errA, errB, errI); err != nil || len(a)-len(b) < 0 || len(a)-len(b) > 1 || len(items) != len(a) {
			t.Fatalf("copy has %d and %d events, %d items, error %v", len(a), len(b), len(items), err)
		}
	}
	close(stop)
	if err := <-stopped; err != nil {
		t.Fatal(err)
	}
	if err := s.Backup(ctx, filepath.Join(dir, "copy0.db")); err == nil {
		t.Error("a backup was overwritten")
	}
	ended, cancel := context.WithCancel(ctx)
	cancel()
	if err := s.Backup(ended, filepath.Join(dir, "late.db")); !errors.Is(err, context.Canceled) {
		t.Errorf("backup with an ended context: %v", err)
	}
	if left, _ := filepath.Glob(filepath.Join(dir, ".part-*")); len(left) > 0 {
		t.Errorf("left behind: %q", left)
	}
}

func TestCompact(t *testing.T) {
	ctx := context.Background()
	path := filepath.Join(t.TempDir(), "jobs.db")
	s := open(t, path)
	for n := range uint64(30) {
		b := store.Batch{ID: "b", Stream: "job/1", Expect: n, Now: time.Now(), Events: [][]byte{fmt.Appendf(nil, "%d", n)},
			Queue: []store.Item{{ID: fmt.Sprintf("m%d", n), Kind: "k", Body: make([]byte, 100_000)}}}
		if n == 29 {
			for i := range n {
				b.Cancel = append(b.Cancel, fmt.Sprintf("m%d", i))
			}
		}
		if _, err := s.Commit(ctx, b); err != nil {
			t.Fatal(err)
		}
	}
	if _, _, err := Shrink(ctx, path, time.Second); !errors.Is(err, store.ErrLocked) {
		t.Fatalf("compacting an open store: %v", err)
	}
	events, _ := s.Events(ctx, "job/1", 0)
	items, _ := s.Waiting(ctx, "job/1")
	s.Close()
	before, _ := os.Stat(path)
	if _, _, err := Shrink(ctx, path, time.Second); err != nil {
		t.Fatal(err)
	}
	after, err := os.Stat(path)
	if err != nil || after.Size() > before.Size()/5 {
		t.Fatalf("compacted to %v from %d bytes, error %v", after, before.Size(), err)
	}
	c := open(t, path)
	gotEvents, _ := c.Events(ctx, "job/1", 0)
	gotItems, _ := c.Waiting(ctx, "job/1")
	for i := range gotItems {
		gotItems[i].Attempts = 0 // whoever had the old file may have tried
	}
	if d := cmp.Diff(events, gotEvents) + cmp.Diff(items, gotItems); d != "" || len(events) != 30 || len(items) != 1 {
		t.Fatalf("%d events, %d items:\n%s", len(events), len(items), d)
	}
	// the order of what is queued later must not start anew
	if _, err := c.Commit(ctx, store.Batch{ID: "b", Stream: "job/1", Expect: 30, Now: time.Now(), Events: [][]byte{nil}, Queue: []store.Item{{ID: "last", Kind: "k"}}}); err != nil {
		t.Fatal(err)
	}
	if items, _ := c.Waiting(ctx, "job/1"); len(items) != 2 || items[1].ID != "last" {
		t.Fatalf("order after compacting: %+v", items)
	}
}
