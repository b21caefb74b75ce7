package dialogs

const kindErased = "erased"

// erased says that what could name a person was taken out of the entries before it:
// names became "person 1", typed words and reasons are gone, ids of messages are
// hashed. The entries themselves were replaced; see TakeOut.
type erased struct {
	// Salt is what the ids of messages were hashed with, so that one that comes late
	// is still known.
	Salt string `json:"salt"`
}

func (erased) kind() string { return kindErased }

func (x erased) apply(j *Job, e Entry) {
	j.Erased, j.ErasedBy, j.Closed = true, e.By, true
	j.Photos = nil // they are deleted
	j.salts = append(j.salts, x.Salt)
}
