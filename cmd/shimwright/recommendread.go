package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"maps"
	"math"
	"slices"
	"strings"

	"shimwright/calc/unit"
	"shimwright/dialogs"
	"shimwright/dialogs/advise"
	"shimwright/rules"
)

// attemptsJSON is what recommend reads.
type attemptsJSON struct {
	Attempts []attemptJSON `json:"attempts"`
	Used     *usedJSON     `json:"used"`
	Final    *finalJSON    `json:"final_bearings"`
}

// attemptJSON is one trial assembly. Lengths are in its unit.
type attemptJSON struct {
	Shims    map[string]*float64 `json:"shims"`   // pinion, left, right, preload
	Notches  map[string]*float64 `json:"notches"` // left, right: where the adjusters stand, tightened positive
	Unit     string              `json:"unit"`
	Backlash []float64           `json:"backlash"`
	Drive    markJSON            `json:"drive"`
	Coast    markJSON            `json:"coast"`
	Reseated bool                `json:"reseated"` // a bearing was changed or seated anew before it
	Sure     bool                `json:"sure"`     // read again, and it stands
}

// usedJSON is where a used gear set ran before.
type usedJSON struct {
	Unit     string   `json:"unit"`
	Backlash float64  `json:"backlash"`
	Drive    markJSON `json:"drive"`
	Coast    markJSON `json:"coast"`
}

// finalJSON is what the final bearings will do.
type finalJSON struct {
	Unit       string  `json:"unit"`
	HeadTaller float64 `json:"head_taller"`
	RingShift  float64 `json:"ring_shift"`
}

// markJSON is a pattern: {"along": …, "across": …}, {"cell": 5}, or a bare cell.
type markJSON struct{ mark advise.Mark }

// Words of a pattern, as places on the tooth: the middle of the third.
var (
	alongWords  = map[string]float64{"toe": -2. / 3, "center": 0, "centre": 0, "middle": 0, "heel": 2. / 3}
	acrossWords = map[string]float64{"flank": -2. / 3, "root": -2. / 3, "low": -2. / 3, "center": 0, "centre": 0, "middle": 0, "face": 2. / 3, "top": 2. / 3, "high": 2. / 3}
)

func (m *markJSON) UnmarshalJSON(data []byte) error {
	data = bytes.TrimSpace(data)
	if bytes.Equal(data, []byte("null")) {
		return nil
	}
	if data[0] != '{' {
		return m.cell(data)
	}
	var fields map[string]json.RawMessage
	if err := json.Unmarshal(data, &fields); err != nil {
		return err
	}
	if _, both := fields["cell"]; both && len(fields) > 1 {
		return errors.New("a pattern is a cell, or along and across, not both")
	}
	for name, value := range fields {
		var err error
		a := &m.mark
		switch name {
		case "along":
			a.Along, a.AlongKnown, a.AlongFine, err = place(value, alongWords, "toe, center or heel")
		case "across":
			a.Across, a.AcrossKnown, a.AcrossFine, err = place(value, acrossWords, "face, center or flank")
		case "cell":
			err = m.cell(value)
		default:
			err = fmt.Errorf("a pattern has along and across, or cell, not %q", name)
		}
		if err != nil {
			return fmt.Errorf("%s: %w", name, err)
		}
	}
	return nil
}

// cell reads a cell of the tooth: 1 toe top, 2 centre top, 3 heel top, then the
// middle row and the root.
func (m *markJSON) cell(data []byte) error {
	var n float64
	if err := json.Unmarshal(data, &n); err != nil || n != math.Trunc(n) || n < 1 || n > 9 {
		return fmt.Errorf("a cell is a whole number from 1 (toe, top) to 9 (heel, root), not %s", clip(data))
	}
	i := int(n) - 1
	m.mark = advise.Mark{Along: float64(i%3-1) * 2 / 3, Across: float64(1-i/3) * 2 / 3, AlongKnown: true, AcrossKnown: true}
	return nil
}

// place reads a word or a number from −1 to 1.
func place(data []byte, words map[string]float64, choices string) (at float64, known, fine bool, err error) {
	if bytes.Equal(data, []byte("null")) {
		return 0, false, false, nil
	}
	var word string
	if json.Unmarshal(data, &word) == nil {
		if at, known = words[strings.ToLower(strings.TrimSpace(word))]; !known {
			return 0, false, false, fmt.Errorf("%s is not %s, or a number from -1 to 1", clip(data), choices)
		}
		return at, true, false, nil
	}
	if err := json.Unmarshal(data, &at); err != nil || !(math.Abs(at) <= 1) {
		return 0, false, false, fmt.Errorf("%s is not %s, or a number from -1 to 1", clip(data), choices)
	}
	return at, true, true, nil
}

// clip shortens what was typed for a message.
func clip(data []byte) string {
	if len(data) > 40 {
		return string(data[:40]) + "…"
	}
	return string(data)
}

// mostInput bounds what recommend reads.
const mostInput = 1 << 20

// readAttempts reads the JSON of a request. A name it does not know is an error,
// so that a slip of the pen is not taken for a missing reading.
func readAttempts(r io.Reader) (in attemptsJSON, err error) {
	data, err := io.ReadAll(io.LimitReader(r, mostInput+1))
	if err != nil {
		return in, fmt.Errorf("standard input cannot be read: %w", err)
	}
	if len(data) > mostInput {
		return in, fmt.Errorf("standard input is over %d bytes", mostInput)
	}
	if len(bytes.TrimSpace(data)) == 0 {
		return in, errors.New("nothing on standard input, want the attempts as JSON")
	}
	if err := knownNames(data); err != nil {
		return in, err
	}
	if err := json.Unmarshal(data, &in); err != nil {
		return in, plainJSON(err, data)
	}
	if len(in.Attempts) == 0 {
		return in, errors.New(`no attempts, want {"attempts": [{...}]}`)
	}
	return in, nil
}

// plainJSON says a JSON mistake without Go's type names.
func plainJSON(err error, data []byte) error {
	var syntax *json.SyntaxError
	var kind *json.UnmarshalTypeError
	switch {
	case errors.As(err, &syntax):
		at := int(min(max(syntax.Offset, 0), int64(len(data))))
		line := 1 + bytes.Count(data[:at], []byte("\n"))
		return fmt.Errorf("this is not JSON: %v (line %d)", syntax, line)
	case errors.As(err, &kind):
		got, _, _ := strings.Cut(kind.Value, " ")
		if got != "object" {
			got = map[string]string{"array": "a list", "string": "text", "bool": "true or false"}[got]
		} else {
			got = "an object in braces"
		}
		if got == "" {
			got = kind.Value
		}
		if kind.Field == "" {
			return fmt.Errorf(`the input is %s, want {"attempts": [{...}]}`, got)
		}
		return fmt.Errorf("%s is %s, which does not belong there", kind.Field, got)
	}
	return err
}

// knownNames refuses a name that means nothing, and names the nearest that does.
func knownNames(data []byte) error {
	var top map[string]json.RawMessage
	if json.Unmarshal(data, &top) != nil {
		return nil // what is wrong with it is said when it is read
	}
	if err := known("", top, "attempts", "used", "final_bearings"); err != nil {
		return err
	}
	var inner struct {
		Attempts []map[string]json.RawMessage `json:"attempts"`
		Used     map[string]json.RawMessage   `json:"used"`
		Final    map[string]json.RawMessage   `json:"final_bearings"`
	}
	if json.Unmarshal(data, &inner) != nil {
		return nil
	}
	if err := known("used: ", inner.Used, "unit", "backlash", "drive", "coast"); err != nil {
		return err
	}
	if err := known("final_bearings: ", inner.Final, "unit", "head_taller", "ring_shift"); err != nil {
		return err
	}
	for i, a := range inner.Attempts {
		if err := known(fmt.Sprintf("attempt %d: ", i+1), a, "shims", "notches", "unit", "backlash", "drive", "coast", "reseated", "sure"); err != nil {
			return err
		}
	}
	return nil
}

// known refuses names that are none of the wanted. Encoding/json takes a name in
// any case, and so does this.
func known(where string, names map[string]json.RawMessage, wanted ...string) error {
	for _, name := range slices.Sorted(maps.Keys(names)) {
		if slices.ContainsFunc(wanted, func(w string) bool { return strings.EqualFold(w, name) }) {
			continue
		}
		nearest, least := "", math.MaxInt
		for _, w := range wanted {
			if d := edits(strings.ToLower(name), w); d < least {
				nearest, least = w, d
			}
		}
		if least > max(2, len(nearest)/2) {
			return fmt.Errorf("%s%s is not known, want one of %s", where, clip([]byte(name)), strings.Join(wanted, ", "))
		}
		return fmt.Errorf("%s%s is not known; %s?", where, clip([]byte(name)), nearest)
	}
	return nil
}

// edits counts the letters to change, add or drop to make b of a.
func edits(a, b string) int {
	if len(a) > 40 {
		a = a[:40] // no name is as long
	}
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := range len(a) {
		corner := row[0]
		row[0] = i + 1
		for j := range len(b) {
			change := corner
			if a[i] != b[j] {
				change++
			}
			corner = row[j+1]
			row[j+1] = min(change, row[j]+1, row[j+1]+1)
		}
	}
	return row[len(b)]
}

// lengthIn gives what turns a number of the named unit into a length.
func lengthIn(name string) (func(float64) unit.Length, error) {
	switch strings.ToLower(strings.TrimSpace(name)) {
	case "in", "inch", "inches":
		return unit.Inch, nil
	case "mm":
		return unit.MM, nil
	case "thou":
		return unit.Thou, nil
	case "":
		return nil, errors.New(`no unit, want "unit": "in" or "mm"`)
	}
	return nil, fmt.Errorf("unit %q is not known, want in or mm", name)
}

// request turns the input into a request for the sheet.
func (in attemptsJSON) request(s *rules.Sheet) (advise.Request, error) {
	req := advise.Request{Sheet: s, Alone: true} // a program is not asked to read again
	var first, last housing
	for i, a := range in.Attempts {
		of := func(err error) error { return fmt.Errorf("attempt %d: %w", i+1, err) }
		length, err := lengthIn(a.Unit)
		if err != nil {
			return req, of(err)
		}
		h, err := a.housing(s, length)
		if err != nil {
			return req, of(err)
		}
		if i == 0 {
			first = h
		} else if h, err = h.after(last, first); err != nil {
			return req, of(err)
		}
		last = h
		out := advise.Attempt{Stacks: h.stacks(), Drive: a.Drive.mark, Coast: a.Coast.mark, Reseated: a.Reseated, Sure: a.Sure}
		out.Pinion, out.Ring = h.moves(s, first)
		for _, v := range a.Backlash {
			l := length(v)
			if !(l >= 0 && l <= unit.MM(10)) {
				return req, of(fmt.Errorf("a backlash of %g %s cannot be", v, a.Unit))
			}
			out.Backlash = append(out.Backlash, l)
		}
		req.Attempts = append(req.Attempts, out)
	}
	if u := in.Used; u != nil {
		length, err := lengthIn(u.Unit)
		if err != nil {
			return req, fmt.Errorf("used: %w", err)
		}
		req.Used = &advise.Target{Backlash: length(u.Backlash), Drive: u.Drive.mark, Coast: u.Coast.mark}
	}
	if f := in.Final; f != nil {
		length, err := lengthIn(f.Unit)
		if err != nil {
			return req, fmt.Errorf("final_bearings: %w", err)
		}
		req.Final = &advise.FinalBearings{HeadTaller: length(f.HeadTaller), RingShift: length(f.RingShift)}
	}
	return req, nil
}

// housing is what stands in the housing in one attempt: stacks in mm, adjusters
// in notches; a place nobody named is absent.
type housing map[string]float64

const (
	leftNotches  = "left notches"
	rightNotches = "right notches"
)

func (a attemptJSON) housing(s *rules.Sheet, length func(float64) unit.Length) (housing, error) {
	h := housing{}
	for name, v := range a.Shims {
		if !slices.Contains([]string{"pinion", "left", "right", "preload"}, name) {
			return nil, fmt.Errorf("shims has pinion, left, right and preload, not %q", name)
		}
		if v == nil {
			continue
		}
		side := name == "left" || name == "right"
		if side && s.Carrier.By == rules.Adjusters {
			return nil, fmt.Errorf("a %s stack, but on sheet %s the carrier has adjusters: give notches", name, s.Name)
		}
		if l := length(*v).MM(); !(l >= 0 && l <= 25) || side && l == 0 {
			return nil, fmt.Errorf("a %s stack of %g %s cannot be", name, *v, a.Unit)
		}
		h[name] = length(*v).MM()
	}
	for name, v := range a.Notches {
		if s.Carrier.By != rules.Adjusters {
			return nil, fmt.Errorf("notches, but on sheet %s the carrier has side shims", s.Name)
		}
		if name != "left" && name != "right" {
			return nil, fmt.Errorf("notches has left and right, not %q", name)
		}
		if v == nil {
			continue
		}
		if !(math.Abs(*v) <= 1000) {
			return nil, fmt.Errorf("%g notches cannot be", *v)
		}
		if *v != math.Trunc(*v) {
			return nil, fmt.Errorf("%g notches: the lock holds whole notches only", *v)
		}
		h[name+" notches"] = *v
	}
	return h, nil
}

// after takes over from the attempt before what was not named again. What is
// named now must have been named in the first attempt, or nothing says how far
// it moved.
func (h housing) after(last, first housing) (housing, error) {
	for name := range h {
		if _, ok := first[name]; !ok {
			return nil, fmt.Errorf("%s is given here but not in attempt 1, so how far it moved is not known", name)
		}
	}
	out := housing{}
	for name, v := range last {
		out[name] = v
	}
	for name, v := range h {
		out[name] = v
	}
	return out, nil
}

// stacks gives the stacks that are known.
func (h housing) stacks() advise.Stacks {
	of := func(name string) advise.Stack {
		v, ok := h[name]
		return advise.Stack{Known: ok, Thickness: unit.MM(v)}
	}
	return advise.Stacks{Pinion: of("pinion"), Left: of("left"), Right: of("right"), Preload: of("preload")}
}

// moves gives the gear moves since the first attempt.
func (h housing) moves(s *rules.Sheet, first housing) (pinion, ring unit.Length) {
	change := func(name string) float64 { return h[name] - first[name] }
	b := dialogs.Build{
		Pinion: dialogs.Stack{Change: unit.MM(change("pinion"))},
		Left:   dialogs.Stack{Change: unit.MM(change("left"))}, Right: dialogs.Stack{Change: unit.MM(change("right"))},
		LeftNotches: change(leftNotches), RightNotches: change(rightNotches),
	}
	return dialogs.PinionMove(s, b), dialogs.RingMove(s, b)
}
