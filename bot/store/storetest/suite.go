// Package storetest holds what every store.Backend must pass, and starts real
// servers for the tests that need one.
package storetest

import (
	"context"
	"fmt"
	"slices"
	"sync"
	"testing"
	"time"

	"shimwright/bot/store"
)

// Open opens the backend called name of one place of storage; what was committed
// under a name before Close is there when it is opened again.
type Open func(t testing.TB, name string) store.Backend

// Run runs the conformance suite. Each part uses names of its own, so one server may
// serve them all; they run one after another.
func Run(t *testing.T, open Open) {
	for _, part := range []struct {
		name string
		test func(*testing.T, Open)
	}{
		{"append and read", testAppend},
		{"concurrent appends", testConcurrentAppends},
		{"all or nothing", testAtomic},
		{"repeated commit", testRepeat},
		{"lost end", testRewritten},
		{"big and binary", testBig},
		{"list of streams", testStreams},
		{"ended context", testContext},
		{"reopen", testReopen},
		{"closed", testClosed},
		{"order in a stream", testOrder},
		{"due times", testDue},
		{"lease", testLease},
		{"lost lease", testLostLease},
		{"release and extend", testExtend},
		{"retry", testRetry},
		{"retry of a reminder", testRetryReminder},
		{"take with the commit", testTake},
		{"cancel", testCancel},
		{"fairness", testFair},
		{"turns", testTurns},
		{"oldest first", testOldestFirst},
		{"clock stepped back", testClockBack},
		{"clock stepped back and on", testClockBackAgain},
		{"concurrent claims", testConcurrentClaims},
		{"replaced events", testReplace},
		{"model", testModel},
		{"files", testFiles},
	} {
		t.Run(part.name, func(t *testing.T) { part.test(t, open) })
	}
}

// clock is a hand-moved clock.
type clock struct {
	mu sync.Mutex
	t  time.Time
}

func newClock() *clock { return &clock{t: time.Date(2026, 3, 2, 8, 0, 0, 0, time.UTC)} }

func (c *clock) now() time.Time {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.t
}

func (c *clock) add(d time.Duration) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.t = c.t.Add(d)
}

// fixture is a Store over a fresh backend, with calls that fail the test.
type fixture struct {
	*store.Store
	t     testing.TB
	clock *clock
}

// fresh opens the backend of the running test's name.
func fresh(t testing.TB, open Open) *fixture {
	t.Helper()
	c := newClock()
	f := &fixture{Store: store.New(open(t, t.Name()), c.now), t: t, clock: c}
	t.Cleanup(func() { f.Store.Close() })
	return f
}

func (f *fixture) commit(b store.Batch) uint64 {
	f.t.Helper()
	v, err := f.Commit(context.Background(), b)
	if err != nil {
		f.t.Fatalf("commit to %s at %d: %v", b.Stream, b.Expect, err)
	}
	return v
}

// queue appends one event and the items to the end of a stream.
func (f *fixture) queue(stream string, items ...store.Item) {
	f.t.Helper()
	f.commit(store.Batch{Stream: stream, Expect: store.Any, Events: [][]byte{[]byte("said")}, Queue: items})
}

func (f *fixture) events(stream string, after uint64) [][]byte {
	f.t.Helper()
	e, err := f.Events(context.Background(), stream, after)
	if err != nil {
		f.t.Fatalf("events of %s after %d: %v", stream, after, err)
	}
	return e
}

const lease = time.Minute

// claim claims with the usual lease and gives the items.
func (f *fixture) claim(limit int) []store.Item {
	f.t.Helper()
	items, err := f.Claim(context.Background(), lease, limit)
	if err != nil {
		f.t.Fatalf("claim: %v", err)
	}
	return items
}

// wantClaim claims and compares the ids.
func (f *fixture) wantClaim(limit int, ids ...string) []store.Item {
	f.t.Helper()
	items := f.claim(limit)
	if got := idsOf(items); !slices.Equal(got, ids) {
		f.t.Fatalf("claimed %q, want %q", got, ids)
	}
	return items
}

func (f *fixture) sent(items ...store.Item) {
	f.t.Helper()
	if err := f.MarkSent(context.Background(), items...); err != nil {
		f.t.Fatalf("mark sent: %v", err)
	}
}

func (f *fixture) waiting(stream string) []store.Item {
	f.t.Helper()
	items, err := f.Waiting(context.Background(), stream)
	if err != nil {
		f.t.Fatalf("waiting in %s: %v", stream, err)
	}
	return items
}

func (f *fixture) wantWaiting(stream string, ids ...string) {
	f.t.Helper()
	if got := idsOf(f.waiting(stream)); !slices.Equal(got, ids) {
		f.t.Fatalf("%s has %q waiting, want %q", stream, got, ids)
	}
}

// wantNext checks NextDue: in is from now on, zero or less for "could be claimed at
// once".
func (f *fixture) wantNext(in time.Duration) {
	f.t.Helper()
	at, ok, err := f.NextDue(context.Background())
	now := f.clock.now()
	switch {
	case err != nil || !ok:
		f.t.Fatalf("next due: found %v, error %v; want one in %v", ok, err, in)
	case in <= 0 && at.After(now), in > 0 && !at.Equal(now.Add(in)):
		f.t.Fatalf("next due in %v, want %v", at.Sub(now), in)
	}
}

func (f *fixture) wantNothingNext() {
	f.t.Helper()
	if at, ok, err := f.NextDue(context.Background()); ok || err != nil {
		f.t.Fatalf("next due at %v (found %v, error %v), want nothing", at, ok, err)
	}
}

func idsOf(items []store.Item) []string {
	ids := make([]string, 0, len(items))
	for _, it := range items {
		ids = append(ids, it.ID)
	}
	return ids
}

// message is an item due at once.
func message(id string) store.Item {
	return store.Item{ID: id, Kind: "message", Body: []byte("text " + id)}
}

// reminder is an item due at a time.
func reminder(id string, due time.Time) store.Item {
	return store.Item{ID: id, Kind: "reminder", Due: due, Body: []byte("text " + id)}
}

func event(format string, a ...any) []byte { return fmt.Appendf(nil, format, a...) }
