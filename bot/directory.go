package bot

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"log/slog"
	"slices"
	"sync"
	"time"

	"shimwright/bot/store"
	"shimwright/calc/unit"
	"shimwright/dialogs"
	"shimwright/dialogs/phrase"
)

// shopStream is the stream of the directory: which jobs there are and where they
// are talked about.
const shopStream = "shop"

// Kinds of entries of the directory. Unknown ones are passed over.
const (
	noteOpened = "opened"
	noteThread = "thread" // the job got a thread of its own
	noteHere   = "here"   // a place talks about another job from now on
	noteClosed = "closed" // or open again
	// noteRefused is a message that was not taken, which its author was told.
	noteRefused = "refused"
	noteUnits   = "units" // a person's habit: units, language
	// noteErased says that a job is to be taken out of what could name a person; with
	// Closed, that the directory's own entries about it have been.
	noteErased = "erased"
	noteCard   = "card" // of a job that was closed without one
)

// spot is a place of one platform.
type spot struct {
	On string `json:"on"` // the adapter's name
	In Place  `json:"in"`
}

// note is an entry of the directory.
type note struct {
	Kind    string      `json:"kind"`
	At      time.Time   `json:"at"`
	By      string      `json:"by,omitempty"`
	Message string      `json:"msg,omitempty"`
	Number  int         `json:"number,omitempty"`
	Spot    *spot       `json:"place,omitempty"`
	Here    bool        `json:"here,omitempty"` // opened: the place itself talks about the job
	Below   MessageID   `json:"below,omitempty"`
	Sheet   string      `json:"sheet,omitempty"`
	Title   string      `json:"title,omitempty"`
	Role    string      `json:"role,omitempty"`
	Text    string      `json:"text,omitempty"`
	Units   unit.System `json:"units,omitempty"`
	// Replies is how long the author is answered.
	Replies dialogs.Replies `json:"replies,omitempty"`
	// Type is how large the author is written to.
	Type   dialogs.Type    `json:"type,omitempty"`
	Called dialogs.Calling `json:"called,omitempty"` // how the author is called to a look
	// Language is what the author is answered in.
	Language phrase.Language `json:"language,omitempty"`
	Closed   bool            `json:"closed,omitempty"`
	Erased   bool            `json:"erased,omitempty"` // it was taken out of what could name a person
	Card     *dialogs.Card   `json:"card,omitempty"`   // of a job that is closed
}

// jobCard is what the directory knows of a job.
type jobCard struct {
	opened note
	id     JobID
	closed bool
	erased bool
	card   *dialogs.Card // since it was closed; nil where it was closed without one
	thread *spot         // nil until it is opened, and for ever where there are no threads
}

// home is where the job's own messages go: its thread, or where it was opened.
func (c *jobCard) home() spot {
	switch {
	case c.thread != nil:
		return *c.thread
	case c.opened.Spot != nil:
		return *c.opened.Spot
	}
	return spot{} // it was taken out
}

// jobID names a job. The width keeps streams in the order of numbers.
func jobID(number int) JobID { return JobID(fmt.Sprintf("job-%06d", number)) }

// directory is the fold of the shop's stream. Jobs are numbered from 1.
type directory struct {
	store *store.Store
	log   *slog.Logger

	mu       sync.Mutex
	fresh    time.Time // when it was last read
	version  uint64
	last     []byte     // the entry at version
	cards    []*jobCard // in the order they were opened
	numbers  map[int]*jobCard
	highest  int
	places   map[spot]int
	moves    map[spot][]move   // of places that talked about several jobs one after the other
	habits   map[string]habits // of people, by name
	salts    []string          // of ids of messages that were taken out
	onErased func(number int)  // told of each job taken out; nil: nobody
	heard    map[string]int    // messages answered by an entry, and the job they opened or went to
	lines    []dialogs.JobLine // newest first; built when asked for, never changed
}

func newDirectory(s *store.Store, log *slog.Logger) *directory {
	d := &directory{store: s, log: log}
	d.reset()
	return d
}

func (d *directory) reset() {
	d.version, d.last, d.highest, d.cards, d.lines = 0, nil, 0, nil, nil
	d.numbers, d.places, d.moves = map[int]*jobCard{}, map[spot]int{}, map[spot][]move{}
	d.salts = nil
	d.habits, d.heard = map[string]habits{}, map[string]int{}
}

// refresh reads what was added since, by this process or another.
func (d *directory) refresh(ctx context.Context, now time.Time) error {
	d.mu.Lock()
	defer d.mu.Unlock()
	records, err := d.store.Since(ctx, shopStream, d.version, d.last)
	if errors.Is(err, store.ErrRewound) {
		d.reset()
		records, err = d.store.Events(ctx, shopStream, 0)
	}
	if err != nil {
		return err
	}
	if d.version > 0 && slices.ContainsFunc(records, endsErasing) {
		// What was read before is there no longer.
		d.reset()
		if records, err = d.store.Events(ctx, shopStream, 0); err != nil {
			return err
		}
	}
	for _, r := range records {
		d.version++
		d.last = r
		var n note
		if err := json.Unmarshal(r, &n); err != nil {
			d.log.Error("an entry of the directory cannot be read and is passed over", "entry", d.version, "error", err)
			continue
		}
		d.apply(n)
	}
	d.fresh = now
	return nil
}

// endsErasing says whether an entry of the directory says that earlier ones were
// replaced.
func endsErasing(record []byte) bool {
	if !bytes.Contains(record, []byte(`"`+noteErased+`"`)) {
		return false
	}
	var n note
	return json.Unmarshal(record, &n) == nil && n.Kind == noteErased && n.Closed
}

// heardBy gives the job a message belongs to by its entry.
func (d *directory) heardBy(message string) (int, bool) {
	if n, ok := d.heard[message]; ok {
		return n, true
	}
	for _, salt := range d.salts {
		if n, ok := d.heard[dialogs.GoneID(salt, message)]; ok {
			return n, true
		}
	}
	return 0, false
}

func (d *directory) apply(n note) {
	if n.Message != "" {
		d.heard[n.Message] = n.Number
		if salt := dialogs.SaltOf(n.Message); salt != "" && !slices.Contains(d.salts, salt) {
			d.salts = append(d.salts, salt)
		}
	}
	switch n.Kind {
	case noteOpened:
		if n.Number < 1 || d.numbers[n.Number] != nil || n.Spot == nil && !n.Erased {
			d.log.Error("a job is entered twice or without its place, and passed over", "entry", d.version, "job", n.Number)
			return
		}
		c := &jobCard{opened: n, id: jobID(n.Number), erased: n.Erased}
		d.cards, d.numbers[n.Number] = append(d.cards, c), c
		d.highest = max(d.highest, n.Number)
		if n.Here && n.Spot != nil {
			d.move(n)
		}
		d.lines = nil
	case noteThread:
		if c := d.numbers[n.Number]; c != nil && n.Spot != nil {
			thread := *n.Spot
			c.thread = &thread
			d.places[thread] = n.Number
		}
	case noteHere:
		if n.Spot != nil {
			d.move(n)
		}
	case noteClosed:
		if c := d.numbers[n.Number]; c != nil && c.closed != n.Closed {
			c.closed, c.card = n.Closed, n.Card
			d.lines = nil
		}
	case noteCard:
		if c := d.numbers[n.Number]; c != nil && c.closed {
			c.card = n.Card
		}
	case noteErased:
		d.erase(n.Number)
	case noteUnits:
		d.habits[n.By] = d.habits[n.By].with(n)
	}
}

// erase forgets what is known of a job beside its number and sheet, and the places
// that talk about it.
func (d *directory) erase(number int) {
	c := d.numbers[number]
	if c == nil {
		return
	}
	n := &c.opened
	n.By, n.Title, n.Text, n.Spot, n.Below = "", "", "", nil, ""
	c.erased, c.closed, c.thread, d.lines = true, true, nil, nil
	if c.card != nil {
		card := *c.card
		card.People, card.Words, card.State = nil, nil, dialogs.CardErased
		c.card = &card
	}
	for at, talks := range d.places {
		if talks == number {
			delete(d.places, at)
			delete(d.moves, at)
		}
	}
	if d.onErased != nil {
		d.onErased(number)
	}
}

// move is from when on a place talks about a job.
type move struct {
	at     time.Time // the platform's, of the message that had it so
	number int
}

// keptMoves is how many moves of a place are remembered.
const keptMoves = 20

func (d *directory) move(n note) {
	d.places[*n.Spot] = n.Number
	list := append(d.moves[*n.Spot], move{n.At, n.Number})
	d.moves[*n.Spot] = list[max(0, len(list)-keptMoves):]
}

// lateTime is from which age on a message is one that comes late: after a cut
// connection, or again.
const lateTime = 5 * time.Second

// numberAt gives the job that a place talks about. One that was said long before now
// belongs to the job the place talked about then: another process may have taken it
// as such.
func (d *directory) numberAt(at spot, said, now time.Time) int {
	if now.Sub(said).Abs() < lateTime {
		return d.places[at]
	}
	moves := d.moves[at]
	for i := len(moves) - 1; i >= 0; i-- {
		if !said.Before(moves[i].at) {
			return moves[i].number
		}
	}
	if len(moves) > 0 && len(moves) < keptMoves {
		return 0
	}
	return d.places[at]
}

// card gives a copy of what is known of a job.
func (d *directory) card(number int) (jobCard, bool) {
	d.mu.Lock()
	defer d.mu.Unlock()
	c := d.numbers[number]
	if c == nil {
		return jobCard{}, false
	}
	return *c, true
}

// look is the directory as one message sees it.
type look struct {
	version uint64
	last    []byte
	number  int // of the job of the place, 0 for none
	next    int // the number a new job gets
	opened  int // the job this message has opened already
	edited  int // the job its first wording has opened
	heard   bool
	habits  habits // of who wrote
	view    dialogs.View
}

// look gives what a message of a person at a place sees.
func (d *directory) look(at spot, s dialogs.Said, now time.Time) look {
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.lines == nil {
		d.lines = make([]dialogs.JobLine, 0, len(d.cards))
		for _, c := range slices.Backward(d.cards) {
			d.lines = append(d.lines, c.line())
		}
	}
	l := look{version: d.version, last: d.last, number: d.numberAt(at, s.At, now), next: d.highest + 1, habits: d.habits[s.By.Name]}
	l.opened, l.heard = d.heardBy(s.ID)
	if s.Edits != "" {
		l.edited, _ = d.heardBy(s.Edits)
	}
	l.view.All = d.lines
	if c := d.numbers[l.number]; c != nil {
		line := c.line()
		l.view.Here = &line
	}
	return l
}

// lookInto gives what a message sees that is about a job wherever it was said.
func (d *directory) lookInto(l look, number int) look {
	d.mu.Lock()
	defer d.mu.Unlock()
	if c := d.numbers[number]; c != nil {
		line := c.line()
		l.number, l.view.Here = number, &line
	}
	return l
}

func (c *jobCard) line() dialogs.JobLine {
	n := c.opened
	return dialogs.JobLine{Number: n.Number, ID: string(c.id), Sheet: n.Sheet, Title: n.Title, By: n.By, At: n.At, Closed: c.closed, Erased: c.erased}
}

// stale says whether a look at this place needs another read first: always, but for
// the thread of a job, which stays its thread.
func (d *directory) stale(at spot, now time.Time) bool {
	d.mu.Lock()
	defer d.mu.Unlock()
	c := d.numbers[d.places[at]]
	if c == nil || c.thread == nil || *c.thread != at {
		return true
	}
	age := now.Sub(d.fresh)
	return age < 0 || age > time.Second
}

// threadless gives the jobs that were opened at a place since a time and have no
// thread yet.
func (d *directory) threadless(at spot, since time.Time) (numbers []int) {
	d.mu.Lock()
	defer d.mu.Unlock()
	for _, c := range slices.Backward(d.cards) {
		if c.opened.At.Before(since) {
			break
		}
		if c.thread == nil && !c.erased && *c.opened.Spot == at {
			numbers = append(numbers, c.opened.Number)
		}
	}
	return numbers
}

// habitsOf gives what a person has asked for.
func (d *directory) habitsOf(name string) habits {
	d.mu.Lock()
	defer d.mu.Unlock()
	return d.habits[name]
}

// movedAt gives when a place went over to the job it talked about at a time, the zero
// time where it never did.
func (d *directory) movedAt(at spot, said time.Time) time.Time {
	d.mu.Lock()
	defer d.mu.Unlock()
	for _, m := range slices.Backward(d.moves[at]) {
		if !m.at.After(said) {
			return m.at
		}
	}
	return time.Time{}
}

// talksOf gives the job a place talks about, 0 for none.
func (d *directory) talksOf(at spot) int {
	d.mu.Lock()
	defer d.mu.Unlock()
	return d.places[at]
}
