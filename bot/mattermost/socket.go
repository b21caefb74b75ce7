package mattermost

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"net/url"
	"strconv"
	"time"

	"github.com/gorilla/websocket"
	"github.com/mattermost/mattermost/server/public/model"

	"shimwright/bot"
)

const (
	helloTime = 5 * time.Second  // within which a connection is one
	pingEvery = 30 * time.Second // application level
	pongTime  = 10 * time.Second
	writeTime = 10 * time.Second
	maxFrame  = 16 << 20 // bytes of one event; a post with its props has 1 MB at most
)

// session is what a connection can be taken up again by.
type session struct {
	id   string // empty: a new one is made
	last int64  // sequence of the last event that was seen
}

// frame is an event or a reply, whichever has its keys set.
type frame struct {
	Event     string                     `json:"event"`
	Data      map[string]json.RawMessage `json:"data"`
	Broadcast struct {
		UserID    string `json:"user_id"`
		ChannelID string `json:"channel_id"`
	} `json:"broadcast"`
	Seq int64 `json:"seq"`

	Status   string          `json:"status"`
	SeqReply int64           `json:"seq_reply"`
	Error    *model.AppError `json:"error"`
}

// text reads a string of an event's data, empty where there is none.
func (f *frame) text(key string) string {
	var s string
	if json.Unmarshal(f.Data[key], &s) != nil {
		return ""
	}
	return s
}

var (
	errDeaf   = errors.New("the connection stays open but the server does not answer on it")
	errNotOK  = errors.New("the server does not take this connection for the account's any more")
	errNoHelo = errors.New("the server opened a connection and said nothing on it")
)

// dial opens the websocket, and takes up the session if there is one.
func (a *Adapter) dial(ctx context.Context, s *session) (*websocket.Conn, error) {
	u := *a.base
	u.Scheme = map[string]string{"http": "ws", "https": "wss"}[u.Scheme]
	u.Path += model.APIURLSuffix + "/websocket"
	if s.id != "" {
		u.RawQuery = url.Values{"connection_id": {s.id}, "sequence_number": {strconv.FormatInt(s.last+1, 10)}}.Encode()
	} else {
		s.last = -1
	}
	header := http.Header{"Authorization": {"Bearer " + a.token}}
	conn, resp, err := a.dialer.DialContext(ctx, u.String(), header)
	if resp != nil && resp.StatusCode == http.StatusTooManyRequests {
		return nil, &bot.LaterError{After: retryAfter(resp.Header), Err: err}
	}
	if err != nil {
		return nil, fmt.Errorf("opening the event connection: %w", err)
	}
	conn.SetReadLimit(maxFrame)
	return conn, nil
}

// listen opens a connection and hands its events to the inbox until it ends. It
// says whether it ever was connected.
func (a *Adapter) listen(ctx context.Context, s *session, box *inbox) (connected bool, err error) {
	resumes := s.id != ""
	conn, err := a.dial(ctx, s)
	if err != nil {
		return false, err
	}
	frames := make(chan frame)
	done := make(chan struct{})
	failed := make(chan error, 1)
	go func() { failed <- a.read(conn, frames, done) }()
	defer func() {
		close(done)
		conn.Close()
		a.sent.offline()
		if !connected {
			s.id = "" // or an id the server dislikes would be tried for ever
		}
	}()

	ping := pinger{conn: conn}
	// The first ping tells that a resumed connection is one: there is no hello then.
	if err := ping.send(); err != nil {
		return false, err
	}
	hello := time.NewTimer(helloTime)
	defer hello.Stop()
	every := time.NewTicker(pingEvery)
	defer every.Stop()
	pong := time.NewTimer(pongTime)
	defer pong.Stop()
	for {
		select {
		case <-ctx.Done():
			return connected, nil
		case err := <-failed:
			return connected, err
		case <-hello.C:
			if !connected {
				return false, errNoHelo
			}
		case <-every.C:
			if err := ping.send(); err != nil {
				return connected, err
			}
			pong.Reset(pongTime)
		case <-pong.C:
			if ping.open {
				return connected, errDeaf
			}
		case <-box.tokenDoubted:
			return connected, errNotOK
		case f := <-frames:
			switch {
			case f.SeqReply != 0:
				if f.SeqReply != ping.seq {
					continue
				}
				if f.Status != "OK" {
					s.id = ""
					return connected, errNotOK
				}
				ping.open = false
				if resumes && !connected {
					connected = true
					a.sent.online()
					a.log.Info("connected again", "platform", Name, "missed", "nothing lost")
				}
			case f.Event != "":
				if f.Event == "hello" && !connected {
					connected = true
				}
				a.event(s, &f, box)
			}
		}
	}
}

// pinger asks whether the account is still listened to.
type pinger struct {
	conn *websocket.Conn
	seq  int64
	open bool // no reply yet
}

func (p *pinger) send() error {
	p.seq++
	p.open = true
	p.conn.SetWriteDeadline(time.Now().Add(writeTime))
	return p.conn.WriteJSON(map[string]any{"seq": p.seq, "action": "ping"})
}

// read hands frames on until the connection breaks.
func (a *Adapter) read(conn *websocket.Conn, to chan<- frame, done <-chan struct{}) error {
	for {
		kind, data, err := conn.ReadMessage()
		if err != nil {
			return fmt.Errorf("the event connection broke: %w", err)
		}
		var f frame
		if kind != websocket.TextMessage || json.Unmarshal(data, &f) != nil {
			a.log.Warn("an event that cannot be read is left out", "platform", Name, "bytes", len(data))
			continue
		}
		select {
		case to <- f:
		case <-done:
			return nil
		}
	}
}

// event follows the count of events and sorts them.
func (a *Adapter) event(s *session, f *frame, box *inbox) {
	if f.Event == "hello" {
		s.last = f.Seq
		a.sent.online()
		if id := f.text("connection_id"); id != s.id {
			s.id = id
			a.log.Info("connected", "platform", Name, "server", f.text("server_version"))
			box.newSession()
		}
		return
	}
	switch {
	case f.Seq <= s.last:
		return // the server repeats itself
	case f.Seq > s.last+1:
		a.log.Warn("events are missing; reading the channels", "platform", Name, "from", s.last+1, "to", f.Seq-1)
		box.newSession()
	}
	s.last = f.Seq
	switch f.Event {
	case "posted", "post_edited":
		box.heard(f)
	case "reaction_added":
		box.reacted(f)
	case "user_added":
		box.membership(f, true)
	case "user_removed":
		box.membership(f, false)
	}
}
