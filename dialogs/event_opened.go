package dialogs

const kindOpened = "opened"

// opened starts a job.
type opened struct {
	Number int    `json:"number"`
	Sheet  string `json:"sheet"`
	Title  string `json:"title,omitempty"`
}

func (opened) kind() string { return kindOpened }

func (o opened) apply(j *Job, e Entry) {
	j.Number, j.Sheet, j.Title = o.Number, o.Sheet, o.Title
	j.OpenedAt, j.OpenedBy = e.At, e.By
}
