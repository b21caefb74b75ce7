package dialogs

import (
	"shimwright/calc/unit"
	"shimwright/dialogs/listen"
	"shimwright/rules"
)

// partsNeeded lists what has to be on the bench or be ordered: what every job of
// this construction takes, what was used up on the way, and what the damage asks for.
func (t *turn) partsNeeded() []string {
	s, j := t.sheet, t.job
	var all []string
	add := func(words string) {
		for _, have := range all {
			if have == words {
				return
			}
		}
		all = append(all, words)
	}
	if j.holds(listen.FactNumbersDiffer) {
		add(t.text("bench.part_set"))
	}
	if !j.holds(listen.FactNewNut) {
		add(t.text("bench.part_nut"))
	}
	if bolts, ok := s.RingBolts(); (!ok || bolts.Renew) && !j.holds(listen.FactNewRingBolts) {
		add(t.text("bench.part_ring_bolts"))
	}
	switch spent := j.sleevesSpent(); {
	case s.Preload.By != rules.CrushSleeve:
		add(t.text("bench.part_pack"))
	case spent > 0:
		add(t.text("bench.part_sleeves", "n", spent+1))
	case !j.holds(listen.FactNewSleeve):
		add(t.text("bench.part_sleeves", "n", 2))
	}
	if !j.holds(listen.FactSealFitted) {
		add(t.text("bench.part_seal"))
	}
	if !j.holds(listen.FactUsedBearings) && !j.holds(listen.FactNewBearings) {
		add(t.text("bench.part_bearings"))
	}
	for _, d := range j.Damage {
		if words := t.partFor(d); words != "" {
			add(words)
		}
	}
	if s.Oil.Grade != "" && !j.holds(listen.FactOilFilled) {
		add(t.text("bench.part_oil", "oil", s.Oil.Grade+" "+s.Oil.Service, "fill", t.voice.oil(oilQuantity(s.Oil.Litres)), "modifier", s.Oil.Modifier && !j.holds(listen.FactModifierAdded)))
	}
	add(t.text("bench.part_small"))
	return []string{t.text("bench.parts", "list", t.voice.list(all)), t.text("bench.parts_hint")}
}

// sleevesSpent is how many crush sleeves were used up in vain.
func (j *Job) sleevesSpent() int {
	n := 0
	for _, w := range j.Warnings {
		switch w.Rule {
		case "nut-backed-off", "sleeve-over-crushed":
			n++
		}
	}
	return n
}

// partFor names the part a finding asks for, empty where none is to be ordered.
func (t *turn) partFor(d Damage) string {
	switch d.Part {
	case listen.DamageRing, listen.DamagePinion:
		if d.Sign == listen.SignScored || d.Sign == listen.SignRusted || d.Sign == listen.SignWorn {
			return "" // judged by the pattern first
		}
		return t.text("bench.part_set")
	case listen.DamageHead, listen.DamageTail, listen.DamagePinionBrgs:
		return t.text("bench.part_pinion_bearings")
	case listen.DamageSideBrgs:
		return t.text("bench.part_side_bearings")
	case listen.DamageSeal:
		return t.text("bench.part_seal")
	case listen.DamageBearing, listen.DamageYoke, listen.DamageAxle, listen.DamageClutches, listen.DamageSpiders, listen.DamageCarrier:
		return t.damagePart(d.Part)
	}
	return ""
}

// toolsNeeded is the list to go through before anything is loosened.
func (t *turn) toolsNeeded() []string {
	s := t.sheet
	most := unit.Torque(0)
	for _, f := range s.Torques {
		most = max(most, f.High)
	}
	wrench := ""
	if most > 0 {
		wrench = wrenchTorque(t.voice, most)
	}
	spread := ""
	if s.Carrier.SpreadLimit > 0 {
		spread = " (" + t.voice.length(s.Carrier.SpreadLimit) + ")"
	}
	return []string{
		t.text("bench.tools_measure", "wrench", wrench, "up", most > 0),
		t.text("bench.tools_carrier", "spreader", s.Carrier.SpreadLimit > 0, "spread", spread, "adjusters", s.Carrier.By == rules.Adjusters),
		t.text("bench.tools_press", "sleeve", s.Preload.By == rules.CrushSleeve),
		t.text("bench.tools_small"),
		t.text("bench.tools_safe"),
	}
}

// toolsForApprentice points an apprentice to the list before anything is loosened.
func toolsForApprentice(t *turn, st Step) error {
	if t.forLearner() && st.ID == StepFound && t.job.Reopened[StepFound] == 0 {
		t.tell(t.text("bench.ready"))
	}
	return nil
}

// torqueList lists the fasteners of the sheet, what they take and who signed.
func (t *turn) torqueList() []string {
	if len(t.sheet.Torques) == 0 {
		return []string{t.text("fasteners.none")}
	}
	var lines []string
	for _, f := range t.sheet.Torques {
		signed := t.signedWord(f)
		if signed == "" {
			signed = t.text("fasteners.open")
		}
		lines = append(lines, t.text("fasteners.line", "name", t.voice.axleText(f.Name), "torque", torqueSpan(t.voice, f.Low, f.High), "threads", t.voice.threadWords(f), "signed", signed))
	}
	return append(lines, t.text("fasteners.extension"))
}
