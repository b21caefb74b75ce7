package dialogs

const (
	kindTaught  = "taught"
	kindQuizzed = "quizzed"
	kindGuessed = "guessed"
)

// taught switches the questions back on or off, for one person or for the job.
type taught struct {
	On   bool   `json:"on"`
	Name string `json:"name,omitempty"` // empty: whoever works on the job
}

func (taught) kind() string { return kindTaught }

func (e taught) apply(j *Job, _ Entry) { j.Teach[e.Name] = e.On }

// quizzed asks somebody what an advised change will do, before they build it.
type quizzed struct {
	To    string    `json:"to"`
	Trial int       `json:"trial"` // that was read
	About quizAbout `json:"about"`
	Model quizWay   `json:"model"` // what the model expects
}

func (quizzed) kind() string { return kindQuizzed }

func (q quizzed) apply(j *Job, e Entry) { j.Quiz = &Quiz{quizzed: q, entryMeta: metaOf(e)} }

// guessed answers it.
type guessed struct {
	Quiz  uint64  `json:"quiz"`
	Guess quizWay `json:"guess"` // empty: no idea
}

func (guessed) kind() string { return kindGuessed }

func (g guessed) apply(j *Job, e Entry) {
	if j.Quiz != nil && j.Quiz.Seq == g.Quiz {
		j.Quiz.Guess, j.Quiz.Answered = g.Guess, true
	}
}

// Quiz is the latest question back.
type Quiz struct {
	quizzed
	Guess    quizWay
	Answered bool
	entryMeta
}

// quizAbout is what a question back is about.
type quizAbout string

const (
	driveAlong  quizAbout = "drive.along"
	driveAcross quizAbout = "drive.across"
	coastAlong  quizAbout = "coast.along"
	coastAcross quizAbout = "coast.across"
	lashMoves   quizAbout = "lash"
)

// quizWay is which way something goes.
type quizWay string

const (
	wayToe    quizWay = "toe"
	wayHeel   quizWay = "heel"
	wayFace   quizWay = "face"
	wayFlank  quizWay = "flank"
	wayOpens  quizWay = "opens"
	wayCloses quizWay = "closes"
	wayStill  quizWay = "still" // hardly at all
)

// ways are the answers to choose from, the one that grows first.
func (a quizAbout) ways() [3]quizWay {
	switch a {
	case driveAlong, coastAlong:
		return [3]quizWay{wayHeel, wayToe, wayStill}
	case driveAcross, coastAcross:
		return [3]quizWay{wayFace, wayFlank, wayStill}
	}
	return [3]quizWay{wayOpens, wayCloses, wayStill}
}
