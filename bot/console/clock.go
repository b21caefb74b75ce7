package console

import (
	"sync"
	"time"
)

// Clock is a clock that can be moved on.
type Clock struct {
	base func() time.Time

	mu     sync.Mutex
	offset time.Duration
}

// NewClock makes a clock over another one.
func NewClock(base func() time.Time) *Clock { return &Clock{base: base} }

// Standing is a base clock that stands still: scripts see the same time every time.
func Standing() time.Time { return time.Date(2026, time.March, 2, 8, 0, 0, 0, time.UTC) }

// Now is the time on it.
func (c *Clock) Now() time.Time {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.base().Add(c.offset)
}

// Shift moves it, and gives how far it is moved in all.
func (c *Clock) Shift(by time.Duration) time.Duration {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.offset += by
	return c.offset
}
