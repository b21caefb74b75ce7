package dialogs

import (
	"slices"
	"strconv"
	"strings"
	"unicode"

	"shimwright/calc/unit"
	"shimwright/dialogs/advise"
	"shimwright/dialogs/listen"
)

// shortcut takes answers that only make sense to the open question: one of its
// options by number or word, "same" for the old stack.
func (t *turn) shortcut(text string) (bool, error) {
	if t.field == nil || t.job.Closed || t.field.road() {
		return false, nil
	}
	answer := strings.ToLower(strings.Trim(strings.TrimSpace(text), ".!"))
	if t.field.Act == actGuess {
		return t.guess(answer)
	}
	for i, option := range t.voice.sayAll(t.field.Options) {
		if answer != strconv.Itoa(i+1) && answer != option && !(len(t.field.Choice) > 0 && slipOf(answer, option)) {
			continue
		}
		if len(t.field.Choice) == 0 {
			return true, t.yesNo(i == 0)
		}
		id := t.field.Choice[i]
		if err := t.add(stated{Fact: id}); err != nil {
			return true, err
		}
		t.understood = append(t.understood, factWords(t.voice.words, id))
		return true, t.advance()
	}
	answer = withoutAsked(answer, t.field.Slot)
	if (t.field.Slot == OldMark || t.field.Slot == NewMark) && isNone(answer) {
		m := measured{Slot: t.field.Slot, What: t.field.What, Values: []float64{0}, Unit: "in"}
		if t.voice.own == unit.Metric {
			m.Unit = "mm"
		}
		if err := t.add(m); err != nil {
			return true, err
		}
		t.understood = append(t.understood, t.voice.echo(m))
		return true, t.advance()
	}
	if t.field.Act == "advice" && readsSame(answer) {
		if done, err := t.readsAsBefore(); done || err != nil {
			return true, err
		}
	}
	if isSame(answer) {
		if done, err := t.asPlanned(); done || err != nil {
			return true, err
		}
	}
	old, ok := t.oldOf(t.field.Slot)
	if !ok || !isSame(answer) {
		return false, nil
	}
	m := measured{Slot: t.field.Slot, What: t.field.What, Values: old.Values, Sum: len(old.Values) == 1, Unit: old.Unit}
	if err := t.add(m); err != nil {
		return true, err
	}
	t.understood = append(t.understood, t.voice.echo(m))
	return true, t.advance()
}

// saysYesTo says whether an answer is a yes in the words of the question: "yes pressed
// on", "ok marked now". One word more, and it is left to the listener.
func saysYesTo(answer, prompt string) bool {
	fillers := []string{"they", "theyre", "are", "it", "its", "is", "s", "re", "all", "now", "both", "and", "the", "ya", "está", "están", "todo", "y"}
	asked := words(strings.ToLower(prompt))
	yes := false
	for _, w := range words(answer) {
		of := slices.ContainsFunc(asked, func(a string) bool { return a == w || len(w) > 4 && len(a) > 4 && a[:5] == w[:5] })
		switch {
		case slices.Contains([]string{"yes", "yep", "yeah", "yup", "ok", "okay", "sí", "si", "added", "fitted", "checked", "done"}, w):
			yes = true
		case of && (w == "in" || w == "on"):
			yes = true // "it's in"
		case of && (strings.HasSuffix(w, "ed") || strings.HasSuffix(w, "das") || strings.HasSuffix(w, "dos")):
			yes = true
		case !of && !slices.Contains(fillers, w):
			return false
		}
	}
	return yes && !strings.Contains(answer, "?")
}

func words(text string) []string {
	return strings.FieldsFunc(text, func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) })
}

// withoutAsked takes out of an answer the words that only name what was asked for:
// "left same", "old mark: none".
func withoutAsked(answer string, slot Slot) string {
	names := map[Slot][]string{
		OldMark: {"old", "mark", "marking"}, NewMark: {"new", "mark", "marking"},
		BuildLeft: {"left", "side", "stack"}, BuildRight: {"right", "side", "stack"},
		FinalLeft: {"left", "side", "stack"}, FinalRight: {"right", "side", "stack"}, FinalPinion: {"pinion", "shim", "stack"}, FinalPack: {"preload", "pack"},
	}[slot]
	words := strings.FieldsFunc(answer, func(r rune) bool { return strings.ContainsRune(" ,:", r) })
	left := slices.DeleteFunc(slices.Clone(words), func(w string) bool { return slices.Contains(names, w) })
	if len(left) == 0 || len(left) == len(words) || len(left) > 3 {
		return answer
	}
	return strings.Join(left, " ")
}

// isNone says whether an answer is that there is no marking.
func isNone(answer string) bool {
	switch answer {
	case "none", "no", "no mark", "no marking", "no marks", "not marked", "nothing", "nope", "blank", "ninguna", "sin marca", "nada":
		return true
	}
	return false
}

func isSame(answer string) bool {
	switch answer {
	case "same", "as old", "same as old", "the same", "unchanged", "yes", "y", "yep", "yeah", "igual", "lo mismo", "igual que antes", "sí", "si":
		return true
	}
	return false
}

// readsSame says whether an answer is that what was read again reads as before.
func readsSame(answer string) bool {
	words := strings.Fields(answer)
	words = slices.DeleteFunc(words, func(w string) bool {
		return slices.Contains([]string{"it", "its", "it's", "they", "both", "still", "reads", "read", "the", "again", "as", "before", "exactly", "all", "sigue", "siguen", "todo", "que", "antes"}, strings.Trim(w, ",:"))
	})
	return len(words) == 1 && slices.Contains([]string{"same", "unchanged", "igual", "iguales", "mismo"}, words[0])
}

// readsAsBefore files once more what the last recommendation wanted read again.
func (t *turn) readsAsBefore() (bool, error) {
	if !t.job.ready() {
		return false, nil
	}
	a, err := t.desk.Advise(t.request())
	if err != nil || a.Verdict != advisedMore || a.Again == (advise.Twice{}) {
		return false, nil
	}
	tr := t.job.Trial()
	for _, r := range []struct {
		again bool
		*Reading
	}{{a.Again.Lash, tr.Backlash}, {a.Again.Drive, tr.Drive}, {a.Again.Coast, tr.Coast}} {
		if !r.again || r.Reading == nil {
			continue
		}
		m := measured{Slot: r.Slot, What: r.What, Values: r.Values, Unit: r.Unit, Along: r.Along, Across: r.Across, Degree: r.Degree, Positions: r.Positions}
		if err := t.add(m); err != nil {
			return false, err
		}
		t.understood = append(t.understood, t.voice.echo(m))
	}
	return true, t.advance()
}

// oldOf gives the old reading a side stack can be the same as.
func (t *turn) oldOf(s Slot) (Reading, bool) {
	switch s {
	case BuildLeft:
		r, ok := t.job.Slots[OldLeft]
		return r, ok
	case BuildRight:
		r, ok := t.job.Slots[OldRight]
		return r, ok
	}
	return Reading{}, false
}

// command does what the assistant is told.
func (t *turn) command(c listen.Command) error {
	rest := strings.TrimSpace(c.Rest)
	if t.said.By.Role == Customer && !t.customerMay(c.Verb) {
		return nil
	}
	switch c.Verb {
	case listen.VerbStatus:
		t.tell(t.status()...)
	case listen.VerbNext:
		return t.advance()
	case listen.VerbUndo:
		return t.undo()
	case listen.VerbSkip:
		return t.skip(rest)
	case listen.VerbReopen:
		return t.reopen(rest)
	case listen.VerbOverride:
		return t.override(rest)
	case listen.VerbWhy:
		t.why(rest)
	case listen.VerbSummary:
		t.askSummary()
	case listen.VerbTeach:
		return t.teach(rest)
	case listen.VerbCard:
		t.showCard()
	case listen.VerbLog:
		t.noNext = true
		t.tell(t.log(rest)...)
	case listen.VerbHelp:
		t.noNext = true
		t.tell(helpText(t.voice.words)...)
	case listen.VerbGlossary:
		t.noNext = true
		t.tell(glossary(t.voice.words, rest))
	case listen.VerbPicture:
		if len(t.said.Files)+len(t.said.Unkept) > 0 {
			return nil // it is what they call the photo that comes with it
		}
		t.showPicture()
	case listen.VerbLabels:
		t.labels()
	case listen.VerbParts:
		t.noNext = true
		t.tell(t.partsNeeded()...)
	case listen.VerbTools:
		t.noNext = true
		t.tell(t.toolsNeeded()...)
	case listen.VerbTorques:
		t.noNext = true
		t.tell(t.torqueList()...)
	case listen.VerbDamage:
		t.noNext = true
		t.tell(t.damageLines()...)
	case listen.VerbDone:
		return t.done()
	case listen.VerbYes, listen.VerbNo:
		return t.yesNo(c.Verb == listen.VerbYes)
	case listen.VerbClose:
		return t.closeJob(rest)
	}
	if c.Verb.AboutJobs() {
		// The desk's door: see Door. They reach a job only through a caller that
		// did not look, and change nothing in it.
		t.noNext = true
	}
	return nil
}

// skip leaves out the open field ("skip no dial here") or a step ("skip 4 done
// before", "skip parts …"). A step needs a reason; so does a field that must be.
func (t *turn) skip(rest string) error {
	t.noNext = true
	if t.field == nil {
		t.tell(t.text("talk.nothing_to_skip"))
		return nil
	}
	step, reason, named := t.namedStep(rest)
	if !named {
		step, reason = t.step, rest
	}
	if !named && t.field.Act == actGuess && t.said.By.Name == t.job.Quiz.To {
		t.noNext = false
		return t.guessed("")
	}
	if !named && t.field.Act == actReview {
		t.tell(t.notYet())
		return nil
	}
	if reason == "" && (named || t.field.Need == Must) {
		t.tell(t.text("talk.skip_why"))
		return nil
	}
	field := ""
	what := t.voice.say(step.Title)
	if !named {
		field, what = t.field.key(), t.voice.say(t.field.Name)
		if field == "built" {
			t.tell(t.text("talk.not_skipped_built"))
			return nil
		}
		if reason == "" {
			reason = t.text("talk.not_measured")
		}
	}
	if err := t.add(skipped{Step: step.ID, Field: field, Reason: reason}); err != nil {
		return err
	}
	t.noNext = false
	t.tell(t.text("talk.skipped", "what", what, "reason", clip(reason, 80)))
	return t.advance()
}

// namedStep finds a step by its number or its first word, and gives the rest of
// the line.
func (t *turn) namedStep(rest string) (Step, string, bool) {
	word, tail, _ := strings.Cut(strings.TrimPrefix(strings.TrimPrefix(rest, "step "), "to "), " ")
	word = strings.ToLower(strings.Trim(word, ":,."))
	if word == "" {
		return Step{}, rest, false
	}
	tail = strings.TrimSpace(strings.TrimLeft(tail, ":,- "))
	for _, st := range Steps(t.sheet, t.job) {
		title := t.voice.say(st.Title)
		if word == strconv.Itoa(st.No) || word == string(st.ID) || word == strings.Fields(title)[0] && word != "final" {
			return st, strings.TrimPrefix(tail, strings.TrimPrefix(title, word+" ")), true
		}
	}
	return Step{}, rest, false
}

func (t *turn) reopen(rest string) error {
	step, _, ok := t.namedStep(rest)
	if !ok && t.job.Closed {
		if err := t.add(reopened{}); err != nil {
			return err
		}
		t.tell(t.text("talk.open_again", "n", t.job.Number))
		return t.advance()
	}
	if !ok {
		t.noNext = true
		t.tell(t.text("talk.reopen_which"), t.stepList())
		return nil
	}
	if err := t.add(reopened{Step: step.ID}); err != nil {
		return err
	}
	t.tell(t.text("talk.step_open_again", "n", step.No, "step", t.voice.say(step.Title)))
	return t.advance()
}

func (t *turn) override(reason string) error {
	stops := t.job.Stops()
	road := t.job.BreakIn != nil && t.job.BreakIn.Hold != nil
	if len(stops) == 0 && !t.job.Held && !road {
		t.tell(t.text("talk.nothing_on_hold"))
		return nil
	}
	if len(stops) == 0 && t.job.Held {
		t.tell(t.text("talk.mentor_holds"))
		return nil
	}
	if reason == "" {
		t.noNext = true
		t.tell(t.text("talk.override_why"))
		return nil
	}
	var rules []string
	for _, w := range stops {
		rules = append(rules, w.Rule)
	}
	if err := t.add(overridden{Rules: rules, Reason: reason}); err != nil {
		return err
	}
	if len(rules) == 0 {
		rules = []string{t.text("breakin.the_hold")}
	}
	t.tell(t.text("talk.overridden", "rules", t.voice.list(rules), "reason", clip(reason, 80), "by", t.said.By.Name))
	return t.advance()
}

// answersReading says whether a yes or no came straight behind a question for a figure
// or a pattern. An "ok" there only says that somebody goes and measures.
func (t *turn) answersReading() bool {
	n := len(t.said.Context)
	if t.field == nil || t.field.What == "" || n == 0 || !strings.HasPrefix(t.said.Context[n-1], "bot: ") {
		return false
	}
	switch strings.ToLower(strings.Trim(strings.TrimSpace(t.said.Text), ".!¡ ")) {
	case "yes", "no", "yep", "yeah", "nope", "y", "n", "si", "sí":
		return strings.Contains(t.said.Context[n-1], "?")
	}
	return false
}

// yesNo answers the open field where it is a fact.
func (t *turn) yesNo(yes bool) error {
	if a := t.job.Advice; yes && a != nil && !a.Built && t.field != nil && (t.field.Act == "built" || t.field.Slot == BuildPinion) {
		return t.done()
	}
	if yes && t.field != nil && t.field.Slot == Teeth {
		m := measured{Slot: Teeth, What: t.field.What, Values: []float64{float64(t.sheet.Pinion.Teeth), float64(t.sheet.Ring.Teeth)}}
		if err := t.add(m); err != nil {
			return err
		}
		t.understood = append(t.understood, t.voice.echo(m))
		t.tell(t.teeth(m.Values))
		return t.advance()
	}
	if t.field != nil && t.field.Fastener != "" {
		return t.signOpen(yes)
	}
	if t.field == nil || len(t.field.Facts) == 0 {
		if t.answersReading() {
			t.tell(t.text("talk.unread"))
			return t.advance()
		}
		if !t.said.Addressed {
			t.quiet = true // people say yes to each other
			return nil
		}
		t.tell(t.text("talk.yes_to_what"))
		return nil
	}
	for _, id := range t.field.Facts {
		if err := t.add(stated{Fact: id, No: !yes}); err != nil {
			return err
		}
	}
	if !yes {
		t.noNext = true
		t.tell(t.text("talk.no_not_done", "what", t.voice.say(t.field.Name)), t.text("talk.do_or_skip"))
		return t.judge()
	}
	t.understood = append(t.understood, t.voice.say(t.field.Name)+": "+t.text("steps.yes"))
	if err := t.judge(); err != nil {
		return err
	}
	return t.advance()
}

// ordered is the mentor's instruction that a done means: the latest, where it is not
// in yet and no advice came after it.
func (j *Job) ordered() *Instruction {
	if len(j.Instructions) == 0 {
		return nil
	}
	in := &j.Instructions[len(j.Instructions)-1]
	if in.Done || j.Advice != nil && j.Advice.Seq > in.Seq && !j.Advice.Built {
		return nil
	}
	return in
}

// done says that the latest open change is built: the mentor's instruction, or the
// advice.
func (t *turn) done() error {
	if stops := t.job.Stops(); len(stops) > 0 {
		t.noNext = true
		t.tell(t.text("talk.on_hold", "text", stops[0].Text), t.text("talk.override_to_go_on"))
		return nil
	}
	if in := t.job.ordered(); in != nil {
		b := built{Advice: in.Seq}
		for _, m := range in.Moves {
			b.carry(m)
		}
		if err := t.add(b); err != nil {
			return err
		}
		t.tell(t.text("talk.in_as_said", "by", in.By, "build", t.buildLine()))
		return t.advance()
	}
	if t.othersJob() {
		return nil // said with what comes next
	}
	switch _, field := t.next(); {
	case field != nil && field.Act == actReview:
		t.noNext = true
		t.tell(t.notYet())
		return nil
	case field != nil && field.Act == actGuess:
		t.tell(t.text("teach.guess_first"))
		return nil
	}
	a := t.job.Advice
	if a == nil || a.Built || !a.changes() {
		if t.field != nil && (len(t.field.Facts) > 0 || t.field.Fastener != "") {
			return t.yesNo(true)
		}
		if done, err := t.asPlanned(); done || err != nil {
			return err
		}
		t.tell(t.text("talk.nothing_waits"))
		return nil
	}
	b := built{
		Advice: a.Seq, Pinion: a.PinionShim, Left: a.Left, Right: a.Right, Preload: a.Preload,
		LeftNotches: a.LeftNotches, RightNotches: a.RightNotches, Totals: map[Slot]unit.Length{},
	}
	for name, thickness := range a.Build {
		b.Totals[Slot("build."+name)] = thickness
	}
	if a.Trial == 0 {
		return t.startBuilt(a)
	}
	if err := t.add(b); err != nil {
		return err
	}
	t.tell(t.buildLine())
	return t.advance()
}

// carry adds a move to what is built.
func (b *built) carry(m moved) {
	for _, side := range []struct {
		place string
		sign  float64
	}{{m.From, -1}, {m.To, 1}} {
		d := m.Amount * unit.Length(side.sign)
		switch side.place {
		case "left":
			b.Left += d
			b.LeftNotches += side.sign * m.Notches
		case "right":
			b.Right += d
			b.RightNotches += side.sign * m.Notches
		case "pinion":
			b.Pinion += d
		case "preload_pack":
			b.Preload += d
		}
	}
}

func (t *turn) closeJob(reason string) error {
	t.noNext = true
	if stops := t.job.Stops(); len(stops) > 0 && t.said.By.Role != Owner {
		t.tell(t.text("talk.on_hold", "text", stops[0].Text), t.text("talk.override_before_closing"))
		return nil
	}
	if t.step.ID != StepFinished && reason == "" {
		t.tell(t.text("talk.still_open", "n", t.step.No, "step", t.voice.say(t.step.Title)))
		return nil
	}
	lines := t.summary()
	if err := t.add(closed{Reason: reason}); err != nil {
		return err
	}
	t.tell(t.text("talk.closed", "n", t.job.Number))
	t.tell(lines...)
	return nil
}
