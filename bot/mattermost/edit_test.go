package mattermost

import (
	"errors"
	"net/http"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"shimwright/bot"
	"shimwright/bot/mattermost/mmtest"
)

func TestAnOvertakenQuestionLosesItsButtons(t *testing.T) {
	bubble(t, func(t *testing.T, l *line) {
		l.reachable()
		to := placeOf(l.bay, "")
		picture := bot.File{Name: "drive.png", Alt: "drive, low", Data: []byte("picture")}
		id := l.send(to, bot.Post{Text: "which *side*?", Choices: []string{"drive", "coast"}, Ping: []bot.UserID{bot.UserID(l.ben)}, Files: []bot.File{picture}}, "n1")
		button := mmtest.Actions(l.server.Raw(string(id)))[0]
		l.server.EditLimit(time.Minute)
		time.Sleep(time.Hour)
		if err := l.adapter.Edit(t.Context(), to, id, bot.Post{Text: "another wording"}); !errors.Is(err, bot.ErrRefused) {
			t.Errorf("a new wording after the server's limit: %v", err)
		}
		if err := l.adapter.Edit(t.Context(), to, id, bot.Post{Text: "which *side*?"}); err != nil {
			t.Fatal(err)
		}
		l.server.EditLimit(0)
		want := []bot.Post{{Text: "@ben which *side*?", Files: []bot.File{picture}}}
		want[0].Files[0].Type = ""
		if d := cmp.Diff(want, seen(l.server, to)); d != "" {
			t.Error(d)
		}
		if p := l.server.Raw(string(id)); p.GetProp("from_bot") != "true" || p.GetProp(propNonce) != "n1" {
			t.Errorf("props %v", p.GetProps())
		}
		if _, err := l.server.Press(l.ann, string(id), button.Id, ""); err == nil {
			t.Error("the old button can still be pressed")
		}
		// It is still the post of its nonce, for another process too.
		l.end()
		time.Sleep(time.Hour)
		l.marks = &memoryMarks{}
		l.reachable()
		if again := l.send(to, bot.Post{Text: "x"}, "n1"); again != id {
			t.Errorf("the post is now %s", again)
		}
		if err := l.adapter.Edit(t.Context(), to, id, bot.Post{Text: "again", Choices: []string{"yes"}}); err != nil {
			t.Fatal(err)
		}
		p := l.server.Raw(string(id))
		l.press(l.ann, p, mmtest.Actions(p)[0], "")
		l.same("pressed", "yes")
	})
}

func TestOnlyOwnPostsAreEdited(t *testing.T) {
	bubble(t, func(t *testing.T, l *line) {
		l.start()
		to := placeOf(l.bay, "")
		own := l.send(to, bot.Post{Text: "own"}, "n1")
		pit := l.server.AddChannel("pit", "P", l.me)
		for _, c := range []struct {
			at bot.Place
			id bot.MessageID
		}{
			{to, bot.MessageID(l.say("ann's").Id)}, {to, "x"}, {to, own + "@5"}, {to, bot.MessageID(pit)}, {placeOf(pit, ""), own}, {"nowhere", own},
		} {
			if err := l.adapter.Edit(t.Context(), c.at, c.id, bot.Post{Text: "changed"}); !errors.Is(err, bot.ErrRefused) {
				t.Errorf("%s in %s: %v", c.id, c.at, err)
			}
		}
		l.server.Fail(mmtest.Fault{Path: "/patch", Times: 1, Status: 429, Header: http.Header{"Retry-After": {"4"}}})
		later := (*bot.LaterError)(nil)
		if err := l.adapter.Edit(t.Context(), to, own, bot.Post{Text: "changed"}); !errors.As(err, &later) || later.After != 4*time.Second {
			t.Errorf("limited: %v", err)
		}
		if got := l.seen(""); len(got) != 1 || got[0] != "own" {
			t.Errorf("seen %q", got)
		}
		if err := l.adapter.Edit(t.Context(), to, own, bot.Post{Text: "which?", Choices: []string{"a", "b"}}); err != nil || l.seen("")[0] != "which?" || len(offered(l.server.Raw(string(own)))) != 2 {
			t.Errorf("seen %q, %v", l.seen(""), err)
		}
		l.server.Delete(string(own))
		if err := l.adapter.Edit(t.Context(), to, own, bot.Post{Text: "changed"}); !errors.Is(err, bot.ErrRefused) {
			t.Errorf("deleted: %v", err)
		}
		l.same("own edits are nobody's messages", "ann's")
	})
}
