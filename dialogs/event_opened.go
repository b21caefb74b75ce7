package dialogs

import "shimwright/rules"

const kindOpened = "opened"

// opened starts a job.
type opened struct {
	Number int    `json:"number"`
	Sheet  string `json:"sheet"`
	Title  string `json:"title,omitempty"`
	// By what the job was begun; empty in older logs.
	Made Made `json:"made,omitzero"`
}

// Made names the versions in force at some moment.
type Made struct {
	Program string `json:"program,omitempty"`
	Sheet   string `json:"sheet,omitempty"` // mark of the axle sheet
	Rules   string `json:"rules,omitempty"` // mark of the shop's rules
}

// made gives the versions in force now.
func (d *Desk) made(s *rules.Sheet) Made {
	return Made{Program: d.Program, Sheet: s.Mark(), Rules: d.rulesMark()}
}

// rulesMark names the rules in force, empty where they have no mark.
func (d *Desk) rulesMark() string {
	if marked, ok := d.Rules.(interface{ Mark() string }); ok {
		return marked.Mark()
	}
	return ""
}

func (opened) kind() string { return kindOpened }

func (o opened) apply(j *Job, e Entry) {
	j.Number, j.Sheet, j.Title = o.Number, o.Sheet, o.Title
	j.OpenedAt, j.OpenedBy, j.Made = e.At, e.By, o.Made
}
