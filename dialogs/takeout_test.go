package dialogs

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"reflect"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

// Every text that an entry can hold is one of this program's words, or is known to
// be something to take out. A new field is entered in holds.
func TestEveryTextOfAnEntryIsKnown(t *testing.T) {
	var fields func(kind string, ty reflect.Type, seen func(field string))
	var hasText func(ty reflect.Type) bool
	hasText = func(ty reflect.Type) bool {
		switch ty.Kind() {
		case reflect.String:
			return ty == reflect.TypeFor[string]()
		case reflect.Pointer, reflect.Slice, reflect.Array, reflect.Map:
			return hasText(ty.Elem())
		case reflect.Struct:
			for i := range ty.NumField() {
				if f := ty.Field(i); f.IsExported() && hasText(f.Type) {
					return true
				}
			}
		}
		return false
	}
	fields = func(kind string, ty reflect.Type, seen func(string)) {
		for i := range ty.NumField() {
			f := ty.Field(i)
			name, _, _ := strings.Cut(f.Tag.Get("json"), ",")
			if f.Anonymous && name == "" && f.Type.Kind() == reflect.Struct {
				fields(kind, f.Type, seen)
			} else if f.IsExported() && hasText(f.Type) {
				seen(name)
			}
		}
	}
	for _, kind := range kindsOf(t) {
		p := newPayload(kind)
		if p == nil {
			t.Fatalf("no payload of kind %q", kind)
		}
		fields(kind, reflect.TypeOf(p).Elem(), func(field string) {
			if holds(kind+"."+field) == "" {
				t.Errorf("%s.%s: is it a word of this program or something a person typed? enter it in holds", kind, field)
			}
		})
	}
}

// kindsOf lists the kinds of entries by the files they are declared in.
func kindsOf(t *testing.T) []string {
	t.Helper()
	files, err := filepath.Glob("event_*.go")
	if err != nil {
		t.Fatal(err)
	}
	var out []string
	for _, file := range files {
		source, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range regexp.MustCompile(`(?m)^\s*(?:const )?kind\w+\s*= "([^"]+)"`).FindAllSubmatch(source, -1) {
			out = append(out, string(m[1]))
		}
	}
	if len(out) < 15 {
		t.Fatalf("only %d kinds found", len(out))
	}
	return out
}

// Old logs, taken out of: they fold as before but for names and words, a second time
// changes nothing, and nothing of what was typed is left.
func TestTakeOutOfOldLogs(t *testing.T) {
	files, err := filepath.Glob("../testdata/jobs/v1/*.jsonl")
	if err != nil || len(files) == 0 {
		t.Fatalf("%d logs, %v", len(files), err)
	}
	for _, file := range files {
		data, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		var records, out [][]byte
		x := NewTakeOut("salt")
		var typed []string
		ids := []string{}
		for _, line := range bytes.Split(bytes.TrimSpace(data), []byte("\n")) {
			var e Event
			if err := json.Unmarshal(line, &e); err != nil {
				t.Fatal(err)
			}
			records = append(records, line)
			if len(e.Said) > 12 {
				typed = append(typed, e.Said)
			}
			if e.Message != "" {
				ids = append(ids, e.Message)
			}
			after, err := x.Record(line)
			if err != nil {
				t.Fatalf("%s: %v", file, err)
			}
			out = append(out, after)
			again, err := x.Record(after)
			if err != nil || !bytes.Equal(after, again) {
				t.Errorf("%s: taken out twice, an entry differs (%v):\n%s\n%s", file, err, after, again)
			}
		}
		erasure, err := x.Erasure("owner", Owner, time.Date(2031, 3, 5, 9, 0, 0, 0, time.UTC))
		if err != nil {
			t.Fatal(err)
		}
		was, err := Fold("1", records)
		if err != nil {
			t.Fatal(err)
		}
		is, err := Fold("1", append(out, erasure))
		if err != nil {
			t.Fatal(err)
		}
		if is.ReadOnly != "" || !is.Erased || is.ErasedBy != "owner" || !is.Closed {
			t.Errorf("%s: read only %q, erased %v by %q", file, is.ReadOnly, is.Erased, is.ErasedBy)
		}
		if is.Title != "" || is.Finished != was.Finished || is.Held != was.Held || len(is.Warnings) != len(was.Warnings) || len(is.Stops()) != len(was.Stops()) || len(is.Skipped) != len(was.Skipped) {
			t.Errorf("%s: it folds to another job", file)
		}
		ignore := cmp.FilterPath(func(p cmp.Path) bool {
			last := p.Last().String()
			return last == ".By" || last == ".entryMeta"
		}, cmp.Ignore())
		for what, pair := range map[string][2]any{
			"readings": {was.Slots, is.Slots}, "trials": {was.Trials, is.Trials}, "facts": {was.Facts, is.Facts}, "moves": {len(was.Moves), len(is.Moves)},
		} {
			if d := cmp.Diff(pair[0], pair[1], ignore, cmp.AllowUnexported(Reading{}, Trial{}, Fact{})); d != "" {
				t.Errorf("%s: %s changed:\n%s", file, what, d)
			}
		}
		all := string(bytes.Join(out, []byte("\n")))
		for _, words := range append(typed, "ann", "mentor said") {
			if strings.Contains(all, `"`+words) {
				t.Errorf("%s: %q is still there", file, words)
			}
		}
		for _, id := range ids {
			if strings.Contains(all, `"`+id+`"`) || !is.Heard(id) {
				t.Errorf("%s: the message %q is there (%v) or not known any more (%v)", file, id, strings.Contains(all, id), is.Heard(id))
			}
		}
		if is.Heard("another") {
			t.Error("a message nobody wrote is known")
		}
	}
}

func TestTakeOutNames(t *testing.T) {
	x := NewTakeOut("s")
	if a, b, c := x.Name("ann"), x.Name("ben"), x.Name("ann"); a != "person 1" || b != "person 2" || c != a {
		t.Errorf("%q %q %q", a, b, c)
	}
	y := NewTakeOut("s") // a later round, over what the first left
	if a, b := y.Name("person 2"), y.Name("mo"); a != "person 2" || b == "person 2" || b == "" {
		t.Errorf("%q %q", a, b)
	}
	if id := x.ID("chat:77"); id != x.ID(id) || strings.Contains(id, "77:") || SaltOf(id) != "s" || id != GoneID("s", "chat:77") {
		t.Errorf("id %q", id)
	}
	if _, err := x.Record([]byte(`{"kind":"of tomorrow","at":"2030-01-01T00:00:00Z"}`)); err == nil {
		t.Error("an entry of a newer version was taken out of")
	}
}
