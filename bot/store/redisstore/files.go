package redisstore

import (
	"context"
	"fmt"
	"slices"

	"github.com/redis/go-redis/v9"

	"shimwright/bot/store"
)

func (s *Store) filesKey(stream string) string {
	return s.shardKey(s.shardOf(stream), "files:"+stream)
}

// PutFile keeps a file; see store.Files.
func (s *Store) PutFile(ctx context.Context, stream, name string, data []byte, quota int64) error {
	cmds, err := s.run(ctx, call{s.scripts.putFile, []string{s.filesKey(stream)}, []any{name, data, quota}})
	if err != nil {
		return err
	}
	switch answer, err := cmds[0].Text(); {
	case err != nil:
		return s.damaged("the answer to a file of " + stream)
	case answer == "quota":
		return fmt.Errorf("%w: %s has no room for %d of %d bytes", store.ErrQuota, stream, len(data), quota)
	}
	return nil
}

// File gives a file; see store.Files.
func (s *Store) File(ctx context.Context, stream, name string) ([]byte, error) {
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	data, err := s.client.HGet(ctx, s.filesKey(stream), name).Bytes()
	if err == redis.Nil {
		return nil, fmt.Errorf("%w: %s of %s", store.ErrNoFile, name, stream)
	}
	return data, s.fault(ctx, err)
}

// Files lists a stream's files; see store.Files.
func (s *Store) Files(ctx context.Context, stream string) ([]store.FileInfo, error) {
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	key := s.filesKey(stream)
	names, err := s.client.HKeys(ctx, key).Result()
	if err != nil {
		return nil, s.fault(ctx, err)
	}
	slices.Sort(names)
	pipe := s.client.Pipeline()
	sizes := make([]*redis.IntCmd, len(names))
	for i, n := range names {
		sizes[i] = pipe.HStrLen(ctx, key, n)
	}
	if len(names) == 0 {
		return nil, nil
	}
	if _, err := pipe.Exec(ctx); err != nil {
		return nil, s.fault(ctx, err)
	}
	var list []store.FileInfo
	for i, n := range names {
		if size := sizes[i].Val(); size > 0 { // else it was deleted meanwhile
			list = append(list, store.FileInfo{Name: n, Size: size})
		}
	}
	return list, nil
}

// DeleteFile takes a file away; see store.Files.
func (s *Store) DeleteFile(ctx context.Context, stream, name string) error {
	if err := ctx.Err(); err != nil {
		return err
	}
	return s.fault(ctx, s.client.HDel(ctx, s.filesKey(stream), name).Err())
}
