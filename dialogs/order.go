package dialogs

import (
	"shimwright/dialogs/listen"
	"shimwright/rules"
)

// order lists the steps of a job as they are done. Each stands in a file of its
// own, step_*.go; a step without fields is passed by.
func order() []func(*rules.Sheet, *Job) Step {
	return []func(*rules.Sheet, *Job) Step{
		openStep, foundStep, teardownStep, partsStep, startStep, ringStep, trialStep, loopStep,
		finalPinionStep, finalCarrierStep, closeUpStep, summaryStep, breakInStep, afterStep,
	}
}

// gates lists what can keep a step from being passed, or an advised change from
// being built, though all that is to be read is there. A gate gives the field that
// is waited for, nil where the step may be passed.
func gates() []func(*rules.Sheet, *Job, Step) *Field {
	return []func(*rules.Sheet, *Job, Step) *Field{reviewGate, guessGate}
}

// entering lists what is done once when a job comes to a step, in the turn that
// brought it there. Each sees every step and picks its own.
func entering() []func(*turn, Step) error {
	return []func(*turn, Step) error{toolsForApprentice, learnerPicture}
}

// filing lists who may say which slot a reading made at a step belongs to, before
// the usual rules of slotFor are asked.
func filing() []func(r listen.Reading, at StepID) (Slot, bool) {
	return nil
}
