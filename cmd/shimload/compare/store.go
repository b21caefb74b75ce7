package main

import (
	"context"
	"encoding/binary"
	"fmt"
	"sync"
	"time"

	"github.com/redis/go-redis/v9"

	"shimwright/bot/store"
	"shimwright/bot/store/redisstore"
)

const leaseTime = 45 * time.Second

// startStore delivers as the bot's office does: what is due at once is handed over by
// the commit while a worker is free, the rest is claimed.
func startStore(ctx context.Context, t *task) (func(int) error, func(), error) {
	backend, err := redisstore.Open(ctx, &redis.UniversalOptions{Addrs: []string{t.addr}}, redisstore.Options{})
	if err != nil {
		return nil, nil, err
	}
	s := store.New(backend, time.Now)
	ctx, cancel := context.WithCancel(ctx)
	free := make(chan struct{}, t.workers)
	var running sync.WaitGroup
	deliver := func(items []store.Item) {
		defer func() { <-free }()
		for _, it := range items {
			t.deliver(int(binary.BigEndian.Uint64(it.Body)))
		}
		if err := s.MarkSent(ctx, items...); err == nil {
			t.ack(len(items))
		}
	}
	running.Go(func() { claimAll(ctx, s, free, deliver) })
	schedule := func(i int) error {
		b := store.Batch{Stream: fmt.Sprintf("job-%06d", i%t.jobs), Expect: store.Any, Events: [][]byte{t.body[:100]},
			Queue: []store.Item{{Kind: "post", Due: t.due, Body: append(binary.BigEndian.AppendUint64(nil, uint64(i)), t.body[8:]...)}}}
		if t.in == 0 {
			select {
			case free <- struct{}{}:
				b.Take, b.TakeFor, b.Told = store.NewID(), leaseTime, &store.Told{}
			default:
			}
		}
		_, err := s.Commit(ctx, b)
		switch {
		case b.Take == "":
		case b.Told.Items != nil:
			go deliver(b.Told.Items)
		default:
			<-free
		}
		return err
	}
	return schedule, func() {
		cancel()
		running.Wait()
		s.Close()
	}, nil
}

// claimAll fetches what is due and hands it to the workers that are free.
func claimAll(ctx context.Context, s *store.Store, free chan struct{}, deliver func([]store.Item)) {
	for ctx.Err() == nil {
		n := 0
	take:
		for n < cap(free) {
			select {
			case free <- struct{}{}:
				n++
			default:
				if n > 0 {
					break take
				}
				select {
				case free <- struct{}{}:
					n++
				case <-ctx.Done():
					return
				}
			}
		}
		items, err := s.Claim(ctx, leaseTime, min(8*n, store.MaxCount))
		used := 0
		for len(items) > 0 {
			k := 1
			for k < len(items) && items[k].Stream == items[0].Stream {
				k++
			}
			if used < n {
				used++
			} else {
				free <- struct{}{}
			}
			go deliver(items[:k])
			items = items[k:]
		}
		for range n - used {
			<-free
		}
		if used > 0 && err == nil {
			continue
		}
		select {
		case <-ctx.Done():
		case <-s.Wake():
		case <-time.After(20 * time.Millisecond):
		}
	}
}
