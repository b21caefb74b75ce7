package main

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strings"

	"shimwright/calc/unit"
	"shimwright/dialogs/listen"
)

// maxReadLine bounds one line of input of the read command, in bytes. Longer
// lines are reported and skipped.
const maxReadLine = 4 << 20

// readRequest is one line of input of the read command.
type readRequest struct {
	Text    *string  `json:"text"`
	Units   string   `json:"units"`
	Context []string `json:"context"`
	Sender  string   `json:"sender"`
	Expect  string   `json:"expect"`
}

// readFailure is the answer to a line that is no request.
type readFailure struct {
	Kind     listen.Kind      `json:"kind"`
	Readings []listen.Reading `json:"readings"`
	Moves    []listen.Move    `json:"moves"`
	Note     string           `json:"note"`
	Error    string           `json:"error"`
}

// runRead answers JSON lines on stdin with one JSON line each: what the message
// in it was understood to say. A line that is no request is answered with an
// error in its place; the exit code is 1 only where reading or writing fails.
func runRead(stdin io.Reader, stdout, stderr io.Writer) int {
	in := bufio.NewReaderSize(stdin, 1<<16)
	out := bufio.NewWriter(stdout)
	enc := json.NewEncoder(out)
	enc.SetEscapeHTML(false)
	for n := 1; ; n++ {
		line, tooLong, err := readLine(in)
		if err != nil && !errors.Is(err, io.EOF) {
			_ = out.Flush() // the read error is the one to report
			fmt.Fprintf(stderr, "reading line %d: %v\n", n, err)
			return 1
		}
		done := err != nil
		if len(bytes.TrimSpace(line)) > 0 || tooLong {
			answer := answerLine(line, tooLong)
			if err := enc.Encode(answer); err != nil {
				fmt.Fprintf(stderr, "writing the answer to line %d: %v\n", n, err)
				return 1
			}
			// one line in, one line out: whoever types waits for it
			if in.Buffered() == 0 {
				if err := out.Flush(); err != nil {
					fmt.Fprintf(stderr, "writing the answer to line %d: %v\n", n, err)
					return 1
				}
			}
		}
		if done {
			break
		}
	}
	if err := out.Flush(); err != nil {
		fmt.Fprintf(stderr, "writing: %v\n", err)
		return 1
	}
	return 0
}

// readLine reads up to a newline. A line over maxReadLine is read to its end and
// dropped.
func readLine(in *bufio.Reader) (line []byte, tooLong bool, err error) {
	for {
		part, err := in.ReadSlice('\n')
		if !tooLong {
			line = append(line, part...)
		}
		if len(line) > maxReadLine {
			line, tooLong = nil, true
		}
		if errors.Is(err, bufio.ErrBufferFull) {
			continue
		}
		return line, tooLong, err
	}
}

// answerLine understands one line of input.
func answerLine(line []byte, tooLong bool) any {
	if tooLong {
		return failure(fmt.Sprintf("the line is longer than %d bytes", maxReadLine))
	}
	line = bytes.TrimPrefix(line, []byte("\ufeff"))
	var req readRequest
	dec := json.NewDecoder(bytes.NewReader(line))
	if err := dec.Decode(&req); err != nil {
		return failure(jsonProblem(err))
	}
	if rest, err := io.ReadAll(io.MultiReader(dec.Buffered(), bytes.NewReader(nil))); err != nil || len(bytes.TrimSpace(rest)) > 0 {
		return failure("more than one JSON value on the line")
	}
	if req.Text == nil {
		return failure(`the line has no "text"`)
	}
	units, ok := unitsOf(req.Units)
	if !ok {
		return failure(fmt.Sprintf("units %q: want inch, metric or none", req.Units))
	}
	return listen.Parse(listen.Input{
		Text: *req.Text, Units: units, Sender: senderOf(req.Sender), Context: req.Context, Expect: listen.What(req.Expect),
	})
}

func failure(what string) readFailure {
	return readFailure{Kind: listen.Ignore, Readings: []listen.Reading{}, Moves: []listen.Move{}, Note: "the line was not read", Error: what}
}

// jsonProblem words a JSON error for people.
func jsonProblem(err error) string {
	var syntax *json.SyntaxError
	var typ *json.UnmarshalTypeError
	switch {
	case errors.As(err, &syntax):
		return fmt.Sprintf("not JSON at byte %d: %v", syntax.Offset, err)
	case errors.As(err, &typ):
		return fmt.Sprintf("%q is a %s, want %s", typ.Field, typ.Value, typ.Type)
	case errors.Is(err, io.ErrUnexpectedEOF):
		return "not JSON: the line ends too early"
	}
	return "not JSON: " + err.Error()
}

func unitsOf(s string) (unit.System, bool) {
	switch strings.ToLower(strings.TrimSpace(s)) {
	case "inch", "inches", "in", "imperial":
		return unit.InchUnits, true
	case "metric", "mm":
		return unit.Metric, true
	case "none", "", "unknown":
		return unit.NoSystem, true
	}
	return unit.NoSystem, false
}

// senderOf reads a role. A role that is not known may report but not approve, as
// a technician.
func senderOf(s string) listen.Sender {
	switch r := listen.Sender(strings.ToLower(strings.TrimSpace(s))); r {
	case listen.Tech, listen.Apprentice, listen.Mentor, listen.Customer, "":
		return r
	}
	return listen.Tech
}
