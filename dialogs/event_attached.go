package dialogs

import "slices"

const (
	kindAttached     = "attached"
	kindCaptioned    = "captioned"
	kindPhotoDeleted = "photo_deleted"
)

// attached says that photos came with a message and are kept. What is seen on them
// is what the person said it is: no reading is ever made of a photo.
type attached struct {
	Photos []attachedPhoto `json:"photos"`
}

type attachedPhoto struct {
	Photo
	Shows []Shown `json:"shows,omitempty"` // empty where not said
	// Slots are the readings it belongs to, decided when it came, as for readings.
	Slots []Slot `json:"slots,omitempty"`
}

func (attached) kind() string { return kindAttached }

func (a attached) apply(j *Job, e Entry) {
	for _, p := range a.Photos {
		j.photosEver++
		j.Photos = append(j.Photos, JobPhoto{
			No: j.photosEver, Photo: p.Photo, Shows: p.Shows, Slots: p.Slots, Trial: j.Trial().No, entryMeta: metaOf(e),
		})
	}
}

// captioned says afterwards what photos show.
type captioned struct {
	Photos []caption `json:"photos"`
}

type caption struct {
	Entry uint64  `json:"entry"` // that brought the photo
	ID    string  `json:"id"`
	Shows []Shown `json:"shows"`
	Slots []Slot  `json:"slots,omitempty"`
}

func (captioned) kind() string { return kindCaptioned }

func (c captioned) apply(j *Job, _ Entry) {
	for _, to := range c.Photos {
		for i := range j.Photos {
			if p := &j.Photos[i]; p.Seq == to.Entry && p.ID == to.ID {
				p.Shows, p.Slots = to.Shows, to.Slots
			}
		}
	}
}

// photoDeleted says that somebody had a photo deleted. Its bytes are gone; that it
// was there, and who sent it, stays.
type photoDeleted struct {
	ID string `json:"id"`
}

func (photoDeleted) kind() string { return kindPhotoDeleted }

func (d photoDeleted) apply(j *Job, _ Entry) {
	j.Photos = slices.DeleteFunc(j.Photos, func(p JobPhoto) bool { return p.ID == d.ID })
}

// JobPhoto is a photo on record. Its bytes are had from package bot by job and ID.
type JobPhoto struct {
	No int // as people name it, from 1, never given to another
	Photo
	Shows []Shown // in the order they were said; empty where not said
	Slots []Slot  // the readings it belongs to, of the trial below where they are a trial's
	Trial int     // the trial assembly it was taken on
	entryMeta
}

// PhotosOf gives the photos that belong to a reading: those that were said to show
// the same thing, on the same trial assembly where it is a reading of one. Oldest
// first.
func (j *Job) PhotosOf(r Reading) []JobPhoto {
	trial := 0
	for _, t := range j.Trials {
		for _, of := range []*Reading{t.Backlash, t.Drive, t.Coast, t.Drag} {
			if of != nil && of.Seq == r.Seq {
				trial = t.No
			}
		}
	}
	var out []JobPhoto
	for _, p := range j.Photos {
		if slices.Contains(p.Slots, r.Slot) && (trial == 0 || p.Trial == trial) {
			out = append(out, p)
		}
	}
	return out
}
