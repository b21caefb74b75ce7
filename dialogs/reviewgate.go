package dialogs

import (
	"slices"

	"shimwright/dialogs/listen"
	"shimwright/rules"
)

// actReview marks the field of a step that waits for a mentor's look.
const actReview = "review"

// reviewGate is the gate of a complete step until a mentor has approved what is on
// record there: nil where the step needs no second pair of eyes, or has been approved
// as it stands. It is pure, as Next is.
func reviewGate(s *rules.Sheet, j *Job, st Step) *Field {
	if !j.mayNeedEyes(s, st.ID) {
		return nil
	}
	sh := shownOf(st, j)
	if !j.needsEyes(s, sh) || j.approval(sh) != nil {
		return nil
	}
	return &Field{Act: actReview, Need: Must, Name: phrased("review.gate"), Prompt: phrased("review.gate_ask"), Why: phrased("review.gate_why")}
}

// mayNeedEyes says whether a step can be one that is looked at at all.
func (j *Job) mayNeedEyes(s *rules.Sheet, id StepID) bool {
	if slices.Contains(s.Reviews.Apprentice, string(id)) || slices.Contains(s.Reviews.Technician, string(id)) {
		return true
	}
	for _, steps := range j.Watched {
		if slices.Contains(steps, id) {
			return true
		}
	}
	return false
}

// needsEyes says whether any of those who entered what is shown is looked at here.
// One who may review is not; who is not known to the shop is treated as an apprentice.
func (j *Job) needsEyes(s *rules.Sheet, sh shown) bool {
	return slices.ContainsFunc(sh.told(), func(e Entry) bool {
		if steps, ok := j.Watched[e.By]; ok {
			return slices.Contains(steps, sh.step.ID)
		}
		if e.Role.Reviews() {
			return false
		}
		role := listen.Apprentice
		if e.Role == Technician {
			role = listen.Tech
		}
		return slices.Contains(s.Reviews.Of(string(role)), string(sh.step.ID))
	})
}

// approval gives the word that approves what is shown exactly as it stands, nil
// where there is none. That it was given by somebody who may, and who entered none
// of it, is checked when it is given and once more here.
func (j *Job) approval(sh shown) *Review {
	if len(sh.entries) == 0 {
		return nil
	}
	for i := len(j.Reviews) - 1; i >= 0; i-- {
		r := &j.Reviews[i]
		if r.Decision != reviewApprove || r.Digest == "" || r.Step != sh.step.ID || r.Trial != sh.trial {
			continue
		}
		if seen := sh.asOf(j, r.Seq); r.Digest == seen.digest() && r.Role.Reviews() && !seen.by(r.By) {
			return r
		}
	}
	return nil
}

// looks are the requests on record, also those that were taken back: a mentor may
// have been shown them.
func (j *Job) looks() []Review {
	var out []Review
	for _, e := range j.Log {
		if r, ok := e.payload.(*reviewed); ok && r.Decision == reviewRequest && r.Look > 0 {
			out = append(out, Review{reviewed: *r, Role: e.Role, entryMeta: metaOf(e)})
		}
	}
	return out
}

// answered gives the last word on a look, nil where nobody has answered it.
func (j *Job) answered(look int) *Review {
	for i := len(j.Reviews) - 1; i >= 0; i-- {
		r := &j.Reviews[i]
		if r.Look == look && (r.Decision == reviewApprove || r.Decision == reviewRedo) {
			return r
		}
	}
	return nil
}

// openLook gives the look that waits for a mentor: the latest request, where what it
// shows still stands and nobody has answered it.
func (j *Job) openLook(s *rules.Sheet) (Review, shown, bool) {
	for i := len(j.Reviews) - 1; i >= 0; i-- {
		r := j.Reviews[i]
		if r.Decision != reviewRequest || r.Look == 0 {
			continue
		}
		sh, ok := shownAt(s, j, r.Step)
		if !ok || j.Closed || j.answered(r.Look) != nil || sh.asOf(j, r.Seq).digest() != r.Digest {
			return Review{}, shown{}, false
		}
		return r, sh, true
	}
	return Review{}, shown{}, false
}
