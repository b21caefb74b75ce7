package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
	"unicode/utf8"

	"shimwright/calc/contact"
	"shimwright/calc/unit"
	"shimwright/dialogs/picture"
)

// The JSON answer. Lengths are in mm, angles in degrees, tooth coordinates as in
// patternUsage; slopes are per mm of move.
type (
	placeJSON struct {
		Along  float64 `json:"along"`
		Across float64 `json:"across"`
	}
	flankJSON struct {
		placeJSON
		Area         float64       `json:"area"`
		Low          placeJSON     `json:"low"`
		High         placeJSON     `json:"high"`
		Edges        []string      `json:"edges"`
		Transmission float64       `json:"transmission_error_urad"`
		Path         []placeJSON   `json:"path"`
		Outline      [][]placeJSON `json:"outline"`
	}
	lashJSON struct {
		Normal     float64 `json:"normal_at_dial"`
		Transverse float64 `json:"transverse_at_dial"`
	}
	slopeJSON struct {
		Drive     placeJSON `json:"drive"`
		Coast     placeJSON `json:"coast"`
		Backlash  lashJSON  `json:"backlash"`
		InContact lashJSON  `json:"backlash_in_contact"`
		Valid     float64   `json:"valid_to_mm"`
	}
	patternJSON struct {
		Sheet     string               `json:"sheet,omitempty"`
		Moves     map[string]float64   `json:"moves_mm"`
		Drive     flankJSON            `json:"drive"`
		Coast     flankJSON            `json:"coast"`
		Backlash  lashJSON             `json:"backlash_change_mm"`
		InContact lashJSON             `json:"backlash_change_in_contact_mm"`
		PerMM     map[string]slopeJSON `json:"per_mm"`
		Rough     bool                 `json:"rough"`
		Gear      map[string]float64   `json:"gear"`
		Drives    string               `json:"drive_flank"`
		Assumed   []assumedJSON        `json:"assumed"`
	}
	assumedJSON struct {
		Name      string  `json:"name"`
		Value     float64 `json:"value"`
		PlusMinus float64 `json:"plus_minus"`
		Unit      string  `json:"unit,omitempty"`
		Why       string  `json:"why"`
	}
)

func flankOf(p contact.Pattern) flankJSON {
	points := func(in []contact.Point) []placeJSON {
		out := make([]placeJSON, len(in))
		for i, q := range in {
			out[i] = placeJSON(q)
		}
		return out
	}
	out := flankJSON{
		placeJSON: placeJSON{p.Along, p.Across}, Area: p.Area, Low: placeJSON(p.Low), High: placeJSON(p.High),
		Edges: edgesOf(p), Transmission: p.Transmission.Rad() * 1e6, Outline: [][]placeJSON{},
	}
	for _, q := range p.Path {
		out.Path = append(out.Path, placeJSON(q.Point))
	}
	for _, loop := range p.Outline {
		out.Outline = append(out.Outline, points(loop))
	}
	return out
}

// edgesOf names the edges a pattern runs into.
func edgesOf(p contact.Pattern) []string {
	out := []string{}
	for _, e := range []struct {
		name string
		is   bool
	}{{"toe", p.Toe}, {"heel", p.Heel}, {"root", p.Root}, {"top", p.Top}} {
		if e.is {
			out = append(out, e.name)
		}
	}
	return out
}

func slopeOf(s contact.Slope) slopeJSON {
	return slopeJSON{
		Drive: placeJSON{s.DriveAlong, s.DriveAcross}, Coast: placeJSON{s.CoastAlong, s.CoastAcross},
		Backlash:  lashJSON{s.BacklashNormal, s.BacklashTransverse},
		InContact: lashJSON{s.BacklashNormalInContact, s.BacklashTransverseInContact},
		Valid:     s.Valid,
	}
}

// drives names the ring gear flank that drives.
func (p patternAnswer) drives() string {
	if p.gear.ReverseCut {
		return "concave"
	}
	return "convex"
}

func (p patternAnswer) writeJSON(w io.Writer) error {
	lash := func(b contact.Backlash) lashJSON { return lashJSON{b.Normal.MM(), b.Transverse.MM()} }
	g := p.gear
	out := patternJSON{
		Sheet: p.sheet,
		Moves: map[string]float64{"pinion": p.move.Pinion.MM(), "ring": p.move.Ring.MM()},
		Drive: flankOf(p.result.Drive), Coast: flankOf(p.result.Coast),
		Backlash: lash(p.result.Backlash), InContact: lash(p.result.BacklashInContact),
		PerMM: map[string]slopeJSON{"pinion": slopeOf(p.table.Pinion), "ring": slopeOf(p.table.Ring), "offset": slopeOf(p.table.Offset)},
		Rough: p.result.Rough, Drives: p.drives(),
		Gear: map[string]float64{
			"pinion_teeth": float64(g.PinionTeeth), "ring_teeth": float64(g.RingTeeth), "pitch_angle_deg": g.PitchAngle.Deg(),
			"spiral_deg": g.Spiral.Deg(), "pressure_convex_deg": g.PressureConvex.Deg(), "pressure_concave_deg": g.PressureConcave.Deg(),
			"mean_cone_distance_mm": g.ConeDistance.MM(), "face_width_mm": (g.FaceOuter + g.FaceInner).MM(), "offset_mm": g.Offset.MM(),
			"cutter_radius_mm": g.CutterRadius.MM(), "blade_groups": float64(g.BladeGroups), "addendum_mm": g.Addendum.MM(),
			"working_dedendum_mm": g.WorkingDedendum.MM(), "addendum_angle_deg": g.AddendumAngle.Deg(), "dedendum_angle_deg": g.DedendumAngle.Deg(),
			"dial_radius_mm": g.DialRadius.MM(),
		},
		Assumed: []assumedJSON{},
	}
	for _, a := range p.assumed {
		out.Assumed = append(out.Assumed, assumedJSON(a))
	}
	enc := json.NewEncoder(w)
	enc.SetIndent("", "  ")
	enc.SetEscapeHTML(false)
	if err := enc.Encode(out); err != nil {
		return errors.New("the answer has a figure that is not a number")
	}
	return nil
}

// phone is how many characters a line may have to be read on a phone.
const phone = 44

// page collects lines a phone wide.
type page struct{ strings.Builder }

// say writes text, wrapped, further lines indented a little more.
func (p *page) say(indent int, format string, args ...any) {
	line := strings.Repeat(" ", indent)
	empty := true
	for word := range strings.FieldsSeq(fmt.Sprintf(format, args...)) {
		if !empty && utf8.RuneCountInString(line)+1+utf8.RuneCountInString(word) > phone {
			p.WriteString(line + "\n")
			line, empty = strings.Repeat(" ", indent+2), true
		}
		if !empty {
			line += " "
		}
		line += word
		empty = false
	}
	p.WriteString(line + "\n")
}

func (p patternAnswer) writeText(w io.Writer) error {
	out := &page{}
	u := p.units
	out.say(0, "%s", p.title())
	for _, line := range p.moves() {
		out.say(0, "%s", line)
	}
	out.WriteString("\n")
	for _, f := range []struct {
		name string
		p    contact.Pattern
	}{{"drive", p.result.Drive}, {"coast", p.result.Coast}} {
		out.say(0, "%s: %s, %s", f.name, towards(f.p.Along, "toe", "heel", "mid face"), towards(f.p.Across, "root", "top", "mid depth"))
		out.say(2, "%.0f %% of the flank marked, along %s to %s, across %s to %s", 100*f.p.Area,
			signed(f.p.Low.Along), signed(f.p.High.Along), signed(f.p.Low.Across), signed(f.p.High.Across))
		if edges := edgesOf(f.p); len(edges) > 0 {
			out.say(2, "runs off at the %s", strings.Join(edges, " and the "))
		}
	}
	b := p.result.Backlash
	out.say(0, "backlash: %s at the dial, plunger square to the tooth (%s along the motion)", change(u, b.Normal), u.Signed(b.Transverse))
	if p.result.Rough {
		out.say(0, "a move this large is past what the model is good for: take it as a direction")
	}
	out.WriteString("\nfor each " + each(u) + "\n")
	p.slopes(out, "pinion deeper", p.table.Pinion)
	p.slopes(out, "ring gear in", p.table.Ring)
	out.WriteString("\n")
	out.say(0, "middle of the pattern: along -1 toe, +1 heel; across -1 root, +1 top; 0.00 is mid tooth")
	out.say(0, "drive is the ring gear's %s flank", p.drives())
	out.say(0, "not on hand, so taken:")
	for _, a := range p.assumed {
		if a.PlusMinus > 0 {
			out.say(2, "%s %s ± %s%s", a.Name, number(a.Value), number(a.PlusMinus), prefixed(a.Unit))
		}
	}
	out.say(0, "directions are safer than distances: crowning may be half or twice what was taken")
	_, err := io.WriteString(w, out.String())
	return err
}

// title says what gear set it is.
func (p patternAnswer) title() string {
	name := p.sheet
	if name == "" {
		name = "gear set as given"
	}
	return fmt.Sprintf("%s: %d/%d, ring gear %s, offset %s", name, p.gear.RingTeeth, p.gear.PinionTeeth,
		p.units.Length(round(p.units, 2*p.gear.DialRadius)), p.units.Length(round(p.units, p.gear.Offset)))
}

// moves says what was moved which way.
func (p patternAnswer) moves() []string {
	var out []string
	say := func(name string, v unit.Length, plus, minus string) {
		switch {
		case v > 0:
			out = append(out, fmt.Sprintf("%s %s (%s)", name, p.units.Signed(v), plus))
		case v < 0:
			out = append(out, fmt.Sprintf("%s %s (%s)", name, p.units.Signed(v), minus))
		}
	}
	say("pinion", p.move.Pinion, "deeper", "shallower")
	say("ring gear", p.move.Ring, "towards the pinion", "away from the pinion")
	if len(out) == 0 {
		out = []string{"nothing moved"}
	}
	return out
}

// slopes writes one motion's slopes for the step of each().
func (p patternAnswer) slopes(out *page, name string, s contact.Slope) {
	step := stepOf(p.units).MM()
	out.say(2, "%s: drive %s along, %s across; coast %s along, %s across; backlash %s", name,
		signed(s.DriveAlong*step), signed(s.DriveAcross*step), signed(s.CoastAlong*step), signed(s.CoastAcross*step),
		p.units.Signed(unit.MM(s.BacklashNormal*step)))
	out.say(4, "in proportion up to %s", p.units.Length(whole(p.units, unit.MM(s.Valid))))
}

// whole cuts a length to thousandths of an inch or hundredths of a millimetre.
func whole(u unit.System, l unit.Length) unit.Length {
	if u == unit.Metric {
		return unit.Hundredth(math.Floor(l.MM() * 100))
	}
	return unit.Thou(math.Floor(l.Thou()))
}

// round rounds a length to thousandths of an inch or hundredths of a millimetre.
func round(u unit.System, l unit.Length) unit.Length {
	if u == unit.Metric {
		return unit.Hundredth(math.Round(l.MM() * 100))
	}
	return unit.Thou(math.Round(l.Thou()))
}

// stepOf is the move the slopes are told for.
func stepOf(u unit.System) unit.Length {
	if u == unit.Metric {
		return unit.MM(0.1)
	}
	return unit.Thou(5)
}

func each(u unit.System) string { return u.Length(stepOf(u)) }

// change says which way backlash goes.
func change(u unit.System, v unit.Length) string {
	switch {
	case math.Abs(v.MM()) < 0.0005:
		return "no change"
	case v < 0:
		return u.Length(-v) + " tighter"
	}
	return u.Length(v) + " looser"
}

// towards says a coordinate in words.
func towards(v float64, low, high, middle string) string {
	switch text := fmt.Sprintf("%.2f", math.Abs(v)); {
	case text == "0.00":
		return middle
	case v < 0:
		return text + " to the " + low
	default:
		return text + " to the " + high
	}
}

// signed is a coordinate with its sign, never −0.
func signed(v float64) string {
	if text := fmt.Sprintf("%+.2f", v); text != "-0.00" {
		return text
	}
	return "+0.00"
}

func number(v float64) string {
	return strconv.FormatFloat(math.Round(v*1000)/1000, 'f', -1, 64)
}

func prefixed(unitName string) string {
	if unitName == "" {
		return ""
	}
	return " " + unitName
}

// draw writes the picture: where the pattern is without the move, and after it.
func (p patternAnswer) draw(w io.Writer) error {
	painter, err := picture.New(picture.English())
	if err != nil {
		return err
	}
	patch := func(q contact.Pattern) *picture.Patch {
		out := &picture.Patch{Centre: picture.Point{Along: q.Along, Across: q.Across}}
		for _, loop := range q.Outline {
			line := make([]picture.Point, len(loop))
			for i, at := range loop {
				line[i] = picture.Point(at)
			}
			out.Outline = append(out.Outline, line)
		}
		return out
	}
	pic := picture.PatternPicture{
		Title: "contact pattern, computed", Units: p.units, Now: "without the move",
		Drive: picture.Flank{Reported: patch(p.rest.Drive), Predicted: patch(p.result.Drive)},
		Coast: picture.Flank{Reported: patch(p.rest.Coast), Predicted: patch(p.result.Coast)},
		Notes: []string{
			p.title(),
			"backlash " + change(p.units, p.result.Backlash.Normal) + " at the dial",
		},
	}
	if p.move.Pinion != 0 || p.move.Ring != 0 {
		pic.Change = &picture.Change{Pinion: p.move.Pinion, Ring: p.move.Ring}
	} else {
		pic.Drive.Predicted, pic.Coast.Predicted = nil, nil
	}
	return painter.Pattern(w, pic)
}
