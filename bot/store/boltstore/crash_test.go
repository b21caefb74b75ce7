package boltstore

import (
	"bufio"
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"shimwright/bot/store"
)

// childFile is the environment variable that makes this test binary a child with a
// store to write to.
const childFile = "SHIMWRIGHT_TEST_STORE"

// TestKill kills a process at random moments of its work and looks at what is left:
// all that was acknowledged, nothing in halves.
func TestKill(t *testing.T) {
	const rounds = 8
	path := filepath.Join(t.TempDir(), "jobs.db")
	random := rand.New(rand.NewPCG(1, 2))
	acknowledged := map[string]int{}
	for round := range rounds {
		child := exec.Command(os.Args[0], "-test.run=^TestKillChild$")
		child.Env = append(os.Environ(), childFile+"="+path)
		out, err := child.StdoutPipe()
		if err != nil {
			t.Fatal(err)
		}
		if err := child.Start(); err != nil {
			t.Fatal(err)
		}
		lines := bufio.NewScanner(out)
		kill := 20 + random.IntN(60)
		for n := 0; lines.Scan(); n++ {
			var stream string
			var version int
			if _, err := fmt.Sscanf(lines.Text(), "%s %d", &stream, &version); err != nil {
				t.Fatalf("the child said %q", lines.Text())
			}
			acknowledged[stream] = version
			if n == kill { // it goes on writing until the signal arrives
				child.Process.Kill()
			}
		}
		if err := child.Wait(); err == nil {
			t.Fatalf("round %d: the child ended by itself", round)
		}
		checkAfterKill(t, path, acknowledged)
	}
}

func checkAfterKill(t *testing.T, path string, acknowledged map[string]int) {
	t.Helper()
	s := open(t, path)
	defer s.Close()
	ctx := context.Background()
	if err := s.Check(ctx); err != nil {
		t.Fatal(err)
	}
	for stream, least := range acknowledged {
		events, err := s.Events(ctx, stream, 0)
		if err != nil {
			t.Fatal(err)
		}
		if len(events) < least || len(events) > least+1 {
			t.Fatalf("%s has %d events, and %d were acknowledged", stream, len(events), least)
		}
		items, err := s.Waiting(ctx, stream)
		if err != nil {
			t.Fatal(err)
		}
		// each commit adds item n and finishes item n-1
		if want := fmt.Sprintf("i%d", len(events)); len(items) != 1 || items[0].ID != want {
			t.Fatalf("%s has %d events and %+v waiting, want only %s", stream, len(events), items, want)
		}
		for i, e := range events {
			if string(e) != fmt.Sprintf("event %d", i+1) {
				t.Fatalf("event %d of %s is %q", i+1, stream, e)
			}
		}
	}
}

// TestKillChild is the child of TestKill: four writers that say what was
// acknowledged.
func TestKillChild(t *testing.T) {
	path := os.Getenv(childFile)
	if path == "" {
		t.Skip("only as the child of TestKill")
	}
	s, err := Open(path, 10*time.Second)
	if err != nil {
		t.Fatal(err)
	}
	ctx := context.Background()
	st := store.New(s, time.Now)
	done := make(chan error)
	for w := range 4 {
		go func() {
			stream := fmt.Sprintf("job/%d", w)
			old, err := st.Events(ctx, stream, 0)
			for version := uint64(len(old)); err == nil; {
				n := version + 1
				b := store.Batch{Stream: stream, Expect: version, Events: [][]byte{fmt.Appendf(nil, "event %d", n)},
					Queue: []store.Item{{ID: fmt.Sprintf("i%d", n), Kind: "k", Body: make([]byte, 500)}}, Done: []string{fmt.Sprintf("i%d", n-1)}}
				if version, err = st.Commit(ctx, b); err == nil {
					fmt.Printf("%s %d\n", stream, version) // one write
				}
			}
			done <- err
		}()
	}
	t.Fatal(<-done)
}
