package store_test

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"shimwright/bot/store"
	"shimwright/bot/store/boltstore"
)

func openFile(t *testing.T) *boltstore.Store {
	t.Helper()
	b, err := boltstore.Open(filepath.Join(t.TempDir(), "x.db"), time.Second)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { b.Close() })
	return b
}

var noon = time.Date(2026, time.March, 2, 12, 0, 0, 0, time.UTC)

// Whatever bytes events and items have, an export brings them over as they are.
func TestExportImport(t *testing.T) {
	ctx := context.Background()
	from, to := openFile(t), openFile(t)
	events := [][]byte{
		nil, []byte(`{"a":"<&>` + "\u2028" + `"}`), []byte("{ \"spaced\": 1 }"), []byte("\x00\xff\n"), []byte("null"), []byte(`"x"`),
		[]byte("1\n"), []byte(`{"big":12345678901234567890}`), []byte("{\"bad\":\"\xff\"}"), bytes.Repeat([]byte("x"), store.MaxEvent),
	}
	items := []store.Item{
		{ID: "now", Kind: "post", Body: []byte(`{"a":1}`), Attempts: 3}, {ID: "then", Kind: "post", Body: []byte("raw\x00")},
		{ID: "later", Kind: "remind", Due: noon.Add(time.Hour).Add(123 * time.Microsecond)}, {ID: "first", Kind: "post", Body: nil},
	}
	commit := func(b store.Batch) {
		t.Helper()
		b.ID, b.Now = store.NewID(), noon
		if _, err := from.Commit(ctx, b); err != nil {
			t.Fatal(err)
		}
	}
	commit(store.Batch{Stream: "job-000001", Events: events, Queue: items})
	commit(store.Batch{Stream: "aaa", Events: [][]byte{[]byte("{}")}})
	for _, f := range []string{"\xff\xd8 photo", "one more\x00"} {
		if err := from.PutFile(ctx, "job-000001", fmt.Sprint("p", len(f)), []byte(f), 100); err != nil {
			t.Fatal(err)
		}
	}
	var many store.Batch
	for i := range 2*store.MaxCount + 7 { // more than one batch takes
		many.Queue = append(many.Queue, store.Item{ID: fmt.Sprint("i", i), Kind: "k"})
		many.Events = append(many.Events, fmt.Appendf(nil, "%d", i))
		if len(many.Events) == store.MaxCount {
			many.Stream, many.Expect = "many", store.Any
			commit(many)
			many = store.Batch{}
		}
	}
	many.Stream, many.Expect = "many", store.Any
	commit(many)

	var out bytes.Buffer
	n, err := store.Export(ctx, from, nil, "aaa", &out, noon)
	if want := (store.Counts{Streams: 3, Events: 2*store.MaxCount + 18, Items: 2*store.MaxCount + 11, Files: 2}); err != nil || n != want {
		t.Fatalf("exported %+v, error %v, want %+v", n, err, want)
	}
	text := out.String()
	if strings.Index(text, `"stream":"aaa"`) < strings.Index(text, `"stream":"many"`) {
		t.Error("the stream that should be last is not")
	}
	if got, err := store.Import(ctx, strings.NewReader(text), to, noon); err != nil || got != n {
		t.Fatalf("imported %+v, error %v", got, err)
	}
	for _, stream := range []string{"job-000001", "aaa", "many"} {
		for _, read := range []func(store.Backend) (any, error){
			func(b store.Backend) (any, error) { return b.Events(ctx, stream, 0) },
			func(b store.Backend) (any, error) { return b.Waiting(ctx, stream) },
			func(b store.Backend) (any, error) { return b.Files(ctx, stream) },
			func(b store.Backend) (any, error) {
				data, err := b.File(ctx, "job-000001", "p8")
				return string(data), err
			},
		} {
			want, err1 := read(from)
			got, err2 := read(to)
			if d := cmp.Diff(want, got); d != "" || err1 != nil || err2 != nil {
				t.Errorf("%s: %v, %v\n%.2000s", stream, err1, err2, d)
			}
		}
	}

	if _, err := store.Import(ctx, strings.NewReader(text), to, noon); !errors.Is(err, store.ErrConflict) {
		t.Errorf("imported twice: %v", err)
	}
}

// An export that is not whole, or was changed, is refused and says where.
func TestImportRefuses(t *testing.T) {
	head, end := `{"shimwright_export":1}`+"\n", `{"end":{"streams":1,"events":1,"items":0}}`+"\n"
	stream, event := `{"stream":"s","version":1}`+"\n", `{"event":{}}`+"\n"
	if _, err := store.Import(context.Background(), strings.NewReader(head+stream+event+end), openFile(t), noon); err != nil {
		t.Fatal(err)
	}
	for text, want := range map[string]string{
		"":                               "line 1: it ends without its last line",
		"lash 14\n":                      "line 1: it is no line of an export",
		"{}\n":                           "line 1: it does not begin like one",
		`{"shimwright_export":9}`:        "line 1: it ends without",
		`{"shimwright_export":9}` + "\n": "written by a newer version",
		head + stream + event:            "line 4: it ends without its last line, so it was cut short",
		head + stream + end:              "line 3: s should have 1 events and has 0",
		head + event:                     "line 2: it belongs to no stream",
		head + stream + "{}\n":           "line 3: it says nothing",
		head + stream + event + `{"end":{"streams":2,"events":1,"items":0}}` + "\n": "line 4: it says {Streams:2 Events:1 Items:0 Files:0} and has {Streams:1 Events:1 Items:0 Files:0}",
		head + stream + `{"item":{"id":"a b","kind":"k"}}` + "\n":                   "line 3: not a valid request to the store: item id",
		head + stream + `{"item":{"id":"a","kind":"k"}}` + "\n" + event:             "line 4: an event stands behind what waits",
		head + stream + `{"file":{"name":"a b","bytes":"YQ=="}}` + "\n":             "line 3: not a valid request to the store: file",
		head + `{"stream":"a b"}` + "\n":                                            "line 2: not a valid request",
	} {
		_, err := store.Import(context.Background(), strings.NewReader(text), openFile(t), noon)
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v, want %q", text, err, want)
		}
	}
}
