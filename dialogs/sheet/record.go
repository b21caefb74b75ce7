// Package sheet is the summary of a job as something to hand on: a Record, which
// package dialogs makes from the log, and three ways of writing it: a printable
// sheet (PDF), JSON and CSV. Equal records give equal bytes.
//
// # The JSON
//
// JSON writes a Record with the field names below. "schema" is 1; a later version
// only adds fields, and raises it where one changes its meaning. Names that begin
// with "text" or are called "name" or "text" are for people, in the record's
// language, figures with their unit as typed; everything a program should use stands
// beside them: "id" of a slot, fact, rule or fastener, "values" in "unit", lengths
// in millimetres as "..._mm". Times are RFC 3339. Empty fields are left out.
//
//	schema, language, units    1, "en" or "es", "inch" or "metric"
//	number, axle, axle_title, title, state
//	                           state is "open", "good" (trials ended well) or "closed"
//	opened, closed             {by, role, at}; closed_reason
//	entries, last              length of the log the record was made from, its last time
//	versions                   program, sheet and rules in force now and at opening
//	result                     [{text, good}] how the job stands against the sheet
//	compared                   [{id, name, before, after, limit, good}]
//	readings                   [{id, name, rows: [Row]}] what was read, by part of the job
//	trials                     [{no, final, stacks, backlash, drive, coast, good, by, at}]
//	stacks                     [{id, name, text, mm, leaves_mm, was_mm, leaves_from}]
//	fasteners                  [{name, torque, thread, extras, k, signed, value, torque_nm,
//	                           shown_nm, wrench_mm, extension_mm, angle_deg}]
//	parts, damage              [Row]
//	cautions                   [{rule, level, text, by, at, closed, closed_by}]
//	skipped                    [{step, field, reason, by, at}]
//	reviews                    [{decision, verb, step, text, by, role, at, lapsed}]
//	corrected                  [{name, first, then, by, at}]
//	break_in                   {legs, reports, first_oil}
//	stages                     [{name, began, minutes}] between first and last entry of each
//	photos                     [{name, about, by, at}]; the pictures are not in the JSON
//	log                        [{entry, at, by, role, kind, text, said, live}]
//
// # The CSV
//
// One line for every reading, stack, fastener, caution, skip, review and correction,
// with the columns job, axle, section, id, name, text, value, unit, mm, by, role, at,
// note. A cell that a spreadsheet would take for a formula gets an apostrophe in
// front of it.
package sheet

import (
	"time"

	"shimwright/dialogs/picture"
)

// Schema is the version of the JSON.
const Schema = 1

// Record is a job, ready to be handed on. Times are in the shop's zone.
type Record struct {
	Schema   int    `json:"schema"`
	Language string `json:"language"`
	Units    string `json:"units"`

	Number       int       `json:"number"`
	Axle         string    `json:"axle"` // the name of the axle sheet
	AxleTitle    string    `json:"axle_title,omitempty"`
	Title        string    `json:"title,omitempty"` // what the job is about
	State        string    `json:"state"`
	StateText    string    `json:"state_text"`
	Opened       Mark      `json:"opened"`
	Closed       *Mark     `json:"closed,omitempty"`
	ClosedReason string    `json:"closed_reason,omitempty"`
	Entries      uint64    `json:"entries"`
	Last         time.Time `json:"last"`
	Versions     Versions  `json:"versions"`

	Result    []Line       `json:"result,omitempty"`
	Compared  []Compared   `json:"compared,omitempty"`
	Readings  []Group      `json:"readings,omitempty"`
	Trials    []Trial      `json:"trials,omitempty"`
	Stacks    []Stack      `json:"stacks,omitempty"`
	Fasteners []Fastener   `json:"fasteners,omitempty"`
	Parts     []Row        `json:"parts,omitempty"`
	Damage    []Row        `json:"damage,omitempty"`
	Oil       string       `json:"oil,omitempty"`
	Cautions  []Caution    `json:"cautions,omitempty"`
	Skipped   []Skipped    `json:"skipped,omitempty"`
	Reviews   []Review     `json:"reviews,omitempty"`
	Corrected []Correction `json:"corrected,omitempty"`
	BreakIn   *BreakIn     `json:"break_in,omitempty"`
	Stages    []Stage      `json:"stages,omitempty"`
	Photos    []Photo      `json:"photos,omitempty"`
	Log       []Entry      `json:"log,omitempty"`
	Standing  string       `json:"standing"` // the sentence that ends every summary

	// Pattern and Round are the pictures of the last trial, nil where nothing is to
	// be drawn.
	Pattern *picture.PatternPicture  `json:"-"`
	Round   *picture.BacklashPicture `json:"-"`
}

// Mark is who did something and when.
type Mark struct {
	By   string    `json:"by,omitempty"`
	Role string    `json:"role,omitempty"`
	At   time.Time `json:"at"`
}

// Versions is by what the job was done and the record made.
type Versions struct {
	Program   string `json:"program"`
	Axle      string `json:"axle"` // mark of the axle sheet's content now
	AxleThen  string `json:"axle_opened_with,omitempty"`
	Rules     string `json:"rules,omitempty"` // mark of the shop's rules now
	RulesThen string `json:"rules_opened_with,omitempty"`
}

// Line is one statement; Good says whether it is as it should be, nil where it
// does not judge.
type Line struct {
	Text string `json:"text"`
	Good *bool  `json:"good,omitempty"`
}

// Compared is a figure as the axle came in and as it leaves.
type Compared struct {
	ID     string `json:"id"`
	Name   string `json:"name"`
	Before string `json:"before,omitempty"`
	After  string `json:"after,omitempty"`
	Limit  string `json:"limit,omitempty"`
	Good   *bool  `json:"good,omitempty"`
}

// Group is a part of the job with what was read in it.
type Group struct {
	ID   string `json:"id"`
	Name string `json:"name"`
	Rows []Row  `json:"rows"`
}

// Row is one reading or statement.
type Row struct {
	ID     string    `json:"id"`
	Name   string    `json:"name"`
	Text   string    `json:"text"`
	Values []float64 `json:"values,omitempty"`
	Unit   string    `json:"unit,omitempty"`
	MM     *float64  `json:"mm,omitempty"` // the (summed) length
	Entry  uint64    `json:"entry,omitempty"`
	Mark
}

// Trial is one trial assembly with what was read on it.
type Trial struct {
	No       int    `json:"no"`
	Final    bool   `json:"final,omitempty"` // on the final bearings
	Stacks   string `json:"stacks,omitempty"`
	Backlash string `json:"backlash,omitempty"`
	Drive    string `json:"drive,omitempty"`
	Coast    string `json:"coast,omitempty"`
	Good     *bool  `json:"good,omitempty"`
	Mark
}

// Stack is a shim stack as it stands in the housing.
type Stack struct {
	ID     string    `json:"id"`
	Name   string    `json:"name"`
	Text   string    `json:"text"` // with its leaves
	MM     *float64  `json:"mm,omitempty"`
	Leaves []float64 `json:"leaves_mm,omitempty"`
	// LeavesFrom is "measured" where the leaves were read one by one, "advised" where
	// they are those of the advice that was built.
	LeavesFrom string   `json:"leaves_from,omitempty"`
	WasMM      *float64 `json:"was_mm,omitempty"`
	Was        string   `json:"was,omitempty"`
	Mark
}

// Fastener is a line of the torque list.
type Fastener struct {
	ID     string `json:"id,omitempty"`
	Name   string `json:"name"`
	Torque string `json:"torque"`
	Thread string `json:"thread,omitempty"`
	Extras string `json:"extras,omitempty"` // thread locker, to be renewed
	Source string `json:"source,omitempty"`
	Signed *Mark  `json:"signed,omitempty"` // nil while nobody did
	Value  string `json:"value,omitempty"`  // the torque that was set, where it was said, with what was on the wrench

	K           float64 `json:"k,omitempty"`            // nut factor of the sheet's figure
	NM          float64 `json:"torque_nm,omitempty"`    // at the fastener
	ShownNM     float64 `json:"shown_nm,omitempty"`     // by the wrench, with an extension across it
	WrenchMM    float64 `json:"wrench_mm,omitempty"`    //
	ExtensionMM float64 `json:"extension_mm,omitempty"` //
	AngleDeg    float64 `json:"angle_deg,omitempty"`    // between them
}

// Caution is a warning that was shown. One at level stop held the job until Closed.
type Caution struct {
	Rule     string `json:"rule"`
	Level    string `json:"level"`
	Text     string `json:"text"`
	Closed   string `json:"closed,omitempty"` // how a stop ended
	ClosedBy string `json:"closed_by,omitempty"`
	Over     bool   `json:"over,omitempty"` // somebody went over it with a reason
	Mark
}

// Skipped is a step or a reading that was left out.
type Skipped struct {
	Step   string `json:"step"`
	Field  string `json:"field,omitempty"`
	Name   string `json:"name"`
	Reason string `json:"reason"`
	Mark
}

// Review is a word of a mentor, or the request for one.
type Review struct {
	Decision string `json:"decision"`
	Name     string `json:"name"`           // the verb and the step
	Verb     string `json:"verb,omitempty"` // what was done, in words
	Step     string `json:"step,omitempty"` // the step's title
	Text     string `json:"text,omitempty"`
	Lapsed   bool   `json:"lapsed,omitempty"` // readings changed after it
	Mark
}

// Correction is an entry that was taken back, with what came in its place.
type Correction struct {
	Name  string `json:"name"`
	First string `json:"first"`
	Then  string `json:"then,omitempty"`
	Mark
}

// BreakIn is the plan for the first drives and what came of it.
type BreakIn struct {
	Legs    []Leg `json:"legs,omitempty"`
	Reports []Row `json:"reports,omitempty"`
}

// Leg is one drive of the plan.
type Leg struct {
	Text string `json:"text"`
	Note string `json:"note,omitempty"`
}

// Stage is how long a part of the job took, from its first entry to the next
// part's.
type Stage struct {
	ID      string    `json:"id"`
	Name    string    `json:"name"`
	Began   time.Time `json:"began"`
	Minutes int       `json:"minutes"`
	Text    string    `json:"text"` // the time for people
}

// Photo is a picture somebody sent.
type Photo struct {
	Name  string `json:"name"`
	About string `json:"about,omitempty"` // the reading it belongs to
	Mark
	// Thumb is the picture made small, JPEG or PNG; empty where it is not at hand.
	Thumb []byte `json:"-"`
}

// Entry is one line of the log, taken back or not.
type Entry struct {
	Entry uint64 `json:"entry"`
	Kind  string `json:"kind"`
	Text  string `json:"text,omitempty"`
	Said  string `json:"said,omitempty"`
	Live  bool   `json:"live"`
	Mark
}
