package dialogs

const kindRetracted = "retracted"

// retracted takes earlier entries back. They stay in the log; the fold leaves
// them out.
type retracted struct {
	Entries []uint64 `json:"entries"`
}

func (retracted) kind() string { return kindRetracted }

func (retracted) apply(*Job, Entry) {} // the fold's first pass has done it
