package listen

import (
	"regexp"
	"strings"
)

// Ways of saying things that the grammar of words and numbers does not reach. They are
// put into a plainer form of the same before the message is read.

// rewording puts one way of saying over, where the message is about its subject.
type rewording struct {
	hint []string // one of these words is in it
	when func(e expectation, plain string) bool
	at   *regexp.Regexp
	to   string
}

const (
	noMarking = `(?:nothing|no (?:pinion )?mark(?:ing)?s?|no numbers?|no figure|zip|zilch|nada|blank|unmarked|not marked)`
	pinionOne = `(?:the )?(old|new)(?: one| head| pinion| gear)*`
)

// rewordings are tried in order. Common practice, no source.
var rewordings = []rewording{
	{[]string{"no", "blank", "unmarked", "zip", "zilch", "nada"}, aboutMarking, regexp.MustCompile(`\b` + noMarking + `(?: at all)? (?:on|for|in) ` + pinionOne + `\b(?: either)?`), "$1 mark 0 ,"},
	{[]string{"no", "blank", "unmarked", "zip", "zilch", "nada"}, aboutMarking, regexp.MustCompile(`\b` + pinionOne + `(?:,| is| has| says| shows| had| got| have|'s)* ` + noMarking + `\b(?: on it| at all| either)*`), "$1 mark 0 ,"},
	{[]string{"no", "blank", "unmarked", "zip", "zilch", "nada"}, askedMarking, regexp.MustCompile(`^(?:its |theres |there is )?` + noMarking + `(?: at all| on it| there| on that one)?[.!]?$`), "0"},
	// Punch dots on the caps are counted, not measured.
	{[]string{"dot", "dots", "dimples", "pops"}, always, regexp.MustCompile(`\b\w+ (?:punch )?(?:dots?|dimples?|pops?)\b(?: on(?: the)?)?(?: (?:left|right)\b(?:,? (?:and )?\w+(?: on(?: the)?)? (?:left|right)\b)?)?`), ""},
	{[]string{"both"}, aboutMarking, regexp.MustCompile(`\bboth(?: of them| pinions| heads)?(?: are| say| says| read| have| show| marked)* (?:marked )?(plus |minus |\+ ?|- ?)(\w+)\b`), "old mark $1$2 , new mark $1$2"},
	{[]string{"both"}, aboutMarking, regexp.MustCompile(`(^|[ ,])((?:\+ ?|- ?|plus |minus )\w+),? (?:on |for )?both\b(?: of them| pinions| heads)?`), "$1 old mark $2 , new mark $2"},
	{[]string{"up to"}, always, regexp.MustCompile(`\b(?:crept|came|come|climbed|worked|brought|got)(?: it)?(?: its way)? up to (\d)`), "at $1"},
	{[]string{"before", "earlier"}, askedLash, regexp.MustCompile(`([\d][\d., /]*?\d) (?:was|were) (?:before|earlier)\b[^,.;]*[,;]? ?`), "was $1 . "},
	{[]string{"stamped", "label", "printed"}, always, regexp.MustCompile(`\b(?:its )?(?:stamped|labell?ed|printed) [\d.,]*\d,? but (?:it )?(?:mikes|mics|measures|reads|is|comes out at|comes out)`), "measures"},
	{[]string{"heavy"}, aboutPattern, regexp.MustCompile(`\b(drive|coast)(?: side)? (flank|face|toe|heel) heavy\b`), "$1 heavy on the $2"},
	{[]string{"times", "x"}, askedLash, regexp.MustCompile(`(^|[ ,])([\d.,]*\d) (?:three times|3 times|3 x|three x),? (?:and |then |and then )([\d.])`), "$1$2 $2 $2 $3"},
	{[]string{"times", "x", "twice"}, askedLash, regexp.MustCompile(`(^|[ ,])([\d.,]*\d) (?:twice|two times|2 times|2 x|two x),? (?:and |then |and then )([\d.])`), "$1$2 $2 $3"},
	{[]string{"spot", "side"}, askedLash, regexp.MustCompile(`\b(tight(?:est)?|loose(?:st)?|high|low) (?:spot|side|point)(?: is| was| reads| at)? ([\d.,]*\d)\b`), "$1 $2 ,"},
	{[]string{"first"}, askedLash, regexp.MustCompile(`\b(?:first|second|third|fourth|next|last)(?: tooth| one| spot| place| point)?(?: is| was| reads)? (\d[\d.,]*|` + numberWord + `)\b`), "$1"},
	{[]string{"tow"}, aboutPattern, regexp.MustCompile(`\btow\b`), "toe"},
	{[]string{"cost"}, aboutPattern, regexp.MustCompile(`\bcost( side| is| on| toward| towards| centered| high| low| in)\b`), "coast$1"},
	{[]string{"on drive and", "on the drive and"}, aboutPattern, regexp.MustCompile(`\b((?:on|for) (?:the )?drive(?: side)?) and (?:the )?(coast(?: side)?) (is|was|looks|sits|shows|a |up|high|low)`), "$1 , $2 $3"},
	{[]string{"on coast and", "on the coast and"}, aboutPattern, regexp.MustCompile(`\b((?:on|for) (?:the )?coast(?: side)?) and (?:the )?(drive(?: side)?) (is|was|looks|sits|shows|a |up|high|low)`), "$1 , $2 $3"},
	{[]string{"setup"}, twoHeights, regexp.MustCompile(`\b(setup|final)(?: one| bearing| brg)?(?: is| was| stands?)? (\d+[.,]\d{2,4})`), "$1 bearing height $2"},
	{[]string{"side"}, always, regexp.MustCompile(`\b(sides?(?: shims?| stacks?)?) (\d[\d.,]*) ?(?:l|left)[ ,]+(?:and )?(\d[\d.,]*) ?(?:r|right)( *$|[.;,])`), "$1 left $2 right $3$4"},
	{[]string{"side"}, always, regexp.MustCompile(`\b(sides?(?: shims?| stacks?)?) (\d[\d.,]*) ?(?:r|right)[ ,]+(?:and )?(\d[\d.,]*) ?(?:l|left)( *$|[.;,])`), "$1 right $2 left $3$4"},
	{[]string{"is +", "is plus", "is -", "is minus"}, aboutMarking, regexp.MustCompile(`^is (?:a )?(\+|plus|-|minus) ([a-z].*[a-z])$`), "is $1 $2?"},
	{[]string{"ate"}, askedLash, regexp.MustCompile(`\bate (thou(?:s|sand|sands|sandths?)?)\b`), "8 thou"},
}

const numberWord = `one|two|three|four|five|six|seven|eight|nine|ten|eleven|twelve`

func aboutMarking(e expectation, plain string) bool {
	return e.q == qMark || strings.Contains(plain, "mark") || strings.Contains(plain, "pinion head") || strings.Contains(plain, "old head") || strings.Contains(plain, "new head")
}

func always(expectation, string) bool { return true }

func askedMarking(e expectation, _ string) bool { return e.q == qMark }

func askedLash(e expectation, plain string) bool {
	return e.q == qBacklash || e.q == none && strings.Contains(plain, "lash")
}

func aboutPattern(e expectation, plain string) bool {
	if towing.MatchString(plain) {
		return false
	}
	return len(e.sides) > 0 || strings.Contains(plain, "pattern") || strings.Contains(plain, "side") || strings.Contains(plain, "coast") || strings.Contains(plain, "heel")
}

var towing = regexp.MustCompile(`\btow(?:ing|ed)?\b.{0,20}\b(?:truck|trailer|rig|hook|boat|camper|package|mode|bar|strap|it|him|her|home|load|tonight|tomorrow)\b`)

// twoHeights: both bearings are named with a height each.
func twoHeights(_ expectation, plain string) bool {
	return heightsNamed.MatchString(plain) && !strings.Contains(plain, "height")
}

var heightsNamed = regexp.MustCompile(`\bsetup(?: one| bearing| brg)?(?: is| was| stands?)? \d+[.,]\d{2,4}\D{1,12}final(?: one| bearing| brg)?(?: is| was| stands?)? \d+[.,]\d{2,4}`)

// plainer puts the ways of saying of rewordings into their plainer form.
func plainer(plain string, e expectation) string {
	for strings.Contains(plain, "  ") {
		plain = strings.ReplaceAll(plain, "  ", " ")
	}
	for _, r := range rewordings {
		for _, h := range r.hint {
			if strings.Contains(plain, h) && r.when(e, plain) {
				plain = r.at.ReplaceAllString(plain, r.to)
				break
			}
		}
	}
	return plain
}
