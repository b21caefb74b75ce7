package depth

import (
	"errors"
	"fmt"
	"math"

	"shimwright/calc/unit"
)

// Sense says which way a thicker pinion shim moves the pinion.
type Sense int

// Behind the head bearing or under its race a thicker shim moves the pinion
// deeper, towards the ring gear's centre line; under a bolted cartridge it backs
// the pinion away.
const (
	ThickerDeeper    Sense = 1
	ThickerShallower Sense = -1
)

// Meaning is what a positive marking on the pinion head means.
type Meaning string

// Farther and Nearer are places of the pinion head against the ring gear's
// centre line; ThickerShim and ThinnerShim are papers that print a shim
// convention instead. Unknown is an error wherever the marking matters.
const (
	Unknown     Meaning = ""
	Farther     Meaning = "farther"
	Nearer      Meaning = "nearer"
	ThickerShim Meaning = "thicker-shim"
	ThinnerShim Meaning = "thinner-shim"
)

// Mark is a pinion head marking, as a length with its sign.
type Mark struct {
	Value   unit.Length
	Meaning Meaning
}

// Push is a part that lies between the head bearing's seat and the pinion head
// and is changed: the head bearing itself (its stand height), a baffle, a
// slinger, a spacer. Thicker pushes the pinion deeper in every construction. A
// part with either figure zero is taken as not measured and changes nothing.
type Push struct {
	Name     string
	Old, New unit.Length
}

// Term is one part of an answer.
type Term struct {
	Name  string
	Value unit.Length // with its sign, as it enters the sum
}

// Shim is a pinion shim with the terms that add up to it.
type Shim struct {
	Thickness unit.Length
	Terms     []Term
}

// The errors of this package; each comes with a sentence that says which figure
// it is about.
var (
	ErrMeaning = errors.New("the marking's meaning is not known")
	ErrFigure  = errors.New("the figure cannot be right")
	ErrShim    = errors.New("no shim can do that")
)

// Largest figures that are taken as meant; beyond them a unit or a decimal point
// has slipped. In mm.
const (
	maxMark     = unit.Length(2)
	maxShim     = unit.Length(10)
	maxPush     = unit.Length(2) // difference of one part, old to new
	maxDistance = unit.Length(1000)
)

// Old is what is known when the old shim is at hand.
type Old struct {
	Sense   Sense
	Shim    unit.Length // whole old stack
	OldMark Mark        // of the pinion that came out
	NewMark Mark        // of the pinion that goes in
	Pushes  []Push
}

// FromOld gives the starting shim from the old one: corrected by the difference
// of the head markings and by every changed part between seat and head.
//
// With + meaning farther it is old + (old mark − new mark) where a thicker shim
// goes deeper, and old − (old mark − new mark) under a cartridge; a taller new
// bearing takes its difference off the first and adds it to the second.
//
// It errs with ErrMeaning where the markings differ and what + means is not
// known, with ErrFigure where a figure is out of reason, and with ErrShim where
// the shim comes out negative; the terms are given with ErrShim too.
//
// Source: common practice, no source. Derivation: see the package comment.
func FromOld(o Old) (Shim, error) {
	if err := o.Sense.check(); err != nil {
		return Shim{}, err
	}
	if err := within("old shim", o.Shim, 0, maxShim); err != nil {
		return Shim{}, err
	}
	s := Shim{}
	s.add("old shim", o.Shim)
	// The same marking twice changes nothing, whatever it means.
	if o.OldMark != o.NewMark {
		was, err := o.OldMark.deeper(o.Sense, "old marking")
		if err != nil {
			return Shim{}, err
		}
		is, err := o.NewMark.deeper(o.Sense, "new marking")
		if err != nil {
			return Shim{}, err
		}
		s.add("head markings, old to new", o.Sense.shim(is-was))
	}
	if err := s.follow(o.Sense, o.Pushes); err != nil {
		return Shim{}, err
	}
	return s, s.check()
}

// Gauge is a depth-gauge measurement. The distances run from the ring gear's
// centre line, both to the same face: the pinion's back face (mounting distance)
// or its head (checking distance).
type Gauge struct {
	Sense    Sense
	Trial    unit.Length // shim in place while measuring; zero for none
	Measured unit.Length // distance as measured
	Wanted   unit.Length // nominal mounting or checking distance
	Mark     Mark        // of the pinion that goes in; zero where Wanted already is this pinion's own
	Pushes   []Push      // parts changed after measuring, such as a setup bearing for the final one
}

// FromGauge gives the starting shim from a depth-gauge measurement: the trial
// shim plus measured − wanted where a thicker shim goes deeper, less the same
// under a cartridge. A marking moves the wanted distance.
//
// It errs as FromOld does.
//
// Source: common practice, no source. Derivation: see the package comment.
func FromGauge(g Gauge) (Shim, error) {
	if err := g.Sense.check(); err != nil {
		return Shim{}, err
	}
	for _, f := range []struct {
		name  string
		value unit.Length
		low   unit.Length
		high  unit.Length
	}{{"trial shim", g.Trial, 0, maxShim}, {"measured distance", g.Measured, 1, maxDistance}, {"wanted distance", g.Wanted, 1, maxDistance}} {
		if err := within(f.name, f.value, f.low, f.high); err != nil {
			return Shim{}, err
		}
	}
	s := Shim{}
	if g.Trial != 0 {
		s.add("trial shim", g.Trial)
	}
	s.add("measured distance", g.Sense.shim(g.Measured))
	s.add("wanted distance", -g.Sense.shim(g.Wanted))
	if g.Mark.Value != 0 {
		deeper, err := g.Mark.deeper(g.Sense, "marking")
		if err != nil {
			return Shim{}, err
		}
		s.add("head marking", g.Sense.shim(deeper))
	}
	if err := s.follow(g.Sense, g.Pushes); err != nil {
		return Shim{}, err
	}
	return s, s.check()
}

// FinalBearing gives the shim for the pressed final bearing from the one that was
// right with the setup bearing: a taller final bearing pushes the pinion deeper
// by the difference, so the shim is thinner by it, and thicker under a cartridge.
//
// It errs as FromOld does, and with ErrFigure where a stand height is missing.
func FinalBearing(sense Sense, shim, setup, final unit.Length) (Shim, error) {
	if !(setup > 0 && final > 0) {
		return Shim{}, fmt.Errorf("%w: both stand heights are needed, setup and final", ErrFigure)
	}
	if err := sense.check(); err != nil {
		return Shim{}, err
	}
	if err := within("shim", shim, 0, maxShim); err != nil {
		return Shim{}, err
	}
	s := Shim{}
	s.add("shim with the setup bearing", shim)
	if err := s.follow(sense, []Push{{"stand height, setup to final", setup, final}}); err != nil {
		return Shim{}, err
	}
	return s, s.check()
}

// ShimFor gives the shim change that moves the pinion by so much; positive is
// deeper in, thicker out.
func (s Sense) ShimFor(deeper unit.Length) unit.Length { return s.shim(deeper) }

// DepthOf gives the pinion move that a shim change makes; positive is thicker in,
// deeper out.
func (s Sense) DepthOf(thicker unit.Length) unit.Length { return s.shim(thicker) }

// Pack gives the change of the preload pack that a change of the pinion shim
// asks for. On a pinion whose preload is set by a shim pack or a solid spacer the
// pack follows a shim behind the head bearing or under its race one to one, or
// the drag is lost or doubled (coupled). A cartridge takes its bearings with it
// and asks for nothing. It answers depth changes; with other bearings the pack is
// found anew from the drag.
//
// Source: common practice, no source.
func Pack(sense Sense, coupled bool, thicker unit.Length) unit.Length {
	if !coupled || sense == ThickerShallower {
		return 0
	}
	return thicker
}

func (s Sense) shim(deeper unit.Length) unit.Length { return unit.Length(s) * deeper }

func (s Sense) check() error {
	if s != ThickerDeeper && s != ThickerShallower {
		return fmt.Errorf("%w: which way a thicker shim moves the pinion is not said", ErrFigure)
	}
	return nil
}

// deeper gives how much deeper than nominal the marking wants the pinion.
func (m Mark) deeper(s Sense, name string) (unit.Length, error) {
	if err := within(name, m.Value, -maxMark, maxMark); err != nil {
		return 0, err
	}
	if m.Value == 0 {
		return 0, nil // zero is nominal in every convention
	}
	switch m.Meaning {
	case Farther:
		return -m.Value, nil
	case Nearer:
		return m.Value, nil
	case ThickerShim:
		return s.shim(m.Value), nil
	case ThinnerShim:
		return -s.shim(m.Value), nil
	case Unknown:
		return 0, fmt.Errorf("%w: does a + %s mean farther from the ring gear's centre line or nearer, or a thicker or thinner shim?", ErrMeaning, name)
	}
	return 0, fmt.Errorf("%w: %q", ErrMeaning, string(m.Meaning))
}

// follow adds what changed parts between seat and head ask of the shim.
func (s *Shim) follow(sense Sense, pushes []Push) error {
	for _, p := range pushes {
		if p.Old == 0 || p.New == 0 {
			continue
		}
		if err := within(p.Name+", old", p.Old, 0, maxDistance); err != nil {
			return err
		}
		if err := within(p.Name+", new", p.New, 0, maxDistance); err != nil {
			return err
		}
		if err := within(p.Name+", difference", p.New-p.Old, -maxPush, maxPush); err != nil {
			return err
		}
		s.add(p.Name, sense.shim(p.Old-p.New))
	}
	return nil
}

func (s *Shim) add(name string, value unit.Length) {
	s.Terms = append(s.Terms, Term{name, value})
	s.Thickness += value
}

// thinnest is the least thickness that counts as negative, rounding apart, in mm.
const thinnest = unit.Length(-1e-6)

func (s Shim) check() error {
	if s.Thickness < thinnest {
		return fmt.Errorf("%w: it comes out %s below nothing; check the sign of the markings and what + means", ErrShim, unit.Metric.Length(s.Thickness.Abs()))
	}
	if s.Thickness > maxShim {
		return fmt.Errorf("%w: it comes out %s thick; check the distances", ErrShim, unit.Metric.Length(s.Thickness))
	}
	return nil
}

func within(name string, v, low, high unit.Length) error {
	if v >= low && v <= high && !math.IsNaN(v.MM()) {
		return nil
	}
	return fmt.Errorf("%w: %s is %s, outside %s to %s", ErrFigure, name, unit.Metric.Length(v), unit.Metric.Length(low), unit.Metric.Length(high))
}
