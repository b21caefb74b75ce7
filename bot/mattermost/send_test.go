package mattermost

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"slices"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"github.com/mattermost/mattermost/server/public/model"

	"shimwright/bot"
	"shimwright/bot/mattermost/mmtest"
)

func TestAPostIsMadeOnce(t *testing.T) {
	for _, c := range []struct {
		name  string
		again func(l *line)
	}{
		{"at once", func(*line) {}},
		{"after the server has forgotten the pending id", func(*line) { time.Sleep(31 * time.Second) }},
		{"after the server's restart", func(l *line) { l.server.Restart(); time.Sleep(time.Minute) }},
		{"by the next process", func(l *line) { l.end(); time.Sleep(time.Hour); l.marks = &memoryMarks{}; l.start() }},
		{"by the next process, before it connects", func(l *line) {
			l.end()
			time.Sleep(time.Hour)
			l.server.Fail(mmtest.Fault{Path: "websocket", Times: 1 << 20, Status: 502})
			l.start()
		}},
		{"while not connected", func(l *line) {
			l.server.Fail(mmtest.Fault{Path: "websocket", Times: 1 << 20, Status: 502})
			l.server.Drop()
			time.Sleep(time.Minute)
		}},
		{"with another token", func(l *line) { l.end(); l.token = l.server.AddToken(l.me); l.start() }},
	} {
		for _, below := range []string{"channel", "thread"} {
			t.Run(c.name+" in a "+below, func(t *testing.T) {
				bubble(t, func(t *testing.T, l *line) {
					l.start()
					to, root := placeOf(l.bay, ""), ""
					if below == "thread" {
						root = l.say("root").Id
						to = placeOf(l.bay, root)
					}
					first := l.send(to, bot.Post{Text: "once"}, "n1")
					for i := range 250 { // more than a page of what others say
						l.server.Say(l.ben, l.bay, root, fmt.Sprint(i))
					}
					c.again(l)
					if again := l.send(to, bot.Post{Text: "once"}, "n1"); again != first {
						t.Errorf("ids %s and %s", first, again)
					}
					l.send(to, bot.Post{Text: "once"}, "n2")
					if got := l.seen(root); !slices.Equal(got, []string{"once", "once"}) {
						t.Errorf("seen %q", got)
					}
				})
			})
		}
	}
}

// Two processes on one account: what one sent the other does not send again.
func TestTwoProcessesSendOnce(t *testing.T) {
	bubble(t, func(t *testing.T, l *line) {
		l.start()
		other, err := New(Config{URL: l.server.URL, Token: l.token, Now: time.Now, Log: testLog(t), Dial: l.dial})
		if err != nil {
			t.Fatal(err)
		}
		to := placeOf(l.bay, "")
		if _, err := other.Send(t.Context(), to, bot.Post{Text: "first"}, "n0"); err != nil {
			t.Fatal(err)
		}
		a := l.send(to, bot.Post{Text: "once"}, "n1")
		time.Sleep(time.Minute)
		b, err := other.Send(t.Context(), to, bot.Post{Text: "once"}, "n1")
		other.transport.CloseIdleConnections()
		if err != nil || a != b || len(l.seen("")) != 2 {
			t.Errorf("%s and %s, %v: %q", a, b, err, l.seen(""))
		}
	})
}

func TestAPostWhoseAnswerIsLostIsMadeOnce(t *testing.T) {
	for _, status := range []int{0, 500, 502, 504, 201} {
		for _, made := range []bool{true, false} {
			if status == 201 && !made {
				continue
			}
			t.Run(fmt.Sprint(status, " made ", made), func(t *testing.T) {
				bubble(t, func(t *testing.T, l *line) {
					l.start()
					f := mmtest.Fault{Method: "POST", Path: "/posts", Times: 2, Status: status, After: made}
					if status == 201 {
						f.Body = `{"id": "cut o`
					}
					l.server.Fail(f)
					id := l.send(placeOf(l.bay, ""), bot.Post{Text: "once"}, "n1")
					got := l.server.Seen(l.bay, "")
					if len(got) != 1 || string(id) != got[0].Id {
						t.Errorf("%d posts, %s", len(got), id)
					}
				})
			})
		}
	}
}

// The request itself is given up, and the post is sent again much later.
func TestAPostWhoseRequestWasGivenUp(t *testing.T) {
	bubble(t, func(t *testing.T, l *line) {
		l.start()
		to := placeOf(l.bay, "")
		l.send(to, bot.Post{Text: "before"}, "n0")
		l.end() // no event tells of it
		l.server.Fail(mmtest.Fault{Method: "POST", Path: "/posts", Times: 1, After: true})
		ctx, cancel := context.WithTimeout(t.Context(), 100*time.Millisecond)
		defer cancel()
		if _, err := l.adapter.Send(ctx, to, bot.Post{Text: "once"}, "n1"); err == nil {
			t.Error("no error")
		}
		time.Sleep(time.Hour)
		l.send(to, bot.Post{Text: "once"}, "n1")
		if got := l.seen(""); !slices.Equal(got, []string{"before", "once"}) {
			t.Errorf("seen %q", got)
		}
	})
}

// Connected, and yet neither the answer nor the event arrives.
func TestAPostNobodyToldOf(t *testing.T) {
	bubble(t, func(t *testing.T, l *line) {
		l.start()
		to := placeOf(l.bay, "")
		l.send(to, bot.Post{Text: "before"}, "n0")
		time.Sleep(time.Second)
		l.server.Silence()
		l.server.Fail(mmtest.Fault{Method: "POST", Path: "/posts", Times: 1, After: true})
		ctx, cancel := context.WithTimeout(t.Context(), 100*time.Millisecond)
		defer cancel()
		if _, err := l.adapter.Send(ctx, to, bot.Post{Text: "once"}, "n1"); err == nil {
			t.Error("no error")
		}
		time.Sleep(35 * time.Second) // the silence is not noticed yet
		l.send(to, bot.Post{Text: "once"}, "n1")
		if got := l.seen(""); !slices.Equal(got, []string{"before", "once"}) {
			t.Errorf("seen %q", got)
		}
	})
}

func TestPendingPosts(t *testing.T) {
	bubble(t, func(t *testing.T, l *line) {
		l.start()
		to := placeOf(l.bay, "")
		me, _ := l.adapter.who(t.Context())
		// The same post is in the making by another request.
		pending := l.adapter.pendingID(me, to, "n1", 0)
		l.server.Pend(pending, "")
		time.AfterFunc(600*time.Millisecond, func() { l.server.Unpend(pending) })
		l.send(to, bot.Post{Text: "waited for"}, "n1")
		// Somebody else came to the same id: the server gives theirs for an answer.
		l.server.Pend(l.adapter.pendingID(me, to, "n2", 0), l.say("another's").Id)
		l.send(to, bot.Post{Text: "not swallowed"}, "n2")
		if got := l.seen(""); !slices.Equal(got, []string{"waited for", "not swallowed"}) {
			t.Errorf("seen %q", got)
		}
		// It never ends: an error that is tried again.
		l.server.Pend(l.adapter.pendingID(me, to, "n3", 0), "")
		if _, err := l.adapter.Send(t.Context(), to, bot.Post{Text: "stuck"}, "n3"); err == nil || errors.Is(err, bot.ErrRefused) {
			t.Errorf("Send: %v", err)
		}
		ids := map[string]bool{}
		for _, id := range []string{
			l.adapter.pendingID(me, to, "n1", 0), l.adapter.pendingID(me, to, "n1", 1), l.adapter.pendingID(me, to, "n2", 0), l.adapter.pendingID(me, placeOf(l.me, ""), "n1", 0),
		} {
			ids[id] = true
		}
		if len(ids) != 4 || l.adapter.pendingID(me, to, "n1", 0) != pending {
			t.Errorf("pending ids %v", ids)
		}
	})
}

func TestRefusals(t *testing.T) {
	bubble(t, func(t *testing.T, l *line) {
		l.start()
		root := l.say("root")
		reply := l.server.Say(l.ben, l.bay, root.Id, "below")
		deleted := l.say("deleted")
		l.server.Delete(deleted.Id)
		other := l.server.AddChannel("other", "P", l.ann)
		for _, to := range []bot.Place{
			"", "shop", "bay:", placeOf(l.bay, "x"), placeOf(other, ""), placeOf(model.NewId(), ""), placeOf(l.bay, reply.Id), placeOf(l.bay, deleted.Id), placeOf(l.bay, model.NewId()),
		} {
			if _, err := l.adapter.Send(t.Context(), to, bot.Post{Text: "x"}, "n-"+string(to)); !errors.Is(err, bot.ErrRefused) {
				t.Errorf("%q: %v", to, err)
			}
		}
		l.server.Kick(l.bay, l.me)
		if _, err := l.adapter.Send(t.Context(), placeOf(l.bay, ""), bot.Post{Text: "x"}, "n"); !errors.Is(err, bot.ErrRefused) {
			t.Errorf("put out: %v", err)
		}
		huge := bot.Post{Text: strings.Repeat("\x01", 60_000)} // 6 bytes each
		if _, err := l.adapter.Send(t.Context(), placeOf(l.bay, ""), huge, "n"); !errors.Is(err, bot.ErrRefused) {
			t.Errorf("beyond the server's body: %v", err)
		}
	})
}

func TestALimitSaysWhen(t *testing.T) {
	bubble(t, func(t *testing.T, l *line) {
		l.start()
		for _, c := range []struct {
			header http.Header
			want   time.Duration
		}{
			{http.Header{"Retry-After": {"7"}}, 7 * time.Second},
			{http.Header{"X-Ratelimit-Reset": {"3"}}, 3 * time.Second},
			{http.Header{"Retry-After": {"0"}}, time.Second},
			{http.Header{"Retry-After": {"soon"}}, time.Second},
			{nil, time.Second},
		} {
			l.server.Fail(mmtest.Fault{Method: "POST", Path: "/posts", Times: 1, Status: 429, Body: "limit exceeded\n", Header: c.header})
			_, err := l.adapter.Send(t.Context(), placeOf(l.bay, ""), bot.Post{Text: "x"}, "n1")
			later := (*bot.LaterError)(nil)
			if !errors.As(err, &later) || later.After != c.want {
				t.Errorf("%v: %v", c.header, err)
			}
		}
		l.send(placeOf(l.bay, ""), bot.Post{Text: "x"}, "n1")
		if got := l.seen(""); len(got) != 1 {
			t.Errorf("seen %q", got)
		}
	})
}

func TestLimitsOfTheServer(t *testing.T) {
	for _, c := range []struct {
		post, file string
		text, size int
	}{
		{"16383", "104857600", 7991, maxFileSize},
		{"4000", "1000", 1800, 1000},
		{"", "", 1800, maxFileSize},
		{"-5", "x", 1800, maxFileSize},
	} {
		bubble(t, func(t *testing.T, l *line) {
			l.server.Config("MaxPostSize", c.post)
			l.server.Config("MaxFileSize", c.file)
			l.start()
			if got := l.adapter.Limits().Text; got != c.text {
				t.Errorf("%q: %d characters, want %d", c.post, got, c.text)
			}
			if _, got := l.adapter.FileLimits(); got != c.size {
				t.Errorf("%q: files of %d, want %d", c.file, got, c.size)
			}
		})
	}
}

// The worst text for the markup, with the most names to notify, still fits.
func TestTheWorstTextFits(t *testing.T) {
	bubble(t, func(t *testing.T, l *line) {
		l.start()
		var ping []bot.UserID
		for i := range 30 {
			id, _ := l.server.AddUser(fmt.Sprintf("person.with.a.long.name.%02d", i), false)
			ping = append(ping, bot.UserID(id))
		}
		for i, text := range []string{"*", "@a", ":a:", "\t", "1. x\n"} {
			n := l.adapter.Limits().Text
			full := strings.Repeat(text, n/len(text))
			l.send(placeOf(l.bay, ""), bot.Post{Text: full, Ping: ping}, fmt.Sprint("n", i))
		}
	})
}

func TestOnlyThoseMeantAreNotified(t *testing.T) {
	bubble(t, func(t *testing.T, l *line) {
		l.start()
		var mentioned []string
		l.send(placeOf(l.bay, ""), bot.Post{Text: "@all @channel @here @ben, mail@ann `@ben`\n```\n@all\n```", Ping: []bot.UserID{bot.UserID(l.ann), "nobody"}}, "n1")
		p := l.server.Seen(l.bay, "")[0]
		for _, name := range []string{"all", "channel", "here", "ben", "ann"} {
			if newMention(name).any.MatchString(p.Message) {
				mentioned = append(mentioned, name)
			}
		}
		if !slices.Equal(mentioned, []string{"ann"}) {
			t.Errorf("notified: %v by %q", mentioned, p.Message)
		}
	})
}

func TestFilesThatGoMissing(t *testing.T) {
	files := []bot.File{{Name: "../a.png", Alt: "drive, low", Data: []byte("a")}, {Name: "b.png", Alt: "coast, *high*", Data: []byte("b")}}
	for _, c := range []struct {
		lost  int
		posts int
	}{{0, 1}, {1, 2}, {2, 2}, {4, 2}} {
		t.Run(fmt.Sprint(c.lost), func(t *testing.T) {
			bubble(t, func(t *testing.T, l *line) {
				l.start()
				l.server.LoseFiles(c.lost)
				for range 2 {
					l.send(placeOf(l.bay, ""), bot.Post{Text: "see", Files: files}, "n1")
				}
				l.server.LoseFiles(0)
				posts := l.server.Seen(l.bay, "")
				if len(posts) != c.posts {
					t.Fatalf("%d posts", len(posts))
				}
				var names, words []string
				for _, p := range posts {
					for _, id := range p.FileIds {
						name, _ := l.server.FileData(id)
						names = append(names, name)
					}
					for _, a := range mmtest.Attachments(p) {
						words = append(words, mmtest.Plain(a.Text))
					}
				}
				if slices.Sort(names); c.lost <= 2 && !slices.Equal(names, []string{"a.png", "b.png"}) {
					t.Errorf("files %q", names)
				}
				if !slices.Contains(words, "drive, low") || !slices.Contains(words, "coast, *high*") {
					t.Errorf("words %q", words)
				}
			})
		})
	}
}

func TestAFileThatIsRefusedIsToldInWords(t *testing.T) {
	bubble(t, func(t *testing.T, l *line) {
		l.start()
		l.server.Fail(mmtest.Fault{Method: "POST", Path: "/files", Times: 1, Status: 413})
		post := bot.Post{Text: "see", Files: []bot.File{{Name: "a.png", Alt: "drive, low", Data: []byte("a")}}}
		l.send(placeOf(l.bay, ""), post, "n1")
		p := l.server.Seen(l.bay, "")
		if len(p) != 1 || len(p[0].FileIds) != 0 || mmtest.Attachments(p[0])[0].Text != "drive, low" {
			t.Errorf("%+v", p)
		}
		// A server in trouble is no refusal: the post waits for its picture.
		l.server.Fail(mmtest.Fault{Method: "POST", Path: "/files", Times: 1, Status: 503})
		if _, err := l.adapter.Send(t.Context(), placeOf(l.bay, ""), post, "n2"); err == nil || errors.Is(err, bot.ErrRefused) {
			t.Errorf("Send: %v", err)
		}
		l.send(placeOf(l.bay, ""), post, "n2")
		if p := l.server.Seen(l.bay, ""); len(p) != 2 || len(p[1].FileIds) != 1 {
			t.Errorf("%d posts", len(p))
		}
	})
}

func TestThreads(t *testing.T) {
	bubble(t, func(t *testing.T, l *line) {
		l.start()
		about := bot.Topic{Job: 12, Title: "job 12, lapwing"}
		root := l.say("open lapwing")
		reply := l.server.Say(l.ann, l.bay, root.Id, "open another")
		deleted := l.say("open and delete")
		l.server.Delete(deleted.Id)
		open := func(in bot.Place, below bot.MessageID) bot.Place {
			t.Helper()
			a, err := l.adapter.OpenThread(t.Context(), in, below, about)
			if err != nil {
				t.Fatalf("below %s: %v", below, err)
			}
			if b, err := l.adapter.OpenThread(t.Context(), in, below, about); err != nil || a != b {
				t.Errorf("below %s: %q and %q, %v", below, a, b, err)
			}
			return a
		}
		bay, thread := placeOf(l.bay, ""), placeOf(l.bay, root.Id)
		for _, below := range []bot.MessageID{
			bot.MessageID(root.Id), bot.MessageID(root.Id + "@1700000000000"), bot.MessageID(pressPrefix + root.Id + "." + l.ann + ".0.1"), bot.MessageID(reply.Id),
		} {
			if got := open(bay, below); got != thread {
				t.Errorf("below %s: %q", below, got)
			}
		}
		if got := open(thread, bot.MessageID(reply.Id)); got != thread {
			t.Errorf("in a thread: %q", got)
		}
		if got := l.seen(""); len(got) != 0 {
			t.Errorf("seen %q", got)
		}
		for _, below := range []bot.MessageID{bot.MessageID(deleted.Id), "slash.0123456789abcdef", "press.x"} {
			got := open(bay, below)
			if channel, root, _ := spotOf(got); channel != l.bay || root == "" || root == deleted.Id {
				t.Errorf("below %s: %q", below, got)
			}
			l.send(got, bot.Post{Text: "welcome"}, "n-"+string(below))
		}
		if got := l.seen(""); !slices.Equal(got, []string{about.Title, about.Title, about.Title}) {
			t.Errorf("seen %q", got)
		}
		if _, err := l.adapter.OpenThread(t.Context(), "nowhere", "x", about); !errors.Is(err, bot.ErrRefused) {
			t.Errorf("nowhere: %v", err)
		}
		l.server.Fail(mmtest.Fault{Path: "/posts/", Times: 1, Status: 429, Header: http.Header{"Retry-After": {"4"}}})
		later := (*bot.LaterError)(nil)
		if _, err := l.adapter.OpenThread(t.Context(), bay, bot.MessageID(root.Id), about); !errors.As(err, &later) || later.After != 4*time.Second {
			t.Errorf("limited: %v", err)
		}
	})
}

// One after the other in a place, at the same time in several; and few requests.
func TestManyPosts(t *testing.T) {
	bubble(t, func(t *testing.T, l *line) {
		l.start()
		pit := l.server.AddChannel("pit", "P", l.me)
		var all sync.WaitGroup
		for i := range 40 {
			to := placeOf([]string{l.bay, pit}[i%2], "")
			all.Go(func() {
				if _, err := l.adapter.Send(context.Background(), to, bot.Post{Text: fmt.Sprint(i)}, fmt.Sprint("n", i%2, i/8)); err != nil {
					t.Error(err)
				}
			})
		}
		all.Wait()
		synctest.Wait()
		if n := len(l.server.Seen(l.bay, "")) + len(l.server.Seen(pit, "")); n != 10 {
			t.Errorf("%d posts for 10 nonces", n)
		}
		if n := l.server.Requests("GET", "/posts"); n > 4 {
			t.Errorf("%d times a history was read", n)
		}
	})
}

func TestDirect(t *testing.T) {
	bubble(t, func(t *testing.T, l *line) {
		l.start()
		at, err := l.adapter.Direct(t.Context(), bot.UserID(l.ben))
		again, err2 := l.adapter.Direct(t.Context(), bot.UserID(l.ben))
		if err != nil || err2 != nil || at != again {
			t.Fatalf("%q and %q, %v, %v", at, again, err, err2)
		}
		l.send(at, bot.Post{Text: "a look is wanted"}, "n1")
		l.server.Say(l.ben, string(at), "", "approve 1")
		if m := l.messages()[0]; m.Place != at || m.Thread != "" || !m.Addressed {
			t.Errorf("heard %+v", m)
		}
		if _, err := l.adapter.Direct(t.Context(), "nobody"); !errors.Is(err, bot.ErrRefused) {
			t.Errorf("nobody: %v", err)
		}
		// A reply in the talk tells what it is below; the link leads to a post or its thread.
		root := l.server.Seen(string(at), "")[0].Id
		l.server.Say(l.ben, string(at), root, "approve that")
		if m := l.messages()[1]; m.ReplyTo != bot.MessageID(root) {
			t.Errorf("below %q, want %q", m.ReplyTo, root)
		}
		if got, want := l.adapter.Link(t.Context(), placeOf(l.bay, root), ""), l.server.URL+"/_redirect/pl/"+root; got != want {
			t.Errorf("%s, want %s", got, want)
		}
		// The server is busy, forbids it, and opens talks that nobody will ever read.
		l.server.Fail(mmtest.Fault{Method: "POST", Path: "channels/direct", Times: 1, Status: 429, Body: "limit exceeded", Header: http.Header{"Retry-After": {"7"}}})
		later := (*bot.LaterError)(nil)
		if _, err := l.adapter.Direct(t.Context(), bot.UserID(l.ben)); !errors.As(err, &later) || later.After != 7*time.Second {
			t.Errorf("busy: %v", err)
		}
		l.server.Fail(mmtest.Fault{Method: "POST", Path: "channels/direct", Times: 1, After: true})
		if _, err := l.adapter.Direct(t.Context(), bot.UserID(l.ben)); err == nil || errors.Is(err, bot.ErrRefused) {
			t.Errorf("cut off: %v", err)
		}
		l.server.Deactivate(l.ben)
		if _, err := l.adapter.Direct(t.Context(), bot.UserID(l.ben)); !errors.Is(err, bot.ErrRefused) || !strings.Contains(err.Error(), "switched off") {
			t.Errorf("switched off: %v", err)
		}
		l.server.ForbidDirect()
		if _, err := l.adapter.Direct(t.Context(), bot.UserID(l.ann)); !errors.Is(err, bot.ErrRefused) {
			t.Errorf("forbidden: %v", err)
		}
	})
}
