package boltstore

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"runtime"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"shimwright/bot/store"
	"shimwright/bot/store/storetest"
)

func TestConformance(t *testing.T) {
	dir := t.TempDir()
	storetest.Run(t, func(t testing.TB, name string) store.Backend {
		s := open(t, filepath.Join(dir, strings.ReplaceAll(name, "/", "_")))
		s.db.NoSync = strings.HasPrefix(name, "model") // thousands of commits that nobody relies on
		return s
	})
}

// A commit whose context ends while the disk is busy was done if it says so, and not
// if it does not.
func TestCommitCanceled(t *testing.T) {
	s := open(t, filepath.Join(t.TempDir(), "jobs.db"))
	var wg sync.WaitGroup
	var done, gaveUp atomic.Int64
	for w := range 8 {
		wg.Go(func() {
			stream := fmt.Sprintf("job/%d", w)
			version := uint64(0)
			for n := range 40 {
				ctx, cancel := context.WithCancel(context.Background())
				if n%2 == 0 {
					go func() {
						for range n * 20 { // some moment during the commit
							runtime.Gosched()
						}
						cancel()
					}()
				}
				v, err := s.Commit(ctx, store.Batch{ID: store.NewID(), Stream: stream, Expect: version, Now: time.Now(), Events: [][]byte{{byte(n)}}})
				cancel()
				switch {
				case err == nil && v == version+1:
					version = v
					done.Add(1)
				case errors.Is(err, context.Canceled):
					gaveUp.Add(1)
				default:
					t.Errorf("commit %d at %d gave version %d, error %v", n, version, v, err)
					return
				}
			}
			if events, err := s.Events(context.Background(), stream, 0); err != nil || uint64(len(events)) != version {
				t.Errorf("%d events, error %v, want %d", len(events), err, version)
			}
		})
	}
	wg.Wait()
	t.Logf("%d done, %d given up", done.Load(), gaveUp.Load())
	if done.Load() == 0 || gaveUp.Load() == 0 {
		t.Error("only one of the two was tested")
	}
}

func open(t testing.TB, path string) *Store {
	t.Helper()
	s, err := Open(path, time.Second)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	return s
}
