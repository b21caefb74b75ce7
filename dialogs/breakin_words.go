package dialogs

import (
	"strings"
)

// roadStatus says where the break-in stands, in a line or two.
func (t *turn) roadStatus() []string {
	b := t.job.BreakIn
	if b == nil {
		return nil
	}
	r := roadOf(t.sheet, t.job)
	done := min(r.leg-1, len(r.plan))
	line := t.text("breakin.status", "n", done, "of", len(r.plan))
	if d := b.last(); d != nil {
		line += "; " + t.text("breakin.leg_n", "n", d.Leg)
		if d.Distance > 0 {
			line += " " + distanceWords(t.voice, d.Distance)
		}
	}
	if reports := t.job.heatReports(b.Begun.Seq); len(reports) > 0 {
		now := reports[len(reports)-1]
		line += ", " + t.voice.own.Temperature(now.hottest) + " " + t.text("breakin.at_clock", "at", t.voice.clock(now.at.At))
	}
	lines := []string{line}
	for _, tm := range Timers(t.sheet, t.job) {
		if strings.HasPrefix(tm.Key, "breakin/") || strings.HasPrefix(tm.Key, "after/") {
			lines = append(lines, t.text("breakin.next_reminder", "at", t.voice.clock(tm.Due)))
			break
		}
	}
	return lines
}

// roadEntry says an entry of the road in a few words.
func (t *turn) roadEntry(e Entry) string {
	switch p := e.payload.(type) {
	case *begun:
		return t.text("breakin.name")
	case *setOff:
		return t.text("breakin.off", "leg", t.text("breakin.leg_n", "n", p.Leg))
	case *drove:
		words := t.text("breakin.leg_n", "n", p.Leg)
		if p.Distance > 0 {
			words += ": " + t.roadWords(p.Distance, p.Unit)
		}
		return words
	case *cooled:
		return t.text("breakin.cool")
	case *held:
		if p.Asks != "" {
			return t.text("breakin.held_entry", "why", clip(p.Why, 60))
		}
		return t.text("breakin.paused")
	case *resumed:
		return t.text("breakin.resumed")
	case *heard:
		if p.Noise != nil {
			return t.noiseWords(*p.Noise)
		}
		return t.text("breakin.quiet")
	case *checked:
		switch p.What {
		case checkOil:
			return t.text("breakin.did_oil")
		case checkTorque:
			return t.text("breakin.did_torque")
		case checkLeaks:
			return t.text("breakin.did_look", "leak", p.No)
		}
		return t.text("breakin.miles", "far", distanceWords(t.voice, roadLength(p.Distance, p.Unit)))
	case *putOff:
		return t.text("breakin.snoozed", "at", t.voice.clock(p.Until))
	}
	return ""
}
