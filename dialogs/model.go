package dialogs

import (
	"fmt"
	"math"
	"strings"
	"sync"

	"shimwright/calc/contact"
	"shimwright/calc/gearset"
	"shimwright/calc/unit"
	"shimwright/dialogs/phrase"
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
		return []string{v.words.Say("model.none", "why", modelFault(v, m.err))}
	}
	step := unit.Thou(5)
	if v.own == unit.Metric {
		step = unit.MM(0.10)
	}
	var lines []string
	if a.Pinion != 0 {
		lines = append(lines, beside(v, v.words.Say("model.deeper", "step", v.own.Length(step)), step, m.table.Pinion,
			[4]float64{-1, -1, 1, -1}, v.words.Say("model.rule_pinion"))...)
	}
	if a.Ring != 0 {
		lines = append(lines, beside(v, v.words.Say("model.nearer", "step", v.own.Length(step)), step, m.table.Ring,
			[4]float64{-1, -1, -1, -1}, v.words.Say("model.rule_ring"))...)
	}
	if m.assumed > 0 {
		lines = append(lines, v.words.Say("model.assumed", "n", m.assumed, "name", s.Name))
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
	lines := []string{v.words.Say("model.shifts", "move", move, "drive", shiftWords(v.words, model[0], model[1]), "coast", shiftWords(v.words, model[2], model[3]),
		"lash", v.own.Signed(unit.Length(slope.BacklashNormal)*step))}
	var differ []string
	for i, name := range [4]string{v.words.Say("model.drive_along"), v.words.Say("model.drive_across"), v.words.Say("model.coast_along"), v.words.Say("model.coast_across")} {
		if math.Abs(model[i]) >= noticeable && model[i]*practice[i] < 0 {
			differ = append(differ, name)
		}
	}
	if len(differ) == 0 {
		return append(lines, v.words.Say("model.same", "rule", rule))
	}
	return append(lines, v.words.Say("model.differs", "rule", rule, "what", strings.Join(differ, v.words.Say("model.and"))))
}

// noticeable is a shift a person could see on the tooth, of its half width.
const noticeable = 0.02

// shiftWords says a shift of a pattern: 0.11 to the toe and 0.19 down.
func shiftWords(words phrase.Speaker, along, across float64) string {
	var parts []string
	if far := fmt.Sprintf("%.2f", math.Abs(along)); math.Abs(along) >= 0.005 {
		parts = append(parts, pick(along < 0, words.Say("model.toe", "x", far), words.Say("model.heel", "x", far)))
	}
	if far := fmt.Sprintf("%.2f", math.Abs(across)); math.Abs(across) >= 0.005 {
		parts = append(parts, pick(across < 0, words.Say("model.root", "x", far), words.Say("model.top", "x", far)))
	}
	if len(parts) == 0 {
		return words.Say("model.stays")
	}
	return strings.Join(parts, words.Say("model.and"))
}

// modelFault says why there is no contact model, a figure of the sheet; in English only.
func modelFault(v voice, err error) string {
	if v.words.Language == phrase.English {
		return err.Error()
	}
	return ""
}
