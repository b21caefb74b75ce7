package discord

import (
	"encoding/binary"
	"fmt"
	"net"
	"testing"
	"time"

	"pgregory.net/rapid"
)

// serverFrame writes an unmasked frame.
// Source: RFC 6455, section 5.2.
func serverFrame(opcode byte, payload []byte) []byte {
	h := []byte{0x80 | opcode}
	switch n := len(payload); {
	case n < 126:
		h = append(h, byte(n))
	case n < 1<<16:
		h = binary.BigEndian.AppendUint16(append(h, 126), uint16(n))
	default:
		h = binary.BigEndian.AppendUint64(append(h, 127), uint64(n))
	}
	return append(h, payload...)
}

// TestScanner: however the bytes are cut, the heartbeat interval of the first frame
// and the code of the close frame are found, and nothing inside of payloads is taken
// for either.
func TestScanner(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		interval := rapid.IntRange(1, 9_999_999).Draw(t, "interval")
		code := rapid.IntRange(1000, 4999).Draw(t, "code")
		stream := []byte("HTTP/1.1 101 Switching Protocols\r\nUpgrade: websocket\r\n\r\n")
		stream = append(stream, serverFrame(1, fmt.Appendf(nil, `{"t":null,"s":null,"op":10,"d":{"heartbeat_interval": %d,"_trace":["x"]}}`, interval))...)
		for range rapid.IntRange(0, 5).Draw(t, "frames") {
			payload := rapid.SliceOfN(rapid.Byte(), 0, 300).Draw(t, "payload")
			if rapid.Bool().Draw(t, "trap") {
				payload = append(serverFrame(8, binary.BigEndian.AppendUint16(nil, 4004)), `{"heartbeat_interval":1}`...)
			}
			if rapid.IntRange(0, 40).Draw(t, "long") == 0 {
				payload = make([]byte, 66_000)
			}
			stream = append(stream, serverFrame(rapid.SampledFrom([]byte{1, 2, 9, 10}).Draw(t, "opcode"), payload)...)
		}
		end := len(stream)
		stream = append(stream, serverFrame(8, append(binary.BigEndian.AppendUint16(nil, uint16(code)), "why"...))...)
		var s scanner
		for at := 0; at < len(stream); {
			if at >= end && at < end+1 && s.code != 0 {
				t.Fatalf("code %d before the close frame", s.code)
			}
			n := min(rapid.SampledFrom([]int{1, 2, 3, 7, 64, 5000}).Draw(t, "cut"), len(stream)-at)
			s.feed(stream[at : at+n])
			at += n
		}
		if s.code != code || s.interval != time.Duration(interval)*time.Millisecond {
			t.Fatalf("code %d, interval %v; want %d, %d ms", s.code, s.interval, code, interval)
		}
	})
}

// TestScannerAnything: no bytes break it.
func TestScannerAnything(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		s := scanner{upgraded: rapid.Bool().Draw(t, "upgraded")}
		for _, p := range rapid.SliceOf(rapid.SliceOf(rapid.Byte())).Draw(t, "reads") {
			s.feed(p)
		}
		if len(s.buffer) > 64<<10+4<<10 {
			t.Fatalf("%d bytes are kept", len(s.buffer))
		}
	})
}

func TestWireFalls(t *testing.T) {
	t.Parallel()
	here, there := net.Pipe()
	w := newWire(here, time.Now)
	there.Close()
	if _, err := w.Read(make([]byte, 1)); err == nil {
		t.Fatal("a closed connection reads")
	}
	if _, err := w.Read(make([]byte, 1)); err == nil {
		t.Fatal("a closed connection reads")
	}
	<-w.fell
}
