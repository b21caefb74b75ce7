// Package remind keeps the queue of a job in step with its timers, and the hours in
// which nobody is reminded.
//
// # Contract of a reminder
//
// What is to be said when follows from a job's log (dialogs.Timers). Each timer has
// one row in the queue of the job's stream, named after its key and its time. The
// turn that brings a timer about, moves it or takes it away commits the rows
// together with its events, so there is no moment in which one is there without the
// other, whatever crashes.
//
// Due: a row is due at its timer's time, or at the end of the quiet hours that time
// falls into; urgent timers keep no quiet hours. Claim: the store hands a due row to
// one sender under a lease of the job's stream. Take: the sender takes the job's
// turn, reads what was logged since, and asks for the timers again; a row whose
// timer is gone is finished without a word, one whose timer is later now, or whose
// time has become a quiet one, gets a row for the later time. Say: the entry that the
// timer was said, the message and the end of the row are one commit, which is
// refused when anything else was logged in between, and then begins again. Send: the
// message is a row of its own from there on, posted with its id as the nonce.
//
// So a timer is said at most once, as its entry is in the log or not; and it is not
// lost, as its row ends only in the commit that says it or in one that knows it to
// be overtaken. A process that dies anywhere loses its lease, and another goes on.
//
// The time is the caller's clock. Stepped forward, timers are said early; stepped
// back, they wait until it is their time again; neither says one twice.
//
// Fairness is the queue's: a job gets a few rows a claim and then goes behind the
// others, so a thousand overdue ones of one job hold up nobody else. Within a job
// the oldest comes first.
package remind

import (
	"crypto/sha256"
	"encoding/base64"
	"encoding/json"
	"fmt"
	"slices"
	"strconv"
	"time"

	"shimwright/bot/store"
)

// Kind is the kind of the rows in the store's queue.
const Kind = "timer"

// Row is a timer in the queue.
type Row struct {
	Key string    `json:"key"` // of the timer
	At  time.Time `json:"at"`  // when it is said
}

// ID names the row in a stream; the same timer at the same time is the same row.
func (r Row) ID(stream string) string {
	h := sha256.Sum256([]byte(stream + "\x00" + r.Key + "\x00" + strconv.FormatInt(r.At.UnixMicro(), 10)))
	return base64.RawURLEncoding.EncodeToString(h[:16])
}

// Item is the row as the store queues it.
func (r Row) Item(stream string) (store.Item, error) {
	body, err := json.Marshal(r)
	return store.Item{ID: r.ID(stream), Kind: Kind, Due: r.At, Body: body}, err
}

// Read gives the row of a queued item.
func Read(it store.Item) (Row, error) {
	var r Row
	if err := json.Unmarshal(it.Body, &r); err != nil || r.Key == "" {
		return r, fmt.Errorf("a queued timer cannot be read: %q: %v", it.Body, err)
	}
	return r, nil
}

// Rows is the ids of the timers that wait in a stream.
type Rows map[string]bool

// RowsOf takes the timers out of a stream's queue.
func RowsOf(queue []store.Item) Rows {
	rows := Rows{}
	for _, it := range queue {
		if it.Kind == Kind {
			rows[it.ID] = true
		}
	}
	return rows
}

// Change says what makes the waiting rows those that are wanted: what is to be
// queued, what withdrawn, and the rows as they are then. The receiver stays.
func (r Rows) Change(stream string, wanted []Row) (queue []store.Item, cancel []string, after Rows, err error) {
	after = Rows{}
	for _, w := range wanted {
		id := w.ID(stream)
		if !r[id] && !after[id] {
			it, err := w.Item(stream)
			if err != nil {
				return nil, nil, nil, err
			}
			queue = append(queue, it)
		}
		after[id] = true
	}
	for id := range r {
		if !after[id] {
			cancel = append(cancel, id)
		}
	}
	slices.Sort(cancel)
	return queue, cancel, after, nil
}
