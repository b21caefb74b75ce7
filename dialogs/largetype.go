package dialogs

import "strings"

// mostLarge is how many lines of a reply are large: more, and none stands out.
const mostLarge = 3

// largeOf gives the lines of a reply to be shown in large type, for somebody who wants
// it: the figures of a change, or else what comes next, or else the answer. What is
// dangerous goes before all of them.
func (t *turn) largeOf(next []string) []string {
	if !t.voice.large {
		return nil
	}
	var out []string
	add := func(lines []string, most int) {
		for _, l := range lines[:min(most, len(lines))] {
			if len(out) < mostLarge {
				out = append(out, strings.Split(l, "\n")[0])
			}
		}
	}
	if t.stopped {
		add(t.cautions, 1)
	}
	switch {
	case len(t.figures) > 0:
		add(t.figures, mostLarge)
	case len(next) > 0:
		add(next, 1)
	case len(out) > 0:
	case len(t.answer) > 0:
		add(t.answer, 1)
	default:
		add(t.cautions, 1)
	}
	return out
}
