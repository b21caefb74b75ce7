package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// shopFolder writes files under a new folder and gives its path.
func shopFolder(t *testing.T, files map[string]string) string {
	t.Helper()
	dir := t.TempDir()
	for name, text := range files {
		path := filepath.Join(dir, name)
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

const ownRule = `rules:
  - id: bay-rule
    level: note
    when: lash.min < thou(7)
    text: "this bay wants {thou(7)} or more"
    cases: {fires: [{lash.min: 0.006 in}], quiet: [{lash.min: 0.007 in}]}
`

// TestRuleAndSheetCommands: what each command prints, where, and its exit code.
func TestRuleAndSheetCommands(t *testing.T) {
	good := shopFolder(t, map[string]string{"rules/own.yaml": ownRule})
	bad := shopFolder(t, map[string]string{
		"rules/own.yaml":   strings.Replace(ownRule, "lash.min <", "lash.mim <", 1),
		"rules/two.yaml":   "rules:\n  - level: shout\n",
		"sheets/half.yaml": "title: half\nunits: inhc\n",
	})
	bare := shopFolder(t, map[string]string{"own.yaml": ownRule})
	sheetFile := filepath.Join(bad, "sheets/half.yaml")
	for _, row := range []struct {
		name    string
		command func([]string, *bytes.Buffer, *bytes.Buffer) int
		args    []string
		code    int
		stdout  []string // parts, in order
		stderr  []string
	}{
		{"list", runSheets, []string{"list"}, 0, []string{"curlew\ndunlin\nlapwing\nsaltmarsh\nshingle-bank\n"}, nil},
		{"show", runSheets, []string{"show", "Dunlin"}, 0, []string{"dunlin\n", "backlash:\n   0.15 to 0.25 mm (0.0059 to 0.0098 in) [1]", "[1] example, replace with the service"}, nil},
		{"source", runSheets, []string{"source", "dunlin"}, 0, []string{"title:", "units: metric", "side: right"}, nil},
		{"unknown", runSheets, []string{"show", "dunlni"}, 1, nil, []string{`unknown sheet "dunlni", did you mean "dunlin"?`}},
		{"no command", runSheets, nil, 2, nil, []string{"usage: shimwright sheets"}},
		{"no name", runSheets, []string{"show"}, 2, nil, []string{"usage: shimwright sheets"}},
		{"help", runSheets, []string{"-h"}, 0, nil, []string{"usage: shimwright sheets"}},
		{"unknown flag", runSheets, []string{"--nope", "list"}, 2, nil, []string{"not defined: -nope"}},
		{"no shop", runSheets, []string{"--shop", filepath.Join(bad, "nowhere"), "list"}, 1, nil, []string{"nowhere: the folder cannot be opened: no such file or directory"}},
		{"shop is a file", runSheets, []string{"--shop", sheetFile, "list"}, 1, nil, []string{"is a file, want a folder"}},
		{"list with a broken sheet", runSheets, []string{"--shop", bad, "list"}, 1, []string{"curlew\n"}, []string{`sheets/half.yaml:2:8: units is "inhc"`, `did you mean "inch"?`}},
		{"show a broken sheet", runSheets, []string{"--shop", bad, "show", "half"}, 1, nil, []string{"the sheet has mistakes: sheets/half.yaml:1:1:", "(and 1 more)"}},
		{"check a sheet", runSheets, []string{"check", sheetFile}, 1, []string{"half.yaml:1:1: the sheet has no ring", "^", `half.yaml:2:8: units is "inhc", which it cannot be`, "  units: inhc\n", "         ^", `did you mean "inch"?`, "0 of 1 sheet can be used; 2 mistakes\n"}, nil},
		{"check what is not there", runSheets, []string{"check", filepath.Join(bad, "x.yaml"), bad}, 1, []string{"x.yaml: the file cannot be read: no such file or directory", "it is a folder", "0 of 2 sheets can be used; 2 mistakes"}, nil},
		{"shipped rules", runRules, []string{"check"}, 0, []string{"rules in force, 0 of them the shop's;", "; 5 sheets; no mistakes\n"}, nil},
		{"good folder", runRules, []string{"check", good}, 0, []string{"rules in force, 1 of them the shop's;", "no mistakes\n"}, nil},
		{"folder of rules alone", runRules, []string{"check", bare}, 0, []string{"1 of them the shop's;", "no mistakes\n"}, nil},
		{"bad folder", runRules, []string{"check", bad}, 1, []string{`rules/own.yaml:4:11: when: there is no fact "lash.mim"`, "            ^", `did you mean "lash.min"?`,
			"rules/two.yaml:2:5: the rule has no id, when, text, cases", `rules/two.yaml:2:12: level is "shout"`, "sheets/half.yaml:1:1", "5 mistakes\n"}, nil},
		{"no folder", runRules, []string{"check", filepath.Join(bad, "nowhere")}, 1, nil, []string{"the folder cannot be opened"}},
		{"rules list", runRules, []string{"--shop", good, "list"}, 0, []string{"stop    no-lash (shipped)\n", "note    bay-rule (rules/own.yaml)\n"}, nil},
		{"rules names", runRules, []string{"names"}, 0, []string{"lash.min: a length\n", "phase: a word (before, build, after)\n", "near(figure, figure, tolerance): a condition\n", "thou(number): a length\n"}, nil},
		{"too much", runRules, []string{"check", "a", "b"}, 2, nil, []string{"usage: shimwright rules"}},
	} {
		t.Run(row.name, func(t *testing.T) {
			var stdout, stderr bytes.Buffer
			if code := row.command(row.args, &stdout, &stderr); code != row.code {
				t.Errorf("exit code %d, want %d\n%s%s", code, row.code, &stdout, &stderr)
			}
			inOrder(t, "stdout", stdout.String(), row.stdout)
			inOrder(t, "stderr", stderr.String(), row.stderr)
		})
	}
}

func runSheets(args []string, stdout, stderr *bytes.Buffer) int { return sheets(args, stdout, stderr) }
func runRules(args []string, stdout, stderr *bytes.Buffer) int {
	return shopRules(args, stdout, stderr)
}

// inOrder says whether a text has the parts one after another; no parts means
// that it is empty.
func inOrder(t *testing.T, name, text string, parts []string) {
	t.Helper()
	if len(parts) == 0 && text != "" {
		t.Errorf("%s should be empty: %s", name, text)
	}
	rest := text
	for _, part := range parts {
		_, after, ok := strings.Cut(rest, part)
		if !ok {
			t.Errorf("%s has no %q after what came before it:\n%s", name, part, text)
			return
		}
		rest = after
	}
}
