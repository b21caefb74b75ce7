package dialogs

import (
	"strings"

	"shimwright/dialogs/listen"
)

// named gives the entries among those shown that a message names, all that were read
// where it names none.
func (t *turn) named(seqs []uint64) []uint64 {
	text := " " + strings.ToLower(t.said.Text) + " "
	var out, all []uint64
	for _, seq := range seqs {
		switch p := t.job.Log[seq-1].payload.(type) {
		case *measured:
			all = append(all, seq)
			if namesReading(text, *p) {
				out = append(out, seq)
			}
		case *stated:
			if strings.Contains(text, strings.ReplaceAll(p.Fact, "_", " ")) || strings.Contains(text, factWords(t.voice.words, p.Fact)) {
				out = append(out, seq)
			}
		case *skipped:
			all = append(all, seq)
			if strings.Contains(text, "skip") || strings.Contains(text, "salt") {
				out = append(out, seq)
			}
		}
	}
	if len(out) == 0 {
		return all
	}
	return out
}

// namesReading says whether a text speaks of a reading's quantity.
func namesReading(text string, m measured) bool {
	has := func(words ...string) bool {
		for _, w := range words {
			if strings.Contains(text, w) {
				return true
			}
		}
		return false
	}
	pattern := has("pattern", "paint", "print", "patrón", "patron", "huella", "mark")
	drive, coast := has("drive", "tracción", "traccion"), has("coast", "retención", "retencion")
	switch m.What {
	case listen.Backlash:
		return has("lash", "dial", "juego")
	case listen.PatternDrive:
		return drive || pattern && !coast
	case listen.PatternCoast:
		return coast || pattern && !drive
	case listen.ShimPinion:
		return has("pinion shim", "depth shim", "pinion stack", "laina del pi", "laina de pi") || has("shim", "laina") && !has("left", "right", "izq", "der", "lateral")
	case listen.ShimLeft:
		return has("left", "side shims", "side stacks", "izquierd", "lateral")
	case listen.ShimRight:
		return has("right", "side shims", "side stacks", "derech", "lateral")
	case listen.ShimPreload:
		return has("pack", "preload", "paquete", "precarga")
	case listen.PinionMark:
		return has("marking", " mark ", " marca ")
	case listen.PinionDrag, listen.TotalDrag, listen.BreakawayTorque:
		return has("drag", "preload", "turning", "arrastre", "precarga")
	case listen.BearingHeight:
		return has("height", "stand", "altura")
	}
	return has(strings.ReplaceAll(string(m.What), "_", " "))
}

// wordsOf says entries in a few words each.
func (t *turn) wordsOf(seqs []uint64) string {
	var parts []string
	for _, seq := range seqs {
		if w := t.tells(t.job.Log[seq-1]); w != "" {
			parts = append(parts, w)
		}
	}
	return strings.Join(parts, "; ")
}

// tells says what an entry tells, a skip with its reason: that is what is looked at.
func (t *turn) tells(e Entry) string {
	s, ok := e.payload.(*skipped)
	if !ok {
		return e.words(t)
	}
	return t.text("review.skipped", "what", t.skippedName(*s), "why", clip(s.Reason, 80))
}

// skippedName names what was left out: the step, or the field of it.
func (t *turn) skippedName(s skipped) string {
	for _, st := range Steps(t.sheet, t.job) {
		if st.ID != s.Step {
			continue
		}
		for _, f := range st.Fields {
			if s.Field != "" && f.key() == s.Field {
				return t.voice.say(f.Name)
			}
		}
		return t.voice.say(st.Title)
	}
	return string(s.Step)
}

// changes says what is different from what was shown before: what was read anew,
// what came, and what was taken back.
func (t *turn) changes(before []uint64, now shown) []string {
	var lines []string
	replaced := map[uint64]bool{}
	have := map[uint64]bool{}
	for _, seq := range before {
		have[seq] = true
	}
	for _, e := range now.entries {
		if have[e.Seq] {
			replaced[e.Seq] = true // it still stands
			continue
		}
		line := e.words(t)
		for _, seq := range before {
			if old := t.job.Log[seq-1]; !now.has(seq) && !replaced[seq] && sameThing(old, e) {
				line = t.text("review.was", "now", line, "was", shorter(old.words(t), line))
				replaced[seq] = true
				break
			}
		}
		lines = append(lines, line)
	}
	for _, seq := range before {
		if !now.has(seq) && !replaced[seq] {
			if words := t.job.Log[seq-1].words(t); words != "" {
				lines = append(lines, t.text("review.gone", "what", words))
			}
		}
	}
	return lines
}

func (sh shown) has(seq uint64) bool {
	for _, e := range sh.entries {
		if e.Seq == seq {
			return true
		}
	}
	return false
}

// sameThing says whether two entries tell the same thing, with other figures.
func sameThing(a, b Entry) bool {
	switch p := a.payload.(type) {
	case *measured:
		q, ok := b.payload.(*measured)
		return ok && p.Slot == q.Slot
	case *stated:
		q, ok := b.payload.(*stated)
		return ok && p.Fact == q.Fact
	case *skipped:
		q, ok := b.payload.(*skipped)
		return ok && p.Step == q.Step && p.Field == q.Field
	}
	return false
}

// shorter drops the name that an old figure has in common with the new one.
func shorter(old, now string) string {
	name, _, ok := strings.Cut(now, " ")
	if ok && strings.HasPrefix(old, name+" ") {
		return strings.TrimPrefix(old, name+" ")
	}
	return old
}
