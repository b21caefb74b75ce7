package storetest

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"shimwright/bot/store"
)

func testOrder(t *testing.T, open Open) {
	f := fresh(t, open)
	now := f.clock.now()
	f.queue("job/1", message("a"), reminder("r3", now.Add(-time.Minute)), message("b"), reminder("r1", now.Add(-time.Hour)))
	f.queue("job/1", reminder("r2", now.Add(-time.Hour)), message("c"), reminder("later", now.Add(time.Second)))
	f.wantWaiting("job/1", "a", "b", "c", "r1", "r2", "r3", "later")
	var got []string
	for len(got) < 6 {
		items := f.claim(2)
		if len(items) == 0 {
			t.Fatalf("only %q were handed out", got)
		}
		got = append(got, idsOf(items)...)
		f.sent(items...)
	}
	if want := []string{"a", "b", "c", "r1", "r2", "r3"}; !slices.Equal(got, want) {
		t.Fatalf("order %q, want %q", got, want)
	}
	// a stream whose clock runs ahead of the next committer's keeps its order too
	f.queue("job/2", message("first"))
	f.clock.add(-3 * time.Second)
	f.queue("job/2", message("second"))
	f.wantClaim(10, "first", "second")
}

func testDue(t *testing.T, open Open) {
	f := fresh(t, open)
	f.wantNothingNext()
	now := f.clock.now()
	f.queue("job/1", reminder("r2", now.Add(2*time.Hour)), reminder("r1", now.Add(time.Hour+time.Microsecond)))
	f.wantNext(time.Hour + time.Microsecond)
	f.wantClaim(10)
	f.clock.add(time.Hour)
	f.wantClaim(10)
	f.clock.add(time.Microsecond)
	f.wantNext(0)
	items := f.wantClaim(10, "r1")
	if !items[0].Due.Equal(now.Add(time.Hour + time.Microsecond)) {
		t.Fatalf("due %v", items[0].Due)
	}
	f.wantNext(lease)
	f.sent(items...)
	f.wantNext(time.Hour - time.Microsecond)
	f.queue("job/2", message("m"))
	f.wantNext(0)
	f.sent(f.wantClaim(10, "m")...)
	f.queue("job/3", reminder("soon", f.clock.now().Add(time.Minute)))
	f.wantNext(time.Minute)
	f.clock.add(3 * time.Hour)
	f.sent(f.wantClaim(1, "soon")...)
	f.sent(f.wantClaim(1, "r2")...)
	f.wantNothingNext()
}

func testLease(t *testing.T, open Open) {
	f := fresh(t, open)
	f.queue("job/1", message("a"), message("b"), message("c"))
	first := f.wantClaim(2, "a", "b")
	if first[0].Lease == "" || first[0].Lease != first[1].Lease || first[0].Attempts != 0 {
		t.Fatalf("claimed %+v", first)
	}
	f.wantClaim(10) // c waits for a and b
	f.queue("job/1", message("d"))
	f.wantClaim(10)
	f.sent(first[0])
	f.wantClaim(10)
	f.sent(first[1])
	f.sent(first...) // again, harmless
	rest := f.wantClaim(10, "c", "d")
	if rest[0].Lease == first[0].Lease {
		t.Fatal("a new lease has the old one's token")
	}
	// a refused batch ends no lease
	_, err := f.Commit(context.Background(), store.Batch{Stream: "job/1", Expect: 9, Done: []string{"c", "d"}, Lease: rest[0].Lease, Release: true})
	wantError(t, "a release at the wrong version", err, store.ErrConflict)
	f.wantClaim(10)
	f.sent(rest...)
	f.wantNothingNext()

	// with what the platform answered, in one transaction
	f.queue("job/1", message("e"))
	e := f.wantClaim(10, "e")[0]
	f.commit(store.Batch{Stream: "job/1", Expect: store.Any, Events: [][]byte{[]byte("sent as 77")}, Done: []string{"e"}, Lease: e.Lease})
	f.wantWaiting("job/1")
	f.queue("job/1", message("f"))
	f.wantClaim(10, "f")
}

func testLostLease(t *testing.T, open Open) {
	ctx := context.Background()
	f := fresh(t, open)
	f.queue("job/1", message("a"), message("b"), message("c"))
	old := f.wantClaim(2, "a", "b")
	f.clock.add(lease - time.Microsecond)
	f.wantClaim(10)
	f.wantNext(time.Microsecond)
	f.clock.add(time.Microsecond)
	f.wantNext(0)
	now := f.wantClaim(10, "a", "b", "c")
	for i, want := range []int{1, 1, 0} {
		if now[i].Attempts != want {
			t.Errorf("%s has %d attempts, want %d", now[i].ID, now[i].Attempts, want)
		}
	}
	if now[0].Lease == old[0].Lease {
		t.Fatal("the new lease has the old one's token")
	}
	// the old holder comes back: it lost the lease, but what it sent is sent
	wantError(t, "extending a lost lease", f.Extend(ctx, old[0], lease), store.ErrLost)
	if err := f.Retry(ctx, old[1], f.clock.now().Add(time.Hour)); err != nil {
		t.Fatal(err)
	}
	if err := f.Release(ctx, old[0]); err != nil {
		t.Fatal(err)
	}
	f.wantClaim(10)
	f.sent(old[0])
	f.wantWaiting("job/1", "b", "c")
	f.wantClaim(10) // still the new holder's
	if it := f.waiting("job/1")[0]; it.Attempts != 1 {
		t.Fatalf("a retry from a lost lease counted: %d attempts", it.Attempts)
	}
	f.sent(now...)
	f.wantNothingNext()
}

func testExtend(t *testing.T, open Open) {
	ctx := context.Background()
	f := fresh(t, open)
	f.queue("job/1", message("a"), message("b"))
	it := f.wantClaim(1, "a")[0]
	f.clock.add(lease - time.Second)
	if err := f.Extend(ctx, it, lease); err != nil {
		t.Fatal(err)
	}
	f.clock.add(lease - time.Second)
	f.wantClaim(10)
	f.wantNext(time.Second)
	if err := f.Release(ctx, it); err != nil {
		t.Fatal(err)
	}
	f.wantNext(0)
	items := f.wantClaim(10, "a", "b")
	if items[0].Attempts != 0 {
		t.Fatalf("a released item has %d attempts", items[0].Attempts)
	}
	wantError(t, "extending a released lease", f.Extend(ctx, it, lease), store.ErrLost)
	f.sent(items...)
	wantError(t, "extending a finished lease", f.Extend(ctx, items[0], lease), store.ErrLost)
	wantError(t, "extending in an unknown stream", f.Extend(ctx, store.Item{Stream: "job/2", Lease: it.Lease}, lease), store.ErrLost)
}

func testRetry(t *testing.T, open Open) {
	ctx := context.Background()
	f := fresh(t, open)
	f.queue("job/1", message("a"), message("b"), reminder("r", f.clock.now()))
	f.queue("job/2", message("other"))
	it := f.wantClaim(1, "a")[0]
	if err := f.Retry(ctx, it, f.clock.now().Add(5*time.Second)); err != nil {
		t.Fatal(err)
	}
	f.sent(f.wantClaim(10, "other")...) // b and r wait behind a
	f.queue("job/1", message("c"))
	f.wantClaim(10)
	f.wantNext(5 * time.Second)
	f.wantWaiting("job/1", "a", "b", "c", "r")
	f.clock.add(5 * time.Second)
	items := f.wantClaim(10, "a", "b", "c", "r")
	if items[0].Attempts != 1 || items[1].Attempts != 0 {
		t.Fatalf("attempts %d and %d, want 1 and 0", items[0].Attempts, items[1].Attempts)
	}
	f.sent(items[0])
	if err := f.Retry(ctx, items[1], f.clock.now().Add(1000*time.Hour)); err != nil {
		t.Fatal(err)
	}
	f.wantNext(store.MaxHold)
	f.clock.add(store.MaxHold)
	items = f.wantClaim(10, "b", "c", "r")
	// one that is retried and withdrawn holds nothing back
	if err := f.Retry(ctx, items[0], f.clock.now().Add(time.Minute)); err != nil {
		t.Fatal(err)
	}
	f.wantClaim(10)
	f.commit(store.Batch{Stream: "job/1", Expect: store.Any, Cancel: []string{"b"}})
	items = f.wantClaim(10, "c", "r")
	f.commit(store.Batch{Stream: "job/1", Expect: store.Any, Cancel: []string{"c"}})
	if err := f.Retry(ctx, items[0], f.clock.now().Add(time.Minute)); err != nil {
		t.Fatal(err)
	}
	f.wantClaim(10, "r")
}

// What is queued is handed out with its commit where nothing is in the way.
func testTake(t *testing.T, open Open) {
	ctx := context.Background()
	f := fresh(t, open)
	now := f.clock.now()
	take := func(stream string, want []string, items ...store.Item) []store.Item {
		t.Helper()
		b := store.Batch{ID: store.NewID(), Stream: stream, Expect: store.Any, Events: [][]byte{event("why")}, Queue: items, Take: store.NewID(), TakeFor: lease, Told: &store.Told{}}
		f.commit(b)
		if got := idsOf(b.Told.Items); !slices.Equal(got, want) {
			t.Fatalf("took %q, want %q", got, want)
		}
		for _, it := range b.Told.Items {
			if it.Lease == "" || it.Lease != b.Told.Lease || it.Stream != stream || it.Kind == "" {
				t.Fatalf("took %+v", it)
			}
		}
		taken := b.Told.Items
		if _, err := f.Commit(ctx, b); err != nil || !slices.Equal(idsOf(b.Told.Items), want) {
			t.Fatalf("the same commit again took %q, error %v, want %q", idsOf(b.Told.Items), err, want)
		}
		return taken
	}
	// a reminder for later is no obstacle, and is left behind
	f.queue("job/1", reminder("later", now.Add(time.Hour)))
	got := take("job/1", []string{"a", "b"}, message("a"), message("b"), reminder("r", now.Add(time.Minute)))
	f.wantClaim(10)
	take("job/1", nil, message("c")) // somebody holds the stream: it is the holder's turn
	f.wantWaiting("job/1", "a", "b", "c", "r", "later")
	f.sent(got...)
	take("job/1", nil, message("d")) // c was first
	f.sent(f.wantClaim(10, "c", "d")...)
	// the lease is one like any other
	got = take("job/1", []string{"e"}, message("e"))
	f.clock.add(lease)
	if it := f.wantClaim(10, "e", "r")[0]; it.Attempts != 1 {
		t.Fatalf("%d attempts after a lost lease, want 1", it.Attempts)
	}
	wantError(t, "extending a lost lease", f.Extend(ctx, got[0], lease), store.ErrLost)
	// only what is refused takes nothing
	b := store.Batch{Stream: "job/2", Expect: 7, Events: [][]byte{event("why")}, Queue: []store.Item{message("x")}, Take: store.NewID(), TakeFor: lease}
	_, err := f.Commit(ctx, b)
	wantError(t, "a commit at the wrong version", err, store.ErrConflict)
	take("job/2", []string{"x"}, message("x"))
}

// A reminder that cannot be sent must not keep back the answers.
func testRetryReminder(t *testing.T, open Open) {
	f := fresh(t, open)
	now := f.clock.now()
	f.queue("job/1", reminder("r1", now.Add(-time.Minute)), reminder("r2", now))
	it := f.wantClaim(1, "r1")[0]
	if err := f.Retry(context.Background(), it, now.Add(10*time.Minute)); err != nil {
		t.Fatal(err)
	}
	f.wantNext(10 * time.Minute)
	f.queue("job/1", message("a"))
	f.wantNext(0)
	f.sent(f.wantClaim(10, "a")...)
	f.wantClaim(10)
	f.wantNext(10 * time.Minute)
	f.clock.add(10 * time.Minute)
	f.wantClaim(10, "r1", "r2")
}

func testCancel(t *testing.T, open Open) {
	f := fresh(t, open)
	f.queue("job/1", message("a"), message("b"), message("c"), reminder("r", f.clock.now().Add(time.Hour)))
	f.commit(store.Batch{Stream: "job/1", Expect: 1, Events: [][]byte{[]byte("withdrawn")}, Cancel: []string{"b", "r", "unknown"}})
	f.wantWaiting("job/1", "a", "c")
	items := f.wantClaim(10, "a", "c")
	f.commit(store.Batch{Stream: "job/1", Expect: store.Any, Cancel: []string{"a", "c"}}) // while they are being sent
	f.wantWaiting("job/1")
	f.wantNothingNext()
	f.queue("job/1", message("d"))
	f.wantClaim(10) // not before the holder is through
	f.sent(items...)
	f.wantClaim(10, "d")
	f.commit(store.Batch{Stream: "job/1", Expect: store.Any, Cancel: []string{"d"}})
	f.queue("job/1", message("e"))
	f.clock.add(lease) // the holder is gone for good
	if it := f.wantClaim(10, "e")[0]; it.Attempts != 0 {
		t.Fatalf("%d attempts for an item that nobody had", it.Attempts)
	}
}

func testFair(t *testing.T, open Open) {
	const others, burst, limit = 20, 200, 8
	f := fresh(t, open)
	for i := range burst {
		f.queue("job/busy", message(fmt.Sprintf("b%03d", i)))
	}
	for i := range others {
		f.clock.add(time.Millisecond)
		f.queue(fmt.Sprintf("job/%02d", i), message("m"))
	}
	served := map[string]bool{}
	rounds := 0
	for ; len(served) < others; rounds++ {
		items := f.claim(limit)
		if len(items) == 0 || len(items) > limit {
			t.Fatalf("claimed %d items with limit %d; %d of %d others served", len(items), limit, len(served), others)
		}
		for run := range runs(items) {
			if run[0].Stream != "job/busy" {
				served[run[0].Stream] = true
			}
			f.clock.add(time.Millisecond)
			f.sent(run...)
		}
		f.queue("job/busy", message(fmt.Sprintf("more%d", rounds)))
	}
	// 8 at a time, one of which may be the busy one's
	if most := others/(limit-1) + 1; rounds > most {
		t.Fatalf("others were served after %d claims, want at most %d", rounds, most)
	}
	if items := f.claim(1000); len(items) != store.RunLimit {
		t.Fatalf("claimed %d items of one stream, want %d", len(items), store.RunLimit)
	}
}

// Who has been served goes to the back, whether it is busy or overdue.
func testTurns(t *testing.T, open Open) {
	f := fresh(t, open)
	now := f.clock.now()
	for _, it := range []store.Item{message("busy1"), reminder("late1", now.Add(-2*time.Hour))} {
		stream := "job/" + it.ID[:4]
		f.queue(stream, it)
		again := it
		again.ID = it.ID[:4] + "2"
		f.queue(stream, again)
		f.clock.add(time.Second)
	}
	f.queue("job/a", message("a"))
	f.clock.add(time.Second)
	f.queue("job/b", message("b"))
	for _, id := range []string{"busy1", "late1", "a", "b", "busy2", "late2"} {
		f.clock.add(time.Second)
		f.sent(f.wantClaim(1, id)...)
	}
}

// runs cuts claimed items into those of one stream.
func runs(items []store.Item) func(func([]store.Item) bool) {
	return func(yield func([]store.Item) bool) {
		for len(items) > 0 {
			n := 1
			for n < len(items) && items[n].Stream == items[0].Stream {
				n++
			}
			if !yield(items[:n]) {
				return
			}
			items = items[n:]
		}
	}
}

func testOldestFirst(t *testing.T, open Open) {
	f := fresh(t, open)
	now := f.clock.now()
	for i := range 12 { // committed in another order than they are due
		n := i * 5 % 12
		f.queue(fmt.Sprintf("job/%d", i), reminder(fmt.Sprintf("r%02d", n), now.Add(time.Duration(n)*time.Minute)))
	}
	f.clock.add(5*time.Minute + 30*time.Second)
	f.queue("job/now", message("m"))
	f.clock.add(30 * time.Minute) // downtime
	f.wantClaim(3, "r00", "r01", "r02")
	f.wantClaim(6, "r03", "r04", "r05", "m", "r06", "r07")
	f.wantClaim(10, "r08", "r09", "r10", "r11")
}

func testClockBack(t *testing.T, open Open) {
	ctx := context.Background()
	f := fresh(t, open)
	f.queue("job/leased", message("a"))
	f.queue("job/held", message("b"))
	for _, it := range f.wantClaim(10, "b", "a") {
		if it.ID == "b" {
			if err := f.Retry(ctx, it, f.clock.now().Add(10*time.Minute)); err != nil {
				t.Fatal(err)
			}
		}
	}
	f.queue("job/ready", message("c"))
	f.queue("job/due", reminder("r", f.clock.now()))
	f.clock.add(-5 * time.Hour)
	f.wantNext(0)
	f.queue("job/new", message("d"))
	// leases and holds from the future are void; a reminder keeps its time of day
	items := f.claim(20)
	ids := idsOf(items)
	slices.Sort(ids)
	if !slices.Equal(ids, []string{"a", "b", "c", "d"}) {
		t.Fatalf("claimed %q", ids)
	}
	for run := range runs(items) {
		f.sent(run...)
	}
	f.wantClaim(10)
	f.wantNext(5 * time.Hour)
	// stepped by less than two processes' clocks may differ, a lease holds
	f.queue("job/new", message("e"))
	f.wantClaim(10, "e")
	f.clock.add(-store.ClockSlip)
	f.wantClaim(10)
	f.clock.add(20 * time.Hour)
	ids = idsOf(f.claim(10))
	slices.Sort(ids)
	if !slices.Equal(ids, []string{"e", "r"}) {
		t.Fatalf("claimed %q", ids)
	}
}

// What was due or over before the clock was stepped back is neither handed out nor in
// the way.
func testClockBackAgain(t *testing.T, open Open) {
	f := fresh(t, open)
	for i := range 5 {
		f.queue(fmt.Sprintf("job/%d", i), reminder("r", f.clock.now()))
	}
	f.clock.add(time.Second)
	f.queue("job/z", message("z"))
	f.clock.add(-time.Hour)
	f.wantClaim(1, "z")
	f.wantClaim(1)
	f.wantNext(lease)
	f.clock.add(lease + time.Second)
	f.queue("job/z", message("y")) // its lease is over at this moment
	f.clock.add(-30 * time.Second)
	f.wantClaim(10)
	f.wantNext(29 * time.Second)
	f.clock.add(29 * time.Second)
	f.wantClaim(10, "z", "y")
}

// Several senders and committers at once: each item goes out once, a stream's in
// order, never two of a stream at the same time.
func testConcurrentClaims(t *testing.T, open Open) {
	const streams, each, senders = 6, 20, 4
	f := fresh(t, open)
	ctx, cancel := context.WithTimeout(context.Background(), time.Minute)
	defer cancel()
	var mu sync.Mutex
	got := map[string][]string{}
	holder := map[string]bool{}
	total := 0
	fail := make(chan string, streams+senders)
	var wg sync.WaitGroup
	for s := range streams {
		wg.Go(func() {
			for n := range each {
				b := store.Batch{Stream: fmt.Sprintf("job/%d", s), Expect: uint64(n), Events: [][]byte{event("%d", n)}, Queue: []store.Item{message(fmt.Sprintf("%03d", n))}}
				if _, err := f.Commit(ctx, b); err != nil {
					fail <- fmt.Sprintf("commit: %v", err)
					return
				}
			}
		})
	}
	send := func(run []store.Item) string {
		name := run[0].Stream
		mu.Lock()
		if holder[name] {
			mu.Unlock()
			return name + " is sent by two at once"
		}
		holder[name] = true
		mu.Unlock()
		for i, it := range run {
			mu.Lock()
			got[name] = append(got[name], it.ID)
			total++
			if i == len(run)-1 {
				holder[name] = false // before the lease ends with the last
			}
			mu.Unlock()
			if err := f.MarkSent(ctx, it); err != nil {
				return "mark sent: " + err.Error()
			}
		}
		return ""
	}
	for range senders {
		wg.Go(func() {
			for {
				mu.Lock()
				done := total >= streams*each
				mu.Unlock()
				if done || ctx.Err() != nil {
					return
				}
				items, err := f.Claim(ctx, lease, 10)
				if err != nil {
					fail <- fmt.Sprintf("claim: %v", err)
					return
				}
				for run := range runs(items) {
					if why := send(run); why != "" {
						fail <- why
						return
					}
				}
			}
		})
	}
	finished := make(chan struct{})
	go func() { wg.Wait(); close(finished) }()
	select {
	case <-finished:
	case why := <-fail:
		cancel()
		<-finished
		t.Fatal(why)
	}
	select {
	case why := <-fail:
		t.Fatal(why)
	default:
	}
	var want []string
	for n := range each {
		want = append(want, fmt.Sprintf("%03d", n))
	}
	for s := range streams {
		name := fmt.Sprintf("job/%d", s)
		if !slices.Equal(got[name], want) {
			t.Errorf("%s sent %s", name, strings.Join(got[name], " "))
		}
		f.wantWaiting(name)
	}
	f.wantNothingNext()
}
