package dialogs

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"shimwright/calc/estimate"
	"shimwright/dialogs/advise"
	"shimwright/dialogs/listen"
	"shimwright/rules"
)

// Past is a finished job as the shop remembers it: what was built and read on
// each trial assembly, and what it ended with.
type Past struct {
	Number   int
	Sheet    string
	Title    string
	By       string           // who opened it
	At       time.Time        // of the last entry
	Used     bool             // a used gear set, which was not set to the new limits
	Attempts []advise.Attempt // the final assembly's among them
	Trials   int              // trial assemblies, the final one apart
	Build    Build            // as it was finished
	Backlash *Reading         // of the last trial
}

// Remember gives what a job leaves behind for the next one on the same sheet,
// false while its trial loop is not finished.
func (d *Desk) Remember(j *Job) (Past, bool) {
	sheet, err := d.Sheets.Sheet(j.Sheet)
	if err != nil || !j.Finished || len(j.Log) == 0 {
		return Past{}, false
	}
	p := Past{
		Number: j.Number, Sheet: j.Sheet, Title: j.Title, By: j.OpenedBy, At: j.Log[len(j.Log)-1].At,
		Used: j.holds(listen.FactGearSetUsed), Build: j.Trial().Build, Backlash: j.Trial().Backlash,
	}
	for _, t := range j.Trials {
		if t.read() {
			p.Attempts = append(p.Attempts, attemptOf(sheet, t))
			if !t.Final {
				p.Trials++
			}
		}
	}
	return p, len(p.Attempts) > 0
}

// lastTime says what the latest finished job on the sheet ended with.
func lastTime(v voice, s *rules.Sheet, past []Past, now int) string {
	for _, p := range past {
		if p.Number == now || p.Sheet != s.Name {
			continue
		}
		parts := []string{}
		for _, st := range []struct {
			name string
			Stack
		}{{v.words.Say("question.stack_pinion"), p.Build.Pinion}, {v.words.Say("question.stack_left"), p.Build.Left}, {v.words.Say("question.stack_right"), p.Build.Right}, {v.words.Say("question.stack_preload"), p.Build.Preload}} {
			if st.Known {
				parts = append(parts, st.name+" "+v.own.Length(st.Thickness))
			}
		}
		if p.Build.LeftNotches != 0 || p.Build.RightNotches != 0 {
			parts = append(parts, v.words.Say("question.adjusters", "left", fmt.Sprintf("%+g", p.Build.LeftNotches), "right", fmt.Sprintf("%+g", p.Build.RightNotches)))
		}
		if p.Backlash != nil {
			if all := p.Backlash.Lengths(); len(all) > 0 {
				low, high := bounds(all)
				parts = append(parts, v.words.Say("question.lash", "range", v.span(low, high)))
			}
		}
		return v.words.Say("question.last_time", "sheet", s.Name, "n", p.Number, "title", titled(p.Title), "day", p.At.Format("2006-01-02"),
			"parts", strings.Join(parts, ", "), "trials", p.Trials)
	}
	return ""
}

// memory is what finished jobs on the sheet say about this one, nil where there
// are none or the shop's memory is off. A memory that cannot be worked is left out.
func (t *turn) memory() *estimate.Memory {
	jobs := learned(t.sheet, t.said.Past, t.job.Number)
	if t.desk.Learn == nil || len(jobs) == 0 {
		return nil
	}
	var key []byte
	for _, p := range t.said.Past {
		key = strconv.AppendInt(key, int64(p.Number), 10)
		key = append(strconv.AppendInt(append(key, ':'), p.At.Unix(), 10), ',')
	}
	m, err := t.desk.Learn(t.sheet, string(key), jobs)
	if err != nil {
		return nil
	}
	return m
}

// learned gives the trial assemblies of finished jobs on the sheet, new gear sets
// only: a used set ends where it was, not where it is right.
func learned(s *rules.Sheet, past []Past, now int) [][]advise.Attempt {
	var jobs [][]advise.Attempt
	for _, p := range past {
		if p.Number != now && p.Sheet == s.Name && !p.Used {
			jobs = append(jobs, p.Attempts)
		}
	}
	return jobs
}
