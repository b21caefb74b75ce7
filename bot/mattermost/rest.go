package mattermost

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"strconv"
	"time"

	"github.com/mattermost/mattermost/server/public/model"

	"shimwright/bot"
)

// requestTime is how long one request may take, a file's upload included.
const requestTime = 25 * time.Second

// apiFault is an answer of the server that is none, or that there was no answer.
type apiFault struct {
	status int    // 0: the request failed on its way
	id     string // the server's name for it
	after  time.Duration
	err    error
}

func (f *apiFault) Error() string {
	if f.status == 0 {
		return "the server cannot be reached: " + f.err.Error()
	}
	name := f.id
	if name == "" {
		name = http.StatusText(f.status)
	}
	return fmt.Sprintf("the server answers %d %s", f.status, name)
}

func (f *apiFault) Unwrap() error { return f.err }

// fault makes what Client4 gives an error that says enough to decide by. Bodies
// that are not JSON, as of 429, come as errors of the decoder; the status is right.
func (a *Adapter) fault(resp *model.Response, err error) error {
	if err == nil {
		return nil
	}
	f := &apiFault{err: err}
	if resp != nil {
		f.status = resp.StatusCode
		if f.status == http.StatusTooManyRequests {
			f.after = retryAfter(resp.Header)
		}
	}
	if app := (*model.AppError)(nil); errors.As(err, &app) {
		f.id = app.Id
	}
	if f.status == http.StatusUnauthorized {
		if box := a.inbox.Load(); box != nil {
			box.doubtToken()
		}
	}
	return f
}

// retryAfter reads how many seconds the server wants to be left alone.
func retryAfter(h http.Header) time.Duration {
	for _, name := range []string{"Retry-After", "X-Ratelimit-Reset"} {
		if n, err := strconv.Atoi(h.Get(name)); err == nil && n >= 0 && n <= 3600 {
			return max(time.Second, time.Duration(n)*time.Second)
		}
	}
	return time.Second
}

func statusOf(err error) int {
	if f := (*apiFault)(nil); errors.As(err, &f) {
		return f.status
	}
	return 0
}

// gone says that what was asked for is not there, or not for this account.
func gone(err error) bool {
	s := statusOf(err)
	return s == http.StatusNotFound || s == http.StatusForbidden || s == http.StatusBadRequest
}

// sendError sorts a fault the way Send promises.
func sendError(err error) error {
	f := (*apiFault)(nil)
	if !errors.As(err, &f) {
		return err
	}
	switch {
	case f.status == http.StatusTooManyRequests:
		return &bot.LaterError{After: f.after, Err: err}
	case f.status == http.StatusUnauthorized, f.status == http.StatusRequestTimeout, f.status < 400, f.status >= 500:
		return err
	}
	return fmt.Errorf("%w: %w", bot.ErrRefused, err)
}

// identify asks whose token it is, and what the server takes.
func (a *Adapter) identify(ctx context.Context) (*self, error) {
	u, resp, err := a.api.GetMe(ctx, "")
	if err := a.fault(resp, err); err != nil {
		return nil, err
	}
	if u == nil || u.Id == "" {
		return nil, errors.New("the server answers, but not like a chat server; is the address right?")
	}
	me := &self{id: u.Id, name: u.Username, mention: newMention(u.Username)}
	if date, err := http.ParseTime(resp.Header.Get("Date")); err == nil {
		me.skew = date.Sub(a.now())
	}
	a.mu.Lock()
	a.me = me
	a.mu.Unlock()
	return me, nil
}

// who is the account; it asks the first time.
func (a *Adapter) who(ctx context.Context) (*self, error) {
	a.mu.Lock()
	me := a.me
	a.mu.Unlock()
	if me != nil {
		return me, nil
	}
	return a.identify(ctx)
}

// readLimits asks what the server takes. Without an answer the smallest values that
// were ever the default stay.
func (a *Adapter) readLimits(ctx context.Context) error {
	// Client4.GetClientConfig leaves out format=old, without which 9.x answers 400.
	resp, err := a.api.DoAPIGet(ctx, "/config/client?format=old", "")
	if err := a.fault(model.BuildResponse(resp), err); err != nil {
		return err
	}
	defer resp.Body.Close()
	var c map[string]string
	if err := json.NewDecoder(http.MaxBytesReader(nil, resp.Body, 1<<20)).Decode(&c); err != nil {
		return fmt.Errorf("the server's settings cannot be read: %w", err)
	}
	a.mu.Lock()
	defer a.mu.Unlock()
	if n, err := strconv.Atoi(c["MaxPostSize"]); err == nil && n >= 1000 {
		a.limits.post = n
	}
	if n, err := strconv.Atoi(c["MaxFileSize"]); err == nil && n > 0 {
		a.limits.file = n
	}
	return nil
}

// user is what is to be known of an account.
type user struct {
	name string
	bot  bool
}

// knownUsers is how many accounts are remembered.
const knownUsers = 5000

// lookUp gives accounts by their ids; those the server does not know are missing.
func (a *Adapter) lookUp(ctx context.Context, ids []string) (map[string]user, error) {
	found := map[string]user{}
	var ask []string
	a.mu.Lock()
	for _, id := range ids {
		if u, ok := a.users[id]; ok {
			found[id] = u
		} else {
			ask = append(ask, id)
		}
	}
	a.mu.Unlock()
	if len(ask) == 0 {
		return found, nil
	}
	list, resp, err := a.api.GetUsersByIds(ctx, ask)
	if err := a.fault(resp, err); err != nil {
		if gone(err) {
			return found, nil
		}
		return nil, err
	}
	a.mu.Lock()
	defer a.mu.Unlock()
	if len(a.users) > knownUsers {
		clear(a.users)
	}
	for _, u := range list {
		if u != nil {
			a.users[u.Id] = user{name: u.Username, bot: u.IsBot}
			found[u.Id] = a.users[u.Id]
		}
	}
	return found, nil
}
