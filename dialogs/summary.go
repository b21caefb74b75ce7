package dialogs

import (
	"strings"

	"shimwright/calc/unit"
	"shimwright/dialogs/listen"
	"shimwright/rules"
)

// summary is the job in a few lines for the chat; the sheet has the rest.
func (t *turn) summary() []string {
	j := t.job
	lines := []string{t.text("summary.head", "n", j.Number, "axle", j.Sheet, "title", clip(j.Title, 60), "state", t.stateWord())}
	last, _ := j.lastRead()
	lash := t.pairWords(t.foundWords(), t.lashNow(last))
	if lash != "" {
		lines = append(lines, lash)
	}
	if words := t.patternsNow(last); words != "" {
		lines = append(lines, words)
	}
	if tr := j.Trial(); tr.Build.anything() || tr.read() {
		lines = append(lines, t.text("summary.build", "stacks", t.stackWords(tr.Build), "n", j.trialCount()))
	}
	if words := t.openEnds(); words != "" {
		lines = append(lines, words)
	}
	return append(lines, t.text("summary.standing"))
}

// stateWord says how far the job is.
func (t *turn) stateWord() string {
	switch {
	case t.job.Closed:
		return t.text("summary.state_closed")
	case len(t.job.Stops()) > 0 || t.job.Held:
		return t.text("summary.state_held")
	}
	step, field := t.next()
	if field == nil {
		return t.text("summary.state_good")
	}
	return t.text("summary.state_at", "n", step.No, "step", t.voice.say(step.Title))
}

// foundWords says the backlash the axle came in with, empty where it was not read.
func (t *turn) foundWords() string {
	r := t.job.slot(FoundBacklash)
	if r == nil {
		return ""
	}
	all := r.Lengths()
	if len(all) == 0 {
		return ""
	}
	low, high := bounds(all)
	return t.voice.span(low, high)
}

// asItRan says whether the job is a used set that was put back to where it ran, not
// to the limits of a new one.
func (j *Job) asItRan() bool {
	return j.Finished && j.holds(listen.FactGearSetUsed)
}

// lashNow says the last backlash, and how it stands against the sheet.
func (t *turn) lashNow(tr *Trial) string {
	if tr.Backlash == nil {
		return ""
	}
	all := tr.Backlash.Lengths()
	if len(all) == 0 {
		return ""
	}
	low, high := bounds(all)
	words := t.voice.span(low, high)
	if limit := t.sheet.Limits.Backlash; limit.Set {
		key := "summary.inside"
		switch {
		case limit.Has(t.judged(all)):
		case t.job.asItRan():
			return words + " (" + t.text("summary.as_it_ran") + ")"
		default:
			key = "summary.outside"
		}
		words += " (" + t.text(key, "limit", t.voice.span(limit.Low, limit.High)) + ")"
	}
	return words
}

func (t *turn) pairWords(found, now string) string {
	switch {
	case found != "" && now != "":
		return t.text("summary.lash_both", "found", found, "now", now)
	case now != "":
		return t.text("summary.lash_now", "now", now)
	case found != "":
		return t.text("summary.lash_found", "found", found)
	}
	return ""
}

func (t *turn) patternsNow(tr *Trial) string {
	var parts []string
	if tr.Drive != nil {
		parts = append(parts, t.text("summary.drive", "where", t.voice.where(*tr.Drive)))
	}
	if tr.Coast != nil {
		parts = append(parts, t.text("summary.coast", "where", t.voice.where(*tr.Coast)))
	}
	return strings.Join(parts, "; ")
}

// stackWords says what a build is: pinion 0.040 in, left 0.255 in, right 0.240 in.
func (t *turn) stackWords(b Build) string {
	var parts []string
	for _, s := range []struct {
		name string
		Stack
	}{{t.text("summary.stack_pinion"), b.Pinion}, {t.text("summary.stack_left"), b.Left}, {t.text("summary.stack_right"), b.Right}, {t.text("summary.stack_preload"), b.Preload}} {
		switch {
		case s.Known:
			parts = append(parts, s.name+" "+t.voice.length(s.Thickness))
		case s.Change != 0:
			parts = append(parts, s.name+" "+t.voice.own.Signed(s.Change))
		}
	}
	if b.LeftNotches != 0 || b.RightNotches != 0 {
		parts = append(parts, t.text("summary.adjusters", "left", signed(b.LeftNotches), "right", signed(b.RightNotches)))
	}
	if len(parts) == 0 {
		return t.text("summary.no_stacks")
	}
	return strings.Join(parts, ", ")
}

// signed writes a count with its sign.
func signed(n float64) string {
	if n > 0 {
		return "+" + number(n, "")
	}
	return number(n, "")
}

// openEnds counts what an owner asks about first: stops, skips, reviews, what was
// read wrong at first.
func (t *turn) openEnds() string {
	over, standing, skips, fixed, approved := 0, 0, 0, 0, ""
	for _, w := range t.job.Warnings {
		switch {
		case w.Level != string(rules.Stop) || w.Closed == "cleared":
		case w.Closed == "":
			standing++
		default:
			over++
		}
	}
	for key := range t.job.Skipped {
		if strings.HasSuffix(key, "/") {
			skips++
		}
	}
	for _, e := range t.job.Log {
		if !e.Live && e.Kind != kindRetracted {
			fixed++
		}
	}
	for _, v := range t.job.Reviews {
		if v.Decision == "approve" {
			approved = v.By
		}
	}
	var parts []string
	add := func(n int, text string) {
		if n > 0 {
			parts = append(parts, text)
		}
	}
	add(standing, t.text("summary.n_standing", "n", standing))
	add(over, t.text("summary.n_over", "n", over))
	add(skips, t.text("summary.n_skipped", "n", skips))
	add(fixed, t.text("summary.n_corrected", "n", fixed))
	if approved != "" {
		parts = append(parts, t.text("summary.approved", "by", approved))
	}
	return strings.Join(parts, "; ")
}

// inBoth writes a length in the unit it was typed in, and in the other where the
// job mixes them.
func inBoth(l unit.Length, typed unit.System, both bool) string {
	if typed == unit.NoSystem {
		typed = unit.InchUnits
	}
	if !both {
		return typed.Length(l)
	}
	return typed.Length(l) + " (" + typed.Other().Length(l) + ")"
}
