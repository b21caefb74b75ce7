package dialogs

// Overtaken says that something else was asked since a choice was offered.
func (d *Desk) Overtaken(to Person) string {
	return d.Phrases.In(to.Language).Say("press.overtaken")
}

// NotYours says whose choice it is; who are names of people and of roles.
func (d *Desk) NotYours(to Person, who []string) string {
	words := d.Phrases.In(to.Language)
	names := make([]string, len(who))
	for i, n := range who {
		switch Role(n) {
		case Mentor:
			n = words.Say("press.mentor")
		case Owner:
			n = words.Say("press.owner")
		}
		names[i] = n
	}
	return words.Say("press.not_yours", "who", (voice{words: words}).list(names))
}
