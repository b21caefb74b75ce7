package listen

// topicTable says which words of a question ask about what. The first match is
// the main topic, so the narrow ones stand first.
var topicTable = []struct {
	topic string
	when  trigger
}{
	{TopicUnderstood, compileTrigger(`did you get | did you log | did you catch | what did you get | what did you log | what did you read | did that go in | did it go through | did you record | you get that | you catch that | have you got that | did you save | is that logged | was that logged`)},
	{TopicConvert, compileTrigger(`hundredths in # | thou in # | mm in # | # ~ in mm | # ~ in metric | # ~ in inches | # ~ in thou | # ~ in thousandths | # ~ to mm | # ~ to thou | # ~ to inches | # ~ in newton* | # ~ in nm | # ~ in inch pounds | # ~ in ft* | # ~ in foot* | # ~ in lb* | # ~ to nm | # ~ in celsius | # ~ in c | # ~ in f | # ~ in fahrenheit | # ~ in hundredths | convert | conversion | whats # ~ in | how many thou ~ # | how many mm | how many hundredths | in english units | in metric is | # ~ = ~ mm | # ~ is ~ mm | # ~ in n m | # ~ in nm | # ~ in in ~ lb* | # ~ into mm | # ~ into thou | # in money`)},
	{TopicPrediction, compileTrigger(`what will lash | what will ~ lash | what will ~ be | what would ~ lash | where will ~ lash | where will ~ end up | how much will | how much would | how much does | how far will | how far does | how much lash | what does # ~ do | what happens ~ if | what happens to | what will happen | what would happen | what will that do | what will it do | what does that do to | what does it do to | what should lash ~ be | what should ~ come | where should ~ land | where does that put | where will that put | whatll | will lash | will that | will it ~ lash | will ~ open | will ~ close | will ~ change | what would that`)},
	{TopicGlossary, compileTrigger(`whats a | whats an | what is an | what do you call | what is ~ toe | what is ~ heel | what is a thou | what is drive side | what is ~ coast side | what is ~ flank | what is backlash | what is lash | what is preload | what does ~ mean | what do you mean by | what do ~ mean by | meaning of | define | definition | whats a crush sleeve | what is a crush | what is the heel | what is the toe | which end is | which is the toe | which is the heel | which is the drive | which is the coast | what is runout | what is a slinger | difference between | what is the difference | stand for | what is a setup | what is setup bearing* | what is checking distance | whats the toe | another word for | what is face | what is root | what is the root | which side is drive | which side is coast | what is end float | what is a hypoid | what is breakaway | whats that in english | que es ! lash at | backlash at | spec | # | reading on`)},
	{TopicLimits, compileTrigger(`spec | specs | specification | limit | limits | what should ~ be | what should ~ read | how much lash should | what is acceptable | whats acceptable | what is allowed | whats allowed | tolerance | range | what is normal | whats normal | max lash | minimum lash | max | maximum | minimum | how tight | how loose | how much ~ allowed | how much ~ acceptable | how much ~ too much | target | what are we shooting for | what are we aiming for | what are we after | what lash am i | what lash do i want | what do we want | what am i aiming | what am i looking for | supposed to be | whats the lash | how much drag should | how much preload | what preload | what lash | how much backlash | what backlash | what drag | how much spread | how much runout is`)},
	{TopicTorque, compileTrigger(`caps get | caps take | caps need | cap bolts get | nut get | nut gets | nut take* | bolts get | bolts take | bolts need | cover get | cover gets | torque | tq | ft lb* | foot pounds | how tight ~ bolts | thread hand | left hand thread | left handed | reverse thread | which way ~ thread | which way ~ undo | which way ~ turn ~ bolt* | lefty | how tight ~ caps | how tight ~ nut | righty`)},
	{TopicStartShim, compileTrigger(`start* shim | starting shim | shim ~ start with | start with ~ shim | what shim ~ start | which shim ~ start | first shim | initial shim | what pinion shim | which pinion shim | what shim do i | which shim do i | what shim should | which shim should | shim to start | what thickness ~ start | what do i start with | where do i start ~ shim | what size ~ shim | how thick ~ shim | calculate ~ shim | work out ~ shim | what shim goes | which shim goes | base shim | what depth shim | new pinion shim ! old`)},
	{TopicWhatToChange, compileTrigger(`what if | what do i change | what to change | what do i do ~ shim* | which way | how much do i | how much should i | what should i change | what do i move | what should i move | what do i pull | what do i add | how much to | how many thou | which side ~ pull | which side do i | which way do i | add or remove | add or take | add or pull | in or out | thicker or thinner | deeper or shallower | shim up or down | do i add | do i pull | do i take | do i remove | do i move | should i add | should i pull | should i take | should i move | should i go | do i go | do i need to move | do i need to go | do i shim | do i need ~ shim | next move | whats the move | what is the move | what shim change | what now ~ shim* | how do i fix | how do i get | how do i move | how do i open | how do i close | how do i bring | what do i do about | what change | what adjustment | what do you reckon | what do i do | wat do i do | what should i do | what would you | what next ~ shim | need to do | which direction | closer to | que hago | que cambio | cuanto | which shim | add shim | remove shim | more shim | less shim | where do i go from here | where do i go with | what gives | how many notches | which adjuster | what do you suggest | suggestion* | recommend* | how do i correct | how should i | pull or add | take out or | left or right | deeper | tighten or loosen | how far do i | more depth | less depth | pinion in or | go thicker | go thinner | go deeper | what say you | ideas | where to from here | should pinion | pinion go | advice | so do i | need more shim | need less | change pinion | change shim | should the | move it which | carrier which | fix*`)},
	{TopicHeat, compileTrigger(`how hot | oven | heat the ring | heat ring | heat ~ bearing | temperature ~ ring | what temp ~ ring | torch | how long ~ heat | freezer | how warm | heat up the | what temp do i | hot plate`)},
	{TopicOil, compileTrigger(`oil | gl5 | gl - | lube | modifier | friction modifier | how much oil | what oil | which oil | 75w* | 80w* | gear oil | synthetic`)},
	{TopicBreakIn, compileTrigger(`breakin | how far ~ drive | first drive | how long ~ drive | how long ~ cool | tow | towing | how many miles | first oil change | heat cycle* | when can i tow | when can they tow | how long before ~ tow | how many heat | first loop | next loop | how fast | cool down | when can he tow | when can she | before towing`)},
	{TopicPattern, compileTrigger(`pattern | patterns | toe | heel | contact | marking compound | paint ~ teeth | which flank | drive side | coast side | flank | root ! spec`)},
	{TopicBacklash, compileTrigger(`how many places | how many spots | how many points | how many readings | how many positions | how do i measure ~ lash | how do i measure backlash | how do i check ~ lash | how do i check backlash | where do i put ~ dial | where ~ dial | dial indicator | plunger | how to check lash | how to measure lash | how do you measure | how many teeth ~ check | square to the tooth | how many times ~ check | set up the dial | setup the dial`)},
	{TopicPreload, compileTrigger(`drag | preload | crush sleeve | sleeve | rotating torque | inch pounds | breakaway | side preload | crush`)},
	{TopicRatio, compileTrigger(`ratio | hunting | tooth count | teeth | speedo* | tire | tires | rpm | gear ratio`)},
	{TopicHistory, compileTrigger(`what was | who changed | who entered | who did | what were | last time | when did | what did we | what did i | did we | what have i | earlier | before | original shim | as found | what shims did | what did it have | what had we | which one did | who measured | who logged | who put`)},
	{TopicShims, compileTrigger(`total left and right | total of left and right | left and right total | left plus right | total of the sides | total of both sides | add up to | both stacks together | they add up | the two together | what shims | which shims | what is in ~ stack | whats in ~ stack | make up | makes up | make # | combination | combo | what leaves | have we got ~ shim* | in the kit | what stack | how do i make | how do i get # | stack up to | shim stack | shims | how do i build | what adds up`)},
	{TopicParts, compileTrigger(`what parts | which parts | what do i need | new nut | new sleeve | new bolts | reuse | re use | need new | what tools | which tools | what tool | tools | part number | order | consumables | what else do i need | do i need a new | need a new`)},
	{TopicDirection, compileTrigger(`thicker | is + | is plus | is minus | + deeper | thinner | plus | sign | which way is | which side is | left is | right is | positive | negative | convention | seen from | viewed from | clockwise | in which direction | + mean | mean + | from the cover | driver side | does adding | does removing | does more shim | does less shim`)},
	{TopicSafety, compileTrigger(`is it safe | safe to | can i run it | is that safe | dangerous | can i use a torch | can i use the impact | can i heat | safe | will it hurt | hurt anything | risky`)},
	{TopicPhoto, compileTrigger(`photo | pic | picture | photos | pics | pictures | image`)},
	{TopicReview, compileTrigger(`has anyone looked | is he looking | is she looking | is anyone looking | are they looking | looked yet | heard from | has ~ looked | has mentor | did mentor | who signs | approved | signed off | sign off | who can approve | has it been approved | did anyone check | reviewed | mentor`)},
	{TopicTime, compileTrigger(`how long | when is | what time | when does | when will | how much longer | how many minutes | timer`)},
	{TopicStatus, compileTrigger(`where are we | where were we | status | whats left | what is left | what is missing | whats missing | what have we done | how far along | what step | which step | what are we on | where am i | what still needs | whats outstanding | outstanding | left to do | are we done`)},
	{TopicIsItOK, compileTrigger(`ok | okay | good | alright | acceptable | fine | normal | too much | too tight | too loose | enough | close enough | live with | run it | leave it | send it | will that work | bad | in spec | out of spec | good to go | safe | worry | worried | usable | does that look | does this look | look right | looks right | seem right | sound right | sounds right | make sense | a problem | right ? | too high | too low | too deep | too shallow | happy with | get away with | that right | worth | or leave | call it | within | looks good | look good | thoughts | opinion | tight | loose | high | low | reasonable | about right | can i leave | can i close | done | matter | a lot | excessive | whats wrong | what is wrong | does it`)},
	{TopicWhy, compileTrigger(`why | how come | how did you | reason | whats the reason | por que | how does that | how is it | explain`)},
	{TopicNext, compileTrigger(`what now | now what | next | then what | whats next | what is next | do i torque | what after | y ahora | what else | do now | what first`)},
}

// shopTalk are tags that make a question one for the assistant.
var shopTalk = []tag{
	qBacklash, qSpread, qDrag, qTotalDrag, qBreakaway, qShim, qMark, qDepth, qChecking, qHeight, qRunout, qEndPlay, qCarrierPreload, qCaseSpread, qAdjuster,
	qMatch, qTorque, pPinion, pRing, pCaps, pRingBolts, pNut, pSleeve, lToe, lHeel, sCoast, qPattern, mNoise, pSeal, pBearing, pCarrier, qTeeth, pOil, pPack, pHousing,
}

// findQuestion says whether the message asks the assistant something, and what
// about.
func findQuestion(clauses []clause, talk []said, hasContent bool) (topics []string, asks bool) {
	var words []string
	shop, short, interrogated := false, 0, false
	for _, s := range sentencesOf(clauses) {
		isQuestion := s.mark == '?'
		var own []string
		for i := s.first; i <= s.last; i++ {
			isQuestion = isQuestion || clauses[i].moods&moodQuestion != 0
		}
		for i := s.first; i <= s.last; i++ {
			if clauses[i].moods&moodQuestion != 0 {
				own = append(own, clauses[i].words...)
			}
			for k, it := range clauses[i].items {
				for _, t := range shopTalk {
					if it.tags.has(t) && !(it.tags.has(light) && t == qTeeth) && !weakShop(clauses[i].items, k) {
						shop = true
					}
				}
				if it.group != nil && it.group.unit.dim() != dimNone && it.group.unit != uHour && it.group.unit.dim() != dimDistance && it.group.unit.dim() != dimTime {
					shop = true
				}
			}
			short += len(clauses[i].words)
		}
		if !isQuestion {
			continue
		}
		interrogated = true
		if len(own) > 0 {
			words = append(words, own...)
		} else {
			words = append(words, s.words...)
		}
		if s.mark == '?' {
			words = append(words, "?")
		}
		words = append(words, ".")
	}
	if !interrogated && demands.in(allWords(clauses)) {
		return []string{TopicStatus}, true
	}
	if !interrogated {
		if hasContent && implied.in(allWords(clauses)) {
			return []string{TopicWhatToChange}, true
		}
		return nil, false
	}
	for _, t := range topicTable {
		if t.when.inAny(words) {
			topics = appendOnce(topics, t.topic)
		}
	}
	botBefore := len(talk) > 0 && talk[len(talk)-1].bot()
	toBot := false
	for _, w := range allWords(clauses) {
		toBot = toBot || w == "bot" || w == "@bot"
	}
	switch {
	case shop, hasContent, toBot:
	case selfContained(topics) && !offTopic.inAny(words):
	case howTo.in(words) && !offTopic.inAny(words) && short <= 12:
	case jobWords.inAny(words) && !offTopic.inAny(words), customerData.inAny(words):
	case curt.in(words) && short <= 6 && !offTopic.inAny(words):
	case botBefore && short <= 8 && !offTopic.inAny(words):
	default:
		return nil, false
	}
	if offTopic.inAny(words) && !hasContent && !strongShop(clauses) && !customerData.inAny(words) {
		return nil, false
	}
	if len(topics) == 0 {
		topics = []string{TopicOther}
	}
	return topics, true
}

// jobWords are what a question about the job has though it names no part.
var jobWords = compileTrigger(`deeper | total left and right | left and right | left plus right | they add up | do they add up | is he looking | is she looking | is anyone looking | are they looking | looked yet | repeat that | say again | say that again | come again | explain | oil | modifier | capacity | lube | places | warranty | which job | what job | tool list | tools for | originally | in the left | in the right | from the kit | approve | approves | signs off | anything else | before i close | before we close | before closing | slinger | baffle | spreader | hypoid | threadlocker | yoke | flange | a thou | dial indicator | job report | the report | report | trial assembl* | this job | the job | warranty | this axle | this diff | on this one | plus mark | plus mean | mark mean | before i start | to start | photo | pic | picture | pattern | the customer* phone | customer* ~ number | customer* ~ phone | customer* ~ address | customer* ~ name | customer* ~ email | the sheet | spec | loose end* | sign off | signed off | so far | setup | shim* | break in | breakin | reminder | remind | ring gear | pinion | teardown | rework | who did | who measured | measure`)

// customerData are asked of the assistant, which does not give them out.
var customerData = compileTrigger(`customer* ~ phone | customer* ~ number | customer* ~ address | customer* ~ name | customer* ~ email | owner* ~ phone | owner* ~ address ! match number | ask the customer`)

// howTo asks for the way to do a thing, which in this chat is the job's.
var howTo = compileTrigger(`how do i | how do you | how do we | how to | whats the best way to | what is the trick to`)

// curt are short questions that only make sense to who is reading the figures.
var curt = compileTrigger(`why # | say again ? | come again ? | can you repeat | could you repeat | say that again | is # ok | is # good | is # fine | is # too | is # enough | is # normal | is # alright | # ok ? | # good ? | # too much | # too tight | # too loose | why left | why right | why so | why that | why not | why pull | why add | why thicker | why thinner | how much ? | which way | how much more | what about # | and # ? | would # | why the | why is that | how far | which one ? | is that good | is that ok | is this ok | is this good | is that enough | is that too | is it ok | good ? | ok ? | that ok | what about now | better ? | now ? | what now | how about now | how about #`)

// weakShop: words of the trade that everyday talk has too.
func weakShop(items []item, k int) bool {
	switch items[k].text {
	case "deep", "case", "print", "blue", "left", "right", "pack", "cover", "base", "pin", "axle", "spacer", "seal", "diff", "oil", "bearing", "bearings", "stack", "marks", "mark", "count", "counts", "marked", "housing", "torque", "contact":
		return true
	}
	return false
}

func strongShop(clauses []clause) bool {
	for _, c := range clauses {
		for _, it := range c.items {
			if it.tags.hasAny(qBacklash, qTotalDrag, pPinion, lToe, lHeel, qRunout, qPattern, pSleeve) {
				return true
			}
		}
	}
	return false
}

// selfContained: topics that only this job has.
func selfContained(topics []string) bool {
	for _, t := range topics {
		switch t {
		case TopicConvert, TopicShims, TopicWhatToChange, TopicStartShim, TopicBacklash, TopicUnderstood, TopicStatus, TopicPattern, TopicBreakIn, TopicHeat:
			return true
		}
	}
	return false
}

// offTopic are questions of the shop that are not for the assistant.
var offTopic = compileTrigger(`lunch | dinner | breakfast | beer | beers | coffee | donut* | pizza | taco* | anyone seen | who has my | who took | who took my | seen my | wheres my | where is my | where is the | wheres the | where did i put | who left | pay day | payday | weather | game | football | weekend | holiday | vacation | birthday | kids | wife | girlfriend | dog | music | radio | what time ~ close | what time ~ open | what time ~ lunch | wifi | password | home | movie | going out | invoice | ups here | parts guy | delivery | wrench | socket | rag bin | toilet | bathroom | restroom | parking | keys | forklift | phone number | seen dave | where is dave | who is closing | is the ~ truck here | you free | you busy | you around | cigarette | smoko | quote | price | cost | how much ~ charge | how much for | hows it going | how are you | how is everyone | how was | what are you doing | whos turn | whose turn | burger* | wing* | hungry | thirsty | sale | deal on | for sale | buy | sell | shift | day off | late | early | doctor | dentist | meeting ! lash | backlash`)

// demands ask the assistant for what it has, without a question.
var demands = compileTrigger(`print ~ sheet | print ~ report | export ~ report | export ~ job | send me ~ report | send me ~ summary | send ~ summary | show ~ log | show ~ history | show ~ readings | list ~ jobs | list ~ readings | list ~ shims | repeat that | read that back | read it back | read back | say that again | explain that | pull up ~ job | pull up ~ numbers ! out of | will`)

// implied: no question mark, but the figures are given for advice.
var implied = compileTrigger(`what do i | which way | need help | help me out | help please | not sure what to | dont know what to | dont know which | want # | need # | needs to be # | should be # | need it # | want it # | advise | please advise | stuck here | need advice | any advice | any ideas | thoughts | im lost | im stuck | dont know what | not sure which way | tell me what | what you think | let me know what | target # | target is # | shooting for # | aiming for # | trying to get # | trying for # | need to get it`)

func allWords(clauses []clause) []string {
	var words []string
	for _, s := range sentencesOf(clauses) {
		words = append(words, s.words...)
		words = append(words, ".")
	}
	return words
}
