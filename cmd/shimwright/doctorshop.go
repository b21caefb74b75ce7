package main

import (
	"context"
	"errors"
	"net"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"syscall"
	"time"

	"github.com/bwmarrin/discordgo"
	"github.com/mattermost/mattermost/server/public/model"

	"shimwright/bot/discord"
	"shimwright/bot/mattermost"
)

// mattermostShop looks whether the channels and accounts of the configuration are
// what it takes them for.
func (e *examination) mattermostShop(ctx context.Context) {
	m := e.c.mattermost
	client := mattermostClient(m)
	me, _, err := client.GetMe(ctx, "")
	if err != nil {
		return // told by the adapter's own check
	}
	for _, id := range withRulesChannel(withRulesChannel(m.channels, m.rulesChannel), m.reviews) {
		e.mattermostChannel(ctx, client, id, me, "listens to")
	}
	for _, g := range e.c.groups {
		if g.on == mattermost.Name {
			e.mattermostChannel(ctx, client, g.id, me, "goes by for the role "+string(g.role))
		}
	}
	good := 0
	for _, p := range e.c.people {
		id, ok := p.Accounts[mattermost.Name]
		if !ok {
			continue
		}
		u, resp, err := client.GetUser(ctx, string(id), "")
		switch {
		case resp != nil && resp.StatusCode == http.StatusNotFound:
			e.add(wrong, "let "+p.Name+" say something while serve runs: the log shows the account", "there is no account %s, which is said to be %s's", id, p.Name)
		case err != nil:
			e.add(wrong, "", "the account of %s cannot be looked at: %v", p.Name, err)
		case u.DeleteAt != 0:
			e.add(wrong, "activate it, or take "+p.Name+" out", "the account @%s of %s is deactivated", u.Username, p.Name)
		case u.IsBot:
			e.add(wrong, "give the person's own account", "the account @%s of %s is a bot's, and bots are not listened to", u.Username, p.Name)
		default:
			good++
		}
	}
	e.ok("%s of people found", count(good, "account"))
}

func withRulesChannel(channels []string, rulesChannel string) []string {
	if rulesChannel == "" || slices.Contains(channels, rulesChannel) {
		return channels
	}
	return append(slices.Clone(channels), rulesChannel)
}

func (e *examination) mattermostChannel(ctx context.Context, client *model.Client4, id string, me *model.User, what string) {
	_, resp, err := client.GetChannelMember(ctx, id, me.Id, "")
	switch {
	case err == nil:
	case resp != nil && (resp.StatusCode == http.StatusNotFound || resp.StatusCode == http.StatusForbidden):
		e.add(wrong, "in that channel: /invite @"+me.Username+", or correct the id", "@%s is not in channel %s, which it %s", me.Username, id, what)
	default:
		e.add(wrong, "", "channel %s cannot be looked at: %v", id, err)
	}
}

// inbound looks at the way from Mattermost to this program.
func (e *examination) inbound(ctx context.Context) {
	m := e.c.mattermost
	if m.listen == "" {
		return
	}
	l, err := net.Listen("tcp", m.listen)
	switch {
	case err == nil:
		l.Close()
		e.ok("%s is free for serve to listen on", m.listen)
		return
	case errors.Is(err, syscall.EADDRINUSE):
	default:
		e.add(wrong, "listen: takes an address of this machine", "%s cannot be listened on: %v", m.listen, err)
		return
	}
	ctx, cancel := context.WithTimeout(ctx, 5*time.Second)
	defer cancel()
	req, err := http.NewRequestWithContext(ctx, http.MethodGet, strings.TrimRight(m.calledAt, "/")+"/action", nil)
	if err != nil {
		e.add(wrong, "", "%v", err)
		return
	}
	resp, err := http.DefaultClient.Do(req)
	if err != nil {
		why := err
		if u := (*url.Error)(nil); errors.As(err, &u) {
			why = u.Err
		}
		e.add(look, "try it from the chat server: curl "+req.URL.String(), "%s does not answer from this machine: %v", m.calledAt, why)
		return
	}
	resp.Body.Close()
	if resp.StatusCode != http.StatusMethodNotAllowed {
		e.add(wrong, "end the other program, or name another port", "something else than serve answers at %s", m.calledAt)
		return
	}
	e.ok("serve runs and answers at %s", m.calledAt)
}

// discordShop looks whether the roles and accounts of the configuration are there.
func (e *examination) discordShop(ctx context.Context, a *discord.Adapter) {
	d := e.c.discord
	roles, err := discordRoles(ctx, d)
	if err != nil {
		e.add(look, "", "the server's roles cannot be looked at: %v", err)
	}
	for _, g := range e.c.groups {
		if g.on == discord.Name && err == nil && !slices.Contains(roles, g.id) {
			e.add(wrong, "Server Settings > Roles, then Copy Role ID", "the server has no role %s, which stands for %s", g.id, g.role)
		}
	}
	good := 0
	for _, p := range e.c.people {
		id, ok := p.Accounts[discord.Name]
		if !ok {
			continue
		}
		m, there, err := a.Member(ctx, id)
		switch {
		case err != nil:
			e.add(wrong, "", "the account of %s cannot be looked at: %v", p.Name, err)
		case !there:
			e.add(wrong, "invite "+p.Name+" to the server, or correct the id: right-click or hold the name and Copy User ID", "account %s of %s is not on the server", id, p.Name)
		case m.Bot:
			e.add(wrong, "give the person's own account", "the account %s of %s is a bot's, and bots are not listened to", m.Name, p.Name)
		default:
			good++
		}
	}
	e.ok("%s of people found", count(good, "account"))
}

// discordRoles gives the ids of the server's roles, where any are gone by.
func discordRoles(ctx context.Context, d *discordConfig) ([]string, error) {
	s, err := discordgo.New("Bot " + d.token)
	if err != nil {
		return nil, err
	}
	s.Client = &http.Client{Timeout: roleTime, CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
	s.MaxRestRetries = 1
	if d.base != "" {
		base, err := url.Parse(d.base)
		if err != nil {
			return nil, err
		}
		s.Client.Transport = elsewhere{base}
	}
	guild, err := s.Guild(d.guild, discordgo.WithContext(ctx))
	if err != nil {
		return nil, err
	}
	var ids []string
	for _, r := range guild.Roles {
		ids = append(ids, r.ID)
	}
	return ids, nil
}

// elsewhere sends Discord's requests to another address, for tests.
type elsewhere struct{ base *url.URL }

// RoundTrip is http.RoundTripper's.
func (e elsewhere) RoundTrip(r *http.Request) (*http.Response, error) {
	r = r.Clone(r.Context())
	r.URL.Scheme, r.URL.Host, r.Host = e.base.Scheme, e.base.Host, ""
	return http.DefaultTransport.RoundTrip(r)
}
