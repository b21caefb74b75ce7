package mattermost

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"slices"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"shimwright/bot"
	"shimwright/bot/mattermost/mmtest"
)

// outcome waits for Run to end by itself.
func (l *line) outcome(within time.Duration) error {
	l.t.Helper()
	select {
	case err := <-l.ended:
		l.ended = nil
		return err
	case <-time.After(within):
		l.t.Fatalf("Run goes on after %v", within)
		return nil
	}
}

func TestATokenThatNeverWasIsTold(t *testing.T) {
	bubble(t, func(t *testing.T, l *line) {
		l.token = "mistyped"
		l.start()
		err := l.outcome(time.Second)
		if !errors.Is(err, errToken) || !strings.Contains(err.Error(), "make a new token") {
			t.Errorf("Run: %v", err)
		}
		if n := l.server.Requests("GET", "websocket"); n != 0 {
			t.Errorf("%d sockets were tried with it", n)
		}
	})
}

// The socket stays open and silent: only a ping of the application shows it.
func TestARevokedTokenIsSeenOnADeafSocket(t *testing.T) {
	bubble(t, func(t *testing.T, l *line) {
		l.start()
		time.Sleep(10 * time.Second)
		l.say("before")
		l.same("before", "before")
		l.server.Revoke(l.token)
		l.say("after")
		if l.server.Connected() != 1 {
			t.Fatal("the server is meant to keep the socket open")
		}
		if err := l.outcome(pingEvery + pongTime + tokenTries*tokenPause); !errors.Is(err, errToken) {
			t.Errorf("Run: %v", err)
		}
		l.same("after", "before")
	})
}

func TestARevokedTokenIsSeenWhenSending(t *testing.T) {
	bubble(t, func(t *testing.T, l *line) {
		l.start()
		time.Sleep(10 * time.Second)
		l.server.Revoke(l.token)
		_, err := l.adapter.Send(t.Context(), placeOf(l.bay, ""), bot.Post{Text: "x"}, "n")
		if err == nil || errors.Is(err, bot.ErrRefused) {
			t.Errorf("Send: %v", err)
		}
		if err := l.outcome(tokenTries * tokenPause); !errors.Is(err, errToken) {
			t.Errorf("Run: %v", err)
		}
	})
}

// A server whose database is away refuses every token for a moment.
func TestOneRefusalIsNoRevocation(t *testing.T) {
	bubble(t, func(t *testing.T, l *line) {
		l.start()
		l.server.Fail(mmtest.Fault{Path: "users/", Times: 2, Status: 401})
		l.server.Drop()
		time.Sleep(10 * time.Second)
		l.say("still there")
		l.same("after it", "still there")
	})
}

// A token that is revoked between its check and the socket: the upgrade succeeds and
// then nothing comes.
func TestASocketWithoutHelloIsNone(t *testing.T) {
	bubble(t, func(t *testing.T, l *line) {
		l.server.OnRequest(func(r *http.Request) {
			if strings.HasSuffix(r.URL.Path, "websocket") {
				l.server.Revoke(l.token)
			}
		})
		began := time.Now()
		l.start()
		if err := l.outcome(helloTime + longPause); !errors.Is(err, errToken) {
			t.Errorf("Run: %v", err)
		}
		if took := time.Since(began); took < helloTime {
			t.Errorf("it took %v", took)
		}
	})
}

// away is what can become of a connection.
var away = []struct {
	name  string
	cut   func(*mmtest.Server)
	reads bool // the channels have to be read
}{
	{"dropped", (*mmtest.Server).Drop, false},
	{"server restarted", (*mmtest.Server).Restart, true},
	{"old socket taken for open", (*mmtest.Server).Half, true},
	{"silent", (*mmtest.Server).Silence, false},
	{"away for six minutes", func(s *mmtest.Server) {
		s.Fail(mmtest.Fault{Path: "users/", Times: 1 << 20, Status: 503})
		s.Drop()
		time.Sleep(6 * time.Minute)
		s.Mend()
	}, true},
}

func TestWhatIsSaidWhileAwayArrivesOnce(t *testing.T) {
	for _, c := range away {
		t.Run(c.name, func(t *testing.T) {
			bubble(t, func(t *testing.T, l *line) {
				l.start()
				first := l.say("one")
				l.same("before", "one")
				before := l.server.Requests("GET", l.bay+"/posts")
				c.cut(l.server)
				l.say("two")
				l.server.Say(l.ben, l.bay, first.Id, "three, in a thread")
				l.server.React(l.ben, first.Id)
				time.Sleep(2 * time.Minute)
				l.say("four")
				l.same("after", "one", "two", "three, in a thread", "four")
				if got := l.messages()[2].Thread; got != placeOf(l.bay, first.Id) {
					t.Errorf("the answer is in %q", got)
				}
				if reads := l.server.Requests("GET", l.bay+"/posts") > before; reads != c.reads {
					t.Errorf("the channel was read: %v, want %v", reads, c.reads)
				}
			})
		})
	}
}

func TestWhatTheServerDidNotKeepIsRead(t *testing.T) {
	for _, count := range []int{100, 300, 1500} {
		t.Run(fmt.Sprint(count), func(t *testing.T) {
			bubble(t, func(t *testing.T, l *line) {
				l.start()
				l.server.Drop()
				var want []string
				for i := range count {
					want = append(want, fmt.Sprint("lash ", i))
					l.say(want[i])
				}
				time.Sleep(time.Minute)
				l.same("in order and once", want...)
			})
		})
	}
}

// 200 messages are on their way while the connection breaks again and again, in all
// the ways it can.
func TestInFlightThroughDroppedConnections(t *testing.T) {
	bubble(t, func(t *testing.T, l *line) {
		l.onDeliver(func(ctx context.Context, _ bot.Message) error { return sleep(ctx, 20*time.Millisecond) })
		l.start()
		pit := l.server.AddChannel("pit", "P", l.ann, l.me)
		var bays, pits []string
		for i := range 100 {
			bays, pits = append(bays, fmt.Sprint("bay ", i)), append(pits, fmt.Sprint("pit ", i))
			l.say(bays[i])
			l.server.Say(l.ann, pit, "", pits[i])
			switch i {
			case 20, 60:
				l.server.Drop()
			case 40:
				l.server.Half()
			case 70:
				l.server.Restart()
			case 80:
				l.server.Skip()
			case 85:
				l.server.Replay(30)
			}
			time.Sleep(15 * time.Millisecond)
		}
		time.Sleep(2 * time.Minute)
		var gotBay, gotPit []string
		ids := map[bot.MessageID]bool{}
		for _, m := range l.messages() {
			if ids[m.ID] {
				t.Errorf("%q came twice", m.Text)
			}
			ids[m.ID] = true
			if m.Place == placeOf(pit, "") {
				gotPit = append(gotPit, m.Text)
			} else {
				gotBay = append(gotBay, m.Text)
			}
		}
		if !slices.Equal(gotBay, bays) || !slices.Equal(gotPit, pits) {
			t.Errorf("heard %d and %d:\n%q\n%q", len(gotBay), len(gotPit), gotBay, gotPit)
		}
	})
}

// A connection taken up again asks for what comes after the last event: with the
// last one's number it would come twice.
func TestOnlyWhatWasMissedIsSentAgain(t *testing.T) {
	bubble(t, func(t *testing.T, l *line) {
		l.start()
		l.say("one")
		l.same("before", "one")
		l.server.Drop()
		time.Sleep(10 * time.Second)
		if n := l.server.Resent(); n != 0 {
			t.Errorf("%d events were sent again with none missed", n)
		}
		l.server.Drop()
		l.say("two") // and the status of who says it
		time.Sleep(10 * time.Second)
		l.same("after", "one", "two")
		if n := l.server.Resent(); n != 2 || l.server.Sessions() != 1 {
			t.Errorf("%d events were sent again in %d sessions", n, l.server.Sessions())
		}
	})
}

func TestAGapInTheCountIsRead(t *testing.T) {
	bubble(t, func(t *testing.T, l *line) {
		l.start()
		l.server.Skip() // whatever it was
		l.say("one")
		l.same("with a gap before it", "one")
		l.server.Replay(5)
		l.say("two")
		l.same("after a replay", "one", "two")
		if n := l.server.Requests("GET", l.bay+"/posts"); n != 2 {
			t.Errorf("the channel was read %d times, want at the start and for the gap", n)
		}
	})
}

func TestAServerInTroubleIsAskedAgain(t *testing.T) {
	for _, c := range []struct {
		name  string
		fault mmtest.Fault
	}{
		{"no answer", mmtest.Fault{Path: "users/", Times: 3}},
		{"503", mmtest.Fault{Path: "users/", Times: 3, Status: 503}},
		{"limits are refused", mmtest.Fault{Path: "config/client", Times: 3, Status: 500}},
		{"the upgrade is refused", mmtest.Fault{Path: "websocket", Times: 3, Status: 502}},
		{"the upgrade is limited", mmtest.Fault{Path: "websocket", Times: 1, Status: 429, Body: "limit exceeded", Header: http.Header{"Retry-After": {"3"}}}},
		{"the list of channels is refused", mmtest.Fault{Path: "/channels", Times: 3, Status: 500}},
		{"a channel is refused", mmtest.Fault{Path: "/posts", Times: 3, Status: 500}},
		{"people are not known yet", mmtest.Fault{Path: "users/ids", Times: 3, Status: 500}},
	} {
		t.Run(c.name, func(t *testing.T) {
			bubble(t, func(t *testing.T, l *line) {
				l.start()
				l.say("one")
				l.same("before", "one")
				l.end()
				l.say("two")
				l.server.Fail(c.fault)
				l.start()
				time.Sleep(time.Minute)
				l.say("three")
				l.same("after", "one", "two", "three")
			})
		})
	}
}

func TestABusyServersLimitIsKept(t *testing.T) {
	bubble(t, func(t *testing.T, l *line) {
		l.start()
		for i := range 30 {
			l.server.AddChannel(fmt.Sprint("c", i), "P", l.me)
		}
		l.server.Limit(10, 20)
		l.server.Restart()
		l.say("one")
		time.Sleep(5 * time.Minute)
		l.say("two")
		l.same("after", "one", "two")
	})
}

func TestRunEndsAtOnce(t *testing.T) {
	for _, c := range []struct {
		name    string
		prepare func(l *line)
	}{
		{"idle", func(*line) {}},
		{"while a message is being taken", func(l *line) {
			l.onDeliver(func(ctx context.Context, _ bot.Message) error { <-ctx.Done(); return ctx.Err() })
			l.say("x")
		}},
		{"while the store is away", func(l *line) {
			l.onDeliver(func(context.Context, bot.Message) error { return errors.New("away") })
			l.say("x")
		}},
		{"while not connected", func(l *line) {
			l.server.Fail(mmtest.Fault{Path: "", Times: 1 << 20, Status: 503})
			l.server.Drop()
			time.Sleep(20 * time.Second)
		}},
		{"on a silent connection", func(l *line) { l.server.Silence() }},
	} {
		t.Run(c.name, func(t *testing.T) {
			bubble(t, func(t *testing.T, l *line) {
				l.start()
				c.prepare(l)
				synctest.Wait()
				began := time.Now()
				if err := l.end(); err != nil {
					t.Errorf("Run: %v", err)
				}
				if took := time.Since(began); took > time.Second {
					t.Errorf("it took %v", took)
				}
			})
		})
	}
}

func TestRunRunsOnce(t *testing.T) {
	bubble(t, func(t *testing.T, l *line) {
		l.start()
		if err := l.adapter.Run(t.Context(), l.deliver); err == nil {
			t.Error("a second Run is let through")
		}
	})
}
