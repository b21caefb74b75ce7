package discord

import (
	"context"
	"errors"
	"strings"
	"sync"
	"time"

	"shimwright/bot"
)

const (
	nonceTime = 2 * time.Minute  // "past few minutes" is what Discord promises for a nonce
	freshTime = 10 * time.Minute // after a start, in which a post may be one that the last process sent
	backTime  = 2 * time.Minute  // how far before its last sign of life such a post may lie
	recentOwn = 2048
)

// ownPost is one of the bot's own messages in a history.
type ownPost struct {
	id, text, nonce string
	files           int
}

// sending is what is known of the bot's own posts.
type sending struct {
	start   time.Time
	alive   time.Time // when the last process lived last; zero when it left nothing open
	anchors *anchors

	mu    sync.Mutex
	turns map[string]chan struct{} // of a place, holds a value while it is posted to
	tried map[string]time.Time     // nonces on their way, since the first try
	done  *recent                  // "n" + nonce -> message, and "m" + message
	left  map[string][]ownPost     // place -> posts of the last process, once looked for
}

func newSending(start, alive time.Time) *sending {
	return &sending{
		start: start, alive: alive, anchors: newAnchors(), turns: map[string]chan struct{}{}, tried: map[string]time.Time{},
		done: newRecent(2 * recentOwn), left: map[string][]ownPost{},
	}
}

// pending says whether it is open what became of a post.
func (s *sending) pending() bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	return len(s.tried) > 0
}

// take waits for the turn to post in a place.
func (s *sending) take(ctx context.Context, place string) (done func(), err error) {
	s.mu.Lock()
	turn := s.turns[place]
	if turn == nil {
		turn = make(chan struct{}, 1)
		s.turns[place] = turn
	}
	s.mu.Unlock()
	select {
	case turn <- struct{}{}:
		return func() { <-turn }, nil
	case <-ctx.Done():
		return nil, ctx.Err()
	}
}

func (s *sending) known(nonce string) (string, bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	id := s.done.set["n"+nonce]
	return id, nonce != "" && id != ""
}

// lost says since when a post may be there although its answer was lost and Discord
// has forgotten its nonce; 0 when that cannot be.
func (s *sending) lost(nonce string, now time.Time) snowflake {
	s.mu.Lock()
	defer s.mu.Unlock()
	if first, ok := s.tried[nonce]; ok && now.Sub(first) > nonceTime {
		return idAt(first.Add(-startSlack))
	}
	return 0
}

// leftover says whether a place has to be looked through for what a process that
// died has posted last, without telling the store.
func (s *sending) leftover(place string, now time.Time) (since snowflake, look bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if _, looked := s.left[place]; looked || s.alive.IsZero() || now.Sub(s.start) > freshTime {
		return 0, false
	}
	return idAt(s.alive.Add(-backTime)), true
}

func (s *sending) keepLeftover(place string, posts []ownPost) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.left[place] = posts
}

// match finds a post among those of a history: by its nonce, or by its text where no
// other post is known to be that message.
func (s *sending) match(posts []ownPost, m newMessage, files int) string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.matching(posts, m, files)
}

func (s *sending) matchLeftover(place string, m newMessage, files int) string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.matching(s.left[place], m, files)
}

func (s *sending) matching(posts []ownPost, m newMessage, files int) string {
	for _, p := range posts {
		switch {
		case s.done.has("m" + p.id):
		case p.nonce != "":
			if p.nonce == m.Nonce {
				return p.id
			}
		case strings.TrimSpace(p.text) == strings.TrimSpace(m.Content) && p.files == files: // Discord trims
			return p.id
		}
	}
	return ""
}

func (s *sending) trying(nonce string, now time.Time) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if _, ok := s.tried[nonce]; ok {
		return
	}
	for n, t := range s.tried {
		if len(s.tried) > recentOwn && now.Sub(t) > time.Hour {
			delete(s.tried, n)
		}
	}
	s.tried[nonce] = now
}

// sent notes a post that Discord has.
func (s *sending) sent(id, nonce string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	delete(s.tried, nonce)
	if nonce != "" {
		s.done.put("n"+nonce, id)
	}
	s.done.put("m"+id, nonce)
}

// anchors are the messages in which commands and forms are shown: a thread can hang
// below a message only.
type anchors struct {
	mu   sync.Mutex
	open map[string]chan struct{} // closed once the answer to an interaction is back
	ids  *recent                  // interaction -> message
}

func newAnchors() *anchors {
	return &anchors{open: map[string]chan struct{}{}, ids: newRecent(1024)}
}

func (a *anchors) begin(interaction string) {
	a.mu.Lock()
	defer a.mu.Unlock()
	a.open[interaction] = make(chan struct{})
}

func (a *anchors) done(interaction, message string) {
	a.mu.Lock()
	defer a.mu.Unlock()
	if message != "" {
		a.ids.put(interaction, message)
	}
	if c := a.open[interaction]; c != nil {
		close(c)
		delete(a.open, interaction)
	}
}

// find waits for an answer under way; empty when its message is not known.
func (a *anchors) find(ctx context.Context, interaction string) (string, error) {
	a.mu.Lock()
	c := a.open[interaction]
	a.mu.Unlock()
	if c != nil {
		select {
		case <-c:
		case <-ctx.Done():
			return "", ctx.Err()
		}
	}
	a.mu.Lock()
	defer a.mu.Unlock()
	return a.ids.set[interaction], nil
}

// waitOf is how long a rate limit lasts, 0 for other errors.
func waitOf(err error) time.Duration {
	if later := (*bot.LaterError)(nil); errors.As(err, &later) {
		return later.After
	}
	return 0
}
