package boltstore

import (
	"bytes"
	"context"
	"encoding/binary"

	"go.etcd.io/bbolt"

	"shimwright/bot/store"
)

const doRestore = "restore a backup: shimwright store restore"

var _ store.Inspector = (*Store)(nil)

// Inspect reads every page, and then every record against its index; see
// store.Inspector.
func (s *Store) Inspect(ctx context.Context, report func(store.Finding)) error {
	if err := s.Check(ctx); err != nil {
		return err
	}
	return s.view(ctx, func(tx *bbolt.Tx) error {
		inspectLog(tx, report)
		inspectQueue(tx, report)
		return ctx.Err()
	})
}

// inspectLog holds the log against the versions: each stream's records are numbered
// from 1 to its version.
func inspectLog(tx *bbolt.Tx, report func(store.Finding)) {
	versions, log := tx.Bucket(bucketVersion), tx.Bucket(bucketLog)
	c := log.Cursor()
	streams := versions.Cursor()
	for k, v := streams.First(); k != nil; k, v = streams.Next() {
		stream, want, have := string(k), uint64(0), uint64(0)
		if len(v) == 8 {
			want = binary.BigEndian.Uint64(v)
		}
		prefix := streamKey(stream)
		for at, r := c.Seek(prefix); hasPrefix(at, prefix); at, r = c.Next() {
			have++
			if len(at) != len(prefix)+8 || binary.BigEndian.Uint64(at[len(prefix):]) != have {
				report(store.Found(stream, doRestore, "after event %d the next one is missing", have-1))
				break
			}
			if _, event := record(r).split(); event == nil {
				report(store.Found(stream, doRestore, "event %d cannot be read", have))
			}
		}
		if want != have {
			report(store.Found(stream, doRestore, "it should have %d events and has %d in a row", want, have))
		}
	}
	last := ""
	for k, _ := c.First(); k != nil; k, _ = c.Next() {
		name, _, _ := bytes.Cut(k, []byte{0})
		if string(name) != last && versions.Get(name) == nil {
			report(store.Found(string(name), doRestore, "it has events and no version"))
		}
		last = string(name)
	}
}

// inspectQueue holds the places of the queue against the ids of its items.
func inspectQueue(tx *bbolt.Tx, report func(store.Finding)) {
	queue, ids := tx.Bucket(bucketQueue), tx.Bucket(bucketIDs)
	c := queue.Cursor()
	for k, v := c.First(); k != nil; k, v = c.Next() {
		name, _, _ := bytes.Cut(k, []byte{0})
		p, w, err := decodeItem(k, v)
		switch {
		case err != nil:
			report(store.Found(string(name), doRestore, "a queued item cannot be read"))
		case p.seq > queue.Sequence():
			report(store.Found(string(name), doRestore, "item %s has a number that was not given out yet", w.id))
		case !bytes.Equal(ids.Get(idKey(string(name), w.id)), p.bytes()):
			report(store.Found(string(name), doRestore, "item %s waits and is not known by its id", w.id))
		case tx.Bucket(bucketVersion).Get(name) == nil:
			report(store.Found(string(name), doRestore, "item %s waits and no event says why", w.id))
		}
	}
	c = ids.Cursor()
	for k, at := c.First(); k != nil; k, at = c.Next() {
		name, id, _ := bytes.Cut(k, []byte{0})
		if len(at) != 16 || queue.Get(queueKey(string(name), placeOf(at))) == nil {
			report(store.Found(string(name), doRestore, "item %s is known and does not wait anywhere", id))
		}
	}
}
