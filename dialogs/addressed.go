package dialogs

import (
	"cmp"
	"slices"

	"shimwright/dialogs/phrase"
)

// asked gives who the next question is for, where a mentor's word moved the job on and
// somebody else does the work: whoever is called with the answer. False where it is for
// who spoke, or nobody else is known.
func (t *turn) asked() (Person, bool) {
	if !t.said.By.Role.Reviews() || t.job.TakenBy != "" || t.said.Other == nil {
		return Person{}, false
	}
	called := slices.Concat(t.ping, t.calling)
	for _, o := range t.more {
		if o.Home == t.job.Number && o.Look == 0 {
			called = slices.Concat(called, o.Ping)
		}
	}
	for _, name := range t.worker() {
		if name != t.said.By.Name && contains(called, name) {
			return t.said.Other(name)
		}
	}
	return Person{}, false
}

// asAsked does something in the words and units of whoever the next question is for.
// Pictures it adds are labelled in their language.
func (t *turn) asAsked(do func()) {
	to, ok := t.asked()
	if !ok {
		do()
		return
	}
	own, before := t.voice, len(t.pictures)
	t.voice = t.desk.voiceFor(to, t.sheet).at(t.said.At)
	do()
	t.voice = own
	for i := before; i < len(t.pictures); i++ {
		t.pictures[i].Language = cmp.Or(to.Language, phrase.English)
	}
}
