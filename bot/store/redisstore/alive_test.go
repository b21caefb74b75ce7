package redisstore

import (
	"context"
	"errors"
	"testing"
	"time"

	"shimwright/bot/store"
	"shimwright/bot/store/storetest"
)

// pass lets so much time pass for what a process knows of others, as if it had looked
// before.
func (a *alive) pass(d time.Duration) {
	a.mu.Lock()
	defer a.mu.Unlock()
	a.looked = a.looked.Add(-d)
	for name, since := range a.missing {
		a.missing[name] = since.Add(-d)
	}
}

// What a dead process has claimed is taken over once it was missed for a while, long
// before its lease is over; what a living one has claimed is not.
func TestTakeOver(t *testing.T) {
	ctx := t.Context()
	r := storetest.StartRedis(t)
	dead, lives, other := open(t, r.Addr, "s", 0), open(t, r.Addr, "s", 0), open(t, r.Addr, "s", 0)
	mustCommit(t, other, batch("job/1", 0, message("a"), message("b")))
	now := time.Now()
	first, err := dead.Claim(ctx, now, store.MaxHold, 10)
	if err != nil || len(first) != 2 {
		t.Fatalf("claimed %+v, %v", first, err)
	}
	mustCommit(t, other, batch("job/2", 0, message("c")))
	if items, err := lives.Claim(ctx, now, store.MaxHold, 10); err != nil || len(items) != 1 {
		t.Fatalf("claimed %+v, %v", items, err)
	}
	if n, err := other.Others(ctx); err != nil || n != 2 {
		t.Fatalf("%d others, %v", n, err)
	}
	claim := func(want int) []store.Item {
		t.Helper()
		other.alive.pass(aliveEvery)
		items, err := other.Claim(ctx, now, store.MaxHold, 10)
		if err != nil || len(items) != want {
			t.Fatalf("claimed %+v, %v, want %d", items, err, want)
		}
		return items
	}
	claim(0)
	// As kill -9 does it: no sign any more, and the lease stays.
	dead.alive.stop()
	dead.alive.beating.Wait()
	if err := other.client.Del(ctx, other.aliveKey(dead.alive.name)).Err(); err != nil {
		t.Fatal(err)
	}
	claim(0) // missed for the first time
	claim(0)
	other.alive.pass(aliveDoubt)
	items := claim(2)
	if items[0].ID != "a" || items[0].Attempts != 1 || items[1].Attempts != 1 {
		t.Errorf("taken over: %+v", items)
	}
	if err := dead.Extend(ctx, "job/1", first[0].Lease, now, time.Minute); !errors.Is(err, store.ErrLost) {
		t.Errorf("the dead one's lease can be extended: %v", err)
	}
	if n, err := other.Others(ctx); err != nil || n != 1 {
		t.Errorf("%d others, %v", n, err)
	}
	if items, err := lives.Claim(ctx, now, store.MaxHold, 10); err != nil || len(items) != 0 {
		t.Errorf("claimed %+v, %v", items, err)
	}
}

// A server that was away has forgotten all signs of life: who connects again in time
// keeps its leases.
func TestRestartKeepsLeases(t *testing.T) {
	ctx := t.Context()
	r := storetest.StartRedis(t)
	one, other := open(t, r.Addr, "s", 0), open(t, r.Addr, "s", 0)
	mustCommit(t, one, batch("job/1", 0, message("a")))
	now := time.Now()
	items, err := one.Claim(ctx, now, store.MaxHold, 10)
	if err != nil || len(items) != 1 {
		t.Fatalf("claimed %+v, %v", items, err)
	}
	if _, err := other.Claim(ctx, now, store.MaxHold, 10); err != nil {
		t.Fatal(err)
	}
	r.Stop()
	other.alive.pass(aliveEvery)
	short, cancel := context.WithTimeout(ctx, 20*time.Millisecond)
	if _, err := other.Claim(short, now, store.MaxHold, 10); err == nil {
		t.Fatal("claimed from a server that is away")
	}
	cancel()
	r.Restart()
	if err := other.client.Del(ctx, other.aliveKey(one.alive.name)).Err(); err != nil { // it was away for long
		t.Fatal(err)
	}
	other.alive.pass(aliveDoubt + aliveEvery)
	if items, err := other.Claim(ctx, now, store.MaxHold, 10); err != nil || len(items) != 0 {
		t.Fatalf("claimed %+v, %v", items, err)
	}
	if err := one.beat(ctx); err != nil {
		t.Fatal(err)
	}
	other.alive.pass(aliveDoubt + aliveEvery)
	if items, err := other.Claim(ctx, now, store.MaxHold, 10); err != nil || len(items) != 0 {
		t.Fatalf("claimed %+v, %v", items, err)
	}
	if err := one.Extend(ctx, "job/1", items[0].Lease, now, time.Minute); err != nil {
		t.Error(err)
	}
}

// A claim whose answer never came holds nothing up for long.
func TestUnheardClaim(t *testing.T) {
	ctx := t.Context()
	r := storetest.StartRedis(t)
	s := open(t, r.Addr, "s", 0)
	mustCommit(t, s, batch("job/1", 0, message("a")))
	now := time.Now()
	if err := s.begin(ctx); err != nil {
		t.Fatal(err)
	}
	s.alive.pass(-time.Hour)
	found, err := s.peek(ctx, now, 10)
	if err != nil || len(found) != 1 {
		t.Fatalf("%v, %v", found, err)
	}
	r.Pause()
	short, cancel := context.WithTimeout(ctx, 20*time.Millisecond)
	_, err = s.claim(short, found, now, store.MaxHold, 10)
	cancel()
	r.Resume()
	if err == nil {
		t.Fatal("a server that does not answer has answered")
	}
	if items, err := s.Claim(ctx, now, store.MaxHold, 10); err != nil || len(items) != 1 {
		t.Errorf("claimed %+v, %v", items, err)
	}
}
