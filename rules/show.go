package rules

import (
	"fmt"
	"io"
	"strconv"
	"strings"

	"shimwright/calc/oil"
	"shimwright/calc/unit"
)

// phoneWidth is how many characters a line may have to be read on a phone.
const phoneWidth = 44

// Show writes a sheet for people, at most a phone wide: every figure with its
// unit, the sheet's own first and the other behind it, and every source under a
// number at the end.
func (s *Sheet) Show(w io.Writer) error {
	p := &pageWriter{units: s.Units}
	p.wrapped("", s.Name)
	p.wrapped("", s.Title)
	if s.Note != "" {
		p.blank()
		p.wrapped("", s.Note)
	}
	s.showGears(p)
	s.showConstruction(p)
	s.showLimits(p)
	s.showFits(p)
	p.heading("torques")
	for _, f := range s.Torques {
		var more []string
		if f.Thread == LeftHand {
			more = append(more, "LEFT-HAND")
		}
		if f.K > 0 {
			more = append(more, strings.TrimSpace(f.Threads()+" K "+strconv.FormatFloat(f.K, 'f', 2, 64)))
		}
		if f.Locker {
			more = append(more, "thread locker")
		}
		if f.Renew {
			more = append(more, "new each time")
		}
		value := p.torques(f.Low, f.High)
		if len(more) > 0 {
			value += ", " + strings.Join(more, ", ")
		}
		p.row(f.Name, value+p.source(f.Source))
	}
	p.heading("oil")
	volume := fmt.Sprintf("%.2f L (%.1f US qt)", s.Oil.Litres, s.Oil.Litres/oil.LitresPerQuart)
	if s.Units == unit.InchUnits {
		volume = fmt.Sprintf("%.1f US qt (%.2f L)", s.Oil.Litres/oil.LitresPerQuart, s.Oil.Litres)
	}
	oil := s.Oil.Grade + " " + s.Oil.Service + ", " + volume
	if s.Oil.Modifier {
		oil += ", with friction modifier"
	}
	p.wrapped(" ", oil+p.source(s.Oil.Source))
	s.showBreakIn(p)
	s.Reviews.show(p)
	p.heading("kit")
	p.leaves("pinion", s.Kit.Pinion)
	p.leaves("side", s.Kit.Side)
	p.leaves("preload", s.Kit.Preload)
	p.heading("sources")
	for i, text := range p.sources {
		p.wrapped(" ", fmt.Sprintf("[%d] %s", i+1, text))
	}
	_, err := io.WriteString(w, p.out.String())
	return err
}

func (s *Sheet) showGears(p *pageWriter) {
	r := s.Ring
	p.heading("gears")
	p.row("teeth", fmt.Sprintf("%d/%d, ratio %.2f", s.Pinion.Teeth, r.Teeth, float64(r.Teeth)/float64(s.Pinion.Teeth)))
	p.row("ring gear side", string(r.Side)+", seen from the cover")
	p.row("outside diameter", p.length(r.OutsideDiameter))
	p.row("face width", p.length(r.FaceWidth))
	p.row("offset", p.length(r.Offset))
	if r.Tooth != ToothUnknown {
		p.row("teeth are", string(r.Tooth))
	}
	for _, a := range []struct {
		name  string
		angle unit.Angle
	}{{"spiral angle", r.Spiral}, {"pressure angle", r.Pressure}, {"pitch angle", r.PitchAngle}} {
		if a.angle != 0 {
			p.row(a.name, trim(a.angle.Deg())+"°")
		}
	}
	if r.Cutter != 0 {
		p.row("cutter radius", p.length(r.Cutter))
	}
	if s.Pinion.High {
		p.row("housing", "high pinion")
	}
	if s.Pinion.ReverseCut {
		p.row("reverse cut", "drive is on the concave flank")
	}
}

func (s *Sheet) showConstruction(p *pageWriter) {
	p.heading("pinion")
	p.row("depth shim", map[PinionShim]string{
		BehindHeadBearing: "behind the head bearing: thicker is deeper",
		UnderInnerRace:    "under the inner race: thicker is deeper",
		UnderCartridge:    "under the cartridge: thicker backs the pinion away",
	}[s.Pinion.Shim])
	mark := map[MarkMeaning]string{
		MarkUnknown: "not said: ask", Farther: "farther from the centre line", Nearer: "nearer to the centre line",
		ThickerShim: "a thicker shim", ThinnerShim: "a thinner shim",
	}[s.Pinion.PositiveMark]
	p.row("+ on the head means", mark+", each "+p.length(s.Pinion.MarkUnit.Length(1)))
	if s.Pinion.Mounting != 0 {
		p.row("mounting distance", p.length(s.Pinion.Mounting))
	}
	preload := "crush sleeve"
	if s.Preload.By == PreloadShims {
		preload = "shim pack, thinner is more"
	}
	if s.Preload.Coupled {
		preload += "; changes with the depth shim"
	}
	p.row("preload", preload)

	c := s.Carrier
	p.heading("carrier")
	p.row("set by", map[CarrierBy]string{
		ShimsOutside: "shims outside the bearings", ShimsUnder: "shims under the bearings", Adjusters: "threaded adjusters",
	}[c.By])
	if c.By == Adjusters {
		p.row("adjuster", fmt.Sprintf("%s pitch, %d notches, %s a notch", p.own(c.Pitch), c.Notches, p.length(c.PerNotch())))
	}
	for _, l := range []struct {
		name  string
		value unit.Length
	}{{"added for preload", c.PreloadAdd}, {"case spread, most", c.SpreadLimit}, {"side stack, least", c.MinimumStack}} {
		if l.value != 0 {
			p.row(l.name, p.length(l.value))
		}
	}
	if c.MaxLeaves > 0 {
		p.row("leaves in a stack", "at most "+strconv.Itoa(c.MaxLeaves))
	}
}

func (s *Sheet) showLimits(p *pageWriter) {
	l := s.Limits
	p.heading("limits")
	for _, r := range []struct {
		name string
		LengthRange
	}{
		{"backlash", l.Backlash}, {"backlash spread", l.BacklashSpread}, {"ring runout", l.RingRunout},
		{"side preload", l.SidePreload}, {"carrier end play", l.CarrierEndPlay},
	} {
		if r.Set {
			p.row(r.name, p.lengths(r.Low, r.High)+p.source(r.Source))
		}
		if r.name == "backlash" {
			p.row("backlash judged at", map[Judge]string{JudgeMinimum: "the tightest point", JudgeMean: "the mean round the ring"}[l.JudgeBacklash])
		}
	}
	for _, r := range []struct {
		name string
		TorqueRange
	}{
		{"pinion drag, new bearings", l.PinionDragNew}, {"pinion drag, used", l.PinionDragUsed},
		{"a new seal adds", l.SealDrag}, {"total above pinion drag", l.TotalDragAdd},
	} {
		if r.Set {
			p.row(r.name, p.torques(r.Low, r.High)+p.source(r.Source))
		}
	}
	for _, r := range []struct {
		name string
		TemperatureRange
	}{{"oven, at most", l.OvenTemperature}, {"housing, at most", l.HousingTemp}} {
		if r.Set {
			p.row(r.name, p.temperature(r.High)+p.source(r.Source))
		}
	}
}

func (s *Sheet) showBreakIn(p *pageWriter) {
	p.heading("break-in")
	for i, leg := range s.BreakIn {
		drive := trim(leg.Minutes) + " min"
		if leg.Distance > 0 {
			drive = quantityText(p.units, lengthKind, float64(leg.Distance))
		}
		text := fmt.Sprintf("%d. drive %s, cool %s min", i+1, drive, trim(leg.Cool))
		if leg.Limit != 0 {
			text += ", below " + p.temperature(leg.Limit)
		}
		if leg.Note != "" {
			text += ", " + leg.Note
		}
		p.wrapped(" ", text)
	}
}

// pageWriter lays a sheet out.
type pageWriter struct {
	out     strings.Builder
	units   unit.System
	sources []string
}

func (p *pageWriter) blank() { p.out.WriteByte('\n') }

func (p *pageWriter) heading(text string) {
	p.blank()
	p.out.WriteString(text + "\n")
}

// row writes a name and its value, the value on lines of its own where both do
// not fit one.
func (p *pageWriter) row(name, value string) {
	if line := " " + name + ": " + value; len([]rune(line)) <= phoneWidth {
		p.out.WriteString(line + "\n")
		return
	}
	p.out.WriteString(" " + name + ":\n")
	p.wrapped("   ", value)
}

// wrapped writes a text broken at spaces.
func (p *pageWriter) wrapped(indent, text string) {
	line, width := indent, len(indent)
	for _, w := range strings.Fields(text) {
		n := len([]rune(w))
		if width > len(indent) && width+1+n > phoneWidth {
			p.out.WriteString(line + "\n")
			line, width = indent, len(indent)
		}
		if width > len(indent) {
			line, width = line+" ", width+1
		}
		line, width = line+w, width+n
	}
	p.out.WriteString(line + "\n")
}

// source gives the number of a source, a new one where it is new.
func (p *pageWriter) source(text string) string {
	for i, known := range p.sources {
		if known == text {
			return fmt.Sprintf(" [%d]", i+1)
		}
	}
	p.sources = append(p.sources, text)
	return fmt.Sprintf(" [%d]", len(p.sources))
}

func (p *pageWriter) own(l unit.Length) string { return p.units.Length(l) }

func (p *pageWriter) length(l unit.Length) string {
	return p.units.Length(l) + " (" + p.units.Other().Length(l) + ")"
}

func (p *pageWriter) lengths(low, high unit.Length) string {
	both := func(s unit.System) string {
		if low == 0 {
			return s.Length(high)
		}
		return fmt.Sprintf("%s to %s", strings.TrimSuffix(strings.TrimSuffix(s.Length(low), " in"), " mm"), s.Length(high))
	}
	text := both(p.units) + " (" + both(p.units.Other()) + ")"
	if low == 0 {
		return "at most " + text
	}
	return text
}

func (p *pageWriter) torques(low, high unit.Torque) string {
	both := func(s unit.System) string {
		a, b := quantityText(s, torqueKind, float64(low)), quantityText(s, torqueKind, float64(high))
		if i, j := strings.LastIndex(a, " "), strings.LastIndex(b, " "); a[i:] == b[j:] {
			a = a[:i]
		}
		if a == b || low == high {
			return b
		}
		return a + " to " + b
	}
	return both(p.units) + " (" + both(p.units.Other()) + ")"
}

func (p *pageWriter) temperature(t unit.Temperature) string {
	return p.units.Temperature(t) + " (" + p.units.Other().Temperature(t) + ")"
}

func (p *pageWriter) leaves(name string, leaves []Leaf) {
	if len(leaves) == 0 {
		return
	}
	var parts []string
	for _, l := range leaves {
		text := p.own(l.Thickness)
		parts = append(parts, fmt.Sprintf("%s×%d", text[:strings.LastIndex(text, " ")], l.Count))
	}
	unitName := map[unit.System]string{unit.InchUnits: "in", unit.Metric: "mm"}[p.units]
	p.out.WriteString(" " + name + " (" + unitName + "):\n")
	p.wrapped("   ", strings.Join(parts, " "))
}
