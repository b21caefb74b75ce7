package boltstore

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"time"

	"go.etcd.io/bbolt"

	"shimwright/bot/store"
)

// place orders a stream's queue: due in µs since 1970 (0: at once), then sequence.
type place struct {
	due int64
	seq uint64
}

// waiting is the stored value of an item.
type waiting struct {
	attempts int
	hold     int64 // µs since 1970; not to be tried before
	id, kind string
	body     []byte
}

func (w waiting) item(stream string, p place) store.Item {
	it := store.Item{ID: w.id, Stream: stream, Kind: w.kind, Body: append([]byte{}, w.body...), Attempts: w.attempts}
	if p.due != 0 {
		it.Due = time.UnixMicro(p.due).UTC()
	}
	return it
}

func streamKey(stream string) []byte { return append([]byte(stream), 0) }

func numbered(prefix []byte, n uint64) []byte {
	return binary.BigEndian.AppendUint64(append([]byte{}, prefix...), n)
}

func (p place) bytes() []byte {
	return binary.BigEndian.AppendUint64(binary.BigEndian.AppendUint64(nil, uint64(p.due)), p.seq)
}

func placeOf(b []byte) place {
	return place{due: int64(binary.BigEndian.Uint64(b)), seq: binary.BigEndian.Uint64(b[8:])}
}

func queueKey(stream string, p place) []byte { return append(streamKey(stream), p.bytes()...) }
func idKey(stream, id string) []byte         { return append(streamKey(stream), id...) }

// hasPrefix is false for the nil key that a cursor gives at its end.
func hasPrefix(k, prefix []byte) bool { return k != nil && bytes.HasPrefix(k, prefix) }

func version(tx *bbolt.Tx, stream string) uint64 {
	v := tx.Bucket(bucketVersion).Get([]byte(stream))
	if len(v) != 8 {
		return 0
	}
	return binary.BigEndian.Uint64(v)
}

// record is a stored event: the length of the batch's id in one byte, that id (only
// in the first event of a batch), the event.
type record []byte

func newRecord(batch string, event []byte) record {
	r := make(record, 0, 1+len(batch)+len(event))
	r = append(r, byte(len(batch)))
	r = append(r, batch...)
	return append(r, event...)
}

func (r record) split() (batch string, event []byte) {
	if len(r) == 0 || len(r) < 1+int(r[0]) {
		return "", nil
	}
	return string(r[1 : 1+r[0]]), r[1+r[0]:]
}

func encodeItem(w waiting) []byte {
	b := binary.AppendUvarint(nil, uint64(w.attempts))
	b = binary.AppendUvarint(b, uint64(w.hold))
	for _, s := range []string{w.id, w.kind} {
		b = binary.AppendUvarint(b, uint64(len(s)))
		b = append(b, s...)
	}
	return append(b, w.body...)
}

// decodeItem reads a key and value of the queue; body is a part of v.
func decodeItem(k, v []byte) (place, waiting, error) {
	bad := func() (place, waiting, error) {
		return place{}, waiting{}, fmt.Errorf("a queued item of %q cannot be read", k)
	}
	zero := bytes.IndexByte(k, 0)
	if zero < 0 || len(k) != zero+17 {
		return bad()
	}
	var n [2]uint64
	for i := range n {
		x, used := binary.Uvarint(v)
		if used <= 0 {
			return bad()
		}
		n[i], v = x, v[used:]
	}
	var s [2]string
	for i := range s {
		l, used := binary.Uvarint(v)
		if used <= 0 || uint64(len(v)-used) < l {
			return bad()
		}
		s[i], v = string(v[used:used+int(l)]), v[used+int(l):]
	}
	return placeOf(k[zero+1:]), waiting{attempts: int(n[0]), hold: int64(n[1]), id: s[0], kind: s[1], body: v}, nil
}
