// Package mattermost talks on a Mattermost server as a bot account.
//
// # What it stands on
//
// Requests go through Client4 of the official model package. The websocket is
// gorilla's (the one that package uses too) with the frames written here, because
// model.WebSocketClient lacks three things this adapter lives by: an application
// level ping whose reply is checked, since a socket whose token was revoked stays
// open and silent; a resume that asks for the sequence after the last one with the
// Authorization header and no challenge, since a challenge makes the server forget
// what was missed; and a connection that counts only once the server said hello.
//
// # What arrives once
//
// People's posts come as events. After a gap that cannot be resumed every channel
// is read since the last post taken from it; posts are told apart by their id, new
// wordings by id and time of the edit. What is taken is kept in Marks, so that the
// next start goes on where this one ended.
//
// What is sent carries its nonce in the post's props. The server knows a pending
// post id for 30 seconds; beyond that the channel's or thread's history tells
// whether the post is there already.
package mattermost

import (
	"cmp"
	"context"
	"crypto/hmac"
	"crypto/sha256"
	"crypto/tls"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"net/url"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	"github.com/gorilla/websocket"
	"github.com/mattermost/mattermost/server/public/model"

	"shimwright/bot"
)

// Name is how accounts and the log call this platform.
const Name = "mattermost"

// Config is what an Adapter is made of.
type Config struct {
	URL   string // of the server, with the path it lives under if it has one
	Token string // of the bot account

	// CallbackURL is where the server reaches Handler. Empty: nothing reaches this
	// program from outside, and choices are typed.
	CallbackURL string
	SlashTokens []string // those of the slash commands, one for each team
	// Key signs the buttons, at least 16 bytes. Empty: one made of Token, so that a
	// new token ends the buttons shown before.
	Key []byte

	Marks Marks // nil: what was taken is forgotten at the end
	Now   func() time.Time
	Log   *slog.Logger
	// Dial connects instead of the network, for tests.
	Dial func(ctx context.Context, network, address string) (net.Conn, error)
}

// Adapter is the bot account on one server. It is safe for many goroutines.
type Adapter struct {
	base      *url.URL
	token     string
	callback  string
	slash     []string
	buttonKey []byte
	postKey   []byte
	marks     Marks
	now       func() time.Time
	log       *slog.Logger
	born      time.Time

	api       *model.Client4
	transport *http.Transport
	dialer    *websocket.Dialer

	sent    *outbox
	running atomic.Bool
	inbox   atomic.Pointer[inbox] // nil while Run does not run

	mu     sync.Mutex
	me     *self
	limits serverLimits
	users  map[string]user
}

// self is the account the token belongs to.
type self struct {
	id, name string
	skew     time.Duration // of the server's clock against this one, about a second's worth
	mention  mention
}

// serverLimits is what the server says it takes.
type serverLimits struct {
	post int // characters
	file int // bytes
}

const (
	maxFiles    = 10
	maxFileSize = 10 << 20
	maxIDLength = 26
)

// New makes an adapter. Nothing is connected before Run, Send or Check.
func New(c Config) (*Adapter, error) {
	base, err := url.Parse(strings.TrimRight(c.URL, "/"))
	switch {
	case err != nil || base.Scheme != "http" && base.Scheme != "https" || base.Host == "":
		return nil, fmt.Errorf("the address of the server is to be like https://chat.example.org, not %q", c.URL)
	case strings.TrimSpace(c.Token) == "":
		return nil, errors.New("the bot account's token is missing")
	case c.Now == nil || c.Log == nil:
		return nil, errors.New("an adapter needs a clock and a log")
	case len(c.Key) > 0 && len(c.Key) < 16:
		return nil, errors.New("the key that signs buttons needs at least 16 bytes")
	}
	callback := strings.TrimRight(c.CallbackURL, "/")
	if callback != "" && !model.IsValidHTTPURL(callback) {
		return nil, fmt.Errorf("the address the server calls is to be like http://10.0.0.5:8090, not %q", c.CallbackURL)
	}
	dial := c.Dial
	if dial == nil {
		dial = (&net.Dialer{Timeout: 10 * time.Second, KeepAlive: 30 * time.Second}).DialContext
	}
	secret := c.Key
	if len(secret) == 0 {
		secret = []byte(c.Token)
	}
	a := &Adapter{
		base: base, token: c.Token, callback: callback, slash: c.SlashTokens,
		buttonKey: derive(secret, "buttons"), postKey: derive([]byte(c.Token), "pending posts"),
		marks: c.Marks, now: c.Now, log: c.Log, born: c.Now(),
		sent:   newOutbox(),
		limits: serverLimits{post: model.PostMessageMaxRunesV1, file: maxFileSize},
		users:  map[string]user{},
	}
	a.transport = &http.Transport{
		Proxy: http.ProxyFromEnvironment, DialContext: dial, MaxIdleConnsPerHost: 8,
		IdleConnTimeout: 50 * time.Second, TLSHandshakeTimeout: 10 * time.Second,
		TLSClientConfig: &tls.Config{MinVersion: tls.VersionTLS12},
	}
	a.api = model.NewAPIv4Client(base.String())
	a.api.SetToken(c.Token)
	a.api.HTTPClient = &http.Client{
		Transport: a.transport, Timeout: requestTime,
		// The token goes to the server that was configured and nowhere else.
		CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse },
	}
	a.dialer = &websocket.Dialer{
		Proxy: http.ProxyFromEnvironment, NetDialContext: dial, HandshakeTimeout: 10 * time.Second,
		TLSClientConfig: &tls.Config{MinVersion: tls.VersionTLS12},
	}
	return a, nil
}

// derive makes a key for one purpose.
func derive(secret []byte, purpose string) []byte {
	mac := hmac.New(sha256.New, secret)
	mac.Write([]byte("shimwright " + purpose))
	return mac.Sum(nil)
}

// Limits is what one post may hold. Half of what the server takes, since signs that
// would be read as markup are escaped, less the room for names to notify.
func (a *Adapter) Limits() bot.Limits {
	a.mu.Lock()
	defer a.mu.Unlock()
	return bot.Limits{Text: (a.limits.post - pingRoom) / 2}
}

// FileLimits is what one post takes in files.
func (a *Adapter) FileLimits() (count, bytes int) {
	a.mu.Lock()
	defer a.mu.Unlock()
	return maxFiles, min(a.limits.file, maxFileSize)
}

// Direct gives the private talk with a person; see bot.Direct.
func (a *Adapter) Direct(ctx context.Context, who bot.UserID) (bot.Place, error) {
	me, err := a.who(ctx)
	if err != nil {
		return "", sendError(err)
	}
	if !model.IsValidId(string(who)) {
		return "", fmt.Errorf("%w: %q is no account of this platform", bot.ErrRefused, who)
	}
	// The server opens talks with accounts that are switched off as well: nobody would
	// ever read there.
	switch u, resp, err := a.api.GetUser(ctx, string(who), ""); {
	case err != nil:
		return "", sendError(a.fault(resp, err))
	case u.DeleteAt != 0:
		return "", fmt.Errorf("%w: the account of %s is switched off", bot.ErrRefused, u.Username)
	}
	c, resp, err := a.api.CreateDirectChannel(ctx, me.id, string(who))
	if err := a.fault(resp, err); err != nil {
		return "", sendError(err)
	}
	return placeOf(c.Id, ""), nil
}

// Link gives the address of a post, or of its thread; see bot.Linker. The server finds
// the team by itself there (from memory; not seen on a real server).
func (a *Adapter) Link(_ context.Context, at bot.Place, post bot.MessageID) string {
	_, root, ok := spotOf(at)
	id := cmp.Or(postOf(post), root)
	if !ok || id == "" {
		return ""
	}
	return a.base.String() + "/_redirect/pl/" + id
}

// placeOf names a channel or a thread of it.
func placeOf(channel, root string) bot.Place {
	if root == "" {
		return bot.Place(channel)
	}
	return bot.Place(channel + ":" + root)
}

// spotOf takes a place apart, false for none of this adapter's.
func spotOf(p bot.Place) (channel, root string, ok bool) {
	channel, root, threaded := strings.Cut(string(p), ":")
	return channel, root, model.IsValidId(channel) && (!threaded || model.IsValidId(root))
}

// OpenThread gives the thread below a message: that of its root, since the platform
// has threads of one level. Below what is no post (a slash command) or is deleted by
// now the thread gets a post of its own that says what it is about.
func (a *Adapter) OpenThread(ctx context.Context, in bot.Place, below bot.MessageID, about bot.Topic) (bot.Place, error) {
	channel, root, ok := spotOf(in)
	if !ok {
		return "", fmt.Errorf("%w: %q is no place of this platform", bot.ErrRefused, in)
	}
	if root != "" {
		return in, nil
	}
	if id := postOf(below); id != "" {
		post, resp, err := a.api.GetPost(ctx, id, "")
		switch err := a.fault(resp, err); {
		case err == nil && post.DeleteAt == 0 && post.ChannelId == channel:
			if post.RootId != "" {
				return placeOf(channel, post.RootId), nil
			}
			return placeOf(channel, post.Id), nil
		case err != nil && !gone(err):
			return "", sendError(err)
		}
	}
	id, err := a.Send(ctx, placeOf(channel, ""), bot.Post{Text: about.Title}, "thread."+string(below))
	if err != nil {
		return "", err
	}
	return placeOf(channel, string(id)), nil
}

// postOf gives the post a message id stands for: of a post itself, of an edit of it
// or of a press below it; empty for a slash command.
func postOf(id bot.MessageID) string {
	text := strings.TrimPrefix(string(id), pressPrefix)
	if len(text) < maxIDLength || !model.IsValidId(text[:maxIDLength]) {
		return ""
	}
	return text[:maxIDLength]
}

// sleep waits, or says why it did not.
func sleep(ctx context.Context, d time.Duration) error {
	timer := time.NewTimer(d)
	defer timer.Stop()
	select {
	case <-timer.C:
		return nil
	case <-ctx.Done():
		return ctx.Err()
	}
}

// What package bot asks for.
var (
	_ bot.Adapter  = (*Adapter)(nil)
	_ bot.Threader = (*Adapter)(nil)
	_ bot.Filer    = (*Adapter)(nil)
	_ bot.Chooser  = (*Adapter)(nil)
	_ bot.Editor   = (*Adapter)(nil)
	_ bot.Direct   = (*Adapter)(nil)
	_ bot.Linker   = (*Adapter)(nil)
)
