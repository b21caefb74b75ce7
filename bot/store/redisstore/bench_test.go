package redisstore

import (
	"testing"

	"shimwright/bot/store"
	"shimwright/bot/store/storetest"
)

// Benchmark measures with an append-only file that is synced once a second, as
// servers are usually run.
func Benchmark(b *testing.B) {
	addr := storetest.StartRedis(b).Addr
	storetest.Bench(b, func(t testing.TB, name string) store.Backend { return open(t, addr, name, 0) })
}

// BenchmarkSync measures with every write on the disk before it is answered.
func BenchmarkSync(b *testing.B) {
	addr := storetest.StartRedis(b, "--appendfsync", "always").Addr
	storetest.Bench(b, func(t testing.TB, name string) store.Backend { return open(t, addr, name, 0) })
}
