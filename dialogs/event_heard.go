package dialogs

import "shimwright/dialogs/listen"

const kindHeard = "heard"

// heard is what a drive sounded like.
type heard struct {
	Quiet bool          `json:"quiet,omitempty"`
	Noise *listen.Noise `json:"noise,omitempty"`
}

func (heard) kind() string { return kindHeard }

func (h heard) apply(j *Job, e Entry) {
	b := j.onRecord(e)
	b.Heard = append(b.Heard, Heard{Quiet: h.Quiet, Noise: h.Noise, entryMeta: metaOf(e)})
}

// Heard is what a drive sounded like, on record.
type Heard struct {
	Quiet bool
	Noise *listen.Noise
	entryMeta
}
