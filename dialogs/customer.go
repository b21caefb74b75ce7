package dialogs

import "shimwright/dialogs/listen"

// mayAct says whether who wrote may answer what is being asked: a customer only of
// the drives, which are theirs to make.
func (t *turn) mayAct() bool {
	return t.said.By.Role != Customer || t.field != nil && t.field.road()
}

// customerMay says whether a customer gets what a command does. What only looks at the
// job gives them its short summary, without who did what when; what changes it is for
// the people of the shop, and is told so.
func (t *turn) customerMay(v listen.Verb) bool {
	switch v {
	case listen.VerbHelp, listen.VerbGlossary, listen.VerbSummary:
		return true
	case listen.VerbDone, listen.VerbYes, listen.VerbNo:
		if t.mayAct() {
			return true
		}
		if !t.said.Addressed {
			t.quiet = true // people say yes to each other
			return false
		}
	}
	t.noNext = true
	if isLook(v) || v == listen.VerbNext || v == listen.VerbCard {
		t.tell(t.summary()...)
		t.tell(t.text("summary.how_to_print"))
		return false
	}
	t.tell(t.text("talk.for_the_shop"))
	return false
}
