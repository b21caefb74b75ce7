package storetest

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"slices"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"shimwright/bot/store"
)

func wantError(t testing.TB, what string, err, want error) {
	t.Helper()
	if !errors.Is(err, want) {
		t.Fatalf("%s: error %v, want %v", what, err, want)
	}
}

func testAppend(t *testing.T, open Open) {
	ctx := context.Background()
	f := fresh(t, open)
	if e := f.events("job/1", 0); len(e) != 0 {
		t.Fatalf("an unknown stream has events %q", e)
	}
	if v := f.commit(store.Batch{Stream: "job/1", Events: [][]byte{[]byte("a"), []byte("b")}}); v != 2 {
		t.Fatalf("version %d, want 2", v)
	}
	if v := f.commit(store.Batch{Stream: "job/1", Expect: 2, Events: [][]byte{[]byte("c")}}); v != 3 {
		t.Fatalf("version %d, want 3", v)
	}
	if v := f.commit(store.Batch{Stream: "job/1", Expect: store.Any, Events: [][]byte{[]byte("d")}}); v != 4 {
		t.Fatalf("version %d, want 4", v)
	}
	f.commit(store.Batch{Stream: "job/10", Events: [][]byte{[]byte("other")}})
	want := [][]byte{[]byte("a"), []byte("b"), []byte("c"), []byte("d")}
	for after := range uint64(5) {
		if d := cmp.Diff(want[after:], f.events("job/1", after)); d != "" {
			t.Fatalf("after %d:\n%s", after, d)
		}
	}
	_, err := f.Events(ctx, "job/1", 5)
	wantError(t, "reading past the end", err, store.ErrRewound)
	for _, expect := range []uint64{0, 3, 5, 1000} {
		_, err := f.Commit(ctx, store.Batch{Stream: "job/1", Expect: expect, Events: [][]byte{[]byte("x")}})
		wantError(t, fmt.Sprintf("commit at %d", expect), err, store.ErrConflict)
	}
	if v := f.commit(store.Batch{Stream: "job/1", Expect: 4}); v != 4 {
		t.Fatalf("an empty batch at version 4 gave %d", v)
	}
	_, err = f.Commit(ctx, store.Batch{Stream: "job/1", Expect: 3})
	wantError(t, "an empty batch at version 3", err, store.ErrConflict)

	// what a caller does to the bytes stays with it
	e := f.events("job/1", 0)
	e[0][0] = 'z'
	if d := cmp.Diff(want, f.events("job/1", 0)); d != "" {
		t.Fatalf("the store changed with the caller's bytes:\n%s", d)
	}
}

func testConcurrentAppends(t *testing.T, open Open) {
	const writers, each = 8, 20
	f := fresh(t, open)
	var wg sync.WaitGroup
	failed := make(chan error, writers)
	for w := range writers {
		wg.Go(func() {
			version := uint64(0)
			for n := 0; n < each; {
				v, err := f.Commit(context.Background(), store.Batch{Stream: "job/1", Expect: version, Events: [][]byte{event("%d %d", w, n)}})
				switch {
				case err == nil:
					version = v
					n++
				case errors.Is(err, store.ErrConflict):
					missed, err := f.Events(context.Background(), "job/1", version)
					if err != nil {
						failed <- err
						return
					}
					version += uint64(len(missed))
				default:
					failed <- err
					return
				}
			}
		})
	}
	wg.Wait()
	select {
	case err := <-failed:
		t.Fatal(err)
	default:
	}
	next := make([]int, writers)
	all := f.events("job/1", 0)
	for i, e := range all {
		var w, n int
		if _, err := fmt.Sscanf(string(e), "%d %d", &w, &n); err != nil || n != next[w] {
			t.Fatalf("event %d is %q, and writer %d's next was %d", i+1, e, w, next[w])
		}
		next[w]++
	}
	if len(all) != writers*each {
		t.Fatalf("%d events, want %d", len(all), writers*each)
	}
}

func testAtomic(t *testing.T, open Open) {
	ctx := context.Background()
	f := fresh(t, open)
	f.queue("job/1", message("m1"), message("m2"))
	before := f.waiting("job/1")
	for _, b := range []struct {
		what  string
		batch store.Batch
		want  error
	}{
		{"conflict", store.Batch{Expect: 7, Queue: []store.Item{message("m3")}}, store.ErrConflict},
		{"conflict with removal", store.Batch{Expect: 7, Done: []string{"m1"}, Cancel: []string{"m2"}}, store.ErrConflict},
		{"id that waits", store.Batch{Expect: 1, Queue: []store.Item{message("m3"), message("m2")}, Done: []string{"m1"}}, store.ErrDuplicate},
		{"id twice", store.Batch{Expect: 1, Queue: []store.Item{message("m3"), message("m3")}, Done: []string{"m1"}}, store.ErrDuplicate},
		{"too big", store.Batch{Expect: 1, Queue: []store.Item{{ID: "m3", Kind: "message", Body: make([]byte, store.MaxBody+1)}}}, store.ErrInvalid},
	} {
		b.batch.Stream, b.batch.Events = "job/1", [][]byte{[]byte("x")}
		_, err := f.Commit(ctx, b.batch)
		wantError(t, b.what, err, b.want)
		if d := cmp.Diff(before, f.waiting("job/1")); d != "" {
			t.Fatalf("%s changed the queue:\n%s", b.what, d)
		}
		if n := len(f.events("job/1", 0)); n != 1 {
			t.Fatalf("%s left %d events, want 1", b.what, n)
		}
	}
	_, err := f.Commit(ctx, store.Batch{Stream: "job/2", Expect: 1, Events: [][]byte{[]byte("x")}, Queue: []store.Item{message("m")}})
	wantError(t, "a new stream at 1", err, store.ErrConflict)
	if names, err := f.Streams(ctx, "", "", 10); err != nil || !slices.Equal(names, []string{"job/1"}) {
		t.Fatalf("streams %q, error %v: a refused commit left its name", names, err)
	}
	f.wantWaiting("job/2")
	// an id that the same batch takes away is free
	f.commit(store.Batch{Stream: "job/1", Expect: 1, Events: [][]byte{[]byte("x")}, Cancel: []string{"m1"}, Queue: []store.Item{message("m1")}})
	f.wantWaiting("job/1", "m2", "m1")
}

func testRepeat(t *testing.T, open Open) {
	ctx := context.Background()
	f := fresh(t, open)
	b := store.Batch{ID: store.NewID(), Stream: "job/1", Events: [][]byte{[]byte("a"), []byte("b")}, Queue: []store.Item{message("m1"), {Kind: "message"}}}
	f.commit(b)
	check := func(b store.Batch, version uint64, total int) {
		t.Helper()
		if v := f.commit(b); v != version {
			t.Fatalf("repeated commit gave version %d, want %d", v, version)
		}
		if n := len(f.events("job/1", 0)); n != total {
			t.Fatalf("%d events after the repeat, want %d", n, total)
		}
	}
	check(b, 2, 2)
	if n := len(f.waiting("job/1")); n != 2 {
		t.Fatalf("%d items wait after the repeat, want 2", n)
	}
	f.sent(f.claim(1)...)
	f.commit(store.Batch{Stream: "job/1", Expect: 2, Events: [][]byte{[]byte("c")}})
	check(b, 2, 3) // others have gone on, and what was sent does not come back
	if n := len(f.waiting("job/1")); n != 1 {
		t.Fatalf("%d items wait after the repeat, want 1", n)
	}
	end := store.Batch{ID: store.NewID(), Stream: "job/1", Expect: store.Any, Events: [][]byte{[]byte("d"), []byte("e")}, Queue: []store.Item{message("m2")}}
	f.commit(end)
	check(end, 5, 5)
	for i := range store.Lookback - 2 {
		f.commit(store.Batch{Stream: "job/1", Expect: uint64(5 + i), Events: [][]byte{[]byte("f")}})
	}
	check(end, 5, 5+store.Lookback-2)

	for _, c := range []struct {
		what   string
		change func(*store.Batch)
	}{
		{"another id", func(b *store.Batch) { b.ID = store.NewID() }},
		{"another event", func(b *store.Batch) { b.Events = [][]byte{[]byte("a"), []byte("x")} }},
		{"fewer events", func(b *store.Batch) { b.Events = [][]byte{[]byte("b")} }},
		{"other events of that id", func(b *store.Batch) { b.Expect = 2 }},
	} {
		other := b
		c.change(&other)
		_, err := f.Commit(ctx, other)
		wantError(t, "a batch with "+c.what, err, store.ErrConflict)
	}
}

func testBig(t *testing.T, open Open) {
	f := fresh(t, open)
	all := make([]byte, 256)
	for i := range all {
		all[i] = byte(i)
	}
	events := [][]byte{
		{}, {0}, {0, 0, 0}, []byte("\r\n$-1\r\n"), []byte("{braces} %s \xff\xfe"), all,
		bytes.Repeat(all, store.MaxEvent/len(all)),
	}
	f.commit(store.Batch{Stream: "job/1", Events: events})
	if !slices.EqualFunc(events, f.events("job/1", 0), bytes.Equal) {
		t.Fatal("events came back changed") // megabytes, so no diff
	}
	items := []store.Item{
		{ID: "empty", Kind: "k", Body: []byte{}},
		{ID: "bytes", Kind: "k", Body: all},
		{ID: "big", Kind: "k", Body: bytes.Repeat(all, store.MaxBody/len(all))},
	}
	f.queue("job/1", items...)
	got := f.claim(10)
	if len(got) != len(items) {
		t.Fatalf("%d items came back, want %d", len(got), len(items))
	}
	for i, it := range got {
		if it.ID != items[i].ID || it.Kind != "k" || !bytes.Equal(it.Body, items[i].Body) {
			t.Fatalf("item %q of %d bytes came back as %q of %d bytes", items[i].ID, len(items[i].Body), it.ID, len(it.Body))
		}
	}
	f.sent(got...)
	f.wantWaiting("job/1")
}

func testStreams(t *testing.T, open Open) {
	ctx := context.Background()
	f := fresh(t, open)
	var all []string
	for i := range 25 {
		all = append(all, fmt.Sprintf("job/%02d", i), fmt.Sprintf("place/%02d", i))
	}
	all = append(all, "job", "job/", "jobs", "job/05/a", "Z", "a-b.c:d@e+f=g#h~i,j")
	for _, name := range all {
		f.commit(store.Batch{Stream: name, Events: [][]byte{[]byte(name)}})
	}
	slices.Sort(all)
	for _, c := range []struct {
		prefix, after string
		limit         int
	}{
		{"", "", 1000}, {"", "", 7}, {"job/", "", 1000}, {"job/", "job/05", 3}, {"job/", "job/24", 3}, {"job/", "a", 2},
		{"job/", "zzz", 2}, {"none", "", 5}, {"", "job/", 4}, {"job", "job/23", 5}, {"place/", "job/05", 1}, {"job/05", "job/05", 9},
	} {
		var want []string
		for _, name := range all {
			if bytes.HasPrefix([]byte(name), []byte(c.prefix)) && name > c.after && len(want) < c.limit {
				want = append(want, name)
			}
		}
		got, err := f.Streams(ctx, c.prefix, c.after, c.limit)
		if err != nil || !slices.Equal(got, want) {
			t.Errorf("streams %+v: got %q, error %v; want %q", c, got, err, want)
		}
	}
}

func testContext(t *testing.T, open Open) {
	f := fresh(t, open)
	f.queue("job/1", message("m1"))
	it := f.claim(1)[0]
	ended, cancel := context.WithCancel(context.Background())
	cancel()
	late, cancel := context.WithDeadline(context.Background(), time.Unix(1, 0))
	defer cancel()
	for _, c := range []struct {
		ctx  context.Context
		want error
	}{{ended, context.Canceled}, {late, context.DeadlineExceeded}} {
		_, err := f.Commit(c.ctx, store.Batch{Stream: "job/1", Expect: 1, Events: [][]byte{[]byte("x")}})
		wantError(t, "commit", err, c.want)
		_, err = f.Events(c.ctx, "job/1", 0)
		wantError(t, "events", err, c.want)
		_, err = f.Streams(c.ctx, "", "", 1)
		wantError(t, "streams", err, c.want)
		_, err = f.Claim(c.ctx, lease, 1)
		wantError(t, "claim", err, c.want)
		_, err = f.Waiting(c.ctx, "job/1")
		wantError(t, "waiting", err, c.want)
		_, _, err = f.NextDue(c.ctx)
		wantError(t, "next due", err, c.want)
		wantError(t, "extend", f.Extend(c.ctx, it, lease), c.want)
		wantError(t, "mark sent", f.MarkSent(c.ctx, it), c.want)
	}
	if n := len(f.events("job/1", 0)); n != 1 {
		t.Fatalf("%d events, want 1", n)
	}
	f.wantWaiting("job/1", "m1")
}

func testReopen(t *testing.T, open Open) {
	c := newClock()
	name := t.Name()
	f := &fixture{Store: store.New(open(t, name), c.now), t: t, clock: c}
	f.commit(store.Batch{Stream: "job/1", Events: [][]byte{[]byte("a"), []byte("b")}, Queue: []store.Item{
		message("m1"), message("m2"), reminder("r1", c.now().Add(time.Hour)),
		{ID: "tried", Kind: "message", Body: []byte("x"), Attempts: 3},
	}})
	f.sent(f.wantClaim(1, "m1")...)
	it := f.wantClaim(1, "m2")[0]
	if err := f.Retry(context.Background(), it, c.now().Add(time.Second)); err != nil {
		t.Fatal(err)
	}
	c.add(time.Second)
	if it = f.wantClaim(1, "m2")[0]; it.Attempts != 1 {
		t.Fatalf("%d attempts, want 1", it.Attempts)
	}
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}

	f.Store = store.New(open(t, name), c.now)
	defer f.Close()
	if d := cmp.Diff([][]byte{[]byte("a"), []byte("b")}, f.events("job/1", 0)); d != "" {
		t.Fatal(d)
	}
	f.wantWaiting("job/1", "m2", "tried", "r1")
	c.add(lease) // the claim from before the end is over by now, if it was kept
	items := f.wantClaim(10, "m2", "tried")
	if items[0].Attempts < 2 || items[1].Attempts < 3 {
		t.Fatalf("attempts %d and %d, want at least 2 and 3", items[0].Attempts, items[1].Attempts)
	}
	if string(items[0].Body) != "text m2" || items[0].Kind != "message" || items[0].Stream != "job/1" || !items[0].Due.IsZero() {
		t.Fatalf("item came back as %+v", items[0])
	}
	f.sent(items...)
	c.add(time.Hour)
	if r := f.wantClaim(10, "r1"); !r[0].Due.Equal(newClock().now().Add(time.Hour)) {
		t.Fatalf("reminder due at %v", r[0].Due)
	}
	if v := f.commit(store.Batch{Stream: "job/1", Expect: 2, Events: [][]byte{[]byte("c")}}); v != 3 {
		t.Fatalf("version %d, want 3", v)
	}
}

func testClosed(t *testing.T, open Open) {
	ctx := context.Background()
	f := fresh(t, open)
	f.queue("job/1", message("m1"))
	it := f.claim(1)[0]
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
	_, err := f.Commit(ctx, store.Batch{Stream: "job/1", Expect: 1, Events: [][]byte{[]byte("x")}})
	wantError(t, "commit", err, store.ErrClosed)
	_, err = f.Events(ctx, "job/1", 0)
	wantError(t, "events", err, store.ErrClosed)
	_, err = f.Streams(ctx, "", "", 1)
	wantError(t, "streams", err, store.ErrClosed)
	f.clock.add(2 * lease)
	_, err = f.Claim(ctx, lease, 1)
	wantError(t, "claim", err, store.ErrClosed)
	_, err = f.Waiting(ctx, "job/1")
	wantError(t, "waiting", err, store.ErrClosed)
	_, _, err = f.NextDue(ctx)
	wantError(t, "next due", err, store.ErrClosed)
	wantError(t, "extend", f.Extend(ctx, it, lease), store.ErrClosed)
	if err := f.Close(); err != nil {
		t.Fatalf("closing again: %v", err)
	}
}

// testRewritten has a stream lose its end and be written anew, as after a failover:
// who has read what is lost is not told that all is well.
func testRewritten(t *testing.T, open Open) {
	f := fresh(t, open)
	f.commit(store.Batch{Stream: "job/1", Expect: 0, Events: [][]byte{[]byte("one"), []byte("two")}})
	f.commit(store.Batch{Stream: "job/1", Expect: 2, Last: []byte("two"), Events: [][]byte{[]byte("three")}})
	b := store.Batch{ID: "x", Stream: "job/1", Expect: 3, Last: []byte("tree"), Events: [][]byte{[]byte("four")}, Queue: []store.Item{message("m")}}
	if _, err := f.Commit(context.Background(), b); !errors.Is(err, store.ErrRewound) {
		t.Fatalf("committed on another event: %v", err)
	}
	if got := f.events("job/1", 0); len(got) != 3 {
		t.Fatalf("%d events, want 3", len(got))
	}
	f.wantWaiting("job/1")
	b.Last = []byte("three")
	f.commit(b)
	f.commit(b) // a repeat counts as done, whatever comes last now
	for last, want := range map[string]int{"one": 3, "two": -1} {
		got, err := f.Since(context.Background(), "job/1", 1, []byte(last))
		if want < 0 && !errors.Is(err, store.ErrRewound) || want >= 0 && (err != nil || len(got) != want) {
			t.Errorf("since %q: %d events, error %v", last, len(got), err)
		}
	}
	if got, err := f.Since(context.Background(), "job/1", 0, nil); err != nil || len(got) != 4 {
		t.Errorf("from the start: %d events, error %v", len(got), err)
	}
	if _, err := f.Since(context.Background(), "job/1", 9, []byte("x")); !errors.Is(err, store.ErrRewound) {
		t.Errorf("behind the end: %v", err)
	}
}
