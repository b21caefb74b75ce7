package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"io"
	"strings"
	"testing"
)

// readAll runs the read command over input and gives its lines.
func readAll(t *testing.T, input string) []map[string]any {
	t.Helper()
	var out, errs bytes.Buffer
	if code := runRead(strings.NewReader(input), &out, &errs); code != 0 {
		t.Fatalf("exit %d: %s", code, errs.String())
	}
	var lines []map[string]any
	for _, l := range strings.Split(strings.TrimSuffix(out.String(), "\n"), "\n") {
		if l == "" {
			continue
		}
		var m map[string]any
		if err := json.Unmarshal([]byte(l), &m); err != nil {
			t.Fatalf("%v: %q", err, l)
		}
		if m["readings"] == nil || m["moves"] == nil {
			t.Fatalf("readings and moves are lists, never null: %q", l)
		}
		lines = append(lines, m)
	}
	return lines
}

func TestReadAnswersEachLine(t *testing.T) {
	got := readAll(t, `{"text": "lash 8 8 9 8", "units": "inch"}
{"text": "8", "units": "inch", "context": ["bot: Backlash at position 1?"]}

{"text": "took 0.10 out of the right and put it left", "units": "metric", "sender": "tech"}
{"text": "approved", "units": "inch", "sender": "mentor"}`)
	if len(got) != 4 {
		t.Fatalf("%d answers for four messages and a blank line", len(got))
	}
	for i, want := range []string{"reading", "reading", "move", "review"} {
		if got[i]["kind"] != want {
			t.Errorf("line %d: kind %v, want %s", i+1, got[i]["kind"], want)
		}
	}
	values := got[0]["readings"].([]any)[0].(map[string]any)["values"].([]any)
	if len(values) != 4 || values[2] != 0.009 {
		t.Errorf("values %v", values)
	}
	if m := got[2]["moves"].([]any)[0].(map[string]any); m["from"] != "right" || m["to"] != "left" || m["amount_mm"] != 0.1 || m["amount_in"] != nil {
		t.Errorf("move %v", m)
	}
}

// A line that is no request is answered in its place and the next one is read.
func TestReadGoesOnAfterABadLine(t *testing.T) {
	bad := map[string]string{
		"not JSON":       `{"text": "lash 9"`,
		"has no":         `{"units": "inch"}`,
		"want inch":      `{"text": "lash 9", "units": "furlong"}`,
		"byte 1":         "\x00\x01garbage\x7f",
		"more than one":  `{"text": "lash 9"} {"text": "lash 8"}`,
		`"text" is a`:    `{"text": 9}`,
		"ends too early": `{"text": `,
		`"context" is a`: `{"text": "8", "context": "bot: backlash?"}`,
	}
	for want, line := range bad {
		got := readAll(t, line+"\n"+`{"text": "lash 9", "units": "inch"}`)
		if len(got) != 2 {
			t.Errorf("%q: %d answers, want 2", line, len(got))
			continue
		}
		if got[0]["kind"] != "ignore" || got[0]["error"] == nil || got[0]["note"] == nil {
			t.Errorf("%q: %v", line, got[0])
		} else if msg := got[0]["error"].(string); !strings.Contains(msg, want) || strings.Contains(msg, "\n") {
			t.Errorf("%q: error %q, want it to say %q on one line", line, msg, want)
		}
		if got[1]["kind"] != "reading" {
			t.Errorf("%q: the next line was not read: %v", line, got[1])
		}
	}
}

// Messages that are long, broken or hostile come to one clear answer each.
func TestReadBadText(t *testing.T) {
	long, _ := json.Marshal(map[string]string{"text": strings.Repeat("lash 9, drag 18, what now? ", 4000), "units": "inch"})
	control, _ := json.Marshal(map[string]string{"text": "lash\x00 \x1b[31m9\u202e thou\u200b", "units": "inch"})
	got := readAll(t, string(long)+"\n"+string(control)+"\n"+"{\"text\": \"lash \xff\xfe9\", \"units\": \"inch\"}\n"+`{"text": "", "units": "inch"}`+"\n"+`{"text": "lash 9", "units": "inch", "sender": "owner", "extra": {"a": [1]}}`)
	if len(got) != 5 {
		t.Fatalf("%d answers, want 5", len(got))
	}
	if note := got[0]["note"].(string); !strings.Contains(note, "4000 characters") {
		t.Errorf("a message of 100 kB does not say what was left unread: %q", note)
	}
	if got[1]["kind"] == nil || got[2]["kind"] == nil {
		t.Errorf("%v %v", got[1], got[2])
	}
	if got[3]["kind"] != "ignore" || got[4]["kind"] != "reading" {
		t.Errorf("%v %v", got[3], got[4])
	}
}

func TestReadDropsALineBeyondAllMeasure(t *testing.T) {
	got := readAll(t, `{"text": "`+strings.Repeat("a", maxReadLine+10)+"\"}\n"+`{"text": "lash 9", "units": "inch"}`)
	if len(got) != 2 || got[0]["error"] == nil || got[1]["kind"] != "reading" {
		t.Fatalf("%d answers: %.200v", len(got), got)
	}
}

type failingReader struct{}

func (failingReader) Read([]byte) (int, error) { return 0, errors.New("the cable is out") }

type failingWriter struct{}

func (failingWriter) Write([]byte) (int, error) { return 0, io.ErrClosedPipe }

func TestReadReportsFailures(t *testing.T) {
	var out, errs bytes.Buffer
	if code := runRead(failingReader{}, &out, &errs); code != 1 || !strings.Contains(errs.String(), "the cable is out") {
		t.Errorf("exit %d, %q", code, errs.String())
	}
	errs.Reset()
	if code := runRead(strings.NewReader(`{"text": "lash 9"}`), failingWriter{}, &errs); code != 1 || errs.Len() == 0 {
		t.Errorf("exit %d, %q", code, errs.String())
	}
}
