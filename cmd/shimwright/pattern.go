package main

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"strconv"
	"strings"

	"shimwright/calc/contact"
	"shimwright/calc/gearset"
	"shimwright/calc/unit"
	"shimwright/rules"
)

const patternUsage = `usage: shimwright pattern --sheet NAME
         --pinion +0.005in --ring -0.003in
         [--json] [--png FILE]

What a move does to contact pattern and
backlash, computed from the tooth geometry.
Lengths and angles carry their unit:
0.005in, 5thou, 0.12mm, 28deg.

--sheet NAME   the axle sheet
--shop DIR     the shop's folder, whose
               sheets come over the shipped
--pinion MOVE  + is deeper
--ring MOVE    + is towards the pinion
--json         numbers for a program
--png FILE     a picture as well

in place of the sheet's own, for this run
(without a sheet: z1, z2, od and offset are
needed, face is taken if not given):
--z1 N --z2 N  teeth, pinion and ring gear
--od           ring gear outside diameter
--face         ring gear face width
--offset       hypoid offset
--spiral --pressure --pitch-angle
               of the ring gear, mean point
--cutter       cutter radius

tooth coordinates: along -1 toe to +1 heel,
across -1 root to +1 top; area is the marked
share of the flank, 0 to 1
`

// errCalledWrongly is wrapped by what the person who typed the command can put
// right there: exit code 2.
var errCalledWrongly = errors.New("see shimwright pattern --help")

// patternAsk is what the command line asks for.
type patternAsk struct {
	sheet, shop, png string
	json             bool
	move             contact.Displacement
	known            gearset.Known   // what was given on the command line
	given            map[string]bool // by flag
	units            unit.System     // of the first length that was typed
}

// contactPattern runs the pattern command. It gives the exit code: 0, 1 where the
// pattern could not be computed, 2 where it was called wrongly.
func contactPattern(args []string, stdout, stderr io.Writer) int {
	ask, err := readPatternAsk(args)
	if errors.Is(err, flag.ErrHelp) {
		fmt.Fprint(stdout, patternUsage)
		return 0
	}
	var answer patternAnswer
	if err == nil {
		answer, err = ask.answer()
	}
	if err == nil && ask.png != "" {
		err = answer.writePNG(ask.png)
	}
	if err == nil {
		if ask.json {
			err = answer.writeJSON(stdout)
		} else {
			err = answer.writeText(stdout)
		}
	}
	switch {
	case err == nil:
		return 0
	case errors.Is(err, errCalledWrongly):
		fmt.Fprintln(stderr, "pattern:", err)
		return 2
	}
	fmt.Fprintln(stderr, "pattern:", err)
	return 1
}

// wrongly makes an error of the caller's with the hint on its own line.
func wrongly(format string, args ...any) error {
	return fmt.Errorf("%s\n%w", fmt.Sprintf(format, args...), errCalledWrongly)
}

// readPatternAsk reads the command line.
func readPatternAsk(args []string) (patternAsk, error) {
	ask := patternAsk{given: map[string]bool{}}
	flags := flag.NewFlagSet("pattern", flag.ContinueOnError)
	flags.SetOutput(io.Discard)
	flags.StringVar(&ask.sheet, "sheet", "", "")
	flags.StringVar(&ask.shop, "shop", "", "")
	flags.StringVar(&ask.png, "png", "", "")
	flags.BoolVar(&ask.json, "json", false, "")
	k := &ask.known
	var wrong error // the flag package would wrap it in words of its own
	value := func(name string, read func(string) error) {
		flags.Func(name, "", func(text string) error {
			err := read(text)
			if err != nil && wrong == nil {
				wrong = fmt.Errorf("--%s %w", name, err)
			}
			return err
		})
	}
	value("z1", teeth(&k.Z1))
	value("z2", teeth(&k.Z2))
	for name, to := range map[string]*unit.Length{"pinion": &ask.move.Pinion, "ring": &ask.move.Ring,
		"od": &k.OuterDiameter, "face": &k.FaceWidth, "offset": &k.Offset, "cutter": &k.CutterRadius} {
		value(name, func(text string) (err error) {
			*to, err = unit.ParseLength(text)
			if err == nil && ask.units == unit.NoSystem {
				ask.units = habit(text)
			}
			return err
		})
	}
	for name, to := range map[string]*unit.Angle{"spiral": &k.RingSpiral, "pressure": &k.Pressure, "pitch-angle": &k.RingPitchAngle} {
		value(name, func(text string) (err error) {
			*to, err = unit.ParseAngle(text)
			return err
		})
	}
	err := flags.Parse(args)
	switch {
	case errors.Is(err, flag.ErrHelp):
		return ask, err
	case wrong != nil:
		return ask, wrongly("%v", wrong)
	case err != nil:
		return ask, wrongly("%v", err)
	case flags.NArg() > 0:
		return ask, wrongly("%q is not an option", flags.Arg(0))
	}
	flags.Visit(func(f *flag.Flag) { ask.given[f.Name] = true })
	return ask, ask.check()
}

// check refuses figures that the geometry would take for "not known".
func (a patternAsk) check() error {
	k := a.known
	for name, v := range map[string]float64{"od": k.OuterDiameter.MM(), "face": k.FaceWidth.MM(), "cutter": k.CutterRadius.MM(),
		"spiral": k.RingSpiral.Rad(), "pressure": k.Pressure.Rad(), "pitch-angle": k.RingPitchAngle.Rad()} {
		if a.given[name] && !(v > 0) {
			return wrongly("--%s must be more than 0", name)
		}
	}
	if a.given["offset"] && k.Offset < 0 {
		return wrongly("--offset is given without sign")
	}
	if a.given["sheet"] {
		return nil
	}
	for _, name := range []string{"z1", "z2", "od", "offset"} {
		if !a.given[name] {
			return wrongly("--%s is missing: without --sheet, z1, z2, od and offset are needed", name)
		}
	}
	return nil
}

// teeth reads a tooth count.
func teeth(to *int) func(string) error {
	return func(text string) error {
		n, err := strconv.Atoi(text)
		if err != nil || n < 3 || n > 400 {
			return fmt.Errorf("%q is not a tooth count from 3 to 400", text)
		}
		*to = n
		return nil
	}
}

// habit tells inches from millimetres by how a length was typed.
func habit(text string) unit.System {
	if strings.ContainsAny(text, `"”`) || strings.Contains(text, "in") || strings.Contains(text, "th") || strings.Contains(text, "ft") {
		return unit.InchUnits
	}
	return unit.Metric
}

// patternAnswer is what was computed, ready to be shown.
type patternAnswer struct {
	sheet   string // its name, empty without one
	units   unit.System
	move    contact.Displacement
	gear    contact.Gear
	assumed []gearset.Assumption
	rest    contact.Result // without the move
	result  contact.Result
	table   contact.Table
}

// answer computes the pattern.
func (a patternAsk) answer() (patternAnswer, error) {
	out := patternAnswer{units: a.units, move: a.move}
	known := gearset.Known{}
	reverse := false
	if a.sheet != "" {
		sheet, err := a.findSheet()
		if err != nil {
			return out, err
		}
		out.sheet, reverse = sheet.Name, sheet.Pinion.ReverseCut
		if out.units == unit.NoSystem { // what the person typed comes before the sheet's habit
			out.units = sheet.Units
		}
		known = sheet.GearSet()
	}
	known = a.over(known)
	set, err := gearset.Complete(known)
	if err != nil {
		return out, err
	}
	out.assumed = set.Assumed
	if out.gear, err = contact.FromSet(set); err != nil {
		return out, err
	}
	out.gear.ReverseCut = reverse
	if known.UniformDepth && known.CutterRadius != 0 {
		out.gear.BladeGroups = contact.UsualBladeGroups
		out.assumed = append(out.assumed, gearset.Assumption{Name: "blade groups of the cutter", Value: contact.UsualBladeGroups, PlusMinus: 4,
			Why: "usual for face hobbing, from memory"})
	}
	m, err := contact.New(out.gear, contact.Options{})
	if err != nil {
		return out, err
	}
	out.assumed = append(out.assumed, crowns(m.Options())...)
	ws := m.NewWorkspace()
	if out.rest, err = m.PatternIn(ws, contact.Displacement{}); err != nil {
		return out, err
	}
	if out.result, err = m.PatternIn(ws, a.move); err != nil {
		return out, wrongly("%v", err)
	}
	out.table, err = m.Sensitivities()
	return out, err
}

func (a patternAsk) findSheet() (*rules.Sheet, error) {
	if a.shop == "" {
		book, _ := rules.LoadBook(nil)
		return book.Sheet(a.sheet)
	}
	dir, err := openFolder(a.shop)
	if err != nil {
		return nil, err
	}
	book, _ := rules.LoadBook(dir)
	return book.Sheet(a.sheet)
}

// over lays what was given on the command line over what the sheet says. Without
// offset the teeth alone settle the pitch angle, so the sheet's is left out then.
func (a patternAsk) over(k gearset.Known) gearset.Known {
	g := a.known
	for name, put := range map[string]func(){
		"z1": func() { k.Z1 = g.Z1 }, "z2": func() { k.Z2 = g.Z2 },
		"od": func() { k.OuterDiameter = g.OuterDiameter }, "face": func() { k.FaceWidth = g.FaceWidth },
		"offset": func() { k.Offset = g.Offset }, "spiral": func() { k.RingSpiral = g.RingSpiral },
		"pressure": func() { k.Pressure = g.Pressure }, "pitch-angle": func() { k.RingPitchAngle = g.RingPitchAngle },
		"cutter": func() { k.CutterRadius = g.CutterRadius },
	} {
		if a.given[name] {
			put()
		}
	}
	if a.given["offset"] && g.Offset == 0 && !a.given["pitch-angle"] {
		k.RingPitchAngle = 0
	}
	return k
}

// crowns lists what the model takes of the ease-off and the compound.
func crowns(o contact.Options) []gearset.Assumption {
	const why = "common practice, no source; the pattern travels in inverse proportion"
	half := func(l unit.Length) float64 { return l.MM() * (contact.CrownFactor - 1/contact.CrownFactor) / 2 }
	return []gearset.Assumption{
		{Name: "lengthwise crown", Value: o.CrownAlong.MM(), PlusMinus: half(o.CrownAlong), Unit: "mm", Why: why},
		{Name: "profile crown", Value: o.CrownAcross.MM(), PlusMinus: half(o.CrownAcross), Unit: "mm", Why: why},
		{Name: "compound film", Value: o.Film.MM(), PlusMinus: 0.002, Unit: "mm", Why: "common practice, no source"},
	}
}

// writePNG writes the picture to a file, and leaves no half of one.
func (p patternAnswer) writePNG(file string) error {
	f, err := os.Create(file)
	if err != nil {
		return fmt.Errorf("%s: the picture cannot be written: %w", file, bare(err))
	}
	err = p.draw(f)
	if closed := f.Close(); err == nil {
		err = closed
	}
	if err != nil {
		os.Remove(file)
		return fmt.Errorf("%s: the picture cannot be written: %w", file, bare(err))
	}
	return nil
}
