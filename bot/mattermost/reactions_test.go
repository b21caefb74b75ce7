package mattermost

import (
	"context"
	"net/http"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/mattermost/mattermost/server/public/model"

	"shimwright/bot"
	"shimwright/bot/mattermost/mmtest"
)

// numbered asks a question without an inbound port and gives its post.
func (l *line) numbered(root, nonce string, post bot.Post) *model.Post {
	l.t.Helper()
	return l.server.Raw(string(l.send(placeOf(l.bay, root), post, nonce)))
}

func which(choices ...string) bot.Post { return bot.Post{Text: "which?", Choices: choices} }

func (l *line) numbersOn(post string) (mine, others []string) {
	for _, r := range l.server.Reactions(post) {
		if r.UserId == l.me {
			mine = append(mine, r.EmojiName)
		} else {
			others = append(others, r.EmojiName)
		}
	}
	return mine, others
}

func TestNumbersToTap(t *testing.T) {
	bubble(t, func(t *testing.T, l *line) {
		l.start()
		root := l.say("open")
		l.same("before", "open")
		p := l.numbered(root.Id, "n1", which("not yet", "yes"))
		if got := mmtest.Plain(p.Message); got != "which?\n1) not yet  2) yes" || len(mmtest.Actions(p)) != 0 {
			t.Errorf("seen %q, %d buttons", got, len(mmtest.Actions(p)))
		}
		if mine, _ := l.numbersOn(p.Id); !slices.Equal(mine, []string{"one", "two"}) {
			t.Errorf("offered %q", mine)
		}
		l.same("its own numbers", "open")
		l.server.Tap(l.ben, p.Id, "two")
		l.same("a tap", "open", "yes")
		m := l.messages()[1]
		if m.Author != bot.UserID(l.ben) || m.Thread != placeOf(l.bay, root.Id) || m.Place != placeOf(l.bay, "") || !m.Addressed || m.Pressed != bot.MessageID(p.Id) || postOf(m.ID) != p.Id || m.At.IsZero() {
			t.Errorf("%+v", m)
		}
		l.server.Tap(l.ben, p.Id, "two") // off
		l.server.Tap(l.ben, p.Id, "two") // and on again
		l.same("taken off and put back", "open", "yes")
		l.server.Tap(l.ann, p.Id, "one")
		l.same("somebody else's", "open", "yes", "not yet")
	})
}

func TestTapsThatAreNone(t *testing.T) {
	bubble(t, func(t *testing.T, l *line) {
		l.start()
		other, _ := l.server.AddUser("otherbot", true)
		p := l.numbered("", "n1", which("yes", "no"))
		said := l.say("lash 14")
		l.server.Tap(l.ann, p.Id, "three") // not offered
		l.server.Tap(l.ann, p.Id, "ok")
		l.server.Tap(l.ann, said.Id, "one")
		l.server.Tap(other, p.Id, "one")
		// A person's post that pretends to offer something.
		fake := l.server.Post(&model.Post{UserId: l.ann, ChannelId: l.bay, Message: "approve?", Props: map[string]any{propChoices: []string{"approve"}, propNonce: "x"}})
		l.server.Tap(l.ben, fake.Id, "one")
		mine := l.numbered("", "n2", bot.Post{Text: "go on?", Choices: []string{"approve"}, For: []bot.UserID{bot.UserID(l.ben)}})
		l.server.Tap(l.ann, mine.Id, "one")
		for _, data := range []map[string]any{nil, {"reaction": "{"}, {"reaction": 7}, {"reaction": `{"post_id":"../x","emoji_name":"one"}`}, {"reaction": `{"post_id":"` + model.NewId() + `","user_id":"` + l.ann + `","emoji_name":"one"}`}} {
			l.server.Emit("reaction_added", data)
		}
		l.same("none of them", "lash 14", "approve?")
		l.server.Tap(l.ben, mine.Id, "one")
		l.same("for ben", "lash 14", "approve?", "approve")
	})
}

// Taken off, the numbers count for nothing any more; the wording stays, so that it
// needs no edit that a shop may forbid.
func TestNumbersAreTakenOff(t *testing.T) {
	bubble(t, func(t *testing.T, l *line) {
		l.start()
		p := l.numbered("", "n1", which("yes", "no"))
		l.server.EditLimit(time.Minute)
		time.Sleep(time.Hour)
		if err := l.adapter.Edit(context.Background(), placeOf(l.bay, ""), bot.MessageID(p.Id), bot.Post{Text: "which?"}); err != nil {
			t.Fatal(err)
		}
		now := l.server.Raw(p.Id)
		if mine, _ := l.numbersOn(p.Id); len(mine) != 0 || len(offered(now)) != 0 || now.EditAt != 0 || !strings.Contains(mmtest.Plain(now.Message), "1) yes") {
			t.Errorf("numbers %q, offered %q, %q", mine, offered(now), now.Message)
		}
		l.server.Tap(l.ann, p.Id, "one")
		l.same("too late")
	})
}

// What is tapped while nobody listens arrives once, in the order of what was said.
func TestTapsWhileAway(t *testing.T) {
	for _, c := range append(away, struct {
		name  string
		cut   func(*mmtest.Server)
		reads bool
	}{"process restarted", nil, true}) {
		t.Run(c.name, func(t *testing.T) {
			bubble(t, func(t *testing.T, l *line) {
				l.start()
				p := l.numbered("", "n1", which("yes", "no"))
				q := l.numbered("", "n2", which("left", "right"))
				l.server.Tap(l.ann, p.Id, "one")
				l.same("before", "yes")
				if c.cut != nil {
					c.cut(l.server)
				} else {
					l.end()
				}
				l.say("wait")
				time.Sleep(time.Second)
				l.server.Tap(l.ben, q.Id, "two")
				time.Sleep(time.Second)
				l.say("done")
				if c.cut == nil {
					l.start()
				}
				time.Sleep(2 * time.Minute)
				l.same("after", "yes", "wait", "right", "done")
				l.server.Restart()
				time.Sleep(time.Minute)
				l.end()
				l.start()
				l.same("and once more", "yes", "wait", "right", "done")
			})
		})
	}
}

// A tap that could not be taken comes again.
func TestATapThatIsNotTaken(t *testing.T) {
	bubble(t, func(t *testing.T, l *line) {
		l.start()
		p := l.numbered("", "n1", which("yes"))
		left := 2
		l.onDeliver(func(context.Context, bot.Message) error {
			if left--; left >= 0 {
				return http.ErrHandlerTimeout
			}
			return nil
		})
		l.server.Tap(l.ann, p.Id, "one")
		l.same("at first")
		time.Sleep(time.Minute)
		l.same("later", "yes")
	})
}

// Where numbers cannot be put below a post it is shown all the same, once.
func TestNumbersThatAreRefused(t *testing.T) {
	for name, f := range map[string]mmtest.Fault{
		"forbidden": {Method: "POST", Path: "/reactions", Times: 9, Status: 403},
		"too much":  {Method: "POST", Path: "/reactions", Times: 9, Status: 429, Body: "limit exceeded"},
		"cut off":   {Method: "POST", Path: "/reactions", Times: 9},
	} {
		t.Run(name, func(t *testing.T) {
			bubble(t, func(t *testing.T, l *line) {
				l.start()
				l.server.Fail(f)
				p := l.numbered("", "n1", which("yes", "no"))
				l.server.Mend()
				if again := l.numbered("", "n1", which("yes", "no")); again.Id != p.Id {
					t.Error("it is shown twice")
				}
				if mine, _ := l.numbersOn(p.Id); !slices.Equal(mine, []string{"one", "two"}) {
					t.Errorf("sent again it offers %q", mine)
				}
				l.server.Tap(l.ann, p.Id, "two") // a person can put the number there, too
				l.same("tapped", "no")
			})
		})
	}
}
