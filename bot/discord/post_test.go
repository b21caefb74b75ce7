package discord

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"shimwright/bot"
	"shimwright/bot/discord/dctest"
)

// shifted is a clock that can be put forward.
type shifted struct{ by atomic.Int64 }

func (s *shifted) now() time.Time          { return time.Now().Add(time.Duration(s.by.Load())) }
func (s *shifted) forward(d time.Duration) { s.by.Add(int64(d)) }

// with sets an adapter's and the fake's clock.
func (s *shifted) with(d *dctest.Server) change {
	d.SetNow(s.now)
	return func(c *Config, _ *timing) { c.Now = s.now }
}

func sentTexts(d *dctest.Server, at string) []string {
	var out []string
	for _, m := range d.Posts(at) {
		out = append(out, m.Content)
	}
	return out
}

// TestPostUnknownOutcome: however a request ends, sending again with the same nonce
// shows the post once.
func TestPostUnknownOutcome(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name  string
		fault dctest.Fault
	}{
		{"502, not done", dctest.Fault{Status: 502}},
		{"502, done", dctest.Fault{Status: 502, Done: true}},
		{"three times 502, done", dctest.Fault{Status: 502, Done: true, Times: 3}},
		{"500, done", dctest.Fault{Status: 500, Done: true, Body: `{"code":0,"message":"internal"}`}},
		{"503 of the network before it", dctest.Fault{Status: 503, Body: "<html>busy</html>"}},
		{"200 with a broken answer", dctest.Fault{Status: 200, Done: true, Body: `{"id":`}},
		{"200 with no id", dctest.Fault{Status: 200, Done: true, Body: `{}`}},
		{"200 and nothing", dctest.Fault{Status: 200, Done: true}},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			d := dctest.New(t)
			r := start(t, d)
			c.fault.Method, c.fault.Path = "POST", "/messages"
			d.Fail(c.fault)
			for range max(1, c.fault.Times) {
				_, err := r.send(d.Channel, bot.Post{Text: "once"}, "n1")
				if err == nil || errors.Is(err, bot.ErrRefused) {
					t.Fatalf("Send: %v", err)
				}
			}
			if n := len(d.Requests("POST /api/v9/channels")); n != max(1, c.fault.Times) {
				t.Errorf("%d requests for %d calls of Send", n, max(1, c.fault.Times))
			}
			id := r.must(d.Channel, bot.Post{Text: "once"}, "n1")
			if posts := d.Posts(d.Channel); len(posts) != 1 || posts[0].ID != string(id) {
				t.Errorf("seen %q, id %s", sentTexts(d, d.Channel), id)
			}
		})
	}
}

// TestPostAgainLater: when Discord has forgotten a nonce, the post is found in the
// history, and another one with the same text is not taken for it.
func TestPostAgainLater(t *testing.T) {
	t.Parallel()
	d := dctest.New(t)
	clock := &shifted{}
	r := start(t, d, clock.with(d))
	r.must(d.Channel, bot.Post{Text: "logged."}, "n0")
	d.Fail(dctest.Fault{Method: "POST", Path: "/messages", Status: 502, Done: true})
	if _, err := r.send(d.Channel, bot.Post{Text: "logged."}, "n1"); err == nil {
		t.Fatal("the fault is not seen")
	}
	clock.forward(10 * time.Minute)
	id := r.must(d.Channel, bot.Post{Text: "logged."}, "n1")
	posts := d.Posts(d.Channel)
	if len(posts) != 2 || posts[1].ID != string(id) {
		t.Errorf("%d posts, the id is %s", len(posts), id)
	}
	d.Fail(dctest.Fault{Method: "POST", Path: "/messages", Status: 502})
	if _, err := r.send(d.Channel, bot.Post{Text: "logged."}, "n2"); err == nil {
		t.Fatal("the fault is not seen")
	}
	clock.forward(10 * time.Minute)
	r.must(d.Channel, bot.Post{Text: "logged."}, "n2")
	if n := len(d.Posts(d.Channel)); n != 3 {
		t.Errorf("%d posts, want 3: one that never arrived is taken for another", n)
	}
}

// TestPostAfterCrash: a process that dies after posting and before telling the store
// leaves a post that the next one finds, however long it took.
func TestPostAfterCrash(t *testing.T) {
	t.Parallel()
	d := dctest.New(t)
	clock := &shifted{}
	set := clock.with(d)
	r := start(t, d, set)
	d.Say(d.Channel, d.Ann, "lash 9")
	r.hears(1)
	r.until("kept", func() bool { b, _ := r.memory.Recall(); return len(b) > 0 })
	r.must(d.Channel, bot.Post{Text: "set it to 8"}, "n1")
	crashed, _ := r.memory.Recall() // nothing is written after this
	r.end()
	clock.forward(8 * time.Hour)
	if err := r.memory.Keep(crashed); err != nil {
		t.Fatal(err)
	}
	r.connect(set)
	id := r.must(d.Channel, bot.Post{Text: "set it to 8"}, "n1")
	if posts := d.Posts(d.Channel); len(posts) != 1 || posts[0].ID != string(id) {
		t.Errorf("seen %q", sentTexts(d, d.Channel))
	}
	r.must(d.Channel, bot.Post{Text: "set it to 8"}, "n2")
	if n := len(d.Posts(d.Channel)); n != 2 {
		t.Errorf("%d posts: a new one with the same text is swallowed", n)
	}
}

// TestRateLimits: what Discord asks for is passed on, nothing is repeated, and a
// limit of the whole bot holds back other places too.
func TestRateLimits(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name   string
		fault  dctest.Fault
		after  time.Duration
		global bool
	}{
		{"of a route", dctest.Fault{Status: 429, Header: map[string]string{"Retry-After": "2", "X-RateLimit-Reset-After": "1.5", "X-RateLimit-Remaining": "0"},
			Body: `{"message":"You are being rate limited.","retry_after":1.5,"global":false}`}, 2 * time.Second, false},
		// Source: Discord developer documentation, "Rate Limits", the example of a global limit.
		{"global, as documented", dctest.Fault{Status: 429, Header: map[string]string{"Retry-After": "65", "X-RateLimit-Global": "true", "X-RateLimit-Scope": "global"},
			Body: `{"message":"You are being rate limited.","retry_after":64.57,"global":true}`}, 65 * time.Second, true},
		{"global in the body only", dctest.Fault{Status: 429, Body: `{"message":"You are being rate limited.","retry_after":3,"global":true}`}, 3 * time.Second, true},
		{"a page of HTML", dctest.Fault{Status: 429, Header: map[string]string{"Retry-After": "7", "Content-Type": "text/html"}, Body: "<html>error 1015</html>"}, 7 * time.Second, true},
		{"a page without a time", dctest.Fault{Status: 429, Body: "<html>error 1015</html>"}, blindWait, true},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			d := dctest.New(t)
			clock := &shifted{}
			r := start(t, d, clock.with(d))
			other := d.AddChannel("gearboxes")
			c.fault.Method, c.fault.Path = "POST", d.Channel+"/messages"
			d.Fail(c.fault)
			_, err := r.send(d.Channel, bot.Post{Text: "a"}, "n1")
			var later *bot.LaterError
			if !errors.As(err, &later) || later.After != c.after {
				t.Fatalf("Send: %v, want to wait %v", err, c.after)
			}
			_, err = r.send(other, bot.Post{Text: "b"}, "n2")
			if held := errors.As(err, &later); held != c.global {
				t.Errorf("in another channel: %v, want it held back: %v", err, c.global)
			}
			if n := len(d.Requests("POST")); c.global && n != 1 {
				t.Errorf("%d requests", n)
			}
			clock.forward(2 * time.Minute)
			if c.global {
				r.must(d.Channel, bot.Post{Text: "a"}, "n1")
			}
		})
	}
}

// TestWaitEnds: no wait for a rate limit outlives the caller.
func TestWaitEnds(t *testing.T) {
	t.Parallel()
	d := dctest.New(t)
	r := start(t, d)
	hang := make(chan struct{})
	defer close(hang)
	d.Fail(dctest.Fault{Method: "POST", Path: "/messages", Hang: hang})
	ctx, cancel := context.WithTimeout(t.Context(), 100*time.Millisecond)
	defer cancel()
	began := time.Now()
	both := make(chan error, 2)
	for i := range 2 {
		go func() {
			_, err := r.a.Send(ctx, bot.Place(d.Channel), bot.Post{Text: "x"}, fmt.Sprint("n", i))
			both <- err
		}()
	}
	for range 2 {
		if err := <-both; err == nil || errors.Is(err, bot.ErrRefused) {
			t.Errorf("Send: %v", err)
		}
	}
	if took := time.Since(began); took > 2*time.Second {
		t.Errorf("it took %v", took)
	}
}

// TestRefused: what cannot be cured is final and says what to do.
func TestRefused(t *testing.T) {
	t.Parallel()
	d := dctest.New(t)
	r := start(t, d)
	for _, c := range []struct {
		code int
		want string
	}{{50001, "View Channel"}, {50013, "Send Messages"}, {10003, "gone"}, {50007, "private messages"}} {
		d.Forbid(d.Channel, c.code)
		_, err := r.send(d.Channel, bot.Post{Text: "x"}, fmt.Sprint("n", c.code))
		if !errors.Is(err, bot.ErrRefused) || !strings.Contains(err.Error(), c.want) {
			t.Errorf("code %d: %v", c.code, err)
		}
	}
	d.Forbid(d.Channel, 0)
	for _, c := range []struct {
		name string
		to   string
		p    bot.Post
	}{
		{"too long", d.Channel, bot.Post{Text: strings.Repeat("ä", 2001)}},
		{"empty", d.Channel, bot.Post{}},
		{"blank", d.Channel, bot.Post{Text: " \n"}},
		{"too many choices", d.Channel, bot.Post{Text: "x", Choices: make([]string, 26)}},
		{"an empty choice", d.Channel, bot.Post{Text: "x", Choices: []string{""}}},
		{"a long choice", d.Channel, bot.Post{Text: "x", Choices: []string{strings.Repeat("ä", 81)}}},
		{"a large file", d.Channel, bot.Post{Text: "x", Files: []bot.File{{Name: "a.png", Type: "image/png", Data: make([]byte, 10<<20+1)}}}},
		{"too many files", d.Channel, bot.Post{Text: "x", Files: make([]bot.File, 11)}},
		{"no channel", "somewhere", bot.Post{Text: "x"}},
	} {
		if _, err := r.send(c.to, c.p, "n"); !errors.Is(err, bot.ErrRefused) {
			t.Errorf("%s: %v", c.name, err)
		}
	}
	if n := len(d.Requests("POST")); n != 4 {
		t.Errorf("%d requests, want 4: limits are looked at before anything is sent", n)
	}
	if _, err := r.send("404", bot.Post{Text: "x"}, "n"); !errors.Is(err, bot.ErrRefused) {
		t.Errorf("an unknown channel: %v", err)
	}
}

// TestPings: exactly the people of Ping are notified, whatever the text says.
func TestPings(t *testing.T) {
	t.Parallel()
	d := dctest.New(t)
	r := start(t, d)
	r.must(d.Channel, bot.Post{Text: "@everyone <@" + d.Ann.ID + "> wrote this"}, "n1")
	r.must(d.Channel, bot.Post{Text: "please look", Ping: []bot.UserID{bot.UserID(d.Ben.ID)}}, "n2")
	posts := d.Posts(d.Channel)
	if len(posts[0].Pinged) != 0 {
		t.Errorf("notified without need: %v", posts[0].Pinged)
	}
	if !slices.Equal(posts[1].Pinged, []string{d.Ben.ID}) {
		t.Errorf("notified %v", posts[1].Pinged)
	}
	long := strings.Repeat("x", r.a.Limits().Text)
	r.must(d.Channel, bot.Post{Text: long, Ping: []bot.UserID{bot.UserID(d.Ben.ID), bot.UserID(d.Ann.ID)}}, "n3")
	if p := d.Posts(d.Channel)[2]; len(p.Pinged) != 2 {
		t.Errorf("below the longest post %v are notified", p.Pinged)
	}
}

// TestThreads: one thread for a message, unarchived and unlocked where it may be.
func TestThreads(t *testing.T) {
	t.Parallel()
	d := dctest.New(t)
	private := d.AddDM()
	r := start(t, d)
	root := d.Say(d.Channel, d.Ann, "open")
	open := func(in, below string) string {
		t.Helper()
		p, err := r.a.OpenThread(t.Context(), bot.Place(in), bot.MessageID(below), bot.Topic{Job: 1, Title: strings.Repeat("é", 120)})
		if err != nil {
			t.Fatal(err)
		}
		return string(p)
	}
	thread := open(d.Channel, root)
	if thread != root || len([]rune(d.ThreadOf(thread).Name)) != 100 || d.ThreadOf(thread).Thread.Archive != 10080 {
		t.Errorf("the thread is %s: %+v", thread, d.ThreadOf(thread))
	}
	byHand := d.Say(d.Channel, d.Ann, "has one already")
	d.AddThread(d.Channel, byHand, "made by ann")
	if got := open(d.Channel, byHand); got != byHand {
		t.Errorf("the thread that is there already is %s, got %s", byHand, got)
	}
	if got := open(private, d.Say(private, d.Ann, "open")); got != private {
		t.Errorf("in a private talk: %s", got)
	}
	lost := open(d.Channel, "4")
	if d.ThreadOf(lost).ParentID != d.Channel {
		t.Errorf("below a deleted message: %s", lost)
	}

	d.Archive(thread, false)
	r.must(thread, bot.Post{Text: "still here", Choices: []string{"yes"}}, "n1")
	if d.ThreadOf(thread).Thread.Archived {
		t.Error("a post does not take the thread up again")
	}
	post := d.Posts(thread)[0].ID
	d.Archive(thread, false)
	if err := r.a.Edit(t.Context(), bot.Place(thread), bot.MessageID(post), bot.Post{Text: "done"}); err != nil {
		t.Errorf("Edit in an archived thread: %v", err)
	}
	if p := d.Posts(thread)[0]; p.Content != "done" || len(p.Components) != 0 {
		t.Errorf("edited: %+v", p)
	}
	d.Archive(thread, true)
	r.must(thread, bot.Post{Text: "unlocked"}, "n2")
	d.SetPermissions(0)
	d.Archive(thread, true)
	if _, err := r.send(thread, bot.Post{Text: "x"}, "n3"); !errors.Is(err, bot.ErrRefused) || !strings.Contains(err.Error(), "Manage Threads") {
		t.Errorf("in a locked thread: %v", err)
	}
}
