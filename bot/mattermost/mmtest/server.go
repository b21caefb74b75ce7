// Package mmtest is a Mattermost server for tests that behaves as a real one was
// seen to, the unpleasant parts above all: sockets that open for a wrong token, stay
// open and silent for a revoked one, forget what they queued; posts made twice or
// answered with an error; files that go missing without a word; limits told in text.
//
// Seen on a 9.11.2 team edition; what is from the server's source alone is marked
// "source".
package mmtest

import (
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"net/http"
	"net/http/httptest"
	"strconv"
	"strings"
	"sync"
	"time"

	"github.com/mattermost/mattermost/server/public/model"
)

// Server is the server and all it keeps. Make one with New.
type Server struct {
	// URL is its address, once Start or Listen gave it one.
	URL string

	mu        sync.Mutex
	closed    bool
	last      int64 // time of the last thing that happened: every one has its own
	users     map[string]*model.User
	tokens    map[string]*token
	teams     []string
	channels  map[string]*channel
	posts     map[string]*model.Post
	order     []string // posts in the order they were made
	files     map[string]*file
	reactions map[string][]*model.Reaction // by post
	pending   map[string]*pendingPost
	sessions  map[string]*session
	commands  map[string]string // slash tokens by trigger

	limit     *rateLimit
	faults    []*Fault
	seen      []Request
	allowed   map[string]bool // hosts that buttons may call
	resent    int
	editLimit time.Duration // after which a post's wording stays, 0 for never
	noDirect  bool          // nobody may open direct channels
	loses     int           // files to leave out of posts
	config    map[string]string
	caller    *http.Client
	hook      func(r *http.Request)
	posted    func(*model.Post)
	close     func()
}

type token struct {
	user    string
	revoked bool
}

type channel struct {
	model.Channel
	members map[string]bool
}

// Request is one the server got.
type Request struct {
	Method, Path, Query string
}

// Fault makes the next requests fail.
type Fault struct {
	Method string // any when empty
	Path   string // part of it
	Times  int
	Status int    // what is answered; 0 cuts the connection
	Body   string // JSON error of the server when empty
	Header http.Header
	After  bool // the request is done first
}

// New makes a server with one team.
func New() *Server {
	return &Server{
		users: map[string]*model.User{}, tokens: map[string]*token{}, teams: []string{model.NewId()},
		channels: map[string]*channel{}, posts: map[string]*model.Post{}, files: map[string]*file{}, reactions: map[string][]*model.Reaction{},
		pending: map[string]*pendingPost{}, sessions: map[string]*session{}, commands: map[string]string{},
		allowed: map[string]bool{}, caller: &http.Client{Timeout: 30 * time.Second},
		config: map[string]string{"MaxPostSize": "16383", "MaxFileSize": strconv.Itoa(100 << 20), "Version": "9.11.2"},
	}
}

// Start serves on loopback until Close.
func (s *Server) Start() *Server {
	h := httptest.NewServer(s)
	s.URL = h.URL
	s.close = h.Close
	return s
}

// Close ends it.
func (s *Server) Close() {
	s.mu.Lock()
	s.closed = true
	s.mu.Unlock()
	s.Restart()
	if s.close != nil {
		s.close()
	}
	s.caller.CloseIdleConnections()
}

// now is the time in ms; no two calls give the same. The caller holds mu.
func (s *Server) now() int64 {
	s.last = max(s.last+1, time.Now().UnixMilli())
	return s.last
}

// AddUser makes an account and gives its id and a token.
func (s *Server) AddUser(name string, isBot bool) (id, tok string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	u := &model.User{Id: model.NewId(), Username: name, IsBot: isBot, Roles: model.SystemUserRoleId, CreateAt: s.now()}
	s.users[u.Id] = u
	tok = model.NewId()
	s.tokens[tok] = &token{user: u.Id}
	return u.Id, tok
}

// AddToken makes one more token of an account.
func (s *Server) AddToken(user string) string {
	s.mu.Lock()
	defer s.mu.Unlock()
	tok := model.NewId()
	s.tokens[tok] = &token{user: user}
	return tok
}

// AddChannel makes a channel with members.
func (s *Server) AddChannel(name string, kind model.ChannelType, members ...string) string {
	s.mu.Lock()
	defer s.mu.Unlock()
	c := &channel{Channel: model.Channel{Id: model.NewId(), Type: kind, Name: name, DisplayName: name, TeamId: s.teams[0], CreateAt: s.now()}, members: map[string]bool{}}
	if kind == model.ChannelTypeDirect || kind == model.ChannelTypeGroup {
		c.TeamId, c.Name = "", strings.Join(members, "__")
	}
	for _, m := range members {
		c.members[m] = true
	}
	s.channels[c.Id] = c
	return c.Id
}

// Join lets somebody into a channel, with the server's note and event.
func (s *Server) Join(channelID, user string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	c := s.channels[channelID]
	c.members[user] = true
	s.emit("user_added", map[string]any{"user_id": user, "team_id": c.TeamId}, broadcast{channel: channelID})
	p := &model.Post{UserId: user, ChannelId: channelID, Type: model.PostTypeAddToChannel, Message: "added to the channel"}
	p.AddProp(model.PostPropsAddedUserId, user)
	s.addPost(p)
}

// Kick puts somebody out.
func (s *Server) Kick(channelID, user string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	delete(s.channels[channelID].members, user)
	s.emit("user_removed", map[string]any{"channel_id": channelID, "remover_id": user}, broadcast{user: user})
}

// Revoke ends a token. Sockets older than 5 s stay open and silent; younger close.
func (s *Server) Revoke(tok string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.tokens[tok].revoked = true
	for _, w := range s.sessions {
		if w.token == tok && w.conn != nil {
			if time.Since(w.opened) < 5*time.Second {
				w.conn.drop()
				w.conn = nil
			} else {
				w.deaf = true
			}
		}
	}
}

// Fail makes requests fail.
func (s *Server) Fail(f Fault) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.faults = append(s.faults, &f)
}

// Mend ends all faults.
func (s *Server) Mend() {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.faults = nil
}

// EditLimit forbids new wordings of posts that are older.
func (s *Server) EditLimit(d time.Duration) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.editLimit = d
}

// LoseFiles leaves the next n files out of their posts without a word.
func (s *Server) LoseFiles(n int) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.loses = n
}

// Config sets what the clients' configuration says.
func (s *Server) Config(key, value string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.config[key] = value
}

// Allow lets buttons call a host, as AllowedUntrustedInternalConnections does.
func (s *Server) Allow(host string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.allowed[host] = true
}

// OnRequest is called with every request before it is done.
func (s *Server) OnRequest(f func(*http.Request)) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.hook = f
}

// OnPost is called with every post as it is made; it must not call back.
func (s *Server) OnPost(f func(*model.Post)) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.posted = f
}

// Requests gives those whose path contains a text.
func (s *Server) Requests(method, path string) int {
	s.mu.Lock()
	defer s.mu.Unlock()
	n := 0
	for _, r := range s.seen {
		if r.Method == method && strings.Contains(r.Path, path) {
			n++
		}
	}
	return n
}

// rateLimit is the memory store's token bucket.
type rateLimit struct {
	perSecond, burst int
	left             float64
	at               time.Time
}

// Limit answers 429 beyond so many requests a second.
func (s *Server) Limit(perSecond, burst int) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.limit = &rateLimit{perSecond: perSecond, burst: burst, left: float64(burst), at: time.Now()}
}

// over says whether a request is one too many, and sets the headers, which are
// absent when the limit is off. Reset is in seconds to wait, not a time.
func (s *Server) over(w http.ResponseWriter) bool {
	l := s.limit
	if l == nil {
		return false
	}
	now := time.Now()
	l.left = min(float64(l.burst), l.left+now.Sub(l.at).Seconds()*float64(l.perSecond))
	l.at = now
	ok := l.left >= 1
	if ok {
		l.left--
	}
	h := w.Header()
	h.Set("X-Ratelimit-Limit", strconv.Itoa(l.burst))
	h.Set("X-Ratelimit-Remaining", strconv.Itoa(int(l.left)))
	h.Set("X-Ratelimit-Reset", "1")
	if !ok {
		h.Set("Retry-After", "1")
		h.Set("Content-Type", "text/plain; charset=utf-8")
		w.WriteHeader(http.StatusTooManyRequests)
		fmt.Fprintln(w, "limit exceeded")
	}
	return !ok
}

// ServeHTTP is the API.
func (s *Server) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	s.mu.Lock()
	hook := s.hook
	s.seen = append(s.seen, Request{r.Method, r.URL.Path, r.URL.RawQuery})
	over := s.over(w)
	var fault *Fault
	for _, f := range s.faults {
		if f.Times > 0 && (f.Method == "" || f.Method == r.Method) && strings.Contains(r.URL.Path, f.Path) {
			f.Times--
			fault = f
			break
		}
	}
	s.mu.Unlock()
	if over {
		return
	}
	if hook != nil {
		hook(r)
	}
	w.Header().Set("X-Version-Id", "9.11.2.9.11.2.abc.false")
	if fault == nil {
		s.route(w, r)
		return
	}
	if fault.After {
		s.route(httptest.NewRecorder(), r)
	}
	if fault.Status == 0 {
		panic(http.ErrAbortHandler)
	}
	for k, v := range fault.Header {
		w.Header()[k] = v
	}
	if fault.Body != "" {
		w.WriteHeader(fault.Status)
		fmt.Fprint(w, fault.Body)
		return
	}
	fail(w, fault.Status, "mmtest.fault")
}

func fail(w http.ResponseWriter, status int, id string) {
	reply(w, status, map[string]any{"id": id, "message": id, "status_code": status, "request_id": model.NewId(), "detailed_error": ""})
}

func reply(w http.ResponseWriter, status int, body any) {
	data, err := json.Marshal(body)
	if err != nil {
		panic(err)
	}
	w.Header().Set("Content-Type", "application/json")
	w.WriteHeader(status)
	w.Write(data)
}

// encode writes JSON with spacing of one kind or another.
func encode(v any) []byte {
	var data []byte
	var err error
	if rand.IntN(2) == 0 {
		data, err = json.Marshal(v)
	} else {
		data, err = json.MarshalIndent(v, "", " ")
	}
	if err != nil {
		panic(err)
	}
	return data
}
