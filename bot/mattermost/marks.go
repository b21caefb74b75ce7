package mattermost

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"sync"
)

// Marks keeps what an adapter has taken over a restart, a few kilobytes. Load gives
// nil when nothing was saved. Save is called about once a second while people talk;
// after a crash the last second comes again, with the same message ids.
type Marks interface {
	Load(context.Context) ([]byte, error)
	Save(context.Context, []byte) error
}

// FileMarks keeps marks in a file.
type FileMarks string

// Load reads the file.
func (f FileMarks) Load(context.Context) ([]byte, error) {
	data, err := os.ReadFile(string(f))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	return data, err
}

// Save writes the file anew, whole or not at all.
func (f FileMarks) Save(_ context.Context, data []byte) error {
	tmp, err := os.CreateTemp(filepath.Dir(string(f)), ".marks-*")
	if err != nil {
		return err
	}
	_, err = tmp.Write(data)
	err = errors.Join(err, tmp.Close())
	if err == nil {
		err = os.Rename(tmp.Name(), string(f))
	}
	if err != nil {
		os.Remove(tmp.Name())
	}
	return err
}

// overlap is by how much a channel is read again. Posts of the same moment may
// become visible in another order than their times say; each is known by its id.
const overlap = 60_000 // ms

// ledger is what was taken of each channel.
type ledger struct {
	marks Marks

	mu      sync.Mutex
	start   int64 // of channels that are new here
	account string
	rooms   map[string]*mark
	changed bool
	dirty   chan struct{} // has a value when there is something to save
}

// mark is how far a channel was taken. Times are the server's, in ms.
type mark struct {
	Floor int64            `json:"floor"` // all up to it are
	Top   int64            `json:"top"`   // the latest that is
	Taken map[string]int64 `json:"taken,omitempty"`
}

// saved is the ledger's form outside.
type saved struct {
	Account string           `json:"account"`
	Rooms   map[string]*mark `json:"channels"`
}

func openLedger(ctx context.Context, m Marks, account string, start int64) (*ledger, error) {
	l := &ledger{marks: m, start: start, account: account, rooms: map[string]*mark{}, dirty: make(chan struct{}, 1)}
	if m == nil {
		return l, nil
	}
	data, err := m.Load(ctx)
	if err != nil {
		return nil, fmt.Errorf("what was taken before cannot be read: %w", err)
	}
	var s saved
	if json.Unmarshal(data, &s) != nil || s.Account != account {
		return l, nil // none, damaged, or of another account: begin now
	}
	latest := int64(0)
	for id, r := range s.Rooms {
		if r == nil {
			continue
		}
		if r.Taken == nil {
			r.Taken = map[string]int64{}
		}
		l.rooms[id] = r
		latest = max(latest, r.Top)
	}
	if latest > 0 {
		// A private talk that began while nobody listened is not lost.
		l.start = min(l.start, latest)
	}
	return l, nil
}

func (l *ledger) of(channel string) *mark {
	m := l.rooms[channel]
	if m == nil {
		m = &mark{Floor: l.start, Top: l.start, Taken: map[string]int64{}}
		l.rooms[channel] = m
		l.touch() // also where nobody says a word before the next start
	}
	return m
}

// touch notes a change; the caller holds mu.
func (l *ledger) touch() {
	l.changed = true
	select {
	case l.dirty <- struct{}{}:
	default:
	}
}

// floor is the time up to which a channel was taken.
func (l *ledger) floor(channel string) int64 {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.of(channel).Floor
}

// has says whether a post is among those taken of late.
func (l *ledger) has(channel, key string) bool {
	l.mu.Lock()
	defer l.mu.Unlock()
	_, ok := l.of(channel).Taken[key]
	return ok
}

// take notes a post; one that is nobody's business only moves the time on.
func (l *ledger) take(channel, key string, at int64, keep bool) {
	l.mu.Lock()
	defer l.mu.Unlock()
	m := l.of(channel)
	if keep {
		m.Taken[key] = at
	}
	if at > m.Top {
		m.Top = at
	}
	if floor := m.Top - overlap; floor > m.Floor {
		m.Floor = floor
		for k, at := range m.Taken {
			if at <= floor {
				delete(m.Taken, k)
			}
		}
	}
	l.touch()
}

// begin starts a channel at a time.
func (l *ledger) begin(channel string, at int64) {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.rooms[channel] = &mark{Floor: at, Top: at, Taken: map[string]int64{}}
	l.touch()
}

func (l *ledger) drop(channel string) {
	l.mu.Lock()
	defer l.mu.Unlock()
	delete(l.rooms, channel)
	l.touch()
}

// save writes the ledger down if it changed.
func (l *ledger) save(ctx context.Context) error {
	l.mu.Lock()
	if !l.changed || l.marks == nil {
		l.mu.Unlock()
		return nil
	}
	data, err := json.Marshal(saved{Account: l.account, Rooms: l.rooms})
	l.changed = false
	l.mu.Unlock()
	if err == nil {
		err = l.marks.Save(ctx, data)
	}
	if err != nil {
		l.mu.Lock()
		l.touch()
		l.mu.Unlock()
	}
	return err
}

// recent remembers the last keys it was given.
type recent struct {
	mu    sync.Mutex
	known map[string]bool
	ring  []string
	next  int
}

func newRecent(n int) *recent { return &recent{known: map[string]bool{}, ring: make([]string, n)} }

func (r *recent) has(key string) bool {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.known[key]
}

func (r *recent) add(key string) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.known[key] {
		return
	}
	delete(r.known, r.ring[r.next])
	r.ring[r.next] = key
	r.known[key] = true
	r.next = (r.next + 1) % len(r.ring)
}
