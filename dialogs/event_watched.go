package dialogs

const kindWatched = "watched"

// watched notes at which steps a mentor looks at one person's figures, where the
// shop says so for that person and not by their role. It stands in the log, so that
// the open question of a job still follows from it alone.
type watched struct {
	Name  string   `json:"name"`
	Steps []StepID `json:"steps"`
	Off   bool     `json:"off,omitempty"` // by the role again
}

func (watched) kind() string { return kindWatched }

func (w watched) apply(j *Job, _ Entry) {
	if w.Off {
		delete(j.Watched, w.Name)
		return
	}
	j.Watched[w.Name] = w.Steps
}
