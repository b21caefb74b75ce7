package boltstore

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"go.etcd.io/bbolt"
)

// Backup writes the store as it is at one moment to a new file, while commits go on.
// The copy is a store of its own, appears under its name only when it is whole, and
// nothing is overwritten.
func (s *Store) Backup(ctx context.Context, path string) error {
	return publish(path, func(temp *os.File) error {
		return s.Snapshot(ctx, func(int64) (io.Writer, error) { return temp, nil })
	}, s.fault)
}

// Shrink compacts the store at path, which nothing may have open, in its place, and
// gives its size in bytes before and after.
func Shrink(ctx context.Context, path string, wait time.Duration) (before, after int64, err error) {
	src, err := Open(path, wait)
	if err != nil {
		return 0, 0, err
	}
	defer src.Close() // only now, so that nobody else opens what is about to be replaced
	info, err := os.Stat(path)
	if err != nil {
		return 0, 0, err
	}
	small := path + ".compact"
	if err := os.Remove(small); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return 0, 0, err // of a run that was killed
	}
	if err := src.compact(ctx, small); err != nil {
		return 0, 0, err
	}
	smaller, err := os.Stat(small)
	if err != nil {
		return 0, 0, err
	}
	if err := os.Rename(small, path); err != nil {
		return 0, 0, errors.Join(err, os.Remove(small))
	}
	return info.Size(), smaller.Size(), syncFolder(path)
}

func (s *Store) compact(ctx context.Context, to string) error {
	return publish(to, func(temp *os.File) error {
		dst, err := bbolt.Open(temp.Name(), 0o600, &bbolt.Options{Timeout: time.Second, FreelistType: bbolt.FreelistMapType})
		if err != nil {
			return err
		}
		const perTransaction = 4 << 20 // bytes
		if err := bbolt.Compact(dst, s.db, perTransaction); err != nil {
			dst.Close()
			return err
		}
		return errors.Join(ctx.Err(), dst.Close())
	}, s.fault)
}

// Check reads every page and reports the first that is damaged.
func (s *Store) Check(ctx context.Context) error {
	return s.view(ctx, func(tx *bbolt.Tx) error {
		var first error
		for err := range tx.Check() { // to its end, or its goroutine stays
			if first == nil {
				first = s.damaged(err)
			}
		}
		return first
	})
}

// publish lets fill write a temporary file and gives it its name once it is durable.
func publish(path string, fill func(*os.File) error, explain func(error) error) (err error) {
	if _, err := os.Lstat(path); err == nil {
		return fmt.Errorf("%s is there already; choose another name", path)
	}
	temp, err := os.CreateTemp(filepath.Dir(path), ".part-*") // readable by the owner only
	if err != nil {
		return fmt.Errorf("cannot write beside %s: %w", path, explain(err))
	}
	defer func() {
		temp.Close()
		if err != nil {
			os.Remove(temp.Name())
		}
	}()
	if err := fill(temp); err != nil {
		return fmt.Errorf("cannot write %s: %w", path, explain(err))
	}
	if err := temp.Sync(); err != nil {
		return fmt.Errorf("cannot write %s: %w", path, explain(err))
	}
	if err := os.Rename(temp.Name(), path); err != nil {
		return fmt.Errorf("cannot name %s: %w", path, err)
	}
	return syncFolder(path)
}

// syncFolder makes a file's new name durable.
func syncFolder(path string) error {
	dir, err := os.Open(filepath.Dir(path))
	if err != nil {
		return err
	}
	defer dir.Close()
	return dir.Sync()
}

// canceled stops a copy when its context ends.
type canceled struct {
	ctx context.Context
	w   io.Writer
}

func (c canceled) Write(p []byte) (int, error) {
	if err := c.ctx.Err(); err != nil {
		return 0, err
	}
	return c.w.Write(p)
}
