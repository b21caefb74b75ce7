// Package dctest is a Discord for tests: one server with its channels, threads and
// people, the REST calls the adapter makes, a gateway, and the ways both go wrong.
//
// Every request is held to Discord's own OpenAPI description where that file is at
// hand, and to the limits the file does not have. What it cannot show: real rate
// limits, the look of a client, portal switches, and how long links live.
package dctest

import (
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"
)

// Token is the bot's token here.
const Token = "dG9rZW4.for-a-test.only"

// User is an account.
type User struct {
	ID       string `json:"id"`
	Username string `json:"username"`
	Bot      bool   `json:"bot,omitempty"`
}

// Channel is a channel, a private talk or a thread.
type Channel struct {
	ID            string  `json:"id"`
	Type          int     `json:"type"` // 0 text, 1 private, 11 thread
	GuildID       string  `json:"guild_id,omitempty"`
	Name          string  `json:"name,omitempty"`
	ParentID      string  `json:"parent_id,omitempty"`
	LastMessageID string  `json:"last_message_id,omitempty"`
	Thread        *Thread `json:"thread_metadata,omitempty"`
	Overwrites    []any   `json:"permission_overwrites,omitempty"`

	Messages  []*Message `json:"-"`
	Forbidden int        `json:"-"` // the code that every call on it answers, 0 for none
}

// Thread is what a thread has besides.
type Thread struct {
	Archived bool `json:"archived"`
	Locked   bool `json:"locked"`
	Archive  int  `json:"auto_archive_duration"`
}

// Message is a message as Discord stores it.
type Message struct {
	ID          string            `json:"id"`
	ChannelID   string            `json:"channel_id"`
	GuildID     string            `json:"guild_id,omitempty"`
	Type        int               `json:"type"`
	Content     string            `json:"content"`
	Author      User              `json:"author"`
	WebhookID   string            `json:"webhook_id,omitempty"`
	Timestamp   time.Time         `json:"timestamp"`
	Edited      *time.Time        `json:"edited_timestamp"`
	Mentions    []User            `json:"mentions"`
	Attachments []Attachment      `json:"attachments"`
	Components  []json.RawMessage `json:"components"`
	Nonce       string            `json:"nonce,omitempty"` // in events and answers only
	Metadata    any               `json:"interaction_metadata,omitempty"`
	Flags       int               `json:"flags"`

	Pinged []string `json:"-"` // who was notified
}

// Attachment is a file of a message.
type Attachment struct {
	ID          string `json:"id"`
	Filename    string `json:"filename"`
	Description string `json:"description,omitempty"`
	ContentType string `json:"content_type,omitempty"`
	Size        int    `json:"size"`
	URL         string `json:"url"`

	Data []byte `json:"-"`
}

// Server is the test's Discord.
type Server struct {
	URL     string // what Config.API takes
	Guild   string
	Channel string // the first channel
	Bot     User
	App     string
	Role    string // the one that Discord has made for the bot
	Ann     User
	Ben     User

	t    testing.TB
	http *httptest.Server

	mu           sync.Mutex
	now          func() time.Time
	last         uint64 // the last id given out
	content      bool   // Message Content Intent is switched on
	interval     time.Duration
	channels     map[string]*Channel
	nonces       map[string]nonceSeen
	files        map[string][]byte
	permissions  int64
	given        map[string][]string // roles, by account
	commands     []byte
	overwrites   int // of the commands
	faults       []*Fault
	requests     []string // method and path, in order
	interactions map[string]*Interaction
	whispers     []string
	dms          map[string]string // by the other's id
	gone         map[string]bool   // people who are gone
	sessions     map[string]*session
	scripts      []Script
	connections  int
	identifies   int
	resumes      int
	closed       bool
	unchecked    bool
}

type nonceSeen struct {
	message *Message
	at      time.Time
}

// New starts a Discord with one server, one channel and two people.
func New(t testing.TB) *Server {
	s := &Server{
		t: t, now: time.Now, content: true, interval: 40 * time.Second, permissions: 1<<53 - 1,
		channels: map[string]*Channel{}, nonces: map[string]nonceSeen{}, files: map[string][]byte{},
		given: map[string][]string{}, interactions: map[string]*Interaction{}, dms: map[string]string{}, gone: map[string]bool{}, sessions: map[string]*session{},
	}
	s.Guild, s.App, s.Role = s.id(), s.id(), s.id()
	s.Bot = User{ID: s.App, Username: "shimwright", Bot: true}
	s.Ann, s.Ben = User{ID: s.id(), Username: "ann"}, User{ID: s.id(), Username: "ben"}
	s.Channel = s.AddChannel("axles")
	s.http = httptest.NewServer(s.routes())
	s.URL = s.http.URL
	t.Cleanup(s.Close)
	if router, err := schema(); err != nil {
		t.Errorf("Discord's OpenAPI file: %v", err)
	} else if router == nil {
		t.Log("Discord's OpenAPI file is not beside the project: requests are only checked by hand")
	}
	return s
}

// Close ends it.
func (s *Server) Close() {
	s.mu.Lock()
	s.closed = true
	for _, x := range s.sessions {
		x.cut()
	}
	s.mu.Unlock()
	s.http.CloseClientConnections()
	s.http.Close()
}

// SetNow gives it another clock.
func (s *Server) SetNow(now func() time.Time) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.now = now
}

// Unchecked leaves the schema out, which takes far longer than a request: for
// benchmarks only.
func (s *Server) Unchecked() {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.unchecked = true
}

// SetContent switches the Message Content Intent.
func (s *Server) SetContent(on bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.content = on
}

// SetHeartbeat sets the interval new connections are told.
func (s *Server) SetHeartbeat(d time.Duration) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.interval = d
}

// SetPermissions sets what the bot's role may do.
func (s *Server) SetPermissions(bits int64) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.permissions = bits
}

// SetRoles gives a person roles.
func (s *Server) SetRoles(who User, roles ...string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.given[who.ID] = roles
}

// id makes a snowflake; with mu held, or before anybody else is there.
func (s *Server) id() string {
	n := uint64(s.now().UnixMilli()-1420070400000) << 22
	s.last = max(n, s.last+1)
	return strconv.FormatUint(s.last, 10)
}

func number(id string) uint64 {
	n, _ := strconv.ParseUint(id, 10, 64) // 0 for none
	return n
}

// Messages gives a channel's messages, oldest first.
func (s *Server) Messages(channel string) []Message {
	s.mu.Lock()
	defer s.mu.Unlock()
	c := s.channels[channel]
	if c == nil {
		return nil
	}
	out := make([]Message, len(c.Messages))
	for i, m := range c.Messages {
		out[i] = *m
	}
	return out
}

// Posts gives the bot's own messages of a channel but for the echoes of commands.
func (s *Server) Posts(channel string) []Message {
	return slices.DeleteFunc(s.Messages(channel), func(m Message) bool { return m.Author.ID != s.Bot.ID || m.Metadata != nil })
}

// ThreadOf gives a thread.
func (s *Server) ThreadOf(id string) Channel {
	s.mu.Lock()
	defer s.mu.Unlock()
	if c := s.channels[id]; c != nil {
		return *c
	}
	return Channel{}
}

// Commands gives the registered commands and how often they were written.
func (s *Server) Commands() (definition string, overwrites int) {
	s.mu.Lock()
	defer s.mu.Unlock()
	return string(s.commands), s.overwrites
}

// Requests gives the requests so far whose method and path begin so.
func (s *Server) Requests(prefix string) []string {
	s.mu.Lock()
	defer s.mu.Unlock()
	var out []string
	for _, r := range s.requests {
		if strings.HasPrefix(r, prefix) {
			out = append(out, r)
		}
	}
	return out
}

// Fault is what happens to a request instead of, or besides, what it asks for.
type Fault struct {
	Method, Path string // what it applies to: the path contains this
	Times        int    // how often, 1 when 0

	Done   bool // the request is carried out all the same
	Status int
	Header map[string]string
	Body   string
	Hang   chan struct{} // the answer waits until this is closed
}

// Fail adds a fault.
func (s *Server) Fail(f Fault) {
	s.mu.Lock()
	defer s.mu.Unlock()
	f.Times = max(1, f.Times)
	s.faults = append(s.faults, &f)
}

func (s *Server) fault(r *http.Request) *Fault {
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, f := range s.faults {
		if f.Times > 0 && f.Method == r.Method && strings.Contains(r.URL.Path, f.Path) {
			f.Times--
			return f
		}
	}
	return nil
}

// errorf reports what Discord would not take.
func (s *Server) errorf(format string, args ...any) {
	s.mu.Lock()
	closed := s.closed
	s.mu.Unlock()
	if !closed {
		s.t.Errorf("fake Discord: "+format, args...)
	}
}

func reply(w http.ResponseWriter, status int, v any) {
	w.Header().Set("Content-Type", "application/json")
	w.WriteHeader(status)
	if v != nil {
		_ = json.NewEncoder(w).Encode(v) // the client may be gone
	}
}

func refuse(w http.ResponseWriter, status, code int, text string) {
	reply(w, status, map[string]any{"code": code, "message": text})
}

func readBody(r *http.Request) []byte {
	b, err := io.ReadAll(io.LimitReader(r.Body, 64<<20))
	if err != nil {
		return nil
	}
	return b
}

func (s *Server) String() string { return fmt.Sprintf("fake Discord at %s", s.URL) }
