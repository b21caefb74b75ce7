package dialogs

import (
	"strings"

	"shimwright/dialogs/phrase"
)

// term is a word of the trade with its meaning in one line.
type term struct {
	names   []string
	meaning string
}

// terms are the words the assistant explains; the names are searched whole.
func terms() []term {
	return []term{
		{[]string{"toe"}, "toe: the inner, narrow end of a ring gear tooth."},
		{[]string{"heel"}, "heel: the outer, wide end of a ring gear tooth."},
		{[]string{"face", "top", "tip", "high"}, "face or top: the upper part of the tooth, above the middle of its height."},
		{[]string{"flank", "root", "low"}, "flank or root: the lower part of the tooth, towards its foot."},
		{[]string{"drive"}, "drive: the side of the ring gear tooth that pulls the vehicle along; the convex side in the usual arrangement."},
		{[]string{"coast"}, "coast: the other side of the tooth, loaded when the vehicle pushes the engine; the concave side in the usual arrangement."},
		{[]string{"backlash", "lash"}, "backlash or lash: how far the ring gear rocks at its heel with the pinion held still."},
		{[]string{"spread"}, "spread: widest minus tightest backlash round the ring; it shows runout or dirt, no shim cures it."},
		{[]string{"preload"}, "preload: how hard the bearings are squeezed; read as drag, the torque that keeps the pinion turning."},
		{[]string{"pinion depth", "depth"}, "pinion depth: how far the pinion head reaches towards the ring gear centre line; set by the pinion shim."},
		{[]string{"mounting distance"}, "mounting distance: from the ring gear centre line to the pinion's head or seating face."},
		{[]string{"checking distance"}, "checking distance: what the depth gauge reads without a shim."},
		{[]string{"setup bearing"}, "setup bearing: a bearing honed to slip on by hand for trial assembly; it never stays in."},
		{[]string{"crush sleeve", "sleeve"}, "crush sleeve: a spacer that yields under the pinion nut and holds the preload; it holds once."},
		{[]string{"carrier"}, "carrier: the housing of the side gears that the ring gear is bolted to."},
		{[]string{"caps", "cap"}, "caps: the bearing caps of the carrier; each belongs to its own seat, the same way round."},
		{[]string{"thou"}, "thou: 0.001 in, about 0.025 mm."},
		{[]string{"hundredth", "hundredths"}, "hundredth: 0.01 mm, about 0.4 thou."},
		{[]string{"leaf", "leaves", "stack", "shim"}, "leaf: one shim of a stack; the stack's thickness is the sum of its leaves."},
		{[]string{"notch", "notches", "adjuster"}, "notch: one step of a threaded side adjuster; the sheet says how far it moves the carrier."},
		{[]string{"runout"}, "runout: how much the back face of the ring gear wobbles in one turn."},
		{[]string{"drag"}, "drag: the torque that keeps the pinion turning steadily, read with a beam or dial wrench, not at the first jerk."},
		{[]string{"hunting"}, "hunting: tooth counts with no common divisor, so every pinion tooth meets every ring tooth; no timing marks."},
		{[]string{"break-in", "run-in", "running in"}, "break-in: the first drives, short and easy, with cooling between, so that the teeth bed in."},
	}
}

// glossary explains the word a text asks about.
func glossary(text string) string {
	text = strings.ToLower(text)
	best, at := "", 0
	var names []string
	for _, t := range terms() {
		names = append(names, t.names[0])
		for _, n := range t.names {
			if hasWord(text, n) && len(n) > at {
				best, at = t.meaning, len(n)
			}
		}
	}
	if best == "" {
		return "words i can explain: " + strings.Join(names, ", ") + "."
	}
	return best
}

// hasWord says whether a text holds a word or phrase between word boundaries.
func hasWord(text, word string) bool {
	for from := 0; ; {
		i := strings.Index(text[from:], word)
		if i < 0 {
			return false
		}
		i += from
		before := i == 0 || !isLetter(text[i-1])
		end := i + len(word)
		after := end == len(text) || !isLetter(text[end])
		if before && after {
			return true
		}
		from = i + 1
	}
}

func isLetter(b byte) bool { return b >= 'a' && b <= 'z' || b >= 0x80 }

// patternHelp says how a pattern is read and what moves it.
func patternHelp() []string {
	return []string{
		"along the tooth: toe is the inner end, heel the outer. up and down: face is high, flank is low.",
		"too high on both sides: pinion deeper. too low on both: shallower.",
		"at the heel on both: ring towards the pinion. at the toe on both: away from it.",
		"tell me drive and coast as they are, and the lash, and i work out the move.",
	}
}

// helpText is what can be said, in a few lines.
func helpText(words phrase.Speaker) []string {
	return []string{
		"type readings as you talk: lash 8 8 9 8; drive heel, high; coast center; pinion shim 34; took 5 out of the right put it left.",
		"wrong? scratch that, 7 not 9. or undo.",
		"done: the change is built. next, status, why, log, summary.",
		"skip and the reason; reopen and the step; override and the reason.",
		"open SHEET and what it is about; jobs; sheets; switch NUMBER; inch or metric.",
		words.Say("ask-figures.help"),
		words.Say("breakin.help"),
	}
}
