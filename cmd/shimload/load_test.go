package main

import (
	"bytes"
	"context"
	"os"
	"os/exec"
	"strings"
	"testing"
	"time"

	"shimwright/bot/store/storetest"
)

// TestMain lets the test's own program be the bot's process of a stage.
func TestMain(m *testing.M) {
	if len(os.Args) == 3 && os.Args[1] == productWord {
		if err := run(context.Background(), os.Args[1:]); err != nil {
			os.Stderr.WriteString("shimload: " + err.Error() + "\n")
			os.Exit(1)
		}
		return
	}
	os.Exit(m.Run())
}

// A short load on each store: everything said is answered, once, with the words of
// the rehearsal, and the figures are there.
func TestShortLoad(t *testing.T) {
	for _, kind := range []string{"file", "redis"} {
		t.Run(kind, func(t *testing.T) {
			if _, err := exec.LookPath("redis-server"); err != nil && kind == "redis" {
				if os.Getenv(storetest.NeedRedis) == "1" {
					t.Fatal(err)
				}
				t.Skipf("NOT TESTED on a real server: no redis-server (%v)", err)
			}
			o, err := parse([]string{"--store", kind, "--jobs", "6", "--pending", "60", "--rate", "30", "--for", "700ms", "--settle", "100ms", "--warm", "2"})
			if err != nil {
				t.Fatal(err)
			}
			o.talks = []string{"open lapwing whine on drive\nskip 2 came in as a bare housing\nold pinion shim 30\nwho took my 14 mm socket, need it by 3:30\nwhere are we\nclose job"}
			all, err := runAll(context.Background(), o)
			if err != nil {
				t.Fatal(err)
			}
			if len(all) != 2 {
				t.Fatalf("%d stages", len(all))
			}
			for _, f := range all {
				if f.Lost != 0 || f.Twice != 0 || f.Different != 0 {
					t.Errorf("%d unanswered, %d twice, %d otherwise; %s", f.Lost, f.Twice, f.Different, f.First)
				}
				if f.Said == 0 || f.P50 <= 0 || f.Heap <= 0 || f.RSS <= 0 {
					t.Errorf("figures are missing: %+v", f)
				}
				if kind == "redis" && (f.Scripts <= 0 || f.BytesIn <= 0 || f.Written <= 0) {
					t.Errorf("figures of redis are missing: %+v", f)
				}
			}
			var out bytes.Buffer
			report(&out, o, all)
			if !strings.Contains(out.String(), "p99 ms") {
				t.Errorf("the report:\n%s", out.String())
			}
		})
	}
}

// A share of the sorted times is the one below which that share lies.
func TestShareOfTimes(t *testing.T) {
	var times []time.Duration
	for i := range 1000 {
		times = append(times, time.Duration(i)*time.Millisecond)
	}
	for share, want := range map[float64]time.Duration{0.5: 500 * time.Millisecond, 0.999: 999 * time.Millisecond, 1: 999 * time.Millisecond} {
		if got := at(times, share); got != want {
			t.Errorf("%v of 1000 times: %v, want %v", share, got, want)
		}
	}
	if at(nil, 0.5) != 0 {
		t.Error("no times have a middle")
	}
}
