package dialogs

import "time"

const kindPutOff = "put-off"

// putOff has a timer said at a later time, also one that was said already.
type putOff struct {
	Key   string    `json:"key"`
	Until time.Time `json:"until"`
}

func (putOff) kind() string { return kindPutOff }

func (p putOff) apply(j *Job, e Entry) {
	j.PutOff[p.Key] = PutOff{Until: p.Until, entryMeta: metaOf(e)}
}

// PutOff is a timer that somebody wants later.
type PutOff struct {
	Until time.Time
	entryMeta
}
