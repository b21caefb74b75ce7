package mattermost

import (
	"context"
	"crypto/sha256"
	"crypto/subtle"
	"encoding/hex"
	"encoding/json"
	"errors"
	"io"
	"mime"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"

	"github.com/mattermost/mattermost/server/public/model"

	"shimwright/bot"
)

const (
	maxCallback = 256 << 10        // bytes of what the server sends
	takeTime    = 10 * time.Second // the server gives up after 30 s unless set otherwise
)

// Handler answers what the server sends by itself: presses of buttons under
// "/action" and slash commands under "/slash", whatever path stands before. It is
// to be served at CallbackURL.
func (a *Adapter) Handler() http.Handler {
	p := &presses{last: map[string]press{}}
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		r.Body = http.MaxBytesReader(w, r.Body, maxCallback)
		switch {
		case r.Method != http.MethodPost:
			w.Header().Set("Allow", http.MethodPost)
			http.Error(w, "only the chat server has something to send here", http.StatusMethodNotAllowed)
		case strings.HasSuffix(r.URL.Path, actionPath):
			a.pressed(w, r, p)
		case strings.HasSuffix(r.URL.Path, slashPath):
			a.command(w, r)
		default:
			http.NotFound(w, r)
		}
	})
}

// answer writes JSON with status 200; the server shows anything else as an error.
func answer(w http.ResponseWriter, body any) {
	w.Header().Set("Content-Type", "application/json")
	_ = json.NewEncoder(w).Encode(body)
}

func tell(w http.ResponseWriter, text string) {
	answer(w, map[string]any{"ephemeral_text": text, "skip_slack_parsing": true})
}

// presses gives each press the id of its message. A double tap is one message: the
// second yes must not answer the next question. Another choice in between makes the
// first one new.
type presses struct {
	mu   sync.Mutex
	last map[string]press // by post and user
}

type press struct{ choice, turn int }

func (p *presses) id(post, user string, choice int) bot.MessageID {
	p.mu.Lock()
	defer p.mu.Unlock()
	if len(p.last) > 10_000 {
		clear(p.last)
	}
	key := post + "." + user
	now, ok := p.last[key]
	if !ok || now.choice != choice {
		if ok {
			now.turn++
		}
		now.choice = choice
		p.last[key] = now
	}
	return bot.MessageID(pressPrefix + key + "." + strconv.Itoa(now.turn) + "." + strconv.Itoa(choice))
}

// pressed takes a press of a button.
func (a *Adapter) pressed(w http.ResponseWriter, r *http.Request, p *presses) {
	var req model.PostActionIntegrationRequest
	if err := json.NewDecoder(r.Body).Decode(&req); err != nil {
		http.Error(w, "that is no press of a button", http.StatusBadRequest)
		return
	}
	signed, _ := req.Context[contextKey].(string)
	o, err := a.open(signed)
	if errors.Is(err, errExpired) {
		tell(w, "that button is too old.\ntype the answer instead.")
		return
	}
	channel, _, ok := spotOf(o.Place)
	if err != nil || !ok || channel != req.ChannelId || !model.IsValidId(req.PostId) || !model.IsValidId(req.UserId) {
		a.log.Warn("a press that was not offered here is refused", "platform", Name, "user", req.UserId, "post", req.PostId)
		http.Error(w, "this was not offered here", http.StatusForbidden)
		return
	}
	box := a.inbox.Load()
	if box == nil {
		tell(w, "not ready yet.\npress again in a moment.")
		return
	}
	ctx, cancel := context.WithTimeout(r.Context(), takeTime)
	defer cancel()
	switch own, err := a.isPost(ctx, box.me, req.PostId, o); {
	case err != nil:
		tell(w, "that press could not be checked.\npress again, or type the answer.")
		return
	case !own:
		a.log.Warn("a button was copied to another post; its press is refused", "platform", Name, "user", req.UserId, "post", req.PostId)
		http.Error(w, "this was not offered here", http.StatusForbidden)
		return
	case req.UserId == box.me.id:
		answer(w, struct{}{})
		return
	case len(o.Users) > 0 && !slices.Contains(o.Users, req.UserId):
		tell(w, "that is for somebody else: nothing was logged.")
		return
	}
	choice := o.picked(req.Context)
	if choice < 0 {
		tell(w, "that was not offered.\npick one of the list, or type the answer.")
		return
	}
	told := ""
	m := bot.Message{
		Place: placeOf(channel, ""), Author: bot.UserID(req.UserId), Text: o.Texts[choice], At: a.now(), Addressed: true,
		Pressed: bot.MessageID(req.PostId),
		Whisper: func(_ context.Context, text string) error { told = escape(text); return nil },
	}
	if o.Place != m.Place {
		m.Thread = o.Place
	}
	number := choice
	if len(o.Texts) == 1 {
		number = int(sha256.Sum256([]byte(m.Text))[0])<<8 | len(m.Text)&0xff
	}
	m.ID = p.id(req.PostId, req.UserId, number)
	if err := box.submit(ctx, channel, m); err != nil {
		a.log.Warn("a press was not taken", "platform", Name, "message", m.ID, "error", err)
		tell(w, "that press was not taken.\npress again, or type the answer.")
		return
	}
	if told != "" {
		tell(w, told)
		return
	}
	answer(w, struct{}{})
}

// isPost says whether a post is the one an offer was made with.
func (a *Adapter) isPost(ctx context.Context, me *self, id string, o offer) (bool, error) {
	if known := a.sent.find(o.Nonce); known != nil {
		return known.Id == id, nil
	}
	post, resp, err := a.api.GetPost(ctx, id, "")
	if err := a.fault(resp, err); err != nil {
		if gone(err) {
			return false, nil
		}
		return false, err
	}
	channel, _, _ := spotOf(o.Place)
	if post.UserId != me.id || post.ChannelId != channel || post.GetProp(propNonce) != o.Nonce {
		return false, nil
	}
	a.noteOwn(me, post)
	return true, nil
}

// command takes a slash command. Its answer would be authored by whoever typed it,
// so it only says to them that it was heard; the assistant's own answer is a post.
func (a *Adapter) command(w http.ResponseWriter, r *http.Request) {
	kind, _, _ := mime.ParseMediaType(r.Header.Get("Content-Type"))
	body, err := io.ReadAll(r.Body)
	form, err2 := url.ParseQuery(string(body))
	if err != nil || err2 != nil || kind != "application/x-www-form-urlencoded" {
		http.Error(w, "that is no slash command", http.StatusBadRequest)
		return
	}
	if !a.trusted(form.Get("token"), r.Header.Get("Authorization")) {
		a.log.Warn("a slash command with a wrong token is refused", "platform", Name, "user", form.Get("user_id"))
		http.Error(w, "the token of this command is not known here", http.StatusUnauthorized)
		return
	}
	reply := func(text string) {
		answer(w, map[string]any{"response_type": "ephemeral", "text": text, "skip_slack_parsing": true})
	}
	channel, user := form.Get("channel_id"), form.Get("user_id")
	text := strings.TrimSpace(form.Get("text"))
	box := a.inbox.Load()
	switch {
	case !model.IsValidId(channel) || !model.IsValidId(user) || form.Get("trigger_id") == "":
		http.Error(w, "that is no slash command", http.StatusBadRequest)
		return
	case box == nil:
		reply("not ready yet.\nsend it again in a moment.")
		return
	case text == "":
		reply("nothing was said.\ntype it behind the command, for example: " + escape(form.Get("command")) + " where are we")
		return
	}
	ctx, cancel := context.WithTimeout(r.Context(), takeTime)
	defer cancel()
	if _, resp, err := a.api.GetChannelMember(ctx, channel, box.me.id, ""); err != nil {
		if gone(a.fault(resp, err)) {
			reply("i am not in this channel and cannot answer here.\ninvite me: /invite @" + box.me.name)
			return
		}
	}
	trigger := sha256.Sum256([]byte(form.Get("trigger_id")))
	m := bot.Message{
		Place: placeOf(channel, ""), Author: bot.UserID(user), Text: text, At: a.now(), Addressed: true,
		ID: bot.MessageID("slash." + hex.EncodeToString(trigger[:12])),
	}
	if err := box.submit(ctx, channel, m); err != nil {
		a.log.Warn("a slash command was not taken", "platform", Name, "message", m.ID, "error", err)
		reply("that was not taken: " + escape(text) + "\nsend it again, or type it as a message.")
		return
	}
	reply("heard: " + escape(text))
}

// trusted says whether a command comes from the server: with a token known here, in
// the form and in the header.
func (a *Adapter) trusted(form, header string) bool {
	found := 0
	for _, t := range a.slash {
		if t != "" {
			found |= subtle.ConstantTimeCompare([]byte(t), []byte(form))
		}
	}
	return found == 1 && (header == "" || subtle.ConstantTimeCompare([]byte(header), []byte("Token "+form)) == 1)
}
