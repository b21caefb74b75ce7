package dialogs

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"shimwright/calc/fastener"
	"shimwright/calc/unit"
	"shimwright/dialogs/listen"
	"shimwright/dialogs/sheet"
	"shimwright/rules"
)

// Record gives the job as it is handed on, in the language and units of a reader;
// zone is where the shop is. The error is that the job's axle sheet cannot be found.
func (d *Desk) Record(j *Job, to Person, zone *time.Location) (sheet.Record, error) {
	s, err := d.Sheets.Sheet(j.Sheet)
	if err != nil {
		return sheet.Record{}, err
	}
	if zone == nil {
		zone = time.UTC
	}
	t := &turn{desk: d, sheet: s, job: j, said: Said{By: to}, voice: d.voiceFor(to, s)}
	m := &recorder{turn: t, zone: zone, mixed: j.mixed()}
	return m.record(), nil
}

// mixed says whether lengths were typed in inches and in millimetres.
func (j *Job) mixed() bool {
	inch, metric := false, false
	for _, e := range j.Log {
		if m, ok := e.payload.(*measured); ok && e.Live {
			inch, metric = inch || m.Unit == "in", metric || m.Unit == "mm"
		}
	}
	return inch && metric
}

// recorder makes a record of a job.
type recorder struct {
	*turn
	zone  *time.Location
	mixed bool
}

func (m *recorder) mark(e entryMeta) sheet.Mark {
	return sheet.Mark{By: e.By, At: e.At.In(m.zone), Role: m.roleOf(e.Seq)}
}

func (m *recorder) roleOf(seq uint64) string {
	if seq == 0 || seq > uint64(len(m.job.Log)) {
		return ""
	}
	return string(m.job.Log[seq-1].Role)
}

func (m *recorder) record() sheet.Record {
	j := m.job
	r := sheet.Record{
		Schema: sheet.Schema, Language: string(m.voice.words.Language), Units: string(m.voice.own),
		Number: j.Number, Axle: j.Sheet, AxleTitle: m.voice.axleText(m.sheet.Title), Title: j.Title,
		Opened:  sheet.Mark{By: j.OpenedBy, At: j.OpenedAt.In(m.zone), Role: m.roleOf(1)},
		Entries: j.Version(), Standing: m.text("summary.standing"),
		StateText: m.stateWord(),
	}
	if len(j.Log) > 0 {
		r.Last = j.Log[len(j.Log)-1].At.In(m.zone)
	}
	r.State = "open"
	if j.Finished {
		r.State = "good"
	}
	if j.Closed {
		r.State = "closed"
		for i := len(j.Log) - 1; i >= 0; i-- {
			if e := j.Log[i]; e.Live && e.Kind == kindClosed {
				mark := m.mark(metaOf(e))
				r.Closed, r.ClosedReason = &mark, j.ClosedReason
				break
			}
		}
	}
	r.Versions = m.versions()
	r.Result = m.result()
	r.Compared = m.compared()
	r.Readings = m.readings()
	r.Trials = m.trials()
	r.Stacks = m.stacks()
	r.Fasteners = m.fasteners()
	r.Damage = m.damageFound()
	r.Photos = m.photos()
	r.Parts = m.newParts()
	r.Oil = m.oil()
	r.Cautions = m.cautionsShown()
	r.Skipped = m.skips()
	r.Reviews = m.reviews()
	r.Corrected = m.corrections()
	r.BreakIn = m.breakIn()
	r.Stages = m.stages()
	r.Log = m.entries()
	r.Pattern, r.Round = m.pictures()
	return r
}

func (m *recorder) versions() sheet.Versions {
	v := sheet.Versions{Program: m.desk.Program, Axle: m.sheet.Mark(), AxleThen: m.job.Made.Sheet, RulesThen: m.job.Made.Rules}
	if v.Program == "" {
		v.Program = "shimwright"
	}
	v.Rules = m.desk.rulesMark()
	return v
}

func judge(good bool) *bool { return &good }

// result says how the job stands, the most important first.
func (m *recorder) result() []sheet.Line {
	j := m.job
	var lines []sheet.Line
	last, _ := j.lastRead()
	switch {
	case j.finalGood():
		lines = append(lines, sheet.Line{Text: m.text("summary.result_final"), Good: judge(true)})
	case j.Finished:
		lines = append(lines, sheet.Line{Text: m.text("summary.result_good"), Good: judge(true)})
	case last.read():
		lines = append(lines, sheet.Line{Text: m.text("summary.result_open"), Good: judge(false)})
	default:
		lines = append(lines, sheet.Line{Text: m.text("summary.result_none"), Good: judge(false)})
	}
	if now := m.lashNow(last); now != "" {
		lines = append(lines, sheet.Line{Text: m.text("summary.lash_now", "now", now)})
	}
	if words := m.patternsNow(last); words != "" {
		lines = append(lines, sheet.Line{Text: words})
	}
	if look, _, waits := j.openLook(m.sheet); waits {
		lines = append(lines, sheet.Line{Text: m.text("summary.result_waiting", "n", look.Look), Good: judge(false)})
	}
	for _, w := range j.Stops() {
		lines = append(lines, sheet.Line{Text: m.text("summary.result_held", "what", w.Text), Good: judge(false)})
	}
	return lines
}

// compared sets what came in beside what leaves.
func (m *recorder) compared() []sheet.Compared {
	j, limits := m.job, m.sheet.Limits
	last, _ := j.lastRead()
	var out []sheet.Compared
	add := func(id, name string, before, after *Reading, limit string, good *bool) {
		c := sheet.Compared{ID: id, Name: name, Limit: limit}
		if before != nil {
			c.Before = m.value(*before)
		}
		if after != nil {
			c.After, c.Good = m.value(*after), good
		}
		if c.Before != "" || c.After != "" {
			out = append(out, c)
		}
	}
	add("backlash", m.text("summary.name_backlash"), j.slot(FoundBacklash), last.Backlash, m.lengthLimit(limits.Backlash), m.lashGood(last.Backlash))
	if last.Backlash != nil {
		if all := last.Backlash.Lengths(); len(all) > 1 {
			low, high := bounds(all)
			sys := systemOf(last.Backlash.Unit)
			c := sheet.Compared{ID: "spread", Name: m.text("summary.name_spread"), After: inBoth(high-low, sys, m.mixed)}
			if f := j.slot(FoundBacklash); f != nil && len(f.Lengths()) > 1 {
				a, b := bounds(f.Lengths())
				c.Before = inBoth(b-a, systemOf(f.Unit), m.mixed)
			}
			if limits.BacklashSpread.Set {
				c.Limit = m.text("summary.at_most", "limit", m.voice.length(limits.BacklashSpread.High))
				c.Good = judge(high-low <= limits.BacklashSpread.High+unit.MM(1e-4))
			}
			out = append(out, c)
		}
	}
	add("drive", m.text("summary.name_drive"), j.slot(FoundDrive), last.Drive, "", nil)
	add("coast", m.text("summary.name_coast"), j.slot(FoundCoast), last.Coast, "", nil)
	add("pinion-drag", m.text("summary.name_drag"), j.slot(FoundDrag), j.slot(FinalDrag), m.dragLimit(), m.dragGood())
	add("total-drag", m.text("summary.name_total"), nil, j.slot(FinalTotal), "", nil)
	add("runout", m.text("summary.name_runout"), j.slot(FoundRunout), j.slot(RingRunout), m.lengthLimit(limits.RingRunout), m.lengthGood(j.slot(RingRunout), limits.RingRunout))
	for _, st := range m.stacks() {
		c := sheet.Compared{ID: st.ID, Name: st.Name, Before: st.Was}
		if st.MM != nil {
			c.After = m.voice.length(unit.MM(*st.MM))
		} else {
			c.After = st.Text
		}
		out = append(out, c)
	}
	return out
}

// dragLimit gives the drag the last look was held against.
func (m *recorder) dragLimit() string {
	l := m.job.lastDrag()
	if l == nil {
		return ""
	}
	band, ok := dragBand(m.sheet, *l)
	if !ok {
		return ""
	}
	low, high := m.voice.own.Torque(band.Low), m.voice.own.Torque(band.High)
	return bare(low) + "–" + high
}

func (m *recorder) dragGood() *bool {
	l := m.job.lastDrag()
	if l == nil {
		return nil
	}
	return judge(dragIn(m.sheet, m.job))
}

func (m *recorder) lengthLimit(r rules.LengthRange) string {
	switch {
	case !r.Set:
		return ""
	case r.Low == 0:
		return m.text("summary.at_most", "limit", m.voice.length(r.High))
	}
	return m.voice.span(r.Low, r.High)
}

func (m *recorder) lashGood(r *Reading) *bool {
	if r == nil || !m.sheet.Limits.Backlash.Set || len(r.Lengths()) == 0 {
		return nil
	}
	if m.job.asItRan() {
		return nil // set to where it ran, not to the limits of a new one
	}
	return judge(m.sheet.Limits.Backlash.Has(m.judged(r.Lengths())))
}

func (m *recorder) lengthGood(r *Reading, limit rules.LengthRange) *bool {
	if r == nil || !limit.Set {
		return nil
	}
	l, ok := r.Length()
	if !ok {
		return nil
	}
	return judge(limit.Has(l))
}

// value writes what was read, in the unit it was typed in, and in both where the job
// mixes them.
func (m *recorder) value(r Reading) string {
	if r.What == listen.PatternDrive || r.What == listen.PatternCoast {
		return m.voice.where(r)
	}
	text := strings.TrimPrefix(m.voice.echo(measured{Slot: r.Slot, What: r.What, Values: r.Values, Unit: r.Unit, Positions: r.Positions}), m.voice.slotName(r.Slot, r.What)+" ")
	if all := r.Lengths(); m.mixed && len(all) > 0 {
		other := systemOf(r.Unit).Other()
		parts := make([]string, len(all))
		for i, l := range all {
			parts[i] = bare(other.Length(l))
		}
		word := other.Length(all[0])
		text += " (" + strings.Join(parts, " / ") + word[strings.LastIndexByte(word, ' '):] + ")"
	}
	return text
}

func (m *recorder) row(r Reading, name string) sheet.Row {
	row := sheet.Row{ID: string(r.Slot), Name: name, Text: m.value(r), Values: r.Values, Unit: r.Unit, Entry: r.Seq, Mark: m.mark(r.entryMeta)}
	if l, ok := r.Length(); ok && (len(r.Values) == 1 || isStack(r.What)) {
		row.MM = millimetres(l)
	}
	return row
}

func millimetres(l unit.Length) *float64 {
	v := l.MM()
	return &v
}

func isStack(w listen.What) bool {
	switch w {
	case listen.ShimPinion, listen.ShimLeft, listen.ShimRight, listen.ShimPreload:
		return true
	}
	return false
}

// readings lists what was read and stated by the steps that ask for it; what the
// trials and stacks show by themselves is left out.
func (m *recorder) readings() []sheet.Group {
	j := m.job
	var out []sheet.Group
	used := map[Slot]bool{TrialBacklash: true, TrialDrive: true, TrialCoast: true, BuildPinion: true, BuildLeft: true, BuildRight: true, BuildPreload: true,
		FinalBacklash: true, FinalDrive: true, FinalCoast: true, FinalPinion: true, FinalLeft: true, FinalRight: true, FinalPack: true}
	said := map[string]bool{}
	for _, st := range Steps(m.sheet, j) {
		g := sheet.Group{ID: string(st.ID), Name: m.voice.say(st.Title)}
		for _, f := range st.Fields {
			if r, ok := j.Slots[f.Slot]; ok && f.Slot != "" && !used[f.Slot] {
				used[f.Slot] = true
				g.Rows = append(g.Rows, m.row(r, m.voice.say(f.Name)))
			}
			for _, id := range append(slices.Clone(f.Facts), f.Choice...) {
				fact, ok := j.Facts[id]
				if !ok || said[id] {
					continue
				}
				said[id] = true
				name := m.voice.say(f.Name)
				text := m.yesNoWord(fact.True)
				if len(f.Facts) > 1 || len(f.Choice) > 0 {
					name = factWords(m.voice.words, id)
				}
				if len(f.Choice) > 0 {
					if !fact.True {
						continue
					}
					name = m.voice.say(f.Name)
					text = m.voice.say(f.Options[slices.Index(f.Choice, id)])
				}
				g.Rows = append(g.Rows, sheet.Row{ID: id, Name: name, Text: text, Entry: fact.Seq, Mark: m.mark(fact.entryMeta)})
			}
		}
		if len(g.Rows) > 0 {
			out = append(out, g)
		}
	}
	return append(out, m.others(used, said)...)
}

// others lists what was read and stated without being asked for.
func (m *recorder) others(used map[Slot]bool, said map[string]bool) []sheet.Group {
	g := sheet.Group{ID: "other", Name: m.text("summary.part_other")}
	for slot, r := range m.job.Slots {
		if !used[slot] && !strings.HasPrefix(string(slot), "road.") { // those are the break-in's
			g.Rows = append(g.Rows, m.row(r, m.voice.slotName(slot, r.What)))
		}
	}
	for id, fact := range m.job.Facts {
		if !said[id] {
			g.Rows = append(g.Rows, sheet.Row{ID: id, Name: factWords(m.voice.words, id), Text: m.yesNoWord(fact.True), Entry: fact.Seq, Mark: m.mark(fact.entryMeta)})
		}
	}
	if len(g.Rows) == 0 {
		return nil
	}
	slices.SortStableFunc(g.Rows, func(a, b sheet.Row) int {
		if a.Entry != b.Entry {
			return int(a.Entry) - int(b.Entry)
		}
		return strings.Compare(a.ID, b.ID)
	})
	return []sheet.Group{g}
}

func (m *recorder) yesNoWord(yes bool) string {
	if yes {
		return m.text("steps.yes")
	}
	return m.text("steps.no")
}

func (m *recorder) trials() []sheet.Trial {
	var out []sheet.Trial
	for i := range m.job.Trials {
		tr := &m.job.Trials[i]
		if !tr.read() && !tr.Build.anything() {
			continue
		}
		x := sheet.Trial{No: tr.No, Final: tr.Final, Stacks: m.stackWords(tr.Build)}
		var at entryMeta
		for _, r := range []*Reading{tr.Backlash, tr.Drive, tr.Coast} {
			if r != nil && r.Seq > at.Seq {
				at = r.entryMeta
			}
		}
		if at.Seq > 0 {
			x.Mark = m.mark(at)
		}
		if tr.Backlash != nil {
			x.Backlash = m.value(*tr.Backlash)
		}
		if tr.Drive != nil {
			x.Drive = m.text("summary.drive", "where", m.voice.where(*tr.Drive))
		}
		if tr.Coast != nil {
			x.Coast = m.text("summary.coast", "where", m.voice.where(*tr.Coast))
		}
		if i == len(m.job.Trials)-1 && m.job.Finished {
			x.Good = judge(true)
		}
		out = append(out, x)
	}
	return out
}

// stacks gives what stands in the housing, with its leaves where they are known.
func (m *recorder) stacks() []sheet.Stack {
	b := m.job.Trial().Build
	var out []sheet.Stack
	for _, s := range []struct {
		id, name   string
		place, old Slot
		Stack
	}{
		{"pinion", m.text("summary.stack_pinion"), BuildPinion, OldPinion, b.Pinion},
		{"left", m.text("summary.stack_left"), BuildLeft, OldLeft, b.Left},
		{"right", m.text("summary.stack_right"), BuildRight, OldRight, b.Right},
		{"preload", m.text("summary.stack_preload"), BuildPreload, OldPreload, b.Preload},
	} {
		x := sheet.Stack{ID: s.id, Name: s.name}
		if final := (map[Slot]Slot{BuildPinion: FinalPinion, BuildLeft: FinalLeft, BuildRight: FinalRight, BuildPreload: FinalPack})[s.place]; m.job.slot(final) != nil {
			s.place = final
		}
		if r := m.job.slot(s.old); r != nil {
			if l, ok := r.Length(); ok {
				x.Was, x.WasMM = inBoth(l, systemOf(r.Unit), m.mixed), millimetres(l)
			}
		}
		switch {
		case s.Known:
			x.MM = millimetres(s.Thickness)
			leaves, from := m.leaves(s.id, s.place, s.Thickness)
			x.Text, x.LeavesFrom = m.voice.length(s.Thickness)+m.leafWords(leaves), from
			for _, l := range leaves {
				x.Leaves = append(x.Leaves, l.MM())
			}
		case s.Change != 0:
			x.Text = m.voice.own.Signed(s.Change)
		default:
			continue
		}
		out = append(out, x)
	}
	if b.LeftNotches != 0 || b.RightNotches != 0 {
		out = append(out, sheet.Stack{ID: "adjusters", Name: m.text("summary.name_adjusters"),
			Text: m.text("summary.adjusters", "left", signed(b.LeftNotches), "right", signed(b.RightNotches))})
	}
	return out
}

func (m *recorder) leafWords(leaves []unit.Length) string {
	if len(leaves) < 2 {
		return ""
	}
	parts := make([]string, len(leaves))
	for i, l := range leaves {
		parts[i] = bare(m.voice.own.Length(l))
	}
	return " = " + strings.Join(parts, " + ")
}

// leaves gives the leaves of a stack of a thickness: as they were measured one by
// one, or those of the advice that was built.
func (m *recorder) leaves(id string, place Slot, thickness unit.Length) (leaves []unit.Length, from string) {
	same := func(sum unit.Length) bool { return (sum - thickness).Abs() < unit.MM(1e-3) }
	for i := len(m.job.Log) - 1; i >= 0; i-- {
		e := m.job.Log[i]
		if !e.Live {
			continue
		}
		switch p := e.payload.(type) {
		case *measured:
			r := Reading{Slot: p.Slot, Values: p.Values, Unit: p.Unit}
			if sum, ok := r.Length(); p.Slot == place && ok && len(p.Values) > 1 && same(sum) {
				return r.Lengths(), "measured"
			}
		case *advised:
			var sum unit.Length
			for _, l := range p.Leaves[id] {
				sum += l
			}
			if len(p.Leaves[id]) > 0 && same(sum) {
				return p.Leaves[id], "advised"
			}
		}
	}
	return nil, ""
}

// fasteners lists the sheet's torques with who signed for them.
func (m *recorder) fasteners() []sheet.Fastener {
	var out []sheet.Fastener
	for _, f := range m.sheet.Torques {
		x := sheet.Fastener{Name: m.voice.axleText(f.Name), Torque: m.torqueSpan(f.Low, f.High), Source: m.voice.axleText(f.Source)}
		x.Thread = m.text("summary.right_hand")
		if f.Thread == rules.LeftHand {
			x.Thread = m.text("summary.left_hand")
		}
		var extras []string
		switch f.Finish {
		case fastener.Dry:
			extras = append(extras, m.text("summary.threads_dry"))
		case fastener.Zinc:
			extras = append(extras, m.text("summary.threads_zinc"))
		case fastener.Lubricated:
			extras = append(extras, m.text("summary.threads_oiled"))
		}
		if f.K > 0 {
			x.K = f.K
			extras = append(extras, fmt.Sprintf("K %.2f", f.K))
		}
		if f.Locker {
			extras = append(extras, m.text("summary.locker"))
		}
		if f.Renew {
			extras = append(extras, m.text("summary.renew"))
		}
		x.Extras = strings.Join(extras, ", ")
		m.signOff(&x, f)
		out = append(out, x)
	}
	return out
}

// torqueSpan writes a range of torques the way the sheet's shop does: bolts of an
// inch shop in ft·lbf.
func (m *recorder) torqueSpan(low, high unit.Torque) string {
	write := func(t unit.Torque) string {
		if m.voice.own == unit.InchUnits {
			return strconv.FormatFloat(t.FtLbf(), 'f', 0, 64)
		}
		return strconv.FormatFloat(t.NewtonMetre(), 'f', 0, 64)
	}
	name := "N·m"
	if m.voice.own == unit.InchUnits {
		name = "ft·lbf"
	}
	if low == high || low == 0 {
		return write(high) + " " + name
	}
	return write(low) + "–" + write(high) + " " + name
}

// signOff fills in who answers for a fastener, and the torque that was set.
func (m *recorder) signOff(x *sheet.Fastener, f rules.Fastener) {
	if s, ok := m.job.Torqued[f.Name]; ok {
		mark := m.mark(s.entryMeta)
		mark.By = s.Signed
		x.Signed = &mark
		if s.Torque > 0 {
			x.Value = wrenchTorque(m.voice, s.Torque) + m.leverWords(s)
			x.NM = float64(s.Torque)
		}
		if s.Extension > 0 {
			x.ShownNM, x.WrenchMM, x.ExtensionMM, x.AngleDeg = float64(s.Shown), s.Wrench.MM(), s.Extension.MM(), s.Angle
		}
		return
	}
	for _, id := range factsOfFastener(f.Name) {
		x.ID = id
		if fact, ok := m.job.Facts[id]; ok && fact.True {
			mark := m.mark(fact.entryMeta)
			x.Signed = &mark
			return
		}
	}
	if l := m.job.lastDrag(); f.Name == nutName && m.sheet.Preload.By == rules.CrushSleeve && l != nil && dragIn(m.sheet, m.job) {
		mark := m.mark(l.entryMeta)
		x.Signed, x.Value = &mark, m.text("summary.by_drag", "drag", m.voice.own.Torque(l.Drag))
	}
}

func (m *recorder) newParts() []sheet.Row {
	var out []sheet.Row
	for _, p := range [...]struct{ fact, name string }{
		{listen.FactGearSetNew, m.text("summary.part_gears")}, {listen.FactNewBearings, m.text("summary.part_bearings")},
		{listen.FactNewSleeve, m.text("summary.part_sleeve")}, {listen.FactNewNut, m.text("summary.part_nut")},
		{listen.FactNewRingBolts, m.text("summary.part_bolts")}, {listen.FactSealFitted, m.text("summary.part_seal")},
	} {
		if f, ok := m.job.Facts[p.fact]; ok && f.True {
			out = append(out, sheet.Row{ID: p.fact, Name: p.name, Text: m.yesNoWord(true), Entry: f.Seq, Mark: m.mark(f.entryMeta)})
		}
	}
	return out
}

func (m *recorder) oil() string {
	o := m.sheet.Oil
	var parts []string
	if name := strings.TrimSpace(o.Grade + " " + o.Service); name != "" {
		parts = append(parts, name)
	}
	if o.Litres > 0 {
		amount := strconv.FormatFloat(o.Litres, 'f', 2, 64) + " L"
		if m.voice.own == unit.InchUnits {
			amount = strconv.FormatFloat(o.Litres/0.473176473, 'f', 1, 64) + " US pt"
		}
		parts = append(parts, amount)
	}
	if o.Modifier {
		parts = append(parts, m.text("summary.modifier"))
	}
	return strings.Join(parts, ", ")
}
