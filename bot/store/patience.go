package store

import (
	"context"
	"errors"
	"time"
)

// readAgain is how long a read is tried where the store cannot be reached: as long as
// a Redis of a shop's size takes to load its data after a start.
const readAgain = 5 * time.Second

// patient does a read and does it again while it gives ErrTemporary, until readAgain
// is over or ctx ends. Nothing is changed by a read, so it may be done any number of
// times. Commits are repeated by their callers, who know whether they may be.
func patient[T any](ctx context.Context, read func() (T, error)) (T, error) {
	over := time.NewTimer(readAgain)
	defer over.Stop()
	for wait := 50 * time.Millisecond; ; wait = min(2*wait, time.Second) {
		got, err := read()
		if !errors.Is(err, ErrTemporary) {
			return got, err
		}
		pause := time.NewTimer(wait)
		select {
		case <-pause.C:
		case <-over.C:
			pause.Stop()
			return got, err
		case <-ctx.Done():
			pause.Stop()
			return got, err
		}
	}
}
