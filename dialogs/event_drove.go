package dialogs

import "shimwright/calc/unit"

const (
	kindSetOff = "set-off"
	kindDrove  = "drove"
	kindCooled = "cooled"
)

// setOff is a drive that begins.
type setOff struct {
	Leg int `json:"leg"` // 1 for the first
}

func (setOff) kind() string { return kindSetOff }

func (s setOff) apply(j *Job, e Entry) {
	b := j.onRecord(e)
	b.Out = &Drive{Leg: s.Leg, entryMeta: metaOf(e)}
	b.Driver = e.By
	if b.Hold != nil && b.Hold.Asks == "" {
		b.Hold = nil
	}
}

// drove is a drive that is over, as far as it was said; cooling begins with it. With
// Of it adds to an earlier one.
type drove struct {
	Leg      int     `json:"leg"`
	Distance float64 `json:"distance,omitempty"`
	Unit     string  `json:"unit,omitempty"` // mi, km
	Minutes  float64 `json:"minutes,omitempty"`
	Done     bool    `json:"done,omitempty"` // the leg was said to be done
	Of       uint64  `json:"of,omitempty"`
}

func (drove) kind() string { return kindDrove }

func (d drove) apply(j *Job, e Entry) {
	b := j.onRecord(e)
	for i := range b.Drives {
		if b.Drives[i].Seq == d.Of {
			b.Drives[i].told(d)
			return
		}
	}
	out := Drive{Leg: d.Leg, Done: d.Done, entryMeta: metaOf(e)}
	if b.Out != nil {
		out.Began = b.Out.entryMeta
	}
	out.told(d)
	b.Drives, b.Out = append(b.Drives, out), nil
	if e.By != "" {
		b.Driver = e.By
	}
}

// Drive is one drive of the break-in. Its entry is the end of it, and of one that is
// on the beginning.
type Drive struct {
	Leg      int // of the plan, 1 for the first
	Distance unit.Length
	Unit     string // as typed
	Minutes  float64
	Done     bool      // the leg was said to be done
	Began    entryMeta // zero where nobody said that it began
	Cooled   *Cooling
	entryMeta
}

func (d *Drive) told(more drove) {
	if more.Distance > 0 {
		d.Distance, d.Unit = roadLength(more.Distance, more.Unit), more.Unit
	}
	if more.Minutes > 0 {
		d.Minutes = more.Minutes
	}
}

// roadLength gives a typed distance as a length.
func roadLength(v float64, typed string) unit.Length {
	if typed == "km" {
		return unit.MM(v * 1e6)
	}
	return unit.Inch(v * 63360)
}

// cooled says that the axle is cool after the last drive, or has stood so long.
type cooled struct {
	Minutes float64 `json:"minutes,omitempty"` // as said, 0 where it is only said to be cool
}

func (cooled) kind() string { return kindCooled }

func (c cooled) apply(j *Job, e Entry) {
	if d := j.onRecord(e).last(); d != nil {
		d.Cooled = &Cooling{Minutes: c.Minutes, entryMeta: metaOf(e)}
	}
}

// Cooling is the end of a drive's cooling.
type Cooling struct {
	Minutes float64 // as said, 0 where it is only said to be cool
	entryMeta
}
