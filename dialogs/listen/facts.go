package listen

// factTable says which words state which fact. A negated, planned or asked one
// does not count.
var factTable = []struct {
	fact string
	when trigger
}{
	{FactCapsTorqued, compileTrigger(`caps ~ torqued | torqued ~ caps | caps ~ at spec | caps ~ to spec | caps ~ tight | cap bolts ~ torqued | torqued ~ cap bolts | caps ~ clicked | torqued down caps | caps down to ! untorqued | finger | hand | loose`)},
	{FactCapsMarked, compileTrigger(`marked ~ caps | caps ~ marked | caps ~ punched | punched ~ caps | caps ~ stamped | centerpunched ~ caps | caps ~ labelled | caps ~ labeled | cap marks ~ done | marked the cap*`)},
	{FactRingBoltsTorqued, compileTrigger(`ring bolts ~ torqued | ring gear bolts ~ torqued | torqued ~ ring bolts | torqued ~ ring gear bolts | torqued ~ ring gear | ring gear ~ torqued | ring gear ~ bolted | crown wheel bolts ~ torqued | crownwheel ~ torqued`)},
	{FactThreadlocker, compileTrigger(`threadlocker ~ on | threadlocker on | with threadlocker | used threadlocker | threadlocker used | threadlocker applied | put threadlocker | and threadlocker | red threadlocker | threadlocker done | fresh threadlocker | threadlocked | used ~ threadlocker | applied threadlocker | red locker | blue locker | green locker | with locker | with ~ locker | and locker | plus locker | locker on | locker used | locker applied | used locker | put locker | fresh locker | lockered ! air locker | diff locker | axle locker | rear locker | front locker | locker diff | no locker | without locker | need | order*`)},
	{FactNutTorqued, compileTrigger(`nut ~ torqued | torqued ~ nut | pinion nut ~ torqued`)},
	{FactCoverTorqued, compileTrigger(`cover ~ torqued | torqued ~ cover | cover bolts ~ torqued`)},
	{FactBearingsSeated, compileTrigger(`bearings ~ seated | seated ~ bearings | spun ~ seat | bearing ~ seated | races ~ seated | cups ~ seated | fully seated | rotated ~ seat | spun the bearings`)},
	{FactNewBearings, compileTrigger(`new bearings | fresh bearings | bearings are new | bearings ~ new | all new bearings | new head bearing | new pinion bearings ! need | order*`)},
	{FactUsedBearings, compileTrigger(`used bearings | old bearings | original bearings | reus* ~ bearings | bearings ~ used | existing bearings | reused bearings ! toss* | threw | bin`)},
	{FactNewSleeve, compileTrigger(`new sleeve | new crush | fresh sleeve | fresh crush | sleeve is new | sleeve ~ new one | second new sleeve ! need | order* | get | want | waiting | buy`)},
	{FactNewNut, compileTrigger(`new nut | new pinion nut | new sleeve ~ nut | new crush sleeve ~ nut | nut is new | fresh nut | new sleeve and nut | sleeve and nut ! need | order* | get | waiting`)},
	{FactNewRingBolts, compileTrigger(`new ring bolts | new ring gear bolts | new bolts ~ ring | ring bolts ~ new | ring gear bolts are new | new bolts and threadlocker | new bolts ! cover | cap | need | order* | get`)},
	{FactSealFitted, compileTrigger(`seal ~ in | seals in | seals are in | new seal | seal fitted | seal installed | seal is in | with seal | with the seal | seal on | with new seal ! need | order*`)},
	{FactNoSeal, compileTrigger(`no seal | without seal | without the seal | seal out | seal off | seal not in | without a seal | seal isnt in | minus the seal`)},
	{FactSetupBearingsIn, compileTrigger(`setup bearings ~ in | on setup bearings | with setup bearings | on the setup bearings | setup bearings fitted | setup bearing in | setup bearings on | using setup bearings | on setup bearing | with the setup bearings ! out | removed | left`)},
	{FactSetupBearingsOut, compileTrigger(`setup bearings ~ out | setup bearings ~ off | setup bearings removed | pulled ~ setup bearings | removed ~ setup bearings | took ~ setup bearings ~ out | setup bearing off | setup bearing out | setup bearing ~ removed ! not`)},
	{FactFinalBearingsIn, compileTrigger(`final bearing* ~ on | final bearing* ~ in | final bearing* pressed | pressed ~ final bearing* | new bearing* ~ pressed | pressed ~ new bearing* | pressed ~ head bearing | head bearing ~ pressed | bearing pressed on | final bearings fitted | final head bearing | on final bearings | pressed on the final`)},
	{FactAdjusterLock, compileTrigger(`lock ~ in | locks ~ in | locks ~ on | lock ~ on | lock tab* ~ on | lock tab* ~ in | adjuster lock* fitted | adjuster lock* ~ on | adjuster lock* ~ in | lock plate* ~ on | locks fitted | lock fitted | locks are in & adjuster | adjusters | tab | tabs | lock plate | locks | lock`)},
	{FactRunoutChecked, compileTrigger(`checked runout | runout ~ checked | runout ~ good | runout ~ ok | runout ~ fine | runout is good`)},
	{FactDialZeroed, compileTrigger(`zeroed ~ dial | dial ~ zeroed | zeroed ~ indicator | zeroed it | re zeroed | rezeroed | dial ~ zero`)},
	{FactPhoto, compileTrigger(`photo | pic | pics | picture | photos | pictures | see attached | attached | screenshot | snap of | img ! send a | need | want | take a | post a | can you | should i`)},
	{FactPatternSkipped, compileTrigger(`skipped ~ pattern | skipping ~ pattern | skip ~ pattern | no pattern taken | without a pattern | didnt run a pattern | didnt do a pattern`)},
	{FactPatternTaken, compileTrigger(`pattern ~ taken | painted ~ teeth | painted ~ ran | ran ~ pattern | ran a pattern | painted and rolled | rolled a pattern | pattern is done | pattern done | took a pattern | did a pattern`)},
	{FactNumbersAgree, compileTrigger(`numbers match | numbers agree | match numbers ~ match | match numbers ~ same | match numbers agree | numbers ~ match | matched set | matched pair | same numbers | numbers same | they match | same number ~ both | both the same number | match number* ~ both | numbers are the same | same match number* | match number* ~ identical | match number* the same | match number* same | match number* agree* | match number* ok | match marks ~ same ! not | dont | doesnt | sure`)},
	{FactNumbersDiffer, compileTrigger(`numbers dont match | numbers ~ dont match | doesnt match ~ ring | numbers ~ different | mismatch* | not a matched | numbers differ | numbers do not match | different numbers`)},
	{FactGearSetNew, compileTrigger(`new gear set | new gears | new ring and pinion | new r and p | gear set is new | brand new gears | new gearset | gears are new | new set of gears | new crown wheel | fresh gears ! need | order*`)},
	{FactGearSetUsed, compileTrigger(`used gear set | used gears | reusing the gears | same gears | original gears | gears are used | old gears | used gearset | used ring and pinion | reusing the ring | original ring and pinion | used set | reusing gears ! throw | toss*`)},
	{FactMilled, compileTrigger(`face milled | two cut | 2 cut | # cut | tapered teeth | tapered tooth | taper depth`)},
	{FactHobbed, compileTrigger(`face hobbed | uniform depth | constant depth | hobbed | parallel depth | parallel tooth`)},
	{FactHighPinion, compileTrigger(`high pinion | hi pinion`)},
	{FactReverseCut, compileTrigger(`reverse cut | reverse rotation`)},
	{FactRingLeft, compileTrigger(`ring ~ on the left | ring gear ~ on left | ring is left | ring gear left side | ring ~ left side ! shim | shims | thou | adjuster | pull | put | took`)},
	{FactRingRight, compileTrigger(`ring ~ on the right | ring gear ~ on right | ring is right | ring gear right side | ring ~ right side ! shim | shims | thou | adjuster | pull | put | took`)},
	{FactSlingerFitted, compileTrigger(`slinger ~ in | slinger ~ on | slinger ~ back | baffle ~ in | baffle ~ back | slinger fitted | baffle fitted | slinger is on ! out | without | left`)},
	{FactSleeveCrushStarted, compileTrigger(`started ~ crush* | crush started | starting to crush | beginning to crush | sleeve ~ starting to | crushing now | its crushing | sleeve ~ crushing`)},
	{FactOilFilled, compileTrigger(`oil ~ in | filled ~ oil | filled with | oil filled | oil ~ topped | topped ~ oil | filled it ~ oil | filled to the | oil is in ! chips | metal`)},
	{FactModifierAdded, compileTrigger(`modifier ~ in | added ~ modifier | modifier added | friction modifier in | with modifier | and modifier`)},
	{FactOilChanged, compileTrigger(`changed ~ oil | oil changed | oil change done | did the oil change | oil change ~ done | first oil change done | did ~ oil change`)},
	{FactCoverOn, compileTrigger(`cover ~ on | cover on | buttoned up | cover is on | cover back on ! off`)},
	{FactAxlesIn, compileTrigger(`axles ~ in | axles are in | with axles in | axles in | axles still in | brakes ~ on | wheels on ! not | take | pull`)},
	{FactAxlesOut, compileTrigger(`axles ~ out | axles are out | axles out | without axles | no axles | axles pulled | pulled ~ axles`)},
	{FactQuiet, compileTrigger(`quiet | no noise | no whine | no howl | no growl | silent | dead quiet | no sound | nice and quiet | no noises | smooth and quiet | no hum | not a sound | not a peep | no weird noises`)},
	{FactNoiseDrive, compileTrigger(`noise | noisy | whine* | whining | howl* | hum* | growl* | drone* | rumbl* | moan* & on drive | drive | accel* | under power | on the gas | on throttle | under load | on power | pulling | on acceleration | throttle`)},
	{FactNoiseCoast, compileTrigger(`noise | noisy | whine* | whining | howl* | hum* | growl* | drone* | rumbl* | moan* & coast | coasting | decel* | off throttle | letting off | let off | overrun | lift off | off the gas | back off the throttle`)},
	{FactNoiseFloat, compileTrigger(`noise | noisy | whine* | whining | howl* | hum* | growl* | drone* | rumbl* | moan* & float | light throttle | cruise | cruising | steady speed | steady throttle | floating`)},
	{FactNoise, compileTrigger(`noise | noisy | whine | whines | whining | howl | howls | howling | hum | hums | humming | growl | growls | growling | drones | droning | rumble | rumbles | rumbling | moaning | singing | whistles | clunk | clunks | grinding ! dog | radio | compressor | fan | no noise | no whine | noise gone | noise is gone`)},
	{FactLegDone, compileTrigger(`leg ~ done | loop ~ done | drive ~ done | lap ~ done | first leg | second leg | third leg | first loop | second loop | third loop | first drive | second drive | third drive | heat cycle ~ done | cycle ~ done | run ~ done | back from ~ drive | # miles done | did # miles | drove # miles | miles done | just did # miles | done # miles | # miles in | last leg | finished ~ leg | finished ~ loop`)},
	{FactCooled, compileTrigger(`cooled ~ down | cooled | cool now | fully cool | stone cold | back to cold | its cold | cooled off ! not | hasnt`)},
	{FactWhyNoise, compileTrigger(`in for noise | in for a noise | in for whine | in for a whine | in for howl* | for a howl | for noise | noise complaint | complaint ~ noise | complaint ~ whine | came in ~ nois* | came in ~ howl* | came in ~ whin* | customer complains ~ | opened for noise | because its noisy`)},
	{FactWhyLeak, compileTrigger(`in for a leak | in for leak | pinion seal leak* | came in ~ leak* | leak complaint | opened for leak | leaking seal | leaking pinion`)},
	{FactWhyRatio, compileTrigger(`ratio change | regear | re gear | changing ratio | gear change | gear swap | going to # gears | opened for ratio | changing gears`)},
	{FactWhyBearing, compileTrigger(`bearing failure | failed bearing | bad bearing | bearing ~ failed | bearing ~ let go | spun a bearing | bearing ~ shot | blown bearing | bearings ~ shot | wiped bearing | pitted bearing | roasted bearing`)},
	{FactWashed, compileTrigger(`washed ~ housing | housing ~ clean | all cleaned | cleaned ~ housing | washed out ~ | cleaned and washed | parts washed | housing is clean`)},
	{FactPlusFarther, compileTrigger(`plus ~ away | plus ~ farther | plus ~ further | + ~ farther | + ~ further | + ~ away | plus is farther | plus means farther | farther | further away | away from the ring & mark | marking | plus | + | sign | number | convention`)},
	{FactPlusNearer, compileTrigger(`plus ~ nearer | plus ~ closer | + ~ nearer | + ~ closer | plus means nearer | closer to the ring | nearer the ring & mark | marking | plus | + | sign | number | convention`)},
	{FactPlusThicker, compileTrigger(`plus ~ thicker | + ~ thicker | plus means thicker | plus is thicker | add shim for plus | plus ~ add shim & mark | marking | plus | + | sign | number | convention | paper`)},
	{FactPlusThinner, compileTrigger(`plus ~ thinner | + ~ thinner | plus means thinner | plus is thinner | plus ~ subtract & mark | marking | plus | + | sign | number | convention | paper`)},
	{FactMagnetClean, compileTrigger(`magnet ~ clean* | cleaned ~ magnet | magnet ~ wiped | wiped ~ magnet | magnet ~ back in | magnet is in | iman limpio ! dirty | fuzz* | chips | not | isnt`)},
	{FactAxlesRetained, compileTrigger(`c clips ~ in | c clip ~ in | cclips ~ in | clips ~ in | c clips in | clips in | retainer* ~ on | retainer* ~ torqued | retainer* in | axles ~ retained | axles ~ held | axles ~ clipped | axle retention ~ done | flange bolts ~ torqued | axle bolts ~ torqued | shafts ~ held | shafts ~ retained | axles in and clipped ! not | out | isnt | missing`)},
	{FactVentClear, compileTrigger(`vent ~ clear* | vent ~ clean* | vent ~ open | breather ~ clear* | breather ~ clean* | cleared ~ vent | cleared ~ breather | blew ~ vent | blew ~ breather | vent ~ ok | vent ~ good | vent is free | respiradero libre ! block* | plug* | not | isnt | clog*`)},
	{FactShimsLabelled, compileTrigger(`shims ~ labelled | shims ~ labeled | labelled ~ shims | labeled ~ shims | shims ~ tagged | tagged ~ shims | shims ~ bagged | bagged ~ shims | stacks ~ labelled | stacks ~ labeled | bagged and tagged | shims ~ kept apart | stacks ~ tagged ! not | arent | forgot`)},
	{FactCapsOwnSides, compileTrigger(`caps ~ own sides | caps ~ own side | caps ~ their own | caps ~ where they came from | caps ~ right sides | caps ~ correct sides | caps ~ original sides ! not | arent | swapped`)},
	{FactLeavesMeasured, compileTrigger(`every leaf ~ measured | measured every leaf | all leaves measured | each shim measured | miked every | measured each leaf | measured every shim | mic ~ every shim | every shim ~ measured | each leaf measured ! not | didnt`)},
	{FactSmoothNoEndPlay, compileTrigger(`no end play | zero end play | no play | no slop | smooth no play | turns smooth*`)},
}

// findFacts gives what the message states as done or true.
func findFacts(clauses []clause, sender Sender, dangers []string) []string {
	var facts []string
	const unsure = moodQuestion | moodIf | moodPlan | moodOther | moodSpec | moodTarget | moodShould
	for _, s := range sentencesOf(clauses) {
		var words []string
		for i := s.first; i <= s.last; i++ {
			c := clauses[i]
			if c.moods&unsure != 0 || c.moods&moodOrder != 0 && sender == Mentor {
				continue
			}
			if len(words) > 0 {
				words = append(words, ",")
			}
			words = append(words, c.words...)
		}
		words = shareNew(words)
		for _, f := range factTable {
			if f.when.in(words) {
				facts = appendOnce(facts, f.fact)
			}
		}
	}
	// a danger that denies the fact wins
	deny := map[string]string{
		DangerCapsLoose: FactCapsTorqued, DangerRingBolts: FactThreadlocker, DangerMismatch: FactNumbersAgree, DangerSlinger: FactSlingerFitted,
		DangerAdjusterLock: FactAdjusterLock, DangerSetupBearings: FactSetupBearingsOut, DangerNotSeated: FactBearingsSeated, DangerNoOil: FactOilFilled,
		DangerCapsMixed: FactCapsMarked, DangerSleeveReused: FactNewSleeve,
	}
	out := facts[:0]
	for _, f := range facts {
		denied := false
		for _, d := range dangers {
			denied = denied || deny[d] == f
		}
		if !denied {
			out = append(out, f)
		}
	}
	return out
}

// replaced are the parts that come new in a row: "new bolts and nut and sleeve".
var replaced = wordSet("bolts nut sleeve seal seals bearings races")

// shareNew says "new" of every part of a row.
func shareNew(words []string) []string {
	var out []string
	row := false
	for i, w := range words {
		switch {
		case w == "new":
			row = true
		case row && replaced[w] && words[i-1] != "new" && out[len(out)-1] != "new" && (words[i-1] == "and" || words[i-1] == ","):
			out = append(out, "new")
		case !replaced[w] && w != "and" && w != "," && i > 0 && words[i-1] != "new":
			row = false
		}
		out = append(out, w)
	}
	return out
}
