package dialogs

import (
	"cmp"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"shimwright/calc/unit"
	"shimwright/dialogs/advise"
	"shimwright/dialogs/picture"
	"shimwright/dialogs/sheet"
	"shimwright/rules"
)

func (m *recorder) cautionsShown() []sheet.Caution {
	var out []sheet.Caution
	for _, w := range m.job.Warnings {
		c := sheet.Caution{Rule: w.Rule, Level: w.Level, Text: w.Text, Mark: m.mark(w.entryMeta)}
		if w.Level == string(rules.Stop) {
			switch w.Closed {
			case "":
				c.Closed = m.text("summary.stop_stands")
			case "cleared":
				c.Closed = m.text("summary.stop_cleared")
			default:
				c.Closed, c.ClosedBy, c.Over = m.text("summary.stop_over", "reason", w.Closed), w.By, true
			}
		}
		out = append(out, c)
	}
	return out
}

func (m *recorder) skips() []sheet.Skipped {
	var out []sheet.Skipped
	for _, key := range slices.SortedFunc(maps.Keys(m.job.Skipped), func(a, b string) int {
		return cmp.Or(cmp.Compare(m.job.Skipped[a].Seq, m.job.Skipped[b].Seq), strings.Compare(a, b))
	}) {
		s := m.job.Skipped[key]
		step, field, _ := strings.Cut(key, "/")
		out = append(out, sheet.Skipped{Step: step, Field: field, Reason: s.Reason, Name: m.fieldName(StepID(step), field), Mark: m.mark(s.entryMeta)})
	}
	return out
}

// fieldName names a step, or a field of it.
func (m *recorder) fieldName(step StepID, field string) string {
	for _, st := range Steps(m.sheet, m.job) {
		if st.ID != step {
			continue
		}
		for _, f := range st.Fields {
			if field != "" && f.key() == field {
				return m.voice.say(f.Name)
			}
		}
		if field == "" {
			return m.text("summary.whole_step", "step", m.voice.say(st.Title))
		}
	}
	return strings.Trim(string(step)+" "+field, " ")
}

func (m *recorder) reviews() []sheet.Review {
	var out []sheet.Review
	for _, v := range m.job.Reviews {
		x := sheet.Review{Decision: v.Decision, Name: m.decisionWord(v.Decision), Text: v.Text, Mark: m.mark(v.entryMeta)}
		if v.Decision == reviewApprove && v.Digest != "" {
			// An approval stands for the figures it saw; one of an earlier trial still does.
			sh, ok := shownAt(m.sheet, m.job, v.Step)
			x.Lapsed = ok && sh.trial == v.Trial && sh.asOf(m.job, v.Seq).digest() != v.Digest
		}
		if v.Step != "" {
			x.Verb, x.Step = x.Name, m.stepTitle(v.Step)
			x.Name += ", " + x.Step
		}
		out = append(out, x)
	}
	return out
}

func (t *turn) decisionWord(d string) string {
	switch d {
	case reviewApprove:
		return t.text("summary.review_approve")
	case reviewRedo:
		return t.text("summary.review_redo")
	case reviewHold:
		return t.text("summary.review_hold")
	case reviewLift:
		return t.text("summary.review_lift")
	case reviewRequest:
		return t.text("summary.review_request")
	case reviewAsk:
		return t.text("summary.review_ask")
	case reviewReply:
		return t.text("summary.review_reply")
	case reviewTakeOver:
		return t.text("summary.review_take_over")
	case reviewHandBack:
		return t.text("summary.review_hand_back")
	}
	return d
}

// verdictWord says in a word what a recommendation comes to.
func (t *turn) verdictWord(v Verdict) string {
	switch v {
	case advise.Good:
		return t.text("talk.verdict_good")
	case advise.Change:
		return t.text("talk.verdict_change")
	case advise.Bracket:
		return t.text("talk.verdict_bracket")
	case advise.Cannot:
		return t.text("talk.verdict_cannot")
	}
	return t.text("talk.verdict_more")
}

func (m *recorder) damageFound() []sheet.Row {
	var out []sheet.Row
	for _, d := range m.job.Damage {
		out = append(out, sheet.Row{ID: d.Part + "/" + d.Sign, Name: m.damagePart(d.Part), Text: strings.TrimSuffix(m.damageSign(d.Sign)+", "+d.Text, ", "), Entry: d.Seq, Mark: m.mark(d.entryMeta)})
	}
	return out
}

func (m *recorder) photos() []sheet.Photo {
	var out []sheet.Photo
	for _, p := range m.job.Photos {
		about := strings.Trim(m.shown(p.Shows)+", "+p.Caption, ", ")
		out = append(out, sheet.Photo{Name: p.ID, About: about, Mark: m.mark(p.entryMeta)})
	}
	return out
}

// corrections lists what was read or said first and taken back, with what came in
// its place.
func (m *recorder) corrections() []sheet.Correction {
	var out []sheet.Correction
	for _, e := range m.job.Log {
		r, ok := e.payload.(*retracted)
		if !ok || !e.Live {
			continue
		}
		for _, seq := range r.Entries {
			if seq == 0 || seq >= e.Seq {
				continue
			}
			was := m.job.Log[seq-1]
			words := was.words(m.turn)
			if words == "" {
				continue
			}
			c := sheet.Correction{Name: was.Kind, First: words, Mark: m.mark(metaOf(e))}
			if p, ok := was.payload.(*measured); ok {
				c.Name = m.voice.slotName(p.Slot, p.What)
				c.First = m.value(Reading{Slot: p.Slot, What: p.What, Values: p.Values, Unit: p.Unit, Along: p.Along, Across: p.Across, Degree: p.Degree, Positions: p.Positions})
				c.Then = m.insteadOf(p.Slot, seq)
			} else {
				c.Name = m.text("summary.entry", "n", seq)
			}
			out = append(out, c)
		}
	}
	return out
}

// insteadOf gives the next live reading of a slot after an entry.
func (m *recorder) insteadOf(slot Slot, after uint64) string {
	for _, e := range m.job.Log[after:] {
		if p, ok := e.payload.(*measured); ok && e.Live && p.Slot == slot {
			return m.value(Reading{Slot: p.Slot, What: p.What, Values: p.Values, Unit: p.Unit, Along: p.Along, Across: p.Across, Degree: p.Degree, Positions: p.Positions})
		}
	}
	return ""
}

// breakIn gives the plan, and what was told of it.
func (m *recorder) breakIn() *sheet.BreakIn {
	b := &sheet.BreakIn{}
	plan := planOf(m.sheet)
	if m.job.Closed && !m.job.Finished {
		plan = nil // what was not set is not driven
	}
	for _, l := range plan {
		drive := m.text("summary.minutes", "n", number(l.Minutes, ""))
		if l.Distance > 0 {
			drive = m.road(l.Distance)
		}
		text := m.text("summary.leg", "drive", drive, "cool", number(l.Cool, ""))
		if l.Limit != 0 {
			text += ", " + m.text("summary.leg_limit", "limit", m.voice.own.Temperature(l.Limit))
		}
		b.Legs = append(b.Legs, sheet.Leg{Text: text, Note: m.voice.axleText(l.Note)})
	}
	if m.job.BreakIn != nil {
		b.Reports = m.roadReports(m.job.BreakIn)
	}
	return b
}

// roadReports lists the drives, the temperatures, the noises and what was looked at
// afterwards, in their order.
func (m *recorder) roadReports(b *BreakIn) []sheet.Row {
	var out []sheet.Row
	add := func(id, name, text string, e entryMeta) {
		out = append(out, sheet.Row{ID: id, Name: name, Text: text, Entry: e.Seq, Mark: m.mark(e)})
	}
	for _, d := range b.Drives {
		var parts []string
		if d.Distance > 0 {
			parts = append(parts, m.road(d.Distance))
		}
		if d.Minutes > 0 {
			parts = append(parts, m.text("summary.minutes", "n", number(d.Minutes, "")))
		}
		if d.Cooled != nil {
			parts = append(parts, m.text("summary.cooled"))
		}
		if len(parts) == 0 {
			parts = append(parts, m.text("summary.driven"))
		}
		add("drive", m.text("summary.drive_no", "n", d.Leg), strings.Join(parts, ", "), d.entryMeta)
	}
	for _, r := range m.job.roadHeat(0) {
		add(string(r.Slot), m.voice.slotName(r.Slot, r.What), m.value(r), r.entryMeta)
	}
	for _, h := range b.Heard {
		text := m.text("summary.quiet")
		if h.Noise != nil {
			text = m.noiseWords(*h.Noise)
		}
		add("noise", m.text("summary.noise"), text, h.entryMeta)
	}
	if b.Hold != nil {
		add("hold", m.text("summary.review_hold"), b.Hold.Why, b.Hold.entryMeta)
	}
	for what, c := range b.Checks {
		text := m.yesNoWord(!c.No)
		if c.Distance > 0 {
			text += ", " + m.road(c.Distance)
		}
		add(what, m.checkWord(what), text, c.entryMeta)
	}
	slices.SortStableFunc(out, func(a, b sheet.Row) int {
		return cmp.Or(cmp.Compare(a.Entry, b.Entry), strings.Compare(a.ID, b.ID))
	})
	return out
}

func (m *recorder) checkWord(what string) string {
	switch what {
	case checkOil:
		return m.text("summary.check_oil")
	case checkTorque:
		return m.text("summary.check_torque")
	case checkLeaks:
		return m.text("summary.check_leaks")
	case checkMiles:
		return m.text("summary.check_miles")
	}
	return what
}

// road writes a distance driven.
func (m *recorder) road(l unit.Length) string {
	if m.voice.own == unit.Metric {
		return strconv.FormatFloat(math.Round(l.MM()/1e6), 'f', 0, 64) + " km"
	}
	return strconv.FormatFloat(math.Round(l.MM()/1609344), 'f', 0, 64) + " mi"
}

// pause is the longest gap between two entries that counts as work: beyond it
// somebody went home, or to another job.
const pause = 3 * time.Hour

// stageOf says which part of the job an entry is work of, empty for talk.
func stageOf(e Entry) StepID {
	switch p := e.payload.(type) {
	case *opened:
		return StepOpen
	case *measured:
		head, _, _ := strings.Cut(string(p.Slot), ".")
		switch head {
		case "found":
			return StepFound
		case "old", "new", "setup":
			return StepTeardown
		case "parts":
			return StepParts
		case "start":
			return StepStart
		case "ring":
			return StepRing
		case "build", "trial":
			return StepLoop
		case "fit":
			return StepFinalPinion
		case "close":
			return StepCloseUp
		case "final":
			switch p.Slot {
			case FinalHeight, FinalPinion, FinalPack, FinalNut, FinalTurn, FinalDrag:
				return StepFinalPinion
			}
			return StepFinalCarrier
		}
		return ""
	case *fitted:
		switch p.Piece {
		case pieceHead, piecePinion:
			return StepFinalPinion
		case pieceSide:
			return StepFinalCarrier
		}
		return StepRing
	case *moved, *built, *advised, *instructed:
		return StepLoop
	case *skipped:
		return p.Step
	case *torqued:
		if p.Fact == "" {
			return StepCloseUp
		}
	}
	return ""
}

// spent gives how long each part took: the time up to each of its entries since
// the entry before, pauses left out.
func (j *Job) spent() []stageTime {
	var out []stageTime
	at := map[StepID]int{}
	var last time.Time
	for _, e := range j.Log {
		stage := stageOf(e)
		if stage == "" {
			continue
		}
		i, ok := at[stage]
		if !ok {
			i = len(out)
			at[stage] = i
			out = append(out, stageTime{Stage: stage, Began: e.At})
		}
		if gap := e.At.Sub(last); !last.IsZero() && gap > 0 && gap <= pause {
			out[i].Time += gap
		}
		last = e.At
	}
	return out
}

type stageTime struct {
	Stage StepID
	Began time.Time
	Time  time.Duration
}

func (m *recorder) stages() []sheet.Stage {
	var out []sheet.Stage
	for _, s := range m.job.spent() {
		minutes := int(math.Round(s.Time.Minutes()))
		if minutes == 0 {
			continue
		}
		out = append(out, sheet.Stage{
			ID: string(s.Stage), Name: m.stepTitle(s.Stage), Began: s.Began.In(m.zone), Minutes: minutes,
			Text: m.spanOfTime(minutes),
		})
	}
	return out
}

func (t *turn) stepTitle(id StepID) string {
	for _, st := range Steps(t.sheet, t.job) {
		if st.ID == id {
			return t.voice.say(st.Title)
		}
	}
	return strings.ReplaceAll(string(id), "-", " ")
}

// spanOfTime writes minutes: 40 min, 2 h 05.
func (t *turn) spanOfTime(minutes int) string {
	if minutes < 60 {
		return t.text("summary.minutes", "n", minutes)
	}
	rest := strconv.Itoa(minutes % 60)
	if len(rest) < 2 {
		rest = "0" + rest
	}
	return t.text("summary.hours", "h", minutes/60, "m", rest)
}

// entries is the whole log for JSON.
func (m *recorder) entries() []sheet.Entry {
	var out []sheet.Entry
	for _, e := range m.job.Log {
		x := sheet.Entry{Entry: e.Seq, Kind: e.Kind, Said: e.Said, Live: e.Live, Mark: sheet.Mark{By: e.By, Role: string(e.Role), At: e.At.In(m.zone)}}
		if e.payload != nil {
			x.Text = e.words(m.turn)
		}
		if w, ok := e.payload.(*warned); ok {
			x.Text = m.levelWord(rules.Level(w.Level)) + ": " + w.Text
		}
		if a, ok := e.payload.(*advised); ok {
			x.Text = m.verdictWord(a.Verdict)
		}
		out = append(out, x)
	}
	return out
}

// pictures gives the pattern and the backlash of the last trial that was read.
func (m *recorder) pictures() (*picture.PatternPicture, *picture.BacklashPicture) {
	last, _ := m.job.lastRead()
	var pattern *picture.PatternPicture
	if last.Drive != nil || last.Coast != nil {
		pattern = &picture.PatternPicture{Units: m.voice.own, Now: m.text("summary.picture_now")}
		pattern.Drive = picture.Flank{Reported: reportedPatch(m.voice, last.Drive), Target: acceptable()}
		pattern.Coast = picture.Flank{Reported: reportedPatch(m.voice, last.Coast), Target: acceptable()}
	}
	return pattern, m.round(last.Backlash)
}

// round gives the picture of backlash round the ring, nil where it was read at
// fewer than three places. A used set that is back where it ran is not drawn against
// the limits of a new one.
func (m *recorder) round(r *Reading) *picture.BacklashPicture {
	p := lashRound(m.voice, m.sheet, r)
	if p != nil && m.job.asItRan() {
		p.Low, p.High = 0, 0
	}
	return p
}
