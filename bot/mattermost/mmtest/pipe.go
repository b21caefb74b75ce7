package mmtest

import (
	"context"
	"net"
	"net/http"
	"sync"
)

// Listen serves in memory, with a clock of testing/synctest where one is on, and
// gives the way to connect.
func (s *Server) Listen() (dial func(ctx context.Context, network, address string) (net.Conn, error)) {
	l := &pipes{conns: make(chan net.Conn), done: make(chan struct{})}
	h := &http.Server{Handler: s}
	served := make(chan struct{})
	go func() {
		h.Serve(l)
		close(served)
	}()
	s.URL = "http://chat.test"
	s.close = func() {
		h.Close()
		<-served
	}
	return l.dial
}

// pipes is a listener whose connections are pipes.
type pipes struct {
	conns chan net.Conn
	done  chan struct{}
	once  sync.Once
}

func (l *pipes) dial(ctx context.Context, _, _ string) (net.Conn, error) {
	here, there := net.Pipe()
	select {
	case l.conns <- there:
		return here, nil
	case <-l.done:
		return nil, net.ErrClosed
	case <-ctx.Done():
		return nil, ctx.Err()
	}
}

func (l *pipes) Accept() (net.Conn, error) {
	select {
	case c := <-l.conns:
		return c, nil
	case <-l.done:
		return nil, net.ErrClosed
	}
}

func (l *pipes) Close() error {
	l.once.Do(func() { close(l.done) })
	return nil
}

func (l *pipes) Addr() net.Addr { return &net.UnixAddr{Name: "chat.test", Net: "pipe"} }
