package dialogs

import (
	"math"

	"shimwright/calc/unit"
	"shimwright/dialogs/listen"
	"shimwright/rules"
)

const kindMeasured = "measured"

// measured is a reading in the slot it was taken for. The slot is decided when
// the reading is said and kept, so that a later version files an old log the
// same way.
type measured struct {
	Slot      Slot        `json:"slot"`
	What      listen.What `json:"what"`
	Values    []float64   `json:"values,omitempty"`
	Sum       bool        `json:"sum,omitempty"`  // one number or a stated sum, not a list
	Unit      string      `json:"unit,omitempty"` // as typed
	Along     string      `json:"along,omitempty"`
	Across    string      `json:"across,omitempty"`
	Degree    string      `json:"degree,omitempty"` // of a pattern: slight, strong or edge, where said
	Positions []string    `json:"positions,omitempty"`
	Part      string      `json:"part,omitempty"`
	Seal      string      `json:"seal,omitempty"`
	Bearings  string      `json:"bearings,omitempty"`
}

func (measured) kind() string { return kindMeasured }

func (m measured) apply(j *Job, e Entry) {
	r := Reading{
		entryMeta: metaOf(e), Slot: m.Slot, What: m.What, Values: m.Values, Unit: m.Unit,
		Along: m.Along, Across: m.Across, Degree: m.Degree, Positions: m.Positions, Part: m.Part, Seal: m.Seal, Bearings: m.Bearings,
	}
	j.put(r)
}

// measuredFrom files a reading under a slot.
func measuredFrom(slot Slot, r listen.Reading) measured {
	return measured{
		Slot: slot, What: r.What, Values: r.Numbers(), Sum: r.Value != nil, Unit: r.Unit,
		Along: r.Length, Across: r.Profile, Degree: r.Degree, Positions: r.Positions, Part: r.Part, Seal: r.Seal, Bearings: r.Bearings,
	}
}

// finite says whether every value can be kept.
func finite(values []float64) bool {
	for _, v := range values {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return false
		}
	}
	return true
}

// readingOf gives the figures of a reading as it was heard, for their conversion.
func readingOf(r listen.Reading) Reading { return Reading{Values: r.Numbers(), Unit: r.Unit} }

// Reading is a reading on record.
type Reading struct {
	Slot      Slot
	What      listen.What
	Values    []float64
	Unit      string // as typed
	Along     string // toe, center, heel; empty where not said
	Across    string // face, center, flank; empty where not said
	Degree    string // slight (a touch off the middle), strong, edge; empty where not said
	Positions []string
	Part      string
	Seal      string
	Bearings  string
	Of        []uint64 // the entries it was joined from besides its own

	entryMeta
}

// Lengths gives the values as lengths. A reading without a length unit gives
// none.
func (r Reading) Lengths() []unit.Length {
	out := make([]unit.Length, 0, len(r.Values))
	for _, v := range r.Values {
		switch r.Unit {
		case "in":
			out = append(out, unit.Inch(v))
		case "mm":
			out = append(out, unit.MM(v))
		default:
			return nil
		}
	}
	return out
}

// MarkLength gives a pinion marking as a length: as it was typed where it has a
// unit, else in the counts the sheet says its markings are in.
func (r Reading) MarkLength(counts rules.MarkUnit) (unit.Length, bool) {
	if len(r.Values) == 0 {
		return 0, false
	}
	if r.Unit == "" {
		return counts.Length(r.Values[0]), true
	}
	return r.Length()
}

// Length gives the value of a single length, or the sum of a stack of leaves.
func (r Reading) Length() (unit.Length, bool) {
	all := r.Lengths()
	if len(all) == 0 {
		return 0, false
	}
	var sum unit.Length
	for _, l := range all {
		sum += l
	}
	return sum, true
}

// Torque gives the (first) value as a torque.
func (r Reading) Torque() (unit.Torque, bool) {
	if len(r.Values) == 0 {
		return 0, false
	}
	switch r.Unit {
	case "in·lbf":
		return unit.InLbf(r.Values[0]), true
	case "ft·lbf":
		return unit.FtLbf(r.Values[0]), true
	case "N·m":
		return unit.NewtonMetre(r.Values[0]), true
	}
	return 0, false
}

// Temperature gives the (first) value as a temperature.
func (r Reading) Temperature() (unit.Temperature, bool) {
	if len(r.Values) == 0 {
		return 0, false
	}
	switch r.Unit {
	case "degC":
		return unit.Celsius(r.Values[0]), true
	case "degF":
		return unit.Fahrenheit(r.Values[0]), true
	}
	return 0, false
}
