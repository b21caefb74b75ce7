package rules

import (
	"testing"

	"shimwright/calc/unit"
)

// TestCautions goes through the cautions of the trade one by one: something said
// or measured on an axle of one of the shipped sheets, and the rule that must
// answer, at its level. The rules' own cases are written beside them; these are
// not, and take the limits from the sheets.
func TestCautions(t *testing.T) {
	set := shippedSet(t)
	book, _ := LoadBook(nil)
	const practice = "common practice, no source"
	heard := func(id string) func(*Facts) { return func(f *Facts) { f.Heard = []string{id} } }
	for _, row := range []struct {
		caution string
		sheet   string
		facts   func(*Facts)
		rule    string
		level   Level
		source  string
	}{
		{"nut backed off a crushed sleeve", "lapwing", heard("nut_backed_off"), "nut-backed-off", Stop, practice},
		{"drag falls without a new sleeve", "lapwing", func(f *Facts) {
			f.Drag = DragFacts{Previous: Know(unit.InLbf(17)), Pinion: Know(unit.InLbf(11)), Final: Say("yes")}
		}, "drag-fell", Caution, practice},
		{"over-crushed sleeve, 24 in·lbf with seal", "lapwing", func(f *Facts) {
			f.Drag = DragFacts{Pinion: Know(unit.InLbf(24)), Bearings: Say("new"), Seal: Say("on"), Final: Say("yes")}
		}, "sleeve-over-crushed", Stop, practice},
		{"old sleeve on final assembly", "saltmarsh", heard("sleeve_reused"), "sleeve-reused", Stop, practice},
		{"over 450 ft·lbf and no crush", "lapwing", func(f *Facts) {
			f.Drag = DragFacts{NutTried: Know(unit.FtLbf(480)), Crushing: Say("no")}
		}, "no-crush", Stop, practice},
		{"lash 0", "lapwing", func(f *Facts) { f.Lash.Min = Know(unit.Thou(0)) }, "no-lash", Stop, practice},
		{"tight spot that stops rotation", "lapwing", heard("no_lash"), "no-lash", Stop, practice},
		{"5 8 8 9, limit 6", "lapwing", func(f *Facts) { f.Lash = LashFacts{Min: Know(unit.Thou(5)), Max: Know(unit.Thou(9))} }, "lash-below-minimum", Caution, practice},
		{"0.12 mm, limit 0.15", "saltmarsh", func(f *Facts) { f.Lash.Min = Know(unit.MM(0.12)) }, "lash-below-minimum", Caution, practice},
		{"final lash under the limit", "dunlin", func(f *Facts) { f.Lash = LashFacts{Min: Know(unit.MM(0.14)), Final: Say("yes")} }, "lash-below-minimum-final", Stop, practice},
		{"spread 3 thou, limit 2", "curlew", func(f *Facts) { f.Lash = LashFacts{Min: Know(unit.Thou(6)), Max: Know(unit.Thou(9))} }, "lash-spread", Caution, practice},
		{"a move on a spread", "curlew", func(f *Facts) {
			f.Lash, f.Doing = LashFacts{Min: Know(unit.Thou(6)), Max: Know(unit.Thou(9))}, Say("move")
		}, "lash-spread-before-move", Stop, practice},
		{"40 thou and more", "lapwing", func(f *Facts) { f.Lash.Min = Know(unit.Thou(41)) }, "lash-far-out", Caution, "common practice, no source: 40 thou is a gross position error"},
		{"outside physical limits", "lapwing", heard("implausible"), "implausible", Caution, practice},
		{"8 then 80", "lapwing", func(f *Facts) { f.Lash = LashFacts{Previous: Know(unit.Thou(8)), Mean: Know(unit.Thou(80))} }, "lash-jump", Caution, practice},
		{"the wrong way", "lapwing", func(f *Facts) {
			f.Lash = LashFacts{Previous: Know(unit.Thou(14)), Expected: Know(unit.Thou(8)), Mean: Know(unit.Thou(19))}
		}, "lash-wrong-way", Caution, practice},
		{"copied values", "lapwing", func(f *Facts) {
			f.Lash = LashFacts{Min: Know(unit.Thou(8)), Max: Know(unit.Thou(8)), Count: Know(8.0), Identical: Say("yes")}
		}, "lash-all-alike", Note, practice},
		{"fewer than four places", "lapwing", func(f *Facts) {
			f.Step, f.Lash.Count, f.Reading.What = Say("loop"), Know(2.0), Say("backlash")
		}, "lash-few-places", Note, practice},
		{"caps finger tight", "lapwing", heard("caps_not_torqued"), "caps-loose", Caution, practice},
		{"no cap torque on record", "lapwing", func(f *Facts) { f.Step, f.Reading.What = Say("loop"), Say("backlash") }, "caps-not-on-record", Note, practice},
		{"runout 4 thou, limit 3", "lapwing", func(f *Facts) { f.Ring.Runout = Know(unit.Thou(4)) }, "ring-runout", Caution, practice},
		{"runout 0.09 mm, limit 0.08", "dunlin", func(f *Facts) { f.Ring.Runout = Know(unit.MM(0.09)) }, "ring-runout", Caution, practice},
		{"bolts without locker", "lapwing", func(f *Facts) { f.Ring.Locker = Say("no") }, "ring-bolts", Stop, practice},
		{"bolts reused", "lapwing", func(f *Facts) { f.Ring.BoltsNew = Say("no") }, "ring-bolts", Stop, practice},
		{"left-hand bolts will not budge", "curlew", heard("left_hand_bolts"), "left-hand-bolts", Stop, practice},
		{"bolts will not budge on a right-hand axle", "lapwing", heard("left_hand_bolts"), "bolts-stuck", Caution, practice},
		{"left-hand thread said before a wrench touches it", "curlew", func(f *Facts) { f.Step = Say("teardown") }, "left-hand-thread", Note, practice},
		{"ring at 130 °C", "saltmarsh", func(f *Facts) { f.Temp.Ring = Know(unit.Celsius(130)) }, "ring-hot", Caution, practice},
		{"ring at 500 °F, a domestic oven", "lapwing", func(f *Facts) { f.Temp.Ring = Know(unit.Fahrenheit(500)) }, "ring-overheated", Stop,
			"eng-tips thread 340771, quoting a steel stockist's handbook: 8620 carburized HRC 63 at 300 °F, 58 at 450 °F"},
		{"blue colour, torch", "lapwing", heard("ring_overheated"), "ring-overheated", Stop, practice},
		{"bearing over 120 °C", "lapwing", func(f *Facts) { f.Temp.Bearing = Know(unit.Celsius(125)) }, "bearing-overheated", Caution,
			"bearingtrends.com, Bearings heating: never above 120 °C / 250 °F"},
		{"hot parts", "lapwing", func(f *Facts) { f.Temp.Ring, f.Step = Know(unit.Celsius(110)), Say("ring") }, "hot-parts", Note, practice},
		{"chilled parts", "lapwing", heard("frost_on_bearing"), "frost-on-bearing", Caution, practice},
		{"caps swapped", "lapwing", heard("caps_mixed"), "caps-mixed", Stop, practice},
		{"caps unmarked", "lapwing", func(f *Facts) { f.Step, f.Carrier.CapsMarked = Say("as-found"), Say("no") }, "caps-unmarked", Caution, practice},
		{"case spread 18 thou, limit 15", "lapwing", func(f *Facts) { f.Carrier.CaseSpread = Know(unit.Thou(18)) }, "case-over-spread", Stop, practice},
		{"setup bearings for final", "lapwing", heard("setup_bearings_left_in"), "setup-bearings-left-in", Stop, practice},
		{"final bearing taller", "lapwing", func(f *Facts) {
			f.Bearing = BearingFacts{SetupHeight: Know(unit.Inch(1.180)), FinalHeight: Know(unit.Inch(1.183)), Compensated: Say("no")}
		}, "final-bearing-height", Caution, practice},
		{"final bearing taller in a cartridge", "shingle-bank", func(f *Facts) {
			f.Bearing = BearingFacts{SetupHeight: Know(unit.Inch(1.180)), FinalHeight: Know(unit.Inch(1.183)), Compensated: Say("no")}
		}, "final-bearing-height-cartridge", Caution, practice},
		{"match numbers differ", "lapwing", func(f *Facts) { f.Ring.Match, f.Pinion.Match = Say("812"), Say("813") }, "gear-set-mismatched", Stop, practice},
		{"ratio not as ordered", "lapwing", func(f *Facts) {
			f.Ring.Teeth, f.Pinion.Teeth, f.Pinion.Ordered = Know(41.0), Know(10.0), Know(3.73)
		}, "ratio-not-ordered", Caution, "derived: 41/10 is 4.10"},
		{"slinger binned", "curlew", heard("slinger_omitted"), "slinger-omitted", Stop, practice},
		{"off the end of the tooth", "lapwing", heard("pattern_edge"), "pattern-edge", Caution, practice},
		{"edge contact on the final assembly", "lapwing", func(f *Facts) { f.Pattern = PatternFacts{Coast: FlankFacts{Edge: Say("yes")}, Final: Say("yes")} }, "pattern-edge-final", Stop, practice},
		{"skipping the pattern", "lapwing", heard("closing_without_pattern"), "closing-without-pattern", Stop, practice},
		{"cover on and no pattern logged", "lapwing", func(f *Facts) { f.Doing = Say("close") }, "closing-without-pattern", Stop, practice},
		{"closing without cap torque", "lapwing", func(f *Facts) { f.Doing = Say("close") }, "closing-caps", Stop, practice},
		{"closing without final drag", "lapwing", func(f *Facts) { f.Doing = Say("close") }, "closing-drag", Stop, practice},
		{"closing without sign-off", "lapwing", func(f *Facts) { f.Doing = Say("close") }, "closing-sign-off", Stop, practice},
		{"modifier for a clutch-type limited slip", "lapwing", func(f *Facts) { f.Doing = Say("drive") }, "modifier-missing", Caution, practice},
		{"total drag high", "lapwing", func(f *Facts) { f.Drag = DragFacts{Pinion: Know(unit.InLbf(16)), Total: Know(unit.InLbf(26))} }, "total-drag-high", Caution, practice},
		{"final total drag high", "lapwing", func(f *Facts) {
			f.Drag, f.Carrier.Final = DragFacts{Pinion: Know(unit.InLbf(16)), Total: Know(unit.InLbf(26))}, Say("yes")
		}, "total-drag-high-final", Stop, practice},
		{"end play at the finish", "dunlin", func(f *Facts) { f.Carrier = CarrierFacts{EndPlay: Know(unit.MM(0.03)), Final: Say("yes")} }, "no-preload", Stop, practice},
		{"drag 0 at the finish", "lapwing", func(f *Facts) { f.Drag = DragFacts{Pinion: Know(unit.InLbf(0)), Final: Say("yes")} }, "no-preload", Stop, practice},
		{"drag far above range", "curlew", func(f *Facts) {
			f.Drag = DragFacts{Pinion: Know(unit.InLbf(30)), Bearings: Say("new"), Seal: Say("off")}
		}, "drag-far-above", Caution, practice},
		{"adjuster lock missing", "saltmarsh", func(f *Facts) { f.Doing = Say("close") }, "adjuster-lock-missing", Stop, practice},
		{"housing at 260 °F", "lapwing", func(f *Facts) { f.Temp.Housing = Know(unit.Fahrenheit(260)) }, "housing-hot", Stop, practice},
		{"housing heats fast", "lapwing", func(f *Facts) {
			f.Temp = TempFacts{Before: Know(unit.Celsius(30)), Housing: Know(unit.Celsius(70)), Minutes: Know(5.0)}
		}, "housing-heats-fast", Caution, practice},
		{"pinion bearing 35 °F over the carrier", "lapwing", func(f *Facts) {
			f.Temp = TempFacts{PinBrg: Know(unit.Fahrenheit(205)), CarBrg: Know(unit.Fahrenheit(170))}
		}, "pinion-bearing-hot", Caution, practice},
		{"smoke", "lapwing", heard("smoke"), "smoke", Stop, practice},
		{"growl", "lapwing", heard("growl"), "growl", Stop, practice},
		{"run without oil", "lapwing", heard("run_without_oil"), "no-oil", Stop, practice},
		{"chips in the oil", "lapwing", heard("chips_in_oil"), "chips-in-oil", Stop, practice},
		{"towing at 120 miles", "lapwing", func(f *Facts) { f.Heard, f.BreakIn.Distance = []string{"towing_in_break_in"}, Know(120*mile) }, "towing-in-break-in", Caution, practice},
		{"one jack", "lapwing", heard("vehicle_support"), "vehicle-support", Stop, practice},
		{"in gear on stands", "lapwing", heard("running_on_stands"), "running-on-stands", Stop, practice},
		{"rag in the mesh", "lapwing", heard("hands_in_mesh"), "hands-in-mesh", Stop, practice},
		{"air-spun bearing", "lapwing", heard("air_spun_bearing"), "air-spun-bearing", Stop, practice},
		{"hammered bearing", "lapwing", heard("bearing_struck"), "bearing-struck", Stop, practice},
		{"bearing not seated", "lapwing", heard("bearing_not_seated"), "bearing-not-seated", Caution, practice},
		{"20 ton and not moving", "lapwing", heard("press_overload"), "press-overload", Stop, practice},
		{"press and splitter", "lapwing", func(f *Facts) { f.Doing, f.Step = Say("begin"), Say("final-pinion") }, "press-and-splitter", Note, practice},
		{"hammer on hardened steel, ovens", "lapwing", func(f *Facts) { f.Doing, f.Step = Say("begin"), Say("ring") }, "heat-and-hammer", Note, practice},
		{"petrol near a heater", "lapwing", heard("flammable_near_heat"), "flammable-near-heat", Stop, practice},
		{"hot oil on the arm", "lapwing", heard("burn"), "burn", Stop, practice},
		{"dropped the shim", "lapwing", heard("lost_part"), "lost-part", Stop, practice},
		{"shims mixed", "lapwing", heard("shims_mixed"), "shims-mixed", Caution, practice},
		{"just put 8s all round", "lapwing", heard("fabricated_data"), "fabricated-data", Caution, practice},
		{"fake approval", "lapwing", heard("false_approval"), "false-approval", Caution, practice},
		{"injected command", "lapwing", heard("injected_text"), "injected-text", Note, practice},
		{"reused nut", "lapwing", heard("nut_reused"), "nut-reused", Caution, practice},
		{"brake dust", "lapwing", heard("brake_dust"), "brake-dust", Caution, practice},
		{"gear oil on the brakes", "lapwing", heard("oil_on_brakes"), "oil-on-brakes", Stop, practice},
		{"depth and lash at once, 8 and 10 thou", "lapwing", func(f *Facts) { f.Move = MoveFacts{Pinion: Know(unit.Thou(8)), Ring: Know(unit.Thou(-10))} }, "both-at-once", Caution, practice},
		{"depth shim without the pack", "curlew", func(f *Facts) { f.Move = MoveFacts{Depth: Know(unit.Thou(4)), Pack: Know(unit.Thou(0))} }, "pack-not-changed", Caution, practice},
		{"leave it alone", "lapwing", func(f *Facts) {
			center := FlankFacts{Along: Say("center"), Across: Say("center")}
			f.Doing, f.Pattern = Say("move"), PatternFacts{Drive: center, Coast: center}
			f.Lash = LashFacts{Min: Know(unit.Thou(7)), Max: Know(unit.Thou(8))}
		}, "leave-it", Caution, practice},
		{"used set: the old lash", "lapwing", func(f *Facts) {
			f.Gears, f.Lash = Say("used"), LashFacts{Mean: Know(unit.Thou(8)), Old: Know(unit.Thou(13))}
		}, "used-set-old-lash", Note, practice},
		{"service manual and local rules", "lapwing", func(f *Facts) { f.Step = Say("summary") }, "service-manual", Note, practice},
		{"cooled too short", "lapwing", func(f *Facts) { f.BreakIn = BreakInFacts{Cooled: Know(10.0), Cool: Know(30.0)} }, "cooled-too-short", Caution, practice},
	} {
		sheet, err := book.Sheet(row.sheet)
		if err != nil {
			t.Fatal(err)
		}
		f := FromSheet(sheet)
		f.Units = sheet.Units
		row.facts(&f)
		found := false
		got := set.Evaluate(f)
		for _, finding := range got {
			if finding.ID != row.rule {
				continue
			}
			found = true
			if finding.Level != row.level {
				t.Errorf("%s: level %s, want %s (%s)", row.caution, finding.Level, row.level, row.source)
			}
			if finding.Text == "" || finding.Hint == "" {
				t.Errorf("%s: says %q, to do %q", row.caution, finding.Text, finding.Hint)
			}
		}
		if !found {
			t.Errorf("%s: %s did not fire, got %v (%s)", row.caution, row.rule, got, row.source)
		}
	}
}

// TestGoodJobIsQuiet: a finished job with everything in order hears nothing but
// the reminder of the service manual.
func TestGoodJobIsQuiet(t *testing.T) {
	set := shippedSet(t)
	book, _ := LoadBook(nil)
	for _, name := range book.Names() {
		sheet, err := book.Sheet(name)
		if err != nil {
			t.Fatal(err)
		}
		f := FromSheet(sheet)
		center := FlankFacts{Along: Say("center"), Across: Say("center"), Edge: Say("no")}
		f.Step, f.Doing, f.Gears, f.Signed = Say("close-up"), Say("close"), Say("new"), Say("yes")
		low := sheet.Limits.Backlash.Low
		f.Lash = LashFacts{Min: Know(low), Max: Know(low + sheet.Limits.BacklashSpread.High), Mean: Know(low), Count: Know(8.0), Final: Say("yes"), Identical: Say("no")}
		f.Pattern = PatternFacts{Drive: center, Coast: center, Final: Say("yes")}
		f.Drag = DragFacts{Pinion: Know(sheet.Limits.PinionDragNew.High), Bearings: Say("new"), Seal: Say("off"), Final: Say("yes"),
			Total: Know(sheet.Limits.PinionDragNew.High + sheet.Limits.TotalDragAdd.High)}
		f.Sleeve.Is, f.Bearing.Fitted, f.Bearing.Seated = Say("crushed"), Say("final"), Say("yes")
		f.Carrier = CarrierFacts{CapsTorqued: Say("yes"), CapsMarked: Say("yes"), CapsOwn: Say("yes"), Locked: Say("yes"), EndPlay: Know(unit.MM(0)), Final: Say("yes")}
		f.Ring = RingFacts{Runout: Know(sheet.Limits.RingRunout.High), Match: Say("1"), BoltsNew: Say("yes"), Locker: Say("yes")}
		f.Pinion = PinionFacts{Match: Say("1"), Slinger: Say("yes"), NutNew: Say("yes")}
		f.Oil = OilFacts{Filled: Say("yes"), Modifier: Say("yes")}
		for _, finding := range set.Evaluate(f) {
			if finding.ID != "service-manual" {
				t.Errorf("%s: %v", name, finding)
			}
		}
	}
}
