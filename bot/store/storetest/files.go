package storetest

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"slices"
	"sync"
	"testing"

	"shimwright/bot/store"
)

// testFiles: a file is there until it is deleted, of its own stream only, and not
// beyond the quota.
func testFiles(t *testing.T, open Open) {
	ctx := context.Background()
	f := fresh(t, open)
	put := func(stream, name string, data []byte, quota int64) error {
		return f.PutFile(ctx, stream, name, data, quota)
	}
	want := func(stream string, list ...store.FileInfo) {
		t.Helper()
		got, err := f.Files(ctx, stream)
		if err != nil || !slices.Equal(got, list) {
			t.Fatalf("%s has the files %v (%v), want %v", stream, got, err, list)
		}
	}
	want("job-1")
	if _, err := f.File(ctx, "job-1", "a"); !errors.Is(err, store.ErrNoFile) {
		t.Errorf("a file that never was: %v", err)
	}
	large := bytes.Repeat([]byte{0, 0xff, '\n', 0x80}, store.MaxFile/4)
	for name, data := range map[string][]byte{"a": {0}, "b": large} {
		for range 2 { // again does nothing
			if err := put("job-1", name, data, store.MaxFile+1); err != nil {
				t.Fatal(err)
			}
		}
		if got, err := f.File(ctx, "job-1", name); err != nil || !bytes.Equal(got, data) {
			t.Fatalf("%s comes back with %d bytes, %v", name, len(got), err)
		}
	}
	if err := put("job-1", "c", []byte("c"), store.MaxFile+1); !errors.Is(err, store.ErrQuota) {
		t.Errorf("over the quota: %v", err)
	}
	if err := put("job-1", "a", []byte("other"), store.MaxFile+1); err != nil {
		t.Errorf("a name that is there: %v", err)
	}
	if got, _ := f.File(ctx, "job-1", "a"); !bytes.Equal(got, []byte{0}) {
		t.Errorf("a file was changed to %q", got)
	}
	if err := put("job-10", "a", []byte("ten"), 3); err != nil {
		t.Errorf("another stream's quota: %v", err)
	}
	want("job-1", store.FileInfo{Name: "a", Size: 1}, store.FileInfo{Name: "b", Size: store.MaxFile})
	want("job-10", store.FileInfo{Name: "a", Size: 3})
	for range 2 {
		if err := f.DeleteFile(ctx, "job-1", "b"); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := f.File(ctx, "job-1", "b"); !errors.Is(err, store.ErrNoFile) {
		t.Errorf("a deleted file: %v", err)
	}
	want("job-1", store.FileInfo{Name: "a", Size: 1})
	for _, bad := range []error{put("job-1", "", []byte("x"), 9), put("", "x", []byte("x"), 9), put("job-1", "x", nil, 9), put("job-1", "x", make([]byte, store.MaxFile+1), 1<<40), put("job-1", "{x}", []byte("x"), 9)} {
		if !errors.Is(bad, store.ErrInvalid) {
			t.Errorf("what cannot be kept: %v", bad)
		}
	}
	// The queue and the log know nothing of files.
	if names, err := f.Streams(ctx, "job-", "", 9); err != nil || len(names) != 0 {
		t.Errorf("streams %v, %v", names, err)
	}
	f.wantNothingNext()

	// At the same time: never more than the quota, and none lost.
	var all sync.WaitGroup
	var kept [20]error
	for i := range kept {
		all.Go(func() { kept[i] = put("job-2", fmt.Sprint("f", i), make([]byte, 10), 100) })
	}
	all.Wait()
	n := 0
	for i, err := range kept {
		if err == nil {
			n++
		} else if !errors.Is(err, store.ErrQuota) {
			t.Errorf("file %d: %v", i, err)
		}
	}
	if list, err := f.Files(ctx, "job-2"); n != 10 || len(list) != 10 || err != nil {
		t.Errorf("%d kept, %d there, %v", n, len(list), err)
	}
	f.Close()
	again := store.New(open(t, t.Name()), f.clock.now)
	defer again.Close()
	if got, err := again.File(ctx, "job-10", "a"); err != nil || string(got) != "ten" {
		t.Errorf("after a restart: %q, %v", got, err)
	}
	if _, err := f.File(ctx, "job-10", "a"); !errors.Is(err, store.ErrClosed) {
		t.Errorf("after closing: %v", err)
	}
	if err := put("job-10", "b", []byte("b"), 9); !errors.Is(err, store.ErrClosed) {
		t.Errorf("after closing: %v", err)
	}
}
