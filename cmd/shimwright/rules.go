package main

import (
	"fmt"
	"io"
	"io/fs"

	"shimwright/rules"
)

const rulesUsage = `usage: shimwright rules check [DIR]
       shimwright rules [--shop DIR] list
       shimwright rules names

check  every mistake in the rules and sheets of a shop's folder (DIR/rules/*.yaml
       and DIR/sheets/*.yaml, or DIR/*.yaml as rules), and runs the rules' cases;
       without DIR, the shipped ones
list   the rules in force: level, id and where they are from
names  what a rule's condition can name: facts, their words, functions
`

// shopRules checks and lists the rules. It gives the exit code: 0, 1 where there
// are mistakes, 2 where it was called wrongly.
func shopRules(args []string, stdout, stderr io.Writer) int {
	shop, args, code := shopFlag("rules", rulesUsage, args, stdout, stderr)
	if code >= 0 {
		return code
	}
	switch {
	case len(args) == 1 && args[0] == "list":
		set, report := rules.LoadRules(shop, nil)
		for _, r := range set.Rules() {
			from := "shipped"
			if r.Own {
				from = r.File
			}
			fmt.Fprintf(stdout, "%-7s %s (%s)\n", r.Level, r.ID, from)
		}
		return told(report, stderr)
	case len(args) == 1 && args[0] == "names":
		if err := rules.Names(stdout); err != nil {
			fmt.Fprintln(stderr, err)
			return 1
		}
		return 0
	case (len(args) == 1 || len(args) == 2) && args[0] == "check":
		if len(args) == 2 {
			dir, err := openFolder(args[1])
			if err != nil {
				fmt.Fprintln(stderr, err)
				return 1
			}
			shop = dir
		}
		return checkRules(shop, stdout)
	}
	fmt.Fprint(stderr, rulesUsage)
	return 2
}

// checkRules loads a folder, or nil for the shipped rules alone, and prints every
// mistake.
func checkRules(dir fs.FS, stdout io.Writer) int {
	set, book, report := rules.CheckFolder(dir)
	own := 0
	for _, r := range set.Rules() {
		if r.Own {
			own++
		}
	}
	sum := fmt.Sprintf("%s in force, %d of them the shop's; %s; %s", count(len(set.Rules()), "rule"), own, count(set.Cases(), "case"), count(len(book.Names()), "sheet"))
	return closing(report, sum, stdout)
}
