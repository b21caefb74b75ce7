package dialogs

import (
	"slices"
	"strings"
	"time"
	"unicode"
)

// Card is what is kept of a job to find it again and to count it, without folding
// its log.
type Card struct {
	Entries uint64    `json:"entries"` // of the log it was made from
	State   CardState `json:"state"`
	Last    time.Time `json:"last"` // the last entry
	People  []string  `json:"people,omitempty"`
	Words   []string  `json:"words,omitempty"` // what was said, each word once, in lower case
	Trials  int       `json:"trials,omitempty"`
	Good    bool      `json:"good,omitempty"`   // the trial assemblies ended well
	Again   int       `json:"again,omitempty"`  // how often the job was taken up again after it was closed
	Redone  int       `json:"redone,omitempty"` // steps taken up again and readings sent back
	// Spent is minutes by part of the job, pauses left out; see stageOf.
	Spent map[StepID]int `json:"spent,omitempty"`
}

// CardState is where a job is.
type CardState string

// The states. A job that is erased is closed, too.
const (
	CardOpen    CardState = "open"
	CardWaiting CardState = "waiting"  // for a review
	CardHeld    CardState = "held"     // on hold
	CardGood    CardState = "good"     // trial assemblies ended well, not closed yet
	CardBreakIn CardState = "break-in" // under way
	CardClosed  CardState = "closed"
	CardErased  CardState = "erased"
)

// Limits of a card: a shop has thousands of them in memory.
const (
	mostWords  = 160
	mostPeople = 20
	leastWord  = 3 // letters
)

// Card makes the card of a job.
func (d *Desk) Card(j *Job) Card {
	c := Card{Entries: j.Version(), State: d.cardState(j), Good: j.Finished, Spent: map[StepID]int{}}
	for i := range j.Trials {
		if t := &j.Trials[i]; t.read() && !t.Final {
			c.Trials++
		}
	}
	seen := map[string]bool{}
	words := func(text string) {
		for _, w := range wordsOf(text) {
			if !seen[w] && len(c.Words) < mostWords {
				seen[w] = true
				c.Words = append(c.Words, w)
			}
		}
	}
	words(j.Title)
	over := false
	for _, e := range j.Log {
		if e.By != "" && len(c.People) < mostPeople && !slices.Contains(c.People, e.By) {
			c.People = append(c.People, e.By)
		}
		words(e.Said)
		if e.At.After(c.Last) {
			c.Last = e.At
		}
		if !e.Live {
			continue
		}
		switch p := e.payload.(type) {
		case *closed:
			over = true
		case *reopened:
			if over {
				over = false
				c.Again++
			}
			if p.Step != "" {
				c.Redone++
			}
		case *reviewed:
			if p.Decision == "redo" {
				c.Redone++
			}
		}
	}
	slices.Sort(c.Words)
	slices.Sort(c.People)
	for _, s := range j.spent() {
		c.Spent[s.Stage] += int(s.Time.Round(time.Minute) / time.Minute)
	}
	return c
}

func (d *Desk) cardState(j *Job) CardState {
	switch {
	case j.Erased:
		return CardErased
	case j.Closed:
		return CardClosed
	case j.Held || len(j.Stops()) > 0:
		return CardHeld
	}
	if s, err := d.Sheets.Sheet(j.Sheet); err == nil {
		if _, _, waits := j.openLook(s); waits {
			return CardWaiting
		}
		if j.BreakIn != nil && roadOf(s, j).phase != driven {
			return CardBreakIn
		}
	}
	if j.Finished {
		return CardGood
	}
	return CardOpen
}

// wordsOf gives the words of a text that a job can be found by.
func wordsOf(text string) []string {
	var out []string
	for _, w := range strings.FieldsFunc(strings.ToLower(text), func(r rune) bool { return !unicode.IsLetter(r) && r != '-' }) {
		w = strings.Trim(w, "-")
		if len([]rune(w)) >= leastWord && len(w) <= 40 {
			out = append(out, w)
		}
	}
	return out
}
