package picture

import (
	"fmt"
	"reflect"
	"strings"

	"shimwright/calc/unit"
)

// Labels are the words a picture and its alt text are written with. English
// gives the usual ones; another language fills in the same fields. In a template
// the words in braces are replaced by what they name.
type Labels struct {
	Toe, Heel, Top, Root, Centre, Middle string // the ends and edges of a tooth; its middle along, and across
	Drive, Coast                         string // the flanks
	PlaceOf                              string // {along} {across}: a place on a flank
	CellOf                               string // {place} {n}: that place with the number of its cell

	Pattern                   string // title of the pattern picture
	Convention                string // how the teeth are drawn
	Reported                  string // legend: the patch as it is
	Predicted                 string // legend: the patch after the change
	Target                    string // legend: the wanted zone
	Now, After                string // tags on the two patches
	NotMarked                 string // of a flank without a pattern
	PinionMove, RingMove      string // {move} {way}
	Deeper, Shallower         string // ways of a pinion
	TowardsPinion, FromPinion string // ways of a ring gear
	BacklashAfter             string // {value}
	BacklashChange            string // {before} {value}
	Interval                  string // {low} {high}: after a value

	Round                    string // title of the backlash picture
	Readings                 string // {n} {unit}: what the figures are
	ByTheClock               string // after it, where the places are clock positions
	OClock                   string // {place}: a whole hour on the clock
	Inches, Millimetres      string // the unit of figures that stand without one
	Tightest, Widest         string // {value} {place}
	Minimum, Maximum         string // {value}: on the limit lines
	Spread                   string // {value}
	SpreadInside, SpreadOver string // {value} {limit}
	RangeInside, RangeBelow  string // {low} {high}
	RangeAbove, RangeBoth    string // {low} {high}: above; below in one place and above in another
	Wave                     string // {value} {place}: the once-round wave

	Choices    string // title of the choice picture
	ChoicesFor string // {flank}: its title where one flank is asked for
	ChoiceHint string // {example}
	Picked     string // {choice}

	Stacks                  string // title of the stacks picture
	Stack                   string // {name} {total}
	NoLeaves                string
	Was                     string // {value} {change}: a stack before
	SameAs                  string // of a stack that stays as it was
	WantedOver, WantedUnder string // {value} {rest}: a stack thicker, thinner than computed

	PictureOf      string // {title}: how an alt text begins
	FlankReported  string // {flank} {place}
	FlankPredicted string // {flank} {place}
	FlankTarget    string // {flank} {place}
	ToldAs         string // {place} {words}
	UncertainBy    string // {along} {across}: percent of the face width and of the depth
	AtPlace        string // {place} {value}: one reading
	CellIs         string // {n} {place}
	FactSeparator  string // between the facts of an alt text
}

// English gives the labels in the trade's English.
func English() Labels {
	return Labels{
		Toe: "toe", Heel: "heel", Top: "top", Root: "root", Centre: "centre", Middle: "middle",
		Drive: "drive", Coast: "coast",
		PlaceOf: "{along} {across}",
		CellOf:  "{place} (cell {n})",

		Pattern:    "contact pattern",
		Convention: "both flanks: toe left, heel right, top up",
		Reported:   "now, as reported",
		Predicted:  "after, predicted",
		Target:     "target",
		Now:        "now", After: "after",
		NotMarked:  "no pattern given",
		PinionMove: "pinion {move} ({way})", RingMove: "ring gear {move} ({way})",
		Deeper: "deeper", Shallower: "shallower",
		TowardsPinion: "towards pinion", FromPinion: "away from pinion",
		BacklashAfter:  "backlash {value}",
		BacklashChange: "backlash {before} → {value}",
		Interval:       " ({low} to {high})",

		Round:      "backlash round the ring gear",
		Readings:   "{n} readings, in {unit}",
		ByTheClock: ", places by the clock", OClock: "{place} o'clock",
		Inches: "inches", Millimetres: "mm",
		Tightest: "tightest {value} at {place}", Widest: "widest {value} at {place}",
		Minimum: "min {value}", Maximum: "max {value}",
		Spread:       "spread {value}",
		SpreadInside: "spread {value}, inside its limit {limit}", SpreadOver: "spread {value}, over its limit {limit}",
		RangeInside: "inside the limits {low} to {high}", RangeBelow: "below the limits {low} to {high}",
		RangeAbove: "above the limits {low} to {high}", RangeBoth: "below and above the limits {low} to {high}",
		Wave: "once-round wave ±{value}, widest near {place}",

		Choices:    "where does the pattern sit?",
		ChoicesFor: "where does the {flank} pattern sit?",
		ChoiceHint: "type: {example}",
		Picked:     "picked: {choice}",

		Stacks:   "shim stacks",
		Stack:    "{name} {total}",
		NoLeaves: "no shim",
		Was:      "was {value} ({change})", SameAs: "as before",
		WantedOver: "wanted {value}: this is {rest} thick", WantedUnder: "wanted {value}: this is {rest} thin",

		PictureOf:      "picture: {title}",
		FlankReported:  "{flank} pattern now at {place}",
		FlankPredicted: "{flank} pattern after the change predicted at {place}",
		FlankTarget:    "{flank} target zone round {place}",
		ToldAs:         "{place}, told as \"{words}\"",
		UncertainBy:    ", give or take {along} % of the face width and {across} % of the depth",
		AtPlace:        "{place}: {value}",
		CellIs:         "{n} = {place}",
		FactSeparator:  "; ",
	}
}

// check says which labels are empty.
func (l Labels) check() error {
	v := reflect.ValueOf(l)
	var empty []string
	for i := range v.NumField() {
		if strings.TrimSpace(v.Field(i).String()) == "" {
			empty = append(empty, v.Type().Field(i).Name)
		}
	}
	if len(empty) > 0 {
		return fmt.Errorf("labels: no text for %s", strings.Join(empty, ", "))
	}
	return nil
}

// say fills a template: say("{n} readings", "n", "8").
func say(template string, pairs ...string) string {
	for i := 0; i+1 < len(pairs); i += 2 {
		pairs[i] = "{" + pairs[i] + "}"
	}
	return strings.NewReplacer(pairs...).Replace(template)
}

// length writes a length with its unit and a true minus sign.
func length(u unit.System, l unit.Length) string {
	return strings.Replace(u.Length(l), "-", "−", 1)
}

// signed is length with a sign in front.
func signed(u unit.System, l unit.Length) string {
	return strings.Replace(u.Signed(l), "-", "−", 1)
}

// figure writes a length without its unit, where the unit stands beside it once.
func figure(u unit.System, l unit.Length) string {
	text, _, _ := strings.Cut(length(u, l), " ")
	return text
}
