package rules

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"log/slog"
	"slices"
)

// Set is the rules in force: the shipped ones with the shop's own over them. It
// does not change once it is loaded, so any number of readers may share it.
type Set struct {
	rules []*Rule
	log   *slog.Logger
	mark  string // see Mark
}

// LoadRules reads the shipped rules and the files rules/*.yaml of the shop's
// folder, which may be nil, checks them and runs their cases. A rule of the shop
// replaces the shipped one of the same id; "off" lists ids that are not wanted.
// The report has every mistake. Rules without one are in the set.
func LoadRules(shop fs.FS, log *slog.Logger) (*Set, *Report) {
	return newGround().under(shop, ruleFolder, log)
}

// ground is the shipped rules, read and checked once, that any number of sets can
// be built on one after another.
type ground struct {
	language *language
	set      Set
	report   Report
}

func newGround() *ground {
	g := &ground{language: newLanguage()}
	g.set.load(g.language, shipped, shippedRules, false, &g.report)
	return g
}

// under builds a set of the shipped rules with those of a shop's folder over
// them.
func (g *ground) under(shop fs.FS, folder string, log *slog.Logger) (*Set, *Report) {
	if log == nil {
		log = discard()
	}
	report := &Report{Problems: slices.Clone(g.report.Problems)}
	s := &Set{log: log, rules: slices.Clone(g.set.rules)}
	if shop != nil {
		s.load(g.language, shop, folder, true, report)
	}
	s.listened(report)
	report.sort()
	s.mark = s.digest()
	return s, report
}

// CheckFolder loads a folder a shop edits the way the program does and gives
// every mistake in it: rules/*.yaml and sheets/*.yaml, or, where it has neither
// folder, its own *.yaml as rules.
func CheckFolder(dir fs.FS) (*Set, *Book, *Report) {
	if dir == nil {
		dir = emptyFolder{}
	}
	folder := "."
	for _, sub := range []string{ruleFolder, sheetFolder} {
		if info, err := fs.Stat(dir, sub); err == nil && info.IsDir() {
			folder = ruleFolder
		}
	}
	set, report := newGround().under(dir, folder, nil)
	book, sheets := LoadBook(dir)
	report.Problems = append(report.Problems, sheets.Problems...)
	return set, book, report
}

// discard is a log nobody reads.
func discard() *slog.Logger { return slog.New(slog.DiscardHandler) }

// shippedRules is the folder of the shipped rules.
const shippedRules = "shop"

// load reads the rule files of a folder into the set.
func (s *Set) load(l *language, dir fs.FS, folder string, own bool, report *Report) {
	here := map[string]*Rule{} // the ids of this folder
	for _, file := range yamlFiles(dir, folder, report) {
		data, ok := readFile(dir, file, report)
		if !ok {
			continue
		}
		read := readRules(l, file, data, report)
		for _, r := range read.rules {
			r.Own = own
			if first := here[r.ID]; first != nil {
				r.src.at(r.node, "", "a second rule %q, first in %s line %d", r.ID, first.File, first.node.Line)
				continue
			}
			here[r.ID] = r
			if r.check() {
				s.put(r)
			}
		}
		for _, o := range read.off {
			s.switchOff(o)
		}
	}
}

// put adds a rule, or puts it in the place of the one of the same id.
func (s *Set) put(r *Rule) {
	if i := s.index(r.ID); i >= 0 {
		s.rules[i] = r
		return
	}
	s.rules = append(s.rules, r)
}

func (s *Set) index(id string) int {
	return slices.IndexFunc(s.rules, func(r *Rule) bool { return r.ID == id })
}

func (s *Set) switchOff(o offEntry) {
	i := s.index(o.id)
	if i < 0 {
		var ids []string
		for _, r := range s.rules {
			ids = append(ids, r.ID)
		}
		o.src.at(o.node, suggest(o.id, ids), "off: there is no rule %q", short(o.id))
		return
	}
	if s.rules[i].Level == Stop {
		o.src.look(o.node, "", "off: %s is a stop; without it nothing holds the job", o.id)
	}
	s.rules = slices.Delete(s.rules, i, i+1)
}

// listened warns of dangers a message can name that no rule answers.
func (s *Set) listened(report *Report) {
	for _, id := range Dangers() {
		answered := slices.ContainsFunc(s.rules, func(r *Rule) bool { return slices.Contains(r.condition.hears, id) })
		if !answered {
			report.Problems = append(report.Problems, Problem{File: "rules", Warning: true,
				Text: fmt.Sprintf("no rule answers when %q is heard in a message", id)})
		}
	}
}

// Rules lists the rules in force, in the order of their files.
func (s *Set) Rules() []Rule {
	out := make([]Rule, len(s.rules))
	for i, r := range s.rules {
		out[i] = *r
	}
	return out
}

// Cases counts the cases the rules carry.
func (s *Set) Cases() int {
	n := 0
	for _, r := range s.rules {
		n += len(r.fires) + len(r.quiet)
	}
	return n
}

// Evaluate gives what the rules have to say about the facts: stops first, then
// cautions, then notes, each in the order of the files. A rule that cannot be
// evaluated is logged and the others go on; it never panics.
func (s *Set) Evaluate(f Facts) []Finding {
	f.derive()
	env := newEnvironment(f)
	var out []Finding
	for _, r := range s.rules {
		finding, fired, err := r.evaluate(env)
		if err != nil {
			s.log.LogAttrs(context.Background(), slog.LevelError, "a rule could not be evaluated",
				slog.String("rule", r.ID), slog.String("file", r.File), slog.String("why", err.Error()))
		}
		if fired {
			out = append(out, finding)
		}
	}
	slices.SortStableFunc(out, func(a, b Finding) int { return cmp.Compare(a.Level.rank(), b.Level.rank()) })
	return out
}

// rank orders the levels, the loudest first.
func (l Level) rank() int { return slices.Index([]Level{Stop, Caution, Note}, l) }

// evaluate runs one rule. A rule that fires is given even where its text could
// not be filled in, together with the error.
func (r *Rule) evaluate(env *environment) (Finding, bool, error) {
	if !r.concerns(env) {
		return Finding{}, false, nil
	}
	fired, err := r.condition.holds(env)
	if err != nil || !fired {
		return Finding{}, false, err
	}
	text, hint, err := r.saying.write(env)
	out := Finding{ID: r.ID, Level: r.Level, Text: text, Hint: hint, English: text}
	if env.Language == "es" && len(r.spanish.text) > 0 {
		out.Text, out.Hint, err = r.spanish.write(env)
	}
	return out, true, err
}

func (s saying) write(env *environment) (text, hint string, err error) {
	text, textErr := s.text.write(env)
	hint, hintErr := s.hint.write(env)
	return text, hint, errors.Join(textErr, hintErr)
}

// concerns says whether the rule is for this step and this person.
func (r *Rule) concerns(env *environment) bool {
	in := func(list []string, w Word) bool { return len(list) == 0 || w.Set && slices.Contains(list, w.Value) }
	return in(r.Steps, env.Step) && in(r.Roles, env.Role)
}

// emptyFolder is a folder with nothing in it.
type emptyFolder struct{}

func (emptyFolder) Open(name string) (fs.File, error) {
	return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrNotExist}
}
