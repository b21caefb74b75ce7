package boltstore

import (
	"bytes"
	"context"
	"fmt"

	"go.etcd.io/bbolt"

	"shimwright/bot/store"
)

// PutFile keeps a file; see store.Files. It is a transaction of its own beside the
// writer's: files are rare and large, and a job's turn need not wait for their disk.
func (s *Store) PutFile(ctx context.Context, stream, name string, data []byte, quota int64) error {
	return s.change(ctx, func(tx *bbolt.Tx) error {
		b, err := tx.CreateBucketIfNotExists(bucketFiles)
		if err != nil {
			return err
		}
		key := idKey(stream, name)
		if b.Get(key) != nil {
			return errNothing
		}
		sum := int64(len(data))
		for _, f := range filesOf(b, stream) {
			sum += f.Size
		}
		if sum > quota {
			return fmt.Errorf("%w: %s would have %d bytes of %d", store.ErrQuota, stream, sum, quota)
		}
		return b.Put(key, data)
	})
}

// File gives a file; see store.Files.
func (s *Store) File(ctx context.Context, stream, name string) ([]byte, error) {
	var data []byte
	err := s.view(ctx, func(tx *bbolt.Tx) error {
		if b := tx.Bucket(bucketFiles); b != nil {
			data = bytes.Clone(b.Get(idKey(stream, name)))
		}
		if data == nil {
			return fmt.Errorf("%w: %s of %s", store.ErrNoFile, name, stream)
		}
		return nil
	})
	return data, err
}

// Files lists a stream's files; see store.Files.
func (s *Store) Files(ctx context.Context, stream string) ([]store.FileInfo, error) {
	var list []store.FileInfo
	err := s.view(ctx, func(tx *bbolt.Tx) error {
		if b := tx.Bucket(bucketFiles); b != nil {
			list = filesOf(b, stream)
		}
		return nil
	})
	return list, err
}

// DeleteFile takes a file away; see store.Files. Its pages are used again, and are
// gone from the file once it is compacted.
func (s *Store) DeleteFile(ctx context.Context, stream, name string) error {
	return s.change(ctx, func(tx *bbolt.Tx) error {
		b := tx.Bucket(bucketFiles)
		if b == nil || b.Get(idKey(stream, name)) == nil {
			return errNothing
		}
		return b.Delete(idKey(stream, name))
	})
}

func filesOf(b *bbolt.Bucket, stream string) []store.FileInfo {
	var list []store.FileInfo
	prefix := streamKey(stream)
	c := b.Cursor()
	for k, v := c.Seek(prefix); hasPrefix(k, prefix); k, v = c.Next() {
		list = append(list, store.FileInfo{Name: string(k[len(prefix):]), Size: int64(len(v))})
	}
	return list
}

// change runs a transaction that writes; errNothing leaves all as it was and is none.
func (s *Store) change(ctx context.Context, fn func(*bbolt.Tx) error) error {
	s.mu.RLock()
	defer s.mu.RUnlock() // so that Close waits
	if s.closed {
		return fmt.Errorf("%w: %s", store.ErrClosed, s.path)
	}
	if err := ctx.Err(); err != nil {
		return err
	}
	if err := s.update(fn); err != errNothing {
		return err
	}
	return nil
}
