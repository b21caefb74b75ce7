package store

import (
	"context"
	"fmt"
)

// Finding is one thing that is not right in a store.
type Finding struct {
	Stream string `json:"stream,omitempty"` // empty where it is not one stream's
	What   string `json:"what"`
	Do     string `json:"do"` // what somebody who keeps the store can do about it
}

func (f Finding) String() string {
	if f.Stream == "" {
		return f.What
	}
	return f.Stream + ": " + f.What
}

// Found makes a finding of a stream.
func Found(stream, do, what string, args ...any) Finding {
	return Finding{Stream: stream, What: fmt.Sprintf(what, args...), Do: do}
}

// Inspector is a Backend that can look through its own books: whether numbers are
// gapless, and whether each place in a queue has its item and each item its place.
type Inspector interface {
	// Inspect reports what is not right. The error says why it could not look on.
	Inspect(ctx context.Context, report func(Finding)) error
}
