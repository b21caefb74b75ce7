package main

import (
	"context"
	"fmt"
	"io"
	"io/fs"
	"log/slog"
	"runtime/debug"
	"time"

	"shimwright/bot"
	"shimwright/calc/unit"
	"shimwright/dialogs"
	"shimwright/dialogs/advise"
	"shimwright/dialogs/listen"
	"shimwright/dialogs/phrase"
	"shimwright/rules"
)

// reloadTime is how often the shop's folder is looked at for changes.
const reloadTime = 2 * time.Second

// desk is the shop's sheets and rules with what reads and reckons.
type desk struct {
	live    *rules.Live
	adviser *advise.Adviser
	lessons *advise.Lessons
	models  *dialogs.Models
	phrases *phrase.Book
	zone    *time.Location // of the shop; nil for UTC
	program string
}

// openDesk loads the shipped sheets and rules and those of the shop's folder over
// them. Mistakes in the shop's files are printed; what has none is in force.
func openDesk(shop string, now func() time.Time, log *slog.Logger, errOut io.Writer) (*desk, error) {
	var dir fs.FS
	if shop != "" {
		var err error
		if dir, err = openFolder(shop); err != nil {
			return nil, err
		}
	}
	live, report := rules.NewLive(dir, now, log)
	if len(report.Problems) > 0 {
		if err := report.Print(errOut); err != nil {
			return nil, err
		}
	}
	phrases, err := phrase.Load()
	if err != nil {
		return nil, err
	}
	adviser := new(advise.Adviser)
	return &desk{live: live, adviser: adviser, lessons: advise.LessonsOf(adviser), models: new(dialogs.Models), phrases: phrases, program: programName()}, nil
}

// now gives the desk with the sheets and rules in force at this moment.
func (d *desk) now() *dialogs.Desk {
	return &dialogs.Desk{Sheets: d.live.Book(), Rules: d.live.Rules(), Advise: d.adviser.Recommend, Listen: listen.Parse, Learn: d.lessons.Learn, Models: d.models, Phrases: d.phrases, Program: d.program, Zone: d.zone}
}

// reload follows the shop's folder until ctx ends.
func (d *desk) reload(ctx context.Context, log *slog.Logger) {
	tick := time.NewTicker(reloadTime)
	defer tick.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
			// A refused reload is in the log of rules.Live; here it is only that the
			// folder cannot be looked at.
			if report, err := d.live.Poll(ctx); err != nil && report == nil {
				log.Warn("the shop's folder cannot be read", "error", err)
			}
		}
	}
}

// programName names this program and its version: the version of the module, or the
// commit it was built from, where the build knows one.
func programName() string {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return "shimwright"
	}
	if v := info.Main.Version; v != "" && v != "(devel)" {
		return "shimwright " + v
	}
	for _, s := range info.Settings {
		if s.Key == "vcs.revision" && len(s.Value) >= 10 {
			return "shimwright " + s.Value[:10]
		}
	}
	return "shimwright (development)"
}

// consolePeople are those who can be played on the console: one of each role.
func consolePeople(units unit.System) []bot.Person {
	person := func(name string, role dialogs.Role) bot.Person {
		return bot.Person{Name: name, Role: role, Units: units, Accounts: map[string]bot.UserID{"console": bot.UserID(name)}}
	}
	return []bot.Person{
		person("ann", dialogs.Technician), person("ben", dialogs.Apprentice), person("mentor", dialogs.Mentor),
		person("owner", dialogs.Owner), person("customer", dialogs.Customer),
	}
}

func namesOf(people []bot.Person) []string {
	names := make([]string, len(people))
	for i, p := range people {
		names[i] = p.Name
	}
	return names
}

// systemFlag reads --units.
func systemFlag(text string) (unit.System, error) {
	switch text {
	case "":
		return unit.NoSystem, nil
	case string(unit.InchUnits), string(unit.Metric):
		return unit.System(text), nil
	}
	return unit.NoSystem, fmt.Errorf("--units is inch or metric, not %q", text)
}
