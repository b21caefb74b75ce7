package mmtest

import (
	"encoding/json"
	"io"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"github.com/mattermost/mattermost/server/public/model"
)

// emoji are those the server knows, as far as anybody here puts them.
var emoji = map[string]bool{
	"one": true, "two": true, "three": true, "four": true, "five": true, "six": true, "seven": true, "eight": true, "nine": true, "ok": true,
}

// caller is whose token a request carries, false for none that holds.
func (s *Server) account(r *http.Request) (string, bool) {
	t := s.tokens[bearer(r)]
	if t == nil || t.revoked {
		return "", false
	}
	return t.user, true
}

func (s *Server) route(w http.ResponseWriter, r *http.Request) {
	path, ok := strings.CutPrefix(r.URL.Path, "/api/v4/")
	if !ok {
		http.NotFound(w, r)
		return
	}
	if path == "websocket" {
		s.socket(w, r)
		return
	}
	if path == "system/ping" {
		reply(w, 200, map[string]string{"status": "OK"})
		return
	}
	s.mu.Lock()
	me, ok := s.account(r)
	s.mu.Unlock()
	if path == "config/client" {
		if r.URL.Query().Get("format") != "old" {
			fail(w, 400, "api.config.client.old_format.app_error")
			return
		}
		s.mu.Lock()
		defer s.mu.Unlock()
		reply(w, 200, s.config)
		return
	}
	if !ok {
		fail(w, 401, "api.context.session_expired.app_error")
		return
	}
	var body []byte
	if r.Body != nil && !strings.HasPrefix(path, "files") {
		body, _ = io.ReadAll(r.Body)
		if len(body) > 300_000 {
			fail(w, 400, "api.context.invalid_body_param.app_error")
			return
		}
	}
	p := strings.Split(path, "/")
	if len(p) > 1 && p[1] == "me" {
		p[1] = me
	}
	match := func(method string, parts ...string) bool {
		if r.Method != method || len(p) != len(parts) {
			return false
		}
		for i, part := range parts {
			if part != "*" && part != p[i] {
				return false
			}
		}
		return true
	}
	switch {
	case match("POST", "posts"):
		s.createPost(w, me, body)
		return
	case match("POST", "files"):
		s.upload(w, r, me)
		return
	case match("POST", "posts", "*", "actions", "*"):
		var req model.DoPostActionRequest
		json.Unmarshal(body, &req)
		s.press(w, me, p[1], p[3], req.SelectedOption)
		return
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	switch {
	case match("GET", "users", "*"):
		u := s.users[p[1]]
		if u == nil {
			fail(w, 404, "app.user.missing_account.const")
			return
		}
		reply(w, 200, u)
	case match("POST", "users", "ids"):
		var ids []string
		json.Unmarshal(body, &ids)
		list := []*model.User{}
		for _, id := range ids {
			if u := s.users[id]; u != nil {
				list = append(list, u)
			}
		}
		reply(w, 200, list)
	case match("GET", "users", "*", "channels"):
		list := []*model.Channel{}
		for _, c := range s.channels {
			if c.members[p[1]] {
				list = append(list, &c.Channel)
			}
		}
		reply(w, 200, list)
	case match("GET", "channels", "*"):
		if c := s.readable(w, me, p[1]); c != nil {
			reply(w, 200, &c.Channel)
		}
	case match("GET", "channels", "*", "members", "*"):
		id := p[3]
		if id == "me" {
			id = me
		}
		c := s.channels[p[1]]
		switch {
		case c == nil || !c.members[id]:
			fail(w, 404, "store.sql_channel.get_member.missing.app_error")
		default:
			reply(w, 200, &model.ChannelMember{ChannelId: c.Id, UserId: id})
		}
	case match("GET", "channels", "*", "posts"):
		if c := s.readable(w, me, p[1]); c != nil {
			s.listPosts(w, r, c.Id)
		}
	case match("GET", "posts", "*"):
		if post := s.readablePost(w, me, p[1]); post != nil {
			reply(w, 200, stripped(post))
		}
	case match("GET", "posts", "*", "thread"):
		if post := s.readablePost(w, me, p[1]); post != nil {
			s.thread(w, r, post)
		}
	case match("PUT", "posts", "*", "patch"):
		s.patch(w, me, p[1], body)
	case match("DELETE", "posts", "*"):
		post := s.readablePost(w, me, p[1])
		if post == nil {
			return
		}
		if post.UserId != me {
			fail(w, 403, "api.context.permissions.app_error")
			return
		}
		s.remove(post)
		reply(w, 200, map[string]string{"status": "OK"})
	case match("GET", "files", "*"):
		f := s.files[p[1]]
		if f == nil || f.channel != "" && !s.channels[f.channel].members[me] {
			fail(w, 404, "app.file_info.get.app_error")
			return
		}
		w.Header().Set("Content-Type", f.info.MimeType)
		w.Write(f.data)
	case match("POST", "reactions"):
		var in model.Reaction
		json.Unmarshal(body, &in)
		switch {
		case in.UserId != me:
			fail(w, 403, "api.reaction.save_reaction.user_id.app_error")
		case !emoji[in.EmojiName]:
			fail(w, 404, "app.emoji.get_by_name.no_result")
		case s.readablePost(w, me, in.PostId) == nil:
		case !s.channels[s.posts[in.PostId].ChannelId].members[me]:
			fail(w, 403, "api.context.permissions.app_error")
		default:
			for _, r := range s.reactions[in.PostId] {
				if r.UserId == me && r.EmojiName == in.EmojiName {
					reply(w, 201, r) // it is there
					return
				}
			}
			reply(w, 201, s.react(me, in.PostId, in.EmojiName)) // its event is out before the answer
		}
	case match("GET", "posts", "*", "reactions"):
		if post := s.readablePost(w, me, p[1]); post != nil {
			reply(w, 200, append([]*model.Reaction{}, s.reactions[post.Id]...))
		}
	case match("DELETE", "users", "*", "posts", "*", "reactions", "*"):
		if p[1] != me {
			fail(w, 403, "api.reaction.delete_reaction.mismatched_channel_id.app_error")
			return
		}
		s.unreact(me, p[3], p[5])
		reply(w, 200, map[string]string{"status": "OK"})
	case match("POST", "channels", "direct"):
		var ids []string
		json.Unmarshal(body, &ids)
		if len(ids) != 2 || ids[0] != me || s.users[ids[1]] == nil {
			fail(w, 400, "api.channel.create_direct_channel.invalid_user.app_error")
			return
		}
		if s.noDirect {
			fail(w, 403, "api.context.permissions.app_error")
			return
		}
		// With an account that is switched off it opens all the same.
		for _, c := range s.channels { // the same each time
			if c.Type == model.ChannelTypeDirect && c.members[ids[0]] && c.members[ids[1]] {
				reply(w, 201, &c.Channel)
				return
			}
		}
		c := &channel{Channel: model.Channel{Id: model.NewId(), Type: model.ChannelTypeDirect, Name: ids[0] + "__" + ids[1], CreateAt: s.now()}, members: map[string]bool{ids[0]: true, ids[1]: true}}
		s.channels[c.Id] = c
		reply(w, 201, &c.Channel)
	case match("POST", "posts", "ephemeral"):
		fail(w, 403, "api.context.permissions.app_error")
	default:
		fail(w, 404, "api.context.404.app_error")
	}
}

// readable gives a channel somebody may read: one they are in, or a public one.
func (s *Server) readable(w http.ResponseWriter, who, id string) *channel {
	c := s.channels[id]
	if c == nil {
		fail(w, 404, "app.channel.get.existing.app_error")
		return nil
	}
	if !c.members[who] && c.Type != model.ChannelTypeOpen {
		fail(w, 403, "api.context.permissions.app_error")
		return nil
	}
	return c
}

func (s *Server) readablePost(w http.ResponseWriter, who, id string) *model.Post {
	p := s.posts[id]
	if p == nil || p.DeleteAt != 0 {
		fail(w, 404, "app.post.get.app_error")
		return nil
	}
	if s.readable(w, who, p.ChannelId) == nil {
		return nil
	}
	return p
}

// listPosts gives pages, newest first, or what was changed since a time. With since
// the page is not looked at; deleted posts and earlier wordings are in it; beyond
// 1000 it is undefined which ones come (source: a LIMIT without ORDER BY).
func (s *Server) listPosts(w http.ResponseWriter, r *http.Request, channelID string) {
	q := r.URL.Query()
	list := &model.PostList{Posts: map[string]*model.Post{}, Order: []string{}}
	if text := q.Get("since"); text != "" {
		since, err := strconv.ParseInt(text, 10, 64)
		if err != nil {
			fail(w, 400, "api.context.invalid_param.app_error")
			return
		}
		n := 0
		for id, p := range s.posts { // a map's order: as undefined as the server's
			if p.ChannelId != channelID || p.UpdateAt <= since {
				continue
			}
			if n++; n > 1000 {
				break
			}
			list.Posts[id] = stripped(p)
			list.Order = append(list.Order, id)
			if root := s.posts[p.RootId]; root != nil {
				list.Posts[root.Id] = stripped(root)
			}
		}
	} else {
		size, err := strconv.Atoi(q.Get("per_page"))
		if err != nil || size <= 0 {
			size = 60
		}
		size = min(size, 200) // silently
		page, _ := strconv.Atoi(q.Get("page"))
		skip := page * size
		for i := len(s.order) - 1; i >= 0 && len(list.Order) < size; i-- {
			p := s.posts[s.order[i]]
			if p.ChannelId != channelID || p.DeleteAt != 0 {
				continue
			}
			if skip--; skip >= 0 {
				continue
			}
			list.Posts[p.Id] = stripped(p)
			list.Order = append(list.Order, p.Id)
			if root := s.posts[p.RootId]; root != nil {
				list.Posts[root.Id] = stripped(root)
			}
		}
	}
	slices.SortFunc(list.Order, func(a, b string) int { return int(list.Posts[b].CreateAt - list.Posts[a].CreateAt) })
	reply(w, 200, list)
}

// thread gives the root and answers; with perPage one page of them (source).
func (s *Server) thread(w http.ResponseWriter, r *http.Request, post *model.Post) {
	q := r.URL.Query()
	root := post.Id
	if post.RootId != "" {
		root = post.RootId
	}
	size, _ := strconv.Atoi(q.Get("perPage"))
	from, _ := strconv.ParseInt(q.Get("fromCreateAt"), 10, 64)
	up := q.Get("direction") == "up"
	list := &model.PostList{Posts: map[string]*model.Post{post.Id: stripped(post)}, Order: []string{post.Id}}
	ids := slices.Clone(s.order)
	if up {
		slices.Reverse(ids)
	}
	n := 0
	for _, id := range ids {
		p := s.posts[id]
		if p.DeleteAt != 0 || p.Id != root && p.RootId != root {
			continue
		}
		if from != 0 && (up && p.CreateAt >= from || !up && p.CreateAt <= from) {
			continue
		}
		if n++; size > 0 && n > size {
			list.HasNext = model.NewPointer(true)
			break
		}
		if p.Id != post.Id {
			list.Posts[p.Id] = stripped(p)
			list.Order = append(list.Order, p.Id)
		}
	}
	reply(w, 200, list)
}
