package dialogs

const (
	kindAsked    = "asked"
	kindAnswered = "answered"
)

// asked is a question back about a message that was not clear.
type asked struct {
	About   string   `json:"about"` // the message that was not clear
	Text    string   `json:"text"`
	Choices []string `json:"choices,omitempty"`
	// Photos are the entries whose photos it is about, and Means what each choice says of
	// them: one thing of all, or one of each.
	Photos []uint64  `json:"photos,omitempty"`
	Means  [][]Shown `json:"means,omitempty"`
}

func (asked) kind() string { return kindAsked }

func (a asked) apply(j *Job, e Entry) {
	j.Open = &Question{About: a.About, Text: a.Text, Choices: a.Choices, Photos: a.Photos, Means: a.Means, entryMeta: metaOf(e)}
}

// Question is a question of the assistant that waits for its answer.
type Question struct {
	About   string
	Text    string
	Choices []string
	Photos  []uint64
	Means   [][]Shown
	entryMeta
}

// answered closes the open question; what it brought follows as entries of its
// own.
type answered struct {
	Question uint64 `json:"question"`
	Dropped  bool   `json:"dropped,omitempty"` // overtaken by something else
}

func (answered) kind() string { return kindAnswered }

func (a answered) apply(j *Job, e Entry) {
	if j.Open != nil && j.Open.Seq == a.Question {
		j.Open = nil
	}
}
