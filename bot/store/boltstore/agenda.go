package boltstore

import (
	"container/heap"
	"sync"

	"go.etcd.io/bbolt"

	"shimwright/bot/store"
)

// agenda knows in memory which streams have something waiting, from when on, and who
// holds them. The items themselves are in the file, which it follows after each
// commit. Times are µs since 1970.
type agenda struct {
	mu    sync.Mutex
	lines map[string]*line

	ready    lineHeap // can be claimed now, by how long they have waited
	due      lineHeap // will be due, by when
	busy     lineHeap // leased or held, by until when
	farthest int64    // no score in busy is higher

	lost      map[string]int // by idKey: claims of an item whose lease was lost
	inherited uint64         // highest sequence of an item from before the file was opened
	first     int64          // time of the first claim; items due by then may have been claimed by whoever had the file before
}

// line is the queue of one stream.
type line struct {
	stream  string
	waiting bool // has a head
	head    place
	hold    int64 // the head's
	since   int64 // when it was last served or began to wait
	token   string
	until   int64
	claimed []string // ids under the lease

	in    *lineHeap
	at    int
	score int64
}

// load reads the head of each stream's queue.
func (a *agenda) load(tx *bbolt.Tx) error {
	a.lines, a.lost = map[string]*line{}, map[string]int{}
	a.inherited = tx.Bucket(bucketQueue).Sequence()
	c := tx.Bucket(bucketQueue).Cursor()
	for k, v := c.First(); k != nil; {
		p, w, err := decodeItem(k, v)
		if err != nil {
			return err
		}
		l := &line{stream: string(k[:len(k)-17]), waiting: true, head: p, hold: w.hold, since: p.due}
		a.lines[l.stream] = l
		a.sort(l, 0)
		k, v = c.Seek(append([]byte(l.stream), 1))
	}
	return nil
}

// sort puts a line where its state belongs as seen at now. The clock may be another
// one when the line's turn comes, so a claim looks again.
func (a *agenda) sort(l *line, now int64) {
	a.lift(l)
	switch {
	case !l.waiting && l.token == "":
		delete(a.lines, l.stream)
	case !l.waiting: // the holder is still sending something withdrawn
	case l.leased(now):
		a.put(&a.busy, l, l.until)
	case waits(l.hold, now):
		a.put(&a.busy, l, l.hold)
	case l.head.due <= now:
		a.put(&a.ready, l, max(l.head.due, l.since))
	default:
		a.put(&a.due, l, l.head.due)
	}
}

func (a *agenda) lift(l *line) {
	if l.in != nil {
		heap.Remove(l.in, l.at)
		l.in = nil
	}
}

func (a *agenda) put(h *lineHeap, l *line, score int64) {
	l.in, l.score = h, score
	if h == &a.busy {
		a.farthest = max(a.farthest, score)
	}
	heap.Push(h, l)
}

// eligible takes out of the heaps up to limit lines that may have something to claim,
// the one that has waited longest first. The caller sorts them in again.
func (a *agenda) eligible(now int64, limit int) []*line {
	var out []*line
	if a.farthest > horizon(now) { // the clock was stepped back
		a.farthest = 0
		for _, l := range append(lineHeap{}, a.busy...) {
			if l.score > horizon(now) && len(out) < limit {
				a.lift(l)
				out = append(out, l)
			} else {
				a.farthest = max(a.farthest, l.score)
			}
		}
	}
	for len(out) < limit {
		var first *line
		for _, h := range []lineHeap{a.ready, a.due, a.busy} {
			if len(h) == 0 || h[0].in != &a.ready && h[0].score > now {
				continue
			}
			if first == nil || h[0].before(first) {
				first = h[0]
			}
		}
		if first == nil {
			break
		}
		a.lift(first)
		out = append(out, first)
	}
	return out
}

// waits says whether a lease or hold that ends at t is still on.
func waits(t, now int64) bool { return t > now && t <= horizon(now) }

func (l *line) leased(now int64) bool { return l.token != "" && waits(l.until, now) }

// horizon is the latest end that a lease or hold can rightly have.
func horizon(now int64) int64 {
	return now + (store.MaxHold + store.ClockSlip).Microseconds()
}

// holds says whether the token is that of the stream's lease.
func (a *agenda) holds(stream, token string) bool {
	a.mu.Lock()
	defer a.mu.Unlock()
	l := a.lines[stream]
	return token != "" && l != nil && l.token == token
}

// lostClaims is how often an item may have been tried without a word about it.
func (a *agenda) lostClaims(it store.Item, p place) int {
	n := a.lost[string(idKey(it.Stream, it.ID))]
	if p.seq <= a.inherited && p.due <= a.first {
		n++
	}
	return n
}

// follow brings a stream's line up to date with the file after a commit and, where
// the batch was applied, ends the lease that it spoke for if its work is over.
func (a *agenda) follow(tx *bbolt.Tx, b store.Batch, applied bool) error {
	now := b.Now.UnixMicro()
	l := a.lines[b.Stream]
	if l == nil {
		l = &line{stream: b.Stream}
		a.lines[b.Stream] = l
	}
	waited := l.waiting
	if err := l.read(tx); err != nil {
		return err
	}
	if l.waiting && !waited {
		l.since = now
	}
	for _, list := range [][]string{b.Done, b.Cancel} {
		for _, id := range list {
			if applied {
				delete(a.lost, string(idKey(b.Stream, id)))
			}
		}
	}
	if applied && l.token != "" && l.token == b.Lease && (b.Retry != nil || b.Release || len(l.left(tx)) == 0) {
		l.token, l.claimed, l.since = "", nil, now
	}
	a.sort(l, now)
	if b.Take != "" && applied {
		if err := a.take(tx, l, b); err != nil {
			return err
		}
	}
	if b.Told != nil {
		b.Told.Ready = l.in == &a.ready
		b.Told.Taken, b.Told.Lease = nil, ""
		if b.Take != "" && l.token == b.Take {
			b.Told.Taken, b.Told.Lease = append(b.Told.Taken, l.claimed...), l.token
		}
	}
	return nil
}

// take gives the committer of a batch the lease of what it queued, where that stands
// at the head and nobody holds the stream.
func (a *agenda) take(tx *bbolt.Tx, l *line, b store.Batch) error {
	if l.token != "" {
		return nil
	}
	now, added := b.Now.UnixMicro(), map[string]bool{}
	for _, it := range b.Queue {
		added[it.ID] = true
	}
	prefix := streamKey(l.stream)
	c := tx.Bucket(bucketQueue).Cursor()
	for k, v := c.Seek(prefix); hasPrefix(k, prefix) && len(l.claimed) < store.RunLimit; k, v = c.Next() {
		p, w, err := decodeItem(k, v)
		if err != nil {
			return err
		}
		if !added[w.id] || p.due > now {
			break
		}
		l.claimed = append(l.claimed, w.id)
	}
	if len(l.claimed) > 0 {
		l.token, l.until = b.Take, now+b.TakeFor.Microseconds()
		a.sort(l, now)
	}
	return nil
}

// read takes the head from the file.
func (l *line) read(tx *bbolt.Tx) error {
	prefix := streamKey(l.stream)
	k, v := tx.Bucket(bucketQueue).Cursor().Seek(prefix)
	l.waiting = hasPrefix(k, prefix)
	if !l.waiting {
		l.head, l.hold = place{}, 0
		return nil
	}
	p, w, err := decodeItem(k, v)
	l.head, l.hold = p, w.hold
	return err
}

// left gives the claimed ids that still wait.
func (l *line) left(tx *bbolt.Tx) (ids []string) {
	for _, id := range l.claimed {
		if tx.Bucket(bucketIDs).Get(idKey(l.stream, id)) != nil {
			ids = append(ids, id)
		}
	}
	return ids
}

func (l *line) before(m *line) bool {
	return l.score < m.score || l.score == m.score && l.stream < m.stream
}

// lineHeap is a heap by score, then name; each line knows its place in it.
type lineHeap []*line

func (h lineHeap) Len() int           { return len(h) }
func (h lineHeap) Less(i, j int) bool { return h[i].before(h[j]) }
func (h lineHeap) Swap(i, j int) {
	h[i], h[j] = h[j], h[i]
	h[i].at, h[j].at = i, j
}
func (h *lineHeap) Push(x any) {
	l := x.(*line)
	l.at = len(*h)
	*h = append(*h, l)
}
func (h *lineHeap) Pop() any {
	last := len(*h) - 1
	l := (*h)[last]
	(*h)[last] = nil
	*h = (*h)[:last]
	return l
}
