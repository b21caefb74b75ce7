package discord

import (
	"context"
	"errors"
	"fmt"
	"io"
	"slices"
	"testing"
	"time"

	"shimwright/bot"
	"shimwright/bot/discord/dctest"
)

// TestGatewayFaults: whatever a connection does, the next message arrives, once.
func TestGatewayFaults(t *testing.T) {
	t.Parallel()
	quick := func(_ *Config, l *timing) { l.ready = 400 * time.Millisecond }
	for _, c := range []struct {
		name    string
		scripts []dctest.Script // of the first connections
		beat    time.Duration
	}{
		{"silent server", []dctest.Script{{Silent: true}}, 0},
		{"op 7 first", []dctest.Script{{First: 7}}, 0},
		{"op 11 first", []dctest.Script{{First: 11}}, 0},
		{"op 9 first", []dctest.Script{{First: 9}}, 0},
		{"close 4000 first", []dctest.Script{{Close: 4000}}, 0},
		{"all of them", []dctest.Script{{First: 11}, {Silent: true}, {Close: 4000}, {First: 7}}, 0},
		{"silent after READY", []dctest.Script{{Deaf: true, NoAck: true}}, 60 * time.Millisecond},
		{"heartbeats not answered", []dctest.Script{{NoAck: true}}, 60 * time.Millisecond},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			d := dctest.New(t)
			if c.beat != 0 {
				d.SetHeartbeat(c.beat)
			}
			d.Next(c.scripts...)
			r := &rig{t: t, d: d, memory: &keep{}, log: &logged{}, arrived: make(chan struct{}, 1000)}
			r.connect(quick)
			r.until("connected anew", func() bool {
				n, _, _ := d.Counts()
				return n > len(c.scripts) || c.scripts[0].First == 9
			})
			d.SetHeartbeat(time.Minute)
			r.until("connected", d.Connected)
			d.Say(d.Channel, d.Ann, "still there?")
			if got := texts(r.hears(1)); !slices.Equal(got, []string{"still there?"}) {
				t.Errorf("heard %q", got)
			}
		})
	}
}

// TestDeafFindsMissed: what was said on a connection that had gone deaf is fetched.
func TestDeafFindsMissed(t *testing.T) {
	t.Parallel()
	d := dctest.New(t)
	d.SetHeartbeat(200 * time.Millisecond)
	d.Next(dctest.Script{Deaf: true, NoAck: true})
	r := start(t, d)
	id := d.Say(d.Channel, d.Ann, "lash 9")
	if got := r.hears(1)[0]; got.Text != "lash 9" || string(got.ID) != id {
		t.Errorf("heard %+v", got)
	}
	if !r.log.has(errSilent.Error()) && !r.log.has(errNoAck.Error()) {
		t.Error("the log does not say why it connected anew")
	}
}

// TestResume: a connection that broke off is taken up again, and replayed events,
// doubled ones among them, come once.
func TestResume(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name                string
		broken              func(*dctest.Server)
		identifies, resumes int
	}{
		{"dropped", func(d *dctest.Server) { d.Drop() }, 1, 1},
		{"closed 1001", func(d *dctest.Server) { d.DropWith(1001) }, 1, 1},
		{"op 7", func(d *dctest.Server) { d.Send(7) }, 1, 1},
		{"op 9", func(d *dctest.Server) { d.Send(9) }, 2, 0},
		{"session gone", func(d *dctest.Server) { d.Forget() }, 2, 1},
		{"resume refused", func(d *dctest.Server) { d.Next(dctest.Script{Invalid: true}); d.Drop() }, 2, 1},
		{"resume is met by op 7", func(d *dctest.Server) { d.Next(dctest.Script{First: 7}); d.Drop() }, 2, 1},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			d := dctest.New(t)
			r := start(t, d)
			d.Say(d.Channel, d.Ann, "one")
			r.hears(1)
			c.broken(d)
			d.Say(d.Channel, d.Ben, "two")
			d.Say(d.Channel, d.Ann, "three")
			r.hears(3)
			d.Repeat(3)
			d.Say(d.Channel, d.Ben, "four")
			if got := texts(r.hears(4)); !slices.Equal(got, []string{"one", "two", "three", "four"}) {
				t.Errorf("heard %q", got)
			}
			r.until(fmt.Sprintf("identified %d times and resumed %d times", c.identifies, c.resumes), func() bool {
				_, identifies, resumes := d.Counts()
				return identifies == c.identifies && resumes == c.resumes
			})
		})
	}
}

// TestTwoHundred: 200 messages in flight through connections that drop, one of them
// for good, arrive once each and in the order of their places.
func TestTwoHundred(t *testing.T) {
	t.Parallel()
	d := dctest.New(t)
	second := d.AddChannel("gearboxes")
	r := start(t, d)
	want := map[string][]string{}
	for i := range 200 {
		switch i {
		case 50:
			d.Drop()
		case 110:
			d.Forget()
		case 160:
			d.Repeat(20)
		}
		at := []string{d.Channel, second}[i%2]
		text := fmt.Sprint("lash ", i)
		want[at] = append(want[at], text)
		d.Say(at, []dctest.User{d.Ann, d.Ben}[i%3%2], text)
	}
	heard := r.hears(200)
	r.until("connected again", d.Connected)
	d.Say(d.Channel, d.Ann, "the end")
	heard = r.hears(201)
	got, ids := map[string][]string{}, map[bot.MessageID]bool{}
	for _, m := range heard[:200] {
		got[string(m.Place)] = append(got[string(m.Place)], m.Text)
		if ids[m.ID] {
			t.Errorf("%s came twice", m.ID)
		}
		ids[m.ID] = true
	}
	for _, at := range []string{d.Channel, second} {
		if !slices.Equal(got[at], want[at]) {
			t.Errorf("in %s: heard %d, want %d: %q", at, len(got[at]), len(want[at]), got[at])
		}
	}
	if heard[200].Text != "the end" {
		t.Errorf("after them: %q", heard[200].Text)
	}
}

// TestTurnedAway: after a close code that is final it does not connect again, and
// says what to do.
func TestTurnedAway(t *testing.T) {
	t.Parallel()
	run := func(t *testing.T, d *dctest.Server, later func(*rig), changes ...change) (*TurnedAway, *rig) {
		r := &rig{t: t, d: d, memory: &keep{}, log: &logged{}, arrived: make(chan struct{}, 1000)}
		r.connect(changes...)
		later(r)
		select {
		case err := <-r.ended:
			r.ended = nil
			var away *TurnedAway
			if !errors.As(err, &away) {
				t.Fatalf("Run: %v", err)
			}
			return away, r
		case <-time.After(soon):
			t.Fatal("it goes on trying")
		}
		return nil, nil
	}
	nothing := func(*rig) {}
	for _, code := range []int{4004, 4010, 4011, 4012, 4013, 4014} {
		t.Run(fmt.Sprint(code), func(t *testing.T) {
			t.Parallel()
			d := dctest.New(t)
			d.Next(dctest.Script{Close: code})
			if away, _ := run(t, d, nothing); away.Code != code || away.Do == "" {
				t.Errorf("%+v", away)
			}
			if n, _, _ := d.Counts(); n != 1 {
				t.Errorf("%d connections", n)
			}
		})
	}
	t.Run("wrong token", func(t *testing.T) {
		t.Parallel()
		if away, _ := run(t, dctest.New(t), nothing, func(c *Config, _ *timing) { c.Token = "another" }); away.Code != 4004 {
			t.Errorf("%+v", away)
		}
	})
	t.Run("intent switched off", func(t *testing.T) {
		t.Parallel()
		d := dctest.New(t)
		d.SetContent(false)
		if away, _ := run(t, d, nothing); away.Code != 4014 {
			t.Errorf("%+v", away)
		}
	})
	t.Run("while connected", func(t *testing.T) {
		t.Parallel()
		d := dctest.New(t)
		away, _ := run(t, d, func(r *rig) {
			r.until("connected", d.Connected)
			d.Say(d.Channel, d.Ann, "one")
			r.hears(1)
			d.DropWith(4014)
		})
		if away.Code != 4014 {
			t.Errorf("%+v", away)
		}
	})
}

// TestShutdown: it ends within a second wherever the gateway is.
func TestShutdown(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name   string
		script dctest.Script
		ready  bool
	}{
		{"connected", dctest.Script{}, true},
		{"silent server", dctest.Script{Silent: true}, false},
		{"op 11 first", dctest.Script{First: 11}, false},
		{"op 7 first", dctest.Script{First: 7}, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			d := dctest.New(t)
			d.Next(c.script)
			r := &rig{t: t, d: d, memory: &keep{}, log: &logged{}, arrived: make(chan struct{}, 1000)}
			r.connect(func(_ *Config, l *timing) { l.ready = time.Minute })
			r.until("connected", func() bool { n, _, _ := d.Counts(); return n > 0 && (!c.ready || d.Connected()) })
			began := time.Now()
			r.end()
			if took := time.Since(began); took > time.Second {
				t.Errorf("it took %v", took)
			}
		})
	}
}

// TestBrokenHandler: a message that breaks the program is given up, those after it
// are heard.
func TestBrokenHandler(t *testing.T) {
	t.Parallel()
	d := dctest.New(t)
	r := start(t, d)
	r.mu.Lock()
	r.refuse = func(m bot.Message) error {
		if m.Text == "bad" {
			panic("a mistake")
		}
		return nil
	}
	r.mu.Unlock()
	d.Say(d.Channel, d.Ann, "bad")
	d.Say(d.Channel, d.Ann, "good")
	if got := texts(r.hears(1)); !slices.Equal(got, []string{"good"}) {
		t.Errorf("heard %q", got)
	}
}

// TestConnected: whether events come is told at any time.
func TestConnected(t *testing.T) {
	t.Parallel()
	d := dctest.New(t)
	r := start(t, d)
	r.until("connected", r.a.Connected)
	d.Next(dctest.Script{Silent: true}, dctest.Script{Silent: true})
	d.Drop()
	r.until("known to be away", func() bool { return !r.a.Connected() })
	r.until("connected anew", r.a.Connected)
	r.end()
	if r.a.Connected() {
		t.Error("it is connected after its end")
	}
}

// TestAwayFromDiscord: without any server it tries on, and ends when told.
func TestAwayFromDiscord(t *testing.T) {
	t.Parallel()
	d := dctest.New(t)
	a := newAdapter(t, d, nil, io.Discard)
	d.Close()
	ctx, stop := context.WithTimeout(context.Background(), 100*time.Millisecond)
	defer stop()
	if err := a.Run(ctx, func(context.Context, bot.Message) error { return nil }); err != nil {
		t.Errorf("Run: %v", err)
	}
}
