package discord

import (
	"context"
	"sync"

	"github.com/bwmarrin/discordgo"
)

// place is what is known of a channel or thread.
type place struct {
	id, guild string
	parent    string    // the channel a thread is in; empty for others
	private   bool      // a talk with one person or a group
	talks     bool      // people can write there
	last      snowflake // its last message when Discord told of it
}

// channel is the channel a place belongs to, itself outside of threads.
func (p place) channel() string {
	if p.parent != "" {
		return p.parent
	}
	return p.id
}

// places remembers what kind of place a channel id is. Discord tells of all it lets
// the bot see when it connects, and of changes; the rest is asked for.
type places struct {
	mu    sync.Mutex
	known map[string]place
}

func placeOf(c *discordgo.Channel, guild string) place {
	if c.GuildID != "" {
		guild = c.GuildID
	}
	p := place{id: c.ID, guild: guild, last: parseID(c.LastMessageID)}
	switch c.Type {
	case discordgo.ChannelTypeGuildPublicThread, discordgo.ChannelTypeGuildPrivateThread, discordgo.ChannelTypeGuildNewsThread:
		p.parent, p.talks = c.ParentID, true
	case discordgo.ChannelTypeDM, discordgo.ChannelTypeGroupDM:
		p.private, p.talks = true, true
	case discordgo.ChannelTypeGuildText, discordgo.ChannelTypeGuildNews:
		p.talks = true
	}
	return p
}

func (ps *places) set(p place) {
	ps.mu.Lock()
	defer ps.mu.Unlock()
	ps.known[p.id] = p
}

// disconnected drops what is only right while connected.
func (ps *places) disconnected() {
	ps.mu.Lock()
	defer ps.mu.Unlock()
	for id, p := range ps.known {
		p.last = 0
		ps.known[id] = p
	}
}

func (ps *places) forget(id string) {
	ps.mu.Lock()
	defer ps.mu.Unlock()
	delete(ps.known, id)
}

func (ps *places) get(id string) (place, bool) {
	ps.mu.Lock()
	defer ps.mu.Unlock()
	p, ok := ps.known[id]
	return p, ok
}

func (ps *places) all() []place {
	ps.mu.Lock()
	defer ps.mu.Unlock()
	out := make([]place, 0, len(ps.known))
	for _, p := range ps.known {
		out = append(out, p)
	}
	return out
}

// placeFor finds out what a channel id is.
func (a *Adapter) placeFor(ctx context.Context, id string) (place, error) {
	if p, ok := a.places.get(id); ok {
		return p, nil
	}
	if m := a.marks.room(id); m.Parent != "" || m.DM {
		p := place{id: id, guild: a.c.Guild, parent: m.Parent, private: m.DM, talks: true}
		return p, nil
	}
	var c discordgo.Channel
	if err := a.poster.Call(ctx, get(discordgo.EndpointChannel(id)), &c); err != nil {
		return place{}, err
	}
	p := placeOf(&c, "")
	p.id = id
	a.places.set(p)
	return p, nil
}

// listens says whether the bot is to hear a place.
func (a *Adapter) listens(p place) bool {
	switch {
	case p.private:
		return true
	case a.c.Guild != "" && p.guild != "" && p.guild != a.c.Guild:
		return false
	case len(a.c.Channels) == 0:
		return true
	}
	for _, id := range a.c.Channels {
		if id == p.channel() {
			return true
		}
	}
	return false
}
