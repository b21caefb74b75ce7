package dctest

import (
	"encoding/json"
	"net/http"
	"slices"
	"strings"
	"sync"
	"time"

	"github.com/gorilla/websocket"
)

// Script is how the gateway treats one connection, the next one that comes.
type Script struct {
	Silent  bool // accepts and says nothing
	First   int  // an op instead of READY or RESUMED: 7, 9 or 11
	Close   int  // a close code after identify or resume
	NoAck   bool // heartbeats are not answered
	Deaf    bool // nothing more comes after READY
	Invalid bool // a resume is answered by op 9, then a new session
}

const (
	intentGuilds          = 1 << 0
	intentMessages        = 1 << 9
	intentPrivateMessages = 1 << 12
	intentContent         = 1 << 15
)

// session is a gateway session, which outlives its connections.
type session struct {
	id      string
	intents int
	seq     int
	log     []frame // dispatched, for a resume
	conn    *connection
}

// frame is what goes over a gateway.
type frame struct {
	Op   int             `json:"op"`
	Data json.RawMessage `json:"d"`
	Seq  int             `json:"s,omitempty"`
	Type string          `json:"t,omitempty"`
}

type connection struct {
	ws     *websocket.Conn
	out    chan frame
	script Script
	once   sync.Once
	gone   chan struct{}
}

func (c *connection) close() {
	c.once.Do(func() { close(c.gone); c.ws.Close() })
}

func (x *session) cut() {
	if x.conn != nil {
		x.conn.close()
		x.conn = nil
	}
}

func (s *Server) gatewayURL() string { return "ws" + strings.TrimPrefix(s.URL, "http") + "/gateway" }

// Next says how the next connections are treated, one script for each.
func (s *Server) Next(scripts ...Script) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.scripts = append(s.scripts, scripts...)
}

// Drop breaks all connections off without a word.
func (s *Server) Drop() {
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, x := range s.sessions {
		x.cut()
	}
}

// DropWith closes all connections with a code.
func (s *Server) DropWith(code int) {
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, x := range s.sessions {
		if x.conn != nil {
			_ = x.conn.ws.WriteControl(websocket.CloseMessage, websocket.FormatCloseMessage(code, ""), time.Now().Add(time.Second))
			x.cut()
		}
	}
}

// Forget ends all sessions, so that none can be resumed.
func (s *Server) Forget() {
	s.mu.Lock()
	defer s.mu.Unlock()
	for id, x := range s.sessions {
		x.cut()
		delete(s.sessions, id)
	}
}

// Send sends an op to all connections: 7 or 9.
func (s *Server) Send(op int) {
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, x := range s.sessions {
		if x.conn != nil {
			x.conn.push(frame{Op: op, Data: json.RawMessage("false")})
		}
	}
}

// Repeat sends the last n events again with new numbers, as a replay may.
func (s *Server) Repeat(n int) {
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, x := range s.sessions {
		for _, f := range slices.Clone(x.log[max(0, len(x.log)-n):]) {
			x.dispatch(f.Type, f.Data)
		}
	}
}

// Connected says whether a session has a connection.
func (s *Server) Connected() bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, x := range s.sessions {
		if x.conn != nil {
			return true
		}
	}
	return false
}

// Counts gives how many connections came, and how many of them identified and resumed.
func (s *Server) Counts() (connections, identifies, resumes int) {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.connections, s.identifies, s.resumes
}

// emit tells all sessions of something in a channel; with mu held.
func (s *Server) emit(c *Channel, kind string, data any) {
	s.emitTo(c, kind, func(*session) any { return data })
}

func (s *Server) emitMessage(c *Channel, kind string, m *Message) {
	s.emitTo(c, kind, func(x *session) any { return s.seen(*m, s.content && x.intents&intentContent != 0) })
}

func (s *Server) emitTo(c *Channel, kind string, data func(*session) any) {
	for _, x := range s.sessions {
		want := intentGuilds
		if strings.HasPrefix(kind, "MESSAGE_") {
			want = intentMessages
			if c.GuildID == "" {
				want = intentPrivateMessages
			}
		}
		if x.intents&want == 0 {
			continue
		}
		b, err := json.Marshal(data(x))
		if err != nil {
			s.t.Errorf("fake Discord: %v", err)
			continue
		}
		x.dispatch(kind, b)
	}
}

// dispatch numbers an event, keeps it for a resume, and sends it.
func (x *session) dispatch(kind string, data json.RawMessage) {
	x.seq++
	f := frame{Op: 0, Data: data, Seq: x.seq, Type: kind}
	x.log = append(x.log, f)
	if x.conn != nil && (!x.conn.script.Deaf || kind == "READY") {
		x.conn.push(f)
	}
}

func (c *connection) push(f frame) {
	select {
	case c.out <- f:
	case <-c.gone:
	}
}

func (s *Server) serveGateway(w http.ResponseWriter, r *http.Request) {
	if q := r.URL.Query(); q.Get("v") != "9" || q.Get("encoding") != "json" {
		s.errorf("the gateway is asked for %s", r.URL.RawQuery)
	}
	up := websocket.Upgrader{}
	ws, err := up.Upgrade(w, r, nil)
	if err != nil {
		return
	}
	c := &connection{ws: ws, out: make(chan frame, 10_000), gone: make(chan struct{})}
	defer c.close()
	s.mu.Lock()
	s.connections++
	if len(s.scripts) > 0 {
		c.script, s.scripts = s.scripts[0], s.scripts[1:]
	}
	interval := s.interval
	closed := s.closed
	s.mu.Unlock()
	if closed {
		return
	}
	go func() {
		for {
			select {
			case f := <-c.out:
				if ws.WriteJSON(f) != nil {
					c.close()
					return
				}
			case <-c.gone:
				return
			}
		}
	}()
	if !c.script.Silent {
		b, _ := json.Marshal(map[string]any{"heartbeat_interval": interval.Milliseconds(), "_trace": []string{}})
		c.push(frame{Op: 10, Data: b})
	}
	for {
		var f frame
		if err := ws.ReadJSON(&f); err != nil {
			s.left(c)
			return
		}
		switch f.Op {
		case 1:
			if !c.script.NoAck {
				c.push(frame{Op: 11})
			}
		case 2:
			s.identify(c, f.Data)
		case 6:
			s.resume(c, f.Data)
		}
	}
}

// left takes a connection from its session.
func (s *Server) left(c *connection) {
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, x := range s.sessions {
		if x.conn == c {
			x.conn = nil
		}
	}
}

// begin plays a connection's script before READY or RESUMED; true: that is all.
func (c *connection) begin() bool {
	switch {
	case c.script.Close != 0:
		c.shut(c.script.Close)
	case c.script.First != 0:
		c.push(frame{Op: c.script.First, Data: json.RawMessage("false")})
		return c.script.First != 9
	default:
		return false
	}
	return true
}

func (c *connection) shut(code int) {
	_ = c.ws.WriteControl(websocket.CloseMessage, websocket.FormatCloseMessage(code, ""), time.Now().Add(time.Second))
	c.close()
}

func (s *Server) identify(c *connection, data json.RawMessage) {
	var d struct {
		Token   string
		Intents int
	}
	_ = json.Unmarshal(data, &d) // a bad one has no token
	s.mu.Lock()
	defer s.mu.Unlock()
	s.identifies++
	switch {
	case strings.TrimPrefix(d.Token, "Bot ") != Token:
		c.shut(4004)
		return
	case d.Intents&intentContent != 0 && !s.content:
		c.shut(4014)
		return
	}
	first := c.script.First
	if c.begin() {
		return
	}
	if first == 9 {
		c.script.First = 0 // the next identify on the same connection is taken
		return
	}
	x := &session{id: "s" + s.id(), intents: d.Intents, conn: c}
	s.sessions[x.id] = x
	for id, old := range s.sessions {
		if old != x && old.conn == nil && len(s.sessions) > 8 {
			delete(s.sessions, id)
		}
	}
	b, _ := json.Marshal(map[string]any{
		"v": 9, "user": s.Bot, "session_id": x.id, "resume_gateway_url": s.gatewayURL(),
		"guilds": []any{map[string]any{"id": s.Guild, "unavailable": true}}, "application": map[string]any{"id": s.App, "flags": 0},
	})
	x.dispatch("READY", b)
	guild := map[string]any{"id": s.Guild, "name": "shop", "owner_id": s.Ann.ID, "roles": s.roles()}
	var channels, threads []*Channel
	for _, ch := range s.channels {
		switch {
		case ch.GuildID == "":
		case ch.Thread == nil:
			channels = append(channels, ch)
		case !ch.Thread.Archived:
			threads = append(threads, ch)
		}
	}
	guild["channels"], guild["threads"] = channels, threads
	b, _ = json.Marshal(guild)
	x.dispatch("GUILD_CREATE", b)
}

func (s *Server) resume(c *connection, data json.RawMessage) {
	var d struct {
		SessionID string `json:"session_id"`
		Seq       int
	}
	_ = json.Unmarshal(data, &d) // a bad one has no session
	s.mu.Lock()
	defer s.mu.Unlock()
	s.resumes++
	x := s.sessions[d.SessionID]
	if c.script.Invalid || x == nil {
		delete(s.sessions, d.SessionID)
		c.push(frame{Op: 9, Data: json.RawMessage("false")})
		return
	}
	if c.begin() {
		return
	}
	x.conn = c
	for _, f := range x.log {
		if f.Seq > d.Seq {
			c.push(f)
		}
	}
	x.dispatch("RESUMED", json.RawMessage("{}"))
}
