package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"io/fs"
	"os"
	"os/signal"
	"path/filepath"
	"syscall"

	"github.com/redis/go-redis/v9"

	"shimwright/bot/store"
	"shimwright/bot/store/boltstore"
	"shimwright/bot/store/redisstore"
)

const storeUsage = `usage: shimwright store COMMAND [WHERE] ...

backup FILE       everything, into a new file;
                  also while serve or try runs
restore FILE [--replace]
                  a backup or an export, into a
                  store with nothing in it, or in
                  the place of what is there
check [FILE]      whether all of it can be read
                  and is consistent, or all of a
                  backup; what to do where not
                  (--json for programs)
compact           less room on the disk
export [--job N | --all] [FILE]
                  JSON lines, to FILE or to the
                  standard output
import FILE       an export, into a store with
                  nothing in it, of either kind

WHERE is one of
--config FILE     as serve is started
--data DIR        as try is started; without any
                  of the three, try's own folder
--store redis://HOST:PORT/N

Exit 0 where it is done and all is well, 1 where
not, 2 where it was called wrongly.
`

// storeCall is what the command line of a store command asks for.
type storeCall struct {
	s             surroundings
	where         storeConfig
	words         []string
	replace, json bool
	job           int // 0 for all
}

// storeRun is what a store command does; its error is told with what to do about it.
type storeRun func(context.Context, *storeCall) error

// storeCommands gives the commands with the number of words they take.
func storeCommands() map[string]struct {
	least, most int
	run         storeRun
} {
	return map[string]struct {
		least, most int
		run         storeRun
	}{
		"backup":  {1, 1, storeBackup},
		"restore": {1, 1, storeRestore},
		"check":   {0, 1, storeCheck},
		"compact": {0, 0, storeCompact},
		"export":  {0, 1, storeExport},
		"import":  {1, 1, storeRestore},
	}
}

// storeTools are the commands for what is kept. It gives the exit code.
func storeTools(s surroundings, args []string) int {
	c := &storeCall{s: s}
	flags := flag.NewFlagSet("store", flag.ContinueOnError)
	config, data, url := flags.String("config", "", ""), flags.String("data", "", ""), flags.String("store", "", "")
	all := flags.Bool("all", false, "")
	flags.BoolVar(&c.replace, "replace", false, "")
	flags.BoolVar(&c.json, "json", false, "")
	flags.IntVar(&c.job, "job", 0, "")
	words, code := parseMixed(flags, storeUsage, args, s)
	if code >= 0 {
		return code
	}
	usage := func(format string, a ...any) int {
		fmt.Fprintf(s.errOut, "shimwright store: %s\n%s", fmt.Sprintf(format, a...), storeUsage)
		return exitUsage
	}
	if len(words) == 0 {
		return usage("what is to be done? say backup, restore, check, compact, export or import")
	}
	name := words[0]
	command, ok := storeCommands()[name]
	c.words = words[1:]
	set := map[string]bool{}
	flags.Visit(func(f *flag.Flag) { set[f.Name] = true })
	places := 0
	for _, f := range []string{"config", "data", "store"} {
		if set[f] {
			places++
		}
	}
	switch {
	case !ok:
		return usage("there is no command %q", name)
	case len(c.words) < command.least:
		return usage("%s which file?", name)
	case len(c.words) > command.most:
		return usage("%q is too much", c.words[command.most])
	case places > 1:
		return usage("take one of --config, --data and --store")
	case set["replace"] && name != "restore", set["json"] && name != "check", (set["job"] || *all) && name != "export":
		return usage("%s takes no such flag", name)
	case set["job"] && (*all || c.job < 1):
		return usage("--job is followed by a job's number, and --all is for all of them")
	}
	if code := c.place(*config, *data, *url); code >= 0 {
		return code
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	context.AfterFunc(ctx, stop)
	if err := command.run(ctx, c); err != nil {
		if !errors.Is(err, errTold) {
			storeComplain(s.errOut, name, err)
		}
		return exitFail
	}
	return exitOK
}

// errTold is a failure that was told already.
var errTold = errors.New("told")

// place finds out where the store is. code is −1 where the command goes on.
func (c *storeCall) place(config, data, url string) (code int) {
	fail := func(err error) int {
		storeComplain(c.s.errOut, "", err)
		return exitFail
	}
	switch {
	case config != "":
		conf, report := loadConfig(config, c.s.getenv)
		if err := report.Print(c.s.errOut); err != nil || report.Mistakes() > 0 {
			fmt.Fprintf(c.s.errOut, "shimwright store: %s in %s, so nothing was done\n", count(report.Mistakes(), "mistake"), config)
			return exitFail
		}
		c.where = conf.store
	case url != "":
		o, err := redis.ParseURL(url)
		if err != nil {
			return fail(fmt.Errorf("--store takes an address like redis://localhost:6379/0: %w", err))
		}
		c.where = storeConfig{addresses: []string{o.Addr}, database: o.DB, user: o.Username, password: o.Password, tls: o.TLSConfig != nil, prefix: redisstore.DefaultPrefix}
	default:
		if data == "" {
			var err error
			if data, err = defaultFolder(c.s.getenv); err != nil {
				return fail(err)
			}
		}
		c.where.file = filepath.Join(data, "shop.db")
	}
	return -1
}

func (c *storeCall) inRedis() bool { return len(c.where.addresses) > 0 }

// name says where the store is.
func (c *storeCall) name() string {
	if c.inRedis() {
		return "redis at " + c.where.name()
	}
	return c.where.file
}

// errNoStore says that there is none to work on.
var errNoStore = errors.New("there is no store")

// there says whether the file of the store is.
func (c *storeCall) there() error {
	_, err := os.Stat(c.where.file)
	if errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("%w at %s", errNoStore, c.where.file)
	}
	return err
}

// reading opens the store to be read: Redis itself, the file, or a copy of it where
// another program has it open. done closes it.
func (c *storeCall) reading(ctx context.Context) (b store.Backend, done func(), err error) {
	if c.inRedis() {
		if b, err = openServiceStore(ctx, &c.where); err != nil {
			return nil, nil, err
		}
		return b, func() { b.Close() }, nil
	}
	if err := c.there(); err != nil {
		return nil, nil, err
	}
	file, err := boltstore.Open(c.where.file, lockWait)
	if err == nil {
		return file, func() { file.Close() }, nil
	}
	if !errors.Is(err, store.ErrLocked) {
		return nil, nil, err
	}
	folder, err := os.MkdirTemp("", "shimwright-store-")
	if err != nil {
		return nil, nil, err
	}
	copied := filepath.Join(folder, "shop.db")
	if err = boltstore.FetchCopy(ctx, c.where.file, copied); err == nil {
		file, err = boltstore.Open(copied, lockWait)
	}
	if err != nil {
		os.RemoveAll(folder)
		return nil, nil, err
	}
	return file, func() { file.Close(); os.RemoveAll(folder) }, nil
}

// jobsIn counts the jobs of a store.
func jobsIn(ctx context.Context, b store.Backend) (string, error) {
	n, err := countJobs(ctx, b)
	return count(n, "job"), err
}

// storeComplain says what is wrong, and what to do about it on a line of its own.
func storeComplain(w io.Writer, command string, err error) {
	if command != "" {
		command = " store " + command
	}
	fmt.Fprintf(w, "shimwright%s: %v\n", command, err)
	hint := ""
	switch {
	case errors.Is(err, errNoStore):
		hint = "name the right place with --config, --data or --store."
	case errors.Is(err, errNotEmpty):
		hint = "restore --replace puts the backup in its place; make a backup of what is there first."
	case errors.Is(err, errInUse):
		hint = "end them first, or they go on with what is no longer there."
	case errors.Is(err, store.ErrLocked):
		hint = "end that program first; a backup, a check and an export need it to offer copies, as serve and try do."
	case errors.Is(err, store.ErrNoExport):
		hint = "take another backup; nothing was changed."
	case errors.Is(err, store.ErrFull):
		hint = "make room there, then do it again."
	case errors.Is(err, store.ErrNewer):
		hint = "update this program."
	case errors.Is(err, store.ErrCorrupt):
		hint = "where that is the store, restore a backup; where it is the backup, take another one."
	case errors.Is(err, fs.ErrExist):
		hint = "choose another name; nothing is overwritten."
	case errors.Is(err, fs.ErrNotExist):
		hint = "see that the name is right."
	case errors.Is(err, fs.ErrPermission):
		hint = "run it as the user that runs shimwright, and choose a place that user may write to."
	case errors.Is(err, store.ErrTemporary), errors.Is(err, context.DeadlineExceeded):
		hint = "see that redis runs there and lets this machine in, then do it again."
	}
	if hint != "" {
		fmt.Fprintln(w, hint)
	}
}
