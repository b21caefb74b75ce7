// Package store keeps what must outlive a crash: append-only streams of events,
// one a job, and with each stream a queue of things to send now or later (replies,
// reminders). Events and queue are committed together, so nothing is promised that
// is not logged and nothing is logged whose answer could get lost.
//
// # Contract of the queue
//
// An item is handed out by Claim under a lease of its stream, sent by the caller
// with Item.ID as the nonce, and finished with Done in a Batch (Store.MarkSent). A
// process that dies in between loses the lease, and another gets the same item with
// the same ID and Attempts raised: delivery is at least once, and the ID makes it
// once where the platform knows nonces or its history can be asked.
//
// Within a stream items leave in one order: those due at once in the order they
// were committed, those due at a time by that time. While a stream is leased nobody
// else gets any of its items, and an item put off with Retry keeps its place and
// holds back the ones behind it, so one job's output is never interleaved and never
// reordered. Between streams the one that has waited longest goes first, and a
// stream that has just been served goes to the back, so a busy job does not starve
// the others.
//
// Times are the caller's clock, to the microsecond; a backend reads no clock.
// Should that clock be stepped back, no lease or hold reaches further than MaxHold
// ahead of it, so nothing is stuck for longer.
package store

import (
	"context"
	"math"
	"time"
)

// Any as Batch.Expect appends wherever the stream ends.
const Any = uint64(math.MaxUint64)

// Limits of what a Backend is given; Store checks them.
const (
	MaxName   = 200              // bytes of a stream's name or prefix, an item's ID or kind
	MaxEvent  = 1 << 20          // bytes of one event
	MaxBody   = 8 << 20          // bytes of one item's body
	MaxBatch  = 16 << 20         // bytes of all events and bodies of one batch
	MaxCount  = 1000             // events in one batch; items and ids too
	RunLimit  = 16               // items of one stream handed out by one claim
	Lookback  = 32               // last events among which a repeated batch with Expect Any is found
	MaxHold   = 15 * time.Minute // longest lease, and longest hold by Retry
	ClockSlip = time.Minute      // how far the clocks of two processes may differ
)

// Backend is what a place of storage has to do. All methods may block on disk or
// network until ctx ends, may be called from many goroutines, and return errors
// that errors.Is finds among this package's Err values.
type Backend interface {
	Log
	Queue
	Files
	Close() error // waits for running commits; whatever is called later returns ErrClosed
}

// Log is the half of a Backend that appends and reads.
type Log interface {
	// Commit does all of the batch or nothing, durably once it returns nil, and
	// gives the stream's version after it. ErrConflict when the stream is not at
	// b.Expect, ErrRewound when it is and b.Last is not there, ErrDuplicate when an item's ID is already waiting in the stream.
	// After ErrTemporary or the end of ctx the batch may or may not be there: commit
	// the same batch again, same ID, and what is already there counts as success.
	Commit(ctx context.Context, b Batch) (version uint64, err error)

	// Events gives the stream's events after a version, oldest first: record i has
	// version after+1+i. An unknown stream has none. ErrRewound when the stream is
	// shorter than after. The caller may keep and change the bytes.
	Events(ctx context.Context, stream string, after uint64) ([][]byte, error)

	// Streams gives the names of streams that have events and begin with prefix, in
	// byte order, those greater than after only, at most limit.
	Streams(ctx context.Context, prefix, after string, limit int) ([]string, error)
}

// Queue is the half of a Backend that hands out what is to be sent.
type Queue interface {
	// Claim hands out at most limit items that are due, leasing each one's stream
	// until now+lease (at most MaxHold). A stream's items stand together, in order,
	// from the head of its queue on, RunLimit at most; where many streams wait, each
	// gets fewer.
	Claim(ctx context.Context, now time.Time, lease time.Duration, limit int) ([]Item, error)

	// Extend lets the lease end at now+lease instead; ErrLost when it is no longer
	// held, in which case the caller must stop sending.
	Extend(ctx context.Context, stream, token string, now time.Time, lease time.Duration) error

	// NextDue gives the time from which Claim could hand out something: now or
	// earlier (perhaps the zero time) when it could at once, false when nothing waits.
	NextDue(ctx context.Context, now time.Time) (time.Time, bool, error)

	// Waiting gives the stream's whole queue in order, claimed items too, without
	// leasing anything.
	Waiting(ctx context.Context, stream string) ([]Item, error)
}

// Batch is one change of one stream. The zero value of a field changes nothing.
type Batch struct {
	// ID is unique to this making of the batch, so that a commit with an unknown
	// outcome can be repeated; Store fills it where it is empty. It must not be
	// derived from a chat message alone, since two processes may handle the same one.
	// A repeat is found at Expect or, with Any, among the last Lookback events.
	ID     string
	Stream string
	Expect uint64 // version the stream must be at, or Any
	// Last is the event at Expect as the caller has read it, nil not to have it looked
	// at. Where it is another one the stream has lost its end in a failover or restore
	// and was written anew: ErrRewound, and nothing is done.
	Last []byte
	Now  time.Time // the caller's clock; Store fills it

	Events [][]byte
	// Replace puts other events in the place of some that are there, so that what a
	// person may have taken out of a log is out of it and not only marked. The stream
	// keeps its length and every version its place. It needs an exact Expect, and
	// events that say what was done: a reader who has read on is given only those, and
	// must then read again from the start. A commit whose events were replaced is not
	// known again when it is repeated, so what may still be repeated is left alone.
	// What is deleted lies in the file's free pages until they are used again (see
	// boltstore.Compact), in Redis' append-only file until its next rewrite, and in
	// backups.
	Replace []Replacement

	Queue  []Item   // to be sent; needs at least one event that says why
	Done   []string // ids of items that are finished; unknown ones are passed over
	Cancel []string // ids of items withdrawn; one that is claimed may still be sent

	// Lease is Item.Lease of the claim that Retry, Release and Done speak for. Retry
	// and Release of a lease that was lost do nothing; Done holds all the same, since
	// what is sent is sent. The lease ends with Retry, Release, or its last item.
	Lease   string
	Retry   *Retry
	Release bool // hand back what was claimed and not tried

	// Squeeze has a server that is out of memory take the batch all the same: for the
	// few bytes that say so. A disk that is full takes nothing.
	Squeeze bool

	// Take asks for what the batch queues to be handed out with the commit, as a
	// claim would: a name that nobody else uses, NewID gives one. It is handed out
	// where nobody holds the stream's lease and it stands at the head of its queue;
	// those items, in order and RunLimit at most, are then under a lease of this token
	// until Now+TakeFor (Told says how the backend calls it). A repeat of the batch with
	// the same token gives the same, as long as the lease is on.
	Take    string
	TakeFor time.Duration
	// Told is filled in by Commit where it is not nil and there is no error.
	Told *Told
}

// Told is what a commit says beside the version.
type Told struct {
	Taken []string // ids of what Take was given
	Lease string   // under which lease; empty where nothing was
	// Ready says that something in the stream can be claimed now. It may be false
	// where the batch changed nothing in the queue.
	Ready bool
	Items []Item // what Take was given, filled in by Store
}

// Replacement is an event in the place of the one a stream has at a version.
type Replacement struct {
	Version uint64 // from 1 to Batch.Expect
	Event   []byte
}

// Retry puts an item off after a failed send. It keeps its place: the whole stream
// waits until Due, at most MaxHold (a later Due is brought forward).
type Retry struct {
	ID  string
	Due time.Time
}

// Item is one thing to send.
type Item struct {
	ID     string    // names this one sending for ever, and is its nonce; empty: Store makes one of 22 characters
	Stream string    // filled in from the batch
	Kind   string    // for the sender, opaque here
	Due    time.Time // zero: at once, after all others due at once
	Body   []byte

	Attempts int    // how often it may have been tried before: retries and lost leases
	Lease    string // the claim's token; set by Claim only
}
