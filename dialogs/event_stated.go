package dialogs

import "shimwright/dialogs/listen"

const kindStated = "stated"

// stated is a fact said without a number: the caps are torqued, the bolts are
// new, the gear set is used.
type stated struct {
	Fact string `json:"fact"` // a Fact constant of package listen
	No   bool   `json:"no,omitempty"`
}

func (stated) kind() string { return kindStated }

func (s stated) apply(j *Job, e Entry) {
	j.Facts[s.Fact] = Fact{True: !s.No, entryMeta: metaOf(e)}
	for _, other := range excludes(s.Fact) {
		delete(j.Facts, other)
	}
	if s.Fact == listen.FactNewSleeve && !s.No {
		j.Drags, j.turned, j.nut = nil, 0, 0 // another sleeve, another pull-up
	}
}

// Fact is a fact on record.
type Fact struct {
	True bool
	entryMeta
}
