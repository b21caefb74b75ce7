package discord

import (
	"context"
	"fmt"
	"slices"
	"sync"
	"time"

	"github.com/bwmarrin/discordgo"

	"shimwright/bot"
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

// run is what an Adapter holds while it is connected: a queue for each room.
type run struct {
	a       *Adapter
	ctx     context.Context
	deliver bot.Deliver
	fetch   chan struct{} // holds a value for each history being read
	work    sync.WaitGroup

	mu    sync.Mutex
	over  bool
	epoch int // counts the sessions: what was said between two of them has to be fetched
	rooms map[string]*room
	heard *recent
	taps  map[string]tap // the last press of each person
}

// room is the queue of a channel or thread.
type room struct {
	id      string
	epoch   int // up to which nothing is missing
	busy    bool
	waiting []item
}

// item is something that was said, in the order of at.
type item struct {
	at      snowflake
	key     string
	message *discordgo.Message // said or edited
	edited  int64              // of an edit, Unix milliseconds
	press   *bot.Message       // pressed, or typed as a command
	guild   string
}

func newRun(ctx context.Context, a *Adapter, deliver bot.Deliver) *run {
	return &run{
		a: a, ctx: ctx, deliver: deliver, fetch: make(chan struct{}, maxFetching),
		rooms: map[string]*room{}, heard: newRecent(recentHeard), taps: map[string]tap{},
	}
}

// hear takes an event of the gateway. It returns at once.
func (r *run) hear(event any) {
	switch e := event.(type) {
	case *discordgo.Ready:
		r.ready(e)
	case *discordgo.GuildCreate:
		r.guild(e.Guild)
	case *discordgo.ThreadListSync:
		for _, t := range e.Threads {
			if t != nil {
				r.found(placeOf(t, e.GuildID))
			}
		}
	case *discordgo.ThreadCreate:
		r.thread(e.Channel, e.NewlyCreated)
	case *discordgo.ThreadUpdate:
		r.thread(e.Channel, false)
	case *discordgo.ChannelCreate:
		r.a.places.set(placeOf(e.Channel, ""))
	case *discordgo.ChannelUpdate:
		r.a.places.set(placeOf(e.Channel, ""))
	case *discordgo.ChannelDelete:
		r.a.places.forget(e.ID)
	case *discordgo.ThreadDelete:
		r.a.places.forget(e.ID)
	case *discordgo.MessageCreate:
		r.said(e.Message)
	case *discordgo.MessageUpdate:
		r.edited(e.Message)
	case *discordgo.InteractionCreate:
		r.interact(e.Interaction)
	}
}

// ready begins a session: from here on live events come, and what was said before
// has to be fetched. A resumed session brings what was missed by itself.
func (r *run) ready(e *discordgo.Ready) {
	user, application := "", ""
	if e.User != nil {
		user = e.User.ID
	}
	if e.Application != nil {
		application = e.Application.ID
	}
	r.a.setOwn(user, application)
	if e.User != nil {
		r.a.mu.Lock()
		r.a.own.name = e.User.Username
		r.a.mu.Unlock()
	}
	r.a.c.Log.Info("connected to Discord", "user", user, "servers", len(e.Guilds))
	r.a.places.disconnected()
	r.mu.Lock()
	r.epoch++
	r.mu.Unlock()
	var guilds []string
	for _, g := range e.Guilds {
		guilds = append(guilds, g.ID)
	}
	r.start(func() { r.survey(guilds) })
}

// guild learns a server's channels and threads.
func (r *run) guild(g *discordgo.Guild) {
	if g == nil || r.a.c.Guild != "" && g.ID != r.a.c.Guild {
		if g != nil && r.a.said.first("guild "+g.ID) {
			r.a.c.Log.Info("a server that is not the shop's is left alone", "server", g.ID)
		}
		return
	}
	r.a.setRole(g.Roles)
	for _, c := range slices.Concat(g.Channels, g.Threads) {
		if c != nil {
			r.found(placeOf(c, g.ID))
		}
	}
	r.start(func() { r.registerCommands(g.ID) })
}

// thread learns a thread; one that was made just now misses nothing.
func (r *run) thread(c *discordgo.Channel, fresh bool) {
	if c == nil {
		return
	}
	p := placeOf(c, "")
	r.a.places.set(p)
	if fresh {
		r.mu.Lock()
		if q := r.room(c.ID); q.epoch == 0 && len(q.waiting) == 0 && !q.busy {
			q.epoch = r.epoch
		}
		r.mu.Unlock()
	}
}

// found learns a place and reads what was missed there.
func (r *run) found(p place) {
	r.a.places.set(p)
	if p.talks && r.a.listens(p) {
		r.touch(p.id)
	}
}

// said takes a live message.
func (r *run) said(m *discordgo.Message) {
	if m == nil || !speaks(m) {
		return
	}
	if _, ok := r.a.places.get(m.ChannelID); !ok && m.GuildID == "" {
		r.a.places.set(place{id: m.ChannelID, private: true, talks: true})
	}
	r.put(m.ChannelID, item{at: parseID(m.ID), key: "m" + m.ID, message: m, guild: m.GuildID})
}

// edited takes a new wording. Discord also sends updates when it has unfolded a
// link or pinned a message; those carry no time of an edit, or the old one.
func (r *run) edited(m *discordgo.Message) {
	if m == nil || m.EditedTimestamp == nil || m.Author != nil && !speaks(m) {
		return
	}
	r.put(m.ChannelID, editItem(m))
}

func editItem(m *discordgo.Message) item {
	ms := m.EditedTimestamp.UnixMilli()
	return item{
		at: idAt(*m.EditedTimestamp), key: fmt.Sprintf("e%s~%d", m.ID, ms),
		message: m, edited: ms, guild: m.GuildID,
	}
}

// speaks says whether a message is a person's: not a bot's or a webhook's, and not
// Discord's own notice of a pin or a thread.
func speaks(m *discordgo.Message) bool {
	return m.Author != nil && !m.Author.Bot && m.WebhookID == "" &&
		(m.Type == discordgo.MessageTypeDefault || m.Type == discordgo.MessageTypeReply)
}

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

// handle delivers an item until it is taken.
func (r *run) handle(id string, it item) {
	p, ok := r.place(id, it.guild)
	if !ok {
		return
	}
	if !r.a.listens(p) {
		if r.a.said.first("channel " + p.channel()) {
			r.a.c.Log.Info("a channel that is not configured is left alone", "channel", p.channel(), "server", p.guild)
		}
		return
	}
	m, ok := r.message(p, it)
	if !ok {
		return
	}
	if m.EditOf == "" && it.message != nil {
		r.remember(it.message.ID, it.message.Content)
	}
	breaks := 0
	for wait := firstRetry; ; wait = min(2*wait, longRetry) {
		err, broke := r.try(m)
		if err == nil {
			break
		}
		if broke {
			if breaks++; breaks == maxBreaks {
				r.a.c.Log.Error("a message is given up, it breaks the program", "message", m.ID, "error", err)
				break
			}
		}
		if r.ctx.Err() != nil || pause(r.ctx, wait) != nil {
			return // it is fetched at the next start
		}
	}
	done := mark{Parent: p.parent, DM: p.private, Edited: it.edited}
	if it.edited != 0 {
		done.Edit = it.message.ID
	}
	switch {
	case it.message != nil && it.edited == 0:
		done.Seen = parseID(it.message.ID)
		if t := it.message.EditedTimestamp; t != nil {
			done.Edited, done.Edit = t.UnixMilli(), it.message.ID
		}
	case it.press != nil:
		done.Seen = it.at
	}
	r.a.marks.advance(id, done)
}

// try delivers once.
func (r *run) try(m bot.Message) (err error, broke bool) {
	defer func() {
		if p := recover(); p != nil {
			err, broke = fmt.Errorf("it broke: %v", p), true
			r.a.c.Log.Error("a delivery broke", "message", m.ID, "cause", fmt.Sprint(p))
		}
	}()
	return r.deliver(r.ctx, m), false
}

// place finds out what a room is, false when the run ends first.
func (r *run) place(id, guild string) (place, bool) {
	for wait := firstRetry; ; wait = min(2*wait, longRetry) {
		p, err := r.a.placeFor(r.ctx, id)
		switch {
		case err == nil:
			if p.guild == "" && guild != "" {
				p.guild = guild
			}
			return p, true
		case gone(err):
			return place{id: id, guild: guild, private: guild == "", talks: true}, true
		case pause(r.ctx, wait) != nil:
			return place{}, false
		}
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
