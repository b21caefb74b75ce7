package main

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"shimwright/bot"
	"shimwright/bot/console"
	"shimwright/bot/store"
	"shimwright/bot/store/storetest"
	"shimwright/dialogs/picture"
)

// killScript is what is said while the program is killed: a job opened, readings, a
// question that logs nothing, a correction, a person's units, chatter.
var killScript = []string{
	"ann> open lapwing noisy rear",
	"ann> new",
	"ann> teeth 41 and 11",
	"ann> where are we",
	"mentor> nice weather",
	"ann> units metric",
	"ann> undo",
}

// killChild tells the test binary to be the program that is killed.
const killChild = "SHIMWRIGHT_TEST_KILL_AT"

// killPlan is what the child is to do.
type killPlan struct {
	folder, store string
	late          time.Duration // how far the clock is on
	at            int           // the point at which it dies, 0 for none
}

func (p killPlan) env() string {
	return fmt.Sprintf("%s=%d\n%s\n%s\n%d", killChild, p.at, p.folder, p.store, p.late)
}

func readKillPlan(text string) killPlan {
	parts := strings.Split(text, "\n")
	at, _ := strconv.Atoi(parts[0])
	late, _ := strconv.ParseInt(parts[3], 10, 64)
	return killPlan{folder: parts[1], store: parts[2], at: at, late: time.Duration(late)}
}

// points counts the moments after everything that lasts, and ends the process at
// one of them. Between two of them nothing lasts, so that being killed just before a
// write is being killed after the one before it.
type points struct {
	mu    sync.Mutex
	at, n int
	names []string
}

func (p *points) pass(name string) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.n++
	p.names = append(p.names, name)
	if p.n == p.at {
		if err := syscall.Kill(os.Getpid(), syscall.SIGKILL); err != nil {
			panic(err)
		}
		select {} // until it comes
	}
}

// mortalStore passes a point after each commit.
type mortalStore struct {
	store.Backend
	points *points
}

func (m *mortalStore) Commit(ctx context.Context, b store.Batch) (uint64, error) {
	v, err := m.Backend.Commit(ctx, b)
	m.points.pass("after commit to " + b.Stream)
	return v, err
}

// mortalConsole passes a point after each line that is recorded or taken, each post and each thread.
type mortalConsole struct {
	*console.Console
	points *points
}

func (m *mortalConsole) Send(ctx context.Context, to bot.Place, p bot.Post, nonce string) (bot.MessageID, error) {
	id, err := m.Console.Send(ctx, to, p, nonce)
	m.points.pass("after a post")
	return id, err
}

func (m *mortalConsole) OpenThread(ctx context.Context, in bot.Place, below bot.MessageID, about bot.Topic) (bot.Place, error) {
	place, err := m.Console.OpenThread(ctx, in, below, about)
	m.points.pass("after a thread")
	return place, err
}

func (m *mortalConsole) Run(ctx context.Context, deliver bot.Deliver) error {
	return m.Console.Run(ctx, func(ctx context.Context, msg bot.Message) error {
		m.points.pass("after a line was recorded")
		err := deliver(ctx, msg)
		m.points.pass("after a delivery")
		return err
	})
}

// sharedDesk is the desk of all runs of one process: it is pure.
var sharedDesk = sync.OnceValues(func() (*desk, error) {
	return openDesk("", console.Standing, slog.New(slog.DiscardHandler), io.Discard)
})

// playKillScript says the lines of the script that are not in the folder's history
// yet, and gives the points passed.
func playKillScript(plan killPlan) (*points, error) {
	ctx, cancel := context.WithTimeout(context.Background(), time.Minute)
	defer cancel()
	said, _, err := readChat(plan.folder)
	if err != nil {
		return nil, err
	}
	d, err := sharedDesk()
	if err != nil {
		return nil, err
	}
	clock := console.NewClock(console.Standing)
	clock.Shift(plan.late)
	p := &points{at: plan.at}
	backend, err := openStore(ctx, tryFlags{data: plan.folder, store: plan.store})
	if err != nil {
		return nil, err
	}
	st := store.New(&mortalStore{backend, p}, clock.Now)
	defer st.Close()
	people := consolePeople("inch")
	var b *bot.Bot
	c, err := console.New(console.Options{
		Folder: plan.folder, People: namesOf(people), Clock: clock, Out: io.Discard,
		In:     strings.NewReader(strings.Join(killScript[len(said):], "\n")),
		Settle: func(ctx context.Context) error { return b.Settle(ctx) },
	})
	if err != nil {
		return nil, err
	}
	defer c.Close()
	b, err = bot.New(bot.Config{
		Store: st, People: people, Now: clock.Now, Log: slog.New(slog.NewTextHandler(os.Stderr, &slog.HandlerOptions{Level: slog.LevelWarn})),
		Desk:     func() bot.Desk { return d.now() },
		Adapters: map[string]bot.Adapter{console.Name: &mortalConsole{c, p}},
		Painter:  sync.OnceValues(picture.NewInAll),
	})
	if err != nil {
		return nil, err
	}
	err = b.Run(ctx)
	return p, errors.Join(err, ctx.Err())
}

// runKillChild is the child's main.
func runKillChild(text string) {
	if _, err := playKillScript(readKillPlan(text)); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

// readChat gives what was said and what was shown, from the history in a folder.
func readChat(folder string) (said, shown []string, err error) {
	f, err := os.Open(filepath.Join(folder, "chat.jsonl"))
	if errors.Is(err, os.ErrNotExist) {
		return nil, nil, nil
	}
	if err != nil {
		return nil, nil, err
	}
	defer f.Close()
	r := bufio.NewReader(f)
	for {
		data, err := r.ReadBytes('\n')
		if err == io.EOF {
			return said, shown, nil
		}
		if err != nil {
			return nil, nil, err
		}
		var rec struct {
			In  *struct{ Who, Text string }
			Out *struct {
				Place string
				Rows  []string
			}
		}
		if err := json.Unmarshal(data, &rec); err != nil {
			return nil, nil, err
		}
		if rec.In != nil {
			said = append(said, rec.In.Who+"> "+rec.In.Text)
		}
		if rec.Out != nil {
			shown = append(shown, rec.Out.Place+"> "+strings.Join(rec.Out.Rows, "\n"))
		}
	}
}

// legacy is all that a run leaves behind, without what differs by chance: ids of
// messages are replaced by their order, times left out.
type legacy struct {
	said, shown, job, directory []string
	waiting                     int
}

func readLegacy(t *testing.T, plan killPlan) legacy {
	t.Helper()
	ctx := t.Context()
	var l legacy
	var err error
	if l.said, l.shown, err = readChat(plan.folder); err != nil {
		t.Fatal(err)
	}
	backend, err := openStore(ctx, tryFlags{data: plan.folder, store: plan.store})
	if err != nil {
		t.Fatal(err)
	}
	defer backend.Close()
	ids := map[any]string{}
	plain := func(record []byte) string {
		var v map[string]any
		if err := json.Unmarshal(record, &v); err != nil {
			t.Fatalf("%s: %v", record, err)
		}
		delete(v, "at")
		delete(v, "below")
		if id, ok := v["msg"]; ok {
			if ids[id] == "" {
				ids[id] = fmt.Sprint("message ", len(ids)+1)
			}
			v["msg"] = ids[id]
		}
		text, err := json.Marshal(v)
		if err != nil {
			t.Fatal(err)
		}
		return string(text)
	}
	names, err := backend.Streams(ctx, "", "", 100)
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range names {
		records, err := backend.Events(ctx, name, 0)
		if err != nil {
			t.Fatal(err)
		}
		items, err := backend.Waiting(ctx, name)
		if err != nil {
			t.Fatal(err)
		}
		l.waiting += len(items)
		switch name {
		case "job-000001":
			for _, r := range bot.JobEvents(records) {
				l.job = append(l.job, plain(r))
			}
		case "shop":
			for _, r := range records {
				var note struct{ Kind string }
				if err := json.Unmarshal(r, &note); err != nil {
					t.Fatal(err)
				}
				if note.Kind != "thread" { // at the same time as what is said, so in no order
					l.directory = append(l.directory, plain(r))
				}
			}
		default:
			t.Errorf("a stream %s was left behind", name)
		}
	}
	return l
}

// slack is by how many points two runs may differ: the queue and a turn may both
// begin to open the job, and the one that comes second has a commit refused.
const slack = 4

// dies runs the script in a process of its own that is killed at the plan's point,
// of so many.
func dies(t *testing.T, plan killPlan, of int) {
	t.Helper()
	child := exec.Command(os.Args[0])
	child.Env = append(os.Environ(), plan.env(), "GORACE=atexit_sleep_ms=0")
	var out bytes.Buffer
	child.Stdout, child.Stderr = &out, &out
	err := child.Run()
	if err == nil && plan.at > of-slack {
		return // this time there were fewer
	}
	status, ok := child.ProcessState.Sys().(syscall.WaitStatus)
	if err == nil || !ok || !status.Signaled() || status.Signal() != syscall.SIGKILL {
		t.Fatalf("the child was not killed at point %d: %v\n%s", plan.at, err, out.Bytes())
	}
}

func (l legacy) diff(want legacy) string {
	var b strings.Builder
	for _, c := range []struct {
		what      string
		got, want []string
	}{{"said", l.said, want.said}, {"shown", l.shown, want.shown}, {"the job's log", l.job, want.job}, {"the directory", l.directory, want.directory}} {
		if !slices.Equal(c.got, c.want) {
			fmt.Fprintf(&b, "%s:\n got\n  %s\n want\n  %s\n", c.what, strings.Join(c.got, "\n  "), strings.Join(c.want, "\n  "))
		}
	}
	if l.waiting != 0 {
		fmt.Fprintf(&b, "%d items still wait to be sent\n", l.waiting)
	}
	return b.String()
}

// undisturbed plays the script without a kill: what all others must come to.
func undisturbed(t *testing.T, store string) (legacy, []string) {
	t.Helper()
	plan := killPlan{folder: t.TempDir(), store: store}
	p, err := playKillScript(plan)
	if err != nil {
		t.Fatal(err)
	}
	l := readLegacy(t, plan)
	if len(l.said) != len(killScript) || len(l.shown) < len(killScript)-2 || len(l.job) < 4 || l.waiting != 0 {
		t.Fatalf("the script says too little: %+v", l)
	}
	return l, p.names
}

// Killed at any write and started again, the program has lost nothing, logged
// nothing twice, and said everything once.
func TestKillAtEveryWrite(t *testing.T) {
	want, names := undisturbed(t, "")
	t.Logf("%d points to be killed at", len(names))
	for i, name := range names {
		t.Run(fmt.Sprint(i+1), func(t *testing.T) {
			t.Parallel()
			plan := killPlan{folder: t.TempDir(), at: i + 1}
			dies(t, plan, len(names))
			plan.at = 0
			if _, err := playKillScript(plan); err != nil {
				t.Fatalf("killed %s: %v", name, err)
			}
			if d := readLegacy(t, plan).diff(want); d != "" {
				t.Errorf("killed %s:\n%s", name, d)
			}
		})
	}
}

// Killed again and again, at every so many points, it still comes through.
func TestKillAgainAndAgain(t *testing.T) {
	want, names := undisturbed(t, "")
	for _, every := range []int{7} {
		t.Run(fmt.Sprint("every ", every), func(t *testing.T) {
			t.Parallel()
			plan := killPlan{folder: t.TempDir(), at: every}
			for kills := 0; ; kills++ {
				child := exec.Command(os.Args[0])
				child.Env = append(os.Environ(), plan.env(), "GORACE=atexit_sleep_ms=0")
				if child.Run() == nil {
					t.Logf("killed %d times", kills)
					break
				}
				if kills > len(names) {
					t.Fatal("it does not get on")
				}
			}
			if d := readLegacy(t, plan).diff(want); d != "" {
				t.Error(d)
			}
		})
	}
}

// The same on Redis at some points. A dead process's lease runs out by the clock.
func TestKillOnRedis(t *testing.T) {
	server := storetest.StartRedis(t, "--databases", "100")
	want, names := undisturbed(t, "redis://"+server.Addr+"/0")
	db := 0
	for i := 1; i < len(names); i += 5 {
		db++
		plan := killPlan{folder: t.TempDir(), store: fmt.Sprintf("redis://%s/%d", server.Addr, db), at: i}
		t.Run(fmt.Sprint(i), func(t *testing.T) {
			t.Parallel()
			dies(t, plan, len(names))
			plan.at, plan.late = 0, 5*time.Minute
			if _, err := playKillScript(plan); err != nil {
				t.Fatal(err)
			}
			if d := readLegacy(t, plan).diff(want); d != "" {
				t.Errorf("killed %s:\n%s", names[i-1], d)
			}
		})
	}
}
