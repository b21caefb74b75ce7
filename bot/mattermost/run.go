package mattermost

import (
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"net/http"
	"time"

	"shimwright/bot"
)

const (
	firstPause = 250 * time.Millisecond // before connecting again, then doubled
	longPause  = 30 * time.Second
	tokenTries = 3 // how often a token that worked is refused before it is given up
	tokenPause = time.Second
)

// errToken ends Run.
var errToken = errors.New("the server does not accept the bot account's token: it was revoked, has run out, or the account is disabled.\n" +
	"make a new token for the account (Integrations > Bot Accounts) and put it in the configuration")

// Run connects and hands out what people say; see bot.Adapter.
func (a *Adapter) Run(ctx context.Context, deliver bot.Deliver) error {
	if !a.running.CompareAndSwap(false, true) {
		return errors.New("this adapter runs already")
	}
	defer a.running.Store(false)
	defer a.transport.CloseIdleConnections()

	var box *inbox
	var s session
	defer func() {
		if box != nil {
			a.inbox.Store(nil)
			box.close()
		}
	}()
	pause, refused, worked := firstPause, 0, false
	for {
		me, err := a.identify(ctx)
		switch {
		case ctx.Err() != nil:
			return nil
		case statusOf(err) == http.StatusUnauthorized:
			// A server whose database is away says the same for a moment.
			if refused++; !worked || refused == tokenTries {
				return errToken
			}
			if sleep(ctx, tokenPause) != nil {
				return nil
			}
			continue
		}
		refused = 0
		if err == nil && box == nil {
			if limits := a.readLimits(ctx); limits != nil && ctx.Err() == nil {
				a.log.Warn("the server's limits are not known; going by the smallest", "platform", Name, "error", limits)
			}
			if box, err = newInbox(ctx, a, me, deliver); err == nil {
				a.inbox.Store(box)
			}
		}
		if err == nil {
			worked = true
			box.trustToken()
			var connected bool
			if connected, err = a.listen(ctx, &s, box); connected {
				pause = firstPause
			}
		}
		if ctx.Err() != nil {
			return nil
		}
		wait := pause/2 + rand.N(pause)
		if later := (*bot.LaterError)(nil); errors.As(err, &later) {
			wait = later.After
		} else if f := (*apiFault)(nil); errors.As(err, &f) && f.after > 0 {
			wait = f.after
		}
		a.log.Warn("not connected; trying again", "platform", Name, "in", wait.Round(time.Millisecond), "error", fmt.Sprint(err))
		if sleep(ctx, wait) != nil {
			return nil
		}
		pause = min(2*pause, longPause)
	}
}
