package dialogs

import (
	"regexp"
	"strconv"
	"strings"
	"time"

	"shimwright/dialogs/listen"
)

// OpenLook is the look a job waits for, as far as who is to be called needs it.
type OpenLook struct {
	Look int
	To   []string // names of people and roles whose look it is
	Not  []string // who entered what it shows, and so may not answer it
}

// OpenLook gives the look a job waits for, the zero value where it waits for none.
func (d *Desk) OpenLook(j *Job) OpenLook {
	if j == nil || len(j.Reviews) == 0 || j.Closed || j.ReadOnly != "" || j.TakenBy != "" {
		return OpenLook{} // a mentor who does the job asks nobody
	}
	sheet, err := d.Sheets.Sheet(j.Sheet)
	if err != nil {
		return OpenLook{}
	}
	open, sh, ok := j.openLook(sheet)
	if !ok {
		return OpenLook{}
	}
	return OpenLook{Look: open.Look, To: []string{mentorOf(open.To)}, Not: sh.authors()}
}

// PrivateLook lays the look a job waits for before one person who may answer it, in
// their own words and units; from names the platform the job lives on where that is
// another one, link leads to its thread; both may be empty. False where the job waits
// for no look, or not for theirs.
func (d *Desk) PrivateLook(j *Job, to Person, from, link string, now time.Time) (Outgoing, bool) {
	sheet, err := d.Sheets.Sheet(j.Sheet)
	if err != nil || d.OpenLook(j).Look == 0 || !to.Role.Reviews() {
		return Outgoing{}, false
	}
	open, sh, ok := j.openLook(sheet)
	if !ok || sh.by(to.Name) {
		return Outgoing{}, false
	}
	t := &turn{desk: d, sheet: sheet, job: j, said: Said{By: to, At: now}, voice: d.voiceFor(to, sheet).at(now), noNext: true}
	t.step, t.field = Next(sheet, j)
	o := t.card(open.reviewed, sh)
	o.Ping = nil
	o.Text += "\n" + t.text("review.private", "job", j.Number, "from", from)
	if link != "" {
		o.Text += "\n" + link
	}
	for i := range o.Picture {
		o.Picture[i].Language = to.Language
	}
	return o, true
}

// LookAgain calls somebody up in private who has a look before them.
func (d *Desk) LookAgain(j *Job, look int, to Person, now time.Time) (Outgoing, bool) {
	sheet, err := d.Sheets.Sheet(j.Sheet)
	if err != nil || j.Closed || !to.Role.Reviews() {
		return Outgoing{}, false
	}
	open, sh, ok := j.openLook(sheet)
	if !ok || open.Look != look {
		return Outgoing{}, false
	}
	t := &turn{desk: d, sheet: sheet, job: j, said: Said{By: to, At: now}, voice: d.voiceFor(to, sheet).at(now)}
	said := t.text("review.remind", "n", look, "step", t.voice.say(sh.step.Title), "by", strings.Join(sh.authors(), ", "), "ago", t.duration(now.Sub(open.At)))
	return Outgoing{Text: t.text("review.private_again", "job", j.Number, "sheet", j.Sheet, "title", titled(j.Title), "said", said)}, true
}

// LookOver says what became of a look that was laid before somebody, to stand in its
// place.
func (d *Desk) LookOver(j *Job, look int, to Person) string {
	words := d.Phrases.In(to.Language)
	head := words.Say("review.over_head", "n", look, "job", j.Number, "sheet", j.Sheet, "title", titled(j.Title))
	how := words.Say("review.over_changed")
	if a := j.answered(look); a != nil && a.Decision == reviewApprove {
		how = words.Say("review.over_approved", "by", a.By)
	} else if a != nil {
		how = words.Say("review.over_again", "by", a.By)
	} else if j.Closed {
		how = words.Say("review.over_closed")
	} else if j.TakenBy != "" {
		how = words.Say("review.over_taken", "by", j.TakenBy)
	} else if open := d.OpenLook(j).Look; open > look {
		how = words.Say("review.over_next", "n", open)
	}
	return head + "\n" + how
}

// LookUnreached says in the job, to somebody, that a look could not be laid before them
// in private.
func (d *Desk) LookUnreached(look int, who string) Outgoing {
	return Outgoing{Text: d.Phrases.In("").Say("review.unreached", "who", who, "n", look), Ping: []string{who}}
}

// LookRef names a look of a job.
type LookRef struct{ Job, Look int }

// WhichLook asks which of several looks an answer means.
func (d *Desk) WhichLook(to Person, looks []LookRef) Outgoing {
	words := d.Phrases.In(to.Language)
	var list []string
	for _, l := range looks {
		list = append(list, words.Say("review.private_look", "job", l.Job, "n", l.Look))
	}
	return Outgoing{Text: words.Say("review.private_which", "looks", strings.Join(list, ", "), "job", looks[0].Job, "n", looks[0].Look)}
}

// LookWord is what a message says about a look, as far as it must be known before the
// job is.
type LookWord struct {
	Answer bool   // it answers a look, or asks about one
	Look   int    // the look it names, 0 for none
	Job    int    // the job it begins with: "job 7: approve 2"; 0 for none
	Text   string // what follows that
}

var jobFirst = regexp.MustCompile(`(?is)^\s*(?:job|trabajo)\s*#?\s*([0-9]{1,9})\s*[:,.;-]?\s+(\S.*)$`)

// LookWord reads a message somebody who may review wrote in private.
func (d *Desk) LookWord(s Said) LookWord {
	read := func(text string) LookWord {
		u := d.Listen(listen.Input{Text: text, Units: s.By.Units, Sender: senderOf(s.By.Role)})
		answers := u.Decision != "" && u.Decision != listen.DecisionRequest || u.Back || u.Look > 0
		return LookWord{Answer: answers, Look: u.Look, Text: text}
	}
	if m := jobFirst.FindStringSubmatch(s.Text); m != nil {
		if n, err := strconv.Atoi(m[1]); err == nil {
			if w := read(m[2]); w.Answer {
				w.Job = n
				return w
			}
		}
	}
	return read(s.Text)
}

// calledOf sets how somebody is called to a look.
func (d *Desk) calledOf(how string, s Said) DoorReply {
	key := "review.called_private"
	if Calling(how) == InThread {
		key = "review.called_thread"
	}
	r := handled(d.Phrases.In(s.By.Language).Say(key, "name", s.By.Name))
	r.Called = Calling(how)
	return r
}

// Calling is how somebody is called to a look.
type Calling string

// The ways. In private is how it is where nobody said otherwise.
const (
	InPrivate Calling = "private"
	InThread  Calling = "thread"
)
