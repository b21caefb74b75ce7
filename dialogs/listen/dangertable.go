package listen

import "strings"

// dangerEntry is a danger with what the assistant says and the words that name
// it. A trigger under a negation does not fire; see trigger for the form.
type dangerEntry struct {
	Danger
	when []trigger
}

func danger(id, level, text string, when ...string) dangerEntry {
	e := dangerEntry{Danger: Danger{ID: id, Level: level, Text: text}}
	for _, w := range when {
		e.when = append(e.when, compileTrigger(w))
	}
	return e
}

// dangerTable: to add a way of saying a danger, add a line to it, or a word to
// macros. Source of the dangers and their levels: common practice, no source.
var dangerTable = []dangerEntry{
	danger(DangerNutBackedOff, "stop", "a nut backed off a crushed sleeve loses the preload: new sleeve, new nut, drag again from the start",
		`@loosen ~ nut | nut ~ @loosen | nut ~ off and back on | nut off and on | nut back a | nut back half | nut back quarter | nut back off
		! caps | cap | ring bolts | adjuster | adjusters | side nut | adjusting | axle nut | lug | lugs | lock nut | locknut | new sleeve | no sleeve | without ~ sleeve | mockup | mock | teardown | apart | to remove | to get ~ out | spread | wheel | solid spacer | loose nut | nut loose | jam nut`,
		`@loosen it off | @loosen off | backed it | eased it back | loosened it | slacked it off | back it off | back off a | backed off a | backed her off | turned it back | let it back & nut | drag | preload | sleeve | crush | crushed | inch pounds | rotating ! caps | cap | new sleeve | adjuster | adjusters | side | left | right | mockup | ring bolts | lash | notch | notches | brakes | brake | shoes | dont`),
	danger(DangerOverCrushed, "stop", "the sleeve is crushed past the range: it is scrap, fit a new one and do not back off",
		`over crush* | overcrush* | over - crush* | crushed ~ too far | crushed it too | too much crush | crushed too | crushed ~ past | sleeve ~ too far | sleeve ~ past | sleeve is done | sleeve is gone | sleeve has gone | sleeve is toast`,
		`went past | gone past | overshot | over shot | went over | overdone | overdid | blew past | shot past | too far | too tight | touch far | bit far | went long | ran past | sailed past & crush | sleeve | preload | drag | nut ! lash | pattern | caps | side`,
		`over torqued ~ nut | overtorqued ~ nut | overtightened ~ nut | over tightened ~ nut`),
	danger(DangerSleeveReused, "stop", "a crush sleeve is used once: fit a new one for final assembly",
		`@old sleeve | @old crush | @old collapsible | @old spacer ~ crush | reus* ~ sleeve | reus* ~ crush | recycl* ~ sleeve | recycl* ~ crush | sleeve again | sleeve back in | sleeve ~ @again | crush sleeve ~ @again | sleeve ~ reus* | sleeve ~ once already | sleeve ~ from the old | sleeve ~ out of the old | sleeve ~ used before | sleeve ~ been crushed | sleeve ~ one more time | sleeve ~ still good | sleeve i took out | sleeve that came out | sleeve we took out | sleeve ~ no new one
		! mock | mockup | setup | trial | dummy | test fit | threw | binned | tossed | scrap | scrapped | trash | bin | sleeve is out | sleeve out | threw ~ out | came out | took the sleeve out | took it out | took the old ~ out | pulled ~ out | old one out | sleeve ~ is off | sleeve is off | sleeves off | sleeve ~ came off | sleeve off the pinion | removed | comparison | compared | compare | setting up | dry | new sleeve | mocking | practice | brand new | crush it again | not reus*`),
	danger(DangerNoCrush, "stop", "very high nut torque and no crush: stop, look for a wrong sleeve, an unseated cone or a trapped shim",
		`@wont crush* | @wont ~ crush it | no crush | still no crush | @wont collaps* | @wont start ~ crush* | sleeve ~ @wont move | sleeve ~ @wont moving | sleeve ~ @wont moved | sleeve ~ @wont budg* | sleeve ~ @wont start* | sleeve ~ @wont give | sleeve ~ @wont give | sleeve ~ like a rock | sleeve ~ nothing & sleeve | crush | crushed | collapsible | nut | spacer
		! no crush sleeve | yet | no crush spacer | no crush collar | started | drag | starting`,
		`sleeve | crush & @wont budg* | @wont move | @wont start* | no movement | nothing happen* & nut | bar | foot | lbs | impact | pipe | cheater | wrench ! started to | drag`),
	danger(DangerNoLash, "stop", "no backlash: do not force or turn it under power, open the lash first",
		`no lash | no backlash | zero lash | zero backlash | without ~ lash | no play ~ ring | no play at all | no clearance | lash is nil | backlash is nil | nil lash | nil backlash | lash is gone | no freeplay | no slop at all ! yet | reading yet | lash change | lash readings yet | no lash reading | no lash spec | no backlash spec | problem | issue | numbers | no lash change | left to | no lash figure | no lash number | no lash readings | no backlash reading* | no backlash figure* | no backlash number* | no lash checked`,
		`@binds & ring | gear | gears | lash | backlash | mesh | pinion | tight spot | carrier | spot | point | solid | round | diff ! caps | brake | brakes | axles in | nut | bolts | case spreader | press`,
		`teeth lock* | tight spot ~ lock* | tight spot ~ wont go | lock solid | locks solid | tight spot ~ stops | stops ~ tight spot | tight spot ~ wont | tight spot ~ bar it | had to bar it | had to force it`),
	danger(DangerCapsLoose, "stop", "readings count only with the caps torqued: torque them and read again",
		`caps | cap bolts | cap & finger tight | hand tight | loose | not torqued | untorqued | snug | not tight* | arent torqued | havent torqued | didnt torque | nipped up | nipped | not torqued down | isnt torqued | havent ~ torqued | yet to torque | arent tight | barely tight | no torque | aint torqued | unbolted | fingertight | snugged | without torqu* | before torqu* | not done up | caps off | not fully torqued | arent down | not torqed | not clicked | werent torqued | forgot to torque | hand snug | only pinched ! adjusters snug | adjuster snug | carrier comes out | carrier ~ coming out | carrier ~ came out | carrier is out | carriers out | carrier ~ lifted out | carrier ~ lifts out | pull* ~ carrier | pry* ~ carrier | lift* ~ carrier | carrier ~ out next | take ~ carrier out | taking ~ carrier out | teardown | loosened the caps | broke loose | ring bolts | not finger | not hand | not just`),
	danger(DangerRingBolts, "stop", "ring gear bolts: out, clean, new bolts with thread locker, torqued in sequence",
		`bolt | bolts & by hand | backed out | backed ~ out | backing out | loose | finger tight | fell out | not torqued | came loose | working loose | coming loose & ring | rg | crown | crownwheel ! cap | caps | cover | break loose | broke loose | come loose with`,
		`@without threadlocker | forgot ~ threadlocker | skipped ~ threadlocker | skip ~ threadlocker | didnt ~ threadlocker | dont ~ threadlocker | no thread lock* | dry bolts | bolts ~ dry | bolts in dry | ran out of threadlocker | havent ~ threadlocker | threadlocker ~ not | no locker | without locker | no loc on`,
		`reus* ~ ring bolts | reus* ~ ring gear bolts | reus* ~ bolts | @old bolts | @old ring bolts | @old ring gear bolts | ring gear bolts ~ reus* | ring bolts ~ reus* | bolts ~ again | ring bolts back in | bolts ~ went back in ! cap | caps | cover | torqued again | torque ~ again | torqued ~ again | tightened again | torqued cold | threw | binned | out | scrap | tossed | removed | setup | mockup | mock | bin`),
	danger(DangerLeftHandBolts, "caution", "check the marking on the bolt heads first: some ring gear bolts have left-hand threads",
		`@wont budg* | @wont move | @wont moving | @wont come | @wont break | @wont loosen | stuck | seized | cant get ~ loose | cant get ~ out | @wont undo | @wont undone | @wont come undone | impact ~ nothing | hammering ~ impact | wailing ~ impact | @wont shift | impact ~ hammers | impact wont | breaker bar ~ nothing | cheater | rounding | rounded | @wont crack | @wont turn | fighting | leaning on & ring bolt | ring bolts | ring gear bolt | ring gear bolts | bolts ~ ring gear | bolts ~ ring | rg bolts | crown wheel bolts | crownwheel bolts`),
	danger(DangerRingHot, "stop", "that heat can draw the temper of a gear: keep it under about 250 F (120 C), and do not fit a gear that was hotter",
		`torch* | rosebud | oxy* | acetylene | propane | blowtorch | blow torch | flame | map gas & ring | gear | gears | pinion ! @fuel | gas can`,
		`turned blue | went blue | gone blue | blue color* | blue colour* | blue spot* | blue patch* | blue band* | blue mark* | blue edge* | blueish | bluish | straw color* | straw colour* | discolored | discoloured | glowing | glowed | glow | cherry red | red hot | dull red | blued up | blue tint | blue from heat | heat blued | turned straw | going blue | gone straw | bit blue | goes blue | got blue | overheated & ring | gear | teeth | tooth | pinion | bearing | heat* | torch ! paint | compound | marking | pattern`),
	danger(DangerCapsMixed, "stop", "the caps are bored with the case: identify side and way up before they go back, never interchange",
		`swap* ~ @caps | @caps ~ swap* | @caps ~ mixed | mixed up ~ @caps | mixed ~ @caps | which cap | which caps | which side each cap | which side ~ cap | side ~ caps ~ came | @caps ~ unmarked | left cap ~ right | right cap ~ left | unmarked caps | didnt mark ~ @caps | @caps ~ not marked | forgot ~ mark ~ @caps | @caps ~ wrong side* | @caps ~ wrong way | @caps ~ upside | @caps ~ backward* | @caps ~ side to side | no marks ~ @caps | @caps ~ no marks | @caps ~ other side | interchange* ~ @caps | @caps ~ interchange* | flipped ~ @caps | @caps ~ flipped | @caps ~ other way | @caps ~ not sure which | @caps ~ mixing | @caps ~ reversed | reversed ~ @caps | @caps ~ switched | switched ~ @caps | never marked ~ @caps | lost track ~ @caps | not mark* ~ @caps | @caps ~ werent marked | @caps ~ arent marked | caps arent marked | @caps ~ dont ~ marks | caps went where | @caps ~ which is which | @caps ~ which side | @caps ~ where they came | @caps ~ where they go | @caps ~ got mixed | @caps ~ in a pile | @caps ~ in a heap | @caps ~ jumbled | @caps ~ didnt mark`),
	danger(DangerCaseSpread, "stop", "the case is spread too far and may stay bent: release it and check",
		`over spread | overspread | overspreading | spread ~ too far | spread ~ too much & case | housing | spreader | it`),
	danger(DangerSetupBearings, "stop", "setup bearings are not for running: strip, fit the final bearings, correct the shim for their height",
		`setup bearing* | slip fit bearing* | dummy bearing* | honed bearing* & running ~ for good | final ~ used | used ~ final | used them | for final | still on | still in | left in | left ~ in | leave ~ in | leaving ~ in | staying in | stay in | for good | permanent* | running on | run it on | run on | run them | @closing | forgot ~ setup | forgotten | keep* ~ setup | drive on | good enough to run ! lash | backlash | pattern | drag | trial | pulled ~ setup | removed | took ~ out | swapped ~ out | before final | before @closing | off`,
		`used ~ setup bearing* ~ final | setup bearing* ~ still on ~ final | setup bearings are still on ~ used | forgot ~ setup bearing* | left ~ setup bearing* in | setup bearing* ~ left in`),
	danger(DangerMismatch, "stop", "ring and pinion are a lapped pair: stop until the numbers are confirmed",
		`mismatch* | unmatched | dont match | doesnt match | not match* | do not match | didnt match | dont agree | doesnt agree | do not agree | different boxes | two boxes | one set ~ another | from one set | arent matched | not a matched | not a match | different number* | numbers ~ different | numbers ~ differ | two different | not ~ same number* | off ~ different set | from ~ different set* | from another set | isnt a matched | isnt the matched | off a different | off another | different pair | odd pair & ring | pinion | gears | set | numbers | number | serial* | match ! pattern | patterns | photo | torque | book | drag | lash`),
	danger(DangerSlinger, "stop", "slinger, baffle and spacers are part of the depth stack and guide the oil: put it back and check depth",
		`slinger | baffle | oil baffle | oil slinger | dust slinger | oil shield | oil deflector & @missing | left it | left ~ out | leave ~ out | leaving ~ out | bent so | trash* | dont need | didnt reuse | ditched | didnt go back | scrapped | wouldnt fit | pulled out and not | not bother* | not going back | isnt going back | staying out ! isnt missing | not missing | put ~ back in | went back in | is back in | slinger back in | baffle back in | slingers back in | baffles back in | slinger goes back | in place | new slinger`),
	danger(DangerPatternEdge, "stop", "contact at the edge of the tooth will break it: correct before it runs",
		`off the end | off the edge | edge contact | edge load* | top land | running off | runs off | hanging off | rolling off | over the edge | falling off | hard on the edge | right on the edge | on the edge of | edge of the tooth | very edge | knife edge | line at the edge | line ~ along the tip | extreme heel | extreme toe | heel edge | toe edge | off the tip | off the top | off the tooth | tip edge & pattern | tooth | teeth | drive | coast | toe | heel | contact | face | tip | paint | compound ! sleeve | stands | jack | nowhere near | away from`),
	danger(DangerNoPattern, "stop", "no closing up without a pattern on the final bearings",
		`cover ~ never ran paint | cover ~ no paint | cover ~ never painted | cover ~ didnt paint | skip* ~ pattern | skip* ~ patterns | without a pattern | without pattern | without ~ pattern | didnt ~ pattern | dont need ~ pattern | not bother* ~ pattern | not running ~ pattern | not doing ~ pattern | wont bother ~ pattern | forgot ~ pattern | never ~ pattern | pattern not needed | cover ~ no pattern | no pattern ~ cover | no pattern ~ close | no pattern check | no pattern needed | no time ~ pattern | bother ~ pattern | didnt paint ~ teeth | no marking compound | never painted | not painting | closing up ~ no pattern | out of paint ~ pattern | no pattern ~ out of paint | pattern ~ can wait | pattern ~ waste of time ! yet | photo | pic | picture | dont skip | match | know | not closing | not going to skip | wont close`),
	danger(DangerTotalDrag, "stop", "too much total drag: axles and brakes off, then side preload and binding; do not run it",
		`total drag | total preload | total turning torque & way high | too high | way over | way too | off the scale | pegged | sky high | off the charts | miles over | way above`,
		`cant turn ~ by hand | @wont turn by hand | hardly turn | barely turn | cant spin ~ by hand | have to use a bar to turn | needs a bar to turn | way too tight | pry bar to turn | bar to turn & pinion | carrier | assembly | yoke | flange | ring | drag ! caps | nut is way`,
		`too much drag | way too much drag | far too much drag | drag ~ too much | drag ~ way up | drag ~ too high | drag ~ far too high | drag ~ way high | drag ~ way over | drag is crazy | drags like mad & carrier in | with the carrier | with carrier | carrier ~ in | total | both in | all together ! axles in | axles still in | brakes | before`),
	danger(DangerNoPreload, "stop", "end play or no drag at the finish: it is not finished, do not drive it",
		`bit of end play | some end play | little end play | pinion ~ end play | end play ~ pinion | still end play | still ~ end play | bit of play | some play | still has play | end play left & pinion | final | nut | finished | finish | yoke | flange | still | torqued | sleeve | some | bit | buttoned | carrier ! before | as found | mock | mockup | no end play | zero end play | without end play | customer | before teardown | came in`,
		`pinion & wobbl* | wiggl* | jiggl* | moves about | no preload | slop | play in it | in and out play | moves in and out | in and out | rocks | clunk* | rattles | loose ~ torqued ! end play | bolts | nut ~ loose | gauge | dial | ring gear play | lash | backlash | spread | number | pattern | no slop | no play | loose fit | before | as found | preload shim | preload pack | yet | teardown | setup | opened`,
		`in and out | end to end | push pull | lengthwise | up and down | side to side | moves | rocks | shakes & at the yoke | at the flange | yoke moves | flange moves | yoke ~ in and out | flange ~ in and out | yoke ~ up and down | flange ~ up and down | yoke rocks | flange rocks | pinion ~ in and out ! before | as found | mock | mockup | yet | teardown | setup | customer | came in | runout | dial | gauge | slide | slides | slid | spline* | splines | ujoint | driveshaft | prop | truck | car | no movement | doesnt | not | no`,
		`no preload | zero preload | no drag | zero drag & at all | final | finish* | done | nut | sleeve | crushed | all together | assembled | pinion ! yet | reading | readings | number* | spec | specs | difference | change | brakes | no drag on the wheels | figure`),
	danger(DangerAdjusterLock, "stop", "the adjuster lock must be in before it turns a wheel",
		`lock | locks | locking tab | locking tabs | lock tab | lock tabs | lock plate | lock plates | tab | tabs | adjuster lock | lock clip | lock bolt | locking plate | keeper | keepers & @missing | left ~ out | left ~ off & adjuster | adjusters | adjusting | side nut | side nuts | left | right ! threadlocker | found | both in`),
	danger(DangerHousingHot, "stop", "too hot: stop, let it cool, find out why before the next drive",
		`too hot to touch | cant touch | cant keep ~ hand | cant hold ~ hand | cant put ~ hand | couldnt touch | couldnt keep ~ hand | couldnt hold ~ hand | burns your hand | spit boil* | sizzl* | water boil* | spit sizzle* | blistering hot | scorching | smoking hot & housing | diff | carrier | pinion | axle | cover | it | end | pumpkin ! ring ~ oven | oven`),
	danger(DangerPinionHot, "stop", "the pinion end much hotter than the carrier: check pinion preload and oil feed",
		`pinion ~ hotter | pinion ~ way hot* | hotter ~ pinion | pinion ~ much hotter | nose ~ hotter | hotter ~ nose | snout ~ hotter | pinion end ~ hotter | front bearing ~ hotter | hotter at the pinion | hotter at the nose | nose ~ way hot* | nose ~ # over | pinion ~ # over | pinion ~ # above | nose ~ # above & carrier | housing | rest | cover | case | axle | side | tubes | than`),
	danger(DangerSmoke, "stop", "smoke or a burnt smell: stop driving, let it cool, inspect",
		`smoke | smoking | smokin | smoked | smoky | burnt smell | burning smell | burned smell | smell* ~ burn* | smells hot | burning oil | burnt oil | stinks ~ burn* | stink ~ burnt | smells ~ cooked | oil ~ burnt | burn* ~ smell | smelled burn* | cooked oil | smell* ~ cooked | humo
		! smoke show | smoked a | smoke break | for a smoke | cigarette | smoke test | no smoking | smoked brisket | bbq | smoko | smoke detector | brisket | smoke shop | joint | smoked meat | smoked chicken | smoked ribs | out for smoke | smoke machine | go smoke | having a smoke | burnout`),
	danger(DangerGrowl, "stop", "a growl or a new loud noise: stop the break-in and inspect",
		`growl* | grinding | getting louder | gets louder | louder | loud noise | loud bang | banging | clunk* | knocking | loud howl* | howl* ~ loud* | howl* ~ bad | howl* ~ worse | howling like | screaming | howl* ~ rising | howl* ~ growing | getting worse | gets worse | horrible noise | awful noise | terrible noise | roaring | new noise | loud whine | whine ~ loud* | whining ~ loud* | rumbl* ~ loud* | loud rumbl* | crunch* | howls ~ louder | loud as | hell of a noise | makes a hell | metal on metal | nasty noise | big bang | loud crack
		! bear | dog | growler | growlers | radio | compressor | fan | mower | came in for | complaint | complained | customer says | originally | came in with | before teardown | brought in for | reason | bench grind* | grinding wheel | grinding down | grind | grinding the setup | music | shop is loud | came in growling | in because | for a growl | towed in | pinion ~ in and out | weather`),
	danger(DangerNoOil, "stop", "run without oil: stop, strip and inspect",
		`forgot ~ oil | no oil in | no oil | without oil | without any oil | ran ~ dry | run ~ dry | ran dry | drove ~ dry | never put ~ oil | didnt put ~ oil | didnt fill | never filled | never filled ~ oil | forgot to fill | bone dry | was dry | empty of oil | no gear oil | no fluid in | ran it empty | low on oil ~ drove | no lube | oil never went in | hadnt filled | with an empty diff | with the diff empty | diff was empty | hasnt got oil | never got oil
		! yet | leak* | dry fit | dry run pattern | bolts | brake | brakes | no oil leak* | before i fill | assembly | paint | threads | wipe* | bearing surface | seal lip | slinger | oil slinger | baffle | stock`),
	danger(DangerChips, "stop", "chips or heavy glitter in the oil: stop and inspect; fine fuzz on the magnet alone is normal",
		`chips | chip | shavings | chunks | chunk | glitter* | flakes | slivers | metal in | metal pieces | pieces of metal | metal bits | bits of metal | metal everywhere | metal on | metallic paint | silver paint | metal flake* | swarf | tooth fragment* | broken tooth | chipped tooth | chipped teeth | sparkl* | metal chip | piece of tooth | bit of tooth | chunk of tooth & oil | magnet | drain* | fluid | pan | cover | plug | bottom | diff | housing | lube | rag | filter | found | metal ! fish | lunch | salsa | bag of | wood | paint chips | no chips | coke`),
	danger(DangerTowing, "caution", "no towing or hard use until the break-in is over (usually 500 miles / 800 km)",
		`tow | towing | tows | towed | haul | hauling | drag strip | dragstrip | drag race* | drag racing | burnout* | racing | race it | track day | autocross | pull ~ trailer | pulling ~ trailer | trailer | caravan | camper | boat | launches | hard launch* | send it at the track | dyno | rock crawling | wide open throttle | flat out | sled pull | full throttle | quarter mile | hammer it | hammered it | rag on it | beat on it | wheelspin | gave it the beans | floored it | loaded up with
		! tow truck | towed in | towed here | got towed | was towed | trailered in | on a trailer | tow* it in | trailer brakes only | tow the line | flatbed | toe | tow rig came | had it towed | when can | when is | when are | how long before | how long till | how long til | how long until | when is it | when will | how soon | trailer park | tow hooks | towed it here | on the trailer | with a hammer | came in on | trailer axle | was hauling | no boat | torque | no towing | not towing | towed to us | impact | bolts`),
	danger(DangerSupport, "stop", "stop work: proper stands, chocks, and try the car before going under",
		`one jack | only ~ jack | just ~ jack | just on ~ jack | no stands | no jack stands | without stands | without ~ stands | rolled off | slipped off | fell off | falling off | slid off | off the stands | off the jack | off its stands | off the stand | cinder block* | on bricks | on a brick | on blocks | wooden blocks | on wood | stack of wood | floor jack | trolley jack | bottle jack | scissor jack | under it on | under the truck on | under the car on | working under ~ jack | under it on a jack | jack ~ slipp* | jack ~ sink* | jack ~ leak* | stand ~ wobbl* | stands ~ wobbl* | stand ~ slipp* | truck ~ shift* ~ stands | lift ~ slipp* | lift ~ sinking | lift ~ drift* | one stand | no chocks | without chocks | tipped | tipping off | on the jack only | held up by ~ jack | jack ~ holding it | jack ~ all ~ holding | jack ~ holding ~ up | axle on a jack | dropped an inch | dropped off
		& jack | jacks | stand | stands | lift | hoist | block* | brick* | chock* | wood | ramps ! case spreader | pallet jack | need ~ jack | not one jack | with stands | plus stands | and stands | jack and stands | on stands now | press | and set it on stands`),
	danger(DangerRunningOnStands, "stop", "no running in gear with the wheels off the ground: entanglement, and one wheel spins at double speed",
		`stands ~ ran it up | stands ~ run it up | run* ~ stands | ran ~ stands | run* ~ on the lift | run* ~ on the hoist | ran ~ on the lift | ran ~ on the hoist | in gear ~ stands | stands ~ in gear | in gear ~ lift | in gear ~ hoist | in gear ~ in the air | wheels off ~ gear | spin* ~ on ~ stands | spun ~ on ~ stands | spin* ~ on ~ hoist | spin* ~ on ~ lift | mph ~ hoist | drove ~ on ~ stands | driv* ~ on ~ stands | rev* ~ stands | mph ~ on ~ stands | mph ~ on the lift | breakin ~ on ~ stands | breakin ~ on the lift | mph ~ in the air | wheels in the air | wheels off the ground | idle ~ in gear | running ~ wheels off | stands ~ running | in gear up on | running it on jack* | gear# ~ stands | in # rd | in # nd | in # th | wheels spinning | wheels turning | in gear4 | in gear3 | in gear2
		& stands | lift | hoist | air | ground & gear | # rd | # nd | # th | wheels spinning | run* | ran | drive | mph | miles | spin* | spun | rev* | idle | throttle | engine | breakin ! parking | park | rolled off | ring gear | gear oil | gear set | by hand | ran out`),
	danger(DangerHands, "stop", "stop turning: hands and rags out of the mesh",
		`rag ~ sucked | rag | rags | shop towel | towel | glove | gloves | sleeve of my shirt & in there | mesh | gears | in the gear* | between ~ teeth | in the teeth | caught | wrapped | while ~ turn* | while ~ spin* | while ~ rotat* | turning it | pulled in | sucked in | jammed in ~ gear* | wedged in | drill ~ turn* | impact ~ turn* ! wip* | clean | hot | oven | heated | heating | out of there | out of the way | is out | all clear | is clear | are clear`,
		`rag | rags | towel | towels | glove | gloves | paper & while ~ turn* | while ~ spin* | while ~ rotat* | as it turns | as it spins | while ~ running | while ~ moving | while i turn | still turning | still spinning & wip* | dab* | rub* | clean* | hold* | dry* ! dont | never | not | stopped | stops | before`,
		`finger | fingers | hand | hands | thumb | knuckle* & mesh | teeth | between ~ gear* | pinch* | caught | on the ring ~ while | on ring ~ while | holding the ring ~ while | while ~ turn* | while ~ spin* | while ~ rotat* | while ~ impact | in the gear* | in the ring | nipped | got bit | near the ring ~ while | jammed | lost a | trapped | squashed ! finger tight | by hand | hot | hand tight | hand the | counted | both hands busy | turn by hand | hand torqu* | free hand | oven | burn*`),
	danger(DangerAirSpun, "stop", "never spin a bearing with compressed air: it can fly apart; inspect it",
		`spun ~ @air | spin* ~ @air | @air ~ spin* | @air ~ spun | zing* ~ @air | zip* ~ @air | @air ~ zing* | blew ~ bearing* ~ spin* | whizz* ~ @air | whirl* ~ @air | bearing* ~ whizz* | @air ~ bearing* | bearing* ~ @air & bearing* | race | races | cone | it | them ! not spun | air dried | air dry* | air drying | in the air | spun the wheels | blew off | blew out the housing`),
	danger(DangerStruck, "stop", "a bearing or hardened gear that was struck, or pressed through the rollers, is suspect: inspect or replace, use the right driver",
		`@hit & bearing* | race | races | cone | cup | cups | rollers | cage | pinion | ring gear ! centerpunch* | mark | marks | marked | caps | soft hammer on the housing | key | pattern | drain | spread | punch mark* | punch the | drift into | drift of | dots | dot | seal | old ~ race* ~ out | old ~ cup* ~ out | old ~ bearing* ~ out | old ~ cone* ~ out | old ~ cone* ~ off | old ~ bearing* ~ off | races out | race out | cups out | cup out | out the race* | out the cup* | out the old | off the old | out ~ old race* | out ~ old cup* | old race* came | removed | torch | hit # | hit the | hits # | when it hits`,
		`press* ~ on the cage | press* ~ cage | press* ~ outer race | press* ~ wrong race | press* ~ rollers | press* ~ wrong ring | press* ~ on the rollers | push* ~ on the cage | pressed ~ by the cage | cage ~ press* | press* ~ through the rollers`,
		`hammered the new | hammered ~ new one* in | hammering the new | hammering ~ new one* in | beat the new | pounded the new | pounded ~ new one* in & race* | cup* | cone | bearing* ! marked | caps`),
	danger(DangerPress, "stop", "release the press: stand clear, check the set-up before any more load",
		`ton | tons | tonne | tonnes | press | pressing & @wont move | @wont moving | @wont budg* | @wont come | @wont go | nothing | no movement | stuck | maxed | bowing | bending | groaning | creaking | popping | hasnt moved | flexing | max | all it has | flat out ! press on with | bench | press f | stuck in traffic | carrier | emergency`),
	danger(DangerFire, "stop", "fire hazard: no flammable cleaner near heat, flame or sparks",
		`@fuel & heater | heaters | flame | torch | heat gun | spark | sparks | welder | weld* | hot plate | hotplate | oven | open flame | cigarette | smoking | stove | burner | propane | salamander | blowtorch | pilot light | wood burner | lit | grinder | lighter | fire ! nowhere near | outside | gas station | gas pedal | gas tank is | full of gas | heater core | on the gas`,
		`wash* | clean* | rins* | soak* | degreas* | dunk* | dip* | wip* & in gasoline | with gasoline | in petrol | with petrol | in gas | with gas | in some gas | bucket of gas | pan of gas | tub of gas | bucket of petrol | pan of petrol | tub of petrol | bucket of gasoline | pan of gasoline | tub of gasoline | in fuel | using gasoline | using petrol ! gas tank | spilled | spilt | smell* | dont | never`),
	danger(DangerBurn, "stop", "cool it under running water first, then get it looked at; gloves for anything heated",
		`burn* ~ hand | burn* ~ hands | burn* ~ arm | burn* ~ finger* | burn* ~ myself | burn* ~ wrist | burnt my | burned my | burned myself | burnt myself | scald* | blister* | grabbed ~ hot | grab ~ hot | burnt ~ finger* | burned ~ finger* | quemé | quemada | burned me | burnt me | burned him | burnt himself | burned himself | burn on my ! tongue | coffee | toast | lunch | dinner | sunburn* | burns your hand | blistering`,
		`hot oil | hot lube | hot gear oil | oil ~ hot | oil splash* & arm | hand | hands | face | leg | my eye | on me | skin | eye | eyes | splash* | spill* | sprayed | wrist`,
		`bare hand* | no gloves | without gloves | bare hands | barehanded | gloves off & hot | heated | oven | ring | heating | warmed`),
	danger(DangerLostPart, "stop", "find the part before anything turns or the cover goes on",
		`dropped ~ shim | dropped ~ bolt | dropped ~ nut | dropped ~ washer | dropped ~ roller | dropped ~ magnet | dropped ~ clip | dropped ~ pin | dropped ~ socket | dropped ~ part | dropped ~ screw | dropped ~ tool | dropped ~ punch | fell in* ~ housing | fell in* ~ axle | fell in* ~ diff | fell down ~ tube | shim ~ fell | shim ~ gone | shims gone | shim walk* | bolt ~ fell | fell into the | missing ~ bolt | missing ~ shim | missing ~ roller | missing ~ washer | missing ~ clip | bolt missing | bolt is missing | shim missing | shim is missing | roller missing | one bolt short | bolt short | cant find ~ shim | cant find ~ bolt | cant find ~ roller | cant find ~ washer | lost ~ shim | lost ~ bolt | lost ~ roller | lost ~ washer | lost ~ clip | lost ~ in the housing | lost ~ in the axle | lost ~ in the diff | left over bolt | leftover bolt | extra bolt left | somewhere in the housing | somewhere in the diff | somewhere in the axle | dropped ~ in the housing | dropped ~ in the diff | dropped ~ in the axle | dropped ~ in there | dropped something | short one bolt | short a bolt | dropped in the case | dropped ~ down the tube | dropped ~ down the axle | might be inside | could be inside | may be inside | might be in there | could be in there | must be inside | must be in there | probably inside | think its inside | might have gone in | might have fallen in | somewhere inside ! parts washer | phone | thou | dropped ~ in price | by # | # thou | found it | fished it out | got it out | found the | torque | adjuster lock | lock tab | dropped off | stack | # out`),
	danger(DangerFabricated, "stop", "only measured values are logged",
		`just put # ~ all | just put # ~ round | just put # s | just put # ~ every | just put down # | just put in # | just log # | log # s | log # for all | just enter # | just write # | just say # | just call it # | put # s | write # all | write # every* | enter # all | enter # every* | call it # all | write ~ # s | log # all | say # for | call # for the | fill in # | fill # in | put # for the other* | # for the other | put # all | put # everywhere | put # for all | write # for all | put # for the rest | put # across | put them all | just put the same | just copy | put # down | just fill in | just make ~ up | just record # | just mark it # | just stick # | stick # s ~ all | log it as # ~ all | say # all | just put # in the log | just put # for | just log ~ # | just put ~ lash | just write ~ #
		! left | right | stack | into | out of | pinion | thou in the`,
		`make ~ up | make up ~ number* | make up ~ reading* | made up | making up | made it up | made them up | fudge* | fudging | pencil whip* | copy ~ last | copy ~ from the last | copied ~ from | copied ~ last | copy ~ the numbers | copied ~ numbers | copy ~ yesterday* | copy paste | without measuring | not measuring | didnt have time to measure | no time to measure | didnt get to measure | without checking | not checked | didnt check | didnt measure | not measured | never measured | havent measured | not going to measure | dont bother measuring | fill in ~ whatever | fill in ~ numbers | whatever ~ looks good | whatever you like | whatever ~ want | invent | fake | faked | faking | pretend | falsify | cook the | no one will | nobody will know | nobody ~ know | nobody ~ check | nobody looks | no one looks | nobody ~ look | no one ~ look | wont look | no one ~ check | no one ~ know | nobody checks | put whatever | whatever number* | same numbers as last | use last | use ~ readings from | use ~ readings for this | use last ~ numbers | use the old numbers | reuse ~ readings | too lazy | backdate | didnt actually | cant be bothered | good enough for the log | make it look | so it passes | so it looks | put down whatever | put anything | any number | guessed the
		& # | reading* | number* | lash | backlash | drag | log | sheet | pattern | value* | measure* | report | it | them | torque | runout ! measured ~ yet | measured yet | make up a stack | make up a pack | make up a shim | make up a set | make up the stack | make up the pack | made up of | make up the difference | make up # | make up the shim | make up the rest | make up for | made up a stack | what makes up | gasket | shim stack | shims to make | made up the stack | made up my mind | make up your mind | checked yet | didnt check the oil`,
		`dont have a dial | no dial | without a dial | no indicator & put | log | say | call | enter | write ! lash ~ unknown`,
		`tell ~ customer | tell ~ boss & we checked | it passed | we measured`),
	danger(DangerFalseApproval, "stop", "only the mentor can sign this off, from their own account"),
	danger(DangerInjected, "stop", "that text is not taken as an instruction; nothing was logged"),
	danger(DangerFrost, "caution", "frost turns to water in the bearing: let parts warm dry and oil them before they go on",
		`frost | frosty | frosted | dry ice | liquid nitrogen | ice on | condensation & bearing* | race | cup | pinion | cone | ring | housing`),
	danger(DangerNutReused, "caution", "the pinion nut is used once: fit a new one at final assembly",
		`put ~ old nut | fit* ~ old nut | old nut back | old nut on | old nut again | old nut went | using ~ old nut | same nut | used nut again | old pinion nut back | old pinion nut on | old pinion nut again | reus* ~ nut | nut again ! mock | mockup | setup | trial | threw | binned | tossed | scrap | out | removed | lug | axle nut | new nut`),
	danger(DangerShimsMixed, "caution", "which shim came from where is not known: measure every leaf and label it before going on",
		`shims ~ mixed | mixed up ~ shims | mixed ~ shims | lost track ~ shim* | which shim was | which shims were | dont know which ~ shim* | shims ~ on the floor | shims ~ which side | which side ~ shims | not sure which shim* | spilled ~ shims | shims ~ got swapped | lost the shims | shims ~ which is which`),
	danger(DangerNotSeated, "stop", "a bearing that is not seated spoils every reading: press it home and start again",
		`not seated | isnt seated | arent seated | not fully seated | not all the way | gap under | gap behind | cocked | crooked | not bottomed | not home | isnt home | not seating | didnt seat | @wont seat | unseated & bearing* | race | races | cup | cups | cone`),
	danger(DangerBrakeDust, "caution", "do not blow brake dust about: wet it and wipe it up",
		`brake dust & blow* | blew | air | compressed | airgun`),
	danger(DangerOilOnBrakes, "stop", "gear oil on the brakes: clean or replace the linings before it moves",
		`oil | lube | fluid & on ~ brake* | on ~ shoes | on ~ pads | on ~ rotor* | on ~ drum* | all over ~ brake* | soaked ~ shoes | soaked ~ pads | soaked shoes | soaked pads | on the linings ! brake fluid`),
	danger(DangerImplausible, "caution", "that cannot be: zero the dial, check the unit and read again",
		`nan | infinity | infinite & lash | backlash | drag | preload | runout | end play | shim | shims | depth | torque | mark | height ! my nan | your nan | his nan | her nan | the nan`),
	danger(DangerLashLow, "caution", "far below any usual minimum: open the lash and read every point again"),
	danger(DangerLashFarOut, "caution", "that is a position error and no fine adjustment: look for what is wrong first"),
	danger(DangerSpread, "caution", "the spread says runout, dirt or burrs: check those before any shim"),
	danger(DangerRunout, "caution", "ring gear runout: ring off, clean, stone, torque again"),
	danger(DangerBothAtOnce, "caution", "depth and lash moved a lot in one step: change one, read, then the other"),
}

// Dangers gives every danger a message can name, with what to do about it.
func Dangers() []Danger {
	out := make([]Danger, len(dangerTable))
	for i, e := range dangerTable {
		out[i] = e.Danger
	}
	return out
}

// findDangers gives the ids of the dangers named in the message.
func findDangers(clauses []clause, sender Sender) []string {
	var ids []string
	for _, s := range sentencesOf(clauses) {
		if wondering.in(s.words) {
			continue
		}
		other := elsewhere.inAny(s.words)
		// "if you over crush it you need a new one, right?"
		if s.moods&moodIf != 0 && s.mark == '?' && inGeneral.in(s.words) {
			continue
		}
		// a mentor explaining what not to do
		if sender == Mentor && (s.moods&(moodIf|moodQuestion) != 0) {
			continue
		}
		for _, e := range dangerTable {
			if other && e.ID != DangerFabricated {
				continue
			}
			if s.moods&moodQuestion != 0 && s.mark == '?' && mayAsk[e.ID] {
				continue
			}
			for _, w := range e.when {
				if w.in(s.words) {
					ids = appendOnce(ids, e.ID)
					break
				}
			}
		}
	}
	return ids
}

// mayAsk are dangers that asking about is a question and no danger yet.
var mayAsk = wordSet(DangerNutReused + " " + DangerFrost + " " + DangerShimsMixed + " " + DangerNotSeated + " " + DangerBrakeDust)

var inGeneral = compileTrigger(`if you | if someone | if somebody | if the | when you ! can i | should i | if i`)

// elsewhere: told of another axle or another time; no danger to this job.
var elsewhere = compileTrigger(`last week* | last month | last year | other truck | other car | other job | other axle | another job | another truck | one time | once had | my buddy* | buddys | buddy | my mate* | a guy | some guy | some bloke | video | videos | forum | forums | internet | used to | years ago | months ago | weeks ago | old shop | previous shop | other shop | back in the day | my uncle | reminds me | remember when | heard of | heard about | ive seen | seen guys | seen people | story | stories | on the news | in the movie`)

// wondering: a question why something is forbidden, or what it is, does it not.
var wondering = compileTrigger(`why cant | why can you not | why not | why shouldnt | why do we not | why dont we | why dont you | why is it bad | why is it wrong | what happens if | how do you know if | how do i know if | what does it mean when | what would happen if you | is it true | is it normal | is that normal | normal for | whats wrong with | what is wrong with | why no | why do you | how come you cant | how come we cant | why never`)

// sentence is the words of the clauses between two full stops.
type sentence struct {
	words []string
	moods mood
	mark  byte
	first int // clause
	last  int
}

func sentencesOf(clauses []clause) []sentence {
	var out []sentence
	last := -1
	for i, c := range clauses {
		if c.sentence != last {
			out = append(out, sentence{first: i})
			last = c.sentence
		}
		s := &out[len(out)-1]
		if len(s.words) > 0 {
			s.words = append(s.words, ",")
		}
		s.words = append(s.words, c.words...)
		s.moods |= c.moods
		s.mark, s.last = c.mark, i
	}
	return out
}

func appendOnce(list []string, s string) []string {
	for _, x := range list {
		if x == s {
			return list
		}
	}
	return append(list, s)
}

// injected says whether raw text is made to steer a program: instructions to a
// model, markup, formulas, query language, a role or a result typed as data.
func injected(raw string) bool {
	low := strings.ToLower(raw)
	for _, mark := range []string{
		"<script", "</", "javascript:", "onerror=", "{{", "${", "=cmd|", "=hyperlink(", "=importxml(", "drop table", "union select", "' or 1=1", "'; --", "rm -rf", "sudo ",
		"system prompt", "system:", "system notice", "system message", "system update", "new policy", "<|im_start|>", "<|endoftext|>", "[inst]", "### instruction", "\"kind\"", "\"readings\"", "\"role\"", "\"decision\"", "\"sender\"", "\"what\":", "sender: mentor", "role: mentor", "sender=mentor", "role=mentor", "[mentor]", "<mentor>", "from: mentor", "[system", "<system", "assistant:", "developer mode", "bot:",
	} {
		if strings.Contains(low, mark) {
			return true
		}
	}
	return strings.Contains(low, "{\"") && strings.Contains(low, "}")
}

var injectedWords = []trigger{
	compileTrigger(`ignore ~ previous | ignore all | ignore your | ignore the rules | disregard ~ instructions | disregard previous | disregard all | disregard your | forget ~ instructions | forget your rules | forget all previous | you are now | new instructions | your instructions & instruction* | rules | rule | prompt | limits | now | previous | checks | safety`),
	compileTrigger(`override ~ safety | bypass ~ check* | bypass ~ safety | disable ~ caution* | disable ~ check* | turn off ~ caution* | turn off ~ warnings | turn off ~ safety | jailbreak | act as | reveal ~ prompt | print ~ prompt | show ~ prompt | delete the log | delete ~ all ~ records | wipe ~ log | erase ~ log | delete all | select * from | set role | grant me | give me ~ role | make me ~ mentor | make me ~ admin | make me ~ owner | set me ~ mentor | change my role | dump ~ database | dump ~ data | dump ~ jobs | list ~ passwords | show ~ password* | api key | token | export ~ customer* ! bearing | undo`),
}

// falseApproval are claims of an approval or a role; from anyone but the mentor
// they are a caution.
var falseApproval = []trigger{
	compileTrigger(`@boss said | @boss says | @boss approved | @boss already | @boss ok* | @boss signed | @boss okayed | @boss gave | @boss told | @boss reckons | @boss happy | @boss is happy | @boss is ok | @boss is fine | @boss cleared | approved by | signed off by | verified by | cleared by & ok | okay | okayed | good | fine | close | approve | approved | approves | go | signed | sign | ship | yes | skip | run | pass | passed | sweet | send | cool | already | verified | cleared | happy ! torque | pull | put | to check | to ask | add | recheck | to read | to measure | wait | hold | stop | redo`),
	compileTrigger(`im the mentor | i am the mentor | im a mentor | i am a mentor | as the mentor | as mentor | acting mentor | im mentor | im the owner | i am the owner | as the owner | this is the mentor | this is mentor | mentor here | im the boss | as the boss | speaking as ~ mentor | on behalf of | pretend ~ mentor | treat me as | im an admin | i have permission | im authorized | i am authorised | i am authorized | i have authority | im authorised | consider me | mentor override`),
	compileTrigger(`mark ~ approved | mark ~ signed | mark ~ as approved | mark ~ passed | sign it off for | sign this off for | sign off for me | approve ~ yourself | self approve | self approv* | im approving | i approve | i hereby approve | consider it approved | consider it signed | auto approve | just approve | log ~ approved | put ~ approved | set ~ approved | log it as approved | record ~ approval | i sign off | ill sign off | i signed off | signing off on it myself | sign off on my own | approve my own | approving my own | count that as approved | count it as signed | put mentor ok | log mentor ok | status approved`),
	compileTrigger(`approved ! quote | estimate | price | work order | invoice | customer | not approved | get ~ approved | be approved | until approved | needs approved | approved parts | approved oil | approved by the book | is it approved | gets approved`),
}
