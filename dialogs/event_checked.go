package dialogs

import "shimwright/calc/unit"

const kindChecked = "checked"

// What is looked at after the break-in.
const (
	checkOil    = "oil"    // changed
	checkTorque = "torque" // bolts gone over
	checkLeaks  = "leaks"  // none found
	checkMiles  = "miles"  // how far it has run
)

// checked is something looked at or done after the break-in.
type checked struct {
	What     string  `json:"what"`
	Distance float64 `json:"distance,omitempty"` // since the break-in
	Unit     string  `json:"unit,omitempty"`
	Enough   bool    `json:"enough,omitempty"` // miles: as far as was asked
	No       bool    `json:"no,omitempty"`     // a leak was found; not as far yet
}

func (checked) kind() string { return kindChecked }

func (c checked) apply(j *Job, e Entry) {
	check := Check{Enough: c.Enough, No: c.No, entryMeta: metaOf(e)}
	if c.Distance > 0 {
		check.Distance = roadLength(c.Distance, c.Unit)
	}
	j.onRecord(e).Checks[c.What] = check
}

// Check is something looked at after the break-in.
type Check struct {
	Distance unit.Length // since the break-in, 0 where not said
	Enough   bool
	No       bool
	entryMeta
}
