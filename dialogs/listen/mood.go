package listen

import "slices"

// moodTable says which words give a clause which mood; see trigger for the form.
var moodTable = []struct {
	mood mood
	when trigger
}{
	{moodSpec, compileTrigger(`spec | specs | specification | specifications | tolerance | book says | book is | manual says | manual is | book wants | per the book | book value | book figure | the book
		| supposed to be | should be | should read | ought to be | calls for | allowed | allowable | range is | chart says | sheet says | sheet is | card says | factory says | factory is
		| requires | recommended | nominal | acceptable | limit | limits | limit is | paper says | in the book | manual calls | specd | guideline | guidelines | says to | book calls | book for | manual for | limits are | max is | maximum is | min is | minimum is | max of | minimum of | maximum of | manual | listed | published | wants | should run | supposed to run
		! in spec | within spec | out of spec | in specs | within specs | out of specs | past spec | above spec | below spec | under spec | over spec | inside spec | outside spec | within limits | in limits | within the limits | on spec | to spec | mid spec | middle of spec | in the spec | outside the limits | inside the limits | bang on spec | limited slip | well in spec | like the sheet | like the book | as the sheet | as the book | like it says | like you said`)},
	{moodSpec, compileTrigger(`max # | maximum # | # max | # maximum | min # | minimum # | # min. | # minimum | no more than # | not more than # | # thou max | # thou min | # thou maximum | # thou minimum | # lbs max | # lbs min | not over # | no less than # | # or less | # or more | # or better | # at most | # at least | # tops | never over # | nothing over # ! min # ~ max # | max # ~ min #`)},
	{moodTarget, compileTrigger(`want | wanting | wanted | target | targeting | aim | aiming | shooting for | shoot for | looking for | hoping for | trying to get | trying for | would like | id like | ideally | goal
		| get it to | get to # | set it to | set it at | chasing | to reach | bring it to | needs to be | need to be | need it | need # | needs # | has to be | must be | go for | to hit | like to see | prefer | rather have | wanting to see | to end up | trying to hit | after # thou of | to get # | make it # | need about # | want about # | need to get | want it ! where we want | where you want | where i want | like we want | how we want | the way we want`)},
	{moodIf, compileTrigger(`if | suppose | supposing | assuming | unless | whether | imagine | hypothetically | lets say | in case | would be | would give | would make | would put | could be | might be | may be | what happens | as long as | until it | till it | once it | when it hits | when it gets | would come | should give | should land | should come | would that | would read | might get | could get | expecting | expect | predicted | prediction | supposedly | in theory | theoretically`)},
	{moodPlan, compileTrigger(`going to | will | about to | plan to | planning | plan is | thinking of | thinking about | thinking i | let me | lemme | might | maybe i | want to | trying to | need to | have to | tomorrow | tonight | next time | could | can i | shall | fixing to | fixin to | later | ready to | gotta | got to | voy a | considering | i can | was going | were going | thought about | considered | intend | lets | would | supposed to | rather | about ready | tempted | should i | should we | hafta | maybe we | considering | haven't yet | ill ! best i can`)},
	{moodOther, compileTrigger(`last week* | last month | last year | last time | last job | the other day | other truck | other job | other car | other axle | other vehicle | another job | another truck | another axle | another one
		| one time | once had | back when | used to get | used to run | previous job | previous axle | previous car | previous truck | my buddy* | buddys | buddy | my mate* | mates | a guy | some guy | some bloke | video | videos | forum | forums | internet | other bay | next bay
		| that truck | once had one | we had one | they had one | nobody sets | no one sets | nobody runs | granny | grandma | grandpa | my old | for years | remember when | remember the | other unit | last one had | last one was | last one i | last one we | last one ran | last one took | last one came | last one needed | last ones | last ones' | last axle | last truck | last diff | last set | the one before | years ago | weeks ago | months ago | year ago | week ago | month ago | my truck | my car | my own | at home | his truck | his car | her car | neighbor* | neighbour* | brother | cousin | daves | other guys | somebody | someone elses | different truck | different job | different axle | other one had | other one was | other one came | previous one | we did last | i did last | one we did | one i did | ones we did | in my experience | usually | normally | typically | always get | always run | always see | most of them | back in the day | old days | race car | ive seen | ive had | weve had | weve seen | seen # | older one | at my last | other shop | old shop | previous shop | ex boss | last shop | a customers | from the other | that other | la otra | yesterdays | reminds me | years back | few years | another shop | diff in bay | axle in bay | one in bay | truck in bay | job in bay | jobs | bucks | swap meet | ones bay | my last | his last | their last | customers other ! this one`)},
	{moodDoubt, compileTrigger(`i think | i guess | im guessing | guessing | not sure | unsure | cant tell | cant remember | dont remember | i believe | eyeball* | guesstimate | from memory | if i remember | i reckon | pretty sure | hard to tell | hard to say | hard to read | feels like about | probably | possibly | perhaps | looks like about | maybe # | # maybe | # ? ? | i dont know | no idea | dont know | might have been | could have been | who knows | give or take | best guess | iirc | idk | couldnt tell | creo ! i think thats in | i think thats ok | i think thats good | i think thats fine | i think its ok | i think its good | i think its in | i think were | i think we | i think thats right | i think that will`)},
	{moodNot, compileTrigger(`not # | isnt # | wasnt # | never # | not at # | cant get # | didnt get # | no longer # | instead of # | instead of the # | instead of a # | rather than # | rather than the # | nowhere near # | couldnt get # | not really # | isn't # | aint # | not the # | not a # | far from # | doesnt read # | not reading # | not getting # | wont go to # | arent #`)},
	{moodShould, compileTrigger(`should have been | shouldve been | should of been | supposed to have`)},
}

// thisJob cancels the mood of another job for what follows.
var thisJob = compilePhrases(`this one | this time | mine is | here i | here we | im getting | im at | now im | today | on this | this job | ours is | were getting`)

// imperative verbs open an order; "set lash at 8" is no reading.
var imperative = wordSet(`set check measure recheck verify torque pull put add take remove move shift swap run try make go tighten loosen back turn get keep
	confirm bring open close do redo give drop crush stop hold wait leave install fit use bump shoot aim send post show tell remind order grab bring don't dont never
	write call log note record enter just please pls retorque reread test mark paint spin change replace press heat clean read adjust wind screw crank`)

// setMoods finds the mood of every clause from its words, and from the clauses
// of its sentence that colour it.
func setMoods(clauses []clause, sender Sender) {
	var carried mood
	last, spec := -1, -1
	for i := range clauses {
		c := &clauses[i]
		if c.sentence != last {
			carried, last = 0, c.sentence
		}
		for _, m := range moodTable {
			if k, ok := m.when.first(c.words); ok {
				c.moods |= m.mood
				c.hits = append(c.hits, moodHit{m.mood, c.wordItem[k]})
			}
		}
		if _, _, ok := find(thisJob, c.words); ok {
			carried &^= moodOther
			c.moods &^= moodOther
			c.hits = slices.DeleteFunc(c.hits, func(h moodHit) bool { return h.mood == moodOther })
		}
		// An anecdote or a condition colours what follows in its sentence.
		if carried != 0 {
			c.moods |= carried
			c.hits = append(c.hits, moodHit{carried, -1})
		}
		carried |= c.moods & (moodOther)
		// "if lash was 30 and the drive sat on the heel"
		if i > 0 && clauses[i-1].sentence == c.sentence && len(c.words) > 0 && (c.words[0] == "and" || c.words[0] == "or" || c.words[0] == "&") {
			if m := clauses[i-1].moods & (moodIf | moodPlan | moodQuestion | moodTarget); m&^moodPlan != 0 {
				if m&moodIf == 0 {
					m &^= moodPlan
				}
				c.moods |= m
				c.hits = append(c.hits, moodHit{m, -1})
			}
		}
		// "spec is 6 to 10 on lash, 14-19 on drag": a span after a spec is one too
		if c.moods&moodSpec != 0 {
			spec = c.sentence
		} else if spec == c.sentence && onlySpans(c.items) {
			c.moods |= moodSpec
			c.hits = append(c.hits, moodHit{moodSpec, -1})
		}
		if interrogative(clauses, i) {
			c.moods |= moodQuestion
		}
		if ordered(*c, sender) {
			c.moods |= moodOrder
		}
	}
}

// onlySpans: every number of the clause is a range, and no verb says it was read.
func onlySpans(items []item) bool {
	spans := false
	for _, it := range items {
		if it.group != nil {
			if !it.group.span {
				return false
			}
			spans = true
		}
		if it.tags.hasAny(mNow) || it.tags.has(mMeasure) || it.text == "i" || it.text == "is" {
			return false
		}
	}
	return spans
}

// interrogative says whether a clause asks: by its first words, or because it is
// all there is before the question mark.
func interrogative(clauses []clause, i int) bool {
	c := clauses[i]
	words := skipFillers(c.words)
	if len(words) == 0 {
		return false
	}
	asks := false
	switch words[0] {
	case "remind", "tell", "show", "explain", "give":
		asks = (len(words) == 2 && words[0] == "remind" || len(words) > 2) && (words[1] == "me" || words[1] == "us") && (len(words) == 2 || words[0] != "give" && words[0] != "tell" || words[2] == "the" || words[2] == "a" || words[2] == "my" || words[2] == "what" || words[2] == "which" || words[2] == "how" || words[2] == "all") && (len(words) == 2 || words[2] != "#" && words[2] != "when" && words[2] != "to" && words[2] != "at" && words[2] != "in")
	case "whats", "hows", "what", "which", "how", "why", "where", "who", "when", "whos", "whose", "wheres", "wats", "whatcha", "que", "cual", "como", "cuanto", "porque", "donde":
		// "where it should be", "when cold": no questions
		if len(words) > 1 && words[0] == "what" && (words[1] == "a" || words[1] == "an") && c.mark != '?' {
			return false // "what a drag"
		}
		asks = c.mark == '?' || words[0] != "when" && words[0] != "where" || len(words) > 1 && askSecond[words[1]]
	case "did":
		asks = c.mark == '?' || len(words) > 1 && words[1] != "the" && words[1] != "a" && askSubject[words[1]]
	case "is", "are", "do", "does", "should", "can", "could", "would", "will", "am", "was", "were", "has", "have", "shall", "may", "isnt", "arent", "doesnt", "dont", "cant", "shouldnt", "wouldnt", "didnt", "any", "anyone", "anybody", "es", "esta", "puedo", "debo", "hay", "might":
		if len(words) > 1 {
			asks = c.mark == '?' && words[0] != "dont" || askSubject[words[1]] || words[0] == "any" || words[0] == "anyone" || words[0] == "anybody" || words[0] == "shall"
			if (words[0] == "does" || words[0] == "do" || words[0] == "would") && words[1] == "#" {
				asks = asks || hasAnyText(c.items, "sound", "look", "seem", "sounds", "looks", "work", "feel")
			} else if words[1] == "#" && c.mark != '?' {
				asks = words[0] == "is" && len(words) > 2 && (askTag[words[len(words)-1]] || words[2] == "ok" || words[2] == "good" || words[2] == "too")
			}
			if words[0] == "have" || words[0] == "has" || words[0] == "had" || words[0] == "was" || words[0] == "were" || words[0] == "may" || words[0] == "might" {
				asks = c.mark == '?'
			}
		}
	}
	if !asks && c.mark == '?' {
		// "caps get 60 or 80?"; "whats toe, inner or outer end?"
		bolts := hasTag(c.items, pCaps) || hasTag(c.items, pNut) || hasTag(c.items, pRingBolts) || hasTag(c.items, pCover)
		asks = bolts && hasAnyText(c.items, "get", "gets", "take", "takes", "need", "needs", "go", "want", "wants") ||
			i > 0 && clauses[i-1].sentence == c.sentence && clauses[i-1].moods&moodQuestion != 0 && !hasFigureGroup(c)
	}
	return asks
}

var (
	askSecond  = wordSet("do are should is to did can does was were would will")
	askSubject = wordSet("i we you it that this they the there my he she u anyone someone these those our a")
	askTag     = wordSet("ok okay good fine alright normal right enough much bad safe acceptable high low tight loose close")
	fillers    = wordSet("hey hi hello ok okay so well and but or also then um uh yo bot please pls right yeah yep oh man boss quick question q now just wait actually sorry alright cool thanks cheers mate hmm hm ah guys all team @bot @mentor because if thx ty bueno oye")
)

// skipFillers drops the small words a sentence may open with.
func skipFillers(words []string) []string {
	for len(words) > 0 && (fillers[words[0]] || !isLetters(words[0]) && words[0] != "#" && words[0] != "?") {
		words = words[1:]
	}
	return words
}

func isLetters(w string) bool {
	return w != "" && (w[0] >= 'a' && w[0] <= 'z' || w[0] >= 0x80)
}

// saysSo are verbs that make the word before them a noun: "paint shows".
var saysSo = wordSet("shows showed is was are says said reads looks came went has showing job wrench gun still sleeve collar spacer")

// ordered says whether a clause is an order: it opens with a bare verb, or it
// tells the other what to do.
func ordered(c clause, sender Sender) bool {
	words := skipFillers(c.words)
	if len(words) == 0 {
		return false
	}
	if words[0] == "read" || words[0] == "measure" || words[0] == "put" || words[0] == "set" || words[0] == "cut" || words[0] == "run" || words[0] == "shot" || words[0] == "log" || words[0] == "note" || words[0] == "record" || words[0] == "enter" || words[0] == "just" || words[0] == "mark" || words[0] == "check" || words[0] == "recheck" || words[0] == "spread" {
		// the past of these looks like the order
		return sender == Mentor || words[0] == "set" && len(words) > 1 && words[1] != "#" && words[1] != "up" && words[1] != "is" && words[1] != "of"
	}
	if imperative[words[0]] {
		return len(words) < 2 || !saysSo[words[1]]
	}
	return len(words) > 1 && (words[0] == "you" || words[0] == "u") && (words[1] == "should" || words[1] == "need" || words[1] == "want" || words[1] == "gotta" || words[1] == "could" || words[1] == "can")
}
