package main

import (
	"context"
	"errors"
	"log/slog"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"shimwright/bot"
	"shimwright/bot/discord"
	"shimwright/bot/mattermost/mmtest"
	"shimwright/dialogs"
	"shimwright/rules"
)

func TestCalled(t *testing.T) {
	names := []string{"shim", "bot"}
	for text, want := range map[string]bool{
		"bot, where are we": true, "@Bot where": true, "BOT": true, " shim: lash 8": true, "bot": true,
		"bottle of brake clean": false, "robot": false, "the bot": false, "bot2 x": false, "": false, "botä": false,
	} {
		if got := called(names, text); got != want {
			t.Errorf("called(%q) = %v", text, got)
		}
	}
}

// Roles go by the channels and roles of the platforms, are kept for a while, and are
// not guessed where a platform does not answer.
func TestRoleBook(t *testing.T) {
	s := mmtest.New().Start()
	defer s.Close()
	me, token := s.AddUser("shopbot", true)
	ann, _ := s.AddUser("ann", false)
	other, _ := s.AddUser("otherbot", true)
	mentors := s.AddChannel("mentors", "P", me, ann, other)
	bay := s.AddChannel("bay", "P", me, ann)
	direct := s.AddChannel("direct", "D", me, ann)
	now := time.Date(2026, time.March, 2, 8, 0, 0, 0, time.UTC)
	away := error(nil)
	b := newRoleBook(&config{
		mattermost: &mattermostConfig{url: s.URL, token: token},
		discord:    &discordConfig{guild: "100"},
		groups: []groupRole{
			{"mattermost", mentors, dialogs.Mentor, "metric"}, {"mattermost", bay, dialogs.Technician, ""},
			{"discord", "7", dialogs.Owner, ""}, {"discord", "100", dialogs.Customer, ""},
		},
	}, func() time.Time { return now })
	b.discord = func(_ context.Context, id bot.UserID) (discord.Member, bool, error) {
		roles := map[bot.UserID][]string{"1": {"5", "7"}, "2": {"5"}, "3": {"7"}}
		r, there := roles[id]
		return discord.Member{Name: "d" + string(id), Bot: id == "3", Roles: r}, there, away
	}
	is := func(on string, id string, name string, role dialogs.Role) {
		t.Helper()
		p, ok, err := b.newcomer(t.Context(), on, bot.UserID(id))
		if err != nil || ok != (name != "") || p.Name != name && ok || p.Role != role && ok {
			t.Errorf("%s on %s is %q, %s (%v, %v), want %q, %s", id, on, p.Name, p.Role, ok, err, name, role)
		}
	}
	is("mattermost", ann, "ann", dialogs.Mentor) // the first that fits
	is("mattermost", other, "", "")              // a program
	is("mattermost", "abcdefghijkmnpqrstuwxyz134", "", "")
	is("discord", "1", "d1", dialogs.Owner)
	is("discord", "2", "d2", dialogs.Customer) // as everybody on the server
	is("discord", "3", "", "")                 // a program
	is("discord", "9", "", "")                 // not on the server

	s.Kick(mentors, ann)
	is("mattermost", ann, "ann", dialogs.Mentor) // still known
	now = now.Add(roleLife)
	is("mattermost", ann, "ann", dialogs.Technician)
	s.Kick(bay, ann)
	now = now.Add(roleLife)
	s.Fail(mmtest.Fault{Path: "/members/", Times: 1, Status: 500})
	if _, ok, err := b.newcomer(t.Context(), "mattermost", bot.UserID(ann)); ok || err == nil {
		t.Errorf("a server that errs: %v, %v", ok, err)
	}
	is("mattermost", ann, "", "")
	now = now.Add(roleLife)
	away = errors.New("away")
	if _, ok, err := b.newcomer(t.Context(), "discord", "1"); ok || !errors.Is(err, away) {
		t.Errorf("Discord that errs: %v, %v", ok, err)
	}

	for place, want := range map[string]bool{bay: false, direct: true, "nowhere": false} {
		if got, err := b.privateTalk(t.Context(), bot.Place(place)); got != want || err != nil {
			t.Errorf("%s is private: %v, %v", place, got, err)
		}
	}
}

// board is a platform that refuses the first posts.
type board struct {
	bot.Adapter
	fail  []error
	posts []string
	nonce map[string]bool
}

func (b *board) Limits() bot.Limits { return bot.Limits{Text: 120} }

func (b *board) Send(_ context.Context, to bot.Place, p bot.Post, nonce string) (bot.MessageID, error) {
	if len(b.fail) > 0 {
		err := b.fail[0]
		b.fail = b.fail[1:]
		return "", err
	}
	b.posts = append(b.posts, string(to)+"> "+p.Text)
	b.nonce[nonce] = true
	return "1", nil
}

func TestNotices(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		n := newNotices(slog.New(slog.DiscardHandler))
		slow := &board{fail: []error{errors.New("not yet"), errors.New("not yet")}, nonce: map[string]bool{}}
		gone := &board{fail: []error{bot.ErrRefused}, nonce: map[string]bool{}}
		n.add("one", slow, "rules")
		n.add("two", gone, "rules")
		ctx, stop := context.WithCancel(t.Context())
		done := make(chan struct{})
		go func() { n.run(ctx); close(done) }()
		n.tell("off", "two")
		n.tell("a line of the mistakes\n" + strings.Repeat("more of them, ", 20))
		time.Sleep(time.Minute) // of the bubble
		synctest.Wait()
		stop()
		<-done
		if len(slow.posts) < 3 || slow.posts[0] != "rules> off" || len(slow.nonce) != len(slow.posts) {
			t.Errorf("told %q", slow.posts)
		}
		if len(gone.posts) != 0 {
			t.Errorf("the one that refuses was told %q", gone.posts)
		}
	})
}

func TestRefusalIsShort(t *testing.T) {
	report := &rules.Report{}
	for range 5 {
		report.Problems = append(report.Problems, rules.Problem{File: "rules/a.yaml", Line: 1, Column: 1, Text: "no ``` here"}, rules.Problem{File: "x", Text: "a warning", Warning: true})
	}
	want := "it has 5 mistakes. so.\n```\n" + strings.Repeat("rules/a.yaml:1:1: no ''' here\n", 3) + "```\n2 more: shimwright rules check shows all."
	if got := refusal("it has", report, "so."); got != want {
		t.Errorf("%q", got)
	}
}
