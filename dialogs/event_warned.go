package dialogs

const (
	kindWarned     = "warned"
	kindOverridden = "overridden"
)

// warned is a caution that was shown. One at level stop holds the job until it
// is cleared or somebody goes over it with a reason.
type warned struct {
	Rule  string `json:"rule"`
	Level string `json:"level"` // note, caution, stop
	Text  string `json:"text"`
	// English is the text in English where Text is in another language.
	English string `json:"english,omitempty"`
	// Spoken says that the message's words raised it, not a figure on record.
	Spoken bool `json:"spoken,omitempty"`
}

func (warned) kind() string { return kindWarned }

func (w warned) apply(j *Job, e Entry) {
	english := w.English
	if english == "" {
		english = w.Text
	}
	j.Warnings = append(j.Warnings, Warning{Rule: w.Rule, Level: w.Level, Text: w.Text, English: english, Spoken: w.Spoken, entryMeta: metaOf(e)})
}

// Warning is a caution on record. A stop is open until Closed says how it ended.
type Warning struct {
	Rule    string
	Level   string
	Text    string
	English string
	Spoken  bool
	Closed  string // empty while open; "cleared", or the reason it was gone over
	By      string // who closed it
	entryMeta
}

// overridden goes on over stops, with the reason, or notes that their cause is
// gone.
type overridden struct {
	Rules   []string `json:"rules"`
	Reason  string   `json:"reason,omitempty"`
	Cleared bool     `json:"cleared,omitempty"`
}

func (overridden) kind() string { return kindOverridden }

func (o overridden) apply(j *Job, e Entry) {
	if j.BreakIn != nil && !o.Cleared {
		j.BreakIn.goOn(e)
	}
	for i := range j.Warnings {
		w := &j.Warnings[i]
		if w.Level != "stop" || w.Closed != "" {
			continue
		}
		for _, rule := range o.Rules {
			if w.Rule == rule {
				w.Closed, w.By = o.Reason, e.By
				if o.Cleared {
					w.Closed = "cleared"
				}
			}
		}
	}
}
