package boltstore

import (
	"bytes"
	"context"
	"encoding/binary"
	"errors"
	"fmt"
	"math"
	"sync/atomic"

	"go.etcd.io/bbolt"

	"shimwright/bot/store"
)

const (
	groupLimit = 128        // commits that share one fsync at most
	groupBytes = 32 << 20   // bytes after which a group is closed
	repeatScan = uint64(64) // events looked through for the id of a repeated batch with Expect Any
)

// request is a commit on its way to the writer.
type request struct {
	batch   store.Batch
	taken   atomic.Bool // by the writer, or by a caller who gave up
	done    chan struct{}
	version uint64
	err     error
	applied bool // neither refused nor there already
}

// Commit does all of the batch or nothing; see store.Log. When ctx ends before the
// writer took the batch nothing was done; after that Commit waits for the outcome.
func (s *Store) Commit(ctx context.Context, b store.Batch) (uint64, error) {
	if err := ctx.Err(); err != nil {
		return 0, err
	}
	r := &request{batch: b, done: make(chan struct{})}
	if err := s.send(ctx, r); err != nil {
		return 0, err
	}
	select {
	case <-r.done:
	case <-ctx.Done():
		if r.taken.CompareAndSwap(false, true) {
			return 0, ctx.Err()
		}
		<-r.done
	}
	return r.version, r.err
}

func (s *Store) send(ctx context.Context, r *request) error {
	s.mu.RLock()
	defer s.mu.RUnlock()
	if s.closed {
		return fmt.Errorf("%w: %s", store.ErrClosed, s.path)
	}
	select {
	case s.requests <- r:
		return nil
	case <-ctx.Done():
		return ctx.Err()
	}
}

// write is the only writer: it commits what has gathered while the last fsync ran.
func (s *Store) write() {
	defer close(s.written)
	for r := range s.requests {
		group := []*request{r}
		size := r.size()
	gather:
		for len(group) < groupLimit && size < groupBytes {
			select {
			case next, ok := <-s.requests:
				if !ok {
					break gather
				}
				group = append(group, next)
				size += next.size()
			default:
				break gather
			}
		}
		s.commit(group)
	}
}

func (r *request) size() (n int) {
	for _, e := range r.batch.Events {
		n += len(e)
	}
	for _, e := range r.batch.Replace {
		n += len(e.Event)
	}
	for _, it := range r.batch.Queue {
		n += len(it.Body)
	}
	return n
}

var errNothing = errors.New("no request of the group changed anything")

// commit does a group in one transaction. A request that cannot be done writes
// nothing and so leaves the others alone; an error of the file fails all of them.
func (s *Store) commit(group []*request) {
	mine := group[:0]
	for _, r := range group {
		if r.taken.CompareAndSwap(false, true) {
			mine = append(mine, r)
		}
	}
	if len(mine) == 0 {
		return
	}
	err := s.update(func(tx *bbolt.Tx) error {
		changed := false
		for _, r := range mine {
			wrote, err := s.apply(tx, r)
			if err != nil {
				return err
			}
			changed = changed || wrote
		}
		if !changed {
			return errNothing
		}
		return nil
	})
	for _, r := range mine {
		if r.err == nil && err != nil && !errors.Is(err, errNothing) {
			r.version, r.err, r.applied = 0, err, false
		}
	}
	// also after an error, whose outcome the file knows
	if err := s.settle(mine); err != nil {
		for _, r := range mine {
			if r.err == nil {
				r.version, r.err = 0, err
			}
		}
	}
	for _, r := range mine {
		close(r.done)
	}
}

func (s *Store) update(fn func(*bbolt.Tx) error) (err error) {
	if e := s.broken.Load(); e != nil {
		return *e
	}
	defer s.guard(&err)
	defer onFault()()
	return s.fault(s.db.Update(fn))
}

// apply does one request within the group's transaction and says whether it wrote.
// What the request is refused for goes to r.err; an error of the file is returned.
func (s *Store) apply(tx *bbolt.Tx, r *request) (wrote bool, err error) {
	b := r.batch
	v := version(tx, b.Stream)
	if at, ok := repeated(tx, b, v); ok {
		r.version = at
		return false, nil
	}
	if b.Expect != store.Any && b.Expect != v {
		r.err = fmt.Errorf("%w: %s is at version %d, not %d", store.ErrConflict, b.Stream, v, b.Expect)
		return false, nil
	}
	if b.Last != nil && b.Expect != store.Any {
		if _, last := record(tx.Bucket(bucketLog).Get(numbered(streamKey(b.Stream), v))).split(); !bytes.Equal(last, b.Last) {
			r.err = fmt.Errorf("%w: event %d of %s is another one than was read; read it from the start", store.ErrRewound, v, b.Stream)
			return false, nil
		}
	}
	queue, ids := tx.Bucket(bucketQueue), tx.Bucket(bucketIDs)
	removed := map[string]place{}
	for _, list := range [][]string{b.Done, b.Cancel} {
		for _, id := range list {
			if at := ids.Get(idKey(b.Stream, id)); len(at) == 16 {
				removed[id] = placeOf(at)
			}
		}
	}
	added := map[string]bool{}
	for _, it := range b.Queue {
		_, free := removed[it.ID]
		if added[it.ID] || !free && ids.Get(idKey(b.Stream, it.ID)) != nil {
			r.err = fmt.Errorf("%w: %s in %s", store.ErrDuplicate, it.ID, b.Stream)
			return false, nil
		}
		added[it.ID] = true
	}

	for id, at := range removed {
		wrote = true
		if err := queue.Delete(queueKey(b.Stream, at)); err != nil {
			return wrote, err
		}
		if err := ids.Delete(idKey(b.Stream, id)); err != nil {
			return wrote, err
		}
	}
	if b.Retry != nil && s.agenda.holds(b.Stream, b.Lease) {
		did, err := putOff(tx, b)
		if err != nil {
			return wrote, s.damaged(err)
		}
		wrote = wrote || did
	}
	log := tx.Bucket(bucketLog)
	for _, e := range b.Replace {
		wrote = true
		key := numbered(streamKey(b.Stream), e.Version)
		id, _ := record(log.Get(key)).split()
		if err := log.Put(key, newRecord(id, e.Event)); err != nil {
			return wrote, err
		}
	}
	for i, e := range b.Events {
		wrote = true
		id := ""
		if i == 0 {
			id = b.ID
		}
		v++
		if err := log.Put(numbered(streamKey(b.Stream), v), newRecord(id, e)); err != nil {
			return wrote, err
		}
	}
	if len(b.Events) > 0 {
		if err := tx.Bucket(bucketVersion).Put([]byte(b.Stream), binary.BigEndian.AppendUint64(nil, v)); err != nil {
			return wrote, err
		}
	}
	for _, it := range b.Queue {
		wrote = true
		seq, err := queue.NextSequence()
		if err != nil {
			return wrote, err
		}
		at := place{seq: seq}
		if !it.Due.IsZero() {
			at.due = it.Due.UnixMicro()
		}
		w := waiting{attempts: it.Attempts, id: it.ID, kind: it.Kind, body: it.Body}
		if err := queue.Put(queueKey(b.Stream, at), encodeItem(w)); err != nil {
			return wrote, err
		}
		if err := ids.Put(idKey(b.Stream, it.ID), at.bytes()); err != nil {
			return wrote, err
		}
	}
	r.version, r.applied = v, true
	return wrote, nil
}

// repeated looks whether the batch is in the stream already, and at which version it
// ended.
func repeated(tx *bbolt.Tx, b store.Batch, v uint64) (uint64, bool) {
	n := uint64(len(b.Events))
	if n == 0 || v < n {
		return 0, false
	}
	from, to := b.Expect, b.Expect
	if b.Expect == store.Any {
		from, to = v-min(v, store.Lookback), v-n
	}
	log, prefix := tx.Bucket(bucketLog), streamKey(b.Stream)
scan:
	for at := from; at <= to && at <= v-n; at++ {
		for i, want := range b.Events {
			id, event := record(log.Get(numbered(prefix, at+1+uint64(i)))).split()
			if i == 0 && id != b.ID || !bytes.Equal(event, want) {
				continue scan
			}
		}
		return at + n, true
	}
	return 0, false
}

// putOff counts a failed attempt of an item and holds it until the retry is due.
func putOff(tx *bbolt.Tx, b store.Batch) (bool, error) {
	at := tx.Bucket(bucketIDs).Get(idKey(b.Stream, b.Retry.ID))
	if len(at) != 16 {
		return false, nil // withdrawn in the meantime
	}
	key := queueKey(b.Stream, placeOf(at))
	queue := tx.Bucket(bucketQueue)
	_, w, err := decodeItem(key, queue.Get(key))
	if err != nil {
		return false, err
	}
	w.attempts = min(w.attempts+1, math.MaxInt32)
	w.hold = min(b.Retry.Due.UnixMicro(), b.Now.Add(store.MaxHold).UnixMicro())
	w.body = bytes.Clone(w.body)
	return true, queue.Put(key, encodeItem(w))
}
