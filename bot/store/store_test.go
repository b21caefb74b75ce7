package store_test

import (
	"context"
	"errors"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"shimwright/bot/store"
	"shimwright/bot/store/boltstore"
)

func open(t *testing.T, now func() time.Time) *store.Store {
	t.Helper()
	b, err := boltstore.Open(filepath.Join(t.TempDir(), "jobs.db"), time.Second)
	if err != nil {
		t.Fatal(err)
	}
	s := store.New(b, now)
	t.Cleanup(func() { s.Close() })
	return s
}

// What is not valid is refused with a sentence that names it, before it reaches the
// backend.
func TestRefused(t *testing.T) {
	ctx := context.Background()
	s := open(t, time.Now)
	event := [][]byte{[]byte("x")}
	item := func(change func(*store.Item)) store.Batch {
		it := store.Item{ID: "m", Kind: "message"}
		change(&it)
		return store.Batch{Stream: "job/1", Events: event, Queue: []store.Item{it}}
	}
	many := make([][]byte, store.MaxCount+1)
	ids := make([]string, store.MaxCount/2+1)
	for i := range ids {
		ids[i] = "m"
	}
	big := make([][]byte, 17)
	for i := range big {
		big[i] = make([]byte, store.MaxEvent)
	}
	for name, c := range map[string]struct {
		batch store.Batch
		words string
	}{
		"no stream":        {store.Batch{Events: event}, "stream is empty"},
		"long stream":      {store.Batch{Stream: strings.Repeat("a", store.MaxName+1), Events: event}, "201 bytes"},
		"brace":            {store.Batch{Stream: "a{b}", Events: event}, `"{"`},
		"space":            {store.Batch{Stream: "a b", Events: event}, `" "`},
		"zero byte":        {store.Batch{Stream: "a\x00b", Events: event}, `"\x00"`},
		"letter of two":    {store.Batch{Stream: "ä", Events: event}, "allowed"},
		"batch id":         {store.Batch{ID: "a b", Stream: "job/1", Events: event}, "batch id"},
		"clock":            {store.Batch{Now: time.Unix(-1, 0), Stream: "job/1", Events: event}, "the clock"},
		"many events":      {store.Batch{Stream: "job/1", Events: many}, "1001 records"},
		"many ids":         {store.Batch{Stream: "job/1", Events: event, Done: ids, Cancel: ids}, "1002 records"},
		"big event":        {store.Batch{Stream: "job/1", Events: [][]byte{make([]byte, store.MaxEvent+1)}}, "1048577 bytes"},
		"big batch":        {store.Batch{Stream: "job/1", Events: big}, "a batch of"},
		"queued for what":  {store.Batch{Stream: "job/1", Queue: []store.Item{{Kind: "message"}}}, "no event says why"},
		"replace anywhere": {store.Batch{Stream: "job/1", Expect: store.Any, Events: event, Replace: []store.Replacement{{Version: 1}}}, "without an exact version"},
		"replace, why":     {store.Batch{Stream: "job/1", Expect: 2, Replace: []store.Replacement{{Version: 1}}}, "an event that says why"},
		"replace what":     {store.Batch{Stream: "job/1", Expect: 2, Events: event, Replace: []store.Replacement{{Version: 3}}}, "event 3"},
		"replace nothing":  {store.Batch{Stream: "job/1", Expect: 2, Events: event, Replace: []store.Replacement{{}}}, "event 0"},
		"replace twice":    {store.Batch{Stream: "job/1", Expect: 2, Events: event, Replace: []store.Replacement{{Version: 1}, {Version: 1}}}, "twice"},
		"nothing":          {store.Batch{Stream: "job/1", Expect: store.Any}, "changes nothing"},
		"retry, no lease":  {store.Batch{Stream: "job/1", Retry: &store.Retry{ID: "m", Due: time.Now()}}, "no lease"},
		"release, nothing": {store.Batch{Stream: "job/1", Release: true}, "no lease"},
		"retry when":       {store.Batch{Stream: "job/1", Lease: "x", Retry: &store.Retry{ID: "m"}}, "due time of the retry"},
		"retry what":       {store.Batch{Stream: "job/1", Lease: "x", Retry: &store.Retry{Due: time.Now()}}, "item id is empty"},
		"done what":        {store.Batch{Stream: "job/1", Done: []string{""}}, "item id is empty"},
		"cancel what":      {store.Batch{Stream: "job/1", Cancel: []string{"a\nb"}}, "item id"},
		"item id":          {item(func(it *store.Item) { it.ID = "a b" }), "item id"},
		"item kind":        {item(func(it *store.Item) { it.Kind = "" }), "item kind is empty"},
		"item body":        {item(func(it *store.Item) { it.Body = make([]byte, store.MaxBody+1) }), "8388609 bytes"},
		"item due 1969":    {item(func(it *store.Item) { it.Due = time.Unix(-1, 0) }), "due time of item m"},
		"item due 3000":    {item(func(it *store.Item) { it.Due = time.Date(3000, 1, 1, 0, 0, 0, 0, time.UTC) }), "due time of item m"},
		"attempts":         {item(func(it *store.Item) { it.Attempts = -1 }), "attempts"},
		"lease":            {store.Batch{Stream: "job/1", Lease: "a b", Release: true}, "lease"},
	} {
		_, err := s.Commit(ctx, c.batch)
		if !errors.Is(err, store.ErrInvalid) || !strings.Contains(err.Error(), c.words) {
			t.Errorf("%s: error %v, want one that says %q", name, err, c.words)
		}
	}
	for name, call := range map[string]func() error{
		"events":        func() error { _, err := s.Events(ctx, "", 0); return err },
		"waiting":       func() error { _, err := s.Waiting(ctx, "a b"); return err },
		"streams":       func() error { _, err := s.Streams(ctx, "{", "", 1); return err },
		"streams after": func() error { _, err := s.Streams(ctx, "", "}", 1); return err },
		"no streams":    func() error { _, err := s.Streams(ctx, "", "", 0); return err },
		"no lease":      func() error { _, err := s.Claim(ctx, 0, 1); return err },
		"long lease":    func() error { _, err := s.Claim(ctx, store.MaxHold+1, 1); return err },
		"no items":      func() error { _, err := s.Claim(ctx, time.Minute, 0); return err },
		"many items":    func() error { _, err := s.Claim(ctx, time.Minute, store.MaxCount+1); return err },
		"extend what":   func() error { return s.Extend(ctx, store.Item{Stream: "job/1", ID: "m"}, time.Minute) },
		"extend long":   func() error { return s.Extend(ctx, store.Item{Stream: "job/1", Lease: "x"}, time.Hour) },
		"sent mixed": func() error {
			return s.MarkSent(ctx, store.Item{Stream: "job/1", ID: "m", Lease: "x"}, store.Item{Stream: "job/2", ID: "m", Lease: "x"})
		},
	} {
		if err := call(); !errors.Is(err, store.ErrInvalid) {
			t.Errorf("%s: error %v, want %v", name, err, store.ErrInvalid)
		}
	}
	if names, err := s.Streams(ctx, "", "", 10); err != nil || len(names) != 0 {
		t.Errorf("something was written: %q, error %v", names, err)
	}
	if err := s.MarkSent(ctx); err != nil {
		t.Errorf("marking nothing sent: %v", err)
	}
}

// An item without an id gets one that is the same when the batch is repeated, differs
// from every other's and fits the nonce of the platforms (25 characters at most).
func TestItemIDs(t *testing.T) {
	ctx := context.Background()
	s := open(t, time.Now)
	b := store.Batch{ID: store.NewID(), Stream: "job/1", Events: [][]byte{[]byte("x")}, Queue: []store.Item{{Kind: "message"}, {Kind: "message"}}}
	for range 2 {
		if v, err := s.Commit(ctx, b); err != nil || v != 1 {
			t.Fatalf("version %d, error %v", v, err)
		}
	}
	if b.Queue[0].ID != "" {
		t.Error("the caller's batch was changed")
	}
	b.ID, b.Expect = store.NewID(), 1
	if _, err := s.Commit(ctx, b); err != nil {
		t.Fatal(err)
	}
	items, err := s.Waiting(ctx, "job/1")
	if err != nil || len(items) != 4 {
		t.Fatalf("%d items, error %v, want 4", len(items), err)
	}
	seen := map[string]bool{}
	for _, it := range items {
		if len(it.ID) != 22 || seen[it.ID] {
			t.Errorf("id %q", it.ID)
		}
		seen[it.ID] = true
	}
}

func TestWake(t *testing.T) {
	ctx := context.Background()
	s := open(t, time.Now)
	woken := func() bool {
		select {
		case <-s.Wake():
			return true
		default:
			return false
		}
	}
	want := func(what string, want bool) {
		t.Helper()
		if got := woken(); got != want {
			t.Errorf("after %s: woken %v, want %v", what, got, want)
		}
	}
	commit := func(b store.Batch) {
		t.Helper()
		b.Stream, b.Expect = "job/1", store.Any
		if _, err := s.Commit(ctx, b); err != nil {
			t.Fatal(err)
		}
	}
	commit(store.Batch{Events: [][]byte{[]byte("x")}})
	want("events only", false)
	commit(store.Batch{Events: [][]byte{[]byte("x")}, Queue: []store.Item{{Kind: "message"}}})
	commit(store.Batch{Events: [][]byte{[]byte("x")}, Queue: []store.Item{{Kind: "message"}}})
	want("queueing", true)
	want("having been woken", false)
	items, err := s.Claim(ctx, time.Minute, 1)
	if err != nil || len(items) != 1 {
		t.Fatalf("claimed %+v, error %v", items, err)
	}
	if err := s.Release(ctx, items[0]); err != nil {
		t.Fatal(err)
	}
	want("a release", true)
	if _, err := s.Commit(ctx, store.Batch{Stream: "job/1", Expect: 9, Events: [][]byte{[]byte("x")}, Queue: []store.Item{{Kind: "message"}}}); !errors.Is(err, store.ErrConflict) {
		t.Fatal(err)
	}
	want("a conflict", false)
}

// The store's clock, not the system's, decides what is due.
func TestClock(t *testing.T) {
	ctx := context.Background()
	now := time.Date(2030, 1, 1, 0, 0, 0, 0, time.UTC)
	s := open(t, func() time.Time { return now })
	if _, err := s.Commit(ctx, store.Batch{Stream: "job/1", Events: [][]byte{[]byte("x")}, Queue: []store.Item{{Kind: "reminder", Due: now.Add(time.Hour)}}}); err != nil {
		t.Fatal(err)
	}
	for _, want := range []int{0, 1} {
		if items, err := s.Claim(ctx, time.Minute, 5); err != nil || len(items) != want {
			t.Fatalf("at %v claimed %+v, error %v, want %d", now, items, err, want)
		}
		now = now.Add(time.Hour)
	}
}
