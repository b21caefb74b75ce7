package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"log/slog"
	"os"
	"os/signal"
	"path/filepath"
	"runtime"
	"sync"
	"syscall"
	"time"

	"github.com/redis/go-redis/v9"
	"github.com/rogpeppe/go-internal/diff"

	"shimwright/bot"
	"shimwright/bot/console"
	"shimwright/bot/store"
	"shimwright/bot/store/boltstore"
	"shimwright/bot/store/redisstore"
	"shimwright/calc/unit"
	"shimwright/dialogs/picture"
)

const tryUsage = `usage: shimwright try [--data DIR] [--shop DIR] [--units inch|metric] [--store redis://HOST:PORT/N]
       shimwright try --script FILE [--update] [--data DIR] [--shop DIR] [--units …] [--store …]

A shop's chat on this terminal. What is said
is kept in the data folder and goes on there
next time.

--data DIR     where jobs, chat and pictures are
--shop DIR     the shop's folder, whose sheets
               and rules come over the shipped
--units        how bare numbers are meant where
               nobody said otherwise
--store URL    keep the jobs in Redis instead
--script FILE  play a chat and print it; exit 1
               where "bot>" lines are not as
               they stand there
--update       write the real ones into FILE

ann> types as ann, ben> as the apprentice,
mentor>, owner> and customer> as they are;
#12> goes to a job, shop> out of it;
@mentor> to what the mentor alone is told;
edit> says the last message anew;
photo FILE and words sends a picture;
clock +26h moves the clock, quit leaves.
`

const lockWait = 500 * time.Millisecond // a process that has just been killed may hold the file that long

// tryFlags is what the command line asks for.
type tryFlags struct {
	data, shop, store, script string
	update                    bool
	units                     unit.System
}

// try is the console. It gives the exit code.
func try(s surroundings, args []string) int {
	flags := flag.NewFlagSet("try", flag.ContinueOnError)
	var f tryFlags
	flags.StringVar(&f.data, "data", "", "")
	flags.StringVar(&f.shop, "shop", "", "")
	flags.StringVar(&f.store, "store", "", "")
	flags.StringVar(&f.script, "script", "", "")
	flags.BoolVar(&f.update, "update", false, "")
	units := flags.String("units", "", "")
	words, code := parseMixed(flags, tryUsage, args, s)
	if code >= 0 {
		return code
	}
	var err error
	f.units, err = systemFlag(*units)
	switch {
	case err != nil:
	case len(words) > 0:
		err = fmt.Errorf("%q is too much", words[0])
	case f.update && f.script == "":
		err = errors.New("--update belongs to --script")
	}
	if err != nil {
		fmt.Fprintf(s.errOut, "shimwright try: %v\n%s", err, tryUsage)
		return exitUsage
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	context.AfterFunc(ctx, stop) // a second ctrl-C ends it the hard way
	if f.script != "" {
		return playScript(ctx, s, f)
	}
	if err := openPrompt(ctx, s, f); err != nil {
		complain(s.errOut, err)
		return exitFail
	}
	return exitOK
}

// openPrompt is the chat for a person.
func openPrompt(ctx context.Context, s surroundings, f tryFlags) (err error) {
	if f.data == "" {
		if f.data, err = defaultFolder(s.getenv); err != nil {
			return err
		}
	}
	if f.data, err = filepath.Abs(f.data); err != nil {
		return err
	}
	log, closeLog, err := openFolderLog(f.data)
	if err != nil {
		return err
	}
	defer closeLog()
	clock := console.NewClock(time.Now)
	d, err := openDesk(f.shop, clock.Now, log, s.errOut)
	if err != nil {
		return err
	}
	d.zone = time.Local
	people := consolePeople(f.units)
	chat := &chat{flags: f, desk: d, log: log, people: people, clock: clock}
	o := console.Options{
		Folder: f.data, People: namesOf(people), Clock: clock, In: s.in, Out: s.out,
		Terminal: isTerminal(s.in) && isTerminal(s.out),
		Color:    isTerminal(s.out) && s.getenv("NO_COLOR") == "" && s.getenv("TERM") != "dumb",
		Settle:   chat.settle,
		Intro: []string{
			"jobs and chat are kept in " + f.data,
			"talk as in the shop's chat: open and a sheet's name begins a job, sheets lists them, help explains.",
			"mentor> speaks as the mentor, quit leaves.",
		},
	}
	if f.shop != "" {
		go d.reload(ctx, log)
	}
	return chat.run(ctx, func() (*console.Console, error) { return console.New(o) })
}

// playScript is the chat for a test.
func playScript(ctx context.Context, s surroundings, f tryFlags) int {
	fail := func(err error) int {
		complain(s.errOut, err)
		return exitFail
	}
	text, err := readBounded(f.script)
	if err != nil {
		return fail(fmt.Errorf("%s: the script cannot be read: %w", f.script, err))
	}
	people := consolePeople(f.units)
	script, err := console.ParseScript(f.script, string(text), namesOf(people))
	if err != nil {
		return fail(err)
	}
	o := console.Options{Folder: f.data, Pictures: filepath.Dir(f.script), People: namesOf(people), Clock: console.NewClock(console.Standing)}
	if f.data == "" {
		if f.data, err = os.MkdirTemp("", "shimwright-script-"); err != nil {
			return fail(err)
		}
		defer os.RemoveAll(f.data)
	}
	log := slog.New(slog.NewTextHandler(s.errOut, &slog.HandlerOptions{Level: slog.LevelWarn}))
	d, err := openDesk(f.shop, o.Clock.Now, log, s.errOut)
	if err != nil {
		return fail(err)
	}
	chat := &chat{flags: f, desk: d, log: log, people: people, clock: o.Clock}
	o.Settle = chat.settle
	if err := chat.run(ctx, func() (*console.Console, error) { return console.NewScript(o, script) }); err != nil {
		return fail(err)
	}
	v := chat.console.Verdict()
	fmt.Fprint(s.out, v.Transcript)
	switch {
	case ctx.Err() != nil:
		return exitFail
	case f.update:
		if v.Transcript == script.Text() {
			return exitOK
		}
		if err := os.WriteFile(f.script, []byte(v.Transcript), 0o644); err != nil {
			return fail(err)
		}
	case !v.Same():
		s.errOut.Write(diff.Diff("expected", []byte(script.Text()), "said", []byte(v.Transcript)))
		return exitFail
	}
	return exitOK
}

// chat is a console with its bot and store.
type chat struct {
	flags   tryFlags
	desk    *desk
	log     *slog.Logger
	people  []bot.Person
	clock   *console.Clock
	console *console.Console
	bot     *bot.Bot
}

func (c *chat) settle(ctx context.Context) error { return c.bot.Settle(ctx) }

// run opens the store and the console, and works until one of them ends.
func (c *chat) run(ctx context.Context, open func() (*console.Console, error)) (err error) {
	backend, err := openStore(ctx, c.flags)
	if err != nil {
		return err
	}
	st := store.New(backend, c.clock.Now)
	defer func() { err = errors.Join(err, st.Close()) }()
	copies, stop := context.WithCancel(ctx)
	var offering sync.WaitGroup
	if c.flags.script == "" {
		offering.Go(func() { offerCopies(copies, backend, c.log) })
	}
	defer offering.Wait()
	defer stop()
	if c.console, err = open(); err != nil {
		return err
	}
	defer func() { err = errors.Join(err, c.console.Close()) }()
	c.bot, err = bot.New(bot.Config{
		Store: st, People: c.people, Now: c.clock.Now, Log: c.log,
		Painter:  sync.OnceValues(picture.NewInAll),
		Desk:     func() bot.Desk { return c.desk.now() },
		Adapters: map[string]bot.Adapter{console.Name: c.console},
	})
	if err != nil {
		return err
	}
	return c.bot.Run(ctx)
}

// openStore opens the file in the data folder, or the Redis that is named.
func openStore(ctx context.Context, f tryFlags) (store.Backend, error) {
	if f.store == "" {
		return boltstore.Open(filepath.Join(f.data, "shop.db"), lockWait)
	}
	o, err := redis.ParseURL(f.store)
	if err != nil {
		return nil, fmt.Errorf("--store takes an address like redis://localhost:6379/0: %w", err)
	}
	ctx, cancel := context.WithTimeout(ctx, 5*time.Second)
	defer cancel()
	return redisstore.Open(ctx, &redis.UniversalOptions{
		Addrs: []string{o.Addr}, DB: o.DB, Username: o.Username, Password: o.Password, TLSConfig: o.TLSConfig,
	}, redisstore.Options{})
}

// complain says what is wrong, and what to do about it on a line of its own.
func complain(w io.Writer, err error) {
	fmt.Fprintln(w, "shimwright:", err)
	switch {
	case errors.Is(err, store.ErrLocked):
		fmt.Fprintln(w, "leave the other shimwright that works there, or take another folder: --data DIR")
	case errors.Is(err, store.ErrFull):
		fmt.Fprintln(w, "make room on that disk, then start again; nothing is lost.")
	case errors.Is(err, store.ErrCorrupt):
		fmt.Fprintln(w, "put a backup of it in its place, or begin in another folder: --data DIR")
	case errors.Is(err, store.ErrNewer):
		fmt.Fprintln(w, "update this program, or take another folder: --data DIR")
	case errors.Is(err, os.ErrPermission):
		fmt.Fprintln(w, "take a folder you may write to: --data DIR")
	}
}

// defaultFolder is the user's folder for what programs keep.
func defaultFolder(getenv func(string) string) (string, error) {
	if dir := getenv("XDG_STATE_HOME"); filepath.IsAbs(dir) {
		return filepath.Join(dir, "shimwright"), nil
	}
	if runtime.GOOS == "windows" || runtime.GOOS == "darwin" {
		dir, err := os.UserConfigDir()
		return filepath.Join(dir, "shimwright"), err
	}
	home, err := os.UserHomeDir()
	if err != nil {
		return "", fmt.Errorf("no home folder to keep jobs in (%w); name one with --data DIR", err)
	}
	return filepath.Join(home, ".local", "state", "shimwright"), nil
}

// openFolderLog keeps what the program says of itself beside the data, since the
// terminal is the chat's.
func openFolderLog(folder string) (*slog.Logger, func() error, error) {
	if err := os.MkdirAll(folder, 0o700); err != nil {
		return nil, nil, fmt.Errorf("the data folder cannot be made: %w", err)
	}
	name := filepath.Join(folder, "shimwright.log")
	if info, err := os.Stat(name); err == nil && info.Size() > 4<<20 {
		if err := os.Rename(name, name+".old"); err != nil {
			return nil, nil, err
		}
	}
	f, err := os.OpenFile(name, os.O_CREATE|os.O_APPEND|os.O_WRONLY, 0o600)
	if err != nil {
		return nil, nil, fmt.Errorf("the data folder cannot be written: %w", err)
	}
	return slog.New(slog.NewTextHandler(f, nil)), f.Close, nil
}

// isTerminal says whether a stream is one that a person sits at.
func isTerminal(stream any) bool {
	f, ok := stream.(*os.File)
	if !ok {
		return false
	}
	info, err := f.Stat()
	return err == nil && info.Mode()&os.ModeCharDevice != 0
}
