package storetest

import (
	"context"
	"net"
	"strings"
	"testing"
	"time"

	"github.com/redis/go-redis/v9"
)

// StartCluster starts masters that share the slots, and waits until all know it.
func StartCluster(t testing.TB, n int) (addrs []string) {
	t.Helper()
	const slots = 16384
	ctx, cancel := context.WithTimeout(context.Background(), 30*time.Second)
	defer cancel()
	var clients []*redis.Client
	for i := range n {
		r := StartRedis(t, "--cluster-enabled", "yes", "--appendfsync", "no")
		c := redis.NewClient(&redis.Options{Addr: r.Addr})
		t.Cleanup(func() { c.Close() })
		if err := c.ClusterAddSlotsRange(ctx, i*slots/n, (i+1)*slots/n-1).Err(); err != nil {
			t.Fatal(err)
		}
		// or two masters start with one and the same epoch and first have to settle it
		if err := c.Do(ctx, "CLUSTER", "SET-CONFIG-EPOCH", i+1).Err(); err != nil {
			t.Fatal(err)
		}
		if i > 0 {
			host, port, err := net.SplitHostPort(r.Addr)
			if err != nil {
				t.Fatal(err)
			}
			if err := clients[0].ClusterMeet(ctx, host, port).Err(); err != nil {
				t.Fatal(err)
			}
		}
		clients, addrs = append(clients, c), append(addrs, r.Addr)
	}
	for _, c := range clients {
		for {
			known, err := c.ClusterSlots(ctx).Result()
			if err != nil {
				t.Fatal(err)
			}
			if len(known) == n && clusterOK(ctx, c) {
				break
			}
			time.Sleep(10 * time.Millisecond) // gossip tells nobody when it is through
		}
	}
	return addrs
}

func clusterOK(ctx context.Context, c *redis.Client) bool {
	info, err := c.ClusterInfo(ctx).Result()
	return err == nil && strings.Contains(info, "cluster_state:ok")
}
