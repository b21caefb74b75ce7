package dialogs

import (
	"shimwright/calc/gearset"
	"shimwright/calc/lash"
	"shimwright/calc/unit"
	"shimwright/dialogs/listen"
	"shimwright/rules"
)

// excludes lists the facts that no longer hold once one is stated.
func excludes(fact string) []string {
	switch fact {
	case listen.FactGearSetNew:
		return []string{listen.FactGearSetUsed}
	case listen.FactGearSetUsed:
		return []string{listen.FactGearSetNew}
	case listen.FactNewBearings:
		return []string{listen.FactUsedBearings}
	case listen.FactUsedBearings:
		return []string{listen.FactNewBearings}
	case listen.FactSealFitted:
		return []string{listen.FactNoSeal}
	case listen.FactNoSeal:
		return []string{listen.FactSealFitted}
	case listen.FactSetupBearingsIn:
		return []string{listen.FactSetupBearingsOut, listen.FactFinalBearingsIn}
	case listen.FactSetupBearingsOut, listen.FactFinalBearingsIn:
		return []string{listen.FactSetupBearingsIn}
	case listen.FactNumbersAgree:
		return []string{listen.FactNumbersDiffer}
	case listen.FactNumbersDiffer:
		return []string{listen.FactNumbersAgree}
	case listen.FactAxlesIn:
		return []string{listen.FactAxlesOut}
	case listen.FactAxlesOut:
		return []string{listen.FactAxlesIn}
	case listen.FactPlusFarther, listen.FactPlusNearer, listen.FactPlusThicker, listen.FactPlusThinner:
		var out []string
		for _, other := range []string{listen.FactPlusFarther, listen.FactPlusNearer, listen.FactPlusThicker, listen.FactPlusThinner} {
			if other != fact {
				out = append(out, other)
			}
		}
		return out
	}
	return nil
}

// holds says whether a fact is on record as true.
func (j *Job) holds(fact string) bool { return j.Facts[fact].True }

// word gives yes or no for a fact on record, not known otherwise.
func (j *Job) word(fact string) rules.Word {
	f, ok := j.Facts[fact]
	if !ok {
		return rules.Word{}
	}
	return rules.YesNo(f.True)
}

// factsOf gives the rules what they can ask about: the job as it stands, and
// what this message named.
func factsOf(s *rules.Sheet, j *Job, said Said, u listen.Utterance, step StepID) rules.Facts {
	f := rules.FromSheet(s)
	f.Units, f.Language = unitsFor(said.By, s), string(said.By.Language)
	f.Heard, f.Stated = heardAt(u, step), u.Facts
	f.Step = rules.Say(string(step))
	f.Role = rules.Say(string(senderOf(said.By.Role)))
	switch {
	case j.holds(listen.FactGearSetUsed):
		f.Gears = rules.Say("used")
	case j.holds(listen.FactGearSetNew):
		f.Gears = rules.Say("new")
	}

	// What was read last stands until it is read anew, also after a move.
	t, before := j.lastRead()
	if t.Backlash != nil {
		fillLash(&f.Lash, *t.Backlash)
	}
	if found, ok := j.Slots[FoundBacklash]; ok {
		if all := found.Lengths(); len(all) > 0 {
			f.Lash.Old = rules.Know(mean(all))
		}
		if t.Backlash == nil && len(j.Trials) == 1 && !j.apart() {
			fillLash(&f.Lash, found)
		}
	}
	if before != nil && t.Backlash != nil && before.Backlash != nil {
		if all := before.Backlash.Lengths(); len(all) > 0 {
			f.Lash.Previous = rules.Know(mean(all))
			f.Lash.Expected = expectedLash(s, mean(all), before.Build, t.Build)
		}
	}
	f.Pattern.Drive = flank(firstOf(t.Drive, j.slot(FoundDrive)))
	f.Pattern.Coast = flank(firstOf(t.Coast, j.slot(FoundCoast)))

	if drag := firstOf(t.Drag, j.slot(FoundDrag)); drag != nil {
		if v, ok := drag.Torque(); ok {
			f.Drag.Pinion = rules.Know(v)
			f.Drag.Seal = rules.Say(drag.Seal)
			f.Drag.Bearings = rules.Say(drag.Bearings)
		}
	}
	if j.holds(listen.FactSetupBearingsIn) {
		f.Bearing.Fitted = rules.Say("setup")
	}
	if j.holds(listen.FactFinalBearingsIn) {
		f.Bearing.Fitted = rules.Say("final")
	}
	f.Bearing.Seated = j.word(listen.FactBearingsSeated)
	f.Carrier.CapsTorqued = j.word(listen.FactCapsTorqued)
	f.Carrier.CapsMarked = j.word(listen.FactCapsMarked)
	f.Carrier.Locked = j.word(listen.FactAdjusterLock)
	if r := firstOf(j.slot(RingRunout), j.slot(FoundRunout)); r != nil {
		f.Ring.Runout = lengthOf(r)
	}
	if r := j.slot(FoundEndPlay); r != nil && step != StepFound {
		f.Carrier.EndPlay = lengthOf(r)
	}
	f.Doing = rules.Say(doing(u, step))
	f.Ring.BoltsNew = j.word(listen.FactNewRingBolts)
	f.Ring.BoltsTight = j.word(listen.FactRingBoltsTorqued)
	f.Ring.Locker = j.word(listen.FactThreadlocker)
	f.Pinion.NutNew = j.word(listen.FactNewNut)
	f.Pinion.SealNew = j.word(listen.FactSealFitted)
	f.Pinion.Slinger = j.word(listen.FactSlingerFitted)
	if r := j.slot(Teeth); r != nil && len(r.Values) == 2 {
		f.Pinion.Teeth, f.Ring.Teeth = rules.Know(r.Values[0]), rules.Know(r.Values[1])
	}
	if r := j.slot(RingHeat); r != nil {
		if v, ok := r.Temperature(); ok {
			f.Temp.Ring = rules.Know(v)
		}
	}
	if r := j.slot(SetupHeight); r != nil {
		f.Bearing.SetupHeight = lengthOf(r)
	}
	if r := j.slot(FinalHeight); r != nil {
		f.Bearing.FinalHeight = lengthOf(r)
	}
	fillRoad(&f, s, j)
	fillFinal(&f, s, j, step)
	fillReading(&f.Reading, u)
	if contains(u.Cautions, listen.DangerImplausible) {
		f.Reading.Implausible = rules.YesNo(true)
	}
	fillMoves(&f.Move, s, j)
	b := j.Trial().Build
	f.Shim.Left, f.Shim.Right, f.Shim.Pinion = known(b.Left), known(b.Right), known(b.Pinion)
	return f
}

// orderedTogether says whether a mentor ordered a move of both members at once
// since the last reading: what is then typed as made is no slip.
func (j *Job) orderedTogether() bool {
	last, _ := j.lastRead()
	for _, in := range j.Instructions {
		if in.Seq < last.Began {
			continue
		}
		pinion, side := false, false
		for _, m := range in.Moves {
			for _, place := range []string{m.From, m.To} {
				pinion = pinion || place == "pinion"
				side = side || place == "left" || place == "right"
			}
		}
		if pinion && side {
			return true
		}
	}
	return false
}

// heardAt gives the dangers a message names. While the preload is being brought in
// there is none yet, which is no danger.
func heardAt(u listen.Utterance, step StepID) []string {
	if step != StepFinalPinion {
		return u.Cautions
	}
	var out []string
	for _, id := range u.Cautions {
		if id != listen.DangerNoPreload {
			out = append(out, id)
		}
	}
	return out
}

// lastRead gives the trial that was read last, and the one read before it.
func (j *Job) lastRead() (last, before *Trial) {
	for i := len(j.Trials) - 1; i >= 0; i-- {
		t := &j.Trials[i]
		switch {
		case !t.read():
		case last == nil:
			last = t
		default:
			return last, t
		}
	}
	if last == nil {
		last = j.Trial()
	}
	return last, nil
}

// expectedLash gives the mean backlash that the moves from one build to the next
// lead to, by the geometry.
func expectedLash(s *rules.Sheet, was unit.Length, from, to Build) rules.Length {
	set, err := gearset.Complete(s.GearSet())
	if err != nil {
		return rules.Length{}
	}
	slopes, err := lash.SlopesOf(set, lash.Dial{})
	if err != nil {
		return rules.Length{}
	}
	closes := slopes.Pinion*float64(PinionMove(s, to)-PinionMove(s, from)) + slopes.Ring*float64(RingMove(s, to)-RingMove(s, from))
	return rules.Know(was - unit.Length(closes))
}

// fillMoves gives the moves since the last trial that was read.
func fillMoves(m *rules.MoveFacts, s *rules.Sheet, j *Job) {
	if len(j.Trials) < 2 || j.Trial().read() {
		return
	}
	if began := j.Trial().Began; began > 0 && j.Log[began-1].Kind == kindBuilt {
		return // worked out together, both moves at once are meant
	}
	if j.orderedTogether() {
		return
	}
	now, before := j.Trial().Build, j.Trials[len(j.Trials)-2].Build
	if r := j.slot(FinalPinion); now.Taller == before.Taller || r != nil && r.Seq >= j.Trial().Began {
		// Another bearing's height alone says nothing of the shim that goes under it.
		m.Pinion = rules.Know(PinionMove(s, now) - PinionMove(s, before))
		m.Depth = rules.Know(unit.Length(s.Pinion.Shim.Deeper()) * (PinionMove(s, now) - PinionMove(s, before))) // what another bearing's height takes out is no change
	}
	m.Ring = rules.Know(RingMove(s, now) - RingMove(s, before))
	m.Pack = rules.Know(now.Preload.Change - before.Preload.Change)
	m.Preload = rules.Know(now.Left.Change + now.Right.Change - before.Left.Change - before.Right.Change)
}

func fillReading(f *rules.ReadingFacts, u listen.Utterance) {
	if len(u.Readings) == 0 {
		return
	}
	r := u.Readings[0]
	f.What = rules.Say(string(r.What))
	m := readingOf(r)
	if all := m.Lengths(); len(all) > 0 {
		low, high := bounds(all)
		f.Low, f.High = rules.Know(low), rules.Know(high)
	}
	if v, ok := m.Torque(); ok {
		f.Torque = rules.Know(v)
	}
	if v, ok := m.Temperature(); ok {
		f.Temperature = rules.Know(v)
	}
}

func fillLash(f *rules.LashFacts, r Reading) {
	all := r.Lengths()
	if len(all) == 0 {
		return
	}
	low, high := bounds(all)
	f.Min, f.Max, f.Mean = rules.Know(low), rules.Know(high), rules.Know(mean(all))
	f.Count = rules.Know(float64(len(all)))
	if len(all) > 3 {
		f.Identical = rules.YesNo(low == high)
	}
}

func flank(r *Reading) rules.FlankFacts {
	if r == nil {
		return rules.FlankFacts{}
	}
	return rules.FlankFacts{Along: rules.Say(r.Along), Across: rules.Say(r.Across), Edge: rules.YesNo(r.Degree == "edge")}
}

func (j *Job) slot(s Slot) *Reading {
	if r, ok := j.Slots[s]; ok {
		return &r
	}
	return nil
}

func firstOf(candidates ...*Reading) *Reading {
	for _, r := range candidates {
		if r != nil {
			return r
		}
	}
	return nil
}

func lengthOf(r *Reading) rules.Length {
	l, ok := r.Length()
	return rules.Length{Value: l, Set: ok}
}

func known(s Stack) rules.Length { return rules.Length{Value: s.Thickness, Set: s.Known} }

func mean(all []unit.Length) unit.Length {
	var sum unit.Length
	for _, l := range all {
		sum += l
	}
	return sum / unit.Length(len(all))
}

func bounds(all []unit.Length) (low, high unit.Length) {
	low, high = all[0], all[0]
	for _, l := range all {
		low, high = min(low, l), max(high, l)
	}
	return low, high
}

// senderOf gives the sender as listen knows it.
func senderOf(r Role) listen.Sender {
	switch r {
	case Apprentice:
		return listen.Apprentice
	case Mentor, Owner:
		return listen.Mentor
	case Customer:
		return listen.Customer
	}
	return listen.Tech
}
