package discord

import (
	"bytes"
	"encoding/binary"
	"net"
	"regexp"
	"strconv"
	"sync"
	"time"
)

// usualInterval is Discord's heartbeat interval, until the gateway has said its own.
const usualInterval = 41250 * time.Millisecond

// wire is the connection below a gateway's websocket. discordgo keeps its websocket
// to itself, sets no read deadline and swallows the close code; all three are had
// from below it.
type wire struct {
	net.Conn
	now func() time.Time

	mu       sync.Mutex
	scan     scanner
	last     time.Time     // when something came
	interval time.Duration // heartbeat, as the gateway's hello says
	code     int           // close code, 0 for none
	fell     chan struct{} // closed once nothing can come any more: broken off, or closed by the server
	down     bool
}

func newWire(c net.Conn, now func() time.Time) *wire {
	return &wire{Conn: c, now: now, last: now(), interval: usualInterval, fell: make(chan struct{})}
}

func (w *wire) Read(p []byte) (int, error) {
	n, err := w.Conn.Read(p)
	w.mu.Lock()
	defer w.mu.Unlock()
	if n > 0 {
		w.last = w.now()
		w.scan.feed(p[:n])
		if w.scan.interval > 0 {
			w.interval = w.scan.interval
		}
		w.code = w.scan.code
	}
	if (err != nil || w.code != 0) && !w.down {
		w.down = true
		close(w.fell)
	}
	return n, err
}

// state gives when something last came, the heartbeat interval, and the close code.
func (w *wire) state() (last time.Time, interval time.Duration, code int) {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.last, w.interval, w.code
}

// scanner follows a server's bytes: the HTTP answer, then websocket frames, which
// are not masked in this direction. It keeps the heartbeat interval of the first
// frame and the code of a close frame.
// Source: RFC 6455, section 5.2, base framing protocol.
type scanner struct {
	upgraded bool
	buffer   []byte // of the header, or of what is kept of the payload
	keep     bool   // this payload is looked at
	left     uint64 // bytes of the payload still to come
	inside   bool   // in a payload
	opcode   byte
	frames   int

	interval time.Duration
	code     int
}

const keepAtMost = 4 << 10

var intervalField = regexp.MustCompile(`"heartbeat_interval"\s*:\s*([0-9]{1,7})`)

func (s *scanner) feed(p []byte) {
	if !s.upgraded {
		s.buffer = append(s.buffer, p...)
		end := bytes.Index(s.buffer, []byte("\r\n\r\n"))
		if end < 0 {
			if len(s.buffer) > 64<<10 {
				s.buffer = nil // not HTTP; nothing is learned from it
			}
			return
		}
		p, s.buffer, s.upgraded = bytes.Clone(s.buffer[end+4:]), nil, true
	}
	for len(p) > 0 {
		if s.inside {
			n := min(uint64(len(p)), s.left)
			if room := keepAtMost - len(s.buffer); s.keep && room > 0 {
				s.buffer = append(s.buffer, p[:min(n, uint64(room))]...)
			}
			p, s.left = p[n:], s.left-n
			if s.left == 0 {
				s.endFrame()
			}
			continue
		}
		s.buffer, p = append(s.buffer, p[0]), p[1:]
		s.beginFrame()
	}
}

// beginFrame starts a payload once the header is whole.
func (s *scanner) beginFrame() {
	h := s.buffer
	if len(h) < 2 {
		return
	}
	need, size := 2, uint64(h[1]&0x7f)
	switch size {
	case 126:
		need = 4
	case 127:
		need = 10
	}
	if h[1]&0x80 != 0 {
		need += 4 // masked, which a server must not do
	}
	if len(h) < need {
		return
	}
	switch h[1] & 0x7f {
	case 126:
		size = uint64(binary.BigEndian.Uint16(h[2:4]))
	case 127:
		size = binary.BigEndian.Uint64(h[2:10])
	}
	s.opcode = h[0] & 0x0f
	s.keep = s.opcode == 8 || s.frames == 0
	s.buffer, s.left, s.inside = nil, size, true
	if size == 0 {
		s.endFrame()
	}
}

func (s *scanner) endFrame() {
	switch {
	case s.opcode == 8 && len(s.buffer) >= 2:
		s.code = int(binary.BigEndian.Uint16(s.buffer))
	case s.opcode == 1 && s.frames == 0:
		if m := intervalField.FindSubmatch(s.buffer); m != nil {
			ms, _ := strconv.Atoi(string(m[1])) // at most seven digits
			s.interval = time.Duration(ms) * time.Millisecond
		}
	}
	s.frames++
	s.buffer, s.inside, s.keep = nil, false, false
}
