package rules

import (
	"context"
	"errors"
	"io/fs"
	"strings"
	"sync"
	"testing"
	"testing/fstest"
	"time"
)

// folder is a shop's folder that can change while it is read.
type folder struct {
	mu    sync.Mutex
	files fstest.MapFS
}

func (f *folder) Open(name string) (fs.File, error) {
	f.mu.Lock()
	defer f.mu.Unlock()
	return f.files.Open(name)
}

func (f *folder) write(name, text string) {
	f.mu.Lock()
	defer f.mu.Unlock()
	next := fstest.MapFS{}
	for k, v := range f.files {
		next[k] = v
	}
	if text == "" {
		delete(next, name)
	} else {
		next[name] = &fstest.MapFile{Data: []byte(text)}
	}
	f.files = next
}

// clock is a clock that a test moves.
type clock struct {
	mu sync.Mutex
	at time.Time
}

func (c *clock) now() time.Time {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.at
}

func (c *clock) advance(d time.Duration) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.at = c.at.Add(d)
}

const (
	smokeNote = `rules:
  - id: smoke
    level: note
    when: heard("smoke")
    text: "our words"
    cases: {fires: [{heard: [smoke]}], quiet: [{}]}
`
	smokeBroken = `rules:
  - id: smoke
    level: note
    when: heard("smok")
    text: "our words"
    cases: {fires: [{heard: [smoke]}], quiet: [{}]}
`
)

func says(l *Live) Level {
	got := l.Evaluate(Facts{Heard: []string{"smoke"}})
	if len(got) != 1 {
		return ""
	}
	return got[0].Level
}

func TestReload(t *testing.T) {
	shop, at := &folder{files: fstest.MapFS{}}, &clock{at: time.Unix(1000, 0)}
	live, report := NewLive(shop, at.now, nil)
	if report.Mistakes() > 0 || says(live) != Stop || len(live.Names()) != 5 {
		t.Fatal(report.Err(), says(live))
	}

	shop.write("rules/own.yaml", smokeNote)
	at.advance(time.Minute)
	if _, err := live.Reload(t.Context()); err != nil || says(live) != Note {
		t.Fatalf("a good file: %v, says %s", err, says(live))
	}
	if s := live.Status(); s.Loaded != time.Unix(1060, 0) || s.Rejected != nil || s.Sheets != 5 {
		t.Errorf("status %+v", s)
	}

	shop.write("rules/own.yaml", smokeBroken)
	at.advance(time.Minute)
	report, err := live.Reload(t.Context())
	if !errors.Is(err, ErrKept) || !strings.Contains(err.Error(), `rules/own.yaml:4:17: when: nothing that can be heard is called "smok"`) || report.Mistakes() != 1 {
		t.Errorf("a broken file: %v", err)
	}
	if says(live) != Note {
		t.Errorf("a broken file changed the rules: %s", says(live))
	}
	if s := live.Status(); s.Loaded != time.Unix(1060, 0) || s.FailedAt != time.Unix(1120, 0) || s.Rejected.Mistakes() != 1 {
		t.Errorf("status %+v", s)
	}

	// A broken sheet keeps good rules out too: both are swapped at once.
	shop.write("rules/own.yaml", "")
	shop.write("sheets/new.yaml", "title: half")
	if _, err := live.Reload(t.Context()); !errors.Is(err, ErrKept) || says(live) != Note {
		t.Errorf("a broken sheet: %v, says %s", err, says(live))
	}
	shop.write("sheets/new.yaml", "")
	if _, err := live.Reload(t.Context()); err != nil || says(live) != Stop || live.Status().Rejected != nil {
		t.Errorf("after it is gone: %v, says %s", err, says(live))
	}

	ended, cancel := context.WithCancel(t.Context())
	cancel()
	shop.write("rules/own.yaml", smokeNote)
	if _, err := live.Reload(ended); !errors.Is(err, context.Canceled) || says(live) != Stop {
		t.Errorf("a context that has ended: %v, says %s", err, says(live))
	}
}

// TestStartWithBrokenFile: the program starts, with the shipped rule in place of
// the broken one, and says so.
func TestStartWithBrokenFile(t *testing.T) {
	shop, at := &folder{files: fstest.MapFS{}}, &clock{}
	shop.write("rules/own.yaml", smokeBroken)
	live, report := NewLive(shop, at.now, nil)
	if report.Mistakes() != 1 || says(live) != Stop || live.Status().Rejected == nil {
		t.Errorf("%v, says %s", report.Problems, says(live))
	}
}

// TestPoll: a change is taken once it has been the same for a second, a refused
// file is reported once, and nothing happens while nothing changes.
func TestPoll(t *testing.T) {
	shop, at := &folder{files: fstest.MapFS{}}, &clock{at: time.Unix(1000, 0)}
	live, _ := NewLive(shop, at.now, nil)
	poll := func() (reported bool, err error) {
		report, err := live.Poll(t.Context())
		at.advance(2 * time.Second)
		return report != nil, err
	}
	quiet := func(when string) {
		t.Helper()
		if reported, err := poll(); reported || err != nil {
			t.Errorf("%s: reported %v, %v", when, reported, err)
		}
	}
	quiet("nothing changed")
	shop.write("rules/own.yaml", smokeNote[:20])
	quiet("half a file, first seen")
	shop.write("rules/own.yaml", smokeNote)
	quiet("the whole file, first seen")
	if reported, err := poll(); !reported || err != nil || says(live) != Note {
		t.Errorf("settled: reported %v, %v, says %s", reported, err, says(live))
	}
	quiet("after it was taken")

	shop.write("rules/own.yaml", smokeBroken)
	quiet("a broken file, first seen")
	if reported, err := poll(); !reported || !errors.Is(err, ErrKept) {
		t.Errorf("broken: reported %v, %v", reported, err)
	}
	quiet("a broken file is told of once")
	shop.write("rules/own.yaml", smokeNote)
	quiet("mended, first seen")
	if reported, err := poll(); !reported || err != nil || live.Status().Rejected != nil {
		t.Errorf("mended: reported %v, %v", reported, err)
	}

	// Two polls within a second are not enough.
	shop.write("rules/own.yaml", "")
	for range 3 {
		if report, err := live.Poll(t.Context()); report != nil || err != nil {
			t.Errorf("within a second: %v, %v", report, err)
		}
		at.advance(300 * time.Millisecond)
	}
	at.advance(time.Second)
	if reported, err := poll(); !reported || err != nil || says(live) != Stop {
		t.Errorf("file gone: reported %v, %v, says %s", reported, err, says(live))
	}
}

// TestReadWhileReloading: readers never see a mixture and never wait. The race
// detector watches.
func TestReadWhileReloading(t *testing.T) {
	shop, at := &folder{files: fstest.MapFS{}}, &clock{}
	live, _ := NewLive(shop, at.now, nil)
	var readers sync.WaitGroup
	for range 2 {
		readers.Go(func() {
			for range 200 {
				if level := says(live); level != Stop && level != Note {
					t.Errorf("says %q", level)
					return
				}
				if _, err := live.Sheet("dunlin"); err != nil {
					t.Error(err)
					return
				}
			}
		})
	}
	for i := range 4 {
		text := smokeNote
		if i%2 == 1 {
			text = smokeBroken
		}
		shop.write("rules/own.yaml", text)
		if _, err := live.Reload(t.Context()); (err != nil) != (i%2 == 1) {
			t.Errorf("reload %d: %v", i, err)
		}
	}
	readers.Wait()
}

// deadFolder cannot be read.
type deadFolder struct{}

func (deadFolder) Open(name string) (fs.File, error) {
	return nil, &fs.PathError{Op: "open", Path: name, Err: errors.New("the disk is gone")}
}

// TestDeadFolder: a folder that can no longer be read leaves what is in force.
func TestDeadFolder(t *testing.T) {
	at := &clock{}
	live, report := NewLive(deadFolder{}, at.now, nil)
	if report.Mistakes() == 0 || says(live) != Stop {
		t.Errorf("%v, says %s", report.Problems, says(live))
	}
	if _, err := live.Poll(t.Context()); err == nil || !strings.Contains(err.Error(), "the disk is gone") {
		t.Errorf("poll: %v", err)
	}
	if _, err := live.Reload(t.Context()); !errors.Is(err, ErrKept) {
		t.Errorf("reload: %v", err)
	}
}
