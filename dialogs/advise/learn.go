package advise

import (
	"sync"

	"shimwright/calc/estimate"
	"shimwright/rules"
)

// Lessons is what finished jobs taught, kept for the jobs that follow. It is safe
// for many goroutines.
type Lessons struct {
	adviser *Adviser
	kept    sync.Map // lessonKey to *estimate.Memory
}

// LessonsOf makes the lessons of an adviser.
func LessonsOf(ad *Adviser) *Lessons { return &Lessons{adviser: ad} }

// Learn works out what finished jobs on a sheet say about the next one, each job
// with all its attempts; nil where they say nothing. Jobs that cannot be worked
// are left out of the count. The same key and sheet are worked once: the key names
// the set of jobs ("12,9,4").
func (l *Lessons) Learn(s *rules.Sheet, key string, jobs [][]Attempt) (*estimate.Memory, error) {
	if len(jobs) == 0 {
		return nil, nil
	}
	at := lessonKey{sheet: s, jobs: key}
	if m, ok := l.kept.Load(at); ok {
		return m.(*estimate.Memory), nil
	}
	ax, err := l.adviser.axle(s)
	if err != nil {
		return nil, err
	}
	e := estimate.Estimator{Prior: ax.prior, Errors: estimate.DefaultErrors(), Tightest: s.Limits.JudgeBacklash != rules.JudgeMean}
	var all [][]estimate.Attempt
	for _, attempts := range jobs {
		req := Request{Sheet: s, Attempts: attempts}
		if req.check() == nil {
			all = append(all, req.attempts())
		}
	}
	m, err := e.Learn(all)
	if err != nil {
		return nil, err
	}
	lesson := &m
	if m.Jobs == 0 {
		lesson = nil
	}
	// One set of jobs a sheet is enough: an older one is not asked for again.
	l.kept.Range(func(k, _ any) bool {
		if k.(lessonKey).sheet == s {
			l.kept.Delete(k)
		}
		return true
	})
	l.kept.Store(at, lesson)
	return lesson, nil
}

// lessonKey names what was learned from.
type lessonKey struct {
	sheet *rules.Sheet
	jobs  string
}
