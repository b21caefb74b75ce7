package dialogs

import (
	"slices"

	"shimwright/calc/unit"
	"shimwright/dialogs/advise"
	"shimwright/dialogs/picture"
	"shimwright/rules"
)

// forLearner says whether the work is done by an apprentice, or by somebody who is
// taught. What a mentor says brings the job on for whoever does it.
func (t *turn) forLearner() bool {
	by := t.said.By
	if !by.Role.Reviews() {
		return by.Role == Apprentice || t.job.teaches(by.Name)
	}
	if t.job.TakenBy != "" {
		return false
	}
	for _, e := range slices.Backward(t.job.Log) {
		if e.By != "" && (e.Role == Apprentice || e.Role == Technician) {
			return e.Role == Apprentice || t.job.teaches(e.By)
		}
	}
	return false
}

// learnerPicture shows an apprentice what a step is about when it begins.
func learnerPicture(t *turn, step Step) error {
	if !t.forLearner() || len(t.pictures) > 0 {
		return nil
	}
	if _, f := t.next(); f != nil && t.showsCells(*f) {
		return nil // comes with the question
	}
	t.pictures = append(t.pictures, t.pictureOf(step)...)
	return nil
}

// pictureOf gives the picture of the step as the job stands: the stacks that go in, the
// places a pattern can lie or where it lay and will lie, else the sketch of the step.
func (t *turn) pictureOf(step Step) []Picture {
	_, field := t.next()
	switch step.ID {
	case StepFound:
		return []Picture{{Name: "cells", Cells: &picture.ChoicePicture{}}}
	case StepStart:
		if a := t.job.Advice; a != nil && a.Trial == 0 && !a.Built && a.Build["pinion"] > 0 {
			return stacksPicture(t.voice, stackDrawn(t.text("bench.pinion"), a.Leaves["pinion"], a.Build["pinion"]))
		}
	case StepTrial:
		left, okLeft := t.lengthAt(OldLeft)
		right, okRight := t.lengthAt(OldRight)
		if okLeft && okRight && t.sheet.Carrier.By != rules.Adjusters {
			return stacksPicture(t.voice, stackDrawn(t.text("bench.left"), nil, left), stackDrawn(t.text("bench.right"), nil, right))
		}
	case StepLoop, StepFinalCarrier:
		if field == nil {
			break
		}
		if field.Slot == TrialDrive || field.Slot == TrialCoast || field.Slot == FinalDrive || field.Slot == FinalCoast {
			return []Picture{{Name: "cells", Cells: &picture.ChoicePicture{}}}
		}
		if a := t.job.Advice; field.Act == "built" && a != nil && a.Verdict != advise.Good && !t.untold() {
			if p := patternPicture(t.voice, t.sheet, t.job, a.Advice); len(p) > 0 {
				return p
			}
		}
	}
	if p := stepSketch(t.voice, t.sheet, t.job, step); p != nil {
		return []Picture{{Name: "step", Step: p}}
	}
	return nil
}

// showPicture answers whoever asks for the picture of where the job stands.
func (t *turn) showPicture() {
	t.noNext = true
	step, _ := t.next()
	all := t.pictureOf(step)
	if len(all) == 0 {
		t.tell(t.text("sketch.none"))
		return
	}
	t.tell(t.text("sketch.here", "n", step.No, "step", t.voice.say(step.Title)))
	t.pictures = append(t.pictures, all...)
}

func stacksPicture(v voice, stacks ...picture.Stack) []Picture {
	return []Picture{{Name: "stacks", Stacks: &picture.StacksPicture{Units: v.own, Stacks: stacks}}}
}

func stackDrawn(name string, leaves []unit.Length, whole unit.Length) picture.Stack {
	s := picture.Stack{Name: name}
	if len(leaves) == 0 && whole > 0 {
		leaves = []unit.Length{whole}
	}
	for _, l := range leaves {
		s.Leaves = append(s.Leaves, picture.Leaf{Thickness: l})
	}
	return s
}
