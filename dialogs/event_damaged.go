package dialogs

const kindDamaged = "damaged"

// damaged is something found worn or broken.
type damaged struct {
	Part string `json:"part"` // an id of package listen: pinion, ring, head_bearing, …
	Sign string `json:"sign"` // chipped, blued, pitted, …
	Text string `json:"text,omitempty"`
}

func (damaged) kind() string { return kindDamaged }

func (d damaged) apply(j *Job, e Entry) {
	for i, have := range j.Damage {
		if have.Part == d.Part && have.Sign == d.Sign {
			j.Damage[i].entryMeta = metaOf(e)
			return
		}
	}
	j.Damage = append(j.Damage, Damage{Part: d.Part, Sign: d.Sign, Text: d.Text, entryMeta: metaOf(e)})
}

// Damage is something found worn or broken, on record.
type Damage struct {
	Part, Sign, Text string
	entryMeta
}
