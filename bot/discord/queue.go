package discord

import (
	"fmt"
	"slices"
	"time"
)

const (
	maxWaiting   = 500 // of one room; what comes on top is read from its history later
	maxFetching  = 4   // histories read at the same time
	firstRetry   = 200 * time.Millisecond
	longRetry    = 15 * time.Second
	maxBreaks    = 3 // how often a message that breaks the program is delivered
	recentHeard  = 8192
	historyTries = 8
)

// put queues an item, once.
func (r *run) put(id string, it item) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.heard.has(it.key) {
		return
	}
	q := r.room(id)
	if len(q.waiting) >= maxWaiting && it.press == nil {
		q.epoch = 0 // its history has it
	} else {
		r.heard.add(it.key)
		q.waiting = append(q.waiting, it)
	}
	r.wake(q)
}

// touch reads what a room missed, if anything.
func (r *run) touch(id string) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.wake(r.room(id))
}

func (r *run) room(id string) *room {
	q := r.rooms[id]
	if q == nil {
		q = &room{id: id}
		r.rooms[id] = q
	}
	return q
}

// wake starts the room's worker; with mu held.
func (r *run) wake(q *room) {
	if q.busy || r.over || q.epoch == r.epoch && len(q.waiting) == 0 {
		return
	}
	q.busy = true
	r.work.Add(1)
	go func() {
		defer r.work.Done()
		r.serve(q)
	}()
}

// start does something beside the queues; it ends with the run.
func (r *run) start(do func()) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.over {
		return
	}
	r.work.Add(1)
	go func() {
		defer r.work.Done()
		defer func() {
			if p := recover(); p != nil {
				r.a.c.Log.Error("something of the Discord adapter broke", "cause", fmt.Sprint(p))
			}
		}()
		do()
	}()
}

// serve works off a room until nothing is left.
func (r *run) serve(q *room) {
	for {
		r.mu.Lock()
		if r.ctx.Err() != nil || q.epoch == r.epoch && len(q.waiting) == 0 {
			q.busy = false
			r.mu.Unlock()
			return
		}
		if epoch := r.epoch; q.epoch != epoch {
			r.mu.Unlock()
			missed := r.missed(q.id)
			r.mu.Lock()
			q.epoch = epoch
			missed = slices.DeleteFunc(missed, func(it item) bool { return r.heard.has(it.key) })
			for _, it := range missed {
				r.heard.add(it.key)
			}
			q.waiting = append(missed, q.waiting...)
			slices.SortStableFunc(q.waiting, func(a, b item) int {
				switch {
				case a.at < b.at:
					return -1
				case a.at > b.at:
					return 1
				}
				return 0
			})
			r.mu.Unlock()
			continue
		}
		it := q.waiting[0]
		q.waiting = q.waiting[1:]
		r.mu.Unlock()
		r.handle(q.id, it)
	}
}

// wait lets what is under way come to its end, for a moment.
func (r *run) wait(d time.Duration) {
	r.mu.Lock()
	r.over = true
	r.mu.Unlock()
	done := make(chan struct{})
	go func() { r.work.Wait(); close(done) }()
	t := time.NewTimer(d)
	defer t.Stop()
	select {
	case <-done:
	case <-t.C:
	}
}

// recent is a set of what came last.
type recent struct {
	set  map[string]string
	ring []string
	next int
}

func newRecent(n int) *recent {
	return &recent{set: make(map[string]string, n), ring: make([]string, n)}
}

func (s *recent) has(key string) bool { _, ok := s.set[key]; return ok }

func (s *recent) add(key string) { s.put(key, "") }

func (s *recent) put(key, value string) {
	if _, ok := s.set[key]; !ok {
		if old := s.ring[s.next]; old != "" {
			delete(s.set, old)
		}
		s.ring[s.next] = key
		s.next = (s.next + 1) % len(s.ring)
	}
	s.set[key] = value
}
