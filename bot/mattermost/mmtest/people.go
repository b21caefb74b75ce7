package mmtest

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"net/url"
	"regexp"
	"slices"
	"strings"
	"time"

	"github.com/mattermost/mattermost/server/public/model"
)

// Say posts as a person.
func (s *Server) Say(user, channelID, root, text string) *model.Post {
	return s.Post(&model.Post{UserId: user, ChannelId: channelID, RootId: root, Message: text})
}

// Post posts as whoever the post names, props and type as they are.
func (s *Server) Post(p *model.Post) *model.Post {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.addPost(p)
	return p.Clone()
}

// Attach posts with a file.
func (s *Server) Attach(user, channelID, text, name string, data []byte) *model.Post {
	return s.AttachIn(user, channelID, "", text, name, data)
}

// AttachIn posts in a thread with a file.
func (s *Server) AttachIn(user, channelID, root, text, name string, data []byte) *model.Post {
	s.mu.Lock()
	defer s.mu.Unlock()
	f := &file{user: user, channel: channelID, data: data, info: model.FileInfo{Id: model.NewId(), Name: name, Size: int64(len(data)), MimeType: http.DetectContentType(data)}}
	s.files[f.info.Id] = f
	p := &model.Post{UserId: user, ChannelId: channelID, RootId: root, Message: text, FileIds: []string{f.info.Id}, Metadata: &model.PostMetadata{Files: []*model.FileInfo{&f.info}}}
	s.addPost(p)
	return p.Clone()
}

// Backdate has a post be of before, as one that took long to be stored.
func (s *Server) Backdate(id string, by time.Duration) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.posts[id].CreateAt -= by.Milliseconds()
	s.posts[id].UpdateAt = s.posts[id].CreateAt
}

// Edit gives a post a new wording.
func (s *Server) Edit(id, text string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.edit(s.posts[id], text)
}

// Delete removes a post and what is below it.
func (s *Server) Delete(id string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.remove(s.posts[id])
}

// React puts a reaction on a post.
func (s *Server) React(user, id string) { s.Tap(user, id, "ok") }

// Tap puts a certain reaction on a post: its update_at changes and nothing else. A
// second tap takes it off again, as clients do.
func (s *Server) Tap(user, id, emoji string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if !s.unreact(user, id, emoji) {
		s.react(user, id, emoji)
	}
}

func (s *Server) react(user, id, emoji string) *model.Reaction {
	p := s.posts[id]
	r := &model.Reaction{UserId: user, PostId: id, EmojiName: emoji, CreateAt: s.now(), ChannelId: p.ChannelId}
	r.UpdateAt = r.CreateAt
	p.UpdateAt, p.HasReactions = r.CreateAt, true
	s.reactions[id] = append(s.reactions[id], r)
	s.emit("reaction_added", map[string]any{"reaction": string(encode(r))}, broadcast{channel: p.ChannelId})
	return r
}

func (s *Server) unreact(user, id, emoji string) bool {
	for i, r := range s.reactions[id] {
		if r.UserId != user || r.EmojiName != emoji {
			continue
		}
		s.reactions[id] = slices.Delete(s.reactions[id], i, i+1)
		p := s.posts[id]
		p.UpdateAt, p.HasReactions = s.now(), len(s.reactions[id]) > 0
		s.emit("reaction_removed", map[string]any{"reaction": string(encode(r))}, broadcast{channel: p.ChannelId})
		return true
	}
	return false
}

// Reactions gives who put which reactions on a post, in order.
func (s *Server) Reactions(id string) []model.Reaction {
	s.mu.Lock()
	defer s.mu.Unlock()
	var out []model.Reaction
	for _, r := range s.reactions[id] {
		out = append(out, *r)
	}
	return out
}

// Pin pins a post: an edited event without an edit.
func (s *Server) Pin(id string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	p := s.posts[id]
	p.IsPinned, p.UpdateAt = true, s.now()
	s.edited(p)
}

// Seen gives the posts of a channel, or of a thread without its root, as people see
// them, oldest first.
func (s *Server) Seen(channelID, root string) []*model.Post {
	s.mu.Lock()
	defer s.mu.Unlock()
	var out []*model.Post
	for _, id := range s.order {
		if p := s.posts[id]; p.ChannelId == channelID && p.RootId == root && p.DeleteAt == 0 && p.OriginalId == "" {
			out = append(out, stripped(p))
		}
	}
	return out
}

// Raw gives a post with what its buttons carry.
func (s *Server) Raw(id string) *model.Post {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.posts[id]
}

// FileData gives what a file holds.
func (s *Server) FileData(id string) (name string, data []byte) {
	s.mu.Lock()
	defer s.mu.Unlock()
	f := s.files[id]
	if f == nil {
		return "", nil
	}
	return f.info.Name, f.data
}

// escaped are the signs whose backslash the platform's markup drops.
var escaped = regexp.MustCompile("^\\\\([\\\\`*{}\\[\\]()#+\\-.!_>~|])")

// Plain is a text as people see it, markup done. Bare signs of markup outside of
// fenced blocks are shown in brackets: there should be none.
func Plain(text string) string {
	text = strings.ReplaceAll(strings.ReplaceAll(text, "\u200b", ""), "\u00a0", " ")
	var out strings.Builder
	for len(text) > 0 {
		at := escaped.FindStringSubmatchIndex(text)
		switch {
		case at != nil:
			out.WriteString(text[at[2]:at[3]])
			text = text[at[1]:]
		case strings.HasPrefix(text, "```"):
			end := strings.Index(text[3:], "```")
			if end < 0 {
				end = len(text) - 6
			}
			out.WriteString(text[:end+6])
			text = text[end+6:]
		case strings.IndexByte("*_`[|", text[0]) >= 0:
			fmt.Fprintf(&out, "<markup %c>", text[0])
			text = text[1:]
		default:
			out.WriteByte(text[0])
			text = text[1:]
		}
	}
	return out.String()
}

// Attachments gives the blocks below a post.
func Attachments(p *model.Post) []*model.MessageAttachment {
	data, err := json.Marshal(p.GetProp(model.PostPropsAttachments))
	if err != nil {
		panic(err)
	}
	var out []*model.MessageAttachment
	if err := json.Unmarshal(data, &out); err != nil {
		panic(err)
	}
	return out
}

// Actions gives the buttons and lists of a post.
func Actions(p *model.Post) []*model.PostAction {
	var out []*model.PostAction
	for _, a := range Attachments(p) {
		out = append(out, a.Actions...)
	}
	return out
}

// Reach has the server call a handler directly, whatever the address.
func (s *Server) Reach(h http.Handler) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.caller.Transport = direct{h}
}

type direct struct{ http.Handler }

func (d direct) RoundTrip(r *http.Request) (*http.Response, error) {
	w := httptest.NewRecorder()
	in := httptest.NewRequest(r.Method, r.URL.String(), r.Body).WithContext(r.Context())
	in.Header = r.Header
	d.ServeHTTP(w, in)
	return w.Result(), nil
}

func (s *Server) giveActionIDs(p *model.Post) {
	attachments := Attachments(p)
	for _, a := range attachments {
		for _, action := range a.Actions {
			if action.Id == "" {
				action.Id = model.NewId()
			}
		}
	}
	if len(attachments) > 0 {
		p.AddProp(model.PostPropsAttachments, attachments)
	}
}

var actionID = regexp.MustCompile(`^[A-Za-z0-9]+$`)

// Press presses a button, or picks a value of a list, and gives what the person sees:
// nothing, a text for them alone, or an error.
func (s *Server) Press(user, post, action, picked string) (told string, err error) {
	w := httptest.NewRecorder()
	s.press(w, user, post, action, picked)
	if w.Code != 200 {
		return "", fmt.Errorf("%d: %s", w.Code, w.Body)
	}
	var r struct {
		Ephemeral string `json:"mmtest_ephemeral"`
	}
	json.Unmarshal(w.Body.Bytes(), &r)
	return r.Ephemeral, nil
}

func (s *Server) press(w http.ResponseWriter, user, postID, action, picked string) {
	if !actionID.MatchString(action) {
		fail(w, 404, "api.context.404.app_error") // the route does not match
		return
	}
	s.mu.Lock()
	p := s.posts[postID]
	var found *model.PostAction
	if p != nil {
		for _, a := range Actions(p) {
			if a.Id == action {
				found = a
			}
		}
	}
	if found == nil || found.Integration == nil {
		s.mu.Unlock()
		fail(w, 404, "api.post.do_action.action_id.app_error")
		return
	}
	context := map[string]any{}
	for k, v := range found.Integration.Context {
		context[k] = v
	}
	if found.Type == model.PostActionTypeSelect {
		context["selected_option"] = picked // any value a client sends
	}
	req := model.PostActionIntegrationRequest{
		UserId: user, UserName: s.users[user].Username, ChannelId: p.ChannelId, PostId: p.Id,
		TriggerId: model.NewId(), Type: found.Type, Context: context,
	}
	address, err := url.Parse(found.Integration.URL)
	allowed := err == nil && s.allowed[address.Hostname()]
	s.mu.Unlock()
	if !allowed {
		fail(w, 400, "api.post.do_action.action_integration.app_error")
		return
	}
	data, _ := json.Marshal(req)
	resp, err := s.caller.Post(found.Integration.URL, "application/json", bytes.NewReader(data))
	if err != nil {
		fail(w, 400, "api.post.do_action.action_integration.app_error")
		return
	}
	defer resp.Body.Close()
	body, _ := io.ReadAll(resp.Body)
	var r model.PostActionIntegrationResponse
	// 204, an error or text: the person sees an error.
	if resp.StatusCode != 200 || len(bytes.TrimSpace(body)) > 0 && json.Unmarshal(body, &r) != nil {
		fail(w, 400, "api.post.do_action.action_integration.app_error")
		return
	}
	if r.Update != nil {
		s.mu.Lock()
		p.Message = r.Update.Message
		if r.Update.Props != nil {
			p.Props = r.Update.Props
		}
		p.UpdateAt = s.now()
		s.edited(p)
		s.mu.Unlock()
	}
	reply(w, 200, map[string]any{"status": "OK", "trigger_id": req.TriggerId, "mmtest_ephemeral": r.EphemeralText})
}

// Command types a slash command that is served at an address, and gives the JSON
// answer. The form has no root_id, wherever it is typed.
func (s *Server) Command(address, tok, user, channelID, text string) (model.CommandResponse, int, error) {
	command, rest, _ := strings.Cut(text, " ")
	form := url.Values{
		"token": {tok}, "user_id": {user}, "channel_id": {channelID}, "command": {command}, "text": {rest},
		"trigger_id": {model.NewId() + ":sig"}, "team_id": {s.teams[0]}, "response_url": {s.URL + "/hooks/commands/" + model.NewId()},
	}
	req, err := http.NewRequest("POST", address, strings.NewReader(form.Encode()))
	if err != nil {
		return model.CommandResponse{}, 0, err
	}
	req.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	req.Header.Set("Authorization", "Token "+tok)
	req.Header.Set("Accept", "application/json")
	resp, err := s.caller.Do(req)
	if err != nil {
		return model.CommandResponse{}, 0, err
	}
	defer resp.Body.Close()
	body, _ := io.ReadAll(resp.Body)
	var out model.CommandResponse
	switch {
	case resp.StatusCode != 200:
		return out, resp.StatusCode, nil
	case !slices.Contains([]string{"application/json"}, resp.Header.Get("Content-Type")):
		return out, 200, fmt.Errorf("shown as text: %s", body)
	case len(bytes.TrimSpace(body)) == 0:
		return out, 200, fmt.Errorf("empty JSON: the server answers 500")
	}
	return out, 200, json.Unmarshal(body, &out)
}

// ForbidDirect takes away the permission to open direct channels.
func (s *Server) ForbidDirect() {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.noDirect = true
}

// Deactivate switches an account off.
func (s *Server) Deactivate(user string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.users[user].DeleteAt = s.now()
}

// Direct gives the direct channel of two accounts, empty where there is none yet.
func (s *Server) Direct(a, b string) string {
	s.mu.Lock()
	defer s.mu.Unlock()
	for id, c := range s.channels {
		if c.Type == model.ChannelTypeDirect && c.members[a] && c.members[b] {
			return id
		}
	}
	return ""
}
