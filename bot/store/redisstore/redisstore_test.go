package redisstore

import (
	"context"
	"testing"

	"github.com/alicebob/miniredis/v2"
	"github.com/redis/go-redis/v9"

	"shimwright/bot/store"
	"shimwright/bot/store/storetest"
)

func TestConformance(t *testing.T) {
	addr := storetest.StartRedis(t).Addr
	storetest.Run(t, func(t testing.TB, name string) store.Backend { return open(t, addr, name, 0) })
}

// The stand-in parses each script anew, so fewer shards.
func TestConformanceInProcess(t *testing.T) {
	addr := miniredis.RunT(t).Addr()
	storetest.Run(t, func(t testing.TB, name string) store.Backend { return open(t, addr, name, 2) })
}

// open opens a store with keys of its own on a server.
func open(t testing.TB, addr, name string, shards int) *Store {
	t.Helper()
	s, err := Open(context.Background(), &redis.UniversalOptions{Addrs: []string{addr}}, Options{Prefix: prefixOf(name), Shards: shards})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	return s
}

// prefixOf makes a prefix of a test's name.
func prefixOf(name string) string {
	out := []byte(name)
	for i, c := range out {
		if c == '/' || c == '#' {
			out[i] = '_'
		}
	}
	return string(out)
}
