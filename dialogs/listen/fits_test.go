package listen

import (
	"fmt"
	"strings"
	"testing"

	"shimwright/calc/unit"
)

// brief writes what was read of a fit in one line.
func (f Fit) brief() string {
	parts := []string{f.Piece, f.By, f.On}
	if f.Cooled {
		parts = append(parts, "cooled")
	}
	for _, r := range []*Reading{f.Temperature, f.Interference, f.Diameter} {
		if r != nil {
			parts = append(parts, strings.TrimSpace(fmt.Sprintf("%g %s %s", *r.Value, r.Unit, r.Part)))
		}
	}
	return strings.Join(strings.Fields(strings.Join(parts, " ")), " ")
}

func briefs(all []Fit) string {
	var out []string
	for _, f := range all {
		out = append(out, f.brief())
	}
	return strings.Join(out, "; ")
}

func TestReadFits(t *testing.T) {
	for text, want := range map[string]string{
		"ring is at 190 F":                        "ring 190 degF",
		"ring's at 250":                           "ring 250 degF",
		"250 on the ring":                         "ring 250 degF",
		"oven set to 230":                         "oven 230 degF oven",
		"induction heater at 110c":                "heater 110 degC oven",
		"ring in the oven":                        "ring oven",
		"ring in the ovn at 200":                  "ring oven 200 degF",
		"heated the ring to 300":                  "ring heat 300 degF",
		"bearing on the heater, 240":              "bearing heater 240 degF",
		"bearing's hot, 250":                      "bearing heat 250 degF",
		"put the bearing in the oven at 200":      "bearing oven 200 degF",
		"carrier bearing on the hot plate at 220": "side_bearing plate 220 degF",
		"pinion bearing in hot oil, 110 c":        "head_bearing bath 110 degC",
		"pinion in the freezer":                   "pinion freezer",
		"pinion froze at -10 f":                   "pinion cold -10 degF",
		"carrier in dry ice":                      "carrier dry_ice",
		"ring at 210 and carrier in the freezer":  "ring 210 degF; carrier freezer",
		"used a torch on the ring":                "ring torch",
		"ring is on, dropped on by itself":        "ring dropped",
		"dropped the ring gear into place":        "ring dropped",
		"pulled the ring down with the bolts":     "ring drawn",
		"had to knock the ring on":                "ring struck",
		"ring is on":                              "ring on",
		"ring out of the oven at 215, dropped on": "ring oven dropped 215 degF",
		"ring has cooled, torqued again 75":       "ring cooled",
		"ring is 1.5 thou tight on the carrier":   "ring 0.0015 in",
		"ring pilot 4.5 in, 1 thou interference":  "ring 0.001 in 4.5 in",
		"interference is 2 thou on a 6 in pilot":  "0.002 in 6 in",
		"la corona está a 210":                    "ring 210 degF",
		"corona en el horno":                      "ring oven",
		"el piñón en el congelador":               "pinion freezer",
		"rodamiento en el calentador, 110 °C":     "bearing heater 110 degC",
		"la corona entró sola":                    "ring dropped",
		"la corona bajó con los tornillos":        "ring drawn",

		// what is none of it
		"ring in the oven at 500f?":                 "",
		"i'll put the ring in the oven":             "",
		"should the ring go in the freezer":         "",
		"don't put the ring in the oven":            "",
		"ring bolts torqued 75":                     "",
		"ring match number 417":                     "",
		"ring gear runout 2 thou":                   "",
		"ring on the bench, compound on it":         "",
		"drive pattern is on the heel of the ring":  "",
		"lash 8 8 9 8":                              "",
		"ring is on order":                          "",
		"left 250 right 245":                        "",
		"setup bearing 1.235, final bearing 1.238":  "",
		"pinion shim 34":                            "",
		"old ring had 41 teeth":                     "",
		"bearing is on the press":                   "",
		"customer wants it friday, call 250 at six": "",
	} {
		if got := briefs(ReadFits(Input{Text: text, Units: unit.InchUnits}, "ring", false)); got != want {
			t.Errorf("%q is read as %q, want %q", text, got, want)
		}
	}
}

// Nothing of a customer's is read, and a metric shop's bare figure is in °C.
func TestReadFitsByWhom(t *testing.T) {
	if got := briefs(ReadFits(Input{Text: "ring in the oven", Sender: Customer}, "ring", false)); got != "" {
		t.Errorf("a customer's: %q", got)
	}
	if got := briefs(ReadFits(Input{Text: "ring at 110", Units: unit.Metric}, "ring", false)); got != "ring 110 degC" {
		t.Errorf("metric: %q", got)
	}
	if got := briefs(ReadFits(Input{Text: "corona 0,05 de apriete en 110 mm", Units: unit.Metric}, "ring", false)); got != "ring 0.05 mm 110 mm" {
		t.Errorf("metric fit: %q", got)
	}
}

// A bare figure is a temperature while a part is being warmed, and not otherwise.
func TestReadFitsWhileWarming(t *testing.T) {
	for text, want := range map[string]string{"it's at 210 now": "210 degF", "now at 190": "190 degF", "torqued at 74": "", "lash at 110": "", "ring bolts at 75": ""} {
		if got := briefs(ReadFits(Input{Text: text, Units: unit.InchUnits}, "ring", true)); got != want {
			t.Errorf("%q is read as %q, want %q", text, got, want)
		}
	}
	if got := briefs(ReadFits(Input{Text: "it's at 210 now", Units: unit.InchUnits}, "ring", false)); got != "" {
		t.Errorf("where nothing is warmed: %q", got)
	}
}

func TestTorqueWithAnExtension(t *testing.T) {
	write := func(r *Reckoning) string {
		if r == nil {
			return ""
		}
		out := string(r.About)
		for _, p := range []Part{PartTorque, PartExtension, PartWrench, PartAngle} {
			if f, ok := r.Figure(p); ok {
				out += fmt.Sprintf(" %s %g %s", p, f.Value, f.Unit)
			}
		}
		for _, p := range []Part{PartFastener, PartStraight, PartTold} {
			if w := r.Word(p); w != "" {
				out += " " + string(p) + " " + w
			}
		}
		return out
	}
	for text, want := range map[string]string{
		"ring bolts torqued 60 with a 2 in extension on a 14 in wrench":                        "extension torque 60 ft·lbf extension 2 in wrench 14 in fastener ring bolts told yes",
		"used a 3 in extension on the ring bolts, 18 in wrench, clicked at 65":                 "extension torque 65 ft·lbf extension 3 in wrench 18 in fastener ring bolts told yes",
		"what do i set for the caps with a 2 in crowfoot on a 14 in wrench":                    "extension extension 2 in wrench 14 in fastener caps",
		"what do i set for the caps with a crow foot":                                          "extension fastener caps",
		"caps torqued 75 with a 6 in socket extension":                                         "extension torque 75 ft·lbf extension 6 in fastener caps straight yes told yes",
		"used a 2 in crowfoot on the caps, 14 in wrench, 65 ft lb":                             "extension torque 65 ft·lbf extension 2 in wrench 14 in fastener caps told yes",
		"caps torqued 75 with crowfoot at 90":                                                  "extension torque 75 ft·lbf angle 90 deg fastener caps told yes",
		"caps torqued 75 with a crow foot":                                                     "extension torque 75 ft·lbf fastener caps told yes",
		"ring bolts torqued to 70, 50 mm extension, 350 mm wrench":                             "extension torque 70 ft·lbf extension 50 mm wrench 350 mm fastener ring bolts told yes",
		"tornillos de corona apretados a 60 con alargue de 2 pulgadas en llave de 14 pulgadas": "extension torque 60 ft·lbf extension 2 in wrench 14 in fastener ring bolts told yes",
		"caps torqued 75":         "",
		"caps 75, cover bolts 30": "",
	} {
		if got := write(Parse(Input{Text: text, Units: unit.InchUnits, Sender: Tech}).Reckoning); got != want {
			t.Errorf("%q is read as\n  %q, want\n  %q", text, got, want)
		}
	}
}

func TestFinishSaid(t *testing.T) {
	for text, want := range map[string]string{
		"caps torqued 75 oiled": "lubricated", "caps 75 dry": "dry", "bolts oiled, torqued 60": "lubricated", "tapas a 75 en seco": "dry",
		"caps torqued 75": "", "oil filled 4 pt": "", "caps 75, not dry": "", "dry or oiled": "",
	} {
		if got := string(FinishSaid(Input{Text: text})); got != want {
			t.Errorf("%q: %q, want %q", text, got, want)
		}
	}
}
