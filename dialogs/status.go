package dialogs

import (
	"fmt"
	"slices"
	"strings"

	"shimwright/dialogs/advise"
	"shimwright/rules"
)

// status says where the job is: one line each for the build, the last readings
// and what holds it. The next step follows by itself.
func (t *turn) status() []string {
	j := t.job
	step, _ := Next(t.sheet, j)
	where := t.text("talk.finished")
	if step.ID != StepFinished {
		where = t.text("talk.step_of", "n", step.No, "of", len(order()), "step", t.voice.say(step.Title))
	}
	lines := []string{t.text("talk.status", "n", j.Number, "sheet", j.Sheet, "title", titled(j.Title), "where", where)}
	tr := j.Trial()
	switch {
	case tr.Final:
		lines = append(lines, t.text("final-carrier.status", "build", t.buildLine()))
	case tr.read() || tr.Build.anything():
		lines = append(lines, t.text("talk.trial_build", "n", tr.No, "build", t.buildLine()))
	}
	last, _ := j.lastRead()
	lines = append(lines, t.readingLines(last)...)
	if !last.read() {
		found := &Trial{Backlash: j.slot(FoundBacklash), Drive: j.slot(FoundDrive), Coast: j.slot(FoundCoast)}
		for _, words := range t.readingLines(found) {
			lines = append(lines, t.text("talk.as_found", "what", words))
		}
		if old := t.history()[1:]; len(old) > 0 {
			lines = append(lines, old[0])
		}
	}
	lines = append(lines, t.roadStatus()...)
	for _, w := range j.Stops() {
		lines = append(lines, t.text("talk.on_hold", "text", w.Text))
	}
	for _, in := range j.Instructions {
		if !in.Done {
			var words []string
			for _, m := range in.Moves {
				words = append(words, t.moveWords(m))
			}
			lines = append(lines, t.text("talk.to_do_open", "by", in.By, "moves", strings.Join(words, "; ")))
		}
	}
	if a := j.Advice; a != nil && !a.Built && a.Trial == tr.No && a.changes() {
		lines = append(lines, moveLines(t.voice, t.sheet, j, a.Advice)...)
	}
	return lines
}

func titled(title string) string {
	if title == "" {
		return ""
	}
	return " (" + clip(title, 60) + ")"
}

func (b Build) anything() bool {
	return b.Pinion.Known || b.Left.Known || b.Right.Known || b.LeftNotches != 0 || b.RightNotches != 0 ||
		b.Pinion.Change != 0 || b.Left.Change != 0 || b.Right.Change != 0
}

// readingLines says what was read on a trial.
func (t *turn) readingLines(tr *Trial) []string {
	var parts []string
	if tr.Backlash != nil {
		parts = append(parts, t.lashWords(*tr.Backlash))
	}
	if tr.Drive != nil {
		parts = append(parts, t.text("talk.drive_at", "where", t.voice.where(*tr.Drive)))
	}
	if tr.Coast != nil {
		parts = append(parts, t.text("talk.coast_at", "where", t.voice.where(*tr.Coast)))
	}
	if len(parts) == 0 {
		return nil
	}
	return []string{strings.Join(parts, "; ")}
}

// lashWords says a set of backlash readings by its tightest place and spread.
func (t *turn) lashWords(r Reading) string {
	all := r.Lengths()
	if len(all) == 0 {
		return t.text("talk.lash_not_read")
	}
	low, high := bounds(all)
	if len(all) == 1 {
		return t.text("talk.lash_one", "lash", t.voice.length(low))
	}
	return t.text("talk.lash_round", "span", t.voice.span(low, high), "n", len(all), "low", t.voice.length(low), "spread", t.voice.length(high-low))
}

// log lists who entered what and when, the latest last; corrections stay in it.
func (t *turn) log(rest string) []string {
	const most = 12
	var lines []string
	for _, e := range t.job.Log {
		words := e.words(t)
		if w, ok := e.payload.(*warned); ok {
			words = t.levelWord(rules.Level(w.Level)) + " " + w.Rule
		}
		if r, ok := e.payload.(*retracted); ok {
			var back []string
			for _, seq := range r.Entries {
				back = append(back, t.job.Log[seq-1].words(t))
			}
			words = t.text("talk.took_back", "what", strings.Join(back, "; "))
		}
		if a, ok := e.payload.(*advised); ok {
			words = t.text("talk.log_advice", "verdict", t.verdictWord(a.Verdict))
		}
		if words == "" {
			continue
		}
		if !e.Live {
			words += " " + t.text("talk.taken_back")
		}
		lines = append(lines, fmt.Sprintf("%s %s: %s", t.voice.clock(e.At), e.By, words))
	}
	if skip := len(lines) - most; skip > 0 && !strings.Contains(rest, "all") && !strings.Contains(rest, "todo") {
		lines = append([]string{t.text("talk.earlier", "n", skip)}, lines[skip:]...)
	}
	return lines
}

// stepList names the steps and how they stand.
func (t *turn) stepList() string {
	var parts []string
	for _, st := range Steps(t.sheet, t.job) {
		parts = append(parts, fmt.Sprintf("%d %s", st.No, t.voice.say(st.Title)))
	}
	return strings.Join(parts, ", ")
}

// why says what the latest advice comes from: what fits a phone, and the whole
// computation for "why more". Once the talk has gone on to another question, it is
// that which is meant.
func (t *turn) why(rest string) {
	t.noNext = true
	a := t.job.Advice
	_, field := t.next()
	if field != nil && field.Why.there() && (a == nil || rest == "" && t.job.wentOn(a)) {
		t.tell(t.text("talk.why_field", "what", t.voice.say(field.Name), "why", t.voice.say(field.Why)))
		return
	}
	if a == nil {
		t.tell(t.text("talk.nothing_worked_out"))
		return
	}
	said := t.inOwnWords(a)
	var all []string
	for _, term := range said.Terms {
		all = append(all, "  "+term.Name+": "+term.Value)
	}
	all = append(all, indented(modelLines(t.desk.Models, t.voice, t.sheet, a.Advice))...)
	if said.Reason != "" {
		t.tell(said.Reason)
	}
	if rest != "" || len(all) <= whyLines {
		t.tell(all...)
		return
	}
	t.tell(t.shortest(said.Terms)...)
	t.tell(t.text("talk.why_more"))
}

// whyLines is how much of a computation is said at once, between the reason and
// where the rest is to be had.
const whyLines = 6

// shortest gives the terms of a computation that say most, in their order.
func (t *turn) shortest(terms []advise.Term) []string {
	rank := map[string]int{}
	for i, key := range []string{"term_memory", "term_judged", "term_pinion", "term_ring", "term_after", "term_likely", "term_chance", "term_also"} {
		rank[t.text("advise."+key)] = len(terms) + 8 - i
	}
	kept := slices.Clone(terms)
	slices.SortStableFunc(kept, func(a, b advise.Term) int { return rank[b.Name] - rank[a.Name] })
	kept = kept[:min(whyLines, len(kept))]
	var lines []string
	for _, term := range terms {
		if slices.Contains(kept, term) {
			lines = append(lines, "  "+term.Name+": "+term.Value)
		}
	}
	return lines
}

func indented(lines []string) []string {
	out := make([]string, len(lines))
	for i, l := range lines {
		out[i] = "  " + l
	}
	return out
}

// wentOn says whether something was logged since a recommendation, in another
// message, and the recommendation waits for nothing any more.
func (j *Job) wentOn(a *Advised) bool {
	if a.changes() && !a.Built || a.Verdict == advise.Cannot {
		return false
	}
	for _, e := range j.Log[a.Seq:] {
		if e.Live && e.Message != a.Message {
			return true
		}
	}
	return false
}
