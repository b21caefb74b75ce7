package redisstore

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net"
	"strings"

	"github.com/redis/go-redis/v9"

	"shimwright/bot/store"
)

// passing are the beginnings of errors that a server or cluster gives while it
// starts, fails over or is busy.
var passing = []string{
	"READONLY ", "LOADING ", "MASTERDOWN ", "CLUSTERDOWN ", "TRYAGAIN ", "NOREPLICAS ",
	"MOVED ", "ASK ", "BUSY ", "MISCONF ", "ERR max number of clients reached",
}

// fault says what an error of the client or server means for a person.
func (s *Store) fault(ctx context.Context, err error) error {
	var fromNet net.Error
	var fromServer redis.Error
	switch {
	case err == nil:
		return nil
	case ctx.Err() != nil:
		return fmt.Errorf("%s did not answer in time: %w", s.name, ctx.Err())
	case errors.Is(err, redis.ErrClosed):
		return fmt.Errorf("%w: the connection to %s", store.ErrClosed, s.name)
	case strings.Contains(err.Error(), "OOM command not allowed"):
		return fmt.Errorf("%w: redis at %s has used its maxmemory; nothing was written. raise maxmemory and repeat", store.ErrFull, s.name)
	case strings.Contains(err.Error(), "No space left on device"):
		return fmt.Errorf("%w: the disk of redis at %s; nothing was written. free some space and repeat", store.ErrFull, s.name)
	case errors.As(err, &fromServer):
		for _, p := range passing {
			if strings.HasPrefix(err.Error(), p) {
				return fmt.Errorf("%w: redis at %s says %w", store.ErrTemporary, s.name, err)
			}
		}
		return fmt.Errorf("redis at %s refuses: %w", s.name, err)
	case errors.As(err, &fromNet), errors.Is(err, io.EOF), errors.Is(err, io.ErrUnexpectedEOF),
		errors.Is(err, net.ErrClosed), errors.Is(err, context.DeadlineExceeded), errors.Is(err, redis.ErrPoolTimeout):
		return fmt.Errorf("%w: redis at %s: %w", store.ErrTemporary, s.name, err)
	}
	return fmt.Errorf("redis at %s: %w", s.name, err)
}

func (s *Store) damaged(what string) error {
	return fmt.Errorf("%w: %s at %s cannot be read; restore a backup", store.ErrCorrupt, what, s.name)
}
