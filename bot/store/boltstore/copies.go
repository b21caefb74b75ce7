package boltstore

import (
	"bytes"
	"context"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"net"
	"os"
	"syscall"
	"time"

	"go.etcd.io/bbolt"

	"shimwright/bot/store"
)

// A file is one process's, so whoever wants a copy while it is open asks that process,
// on a socket beside the file: it answers with copyMark, the size in eight bytes, and
// the file as it is at that moment.
const (
	copyMark    = "shimcpy1"
	copyPause   = 30 * time.Second // how long either side waits for the other
	copyPath    = ".copies"        // after the file's name
	longestPath = 100              // bytes; Unix sockets take 104 to 108
)

// Snapshot writes the store as it is at one moment while commits go on. to is given
// the size in bytes first. What is deleted meanwhile is freed after it, so a reader
// that does not read lets the file grow.
func (s *Store) Snapshot(ctx context.Context, to func(size int64) (io.Writer, error)) error {
	return s.view(ctx, func(tx *bbolt.Tx) error {
		w, err := to(tx.Size())
		if err != nil {
			return err
		}
		_, err = tx.WriteTo(canceled{ctx, w})
		return err
	})
}

// OfferCopies lets other programs of the same user take copies of the open store with
// FetchCopy, until ctx ends. The error says why it cannot, or did not go on.
func (s *Store) OfferCopies(ctx context.Context) error {
	path := s.path + copyPath
	if len(path) > longestPath {
		return fmt.Errorf("the path %s is too long for a socket (%d bytes of %d)", path, len(path), longestPath)
	}
	// The file's lock is ours, so a socket that is there is a dead process's.
	if err := os.Remove(path); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	l, err := net.Listen("unix", path)
	if err != nil {
		return err
	}
	if err := os.Chmod(path, 0o600); err != nil {
		l.Close()
		return err
	}
	stop := context.AfterFunc(ctx, func() { l.Close() })
	defer stop()
	for {
		c, err := l.Accept()
		if ctx.Err() != nil {
			return nil
		}
		if err != nil {
			l.Close()
			return err
		}
		s.giveCopy(ctx, c) // one after the other
	}
}

// giveCopy writes a copy to a connection; one that breaks off is the other side's to
// notice.
func (s *Store) giveCopy(ctx context.Context, c net.Conn) {
	defer c.Close()
	stop := context.AfterFunc(ctx, func() { c.Close() })
	defer stop()
	s.Snapshot(ctx, func(size int64) (io.Writer, error) {
		w := patient{c}
		_, err := w.Write(binary.BigEndian.AppendUint64([]byte(copyMark), uint64(size)))
		return w, err
	})
}

// FetchCopy writes a new file with a copy of the store at path, taken from the program
// that has it open. store.ErrLocked where that program gives none.
func FetchCopy(ctx context.Context, path, to string) error {
	var d net.Dialer
	c, err := d.DialContext(ctx, "unix", path+copyPath)
	if errors.Is(err, fs.ErrNotExist) || errors.Is(err, syscall.ECONNREFUSED) || errors.Is(err, syscall.EINVAL) {
		return fmt.Errorf("%w: %s, and that program gives no copies", store.ErrLocked, path)
	}
	if err != nil {
		return fmt.Errorf("no copy of %s: %w", path, err)
	}
	defer c.Close()
	stop := context.AfterFunc(ctx, func() { c.Close() })
	defer stop()
	return publish(to, func(temp *os.File) error {
		r := patient{c}
		head := make([]byte, len(copyMark)+8)
		if _, err := io.ReadFull(r, head); err != nil || !bytes.HasPrefix(head, []byte(copyMark)) {
			return fmt.Errorf("the program that has it open does not answer as it should (%w)", errors.Join(err, ctx.Err()))
		}
		size := int64(binary.BigEndian.Uint64(head[len(copyMark):]))
		if n, err := io.CopyN(temp, r, size); err != nil {
			return fmt.Errorf("the copy broke off after %d of %d bytes: %w", n, size, errors.Join(err, ctx.Err()))
		}
		return nil
	}, func(err error) error { return (&Store{path: to}).fault(err) })
}

// patient gives each read and write of a connection a while of its own.
type patient struct{ net.Conn }

func (p patient) Read(b []byte) (int, error) {
	p.SetReadDeadline(time.Now().Add(copyPause))
	return p.Conn.Read(b)
}

func (p patient) Write(b []byte) (int, error) {
	p.SetWriteDeadline(time.Now().Add(copyPause))
	return p.Conn.Write(b)
}
