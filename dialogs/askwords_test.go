package dialogs

import (
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
		"backlash 0.20 mm", "pinion drag 15 in lb", "total drag 22 in lb", "runout 0.05 mm", "pinion shim 1.50 mm", "left shim 6.10 mm",
		"right shim 6.20 mm", "pinion mark +3", "pinion mark -2", "caps torqued to 80 Nm",
	} {
		said := v.askChoice(choice)
		if said == choice {
			t.Errorf("%q is not said in Spanish", choice)
		}
		a := listen.Parse(listen.Input{Text: choice, Units: unit.Metric})
		b := listen.Parse(listen.Input{Text: said, Units: unit.Metric})
		if len(a.Readings) != 1 || len(b.Readings) != 1 || a.Readings[0].What != b.Readings[0].What || a.Readings[0].Numbers()[0] != b.Readings[0].Numbers()[0] || a.Readings[0].Unit != b.Readings[0].Unit {
			t.Errorf("%q reads %+v, %q reads %+v", choice, a.Readings, said, b.Readings)
		}
	}
}
