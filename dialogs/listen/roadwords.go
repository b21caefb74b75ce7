package listen

import "strings"

// The words of the road. Whole messages first, then what may stand anywhere.
var (
	roadYes    = phraseWords(`yes | y | yep | yeah | yup | sure | aye | si | yes it has | yes we have | about that | just about | it has | it is | just over | a bit more | more than that`)
	roadNo     = phraseWords(`no | n | nope | nah | not yet | nowhere near | no way | not quite | not even close | todavia no | aun no`)
	roadOff    = phraseWords(`off | leaving | leaving now | off now | off i go | off we go | were off | im off | rolling | going now | on the road | heading off | on my way | wheels rolling | salgo | arranco | saliendo | vamos | start | go`)
	roadPause  = phraseWords(`pause | stop | pausa | para | stop it | pause it`)
	roadResume = phraseWords(`resume | continue | go on | carry on | go ahead | goahead | on we go | again | unpause | seguimos | sigue | continua | proceed | keep going | ok to go | good to go | clear to go | lift the hold | release it | you can go on | drive on`)

	legNouns    = wordSet(`etapa vuelta recorrido leg drive loop run lap cycle trip drives legs loops round`)
	legCounts   = map[string]int{"one": 1, "two": 2, "three": 3, "four": 4, "uno": 1, "dos": 2, "tres": 3}
	legOrdinals = map[string]int{"first": 1, "1st": 1, "second": 2, "2nd": 2, "third": 3, "3rd": 3, "fourth": 4, "4th": 4, "fifth": 5, "last": -1, "final": -1, "primera": 1, "segunda": 2, "tercera": 3, "ultima": -1}

	beginWords   = compileTrigger(`start breakin | starting breakin | start the breakin | starting the breakin | start ~ breakin | begin breakin | begin the breakin | beginning ~ breakin | breakin starts | breakin started | started ~ breakin | breakin begins | lets ~ breakin | breakin now | off on ~ breakin | out on ~ breakin | out for ~ breakin | going for ~ breakin | heading out ~ breakin | empiezo ~ rodaje | empezar ~ rodaje | empieza ~ rodaje | arranco ~ rodaje | empiezo ~ asentamiento | empezar ~ asentamiento | empieza ~ asentamiento | arranco ~ asentamiento | kick* off breakin | kick* off ~ breakin | start* the run in | start* run in | start bedding | start the bedding ! not | done | finished | when | after`)
	outWords     = compileTrigger(`heading out | head out | headed out | heading off | off on | off for | off we go | leaving on | leaving for | leaving now | setting off | set off | taking it out | taking her out | taking it for | taking her for | going out | out on leg | out on the | out for | pulling out | on my way | starting leg | starting drive | off now | off again | starting loop | start leg | start drive | start loop | starting second | going on with leg | next leg now | leg # now | going for ~ leg | going for # | going for another | going for ~ drive | going for ~ loop | on the road now | salgo | saliendo | rolling now | another # miles now ! back | when | after | before | came | done | tomorrow | finished | lunch | coffee | parts | smoke | food | home | dinner | errand* | beer | beers | fuel up | gas station | door`)
	backWords    = compileTrigger(`back | returned | leg ~ done | drive ~ done | loop ~ done | lap ~ done | run ~ done | cycle ~ done | leg ~ finished | finished leg | finished the | done with leg | done leg | done the first | done the second | done the third | parked | drove | driven | did # | did about # | did a # | did the # | ran it | ran # | took it | went # | # miles done | # miles in | # km done | # mi done | just did | # done | leg # done | volvi | de vuelta | ya volvi | got back | did leg | did the | took # ~ round | took # ~ around | did loop | did another ! back at it | the back | back on | backed | back axle | back out | back roads | back off | back of | back it | backing | back up | be back | back tomorrow | back later | back to the | back seat | going to | back in the lift | back soon | getting back | lunch | coffee | break | dinner | back hurts | back office | back room | call back | called back | text back | send back | call me back | call you back | get back to | ring back | backup`)
	cooledWords  = compileTrigger(`cooled | cool now | cold now | its cold | stone cold | cool to touch | cool to the touch | can touch it | can hold a hand | can keep a hand | keep my hand on | hand on it | cooled off | cooled down | cold again | cool again | cool enough | back to cold | fully cool | ambient | ya esta frio | frio ya | barely warm | lukewarm | just warm | hand warm ! not | hasnt | isnt | cant | still | cooling | cooled only | only | some | a bit | a little | hot | didnt | when | once | until | if`)
	pauseWords   = compileTrigger(`pause | pausing | paused | hold the breakin | stop the breakin | stopping the breakin | stopping here | stop here | stopping for | break off | breaking off | interrupt* | need the bay | leaving it for | leave it for | thats it for today | enough for today | knocking off | call it a day | put it on hold | on hold for | pausa | customer needs ~ back | cant drive it | customer took it | lo dejamos ! not | was paused | after the pause`)
	resumeWords  = compileTrigger(`resume | resuming | resumed | carry on | carrying on | continuing | continue ~ breakin | continue ~ leg | go on with | going on with | lets go on | back on it | back at it | pick it up again | picking it up | unpause | seguimos | go ahead with | ok to go on | ok to drive | ok to carry on | ok go on | you can go on | you can drive | can go on | may go on | good to go on | good to drive | clear to drive | safe to go on ! not | dont | cant | until | before`)
	quietWords   = compileTrigger(`quiet | no noise | no noises | no funny noise* | no weird noise* | no odd noise* | no strange noise* | no whine | no howl | no growl | no hum | silent | no sound | not a sound | not a peep | nothing to hear | no rumble | cant hear ~ anything | cant hear a thing | hear nothing | nice and smooth | smooth | runs sweet | sounds good | sounds fine | noise gone | noise is gone | no more noise | sin ruido | callado | sounds sweet ! not quiet | isnt quiet | not smooth | not as smooth | wasnt quiet`)
	oilWords     = compileTrigger(`changed ~ oil | oil changed | oil change done | did ~ oil change | did ~ oil | oil change ~ done | new oil in | fresh oil in | oil ~ swapped | swapped ~ oil | oil is changed | drained and refilled | drained and filled | cambie ~ aceite | aceite cambiado | cambio de aceite hecho | oil done ! not | havent | didnt | need | due`)
	torquedWords = compileTrigger(`retorqued | re torqued | torqued again | rechecked ~ torque | torques checked | torque checked | checked ~ torque | torques rechecked | wheel nuts ~ done | wheel nuts ~ torqued | wheel nuts ~ checked | lug nuts ~ torqued | lug nuts ~ checked | lugs ~ torqued | lugs ~ checked | bolts ~ torqued | bolts ~ checked | torqued ~ bolts | torqued ~ wheel | torqued ~ lug* | went over ~ bolts | went over ~ nuts | went round ~ nuts | went round ~ bolts | went around ~ nuts | all torqued | all tight | nothing loose | everything tight | tuercas ~ apretadas ! not | havent | didnt`)
	dryWords     = compileTrigger(`no leaks | no leak | dry | not leaking | no drips | no drip | no weep* | no seep* | bone dry | no oil anywhere | no oil on | leak free | no signs of | sin fugas | seco | nothing leaking | nothing wet ! not dry | isnt dry`)
	leakWords    = compileTrigger(`leak* | weep* | drip* | seep* | wet ~ seal | seal ~ wet | cover ~ wet | oil on the floor | oil on the ground | oil spot | oil puddle | puddle | fuga* | gotea ! no leak* | not leaking | came in | fixed | was leaking | for leaks`)

	laterWords   = compileTrigger(`later | not now | not right now | in a bit | in a while | bit later | busy | give me a bit | give me a minute | snooze | cant right now | cant now | luego | mas tarde | ahora no | after lunch | hold that | bug me later | somewhen ! what | how | see you | back later | called later`)
	laterFigure  = compileTrigger(`in # | # more | more # | give me # | give it # | another # | # later | remind ~ # | snooze # | snooze ~ # | ask ~ # | en # | need # | later | not yet | wait # | # minutes more | dame # | otros #`)
	givesMinutes = compileTrigger(`give me # | gimme # | another # | snooze # | dame #`)
	laterHour    = compileTrigger(`in an hour | an hour more | give me an hour | in half an hour | half an hour more | give me half | half hour | another hour | another half hour | after lunch | en una hora | en media hora`)
	laterHalf    = compileTrigger(`half | media`)
	laterDay     = compileTrigger(`not today | tomorrow | tmrw | tmw | tomorow | hoy no | manana | in the morning | another day | next day ! see you | see ya | cya | heading home | drove | did | will drive | customer`)
	laterWeek    = compileTrigger(`next week | in a week | monday | la semana que viene | proxima semana`)
)

// phraseWords makes a set of whole messages.
func phraseWords(forms string) map[string]bool {
	set := make(map[string]bool)
	for f := range strings.SplitSeq(forms, "|") {
		set[strings.TrimSpace(f)] = true
	}
	return set
}
