package mattermost

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/mattermost/mattermost/server/public/model"

	"shimwright/bot"
)

func TestPlacesOfMessages(t *testing.T) {
	bubble(t, func(t *testing.T, l *line) {
		direct := l.server.AddChannel("", model.ChannelTypeDirect, l.ann, l.me)
		group := l.server.AddChannel("", model.ChannelTypeGroup, l.ann, l.ben, l.me)
		l.start()
		root := l.say("root")
		l.server.Say(l.ben, l.bay, root.Id, "below")
		l.server.Say(l.ann, direct, "", "in private")
		l.server.Say(l.ann, group, "", "in a group")
		got := map[string]bot.Message{}
		for _, m := range l.messages() {
			got[m.Text] = m
		}
		for text, want := range map[string]bot.Message{
			"root":       {Place: bot.Place(l.bay), Author: bot.UserID(l.ann)},
			"below":      {Place: bot.Place(l.bay), Thread: bot.Place(l.bay + ":" + root.Id), Author: bot.UserID(l.ben)},
			"in private": {Place: bot.Place(direct), Author: bot.UserID(l.ann), Addressed: true},
			"in a group": {Place: bot.Place(group), Author: bot.UserID(l.ann), Addressed: true},
		} {
			m := got[text]
			want.Text, want.ID, want.At = text, m.ID, m.At
			if m.ID == "" || m.At.IsZero() {
				t.Errorf("%s: %+v", text, m)
			}
			if d := cmp.Diff(want, m); d != "" {
				t.Errorf("%s: %s", text, d)
			}
		}
	})
}

// What calls the account and what does not.
var callings = []struct {
	text, read string
	want       bool
}{
	{"lash 14", "lash 14", false},
	{"@shopbot lash 14", "lash 14", true},
	{"  @ShopBot: lash 14", "lash 14", true},
	{"@shopbot", "@shopbot", true},
	{"lash 14 @shopbot", "lash 14 @shopbot", true},
	{"(@shopbot) lash", "(@shopbot) lash", true},
	{"@shopbot- lash", "@shopbot- lash", true},
	{"@shopbot_ lash", "@shopbot_ lash", true},
	{"@shopbotx lash", "@shopbotx lash", false},
	{"mail@shopbot lash", "mail@shopbot lash", false},
	{"@all lash", "@all lash", false},
	{"@here @channel", "@here @channel", false},
	{"`@shopbot` is its name", "`@shopbot` is its name", false},
	{"``@shopbot ` `` is its name", "``@shopbot ` `` is its name", false},
	{"```\n@shopbot\n```\nis its name", "```\n@shopbot\n```\nis its name", false},
	{"> @shopbot lash", "> @shopbot lash", true},
	{"a ` b @shopbot c", "a ` b @shopbot c", true},
}

func TestCallingTheAccount(t *testing.T) {
	m := newMention("shopbot")
	for _, c := range append(callings, []struct {
		text, read string
		want       bool
	}{ // which only this side sees as the server does not say
		{"~~~\n@shopbot\n~~~", "", false},
		{"x\n\n    @shopbot in a block\nend", "", false},
		{"x\n    @shopbot in a paragraph", "", true},
		{"```go\n``\n@shopbot\n````\n", "", false},
	}...) {
		if got := m.in(c.text); got != c.want {
			t.Errorf("%q calls: %v", c.text, got)
		}
	}
}

func TestCallingTheAccountLiveAndLater(t *testing.T) {
	bubble(t, func(t *testing.T, l *line) {
		l.start()
		check := func(when string, from int) {
			t.Helper()
			got := l.messages()[from:]
			if len(got) != len(callings) {
				t.Fatalf("%s: %d messages", when, len(got))
			}
			for i, c := range callings {
				if got[i].Addressed != c.want || got[i].Text != c.read {
					t.Errorf("%s, %q: addressed %v, read as %q", when, c.text, got[i].Addressed, got[i].Text)
				}
			}
		}
		for _, c := range callings {
			l.say(c.text)
		}
		check("live", 0)
		// The server sees a longer name there, and is right while it can be asked.
		l.say("write to @shopbot.com")
		if got := l.messages(); got[len(got)-1].Addressed {
			t.Error("what the server does not take for a call is one")
		}
		l.mu.Lock()
		l.heard = l.heard[:len(callings)]
		l.mu.Unlock()
		l.server.Restart()
		for _, c := range callings {
			l.say(c.text)
		}
		time.Sleep(time.Minute)
		check("later", len(callings))
	})
}

func TestWhoIsHeard(t *testing.T) {
	for _, when := range []string{"live", "later"} {
		t.Run(when, func(t *testing.T) {
			bubble(t, func(t *testing.T, l *line) {
				other, _ := l.server.AddUser("otherbot", true)
				l.start()
				if when == "later" {
					l.end()
				}
				post := func(who, text, kind string, props map[string]any) {
					l.server.Post(&model.Post{UserId: who, ChannelId: l.bay, Message: text, Type: kind, Props: props})
				}
				post(l.ann, "a person", "", nil)
				post(l.me, "itself", "", nil)
				post(other, "another program", "", nil)
				post(other, "a program that hides", "", map[string]any{"from_bot": "false"})
				post(l.ann, "joined", model.PostTypeJoinChannel, nil)
				post(l.ann, "new header", model.PostTypeHeaderChange, nil)
				post(l.ann, "a webhook of ann's", "", map[string]any{"from_webhook": "true", "override_username": "ben"})
				post(l.ann, "a plugin", "", map[string]any{"from_plugin": true})
				// A person can set any props; user_id cannot be forged.
				post(l.ann, "set from_bot", "", map[string]any{"from_bot": "true"})
				post(l.ben, "calls himself ann", "", map[string]any{"override_username": "ann", propNonce: "n1"})
				if when == "later" {
					l.start()
				}
				l.same(when, "a person", "set from_bot", "calls himself ann")
				if m := l.messages()[2]; m.Author != bot.UserID(l.ben) {
					t.Errorf("the author is %s", m.Author)
				}
				// And a nonce in somebody's props does not keep a post from being sent.
				l.send(placeOf(l.bay, ""), bot.Post{Text: "answer"}, "n1")
				if got := l.seen(""); len(got) != 2 || got[1] != "answer" {
					t.Errorf("seen %q", got)
				}
			})
		})
	}
}

func TestEditsAreWordingsOfTheirOwn(t *testing.T) {
	bubble(t, func(t *testing.T, l *line) {
		l.start()
		p := l.say("lash 7")
		l.server.Edit(p.Id, "lash 8")
		l.server.Pin(p.Id)
		l.server.React(l.ben, p.Id)
		l.server.Edit(p.Id, "lash 9 @shopbot")
		l.same("live", "lash 7", "lash 8", "lash 9 @shopbot")
		got := l.messages()
		if got[0].EditOf != "" || got[1].EditOf != bot.MessageID(p.Id) || got[2].EditOf != bot.MessageID(p.Id) || !got[2].Addressed || got[1].ID == got[2].ID {
			t.Errorf("%+v", got)
		}
		l.end()
		q := l.say("lash 10")
		l.server.Edit(q.Id, "lash 11")
		l.server.Edit(p.Id, "lash 12")
		gone := l.say("lash 13")
		l.server.Delete(gone.Id)
		l.server.React(l.ann, q.Id)
		l.start()
		l.same("later", "lash 7", "lash 8", "lash 9 @shopbot", "lash 11", "lash 12")
		got = l.messages()
		if m := got[3]; m.ID != bot.MessageID(q.Id) || m.EditOf != "" {
			t.Errorf("said and edited while away: %+v", m)
		}
		if m := got[4]; m.EditOf != bot.MessageID(p.Id) {
			t.Errorf("edited while away: %+v", m)
		}
		l.end()
		l.start()
		if got := l.texts(); len(got) != 5 {
			t.Errorf("after one more start: %q", got)
		}
	})
}

// An hour later the post itself is beyond what is kept of it.
func TestOldPostsAreEdited(t *testing.T) {
	bubble(t, func(t *testing.T, l *line) {
		l.start()
		old := l.say("lash 7")
		time.Sleep(time.Hour)
		l.say("now")
		l.server.Edit(old.Id, "lash 8")
		l.same("live", "lash 7", "now", "lash 8")
		l.end()
		time.Sleep(time.Hour)
		l.server.Edit(old.Id, "lash 9")
		l.server.Say(l.ben, l.bay, old.Id, "below")
		l.start()
		l.same("later", "lash 7", "now", "lash 8", "lash 9", "below")
		for _, i := range []int{2, 3} {
			if m := l.messages()[i]; m.EditOf != bot.MessageID(old.Id) {
				t.Errorf("%+v", m)
			}
		}
	})
}

func TestWhatIsNotTakenComesAgainInOrder(t *testing.T) {
	bubble(t, func(t *testing.T, l *line) {
		l.start()
		var broken atomic.Bool
		broken.Store(true)
		l.onDeliver(func(context.Context, bot.Message) error {
			if broken.Load() {
				return errors.New("the store is away")
			}
			return nil
		})
		pit := l.server.AddChannel("pit", "P", l.ann, l.me)
		l.say("one")
		l.say("two")
		l.server.Say(l.ann, pit, "", "elsewhere")
		time.Sleep(10 * time.Second)
		l.same("while the store is away")
		broken.Store(false)
		time.Sleep(time.Minute)
		got := l.texts()
		if len(got) != 3 || indexOf(got, "one") > indexOf(got, "two") || indexOf(got, "elsewhere") < 0 {
			t.Errorf("after it: %q", got)
		}
	})
}

func indexOf(list []string, text string) int {
	for i, s := range list {
		if s == text {
			return i
		}
	}
	return -1
}

func TestOneChannelDoesNotHoldUpAnother(t *testing.T) {
	bubble(t, func(t *testing.T, l *line) {
		l.start()
		pit := l.server.AddChannel("pit", "P", l.ann, l.me)
		l.onDeliver(func(ctx context.Context, m bot.Message) error {
			if m.Place == placeOf(l.bay, "") {
				return sleep(ctx, time.Hour)
			}
			return nil
		})
		l.say("slow")
		l.server.Say(l.ann, pit, "", "quick")
		l.same("at once", "quick")
	})
}

func TestMoreThanIsKeptIsReadAgain(t *testing.T) {
	bubble(t, func(t *testing.T, l *line) {
		l.start()
		var slow atomic.Bool
		slow.Store(true)
		l.onDeliver(func(ctx context.Context, _ bot.Message) error {
			if slow.Load() {
				return sleep(ctx, time.Minute)
			}
			return nil
		})
		var want []string
		for i := range maxQueue + 500 {
			want = append(want, fmt.Sprint("lash ", i))
			l.say(want[i])
			if i%100 == 0 {
				time.Sleep(time.Millisecond)
			}
		}
		time.Sleep(time.Second)
		slow.Store(false)
		time.Sleep(2 * time.Minute)
		l.same("all", want...)
	})
}

// A private talk that begins while nobody listens is heard; what was said in a
// channel before the account was let in is not its business.
func TestChannelsThatAreNew(t *testing.T) {
	for _, when := range []string{"live", "later"} {
		t.Run(when, func(t *testing.T) {
			bubble(t, func(t *testing.T, l *line) {
				l.start()
				l.say("one")
				l.same("before", "one")
				if when == "later" {
					l.end()
				}
				time.Sleep(time.Minute)
				pit := l.server.AddChannel("pit", model.ChannelTypePrivate, l.ann)
				l.server.Say(l.ann, pit, "", "not for it")
				time.Sleep(time.Minute)
				l.server.Join(pit, l.me)
				l.server.Say(l.ann, pit, "", "for it")
				direct := l.server.AddChannel("", model.ChannelTypeDirect, l.ben, l.me)
				l.server.Say(l.ben, direct, "", "in private")
				if when == "later" {
					l.start()
				}
				got := l.texts()
				if len(got) != 3 || indexOf(got, "for it") < 0 || indexOf(got, "in private") < 0 {
					t.Errorf("heard %q", got)
				}
				time.Sleep(time.Minute)
				l.server.Kick(pit, l.me)
				l.server.Say(l.ann, pit, "", "behind its back")
				time.Sleep(time.Minute)
				l.server.Join(pit, l.me)
				l.server.Say(l.ann, pit, "", "back again")
				l.server.Restart()
				time.Sleep(time.Minute)
				if got := l.texts(); len(got) != 4 || got[3] != "back again" {
					t.Errorf("heard %q", got)
				}
			})
		})
	}
}

// The first start does not read what was said before there was an assistant, also
// where this clock is off.
func TestTheFirstStart(t *testing.T) {
	for _, off := range []time.Duration{0, -time.Hour, time.Hour} {
		t.Run(off.String(), func(t *testing.T) {
			bubble(t, func(t *testing.T, l *line) {
				l.config = func(c *Config) { c.Now = func() time.Time { return time.Now().Add(off) } }
				l.say("old")
				time.Sleep(10 * time.Second)
				l.start()
				l.say("new")
				l.same("first", "new")
				l.end()
				l.say("newer")
				l.start()
				l.same("second", "new", "newer")
			})
		})
	}
}

// A week of silence is no reason to forget where one was.
func TestSilenceIsRemembered(t *testing.T) {
	bubble(t, func(t *testing.T, l *line) {
		l.start()
		time.Sleep(7 * 24 * time.Hour)
		l.end()
		l.say("while away")
		time.Sleep(time.Hour)
		l.start()
		l.same("after it", "while away")
	})
}

func TestMarksThatAreNone(t *testing.T) {
	for _, data := range []string{"", "{", "null", `{"account":"somebody else","channels":{"x":null}}`} {
		bubble(t, func(t *testing.T, l *line) {
			l.marks.data = []byte(data)
			l.start()
			l.say("one")
			l.same(data, "one")
			l.end()
			var s saved
			if err := json.Unmarshal(l.marks.data, &s); err != nil || s.Account != l.me || len(s.Rooms) != 1 {
				t.Errorf("marks %s, %v", l.marks.data, err)
			}
		})
	}
}

func TestMarksThatCannotBeSavedAreSavedLater(t *testing.T) {
	bubble(t, func(t *testing.T, l *line) {
		l.marks.fail = errors.New("the disk is full")
		l.start()
		l.say("one")
		time.Sleep(10 * time.Second)
		l.same("without marks", "one")
		l.marks.mu.Lock()
		l.marks.fail = nil
		l.marks.mu.Unlock()
		time.Sleep(2 * saveEvery)
		if data, _ := l.marks.Load(t.Context()); len(data) == 0 {
			t.Error("nothing is saved once there is room")
		}
	})
}

func TestMarksStaySmall(t *testing.T) {
	bubble(t, func(t *testing.T, l *line) {
		l.start()
		for i := range 300 {
			l.say(fmt.Sprint(i))
			time.Sleep(10 * time.Second)
		}
		l.end()
		if n := len(l.marks.data); n > 2000 {
			t.Errorf("%d bytes for one channel", n)
		}
	})
}

func TestFileMarks(t *testing.T) {
	f := FileMarks(filepath.Join(t.TempDir(), "marks.json"))
	if data, err := f.Load(t.Context()); data != nil || err != nil {
		t.Errorf("before: %q, %v", data, err)
	}
	for _, want := range []string{"one", "two, longer"} {
		if err := f.Save(t.Context(), []byte(want)); err != nil {
			t.Fatal(err)
		}
		if data, err := f.Load(t.Context()); string(data) != want || err != nil {
			t.Errorf("%q, %v", data, err)
		}
	}
	entries, err := os.ReadDir(filepath.Dir(string(f)))
	if err != nil || len(entries) != 1 {
		t.Errorf("left beside it: %v, %v", entries, err)
	}
	if err := FileMarks(filepath.Join(t.TempDir(), "no", "marks")).Save(t.Context(), nil); err == nil {
		t.Error("saved in a folder that is not there")
	}
}

func TestAttachedFiles(t *testing.T) {
	bubble(t, func(t *testing.T, l *line) {
		l.start()
		l.server.Attach(l.ann, l.bay, "drive side", "drive.png", []byte("\x89PNG\r\n\x1a\npicture"))
		m := l.messages()[0]
		if len(m.Files) != 1 || m.Files[0].Name != "drive.png" || m.Files[0].Type != "image/png" || m.Files[0].Size != 15 {
			t.Fatalf("%+v", m.Files)
		}
		r, err := m.Files[0].Open(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		data, err := io.ReadAll(r)
		r.Close()
		if err != nil || !strings.HasSuffix(string(data), "picture") {
			t.Errorf("%q, %v", data, err)
		}
	})
}

// Posts of the same moment may be stored in another order than their times say.
func TestAPostThatShowsLate(t *testing.T) {
	bubble(t, func(t *testing.T, l *line) {
		l.start()
		time.Sleep(time.Hour)
		l.say("one")
		l.same("before", "one")
		l.end()
		late := l.say("stored late")
		l.server.Backdate(late.Id, 30*time.Second)
		l.start()
		l.same("later", "one", "stored late")
	})
}

// Whatever comes on the socket, what comes after it is heard.
func TestEventsThatCannotBeRead(t *testing.T) {
	bubble(t, func(t *testing.T, l *line) {
		l.start()
		for _, data := range []map[string]any{
			nil, {"post": "{"}, {"post": ""}, {"post": 7}, {"post": "null"}, {"post": `{"id":"x"}`}, {"post": map[string]any{"id": "x"}},
		} {
			l.server.Emit("posted", data)
			l.server.Emit("post_edited", data)
			l.server.Emit("user_added", data)
			l.server.Emit("nobody knows", data)
		}
		l.say("one")
		l.same("after them", "one")
	})
}
