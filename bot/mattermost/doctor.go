package mattermost

import (
	"context"
	"fmt"
	"net"
	"net/http"
	"net/url"
	"strings"
	"time"

	"github.com/mattermost/mattermost/server/public/model"
)

// Finding is one thing Check looked at.
type Finding struct {
	OK   bool
	What string // what was found
	Do   string // what to do about it; empty where there is nothing
}

const (
	skewLimit  = 30 * time.Second
	checkTime  = 20 * time.Second
	namesShown = 8
)

// Check looks at all that the bot account needs on the server, and writes nothing
// there. It ends at the first thing without which the rest cannot be seen.
func (a *Adapter) Check(ctx context.Context) []Finding {
	ctx, cancel := context.WithTimeout(ctx, checkTime)
	defer cancel()
	var out []Finding
	good := func(format string, args ...any) {
		out = append(out, Finding{OK: true, What: fmt.Sprintf(format, args...)})
	}
	bad := func(do, format string, args ...any) {
		out = append(out, Finding{What: fmt.Sprintf(format, args...), Do: do})
	}
	if a.base.Scheme == "http" && !loopback(a.base.Hostname()) {
		bad("use https, unless the network between is the shop's own", "the server's address is plain http: the token can be read on the way")
	}
	u, resp, err := a.api.GetMe(ctx, "")
	if err := a.fault(resp, err); err != nil {
		if statusOf(err) == http.StatusUnauthorized {
			bad("make a new token for the bot account (Integrations > Bot Accounts) and put it in the configuration", "the token is not accepted")
		} else {
			bad("check the address and that the server runs", "%v", err)
		}
		return out
	}
	good("the token is that of @%s", u.Username)
	if !u.IsBot {
		bad("make a bot account and use its token: a person's account can do more and is mistaken for that person", "@%s is a person's account", u.Username)
	}
	if strings.Contains(u.Roles, model.SystemAdminRoleId) {
		bad("take the role away (System Console > Users): membership in the channels is enough", "@%s may administrate the whole server", u.Username)
	}
	if date, err := http.ParseTime(resp.Header.Get("Date")); err == nil {
		if skew := date.Sub(a.now()); skew.Abs() > skewLimit {
			bad("set the clock, best by NTP", "this clock and the server's are %v apart", skew.Abs().Round(time.Second))
		} else {
			good("the clocks agree")
		}
	}
	if v := resp.ServerVersion; v != "" {
		good("the server is version %s", strings.Join(strings.SplitN(v, ".", 4)[:min(3, strings.Count(v, ".")+1)], "."))
	}
	if err := a.readLimits(ctx); err != nil {
		bad("", "what the server takes is not known (%v); going by the smallest", err)
	} else {
		_, size := a.FileLimits()
		good("a post takes %d characters, a file %d MiB", a.Limits().Text, size>>20)
	}
	a.checkChannels(ctx, u.Username, good, bad)
	a.checkSocket(ctx, good, bad)
	a.checkCallback(good, bad)
	return out
}

type (
	goodFunc func(format string, args ...any)
	badFunc  func(do, format string, args ...any)
)

func (a *Adapter) checkChannels(ctx context.Context, name string, good goodFunc, bad badFunc) {
	if _, err := a.identify(ctx); err != nil {
		bad("", "%v", err)
		return
	}
	channels, err := a.channels(ctx)
	if err != nil {
		bad("", "the channels cannot be read: %v", err)
		return
	}
	var names []string
	for _, c := range channels {
		switch {
		case isDirect(c.Type):
		case c.DeleteAt != 0:
			bad("take it out of the archive, or use another channel", "the channel %q is archived: nothing can be posted there", c.DisplayName)
		default:
			names = append(names, c.DisplayName)
		}
	}
	if len(names) == 0 {
		bad("add it to the team, then in the shop's channel: /invite @"+name, "@%s is in no channel", name)
		return
	}
	more := ""
	if n := len(names) - namesShown; n > 0 {
		names, more = names[:namesShown], fmt.Sprintf(" and %d more", n)
	}
	good("@%s is in %s%s", name, strings.Join(names, ", "), more)
}

// checkSocket connects as Run does, and waits for the hello.
func (a *Adapter) checkSocket(ctx context.Context, good goodFunc, bad badFunc) {
	conn, err := a.dial(ctx, &session{})
	if err != nil {
		bad("let websockets through to /api/v4/websocket, in a proxy before the server as well", "events cannot be received: %v", err)
		return
	}
	defer conn.Close()
	defer context.AfterFunc(ctx, func() { conn.Close() })()
	conn.SetReadDeadline(time.Now().Add(helloTime))
	for {
		var f frame
		if err := conn.ReadJSON(&f); err != nil {
			bad("look at the server's log, and at a proxy before it", "the server opens an event connection and says nothing on it: %v", err)
			return
		}
		if f.Event == "hello" {
			good("events are received")
			return
		}
	}
}

func (a *Adapter) checkCallback(good goodFunc, bad badFunc) {
	if a.callback == "" {
		good("no address for the server to call: choices are numbers to tap or type, and there is no slash command")
		return
	}
	u, err := url.Parse(a.callback)
	if err != nil {
		bad("", "the address the server calls cannot be read: %v", err)
		return
	}
	host := u.Hostname()
	ip := net.ParseIP(host)
	if ip == nil || ip.IsPrivate() || ip.IsLoopback() || ip.IsLinkLocalUnicast() {
		good("buttons call %s; if that is inside the network, the server needs %s in AllowedUntrustedInternalConnections (System Console > Environment > Developer)", a.callback, host)
	} else {
		good("buttons call %s", a.callback)
	}
	if u.Scheme == "http" && !loopback(host) && (ip == nil || !ip.IsPrivate()) {
		bad("serve it by https", "buttons are pressed through plain http: what is on the way can be read and sent again")
	}
	if len(a.slash) == 0 {
		good("no slash command is set up")
	}
}

func loopback(host string) bool {
	ip := net.ParseIP(host)
	return host == "localhost" || ip != nil && ip.IsLoopback()
}
