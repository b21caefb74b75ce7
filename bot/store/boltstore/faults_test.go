package boltstore

import (
	"bytes"
	"context"
	"encoding/binary"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"go.etcd.io/bbolt"

	"shimwright/bot/store"
)

// wantRefused opens the file and expects an error of a kind that names it.
func wantRefused(t *testing.T, path string, want error) {
	t.Helper()
	s, err := Open(path, time.Millisecond)
	if err == nil {
		s.Close()
		t.Fatalf("%s was opened, want %v", path, want)
	}
	if !errors.Is(err, want) || !strings.Contains(err.Error(), path) {
		t.Fatalf("error %q, want %q with the file's name", err, want)
	}
	t.Log(err)
}

func TestLocked(t *testing.T) {
	path := filepath.Join(t.TempDir(), "jobs.db")
	first := open(t, path)
	wantRefused(t, path, store.ErrLocked)
	first.Close()
	open(t, path)
}

func TestPermissions(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "a", "b")
	path := filepath.Join(dir, "jobs.db")
	s := open(t, path)
	if err := s.Backup(context.Background(), filepath.Join(dir, "copy.db")); err != nil {
		t.Fatal(err)
	}
	for name, want := range map[string]os.FileMode{dir: 0o700 | os.ModeDir, path: 0o600, filepath.Join(dir, "copy.db"): 0o600} {
		if info, err := os.Stat(name); err != nil || info.Mode() != want {
			t.Errorf("%s has mode %v, error %v; want %v", name, info.Mode(), err, want)
		}
	}
}

func TestNotAStore(t *testing.T) {
	dir := t.TempDir()
	for name, text := range map[string][]byte{
		"short":   []byte("hello"),
		"garbage": bytes.Repeat([]byte("not a store at all\n"), 5000),
		"zeros":   make([]byte, 1<<16),
	} {
		path := filepath.Join(dir, name)
		if err := os.WriteFile(path, text, 0o600); err != nil {
			t.Fatal(err)
		}
		wantRefused(t, path, store.ErrCorrupt)
		if after, _ := os.ReadFile(path); !bytes.Equal(after, text) {
			t.Errorf("%s was changed", name)
		}
	}
	empty := filepath.Join(dir, "empty") // what a crash at the very first start leaves
	if err := os.WriteFile(empty, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	open(t, empty)
	if _, err := Open(filepath.Join(empty, "jobs.db"), 0); err == nil {
		t.Error("a file was taken for a folder")
	}
}

// rawBucket makes or changes a bbolt file without the store.
func rawBucket(t *testing.T, path string, bucket, key, value []byte) {
	t.Helper()
	db, err := bbolt.Open(path, 0o600, &bbolt.Options{Timeout: time.Second})
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	err = db.Update(func(tx *bbolt.Tx) error {
		b, err := tx.CreateBucketIfNotExists(bucket)
		if err != nil {
			return err
		}
		return b.Put(key, value)
	})
	if err != nil {
		t.Fatal(err)
	}
}

func TestOtherFormats(t *testing.T) {
	dir := t.TempDir()
	foreign := filepath.Join(dir, "foreign.db")
	rawBucket(t, foreign, []byte("invoices"), []byte("1"), []byte("x"))
	wantRefused(t, foreign, store.ErrCorrupt)

	path := filepath.Join(dir, "jobs.db")
	open(t, path).Close()
	rawBucket(t, path, bucketFormat, keyFormat, binary.BigEndian.AppendUint64(nil, format+1))
	wantRefused(t, path, store.ErrNewer)
	rawBucket(t, path, bucketFormat, keyFormat, []byte("x"))
	wantRefused(t, path, store.ErrCorrupt)
}

// filled makes a store of some hundred pages.
func filled(t *testing.T, path string) {
	t.Helper()
	s := open(t, path)
	for i := range 40 {
		_, err := s.Commit(context.Background(), store.Batch{ID: "b", Stream: fmt.Sprintf("job/%d", i), Now: time.Now(),
			Events: [][]byte{make([]byte, 20_000)}, Queue: []store.Item{{ID: "m", Kind: "k", Body: make([]byte, 3000)}}})
		if err != nil {
			t.Fatal(err)
		}
	}
	if err := s.Check(context.Background()); err != nil {
		t.Fatal(err)
	}
	s.Close()
}

func TestCutShort(t *testing.T) {
	path := filepath.Join(t.TempDir(), "jobs.db")
	filled(t, path)
	if err := os.Truncate(path, 100_000); err != nil {
		t.Fatal(err)
	}
	wantRefused(t, path, store.ErrCorrupt)
}

// A file that is cut or scribbled over while it is open ends in an error too, and
// later calls do not touch it.
func TestDamagedWhileOpen(t *testing.T) {
	for _, c := range []struct {
		what   string
		damage func(path string, size int64) error
	}{
		{"cut", func(path string, _ int64) error { return os.Truncate(path, 8192) }},
		{"overwritten", func(path string, size int64) error {
			f, err := os.OpenFile(path, os.O_WRONLY, 0)
			if err != nil {
				return err
			}
			defer f.Close()
			_, err = f.WriteAt(bytes.Repeat([]byte{0xa5}, int(size-8192)), 8192)
			return err
		}},
	} {
		t.Run(c.what, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "jobs.db")
			filled(t, path)
			s := open(t, path)
			info, err := os.Stat(path)
			if err != nil {
				t.Fatal(err)
			}
			if err := c.damage(path, info.Size()); err != nil {
				t.Fatal(err)
			}
			ctx := context.Background()
			for range 2 {
				for i := range 40 {
					_, err = s.Events(ctx, fmt.Sprintf("job/%d", i), 0)
					if !errors.Is(err, store.ErrCorrupt) && !errors.Is(err, store.ErrRewound) {
						t.Fatalf("events of a damaged file: %v", err)
					}
				}
				_, err = s.Commit(ctx, store.Batch{ID: "b", Stream: "job/1", Expect: 1, Now: time.Now(), Events: [][]byte{[]byte("x")}})
				if !errors.Is(err, store.ErrCorrupt) {
					t.Fatalf("commit to a damaged file: %v", err)
				}
			}
			t.Log(err)
			if err := s.Close(); err != nil {
				t.Fatal(err)
			}
		})
	}
}

// TestFull lets a child process with a limit on its files' size run into that limit,
// which the system reports to bbolt where a full disk would.
func TestFull(t *testing.T) {
	path := filepath.Join(t.TempDir(), "jobs.db")
	child := exec.Command(os.Args[0], "-test.run=^TestFullChild$", "-test.v")
	child.Env = append(os.Environ(), childFile+"="+path)
	out, err := child.CombinedOutput()
	if err != nil || !bytes.Contains(out, []byte("PASS: TestFullChild")) {
		t.Fatalf("child: %v\n%s", err, out)
	}
	s := open(t, path) // there is room again
	if err := s.Check(context.Background()); err != nil {
		t.Fatal(err)
	}
}

func TestFullChild(t *testing.T) {
	path := os.Getenv(childFile)
	if path == "" {
		t.Skip("only as the child of TestFull")
	}
	signal.Ignore(syscall.SIGXFSZ)
	limit := func(bytes uint64) {
		// the hard limit stays, so that room can be made again
		var r syscall.Rlimit
		if err := syscall.Getrlimit(syscall.RLIMIT_FSIZE, &r); err != nil {
			t.Fatal(err)
		}
		r.Cur = min(bytes, r.Max)
		if err := syscall.Setrlimit(syscall.RLIMIT_FSIZE, &r); err != nil {
			t.Fatal(err)
		}
	}
	limit(4096)
	wantRefused(t, path, store.ErrFull)
	const room = 600_000
	limit(room)
	s := open(t, path) // half a file from the first try does not stand in the way
	ctx := context.Background()
	batch := func(n int) store.Batch {
		return store.Batch{ID: "b", Stream: "job/1", Expect: uint64(n), Now: time.Now(), Events: [][]byte{bytes.Repeat([]byte{byte(n)}, 10_000)},
			Queue: []store.Item{{ID: fmt.Sprintf("m%d", n), Kind: "k"}}}
	}
	n := 0
	var err error
	for ; err == nil; n++ {
		if n*10_000 > room {
			t.Fatal("more was written than there is room for")
		}
		_, err = s.Commit(ctx, batch(n))
	}
	n-- // the last was refused
	if !errors.Is(err, store.ErrFull) || !strings.Contains(err.Error(), path) {
		t.Fatalf("commit %d: %v", n, err)
	}
	t.Log(err)
	intact := func() {
		t.Helper()
		events, err := s.Events(ctx, "job/1", 0)
		if err != nil || len(events) != n {
			t.Fatalf("%d events, error %v, want %d", len(events), err, n)
		}
		if items, err := s.Waiting(ctx, "job/1"); err != nil || len(items) != n {
			t.Fatalf("%d items, error %v, want %d", len(items), err, n)
		}
		if err := s.Check(ctx); err != nil {
			t.Fatal(err)
		}
	}
	intact()
	for range 3 {
		if _, err = s.Commit(ctx, batch(n)); !errors.Is(err, store.ErrFull) {
			t.Fatalf("repeated commit: %v", err)
		}
	}
	intact()
	limit(10 << 20)
	if _, err := s.Commit(ctx, batch(n)); err != nil {
		t.Fatalf("with room again: %v", err)
	}
	n++
	intact()
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
}
