package dialogs

import (
	"math"
	"slices"
	"strings"
	"unicode"

	"shimwright/dialogs/listen"
)

// correct takes back what the message says no longer holds.
func (t *turn) correct() error {
	if len(t.u.Retract) == 0 || t.u.Command != nil && t.u.Command.Verb == listen.VerbUndo {
		return nil // undo takes a whole message back, a correction with it
	}
	var entries []uint64
	for _, r := range t.u.Retract {
		entries = append(entries, t.job.find(r)...)
	}
	if t.u.Ask != nil && len(t.u.Readings)+len(t.u.Facts)+len(t.u.Moves) == 0 && !slices.ContainsFunc(t.u.Retract, named) {
		return nil // what the figure is of is asked first; nothing goes before that is known
	}
	if len(entries) == 0 {
		entries = t.meantLast()
	}
	if len(entries) == 0 && len(t.u.Readings) > 0 {
		return nil // there is nothing of it on record any more: it is a reading
	}
	if len(entries) == 0 {
		t.tell(t.text("talk.no_fit"))
		return nil
	}
	for _, seq := range entries {
		t.understood = append(t.understood, t.text("talk.took_back", "what", t.job.Log[seq-1].words(t)))
	}
	t.retracted = entries
	t.lendExpected(entries)
	return t.add(retracted{Entries: append(slices.Clone(entries), t.raisedBy(entries, false)...)})
}

// raisedBy gives the warnings that came with the message of figures that are taken back:
// a 265 that was a 165 is no hot housing. Where only the figure is corrected, what the
// rest of the message said stays.
func (t *turn) raisedBy(entries []uint64, whole bool) (out []uint64) {
	for _, seq := range entries {
		if m, ok := t.job.Log[seq-1].payload.(*measured); !ok || len(m.Values) == 0 {
			continue
		}
		for _, e := range t.job.Log {
			w, ok := e.payload.(*warned)
			if ok && e.Live && e.Message == t.job.Log[seq-1].Message && (whole || slices.Contains(ofFigures, w.Rule)) && !slices.Contains(out, e.Seq) {
				out = append(out, e.Seq)
			}
		}
	}
	return out
}

// ofFigures are the rules that words raise by nothing but the figure among them.
var ofFigures = []string{"housing-hot", "no-lash", "lash-below-heard", "lash-far-out", "case-over-spread"}

// named says whether a correction names what it takes back.
func named(r listen.Retract) bool { return r.What != "" || r.Value != nil || r.Move }

// lendExpected reads a correction that gives only a figure ("actually +2") as the
// quantity it took back, where what is asked for made nothing of it.
func (t *turn) lendExpected(entries []uint64) {
	if len(entries) != 1 || len(t.u.Readings)+len(t.u.Facts)+len(t.u.Moves) > 0 || t.u.Ask != nil {
		return
	}
	m, ok := t.job.Log[entries[0]-1].payload.(*measured)
	if !ok || !strings.ContainsAny(t.said.Text, "0123456789") {
		return
	}
	in := t.input(t.said.Text)
	in.Expect = m.What
	if u := t.desk.Listen(in); len(u.Readings) == 1 && u.Readings[0].What == m.What {
		t.u = u
	}
}

// meantLast reads a correction that names nothing ("actually 28") as one of the reading
// its writer gave last, where it was taken as the answer to what is asked and nothing of
// that is on record: it is then no answer.
func (t *turn) meantLast() []uint64 {
	named := strings.FieldsFunc(t.said.Text, func(r rune) bool { return !unicode.IsLetter(r) })
	if t.field == nil || len(named) > 2 || len(t.u.Readings) != 1 || t.u.Readings[0].What != t.field.What {
		return nil
	}
	for i := len(t.job.Log) - 1; i >= 0; i-- {
		e := t.job.Log[i]
		m, ok := e.payload.(*measured)
		if !e.Live || !ok || e.By != t.said.By.Name {
			continue
		}
		if len(m.Values) != 1 || m.What == t.field.What {
			return nil
		}
		in := t.input(t.said.Text)
		in.Expect = m.What
		u := t.desk.Listen(in)
		if len(u.Readings) != 1 || u.Readings[0].What != m.What {
			return nil
		}
		t.u = u
		return []uint64{e.Seq}
	}
	return nil
}

// find gives the latest live entries a correction speaks of.
func (j *Job) find(r listen.Retract) []uint64 {
	for i := len(j.Log) - 1; i >= 0; i-- {
		e := j.Log[i]
		if !e.Live {
			continue
		}
		switch p := e.payload.(type) {
		case *measured:
			if r.Move || (r.What != "" && p.What != r.What) || !hasValue(p.Values, r.Value) {
				continue
			}
			if r.Value == nil && e.Seq < j.Trial().Began && p.Slot.everyBuild() {
				continue // what an earlier build read stays with it
			}
		case *moved, *built:
			if !r.Move && !r.Last {
				continue
			}
		case *stated:
			if !r.Last || r.What != "" {
				continue
			}
		default:
			continue
		}
		if r.Last && r.What == "" {
			return j.sameMessage(e)
		}
		return []uint64{e.Seq}
	}
	// The value may be misremembered: the quantity alone still names the reading.
	if r.What != "" && r.Value != nil {
		return j.find(listen.Retract{What: r.What, Move: r.Move, Last: r.Last})
	}
	return nil
}

// hasValue says whether a reading holds the value, in the unit it was typed in or
// a thousand times it ("9" for 0.009).
func hasValue(values []float64, v *float64) bool {
	if v == nil {
		return true
	}
	for _, have := range values {
		if near(have, *v) || near(have*1000, *v) || near(have*100, *v) {
			return true
		}
	}
	return false
}

func near(a, b float64) bool { return math.Abs(a-b) <= 1e-6*math.Max(1, math.Abs(b)) }

// sameMessage gives the live entries that take back whole what one message
// brought in.
func (j *Job) sameMessage(of Entry) []uint64 {
	var out []uint64
	for _, e := range j.Log {
		if !e.Live || e.Message != of.Message || !e.undoable() {
			continue
		}
		out = append(out, e.Seq)
	}
	return out
}

// undoable says whether a person can take the entry back.
func (e Entry) undoable() bool {
	switch e.payload.(type) {
	case *measured, *moved, *built, *stated, *skipped, *reopened, *overridden, *instructed, *reviewed, *torqued, *damaged,
		*begun, *setOff, *drove, *cooled, *held, *resumed, *heard, *checked, *putOff, *attached:
		return true
	}
	return false
}

// undo takes back what the last message that entered something brought in.
func (t *turn) undo() error {
	for i := len(t.job.Log) - 1; i >= 0; i-- {
		e := t.job.Log[i]
		if !e.Live || !e.undoable() || !t.mayTakeBack(e) {
			continue
		}
		entries := t.job.sameMessage(e)
		entries = append(entries, t.raisedBy(entries, true)...)
		// A correction comes with what it took back: that holds again.
		for _, other := range t.job.Log {
			if _, ok := other.payload.(*retracted); ok && other.Live && other.Message == e.Message {
				entries = append(entries, other.Seq)
			}
		}
		var words []string
		for _, seq := range entries {
			if w := t.job.Log[seq-1].words(t); w != "" {
				words = append(words, w)
			}
		}
		held := len(t.job.Stops())
		if err := t.add(retracted{Entries: entries}); err != nil {
			return err
		}
		t.tell(t.text("talk.took_back_all", "what", strings.Join(words, "; ")))
		if held > 0 && len(t.job.Stops()) == 0 {
			t.tell(t.text("talk.hold_gone"))
		}
		if t.job.ready() || len(t.job.Stops()) > 0 || t.job.Held {
			return t.advance()
		}
		return nil
	}
	t.tell(t.text("talk.nothing_to_take_back"))
	return nil
}

// mayTakeBack says whether the person may take an entry back: a mentor's word is
// undone by a mentor only.
func (t *turn) mayTakeBack(e Entry) bool {
	switch e.payload.(type) {
	case *reviewed, *instructed:
		return e.By == t.said.By.Name || t.said.By.Role.Reviews()
	}
	return true
}

// retractMessage takes back what the first wording of an edited message brought.
func (t *turn) retractMessage(id string) error {
	var entries []uint64
	for _, e := range t.job.Log {
		if e.Live && e.Message == id && e.undoable() {
			entries = append(entries, e.Seq)
		}
	}
	if len(entries) == 0 {
		return nil
	}
	t.retracted = entries
	t.understood = append(t.understood, "edited")
	return t.add(retracted{Entries: entries})
}

// replaced gives the reading this message took back, so that the new one lands
// where the old one was.
func (t *turn) replaced(w listen.What) *measured {
	for _, seq := range t.retracted {
		if m, ok := t.job.Log[seq-1].payload.(*measured); ok && m.What == w {
			return m
		}
	}
	return nil
}

// mend puts one corrected figure into the list it stood in: "7 not 9" after
// 8 8 9 8 is 8 8 7 8. It leaves a reading alone that is a list of its own.
func (t *turn) mend(m measured, old *measured) measured {
	if old == nil || len(m.Values) != 1 || len(old.Values) < 2 || m.Unit != old.Unit {
		return m
	}
	for _, r := range t.u.Retract {
		if r.Value == nil {
			continue
		}
		at := -1
		for i, v := range old.Values {
			if hasValue([]float64{v}, r.Value) {
				at = i
			}
		}
		if at >= 0 {
			mended := *old
			mended.Values = append([]float64(nil), old.Values...)
			mended.Values[at] = m.Values[0]
			return mended
		}
	}
	return m
}

// words says an entry in a few words.
func (e Entry) words(t *turn) string {
	switch p := e.payload.(type) {
	case *measured:
		return t.voice.echo(*p)
	case *moved:
		return t.moveWords(*p)
	case *built:
		return t.text("talk.the_change")
	case *torqued:
		return t.text("fasteners.signed", "name", t.voice.axleText(p.Fastener), "by", p.Signed)
	case *fitted:
		return t.fittedWords(*p)
	case *damaged:
		return t.text("damage.noted", "part", t.damagePart(p.Part), "sign", t.damageSign(p.Sign))
	case *stated:
		return factWords(t.voice.words, p.Fact)
	case *skipped:
		return t.text("talk.the_skip", "step", t.stepTitle(p.Step))
	case *reopened:
		if p.Step == "" {
			return t.text("talk.the_whole_reopening")
		}
		return t.text("talk.the_reopening", "step", t.stepTitle(p.Step))
	case *overridden:
		if p.Reason == "" || len(p.Rules) == 0 {
			return t.text("talk.the_override")
		}
		return t.text("talk.went_over", "rules", t.voice.list(p.Rules), "reason", clip(p.Reason, 80))
	case *instructed:
		return t.text("talk.the_instruction")
	case *reviewed:
		if p.Look > 0 {
			return t.text("talk.the_look", "n", p.Look, "decision", t.decisionWord(p.Decision))
		}
		return t.text("talk.the_review", "decision", t.decisionWord(p.Decision))
	case *attached:
		numbers := []string{}
		for _, p := range t.job.Photos {
			if p.Seq == e.Seq {
				numbers = append(numbers, t.text("talk.a_photo", "n", p.No))
			}
		}
		return t.voice.list(numbers)
	case *closed:
		return t.text("talk.the_closing")
	case *retracted:
		return t.text("talk.the_correction")
	}
	return t.roadEntry(e)
}
