package dialogs

const (
	kindHeld    = "held"
	kindResumed = "resumed"
)

// held has the break-in stand still: a pause somebody takes, or heat or noise, after
// which a mentor's word is waited for.
type held struct {
	Asks string `json:"asks,omitempty"` // mentor, or empty where anybody goes on
	Why  string `json:"why,omitempty"`  // as typed
}

func (held) kind() string { return kindHeld }

func (h held) apply(j *Job, e Entry) {
	j.onRecord(e).Hold = &Hold{Asks: h.Asks, Why: h.Why, entryMeta: metaOf(e)}
}

// resumed goes on with the break-in.
type resumed struct{}

func (resumed) kind() string { return kindResumed }

func (resumed) apply(j *Job, e Entry) { j.onRecord(e).goOn(e) }

// goOn ends a hold. What was heard before it is dealt with.
func (b *BreakIn) goOn(e Entry) {
	b.Hold, b.Resumed = nil, metaOf(e)
}
