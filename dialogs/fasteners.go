package dialogs

import (
	"fmt"
	"slices"
	"strings"

	"shimwright/calc/fastener"
	"shimwright/calc/preload"
	"shimwright/calc/unit"
	"shimwright/dialogs/listen"
	"shimwright/rules"
)

// nutName is what sheets call the nut of the pinion.
const nutName = "pinion nut"

// fastenerTorque is a range of fastener torques, which shops say in ft·lbf or N·m.
type fastenerTorque struct{ low, high unit.Torque }

// oilQuantity is litres of oil.
type oilQuantity float64

func (v voice) oil(l oilQuantity) string {
	if v.own == unit.Metric {
		return number(float64(l), "l") + " l"
	}
	return fmt.Sprintf("%.1f pt (%.1f l)", float64(l)/litresPerPint, float64(l))
}

// The US liquid pint and quart. Source: NIST Handbook 44, Appendix C.
const (
	litresPerPint  = 0.473176473
	litresPerQuart = 0.946352946
)

// litres gives a volume reading in litres.
func (r Reading) litres() (float64, bool) {
	if len(r.Values) == 0 {
		return 0, false
	}
	switch r.Unit {
	case "l":
		return r.Values[0], true
	case "pt":
		return r.Values[0] * litresPerPint, true
	case "qt":
		return r.Values[0] * litresPerQuart, true
	}
	return 0, false
}

func wrenchTorque(v voice, t unit.Torque) string {
	if v.own == unit.Metric {
		return fmt.Sprintf("%.0f N·m", t.NewtonMetre())
	}
	return fmt.Sprintf("%.0f ft·lbf", t.FtLbf())
}

// preloadNotches divides the sheet's side preload on the two adjusters; an odd
// notch opens the backlash.
func preloadNotches(s *rules.Sheet) (preload.SideNotches, bool) {
	add := s.Carrier.PreloadAdd
	if add == 0 {
		add = s.Limits.SidePreload.Middle()
	}
	if add == 0 || s.Carrier.PerNotch() == 0 {
		return preload.SideNotches{}, false
	}
	n, err := preload.SplitNotches(add, s.Carrier.Pitch, s.Carrier.Notches, string(s.Ring.Side.Other()))
	return n, err == nil
}

// factsOfFastener lists the facts that stand for a fastener being torqued.
func factsOfFastener(name string) []string {
	switch {
	case strings.Contains(name, "ring"):
		if strings.Contains(name, "bearing") {
			break
		}
		return []string{listen.FactRingBoltsTorqued}
	case strings.Contains(name, "cover"):
		return []string{listen.FactCoverTorqued}
	case name == nutName:
		return []string{listen.FactNutTorqued}
	}
	if strings.Contains(name, "cap") {
		return []string{listen.FactCapsTorqued}
	}
	return nil
}

// fastenerOf finds the line of the sheet's torque list that a part's name means.
func fastenerOf(s *rules.Sheet, part string) (rules.Fastener, bool) {
	words := strings.Fields(strings.ToLower(part))
	best, score := rules.Fastener{}, 0
	for _, f := range s.Torques {
		n := 0
		for _, w := range words {
			stem := strings.TrimSuffix(w, "s")
			for _, have := range strings.Fields(f.Name) {
				if strings.TrimSuffix(have, "s") == stem && stem != "bolt" && stem != "nut" && stem != "bearing" {
					n++
				}
			}
		}
		if part == "nut" && f.Name == nutName {
			n++
		}
		if n > score {
			best, score = f, n
		}
	}
	return best, score > 0
}

// torqueDone signs a fastener off with the torque that was put on it, and says how
// that stands against the sheet.
func (t *turn) torqueDone(r listen.Reading) (bool, error) {
	if r.What != listen.Torque || len(r.Numbers()) != 1 {
		return false, nil
	}
	f, ok := fastenerOf(t.sheet, r.Part)
	if r.Part == "" {
		f, ok = t.fastenerBeside(number(r.Numbers()[0], r.Unit))
	}
	m := readingOf(r)
	torque, known := m.Torque()
	if !ok || !known || f.Name == nutName && t.sheet.Preload.By == rules.CrushSleeve {
		return false, nil
	}
	return true, t.torquedTo(f, put{torque: torque, unit: r.Unit, said: number(r.Numbers()[0], r.Unit) + " " + t.voice.unitWord(r.Unit), finish: t.finishSaid()})
}

func (t *turn) finishSaid() fastener.Finish { return listen.FinishSaid(t.input(t.roadText)) }

// put is a torque that was put on a fastener.
type put struct {
	torque unit.Torque // at the fastener
	unit   string      // as typed
	said   string      // how it is said back
	lever  Lever
	finish fastener.Finish // empty where it was not said
}

// torquedTo holds a torque against the sheet: inside it is signed off, outside it is
// said what it should be.
func (t *turn) torquedTo(f rules.Fastener, p put) error {
	low, high, other := forFinish(f, p.finish)
	inside := p.torque >= low*0.999 && p.torque <= high*1.001
	e := torqued{Fastener: f.Name, Torque: p.torque, Unit: p.unit, Signed: t.said.By.Name, Lever: p.lever, Finish: string(p.finish)}
	facts := factsOfFastener(f.Name)
	if inside && len(facts) > 0 {
		e.Fact = facts[0]
	}
	for i, sign := range t.u.Signed {
		if named, ok := fastenerOf(t.sheet, sign.Part); ok && named.Name == f.Name {
			if sign.By != "" {
				e.Signed = sign.By
			}
			if inside {
				t.u.Signed = append(t.u.Signed[:i:i], t.u.Signed[i+1:]...)
			}
			break
		}
	}
	if inside {
		if err := t.add(e); err != nil {
			return err
		}
		t.understood = append(t.understood, t.text("fasteners.torqued", "name", t.voice.axleText(f.Name), "torque", p.said, "by", e.Signed))
		t.finishNote(f, p, low, high, other)
		return nil
	}
	// Off the sheet's figure it is not signed off: it is torqued again.
	t.u.Facts = slices.DeleteFunc(t.u.Facts, func(id string) bool { return slices.Contains(facts, id) })
	t.tell(t.text("fasteners.outside", "name", t.voice.axleText(f.Name), "torque", p.said, "range", torqueSpan(t.voice, f.Low, f.High), "source", t.voice.axleText(f.Source)))
	switch {
	case p.lever.Extension > 0:
		a, errLow := p.lever.setting(low)
		b, errHigh := p.lever.setting(high)
		if errLow == nil && errHigh == nil {
			t.tell(t.text("fasteners.outside_set", "range", settingSpan(t.voice, a, b)))
		}
	case other:
		t.finishNote(f, p, low, high, other)
	}
	t.tell(t.text("fasteners.outside_hint"))
	return nil
}

// forFinish gives the sheet's range for the threads as they are: other says that they
// are not what the sheet's figure is for.
//
// Derivation: T = K·D·F at equal clamp, so the torque goes with K.
func forFinish(f rules.Fastener, is fastener.Finish) (low, high unit.Torque, other bool) {
	if is == "" || f.Finish == "" || is == f.Finish || f.K <= 0 {
		return f.Low, f.High, false
	}
	k, err := fastener.K(is)
	if err != nil {
		return f.Low, f.High, false
	}
	part := unit.Torque(k / f.K)
	return f.Low * part, f.High * part, true
}

// finishNote says what the state of the threads does to a torque.
func (t *turn) finishNote(f rules.Fastener, p put, low, high unit.Torque, other bool) {
	switch {
	case other:
		t.tell(t.text("fasteners.other_finish", "sheet", t.finishName(f.Finish), "is", t.finishName(p.finish), "range", settingSpan(t.voice, low, high)))
	case p.finish != "" && f.Finish == "":
		t.tell(t.text("fasteners.finish_unknown", "is", t.finishName(p.finish)))
	}
}

// fastenerBeside finds the fastener that is named beside a figure in the message,
// else the one that is asked for.
func (t *turn) fastenerBeside(figure string) (rules.Fastener, bool) {
	for _, part := range strings.FieldsFunc(t.said.Text, func(r rune) bool { return r == ',' || r == ';' || r == '\n' }) {
		for _, word := range strings.Fields(part) {
			if strings.TrimRight(strings.ReplaceAll(word, ",", "."), "a-z") == figure {
				if f, ok := fastenerOf(t.sheet, part); ok {
					return f, true
				}
			}
		}
	}
	if t.field != nil && t.field.Fastener != "" {
		return fastenerOf(t.sheet, t.field.Fastener)
	}
	return rules.Fastener{}, false
}

// sign files the sign-offs of the message.
func (t *turn) sign() error {
	for _, s := range t.u.Signed {
		f, ok := fastenerOf(t.sheet, s.Part)
		if !ok {
			t.tell(t.text("fasteners.unknown", "part", s.Part, "list", t.voice.list(fastenerNames(t.voice, t.sheet))))
			continue
		}
		e := torqued{Fastener: f.Name, Signed: s.By}
		if e.Signed == "" {
			e.Signed = t.said.By.Name
		}
		if facts := factsOfFastener(f.Name); len(facts) > 0 {
			e.Fact = facts[0]
		}
		if err := t.add(e); err != nil {
			return err
		}
		t.understood = append(t.understood, t.text("fasteners.signed", "name", t.voice.axleText(f.Name), "by", e.Signed))
	}
	return nil
}

func fastenerNames(v voice, s *rules.Sheet) []string {
	var names []string
	for _, f := range s.Torques {
		names = append(names, v.axleText(f.Name))
	}
	return names
}

// signedWord says who answers for a fastener, nothing where nobody does.
func (t *turn) signedWord(f rules.Fastener) string {
	if s, ok := t.job.Torqued[f.Name]; ok {
		torque := ""
		if s.Torque > 0 {
			torque = wrenchTorque(t.voice, s.Torque) + t.leverWords(s)
		}
		return t.text("fasteners.done", "by", s.Signed, "torque", torque, "at", torque != "")
	}
	for _, id := range factsOfFastener(f.Name) {
		if have, ok := t.job.Facts[id]; ok && have.True {
			return t.text("fasteners.done", "by", have.By, "torque", "", "at", false)
		}
	}
	if f.Name == nutName && t.sheet.Preload.By == rules.CrushSleeve && dragIn(t.sheet, t.job) && t.job.lastDrag() != nil {
		l := t.job.lastDrag()
		return t.text("fasteners.by_drag", "by", l.By, "drag", t.voice.own.Torque(l.Drag))
	}
	return ""
}

// leverWords says in brackets what stood between wrench and fastener, and the state
// of the threads where it was said; nothing where there is nothing to say.
func (t *turn) leverWords(s SignOff) string {
	var parts []string
	if s.Extension > 0 {
		angle := ""
		if s.Angle != 0 {
			angle = figures(s.Angle, 0)
		}
		parts = append(parts, t.text("fasteners.lever", "shown", wrenchTorque(t.voice, s.Shown), "extension", lengthOnlyIn(s.Extension, t.voice.own), "wrench", lengthOnlyIn(s.Wrench, t.voice.own),
			"angle", angle, "turned", s.Angle != 0))
	}
	if s.Finish != "" {
		parts = append(parts, t.finishName(fastener.Finish(s.Finish)))
	}
	if len(parts) == 0 {
		return ""
	}
	return " (" + strings.Join(parts, "; ") + ")"
}

// threadWords says the hand of the thread and what it is torqued with: right-hand,
// dry (K 0.20), locker, new each time.
func (v voice) threadWords(f rules.Fastener) string {
	k := ""
	if f.K > 0 {
		k = fmt.Sprintf("%.2f", f.K)
	}
	parts := []string{v.words.Say("fasteners.right_hand")}
	if f.Thread == rules.LeftHand {
		parts[0] = v.words.Say("fasteners.left_hand")
	}
	switch f.Finish {
	case fastener.Dry:
		parts = append(parts, v.words.Say("fasteners.dry", "k", k))
	case fastener.Zinc:
		parts = append(parts, v.words.Say("fasteners.zinc", "k", k))
	case fastener.Lubricated:
		parts = append(parts, v.words.Say("fasteners.oiled", "k", k))
	default:
		if k != "" {
			parts = append(parts, "K "+k)
		}
	}
	if f.Locker {
		parts = append(parts, v.words.Say("fasteners.locker"))
	}
	if f.Renew {
		parts = append(parts, v.words.Say("fasteners.renew"))
	}
	return strings.Join(parts, ", ")
}
