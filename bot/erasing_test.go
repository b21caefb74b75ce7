package bot

import (
	"bytes"
	"context"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/redis/go-redis/v9"

	"shimwright/bot/store"
	"shimwright/bot/store/redisstore"
	"shimwright/bot/store/storetest"
	"shimwright/dialogs"
	"shimwright/rules"
)

// eraser is a plain desk that also takes out, lists jobs by their cards, and makes
// those.
type eraser struct{ *plainDesk }

func (d eraser) Door(s dialogs.Said, v dialogs.View) dialogs.DoorReply {
	verb, rest, _ := strings.Cut(s.Text, " ")
	say := func(text string) []dialogs.Outgoing { return []dialogs.Outgoing{{Text: text}} }
	switch verb {
	case "erase":
		n, _ := strconv.Atoi(rest)
		return dialogs.DoorReply{Handled: true, Erase: n, Out: say("erased " + rest)}
	case "cards":
		if v.Cards == nil {
			return dialogs.DoorReply{Handled: true, Cards: true}
		}
		var lines []string
		for _, l := range v.All {
			c := v.Cards[l.Number]
			lines = append(lines, fmt.Sprintf("job %d, %s %q by %v: %s", l.Number, l.Title, l.By, c.People, c.State))
		}
		return dialogs.DoorReply{Handled: true, Private: rest != "kept", Out: say(strings.Join(lines, "; "))}
	}
	return d.plainDesk.Door(s, v)
}

func (d eraser) Card(j *dialogs.Job) dialogs.Card {
	return (&dialogs.Desk{Sheets: noSheets{}}).Card(j)
}

type noSheets struct{ dialogs.SheetBook }

func (noSheets) Sheet(name string) (*rules.Sheet, error) { return nil, fmt.Errorf("no sheet %q", name) }

// After a job was taken out of what could name a person, nothing in the store names
// one but who asked for it: not the job's log, not the directory, not what waits, not
// the files; and another process that had it in memory sees it gone.
func TestErasing(t *testing.T) {
	t.Run("bbolt", func(t *testing.T) { erasing(t) })
	t.Run("Redis", func(t *testing.T) {
		server := storetest.StartRedis(t)
		erasing(t, func(_ *Config, s *shop) {
			s.backend.Close()
			var err error
			if s.backend, err = redisstore.Open(t.Context(), &redis.UniversalOptions{Addrs: []string{server.Addr}}, redisstore.Options{}); err != nil {
				t.Fatal(err)
			}
		})
	})
}

func erasing(t *testing.T, options ...shopOption) {
	p := &threadPlatform{}
	s := newShop(t, p, append(options, func(c *Config, s *shop) { c.Desk = func() Desk { return eraser{s.desk} } })...)
	other, err := New(Config{
		Store: store.New(s.backend, time.Now), Desk: func() Desk { return eraser{s.desk} }, People: s.bot.people.all, Now: time.Now,
		Adapters: map[string]Adapter{"chat": p}, Log: s.bot.log,
	})
	if err != nil {
		t.Fatal(err)
	}
	ctx := t.Context()
	opening := s.message("bay", "open zebedee whines")
	s.hear(opening)
	s.hear(s.message("bay", "open other one"))
	reading := s.message("bay/m1", "lash 8")
	s.hear(reading)
	s.hear(s.message("bay/m1", "? what did zebedee say"))
	s.hear(s.message("bay", "cards kept")) // as an older version kept them
	s.hear(s.message("bay/m1", "close"))
	if err := s.store.PutFile(ctx, "job-000001", "photo", []byte("zebedee's axle"), 1<<20); err != nil {
		t.Fatal(err)
	}
	// The other process has the job and the directory in memory.
	if err := other.Handle(ctx, "chat", s.message("bay/m1", "? again")); err != nil {
		t.Fatal(err)
	}
	s.settle()
	before, err := s.store.Events(ctx, "job-000001", 0)
	if err != nil {
		t.Fatal(err)
	}

	order := s.message("bay", "erase 1")
	order.Author = "u-max"
	same(t, "the answer", s.hear(order), "erased 1")

	after, err := s.store.Events(ctx, "job-000001", 0)
	if err != nil {
		t.Fatal(err)
	}
	if len(after) != len(before)+2 {
		t.Errorf("the log had %d records and has %d, want two more", len(before), len(after))
	}
	job, err := dialogs.Fold("job-000001", JobEvents(after))
	if err != nil || !job.Erased || job.ErasedBy != "max" || job.ReadOnly != "" {
		t.Errorf("the job folds to %+v, %v", job, err)
	}
	same(t, "what was read", s.facts(1), "lash 8")
	everything := func() string {
		var all bytes.Buffer
		names, err := s.store.Streams(ctx, "", "", 1000)
		if err != nil {
			t.Fatal(err)
		}
		for _, name := range names {
			records, err := s.store.Events(ctx, name, 0)
			if err != nil {
				t.Fatal(err)
			}
			for _, r := range records {
				fmt.Fprintf(&all, "%s: %s\n", name, r)
			}
			items, err := s.store.Waiting(ctx, name)
			if err != nil {
				t.Fatal(err)
			}
			for _, it := range items {
				fmt.Fprintf(&all, "%s waits: %s\n", name, it.Body)
			}
		}
		return all.String()
	}
	for line := range strings.Lines(everything()) {
		if strings.Contains(line, "zebedee") || strings.Contains(line, `"chat:m1"`) || strings.Contains(line, `"chat:m3"`) || strings.Contains(line, "bay/m1") ||
			strings.HasPrefix(line, "job-000001") && strings.Contains(line, `"ann"`) {
			t.Errorf("it is still there: %s", line)
		}
	}
	if files, err := s.store.Files(ctx, "job-000001"); err != nil || len(files) != 0 {
		t.Errorf("files %v, %v", files, err)
	}
	// The other process: its thread belongs to no job any more, its list has no names,
	// and a message that comes late is still known.
	posts := len(p.texts(""))
	for _, m := range []Message{reading, opening} {
		if err := other.Handle(ctx, "chat", m); err != nil {
			t.Fatal(err)
		}
	}
	if err := other.Handle(ctx, "chat", s.message("bay/m1", "? who is there")); err != nil {
		t.Fatal(err)
	}
	if err := other.Handle(ctx, "chat", s.message("bay", "cards")); err != nil {
		t.Fatal(err)
	}
	s.settle()
	shown := p.texts("")[posts:]
	slices.Sort(shown) // of two places, so in any order
	same(t, "the other process", shown, `job 2, other one "ann" by [ann]: open; job 1,  "" by []: erased`, "no job here, ann")
	if later, err := s.store.Events(ctx, "job-000001", 0); err != nil || len(later) != len(after) {
		t.Errorf("the log grew to %d records (%v)", len(later), err)
	}
	// Done again, as after a crash, it changes nothing.
	for range 2 {
		if err := s.bot.erase(ctx, erasure{Number: 1, By: "max", At: time.Now(), Salt: "another"}); err != nil {
			t.Fatal(err)
		}
	}
	if later, err := s.store.Events(ctx, "job-000001", 0); err != nil || !slices.EqualFunc(later, after, bytes.Equal) {
		t.Errorf("done again, the log changed (%v)", err)
	}
	if _, err := Audit(ctx, s.backend, time.Now(), func(f store.Finding) { t.Errorf("found: %+v", f) }); err != nil {
		t.Error(err)
	}
	s.hear(s.message("bay", "open third")) // numbers go on
	same(t, "a new job", p.texts("bay/"+Place("m"+strconv.Itoa(s.next))), "job 3 is open")
}

// A log with entries of a newer version is left alone, and its owner told.
func TestErasingLeavesANewerLogAlone(t *testing.T) {
	s := newShop(t, &plainPlatform{}, func(c *Config, s *shop) { c.Desk = func() Desk { return eraser{s.desk} } })
	s.hear(s.message("bay", "open one"))
	if _, err := s.store.Commit(context.Background(), store.Batch{Stream: "job-000001", Expect: store.Any, Events: [][]byte{[]byte(`{"kind":"of tomorrow","at":"2030-01-01T00:00:00Z"}`)}}); err != nil {
		t.Fatal(err)
	}
	got := s.hear(s.message("bay", "erase 1"))
	if len(got) != 1 || !strings.Contains(got[0], "newer version") {
		t.Errorf("answered %q", got)
	}
}

// A closed job's card stands in the directory, so that looking for jobs reads the
// open ones only.
func TestCards(t *testing.T) {
	s := newShop(t, &threadPlatform{}, func(c *Config, s *shop) { c.Desk = func() Desk { return eraser{s.desk} } })
	s.hear(s.message("bay", "open one"))
	s.hear(s.message("bay", "open two"))
	s.hear(s.message("bay/m1", "close"))
	if out, rest := s.bot.directory.cardsKept(); len(out) != 1 || out[1].State != dialogs.CardClosed || len(rest) != 1 {
		t.Errorf("kept %v, to be read %d", out, len(rest))
	}
	want := `job 2, two "ann" by [ann]: open; job 1, one "ann" by [ann]: closed`
	same(t, "cards", s.hear(s.message("bay", "cards")), want)
	s.restart(func(c *Config, s *shop) { c.Desk = func() Desk { return eraser{s.desk} } })
	same(t, "cards after a restart", s.hear(s.message("bay", "cards")), want)
	records, err := s.store.Events(context.Background(), shopStream, 0)
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range records {
		if strings.Contains(string(r), "by [ann]") {
			t.Errorf("the list was kept: %s", r)
		}
	}
}
