package discord

import (
	"context"
	"errors"
	"fmt"
	"net"
	"net/http"
	"net/url"
	"strings"
)

// apiHost is where discordgo sends its requests; its endpoints are package
// variables of that library, so another address is put in on the way out.
const apiHost = "discord.com"

// parseBase reads another address for Discord's API. Only this machine may be
// named: the token goes there, unencrypted.
func parseBase(text string) (*url.URL, error) {
	if text == "" {
		return nil, nil
	}
	u, err := url.Parse(text)
	switch {
	case err != nil:
		return nil, fmt.Errorf("the address %q of the Discord API: %w", text, err)
	case u.Scheme != "http" && u.Scheme != "https" || u.Host == "":
		return nil, fmt.Errorf("the address %q of the Discord API is not like http://127.0.0.1:8080", text)
	case !loopback(u.Hostname()):
		return nil, fmt.Errorf("the address %q of the Discord API is not on this machine, and the token would go there\nleave it out for Discord itself, or name a loopback address for a test", text)
	}
	u.Path = strings.TrimSuffix(u.Path, "/")
	return u, nil
}

// loopback says whether a host is this machine.
func loopback(host string) bool {
	if strings.EqualFold(host, "localhost") {
		return true
	}
	ip := net.ParseIP(host)
	return ip != nil && ip.IsLoopback()
}

// transport sends requests to base instead of Discord where that is set, and notes
// what came back for the call it belongs to.
type transport struct {
	base *url.URL
	next http.RoundTripper
}

func (t *transport) RoundTrip(req *http.Request) (*http.Response, error) {
	if req.URL.Host != apiHost || req.URL.Scheme != "https" {
		// A redirect, or a changed library: the token must not leave.
		return nil, fmt.Errorf("no request goes to %s://%s", req.URL.Scheme, req.URL.Host)
	}
	if t.base != nil {
		req = req.Clone(req.Context())
		req.URL.Scheme, req.URL.Host, req.Host = t.base.Scheme, t.base.Host, ""
		req.URL.Path = t.base.Path + req.URL.Path
		req.URL.RawPath = ""
	}
	resp, err := t.next.RoundTrip(req)
	if o, ok := req.Context().Value(outcomeKey{}).(*outcome); ok && resp != nil {
		o.status, o.header = resp.StatusCode, resp.Header
	}
	return resp, err
}

// outcome is what a call's last response said. discordgo gives a different kind of
// error for each way to fail, some without the status.
type outcome struct {
	status int // 0: nothing came back
	header http.Header
}

type outcomeKey struct{}

func withOutcome(ctx context.Context) (context.Context, *outcome) {
	o := &outcome{}
	return context.WithValue(ctx, outcomeKey{}, o), o
}

// newClient makes the HTTP client of a session.
func newClient(base *url.URL, next http.RoundTripper) *http.Client {
	return &http.Client{
		Timeout:   requestTime,
		Transport: &transport{base: base, next: next},
		CheckRedirect: func(*http.Request, []*http.Request) error {
			return errors.New("Discord's API does not redirect")
		},
	}
}
