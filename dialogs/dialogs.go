// Package dialogs is the job: its log of events, the fold of that log, the steps
// and the answers. It is pure. The caller delivers what somebody said together
// with the job, and gets back the events to append and the messages to send.
//
// Data flows one way: a message becomes an utterance (package listen), the
// utterance becomes events, the fold gives the job, the rules and the
// calculations give findings and advice, and those become the reply.
package dialogs

import (
	"time"

	"shimwright/calc/estimate"
	"shimwright/calc/unit"
	"shimwright/dialogs/advise"
	"shimwright/dialogs/listen"
	"shimwright/dialogs/phrase"
	"shimwright/rules"
)

// The kinds of advice, named here because the log keeps them.
type (
	Advice  = advise.Advice
	Verdict = advise.Verdict
)

// Good is the verdict that ends the trial loop.
const Good = advise.Good

// Desk answers for all jobs of a shop. It holds no state of its own and is safe
// for many goroutines.
type Desk struct {
	Sheets SheetBook
	Rules  RuleSet
	Advise func(advise.Request) (advise.Advice, error)
	Listen func(listen.Input) listen.Utterance
	// Models keeps the contact model of each sheet; nil computes it when asked why.
	Models *Models
	// Phrases is what is said, by language.
	Phrases *phrase.Book
	Program string // name and version, for summaries
	// Zone is the shop's, for times of day; nil for UTC.
	Zone *time.Location
	// Learn works finished jobs on a sheet into what they say about the next one; nil
	// leaves them out. The key names the jobs, so that it is worked once.
	Learn func(s *rules.Sheet, key string, jobs [][]advise.Attempt) (*estimate.Memory, error)
}

// Words gives the phrases of a language.
func (d *Desk) Words(lang phrase.Language) phrase.Speaker { return d.Phrases.In(lang) }

// SheetBook finds axle sheets by name. The error of an unknown name names the
// nearest ones.
type SheetBook interface {
	Sheet(name string) (*rules.Sheet, error)
	Names() []string
}

// RuleSet judges the facts of a job.
type RuleSet interface {
	Evaluate(rules.Facts) []rules.Finding
}

// Person is somebody of the shop.
type Person struct {
	Name  string
	Role  Role
	Units unit.System // their own habit, empty for the sheet's
	// Language is what they are answered in, English where empty.
	Language phrase.Language
	Replies  Replies // how long they are answered, in full where empty
	Type     Type    // how large what matters is written to them, as the rest where empty
	// Looked are the steps at which a mentor looks at this person's figures; nil where
	// the sheet says it for their role.
	Looked []StepID
	Mentor string // whose look they want, empty for any mentor's
}

// Replies is how long somebody is answered.
type Replies string

// The lengths. A short reply says what was understood, what is dangerous, what to do
// and what comes next, without reasons and the names of steps.
const (
	FullReplies  Replies = "full"
	ShortReplies Replies = "short"
)

// Type is how large what matters is written to somebody.
type Type string

// The sizes. Whoever reads large type is answered shortly too, and sees the figures of a
// change, or else what comes next, in the platform's large text.
const (
	NormalType Type = "normal"
	LargeType  Type = "large"
)

// Said is one message of a person.
type Said struct {
	ID        string // the platform's id, which makes it count once
	By        Person
	At        time.Time
	Text      string
	Edits     string   // the id of the message this one is the new wording of, empty mostly
	Context   []string // the last messages before it, as listen.Input.Context has them
	Addressed bool     // the assistant was called by name or in private
	Elsewhere bool     // said at another place than the job's own
	OneSize   bool     // the platform has no large text
	Shown     int      // the look whose card it was written below in private, 0 for none
	Past      []Past   // finished jobs on this job's sheet, newest first; none where the shop's memory is off
	Files     []Photo  // photos that came with it and are kept; Caption is left to the desk
	Unkept    []Unkept // pictures that came with it and are not
	// Other finds somebody else of the shop by name, so that what is for them is said in
	// their words; nil where nobody else is known.
	Other func(name string) (Person, bool)
}

// Outgoing is one message to send.
type Outgoing struct {
	Text    string   `json:"text"`
	Choices []string `json:"choices,omitempty"` // what can be pressed or typed as an answer
	// Told says that the text names the choices: without buttons they are not listed.
	Told bool `json:"told,omitempty"`
	// Large are lines of the text to be shown in large type where the platform has it.
	Large []string `json:"large,omitempty"`
	Ping  []string `json:"ping,omitempty"` // names of people to notify
	// For is who alone may press the choices, names of people and roles; empty for all.
	For []string `json:"for,omitempty"`
	// Home sends it to the own place of the job of that number, wherever the message
	// was said.
	Home int `json:"-"`
	// Look is the look it calls its people to, 0 for none: who has its card in private
	// is called there.
	Look    int       `json:"-"`
	Picture []Picture `json:"pictures,omitempty"`
	// Print is a summary to go with it as a file.
	Print *Printout `json:"print,omitempty"`
	// Photos are kept photos to be shown with it. One that was deleted meanwhile is told
	// in its words.
	Photos []PhotoRef `json:"photos,omitempty"`
}

// Reply is what a message leads to.
type Reply struct {
	Events []Event
	Out    []Outgoing
	Forget []string // ids of photos of this job whose bytes are to be deleted
	Job    *Job     // with the events, where it is at hand; else Job.With gives it
}
