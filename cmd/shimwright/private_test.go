package main

import (
	"bytes"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// What a mentor alone is told on the console is seen by going there, and what they answer
// there counts for the look it is about.
func TestWhatAMentorAloneIsToldOnTheConsole(t *testing.T) {
	t.Parallel()
	chat := `ben> open lapwing whine on drive, new gears
ben> skip 2 bare housing
ben> old pinion shim 30, left 250, right 245, old mark +2, new mark -1
ben> skip 4 checked yesterday
ben> done
@mentor> why 33?
ben #1> measured it leaf by leaf
@mentor> looks good
@mentor> reviews
ben #1> done
`
	file := filepath.Join(t.TempDir(), "chat.txt")
	if err := os.WriteFile(file, []byte(chat), 0o600); err != nil {
		t.Fatal(err)
	}
	var out, errOut bytes.Buffer
	if code := run(surroundings{in: strings.NewReader(""), out: &out, errOut: &errOut, getenv: os.Getenv}, []string{"try", "--script", file}); code != exitOK {
		t.Fatalf("exit %d\n%s", code, errOut.String())
	}
	text := out.String()
	for _, want := range []string{
		"@mentor> why 33?\nbot> look 1: job 1, lapwing",
		"bot> answer here: it counts for job 1",
		"bot #1> @ben mentor asks ben: why 33?",
		"bot> approved by mentor: look 1, starting pinion shim.\nbot #1> @ben approved by mentor: look 1, starting pinion shim.",
		"bot #1> next, step 6, ring gear to carrier",
		"bot> over: approved by mentor.",
		"bot> nothing is waiting for you.",
	} {
		if !strings.Contains(text, want) {
			t.Errorf("not there: %q", want)
		}
	}
	if t.Failed() {
		io.WriteString(t.Output(), text)
	}
}
