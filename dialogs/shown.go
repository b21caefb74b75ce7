package dialogs

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io"
	"slices"
	"strings"

	"shimwright/calc/unit"
	"shimwright/rules"
)

// shown is what stands on record of one step: what a look at it shows and an
// approval of it is bound to.
type shown struct {
	step    Step
	trial   int     // of the trial loop, 0 at other steps
	entries []Entry // live, those that count, in the order of the log
	build   Build   // what the readings of a trial were made on
	advice  *Advised
}

// shownOf gathers a step: the reading that counts in each of its slots, its facts
// and its skips; at the trial loop the trial read last, with what was built for it
// and the recommendation made from it.
func shownOf(st Step, j *Job) shown {
	sh := shown{step: st}
	seqs := map[uint64]bool{}
	since := j.Reopened[st.ID]
	put := func(seq uint64) {
		if seq > since {
			seqs[seq] = true
		}
	}
	if st.ID == StepLoop {
		tr := j.lastTrialRead()
		sh.trial, sh.build = tr.No, tr.Build
		for _, r := range []*Reading{tr.Backlash, tr.Drive, tr.Coast} {
			// A reopened loop still goes by what was read before it.
			if r != nil {
				seqs[r.Seq] = true
				for _, seq := range r.Of {
					seqs[seq] = true
				}
			}
		}
		sh.advice = j.adviceOn(tr)
		if len(seqs) > 0 {
			j.changesOf(tr, func(seq uint64) { seqs[seq] = true })
		}
	}
	for _, f := range st.Fields {
		since = max(j.Reopened[st.ID], f.After)
		if f.Slot != "" && st.ID != StepLoop {
			if strings.HasPrefix(string(f.Slot), "build.") {
				put(j.firstBuilt(f.Slot, since))
			} else if r, ok := j.Slots[f.Slot]; ok {
				put(r.Seq)
			}
		}
		for _, id := range slices.Concat(f.Facts, f.Choice) {
			if have, ok := j.Facts[id]; ok {
				put(have.Seq)
			}
		}
		if s, ok := j.Skipped[skipKey(st.ID, f.key())]; ok {
			put(s.Seq)
		}
	}
	since = j.Reopened[st.ID]
	if s, ok := j.Skipped[skipKey(st.ID, "")]; ok {
		put(s.Seq)
	}
	for _, e := range j.Log {
		if seqs[e.Seq] {
			sh.entries = append(sh.entries, e)
		}
	}
	return sh
}

// lastTrialRead gives the trial assembly read last; the final assembly is looked at
// with its own steps.
func (j *Job) lastTrialRead() *Trial {
	for i := len(j.Trials) - 1; i >= 0; i-- {
		if t := &j.Trials[i]; t.read() && !t.Final {
			return t
		}
	}
	return j.Trial()
}

// adviceOn gives the recommendation made from a trial, nil for none. Of the trial in
// the housing it has to stand; what was made of an earlier one is what was built on.
func (j *Job) adviceOn(tr *Trial) *Advised {
	if tr.No == j.Trial().No {
		if a := j.Advice; j.adviceStands() {
			return a
		}
		return nil
	}
	for i := len(j.Log) - 1; i >= 0; i-- {
		e := j.Log[i]
		if a, ok := e.payload.(*advised); ok && e.Live && a.Trial == tr.No {
			return &Advised{Advice: a.Advice, Trial: a.Trial, entryMeta: metaOf(e)}
		}
	}
	return nil
}

// firstBuilt gives the entry that tells a stack of the first trial assembly, 0 for
// none: what is measured of it after that was read belongs to a later build.
func (j *Job) firstBuilt(slot Slot, since uint64) uint64 {
	var at uint64
	for _, e := range j.Log {
		m, ok := e.payload.(*measured)
		if !ok || !e.Live || e.Seq <= since {
			continue
		}
		if strings.HasPrefix(string(m.Slot), "trial.") && since == 0 {
			break
		}
		if m.Slot == slot {
			at = e.Seq
		}
	}
	return at
}

// changesOf calls put with the changes that made a trial's build.
func (j *Job) changesOf(tr *Trial, put func(uint64)) {
	until := j.Version() + 1
	for _, other := range j.Trials {
		if other.No == tr.No+1 {
			until = other.Began
		}
	}
	for _, e := range j.Log {
		if !e.Live || e.Seq < tr.Began || e.Seq >= until {
			continue
		}
		switch e.payload.(type) {
		case *moved, *built:
			put(e.Seq)
		}
	}
}

// seqs are the numbers of the entries shown.
func (sh shown) seqs() []uint64 {
	out := make([]uint64, len(sh.entries))
	for i, e := range sh.entries {
		out[i] = e.Seq
	}
	return out
}

// told are the entries that tell what was read or left out; a change that was built
// is shown with them and needs no eyes of its own.
func (sh shown) told() []Entry {
	return slices.DeleteFunc(slices.Clone(sh.entries), func(e Entry) bool { return e.Kind == kindMoved || e.Kind == kindBuilt })
}

// by says whether somebody entered any of it, for themselves or for somebody else.
func (sh shown) by(name string) bool {
	return slices.ContainsFunc(sh.told(), func(e Entry) bool { return e.By == name })
}

// authors are those who entered it, in the order they did.
func (sh shown) authors() []string {
	var out []string
	for _, e := range sh.told() {
		if e.By != "" && !contains(out, e.By) {
			out = append(out, e.By)
		}
	}
	return out
}

// asOf gives the step as it was shown at an entry of the log, where all that happened
// since is that facts were said again that already held: the same step to whoever
// approved it.
func (sh shown) asOf(j *Job, seq uint64) shown {
	if j.Reopened[sh.step.ID] > seq {
		return sh
	}
	entries := slices.Clone(sh.entries)
	for i, e := range entries {
		if fact := factOf(e); fact != "" && e.Seq > seq && !sh.anewAfter(fact, seq) {
			if first, ok := j.heldSince(fact, e, seq); ok {
				entries[i] = first
			}
		}
	}
	slices.SortFunc(entries, func(a, b Entry) int { return cmp.Compare(a.Seq, b.Seq) })
	sh.entries = slices.CompactFunc(entries, func(a, b Entry) bool { return a.Seq == b.Seq })
	return sh
}

// anewAfter says whether a fact has to be made true anew since an entry, as the caps
// have once they were off again.
func (sh shown) anewAfter(fact string, seq uint64) bool {
	return slices.ContainsFunc(sh.step.Fields, func(f Field) bool { return f.After > seq && contains(f.Facts, fact) })
}

// factOf gives the fact an entry states, empty for none.
func factOf(e Entry) string {
	switch p := e.payload.(type) {
	case *stated:
		return p.Fact
	case *torqued:
		return p.Fact
	}
	return ""
}

// heldSince gives the entry that stated a fact up to seq, where everything said of it
// from then until now agrees: not where it was taken back, or torqued to another figure.
func (j *Job) heldSince(fact string, now Entry, seq uint64) (Entry, bool) {
	var held Entry
	var torque unit.Torque
	found := false
	for _, e := range j.Log {
		if !e.Live || e.Seq > now.Seq {
			continue
		}
		no := false
		switch p := e.payload.(type) {
		case *stated:
			if slices.Contains(excludes(p.Fact), fact) {
				held, torque, found = Entry{}, 0, false
				if e.Seq > seq {
					return Entry{}, false
				}
			}
			no = p.No
		case *torqued:
			if p.Fact == fact && p.Torque != 0 {
				if e.Seq > seq && torque != 0 && p.Torque != torque {
					return Entry{}, false
				}
				torque = p.Torque
			}
		}
		switch {
		case factOf(e) != fact:
		case no && e.Seq > seq:
			return Entry{}, false
		case no:
			held, torque, found = Entry{}, 0, false
		case e.Seq <= seq:
			held, found = e, true
		}
	}
	return held, found
}

// digest stands for what is shown, to the entry and to the figure: two digests are
// equal only where the same entries say the same, on the same build, with the same
// recommendation.
func (sh shown) digest() string {
	h := sha256.New()
	fmt.Fprintf(h, "%s %d\n", sh.step.ID, sh.trial)
	for _, e := range sh.entries {
		fmt.Fprintf(h, "%d %s %s\n", e.Seq, e.Kind, e.Data)
	}
	if sh.trial > 0 {
		for _, s := range []Stack{sh.build.Pinion, sh.build.Left, sh.build.Right, sh.build.Preload} {
			fmt.Fprintf(h, "%t %.4f %.4f\n", s.Known, s.Thickness.MM(), s.Change.MM())
		}
		fmt.Fprintf(h, "%g %g\n", sh.build.LeftNotches, sh.build.RightNotches)
		sh.writeAdvice(h)
	}
	return hex.EncodeToString(h.Sum(nil)[:12])
}

// writeAdvice writes what the recommendation asks for; how it was found does not
// matter to who approves it.
func (sh shown) writeAdvice(w io.Writer) {
	if sh.advice == nil {
		return
	}
	a := sh.advice
	fmt.Fprintf(w, "%s %.4f %.4f %.4f %.4f %g %g\n", a.Verdict, a.PinionShim.MM(), a.Left.MM(), a.Right.MM(), a.Preload.MM(), a.LeftNotches, a.RightNotches)
	keys := make([]string, 0, len(a.Build))
	for k := range a.Build {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	for _, k := range keys {
		fmt.Fprintf(w, "%s %.4f %s\n", k, a.Build[k].MM(), leavesText(a.Leaves[k]))
	}
}

func leavesText(leaves []unit.Length) string {
	text, err := json.Marshal(leaves)
	if err != nil {
		return "" // lengths on record are finite
	}
	return string(text)
}

// latestShown gives the step that was entered last, for a look nobody is made to
// take: false where nothing is on record.
func latestShown(s *rules.Sheet, j *Job) (shown, bool) {
	var latest shown
	var at uint64
	for _, st := range Steps(s, j) {
		sh := shownOf(st, j)
		if n := len(sh.entries); n > 0 && sh.entries[n-1].Seq > at {
			latest, at = sh, sh.entries[n-1].Seq
		}
	}
	return latest, at > 0
}

// shownAt gives a step of the job by its id.
func shownAt(s *rules.Sheet, j *Job, id StepID) (shown, bool) {
	for _, st := range Steps(s, j) {
		if st.ID == id {
			return shownOf(st, j), true
		}
	}
	return shown{}, false
}
