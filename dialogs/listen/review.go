package listen

import (
	"regexp"
	"strconv"
	"strings"
)

// Decisions of a review.
const (
	DecisionApprove = "approve"
	DecisionRedo    = "redo"
	DecisionHold    = "hold"
	DecisionRequest = "request"

	DecisionLift     = "lift"     // a hold is over
	DecisionTakeOver = "takeover" // the mentor does it
	DecisionHandBack = "handback" // and gives it back
)

var (
	approves = compileTrigger(`approved | approve | approving | ok it | okay it | ok this | okay this | ok that one | ok that look | lgtm | looks good | look good | looking good | good to go | send it | ship it | run it | id run it | id run that | run that | button it up | button her up | close it up | close her up | happy with that | happy with it | im happy | good with that | good with it | leave it | leave it alone | leave it be | ok by me | fine by me | good by me | go ahead | sign off | signed off | signing off | im signing | sign it | sign her | can live with that | can live with it | live with that | sign it off | sign that off | sign this off | sign her off | i sign off | passes | thats a pass | pass | thumbsup | that will do | that will work | that works | thatll do | thatll work | perfect | beautiful | dont touch it | call it done | call it good | that is good | thats good | nice work close | sold | you are good | youre good | your good | good job close | spot on | bang on | looks great | looks right | ok to close | ok to go | all good | done deal | good enough for me | im good with | i like it | i like that | carry on | proceed | yes close | bolt it up | bolt her up | put it together | put her together | ready to go | final approval | thats the one | dead nuts | money | textbook | works for me | all looks fine | looks fine | is fine | good pattern | approves
		! approved by | says | said | signed off by | not approved | cuando | en cuanto | siempre que | pero | dont approve | cant approve | not good | doesnt look good | not happy | dont run | dont send | wont pass | if | until | once you | before you | looks good but | good but | good except | but | not bad but | when you | what | not perfect | after you | send it over | send it to me | send it again | run it again | run it back | leave it for | leave it to | leave it on | leave it with | leave it till | leave it until | not approving`)
	redoes   = compileTrigger(`redo | do ~ pattern over | do those over | do that over | do these over | re do | do it again | do it over | do that again | re check | recheck | check it again | check again | check that again | take it again | run it again | run the pattern again | run another pattern | another pattern | new pattern | re read | reread | read it again | re measure | remeasure | measure it again | measure again | pull it back apart | take it back apart | tear it back | back apart | not good enough | try again | start over | start again | needs ~ again | doing again | do ~ again | once more | needs another | repeat ~ reading* | repeat the | repeat that | repaint | re paint | paint it again | again please | re torque ~ read | retorque ~ read* | read ~ again | pattern again | lash again | drag again | do over | not acceptable | cant accept | i dont buy | dont like that pattern | reject | rejected | rejecting | declined | not approved | not approving | im not signing | wont sign | not signing | no good | thats no good | wrong do | re shoot | retake | pull it apart | needs redoing | do the pattern over | one more time | more time | thumbsdown | another set of readings | fresh readings | second set of readings ! if you have to | worst case`)
	holds    = compileTrigger(`hold | hold off | hold on | hold up | hold it | hold there | stop | wait | dont close | dont go further | dont go any | dont button | dont touch | dont run | not yet | hang on | hang fire | stand by | standby | pause | dont do anything | dont move | dont pull | dont put | leave it ~ until i | leave it ~ till i | leave it there | leave it for now | sit tight | whoa | woah | hold your horses | freeze | wait for me | dont torque | dont crush | dont change | nothing until | nobody touch | back off for now | no further | stop there | stop right there | dont assemble | dont fill | dont start | dont drive | dont ship | no go | before i sign | before i approve | before ill sign | not signing until ! wait time | dont stop | hold true | stop by | on hold music | holding steady | dont wait | dont hold`)
	requests = compileTrigger(`need a review | need review | want a review | can you check | can you look | could you check | could you look | can you have a look | please check | please review | pls check | pls review | please look | have a look | having a look | mind looking | mind checking | mind having | take a look | look at this | look this over | look it over | look over | need eyes | eyes on | second set of eyes | second opinion | ready for sign off | ready for signoff | please sign | sign off on | get a sign off | mentor needs to see | mentor needs to look | mentor ~ ready | tell ~ mentor | let ~ mentor know | sign off please | sign off pls | sign off ? | sign this off | sign it off | sign that off | signoff | need approval | need sign off | need a sign off | need your ok | need your okay | need the ok | waiting on sign | waiting on your sign | waiting on your ok | waiting on you | waiting on approval | waiting on mentor | ready for the mentor | ready for mentor | ready for a look | waiting on the ok | waiting for sign | waiting for approval | awaiting | ok to close | okay to close | ok to button | good to close | good to button | can i close | can i button | can we close | can we button | ready for review | ready for you | ready for mentor | review please | review pls | review ? | for review | mentor ? | @mentor | get mentor | need mentor | call mentor | ask mentor | want mentor | can mentor | could mentor | mentor can | mentor check | mentor look | check my work | check my numbers | check my readings | check these | check this | check it out ? | what does mentor | verify this | double check ~ me | double check my | double check these | approve ? | approve this | approve these | approve please | pls approve | please approve | can you approve | can i get approval | your blessing | give me the nod | the green light | green light ? | thumbsup ? | ok to proceed | okay to proceed | ok to go ahead | ok to move on | are you happy | you happy | happy with ~ ? | happy for me to | can someone check | can someone look | someone check | someone look | anyone check | check pattern please | good to go ? | am i good to go | all good to close | cover on ? | review ~ pattern | review ~ readings | review my | need someone to check | need someone to look | looks good ? | look good ? | look ok ? | look right ? | look alright ? | approval please | approval pls | request* ~ review | request* ~ approval | request* ~ sign | requesting | puedes revisar | revisar ! check this out`)
)

// findReview finds a decision of the mentor, or a request for one.
func findReview(clauses []clause, in Input, hasFigures bool) (decision string) {
	var words []string
	question := false
	for i, s := range sentencesOf(clauses) {
		if i > 0 {
			words = append(words, ".")
		}
		words = append(words, s.words...)
		if s.mark == '?' {
			words = append(words, "?")
			question = true
		}
	}
	if in.Sender == Mentor {
		switch {
		case !question && lifts.in(words):
			return DecisionLift
		case !question && takesOver.in(words):
			return DecisionTakeOver
		case !question && handsBack.in(words):
			return DecisionHandBack
		case question && !holds.in(words) && !redoes.in(words):
			return ""
		case redoes.inAny(words):
			return DecisionRedo
		case holds.inAny(words):
			return DecisionHold
		case approves.in(words):
			return DecisionApprove
		}
		return ""
	}
	if in.Sender == "" && !question && !hasFigures && approves.in(words) && len(words) <= 8 {
		// the role is not known; who may approve is checked elsewhere
		if bareApproval.in(words) {
			return DecisionApprove
		}
	}
	if w := skipFillers(words); len(w) > 0 && whoAsks[w[0]] {
		return "" // "who can approve this?"
	}
	if requests.in(words) && in.Sender != Customer && !laterOn.in(words) {
		return DecisionRequest
	}
	return ""
}

// laterOn: a review is spoken of and not asked for.
var laterOn = compileTrigger(`will have ~ look | will have ~ check | will get ~ to look | will ask | later | tomorrow | will send ! ?`)

// whoAsks are question words that want to know something about reviews.
var whoAsks = wordSet("who when how why whose whos")

// bareApproval are words that nobody but a reviewer would send.
var bareApproval = compileTrigger(`approved | approve | lgtm | signed off | sign off | signing off | good to go | button it up | close it up | send it | ship it | id run it | run it ! ?`)

// What a mentor says about the job more than about its figures.
var (
	lifts     = compileTrigger(`lift the hold | lift hold | lift it | lift that hold | hold lifted | hold is lifted | hold is off | hold off now | take the hold off | off hold | unhold | release the hold | end the hold | no more hold ! dont | not yet | when | once | if | until`)
	takesOver = compileTrigger(`ill take it | ill take this | ill take that | ill take over | i will take it | i will take over | i will take this | i take over | i take it from here | ill take it from here | im taking over | im taking this | taking over | take over | takeover | let me take it | let me take over | let me take this | ill do it myself | ill do this one | i got it from here | ill finish it ! you | can | should | out | off | if | when | later | tomorrow | ben takes | to lunch`)
	handsBack = compileTrigger(`over to you | back to you | hand it back | handing it back | handing back | hand back | its yours | it is yours | yours again | you take it from here | you take it again | all yours ! if | when | once | until`)
)

// lookNumber is an answer that names the look it means: "approve 2", "repite 2".
var lookNumber = regexp.MustCompile(`(?i)^\W*(?:(?:approved?|ok(?:ay)?|pass|re-?read|redo|reject|hold|ask|lift|take over|i'?ll take(?: it)?|aprobad[oa]|aprueb[oa]|visto bueno|rep[ií]te(?:lo)?|pregunta|alto|espera|lo hago yo)[ ,:]+(?:it[ ,]+|(?:al?|el|del) +)?(?:(?:look|vistazo)[ ,]+)?#?|(?:look|(?:el +)?vistazo)[ ,]+#?)(\d{1,4})\b(?:[^\d.,]|[.,](?:\D|$)|$)`)

// lookOf gives the number of the look a mentor's answer names, 0 for none.
func lookOf(text string) int {
	m := lookNumber.FindStringSubmatch(text)
	if m == nil {
		return 0
	}
	n, err := strconv.Atoi(m[1])
	if err != nil {
		return 0
	}
	return n
}

// bareNumber is an approval of nothing but a word and the look's number; pressed is
// what a look's card offers to press.
var (
	bareNumber = regexp.MustCompile(`(?i)^\W*(?:ok(?:ay)?[ ,:]+(?:look[ ,]+)?#?\d{1,4}|look[ ,]+#?\d{1,4},? (?:is )?(?:ok|okay|good|fine|approved)|(?:el +)?vistazo[ ,]+#?\d{1,4},? (?:está |esta )?(?:bien|ok|aprobado))\W*$`)
	pressed    = regexp.MustCompile(`(?i)^(?:approve|re-read|aprobado|repite) \d{1,4}$`)
)

// asksPerson are questions only whoever measured can answer.
var asksPerson = compileTrigger(`why # | why is it # | why that | how did you | how many ~ did you | did you | have you | are you sure | you sure | what did you | which ~ did you | where did you | when did you | what made you | were you | was that with | were the caps | is that with | did it | ask ben | ask him | ask her | ask them | ask why | ask how | ask if | ask what | ask which ! bot | shimwright`)

// review finishes what a mentor says: the look it names, and whether a question is
// for whoever measured.
func (a *analysis) review(u *Utterance) {
	text := strings.TrimSpace(a.in.Text)
	if a.in.Sender != Mentor {
		if pressed.MatchString(text) {
			*u = Utterance{Kind: Ignore, Look: lookOf(text), Note: "a mentor's answer, from somebody else"}
		}
		return
	}
	if bareNumber.MatchString(text) {
		*u = Utterance{Kind: Review, Decision: DecisionApprove, Note: "review: " + DecisionApprove}
	}
	if u.Decision != "" {
		u.Look = lookOf(text)
	}
	words := allWords(a.clauses)
	why := len(words) > 2 && words[0] == "why"
	if a.in.Look && u.Decision == "" && u.Command == nil && a.asksWorker(*u) {
		u.Back = true // what the log cannot answer, whoever measured can
		return
	}
	u.Back = u.Decision == "" && u.Command == nil && (why || asksPerson.in(words)) &&
		(u.Kind == Question || strings.Contains(text, "?") || AsksBack(text))
}
