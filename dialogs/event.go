package dialogs

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"time"
	"unicode/utf8"
)

// Event is one entry of a job's log. The log is append-only: nothing in it is
// ever changed, a later entry names the one it replaces.
type Event struct {
	Kind    string          `json:"kind"`
	At      time.Time       `json:"at"`
	By      string          `json:"by,omitempty"`   // name of the person, empty for the assistant itself
	Role    Role            `json:"role,omitempty"` // the person's role at the time
	Message string          `json:"msg,omitempty"`  // the platform's id of the message it came from
	Said    string          `json:"said,omitempty"` // what was typed
	Data    json.RawMessage `json:"data,omitempty"`
}

// Role is what a person may do in the shop.
type Role string

// The roles. Only a mentor or an owner reviews; only an owner closes over a hold.
const (
	Technician Role = "technician"
	Apprentice Role = "apprentice"
	Mentor     Role = "mentor"
	Owner      Role = "owner"
	Customer   Role = "customer"
)

// Reviews says whether the role may approve another person's readings.
func (r Role) Reviews() bool { return r == Mentor || r == Owner }

// payload is the typed content of an event; each kind has a file of its own.
type payload interface {
	kind() string
	// apply brings the entry into the job. It may rely on every earlier live
	// entry being applied, and on nothing else: no clock, no sheet, no rules.
	apply(j *Job, e Entry)
}

// Entry is an event in its place in the log.
type Entry struct {
	Event
	Seq     uint64 // 1 for the first
	Live    bool   // false once a later entry took it back
	payload payload
}

// errUnknownKind marks an event of a newer version.
var errUnknownKind = errors.New("unknown kind of entry")

// newPayload gives an empty payload of a kind, nil for a kind this version does
// not know.
func newPayload(kind string) payload {
	switch kind {
	case kindOpened:
		return &opened{}
	case kindMeasured:
		return &measured{}
	case kindMoved:
		return &moved{}
	case kindStated:
		return &stated{}
	case kindRetracted:
		return &retracted{}
	case kindSkipped:
		return &skipped{}
	case kindReopened:
		return &reopened{}
	case kindAdvised:
		return &advised{}
	case kindBuilt:
		return &built{}
	case kindWarned:
		return &warned{}
	case kindOverridden:
		return &overridden{}
	case kindAsked:
		return &asked{}
	case kindAnswered:
		return &answered{}
	case kindReviewed:
		return &reviewed{}
	case kindTaught:
		return &taught{}
	case kindQuizzed:
		return &quizzed{}
	case kindGuessed:
		return &guessed{}
	case kindWatched:
		return &watched{}
	case kindInstructed:
		return &instructed{}
	case kindTorqued:
		return &torqued{}
	case kindFitted:
		return &fitted{}
	case kindDamaged:
		return &damaged{}
	case kindClosed:
		return &closed{}
	case kindAttached:
		return &attached{}
	case kindCaptioned:
		return &captioned{}
	case kindPhotoDeleted:
		return &photoDeleted{}
	case kindErased:
		return &erased{}
	case kindReminded:
		return &reminded{}
	case kindPutOff:
		return &putOff{}
	case kindBreakIn:
		return &begun{}
	case kindSetOff:
		return &setOff{}
	case kindDrove:
		return &drove{}
	case kindCooled:
		return &cooled{}
	case kindHeld:
		return &held{}
	case kindResumed:
		return &resumed{}
	case kindHeard:
		return &heard{}
	case kindChecked:
		return &checked{}
	}
	return nil
}

// decode reads one record of a log. The error wraps errUnknownKind where the
// record is a sound event of a kind this version does not know.
func decode(record []byte, seq uint64) (Entry, error) {
	e := Entry{Seq: seq, Live: true}
	if err := json.Unmarshal(record, &e.Event); err != nil {
		return e, fmt.Errorf("entry %d: %w", seq, err)
	}
	return e.typed()
}

// typed reads the payload of an entry.
func (e Entry) typed() (Entry, error) {
	seq := e.Seq
	p := newPayload(e.Kind)
	if p == nil {
		return e, fmt.Errorf("entry %d: %w %q", seq, errUnknownKind, e.Kind)
	}
	if len(e.Data) > 0 {
		if err := json.Unmarshal(e.Data, p); err != nil {
			return e, fmt.Errorf("entry %d (%s): %w", seq, e.Kind, err)
		}
	}
	e.payload = p
	return e, nil
}

// entryOf is what decode gives of the event's record, without writing the record
// where nothing of it would come back otherwise.
func entryOf(e Event, seq uint64) (Entry, error) {
	var tight bytes.Buffer
	plain := len(e.Data) == 0 || json.Compact(&tight, e.Data) == nil && bytes.Equal(tight.Bytes(), e.Data) && !bytes.ContainsAny(e.Data, "<>&\u2028\u2029")
	for _, text := range []string{e.Kind, e.By, string(e.Role), e.Message, e.Said} {
		plain = plain && utf8.ValidString(text)
	}
	at, err := e.At.MarshalText()
	if !plain || err != nil {
		record, err := Encode(e)
		if err != nil {
			return Entry{}, err
		}
		return decode(record, seq)
	}
	if err := e.At.UnmarshalText(at); err != nil {
		return Entry{}, err
	}
	return Entry{Event: e, Seq: seq, Live: true}.typed()
}

// Encode writes an event as one record of a log.
func Encode(e Event) ([]byte, error) { return json.Marshal(e) }

// event makes an event of a payload, said by s.
func (s Said) event(p payload) Event {
	data, err := json.Marshal(p)
	if err != nil {
		// Payloads are plain structs of finite numbers; see measured.check.
		panic(fmt.Sprintf("dialogs: %s does not marshal: %v", p.kind(), err))
	}
	return Event{Kind: p.kind(), At: s.At, By: s.By.Name, Role: s.By.Role, Message: s.ID, Said: clip(s.Text, 400), Data: data}
}

// clip shortens a text to n runes, with an ellipsis where something is lost.
func clip(text string, n int) string {
	runes := []rune(text)
	if len(runes) <= n {
		return text
	}
	return string(runes[:n-1]) + "…"
}
