package dctest

import (
	"bytes"
	"encoding/json"
	"net/http"
	"net/http/httptest"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"
)

func (s *Server) routes() http.Handler {
	api := http.NewServeMux()
	handle := func(pattern string, h http.HandlerFunc) { api.HandleFunc(pattern, h) }
	handle("GET /api/v9/gateway", func(w http.ResponseWriter, r *http.Request) { reply(w, 200, map[string]any{"url": s.gatewayURL()}) })
	handle("GET /api/v9/gateway/bot", func(w http.ResponseWriter, r *http.Request) {
		reply(w, 200, map[string]any{"url": s.gatewayURL(), "shards": 1, "session_start_limit": map[string]int{"total": 1000, "remaining": 990}})
	})
	handle("GET /api/v9/users/@me", func(w http.ResponseWriter, r *http.Request) { reply(w, 200, s.Bot) })
	handle("GET /api/v9/users/@me/guilds", func(w http.ResponseWriter, r *http.Request) {
		reply(w, 200, []any{map[string]string{"id": s.Guild, "name": "shop"}})
	})
	handle("GET /api/v9/applications/@me", s.application)
	handle("PUT /api/v9/applications/{app}/guilds/{guild}/commands", s.setCommands)
	handle("GET /api/v9/guilds/{guild}", s.guild)
	handle("GET /api/v9/guilds/{guild}/members/{user}", s.member)
	handle("GET /api/v9/guilds/{guild}/threads/active", s.activeThreads)
	handle("GET /api/v9/channels/{channel}", s.on(func(c *Channel, w http.ResponseWriter, r *http.Request, _ []byte) { reply(w, 200, c) }))
	handle("PATCH /api/v9/channels/{channel}", s.on(s.patchChannel))
	handle("GET /api/v9/channels/{channel}/messages", s.on(s.history))
	handle("GET /api/v9/channels/{channel}/messages/{message}", s.on(s.oneMessage))
	handle("POST /api/v9/channels/{channel}/messages", s.on(s.createMessage))
	handle("PATCH /api/v9/channels/{channel}/messages/{message}", s.on(s.editMessage))
	handle("POST /api/v9/channels/{channel}/messages/{message}/threads", s.on(s.startThread))
	handle("POST /api/v9/users/@me/channels", s.openDM)
	handle("POST /api/v9/webhooks/{app}/{token}", s.followUp)
	handle("POST /api/v9/interactions/{interaction}/{token}/callback", s.callback)

	mux := http.NewServeMux()
	mux.HandleFunc("/gateway", s.serveGateway)
	mux.HandleFunc("/gateway/", s.serveGateway)
	mux.HandleFunc("/files/", s.serveFile)
	mux.HandleFunc("/moved", func(w http.ResponseWriter, r *http.Request) {
		http.Redirect(w, r, r.URL.Query().Get("to"), http.StatusFound)
	})
	mux.HandleFunc("/", func(w http.ResponseWriter, r *http.Request) { s.serveAPI(w, r, api) })
	return mux
}

// serveAPI checks a request, lets a fault have its way, and answers.
func (s *Server) serveAPI(w http.ResponseWriter, r *http.Request, api http.Handler) {
	body := readBody(r)
	r.Body = readCloser{bytes.NewReader(body)}
	s.mu.Lock()
	s.requests = append(s.requests, r.Method+" "+r.URL.Path)
	unchecked := s.unchecked
	s.mu.Unlock()
	if err := s.check(r, body, unchecked); err != nil {
		s.errorf("%s %s breaks Discord's schema: %v\n%.500s", r.Method, r.URL.Path, err, body)
		refuse(w, 400, 50035, "Invalid Form Body")
		return
	}
	if !strings.HasPrefix(r.Header.Get("User-Agent"), "DiscordBot (") && r.Header.Get("Authorization") != "" {
		s.errorf("the user agent is %q", r.Header.Get("User-Agent"))
	}
	open := strings.HasSuffix(r.URL.Path, "/gateway") || strings.Contains(r.URL.Path, "/interactions/")
	if auth := r.Header.Get("Authorization"); auth != "Bot "+Token && !open {
		refuse(w, 401, 0, "401: Unauthorized")
		return
	}
	f := s.fault(r)
	if f == nil {
		api.ServeHTTP(w, r)
		return
	}
	if f.Done {
		api.ServeHTTP(httptest.NewRecorder(), r)
	}
	if f.Hang != nil {
		select {
		case <-f.Hang:
		case <-r.Context().Done():
			return
		}
		if f.Status == 0 {
			api.ServeHTTP(w, r)
			return
		}
	}
	for k, v := range f.Header {
		w.Header().Set(k, v)
	}
	w.WriteHeader(f.Status)
	_, _ = w.Write([]byte(f.Body)) // the client may be gone
}

func (s *Server) check(r *http.Request, body []byte, unchecked bool) error {
	if unchecked {
		return nil
	}
	return validate(r, body)
}

// on finds the channel of a call; the handler runs with mu held.
func (s *Server) on(h func(*Channel, http.ResponseWriter, *http.Request, []byte)) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		body := readBody(r)
		s.mu.Lock()
		defer s.mu.Unlock()
		c := s.channels[r.PathValue("channel")]
		switch {
		case c == nil:
			refuse(w, 404, 10003, "Unknown Channel")
		case c.Forbidden != 0:
			refuse(w, 403, c.Forbidden, "Missing Access")
		default:
			h(c, w, r, body)
		}
	}
}

func (s *Server) application(w http.ResponseWriter, _ *http.Request) {
	s.mu.Lock()
	defer s.mu.Unlock()
	flags := 0
	if s.content {
		flags = 1 << 19
	}
	reply(w, 200, map[string]any{"id": s.App, "name": "shimwright", "flags": flags})
}

func (s *Server) guild(w http.ResponseWriter, _ *http.Request) {
	s.mu.Lock()
	defer s.mu.Unlock()
	reply(w, 200, map[string]any{"id": s.Guild, "name": "shop", "owner_id": s.Ann.ID, "roles": s.roles()})
}

// member is one of the three who are on the server.
func (s *Server) member(w http.ResponseWriter, r *http.Request) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if r.PathValue("guild") != s.Guild {
		refuse(w, 404, 10004, "Unknown Guild")
		return
	}
	for _, u := range []User{s.Bot, s.Ann, s.Ben} {
		if u.ID == r.PathValue("user") {
			roles := s.given[u.ID]
			if u == s.Bot {
				roles = []string{s.Role}
			}
			reply(w, 200, map[string]any{"user": u, "roles": append([]string{}, roles...)})
			return
		}
	}
	refuse(w, 404, 10007, "Unknown Member")
}

// roles are the server's; with mu held.
func (s *Server) roles() []any {
	return []any{
		map[string]any{"id": s.Guild, "name": "@everyone", "permissions": "0"},
		map[string]any{"id": s.Role, "name": s.Bot.Username, "managed": true, "permissions": strconv.FormatInt(s.permissions, 10)},
	}
}

func (s *Server) activeThreads(w http.ResponseWriter, _ *http.Request) {
	s.mu.Lock()
	defer s.mu.Unlock()
	threads := []*Channel{}
	for _, c := range s.channels {
		if c.Thread != nil && !c.Thread.Archived {
			threads = append(threads, c)
		}
	}
	reply(w, 200, map[string]any{"threads": threads, "members": []any{}})
}

func (s *Server) setCommands(w http.ResponseWriter, r *http.Request) {
	body := readBody(r)
	var list []struct {
		Name, Description string
		Options           []struct{ Name, Description string }
	}
	if err := json.Unmarshal(body, &list); err != nil {
		s.errorf("commands: %v", err)
	}
	for _, c := range list {
		if c.Name != strings.ToLower(c.Name) || c.Description == "" || utf8.RuneCountInString(c.Description) > 100 {
			s.errorf("command %q with description %q", c.Name, c.Description)
		}
		for _, o := range c.Options {
			if o.Name != strings.ToLower(o.Name) || o.Description == "" || utf8.RuneCountInString(o.Description) > 100 {
				s.errorf("option %q of %q with description %q", o.Name, c.Name, o.Description)
			}
		}
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	s.commands = body
	s.overwrites++
	reply(w, 200, []any{})
}

func (s *Server) patchChannel(c *Channel, w http.ResponseWriter, _ *http.Request, body []byte) {
	var p struct{ Archived, Locked *bool }
	if json.Unmarshal(body, &p) != nil || c.Thread == nil {
		refuse(w, 400, 50035, "Invalid Form Body")
		return
	}
	if c.Thread.Locked && s.permissions&(1<<34) == 0 { // MANAGE_THREADS
		refuse(w, 403, 50013, "Missing Permissions")
		return
	}
	if p.Archived != nil {
		c.Thread.Archived = *p.Archived
	}
	if p.Locked != nil {
		c.Thread.Locked = *p.Locked
	}
	reply(w, 200, c)
}

// history gives the messages after a mark, or the last ones, newest first.
func (s *Server) history(c *Channel, w http.ResponseWriter, r *http.Request, _ []byte) {
	q := r.URL.Query()
	limit := 50
	if n, err := strconv.Atoi(q.Get("limit")); err == nil {
		limit = n
	}
	var got []Message
	for _, m := range c.Messages {
		if number(m.ID) > number(q.Get("after")) {
			stored := s.seen(*m, s.content)
			stored.Nonce, stored.GuildID = "", ""
			got = append(got, stored)
		}
	}
	if len(got) > limit {
		if q.Get("after") != "" {
			got = got[:limit]
		} else {
			got = got[len(got)-limit:]
		}
	}
	slices.Reverse(got)
	if got == nil {
		got = []Message{}
	}
	reply(w, 200, got)
}

// seen is a message as the bot gets it: without the intent only its own, those that
// mention it and private ones have their text.
func (s *Server) seen(m Message, content bool) Message {
	mentioned := slices.ContainsFunc(m.Mentions, func(u User) bool { return u.ID == s.Bot.ID })
	if !content && !mentioned && m.GuildID != "" && m.Author.ID != s.Bot.ID {
		m.Content, m.Attachments, m.Components = "", []Attachment{}, []json.RawMessage{}
	}
	return m
}

func (s *Server) oneMessage(c *Channel, w http.ResponseWriter, r *http.Request, _ []byte) {
	for _, m := range c.Messages {
		if m.ID == r.PathValue("message") {
			reply(w, 200, s.seen(*m, s.content))
			return
		}
	}
	refuse(w, 404, 10008, "Unknown Message")
}

func (s *Server) startThread(c *Channel, w http.ResponseWriter, r *http.Request, body []byte) {
	var p struct {
		Name                string
		AutoArchiveDuration int `json:"auto_archive_duration"`
	}
	id := r.PathValue("message")
	_ = json.Unmarshal(body, &p) // the schema has been looked at
	switch {
	case c.Thread != nil || c.Type != 0:
		refuse(w, 400, 50024, "Cannot execute action on this channel type")
	case !slices.ContainsFunc(c.Messages, func(m *Message) bool { return m.ID == id }):
		refuse(w, 404, 10008, "Unknown Message")
	case s.channels[id] != nil:
		refuse(w, 400, 160004, "A thread has already been created for this message")
	case p.Name == "" || utf8.RuneCountInString(p.Name) > 100 || !slices.Contains([]int{60, 1440, 4320, 10080}, p.AutoArchiveDuration):
		refuse(w, 400, 50035, "Invalid Form Body")
	default:
		reply(w, 201, s.thread(c.ID, id, p.Name, p.AutoArchiveDuration))
	}
}

func (s *Server) serveFile(w http.ResponseWriter, r *http.Request) {
	s.mu.Lock()
	data, ok := s.files[strings.TrimPrefix(r.URL.Path, "/files/")]
	s.mu.Unlock()
	if r.Header.Get("Authorization") != "" {
		s.errorf("the token goes out with a file")
	}
	if !ok {
		w.WriteHeader(404)
		return
	}
	_, _ = w.Write(data) // the client may be gone
}
