package redisstore

import (
	"context"
	"crypto/sha1"
	"fmt"
	"strconv"
	"time"

	"shimwright/bot/store"
)

// Commit does all of the batch or nothing; see store.Log.
func (s *Store) Commit(ctx context.Context, b store.Batch) (uint64, error) {
	args := make([]any, 0, 15+len(b.Events)+len(b.Done)+len(b.Cancel)+4*len(b.Queue)+2*len(b.Replace))
	expect := "*"
	if b.Expect != store.Any {
		expect = strconv.FormatUint(b.Expect, 10)
	}
	retry, hold, release := "", "", ""
	if b.Retry != nil {
		retry = b.Retry.ID
		hold = micros(time.UnixMicro(min(b.Retry.Due.UnixMicro(), b.Now.Add(store.MaxHold).UnixMicro())))
	}
	if b.Release {
		release = "1"
	}
	last := ""
	if b.Last != nil && b.Expect != store.Any {
		last = fmt.Sprintf("%x", sha1.Sum(b.Last)) // what a script can work out, too
	}
	squeeze, take, takeUntil := "", "", ""
	if b.Squeeze {
		squeeze = "1"
	}
	if b.Take != "" {
		if err := s.begin(ctx); err != nil {
			return 0, err
		}
		take, takeUntil = s.alive.name+"."+b.Take, micros(b.Now.Add(b.TakeFor))
	}
	args = append(args, b.Stream, micros(b.Now), expect, b.Lease, retry, hold, release,
		len(b.Events), len(b.Done)+len(b.Cancel), len(b.Queue), squeeze, take, takeUntil, len(b.Replace), last)
	for i, e := range b.Events {
		id := ""
		if i == 0 {
			id = b.ID
		}
		args = append(args, record(id, e))
	}
	for _, ids := range [][]string{b.Done, b.Cancel} {
		for _, id := range ids {
			args = append(args, id)
		}
	}
	for _, it := range b.Queue {
		due := "0"
		if !it.Due.IsZero() {
			due = micros(it.Due)
		}
		args = append(args, it.ID, due, it.Attempts, value(it))
	}
	for _, r := range b.Replace {
		args = append(args, r.Version, r.Event)
	}
	cmds, err := s.run(ctx, call{s.scripts.commit, s.keys(b.Stream), args})
	if err != nil {
		if take != "" {
			s.alive.unanswered([]candidate{{stream: b.Stream}}, take) // it may be leased
		}
		return 0, err
	}
	answer, err := cmds[0].StringSlice()
	if err != nil || len(answer) < 2 {
		return 0, s.damaged("the answer to a commit to " + b.Stream)
	}
	switch answer[0] {
	case "conflict":
		return 0, fmt.Errorf("%w: %s is at version %s, not %d", store.ErrConflict, b.Stream, answer[1], b.Expect)
	case "rewound":
		return 0, fmt.Errorf("%w: event %d of %s is another one than was read; read it from the start", store.ErrRewound, b.Expect, b.Stream)
	case "duplicate":
		return 0, fmt.Errorf("%w: %s in %s", store.ErrDuplicate, answer[1], b.Stream)
	}
	if len(answer) < 3 {
		return 0, s.damaged("the answer to a commit to " + b.Stream)
	}
	if b.Told != nil {
		b.Told.Ready, b.Told.Taken, b.Told.Lease = answer[2] != "", answer[3:], ""
		if len(b.Told.Taken) > 0 {
			b.Told.Lease = take
		}
	}
	return strconv.ParseUint(answer[1], 10, 64)
}

func micros(t time.Time) string { return strconv.FormatInt(t.UnixMicro(), 10) }

// record is a stored event: the length of the batch's id in one byte, that id (only
// in the first event of a batch), the event.
func record(batch string, event []byte) []byte {
	r := make([]byte, 0, 1+len(batch)+len(event))
	r = append(r, byte(len(batch)))
	r = append(r, batch...)
	return append(r, event...)
}

// value is what is stored of an item beside its place: the length of the kind in one
// byte, the kind, the body.
func value(it store.Item) []byte {
	return append(append([]byte{byte(len(it.Kind))}, it.Kind...), it.Body...)
}

// items reads the answer of claim and waiting.
func (s *Store) items(stream, token string, answer []string) ([]store.Item, error) {
	items := make([]store.Item, 0, len(answer)/4)
	for ; len(answer) >= 4; answer = answer[4:] {
		it := store.Item{ID: answer[0], Stream: stream, Lease: token}
		due, err1 := strconv.ParseFloat(answer[1], 64) // an integer below 2^53
		attempts, err2 := strconv.Atoi(answer[2])
		v := answer[3]
		if err1 != nil || err2 != nil || len(v) == 0 || len(v) < 1+int(v[0]) {
			return nil, s.damaged("item " + it.ID + " of " + stream)
		}
		if due != 0 {
			it.Due = time.UnixMicro(int64(due)).UTC()
		}
		it.Attempts = attempts
		it.Kind, it.Body = v[1:1+int(v[0])], []byte(v[1+int(v[0]):])
		items = append(items, it)
	}
	return items, nil
}
