package main

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"
)

// program starts the test binary as shimwright itself.
func program(t testing.TB, errOut *logText, args ...string) *exec.Cmd {
	t.Helper()
	c := exec.Command(os.Args[0])
	c.Args = append([]string{"shimwright"}, args...)
	c.Env = append(os.Environ(), "GORACE=atexit_sleep_ms=0")
	c.Stdout, c.Stderr = errOut, errOut
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if c.ProcessState == nil {
			c.Process.Kill()
			c.Wait()
		}
	})
	return c
}

func waitFor(t testing.TB, c *exec.Cmd, log *logText) int {
	t.Helper()
	done := make(chan error, 1)
	go func() { done <- c.Wait() }()
	select {
	case <-done:
	case <-time.After(soon):
		t.Fatalf("the process does not end\n%s", log)
	}
	return c.ProcessState.ExitCode()
}

// The process itself: SIGHUP reads the rules again, SIGTERM ends it with 0, being
// turned away with 1.
func TestServeProcess(t *testing.T) {
	mm, dc := newMattermostGroup(t), newDiscordGroup(t)
	file := chatConfig(t, mm, dc, "shop: shop\n")
	rule := filepath.Join(filepath.Dir(file), "shop", "rules", "mine.yaml")
	if err := os.MkdirAll(filepath.Dir(rule), 0o700); err != nil {
		t.Fatal(err)
	}
	log := &logText{}
	c := program(t, log, "serve", "--config", file)
	until(t, "on both platforms", func() bool { return mm.online() && dc.online() })
	if err := os.WriteFile(rule, []byte("rules: 1\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	if err := c.Process.Signal(syscall.SIGHUP); err != nil {
		t.Fatal(err)
	}
	until(t, "told of the mistake", func() bool { return len(mm.posts("")) == 1 && len(dc.posts("")) == 1 })
	began := time.Now()
	if err := c.Process.Signal(syscall.SIGTERM); err != nil {
		t.Fatal(err)
	}
	if code := waitFor(t, c, log); code != exitOK {
		t.Errorf("exit %d\n%s", code, log)
	}
	t.Logf("ended %v after SIGTERM", time.Since(began).Round(time.Millisecond))

	dc.server.SetContent(false)
	alone := chatConfig(t, nil, dc, "")
	log = &logText{}
	c = program(t, log, "serve", "--config", alone)
	code := waitFor(t, c, log)
	if want := "\nshimwright: discord: Discord turned the connection away, close code 4014\n"; code != exitFail || !strings.Contains(log.String(), want) {
		t.Errorf("exit %d\n%s", code, log)
	}
}

// measured are the chats a figure is taken on: a job that has come to its readings.
var measured = []string{
	"skip 2 came in as a bare housing", "old pinion shim 30, left 250, right 245", "old mark +2, new mark -1",
	"skip 4 checked yesterday", "done", "ring bolts torqued with thread locker, runout 1.5 thou", "same", "same", "caps torqued",
}

// perJob is after how many messages a new job is opened: jobs have a usual length.
const perJob = 30

// BenchmarkServe is a message on a fake platform on loopback until its answer stands
// there, through serve with both platforms connected and a bbolt file: without and
// with a picture. The fake Discord checks each request against Discord's own schema
// where that is at hand, and its time counts. Reported are the middle and the slowest
// hundredth.
func BenchmarkServe(b *testing.B) {
	mm, dc := newMattermostGroup(b), newDiscordGroup(b)
	startService(b, chatConfig(b, mm, dc, ""))
	until(b, "on both platforms", func() bool { return mm.online() && dc.online() })
	for _, g := range []struct {
		name string
		group
	}{{"mattermost", mm}, {"discord", dc}} {
		for _, kind := range []struct {
			name, text string
			picture    bool
		}{
			{"text", "where are we", false},
			{"picture", "lash 14 14 13 14, drive high toward the heel, coast high and heel: what do i change?", true},
		} {
			b.Run(g.name+"/"+kind.name, func(b *testing.B) {
				m := meterOf{b: b, g: g.group}
				var took []time.Duration
				for b.Loop() {
					if len(took)%perJob == 0 {
						b.StopTimer()
						m.open()
						b.StartTimer()
					}
					d, answer := m.say(kind.text)
					if strings.Contains(answer, "[picture ") != kind.picture {
						b.Fatalf("a picture: %v, want %v\n%s", !kind.picture, kind.picture, answer)
					}
					took = append(took, d)
				}
				slices.Sort(took)
				for _, share := range []float64{0.50, 0.99} {
					ms := float64(took[int(share*float64(len(took)-1))]) / float64(time.Millisecond)
					b.ReportMetric(ms, fmt.Sprintf("p%.0f-ms", 100*share))
				}
			})
		}
	}
}

// meterOf says things in a job's thread and waits for the answer.
type meterOf struct {
	b      *testing.B
	g      group
	thread string
	posts  int
}

func (m *meterOf) open() {
	m.thread, m.posts = m.g.thread(m.g.say("ann", "", "open lapwing whine on drive, new gears")), 0
	m.wait()
	for _, text := range measured {
		m.say(text)
	}
}

func (m *meterOf) say(text string) (time.Duration, string) {
	began := time.Now()
	m.g.say("ann", m.thread, text)
	answer := m.wait()
	return time.Since(began), answer
}

// wait polls five times a millisecond until there is a post more.
func (m *meterOf) wait() string {
	deadline := time.Now().Add(soon)
	for {
		if posts := m.g.posts(m.thread); len(posts) > m.posts {
			m.posts = len(posts)
			return plain(posts[len(posts)-1].rows)
		}
		if time.Now().After(deadline) {
			m.b.Fatalf("no answer after %d posts", m.posts)
		}
		time.Sleep(200 * time.Microsecond)
	}
}

// BenchmarkServeMemory is the memory of the program with both platforms connected:
// idle, and after some work with pictures. It is measured on a binary of its own.
func BenchmarkServeMemory(b *testing.B) {
	binary := filepath.Join(b.TempDir(), "shimwright")
	if out, err := exec.Command("go", "build", "-o", binary, ".").CombinedOutput(); err != nil {
		b.Fatalf("%v\n%s", err, out)
	}
	for b.Loop() {
		mm, dc := newMattermostGroup(b), newDiscordGroup(b)
		c := exec.Command(binary, "serve", "--config", chatConfig(b, mm, dc, ""))
		log := &logText{}
		c.Stdout, c.Stderr = log, log
		if err := c.Start(); err != nil {
			b.Fatal(err)
		}
		until(b, "on both platforms", func() bool { return mm.online() && dc.online() })
		time.Sleep(500 * time.Millisecond) // what starting takes is over
		b.ReportMetric(resident(b, c), "idle-MiB")
		for _, g := range []group{mm, dc} {
			m := meterOf{b: b, g: g}
			for range 10 {
				m.open()
				for range 10 {
					m.say("lash 14 14 13 14, drive high toward the heel, coast high and heel: what do i change?")
				}
			}
		}
		b.ReportMetric(resident(b, c), "after-200-pictures-MiB")
		if err := c.Process.Signal(syscall.SIGTERM); err != nil {
			b.Fatal(err)
		}
		if code := waitFor(b, c, log); code != exitOK {
			b.Fatalf("exit %d\n%s", code, log)
		}
	}
}

// resident is VmRSS of a process in MiB.
func resident(b *testing.B, c *exec.Cmd) float64 {
	text, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", c.Process.Pid))
	if err != nil {
		b.Skipf("NOT MEASURED: %v", err)
	}
	for line := range bytes.Lines(text) {
		var kib float64
		if n, _ := fmt.Sscanf(string(line), "VmRSS: %f kB", &kib); n == 1 {
			return kib / 1024
		}
	}
	b.Fatal("no VmRSS")
	return 0
}
