package mattermost

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"github.com/mattermost/mattermost/server/public/model"

	"shimwright/bot"
	"shimwright/bot/mattermost/mmtest"
)

const callback = "http://10.0.0.5:8090/chat"

// reachable starts an adapter that the server can call.
func (l *line) reachable() *line {
	l.t.Helper()
	l.config = func(c *Config) {
		c.CallbackURL = callback + "/"
		c.SlashTokens = []string{"", "slashtoken"}
	}
	l.start()
	l.server.Allow("10.0.0.5")
	l.server.Reach(l.adapter.Handler())
	return l
}

// ask posts a question and gives the post with its buttons.
func (l *line) ask(root, nonce string, choices ...string) (*model.Post, []*model.PostAction) {
	l.t.Helper()
	id := l.send(placeOf(l.bay, root), bot.Post{Text: "which?", Choices: choices}, nonce)
	p := l.server.Raw(string(id))
	return p, mmtest.Actions(p)
}

func (l *line) press(who string, p *model.Post, a *model.PostAction, picked string) string {
	l.t.Helper()
	told, err := l.server.Press(who, p.Id, a.Id, picked)
	if err != nil {
		l.t.Errorf("press of %q: %v", a.Name, err)
	}
	return told
}

func TestAPressIsAMessage(t *testing.T) {
	bubble(t, func(t *testing.T, l *line) {
		l.reachable()
		root := l.say("open")
		l.same("before the press", "open") // which goes a way of its own
		p, actions := l.ask(root.Id, "n1", "not yet", "yes")
		if told := l.press(l.ben, p, actions[0], ""); told != "" {
			t.Errorf("told %q", told)
		}
		got := l.messages()[1]
		want := bot.Message{
			Place: placeOf(l.bay, ""), Thread: placeOf(l.bay, root.Id), Author: bot.UserID(l.ben), Text: "not yet", Addressed: true, ID: got.ID, At: got.At,
		}
		if got.Text != want.Text || got.Thread != want.Thread || got.Place != want.Place || got.Author != want.Author || !got.Addressed || got.Bot || got.At.IsZero() {
			t.Errorf("%+v", got)
		}
		if len(got.ID) > 120 || postOf(got.ID) != p.Id || got.Pressed != bot.MessageID(p.Id) {
			t.Errorf("id %q", got.ID)
		}
	})
}

// A double tap must not answer the next question; changing one's mind is news.
func TestPressesCountOnceEach(t *testing.T) {
	bubble(t, func(t *testing.T, l *line) {
		l.reachable()
		p, actions := l.ask("", "n1", "yes", "no")
		q, more := l.ask("", "n2", "yes", "no")
		for _, i := range []int{0, 0, 1, 1, 0} {
			l.press(l.ann, p, actions[i], "")
		}
		l.press(l.ben, p, actions[0], "")
		l.press(l.ann, q, more[0], "")
		ids := map[bot.MessageID]string{}
		for _, m := range l.messages() {
			ids[m.ID] = m.Text
		}
		if len(ids) != 5 {
			t.Errorf("%d messages: %v", len(ids), ids)
		}
	})
}

func TestAListToPickFrom(t *testing.T) {
	bubble(t, func(t *testing.T, l *line) {
		l.reachable()
		p, actions := l.ask("", "n1", "a", "b", "c", "d", "e", "f")
		if len(actions) != 1 || actions[0].Type != model.PostActionTypeSelect {
			t.Fatalf("%+v", actions)
		}
		for _, value := range []string{"", "6", "-1", "+1", "a", "01"} {
			if told := l.press(l.ann, p, actions[0], value); !strings.Contains(told, "not offered") {
				t.Errorf("%q: told %q", value, told)
			}
		}
		l.press(l.ann, p, actions[0], "5")
		l.same("picked", "f")
	})
}

func TestButtonsOfBefore(t *testing.T) {
	bubble(t, func(t *testing.T, l *line) {
		l.reachable()
		p, actions := l.ask("", "n1", "yes")
		l.end()
		if told := l.press(l.ann, p, actions[0], ""); !strings.Contains(told, "not ready") {
			t.Errorf("while it does not run: %q", told)
		}
		time.Sleep(choiceLife - time.Hour)
		l.marks = &memoryMarks{}
		l.reachable()
		l.press(l.ann, p, actions[0], "")
		l.same("after a restart", "yes")
		time.Sleep(2 * time.Hour)
		if told := l.press(l.ben, p, actions[0], ""); !strings.Contains(told, "too old") {
			t.Errorf("told %q", told)
		}
		l.same("too late", "yes")
	})
}

// Anybody who reaches the port can send anything, and any person can make a post
// whose button calls it.
func TestForgedPresses(t *testing.T) {
	bubble(t, func(t *testing.T, l *line) {
		l.reachable()
		p, actions := l.ask("", "n1", "yes", "no")
		_, others := l.ask("", "n2", "approve")
		signed := actions[0].Integration.Context[contextKey].(string)
		body, seal, _ := strings.Cut(signed, ".")
		elsewhere, err := New(Config{URL: l.server.URL, Token: "another", CallbackURL: callback, Now: time.Now, Log: testLog(t)})
		if err != nil {
			t.Fatal(err)
		}
		foreign := elsewhere.sign(offer{Nonce: "n1", Place: placeOf(l.bay, ""), Ends: time.Now().Add(time.Hour).Unix(), Texts: []string{"yes"}})
		h := l.adapter.Handler()
		pit := l.server.AddChannel("pit", "P", l.ann, l.me)
		copied := l.say("copied button")
		for name, req := range map[string]model.PostActionIntegrationRequest{
			"no context":         {PostId: p.Id, ChannelId: l.bay, UserId: l.ann},
			"empty":              {PostId: p.Id, ChannelId: l.bay, UserId: l.ann, Context: map[string]any{contextKey: ""}},
			"a number":           {PostId: p.Id, ChannelId: l.bay, UserId: l.ann, Context: map[string]any{contextKey: 7}},
			"no seal":            {PostId: p.Id, ChannelId: l.bay, UserId: l.ann, Context: map[string]any{contextKey: body}},
			"empty seal":         {PostId: p.Id, ChannelId: l.bay, UserId: l.ann, Context: map[string]any{contextKey: body + "."}},
			"half a seal":        {PostId: p.Id, ChannelId: l.bay, UserId: l.ann, Context: map[string]any{contextKey: body + "." + seal[:20]}},
			"another's seal":     {PostId: p.Id, ChannelId: l.bay, UserId: l.ann, Context: map[string]any{contextKey: strings.Split(others[0].Integration.Context[contextKey].(string), ".")[0] + "." + seal}},
			"another's key":      {PostId: p.Id, ChannelId: l.bay, UserId: l.ann, Context: map[string]any{contextKey: foreign}},
			"copied to a post":   {PostId: copied.Id, ChannelId: l.bay, UserId: l.ann, Context: map[string]any{contextKey: signed}},
			"of another post":    {PostId: p.Id, ChannelId: l.bay, UserId: l.ann, Context: map[string]any{contextKey: others[0].Integration.Context[contextKey]}},
			"in another channel": {PostId: p.Id, ChannelId: pit, UserId: l.ann, Context: map[string]any{contextKey: signed}},
			"no post":            {PostId: "", ChannelId: l.bay, UserId: l.ann, Context: map[string]any{contextKey: signed}},
			"no user":            {PostId: p.Id, ChannelId: l.bay, UserId: "../ann", Context: map[string]any{contextKey: signed}},
		} {
			data, _ := json.Marshal(req)
			w := httptest.NewRecorder()
			h.ServeHTTP(w, httptest.NewRequest("POST", "/chat/action", bytes.NewReader(data)))
			if w.Code != http.StatusForbidden {
				t.Errorf("%s: %d %s", name, w.Code, w.Body)
			}
		}
		l.same("forged", "copied button")
		// What was signed here for one person is theirs.
		o := offer{Nonce: "n1", Place: placeOf(l.bay, ""), Users: []string{l.ben}, Ends: time.Now().Add(time.Hour).Unix(), Texts: []string{"yes"}}
		for user, want := range map[string]int{l.ann: 1, l.ben: 2, l.me: 2} {
			data, _ := json.Marshal(model.PostActionIntegrationRequest{PostId: p.Id, ChannelId: l.bay, UserId: user, Context: map[string]any{contextKey: l.adapter.sign(o)}})
			h.ServeHTTP(httptest.NewRecorder(), httptest.NewRequest("POST", "/action", bytes.NewReader(data)))
			if user == l.ben && len(l.texts()) != want {
				t.Errorf("heard %q", l.texts())
			}
		}
		l.same("for ben alone", "copied button", "yes")
	})
}

func TestAPressThatIsNotTaken(t *testing.T) {
	bubble(t, func(t *testing.T, l *line) {
		l.reachable()
		p, actions := l.ask("", "n1", "yes")
		l.onDeliver(func(context.Context, bot.Message) error { return errors.New("the store is away") })
		if told := l.press(l.ann, p, actions[0], ""); !strings.Contains(told, "press again") {
			t.Errorf("told %q", told)
		}
		l.onDeliver(func(ctx context.Context, _ bot.Message) error { <-ctx.Done(); return ctx.Err() })
		began := time.Now()
		if told := l.press(l.ann, p, actions[0], ""); !strings.Contains(told, "press again") || time.Since(began) > 15*time.Second {
			t.Errorf("told %q after %v", told, time.Since(began))
		}
		l.onDeliver(nil)
		l.press(l.ann, p, actions[0], "")
		l.same("third time", "yes")
	})
}

// The server takes ids with other signs and answers 404 to their presses; and it
// calls no address that it was not told to trust.
func TestWhatTheServerCalls(t *testing.T) {
	bubble(t, func(t *testing.T, l *line) {
		l.reachable()
		_, actions := l.ask("", "n1", "not yet", "not_yet", "-", "ja, später")
		for _, a := range actions {
			for _, r := range a.Id {
				if r > 'z' || !strings.ContainsRune("abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789", r) {
					t.Errorf("action id %q", a.Id)
				}
			}
			if err := a.IsValid(); err != nil {
				t.Error(err)
			}
		}
		p, list := l.ask("", "n2", "1", "2", "3", "4", "5", "6")
		if err := list[0].IsValid(); err != nil {
			t.Error(err)
		}
		if got := mmtest.Actions(l.server.Seen(l.bay, "")[1]); got[0].Integration != nil {
			t.Error("clients are meant not to see what a button carries")
		}
		l.config = func(c *Config) { c.CallbackURL = "http://127.0.0.2" }
		l.end()
		l.start()
		p, list = l.ask("", "n3", "yes")
		if _, err := l.server.Press(l.ann, p.Id, list[0].Id, ""); err == nil {
			t.Error("the server calls an address it does not trust")
		}
	})
}

func TestSlashCommands(t *testing.T) {
	bubble(t, func(t *testing.T, l *line) {
		l.reachable()
		other := l.server.AddChannel("other", "P", l.ann)
		for _, c := range []struct {
			token, channel, text string
			status               int
			told                 string
		}{
			{"slashtoken", l.bay, "/shop lash 14, *not* bold", 200, `heard: lash 14, \*not\* bold`},
			{"slashtoken", l.bay, "/shop", 200, "nothing was said"},
			{"slashtoken", other, "/shop lash 14", 200, "/invite @shopbot"},
			{"wrong", l.bay, "/shop lash 14", 401, ""},
			{"", l.bay, "/shop lash 14", 401, ""},
			{"slashtoken", "nowhere", "/shop lash 14", 400, ""},
		} {
			got, status, err := l.server.Command(callback+"/slash", c.token, l.ann, c.channel, c.text)
			if err != nil || status != c.status || !strings.Contains(got.Text, c.told) {
				t.Errorf("%+v: %d %+v %v", c, status, got, err)
			}
			if status == 200 && got.ResponseType != model.CommandResponseTypeEphemeral {
				t.Errorf("everybody sees %+v", got)
			}
		}
		got := l.messages()
		if len(got) != 1 || got[0].Text != "lash 14, *not* bold" || got[0].Author != bot.UserID(l.ann) || !got[0].Addressed || got[0].Place != placeOf(l.bay, "") || !strings.HasPrefix(string(got[0].ID), "slash.") {
			t.Errorf("%+v", got)
		}
		l.onDeliver(func(context.Context, bot.Message) error { return errors.New("the store is away") })
		if got, _, err := l.server.Command(callback+"/slash", "slashtoken", l.ann, l.bay, "/shop lash 15"); err != nil || !strings.Contains(got.Text, "not taken: lash 15") {
			t.Errorf("%+v %v", got, err)
		}
	})
}

func TestWhatElseComesToTheHandler(t *testing.T) {
	bubble(t, func(t *testing.T, l *line) {
		l.reachable()
		h := l.adapter.Handler()
		form := "token=slashtoken&channel_id=" + l.bay + "&user_id=" + l.ann + "&trigger_id=x&text=hi"
		for _, c := range []struct {
			method, path, body, kind, auth string
			want                           int
		}{
			{"GET", "/action", "", "", "", 405},
			{"PUT", "/slash", "", "", "", 405},
			{"POST", "/", "{}", "application/json", "", 404},
			{"POST", "/action", "{", "application/json", "", 400},
			{"POST", "/action", strings.Repeat(" ", maxCallback) + "{}", "application/json", "", 400},
			{"POST", "/action", "null", "application/json", "", 403},
			{"POST", "/slash", form, "application/json", "", 400},
			{"POST", "/slash", form + strings.Repeat("x", maxCallback), "application/x-www-form-urlencoded", "", 400},
			{"POST", "/slash", form, "application/x-www-form-urlencoded", "Token other", 401},
			{"POST", "/slash", strings.Replace(form, "trigger_id=x", "", 1), "application/x-www-form-urlencoded", "", 400},
			{"POST", "/slash", form, "application/x-www-form-urlencoded; charset=utf-8", "Token slashtoken", 200},
			{"POST", "/slash", form, "application/x-www-form-urlencoded", "", 200},
		} {
			r := httptest.NewRequest(c.method, c.path, strings.NewReader(c.body))
			r.Header.Set("Content-Type", c.kind)
			if c.auth != "" {
				r.Header.Set("Authorization", c.auth)
			}
			w := httptest.NewRecorder()
			h.ServeHTTP(w, r)
			if w.Code != c.want {
				t.Errorf("%s %s %.60q: %d %s, want %d", c.method, c.path, c.body, w.Code, w.Body, c.want)
			}
		}
		synctest.Wait()
		// The same trigger is the same message.
		got := l.messages()
		if len(got) != 2 || got[0].ID != got[1].ID {
			t.Errorf("%+v", got)
		}
	})
}

// What package bot has to say about a press is for its author alone.
func TestAPressIsWhisperedAbout(t *testing.T) {
	bubble(t, func(t *testing.T, l *line) {
		l.reachable()
		p, actions := l.ask("", "n1", "yes")
		l.onDeliver(func(ctx context.Context, m bot.Message) error { return m.Whisper(ctx, "not *you*") })
		if told := l.press(l.ann, p, actions[0], ""); told != `not \*you\*` {
			t.Errorf("told %q", told)
		}
	})
}

func TestButtonsForSome(t *testing.T) {
	bubble(t, func(t *testing.T, l *line) {
		l.reachable()
		id := l.send(placeOf(l.bay, ""), bot.Post{Text: "go on?", Choices: []string{"approve"}, For: []bot.UserID{bot.UserID(l.ben)}}, "n1")
		p := l.server.Raw(string(id))
		if told := l.press(l.ann, p, mmtest.Actions(p)[0], ""); !strings.Contains(told, "somebody else") {
			t.Errorf("told %q", told)
		}
		l.press(l.ben, p, mmtest.Actions(p)[0], "")
		l.same("for ben", "approve")
	})
}
