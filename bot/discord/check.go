package discord

import (
	"context"
	"fmt"
	"io"
	"net/http"
	"strings"
	"time"

	"github.com/bwmarrin/discordgo"
)

// Finding is one thing that was looked at.
type Finding struct {
	OK   bool
	What string // what was found
	Do   string // what to do about it; empty when OK
}

// Flags of an application that say whether it gets the text of messages.
// Source: Discord developer documentation, "Application", Application Flags.
const (
	flagMessageContent        = 1 << 18
	flagMessageContentLimited = 1 << 19
)

// skewAllowed is how far the clock may be off before reminders and ids suffer.
const skewAllowed = 5 * time.Second

// permission is one the bot needs, and what for.
type permission struct {
	bit  int64
	name string
	why  string
}

// needed is what the bot's role must be allowed in each of its channels.
func needed() []permission {
	return []permission{
		{discordgo.PermissionViewChannel, "View Channel", "to hear what is said"},
		{discordgo.PermissionSendMessages, "Send Messages", "to answer"},
		{discordgo.PermissionSendMessagesInThreads, "Send Messages in Threads", "to answer in a job's thread"},
		{discordgo.PermissionCreatePublicThreads, "Create Public Threads", "to open a thread for each job"},
		{discordgo.PermissionAttachFiles, "Attach Files", "to show pictures"},
		{discordgo.PermissionReadMessageHistory, "Read Message History", "to catch up on what was said while it was away"},
	}
}

// Check looks at token, application, servers, channels, permissions and clock,
// without connecting to the gateway. The error says why it could not go on; what it
// found until then is given all the same.
func (a *Adapter) Check(ctx context.Context) ([]Finding, error) {
	var found []Finding
	ok := func(format string, args ...any) {
		found = append(found, Finding{OK: true, What: fmt.Sprintf(format, args...)})
	}
	bad := func(do, format string, args ...any) {
		found = append(found, Finding{What: fmt.Sprintf(format, args...), Do: do})
	}
	skew, err := a.skew(ctx)
	switch {
	case err != nil:
		bad("look at the network: this machine must reach discord.com over https.", "Discord does not answer: %v", err)
		return found, err
	case skew.Abs() > skewAllowed:
		bad("set the clock by the network (NTP): reminders and catching up go by it.", "the clock is off by %v", skew.Round(time.Second))
	default:
		ok("the clock agrees with Discord's to %v", skewAllowed)
	}
	var me discordgo.User
	if err := a.poster.Call(ctx, get(discordgo.EndpointUser("@me")), &me); err != nil {
		bad("make a new token on the application's Bot page, and give it without the word Bot.", "the token is not taken: %v", err)
		return found, err
	}
	if !me.Bot {
		bad("take the token of the application's Bot page.", "the token is not a bot's")
	}
	a.setOwn(me.ID, "")
	ok("the token is that of the bot %q", me.Username)

	var app struct {
		Flags int64 `json:"flags"`
	}
	if err := a.poster.Call(ctx, get(discordgo.EndpointApplications+"/@me"), &app); err != nil {
		bad("", "the application cannot be looked at: %v", err)
	} else if has := app.Flags&(flagMessageContent|flagMessageContentLimited) != 0; has != a.c.MessageContent {
		if has {
			bad("set message_content: yes, or switch the intent off again.", "Message Content Intent is on and not used")
		} else {
			bad("switch it on on the application's Bot page, or set message_content: no.", "Message Content Intent is off, and Discord will turn the bot away")
		}
	} else if has {
		ok("Message Content Intent is on")
	} else {
		ok("Message Content Intent is off: only mentions, private messages, buttons, commands and forms have their text")
	}
	var gate struct {
		Limit struct {
			Remaining int `json:"remaining"`
			Total     int `json:"total"`
		} `json:"session_start_limit"`
	}
	if err := a.poster.Call(ctx, get(discordgo.EndpointGatewayBot), &gate); err != nil {
		bad("", "the gateway's address is not to be had: %v", err)
	} else if gate.Limit.Total > 0 && gate.Limit.Remaining < 50 {
		bad("find out what restarts so often; at 0 Discord resets the token.", "only %d of %d connections are left for today", gate.Limit.Remaining, gate.Limit.Total)
	}
	a.checkServers(ctx, &found)
	return found, nil
}

// checkServers looks at each server and channel.
func (a *Adapter) checkServers(ctx context.Context, found *[]Finding) {
	add := func(f Finding) { *found = append(*found, f) }
	var in []discordgo.UserGuild
	if err := a.poster.Call(ctx, get(discordgo.EndpointUserGuilds("@me")), &in); err != nil {
		add(Finding{What: fmt.Sprintf("the bot's servers cannot be listed: %v", err)})
	} else if len(in) == 0 {
		add(Finding{What: "the bot is on no server", Do: "open the invitation link of the deploy page and choose the shop's server."})
		return
	}
	member := a.c.Guild == ""
	for _, g := range in {
		member = member || g.ID == a.c.Guild
	}
	if !member {
		add(Finding{What: "the bot is not on server " + a.c.Guild, Do: "open the invitation link and choose that server, or correct the server's id."})
	}
	for _, id := range a.c.Channels {
		a.checkChannel(ctx, id, add)
	}
	if len(a.c.Channels) == 0 {
		add(Finding{OK: true, What: "it listens in every channel it can see; name channels to look at their permissions"})
	}
}

func (a *Adapter) checkChannel(ctx context.Context, id string, add func(Finding)) {
	var c discordgo.Channel
	if err := a.poster.Call(ctx, get(discordgo.EndpointChannel(id)), &c); err != nil {
		do := "correct the channel's id."
		if codeOf(err) == codeNoAccess {
			do = "give the bot's role View Channel there."
		}
		add(Finding{What: fmt.Sprintf("channel %s cannot be seen: %v", id, err), Do: do})
		return
	}
	if !placeOf(&c, "").talks {
		add(Finding{What: "#" + c.Name + " is not a text channel", Do: "name a text channel."})
		return
	}
	var g discordgo.Guild
	var m discordgo.Member
	if err := a.poster.Call(ctx, get(discordgo.EndpointGuild(c.GuildID)), &g); err != nil {
		add(Finding{What: fmt.Sprintf("the server of #%s cannot be looked at: %v", c.Name, err)})
		return
	}
	if err := a.poster.Call(ctx, get(discordgo.EndpointGuildMember(c.GuildID, a.ownID())), &m); err != nil {
		add(Finding{What: fmt.Sprintf("the bot's roles cannot be looked at: %v", err)})
		return
	}
	has := permissions(&g, &c, m.Roles, a.ownID())
	var missing, why []string
	for _, p := range needed() {
		if has&p.bit == 0 {
			missing, why = append(missing, p.name), append(why, p.name+" "+p.why)
		}
	}
	if len(missing) == 0 {
		add(Finding{OK: true, What: "#" + c.Name + ": all permissions are there"})
		return
	}
	add(Finding{What: fmt.Sprintf("#%s: %s missing", c.Name, strings.Join(missing, ", ")), Do: "allow the bot's role " + strings.Join(why, "; ") + "."})
}

// everything is what owners and administrators may do; discordgo's PermissionAll
// leaves out the newer permissions, threads among them.
const everything = ^int64(0)

// permissions computes what a member may do in a channel.
// Source: Discord developer documentation, "Permissions", Permission Overwrites.
func permissions(g *discordgo.Guild, c *discordgo.Channel, roles []string, user string) int64 {
	if g.OwnerID == user {
		return everything
	}
	mine := map[string]bool{g.ID: true} // everybody has the role with the server's id
	for _, id := range roles {
		mine[id] = true
	}
	var has int64
	for _, r := range g.Roles {
		if mine[r.ID] {
			has |= r.Permissions
		}
	}
	if has&discordgo.PermissionAdministrator != 0 {
		return everything
	}
	var everyone, byRole, byUser discordgo.PermissionOverwrite
	for _, o := range c.PermissionOverwrites {
		switch {
		case o.ID == g.ID:
			everyone = *o
		case o.Type == discordgo.PermissionOverwriteTypeRole && mine[o.ID]:
			byRole.Allow |= o.Allow
			byRole.Deny |= o.Deny
		case o.Type == discordgo.PermissionOverwriteTypeMember && o.ID == user:
			byUser = *o
		}
	}
	for _, o := range []discordgo.PermissionOverwrite{everyone, byRole, byUser} {
		has = has&^o.Deny | o.Allow
	}
	return has
}

// skew is how far this machine's clock is ahead of Discord's.
func (a *Adapter) skew(ctx context.Context) (time.Duration, error) {
	req, err := http.NewRequestWithContext(ctx, http.MethodGet, discordgo.EndpointGateway, nil)
	if err != nil {
		return 0, err
	}
	began := a.c.Now()
	resp, err := a.plain.Do(req)
	if err != nil {
		return 0, err
	}
	defer resp.Body.Close()
	_, _ = io.Copy(io.Discard, io.LimitReader(resp.Body, 1<<16))
	theirs, err := http.ParseTime(resp.Header.Get("Date"))
	if err != nil {
		return 0, fmt.Errorf("it does not say the time: %w", err)
	}
	ours := began.Add(a.c.Now().Sub(began) / 2)
	return ours.Sub(theirs.Add(500 * time.Millisecond)), nil // the header counts in whole seconds
}
