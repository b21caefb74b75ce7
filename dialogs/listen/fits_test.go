package listen

import (
	"encoding/json"
	"testing"

	"shimwright/calc/unit"
)

func TestTmpFits(t *testing.T) {
	for _, s := range []string{
		"ring is at 190 F", "oven set to 230", "ring in the oven", "heated the ring to 300", "bearing on the heater, 240", "pinion in the freezer", "ring is on, dropped on by itself",
		"ring went on easy, dropped right on", "had to knock the ring on", "pulled the ring down with the bolts", "ring's at 250", "250 on the ring", "carrier in the freezer overnight", "put the bearing in the oven at 200",
		"bearing heater shows 230 f", "bearing's hot, 250", "induction heater at 110c", "ring is 1.5 thou tight on the carrier", "ring pilot 4.5 in, 1 thou interference", "interference is 2 thou on a 6 in pilot",
		"ring on the hot plate at 220", "la corona está a 110", "corona en el horno", "horno a 110", "el piñón en el congelador", "rodamiento en el calentador, 110 grados", "la corona entró sola", "carrier in dry ice",
		"ring has cooled, torqued again 75", "ring on the bench, compound on it", "ring bolts torqued 75", "ring gear runout 2 thou", "bearing seated on the shoulder", "bearing is on", "dropped the ring gear into place", "ring is on", "pinion froze at -10 f", "240", "lash 8 8 9 8", "ring at 110 and carrier in the freezer", "bearing dropped on the journal", "drive pattern is on the heel of the ring", "used a torch on the ring", "la corona bajó con los tornillos", "ring out of the oven at 215, dropped on",
	} {
		b, _ := json.Marshal(ReadFits(Input{Text: s, Units: unit.InchUnits}, "ring"))
		t.Logf("%-50s %s", s, b)
	}
}
