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
}

func (asked) kind() string { return kindAsked }

func (a asked) apply(j *Job, e Entry) {
	j.Open = &Question{About: a.About, Text: a.Text, Choices: a.Choices, entryMeta: metaOf(e)}
}

// Question is a question of the assistant that waits for its answer.
type Question struct {
	About   string
	Text    string
	Choices []string
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
