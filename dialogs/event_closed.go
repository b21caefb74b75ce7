package dialogs

const kindClosed = "closed"

// closed ends the job's conversation; the log stays.
type closed struct {
	Reason string `json:"reason,omitempty"`
}

func (closed) kind() string { return kindClosed }

func (c closed) apply(j *Job, e Entry) { j.Closed, j.ClosedReason = true, c.Reason }
