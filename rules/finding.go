package rules

// Level is how much a caution asks for.
type Level string

// The levels. A stop holds the job until someone overrides it with a reason.
const (
	Note    Level = "note"
	Caution Level = "caution"
	Stop    Level = "stop"
)

// Finding is a rule that fired: its id, its level, what is the matter, and on a
// line of its own what to do.
type Finding struct {
	ID    string
	Level Level
	Text  string
	Hint  string
	// English is Text in English: the same finding has the same in every language.
	English string
}
