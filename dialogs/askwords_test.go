package dialogs

import (
	"slices"
	"testing"

	"shimwright/calc/unit"
	"shimwright/dialogs/listen"
	"shimwright/dialogs/phrase"
)

// A choice said in Spanish is read as the English one is: it is sent when tapped.
func TestSpanishChoicesAreRead(t *testing.T) {
	book, err := phrase.Load()
	if err != nil {
		t.Fatal(err)
	}
	v := voice{words: book.In(phrase.Spanish)}
	for _, choice := range []string{
		"backlash 0.20 mm", "pinion drag 15 in lb", "total drag 22 in lb", "runout 0.05 mm", "pinion shim 1.50 mm", "left side shim 6.10 mm",
		"right side shim 6.20 mm", "pinion mark +3", "pinion mark -2", "caps torqued to 80 N·m", "ring bolts torqued to 75 ft lb", "nut torque 250 ft·lbf",
		"torqued to 80 N·m", "backlash 9 thou", "backlash 28 hundredths", "ring gear runout 4 hundredths", "pinion marking +2 hundredths", "pinion marking -3 thou",
		"preload shim 455 thou", "backlash spread 3 hundredths", "pinion drag 1.6 N·m", "teeth 11 41", "lash 0.20 0.22 0.21 0.20", "lash 0.20", "left side shim 250 thou",
		"drive toe", "drive heel", "drive centered", "coast heel", "drive pattern 3", "coast pattern 7", "both sides toe",
	} {
		said := v.askChoice(choice)
		if said == choice {
			t.Errorf("%q is not said in Spanish", choice)
		}
		a := listen.Parse(listen.Input{Text: choice, Units: unit.Metric})
		b := listen.Parse(listen.Input{Text: said, Units: unit.Metric})
		if len(a.Readings) == 0 || len(b.Readings) != len(a.Readings) || a.Readings[0].What != b.Readings[0].What || !slices.Equal(a.Readings[0].Numbers(), b.Readings[0].Numbers()) || a.Readings[0].Unit != b.Readings[0].Unit || a.Readings[0].Length != b.Readings[0].Length || a.Readings[0].Profile != b.Readings[0].Profile {
			t.Errorf("%q reads %+v, %q reads %+v", choice, a.Readings, said, b.Readings)
		}
	}
}
