package store

import (
	"bytes"
	"context"
	"crypto/rand"
	"crypto/sha256"
	"encoding/base64"
	"fmt"
	"slices"
	"strconv"
	"sync"
	"time"
)

// Store is a Backend with its requests checked, its clock filled in and the common
// changes given names. It is safe for many goroutines.
type Store struct {
	backend Backend
	now     func() time.Time
	wake    chan struct{}

	mu   sync.Mutex
	soon time.Time // see Soon
}

// New puts a Store over a backend; the clock is time.Now outside tests.
func New(b Backend, now func() time.Time) *Store {
	return &Store{backend: b, now: now, wake: make(chan struct{}, 1)}
}

// Commit does all of the batch or nothing, as Backend.Commit says, and gives the
// stream's version after it. A batch without ID, and items without one, are given
// theirs; a caller that wants to repeat after ErrTemporary sets Batch.ID (NewID).
func (s *Store) Commit(ctx context.Context, b Batch) (uint64, error) {
	if b.ID == "" {
		b.ID = NewID()
	}
	if b.Now.IsZero() {
		b.Now = s.now()
	}
	b.Queue = slices.Clone(b.Queue)
	for i := range b.Queue {
		it := &b.Queue[i]
		it.Stream = b.Stream
		if it.ID == "" {
			it.ID = itemID(b, i)
		}
	}
	if err := check(b); err != nil {
		return 0, err
	}
	if b.Told == nil {
		b.Told = &Told{}
	}
	v, err := s.backend.Commit(ctx, b)
	if err != nil {
		return v, err
	}
	b.Told.Items = nil
	for _, id := range b.Told.Taken {
		i := slices.IndexFunc(b.Queue, func(it Item) bool { return it.ID == id })
		if i >= 0 {
			it := b.Queue[i]
			it.Lease = b.Told.Lease
			b.Told.Items = append(b.Told.Items, it)
		}
	}
	if b.Told.Ready {
		s.expect(b.Now)
	}
	for _, it := range b.Queue {
		if it.Due.After(b.Now) {
			s.expect(it.Due)
		}
	}
	if b.Retry != nil {
		s.expect(b.Retry.Due)
	}
	return v, nil
}

// expect notes that something can be claimed from a time on.
func (s *Store) expect(from time.Time) {
	s.mu.Lock()
	if s.soon.IsZero() || from.Before(s.soon) {
		s.soon = from
	}
	s.mu.Unlock()
	select {
	case s.wake <- struct{}{}:
	default:
	}
}

// Soon gives the earliest time from which, by what was committed here since it was
// asked last, a Claim can find something; false when nothing was.
func (s *Store) Soon() (time.Time, bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	soon := s.soon
	s.soon = time.Time{}
	return soon, !soon.IsZero()
}

// Events gives the events after a version, oldest first: record i has version
// after+1+i. Where it returns ErrRewound, drop what was cached and read from 0. Reads
// are tried for some seconds before they give ErrTemporary.
func (s *Store) Events(ctx context.Context, stream string, after uint64) ([][]byte, error) {
	if err := checkName("stream", stream); err != nil {
		return nil, err
	}
	return patient(ctx, func() ([][]byte, error) { return s.backend.Events(ctx, stream, after) })
}

// Since gives the events after a version whose event the caller has read as last, as
// Events does. ErrRewound also where that event is another one now.
func (s *Store) Since(ctx context.Context, stream string, version uint64, last []byte) ([][]byte, error) {
	if version == 0 {
		return s.Events(ctx, stream, 0)
	}
	events, err := s.Events(ctx, stream, version-1)
	if err != nil {
		return nil, err
	}
	if len(events) == 0 || !bytes.Equal(events[0], last) {
		return nil, fmt.Errorf("%w: event %d of %s is another one than was read; read it from the start", ErrRewound, version, stream)
	}
	return events[1:], nil
}

// Streams gives names of streams with events in byte order: those that begin with
// prefix and come after `after`, at most limit.
func (s *Store) Streams(ctx context.Context, prefix, after string, limit int) ([]string, error) {
	if limit < 1 {
		return nil, invalid("a limit of %d streams", limit)
	}
	for _, part := range []string{prefix, after} {
		if part == "" {
			continue
		}
		if err := checkName("part of a stream's name", part); err != nil {
			return nil, err
		}
	}
	return patient(ctx, func() ([]string, error) { return s.backend.Streams(ctx, prefix, after, limit) })
}

// Claim hands out at most limit due items for sending, each under a lease of its
// stream; see the package comment for what that promises.
func (s *Store) Claim(ctx context.Context, lease time.Duration, limit int) ([]Item, error) {
	if err := checkLease(lease); err != nil {
		return nil, err
	}
	if limit < 1 || limit > MaxCount {
		return nil, invalid("a limit of %d items, and 1 to %d can be claimed", limit, MaxCount)
	}
	return s.backend.Claim(ctx, s.now(), lease, limit)
}

// Extend makes the claimed item's lease end a lease's length from now; a slow sender
// calls it between items. ErrLost: stop sending.
func (s *Store) Extend(ctx context.Context, it Item, lease time.Duration) error {
	if err := checkLease(lease); err != nil {
		return err
	}
	if it.Lease == "" {
		return invalid("item %q was not claimed", it.ID)
	}
	return s.backend.Extend(ctx, it.Stream, it.Lease, s.now(), lease)
}

// MarkSent finishes claimed items of one stream. It may be repeated. To log what
// the platform answered in the same transaction, Commit a batch with Done instead.
func (s *Store) MarkSent(ctx context.Context, items ...Item) error {
	if len(items) == 0 {
		return nil
	}
	b := Batch{Stream: items[0].Stream, Expect: Any, Lease: items[0].Lease}
	for _, it := range items {
		if it.Stream != b.Stream || it.Lease != b.Lease {
			return invalid("items of several claims are marked sent in one call")
		}
		b.Done = append(b.Done, it.ID)
	}
	_, err := s.Commit(ctx, b)
	return err
}

// Retry puts a claimed item off until due after a failed send. The stream's other
// items wait behind it and its lease ends.
func (s *Store) Retry(ctx context.Context, it Item, due time.Time) error {
	_, err := s.Commit(ctx, Batch{Stream: it.Stream, Expect: Any, Lease: it.Lease, Retry: &Retry{ID: it.ID, Due: due}})
	return err
}

// Release hands back a claimed item's lease with whatever of the claim is not marked
// sent, untried: the next claim gives it again.
func (s *Store) Release(ctx context.Context, it Item) error {
	_, err := s.Commit(ctx, Batch{Stream: it.Stream, Expect: Any, Lease: it.Lease, Release: true})
	return err
}

// NextDue gives the time from which Claim could hand out something (the past when it
// could at once), false when nothing waits. Other processes may add to it later.
func (s *Store) NextDue(ctx context.Context) (time.Time, bool, error) {
	return s.backend.NextDue(ctx, s.now())
}

// Waiting gives the whole queue of a stream in order, claimed items too, without
// leasing anything: for "what is next" and export.
func (s *Store) Waiting(ctx context.Context, stream string) ([]Item, error) {
	if err := checkName("stream", stream); err != nil {
		return nil, err
	}
	return patient(ctx, func() ([]Item, error) { return s.backend.Waiting(ctx, stream) })
}

// Wake gets a value soon after a commit here left something to be claimed, now or
// later, so that a sleeping sender need not poll for its own process's work: Soon says
// from when on. It has one buffered value and is meant for one receiver; what other
// processes queue does not show here.
func (s *Store) Wake() <-chan struct{} { return s.wake }

// Close waits for running commits and closes the backend.
func (s *Store) Close() error { return s.backend.Close() }

// NewID gives a random 22-character id for a batch or an item.
func NewID() string {
	var b [16]byte
	rand.Read(b[:]) // never fails since Go 1.24
	return base64.RawURLEncoding.EncodeToString(b[:])
}

// itemID names the n-th item of a batch, the same each time the batch is repeated.
func itemID(b Batch, n int) string {
	h := sha256.Sum256([]byte(b.Stream + "\x00" + b.ID + "\x00" + strconv.Itoa(n)))
	return base64.RawURLEncoding.EncodeToString(h[:16])
}

func invalid(format string, a ...any) error {
	return fmt.Errorf("%w: %s", ErrInvalid, fmt.Sprintf(format, a...))
}
