package mattermost

import (
	"context"
	"encoding/json"
	"errors"
	"math/rand/v2"
	"slices"
	"sync"
	"time"

	"github.com/mattermost/mattermost/server/public/model"

	"shimwright/bot"
)

const (
	maxQueue     = 1000 // events of a channel that wait; beyond it the channel is read again later
	saveEvery    = time.Second
	retryPause   = time.Second // before a message that was not taken is offered again, then doubled
	longestPause = time.Minute
	readers      = 4    // channels that are read at the same time, so that answers get through
	keptRecent   = 4096 // ids of posts taken, to know them when an event comes twice
)

// inbox brings what people say to deliver: of one channel one after the other and in
// order, of several at the same time.
type inbox struct {
	a       *Adapter
	me      *self
	deliver bot.Deliver
	ctx     context.Context
	cancel  context.CancelFunc
	work    sync.WaitGroup

	tokenDoubted chan struct{}
	reading      chan struct{}

	mu     sync.Mutex
	closed bool
	epoch  int // of sessions: what was missed before one is read from the channels
	rooms  map[string]*room
	ledger *ledger
	recent *recent
}

// room is one channel.
type room struct {
	id    string
	epoch int // up to which it was read
	kind  model.ChannelType
	queue []item
	busy  bool // a goroutine works on it
}

// item is one thing that happened in a channel: a post, or a message made of a press
// or a command.
type item struct {
	post      *model.Post
	edited    bool
	mentioned bool
	live      bool // mentioned is what the server said
	direct    bool

	reaction *model.Reaction

	message *bot.Message
	ctx     context.Context
	taken   chan error // how the delivery of message ended
}

func newInbox(ctx context.Context, a *Adapter, me *self, deliver bot.Deliver) (*inbox, error) {
	start := a.born
	if me.skew.Abs() > 2*time.Second { // else it is the fraction that the server's date leaves out
		start = start.Add(me.skew)
	}
	l, err := openLedger(ctx, a.marks, me.id, start.UnixMilli()-1)
	if err != nil {
		return nil, err
	}
	b := &inbox{
		a: a, me: me, deliver: deliver, tokenDoubted: make(chan struct{}, 1), reading: make(chan struct{}, readers),
		rooms: map[string]*room{}, ledger: l, recent: newRecent(keptRecent),
	}
	b.ctx, b.cancel = context.WithCancel(ctx)
	b.work.Go(b.saveNowAndThen)
	return b, nil
}

// close waits for what is being delivered and writes down what was taken.
func (b *inbox) close() {
	b.mu.Lock()
	b.closed = true
	b.mu.Unlock()
	b.cancel()
	b.work.Wait()
	b.save(context.Background())
}

func (b *inbox) saveNowAndThen() {
	for {
		select {
		case <-b.ctx.Done():
			return
		case <-b.ledger.dirty:
		}
		if sleep(b.ctx, saveEvery) != nil {
			return
		}
		b.save(b.ctx)
	}
}

func (b *inbox) save(ctx context.Context) {
	ctx, cancel := context.WithTimeout(ctx, 500*time.Millisecond)
	defer cancel()
	if err := b.ledger.save(ctx); err != nil && ctx.Err() == nil {
		b.a.log.Error("what was taken cannot be written down; after a restart it may come again", "platform", Name, "error", err)
	}
}

// doubtToken has the connection end and the token looked at.
func (b *inbox) doubtToken() {
	select {
	case b.tokenDoubted <- struct{}{}:
	default:
	}
}

func (b *inbox) trustToken() {
	select {
	case <-b.tokenDoubted:
	default:
	}
}

// newSession has every channel read: the server may have let go of what was said.
func (b *inbox) newSession() {
	b.a.sent.forgetPlaces()
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.closed {
		return
	}
	b.epoch++
	for _, r := range b.rooms {
		b.wake(r)
	}
	epoch := b.epoch
	b.work.Go(func() { b.visitAll(epoch) })
}

// visitAll finds the channels the account is a member of and wakes them, unless a
// later session does.
func (b *inbox) visitAll(epoch int) {
	for pause := retryPause; ; pause = min(2*pause, longestPause) {
		channels, err := b.a.channels(b.ctx)
		b.mu.Lock()
		if b.epoch != epoch || b.closed {
			b.mu.Unlock()
			return
		}
		for _, c := range channels {
			r := b.room(c.Id)
			r.kind = c.Type
			b.wake(r)
		}
		b.mu.Unlock()
		if err == nil {
			return
		}
		b.a.log.Warn("the list of channels cannot be read; trying again", "platform", Name, "error", err)
		if sleep(b.ctx, pause) != nil {
			return
		}
	}
}

// room gives a channel's; the caller holds mu.
func (b *inbox) room(id string) *room {
	r := b.rooms[id]
	if r == nil {
		r = &room{id: id}
		b.rooms[id] = r
	}
	return r
}

// wake has somebody work on a room; the caller holds mu.
func (b *inbox) wake(r *room) {
	if !r.busy && !b.closed {
		r.busy = true
		b.work.Go(func() { b.serve(r) })
	}
}

// serve does what is to be done in a room.
func (b *inbox) serve(r *room) {
	pause := retryPause
	for {
		b.mu.Lock()
		epoch := b.epoch
		missing := r.epoch != epoch
		if b.ctx.Err() != nil || !missing && len(r.queue) == 0 {
			for _, it := range r.queue {
				it.done(context.Canceled)
			}
			r.busy = false
			b.mu.Unlock()
			return
		}
		var it item
		if !missing {
			it, r.queue = r.queue[0], r.queue[1:]
		}
		kind := r.kind
		b.mu.Unlock()
		if !missing {
			b.take(r.id, it)
			continue
		}
		err := b.catchUp(b.ctx, r.id, kind)
		if err != nil {
			wait := pause
			if f := (*apiFault)(nil); errors.As(err, &f) && f.after > 0 {
				wait = f.after + rand.N(retryPause)
			}
			if b.ctx.Err() == nil {
				b.a.log.Warn("a channel cannot be read; trying again", "platform", Name, "channel", r.id, "in", wait, "error", err)
			}
			_ = sleep(b.ctx, wait)
			pause = min(2*pause, longestPause)
			continue
		}
		pause = retryPause
		b.mu.Lock()
		if r.epoch != epoch {
			r.epoch = epoch
		}
		b.mu.Unlock()
	}
}

// put queues something for a channel.
func (b *inbox) put(channel string, it item) {
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.closed {
		it.done(context.Canceled)
		return
	}
	r := b.room(channel)
	if len(r.queue) >= maxQueue {
		// Rather than keep more, it is read from the channel when its turn comes.
		r.queue = slices.DeleteFunc(r.queue, func(it item) bool { return it.message == nil })
		r.epoch = -1
		b.a.log.Warn("too much waits in a channel; it is read later", "platform", Name, "channel", channel)
		if it.message == nil {
			b.wake(r)
			return
		}
	}
	r.queue = append(r.queue, it)
	b.wake(r)
}

func (it item) done(err error) {
	if it.taken != nil {
		it.taken <- err
	}
}

// take brings one item to deliver, as often as it needs.
func (b *inbox) take(channel string, it item) {
	if it.message != nil {
		err := it.ctx.Err()
		if err == nil {
			err = b.deliver(it.ctx, *it.message)
		}
		it.done(err)
		return
	}
	if it.reaction != nil {
		b.takeReaction(b.ctx, channel, it.reaction)
		return
	}
	b.takePost(b.ctx, channel, it)
}

// takePost delivers a post unless that was done; an error only when ctx ended.
func (b *inbox) takePost(ctx context.Context, channel string, it item) error {
	if it.edited && !b.knew(channel, it.post) {
		it.edited = false // the first wording was never seen: this is what was said
	}
	keys, at := it.keys()
	if b.recent.has(keys[0]) || b.ledger.has(channel, keys[0]) {
		return nil
	}
	return b.insist(ctx, keys[0], func() (bool, error) {
		m, ok, err := b.message(ctx, it)
		if err == nil && ok {
			err = b.deliver(ctx, m)
		}
		return ok, err
	}, func(ok bool) {
		for _, key := range keys {
			b.recent.add(key)
			b.ledger.take(channel, key, at, ok)
		}
	})
}

// insist has something delivered as often as it needs and notes it then; an error only
// when ctx ended.
func (b *inbox) insist(ctx context.Context, key string, deliver func() (bool, error), note func(ok bool)) error {
	for pause := retryPause; ; pause = min(2*pause, longestPause) {
		ok, err := deliver()
		if err == nil {
			note(ok)
			return nil
		}
		if ctx.Err() != nil {
			return ctx.Err()
		}
		b.a.log.Warn("a message was not taken; offering it again", "platform", Name, "message", key, "in", pause, "error", err)
		if err := sleep(ctx, pause); err != nil {
			return err
		}
	}
}

// submit delivers a message made here in the order of its channel and waits for it.
func (b *inbox) submit(ctx context.Context, channel string, m bot.Message) error {
	// Neither the server's patience nor Run's end is outlived.
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	defer context.AfterFunc(b.ctx, cancel)()
	taken := make(chan error, 1)
	b.put(channel, item{message: &m, ctx: ctx, taken: taken})
	select {
	case err := <-taken:
		return err
	case <-ctx.Done():
		return ctx.Err()
	}
}

var errNoPost = errors.New("no post in it")

// heard takes a post's event.
func (b *inbox) heard(f *frame) {
	post, err := postIn(f)
	if err != nil {
		b.a.log.Warn("a post that cannot be read is left out", "platform", Name, "error", err)
		return
	}
	it := item{post: post, edited: f.Event == "post_edited"}
	if !it.edited {
		// The key is absent when nobody is mentioned. An edit never says.
		it.live = true
		var who []string
		if json.Unmarshal([]byte(f.text("mentions")), &who) == nil {
			it.mentioned = slices.Contains(who, b.me.id)
		}
	}
	kind := model.ChannelType(f.text("channel_type"))
	it.direct = isDirect(kind)
	if kind != "" {
		b.mu.Lock()
		b.room(post.ChannelId).kind = kind
		b.mu.Unlock()
	}
	if it.edited && post.EditAt == 0 {
		return // pinned, or a preview was added
	}
	b.put(post.ChannelId, it)
}

// postIn reads the post, which is JSON in a string in the event's JSON.
func postIn(f *frame) (*model.Post, error) {
	var post model.Post
	if err := json.Unmarshal([]byte(f.text("post")), &post); err != nil {
		return nil, err
	}
	if post.Id == "" || post.ChannelId == "" {
		return nil, errNoPost
	}
	return &post, nil
}

// membership begins a channel with the account's joining it and drops what is known
// of it at the leaving.
func (b *inbox) membership(f *frame, joined bool) {
	who, channel := f.text("user_id"), f.text("channel_id")
	if who == "" {
		who = f.Broadcast.UserID
	}
	if channel == "" {
		channel = f.Broadcast.ChannelID
	}
	if who != b.me.id || channel == "" {
		return
	}
	if !joined {
		b.a.log.Warn("the bot account was put out of a channel", "platform", Name, "channel", channel)
		b.ledger.drop(channel)
		return
	}
	b.a.log.Info("the bot account is in a channel", "platform", Name, "channel", channel)
	b.ledger.begin(channel, b.a.now().Add(b.me.skew).Add(-2*time.Second).UnixMilli())
}
