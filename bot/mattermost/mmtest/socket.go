package mmtest

import (
	"net/http"
	"strconv"
	"strings"
	"sync"
	"time"

	"github.com/gorilla/websocket"
	"github.com/mattermost/mattermost/server/public/model"
)

const (
	queueLength = 256 // events kept for a connection that is away
	maxClient   = 8 << 10
)

// session is a connection that can be taken up again for about five minutes.
type session struct {
	id     string
	user   string
	token  string
	next   int64    // sequence of the next event
	events [][]byte // the latest, the last with sequence next-1
	away   int      // events since the socket was lost
	gone   time.Time
	opened time.Time
	deaf   bool
	conn   *wire
}

// wire is one socket. Frames are written by one goroutine, so that nobody waits for
// a client who does not read.
type wire struct {
	ws   *websocket.Conn
	out  chan []byte
	once sync.Once
	end  chan struct{}
	mute bool // nothing is sent on it any more
}

// drop ends it without a close frame: the client sees 1006.
func (c *wire) drop() {
	c.once.Do(func() {
		close(c.end)
		c.ws.NetConn().Close()
	})
}

// send queues a frame; the caller holds the server's mu.
func (c *wire) send(data []byte) {
	if c.mute {
		return
	}
	select {
	case c.out <- data:
	default:
		c.drop()
	}
}

func (c *wire) write() {
	ping := time.NewTicker(60 * time.Second)
	defer ping.Stop()
	for {
		select {
		case <-c.end:
			return
		case data := <-c.out:
			c.ws.SetWriteDeadline(time.Now().Add(10 * time.Second))
			if c.ws.WriteMessage(websocket.TextMessage, data) != nil {
				c.drop()
				return
			}
		case <-ping.C:
			if c.ws.WriteControl(websocket.PingMessage, nil, time.Now().Add(10*time.Second)) != nil {
				c.drop()
				return
			}
		}
	}
}

func (s *Server) socket(w http.ResponseWriter, r *http.Request) {
	up := websocket.Upgrader{CheckOrigin: func(r *http.Request) bool {
		origin := r.Header.Get("Origin")
		return origin == "" || origin == "http://"+r.Host
	}}
	ws, err := up.Upgrade(w, r, nil)
	if err != nil {
		return
	}
	ws.SetReadLimit(maxClient) // more closes with 1009
	c := &wire{ws: ws, out: make(chan []byte, 4096), end: make(chan struct{})}
	// 100 s without a pong: dropped (source).
	ws.SetReadDeadline(time.Now().Add(100 * time.Second))
	ws.SetPongHandler(func(string) error { return ws.SetReadDeadline(time.Now().Add(100 * time.Second)) })
	go c.write()
	defer c.drop()

	s.mu.Lock()
	if s.closed {
		s.mu.Unlock()
		return
	}
	user, ok := s.account(r)
	id := r.URL.Query().Get("connection_id")
	var now *session
	switch {
	case id != "" && !model.IsValidId(id), id != "" && s.sessions[id] != nil && r.URL.Query().Get("sequence_number") == "":
		s.mu.Unlock()
		return // 1006 at once
	case ok:
		now = s.attach(c, user, bearer(r), id, r.URL.Query().Get("sequence_number"))
	}
	s.mu.Unlock()

	if now == nil {
		// A bad token in the header: open, silent, and gone after 5 s, unless a
		// challenge comes.
		timer := time.AfterFunc(5*time.Second, c.drop)
		now = s.challenge(c)
		timer.Stop()
		if now == nil {
			return
		}
	}
	s.requests(c, now)
	s.mu.Lock()
	defer s.mu.Unlock()
	if now.conn == c {
		now.conn, now.away, now.gone = nil, 0, time.Now()
	}
}

func bearer(r *http.Request) string {
	scheme, tok, _ := strings.Cut(r.Header.Get("Authorization"), " ")
	if !strings.EqualFold(scheme, "Bearer") { // the official client writes BEARER
		return ""
	}
	return tok
}

// attach takes a session up again, or makes a new one and says hello. The session is
// lost without a word when its old socket is open, too much was queued, it was away
// for five minutes (source), or the sequence is none it knows.
func (s *Server) attach(c *wire, user, tok, id, sequence string) *session {
	if old := s.sessions[id]; old != nil && old.user == user && old.conn == nil {
		seq, err := strconv.ParseInt(sequence, 10, 64)
		first := old.next - int64(len(old.events))
		if err == nil && seq >= first && seq <= old.next && old.away <= queueLength && time.Since(old.gone) < 5*time.Minute {
			old.conn, old.opened, old.token = c, time.Now(), tok
			for _, data := range old.events[seq-first:] {
				c.send(data)
				s.resent++
			}
			return old
		}
		delete(s.sessions, id)
	}
	n := &session{id: model.NewId(), user: user, token: tok, conn: c, opened: time.Now()}
	s.sessions[n.id] = n
	n.emit("hello", map[string]any{"connection_id": n.id, "server_version": "9.11.2.9.11.2.abc.false"}, broadcast{user: user})
	return n
}

// challenge waits for the client to say who it is: always a new session.
func (s *Server) challenge(c *wire) *session {
	for {
		var req request
		if c.ws.ReadJSON(&req) != nil {
			return nil
		}
		if req.Action != "authentication_challenge" {
			continue
		}
		tok, _ := req.Data["token"].(string)
		s.mu.Lock()
		t := s.tokens[tok]
		if t == nil || t.revoked {
			s.mu.Unlock()
			return nil // 1006 at once
		}
		now := s.attach(c, t.user, tok, "", "") // the hello goes first
		c.send(encode(map[string]any{"status": "OK", "seq_reply": req.Seq}))
		s.mu.Unlock()
		return now
	}
}

type request struct {
	Seq    int64          `json:"seq"`
	Action string         `json:"action"`
	Data   map[string]any `json:"data"`
}

// requests answers what the client asks.
func (s *Server) requests(c *wire, now *session) {
	for {
		var req request
		if c.ws.ReadJSON(&req) != nil {
			return
		}
		s.mu.Lock()
		t := s.tokens[now.token]
		switch {
		case req.Seq < 1:
			c.send(failure(req.Seq, 400, "api.web_socket_router.bad_seq.app_error"))
		case t == nil || t.revoked:
			c.send(failure(req.Seq, 401, "api.web_socket_router.not_authenticated.app_error"))
		case req.Action == "ping":
			c.send(encode(map[string]any{"status": "OK", "data": map[string]any{"text": "pong", "version": "9.11.2"}, "seq_reply": req.Seq}))
		default:
			c.send(failure(req.Seq, 500, "api.web_socket_router.bad_action.app_error"))
		}
		s.mu.Unlock()
	}
}

func failure(seq int64, status int, id string) []byte {
	return encode(map[string]any{"status": "FAIL", "seq_reply": seq, "error": map[string]any{"id": id, "message": id, "status_code": status}})
}

type broadcast struct{ user, channel string }

// emit sends an event to whom it concerns; each connection counts its own.
func (s *Server) emit(event string, data map[string]any, to broadcast) {
	for _, n := range s.sessions {
		if to.user != "" && to.user != n.user || to.channel != "" && !s.channels[to.channel].members[n.user] {
			continue
		}
		n.emit(event, data, to)
	}
}

func (n *session) emit(event string, data map[string]any, to broadcast) {
	frame := encode(map[string]any{
		"event": event, "data": data, "seq": n.next,
		"broadcast": map[string]any{"omit_users": nil, "user_id": to.user, "channel_id": to.channel, "team_id": ""},
	})
	n.next++
	n.events = append(n.events, frame)
	if len(n.events) > queueLength {
		n.events = n.events[1:]
	}
	switch {
	case n.conn == nil:
		n.away++
	case !n.deaf:
		n.conn.send(frame)
	}
}

// Drop cuts all sockets without a close frame and keeps the sessions.
func (s *Server) Drop() {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.drop()
}

func (s *Server) drop() {
	for _, n := range s.sessions {
		if n.conn != nil {
			n.conn.drop()
			n.conn, n.away, n.gone = nil, 0, time.Now()
		}
	}
}

// Restart is what SIGTERM and a new start of the server do: sockets end with 1006,
// sessions of the websocket and pending ids are forgotten; tokens and posts are not.
func (s *Server) Restart() {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.drop()
	clear(s.sessions)
	clear(s.pending)
}

// Half has the server believe that all sockets are open although they are cut, as a
// lost network does: what is resumed then is lost.
func (s *Server) Half() {
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, n := range s.sessions {
		if n.conn != nil {
			n.conn.drop()
			n.conn = &wire{ws: n.conn.ws, out: make(chan []byte, 4096), end: n.conn.end}
			n.conn.once.Do(func() {})
		}
	}
}

// Silence keeps sockets open and sends nothing on them any more, answers included.
func (s *Server) Silence() {
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, n := range s.sessions {
		if n.conn != nil {
			n.conn.mute = true
		}
	}
}

// Skip loses the next event of every connection on its way: the count goes on.
func (s *Server) Skip() {
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, n := range s.sessions {
		n.next++
		n.events = append(n.events, []byte(`{"event":"lost","data":{},"seq":`+strconv.FormatInt(n.next-1, 10)+`}`))
	}
}

// Replay sends the last n events again, as a resume with LAST instead of LAST+1 has.
func (s *Server) Replay(count int) {
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, n := range s.sessions {
		if n.conn != nil {
			for _, data := range n.events[max(0, len(n.events)-count):] {
				n.conn.send(data)
			}
		}
	}
}

// Emit sends an event of any kind to all, data as it is.
func (s *Server) Emit(event string, data map[string]any) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.emit(event, data, broadcast{})
}

// Resent says how many events were sent to connections taken up again.
func (s *Server) Resent() int {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.resent
}

// Connected says how many sockets are open.
func (s *Server) Connected() int {
	s.mu.Lock()
	defer s.mu.Unlock()
	n := 0
	for _, w := range s.sessions {
		if w.conn != nil {
			n++
		}
	}
	return n
}

// Sessions says how many were ever made and are still known.
func (s *Server) Sessions() int {
	s.mu.Lock()
	defer s.mu.Unlock()
	return len(s.sessions)
}
