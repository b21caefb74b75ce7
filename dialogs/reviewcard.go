package dialogs

import (
	"cmp"
	"slices"
	"strings"

	"shimwright/calc/unit"
	"shimwright/dialogs/advise"
	"shimwright/rules"
)

// anyMentor is the name under which every mentor is notified.
const anyMentor = "mentor"

// wantsLook asks for a look because somebody wants one, at the step that was entered
// last. One that waits already is only called up again.
func (t *turn) wantsLook() error {
	t.noNext = true
	if open, _, ok := t.job.openLook(t.sheet); ok {
		t.tell(t.text("review.waits_already", "n", open.Look, "since", t.voice.clock(open.At)))
		t.ping, t.look = append(t.ping, mentorOf(open.To)), open.Look
		return nil
	}
	sh, ok := latestShown(t.sheet, t.job)
	if !ok {
		t.tell(t.text("review.nothing_yet"))
		return nil
	}
	return t.ask4Look(sh)
}

// ask4Look files the request for a look and lays out its card.
func (t *turn) ask4Look(sh shown) error {
	looks := t.job.looks()
	r := reviewed{
		Decision: reviewRequest, Upto: t.job.Version(), Look: len(looks) + 1, Step: sh.step.ID, Trial: sh.trial,
		Sees: sh.seqs(), Digest: sh.digest(), To: t.said.By.Mentor,
	}
	if err := t.add(r); err != nil {
		return err
	}
	t.more = append(t.more, t.card(r, sh))
	return nil
}

func mentorOf(to string) string {
	if to == "" {
		return anyMentor
	}
	return to
}

// card shows a look to the mentor: at most eight lines and the pictures.
func (t *turn) card(r reviewed, sh shown) Outgoing {
	who := t.said.By.Name
	if authors := sh.authors(); len(authors) > 0 {
		who = t.voice.list(authors)
	}
	lines := []string{t.text("review.card", "n", r.Look, "job", t.job.Number, "sheet", t.job.Sheet, "title", titled(t.job.Title),
		"no", sh.step.No, "step", t.voice.say(sh.step.Title), "by", who)}
	out := Outgoing{Ping: []string{mentorOf(r.To)}, Look: r.Look, Told: true, For: []string{string(Mentor), string(Owner)}}
	if t.said.Elsewhere {
		out.Home = t.job.Number
	}
	out.Photos = t.photosShown(sh)
	if sh.trial > 0 {
		trialLines, pictures := t.trialCard(sh)
		lines, out.Picture = append(lines, trialLines...), pictures
	} else {
		lines = append(lines, clip(t.wordsOf(sh.seqs()), 280))
		if a := t.job.Advice; sh.step.ID == StepStart && a != nil && a.Trial == 0 && a.Reason != "" {
			lines = append(lines, t.inOwnWords(a).Reason)
		}
	}
	before, again := t.lookBefore(r)
	if words := t.cautionWords(sh, before.Seq); words != "" {
		lines = append(lines, words)
	}
	if again {
		if changed := t.changes(before.Sees, sh); len(changed) > 0 {
			lines = append(lines, t.text("review.card_changed", "n", before.Look, "changed", clip(strings.Join(changed, "; "), 200)))
		}
	}
	lines = append(lines, t.text("review.card_answers", "n", r.Look))
	out.Text = strings.Join(lines, "\n")
	out.Choices = []string{t.text("review.press_approve", "n", r.Look), t.text("review.press_again", "n", r.Look), t.text("review.press_hold")}
	return out
}

// trialCard shows a trial assembly: what is in, what was read, how that stands
// against the sheet, and what is recommended.
func (t *turn) trialCard(sh shown) ([]string, []Picture) {
	tr := Trial{No: sh.trial, Build: sh.build}
	for _, other := range t.job.Trials {
		if other.No == sh.trial {
			tr = other
		}
	}
	lines := []string{buildWords(t.voice, sh.build)}
	lines = append(lines, t.readingLines(&tr)...)
	if words := t.limitWords(&tr); words != "" {
		lines = append(lines, words)
	}
	pictures := lashPicture(t.voice, t.sheet, tr.Backlash)
	a := sh.advice
	if a == nil {
		return lines, pictures
	}
	switch {
	case a.changes():
		lines = append(lines, t.text("review.card_advice", "advice", strings.Join(moveLines(t.voice, t.sheet, t.job, a.Advice), "; ")))
	case a.Reason != "":
		lines = append(lines, clip(t.inOwnWords(a).Reason, 160))
	}
	if a.Verdict != advise.More && !t.untold() {
		pictures = append(pictures, patternPicture(t.voice, t.sheet, t.job, a.Advice)...)
	}
	return lines, pictures
}

// cautionWords says the cautions and stops raised since the first of what is shown,
// or since the look before; stops first, then the latest.
func (t *turn) cautionWords(sh shown, since uint64) string {
	if len(sh.entries) == 0 {
		return ""
	}
	if since == 0 || since > sh.entries[0].Seq {
		since = sh.entries[0].Seq
	}
	const most = 2
	var raised []Warning
	for _, w := range t.job.Warnings {
		if w.Seq >= since && w.Level != "note" {
			raised = append(raised, w)
		}
	}
	slices.Reverse(raised)
	slices.SortStableFunc(raised, func(a, b Warning) int { return -cmp.Compare(a.Level, b.Level) })
	var words []string
	for _, w := range raised {
		text := t.levelWord(rules.Level(w.Level)) + ": " + clip(w.Text, 70)
		if w.Level == "stop" && w.Closed != "" {
			how := clip(w.Closed, 40)
			if how == "cleared" {
				how = t.text("summary.stop_cleared")
			}
			text += " (" + how + ")"
		}
		words = append(words, text)
	}
	if more := len(words) - most; more > 0 {
		return t.text("review.card_cautions", "cautions", strings.Join(words[:most], "; "), "more", more)
	}
	return strings.Join(words, "; ")
}

// lookBefore gives the latest look at the same step and trial before this one, also
// one that was taken back.
func (t *turn) lookBefore(r reviewed) (Review, bool) {
	looks := t.job.looks()
	for i := len(looks) - 1; i >= 0; i-- {
		if l := looks[i]; l.Look < r.Look && l.Step == r.Step && l.Trial == r.Trial {
			return l, true
		}
	}
	return Review{}, false
}

// limitWords says how the backlash of a trial stands against the sheet.
func (t *turn) limitWords(tr *Trial) string {
	if tr.Backlash == nil {
		return ""
	}
	all := tr.Backlash.Lengths()
	if len(all) == 0 {
		return ""
	}
	var parts []string
	if limit := t.sheet.Limits.Backlash; limit.Set {
		span := t.voice.span(limit.Low, limit.High)
		if limit.Has(t.judged(all)) {
			parts = append(parts, t.text("review.lash_inside", "limit", span))
		} else {
			parts = append(parts, t.text("review.lash_outside", "limit", span))
		}
	}
	low, high := bounds(all)
	if sp := t.sheet.Limits.BacklashSpread; sp.Set && len(all) > 1 {
		if high-low <= sp.High+unit.MM(1e-4) {
			parts = append(parts, t.text("review.spread_inside", "limit", t.voice.length(sp.High)))
		} else {
			parts = append(parts, t.text("review.spread_over", "limit", t.voice.length(sp.High)))
		}
	}
	return strings.Join(parts, "; ")
}

// photosShown are the photos that belong to the readings shown, the latest few.
func (t *turn) photosShown(sh shown) []PhotoRef {
	const most = 4
	var refs []PhotoRef
	seen := map[string]bool{}
	for _, e := range sh.entries {
		m, ok := e.payload.(*measured)
		if !ok {
			continue
		}
		for _, p := range t.job.PhotosOf(Reading{Slot: m.Slot, entryMeta: metaOf(e)}) {
			if !seen[p.ID] {
				seen[p.ID] = true
				refs = append(refs, PhotoRef{Job: t.job.Number, ID: p.ID, Alt: clip(strings.TrimSpace(t.text("review.photo", "n", p.No, "what", t.voice.echo(*m), "by", p.By)), 200)})
			}
		}
	}
	if extra := len(refs) - most; extra > 0 {
		refs = refs[extra:]
	}
	return refs
}
