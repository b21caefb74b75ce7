package dialogs

import (
	"cmp"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"shimwright/calc/unit"
	"shimwright/dialogs/listen"
	"shimwright/rules"
)

// Answer takes a message into a job: the events it brings and the reply. A
// message the log already has brings nothing. The error is internal (a sheet that
// cannot be found, an entry that cannot be written), never the person's fault.
func (d *Desk) Answer(j *Job, s Said) (Reply, error) {
	if j.Heard(s.ID) {
		return Reply{}, nil
	}
	sheet, err := d.Sheets.Sheet(j.Sheet)
	if err != nil {
		return say(d.Words(s.By.Language).Say("job.sheet_gone", "n", j.Number, "sheet", j.Sheet)), nil
	}
	if j.ReadOnly != "" {
		return say(d.Words(s.By.Language).Say("job.newer", "n", j.Number)), nil
	}
	t := &turn{desk: d, sheet: sheet, job: j, said: s, voice: d.voiceFor(s.By, sheet).at(s.At)}
	t.step, t.field = t.next()
	t.came, t.wasGood = j.Version(), j.Finished
	held := t.approvals()
	if err := t.take(); err != nil {
		return Reply{}, err
	}
	if err := t.watch(); err != nil {
		return Reply{}, err
	}
	if err := t.begin(); err != nil {
		return Reply{}, err
	}
	t.leftOpen()
	if err := t.keepReviews(held); err != nil {
		return Reply{}, err
	}
	r := t.reply()
	if len(r.Events) > 0 {
		r.Job = t.job
	}
	return r, nil
}

func say(lines ...string) Reply {
	return Reply{Out: []Outgoing{{Text: strings.Join(lines, "\n")}}}
}

// turn is one message being answered.
type turn struct {
	desk  *Desk
	sheet *rules.Sheet
	job   *Job // with the events so far
	said  Said
	voice voice
	step  Step   // where the job stood when the message came
	field *Field // what it asked for then

	u           listen.Utterance
	events      []Event
	understood  []string // the echo
	cautions    []string
	answer      []string // what was asked for
	choices     []string
	ping        []string
	calling     []string // who will be called with this answer
	look        int      // the look those are called to, 0 for none
	pictures    []Picture
	printout    *Printout
	more        []Outgoing      // messages besides the answer: a look's card, word for the job's own place
	came        uint64          // the job's version before this message
	unmarked    bool            // it says that the caps have no marks, with the axle together
	wasGood     bool            // the trial had been called good when it came
	dangersOnly bool            // notes about what is not on record are left out
	shownNow    map[string]bool // rules shown in this reply
	retracted   []uint64        // what a correction of this message took back
	stopped     bool            // a new stop was raised by this message
	fits        []listen.Fit    // what the message says of parts that are warmed or chilled
	road        listen.Road     // what the message says of drives, heat and noise
	roadText    string          // the text that was read for it
	onRoad      bool            // the message is about that
	wasNoisy    bool            // a noise was being asked about when it came
	asking      []uint64        // entries of photos that were asked about before
	forget      []string        // photos whose bytes are to be deleted
	quiet       bool            // nothing to say, not even what comes next
	noNext      bool            // the answer says what comes next itself
	figures     []string        // lines of the answer that say what to change
	at          position        // what Next gave last
}

// position is the step and field a job on a sheet is at. A job is never changed in
// place, so it holds as long as the job is this one.
type position struct {
	sheet *rules.Sheet
	job   *Job
	step  Step
	field *Field
}

// next gives the step the job is at and the field it asks for first; see Next.
func (t *turn) next() (Step, *Field) {
	if t.at.sheet != t.sheet || t.at.job != t.job {
		t.at = position{sheet: t.sheet, job: t.job}
		t.at.step, t.at.field = Next(t.sheet, t.job)
	}
	return t.at.step, t.at.field
}

// add appends an event and brings the job up to it.
func (t *turn) add(p payload) error {
	e := t.said.event(p)
	next, err := t.job.With([]Event{e})
	if err != nil {
		return err
	}
	t.events, t.job = append(t.events, e), next
	return nil
}

// text gives a phrase in the language of who is answered.
func (t *turn) text(key string, namesAndValues ...any) string {
	return t.voice.words.Say(key, namesAndValues...)
}

// tell adds lines to the answer.
func (t *turn) tell(lines ...string) { t.answer = append(t.answer, lines...) }

// take reads the message and does what it says.
func (t *turn) take() error {
	if t.said.Edits != "" {
		if err := t.retractMessage(t.said.Edits); err != nil {
			return err
		}
	}
	if (len(t.said.Files) > 0 || len(t.said.Unkept) > 0) && t.job.Closed {
		t.noNext = true
		t.tell(t.text("job.closed_nothing_logged", "n", t.job.Number), t.text("job.closed_how_to_reopen"))
		return nil
	}
	if all, err := t.answerPhotos(); err != nil {
		return err
	} else if all && len(t.said.Files) == 0 {
		return t.advance()
	}
	if err := t.attach(); err != nil {
		return err
	}
	if t.said.Text == "" {
		t.noNext = true // a photo alone is answered shortly
		return t.askPhotos()
	}
	text, err := t.resolveChoice(t.said.Text)
	if err != nil || text == "" {
		return err
	}
	if err := t.read(text); err != nil {
		return err
	}
	if err := t.bindPhotos(); err != nil {
		return err
	}
	return t.askPhotos()
}

// read does what a text says.
func (t *turn) read(text string) error {
	if done, err := t.deletePhoto(text); done || err != nil {
		return err
	}
	if len(t.said.Files)+len(t.said.Unkept) == 0 && barePhoto.MatchString(text) {
		t.noNext = true
		t.tell(t.text("photo.none_came"))
		return nil
	}
	if done, err := t.labelPhoto(text); done || err != nil {
		return err
	}
	text = t.pressed(text)
	if whole, ok := t.desk.pending(t.said, t.voice.own); ok {
		text = whole
	}
	if t.mayAct() {
		if done, err := t.shortcut(text); done || err != nil {
			return err
		}
	}
	t.u, t.roadText = t.desk.Listen(t.input(text)), text
	t.hearFits(text)
	if ask := t.doubt(text); ask != nil {
		return t.ask(ask)
	}
	t.stillMarked(text)
	if other := t.ofAnother(text); other != "" {
		t.noNext = true
		t.tell(t.text("talk.of_another", "other", other, "n", t.job.Number, "sheet", t.job.Sheet), t.text("talk.of_another_how"))
		return nil
	}
	if t.u.Command != nil && isReasoned(t.u.Command.Verb) {
		// The rest of the line is a reason, not something to log or to warn of.
		t.u.Readings, t.u.Moves, t.u.Facts, t.u.Cautions, t.u.Retract = nil, nil, nil, nil, nil
		t.u.Signed, t.u.Damage = nil, nil
	}
	if t.job.Closed && !(t.u.Command != nil && isLook(t.u.Command.Verb)) {
		if t.u.Kind == listen.Ignore && t.u.Command == nil && !t.said.Addressed {
			t.quiet = true
			return nil
		}
		t.tell(t.text("job.closed_nothing_logged", "n", t.job.Number), t.text("job.closed_how_to_reopen"))
		t.noNext = true
		if t.u.Command == nil || t.u.Command.Verb != listen.VerbReopen {
			return nil
		}
		t.answer = nil
	}
	return t.act()
}

// isLook says whether a command only looks at the job.
func isLook(v listen.Verb) bool {
	switch v {
	case listen.VerbStatus, listen.VerbSummary, listen.VerbLog, listen.VerbWhy, listen.VerbHelp, listen.VerbGlossary,
		listen.VerbPicture, listen.VerbLabels, listen.VerbParts, listen.VerbTools, listen.VerbTorques, listen.VerbDamage:
		return true
	}
	return false
}

// isReasoned says whether a command carries a reason in free words.
func isReasoned(v listen.Verb) bool {
	switch v {
	case listen.VerbSkip, listen.VerbOverride, listen.VerbClose, listen.VerbReopen:
		return true
	}
	return false
}

// input is what listen gets: the text with the open question.
func (t *turn) input(text string) listen.Input {
	in := listen.Input{Text: text, Units: t.voice.own, Sender: senderOf(t.said.By.Role), Context: t.said.Context}
	if t.field != nil {
		in.Expect = t.field.What
	}
	_, _, in.Look = t.job.openLook(t.sheet)
	return in
}

// act goes through what was understood, in the order in which it depends on each
// other: corrections first, then readings, moves and facts, then the cautions they
// raise, then what was asked.
func (t *turn) act() error {
	u := t.u
	if err := t.correct(); err != nil {
		return err
	}
	if err := t.takeRoad(); err != nil {
		return err
	}
	u = t.u
	for _, r := range u.Readings {
		if err := t.record(r); err != nil {
			return err
		}
	}
	if err := t.takeFits(); err != nil {
		return err
	}
	if err := t.move(); err != nil {
		return err
	}
	if t.unmarked {
		if err := t.add(stated{Fact: listen.FactCapsMarked, No: true}); err != nil {
			return err
		}
	}
	for _, f := range t.u.Facts {
		if err := t.add(stated{Fact: f}); err != nil {
			return err
		}
		t.understood = append(t.understood, factWords(t.voice.words, f))
	}
	t.halfSeated()
	if err := t.sign(); err != nil {
		return err
	}
	if err := t.damage(); err != nil {
		return err
	}
	if err := t.review(); err != nil {
		return err
	}
	asked, err := t.askBack()
	if err != nil || asked {
		return err
	}
	if err := t.answerBack(); err != nil {
		return err
	}
	if err := t.judge(); err != nil {
		return err
	}
	if err := t.holdRoad(); err != nil {
		return err
	}
	if u.Ask != nil {
		return t.ask(u.Ask)
	}
	if u.Command != nil {
		return t.command(*u.Command)
	}
	if err := t.question(); err != nil {
		return err
	}
	if len(t.events) == 0 && len(t.answer) == 0 && len(t.cautions) == 0 {
		if f := t.field; f != nil && len(f.Facts) > 0 && saysYesTo(strings.ToLower(t.roadText), t.voice.say(f.Prompt)) {
			return t.yesNo(true)
		}
		switch {
		case t.putsRight():
			t.quiet = false
		case t.u.Unread && t.mayAct() && !t.job.Closed:
			t.quiet = false
			t.tellUnread()
		case !t.said.Addressed:
			t.quiet = true
			return nil
		default:
			t.tell(t.text("talk.not_understood"))
		}
	}
	return t.advance()
}

// tellUnread says that nothing was made of an answer, and of a question about what is
// asked why it is asked.
func (t *turn) tellUnread() {
	switch why := t.field; {
	case t.u.Kind != listen.Question:
		t.tell(t.text("talk.unread"))
	case why != nil && t.voice.say(why.Why) != "":
		t.tell(t.voice.say(why.Why))
	default:
		t.tell(t.text("question.cannot"))
	}
}

// halfSeated says which half of a question is open still: bearings can be seated and be
// the setup bearings.
func (t *turn) halfSeated() {
	f := t.field
	if f == nil || !slices.Contains(f.Facts, listen.FactFinalBearingsIn) || slices.Contains(t.u.Facts, listen.FactFinalBearingsIn) || !slices.Contains(t.u.Facts, listen.FactBearingsSeated) {
		return
	}
	t.tell(t.text("talk.half_seated"))
	t.noNext = true
}

// record files one reading.
func (t *turn) record(r listen.Reading) error {
	if !finite(r.Numbers()) {
		return nil
	}
	if done, err := t.torqueDone(r); done || err != nil {
		return err
	}
	var expect Slot
	if t.field != nil {
		expect = t.field.Slot
	}
	old := t.replaced(r.What)
	if old != nil {
		expect = old.Slot
	}
	slot := slotFor(r, t.filesAt(), expect)
	if old == nil {
		slot = t.job.apartSince(slot, r.Which)
	}
	if old == nil && t.tellsOfEarlier(slot, r) {
		return nil
	}
	m := t.joined(t.mend(measuredFrom(slot, r), old))
	if err := t.add(m); err != nil {
		return err
	}
	t.understood = append(t.understood, t.voice.echo(m))
	switch {
	case m.Slot == Teeth && len(m.Values) == 2:
		t.tell(t.teeth(m.Values))
	case m.Slot == OilFill:
		return t.oilIn(m)
	}
	return nil
}

// joined completes a pattern that says only the half the one before it left out:
// "drive heel", and then "drive low" once the height was asked for.
func (t *turn) joined(m measured) measured {
	if m.What != listen.PatternDrive && m.What != listen.PatternCoast {
		return m
	}
	have := t.job.onTrial(m.Slot)
	switch {
	case have == nil:
	case m.Along == "" && m.Across != "" && have.Along != "" && have.Across == "":
		m.Along = have.Along
	case m.Across == "" && m.Along != "" && have.Across != "" && have.Along == "":
		m.Across = have.Across
	}
	return m
}

// onTrial gives the pattern of a slot that was read on what is in the housing now.
func (j *Job) onTrial(slot Slot) *Reading {
	switch slot {
	case TrialDrive, FinalDrive:
		if r := j.Trial().Drive; r != nil && r.Slot == slot {
			return r
		}
	case TrialCoast, FinalCoast:
		if r := j.Trial().Coast; r != nil && r.Slot == slot {
			return r
		}
	case FoundDrive, FoundCoast:
		return j.slot(slot)
	}
	return nil
}

// onlyBefore is a "before" that does not say before what.
var onlyBefore = regexp.MustCompile(`(?i)\bbefore\s*(?:$|[,.;!)]|(?:and|but|now)\b)`)

// tellsOfEarlier says whether a reading is what an earlier trial read ("was 12, now 9"):
// that is on record, and it is not what was found before the teardown.
func (t *turn) tellsOfEarlier(slot Slot, r listen.Reading) bool {
	if r.Which != "old" && !(r.Which == "before_teardown" && onlyBefore.MatchString(t.said.Text)) {
		return false
	}
	switch slot {
	case FoundBacklash, FoundDrive, FoundCoast, FoundDrag:
	default:
		return false
	}
	first := t.job.Trials[0]
	return t.step.ID != StepOpen && t.step.ID != StepFound && t.step.ID != StepTeardown && (first.Backlash != nil || first.Drive != nil || first.Coast != nil)
}

// teeth says the ratio of the counted teeth, and whether it is the sheet's.
func (t *turn) teeth(counts []float64) string {
	low, high := int(min(counts[0], counts[1])), int(max(counts[0], counts[1]))
	line := ratioLine(t.voice.words, low, high)
	if low != t.sheet.Pinion.Teeth || high != t.sheet.Ring.Teeth {
		line += " " + t.text("talk.not_the_sheets", "pinion", t.sheet.Pinion.Teeth, "ring", t.sheet.Ring.Teeth)
	}
	return line
}

// move files the moves that were made, and a mentor's order as an order.
func (t *turn) move() error {
	for _, m := range t.u.Moves {
		mv := movedFrom(m)
		mv.From, mv.To = place(t.sheet, mv.From), place(t.sheet, mv.To)
		if err := t.add(mv); err != nil {
			return err
		}
		t.understood = append(t.understood, t.moveWords(mv))
	}
	if len(t.u.Moves) > 0 {
		t.tell(t.buildLine())
	}
	if len(t.u.Pending) > 0 && t.said.By.Role.Reviews() {
		var moves []moved
		var words []string
		for _, m := range t.u.Pending {
			mv := movedFrom(m)
			mv.From, mv.To = place(t.sheet, mv.From), place(t.sheet, mv.To)
			moves = append(moves, mv)
			words = append(words, t.moveWords(mv))
		}
		if err := t.add(instructed{Moves: moves}); err != nil {
			return err
		}
		t.tell(t.text("talk.to_do", "by", t.said.By.Name, "moves", strings.Join(words, "; ")), t.text("talk.nothing_moved_yet"))
	}
	return nil
}

// moveWords says a move: 0.010 in from the right stack to the left.
func (t *turn) moveWords(m moved) string {
	amount := ""
	switch {
	case m.Notches != 0 && t.sheet.Carrier.PerNotch() > 0:
		amount = t.voice.notches(m.Notches) + " (" + t.voice.length(unit.Length(m.Notches)*t.sheet.Carrier.PerNotch()) + ")"
	case m.Notches != 0:
		amount = t.voice.notches(m.Notches)
	case m.Amount != 0:
		amount = t.voice.length(m.Amount)
	default:
		amount = t.text("talk.shim")
	}
	from, to := t.placeName(m.From), t.placeName(m.To)
	switch {
	case from != "" && to != "":
		return t.text("talk.from_to", "amount", amount, "from", from, "to", to)
	case from != "":
		return t.text("talk.out_of", "amount", amount, "from", from)
	case to != "":
		return t.text("talk.into", "amount", amount, "to", to)
	}
	return t.text("talk.moved", "amount", amount)
}

func (t *turn) placeName(p string) string {
	switch p {
	case "left":
		return t.text("talk.the_left")
	case "right":
		return t.text("talk.the_right")
	case "pinion":
		return t.text("talk.the_pinion")
	case "preload_pack":
		return t.text("talk.the_pack")
	}
	return ""
}

// judge runs the rules over the job as it now stands, shows what is new, raises
// holds and lifts those whose cause is gone. What this message's words raise is
// always said; what the figures on record raise is said once.
func (t *turn) judge() error {
	return t.judgeFacts(factsOf(t.sheet, t.job, t.said, t.u, t.filesAt()))
}

// begin shows what a step that has just begun warns of.
func (t *turn) begin() error {
	step, _ := t.next()
	if step.ID == t.step.ID || t.quiet || t.noNext || step.ID == StepFinished {
		return nil
	}
	var err error
	t.asAsked(func() {
		for _, enter := range entering() {
			err = cmp.Or(err, enter(t, step))
		}
	})
	if err != nil {
		return err
	}
	facts := factsOf(t.sheet, t.job, t.said, listen.Utterance{}, step.ID)
	facts.Doing = rules.Say("begin")
	return t.judgeFacts(facts)
}

func (t *turn) judgeFacts(facts rules.Facts) error {
	findings := t.desk.Rules.Evaluate(facts)
	facts.Heard, facts.Stated = nil, nil
	standing := map[string]bool{}
	if len(findings) > 0 {
		for _, f := range t.desk.Rules.Evaluate(facts) {
			standing[f.ID] = true
		}
	}
	for _, f := range findings {
		if standing[f.ID] && t.job.shown(f) || t.shownNow[f.ID] || t.dangersOnly && f.Level == rules.Note {
			continue
		}
		w := warned{Rule: f.ID, Level: string(f.Level), Text: f.Text, Spoken: !standing[f.ID]}
		if f.English != f.Text {
			w.English = f.English
		}
		if err := t.add(w); err != nil {
			return err
		}
		if t.shownNow == nil {
			t.shownNow = map[string]bool{}
		}
		t.shownNow[f.ID] = true
		t.cautions = append(t.cautions, t.levelWord(f.Level)+": "+f.Text)
		if f.Hint != "" {
			t.cautions = append(t.cautions, f.Hint)
		}
		t.stopped = t.stopped || f.Level == rules.Stop
	}
	return t.lift(standing, facts)
}

func (t *turn) levelWord(l rules.Level) string {
	switch l {
	case rules.Stop:
		return t.text("job.level_stop")
	case rules.Caution:
		return t.text("job.level_caution")
	}
	return t.text("job.level_note")
}

// shown says whether a finding was already shown in these words and still stands.
func (j *Job) shown(f rules.Finding) bool {
	for i := len(j.Warnings) - 1; i >= 0; i-- {
		if w := j.Warnings[i]; w.Rule == f.ID {
			return w.English == f.English && w.Closed != "cleared"
		}
	}
	return false
}

// ask puts the question back, once, with its choices.
func (t *turn) ask(a *listen.Ask) error {
	if err := t.add(asked{About: t.said.Text, Text: a.Text, Choices: a.Choices}); err != nil {
		return err
	}
	t.tell(t.voice.askWords(a))
	t.choices = t.voice.askChoices(a.Choices)
	t.noNext = true
	return nil
}

// resolveChoice turns the answer to an open question into the text it stands for.
// A message that is no answer closes the question: it is not asked twice.
func (t *turn) resolveChoice(text string) (string, error) {
	q := t.job.Open
	if q == nil {
		return text, nil
	}
	answer := strings.ToLower(strings.Trim(strings.TrimSpace(text), ".!"))
	for i, c := range q.Choices {
		if answer == strconv.Itoa(i+1) || answer == strings.ToLower(c) || answer == strings.ToLower(t.voice.askChoice(c)) {
			return c, t.add(answered{Question: q.Seq})
		}
	}
	return text, t.add(answered{Question: q.Seq, Dropped: true})
}

// goesOnAtHome gives what the job's own place is told where somebody elsewhere answered
// a look: the job goes on there, and what comes next is for whoever works on it.
func (t *turn) goesOnAtHome() *Outgoing {
	if !t.said.Elsewhere || t.u.Decision == "" {
		return nil
	}
	for i := range t.more {
		if t.more[i].Home == t.job.Number && t.more[i].Look == 0 {
			return &t.more[i]
		}
	}
	return nil
}

// reply puts the message together: what was understood, what is dangerous, the
// answer, and what comes next.
func (t *turn) reply() Reply {
	r := Reply{Events: t.events, Forget: t.forget}
	if t.quiet {
		return r
	}
	var lines []string
	if len(t.understood) > 0 {
		lines = append(lines, strings.Join(t.understood, "; "))
	}
	var next []string
	if !t.noNext {
		t.asAsked(func() { next = t.nextLines() })
	}
	if home := t.goesOnAtHome(); home != nil && len(next)+len(t.cautions) > 0 {
		home.Text = strings.Join(slices.Concat([]string{home.Text}, t.cautions, next), "\n")
		home.Choices, home.Picture = t.choices, t.pictures
		t.cautions, next, t.choices, t.pictures = nil, nil, nil, nil
	}
	lines = append(lines, t.cautions...)
	lines = append(lines, t.answer...)
	lines = append(lines, next...)
	if len(lines) > 0 {
		r.Out = []Outgoing{{Text: strings.Join(lines, "\n"), Choices: t.choices, Ping: t.ping, Look: t.look, Picture: t.pictures, Print: t.printout, Large: t.largeOf(next)}}
	}
	r.Out = append(r.Out, t.more...)
	for _, o := range r.Out {
		for i := range o.Picture {
			o.Picture[i].Language = cmp.Or(o.Picture[i].Language, t.said.By.Language)
		}
	}
	return r
}
