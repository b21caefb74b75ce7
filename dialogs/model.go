package dialogs

import (
	"fmt"
	"math"
	"strings"
	"sync"

	"shimwright/calc/contact"
	"shimwright/calc/gearset"
	"shimwright/calc/unit"
	"shimwright/rules"
)

// modelLines sets what the contact model computes for this axle beside the rule of
// practice, for the moves an advice makes: how far a usual step moves each
// pattern, in half face widths and half depths, and which way practice says it
// goes. It gives nothing where the model cannot be made; that is logged nowhere
// else, so the line says so.
func modelLines(models *Models, v voice, s *rules.Sheet, a Advice) []string {
	if a.Pinion == 0 && a.Ring == 0 {
		return nil
	}
	m := models.of(s)
	if m.err != nil {
		return []string{"no contact model for this sheet: " + m.err.Error()}
	}
	step := unit.Thou(5)
	if v.own == unit.Metric {
		step = unit.MM(0.10)
	}
	var lines []string
	if a.Pinion != 0 {
		lines = append(lines, beside(v, "pinion "+v.own.Length(step)+" deeper", step, m.table.Pinion,
			[4]float64{-1, -1, 1, -1}, "drive to the toe and root, coast to the heel and root")...)
	}
	if a.Ring != 0 {
		lines = append(lines, beside(v, "ring "+v.own.Length(step)+" towards the pinion", step, m.table.Ring,
			[4]float64{-1, -1, -1, -1}, "drive and coast to the toe, a bit lower")...)
	}
	if m.assumed > 0 {
		lines = append(lines, fmt.Sprintf("%d figures of the gears were not on the sheet and taken as usual; shimwright pattern --sheet %s lists them", m.assumed, s.Name))
	}
	return lines
}

// Models keeps what the contact model computes for each sheet, which takes longer
// than all the rest of an answer. Its zero value is ready; nil computes each time.
type Models struct {
	mu   sync.Mutex
	kept map[*rules.Sheet]gearModel
}

// modelsKept bounds the memory of Models; a shop has fewer sheets.
const modelsKept = 256

// gearModel is the table of one sheet, or why there is none.
type gearModel struct {
	table   contact.Table
	assumed int // figures that were not on the sheet
	err     error
}

func (m *Models) of(s *rules.Sheet) gearModel {
	if m == nil {
		return newGearModel(s)
	}
	m.mu.Lock()
	g, ok := m.kept[s]
	m.mu.Unlock()
	if ok {
		return g
	}
	g = newGearModel(s)
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.kept == nil || len(m.kept) >= modelsKept {
		m.kept = map[*rules.Sheet]gearModel{}
	}
	m.kept[s] = g
	return g
}

func newGearModel(s *rules.Sheet) (g gearModel) {
	set, err := gearset.Complete(s.GearSet())
	if err != nil {
		return gearModel{err: err}
	}
	gear, err := contact.FromSet(set)
	if err != nil {
		return gearModel{err: err}
	}
	gear.ReverseCut = s.Pinion.ReverseCut
	m, err := contact.New(gear, contact.Options{})
	if err != nil {
		return gearModel{err: err}
	}
	g.assumed = len(set.Assumed)
	g.table, g.err = m.Sensitivities()
	return g
}

// beside says a slope of the model, and the rule of practice with its signs (drive
// along, drive across, coast along, coast across) where they agree or differ.
// Source of the rules: common practice, no source.
func beside(v voice, move string, step unit.Length, slope contact.Slope, practice [4]float64, rule string) []string {
	d := step.MM()
	model := [4]float64{slope.DriveAlong * d, slope.DriveAcross * d, slope.CoastAlong * d, slope.CoastAcross * d}
	lines := []string{fmt.Sprintf("%s, model: drive %s, coast %s, lash %s",
		move, shiftWords(model[0], model[1]), shiftWords(model[2], model[3]), v.own.Signed(unit.Length(slope.BacklashNormal)*step))}
	var differ []string
	for i, name := range [4]string{"drive along the tooth", "drive up and down", "coast along the tooth", "coast up and down"} {
		if math.Abs(model[i]) >= noticeable && model[i]*practice[i] < 0 {
			differ = append(differ, name)
		}
	}
	if len(differ) == 0 {
		return append(lines, "practice says the same: "+rule)
	}
	return append(lines, "practice says "+rule+"; the model differs for "+strings.Join(differ, " and ")+" on these gears")
}

// noticeable is a shift a person could see on the tooth, of its half width.
const noticeable = 0.02

// shiftWords says a shift of a pattern: 0.11 to the toe and 0.19 down.
func shiftWords(along, across float64) string {
	var parts []string
	if math.Abs(along) >= 0.005 {
		parts = append(parts, fmt.Sprintf("%.2f to the %s", math.Abs(along), pick2(along < 0, "toe", "heel")))
	}
	if math.Abs(across) >= 0.005 {
		parts = append(parts, fmt.Sprintf("%.2f to the %s", math.Abs(across), pick2(across < 0, "root", "top")))
	}
	if len(parts) == 0 {
		return "stays"
	}
	return strings.Join(parts, " and ")
}
