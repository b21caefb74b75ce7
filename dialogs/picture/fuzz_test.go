package picture

import (
	"bytes"
	"encoding/binary"
	"errors"
	"image/png"
	"math"
	"strings"
	"testing"
	"unicode/utf8"

	"shimwright/calc/unit"
)

// feed hands out figures, counts and texts from fuzzed bytes; at their end it
// hands out zeros.
type feed struct{ data []byte }

func (f *feed) byte() byte {
	if len(f.data) == 0 {
		return 0
	}
	b := f.data[0]
	f.data = f.data[1:]
	return b
}

// figure is usually of a usual size, sometimes any float at all.
func (f *feed) figure() float64 {
	k := f.byte()
	if k < 0xE0 {
		return (float64(k) - 96) / 64
	}
	var raw [8]byte
	for i := range raw {
		raw[i] = f.byte()
	}
	return math.Float64frombits(binary.LittleEndian.Uint64(raw[:]))
}

func (f *feed) point() Point { return Point{f.figure(), f.figure()} }

func (f *feed) text() string {
	n := min(int(f.byte()), len(f.data))
	text := string(f.data[:n])
	f.data = f.data[n:]
	if n > 0 && n%7 == 0 {
		text = strings.Repeat(text, 400)
	}
	return text
}

func (f *feed) length() *unit.Length {
	if f.byte()&1 == 0 {
		return nil
	}
	return new(unit.Length(f.figure()))
}

func (f *feed) patch() *Patch {
	k := f.byte()
	if k&1 == 0 {
		return nil
	}
	p := &Patch{Centre: f.point(), Slack: f.point(), Size: f.point(), Words: f.text()}
	n := int(k >> 1)
	if k > 0xF0 {
		n *= 64 // huge counts
	}
	for range n {
		if f.byte()%8 == 0 || len(p.Outline) == 0 {
			p.Outline = append(p.Outline, nil)
		}
		last := &p.Outline[len(p.Outline)-1]
		*last = append(*last, f.point())
	}
	return p
}

func (f *feed) flank() Flank {
	out := Flank{Reported: f.patch(), Predicted: f.patch()}
	if f.byte()&1 == 1 {
		out.Target = &Zone{f.point(), f.point()}
	}
	return out
}

func FuzzPictures(f *testing.F) {
	p := painter(f)
	l := p.Labels()
	f.Add(byte(0), []byte{1, 96, 96, 110, 110, 0, 0, 5, 'h', 'e', 'e', 'l', '!', 1, 60, 70, 0, 0, 90, 90, 0, 1, 70, 70, 120, 120})
	f.Add(byte(0), bytes.Repeat([]byte{0xFF}, 300))
	f.Add(byte(0), bytes.Repeat([]byte{7, 96, 130, 40}, 200))
	f.Add(byte(1), bytes.Repeat([]byte{97, 140, 100, 3, '1', '2', 0xF0}, 40))
	f.Add(byte(1), bytes.Repeat([]byte{0xE1, 0, 0, 0, 0, 0, 0, 0xF8, 0x7F}, 40))
	f.Add(byte(2), []byte{3, 7})
	f.Add(byte(3), bytes.Repeat([]byte{4, 110, 0, 120, 9, 'l', 0xE2, 0x80, 0xAE}, 60))
	f.Fuzz(func(t *testing.T, kind byte, data []byte) {
		in := &feed{data}
		var b bytes.Buffer
		var err error
		var alt string
		units := [...]unit.System{"", unit.InchUnits, unit.Metric, "furlongs"}[in.byte()&3]
		switch kind % 4 {
		case 0:
			pic := PatternPicture{Units: units, Title: in.text(), Drive: in.flank(), Coast: in.flank(), Now: in.text()}
			if in.byte()&1 == 1 {
				pic.Change = &Change{unit.Length(in.figure()), unit.Length(in.figure())}
				pic.Backlash = &Backlash{Before: in.length(), Value: unit.Length(in.figure()), Low: unit.Length(in.figure()), High: unit.Length(in.figure())}
			}
			for range in.byte() & 7 {
				pic.Notes = append(pic.Notes, in.text())
			}
			err, alt = p.Pattern(&b, pic), pic.AltText(l)
		case 1:
			pic := BacklashPicture{Units: units, Title: in.text(), Low: unit.Length(in.figure()), High: unit.Length(in.figure()), SpreadLimit: unit.Length(in.figure()), Clock: in.byte()&1 == 1}
			if in.byte()&1 == 1 {
				pic.Wave = &Wave{unit.Length(in.figure()), unit.Length(in.figure()), unit.Angle(in.figure())}
			}
			for n := int(in.byte()) % 100; n > 0; n-- {
				pic.Readings = append(pic.Readings, RoundReading{unit.Angle(in.figure() * 4), in.text(), unit.Length(in.figure())})
			}
			err, alt = p.Backlash(&b, pic), pic.AltText(l)
		case 2:
			pic := ChoicePicture{Title: in.text(), Ask: Side(in.byte()), Drive: int(int8(in.byte())), Coast: int(int8(in.byte()))}
			err, alt = p.Choices(&b, pic), pic.AltText(l)
		default:
			pic := StacksPicture{Units: units, Title: in.text(), Note: in.text()}
			for n := int(in.byte()) % 9; n > 0; n-- {
				st := Stack{Name: in.text(), Was: in.length(), Wanted: in.length()}
				for k := int(in.byte()) % 20; k > 0; k-- {
					st.Leaves = append(st.Leaves, Leaf{unit.Length(in.figure()), in.text(), in.byte()&1 == 1})
				}
				pic.Stacks = append(pic.Stacks, st)
			}
			err, alt = p.Stacks(&b, pic), pic.AltText(l)
		}
		if err != nil {
			if !errors.Is(err, ErrInput) || b.Len() > 0 {
				t.Fatalf("%v with %d bytes written, want ErrInput and none", err, b.Len())
			}
			return
		}
		if b.Len() >= 120_000 {
			t.Errorf("%d bytes", b.Len())
		}
		if im, err := png.DecodeConfig(&b); err != nil || im.Width != Width || im.Height > MaxHeight {
			t.Errorf("%+v, %v", im, err)
		}
		if n := utf8.RuneCountInString(alt); n == 0 || n > maxAlt || !utf8.ValidString(alt) || strings.Contains(alt, "NaN") && !bytes.Contains(data, []byte("NaN")) {
			t.Errorf("alt text %q", alt)
		}
	})
}
