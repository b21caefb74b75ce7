package redisstore

import (
	"strings"
	"testing"

	"github.com/redis/go-redis/v9"

	"shimwright/bot/store"
	"shimwright/bot/store/storetest"
)

// What was taken out or put in behind the store's back is found, on one server and on
// each master of a cluster; Clear leaves nothing but the format.
func TestInspect(t *testing.T) {
	for name, addrs := range map[string][]string{"one server": {storetest.StartRedis(t).Addr}, "cluster": storetest.StartCluster(t, 3)} {
		t.Run(name, func(t *testing.T) { inspectHarm(t, addrs) })
	}
}

func inspectHarm(t *testing.T, addrs []string) {
	ctx := t.Context()
	for i, c := range []struct {
		name string
		harm func(*Store, []string) error // given the keys of job/1
		want string
	}{
		{"nothing", func(*Store, []string) error { return nil }, ""},
		{"a log gone", func(s *Store, k []string) error { return s.client.Del(ctx, k[0]).Err() }, "job/1: it is in the list of streams and has no events"},
		{"a place gone", func(s *Store, k []string) error { return s.client.Del(ctx, k[1]).Err() }, "job/1: item m is kept and waits nowhere"},
		{"items gone", func(s *Store, k []string) error { return s.client.Del(ctx, k[2]).Err() }, "job/1: item m waits and what it says is missing"},
		{"an item cut", func(s *Store, k []string) error { return s.client.HSet(ctx, k[2], "m", "x").Err() }, "job/1: item m cannot be read"},
		{"the count gone", func(s *Store, k []string) error { return s.client.HDel(ctx, k[3], "seq").Err() }, "job/1: item m has a number that was not given out yet"},
		{"nobody looks", func(s *Store, k []string) error { return s.client.ZRem(ctx, k[4], "job/1").Err() }, "job/1: 1 items wait and nobody looks for them"},
		{"looked for twice", func(s *Store, k []string) error {
			return s.client.ZAdd(ctx, k[5], redis.Z{Member: "job/1"}).Err()
		}, "job/1: its queue is sorted in at 2 places"},
		{"the name gone", func(s *Store, k []string) error { return s.client.ZRem(ctx, k[7], "job/1").Err() }, "job/1: its log is there and it is in no list of streams"},
	} {
		t.Run(c.name, func(t *testing.T) {
			s, err := Open(ctx, &redis.UniversalOptions{Addrs: addrs}, Options{Prefix: "s" + string(rune('a'+i))})
			if err != nil {
				t.Fatal(err)
			}
			defer s.Close()
			mustCommit(t, s, batch("job/1", 0, message("m")))
			mustCommit(t, s, batch("job/2", 0))
			if err := c.harm(s, s.keys("job/1")); err != nil {
				t.Fatal(err)
			}
			var found []string
			err = s.Inspect(ctx, func(f store.Finding) {
				if f.Do == "" {
					t.Errorf("%s: nothing to do about it", f)
				}
				found = append(found, f.String())
			})
			if got := strings.Join(found, "\n"); err != nil || !strings.Contains(got, c.want) || c.want == "" && got != "" {
				t.Errorf("found %q, error %v, want %q", got, err, c.want)
			}
			if c.name == "nobody looks" {
				mustCommit(t, s, batch("job/1", 1, message("m2"))) // what it says to do
				if err := s.Inspect(ctx, func(f store.Finding) { t.Errorf("after the next entry: %s", f) }); err != nil {
					t.Error(err)
				}
			}
			if err := s.Clear(ctx); err != nil {
				t.Fatal(err)
			}
			if names, err := s.Streams(ctx, "", "", 10); err != nil || len(names) != 0 {
				t.Errorf("after Clear: %q, %v", names, err)
			}
			if err := s.Shrink(ctx); err != nil {
				t.Error(err)
			}
		})
	}
}
