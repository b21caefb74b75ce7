package redisstore

import (
	"context"
	"errors"
	"net"
	"testing"
	"time"

	"github.com/redis/go-redis/v9"

	"shimwright/bot/store"
	"shimwright/bot/store/storetest"
)

// A master found through a sentinel dies: the store goes on with its replica, which
// has all that was committed.
func TestSentinel(t *testing.T) {
	ctx, cancel := context.WithTimeout(t.Context(), time.Minute)
	defer cancel()
	master := storetest.StartRedis(t, "--repl-diskless-sync-delay", "0")
	host, port, err := net.SplitHostPort(master.Addr)
	if err != nil {
		t.Fatal(err)
	}
	replica := storetest.StartRedis(t, "--replicaof", host+" "+port)
	follows := redis.NewClient(&redis.Options{Addr: replica.Addr})
	defer follows.Close()
	sentinel := storetest.StartSentinel(t, "shop", master)
	asks := redis.NewSentinelClient(&redis.Options{Addr: sentinel})
	defer asks.Close()
	s, err := Open(ctx, &redis.UniversalOptions{Addrs: []string{sentinel}, MasterName: "shop"}, Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	mustCommit(t, s, batch("job/1", 0, message("a")))
	for ctx.Err() == nil { // nothing tells when the sentinel and the replica have caught up
		replicas, err := asks.Replicas(ctx, "shop").Result()
		events, _ := follows.LLen(ctx, s.keys("job/1")[0]).Result()
		if err == nil && len(replicas) == 1 && events == 1 && replicas[0]["flags"] == "slave" && replicas[0]["master-link-status"] == "ok" {
			break
		}
		time.Sleep(20 * time.Millisecond)
	}
	master.Kill()
	began := time.Now()
	next := batch("job/1", 1, message("b"))
	_, err = s.Commit(ctx, next)
	for err != nil && ctx.Err() == nil {
		if !errors.Is(err, store.ErrTemporary) {
			t.Fatalf("while the master is gone: %v", err)
		}
		time.Sleep(50 * time.Millisecond)
		_, err = s.Commit(ctx, next)
	}
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("on the replica after %v", time.Since(began).Round(time.Millisecond))
	if events, err := s.Events(ctx, "job/1", 0); err != nil || len(events) != 2 {
		t.Errorf("%d events, %v", len(events), err)
	}
	items, err := s.Claim(ctx, time.Now(), time.Minute, 10)
	for errors.Is(err, store.ErrTemporary) && ctx.Err() == nil { // a connection that was being made to the old one
		time.Sleep(50 * time.Millisecond)
		items, err = s.Claim(ctx, time.Now(), time.Minute, 10)
	}
	if err != nil || len(items) != 2 {
		t.Errorf("claimed %+v, %v", items, err)
	}
}
