package rules

import (
	"slices"
	"strings"

	"go.yaml.in/yaml/v4"
)

// Reviews says at which steps a mentor looks before the job goes on, by who
// entered what is on record there.
type Reviews struct {
	Apprentice []string // step ids, see Vocabulary
	Technician []string
	Remind     float64 // minutes until a mentor who has not answered is reminded
}

// show writes the steps as the sheet has them.
func (r Reviews) show(p *pageWriter) {
	p.heading("a mentor looks at")
	for _, who := range []struct {
		name  string
		steps []string
	}{{"an apprentice's", r.Apprentice}, {"a technician's", r.Technician}} {
		steps := "nothing"
		if len(who.steps) > 0 {
			steps = strings.Join(who.steps, ", ")
		}
		p.wrapped(" ", who.name+": "+steps)
	}
	p.wrapped(" ", "reminded after "+trim(r.Remind)+" min")
}

// Of gives the steps of a role as Facts has it; a mentor's own figures need no
// second pair of eyes.
func (r Reviews) Of(role string) []string {
	switch role {
	case "apprentice":
		return r.Apprentice
	case "tech", "technician":
		return r.Technician
	}
	return nil
}

// DefaultReviews is what a sheet without the key means: an apprentice's gear set
// is looked at wherever a slip costs a teardown, a technician's before the cover
// goes on. Common practice, no source.
func DefaultReviews() Reviews {
	return Reviews{
		Apprentice: []string{"start-shim", "loop", "final-pinion", "final-carrier", "close-up"},
		Technician: []string{"close-up"},
		Remind:     15,
	}
}

// ReviewSteps are the steps that can be looked at.
func ReviewSteps() []string {
	return slices.DeleteFunc(vocabulary("step"), func(s string) bool { return s == "finished" })
}

// readReviews reads the steps by role; a role that is left out keeps the default.
func (r *sheetReader) readReviews(n *yaml.Node) {
	to := &r.sheet.Reviews
	steps := func(to *[]string) func(*yaml.Node) {
		return func(n *yaml.Node) {
			*to = nil
			r.reviewSteps(to)(n)
		}
	}
	r.mapping(n, "reviews",
		may("apprentice", steps(&to.Apprentice)),
		may("technician", steps(&to.Technician)),
		may("remind", r.minutes("time until the mentor is reminded", 1, 1440, &to.Remind)),
	)
}

// reviewSteps reads a list of steps, each once and in the order of the job.
func (s *source) reviewSteps(to *[]string) func(*yaml.Node) {
	return func(n *yaml.Node) {
		var named []string
		s.words("steps", ReviewSteps(), &named)(n)
		for _, step := range ReviewSteps() {
			if slices.Contains(named, step) {
				*to = append(*to, step)
			}
		}
	}
}

// ReviewSteps reads a list of steps that a mentor looks at.
func (f *Form) ReviewSteps(to *[]string) func(*yaml.Node) { return f.s.reviewSteps(to) }
