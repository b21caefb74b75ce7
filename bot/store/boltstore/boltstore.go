// Package boltstore keeps the store in one bbolt file, for one process.
//
// What is committed is on the disk (fsync) before Commit returns. Leases live in
// memory: the file's lock says that whoever held one is gone, so after a crash the
// queue is free at once, and claiming costs no write. Commits that arrive while the
// disk is busy share the next fsync; a single writer waits for nothing but its own.
package boltstore

import (
	"context"
	"encoding/binary"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"runtime/debug"
	"strings"
	"sync"
	"sync/atomic"
	"syscall"
	"time"

	"go.etcd.io/bbolt"
	berrors "go.etcd.io/bbolt/errors"

	"shimwright/bot/store"
)

// format is the version of the layout of buckets below; a file with a higher one is
// left alone.
const format = 1

// The buckets. Keys that begin with a stream's name have a zero byte after it, which
// no name contains.
var (
	bucketFormat  = []byte("shimwright store") // "format" -> uint64; marks the file as ours
	bucketVersion = []byte("version")          // stream -> uint64, its number of events
	bucketLog     = []byte("log")              // stream, version -> record
	bucketQueue   = []byte("queue")            // stream, due, sequence -> item
	bucketIDs     = []byte("ids")              // stream, item id -> due, sequence
	bucketFiles   = []byte("files")            // stream, name -> file; not in a file from before there were any
	keyFormat     = []byte("format")
)

// Store is a store.Backend on a bbolt file.
type Store struct {
	db     *bbolt.DB
	path   string
	agenda agenda

	requests chan *request // to the writer
	written  chan struct{} // closed when the writer has ended
	mu       sync.RWMutex  // guards closed against a send on requests
	closed   bool
	broken   atomic.Pointer[error] // set once the file turned out to be damaged
}

var _ store.Backend = (*Store)(nil)

// Open opens or makes the file, its folder too, readable by its owner only. It waits
// so long for another process to let go of the file; then store.ErrLocked.
// store.ErrCorrupt, store.ErrNewer and store.ErrFull name the file as well.
func Open(path string, wait time.Duration) (_ *Store, err error) {
	s := &Store{path: path, requests: make(chan *request, groupLimit), written: make(chan struct{})}
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return nil, s.fault(fmt.Errorf("cannot make the folder for the store: %w", err))
	}
	info, err := os.Stat(path)
	fresh := errors.Is(err, fs.ErrNotExist) || err == nil && info.Size() == 0
	defer s.guard(&err)
	defer onFault()()
	s.db, err = bbolt.Open(path, 0o600, &bbolt.Options{
		Timeout:      max(wait, time.Millisecond), // zero would wait for ever
		FreelistType: bbolt.FreelistMapType,
		NoStatistics: true,
	})
	if err != nil {
		err = s.fault(err)
		if fresh && errors.Is(err, store.ErrFull) {
			os.Remove(path) // half a first page is no store when there is room again
		}
		return nil, err
	}
	if err := s.prepare(); err != nil {
		s.db.Close()
		return nil, s.fault(err)
	}
	go s.write()
	return s, nil
}

// prepare checks that the file is whole and ours, makes the buckets of a new one and
// reads which streams have something waiting.
func (s *Store) prepare() error {
	info, err := os.Stat(s.path)
	if err != nil {
		return err
	}
	fresh := false
	err = s.db.View(func(tx *bbolt.Tx) error {
		if info.Size() < tx.Size() {
			return fmt.Errorf("%w: %s was cut short, it has %d bytes of %d; restore a backup", store.ErrCorrupt, s.path, info.Size(), tx.Size())
		}
		b := tx.Bucket(bucketFormat)
		if b == nil {
			if k, _ := tx.Cursor().First(); k != nil {
				return fmt.Errorf("%w: %s belongs to another program; choose another file", store.ErrCorrupt, s.path)
			}
			fresh = true
			return nil
		}
		v := b.Get(keyFormat)
		if len(v) != 8 {
			return fmt.Errorf("%w: %s does not say which format it has; restore a backup", store.ErrCorrupt, s.path)
		}
		if f := binary.BigEndian.Uint64(v); f > format {
			return fmt.Errorf("%w: %s has format %d and this version knows %d; update the program", store.ErrNewer, s.path, f, format)
		}
		return nil
	})
	if err != nil {
		return err
	}
	if fresh {
		err = s.db.Update(func(tx *bbolt.Tx) error {
			for _, name := range [][]byte{bucketFormat, bucketVersion, bucketLog, bucketQueue, bucketIDs} {
				if _, err := tx.CreateBucket(name); err != nil {
					return err
				}
			}
			return tx.Bucket(bucketFormat).Put(keyFormat, binary.BigEndian.AppendUint64(nil, format))
		})
		if err != nil {
			return err
		}
	}
	return s.db.View(s.agenda.load)
}

// Events gives the events after a version; see store.Log.
func (s *Store) Events(ctx context.Context, stream string, after uint64) ([][]byte, error) {
	var events [][]byte
	err := s.view(ctx, func(tx *bbolt.Tx) error {
		v := version(tx, stream)
		if v < after {
			return fmt.Errorf("%w: %s has %d events and was read up to %d; read it from the start", store.ErrRewound, stream, v, after)
		}
		events = make([][]byte, 0, v-after)
		c := tx.Bucket(bucketLog).Cursor()
		prefix := streamKey(stream)
		for k, r := c.Seek(numbered(prefix, after+1)); hasPrefix(k, prefix); k, r = c.Next() {
			_, e := record(r).split()
			events = append(events, append([]byte{}, e...))
		}
		if uint64(len(events)) != v-after {
			return fmt.Errorf("%w: %s lacks events of %s; restore a backup", store.ErrCorrupt, s.path, stream)
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	return events, nil
}

// Streams gives names of streams in byte order; see store.Log.
func (s *Store) Streams(ctx context.Context, prefix, after string, limit int) ([]string, error) {
	var names []string
	err := s.view(ctx, func(tx *bbolt.Tx) error {
		c := tx.Bucket(bucketVersion).Cursor()
		for k, _ := c.Seek([]byte(max(prefix, after))); hasPrefix(k, []byte(prefix)) && len(names) < limit; k, _ = c.Next() {
			if name := string(k); name > after {
				names = append(names, name)
			}
		}
		return nil
	})
	return names, err
}

// Waiting gives the stream's queue in order; see store.Queue.
func (s *Store) Waiting(ctx context.Context, stream string) ([]store.Item, error) {
	var items []store.Item
	// before the transaction: one that waits for the agenda while the writer waits
	// for the transaction would stop both
	s.agenda.mu.Lock()
	defer s.agenda.mu.Unlock()
	err := s.view(ctx, func(tx *bbolt.Tx) error {
		prefix := streamKey(stream)
		c := tx.Bucket(bucketQueue).Cursor()
		for k, v := c.Seek(prefix); hasPrefix(k, prefix); k, v = c.Next() {
			p, w, err := decodeItem(k, v)
			if err != nil {
				return s.damaged(err)
			}
			it := w.item(stream, p)
			it.Attempts += s.agenda.lostClaims(it, p)
			items = append(items, it)
		}
		return nil
	})
	return items, err
}

// Close waits for running commits and reads and lets go of the file.
func (s *Store) Close() error {
	s.mu.Lock()
	if s.closed {
		s.mu.Unlock()
		return nil
	}
	s.closed = true
	close(s.requests)
	s.mu.Unlock()
	<-s.written
	if s.broken.Load() != nil {
		return nil // a panic inside bbolt may have left it locked; the process's end frees the file
	}
	return s.fault(s.db.Close())
}

// usable is for what needs no transaction.
func (s *Store) usable(ctx context.Context) error {
	s.mu.RLock()
	defer s.mu.RUnlock()
	if s.closed {
		return fmt.Errorf("%w: %s", store.ErrClosed, s.path)
	}
	return ctx.Err()
}

// view runs a read transaction; a damaged page ends in an error.
func (s *Store) view(ctx context.Context, fn func(*bbolt.Tx) error) (err error) {
	if err := ctx.Err(); err != nil {
		return err
	}
	if e := s.broken.Load(); e != nil {
		return *e
	}
	defer s.guard(&err)
	defer onFault()()
	return s.fault(s.db.View(fn))
}

// guard turns bbolt's panics on damaged pages, and memory faults on a file that was
// cut short under it, into store.ErrCorrupt, and keeps later calls off the file.
// It is deferred.
func (s *Store) guard(err *error) {
	if p := recover(); p != nil {
		if fault, ok := p.(runtime.Error); ok {
			p = fmt.Sprintf("a part of it cannot be read (%v)", fault)
		}
		e := s.damaged(p)
		s.broken.CompareAndSwap(nil, &e)
		*err = e
	}
}

func (s *Store) damaged(why any) error {
	return fmt.Errorf("%w: %s: %v; restore a backup", store.ErrCorrupt, s.path, why)
}

// onFault makes a memory fault of this goroutine a panic that guard can catch; it
// returns what was set before. bbolt reads through a memory map.
func onFault() func() {
	old := debug.SetPanicOnFault(true)
	return func() { debug.SetPanicOnFault(old) }
}

// fault says what bbolt's and the system's errors mean for a person.
func (s *Store) fault(err error) error {
	is := func(targets ...error) bool {
		for _, t := range targets {
			// bbolt's own errors about growing the file keep only the text
			if errors.Is(err, t) || err != nil && strings.HasPrefix(err.Error(), "file ") && strings.HasSuffix(err.Error(), t.Error()) {
				return true
			}
		}
		return false
	}
	switch {
	case err == nil:
		return nil
	case is(syscall.ENOSPC, syscall.EDQUOT, syscall.EFBIG, berrors.ErrMaxSizeReached):
		return fmt.Errorf("%w: no room for %s on its disk; nothing was written. free some space and repeat", store.ErrFull, s.path)
	case is(berrors.ErrTimeout):
		return fmt.Errorf("%w: %s; close the other one, or choose another file", store.ErrLocked, s.path)
	case is(berrors.ErrInvalid, berrors.ErrChecksum, berrors.ErrVersionMismatch):
		return fmt.Errorf("%w: %s is no store of this program (%v); restore a backup or choose another file", store.ErrCorrupt, s.path, err)
	case is(berrors.ErrDatabaseNotOpen):
		return fmt.Errorf("%w: %s", store.ErrClosed, s.path)
	case is(fs.ErrPermission, syscall.EROFS):
		return fmt.Errorf("the store %s cannot be opened for writing: %w", s.path, err)
	}
	return err
}
