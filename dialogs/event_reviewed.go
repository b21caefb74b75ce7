package dialogs

const (
	kindReviewed   = "reviewed"
	kindInstructed = "instructed"
)

// reviewed is a mentor's word on what is on record, or a technician's request
// for one.
type reviewed struct {
	Decision string `json:"decision"` // approve, redo, hold, request
	Upto     uint64 `json:"upto"`     // the last entry the reviewer had before them
	Text     string `json:"text,omitempty"`
}

func (reviewed) kind() string { return kindReviewed }

func (r reviewed) apply(j *Job, e Entry) {
	j.Reviews = append(j.Reviews, Review{Decision: r.Decision, Upto: r.Upto, Text: r.Text, entryMeta: metaOf(e)})
	j.Held = r.Decision == "hold"
}

// Review is a review on record.
type Review struct {
	Decision string
	Upto     uint64
	Text     string
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
