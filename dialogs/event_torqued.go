package dialogs

import (
	"shimwright/calc/fastener"
	"shimwright/calc/unit"
)

const kindTorqued = "torqued"

// torqued signs off a fastener of the sheet's torque list.
type torqued struct {
	Fastener string      `json:"fastener"`            // its name on the sheet
	Torque   unit.Torque `json:"torque_nm,omitempty"` // 0 where only signed
	Unit     string      `json:"unit,omitempty"`      // as typed
	Signed   string      `json:"signed"`              // who answers for it
	Fact     string      `json:"fact,omitempty"`      // what it makes true, such as caps torqued

	// What was on the wrench, where that was not straight on: Torque is then what came
	// to the fastener.
	Lever
	Finish string `json:"finish,omitempty"` // of the threads, where it was said: dry, zinc plated, lubricated
}

// Lever is a torque wrench with an extension across its end.
type Lever struct {
	Shown     unit.Torque `json:"shown_nm,omitempty"` // by the wrench
	Wrench    unit.Length `json:"wrench_mm,omitempty"`
	Extension unit.Length `json:"extension_mm,omitempty"`
	Angle     float64     `json:"angle_deg,omitempty"` // between them; 0 straight ahead
}

// reached gives what comes to the fastener where the wrench shows a torque.
func (l Lever) reached(shown unit.Torque) (unit.Torque, error) {
	return fastener.Reached(shown, l.Wrench, l.Extension, unit.Deg(l.Angle))
}

// setting gives what the wrench has to show for a torque at the fastener.
func (l Lever) setting(at unit.Torque) (unit.Torque, error) {
	return fastener.Setting(at, l.Wrench, l.Extension, unit.Deg(l.Angle))
}

func (torqued) kind() string { return kindTorqued }

func (s torqued) apply(j *Job, e Entry) {
	before := j.Torqued[s.Fastener]
	sign := SignOff{Torque: s.Torque, Unit: s.Unit, Signed: s.Signed, Lever: s.Lever, Finish: s.Finish, entryMeta: metaOf(e)}
	if sign.Torque == 0 {
		sign.Torque, sign.Unit, sign.Lever, sign.Finish = before.Torque, before.Unit, before.Lever, before.Finish // signed after it was torqued
	}
	j.Torqued[s.Fastener] = sign
	if s.Fact != "" {
		j.Facts[s.Fact] = Fact{True: true, entryMeta: metaOf(e)}
	}
}

// SignOff is a fastener signed off.
type SignOff struct {
	Torque unit.Torque // 0 where no figure was given
	Unit   string      // as typed
	Signed string      // who answers for it; By is who entered it
	Lever              // what was on the wrench
	Finish string      // of the threads, as entered
	entryMeta
}
