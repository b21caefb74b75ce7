package mmtest

import (
	"bytes"
	"encoding/json"
	"io"
	"net/http"
	"path"
	"regexp"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"github.com/mattermost/mattermost/server/public/model"
)

// pendingPost is the server's memory of a pending id: 30 seconds, whoever sends it.
type pendingPost struct {
	post  string // empty while it is made
	until time.Time
}

type file struct {
	info    model.FileInfo
	user    string
	channel string
	post    string
	data    []byte
}

// stripped is a post as clients see it: nobody is shown what buttons carry.
func stripped(p *model.Post) *model.Post {
	out := p.Clone()
	data, err := json.Marshal(p.Props)
	if err != nil {
		panic(err)
	}
	out.Props = nil
	if err := json.Unmarshal(data, &out.Props); err != nil {
		panic(err)
	}
	attachments, _ := out.Props[model.PostPropsAttachments].([]any)
	for _, a := range attachments {
		actions, _ := a.(map[string]any)["actions"].([]any)
		for _, action := range actions {
			delete(action.(map[string]any), "integration")
		}
	}
	out.PendingPostId = p.PendingPostId
	return out
}

func (s *Server) createPost(w http.ResponseWriter, me string, body []byte) {
	var in model.Post
	if err := json.Unmarshal(body, &in); err != nil {
		fail(w, 400, "api.context.invalid_body_param.app_error")
		return
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if in.PendingPostId != "" {
		known := s.pending[in.PendingPostId]
		switch {
		case known == nil || time.Now().After(known.until):
		case known.post == "":
			fail(w, 500, "api.post.deduplicate_create_post.pending")
			return
		default:
			reply(w, 201, stripped(s.posts[known.post]))
			return
		}
	}
	c := s.channels[in.ChannelId]
	switch {
	case c == nil || !c.members[me]:
		fail(w, 403, "api.context.permissions.app_error")
		return
	case utf8.RuneCountInString(in.Message) > model.PostMessageMaxRunesV2:
		fail(w, 400, "model.post.is_valid.msg.app_error")
		return
	case len(in.FileIds) > 10:
		fail(w, 400, "model.post.is_valid.file_ids.app_error")
		return
	}
	if in.RootId != "" {
		root := s.posts[in.RootId]
		if root == nil || root.RootId != "" || root.DeleteAt != 0 || root.ChannelId != in.ChannelId {
			fail(w, 400, "api.post.create_post.root_id.app_error")
			return
		}
	}
	p := &model.Post{
		UserId: me, ChannelId: in.ChannelId, RootId: in.RootId, Message: in.Message, Props: in.Props,
		Type: in.Type, PendingPostId: in.PendingPostId,
	}
	if s.users[me].IsBot {
		p.AddProp(model.PostPropsFromBot, "true")
	}
	p.Id = model.NewId()
	for _, id := range in.FileIds {
		f := s.files[id]
		if f == nil || f.post != "" || f.user != me {
			continue // 201 and the file is not there
		}
		if s.loses > 0 {
			s.loses--
			continue
		}
		f.post, f.channel = p.Id, p.ChannelId
		p.FileIds = append(p.FileIds, id)
		info := f.info
		if p.Metadata == nil {
			p.Metadata = &model.PostMetadata{}
		}
		p.Metadata.Files = append(p.Metadata.Files, &info)
	}
	s.giveActionIDs(p)
	s.addPost(p) // its event is out before the answer
	if in.PendingPostId != "" {
		s.pending[in.PendingPostId] = &pendingPost{post: p.Id, until: time.Now().Add(30 * time.Second)}
	}
	reply(w, 201, stripped(p))
}

// Pend has a pending id stand for a post, or for one that is being made when empty.
func (s *Server) Pend(id, post string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.pending[id] = &pendingPost{post: post, until: time.Now().Add(30 * time.Second)}
}

// Unpend forgets it.
func (s *Server) Unpend(id string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	delete(s.pending, id)
}

// addPost stores a post and tells everybody in the channel.
func (s *Server) addPost(p *model.Post) {
	if p.Id == "" {
		p.Id = model.NewId()
	}
	if p.Props == nil {
		p.Props = model.StringInterface{}
	}
	p.CreateAt = s.now()
	p.UpdateAt = p.CreateAt
	s.posts[p.Id] = p
	s.order = append(s.order, p.Id)
	if root := s.posts[p.RootId]; root != nil {
		root.UpdateAt = p.CreateAt // source
	}
	c := s.channels[p.ChannelId]
	data := map[string]any{
		"channel_type": string(c.Type), "channel_name": c.Name, "channel_display_name": c.DisplayName, "team_id": c.TeamId,
		"sender_name": "@" + s.users[p.UserId].Username, "set_online": true, "post": string(encode(stripped(p))),
	}
	// The key is absent when nobody is mentioned.
	if who := s.mentioned(c, p); len(who) > 0 {
		data["mentions"] = string(encode(who))
	}
	s.emit("status_change", map[string]any{"user_id": p.UserId, "status": "online"}, broadcast{})
	s.emit("posted", data, broadcast{channel: p.ChannelId})
	if s.posted != nil {
		s.posted(stripped(p))
	}
}

var (
	codeSpans = regexp.MustCompile("(?s)```.*?```|`[^`\n]*`")
	mentions  = regexp.MustCompile(`(?i)(?:^|[^\pL\pN_.@-])@([a-z][a-z0-9._-]*)`)
)

func (s *Server) mentioned(c *channel, p *model.Post) []string {
	var who []string
	add := func(id string) {
		if c.members[id] && !slices.Contains(who, id) {
			who = append(who, id)
		}
	}
	direct := c.Type == model.ChannelTypeDirect || c.Type == model.ChannelTypeGroup
	for id, u := range s.users {
		if direct && u.IsBot && id != p.UserId {
			add(id)
		}
	}
	for _, m := range mentions.FindAllStringSubmatch(codeSpans.ReplaceAllString(p.Message, " "), -1) {
		name := strings.ToLower(m[1])
		for id, u := range s.users {
			if name == "all" || name == "channel" || name == "here" || strings.TrimRight(name, "-_.") == u.Username {
				add(id)
			}
		}
	}
	return who
}

// edit gives a post a new wording and keeps the old one as a deleted copy.
func (s *Server) edit(p *model.Post, message string) {
	old := p.Clone()
	now := s.now()
	old.Id, old.OriginalId, old.DeleteAt, old.UpdateAt = model.NewId(), p.Id, now, now
	s.posts[old.Id] = old
	s.order = append(s.order, old.Id)
	p.Message, p.EditAt, p.UpdateAt = message, now, now
	s.edited(p)
}

func (s *Server) edited(p *model.Post) {
	if root := s.posts[p.RootId]; root != nil {
		root.UpdateAt = p.UpdateAt
	}
	s.emit("post_edited", map[string]any{"post": string(encode(stripped(p)))}, broadcast{channel: p.ChannelId})
}

// patch changes a post of one's own; props replace all that were there.
func (s *Server) patch(w http.ResponseWriter, me, id string, body []byte) {
	p := s.readablePost(w, me, id)
	if p == nil {
		return
	}
	var in model.PostPatch
	if err := json.Unmarshal(body, &in); err != nil {
		fail(w, 400, "api.context.invalid_body_param.app_error")
		return
	}
	if p.UserId != me {
		fail(w, 403, "api.context.permissions.app_error")
		return
	}
	if in.Message != nil && s.editLimit > 0 && s.now() > p.CreateAt+s.editLimit.Milliseconds() {
		fail(w, 400, "api.post.update_post.permissions_time_limit.app_error") // source
		return
	}
	if in.Props != nil {
		p.Props = *in.Props
		s.giveActionIDs(p)
	}
	if in.Message != nil && *in.Message != p.Message {
		s.edit(p, *in.Message)
	} else {
		p.UpdateAt = s.now()
		s.edited(p)
	}
	reply(w, 200, stripped(p))
}

// remove deletes a post and what is below it. The event's post still says it is not.
func (s *Server) remove(p *model.Post) {
	s.emit("post_deleted", map[string]any{"post": string(encode(stripped(p)))}, broadcast{channel: p.ChannelId})
	now := s.now()
	for _, q := range s.posts {
		if q.Id == p.Id || q.RootId == p.Id {
			q.DeleteAt, q.UpdateAt = now, now
		}
	}
}

func (s *Server) upload(w http.ResponseWriter, r *http.Request, me string) {
	channelID, name := r.URL.Query().Get("channel_id"), r.URL.Query().Get("filename")
	var data []byte
	if mr, err := r.MultipartReader(); err == nil {
		for {
			part, err := mr.NextPart()
			if err != nil {
				break
			}
			b, _ := io.ReadAll(part)
			switch part.FormName() {
			case "channel_id":
				channelID = string(b)
			case "files":
				data, name = b, part.FileName()
			}
		}
	} else {
		data, _ = io.ReadAll(r.Body)
	}
	if len(data) > 100<<20 {
		fail(w, 413, "api.file.upload_file.too_large_detailed.app_error")
		return
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if c := s.channels[channelID]; c == nil || !c.members[me] {
		fail(w, 403, "api.context.permissions.app_error")
		return
	}
	f := &file{user: me, data: bytes.Clone(data), info: model.FileInfo{
		Id: model.NewId(), CreatorId: me, CreateAt: s.now(), Name: path.Base(name), Size: int64(len(data)), MimeType: http.DetectContentType(data),
	}}
	s.files[f.info.Id] = f
	reply(w, 201, &model.FileUploadResponse{FileInfos: []*model.FileInfo{&f.info}, ClientIds: []string{}})
}
