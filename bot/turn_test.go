package bot

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"github.com/redis/go-redis/v9"

	"shimwright/bot/store"
	"shimwright/bot/store/redisstore"
	"shimwright/bot/store/storetest"
)

func TestAJobIsOpenedInAThreadAndAnswersThere(t *testing.T) {
	p := &threadPlatform{}
	s := newShop(t, p)
	same(t, "opening", s.hear(s.message("bay", "open noisy rear")), "job 1 is open")
	if len(p.opened) != 1 || p.opened[0] != (Topic{Job: 1, Title: "job 1, plain: noisy rear"}) {
		t.Errorf("threads opened: %+v", p.opened)
	}
	thread := Place("bay/m1")
	same(t, "in the thread", s.hear(s.message(thread, "lash 14")), "2: lash 14")
	same(t, "all of the thread", p.texts(thread), "job 1 is open", "2: lash 14")
	same(t, "outside of it there is no job", s.hear(s.message("bay", "lash 14")))
	same(t, "nor here", s.hear(s.message("bay", "? ")), "no job here, ann")
	same(t, "log", s.facts(1), "lash 14")

	// Opened from inside the thread: the new one hangs below a post that says so.
	same(t, "second", s.hear(s.message(thread, "open front")), "job 2, plain: front", "job 2 is open")
	if got := p.opened[len(p.opened)-1]; got.Job != 2 {
		t.Errorf("the second thread is about %+v", got)
	}
	same(t, "the first job goes on", s.hear(s.message(thread, "lash 8")), "3: lash 8")
}

func TestWithoutThreadsThePlaceTalksAboutTheJob(t *testing.T) {
	p := &plainPlatform{}
	s := newShop(t, p)
	same(t, "opening", s.hear(s.message("bay", "open rear")), "job 1 is open")
	same(t, "reading", s.hear(s.message("bay", "lash 14")), "2: lash 14")
	s.hear(s.message("bay", "open front"))
	same(t, "the second job", s.hear(s.message("bay", "lash 7")), "2: lash 7")
	same(t, "back", s.hear(s.message("bay", "switch 1")), "now job 1")
	same(t, "the first job", s.hear(s.message("bay", "lash 8")), "3: lash 8")
	s.restart()
	same(t, "still the first after a restart", s.hear(s.message("bay", "lash 9")), "4: lash 9")
	same(t, "list", s.hear(s.message("bay", "jobs")), "2 front false; 1 rear false")
	s.hear(s.message("bay", "close"))
	same(t, "list after closing", s.hear(s.message("bay", "jobs")), "2 front false; 1 rear true")
}

func TestAMessageCountsOnce(t *testing.T) {
	for _, text := range []string{"lash 14", "? ", "open another", "units metric", "jobs", "switch 1"} {
		t.Run(text, func(t *testing.T) {
			p := &plainPlatform{}
			s := newShop(t, p)
			s.hear(s.message("bay", "open rear"))
			m := s.message("bay", text)
			if got := s.hear(m); len(got) != 1 {
				t.Fatalf("first time: %q", got)
			}
			same(t, "second time", s.hear(m))
			s.restart()
			same(t, "after a restart", s.hear(m))
			var all sync.WaitGroup
			for range 8 {
				all.Go(func() {
					if err := s.bot.Handle(context.Background(), "chat", m); err != nil {
						t.Error(err)
					}
				})
			}
			all.Wait()
			s.settle()
			if got := p.texts(""); len(got) != 2 {
				t.Errorf("in all: %q", got)
			}
		})
	}
}

func TestAtTheSameTimeEightCopiesCountOnce(t *testing.T) {
	p := &plainPlatform{}
	s := newShop(t, p)
	s.hear(s.message("bay", "open rear"))
	var all sync.WaitGroup
	for i := range 5 {
		m := s.message("bay", fmt.Sprint("lash ", i))
		for range 8 {
			all.Go(func() {
				if err := s.bot.Handle(context.Background(), "chat", m); err != nil {
					t.Error(err)
				}
			})
		}
	}
	all.Wait()
	s.settle()
	if got := s.facts(1); len(got) != 5 {
		t.Errorf("log: %q", got)
	}
	// Answers are numbered by the entry they follow: none twice, none missing.
	texts := p.texts("bay")
	for i, text := range texts[1:] {
		if !strings.HasPrefix(text, fmt.Sprint(i+2, ":")) {
			t.Errorf("answer %d is %q", i+2, text)
		}
	}
}

// Two processes on one store both hear everything, as two sockets with one token do.
func TestTwoBotsOnOneStoreAnswerOnce(t *testing.T) {
	t.Run("bbolt", func(t *testing.T) { twoBots(t) })
	t.Run("Redis", func(t *testing.T) {
		server := storetest.StartRedis(t)
		twoBots(t, func(_ *Config, s *shop) {
			s.backend.Close()
			var err error
			if s.backend, err = redisstore.Open(t.Context(), &redis.UniversalOptions{Addrs: []string{server.Addr}}, redisstore.Options{}); err != nil {
				t.Fatal(err)
			}
		})
	})
}

func twoBots(t *testing.T, options ...shopOption) {
	p := &threadPlatform{}
	s := newShop(t, p, options...)
	other, err := New(Config{
		Store: store.New(s.backend, time.Now), Desk: func() Desk { return s.desk }, People: s.bot.people.all, Now: time.Now,
		Adapters: map[string]Adapter{"chat": p}, Log: s.bot.log, Senders: 2,
	})
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	done := make(chan error, 1)
	go func() { done <- other.Run(ctx) }()
	defer func() { cancel(); <-done }()

	both := func(m Message) {
		var all sync.WaitGroup
		for _, b := range []*Bot{s.bot, other} {
			all.Go(func() {
				if err := b.Handle(ctx, "chat", m); err != nil {
					t.Error(err)
				}
			})
		}
		all.Wait()
	}
	for i := range 3 {
		both(s.message("bay", fmt.Sprint("open axle ", i)))
	}
	s.settle()
	if err := other.Settle(ctx); err != nil {
		t.Fatal(err)
	}
	var turns sync.WaitGroup
	for i := range 3 {
		thread := Place(fmt.Sprintf("bay/m%d", i+1))
		var messages []Message
		for n := range 8 {
			messages = append(messages, s.message(thread, fmt.Sprint("lash ", n)))
		}
		turns.Go(func() {
			for _, m := range messages {
				both(m)
			}
		})
	}
	turns.Wait()
	for range 2 {
		s.settle()
		if err := other.Settle(ctx); err != nil {
			t.Fatal(err)
		}
	}
	for i := range 3 {
		thread := Place(fmt.Sprintf("bay/m%d", i+1))
		var want, facts []string
		want = append(want, fmt.Sprintf("job %d is open", i+1))
		for n := range 8 {
			facts = append(facts, fmt.Sprint("lash ", n))
			want = append(want, fmt.Sprintf("%d: lash %d", n+2, n))
		}
		same(t, fmt.Sprint("log of job ", i+1), s.facts(i+1), facts...)
		same(t, "shown in "+string(thread), p.texts(thread), want...)
	}
}

func TestStrangersAndProgramsAreIgnored(t *testing.T) {
	s := newShop(t, &plainPlatform{})
	for range 3 {
		m := s.message("bay", "open rear")
		m.Author = "u-nobody"
		same(t, "a stranger", s.hear(m))
		m = s.message("bay", "open rear")
		m.Bot = true
		same(t, "a program", s.hear(m))
	}
	if n := strings.Count(s.log.String(), "u-nobody"); n != 1 {
		t.Errorf("the stranger is in the log %d times", n)
	}
}

func TestLongMessagesAreRefused(t *testing.T) {
	s := newShop(t, &plainPlatform{})
	long := strings.Repeat("lash 14 ", 12_500) // 100 kB
	same(t, "where no job is", s.hear(s.message("bay", long)))
	m := s.message("bay", long)
	m.Addressed = true
	same(t, "said to the assistant", s.hear(m), "that message has 99999 characters, and i read up to 4000. nothing was logged.\nsend the readings alone, or the rest as a file.")
	s.hear(s.message("bay", "open rear"))
	if got := s.hear(s.message("bay", long)); len(got) != 1 || !strings.Contains(got[0], "nothing was logged") {
		t.Errorf("in a job: %q", got)
	}
	same(t, "log", s.facts(1))
}

func TestWhatIsTypedIsCleaned(t *testing.T) {
	s := newShop(t, &plainPlatform{})
	s.hear(s.message("bay", "open rear"))
	s.hear(s.message("bay", "\x1b[31mlash\x00 14\x07\xff"))
	same(t, "log", s.facts(1), "lash  14 \uFFFD")
	if got := s.hear(s.message("bay", "say @everyone is <@77> and <!here>")); strings.Contains(got[0], "@everyone") || strings.Contains(got[0], "<@7") || strings.Contains(got[0], "<!h") {
		t.Errorf("echoed: %q", got)
	}
}

func TestUnitsAndLanguageOfAPersonLast(t *testing.T) {
	s := newShop(t, &plainPlatform{})
	s.hear(s.message("bay", "open rear"))
	same(t, "before", s.hear(s.message("bay", "? ")), "1 entries, ann ")
	s.hear(s.message("bay", "units metric"))
	same(t, "after", s.hear(s.message("bay", "? ")), "1 entries, ann metric")
	s.hear(s.message("bay", "language es"))
	s.restart()
	same(t, "after a restart", s.hear(s.message("bay", "? ")), "1 entries, ann metrices")
	if got := s.hear(s.message("bay", strings.Repeat("juego 14 ", 1000))); len(got) != 1 || !strings.Contains(got[0], "no se anotó nada") {
		t.Errorf("too long, in spanish: %q", got)
	}
	m := s.message("bay", "? ")
	m.Author = "u-mia"
	same(t, "of somebody else", s.hear(m), "1 entries, mia ")
}

func TestContextIsWhatWasSaidLast(t *testing.T) {
	s := newShop(t, &plainPlatform{})
	s.hear(s.message("bay", "open rear"))
	s.hear(s.message("bay", "lash 14"))
	s.hear(s.message("bay", "~ nice weather"))
	m := s.message("bay", "looks good")
	m.Author = "u-mia"
	s.hear(m)
	s.hear(s.message("bay", "last"))
	same(t, "context", s.desk.context["last"], "bot: job 1 is open", "tech: lash 14", "bot: 2: lash 14", "tech: ~ nice weather", "mentor: looks good", "bot: 3: looks good")
	s.restart()
	s.hear(s.message("bay", "again"))
	// What was left alone is not logged, and so not there any more.
	same(t, "after a restart", s.desk.context["again"], "tech: lash 14", "bot: 2: lash 14", "mentor: looks good", "bot: 3: looks good", "tech: last", "bot: 4: last")
}

func TestAnEditedOpeningOpensNothing(t *testing.T) {
	s := newShop(t, &plainPlatform{})
	first := s.message("bay", "open raer")
	s.hear(first)
	edit := s.message("bay", "open rear")
	edit.EditOf = first.ID
	same(t, "edited", s.hear(edit), "job 1 was opened by the first wording, and stays as it is.\nclose it if it is wrong, and open another.")
	same(t, "list", s.hear(s.message("bay", "jobs")), "1 raer false")
}

func TestEmptyMessagesAreNothing(t *testing.T) {
	s := newShop(t, &plainPlatform{})
	s.hear(s.message("bay", "open rear"))
	for _, text := range []string{"", "  ", "\x00\x07", "\u200b"} {
		m := s.message("bay", text)
		same(t, text, s.hear(m))
		m = s.message("bay", text)
		m.Files = []Attachment{{Name: "notes.txt"}}
		same(t, text+" with a file", s.hear(m))
	}
	same(t, "log", s.facts(1))
}

func TestCallingByName(t *testing.T) {
	s := newShop(t, &plainPlatform{})
	s.hear(s.message("bay", "open rear"))
	same(t, "the name is not part of it", s.hear(s.message("bay", "bot, lash 14")), "2: lash 14")
}

// Many jobs talk at once; each keeps its order, on both sides.
func TestOrderOfEachJob(t *testing.T) {
	p := &plainPlatform{}
	s := newShop(t, p, func(c *Config, _ *shop) { c.Keep = 2 }) // fewer than are in use
	const jobs, each = 5, 12
	var all sync.WaitGroup
	for j := range jobs {
		at := Place(fmt.Sprint("bay", j))
		var messages []Message
		for n := range each {
			messages = append(messages, s.message(at, fmt.Sprint("lash ", n)))
		}
		first := s.message(at, "open rear")
		all.Go(func() {
			for _, m := range append([]Message{first}, messages...) {
				if err := s.bot.Handle(context.Background(), "chat", m); err != nil {
					t.Error(err)
				}
			}
		})
	}
	all.Wait()
	s.settle()
	for j := range jobs {
		texts := p.texts(Place(fmt.Sprint("bay", j)))
		if len(texts) != each+1 {
			t.Fatalf("bay%d: %q", j, texts)
		}
		for n, text := range texts[1:] {
			if want := fmt.Sprintf("%d: lash %d", n+2, n); text != want {
				t.Errorf("bay%d: answer %d is %q, want %q", j, n, text, want)
			}
		}
	}
	if kept := len(s.bot.conversations.byName); kept > 2 {
		t.Errorf("%d conversations are kept, and 2 is the limit", kept)
	}
}

func TestBrokenTurns(t *testing.T) {
	s := newShop(t, &plainPlatform{})
	s.hear(s.message("bay", "open rear"))
	for _, text := range []string{"break", "fail"} {
		got := s.hear(s.message("bay", text))
		if len(got) != 1 || !strings.HasPrefix(got[0], "something broke on my side, and that message was not logged.\n") {
			t.Fatalf("%s: %q", text, got)
		}
		id := got[0][len(got[0])-6:]
		if !strings.Contains(s.log.String(), "id="+id) && !strings.Contains(s.log.String(), `id="`+id) {
			t.Errorf("the log has nothing of %s:\n%s", id, s.log)
		}
	}
	same(t, "it goes on", s.hear(s.message("bay", "lash 14")), "2: lash 14")
	if got := s.hear(s.message("bay2", "open impossible")); len(got) != 1 || !strings.HasPrefix(got[0], "something broke") {
		t.Errorf("a job that cannot begin: %q", got)
	}
	s.hear(s.message("bay2", "open front"))
	same(t, "list", s.hear(s.message("bay2", "jobs")), "2 front false; 1 rear false")
}

// faulty is a backend that fails when told to.
type faulty struct {
	store.Backend
	mu     sync.Mutex
	before func(store.Batch) error // instead of the commit
	after  func(store.Batch) error // instead of its result
}

func (f *faulty) Commit(ctx context.Context, b store.Batch) (uint64, error) {
	f.mu.Lock()
	before, after := f.before, f.after
	f.mu.Unlock()
	if before != nil {
		if err := before(b); err != nil {
			return 0, err
		}
	}
	v, err := f.Backend.Commit(ctx, b)
	if after != nil {
		if late := after(b); late != nil {
			return 0, late
		}
	}
	return v, err
}

func (f *faulty) set(before, after func(store.Batch) error) {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.before, f.after = before, after
}

func withFaults(f *faulty) shopOption {
	return func(_ *Config, s *shop) {
		f.Backend = s.backend
		s.backend = f
	}
}

func TestFaultsOfTheStoreAreTold(t *testing.T) {
	for _, c := range []struct {
		err  error
		want string
	}{
		{store.ErrFull, "the shop's store is full: that message was not logged."},
		{store.ErrLocked, "another program holds the shop's store"},
		{store.ErrCorrupt, "the shop's store is damaged"},
		{store.ErrNewer, "newer version"},
		{store.ErrInvalid, "something broke on my side"},
		{errors.New("what nobody thought of"), "something broke on my side"},
	} {
		t.Run(c.err.Error(), func(t *testing.T) {
			f := &faulty{}
			p := &plainPlatform{}
			s := newShop(t, p, withFaults(f))
			s.hear(s.message("bay", "open rear"))
			f.set(func(b store.Batch) error {
				if len(b.Events) > 0 {
					return fmt.Errorf("wrapped: %w", c.err)
				}
				return nil
			}, nil)
			for _, text := range []string{"lash 14", "? ", "jobs", "open front"} {
				got := s.hear(s.message("bay", text))
				if len(got) != 1 || !strings.Contains(got[0], c.want) {
					t.Errorf("%s: %q", text, got)
				}
			}
			f.set(nil, nil)
			same(t, "nothing half done", s.facts(1))
			same(t, "and it goes on", s.hear(s.message("bay", "lash 14")), "2: lash 14")
			same(t, "list", s.hear(s.message("bay", "jobs")), "1 rear false")
		})
	}
}

// A job has its number, and then the disk is full: it opens once there is room.
func TestOpeningIsFinishedLater(t *testing.T) {
	for _, how := range []string{"by the queue", "by the next message", "by the same message", "after a restart"} {
		t.Run(how, func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				f := &faulty{}
				p := &threadPlatform{}
				s := newShop(t, p, withFaults(f))
				defer s.end()
				f.set(func(b store.Batch) error {
					if b.Stream == string(jobID(1)) && len(b.Events) > 0 {
						return store.ErrFull
					}
					return nil
				}, nil)
				m := s.message("bay", "open rear")
				got := s.hear(m)
				if len(got) != 1 || !strings.HasPrefix(got[0], "job 1 has its number, but the shop's store gives trouble") {
					t.Fatalf("told: %q", got)
				}
				f.set(nil, nil)
				switch how {
				case "by the queue":
					time.Sleep(5 * time.Second)
				case "by the next message":
					// The directory's own answer waits behind the opening, a second or so.
					same(t, "switching", s.hear(s.message("bay", "switch 1")))
					same(t, "opened and answered", s.hear(s.message("bay", "lash 7")), "job 1 is open", "2: lash 7")
					time.Sleep(2 * ownWait)
					s.settle()
					same(t, "in the bay", p.texts("bay")[1:], "2: lash 7", "now job 1")
				case "by the same message":
					s.hear(m)
				case "after a restart":
					s.restart()
					time.Sleep(2 * ownWait)
				}
				s.settle()
				same(t, "thread", p.texts("bay/m1"), "job 1 is open")
				if got := s.hear(s.message("bay/m1", "lash 14")); len(got) != 1 || !strings.HasSuffix(got[0], ": lash 14") {
					t.Errorf("it does not go on: %q", got)
				}
				same(t, "and is there once", s.hear(s.message("bay/m1", "jobs")), "1 rear false")
			})
		})
	}
}

// The message of a record is found without reading it, or not at all.
func TestTalkID(t *testing.T) {
	at := time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC)
	for _, test := range []struct {
		talk talk
		want string
	}{
		{talk{Message: "load:m1", At: at, Text: `he said "lash 9"`, Answers: []string{"ok"}}, "load:m1"},
		{talk{Message: `odd"id`, At: at}, ""},
		{talk{Message: `odd\id`, At: at}, ""},
		{talk{Message: "m<2", At: at}, ""},
		{talk{At: at, Answers: []string{`{"talk":{"msg":"x","at":"`}}, ""},
		{talk{Message: "m3", At: at, Passed: []string{"m1"}}, ""},
	} {
		record, err := encodeTalk(test.talk)
		if err != nil {
			t.Fatal(err)
		}
		if got, ok := talkID(record); got != test.want || ok != (test.want != "") {
			t.Errorf("%s: %q %v, want %q", record, got, ok, test.want)
		}
	}
}
