package boltstore

import (
	"context"
	"fmt"
	"time"

	"go.etcd.io/bbolt"

	"shimwright/bot/store"
)

// claimRounds bounds how often one Claim looks again; the next one goes on.
const claimRounds = 64

// settle lets the agenda follow the file after a group of commits.
func (s *Store) settle(group []*request) error {
	s.agenda.mu.Lock()
	defer s.agenda.mu.Unlock()
	return s.view(context.Background(), func(tx *bbolt.Tx) error {
		for _, r := range group {
			if err := s.agenda.follow(tx, r.batch, r.applied); err != nil {
				return s.damaged(err)
			}
		}
		return nil
	})
}

// Claim hands out due items under leases; see store.Queue.
func (s *Store) Claim(ctx context.Context, now time.Time, lease time.Duration, limit int) ([]store.Item, error) {
	a := &s.agenda
	a.mu.Lock()
	defer a.mu.Unlock()
	us := now.UnixMicro()
	if a.first == 0 {
		a.first = us
	}
	var items []store.Item
	err := s.view(ctx, func(tx *bbolt.Tx) error {
		// again where nothing came of it: after the clock was stepped back some were
		// only sorted in anew
		for range claimRounds {
			lines := a.eligible(us, limit)
			var err error
			if items, err = a.lease(tx, lines, us, lease.Microseconds(), limit); err != nil {
				return s.damaged(err)
			}
			if len(items) > 0 || len(lines) == 0 {
				break
			}
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	return items, nil
}

// lease claims from lines that eligible took out, and sorts them in again.
func (a *agenda) lease(tx *bbolt.Tx, lines []*line, now, length int64, limit int) (items []store.Item, err error) {
	defer func() {
		for _, l := range lines {
			a.sort(l, now)
		}
	}()
	for _, l := range lines {
		run, err := a.claim(tx, l, now, min(max(limit/len(lines), 1), store.RunLimit))
		if err != nil {
			return nil, err
		}
		if len(run) == 0 {
			continue
		}
		l.token, l.until = store.NewID(), now+length
		for i := range run {
			run[i].Lease = l.token
			l.claimed = append(l.claimed, run[i].ID)
		}
		items = append(items, run...)
	}
	return items, nil
}

// claim reads the run at the head of a line and forgets the lease before.
func (a *agenda) claim(tx *bbolt.Tx, l *line, now int64, most int) (run []store.Item, err error) {
	if err := l.read(tx); err != nil || l.leased(now) || !l.waiting || l.head.due > now || waits(l.hold, now) {
		return nil, err
	}
	for _, id := range l.left(tx) {
		a.lost[string(idKey(l.stream, id))]++
	}
	l.token, l.claimed = "", nil
	prefix := streamKey(l.stream)
	c := tx.Bucket(bucketQueue).Cursor()
	for k, v := c.Seek(prefix); hasPrefix(k, prefix) && len(run) < most; k, v = c.Next() {
		p, w, err := decodeItem(k, v)
		if err != nil {
			return nil, err
		}
		if p.due > now || waits(w.hold, now) {
			break
		}
		it := w.item(l.stream, p)
		it.Attempts += a.lostClaims(it, p)
		run = append(run, it)
	}
	return run, nil
}

// Extend moves the end of a lease; see store.Queue.
func (s *Store) Extend(ctx context.Context, stream, token string, now time.Time, lease time.Duration) error {
	if err := s.usable(ctx); err != nil {
		return err
	}
	a := &s.agenda
	a.mu.Lock()
	defer a.mu.Unlock()
	l := a.lines[stream]
	if l == nil || token == "" || l.token != token {
		return fmt.Errorf("%w: that of %s", store.ErrLost, stream)
	}
	l.until = now.UnixMicro() + lease.Microseconds()
	a.sort(l, now.UnixMicro())
	return nil
}

// NextDue gives the time from which something can be claimed; see store.Queue.
func (s *Store) NextDue(ctx context.Context, now time.Time) (time.Time, bool, error) {
	if err := s.usable(ctx); err != nil {
		return time.Time{}, false, err
	}
	a := &s.agenda
	a.mu.Lock()
	defer a.mu.Unlock()
	if len(a.ready) > 0 {
		return time.Time{}, true, nil
	}
	if a.farthest > horizon(now.UnixMicro()) {
		for _, l := range a.busy {
			if l.score > horizon(now.UnixMicro()) {
				return time.Time{}, true, nil
			}
		}
	}
	var next int64
	for _, h := range []lineHeap{a.due, a.busy} {
		if len(h) > 0 && (next == 0 || h[0].score < next) {
			next = h[0].score
		}
	}
	if next == 0 {
		return time.Time{}, false, nil
	}
	return time.UnixMicro(next).UTC(), true, nil
}
