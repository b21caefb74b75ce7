package listen

// unread says whether the message answers what is asked, or asks about it, and yet
// nothing could be made of it: whoever typed it waits for a word. Chatter is none of
// that.
func (a *analysis) unread(u Utterance) bool {
	if !a.expect.asked || a.in.Sender == Customer || u.Command != nil || u.Ask != nil || u.Decision != "" || u.Reckoning != nil {
		return false
	}
	if len(u.Readings)+len(u.Moves)+len(u.Facts)+len(u.Signed)+len(u.Damage)+len(u.Cautions)+len(u.Retract) > 0 {
		return false
	}
	switch {
	case u.Kind == Question && len(u.Topics) == 1 && u.Topics[0] == TopicOther:
		return len(u.Pending) > 0 || strongShop(a.clauses) || a.namesAsked() || a.bareFigure() || askedOfUs.inAny(lookWords(a.clauses))
	case u.Kind != Ignore || len(u.Pending) > 0:
		return false
	}
	words := allWords(a.clauses)
	switch {
	case offTopic.inAny(words), schedule.inAny(words), notYet.inAny(words), len(words) > 20:
		return false
	case unreadWords.inAny(words):
		return true
	}
	for _, c := range a.clauses {
		if c.is(moodOther | moodSpec | moodTarget | moodPlan | moodOrder | moodIf) {
			return false
		}
	}
	return a.namesAsked() || a.bareFigure()
}

// notYet: it will come.
var notYet = compileTrigger(`yet | not measured | havent measured | havent read | battery | on loan | later | in a bit | in a minute`)

// askedOfUs are questions that can only be for the assistant.
var askedOfUs = compileTrigger(`how do i | how do you | how do we | how to | whats the best way to | what is the trick to | bot | @bot`)

// namesAsked says whether the message has a word of the quantity that is asked for.
func (a *analysis) namesAsked() bool {
	var tags []tag
	switch {
	case len(a.expect.sides) > 0:
		tags = []tag{qPattern, lToe, lHeel, sCoast}
	case a.expect.q == qShim:
		tags = []tag{qShim}
	case a.expect.q != none:
		tags = []tag{a.expect.q}
	}
	for _, c := range a.clauses {
		for k, it := range c.items {
			for _, t := range tags {
				if it.tags.has(t) && !it.tags.has(light) && !weakShop(c.items, k) {
					return true
				}
			}
		}
	}
	return false
}

// bareFigure says whether the message is hardly more than a figure that may be meant
// as the answer.
func (a *analysis) bareFigure() bool {
	words := 0
	figure := false
	for _, c := range a.clauses {
		words += len(c.words)
		for _, it := range c.items {
			figure = figure || it.group != nil && it.skip == 0 && it.group.unit == noUnit
		}
	}
	return figure && words <= 3
}

// unreadWords are what people say who could not read what they were asked for.
// Common practice, no source.
var unreadWords = compileTrigger(`cant see | cant read | cant find | cant make it out | cant make out | cant get a reading | couldnt see | couldnt read | couldnt find | cannot see | cannot read | not readable | unreadable | illegible | smeared | smudged | ground off | worn off | rusted over | too dirty | didnt print | doesnt show | nothing shows | nothing to see | no idea | hard to read | needle keeps | needle jump* | dial keeps | dial jump* | cant trust it | did the caps | did the cover | did the bolts | did the ring bolts | did the nut | dial slipped | dial moved | indicator slipped | indicator moved | slipped | same as before | same as last time | better than | worse than | than last time | than before | wouldnt read | no reading | wrong gear | wrong one | wrong job | wrong axle | wrong diff | everything is torqued | everything torqued | all torqued | tightened it | tightened the | tightened caps | tightened bolts | no drag | tightened them | torqued it | torqued them | snugged | barely move* | hardly move* | looks ok i guess | no se ve | no se lee | no se pudo | se movio el indicador | se movio el reloj | se borro | no alcanzo a`)
