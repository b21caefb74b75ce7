package discord

import (
	"context"
	"io"
	"log/slog"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"shimwright/bot"
	"shimwright/bot/discord/dctest"
)

// soon is how long something that happens at once may take on a busy machine.
const soon = 20 * time.Second

// fast makes the gateway's waiting as short as a test wants it.
var fast = timing{
	ready: 2 * time.Second, silent: 2, firstWait: 10 * time.Millisecond, longWait: 50 * time.Millisecond,
	farewell: 200 * time.Millisecond, resumes: 4, identify: 500,
}

// keep is a Memory.
type keep struct {
	mu sync.Mutex
	b  []byte
}

func (k *keep) Recall() ([]byte, error) {
	k.mu.Lock()
	defer k.mu.Unlock()
	return slices.Clone(k.b), nil
}

func (k *keep) Keep(b []byte) error {
	k.mu.Lock()
	defer k.mu.Unlock()
	k.b = slices.Clone(b)
	return nil
}

// logged is a log that can be looked into.
type logged struct {
	mu sync.Mutex
	b  strings.Builder
}

func (l *logged) Write(p []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.b.Write(p)
}

func (l *logged) has(text string) bool {
	l.mu.Lock()
	defer l.mu.Unlock()
	return strings.Contains(l.b.String(), text)
}

// rig is an adapter on a fake Discord and what it has delivered.
type rig struct {
	t       *testing.T
	d       *dctest.Server
	a       *Adapter
	log     *logged
	memory  *keep
	arrived chan struct{}

	mu     sync.Mutex
	heard  []bot.Message
	refuse func(bot.Message) error
	stop   context.CancelFunc
	ended  chan error
}

type change func(*Config, *timing)

func newAdapter(t *testing.T, d *dctest.Server, m Memory, log io.Writer, changes ...change) *Adapter {
	t.Helper()
	c := Config{
		Token: dctest.Token, Guild: d.Guild, MessageContent: true, API: d.URL, Memory: m, Now: time.Now,
		Log: slog.New(slog.NewTextHandler(log, nil)),
	}
	limits := fast
	for _, change := range changes {
		change(&c, &limits)
	}
	a, err := New(c)
	if err != nil {
		t.Fatal(err)
	}
	a.gateway.(*gateway).timing = limits
	return a
}

// start connects an adapter and waits until it is there.
func start(t *testing.T, d *dctest.Server, changes ...change) *rig {
	t.Helper()
	r := &rig{t: t, d: d, memory: &keep{}, log: &logged{}, arrived: make(chan struct{}, 10_000)}
	r.connect(changes...)
	r.until("connected", d.Connected)
	return r
}

func (r *rig) connect(changes ...change) {
	r.t.Helper()
	r.a = newAdapter(r.t, r.d, r.memory, r.log, changes...)
	ctx, stop := context.WithCancel(context.Background())
	r.stop, r.ended = stop, make(chan error, 1)
	go func() { r.ended <- r.a.Run(ctx, r.deliver) }()
	r.t.Cleanup(r.end)
}

func (r *rig) deliver(_ context.Context, m bot.Message) error {
	r.mu.Lock()
	defer r.mu.Unlock()
	defer func() { r.arrived <- struct{}{} }()
	if r.refuse != nil {
		if err := r.refuse(m); err != nil {
			return err
		}
	}
	r.heard = append(r.heard, m)
	return nil
}

func (r *rig) end() {
	r.stop()
	if r.ended == nil {
		return
	}
	select {
	case err := <-r.ended:
		if err != nil {
			r.t.Errorf("Run: %v", err)
		}
	case <-time.After(soon):
		r.t.Error("Run does not end")
	}
	r.ended = nil
}

func (r *rig) hears(n int) []bot.Message {
	r.t.Helper()
	timeout := time.After(soon)
	for {
		r.mu.Lock()
		heard := slices.Clone(r.heard)
		r.mu.Unlock()
		if len(heard) >= n {
			return heard
		}
		select {
		case <-r.arrived:
		case <-timeout:
			r.t.Fatalf("%d messages delivered, want %d: %+v", len(heard), n, heard)
		}
	}
}

// until waits for something that the fake or the log shows.
func (r *rig) until(what string, ok func() bool) {
	r.t.Helper()
	tick := time.NewTicker(2 * time.Millisecond)
	defer tick.Stop()
	timeout := time.After(soon)
	for !ok() {
		select {
		case <-tick.C:
		case <-timeout:
			r.t.Fatalf("it is never %s", what)
		}
	}
}

func (r *rig) send(to string, p bot.Post, nonce string) (bot.MessageID, error) {
	ctx, cancel := context.WithTimeout(context.Background(), soon)
	defer cancel()
	return r.a.Send(ctx, bot.Place(to), p, nonce)
}

func (r *rig) must(to string, p bot.Post, nonce string) bot.MessageID {
	r.t.Helper()
	id, err := r.send(to, p, nonce)
	if err != nil {
		r.t.Fatalf("Send %q: %v", p.Text, err)
	}
	return id
}

func texts(ms []bot.Message) []string {
	out := make([]string, len(ms))
	for i, m := range ms {
		out[i] = m.Text
	}
	return out
}
