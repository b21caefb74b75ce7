// Command shimwright is the assistant: its console, and tools for those who keep
// its sheets and rules. It only reads flags, wires and gives exit codes.
package main

import (
	"context"
	"flag"
	"fmt"
	"io"
	"os"
	"strings"
	"time"

	"github.com/redis/go-redis/v9"
)

// Exit codes.
const (
	exitOK    = 0
	exitFail  = 1 // it did not work, or what was checked is not right
	exitUsage = 2 // called wrongly
)

// surroundings is what a command gets from the process.
type surroundings struct {
	in          io.Reader
	out, errOut io.Writer
	getenv      func(string) string
	now         func() time.Time // time.Now outside of tests, and where it is nil
}

// command is one word after the program's name.
type command struct {
	name    string
	summary string
	run     func(s surroundings, args []string) int
}

func commands() []command {
	return []command{
		{"try", "a shop's chat on this terminal, to work in or to try it", try},
		{"serve", "the shop's chat on Discord and Mattermost", serve},
		{"doctor", "what keeps serve from working, and what to do", doctor},
		{"store", "back up, restore, check, compact, export and import what is kept", storeTools},
		{"ask", "one question, one answer, no job: ask \"lash 14, want 8\"", ask},
		{"read", "how messages are understood: JSON lines in, JSON lines out", read},
		{"summary", "a job's summary: a few lines, a printable sheet, JSON or CSV", summaryOf},
		{"recommend", "the next change from readings, for programs: JSON in, JSON out", func(s surroundings, args []string) int {
			return runRecommend(args, s.in, s.out, s.errOut)
		}},
		{"pattern", "what a move does to contact pattern and backlash", func(s surroundings, args []string) int {
			return contactPattern(args, s.out, s.errOut)
		}},
		{"sheets", "list, show and check axle sheets", func(s surroundings, args []string) int {
			return sheets(args, s.out, s.errOut)
		}},
		{"rules", "list and check the shop's rules", func(s surroundings, args []string) int {
			return shopRules(args, s.out, s.errOut)
		}},
	}
}

// silent keeps the Redis client from writing to the terminal what its errors say.
type silent struct{}

func (silent) Printf(context.Context, string, ...any) {}

func main() {
	redis.SetLogger(silent{})
	os.Exit(run(surroundings{in: os.Stdin, out: os.Stdout, errOut: os.Stderr, getenv: os.Getenv, now: time.Now}, os.Args[1:]))
}

func run(s surroundings, args []string) int {
	if s.now == nil {
		s.now = time.Now
	}
	all := commands()
	if len(args) == 0 {
		help(s.out, all)
		return exitOK
	}
	name, rest := args[0], args[1:]
	switch name {
	case "help", "-h", "-help", "--help":
		help(s.out, all)
		return exitOK
	}
	for _, c := range all {
		if c.name == name {
			return c.run(s, rest)
		}
	}
	fmt.Fprintf(s.errOut, "shimwright: there is no command %q", name)
	if near := nearest(name, all); near != "" {
		fmt.Fprintf(s.errOut, "; did you mean %s?", near)
	}
	fmt.Fprintln(s.errOut)
	help(s.errOut, all)
	return exitUsage
}

func help(w io.Writer, all []command) {
	fmt.Fprintln(w, "shimwright guides the setting of a drive axle's ring gear and pinion, in chat.")
	fmt.Fprintln(w)
	for _, c := range all {
		fmt.Fprintf(w, "  shimwright %-9s %s\n", c.name, c.summary)
	}
	fmt.Fprintln(w)
	fmt.Fprintln(w, "shimwright try is the place to begin; every command explains itself with --help.")
}

const readUsage = `usage: shimwright read < MESSAGES

One JSON object a line on standard input:
  {"text": "lash 14", "units": "inch",
   "sender": "tech", "context": ["bot: …"]}
and one a line on standard output: what the
message was understood to say. units is inch,
metric or none; text alone is enough.
`

func read(s surroundings, args []string) int {
	words, code := parseMixed(flag.NewFlagSet("read", flag.ContinueOnError), readUsage, args, s)
	switch {
	case code >= 0:
		return code
	case len(words) > 0:
		fmt.Fprintf(s.errOut, "shimwright read: %q is too much, the messages come on standard input\n%s", words[0], readUsage)
		return exitUsage
	}
	return runRead(s.in, s.out, s.errOut)
}

// nearest gives the command a mistyped name was probably meant for.
func nearest(name string, all []command) string {
	best, least := "", 3
	for _, c := range all {
		if strings.HasPrefix(c.name, name) && len(name) > 1 {
			return c.name
		}
		if d := distance(strings.ToLower(name), c.name); d < least {
			best, least = c.name, d
		}
	}
	return best
}

// distance counts the letters to put in, take out, change or swap between two words.
func distance(a, b string) int {
	before, last := []int(nil), make([]int, len(b)+1)
	for j := range last {
		last[j] = j
	}
	for i := range len(a) {
		row := make([]int, len(b)+1)
		row[0] = i + 1
		for j := range len(b) {
			change := 1
			if a[i] == b[j] {
				change = 0
			}
			row[j+1] = min(row[j]+1, last[j+1]+1, last[j]+change)
			if i > 0 && j > 0 && a[i] == b[j-1] && a[i-1] == b[j] {
				row[j+1] = min(row[j+1], before[j-1]+1)
			}
		}
		before, last = last, row
	}
	return last[len(b)]
}
