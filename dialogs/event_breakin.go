package dialogs

import "time"

const kindBreakIn = "break-in"

// begun starts the break-in, or starts it anew.
type begun struct {
	Driver string `json:"driver,omitempty"` // who drives and is reminded
}

func (begun) kind() string { return kindBreakIn }

func (b begun) apply(j *Job, e Entry) {
	j.BreakIn = &BreakIn{Driver: b.Driver, Begun: metaOf(e), Checks: map[string]Check{}}
}

// BreakIn is the break-in on record.
type BreakIn struct {
	Driver  string
	Begun   entryMeta
	Out     *Drive  // the drive that is on
	Drives  []Drive // those that are over, in order
	Hold    *Hold   // why it stands still
	Resumed entryMeta
	Heard   []Heard
	Checks  map[string]Check // what was looked at afterwards
}

// last gives the drive that was finished last, nil for none.
func (b *BreakIn) last() *Drive {
	if len(b.Drives) == 0 {
		return nil
	}
	return &b.Drives[len(b.Drives)-1]
}

// onRecord gives the break-in of the job, one that begins with the entry where the
// log has none.
func (j *Job) onRecord(e Entry) *BreakIn {
	if j.BreakIn == nil {
		begun{Driver: e.By}.apply(j, e)
	}
	return j.BreakIn
}

// Hold is a break-in that stands still.
type Hold struct {
	// Asks is what is waited for: a mentor's word, or just that somebody goes on.
	Asks string // "mentor", empty for anybody
	Why  string // as it was typed
	entryMeta
}

// after gives how long after another entry one was made.
func (m entryMeta) after(other entryMeta) time.Duration { return m.At.Sub(other.At) }
