package main

import (
	"context"
	"encoding/binary"
	"strconv"
	"sync"
	"time"

	"github.com/redis/go-redis/v9"
)

// bareClaim leases due items and gives id and body of each.
const bareClaim = `
local ids = redis.call('ZRANGEBYSCORE', KEYS[1], '-inf', ARGV[1], 'LIMIT', 0, ARGV[3])
local out = {}
for _, id in ipairs(ids) do
  redis.call('ZREM', KEYS[1], id)
  redis.call('ZADD', KEYS[2], ARGV[2], id)
  out[#out + 1] = id
  out[#out + 1] = redis.call('HGET', KEYS[3], id)
end
return out`

// startBare keeps items by due time in one sorted set and bodies in one hash; claimed
// items move to a second set, by the end of their lease.
func startBare(ctx context.Context, t *task) (func(int) error, func(), error) {
	client := redis.NewClient(&redis.Options{Addr: t.addr, PoolSize: t.callers + t.workers})
	claim := redis.NewScript(bareClaim)
	ctx, cancel := context.WithCancel(ctx)
	var running sync.WaitGroup
	for range t.workers {
		running.Go(func() {
			for ctx.Err() == nil {
				now := time.Now()
				list, err := claim.Run(ctx, client, []string{"due", "leased", "bodies"}, now.UnixMicro(), now.Add(leaseTime).UnixMicro(), 16).StringSlice()
				if err != nil || len(list) == 0 {
					select {
					case <-ctx.Done():
					case <-time.After(20 * time.Millisecond):
					}
					continue
				}
				var ids []string
				for k := 0; k < len(list); k += 2 {
					t.deliver(int(binary.BigEndian.Uint64([]byte(list[k+1]))))
					ids = append(ids, list[k])
				}
				pipe := client.Pipeline()
				pipe.ZRem(ctx, "leased", anys(ids)...)
				pipe.HDel(ctx, "bodies", ids...)
				if _, err := pipe.Exec(ctx); err == nil {
					t.ack(len(ids))
				}
			}
		})
	}
	schedule := func(i int) error {
		due := t.due
		if t.in == 0 {
			due = time.Now()
		}
		id := strconv.Itoa(i)
		pipe := client.Pipeline()
		pipe.HSet(ctx, "bodies", id, append(binary.BigEndian.AppendUint64(nil, uint64(i)), t.body[8:]...))
		pipe.ZAdd(ctx, "due", redis.Z{Score: float64(due.UnixMicro()), Member: id})
		_, err := pipe.Exec(ctx)
		return err
	}
	return schedule, func() {
		cancel()
		running.Wait()
		client.Close()
	}, nil
}

func anys(list []string) []any {
	out := make([]any, len(list))
	for i, s := range list {
		out[i] = s
	}
	return out
}
