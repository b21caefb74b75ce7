package dialogs

import "time"

const kindReminded = "reminded"

// reminded notes that a timer was said, so that it is said once.
type reminded struct {
	Key string    `json:"key"`
	Due time.Time `json:"due"` // when it was to be said by the log, quiet hours aside
}

func (reminded) kind() string { return kindReminded }

func (r reminded) apply(j *Job, e Entry) {
	j.Reminded[r.Key] = Reminded{Due: r.Due, entryMeta: metaOf(e)}
}

// Reminded is a timer that was said.
type Reminded struct {
	Due time.Time
	entryMeta
}
