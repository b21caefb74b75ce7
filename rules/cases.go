package rules

import (
	"maps"
	"slices"
)

// check runs the cases of a rule and looks for what they leave out. It reports
// in the rule's file and says whether the rule can be used.
func (r *Rule) check() bool {
	good := true
	for _, c := range r.fires {
		good = r.run(c, true) && good
	}
	for _, c := range r.quiet {
		good = r.run(c, false) && good
	}
	r.checkLimits()
	r.checkUnread()
	return good
}

// run evaluates one case. A case that leaves the step or the role open is run at
// the first the rule is for.
func (r *Rule) run(c example, want bool) bool {
	env := r.environment(c)
	finding, fired, err := r.evaluate(env)
	if fired && err == nil {
		_, _, err = r.spanish.write(env)
	}
	switch {
	case err != nil && fired:
		r.src.at(c.node, "put that part of the text in [brackets]", "%s fires here, but %v", r.ID, err)
	case err != nil:
		r.src.at(c.node, "", "%s cannot be evaluated here: %v", r.ID, err)
	case fired != want && want:
		r.src.at(c.node, "", "%s should fire here and stays quiet", r.ID)
	case fired != want:
		r.src.at(c.node, "it says: "+short(finding.Text), "%s should be quiet here and fires", r.ID)
	default:
		return true
	}
	return false
}

func (r *Rule) environment(c example) *environment {
	f := c.facts
	if !f.Step.Set && len(r.Steps) > 0 {
		f.Step = Say(r.Steps[0])
	}
	if !f.Role.Set && len(r.Roles) > 0 {
		f.Role = Say(r.Roles[0])
	}
	f.derive()
	return newEnvironment(f)
}

// checkLimits warns of a comparison no case sits on: only such a case tells < from <=.
func (r *Rule) checkLimits() {
	all := slices.Concat(r.fires, r.quiet)
	for _, lim := range r.condition.limits {
		onLimit := slices.ContainsFunc(all, func(c example) bool {
			at, err := lim.at.holds(r.environment(c))
			return err == nil && at
		})
		if !onLimit {
			r.src.look(r.whenN, "add a case with exactly that figure", "%s has no case on its limit: %s", r.ID, lim.text)
		}
	}
}

// checkUnread warns of facts in a case that the rule does not look at, which is
// a case that tests less than it seems to.
func (r *Rule) checkUnread() {
	reads := slices.Concat(r.condition.reads, r.text.reads(), r.hint.reads(), r.spanish.text.reads(), r.spanish.hint.reads())
	for _, path := range slices.Clone(reads) {
		reads = append(reads, derivedFrom(path)...)
	}
	if len(r.Steps) > 0 {
		reads = append(reads, "step")
	}
	if len(r.Roles) > 0 {
		reads = append(reads, "role")
	}
	for _, c := range slices.Concat(r.fires, r.quiet) {
		for _, path := range slices.Sorted(maps.Keys(c.keys)) {
			switch {
			case slices.Contains(reads, path):
			case path == "heard", path == "stated":
			default:
				r.src.look(c.keys[path], "", "%s does not look at %s", r.ID, path)
			}
		}
	}
}
