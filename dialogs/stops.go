package dialogs

import (
	"slices"
	"strings"

	"shimwright/dialogs/listen"
	"shimwright/rules"
)

// lift ends the stops whose rule no longer fires after a new reading or fact. A
// stop that came from words alone needs a reading of what it was about, or a
// spoken reason; one that came with what was being done (closing, driving) stands as
// long as the facts would raise it there again, whatever this message is about.
func (t *turn) lift(standing map[string]bool, facts rules.Facts) error {
	stops, right := t.job.Stops(), t.putsRight()
	if t.stopped || len(stops) == 0 || len(t.u.Readings)+len(t.u.Facts)+len(t.u.Moves)+len(t.u.Signed) == 0 && t.u.Decision == "" && !right {
		return nil
	}
	again := map[string]bool{}
	for _, doing := range []string{"close", "run", "drive"} {
		facts.Doing = rules.Say(doing)
		for _, f := range t.desk.Rules.Evaluate(facts) {
			again[f.ID] = true
		}
	}
	var gone []string
	for _, w := range stops {
		if !standing[w.Rule] && !(again[w.Rule] && !w.Spoken) && (!w.Spoken || t.readSince(w) || t.mended(w)) {
			gone = append(gone, w.Rule)
		}
	}
	if len(gone) == 0 {
		return nil
	}
	if right && len(t.u.Readings) == 0 {
		t.tell(t.text("talk.hold_over_said"))
	} else {
		t.tell(t.text("talk.hold_over"))
	}
	return t.add(overridden{Rules: gone, Cleared: true})
}

// readSince says whether this message measured what a spoken stop was about: the
// rule's name names it (no-lash, drag-high, ring-runout).
func (t *turn) readSince(w Warning) bool {
	for _, r := range t.u.Readings {
		for _, word := range strings.Split(string(r.What), "_") {
			if strings.Contains(w.Rule, strings.TrimPrefix(word, "back")) {
				return true
			}
		}
	}
	return false
}

// mended says whether this message states what puts right what a spoken stop was
// about: a new sleeve after one that was backed off, a lost shim that was found.
func (t *turn) mended(w Warning) bool {
	if t.rights(w) {
		return true
	}
	cure := map[string][]string{
		"nut-backed-off":         {listen.FactNewSleeve},
		"sleeve-over-crushed":    {listen.FactNewSleeve},
		"sleeve-reused":          {listen.FactNewSleeve},
		"ring-bolts":             {listen.FactNewRingBolts, listen.FactThreadlocker},
		"adjuster-lock-missing":  {listen.FactAdjusterLock},
		"setup-bearings-left-in": {listen.FactFinalBearingsIn},
		"slinger-omitted":        {listen.FactSlingerFitted},
		"closing-caps":           {listen.FactCapsTorqued},
	}
	for _, id := range cure[w.Rule] {
		for _, stated := range t.u.Facts {
			if stated == id {
				return true
			}
		}
	}
	return false
}

// rights says whether the words of this message put right what a stop is about. The
// shop's rules bear the names of the dangers they are raised by.
func (t *turn) rights(w Warning) bool {
	return listen.PutsRight(strings.ReplaceAll(w.Rule, "-", "_"), t.said.Text)
}

// putsRight says whether the words of this message put right one of the stops.
func (t *turn) putsRight() bool {
	return t.mayAct() && slices.ContainsFunc(t.job.Stops(), func(w Warning) bool { return w.Spoken && t.rights(w) })
}

// Stops lists the stops that hold the job.
func (j *Job) Stops() []Warning {
	var out []Warning
	for _, w := range j.Warnings {
		if w.Level == string(rules.Stop) && w.Closed == "" {
			out = append(out, w)
		}
	}
	return out
}
