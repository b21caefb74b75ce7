package store_test

import (
	"context"
	"errors"
	"fmt"
	"testing"
	"testing/synctest"
	"time"

	"shimwright/bot/store"
)

// loading is a backend whose reads fail for a while.
type loading struct {
	store.Backend
	until time.Time
	err   error
	asked int
}

func (l *loading) Events(context.Context, string, uint64) ([][]byte, error) {
	l.asked++
	if time.Now().Before(l.until) {
		return nil, l.err
	}
	return [][]byte{[]byte("{}")}, nil
}

func TestReadsWaitForAStoreThatIsLoading(t *testing.T) {
	temporary := fmt.Errorf("%w: LOADING", store.ErrTemporary)
	for _, c := range []struct {
		name   string
		away   time.Duration
		ends   time.Duration // of the caller's context; 0 for never
		err    error
		least  time.Duration
		most   time.Duration
		failed bool
	}{
		{"there", 0, 0, temporary, 0, 0, false},
		{"back after 3 s", 3 * time.Second, 0, temporary, 3 * time.Second, 4 * time.Second, false},
		{"stays away", time.Hour, 0, temporary, 5 * time.Second, 5 * time.Second, true},
		{"the turn ends first", time.Hour, time.Second, temporary, time.Second, time.Second, true},
		{"refused for good", time.Hour, 0, store.ErrCorrupt, 0, 0, true},
	} {
		t.Run(c.name, func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				ctx := t.Context()
				if c.ends > 0 {
					var cancel context.CancelFunc
					ctx, cancel = context.WithTimeout(ctx, c.ends)
					defer cancel()
				}
				began := time.Now()
				l := &loading{until: began.Add(c.away), err: c.err}
				got, err := store.New(l, time.Now).Events(ctx, "job-000001", 0)
				took := time.Since(began)
				if took < c.least || took > c.most {
					t.Errorf("it took %v and %d reads, want %v to %v", took, l.asked, c.least, c.most)
				}
				if c.failed != (err != nil) || c.failed && !errors.Is(err, c.err) || !c.failed && len(got) != 1 {
					t.Errorf("it gave %q, %v", got, err)
				}
			})
		})
	}
}
