package storetest

import (
	"context"
	"testing"

	"github.com/google/go-cmp/cmp"

	"shimwright/bot/store"
)

// testReplace takes something out of a stream: all at once or not at all, every
// version in its place, for good also after opening again.
func testReplace(t *testing.T, open Open) {
	ctx := context.Background()
	f := fresh(t, open)
	first := store.Batch{ID: store.NewID(), Stream: "job/1", Events: [][]byte{[]byte("ann said"), []byte("a")}}
	f.commit(first)
	f.commit(store.Batch{Stream: "job/1", Expect: 2, Events: [][]byte{[]byte("ben said"), []byte("b")}, Queue: []store.Item{message("m1"), message("m2")}})
	f.commit(store.Batch{Stream: "job/2", Events: [][]byte{[]byte("ann said")}})
	out := func(at uint64, by string) store.Replacement { return store.Replacement{Version: at, Event: []byte(by)} }

	// refused ones leave everything
	for _, b := range []store.Batch{
		{Expect: 3, Replace: []store.Replacement{out(1, "x")}},
		{Expect: 4, Replace: []store.Replacement{out(1, "x")}, Queue: []store.Item{message("m1")}},
	} {
		b.Stream, b.Events = "job/1", [][]byte{[]byte("taken out")}
		if _, err := f.Commit(ctx, b); err == nil {
			t.Fatalf("%+v was done", b)
		}
	}
	if d := cmp.Diff([][]byte{[]byte("ann said"), []byte("a"), []byte("ben said"), []byte("b")}, f.events("job/1", 0)); d != "" {
		t.Fatalf("a refused batch changed the stream:\n%s", d)
	}

	b := store.Batch{
		ID: store.NewID(), Stream: "job/1", Expect: 4, Events: [][]byte{[]byte("taken out")}, Cancel: []string{"m1"},
		Replace: []store.Replacement{out(3, "somebody said, and a longer text than before"), out(1, "")},
	}
	want := [][]byte{{}, []byte("a"), []byte("somebody said, and a longer text than before"), []byte("b"), []byte("taken out")}
	check := func(what string, f *fixture) {
		t.Helper()
		if d := cmp.Diff(want, f.events("job/1", 0)); d != "" {
			t.Fatalf("%s:\n%s", what, d)
		}
	}
	if v := f.commit(b); v != 5 {
		t.Fatalf("version %d, want 5", v)
	}
	check("replaced", f)
	if d := cmp.Diff(want[4:], f.events("job/1", 4)); d != "" {
		t.Fatalf("a reader who had read on:\n%s", d)
	}
	if d := cmp.Diff([][]byte{[]byte("ann said")}, f.events("job/2", 0)); d != "" {
		t.Fatalf("another stream changed:\n%s", d)
	}
	f.wantWaiting("job/1", "m2")
	if v := f.commit(b); v != 5 {
		t.Fatalf("repeated, it gives version %d", v)
	}
	check("repeated", f)
	_, err := f.Commit(ctx, first)
	wantError(t, "repeating a commit that was replaced", err, store.ErrConflict)
	check("repeating what was replaced", f)
	if v := f.commit(store.Batch{Stream: "job/1", Expect: 5, Events: [][]byte{[]byte("c")}}); v != 6 {
		t.Fatalf("the next commit gives version %d, want 6", v)
	}
	want = append(want, []byte("c"))
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
	check("opened again", fresh(t, open))
}
