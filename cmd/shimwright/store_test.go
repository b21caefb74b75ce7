package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"shimwright/bot"
	"shimwright/bot/store"
	"shimwright/bot/store/boltstore"
	"shimwright/bot/store/storetest"
	"shimwright/dialogs"
)

// mustRun runs the program and gives what it says; it has to succeed.
func mustRun(t *testing.T, in string, args ...string) string {
	t.Helper()
	var out, errOut bytes.Buffer
	if code := run(surroundings{in: strings.NewReader(in), out: &out, errOut: &errOut, getenv: os.Getenv}, args); code != exitOK {
		t.Fatalf("%q: exit %d\n%s%s", args, code, out.String(), errOut.String())
	}
	return out.String()
}

// withoutHead is an export less its first line, which has the time in it.
func withoutHead(export string) string {
	_, rest, _ := strings.Cut(export, "\n")
	return rest
}

// The jobs of the golden chats, from a file to Redis and back: the same lines, the
// same fold, and the same answer to what is said next.
func TestExchangeBetweenStores(t *testing.T) {
	files := chatFiles(t)
	server := storetest.StartRedis(t, "--databases", fmt.Sprint(len(files)))
	for i, file := range files {
		t.Run(strings.TrimSuffix(filepath.Base(file), ".txt"), func(t *testing.T) {
			folder := t.TempDir()
			first, back := filepath.Join(folder, "first"), filepath.Join(folder, "back")
			redis := fmt.Sprintf("redis://%s/%d", server.Addr, i)
			lines := filepath.Join(folder, "lines")
			mustRun(t, "", "try", "--script", file, "--data", first)
			mustRun(t, "", "store", "export", "--data", first, lines)
			mustRun(t, "", "store", "import", "--store", redis, lines)
			mustRun(t, "", "store", "check", "--store", redis)
			mustRun(t, "", "store", "backup", "--store", redis, lines+".redis")
			mustRun(t, "", "store", "restore", "--data", back, lines+".redis")
			want := withoutHead(mustRun(t, "", "store", "export", "--data", first))
			for _, where := range [][]string{{"--store", redis}, {"--data", back}} {
				got := withoutHead(mustRun(t, "", append([]string{"store", "export"}, where...)...))
				if d := cmp.Diff(want, got); d != "" {
					t.Errorf("exported from %s:\n%s", where, d)
				}
			}
			folds := foldAll(t, tryFlags{data: first})
			if len(folds) == 0 {
				t.Fatal("there is no job in the chat")
			}
			var others []map[string]*dialogs.Job
			for _, f := range []tryFlags{{store: redis}, {data: back}} {
				other := foldAll(t, f)
				if !reflect.DeepEqual(folds, other) {
					t.Errorf("the fold in %+v is another", f)
				}
				others = append(others, other)
			}
			d, err := sharedDesk()
			if err != nil {
				t.Fatal(err)
			}
			for _, text := range []string{"where are we", "lash 8 8 9 8, drive heel: what do i change?", "undo"} {
				for name, job := range folds {
					want := answered(t, d, job, text)
					for _, f := range others {
						if d := cmp.Diff(want, answered(t, d, f[name], text)); d != "" {
							t.Errorf("%s: %q is answered in another way:\n%s", name, text, d)
						}
					}
				}
			}
		})
	}
}

// answered is what the desk says to the next message in a job, events and all.
func answered(t *testing.T, d *desk, job *dialogs.Job, text string) string {
	t.Helper()
	reply, err := d.now().Answer(job, dialogs.Said{
		ID: "next", At: time.Date(2026, time.March, 4, 8, 0, 0, 0, time.UTC), Text: text, Addressed: true,
		By: dialogs.Person{Name: "ann", Role: dialogs.Technician},
	})
	if err != nil {
		t.Fatal(err)
	}
	said, err := json.Marshal(reply.Out) // as it is queued, without where it lies in memory
	if err != nil {
		t.Fatal(err)
	}
	out := string(said) + "\n"
	for _, e := range reply.Events {
		data, err := dialogs.Encode(e)
		if err != nil {
			t.Fatal(err)
		}
		out += string(data) + "\n"
	}
	return out
}

// foldAll folds every job of a store.
func foldAll(t *testing.T, f tryFlags) map[string]*dialogs.Job {
	t.Helper()
	b, err := openStore(t.Context(), f)
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	names, err := b.Streams(t.Context(), "job-", "", 1000)
	if err != nil {
		t.Fatal(err)
	}
	out := map[string]*dialogs.Job{}
	for _, n := range names {
		events, err := b.Events(t.Context(), n, 0)
		if err != nil {
			t.Fatal(err)
		}
		if out[n], err = dialogs.Fold(n, bot.JobEvents(events)); err != nil {
			t.Fatal(err)
		}
	}
	return out
}

// While serve works, a backup is taken, checked and exported; what was answered before
// is in it.
func TestStoreWhileServing(t *testing.T) {
	mm := newMattermostGroup(t)
	file := chatConfig(t, mm, nil, "")
	s := startService(t, file)
	until(t, "connected", mm.online)
	thread := mm.thread(mm.say("ann", "", "open lapwing whine"))
	until(t, "open", func() bool { return len(mm.posts(thread)) == 1 })
	stop, talking := make(chan struct{}), sync.WaitGroup{}
	talking.Go(func() {
		for {
			select {
			case <-stop:
				return
			case <-time.After(5 * time.Millisecond):
				mm.say("ann", thread, "where are we")
			}
		}
	})
	saved := filepath.Join(t.TempDir(), "saved.db")
	until(t, "offering copies", func() bool { return strings.Contains(mustTry(t, "store", "check", "--config", file), "all is well") })
	if out := mustRun(t, "", "store", "backup", "--config", file, saved); !strings.Contains(out, "saved.db: 1 job, ") {
		t.Errorf("backup says %q", out)
	}
	mustRun(t, "", "store", "export", "--config", file)
	var errOut bytes.Buffer
	code := run(surroundings{in: strings.NewReader(""), out: io.Discard, errOut: &errOut, getenv: noEnvironment}, []string{"store", "compact", "--config", file})
	if code != exitFail || !strings.Contains(errOut.String(), "\nend that program first;") {
		t.Errorf("compact while serving: exit %d, %s", code, errOut.String())
	}
	close(stop)
	talking.Wait()
	s.stop()
	if err := s.end(); err != nil {
		t.Error(err)
	}
	mustRun(t, "", "store", "check", saved)
	mustRun(t, "", "store", "compact", "--config", file)
}

func mustTry(t *testing.T, args ...string) string {
	var out bytes.Buffer
	run(surroundings{in: strings.NewReader(""), out: &out, errOut: io.Discard, getenv: noEnvironment}, args)
	return out.String()
}

// What is wrong with a store is named with what to do about it.
func TestStoreCheckFindings(t *testing.T) {
	folder := t.TempDir()
	b, err := boltstore.Open(filepath.Join(folder, "shop.db"), time.Second)
	if err != nil {
		t.Fatal(err)
	}
	commit := func(stream, event string, items ...store.Item) {
		t.Helper()
		if _, err := b.Commit(context.Background(), store.Batch{ID: store.NewID(), Stream: stream, Expect: store.Any, Now: time.Now(), Events: [][]byte{[]byte(event)}, Queue: items}); err != nil {
			t.Fatal(err)
		}
	}
	commit("job-000001", "not json", store.Item{ID: "x", Kind: "post", Body: []byte("{")})
	commit("job-000002", `{"kind":"from the future","at":"2026-03-02T08:00:00Z"}`)
	commit("shop", `{"kind":"opened","number":2,"place":{"on":"console","in":"shop"}}`)
	commit("shop", `{"kind":"opened","number":3,"place":{"on":"console","in":"shop"}}`)
	if err := b.Close(); err != nil {
		t.Fatal(err)
	}
	var out, errOut bytes.Buffer
	code := run(surroundings{in: strings.NewReader(""), out: &out, errOut: &errOut, getenv: noEnvironment}, []string{"store", "check", "--data", folder})
	text := strings.Join(strings.Fields(out.String()), " ")
	for _, part := range []string{
		"job-000001: event 1 is no JSON → restore a backup: shimwright store restore", "job-000001: item x (post) cannot be read",
		"job-000001: it has events and the list does not name it", "job-000002: it can only be read: ",
		"job-000003: the list names it and it has no events yet → say something in its thread", ": 2 jobs, ",
	} {
		if !strings.Contains(text, part) {
			t.Errorf("%q is not in\n%s", part, out.String())
		}
	}
	if code != exitFail {
		t.Errorf("exit %d, %s", code, errOut.String())
	}
}
