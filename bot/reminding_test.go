package bot

import (
	"context"
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/alicebob/miniredis/v2"
	"github.com/redis/go-redis/v9"
	"pgregory.net/rapid"

	"shimwright/bot/remind"
	"shimwright/bot/store"
	"shimwright/bot/store/redisstore"
	"shimwright/bot/store/storetest"
	"shimwright/dialogs"
)

// timerDesk has reminders: "remind 30m mia look" is one to say to mia in half an
// hour, "urgent …" one that keeps no quiet hours, "drop 5" takes entry 5 back.
type timerDesk struct {
	plainDesk
	mu      sync.Mutex
	missing bool                                 // the sheet is
	before  func(key string, now time.Time)      // called when a timer is said
	said    func(key string, due, now time.Time) // once it is said
}

func (d *timerDesk) Answer(j *dialogs.Job, s dialogs.Said) (dialogs.Reply, error) {
	if rest, ok := strings.CutPrefix(s.Text, "drop "); ok {
		return dialogs.Reply{Events: []dialogs.Event{{Kind: "retracted", At: s.At, Message: s.ID, Data: json.RawMessage(`{"entries":[` + rest + `]}`)}}}, nil
	}
	if s.Text == "reopen" {
		return dialogs.Reply{Events: []dialogs.Event{{Kind: "reopened", At: s.At, Message: s.ID, Data: json.RawMessage(`{"step":""}`)}}}, nil
	}
	return d.plainDesk.Answer(j, s)
}

func (d *timerDesk) Timers(j *dialogs.Job) ([]dialogs.Timer, error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.missing {
		return nil, fmt.Errorf("the sheet is missing")
	}
	var out []dialogs.Timer
	for _, e := range j.Log {
		words := strings.Fields(e.Said)
		if j.Closed || !e.Live || len(words) < 4 || words[0] != "remind" && words[0] != "urgent" {
			continue
		}
		tm := dialogs.Timer{Key: fmt.Sprintf("t/%d", e.Seq), Ping: []string{words[2]}, Urgent: words[0] == "urgent"}
		if _, said := j.Reminded[tm.Key]; said {
			continue
		}
		after, _ := time.ParseDuration(words[1])
		if tm.Due = e.At.Add(after); tm.Due.Before(j.TakenUp) {
			continue
		}
		out = append(out, tm)
	}
	slices.SortStableFunc(out, func(a, b dialogs.Timer) int { return a.Due.Compare(b.Due) })
	return out, nil
}

func (d *timerDesk) Due(j *dialogs.Job, key string, due, now time.Time, to dialogs.Person) (dialogs.Reply, error) {
	if d.before != nil {
		d.before(key, now)
	}
	timers, err := d.Timers(j)
	for _, tm := range timers {
		if tm.Key != key || tm.Due.After(now) {
			continue
		}
		if d.said != nil {
			d.said(key, due, now)
		}
		text := key
		if late := now.Sub(due); late > 0 {
			text += " late " + late.String()
		}
		data, _ := json.Marshal(map[string]any{"key": key, "due": tm.Due})
		return dialogs.Reply{
			Events: []dialogs.Event{{Kind: "reminded", At: now, Data: data}},
			Out:    []dialogs.Outgoing{{Text: text + " for " + to.Name, Ping: tm.Ping}},
		}, nil
	}
	return dialogs.Reply{}, err
}

// setClock is a clock that is set by hand.
type setClock struct {
	mu  sync.Mutex
	now time.Time
}

func (c *setClock) Now() time.Time {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.now
}

func (c *setClock) move(by time.Duration) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.now = c.now.Add(by)
}

func newClock() *setClock { return &setClock{now: time.Date(2026, 3, 2, 8, 0, 0, 0, time.UTC)} }

// withTimers puts a timerDesk and a clock into a shop.
func withTimers(d *timerDesk, clock *setClock) shopOption {
	return func(c *Config, _ *shop) { c.Desk, c.Now = func() Desk { return d }, clock.Now }
}

// at makes a message of the clock's time.
func (s *shop) at(clock *setClock, place Place, text string) Message {
	m := s.message(place, text)
	m.At = clock.Now()
	return m
}

func TestAReminderComesInTheJobsThreadToWhomItIsFor(t *testing.T) {
	for _, kind := range []string{"bbolt", "Redis"} {
		t.Run(kind, func(t *testing.T) {
			p, d, clock := &threadPlatform{}, &timerDesk{}, newClock()
			s := newShop(t, p, onStore(t, kind), withTimers(d, clock))
			s.hear(s.at(clock, "bay", "open rear"))
			thread := Place("bay/m1")
			s.hear(s.at(clock, thread, "remind 30m mia look"))
			s.hear(s.at(clock, thread, "remind 10m ann drive"))
			s.hear(s.at(clock, thread, "remind 20m ann drop this one"))
			s.hear(s.at(clock, thread, "drop 4"))
			before := len(p.texts(thread))
			clock.move(9 * time.Minute)
			s.settle()
			same(t, "too early", p.texts(thread)[before:])
			clock.move(time.Minute)
			s.settle()
			same(t, "on time", p.texts(thread)[before:], "t/3 for ann")
			clock.move(-9 * time.Minute) // stepped back
			s.settle()
			clock.move(39 * time.Minute)
			s.settle()
			same(t, "all", p.texts(thread)[before:], "t/3 for ann", "t/2 late 10m0s for mia")
			if got := p.posts[len(p.posts)-1].post.Ping; !slices.Equal(got, []UserID{"u-mia"}) {
				t.Errorf("pings %v", got)
			}
			same(t, "it is what was said last", s.hear(s.at(clock, thread, "?")), "7 entries, ann ")
			if got := d.context["?"]; len(got) == 0 || got[len(got)-1] != "bot: t/2 late 10m0s for mia" {
				t.Errorf("context: %q", got)
			}
			same(t, "queue", waitingTimers(t, s, 1))
		})
	}
}

// onStore keeps the jobs of a shop in the named kind of store.
func onStore(t *testing.T, kind string) shopOption {
	if kind != "Redis" {
		return func(*Config, *shop) {}
	}
	server := storetest.StartRedis(t)
	return func(_ *Config, s *shop) {
		s.backend.Close()
		var err error
		if s.backend, err = redisstore.Open(context.Background(), &redis.UniversalOptions{Addrs: []string{server.Addr}}, redisstore.Options{}); err != nil {
			t.Fatal(err)
		}
	}
}

// waitingTimers lists the timers in a job's queue: key and time of day.
func waitingTimers(t *testing.T, s *shop, number int) []string {
	t.Helper()
	queue, err := s.store.Waiting(context.Background(), string(jobID(number)))
	if err != nil {
		t.Fatal(err)
	}
	var out []string
	for _, it := range queue {
		if it.Kind == remind.Kind {
			row, err := remind.Read(it)
			if err != nil {
				t.Fatal(err)
			}
			out = append(out, row.Key+" "+row.At.UTC().Format("2 15:04"))
		}
	}
	return out
}

func TestWithoutThreadsAReminderNamesTheJobThatIsNotTalkedAbout(t *testing.T) {
	p, d, clock := &plainPlatform{}, &timerDesk{}, newClock()
	s := newShop(t, p, withTimers(d, clock))
	s.hear(s.at(clock, "bay", "open rear"))
	s.hear(s.at(clock, "bay", "remind 30m ann look"))
	s.hear(s.at(clock, "bay", "remind 40m ann look"))
	s.hear(s.at(clock, "bay", "open front"))
	before := len(p.texts(""))
	clock.move(30 * time.Minute)
	s.settle()
	s.hear(s.at(clock, "bay", "switch 1"))
	clock.move(10 * time.Minute)
	s.settle()
	same(t, "reminders", p.texts("")[before:], "job 1: t/2 for ann", "now job 1", "t/3 for ann")
}

func TestAfterDowntimeOverdueRemindersComeOnceOldestFirst(t *testing.T) {
	p, d, clock := &threadPlatform{}, &timerDesk{}, newClock()
	s := newShop(t, p, withTimers(d, clock))
	s.hear(s.at(clock, "bay", "open rear"))
	thread := Place("bay/m1")
	for _, after := range []string{"50m", "10m", "30m", "26h"} {
		s.hear(s.at(clock, thread, "remind "+after+" ann look"))
	}
	before := len(p.texts(thread))
	s.end()
	clock.move(25 * time.Hour)
	s.start(withTimers(d, clock))
	s.settle()
	same(t, "overdue", p.texts(thread)[before:], "t/3 late 24h50m0s for ann", "t/4 late 24h30m0s for ann", "t/2 late 24h10m0s for ann")
	s.restart(withTimers(d, clock))
	clock.move(time.Hour)
	s.settle()
	same(t, "all", p.texts(thread)[before+3:], "t/5 for ann")
}

func TestAClosedJobHasNoTimers(t *testing.T) {
	p, d, clock := &threadPlatform{}, &timerDesk{}, newClock()
	s := newShop(t, p, withTimers(d, clock))
	s.hear(s.at(clock, "bay", "open rear"))
	thread := Place("bay/m1")
	s.hear(s.at(clock, thread, "remind 1h ann look"))
	s.hear(s.at(clock, thread, "remind 48h ann look"))
	s.hear(s.at(clock, thread, "close"))
	same(t, "queue of a closed job", waitingTimers(t, s, 1))
	before := len(p.texts(thread))
	clock.move(24 * time.Hour)
	s.settle()
	s.hear(s.at(clock, thread, "reopen"))
	same(t, "queue once taken up again", waitingTimers(t, s, 1), "t/3 4 08:00")
	clock.move(24 * time.Hour)
	s.settle()
	same(t, "reminders", p.texts(thread)[before:], "t/3 for ann")
}

func TestInQuietHoursAReminderWaitsForTheirEnd(t *testing.T) {
	p, d, clock := &threadPlatform{}, &timerDesk{}, newClock()
	quiet := func(c *Config, _ *shop) {
		c.Quiet = remind.Quiet{From: 18 * 60, To: 6 * 60}
		for i := range c.People {
			if c.People[i].Name == "mia" {
				c.People[i].Quiet = remind.Quiet{From: 12 * 60, To: 13 * 60}
			}
		}
	}
	s := newShop(t, p, withTimers(d, clock), quiet)
	s.hear(s.at(clock, "bay", "open rear"))
	thread := Place("bay/m1")
	s.hear(s.at(clock, thread, "remind 11h ann in the evening"))
	s.hear(s.at(clock, thread, "urgent 12h ann in the evening"))
	s.hear(s.at(clock, thread, "remind 4h15m mia at noon"))
	s.hear(s.at(clock, thread, "remind 4h15m mentor either of them"))
	same(t, "queue", waitingTimers(t, s, 1), "t/5 2 12:15", "t/4 2 13:00", "t/3 2 20:00", "t/2 3 06:00")

	// Down from before noon until the night: what is overdue then waits as well.
	s.end()
	clock.move(16 * time.Hour)
	before := len(p.texts(thread))
	s.start(withTimers(d, clock), quiet)
	s.settle()
	same(t, "in the night", p.texts(thread)[before:], "t/3 late 4h0m0s for ann")
	same(t, "queue in the night", waitingTimers(t, s, 1), "t/2 3 06:00", "t/4 3 06:00", "t/5 3 06:00")
	clock.move(6 * time.Hour)
	s.settle()
	got := p.texts(thread)[before+1:]
	slices.Sort(got)
	same(t, "in the morning", got, "t/2 for ann", "t/4 late 17h0m0s for mia", "t/5 late 17h45m0s for mia")
}

func TestATimerWaitsWhileItsSheetIsMissing(t *testing.T) {
	p, d, clock := &threadPlatform{}, &timerDesk{}, newClock()
	s := newShop(t, p, withTimers(d, clock))
	s.hear(s.at(clock, "bay", "open rear"))
	thread := Place("bay/m1")
	s.hear(s.at(clock, thread, "remind 1h ann look"))
	d.missing = true
	before := len(p.texts(thread))
	clock.move(time.Hour)
	s.settle()
	same(t, "answers go on", s.hear(s.at(clock, thread, "say hello")), "hello")
	d.missing = false
	clock.move(noTimers)
	s.settle()
	same(t, "then it comes", p.texts(thread)[before+1:], "t/2 late 10m0s for ann")
	same(t, "queue", waitingTimers(t, s, 1))
}

// A change by another process between a claim and its turn is seen.
func TestWhatIsSaidWhileATimerIsOnItsWayCountsFirst(t *testing.T) {
	p, d, clock := &threadPlatform{}, &timerDesk{}, newClock()
	s := newShop(t, p, withTimers(d, clock))
	s.hear(s.at(clock, "bay", "open rear"))
	thread := Place("bay/m1")
	s.hear(s.at(clock, thread, "remind 1h ann look"))
	other, err := New(Config{
		Store: store.New(s.backend, clock.Now), Desk: func() Desk { return d }, People: s.bot.people.all, Now: clock.Now,
		Adapters: map[string]Adapter{"chat": p}, Log: s.bot.log,
	})
	if err != nil {
		t.Fatal(err)
	}
	var once sync.Once
	d.before = func(string, time.Time) {
		once.Do(func() {
			if err := other.Handle(context.Background(), "chat", s.at(clock, thread, "drop 2")); err != nil {
				t.Error(err)
			}
		})
	}
	before := len(p.texts(thread))
	clock.move(time.Hour)
	s.settle()
	same(t, "nothing is said", p.texts(thread)[before:])
	same(t, "queue", waitingTimers(t, s, 1))
}

// Many overdue reminders of one job do not hold up the one of another.
func TestOneJobsOverdueRemindersDoNotStarveAnother(t *testing.T) {
	p, d, clock := &threadPlatform{}, &timerDesk{}, newClock()
	s := newShop(t, p, withTimers(d, clock), func(c *Config, _ *shop) {
		c.Senders = 1
		c.Now = func() time.Time { clock.move(time.Microsecond); return clock.Now() }
	})
	s.hear(s.at(clock, "bay", "open rear"))
	const many = 60
	for range many {
		s.hear(s.at(clock, "bay/m1", "remind 1h ann look"))
	}
	s.hear(s.at(clock, "bay", "open front"))
	s.hear(s.at(clock, Place("bay/m"+fmt.Sprint(many+2)), "remind 61m mia look"))
	before := len(p.texts(""))
	clock.move(2 * time.Hour)
	s.settle()
	got := p.texts("")[before:]
	if len(got) != many+1 {
		t.Errorf("%d reminders said, want %d", len(got), many+1)
	}
	if at := slices.IndexFunc(got, func(text string) bool { return strings.HasSuffix(text, "mia") }); at < 0 || at > 20 {
		t.Errorf("the other job's reminder came as number %d", at)
	}
}

// Whatever is said and however the clock is stepped, each timer that stands when its
// time comes is said once, and no other.
func TestEachTimerIsSaidOnceWhateverHappens(t *testing.T) {
	server := miniredis.RunT(t)
	rapid.Check(t, func(r *rapid.T) {
		server.FlushAll()
		p, d, clock := &threadPlatform{}, &timerDesk{}, newClock()
		quiet := func(c *Config) {}
		if rapid.Bool().Draw(r, "quiet hours") {
			quiet = func(c *Config) { c.Quiet = remind.Quiet{From: 18 * 60, To: 6 * 60} }
		}
		bot := startProcess(t, server.Addr(), p, d, clock, quiet)
		defer func() { bot.stop() }()
		settle := func() {
			if err := bot.bot.Settle(t.Context()); err != nil {
				r.Fatal(err)
			}
		}
		n := 0
		say := func(place Place, text string) {
			n++
			m := Message{Place: "bay", Author: "u-ann", ID: MessageID(fmt.Sprint("m", n)), Text: text, At: clock.Now()}
			if place != "bay" {
				m.Thread = place
			}
			if err := bot.bot.Handle(t.Context(), "chat", m); err != nil {
				r.Fatal(err)
			}
			settle()
		}
		say("bay", "open rear")
		said := map[string]int{}
		timers := map[string]bool{} // that stand, by key; those dropped or said are taken out
		entries := uint64(1)
		posted := 0
		collect := func() {
			texts := p.texts("bay/m1")
			for _, text := range texts[posted:] {
				if key, _, ok := strings.Cut(text, " "); ok && strings.HasPrefix(key, "t/") {
					said[key]++
					entries++
					if !timers[key] {
						r.Fatalf("%s is said and does not stand", key)
					}
					delete(timers, key)
				}
			}
			posted = len(texts)
		}
		for range rapid.IntRange(1, 12).Draw(r, "steps") {
			switch rapid.SampledFrom([]string{"remind", "remind", "drop", "clock", "clock", "restart"}).Draw(r, "step") {
			case "remind":
				after := time.Duration(rapid.IntRange(-120, 3000).Draw(r, "minutes")) * time.Minute
				entries++
				timers[fmt.Sprintf("t/%d", entries)] = true
				say("bay/m1", fmt.Sprintf("remind %s ann look", after))
			case "drop":
				if len(timers) > 0 {
					key := rapid.SampledFrom(slices.Sorted(maps.Keys(timers))).Draw(r, "key")
					delete(timers, key)
					say("bay/m1", "drop "+strings.TrimPrefix(key, "t/"))
					entries++
				}
			case "clock":
				clock.move(time.Duration(rapid.IntRange(-600, 1500).Draw(r, "minutes")) * time.Minute)
			case "restart":
				bot.stop()
				bot = startProcess(t, server.Addr(), p, d, clock, quiet)
			}
			settle()
			collect()
		}
		// A lease taken under a clock ahead is over at the latest MaxHold from here.
		for _, by := range []time.Duration{150 * time.Hour, 50 * time.Hour, 6 * time.Hour, 6 * time.Hour, 6 * time.Hour, 6 * time.Hour} {
			clock.move(by)
			settle()
		}
		collect()
		if len(timers) > 0 {
			r.Errorf("never said: %v", slices.Sorted(maps.Keys(timers)))
		}
		for key, n := range said {
			if n != 1 {
				r.Errorf("%s was said %d times", key, n)
			}
		}
	})
}
