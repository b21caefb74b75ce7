package main

import (
	"context"
	"crypto/tls"
	"errors"
	"flag"
	"fmt"
	"io"
	"log/slog"
	"net"
	"net/http"
	"os"
	"os/signal"
	"path/filepath"
	"sync"
	"syscall"
	"time"

	"github.com/redis/go-redis/v9"

	"shimwright/bot"
	"shimwright/bot/discord"
	"shimwright/bot/mattermost"
	"shimwright/bot/store"
	"shimwright/bot/store/boltstore"
	"shimwright/bot/store/redisstore"
	"shimwright/dialogs/picture"
)

const serveUsage = `usage: shimwright serve --config FILE

Works in the shop's group chat, on all the
platforms of the configuration, until it is
told to end (SIGTERM or ctrl-C).

--config FILE  the configuration; doctor checks
               it, deploy/ has one to begin with

Changed rules and sheets are taken over by
themselves, at once after SIGHUP. A change of
the configuration counts from the next start.
`

const (
	redisWait = 5 * time.Second        // for Redis at the start
	httpGrace = 300 * time.Millisecond // for requests under way at the end
)

// serve is the bot in the shop's chats. It gives the exit code.
func serve(s surroundings, args []string) int {
	file, code := configFlag("serve", serveUsage, args, s)
	if code >= 0 {
		return code
	}
	c, report := loadConfig(file, s.getenv)
	if err := report.Print(s.errOut); err != nil || report.Mistakes() > 0 {
		fmt.Fprintf(s.errOut, "shimwright serve: %s in %s, so nothing was started\n", count(report.Mistakes(), "mistake"), file)
		return exitFail
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	context.AfterFunc(ctx, stop) // a second signal ends it the hard way
	hup := make(chan os.Signal, 1)
	signal.Notify(hup, syscall.SIGHUP)
	defer signal.Stop(hup)
	if err := runService(ctx, hup, c, s.now, s.errOut); err != nil {
		serveComplain(s.errOut, err)
		return exitFail
	}
	return exitOK
}

// configFlag reads --config. code is −1 where the command goes on.
func configFlag(name, usage string, args []string, s surroundings, more ...func(*flag.FlagSet)) (file string, code int) {
	flags := flag.NewFlagSet(name, flag.ContinueOnError)
	flags.StringVar(&file, "config", "", "")
	for _, m := range more {
		m(flags)
	}
	words, code := parseMixed(flags, usage, args, s)
	switch {
	case code >= 0:
		return "", code
	case len(words) > 0:
		fmt.Fprintf(s.errOut, "shimwright %s: %q is too much\n%s", name, words[0], usage)
		return "", exitUsage
	case file == "":
		fmt.Fprintf(s.errOut, "shimwright %s: which configuration? give it with --config FILE\n%s", name, usage)
		return "", exitUsage
	}
	return file, -1
}

// service is the running program.
type service struct {
	c       *config
	now     func() time.Time
	log     *slog.Logger
	errOut  io.Writer
	meter   *meter
	desk    *desk
	roles   *roleBook
	notices *notices

	adapters map[string]bot.Adapter
	inbound  http.Handler // what Mattermost calls, nil for nothing
}

// runService works until ctx ends or no platform is left; the error says why.
func runService(ctx context.Context, hup <-chan os.Signal, c *config, now func() time.Time, errOut io.Writer) (err error) {
	errOut = &lockedWriter{w: errOut}
	sv := &service{c: c, now: now, errOut: errOut, meter: newMeter(), adapters: map[string]bot.Adapter{}}
	sv.log = slog.New(countedLog{slog.NewTextHandler(errOut, &slog.HandlerOptions{Level: c.logLevel}), sv.meter.records})
	if err := os.MkdirAll(c.data, 0o700); err != nil {
		return fmt.Errorf("the data folder cannot be made: %w", err)
	}
	if sv.desk, err = openDesk(c.shop, now, sv.log, errOut); err != nil {
		return err
	}
	sv.desk.zone = c.zone
	backend, err := openServiceStore(ctx, &c.store)
	if err != nil {
		return err
	}
	st := store.New(backend, now)
	defer func() { err = errors.Join(err, st.Close()) }()
	if err := sv.connect(); err != nil {
		return err
	}
	b, err := bot.New(sv.botConfig(st))
	if err != nil {
		return err
	}
	web, err := sv.listen(st)
	if err != nil {
		return err
	}
	ctx, stop := context.WithCancel(ctx)
	var others sync.WaitGroup
	defer others.Wait()
	defer stop()
	for _, w := range web {
		others.Go(func() { w.serve(ctx, sv.log) })
	}
	others.Go(func() { offerCopies(ctx, backend, sv.log) })
	others.Go(func() { sv.notices.run(ctx) })
	others.Go(func() { bot.Headroom(ctx) })
	others.Go(func() { sv.follow(ctx, hup) })
	sv.log.Info("shimwright serves", "platforms", len(sv.adapters), "people", len(c.people), "rules", sv.desk.live.Status().Rules)
	err = b.Run(ctx)
	if err == nil && ctx.Err() != nil {
		sv.log.Info("shimwright ends")
	}
	return err
}

func (sv *service) botConfig(st *store.Store) bot.Config {
	c := sv.c
	cfg := bot.Config{
		Store: st, People: c.people, Now: sv.now, Log: sv.log, Names: c.names, Forget: c.forget, Quiet: c.hours, Printing: c.printing(),
		Desk:     func() bot.Desk { return sv.desk.now() },
		Adapters: sv.adapters,
	}
	if len(c.groups) > 0 {
		cfg.Newcomer = sv.roles.newcomer
	}
	cfg.Reviews = map[string]bot.Place{}
	if m := c.mattermost; m != nil && m.reviews != "" {
		cfg.Reviews[mattermost.Name] = bot.Place(m.reviews)
	}
	if d := c.discord; d != nil && d.reviews != "" {
		cfg.Reviews[discord.Name] = bot.Place(d.reviews)
	}
	cfg.NoPrivate = c.quiet.noPrivate || c.quiet.noPings // a private post notifies whatever it says
	if c.noPhotos {
		cfg.Photos = -1
	}
	if !c.quiet.noPictures {
		cfg.Painter = sync.OnceValues(picture.NewInAll)
	}
	return cfg
}

// connect makes the platforms' adapters; nothing is connected yet.
func (sv *service) connect() error {
	c := sv.c
	sv.roles = newRoleBook(c, sv.now)
	sv.notices = newNotices(sv.log)
	names := c.names
	if len(names) == 0 {
		names = []string{"shimwright", "bot"}
	}
	put := func(name string, p platform, channels []string, rulesChannel string) {
		g := newGate(&gate{
			platform: p, name: name, channels: channels, quiet: c.quiet, names: names,
			private: sv.roles.privateTalk, log: sv.log, meter: sv.meter, givenUp: sv.givenUp,
		})
		sv.adapters[name] = g
		if rulesChannel != "" {
			sv.notices.add(name, g, bot.Place(rulesChannel))
		}
	}
	if m := c.mattermost; m != nil {
		a, err := newMattermost(c, sv.now, sv.log)
		if err != nil {
			return fmt.Errorf("%s: %w", mattermost.Name, err)
		}
		if m.listen != "" {
			sv.inbound = a.Handler()
		}
		put(mattermost.Name, a, m.channels, m.rulesChannel)
	}
	if d := c.discord; d != nil {
		a, err := newDiscord(c.discord, discord.FileMemory(filepath.Join(c.data, "discord.json")), sv.now, sv.log)
		if err != nil {
			return fmt.Errorf("%s: %w", discord.Name, err)
		}
		sv.roles.discord = a.Member
		put(discord.Name, a, nil, d.rulesChannel) // it listens to its channels alone by itself
	}
	return nil
}

func newMattermost(c *config, now func() time.Time, log *slog.Logger) (*mattermost.Adapter, error) {
	return mattermost.New(mattermost.Config{
		URL: c.mattermost.url, Token: c.mattermost.token,
		CallbackURL: c.mattermost.calledAt, SlashTokens: c.mattermost.slashTokens,
		Marks: mattermost.FileMarks(filepath.Join(c.data, "mattermost.json")), Now: now, Log: log,
	})
}

func newDiscord(d *discordConfig, memory discord.Memory, now func() time.Time, log *slog.Logger) (*discord.Adapter, error) {
	return discord.New(discord.Config{
		Token: d.token, Guild: d.guild, Channels: d.channels, MessageContent: d.messageContent, API: d.base,
		Memory: memory, Now: now, Log: log,
	})
}

// givenUp tells everybody who can still be told that a platform turned the bot away.
func (sv *service) givenUp(on string, err error) {
	if len(sv.adapters) > 1 { // otherwise the program ends with it
		fmt.Fprintf(sv.errOut, "shimwright: %s is given up: %v\n", on, err)
	}
	sv.notices.tell(fmt.Sprintf("i am off %s: %v", on, err), on)
}

// openServiceStore opens the file or the Redis of the configuration.
func openServiceStore(ctx context.Context, s *storeConfig) (store.Backend, error) {
	if len(s.addresses) == 0 {
		return boltstore.Open(s.file, lockWait)
	}
	ctx, cancel := context.WithTimeout(ctx, redisWait)
	defer cancel()
	return redisstore.Open(ctx, redisOptions(s), redisstore.Options{Prefix: s.prefix})
}

// offerCopies lets store commands take copies of an embedded file until ctx ends.
func offerCopies(ctx context.Context, b store.Backend, log *slog.Logger) {
	file, ok := b.(*boltstore.Store)
	if !ok {
		return
	}
	if err := file.OfferCopies(ctx); err != nil {
		log.Warn("no backup can be taken while this runs", "error", err)
	}
}

func redisOptions(s *storeConfig) *redis.UniversalOptions {
	o := &redis.UniversalOptions{
		Addrs: s.addresses, MasterName: s.sentinel, IsClusterMode: s.cluster, DB: s.database,
		Username: s.user, Password: s.password, SentinelUsername: s.sentinelUser, SentinelPassword: s.sentinelPassword,
	}
	if s.tls {
		o.TLSConfig = &tls.Config{MinVersion: tls.VersionTLS12, RootCAs: s.roots}
	}
	return o
}

// website is one of the addresses the program listens on.
type website struct {
	listener net.Listener
	server   *http.Server
	what     string
}

// listen opens the addresses for metrics and for what Mattermost calls.
func (sv *service) listen(st *store.Store) ([]*website, error) {
	var out []*website
	open := func(address, what string, h http.Handler) error {
		l, err := net.Listen("tcp", address)
		if err != nil {
			for _, w := range out {
				w.listener.Close()
			}
			return fmt.Errorf("the address for %s cannot be listened on: %w", what, err)
		}
		out = append(out, &website{l, &http.Server{
			Handler: h, ReadHeaderTimeout: 5 * time.Second, ReadTimeout: 20 * time.Second,
			WriteTimeout: 40 * time.Second, IdleTimeout: time.Minute, MaxHeaderBytes: 32 << 10,
			ErrorLog: slog.NewLogLogger(sv.log.Handler(), slog.LevelDebug),
		}, what})
		return nil
	}
	if sv.inbound != nil {
		if err := open(sv.c.mattermost.listen, "the buttons of mattermost", sv.inbound); err != nil {
			return nil, err
		}
	}
	if sv.c.metrics != "" {
		sv.meter.registry.MustRegister(newStateOf(st, sv.desk.live, sv.now))
		if err := open(sv.c.metrics, "metrics", sv.meter.handler()); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// serve answers until ctx ends.
func (w *website) serve(ctx context.Context, log *slog.Logger) {
	ended := make(chan struct{})
	go func() {
		defer close(ended)
		if err := w.server.Serve(w.listener); !errors.Is(err, http.ErrServerClosed) {
			log.Error("an address is no longer listened on", "for", w.what, "error", err)
		}
	}()
	select {
	case <-ctx.Done():
	case <-ended:
		return
	}
	grace, cancel := context.WithTimeout(context.Background(), httpGrace)
	defer cancel()
	if w.server.Shutdown(grace) != nil {
		w.server.Close()
	}
	<-ended
}

// serveComplain says what is wrong, and what to do about it on a line of its own.
func serveComplain(w io.Writer, err error) {
	fmt.Fprintln(w, "shimwright:", err)
	switch {
	case errors.Is(err, store.ErrLocked):
		fmt.Fprintln(w, "end the other shimwright that works there, or keep the jobs in redis, which many can share.")
	case errors.Is(err, store.ErrFull):
		fmt.Fprintln(w, "make room on that disk, then start again; nothing is lost.")
	case errors.Is(err, store.ErrCorrupt):
		fmt.Fprintln(w, "put a backup of it in its place.")
	case errors.Is(err, store.ErrNewer):
		fmt.Fprintln(w, "update this program.")
	case errors.Is(err, store.ErrTemporary), errors.Is(err, context.DeadlineExceeded):
		fmt.Fprintln(w, "see that redis runs there and lets this machine in, then start again.")
	case errors.Is(err, os.ErrPermission):
		fmt.Fprintln(w, "let the user that runs shimwright write there, or name another folder as data.")
	case errors.Is(err, syscall.EADDRINUSE):
		fmt.Fprintln(w, "another program has that port; name another one in the configuration.")
	}
}

// lockedWriter lets the log and the rest of the program write by turns.
type lockedWriter struct {
	mu sync.Mutex
	w  io.Writer
}

func (l *lockedWriter) Write(p []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.w.Write(p)
}
