package listen

import (
	"math"
	"regexp"
)

// A correction takes something back: "scratch that, 7 not 9", "meant coast",
// "*8", "that was the left one".

var (
	corrects = compileTrigger(`scratch that | scratch last | scratch the last | scratch it | strike that | strike the last | strike last | correction | i meant | meant to say | meant to type | meant to put | i mean | meant | my bad | my mistake | my fault | oops | whoops | woops | typo | typed wrong | make that | should say | should have been | should have said | should have read | should of been | should read | misread | misreads | mis read | read it wrong | read that wrong | read the dial wrong | i was wrong | that was wrong | thats wrong | that is wrong | was wrong | ignore that | ignore the last | ignore my last | ignore last | ignore those | disregard | fat finger* | fat thumb* | thumb slip* | take that back | i take it back | i take that back | forget that | forget the last | forget that last | never mind that | nevermind that | delete that | delete the last | delete last | cancel that | wrong number* | wrong reading | wrong side i | wrong unit* | wrong one | wrong way round | wrong column | mixed up | mixed them up | got them backward* | had them backward* | backwards | other way round | other way around | swapped those | swap those | got that backward* | had that backward* | i lied | let me correct | correct that | corrected | change that to | change it to | change that # | amend | amended | edit | update that to | not # | wasnt # | wasnt a # | instead of # | rather than # | me equivoque | perdon | quise decir | was off by | dial slipped | dial moved | dial was loose | indicator slipped | indicator moved | sorry ~ # | sorry thats | sorry that is | sorry it is | no wait | wait no | no its # | no it is # | no sorry | actually # | no , its # | no , it is # | no , thats # | nope , its # | nope its # | its # , actually | its # actually | # , actually | no , its actually # | actually its # | actually it is # | actually thats # | actually that is # | actually make | actually that was | actually it was | actually thats | actually its | actually the | actually it was # | # actually | should be # not | that was for | those were for | that was from | those were from | was the other | void that | void the last | retract | re reading | undo ~ last | it was upside down | upside down | transposed | flipped those | flipped them | remeasured ~ not | scrub that | nix that | belay that | hold that wrong | said # ~ meant | did i say | i said # | ok no
		| wrong way round i | wrong way round , i | wrong way around , i | got em swapped | got them swapped | had them swapped | had em swapped | got those swapped | mixed those up | wrong way about
		| wait ~ first one was # | no the first one is # | no the second one is # | no the third one is # | no the fourth one is # | no the last one is # | no , the first one is # | no , the second one is # | no , the third one is # | no , the last one is # | no the first is # | no the second is # | wait ~ second one was # | wait ~ third one was # | wait ~ last one was # | first one was # | second one was # | third one was # | fourth one was # | nope that was coast | nope that was drive | no that was coast | no that was drive | sorry that was coast | sorry that was drive | actually that was coast | actually that was drive | missed one | skipped one | i skipped | missed a | wipe that | erase that | kill that one | bin that one | bin that | bin it | lose that one | drop that one | chuck that | remove that one | remove that | take it off the log | not this job | wrong job | wrong truck | wrong axle | wrong car | off the other job | not for this one
		| scrap that | scrap it | scrap those | scrap the # | scratch the # | forget the # | forget # | forget those | ignore the # | disregard the | strike the # | void the # | sorry that ~ was the | sorry that ~ was on | wrong stack | wrong adjuster | wrong spot | sorry wrong side | sorry wrong one | sorry wrong way | i said ~ i meant | said ~ i meant | reading ~ wrong | was reading it | got that wrong | wrote it down wrong | put it down wrong | take it as # | call it # not | no make it #
		! sets ~ mixed | set ~ mixed | mixed up sets | mixed set | gears ~ mixed | parts ~ mixed | mixed up at | mixed up from | wrong stack of | wrong side up | should be good | went backward* | going backward* | goes backward* | went the wrong way | went wrong way | going the wrong way | moved the wrong way | go the wrong way | lash wrong way | wrong way ? | gone the wrong way | goes the wrong way | carrier backwards | caps mixed | mixed ~ caps | mixed ~ cap | caps ~ mixed | caps backward* | swapped ~ caps | caps swapped | caps ~ wrong | i meant what | what do you mean | what i mean is | mean by | i mean # is | you mean | do i mean | mean when | swapped those out | bearing backwards | got the wrong | in the wrong | wrong parts | not # yet | correct? | update that | wont go | whats wrong | what is wrong | something wrong | somethings wrong | not # places | not # spots | ignore that noise | never mind lunch`)
)

// corrector works out what a correction takes back and what it puts there.
type corrector struct {
	in    Input
	talk  []said
	depth int
}

// before is what was said last, newest first.
type before struct {
	readings []Reading
	moves    []Move
}

// history parses the lines before, newest first, until some said anything.
func (c corrector) history() []before {
	var out []before
	for i := len(c.talk) - 1; i >= 0 && i >= len(c.talk)-6 && len(out) < 3; i-- {
		t := c.talk[i]
		if t.bot() {
			if c.tells(i) {
				continue
			}
			t.text = withoutNext(t.text)
		}
		in := Input{Text: t.text, Units: c.in.Units, Sender: Tech, Context: c.in.Context[:max(0, len(c.in.Context)-(len(c.talk)-i))]}
		u := parse(in, c.depth+1)
		if t.bot() && len(u.Moves) == 0 {
			u.Moves = u.Pending // "logged move 0.005 in right to left"
		}
		if len(u.Readings) > 0 || len(u.Moves) > 0 {
			out = append(out, before{u.Readings, u.Moves})
		}
	}
	return out
}

// tells says whether the assistant's line at i answers a command ("where are we"): it
// says again what was said long before, and nothing in it was said last.
func (c corrector) tells(i int) bool {
	for i--; i >= 0; i-- {
		if c.talk[i].bot() {
			continue
		}
		return VerbOf(c.talk[i].text) != ""
	}
	return false
}

// asksNext begins what the assistant asks for behind what it says back.
var asksNext = regexp.MustCompile(`(?i)(?:^|[\n.;] ?)(?:next|ahora|sigue)[:,][^\n]*`)

// withoutNext leaves of a line of the assistant what it says back: "next: drive pattern:
// toe, center or heel?" is no pattern.
func withoutNext(text string) string { return asksNext.ReplaceAllString(text, "") }

// matches says whether a value taken back ("not 9") is one of the reading's.
func (r Reading) matches(v float64) bool {
	for _, x := range r.Numbers() {
		for _, f := range []float64{1, 0.001, 0.01} {
			if math.Abs(x-v*f) < 1e-9 {
				return true
			}
		}
	}
	return false
}

// lastLike finds the newest reading that fits: of the quantity, and with the
// value, where given.
func lastLike(h []before, what What, value *float64) (Reading, bool) {
	for _, b := range h {
		for i := len(b.readings) - 1; i >= 0; i-- {
			r := b.readings[i]
			if what != "" && r.What != what || value != nil && !r.matches(*value) {
				continue
			}
			return r, true
		}
	}
	return Reading{}, false
}

func isPattern(w What) bool { return w == PatternDrive || w == PatternCoast }

// retractOf names a reading that no longer holds.
func retractOf(r Reading) Retract {
	rt := Retract{What: r.What}
	if r.Value != nil {
		v := *r.Value
		rt.Value = &v
	}
	return rt
}
