package discord

import (
	"context"
	"fmt"
	"slices"
	"sync"

	"github.com/bwmarrin/discordgo"

	"shimwright/bot"
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
		r.a.connected.Store(true)
		r.ready(e)
	case *discordgo.Resumed:
		r.a.connected.Store(true)
	case *discordgo.Disconnect:
		r.a.connected.Store(false)
	case *discordgo.GuildCreate:
		r.guild(e.Guild)
	case *discordgo.GuildDelete:
		if e.Guild != nil && !e.Unavailable {
			r.a.c.Log.Error("the bot was taken off a server; invite it again with the link of the deploy page", "server", e.ID)
		}
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
	case *discordgo.Event:
		r.raw(e)
	}
}

// raw takes messages and interactions as Discord sent them: discordgo gives up a
// whole one over a part it does not know.
func (r *run) raw(e *discordgo.Event) {
	var err error
	switch e.Type {
	case "MESSAGE_CREATE", "MESSAGE_UPDATE":
		var m *discordgo.Message
		if m, err = readMessage(e.RawData); err != nil {
			break
		}
		if e.Type == "MESSAGE_CREATE" {
			r.said(m)
		} else {
			r.edited(m)
		}
	case "INTERACTION_CREATE":
		var i *discordgo.Interaction
		if i, err = readInteraction(e.RawData); i.ID != "" {
			r.interact(i) // without its data it is answered all the same
		}
	}
	if err != nil {
		r.a.c.Log.Error("something of Discord's cannot be read", "event", e.Type, "error", err)
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
