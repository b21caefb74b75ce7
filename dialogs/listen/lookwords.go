package listen

// The words of a mentor who answers an open look, in English and in Spanish; Spanish
// is matched as it stands, without accents, since short answers carry no word of the
// trade. Common practice, no source.
var (
	// lookRedo asks for a reading again.
	lookRedo = compileTrigger(`do ~ over | check ~ again | double check | recheck* | re check* | reread* | re read* | read ~ again | measure ~ again | measure ~ second time | read ~ second time | a second time | second look at | repeat it | repeat them | repeat that | repeat the | coast again | drive again | lash again | pattern again | drag again | want ~ again | see ~ again | do ~ again | once more | one more time | otra vez | de nuevo | vuelve a | vuelvelo a | repitelo | repite
		! no need | dont need to | need not | dont bother | without | never again`)
	// lookIf makes a consent hang on something.
	lookIf = compileTrigger(`if | once | when | as long as | so long as | provided | providing | after | until | till | unless | assuming | would be | with one | with a little | with a bit | cuando | siempre que | en cuanto | mientras | si el | si la | si no ! even if | after all | anytime | when youre ready | when you are ready | whenever | when ready | cuando quier* | cuando pued* | cuando gust* | after lunch | let me know if | shout if | call me if | call if | ping me if | tell me if`)
	// lookGood is consent, in whatever sentence.
	lookGood = compileTrigger(`good | fine | ok | okay | approve | approved | approving | happy | go on | go ahead | can go | carry on | continue | run it | ship it | pass | sign | yes | yep | great | alright | bien | dale | adelante | aprobado | apruebo`)
	// lookHold wants nothing more done for now.
	lookHold = compileTrigger(`let me think | let me have a think | let me look | let me see it | give me # minutes | give me # min | give me a minute | give me a sec | give me a moment | want to see it myself | want to see it first | want to look myself | want a look first | until ive | till ive | until i have | before you go on | before you go further | before going on | meant hold | meant to hold | esperame | espera | espere | esperen | todavia no | aun no | detente | parale | aguanta | no sigas ! until i have time | cliente espera | clienta espera | nos espera | te espera`)
	// lookPraise leaves no doubt, whatever negation stands in it.
	lookPraise = compileTrigger(`no objection | no objections | no complaints | no problem | no problems | no issues | no worries | cant fault it | cant fault that | cannot fault it | nothing wrong with that | nothing wrong with it | nothing wrong there | wouldnt change a thing | wouldnt change anything | dont change a thing | wouldnt touch it | dont touch it perfect | perfect dont touch it | dont touch it its perfect | dont touch it its good | dont touch a thing | nothing to add | go for it | carry on when* | go on when* | go ahead when* | continue when* | crack on | have at it | off you go | away you go | go right ahead | not bad at all | couldnt be better | doesnt get better | se ve bien | esta bien | quedo bien | muy bien | siguele | adelante | sin problema | todo bien ! no se ve | no esta | no muy bien | no todo`)
	// lookSure is an approval whatever else is said of the pattern.
	lookSure = compileTrigger(`approved | approve | approving | id run it | id run that | run it | ship it | send it | good to go | sign it off | signed off | signing off | button it up | close it up | leave it alone | call it good | call it done | apruebo | aprobado ! approved by | aprobado por | says | said | told | signed off by | send it over | send it to me | send it again | run it again | run it back | leave it alone until | leave it alone till | not approved | not approve | not approving | cant approve | cannot approve | dont approve | wont approve | wouldnt approve | dont send | dont ship | dont run | wouldnt run | not run | not good to go | dont sign | not signed | cant sign | dont button | dont close | dont leave | dont call it | never | unapprove*`)
	// lookFault names something that is off.
	lookFault = compileTrigger(`toe | heel | high | low | tight | loose | deep | shallow | edge | off | wrong | bad | odd | weird | thin | thick | smeared | blurry | too | talon | punta | alto | alta | bajo | baja ! nothing wrong | not bad | off you go | high five | far off`)
	lookBut   = compileTrigger(`but | except | however | pero | although | only | if | once | when | until ! when youre ready | when you are ready | when ready | cuando quier*`)
	// lookDenied is no approval, and not said what instead.
	lookDenied = compileTrigger(`no | nope | nah | isnt | arent | not | dont | doesnt | wouldnt | cant | wont | never | too tight | too loose | too deep | too high | too low | wrong | bad ! hold | not yet | dont touch | dont go | dont close | dont button | dont run | no need`)
	// lookJudges is a judgement of some kind.
	lookJudges = compileTrigger(`great | lovely | sure | alright | good | fine | ok | okay | yes | yep | yeah | close | nearly | almost | better | worse | nice | happy | like | depth | lash | pattern | coast | drive | drag | heel | toe | deeper | more | less | touch | bien | casi | mejor | falta ! good morning | good afternoon | good evening | good night | good luck | morning | lunch | like to`)
	// takesBack withdraws the mentor's own word.
	takesBack = compileTrigger(`scratch my ok | scratch my okay | scratch my approval | scratch my yes | scratch that ok | take back my ok | take back my okay | take my ok back | take my approval back | forget my ok | forget what i said | ignore my ok | ignore my approval | disregard my ok | disregard my approval | didnt mean to approve | not approved after all `)
	// rephrases says a word again in others.
	rephrases = compileTrigger(`take that back | take it back | sorry meant | i meant | sorry i meant | quise decir`)
	smallTalk = compileTrigger(`how are | hows it | whats up | how is everyone | how was | que tal | como estan | como estas | como andan`)
	// toldOf: "ben says go".
	toldOf = compileTrigger(`says go | says yes | says ok | says okay | says its ok | says its fine | says its good | says good | says fine | says approve* | says carry on | said go | said yes | said ok | said okay | said its ok | said its fine | said its good | said good | said fine | said go ahead | says go ahead | said approve* | said carry on | told me to go | told me go | dice que si | dice que esta bien | dijo que si | dijo que esta bien`)
)

var (
	lookQuestion = wordSet("what whats which why how hows where wheres who whos when is are was were did does do has have que cual por como cuanto cuantos donde quien")
	lookConsent  = wordSet("yes yep yeah yup ya ok okay okey fine good perfect approved approve go si sale dale va orale bien vale sigue nice lovely beautiful bonito absolutely definitely yessir")
	lookFillers  = wordSet("great sure right alright it its is are looks look sounds that thats this the all both on ahead with for me to mate ann ben mo please pls thanks thank you and lash pattern drive coast drag numbers readings here there from my end side very really well job work i im then so one se ve esta por mi gracias")
)
