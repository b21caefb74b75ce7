package dialogs

import (
	"time"

	"shimwright/calc/unit"
)

// Text is something to be said, in whichever language and units the person who
// hears it has: a phrase by its key with its values, name and value in turn, as
// phrase.Speaker.Say takes them.
type Text struct {
	key   string
	with  []any
	plain string // words said as they are, where there is no key
	axle  string // a text of the axle sheet, where there is neither
}

// phrased gives a phrase to be said later. Lengths, torques, temperatures and
// further texts among its values are written for the person when it is said.
func phrased(key string, namesAndValues ...any) Text { return Text{key: key, with: namesAndValues} }

// plain gives words that are said as they are.
func plain(words string) Text { return Text{plain: words} }

// axleText gives a text of the axle sheet, to be said in the language it is heard in.
func axleText(text string) Text { return Text{axle: text} }

// there says whether there is anything to say.
func (t Text) there() bool { return t.key != "" || t.plain != "" || t.axle != "" }

// say writes a text for the person.
func (v voice) say(t Text) string {
	if t.axle != "" {
		return v.axleText(t.axle)
	}
	if t.key == "" {
		return t.plain
	}
	with := make([]any, len(t.with))
	for i, value := range t.with {
		switch value := value.(type) {
		case unit.Length:
			with[i] = v.length(value)
		case unit.Torque:
			with[i] = v.own.Torque(value)
		case unit.Temperature:
			with[i] = v.own.Temperature(value)
		case kitLeaves:
			with[i] = ""
			if leaves, _ := kitFor(value.sheet, value.job, value.slot); len(leaves) > 1 {
				with[i] = " (" + leafSum(v, leaves) + ")"
			}
		case kitLength:
			_, built := kitFor(value.sheet, value.job, value.slot)
			with[i] = v.length(built)
		case fastenerTorque:
			with[i] = torqueSpan(v, value.low, value.high)
		case oilQuantity:
			with[i] = v.oil(value)
		case Text:
			with[i] = v.say(value)
		case distance:
			with[i] = distanceWords(v, unit.Length(value))
		case date:
			with[i] = v.day(time.Time(value))
		case time.Time:
			with[i] = v.clock(value)
		default:
			with[i] = value
		}
	}
	return v.words.Say(t.key, with...)
}

// sayAll writes texts for the person.
func (v voice) sayAll(texts []Text) []string {
	if len(texts) == 0 {
		return nil
	}
	out := make([]string, len(texts))
	for i, t := range texts {
		out[i] = v.say(t)
	}
	return out
}
