package main

import (
	"context"
	"errors"
	"log/slog"
	"slices"
	"strings"
	"sync"
	"time"
	"unicode"
	"unicode/utf8"

	"shimwright/bot"
)

// platform is what both chat platforms' adapters can do.
type platform interface {
	bot.Adapter
	bot.Threader
	bot.Filer
	bot.Chooser
	bot.Direct
	bot.Linker
}

// gate lies between a platform and the bot: it lets through what the shop's
// configuration wants said and heard, and counts both.
type gate struct {
	platform
	name     string
	channels []string // heard, with their threads and private talks; empty for all
	quiet    quietConfig
	names    []string // what the bot listens to
	private  func(context.Context, bot.Place) (bool, error)
	log      *slog.Logger
	meter    *meter
	givenUp  func(on string, err error)

	mu   sync.Mutex
	told map[bot.Place]bool // places whose messages are left alone, already logged
}

// newGate puts a gate before a platform. An adapter that can edit stays one that can.
func newGate(g *gate) bot.Adapter {
	g.told = map[bot.Place]bool{}
	if e, ok := g.platform.(bot.Editor); ok {
		return struct {
			*gate
			bot.Editor
		}{g, e}
	}
	return g
}

// Run is the platform's, until it is given up.
func (g *gate) Run(ctx context.Context, deliver bot.Deliver) error {
	g.meter.up.WithLabelValues(g.name).Set(1)
	defer g.meter.up.WithLabelValues(g.name).Set(0)
	err := g.platform.Run(ctx, func(ctx context.Context, m bot.Message) error { return g.hear(ctx, m, deliver) })
	if err != nil && ctx.Err() == nil {
		g.givenUp(g.name, err)
	}
	return err
}

func (g *gate) hear(ctx context.Context, m bot.Message, deliver bot.Deliver) error {
	heard, err := g.hears(ctx, m)
	switch {
	case err != nil:
		g.meter.messages.WithLabelValues(g.name, "later").Inc()
		return err
	case !heard:
		g.meter.messages.WithLabelValues(g.name, "left alone").Inc()
		return nil
	}
	began := time.Now()
	err = deliver(ctx, m)
	outcome := "taken"
	if err != nil {
		outcome = "later"
	}
	g.meter.messages.WithLabelValues(g.name, outcome).Inc()
	g.meter.turn.WithLabelValues(g.name).Observe(time.Since(began).Seconds())
	return err
}

// hears says whether a message is the bot's business. What is said by programs is
// the bot's to leave alone.
func (g *gate) hears(ctx context.Context, m bot.Message) (bool, error) {
	if m.Bot {
		return true, nil
	}
	if len(g.channels) > 0 && !slices.Contains(g.channels, string(m.Place)) {
		private, err := g.private(ctx, m.Place)
		if err != nil {
			return false, err
		}
		if !private {
			if g.first(m.Place) {
				g.log.Info("messages of a channel that is not in the configuration are ignored", "platform", g.name, "channel", m.Place)
			}
			return false, nil
		}
	}
	return !g.quiet.calledOnly || m.Thread != "" || m.Addressed || called(g.names, m.Text), nil
}

func (g *gate) first(at bot.Place) bool {
	g.mu.Lock()
	defer g.mu.Unlock()
	if g.told[at] || len(g.told) > 10_000 {
		return false
	}
	g.told[at] = true
	return true
}

// called says whether a text begins with one of the bot's names.
func called(names []string, text string) bool {
	text = strings.TrimPrefix(strings.TrimSpace(text), "@")
	for _, name := range names {
		if len(text) >= len(name) && strings.EqualFold(text[:len(name)], name) {
			next, _ := utf8.DecodeRuneInString(text[len(name):])
			if !unicode.IsLetter(next) && !unicode.IsDigit(next) {
				return true
			}
		}
	}
	return false
}

// Send is the platform's, less what the shop wants less of.
func (g *gate) Send(ctx context.Context, to bot.Place, p bot.Post, nonce string) (bot.MessageID, error) {
	if g.quiet.noPings {
		p.Ping = nil
	}
	began := time.Now()
	id, err := g.platform.Send(ctx, to, p, nonce)
	outcome, later := "shown", (*bot.LaterError)(nil)
	switch {
	case err == nil:
	case errors.Is(err, bot.ErrRefused):
		outcome = "refused"
	case errors.As(err, &later):
		outcome = "later"
	default:
		outcome = "failed"
	}
	g.meter.posts.WithLabelValues(g.name, outcome).Inc()
	g.meter.post.WithLabelValues(g.name).Observe(time.Since(began).Seconds())
	return id, err
}

// ChoiceLimits is the platform's, or none where the shop wants no buttons.
func (g *gate) ChoiceLimits() (count, runes int) {
	if g.quiet.noButtons {
		return 0, 0
	}
	return g.platform.ChoiceLimits()
}
