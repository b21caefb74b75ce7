package discord

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"sync"
	"time"
)

// Memory keeps a few kilobytes over a restart: how far each channel was read.
// Without it only what is said from the start on is delivered.
type Memory interface {
	Recall() ([]byte, error) // nil when nothing was kept
	Keep([]byte) error
}

// FileMemory is a Memory in one file.
type FileMemory string

// Recall reads the file; none is nothing.
func (f FileMemory) Recall() ([]byte, error) {
	b, err := os.ReadFile(string(f))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	return b, err
}

// Keep replaces the file, whole or not at all.
func (f FileMemory) Keep(b []byte) error {
	if err := os.MkdirAll(filepath.Dir(string(f)), 0o700); err != nil {
		return err
	}
	temp := string(f) + ".new"
	if err := os.WriteFile(temp, b, 0o600); err != nil {
		return err
	}
	return os.Rename(temp, string(f))
}

// mark is how far a channel or thread was read.
type mark struct {
	Seen   snowflake `json:"seen,omitempty"`   // the last message taken
	Edited int64     `json:"edited,omitempty"` // the last edit taken, Unix milliseconds
	Edit   string    `json:"edit,omitempty"`   // the message of it
	Parent string    `json:"parent,omitempty"` // of a thread
	DM     bool      `json:"dm,omitempty"`
}

// marks is what the adapter remembers, written down behind its work.
type marks struct {
	memory Memory
	dirty  chan struct{}

	mu       sync.Mutex
	rooms    map[string]mark
	commands map[string]string // by guild, a hash of the definitions it has
	alive    time.Time         // when the last process may have posted something last; zero for nothing open
	clean    bool
	now      func() time.Time
}

type keptMarks struct {
	Alive    int64             `json:"alive"` // Unix milliseconds
	Clean    bool              `json:"clean,omitempty"`
	Rooms    map[string]mark   `json:"rooms"`
	Commands map[string]string `json:"commands,omitempty"`
}

// forgetAfter is how long the mark of a channel where nothing is said is kept.
const forgetAfter = 60 * 24 * time.Hour

func openMarks(m Memory, clock func() time.Time) (*marks, error) {
	now := clock()
	k := &marks{memory: m, now: clock, dirty: make(chan struct{}, 1), rooms: map[string]mark{}, commands: map[string]string{}}
	if m == nil {
		k.alive = now.Add(-startSlack)
		return k, nil
	}
	b, err := m.Recall()
	if err != nil {
		return nil, fmt.Errorf("what was read before cannot be recalled: %w", err)
	}
	if len(b) == 0 {
		return k, nil
	}
	var kept keptMarks
	if err := json.Unmarshal(b, &kept); err != nil {
		return nil, fmt.Errorf("what was read before is damaged: %w\nremove the file; what was said since the last stop is then not read", err)
	}
	if !kept.Clean {
		k.alive = time.UnixMilli(kept.Alive)
	}
	for id, m := range kept.Rooms {
		if now.Sub(m.Seen.time()) < forgetAfter {
			k.rooms[id] = m
		}
	}
	for g, h := range kept.Commands {
		k.commands[g] = h
	}
	return k, nil
}

func (k *marks) room(id string) mark {
	k.mu.Lock()
	defer k.mu.Unlock()
	return k.rooms[id]
}

func (k *marks) all() map[string]mark {
	k.mu.Lock()
	defer k.mu.Unlock()
	out := make(map[string]mark, len(k.rooms))
	for id, m := range k.rooms {
		out[id] = m
	}
	return out
}

// advance moves a room's mark on, never back.
func (k *marks) advance(id string, m mark) {
	k.mu.Lock()
	defer k.mu.Unlock()
	old := k.rooms[id]
	m.Seen = max(m.Seen, old.Seen)
	if m.Edited < old.Edited || m.Edited == 0 {
		m.Edited, m.Edit = old.Edited, old.Edit
	}
	if m.Parent == "" {
		m.Parent = old.Parent
	}
	m.DM = m.DM || old.DM
	if m != old {
		k.rooms[id] = m
		signal(k.dirty)
	}
}

func (k *marks) command(guild string) string {
	k.mu.Lock()
	defer k.mu.Unlock()
	return k.commands[guild]
}

func (k *marks) setCommand(guild, hash string) {
	k.mu.Lock()
	defer k.mu.Unlock()
	k.commands[guild] = hash
	signal(k.dirty)
}

// rest says at the end whether all posts are accounted for.
func (k *marks) rest(clean bool) {
	k.mu.Lock()
	defer k.mu.Unlock()
	k.clean = clean
}

// save writes everything down.
func (k *marks) save() error {
	if k.memory == nil {
		return nil
	}
	k.mu.Lock()
	b, err := json.Marshal(keptMarks{k.now().UnixMilli(), k.clean, k.rooms, k.commands})
	k.mu.Unlock()
	if err != nil {
		return err
	}
	return k.memory.Keep(b)
}

// snowflake is an id of Discord, which grows with time.
// Source: Discord developer documentation, "API Reference", Snowflakes.
type snowflake uint64

const discordEpoch = 1420070400000 // Unix milliseconds, the first second of 2015

func parseID(id string) snowflake {
	n, err := strconv.ParseUint(id, 10, 64)
	if err != nil {
		return 0
	}
	return snowflake(n)
}

// idAt is the least id of a time.
func idAt(t time.Time) snowflake {
	ms := t.UnixMilli() - discordEpoch
	if ms < 0 {
		return 0
	}
	return snowflake(ms) << 22
}

func (s snowflake) time() time.Time { return time.UnixMilli(int64(s>>22) + discordEpoch) }

func (s snowflake) String() string { return strconv.FormatUint(uint64(s), 10) }
