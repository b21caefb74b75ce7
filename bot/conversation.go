package bot

import (
	"bytes"
	"container/list"
	"context"
	"encoding/json"
	"errors"
	"slices"
	"sync"
	"time"

	"shimwright/bot/remind"
	"shimwright/bot/store"
	"shimwright/dialogs"
)

// contextLines is how many of the last messages go with a new one.
const contextLines = 6

// maxPassed is how many messages that were left alone a record names.
const maxPassed = 100

// talk is what was said and answered in one turn. It stands in the stream beside
// the job's events, so that the same message is never answered twice, that what
// was said last is known after a restart, and that everything queued has a record
// that says why.
type talk struct {
	Message string    `json:"msg,omitempty"`
	At      time.Time `json:"at"`
	By      string    `json:"by,omitempty"`
	Role    string    `json:"role,omitempty"`
	Text    string    `json:"text,omitempty"`
	Files   []string  `json:"files,omitempty"` // names of what was attached
	Answers []string  `json:"answers,omitempty"`
	// Passed are messages that were left alone since the record before. What is written
	// here may change how they would be understood, so another process that hears them
	// late leaves them alone, too.
	Passed []string `json:"passed,omitempty"`
	// Erased says that earlier records were replaced: who has read them reads again.
	Erased bool `json:"erased,omitempty"`
}

// talkMark begins every record of a turn; no event of a job begins like it.
var talkMark = []byte(`{"talk":`)

func encodeTalk(t talk) ([]byte, error) {
	return json.Marshal(struct {
		Talk talk `json:"talk"`
	}{t})
}

// talkID finds the message of a record without reading all of it, as encodeTalk
// writes it. It gives up on what is not quite as usual.
func talkID(record []byte) (string, bool) {
	rest, ok := bytes.CutPrefix(record, []byte(`{"talk":{"msg":"`))
	if !ok || bytes.Contains(rest, []byte(`"passed":`)) {
		return "", false
	}
	id, _, ok := bytes.Cut(rest, []byte(`","at":"`))
	if !ok || bytes.ContainsAny(id, `"\`) {
		return "", false
	}
	return string(id), true
}

// JobEvents takes from the records of a job's stream those that are the job's own
// log, in order: what dialogs.Fold takes.
func JobEvents(records [][]byte) [][]byte {
	var out [][]byte
	for _, r := range records {
		if !bytes.HasPrefix(r, talkMark) {
			out = append(out, r)
		}
	}
	return out
}

// conversation is one stream: a job with what is said in it, or a place without a
// job. It is used by one turn at a time.
type conversation struct {
	stream string
	turn   chan struct{} // holds a value while a turn is on

	version uint64
	last    []byte          // the record at version
	job     *dialogs.Job    // nil for a place
	heard   map[string]bool // messages with a talk record
	passed  []string        // messages left alone since the last record
	recent  []string        // the last lines, as listen.Input.Context has them
	rows    remind.Rows     // the timers in the stream's queue, nil where not known
	loaded  bool
	before  string // the stream of the thread from before it had its job, once read

	users   int // turns that hold or wait for it
	element *list.Element
}

// forget drops what was read, so that the next load reads it all.
func (c *conversation) forget() {
	c.before = ""
	c.version, c.last, c.job, c.heard, c.rows, c.loaded = 0, nil, nil, nil, nil, false
}

// load reads what was added since the last time.
func (c *conversation) load(ctx context.Context, s *store.Store, id JobID) error {
	records, err := s.Since(ctx, c.stream, c.version, c.last)
	if errors.Is(err, store.ErrRewound) {
		c.forget()
		records, err = s.Events(ctx, c.stream, 0)
	}
	if err != nil {
		return err
	}
	if c.heard == nil {
		c.heard = map[string]bool{}
	}
	if id != "" && c.job == nil {
		if c.job, err = dialogs.Fold(string(id), nil); err != nil {
			return err
		}
	}
	if c.version == 0 {
		c.recent = nil
	}
	if len(records) > 0 {
		c.rows = nil // whoever wrote them may have changed those, too
	}
	var talks [][]byte
	known := c.version > 0
	for _, r := range records {
		if bytes.HasPrefix(r, talkMark) {
			talks = append(talks, r)
		}
	}
	for i, r := range talks {
		if id, ok := talkID(r); ok && len(talks)-i > contextLines+2 {
			c.heard[id] = true // too long ago to be read as what was said last
			continue
		}
		var t struct{ Talk talk }
		if err := json.Unmarshal(r, &t); err == nil && t.Talk.Erased && known {
			c.forget()
			return c.load(ctx, s, id)
		} else if err == nil { // one of a newer version says nothing to this one
			c.note(t.Talk)
		}
	}
	if own := JobEvents(records); c.job != nil && len(own) > 0 {
		if err := c.job.Extend(own); err != nil {
			c.forget()
			return err
		}
	}
	c.version += uint64(len(records))
	if len(records) > 0 {
		c.last = records[len(records)-1]
	}
	c.loaded = true
	return nil
}

// loadBefore reads, once, which messages were answered in a job's thread before the
// thread had its job: a process that heard the opening late has told them so.
func (c *conversation) loadBefore(ctx context.Context, s *store.Store, place string) error {
	if c.before == place {
		return nil
	}
	records, err := s.Events(ctx, place, 0)
	if err != nil {
		return err
	}
	for _, r := range records {
		var t struct{ Talk talk }
		if json.Unmarshal(r, &t) == nil && t.Talk.Message != "" {
			c.heard[t.Talk.Message] = true
		}
	}
	c.before = place
	return nil
}

// note remembers a turn.
func (c *conversation) note(t talk) {
	if t.Message != "" {
		c.heard[t.Message] = true
	}
	for _, id := range t.Passed {
		c.heard[id] = true
	}
	if t.Text != "" {
		c.say(senderWord(dialogs.Role(t.Role)), t.Text)
	}
	for _, a := range t.Answers {
		c.say("bot", a)
	}
}

// pass notes a message that was left alone.
func (c *conversation) pass(id string) {
	if len(c.passed) == maxPassed {
		c.passed = c.passed[1:]
	}
	c.passed = append(c.passed, id)
}

// knows says whether a message was answered or left alone.
func (c *conversation) knows(id string) bool {
	if c.job != nil {
		for _, hidden := range c.job.Hidden(id) {
			if c.heard[hidden] {
				return true
			}
		}
	}
	return c.heard[id] || c.job != nil && c.job.Heard(id) || slices.Contains(c.passed, id)
}

// say remembers one line for the context of the next.
func (c *conversation) say(who, text string) {
	if len(text) > 600 {
		text = string([]rune(text)[:min(300, runes(text))])
	}
	c.recent = append(c.recent, who+": "+text)
	if extra := len(c.recent) - contextLines; extra > 0 {
		c.recent = append(c.recent[:0], c.recent[extra:]...)
	}
}

// senderWord is how package listen calls a role.
func senderWord(r dialogs.Role) string {
	switch r {
	case dialogs.Apprentice, dialogs.Mentor, dialogs.Customer:
		return string(r)
	case dialogs.Owner:
		return string(dialogs.Mentor)
	}
	return "tech"
}

// conversations keeps those in use and the latest ones used besides.
type conversations struct {
	mu     sync.Mutex
	keep   int
	byName map[string]*conversation
	order  *list.List // the one used last in front
}

func newConversations(keep int) *conversations {
	return &conversations{keep: keep, byName: map[string]*conversation{}, order: list.New()}
}

// take waits for the turn in a stream. The caller gives it back with give.
func (cs *conversations) take(ctx context.Context, stream string) (*conversation, error) {
	cs.mu.Lock()
	c := cs.byName[stream]
	if c == nil {
		c = &conversation{stream: stream, turn: make(chan struct{}, 1)}
		c.element = cs.order.PushFront(c)
		cs.byName[stream] = c
	}
	c.users++
	cs.order.MoveToFront(c.element)
	cs.mu.Unlock()
	select {
	case c.turn <- struct{}{}:
		return c, nil
	case <-ctx.Done():
		cs.leave(c)
		return nil, ctx.Err()
	}
}

// drop takes a conversation that nobody uses out of memory.
func (cs *conversations) drop(stream string) {
	cs.mu.Lock()
	defer cs.mu.Unlock()
	if c := cs.byName[stream]; c != nil && c.users == 0 {
		cs.order.Remove(c.element)
		delete(cs.byName, stream)
	}
}

func (cs *conversations) give(c *conversation) {
	<-c.turn
	cs.leave(c)
}

// leave drops those that are longest out of use beyond what is kept.
func (cs *conversations) leave(c *conversation) {
	cs.mu.Lock()
	defer cs.mu.Unlock()
	c.users--
	for e := cs.order.Back(); e != nil && len(cs.byName) > cs.keep; {
		old, before := e.Value.(*conversation), e.Prev()
		if old.users == 0 {
			cs.order.Remove(e)
			delete(cs.byName, old.stream)
		}
		e = before
	}
}
