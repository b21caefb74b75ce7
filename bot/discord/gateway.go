package discord

import (
	"context"
	"crypto/tls"
	"errors"
	"fmt"
	"log/slog"
	"math/rand/v2"
	"net"
	"net/http"
	"net/url"
	"sync"
	"time"

	"github.com/bwmarrin/discordgo"
	"github.com/gorilla/websocket"
)

// timing is how long the gateway is waited for.
type timing struct {
	ready     time.Duration // for READY or RESUMED
	silent    int           // heartbeat intervals without a frame or an answer to a heartbeat
	firstWait time.Duration // before a new session, then doubled
	longWait  time.Duration
	farewell  time.Duration // for the server's answer to a close
	resumes   int           // tries to take up a session that was broken off
	identify  int           // sessions a day before they are rationed; 1000 reset the token
}

var usualTiming = timing{
	ready: 60 * time.Second, silent: 2, firstWait: time.Second, longWait: time.Minute,
	farewell: 200 * time.Millisecond, resumes: 4, identify: 500,
}

var (
	errStalled = errors.New("the gateway did not become ready")
	errSilent  = errors.New("the gateway went silent")
	errNoAck   = errors.New("the gateway does not answer heartbeats")
	errDropped = errors.New("the gateway dropped the connection")
)

// gateway is the Gateway: it supervises discordgo sessions, one at a time.
//
// discordgo v0.29.0 reconnects by itself, for ever and after any close code, waits
// five heartbeats for an answer and then throws the session away; its Open hangs for
// ever, with the session's lock held, when the server is silent or its first frame
// is a reconnect (op 7) or a heartbeat ACK (op 11). So it is not let reconnect, is
// watched from outside, and a session that hangs is left behind with its connection
// closed.
type gateway struct {
	token   string
	base    *url.URL
	next    http.RoundTripper
	intents discordgo.Intent
	now     func() time.Time
	log     *slog.Logger
	timing  timing

	identified []time.Time // sessions of the last day
}

// Listen runs sessions until ctx ends.
func (g *gateway) Listen(ctx context.Context, hear func(any)) error {
	wait := g.timing.firstWait
	for {
		began := g.now()
		err := g.life(ctx, hear)
		if ctx.Err() != nil {
			return nil
		}
		if c := (*websocket.CloseError)(nil); errors.As(err, &c) {
			if away := turnedAway(c.Code); away != nil {
				return away
			}
		}
		if g.now().Sub(began) > g.timing.ready {
			wait = g.timing.firstWait
		}
		pauseFor := wait/2 + rand.N(wait/2+1)
		if n := g.ration(); n > 0 {
			pauseFor += n
		}
		g.log.Warn("connecting to Discord anew", "in", pauseFor, "because", err)
		if pause(ctx, pauseFor) != nil {
			return nil
		}
		wait = min(2*wait, g.timing.longWait)
	}
}

// ration notes a session and gives how long to hold back because of the others of
// the last day.
func (g *gateway) ration() time.Duration {
	now := g.now()
	keep := g.identified[:0]
	for _, t := range g.identified {
		if now.Sub(t) < 24*time.Hour {
			keep = append(keep, t)
		}
	}
	g.identified = append(keep, now)
	if len(g.identified) > g.timing.identify {
		return 5 * time.Minute
	}
	return 0
}

// life is one session: connected, resumed after breaks, and in the end left.
type life struct {
	g       *gateway
	ctx     context.Context
	session *discordgo.Session
	up      chan struct{} // READY or RESUMED came
	down    chan struct{} // discordgo has let go of its connection

	mu   sync.Mutex
	wire *wire
	over bool
}

// life runs one session until it is of no use any more. It errs always.
func (g *gateway) life(ctx context.Context, hear func(any)) error {
	s, err := newSession(g.token, newClient(g.base, g.next))
	if err != nil {
		return err
	}
	s.Identify.Intents = g.intents
	l := &life{g: g, ctx: ctx, session: s, up: make(chan struct{}, 1), down: make(chan struct{}, 1)}
	s.Dialer = &websocket.Dialer{
		HandshakeTimeout: requestTime, NetDialContext: l.dialPlain, NetDialTLSContext: l.dialTLS,
	}
	s.AddHandler(func(_ *discordgo.Session, event interface{}) { l.hear(event, hear) })
	defer l.cut()
	defer hear(&discordgo.Disconnect{})
	ready := false
	for tries := 0; ; {
		err := l.open()
		switch {
		case err == nil:
			ready, tries = true, 0
			if err := l.watch(); err != nil {
				return err
			}
			g.log.Info("the connection to Discord broke off, taking it up again", "code", l.code())
		case !ready || errors.Is(err, errStalled) || errors.Is(err, errDropped) || tries >= g.timing.resumes || ctx.Err() != nil:
			return err
		default:
			if c := (*websocket.CloseError)(nil); errors.As(err, &c) {
				return err
			}
			// The network is away: the session can still be taken up for a while.
			tries++
			if pause(ctx, g.timing.firstWait) != nil {
				return ctx.Err()
			}
		}
	}
}

// open connects or resumes and waits until the session is ready.
func (l *life) open() error {
	drain(l.up)
	drain(l.down)
	opened := make(chan error, 1)
	go func() {
		defer func() {
			if p := recover(); p != nil {
				opened <- fmt.Errorf("discordgo broke: %v", p)
			}
		}()
		opened <- l.session.Open()
	}()
	timer := time.NewTimer(l.g.timing.ready)
	defer timer.Stop()
	for {
		select {
		case <-l.up:
			if opened == nil {
				return nil
			}
			select { // READY comes while Open still runs
			case err := <-opened:
				return err
			case <-timer.C:
				return errStalled
			case <-l.ctx.Done():
				return l.ctx.Err()
			}
		case err := <-opened:
			if err != nil {
				return err
			}
			opened = nil
		case <-l.down:
			return l.dropped()
		case <-timer.C:
			return errStalled
		case <-l.ctx.Done():
			return l.ctx.Err()
		}
	}
}

// watch returns nil when the connection broke off and can be resumed.
func (l *life) watch() error {
	for {
		w := l.current()
		if w == nil {
			return errDropped
		}
		last, interval, _ := w.state()
		silence := time.Duration(l.g.timing.silent) * interval
		now := l.g.now()
		if now.Sub(last) > silence {
			return errSilent
		}
		if l.session.TryRLock() {
			ack := l.session.LastHeartbeatAck
			l.session.RUnlock()
			if time.Since(ack) > silence { // discordgo's own clock
				return errNoAck
			}
		}
		timer := time.NewTimer(max(interval/4, 10*time.Millisecond))
		select {
		case <-timer.C:
		case <-l.down:
			timer.Stop()
			if err := l.dropped(); !errors.Is(err, errDropped) {
				return err
			}
			return nil
		case <-l.ctx.Done():
			timer.Stop()
			l.farewell(w)
			return l.ctx.Err()
		}
	}
}

// farewell closes politely, so that the bot is not shown as online for a minute
// more. discordgo's Close takes a second, which nobody waits for.
func (l *life) farewell(w *wire) {
	go l.session.Close()
	timer := time.NewTimer(l.g.timing.farewell)
	defer timer.Stop()
	select {
	case <-w.fell:
	case <-timer.C:
	}
}

// dropped is why the connection ended, a *websocket.CloseError where that is final.
func (l *life) dropped() error {
	if code := l.code(); turnedAway(code) != nil {
		return &websocket.CloseError{Code: code}
	}
	return errDropped
}

func (l *life) code() int {
	if w := l.current(); w != nil {
		_, _, code := w.state()
		return code
	}
	return 0
}

// hear is discordgo's only handler. It runs in the goroutine that reads the
// connection, so that order is kept, and a panic must not end the program.
func (l *life) hear(event any, hear func(any)) {
	l.mu.Lock()
	over := l.over
	l.mu.Unlock()
	if over {
		return // of a session that was left
	}
	defer func() {
		if p := recover(); p != nil {
			l.g.log.Error("an event of Discord broke its handler", "event", fmt.Sprintf("%T", event), "cause", fmt.Sprint(p))
		}
	}()
	switch event.(type) {
	case *discordgo.Ready, *discordgo.Resumed:
		hear(event)
		signal(l.up)
		return
	case *discordgo.Disconnect:
		signal(l.down)
	}
	hear(event)
}

func (l *life) current() *wire {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.wire
}

// cut leaves the session for good: its connection is closed below it, which also
// frees an Open that waits for a silent server.
func (l *life) cut() {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.over = true
	if l.wire != nil {
		l.wire.Close()
	}
}

func (l *life) dialPlain(ctx context.Context, network, address string) (net.Conn, error) {
	host, _, err := net.SplitHostPort(address)
	if err != nil {
		return nil, err
	}
	if !loopback(host) {
		return nil, fmt.Errorf("the gateway's address %s is not encrypted, and the token would go there", address)
	}
	return l.dial(ctx, (&net.Dialer{}).DialContext, network, address)
}

func (l *life) dialTLS(ctx context.Context, network, address string) (net.Conn, error) {
	d := &tls.Dialer{Config: &tls.Config{MinVersion: tls.VersionTLS12, NextProtos: []string{"http/1.1"}}}
	return l.dial(ctx, d.DialContext, network, address)
}

func (l *life) dial(ctx context.Context, dial func(context.Context, string, string) (net.Conn, error), network, address string) (net.Conn, error) {
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	defer context.AfterFunc(l.ctx, cancel)()
	c, err := dial(ctx, network, address)
	if err != nil {
		return nil, err
	}
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.over {
		c.Close()
		return nil, net.ErrClosed
	}
	l.wire = newWire(c, l.g.now)
	return l.wire, nil
}

func signal(c chan struct{}) {
	select {
	case c <- struct{}{}:
	default:
	}
}

func drain(c chan struct{}) {
	select {
	case <-c:
	default:
	}
}
