package main

import (
	"context"
	"fmt"
	"net/http"
	"slices"
	"sync"
	"time"

	"github.com/mattermost/mattermost/server/public/model"

	"shimwright/bot"
	"shimwright/bot/discord"
	"shimwright/bot/mattermost"
)

const (
	roleLife     = 5 * time.Minute // how long somebody's role is gone by before it is asked for again
	strangerLife = time.Minute
	roleTime     = 10 * time.Second
)

// roleBook finds out who newcomers are: by the channels of Mattermost they are in,
// by the roles of Discord they have. The first entry of the configuration that fits
// counts.
type roleBook struct {
	groups     []groupRole
	reviewed   bool // somebody of the shop may review
	mattermost *model.Client4
	discord    memberOf
	guild      string
	now        func() time.Time

	mu      sync.Mutex
	known   map[string]knownRole
	private map[bot.Place]bool
}

// memberOf looks an account of Discord's server up; the adapter's Member.
type memberOf func(context.Context, bot.UserID) (discord.Member, bool, error)

type knownRole struct {
	person bot.Person
	ok     bool
	until  time.Time
}

// newRoleBook makes one. Lookups on Discord go through its adapter, to be set.
func newRoleBook(c *config, now func() time.Time) *roleBook {
	b := &roleBook{groups: c.groups, reviewed: c.reviewed(), now: now, known: map[string]knownRole{}, private: map[bot.Place]bool{}}
	if m := c.mattermost; m != nil {
		b.mattermost = mattermostClient(m)
	}
	if d := c.discord; d != nil {
		b.guild = d.guild
	}
	return b
}

func mattermostClient(m *mattermostConfig) *model.Client4 {
	client := model.NewAPIv4Client(m.url)
	client.SetToken(m.token)
	// The token goes to the server that was configured and nowhere else.
	client.HTTPClient = &http.Client{Timeout: roleTime, CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
	return client
}

// newcomer is bot.Newcomer.
func (b *roleBook) newcomer(ctx context.Context, on string, who bot.UserID) (bot.Person, bool, error) {
	key := on + " " + string(who)
	b.mu.Lock()
	k, ok := b.known[key]
	b.mu.Unlock()
	if ok && b.now().Before(k.until) {
		return k.person, k.ok, nil
	}
	ctx, cancel := context.WithTimeout(ctx, roleTime)
	defer cancel()
	var err error
	if on == mattermost.Name {
		k.person, k.ok, err = b.onMattermost(ctx, string(who))
	} else {
		k.person, k.ok, err = b.onDiscord(ctx, string(who))
	}
	if err != nil {
		return bot.Person{}, false, err
	}
	if !b.reviewed {
		k.person.Looked = nowhere()
	}
	k.until = b.now().Add(strangerLife)
	if k.ok {
		k.until = b.now().Add(roleLife)
	}
	b.mu.Lock()
	defer b.mu.Unlock()
	if len(b.known) > 10_000 {
		clear(b.known)
	}
	b.known[key] = k
	return k.person, k.ok, nil
}

func (b *roleBook) onMattermost(ctx context.Context, user string) (bot.Person, bool, error) {
	for _, g := range b.groups {
		if g.on != mattermost.Name {
			continue
		}
		_, resp, err := b.mattermost.GetChannelMember(ctx, g.id, user, "")
		switch {
		case err == nil:
			u, _, err := b.mattermost.GetUser(ctx, user, "")
			if err != nil {
				return bot.Person{}, false, fmt.Errorf("mattermost does not say who an account is: %w", err)
			}
			return bot.Person{Name: u.Username, Role: g.role, Units: g.units}, !u.IsBot, nil
		case resp != nil && (resp.StatusCode == http.StatusNotFound || resp.StatusCode == http.StatusForbidden):
			// Not in it, or the bot is not: doctor tells the second.
		default:
			return bot.Person{}, false, fmt.Errorf("mattermost does not say who is in channel %s: %w", g.id, err)
		}
	}
	return bot.Person{}, false, nil
}

func (b *roleBook) onDiscord(ctx context.Context, user string) (bot.Person, bool, error) {
	asked := false
	for _, g := range b.groups {
		asked = asked || g.on == discord.Name
	}
	if !asked {
		return bot.Person{}, false, nil
	}
	m, there, err := b.discord(ctx, bot.UserID(user))
	if err != nil || !there || m.Bot {
		return bot.Person{}, false, err
	}
	for _, g := range b.groups {
		// Everybody has the role with the server's id.
		if g.on == discord.Name && (g.id == b.guild || slices.Contains(m.Roles, g.id)) {
			return bot.Person{Name: m.Name, Role: g.role, Units: g.units}, true, nil
		}
	}
	return bot.Person{}, false, nil
}

// privateTalk says whether a place of Mattermost is a private talk.
func (b *roleBook) privateTalk(ctx context.Context, at bot.Place) (bool, error) {
	b.mu.Lock()
	private, ok := b.private[at]
	b.mu.Unlock()
	if ok {
		return private, nil
	}
	ctx, cancel := context.WithTimeout(ctx, roleTime)
	defer cancel()
	c, resp, err := b.mattermost.GetChannel(ctx, string(at))
	switch {
	case err == nil:
		private = c.Type == model.ChannelTypeDirect || c.Type == model.ChannelTypeGroup
	case resp != nil && (resp.StatusCode == http.StatusNotFound || resp.StatusCode == http.StatusForbidden):
	default:
		return false, fmt.Errorf("mattermost does not say what channel %s is: %w", at, err)
	}
	b.mu.Lock()
	defer b.mu.Unlock()
	b.private[at] = private
	return private, nil
}
