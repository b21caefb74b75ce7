package mattermost

import (
	"context"
	"sync"

	"github.com/mattermost/mattermost/server/public/model"

	"shimwright/bot"
)

// The props an own post carries. Only those of posts with the account's own user_id
// are believed.
const (
	propNonce = "shimwright_nonce"
	propFiles = "shimwright_files"
)

// keptNonces is how many own posts are remembered.
const keptNonces = 20_000

// outbox knows which posts are there. While the connection stands every own post is
// seen, also those of another process; so a place's history needs to be read only
// once after connecting, and again after a request whose outcome is not known.
type outbox struct {
	mu     sync.Mutex
	posts  map[string]*model.Post // by nonce, with id, files and props
	order  []string
	next   int
	on     bool // the connection stands
	looked map[bot.Place]bool
	places map[bot.Place]chan struct{}
	users  map[bot.Place]int
}

func newOutbox() *outbox {
	return &outbox{
		posts: map[string]*model.Post{}, order: make([]string, keptNonces), looked: map[bot.Place]bool{},
		places: map[bot.Place]chan struct{}{}, users: map[bot.Place]int{},
	}
}

// noteOwn remembers a post of this account.
func (a *Adapter) noteOwn(me *self, p *model.Post) {
	nonce, ok := p.GetProp(propNonce).(string)
	if p.UserId == me.id && ok && nonce != "" && p.DeleteAt == 0 {
		a.sent.note(nonce, p)
	}
}

func (o *outbox) note(nonce string, p *model.Post) {
	kept := &model.Post{Id: p.Id, ChannelId: p.ChannelId, RootId: p.RootId, UserId: p.UserId, FileIds: p.FileIds}
	kept.AddProp(propFiles, p.GetProp(propFiles))
	o.mu.Lock()
	defer o.mu.Unlock()
	if o.posts[nonce] == nil {
		delete(o.posts, o.order[o.next])
		o.order[o.next] = nonce
		o.next = (o.next + 1) % len(o.order)
	}
	o.posts[nonce] = kept
}

func (o *outbox) find(nonce string) *model.Post {
	o.mu.Lock()
	defer o.mu.Unlock()
	return o.posts[nonce]
}

// sure says whether all own posts of a place are known.
func (o *outbox) sure(at bot.Place) bool {
	o.mu.Lock()
	defer o.mu.Unlock()
	return o.on && o.looked[at]
}

func (o *outbox) lookedAt(at bot.Place) {
	o.mu.Lock()
	defer o.mu.Unlock()
	if len(o.looked) > keptNonces {
		clear(o.looked)
	}
	o.looked[at] = true
}

func (o *outbox) doubt(at bot.Place) {
	o.mu.Lock()
	defer o.mu.Unlock()
	delete(o.looked, at)
}

func (o *outbox) online() {
	o.mu.Lock()
	defer o.mu.Unlock()
	o.on = true
}

func (o *outbox) offline() {
	o.mu.Lock()
	defer o.mu.Unlock()
	o.on = false
}

func (o *outbox) forgetPlaces() {
	o.mu.Lock()
	defer o.mu.Unlock()
	clear(o.looked)
}

// enter waits until nobody else sends to a place.
func (o *outbox) enter(ctx context.Context, at bot.Place) (leave func(), err error) {
	o.mu.Lock()
	turn := o.places[at]
	if turn == nil {
		turn = make(chan struct{}, 1)
		o.places[at] = turn
	}
	o.users[at]++
	o.mu.Unlock()
	out := func() {
		o.mu.Lock()
		defer o.mu.Unlock()
		if o.users[at]--; o.users[at] == 0 {
			delete(o.users, at)
			delete(o.places, at)
		}
	}
	select {
	case turn <- struct{}{}:
		return func() { <-turn; out() }, nil
	case <-ctx.Done():
		out()
		return nil, ctx.Err()
	}
}
