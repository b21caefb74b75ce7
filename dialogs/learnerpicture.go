package dialogs

import (
	"shimwright/calc/unit"
	"shimwright/dialogs/picture"
)

// learnerPicture shows an apprentice what a step is about, where there is something
// to draw: the places a pattern can lie, or the stacks that go in. The trial loop has
// its own pictures.
func learnerPicture(t *turn, step Step) error {
	if t.said.By.Role != Apprentice && !t.job.teaches(t.said.By.Name) {
		return nil
	}
	switch step.ID {
	case StepFound:
		t.pictures = append(t.pictures, Picture{Name: "cells", Cells: &picture.ChoicePicture{}})
	case StepStart:
		if a := t.job.Advice; a != nil && a.Trial == 0 && !a.Built {
			t.showStacks(t.stackDrawn("pinion", a.Leaves["pinion"], a.Build["pinion"]))
		}
	case StepTrial:
		left, okLeft := t.lengthAt(OldLeft)
		right, okRight := t.lengthAt(OldRight)
		if okLeft && okRight {
			t.showStacks(t.stackDrawn("left", nil, left), t.stackDrawn("right", nil, right))
		}
	}
	return nil
}

func (t *turn) showStacks(stacks ...picture.Stack) {
	t.pictures = append(t.pictures, Picture{Name: "stacks", Stacks: &picture.StacksPicture{Units: t.voice.own, Stacks: stacks}})
}

func (t *turn) stackDrawn(name string, leaves []unit.Length, whole unit.Length) picture.Stack {
	s := picture.Stack{Name: name}
	if len(leaves) == 0 && whole > 0 {
		leaves = []unit.Length{whole}
	}
	for _, l := range leaves {
		s.Leaves = append(s.Leaves, picture.Leaf{Thickness: l})
	}
	return s
}
