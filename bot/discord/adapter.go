// Package discord is a shop's Discord server as a chat platform of package bot.
//
// What is said comes over the gateway, or, after a gap, from the channels' history;
// each channel and each thread has a queue of its own, worked off one message at a
// time. What is pressed or typed as a command is answered to Discord at once and
// then takes its place in the same queue. A thread is a job.
//
// discordgo is used behind three narrow ports (Gateway, Poster, Acker), because of
// what it does not do; the comments there say what that is.
package discord

import (
	"context"
	"errors"
	"log/slog"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	"github.com/bwmarrin/discordgo"

	"shimwright/bot"
)

// Name is how accounts and the log usually call this platform.
const Name = "discord"

// Config is what an Adapter is made of.
type Config struct {
	Token string // of the bot user, without "Bot "

	Guild    string   // the server's id; empty: each server the bot is in
	Channels []string // where it listens, with their threads; empty: everywhere; private messages always

	// MessageContent asks for the privileged intent of that name. Without it only
	// messages that mention the bot, private ones, presses, commands and forms have
	// their text.
	MessageContent bool

	API    string // another address of Discord's API, on this machine only; for tests
	Memory Memory // nil: nothing is kept over a restart
	Now    func() time.Time
	Log    *slog.Logger
}

// Adapter is one bot user on Discord. It is safe for many goroutines; Run is called
// once.
type Adapter struct {
	c       Config
	base    *url.URL // another address of the API, nil for Discord's own
	gateway Gateway
	poster  Poster
	acker   Acker
	files   *http.Client // for what people attach; never has the token
	plain   *http.Client // for the check of the clock; the API without a token
	marks   *marks
	start   snowflake // messages from here on are new where nothing was read before

	places  *places
	sending *sending
	said    *said // once-only log lines

	connected   atomic.Bool
	registering sync.Mutex // held while slash commands are brought up to date

	mu  sync.Mutex
	own identity
}

// identity is who the bot is on Discord.
type identity struct {
	user, name, application string
	// roles are the ones Discord has made for the bot, one a server. They have its
	// name, and people pick them from the list when they mean the bot.
	roles []string
}

// New makes an Adapter. It does not connect yet.
func New(c Config) (*Adapter, error) {
	switch {
	case c.Token == "":
		return nil, errors.New("Discord needs the bot's token")
	case strings.ContainsAny(c.Token, " \t\r\n"):
		return nil, errors.New("the bot's token has a space or a line break in it\ngive the token alone, without \"Bot \"")
	case c.Now == nil, c.Log == nil:
		return nil, errors.New("the Discord adapter needs a clock and a log")
	}
	for _, id := range append(slices.Clone(c.Channels), c.Guild) {
		if id != "" && parseID(id) == 0 {
			return nil, errors.New("the Discord id \"" + id + "\" is not a number\nturn on Developer Mode in Discord, then Copy Channel ID or Copy Server ID")
		}
	}
	base, err := parseBase(c.API)
	if err != nil {
		return nil, err
	}
	kept, err := openMarks(c.Memory, c.Now)
	if err != nil {
		return nil, err
	}
	next := http.DefaultTransport.(*http.Transport).Clone()
	alone := http.DefaultTransport.(*http.Transport).Clone() // no connection is shared with what may hang
	poster, err := newRest(c.Token, base, next, c.Now, c.Log)
	if err != nil {
		return nil, err
	}
	acks, err := newAcker(c.Token, base, alone)
	if err != nil {
		return nil, err
	}
	a := &Adapter{
		c: c, poster: poster, acker: acks, marks: kept,
		gateway: &gateway{
			token: c.Token, base: base, next: next, intents: intents(c.MessageContent),
			now: time.Now, log: c.Log, timing: usualTiming, // the watch goes by the machine's steady clock
		},
		files:   &http.Client{Timeout: 2 * requestTime, CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }},
		base:    base,
		plain:   newClient(base, next),
		start:   idAt(c.Now().Add(-startSlack)),
		sending: newSending(c.Now(), kept.alive),
		said:    &said{lines: map[string]bool{}},
	}
	a.places = &places{known: map[string]place{}}
	return a, nil
}

// startSlack covers a clock that is ahead of Discord's when the program starts.
const startSlack = 5 * time.Second

// intents is what the gateway is asked for, nothing more.
func intents(content bool) discordgo.Intent {
	i := discordgo.IntentsGuilds | discordgo.IntentsGuildMessages | discordgo.IntentsDirectMessages
	if content {
		i |= discordgo.IntentMessageContent
	}
	return i
}

// Run connects and delivers until ctx ends (nil) or Discord turns the bot away for
// good (a *TurnedAway).
func (a *Adapter) Run(ctx context.Context, deliver bot.Deliver) error {
	inner, stop := context.WithCancel(ctx)
	defer stop()
	r := newRun(inner, a, deliver)
	saved := make(chan struct{})
	go func() { defer close(saved); a.saveMarks(inner) }()
	err := a.gateway.Listen(inner, r.hear)
	a.connected.Store(false)
	stop()
	r.wait(graceTime)
	<-saved
	a.marks.rest(!a.sending.pending())
	a.keepMarks()
	return err
}

// Connected says whether events come just now.
func (a *Adapter) Connected() bool { return a.connected.Load() }

// graceTime is what deliveries under way get when Run ends.
const graceTime = 600 * time.Millisecond

// saveMarks writes the marks down whenever they have changed.
func (a *Adapter) saveMarks(ctx context.Context) {
	for {
		select {
		case <-a.marks.dirty:
			a.keepMarks()
		case <-ctx.Done():
			return
		}
	}
}

func (a *Adapter) keepMarks() {
	if err := a.marks.save(); err != nil && a.said.first("marks") {
		a.c.Log.Error("how far the channels were read cannot be kept; after a restart some messages may be missed", "error", err)
	}
}

// Limits is what one message holds: 2000 characters, less what the mentions of the
// people to notify take.
// Source: Discord developer documentation, "Create Message", content.
func (a *Adapter) Limits() bot.Limits { return bot.Limits{Text: maxText - mentions} }

// FileLimits is what one message takes, such that the greatest stays under the
// 25 MiB a request may have.
func (a *Adapter) FileLimits() (count, bytes int) { return 4, 6 << 20 }

// ChoiceLimits is what one select menu takes, with labels as short as a button's.
func (a *Adapter) ChoiceLimits() (count, runes int) { return maxChoices, maxLabel }

// me gives who the bot is, asking Discord where the gateway has not said it yet.
func (a *Adapter) me(ctx context.Context) (identity, error) {
	a.mu.Lock()
	own := a.own
	a.mu.Unlock()
	if own.user != "" {
		return own, nil
	}
	var u discordgo.User
	if err := a.poster.Call(ctx, get(discordgo.EndpointUser("@me")), &u); err != nil {
		return identity{}, err
	}
	a.mu.Lock()
	defer a.mu.Unlock()
	if a.own.user == "" {
		a.own.user = u.ID
	}
	return a.own, nil
}

// setRole notes the bot's own role of a server.
func (a *Adapter) setRole(roles []*discordgo.Role) {
	a.mu.Lock()
	defer a.mu.Unlock()
	for _, r := range roles {
		if r != nil && r.Managed && r.Name == a.own.name && !slices.Contains(a.own.roles, r.ID) {
			a.own.roles = append(a.own.roles, r.ID)
		}
	}
}

func (a *Adapter) setOwn(user, application string) {
	a.mu.Lock()
	defer a.mu.Unlock()
	if user != "" {
		a.own.user = user
	}
	if application != "" {
		a.own.application = application
	}
}

func (a *Adapter) ownID() string {
	a.mu.Lock()
	defer a.mu.Unlock()
	return a.own.user
}

// said keeps what is logged once.
type said struct {
	mu    sync.Mutex
	lines map[string]bool
}

func (s *said) first(line string) bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.lines[line] || len(s.lines) > 1000 {
		return false
	}
	s.lines[line] = true
	return true
}
