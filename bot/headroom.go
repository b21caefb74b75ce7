package bot

import (
	"context"
	"math"
	"os"
	"runtime/debug"
	"runtime/metrics"
	"time"
)

// headroom is how much garbage may gather before it is collected, at least. A bot that
// holds some megabytes makes as much garbage in a few messages, and would collect all
// the time at the usual setting of "as much as it holds".
const headroom = 48 << 20

// roomy is what the whole program may take up in memory before it collects earlier
// than that: what it holds may grow between two looks at it.
const roomy = 110 << 20

// Headroom adapts the collector to what the program holds, until ctx ends: it collects
// after headroom, or as much as it holds where that is more. It does nothing where
// the environment sets GOGC or GOMEMLIMIT. It is for main, once a process.
func Headroom(ctx context.Context) {
	if os.Getenv("GOGC") != "" || os.Getenv("GOMEMLIMIT") != "" {
		return
	}
	live := []metrics.Sample{{Name: "/gc/heap/live:bytes"}}
	tick := time.NewTicker(2 * time.Second)
	defer tick.Stop()
	now := 100
	for {
		metrics.Read(live)
		want := 100
		if held := live[0].Value.Uint64(); held < headroom {
			want = int(headroom * 100 / max(held, 1<<20))
		}
		debug.SetMemoryLimit(max(roomy, int64(live[0].Value.Uint64())*9/4+20<<20))
		if want > now+now/8 || want < now-now/8 {
			debug.SetGCPercent(want)
			now = want
		}
		select {
		case <-tick.C:
		case <-ctx.Done():
			debug.SetGCPercent(100)
			debug.SetMemoryLimit(math.MaxInt64)
			return
		}
	}
}
