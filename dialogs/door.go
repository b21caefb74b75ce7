package dialogs

import (
	"errors"
	"strconv"
	"strings"
	"time"

	"shimwright/calc/unit"
	"shimwright/dialogs/listen"
	"shimwright/dialogs/phrase"
	"shimwright/rules"
)

// View is what is known outside a job: the job of this place, and all jobs.
type View struct {
	Here *JobLine  // nil where this place has no job
	All  []JobLine // newest first
	// Cards of all jobs by number. They cost more than the rest: nil until a reply
	// asked for them.
	Cards map[int]Card
	// Waiting is what waits for people, in all open jobs; only where AsksForLooks says
	// that the message is about it.
	Waiting []WaitingLook
}

// JobLine is one job in a list.
type JobLine struct {
	Number int
	ID     string
	Sheet  string
	Title  string
	By     string
	At     time.Time
	Closed bool
	Erased bool // what could name a person was taken out of it
}

// DoorReply is what a message about jobs leads to. Where it is not Handled the
// message belongs to the job of the place.
type DoorReply struct {
	Handled bool
	Out     []Outgoing
	Open    *Opening    // a job to open
	Switch  int         // the number of the job to talk about from here
	Units   unit.System // the person's own habit from now on
	Replies Replies     // how long the person is answered from now on
	Type    Type        // how large from now on
	Called  Calling     // how the person is called to a look from now on
	// Language is what the person is answered in from now on.
	Language phrase.Language
	Cards    bool // ask again with the cards of all jobs
	Erase    int  // the number of the job to take out of what could name a person
	Private  bool // the answer names jobs and people: it is not kept beside the message
}

// Opening is a job to open.
type Opening struct {
	Sheet string
	Title string
}

// Door answers what is said about jobs rather than in one: open, jobs, switch,
// sheets, units; and anything at all where the place has no job.
func (d *Desk) Door(s Said, v View) DoorReply {
	r := d.door(s, v)
	if r.Open != nil && len(s.Unkept) > 0 {
		r.Out = append(r.Out, Outgoing{Text: d.Phrases.In(s.By.Language).Say("photo.too_early")})
	}
	if large := s.By.Type == LargeType && r.Type == "" || r.Type == LargeType; large {
		for i, o := range r.Out {
			first, _, _ := strings.Cut(o.Text, "\n")
			r.Out[i].Large = []string{first}
		}
	}
	return r
}

func (d *Desk) door(s Said, v View) DoorReply {
	if r, ok := d.finds(s, v); ok {
		return r
	}
	if v.Here != nil {
		// Nearly all that is said in a job is for the job. What is not begins with a
		// command, and to find that the message need not be understood.
		verb := listen.VerbOf(s.Text)
		if rest, ok := d.mistypedOpen(s.Text); ok && verb == "" {
			return d.open(s, rest)
		}
		if !verb.AboutJobs() {
			return DoorReply{}
		}
	}
	if whole, ok := d.pending(s, firstSystem(s.By.Units, unit.InchUnits)); ok && v.Here == nil {
		s.Text = whole
	}
	u := d.Listen(listen.Input{Text: s.Text, Units: s.By.Units, Sender: senderOf(s.By.Role), Context: s.Context})
	if u.Command == nil {
		if rest, ok := d.mistypedOpen(s.Text); ok {
			return d.open(s, rest)
		}
		return d.outside(s, u, v)
	}
	rest, words := strings.TrimSpace(u.Command.Rest), d.Phrases.In(s.By.Language)
	switch u.Command.Verb {
	case listen.VerbOpen:
		return d.open(s, rest)
	case listen.VerbJobs, listen.VerbSwitch, listen.VerbReviews:
		if s.By.Role == Customer {
			return handled(words.Say("finding.not_for_customers"))
		}
	}
	switch u.Command.Verb {
	case listen.VerbJobs:
		return handled(jobLines(words, v)...)
	case listen.VerbSheets:
		return handled(d.sheetLines(s.By.Language)...)
	case listen.VerbSwitch:
		return switchTo(words, rest, v)
	case listen.VerbUnits:
		return unitsOf(words, rest, s)
	case listen.VerbReviews:
		return d.looksFor(s, v)
	case listen.VerbReplies:
		return d.repliesOf(rest, s)
	case listen.VerbType:
		return d.typeOf(rest, s)
	case listen.VerbCalled:
		return d.calledOf(rest, s)
	case listen.VerbLanguage:
		return d.languageOf(rest, s)
	case listen.VerbHelp, listen.VerbGlossary:
		if v.Here != nil {
			return DoorReply{}
		}
		if u.Command.Verb == listen.VerbHelp {
			return handled(helpText(words)...)
		}
		return handled(glossary(words, rest))
	}
	return d.outside(s, u, v)
}

// mistypedOpen finds "opn lapwing" and gives what follows the word.
func (d *Desk) mistypedOpen(text string) (rest string, ok bool) {
	first, rest, _ := strings.Cut(strings.TrimSpace(text), " ")
	if !slipOf(strings.ToLower(first), "open") {
		return "", false
	}
	sheet, _, _ := strings.Cut(rest, " ")
	return rest, d.known(sheet)
}

// known says whether a word is the name of a sheet.
func (d *Desk) known(word string) bool {
	_, err := d.Sheets.Sheet(strings.ToLower(strings.Trim(word, ",.:;")))
	return err == nil
}

// slipOf says whether a word is another with one letter wrong, lost or added.
func slipOf(word, meant string) bool {
	a, b := []rune(word), []rune(meant)
	if len(a) < 2 || len(b) < 3 || len(a)-len(b) > 1 || len(b)-len(a) > 1 {
		return false
	}
	i := 0
	for i < len(a) && i < len(b) && a[i] == b[i] {
		i++
	}
	j := 0
	for j < len(a)-i && j < len(b)-i && a[len(a)-1-j] == b[len(b)-1-j] {
		j++
	}
	return len(a)-i-j <= 1 && len(b)-i-j <= 1
}

func handled(lines ...string) DoorReply {
	return DoorReply{Handled: true, Out: []Outgoing{{Text: strings.Join(lines, "\n")}}}
}

// outside answers where there is no job: a question once, anything else with how
// to open one, chatter with nothing.
func (d *Desk) outside(s Said, u listen.Utterance, v View) DoorReply {
	if v.Here != nil {
		return DoorReply{}
	}
	if len(u.Cautions) == 0 && u.Command == nil && u.Kind == listen.Ignore && !s.Addressed {
		return DoorReply{Handled: true}
	}
	words := d.Phrases.In(s.By.Language)
	var out []Outgoing
	if sheet, err := d.askSheet("", s.By.Units); err == nil {
		out = d.ask(s, u, sheet, true)
	}
	if len(out) == 0 {
		if u.Kind == listen.Ignore && u.Command == nil && !s.Addressed {
			return DoorReply{Handled: true}
		}
		return handled(words.Say("door.nothing_logged"), words.Say("door.open_one", "sheet", d.exampleSheet()))
	}
	if len(u.Readings) > 0 || len(u.Moves) > 0 {
		out[len(out)-1].Text += "\n" + words.Say("door.nothing_logged_open", "sheet", d.exampleSheet())
	}
	return DoorReply{Handled: true, Out: out}
}

func (d *Desk) exampleSheet() string {
	if names := d.Sheets.Names(); len(names) > 0 {
		return names[0]
	}
	return "SHEET"
}

// open finds the sheet in "SHEET what it is about".
func (d *Desk) open(s Said, rest string) DoorReply {
	names, words := d.Sheets.Names(), d.Phrases.In(s.By.Language)
	listed := words.Say("door.sheets", "names", strings.Join(names, ", "))
	word, title, _ := strings.Cut(rest, " ")
	word = strings.ToLower(strings.Trim(word, ",.:;"))
	if word == "" {
		r := handled(words.Say("door.which_axle"), listed)
		for _, n := range names {
			r.Out[0].Choices = append(r.Out[0].Choices, "open "+n)
		}
		return r
	}
	sheet, err := d.Sheets.Sheet(word)
	if err != nil {
		// The sheet may stand anywhere in the line: "job: noisy rear, curlew".
		for _, w := range strings.FieldsFunc(strings.ToLower(rest), func(r rune) bool { return r == ' ' || r == ',' || r == ':' }) {
			for _, n := range names {
				if w == n {
					return DoorReply{Handled: true, Open: &Opening{Sheet: n, Title: strings.TrimSpace(strings.Replace(rest, w, "", 1))}}
				}
			}
		}
		return handled(sheetFault(words, word, err), listed)
	}
	return DoorReply{Handled: true, Open: &Opening{Sheet: sheet.Name, Title: clip(strings.Trim(title, " ,.:;"), 120)}}
}

// sheetFault says why a sheet cannot be had.
func sheetFault(words phrase.Speaker, name string, err error) string {
	if unknown := (*rules.UnknownSheet)(nil); errors.As(err, &unknown) {
		return words.Say("door.unknown_sheet", "name", unknown.Asked, "near", unknown.Nearest)
	}
	return words.Say("door.broken_sheet", "name", name)
}

func (d *Desk) sheetLines(lang phrase.Language) []string {
	var lines []string
	for _, n := range d.Sheets.Names() {
		if s, err := d.Sheets.Sheet(n); err == nil {
			lines = append(lines, n+": "+s.Said(string(lang), s.Title))
		}
	}
	return lines
}

func jobLines(words phrase.Speaker, v View) []string {
	var lines []string
	for _, j := range v.All {
		if j.Closed {
			continue
		}
		here := v.Here != nil && v.Here.Number == j.Number
		lines = append(lines, words.Say("door.job", "n", j.Number, "sheet", j.Sheet, "title", titled(j.Title), "by", j.By, "here", here))
		if len(lines) == 10 {
			break
		}
	}
	if len(lines) == 0 {
		return []string{words.Say("door.no_job")}
	}
	return lines
}

func switchTo(words phrase.Speaker, rest string, v View) DoorReply {
	n, err := strconv.Atoi(strings.TrimLeft(strings.TrimPrefix(strings.ToLower(rest), "job "), "# "))
	if err != nil {
		return handled(append([]string{words.Say("door.switch_which")}, jobLines(words, v)...)...)
	}
	for _, j := range v.All {
		if j.Number == n {
			r := handled(words.Say("door.switched", "n", j.Number, "sheet", j.Sheet, "title", titled(j.Title)))
			r.Switch = n
			return r
		}
	}
	return handled(append([]string{words.Say("door.unknown_job", "n", n)}, jobLines(words, v)...)...)
}

func unitsOf(words phrase.Speaker, rest string, s Said) DoorReply {
	switch {
	case strings.Contains(strings.ToLower(rest), "metric"), strings.Contains(strings.ToLower(rest), "mm"):
		r := handled(words.Say("door.metric", "name", s.By.Name))
		r.Units = unit.Metric
		return r
	case strings.Contains(strings.ToLower(rest), "inch"), strings.Contains(strings.ToLower(rest), "thou"), strings.Contains(strings.ToLower(rest), "imperial"):
		r := handled(words.Say("door.inch", "name", s.By.Name))
		r.Units = unit.InchUnits
		return r
	}
	return handled(words.Say("door.which_units"))
}

// repliesOf sets how long a person is answered.
func (d *Desk) repliesOf(length string, s Said) DoorReply {
	key := "job.replies_full"
	if length == string(ShortReplies) {
		key = "job.replies_short"
	}
	r := handled(d.Phrases.In(s.By.Language).Say(key, "name", s.By.Name))
	r.Replies = Replies(length)
	return r
}

// typeOf sets how large a person is written to.
func (d *Desk) typeOf(size string, s Said) DoorReply {
	words := d.Phrases.In(s.By.Language)
	var lines []string
	switch {
	case size != string(LargeType):
		size = string(NormalType)
		lines = []string{words.Say("job.type_normal", "name", s.By.Name)}
	case s.OneSize:
		lines = []string{words.Say("job.type_one_size"), words.Say("job.type_kept", "name", s.By.Name)}
	default:
		lines = []string{words.Say("job.type_large", "name", s.By.Name), words.Say("job.type_how")}
	}
	r := handled(lines...)
	r.Type = Type(size)
	return r
}

// languageOf sets what a person is answered in.
func (d *Desk) languageOf(code string, s Said) DoorReply {
	if code == "" {
		return handled(d.Phrases.In(s.By.Language).Say("job.which_language"))
	}
	r := handled(d.Phrases.In(phrase.Language(code)).Say("job.language_set", "name", s.By.Name))
	r.Language = phrase.Language(code)
	return r
}

// Opened starts a new job's log: the entry, and the welcome with the first
// question. What the opening line itself says ("new gears, noisy") is taken too.
func (d *Desk) Opened(number int, o Opening, s Said) (Reply, error) {
	sheet, err := d.Sheets.Sheet(o.Sheet)
	if err != nil {
		return Reply{}, err
	}
	t := &turn{desk: d, sheet: sheet, job: &Job{ID: strconv.Itoa(number)}, said: s, voice: d.voiceFor(s.By, sheet)}
	t.job.refold()
	if err := t.add(opened{Number: number, Sheet: o.Sheet, Title: o.Title, Made: d.made(sheet)}); err != nil {
		return Reply{}, err
	}
	t.step, t.field = Next(sheet, t.job)
	said := t.text("door.opened", "n", number, "title", t.voice.axleText(sheet.Title))
	for _, f := range d.Listen(listen.Input{Text: o.Title, Units: t.voice.own, Sender: senderOf(s.By.Role)}).Facts {
		if err := t.add(stated{Fact: f}); err != nil {
			return Reply{}, err
		}
		if f == listen.FactGearSetNew || f == listen.FactGearSetUsed {
			said += "; " + factWords(t.voice.words, f)
		}
	}
	t.understood = append(t.understood, said)
	t.tell(t.text("door.manual_wins"))
	if err := t.judge(); err != nil {
		return Reply{}, err
	}
	t.step = Step{} // so that the whole next line is said
	if err := t.begin(); err != nil {
		return Reply{}, err
	}
	return t.reply(), nil
}
