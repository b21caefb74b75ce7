package discord

import (
	"context"
	"io"
	"log/slog"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"shimwright/bot"
	"shimwright/bot/discord/dctest"
	"shimwright/bot/store"
	"shimwright/bot/store/boltstore"
	"shimwright/dialogs"
	"shimwright/dialogs/advise"
	"shimwright/dialogs/listen"
	"shimwright/dialogs/phrase"
	"shimwright/dialogs/picture"
	"shimwright/rules"
)

// shop is the whole assistant on the fake Discord.
type shop struct {
	t      *testing.T
	d      *dctest.Server
	file   string
	memory *keep
	bot    *bot.Bot
	stop   context.CancelFunc
	ended  chan error
}

func openShop(t *testing.T, d *dctest.Server) *shop {
	s := &shop{t: t, d: d, file: filepath.Join(t.TempDir(), "shop.db"), memory: &keep{}}
	s.begin()
	t.Cleanup(s.end)
	return s
}

// begin starts the assistant, as after a start of the program.
func (s *shop) begin() {
	s.t.Helper()
	backend, err := boltstore.Open(s.file, 10*time.Second)
	if err != nil {
		s.t.Fatal(err)
	}
	kept := store.New(backend, time.Now)
	log := slog.New(slog.NewTextHandler(io.Discard, nil))
	live, report := rules.NewLive(nil, time.Now, log)
	if len(report.Problems) > 0 {
		s.t.Fatalf("%+v", report.Problems)
	}
	phrases, err := phrase.Load()
	if err != nil {
		s.t.Fatal(err)
	}
	var adviser advise.Adviser
	s.bot, err = bot.New(bot.Config{
		Store: kept, Now: time.Now, Log: log,
		People: []bot.Person{
			{Name: "ann", Role: dialogs.Technician, Accounts: map[string]bot.UserID{Name: bot.UserID(s.d.Ann.ID)}},
			{Name: "ben", Role: dialogs.Mentor, Accounts: map[string]bot.UserID{Name: bot.UserID(s.d.Ben.ID)}},
		},
		Painter: sync.OnceValues(func() (*picture.Painter, error) { return picture.New(picture.English()) }),
		Desk: func() bot.Desk {
			return &dialogs.Desk{Sheets: live.Book(), Rules: live.Rules(), Advise: adviser.Recommend, Listen: listen.Parse, Phrases: phrases}
		},
		Adapters: map[string]bot.Adapter{Name: newAdapter(s.t, s.d, s.memory, io.Discard)},
	})
	if err != nil {
		s.t.Fatal(err)
	}
	ctx, stop := context.WithCancel(context.Background())
	s.stop, s.ended = stop, make(chan error, 1)
	running := s.bot
	go func() {
		err := running.Run(ctx)
		if closed := kept.Close(); err == nil {
			err = closed
		}
		s.ended <- err
	}()
}

func (s *shop) end() {
	s.stop()
	if s.ended == nil {
		return
	}
	select {
	case err := <-s.ended:
		if err != nil {
			s.t.Errorf("Run: %v", err)
		}
	case <-time.After(soon):
		s.t.Error("Run does not end")
	}
	s.ended = nil
}

// posts waits until the assistant has posted n times at a place and is done.
func (s *shop) posts(at string, n int) []dctest.Message {
	s.t.Helper()
	tick := time.NewTicker(2 * time.Millisecond)
	defer tick.Stop()
	timeout := time.After(soon)
	for {
		if got := s.d.Posts(at); len(got) >= n {
			return got
		}
		select {
		case <-tick.C:
		case <-timeout:
			s.t.Fatalf("%d posts at %s, want %d: %q", len(s.d.Posts(at)), at, n, sentTexts(s.d, at))
		}
	}
}

// picture waits for a post with a file.
func (s *shop) picture(at string) dctest.Attachment {
	s.t.Helper()
	for n := 1; ; n++ {
		for _, p := range s.posts(at, n)[n-1:] {
			for _, a := range p.Attachments {
				return a
			}
		}
	}
}

// TestShop: a job is opened in the shop's channel and gets its thread; readings are
// answered there with what a sheet and the rules say; a picture is sent; a restart
// between a reading and the next loses and repeats nothing; and by command it works
// the same.
func TestShop(t *testing.T) {
	t.Parallel()
	d := dctest.New(t)
	s := openShop(t, d)
	root := d.Say(d.Channel, d.Ann, "open lapwing whine on drive, new gears")
	n := len(s.posts(root, 1))
	if name := d.ThreadOf(root).Name; !strings.Contains(name, "job 1") || !strings.Contains(name, "whine on drive") {
		t.Errorf("the thread is called %q", name)
	}
	d.Say(root, d.Ann, "lash 14 14 13 14")
	n = len(s.posts(root, n+1))
	s.end()
	d.Say(root, d.Ann, "where are we")
	s.begin()
	again := s.posts(root, n+1)
	if text := again[len(again)-1].Content; !strings.Contains(text, "drive pattern as found") {
		t.Errorf("after a restart it does not ask for what comes after the lash: %q", text)
	}
	chat, err := os.ReadFile("../../testdata/chats/readme.txt")
	if err != nil {
		t.Fatal(err)
	}
	for _, line := range strings.Split(string(chat), "\n")[1:] {
		if text, ok := strings.CutPrefix(line, "ann> "); ok {
			d.Say(root, d.Ann, text)
		}
	}
	d.Say(root, d.Ann, "where are we")
	picture := s.picture(root)
	if picture.ContentType != "image/png" || picture.Description == "" || !strings.HasPrefix(string(picture.Data), "\x89PNG") {
		t.Errorf("file %q of type %q with description %q", picture.Filename, picture.ContentType, picture.Description)
	}
	if got := d.Posts(d.Channel); len(got) != 0 {
		t.Errorf("in the channel itself: %q", sentTexts(d, d.Channel))
	}

	i := d.Command(d.Ben, d.Channel, sayCommand, "text", "open dunlin front axle")
	answered(t, i)
	var below string
	for _, m := range d.Messages(d.Channel) {
		if m.Metadata != nil {
			below = m.ID
		}
	}
	s.posts(below, 1)
	if name := d.ThreadOf(below).Name; !strings.Contains(name, "job 2") {
		t.Errorf("the second thread is called %q", name)
	}
	d.Say(d.Channel, dctest.User{ID: "123", Username: "stranger"}, "open lapwing")
	d.Say(d.Channel, d.Ann, "jobs")
	if got := s.posts(d.Channel, 1); !strings.Contains(got[0].Content, "2") || strings.Contains(got[0].Content, "job 3") {
		t.Errorf("the jobs are %q", got[0].Content)
	}
}
