package bot

import (
	"cmp"

	"shimwright/calc/unit"
	"shimwright/dialogs"
	"shimwright/dialogs/phrase"
)

// habits are how a person has asked to be answered, each empty where they never did.
type habits struct {
	units    unit.System
	language phrase.Language
	replies  dialogs.Replies
	typed    dialogs.Type
	called   dialogs.Calling
}

// with gives the habits after a note about them.
func (h habits) with(n note) habits {
	return habits{cmp.Or(n.Units, h.units), cmp.Or(n.Language, h.language), cmp.Or(n.Replies, h.replies), cmp.Or(n.Type, h.typed), cmp.Or(n.Called, h.called)}
}

// of gives a person with the habits over what the configuration says of them.
func (h habits) of(p dialogs.Person) dialogs.Person {
	p.Units, p.Language = cmp.Or(h.units, p.Units), cmp.Or(h.language, p.Language)
	p.Replies, p.Type = cmp.Or(h.replies, p.Replies), cmp.Or(h.typed, p.Type)
	return p
}

// other finds somebody of the shop by name, with their habits.
func (b *Bot) other(name string) (dialogs.Person, bool) {
	for _, p := range b.people.called(name) {
		if p.Name == name {
			return b.directory.habitsOf(name).of(p.person()), true
		}
	}
	return dialogs.Person{}, false
}
