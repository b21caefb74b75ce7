package dialogs

import (
	"math"
	"regexp"
	"slices"
	"strings"

	"shimwright/calc/unit"
	"shimwright/dialogs/listen"
	"shimwright/rules"
)

// Bare numbers that answer a question about shims but look like something else:
// leaves this thin and this many are rare, lash round the ring is read like that.
const (
	lashLike     = 4   // numbers and more
	lashLikeSpan = 1.6 // largest over smallest
	leastRatio   = 1.5 // of ring gear to pinion teeth
)

var (
	lashLikeLow  = unit.Thou(3)
	lashLikeHigh = unit.Thou(30)
	onlyTotal    = regexp.MustCompile(`(?i)^\s*total\s+([\d.,]+)\s*$`)
	onlyNumbers  = regexp.MustCompile(`^[\s\d.,/;|+-]+$`)
)

// doubt gives what to ask back where bare numbers fit the open question and
// something else better; nil where there is no doubt.
func (t *turn) doubt(text string) *listen.Ask {
	if ask := t.shimsOrNotches(text); ask != nil {
		return ask
	}
	if t.field == nil || t.u.Ask != nil || len(t.u.Readings) != 1 || text != t.said.Text {
		return nil
	}
	r := t.u.Readings[0]
	if total := onlyTotal.FindStringSubmatch(text); total != nil && isStack(r.What) {
		name := t.voice.slotName(t.field.Slot, r.What)
		return &listen.Ask{Text: t.text("doubt.total_or_shim", "typed", total[1], "name", name), Choices: []string{"total drag " + total[1], name + " " + total[1]}}
	}
	typed, n := strings.TrimSpace(t.said.Text), r.Numbers()
	if isStack(r.What) && readTwice(r, text) {
		return t.stackOrLeaves(r.What, n, typed)
	}
	if !onlyNumbers.MatchString(text) {
		return nil
	}
	if !isStack(r.What) {
		return t.noStack(r.What, n, typed)
	}
	return t.noLeaves(r, n, typed)
}

// noStack doubts bare numbers for tooth counts and torques.
func (t *turn) noStack(what listen.What, n []float64, typed string) *listen.Ask {
	switch what {
	case listen.Torque:
		if len(n) > 1 {
			return &listen.Ask{Text: t.text("doubt.lash_or_torque", "typed", typed, "name", t.voice.say(t.field.Name)), Choices: []string{"lash " + typed}}
		}
	case listen.ToothCount:
		if len(n) == 1 {
			return &listen.Ask{Text: t.text("doubt.two_counts", "pinion", t.sheet.Pinion.Teeth, "ring", t.sheet.Ring.Teeth)}
		}
		if len(n) != 2 || max(n[0], n[1]) <= leastRatio*min(n[0], n[1]) {
			return &listen.Ask{Text: t.text("doubt.not_teeth", "typed", typed), Choices: []string{"lash " + typed}}
		}
	}
	return nil
}

// noLeaves doubts bare numbers for a stack that fit tooth counts or lash better.
func (t *turn) noLeaves(r listen.Reading, n []float64, typed string) *listen.Ask {
	name := t.voice.slotName(t.field.Slot, r.What)
	if counts := whole(typed); len(n) == 2 && (counts == [2]int{t.sheet.Pinion.Teeth, t.sheet.Ring.Teeth} || t.job.slot(Teeth) == nil && likeCounts(counts)) {
		return &listen.Ask{Text: t.text("doubt.teeth_or_shim", "typed", typed, "name", name), Choices: []string{"teeth " + typed, name + " " + typed}}
	}
	length := func(v float64) unit.Length {
		if r.Unit == "in" {
			return unit.Inch(v)
		}
		return unit.MM(v)
	}
	if side := r.What == listen.ShimLeft || r.What == listen.ShimRight; side && len(n) == 1 && length(n[0]) < t.sheet.Carrier.MinimumStack && length(n[0]) <= lashLikeHigh {
		return &listen.Ask{Text: t.text("doubt.lash_or_stack", "typed", typed, "name", name), Choices: []string{"lash " + typed, name + " " + typed}}
	}
	if len(n) < lashLike {
		return nil
	}
	low, high := math.Inf(1), 0.0
	for _, v := range n {
		low, high = min(low, v), max(high, v)
	}
	if length(low) < lashLikeLow || length(high) > lashLikeHigh || high > lashLikeSpan*low {
		return nil
	}
	return &listen.Ask{Text: t.text("doubt.lash_or_leaves", "typed", typed, "name", name), Choices: []string{"lash " + typed, name + " " + typed}}
}

// Several figures for one stack that hardly differ, each thick enough to be all of it,
// are the same stack measured again, or left and right of it, and no leaves.
const (
	stackAlike = 1.03 // largest over smallest
	leafLike   = unit.Length(0.5)
)

var saysLeaves = regexp.MustCompile(`(?i)\+|leaf|leaves|hoj|pieces|shims|stack|plus|\band\b|\by\b`)

func readTwice(r listen.Reading, text string) bool {
	n := r.Numbers()
	if len(n) < 2 || saysLeaves.MatchString(text) {
		return false
	}
	low, high := slices.Min(n), slices.Max(n)
	thick := unit.MM(low)
	if r.Unit == "in" {
		thick = unit.Inch(low)
	}
	return thick >= leafLike && high <= stackAlike*low
}

// stackOrLeaves asks whether the figures are leaves of one stack.
func (t *turn) stackOrLeaves(what listen.What, n []float64, typed string) *listen.Ask {
	figures := figure.FindAllString(typed, -1)
	if len(figures) != len(n) {
		figures = nil
	}
	name := t.voice.slotName(t.field.Slot, what)
	if len(figures) == 2 && (what == listen.ShimLeft || what == listen.ShimRight) {
		return &listen.Ask{Text: t.text("doubt.sides_or_leaves", "typed", typed, "name", name), Choices: []string{"left " + figures[0] + " right " + figures[1]}}
	}
	return &listen.Ask{Text: t.text("doubt.again_or_leaves", "typed", typed, "name", name)}
}

var figure = regexp.MustCompile(`\d*[.,]?\d+`)

// bareAmount is a number without a unit behind it.
var bareAmount = regexp.MustCompile(`(?:^|\s)(\d{1,2})(\s|$)`)

// shimsOrNotches asks what is meant where somebody takes a bare number out of a side
// that has no shims but an adjuster.
func (t *turn) shimsOrNotches(text string) *listen.Ask {
	if t.sheet.Carrier.By != rules.Adjusters || len(t.u.Moves) != 1 || text != t.said.Text {
		return nil
	}
	m := t.u.Moves[0]
	typed := bareAmount.FindStringSubmatch(text)
	if m.Notches != nil || m.From == "pinion" || m.To == "pinion" || m.From == "preload_pack" || m.To == "preload_pack" || typed == nil {
		return nil
	}
	return &listen.Ask{Text: t.text("doubt.notches", "typed", typed[1]), Choices: []string{strings.Replace(text, typed[1], typed[1]+" notches", 1)}}
}

// likeCounts says whether two whole numbers are the usual tooth counts of a gear set,
// pinion first. Common practice, no source.
func likeCounts(n [2]int) bool {
	return n[0] >= 6 && n[0] <= 17 && n[1] >= 33 && n[1] <= 53 && float64(n[1]) > leastRatio*float64(n[0])
}

// whole reads two whole numbers, zero where they are not two.
func whole(typed string) (out [2]int) {
	fields := strings.FieldsFunc(typed, func(r rune) bool { return r < '0' || r > '9' })
	if len(fields) != 2 || strings.Contains(typed, ".") {
		return out
	}
	for i, f := range fields {
		for _, c := range f {
			out[i] = out[i]*10 + int(c-'0')
		}
	}
	return out
}
