package dialogs

// Away fits a message of a job to a place on another platform than the job's: with
// what is needed to answer there. here says that what is typed there is about the job
// anyway.
func (d *Desk) Away(o Outgoing, job int, from string, here bool, to Person) Outgoing {
	words := d.Phrases.In(to.Language)
	if here {
		o.Text += "\n" + words.Say("relay.away_here", "n", job, "from", from)
	} else {
		o.Text += "\n" + words.Say("relay.away", "n", job, "from", from)
	}
	return o
}

// Unreached says in a job that somebody it called on another platform could not be
// reached there.
func (d *Desk) Unreached(_ int, who, on string) Outgoing {
	return Outgoing{Text: d.Phrases.In("").Say("relay.unreached", "who", who, "on", on)}
}

// Told says at a job's own place what somebody said about it elsewhere, and how that
// was answered.
func (d *Desk) Told(_ int, by, on, said, answer string) Outgoing {
	return Outgoing{Text: d.Phrases.In("").Say("relay.told", "by", by, "on", on, "said", clip(said, 200)) + "\n" + clip(answer, 400)}
}
