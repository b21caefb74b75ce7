package main

import (
	"bufio"
	"encoding/binary"
	"fmt"
	"io"
	"net"
	"sync"
)

// What travels between the platform and the bot, see frame.op.
const (
	opSay    = 's' // platform to bot: a message, n its number
	opTaken  = 't' // bot to platform: message n is taken for good
	opPost   = 'p' // bot to platform: show a post
	opThread = 'h' // bot to platform: open a thread below a message
	opEdit   = 'e' // bot to platform: put another wording in a post's place
	opAnswer = 'a' // platform to bot: request n is done, id names the result
	opMemory = 'm' // platform to bot, and back with the figures: collect garbage and count what is left
	opFuture = 'f' // platform to bot, and back when done: lay up reminders for later, n of them
	opTrace  = 'c' // platform to bot, and back when done: begin a processor profile into the file text, or end it
)

// maxText bounds what one field of a frame may hold.
const maxText = 1 << 20

// frame is one message of the wire. Which fields count depends on op.
type frame struct {
	op                       byte
	n                        uint64
	place, thread, who, text string
	id                       string // of a message, a post's nonce, or what an answer brings
}

func (f frame) fields() []string { return []string{f.place, f.thread, f.who, f.text, f.id} }

// wire is one connection. Frames of several senders leave together: the writer
// flushes when nothing more waits.
type wire struct {
	conn net.Conn
	in   *bufio.Reader
	out  chan frame
	gone chan struct{} // closed once nothing can be written any more
	once sync.Once
}

func newWire(c net.Conn) *wire {
	w := &wire{conn: c, in: bufio.NewReaderSize(c, 64<<10), out: make(chan frame, 1024), gone: make(chan struct{})}
	go w.write()
	return w
}

func (w *wire) close() {
	w.once.Do(func() { close(w.gone) })
	w.conn.Close()
}

// send hands a frame to the writer.
func (w *wire) send(f frame) error {
	select {
	case w.out <- f:
		return nil
	case <-w.gone:
		return net.ErrClosed
	}
}

func (w *wire) write() {
	defer w.close()
	b := bufio.NewWriterSize(w.conn, 64<<10)
	var buf []byte
	for {
		select {
		case f := <-w.out:
			buf = binary.AppendUvarint(append(buf[:0], f.op), f.n)
			for _, s := range f.fields() {
				buf = append(binary.AppendUvarint(buf, uint64(len(s))), s...)
			}
			if _, err := b.Write(buf); err != nil {
				return
			}
			if len(w.out) == 0 && b.Flush() != nil {
				return
			}
		case <-w.gone:
			return
		}
	}
}

// receive gives the next frame.
func (w *wire) receive() (f frame, err error) {
	if f.op, err = w.in.ReadByte(); err != nil {
		return f, err
	}
	if f.n, err = binary.ReadUvarint(w.in); err != nil {
		return f, err
	}
	for _, s := range []*string{&f.place, &f.thread, &f.who, &f.text, &f.id} {
		size, err := binary.ReadUvarint(w.in)
		if err != nil {
			return f, err
		}
		if size > maxText {
			return f, fmt.Errorf("a field of %d bytes on the wire", size)
		}
		data := make([]byte, size)
		if _, err := io.ReadFull(w.in, data); err != nil {
			return f, err
		}
		*s = string(data)
	}
	return f, nil
}
