package boltstore

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"go.etcd.io/bbolt"

	"shimwright/bot/store"
)

// A copy is fetched from the process that has the file open, whole and of one moment;
// without such a process there is none.
func TestFetchCopy(t *testing.T) {
	ctx, stop := context.WithCancel(t.Context())
	dir := t.TempDir()
	path := filepath.Join(dir, "jobs.db")
	s := open(t, path)
	for n := range uint64(3) {
		if _, err := s.Commit(ctx, store.Batch{ID: "b", Stream: "job/1", Expect: n, Now: time.Now(), Events: [][]byte{make([]byte, 100_000)}}); err != nil {
			t.Fatal(err)
		}
	}
	if err := FetchCopy(ctx, path, filepath.Join(dir, "early.db")); !errors.Is(err, store.ErrLocked) || !strings.Contains(err.Error(), "gives no copies") {
		t.Fatalf("a copy that nobody offers: %v", err)
	}
	if err := os.WriteFile(path+copyPath, nil, 0o600); err != nil { // as a killed process leaves it
		t.Fatal(err)
	}
	var offer sync.WaitGroup
	offer.Go(func() {
		if err := s.OfferCopies(ctx); err != nil {
			t.Error(err)
		}
	})
	var err error
	for i := range 1000 {
		if err = FetchCopy(ctx, path, filepath.Join(dir, fmt.Sprintf("copy%d.db", i))); err == nil {
			c := open(t, filepath.Join(dir, fmt.Sprintf("copy%d.db", i)))
			if events, err := c.Events(ctx, "job/1", 0); err != nil || len(events) != 3 {
				t.Fatalf("the copy has %d events, error %v", len(events), err)
			}
			break
		}
		time.Sleep(time.Millisecond) // nothing tells when it listens
	}
	if err != nil {
		t.Fatal(err)
	}
	stop()
	offer.Wait()
	if _, err := os.Lstat(path + copyPath); err == nil {
		t.Error("the socket is left behind")
	}
	long := open(t, filepath.Join(dir, strings.Repeat("x", 100)))
	if err := long.OfferCopies(t.Context()); err == nil || !strings.Contains(err.Error(), "too long") {
		t.Errorf("a path too long for a socket: %v", err)
	}
}

// Records that were taken out, put in or renumbered behind the store's back are found.
func TestInspect(t *testing.T) {
	ctx := t.Context()
	for _, c := range []struct {
		name string
		harm func(*bbolt.Tx) error
		want string
	}{
		{"nothing", func(*bbolt.Tx) error { return nil }, ""},
		{"an event gone", func(tx *bbolt.Tx) error {
			return tx.Bucket(bucketLog).Delete(numbered(streamKey("job/1"), 2))
		}, "job/1: after event 1 the next one is missing"},
		{"a version too high", func(tx *bbolt.Tx) error {
			return tx.Bucket(bucketVersion).Put([]byte("job/1"), numbered(nil, 9))
		}, "job/1: it should have 9 events and has 3 in a row"},
		{"a version gone", func(tx *bbolt.Tx) error { return tx.Bucket(bucketVersion).Delete([]byte("job/1")) }, "job/1: it has events and no version"},
		{"an id gone", func(tx *bbolt.Tx) error { return tx.Bucket(bucketIDs).Delete(idKey("job/1", "m")) }, "job/1: item m waits and is not known by its id"},
		{"an item gone", func(tx *bbolt.Tx) error {
			k, _ := tx.Bucket(bucketQueue).Cursor().First()
			return tx.Bucket(bucketQueue).Delete(k)
		}, "job/1: item m is known and does not wait anywhere"},
		{"an item cut", func(tx *bbolt.Tx) error {
			k, _ := tx.Bucket(bucketQueue).Cursor().First()
			return tx.Bucket(bucketQueue).Put(k, []byte{1})
		}, "job/1: a queued item cannot be read"},
		{"a record cut", func(tx *bbolt.Tx) error {
			return tx.Bucket(bucketLog).Put(numbered(streamKey("job/1"), 2), nil)
		}, "job/1: event 2 cannot be read"},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := open(t, filepath.Join(t.TempDir(), "jobs.db"))
			for n := range uint64(3) {
				b := store.Batch{ID: "b", Stream: "job/1", Expect: n, Now: time.Now(), Events: [][]byte{[]byte("e")}}
				if n == 2 {
					b.Queue = []store.Item{{ID: "m", Kind: "k"}}
				}
				if _, err := s.Commit(ctx, b); err != nil {
					t.Fatal(err)
				}
			}
			if err := s.db.Update(c.harm); err != nil {
				t.Fatal(err)
			}
			var found []string
			err := s.Inspect(ctx, func(f store.Finding) {
				if f.Do == "" {
					t.Errorf("%s: nothing to do about it", f)
				}
				found = append(found, f.String())
			})
			if got := strings.Join(found, "\n"); err != nil || !strings.Contains(got, c.want) || c.want == "" && got != "" {
				t.Errorf("found %q, error %v, want %q", got, err, c.want)
			}
		})
	}
}

// Shrink leaves a smaller file of the same name with all in it, and leaves one in use
// alone.
func TestShrink(t *testing.T) {
	ctx := t.Context()
	path := filepath.Join(t.TempDir(), "jobs.db")
	s := open(t, path)
	b := store.Batch{ID: "b", Stream: "job/1", Now: time.Now(), Events: [][]byte{[]byte("e")}, Queue: []store.Item{{ID: "m", Kind: "k", Body: make([]byte, 1<<20)}}}
	if _, err := s.Commit(ctx, b); err != nil {
		t.Fatal(err)
	}
	if _, err := s.Commit(ctx, store.Batch{ID: "c", Stream: "job/1", Expect: store.Any, Now: time.Now(), Cancel: []string{"m"}}); err != nil {
		t.Fatal(err)
	}
	if _, _, err := Shrink(ctx, path, time.Millisecond); !errors.Is(err, store.ErrLocked) {
		t.Fatalf("shrinking an open store: %v", err)
	}
	s.Close()
	before, after, err := Shrink(ctx, path, time.Second)
	if err != nil || after > before/4 {
		t.Fatalf("from %d to %d bytes, error %v", before, after, err)
	}
	if events, err := open(t, path).Events(ctx, "job/1", 0); err != nil || len(events) != 1 {
		t.Fatalf("%d events, error %v", len(events), err)
	}
}
