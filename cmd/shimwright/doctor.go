package main

import (
	"context"
	"encoding/json"
	"flag"
	"fmt"
	"io"
	"io/fs"
	"log/slog"
	"os"
	"os/signal"
	"strings"
	"syscall"
	"time"
	"unicode/utf8"

	"shimwright/bot/discord"
	"shimwright/bot/mattermost"
	"shimwright/dialogs"
	"shimwright/rules"
)

const doctorUsage = `usage: shimwright doctor --config FILE [--json]

Looks at all that serve needs: configuration,
tokens, permissions, channels, clock, store,
rules, sheets and people, and says what to do
about each finding. Nothing is posted. It can
be run while serve runs.

--config FILE  the configuration
--json         for programs

Exit 0 where serve can work, 1 where not.
`

const doctorTime = time.Minute

// Levels of findings.
const (
	fine  = "ok"
	look  = "look"  // it works, and should be looked at
	wrong = "wrong" // it does not work
)

// finding is one thing the doctor looked at.
type finding struct {
	About string `json:"about"`
	Level string `json:"level"`
	What  string `json:"what"`
	Do    string `json:"do,omitempty"`
}

// examination collects findings.
type examination struct {
	c        *config
	about    string
	findings []finding
}

func (e *examination) add(level, do, format string, args ...any) {
	e.findings = append(e.findings, finding{e.about, level, fmt.Sprintf(format, args...), do})
}

func (e *examination) ok(format string, args ...any) { e.add(fine, "", format, args...) }

// doctor looks at everything. It gives the exit code.
func doctor(s surroundings, args []string) int {
	asJSON := false
	file, code := configFlag("doctor", doctorUsage, args, s, func(f *flag.FlagSet) { f.BoolVar(&asJSON, "json", false, "") })
	if code >= 0 {
		return code
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	ctx, cancel := context.WithTimeout(ctx, doctorTime)
	defer cancel()
	c, report := loadConfig(file, s.getenv)
	e := &examination{c: c}
	e.configuration(file, report)
	if c != nil && c.data != "" {
		e.store(ctx)
	}
	if c != nil {
		e.rules()
		e.people()
		e.platforms(ctx)
	}
	if e.show(s.out, asJSON) != nil || e.count(wrong) > 0 {
		return exitFail
	}
	return exitOK
}

func (e *examination) count(level string) int {
	n := 0
	for _, f := range e.findings {
		if f.Level == level {
			n++
		}
	}
	return n
}

func (e *examination) configuration(file string, report *rules.Report) {
	e.about = "configuration"
	e.report(report)
	if report.Mistakes() == 0 {
		e.ok("%s can be used", file)
	}
}

// report turns the problems of files into findings.
func (e *examination) report(report *rules.Report) {
	for _, p := range report.Problems {
		level := wrong
		if p.Warning {
			level = look
		}
		p.Warning = false
		e.add(level, p.Hint, "%s", p)
	}
}

func (e *examination) rules() {
	e.about = "rules and sheets"
	var dir fs.FS
	if e.c.shop != "" {
		var err error
		if dir, err = openFolder(e.c.shop); err != nil {
			e.add(wrong, "make the folder, with rules/ and sheets/ in it, or leave shop: out", "%v", err)
			return
		}
	}
	set, book, report := rules.CheckFolder(dir)
	e.report(report)
	own := 0
	for _, r := range set.Rules() {
		if r.Own {
			own++
		}
	}
	e.ok("%s in force, %d of them the shop's; %s", count(len(set.Rules()), "rule"), own, count(len(book.Names()), "sheet"))
	if dir == nil {
		e.add(look, "name the shop's folder as shop:, with its own sheets in sheets/", "only the sheets that come with the program are there")
	}
}

func (e *examination) people() {
	e.about = "people"
	accounts, roles := 0, map[dialogs.Role]int{}
	for _, p := range e.c.people {
		roles[p.Role]++
		if len(p.Accounts) > 0 {
			accounts++
		}
	}
	for _, g := range e.c.groups {
		roles[g.role]++
	}
	if roles[dialogs.Mentor]+roles[dialogs.Owner] == 0 {
		e.add(look, "give somebody the role mentor or owner", "nobody can review: there is no mentor and no owner")
	}
	e.calls()
	e.ok("%d people, %d of them with an account; %d roles by groups", len(e.c.people), accounts, len(e.c.groups))
}

// calls says who is called on another platform than a job's, and where.
func (e *examination) calls() {
	if e.c.mattermost == nil || e.c.discord == nil {
		return
	}
	reviews := map[string]string{mattermost.Name: e.c.mattermost.reviews, discord.Name: e.c.discord.reviews}
	for _, p := range e.c.people {
		if !p.Role.Reviews() || len(p.Accounts) == 0 {
			continue
		}
		on := p.AskedOn
		for _, name := range []string{mattermost.Name, discord.Name} {
			if _, has := p.Accounts[name]; on == "" && has && len(p.Accounts) == 1 {
				on = name
			}
		}
		switch {
		case on == "":
			e.ok("%s is called where the job is", p.Name)
		case reviews[on] != "":
			e.ok("%s is called on %s, about jobs of the other platform in channel %s", p.Name, on, reviews[on])
		default:
			e.ok("%s is called on %s, about jobs of the other platform in private", p.Name, on)
		}
	}
}

// platforms asks each adapter, and looks at what the configuration says besides.
func (e *examination) platforms(ctx context.Context) {
	log := slog.New(slog.DiscardHandler)
	if m := e.c.mattermost; m != nil && m.token != "" && m.url != "" {
		e.about = mattermost.Name
		a, err := newMattermost(e.c, time.Now, log)
		if err != nil {
			e.add(wrong, "put the configuration right", "%v", err)
		} else {
			for _, f := range a.Check(ctx) {
				e.take(f.OK, f.What, f.Do)
			}
			e.mattermostShop(ctx)
			e.inbound(ctx)
		}
	}
	if d := e.c.discord; d != nil && d.token != "" && d.guild != "" {
		e.about = discord.Name
		seen := *d
		seen.channels = withRulesChannel(withRulesChannel(d.channels, d.rulesChannel), d.reviews)
		a, err := newDiscord(&seen, nil, time.Now, log) // what was read before is serve's
		if err != nil {
			e.add(wrong, "put the configuration right", "%v", err)
			return
		}
		found, err := a.Check(ctx)
		for _, f := range found {
			e.take(f.OK, f.What, f.Do)
		}
		if err == nil {
			e.discordShop(ctx, a)
		}
	}
}

func (e *examination) take(good bool, what, do string) {
	level := wrong
	if good {
		level = fine
	}
	e.add(level, do, "%s", what)
}

// show prints the findings, a phone wide, or as JSON.
func (e *examination) show(w io.Writer, asJSON bool) error {
	bad, looks := e.count(wrong), e.count(look)
	if asJSON {
		enc := json.NewEncoder(w)
		enc.SetEscapeHTML(false)
		enc.SetIndent("", "  ")
		return enc.Encode(struct {
			OK       bool      `json:"ok"`
			Findings []finding `json:"findings"`
		}{bad == 0, e.findings})
	}
	var out strings.Builder
	about := ""
	for _, f := range e.findings {
		if f.About != about {
			about = f.About
			fmt.Fprintln(&out, about)
		}
		fmt.Fprintf(&out, "%-6s%s\n", f.Level, indent(f.What))
		if f.Do != "" {
			fmt.Fprintf(&out, "    → %s\n", indent(f.Do))
		}
	}
	switch {
	case bad > 0:
		fmt.Fprintf(&out, "\n%d wrong, %d to look at: serve does not work so\n", bad, looks)
	case looks > 0:
		fmt.Fprintf(&out, "\nserve can work; %s to look at\n", count(looks, "thing"))
	default:
		fmt.Fprint(&out, "\nall is well\n")
	}
	_, err := io.WriteString(w, out.String())
	return err
}

const (
	phoneWidth = 48
	textColumn = 6
)

// indent breaks a text into lines under its beginning.
func indent(text string) string {
	var out strings.Builder
	for i, line := range strings.Split(strings.TrimSpace(text), "\n") {
		if i > 0 {
			out.WriteString("\n" + strings.Repeat(" ", textColumn))
		}
		at := 0
		for j, word := range strings.Fields(line) {
			n := utf8.RuneCountInString(word)
			switch {
			case j == 0:
			case at+1+n > phoneWidth-textColumn:
				out.WriteString("\n" + strings.Repeat(" ", textColumn))
				at = 0
			default:
				out.WriteByte(' ')
				at++
			}
			out.WriteString(word)
			at += n
		}
	}
	return out.String()
}
