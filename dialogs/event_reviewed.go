package dialogs

const (
	kindReviewed   = "reviewed"
	kindInstructed = "instructed"
)

// The decisions of a review.
const (
	reviewRequest  = "request"  // somebody, or the step itself, asks for a look
	reviewApprove  = "approve"  // the figures the look showed may be built on
	reviewRedo     = "redo"     // something has to be read again
	reviewHold     = "hold"     // nothing moves
	reviewLift     = "lift"     // it moves again
	reviewAsk      = "ask"      // the mentor wants to know something first
	reviewReply    = "reply"    // what the person asked says to that
	reviewTakeOver = "takeover" // the mentor does it
	reviewHandBack = "handback" // and gives it back
)

// reviewed is a mentor's word on what is on record, or a technician's request
// for one.
type reviewed struct {
	Decision string `json:"decision"`
	Upto     uint64 `json:"upto"` // the last entry the reviewer had before them
	Text     string `json:"text,omitempty"`

	// What a request shows and an answer is about. Entries written before there were
	// looks have none of these and approve nothing.
	Look    int      `json:"look,omitempty"` // number of the request in its job, from 1
	Step    StepID   `json:"step,omitempty"`
	Trial   int      `json:"trial,omitempty"`  // of the trial loop
	Sees    []uint64 `json:"sees,omitempty"`   // the entries shown
	Digest  string   `json:"digest,omitempty"` // of what they say; see shown.digest
	Again   []uint64 `json:"again,omitempty"`  // redo: the entries to read again
	To      string   `json:"to,omitempty"`     // whose look is wanted, or who was asked
	Answers uint64   `json:"answers,omitempty"`
}

func (reviewed) kind() string { return kindReviewed }

func (r reviewed) apply(j *Job, e Entry) {
	j.Reviews = append(j.Reviews, Review{reviewed: r, Role: e.Role, entryMeta: metaOf(e)})
	if r.Look == 0 && r.Step == "" {
		j.Held = r.Decision == reviewHold // as entries of the first version meant it
		return
	}
	switch r.Decision {
	case reviewHold:
		j.Held = true
	case reviewLift, reviewApprove:
		j.Held = false
	case reviewTakeOver:
		j.TakenBy = e.By
	case reviewHandBack:
		j.TakenBy = ""
	}
}

// Review is a review on record.
type Review struct {
	reviewed
	Role Role // of who said it, at the time
	entryMeta
}

// instructed is a change somebody asks for; it is no move until it is done.
type instructed struct {
	Moves []moved `json:"moves"`
}

func (instructed) kind() string { return kindInstructed }

func (i instructed) apply(j *Job, e Entry) {
	j.Instructions = append(j.Instructions, Instruction{Moves: i.Moves, entryMeta: metaOf(e)})
}

// Instruction is a change asked for.
type Instruction struct {
	Moves []moved
	Done  bool
	entryMeta
}
