package dialogs

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"shimwright/calc/unit"
	"shimwright/dialogs/advise"
	"shimwright/rules"
)

// actGuess marks the field that waits for a guess.
const actGuess = "guess"

// How little counts as hardly moving: a sixth of the half tooth, and half a division
// of a dial in thousandths.
const stillPattern = 1.0 / 6

var stillLash = unit.Thou(0.5)

// teaches says whether a person is asked back on this job.
func (j *Job) teaches(name string) bool {
	if on, ok := j.Teach[name]; ok {
		return on
	}
	return j.Teach[""]
}

// guessGate has an advised change wait for a guess.
func guessGate(_ *rules.Sheet, j *Job, st Step) *Field {
	q := j.Quiz
	if q == nil || st.ID != StepLoop || q.Answered || q.Trial != j.Trial().No || !j.teaches(q.To) {
		return nil
	}
	if a := j.Advice; !j.adviceStands() || a.Built || !a.changes() {
		return nil
	}
	f := &Field{Act: actGuess, Need: Must, Name: phrased("teach.guess"), Prompt: q.About.question()}
	for _, w := range q.About.ways() {
		f.Options = append(f.Options, w.text())
	}
	return f
}

func (a quizAbout) question() Text {
	switch a {
	case driveAlong:
		return phrased("teach.ask_drive_along")
	case driveAcross:
		return phrased("teach.ask_drive_across")
	case coastAlong:
		return phrased("teach.ask_coast_along")
	case coastAcross:
		return phrased("teach.ask_coast_across")
	}
	return phrased("teach.ask_lash")
}

func (w quizWay) text() Text {
	switch w {
	case wayToe:
		return phrased("teach.toe")
	case wayHeel:
		return phrased("teach.heel")
	case wayFace:
		return phrased("teach.face")
	case wayFlank:
		return phrased("teach.flank")
	case wayOpens:
		return phrased("teach.opens")
	case wayCloses:
		return phrased("teach.closes")
	case wayStill:
		return phrased("teach.still")
	}
	return phrased("teach.unsure")
}

// teach switches the questions back on or off: "teach on", "teach ben off".
func (t *turn) teach(rest string) error {
	t.noNext = true
	if !t.said.By.Role.Reviews() {
		t.tell(t.text("teach.mentors_only"))
		return nil
	}
	e := taught{On: true}
	for _, w := range strings.Fields(strings.ToLower(rest)) {
		switch w = strings.Trim(w, ".,!@"); w {
		case "on", "mode", "please", "him", "her", "them", "for", "":
		case "off":
			e.On = false
		default:
			e.Name = t.job.nameOf(w)
		}
	}
	if err := t.add(e); err != nil {
		return err
	}
	who := e.Name
	if who == "" {
		who = t.text("teach.whoever")
	}
	if e.On {
		t.tell(t.text("teach.on", "who", who))
	} else {
		t.tell(t.text("teach.off", "who", who))
	}
	t.notify(e.Name)
	return nil
}

// nameOf writes a name as the log has it.
func (j *Job) nameOf(word string) string {
	for _, e := range j.Log {
		if strings.EqualFold(e.By, word) {
			return e.By
		}
	}
	return word
}

// learner is who is to be asked about the advice that stands, empty for nobody.
func (t *turn) learner() string {
	a := t.job.Advice
	if !t.job.adviceStands() || a.Built || !a.changes() || a.Trial < 1 {
		return ""
	}
	for _, st := range Steps(t.sheet, t.job) {
		if st.ID != StepLoop {
			continue
		}
		for _, e := range shownOf(st, t.job).told() {
			if !e.Role.Reviews() && e.By != "" && t.job.teaches(e.By) {
				return e.By
			}
		}
	}
	return ""
}

// untold says whether what the advice leads to is kept back, since somebody is to
// guess it first.
func (t *turn) untold() bool {
	if q := t.job.Quiz; q != nil && q.Answered && q.Trial == t.job.Trial().No {
		return false
	}
	return t.learner() != ""
}

// adviceWords says the advice, without what it leads to while somebody is to guess.
func (t *turn) adviceWords(a Advice) []string {
	if t.untold() {
		a.Backlash, a.Drive, a.Coast, a.Reason = advise.Interval{}, advise.Mark{}, advise.Mark{}, ""
	}
	if a.Verdict == advise.Change || a.Verdict == advise.Bracket {
		t.figures = moveLines(t.voice, t.sheet, t.job, a)
	}
	return adviceLines(t.voice, t.sheet, t.job, a)
}

// quizIfDue asks back once a trial, when the change is the next thing to build.
func (t *turn) quizIfDue() error {
	if q := t.job.Quiz; q != nil && q.Trial == t.job.Trial().No || t.job.Closed || t.job.Held || len(t.job.Stops()) > 0 {
		return nil
	}
	to := t.learner()
	if step, f := t.next(); to == "" || f == nil || f.Act != "built" || step.ID != StepLoop {
		return nil
	}
	about, model := quizOf(t.job.Trial(), t.job.Advice.Advice)
	if about == "" {
		return nil
	}
	if err := t.add(quizzed{To: to, Trial: t.job.Trial().No, About: about, Model: model}); err != nil {
		return err
	}
	t.tell(t.text("teach.before", "to", to))
	t.notify(to)
	return nil
}

// quizOf picks what changes most by an advice: a direction of the drive pattern, of
// the coast pattern, or the backlash.
func quizOf(tr *Trial, a Advice) (quizAbout, quizWay) {
	best, size := quizAbout(""), stillPattern
	var way quizWay
	for _, about := range []quizAbout{driveAlong, driveAcross, coastAlong, coastAcross} {
		from, to := markOf(tr.Drive), a.Drive
		if about == coastAlong || about == coastAcross {
			from, to = markOf(tr.Coast), a.Coast
		}
		if d, ok := about.shift(from, to); ok && math.Abs(d) > size {
			best, size, way = about, math.Abs(d), about.way(d, stillPattern)
		}
	}
	if best == "" && a.Backlash.Mean != 0 && tr.Backlash != nil {
		if all := tr.Backlash.Lengths(); len(all) > 0 {
			return lashMoves, lashMoves.way(float64(a.Backlash.Mean-mean(all)), float64(stillLash))
		}
	}
	return best, way
}

// shift is how far a pattern goes in the direction asked about, false where that is
// not known of both.
func (a quizAbout) shift(from, to advise.Mark) (float64, bool) {
	if a == driveAlong || a == coastAlong {
		return to.Along - from.Along, from.AlongKnown && to.AlongKnown
	}
	return to.Across - from.Across, from.AcrossKnown && to.AcrossKnown
}

func (a quizAbout) way(d, still float64) quizWay {
	ways := a.ways()
	switch {
	case math.Abs(d) <= still:
		return ways[2]
	case d > 0:
		return ways[0]
	}
	return ways[1]
}

// guess takes the answer of the person asked; false where it is none.
func (t *turn) guess(answer string) (bool, error) {
	q := t.job.Quiz
	if q == nil || t.said.By.Name != q.To {
		return false, nil
	}
	way, ok := guessIn(q.About, answer, t.voice.sayAll(t.field.Options))
	if ok {
		return true, t.guessed(way)
	}
	// What somebody expects must never be filed as what they read.
	words := guessWords(answer)
	for _, w := range words {
		if wayOf(w) != "" && len(words) <= 10 && !strings.ContainsAny(answer, "0123456789") && !slices.ContainsFunc(words, takesBack) {
			return true, nil // asked again with what comes next
		}
	}
	return false, nil
}

// guessIn reads a guess: its number, its words, or no idea.
func guessIn(about quizAbout, answer string, options []string) (quizWay, bool) {
	ways := about.ways()
	for i, o := range options {
		if answer == strconv.Itoa(i+1) || answer == strings.ToLower(o) {
			return ways[i], true
		}
	}
	words := guessWords(answer)
	if len(words) == 0 || len(words) > 10 || strings.ContainsAny(answer, "0123456789") || slices.ContainsFunc(words, takesBack) {
		return "", false
	}
	var found []quizWay
	for _, w := range words {
		switch w {
		case "idea", "clue", "pass", "unsure", "skip":
			return "", true
		}
		if way := wayOf(w); slices.Contains(ways[:], way) && !slices.Contains(found, way) {
			found = append(found, way)
		}
	}
	if strings.Contains(answer, "dont know") || strings.Contains(answer, "don't know") || strings.Contains(answer, "no sé") {
		return "", true
	}
	if len(found) != 1 {
		return "", false
	}
	return found[0], true
}

func guessWords(answer string) []string {
	return strings.FieldsFunc(answer, func(r rune) bool { return r == ' ' || r == ',' || r == '?' || r == '-' || r == '¿' })
}

// takesBack: the message mends a reading and is no guess.
func takesBack(w string) bool {
	switch w {
	case "scratch", "meant", "wrong", "undo", "sorry", "correction", "actually", "oops", "reread", "painted", "read":
		return true
	}
	return false
}

// wayOf gives the direction a word means, empty for none.
func wayOf(w string) quizWay {
	switch w {
	case "toe", "inner", "punta":
		return wayToe
	case "heel", "outer", "talón", "talon":
		return wayHeel
	case "face", "top", "up", "higher", "high", "tip", "arriba", "cresta":
		return wayFace
	case "flank", "root", "down", "lower", "low", "abajo", "raíz", "raiz":
		return wayFlank
	case "opens", "open", "bigger", "looser", "abre":
		return wayOpens
	case "closes", "close", "smaller", "tighter", "cierra":
		return wayCloses
	case "still", "stays", "hardly", "nothing", "queda", "nada":
		return wayStill
	}
	return ""
}

// guessed files a guess and says what the model expects, kindly.
func (t *turn) guessed(way quizWay) error {
	q := t.job.Quiz
	if err := t.add(guessed{Quiz: q.Seq, Guess: way}); err != nil {
		return err
	}
	model := t.voice.say(q.Model.text())
	switch way {
	case q.Model:
		t.tell(t.text("teach.same", "model", model))
	case "":
		t.tell(t.text("teach.model", "model", model), t.text("teach.practice"))
	default:
		t.tell(t.text("teach.other", "model", model), t.text("teach.practice"))
	}
	if a := t.job.Advice; a != nil {
		t.tell(t.adviceWords(t.inOwnWords(a))...)
		t.pictures = append(t.pictures, patternPicture(t.voice, t.sheet, t.job, a.Advice)...)
	}
	return nil
}

// compare says how a guess turned out, in the turn that brings the reading it was
// about.
func (t *turn) compare() {
	q := t.job.Quiz
	if q == nil || !q.Answered || t.job.Trial().No != q.Trial+1 || !t.job.teaches(q.To) {
		return
	}
	before, now := &t.job.Trials[q.Trial-1], t.job.Trial()
	from, to, slot := before.Drive, now.Drive, TrialDrive
	switch q.About {
	case coastAlong, coastAcross:
		from, to, slot = before.Coast, now.Coast, TrialCoast
	case lashMoves:
		from, to, slot = before.Backlash, now.Backlash, TrialBacklash
	}
	if from == nil || to == nil || to.Seq <= t.came || t.job.slot(slot) == nil {
		return
	}
	var went quizWay
	if q.About == lashMoves {
		a, b := from.Lengths(), to.Lengths()
		if len(a) == 0 || len(b) == 0 {
			return
		}
		went = q.About.way(float64(mean(b)-mean(a)), float64(stillLash))
	} else {
		d, ok := q.About.shift(markOf(from), markOf(to))
		if !ok {
			return
		}
		went = q.About.way(d, stillPattern)
	}
	said, model, was := t.voice.say(q.Guess.text()), t.voice.say(q.Model.text()), t.voice.say(went.text())
	switch {
	case q.Guess == went && q.Model == went:
		t.tell(t.text("teach.went_as_both", "to", q.To, "went", was))
	case q.Guess == went:
		t.tell(t.text("teach.went_as_said", "to", q.To, "went", was, "model", model))
	case q.Model == went:
		t.tell(t.text("teach.went_as_model", "went", was, "said", said))
	default:
		t.tell(t.text("teach.went_other", "went", was, "said", said, "model", model))
	}
}
