// Shimload puts the bot under load and says what it takes.
//
// It is the chat platform of the load: on loopback it talks in many jobs at once, at
// times drawn beforehand (so a slow answer does not slow down what is said next), to
// a process of its own that wires the bot as `shimwright serve` does. Each message
// goes the whole way, adapter, bot, dialogs, store, outbox, Send, and is counted at
// both ends: a rehearsal has shown how many posts with which text each message
// brings. Latency is from the moment a message was to be said until its last post is
// shown.
//
//	go run ./cmd/shimload                          # redis, 500 jobs, 2000 messages/s
//	go run ./cmd/shimload --jobs 100,1000,10000 --pending 100000
//	go run ./cmd/shimload --store file --rate 300
//	go run ./cmd/shimload --json --profile /tmp/load
//
// Redis is a redis-server of its own on a free port, append-only file on and written
// to disk every second, or an empty one named with --redis. Pictures are told in
// words: drawing them is work for the platform's pace, not for the store's.
//
// The way of a figure: `said` and `taken` are counted where the platform hands a
// message over and the adapter gives it back; processor time is the kernel's for each
// of the processes, so it says what a message costs also on a machine that others
// use; Redis figures are differences of INFO over the measured time.
package main

import (
	"context"
	"encoding/json"
	"flag"
	"fmt"
	"os"
	"os/signal"
	"strings"
	"time"
)

// productWord on the command line makes this program the bot's process.
const productWord = "product"

// baysPerChannel is how many jobs are opened in one channel.
const baysPerChannel = 25

// options are the flags.
type options struct {
	store, redis          string
	jobs                  []int
	pending               int
	rate                  float64
	length, settleIn      time.Duration
	warm, atOnce          int
	people, senders, keep int
	memory, json          bool
	profile               string
	talks                 []string
}

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	if err := run(ctx, os.Args[1:]); err != nil {
		fmt.Fprintln(os.Stderr, "shimload:", err)
		os.Exit(1)
	}
}

func run(ctx context.Context, args []string) error {
	if len(args) == 2 && args[0] == productWord {
		var p product
		if err := json.Unmarshal([]byte(args[1]), &p); err != nil {
			return err
		}
		return runProduct(ctx, p)
	}
	o, err := parse(args)
	if err != nil {
		return err
	}
	all, err := runAll(ctx, o)
	if len(all) > 0 {
		report(os.Stdout, o, all)
	}
	return err
}

func parse(args []string) (o options, err error) {
	flags := flag.NewFlagSet("shimload", flag.ExitOnError)
	jobs := flags.String("jobs", "500", "open jobs; several numbers are several stages: 100,1000,10000")
	flags.StringVar(&o.store, "store", "redis", "redis, or file for the embedded store")
	flags.StringVar(&o.redis, "redis", "", "host:port of an empty redis; without it one is started")
	flags.IntVar(&o.pending, "pending", 0, "reminders for later in one more stage with the last number of jobs")
	flags.Float64Var(&o.rate, "rate", 2000, "messages a second, of all jobs together")
	flags.DurationVar(&o.length, "for", 20*time.Second, "measured time of a stage")
	flags.DurationVar(&o.settleIn, "settle", 3*time.Second, "talk at half the rate before it")
	flags.IntVar(&o.warm, "warm", 8, "messages said in each job beforehand, on average")
	flags.IntVar(&o.atOnce, "at-once", 64, "jobs warmed up at the same time")
	flags.IntVar(&o.people, "people", 20, "technicians")
	flags.IntVar(&o.senders, "senders", 0, "of the bot; 0 for what it chooses")
	flags.IntVar(&o.keep, "keep", 0, "jobs the bot keeps in memory; 0 for what it chooses")
	flags.BoolVar(&o.memory, "memory", false, "finished jobs sharpen the advice on later ones; texts are not compared then")
	flags.BoolVar(&o.json, "json", false, "one JSON object a stage instead of the table")
	flags.StringVar(&o.profile, "profile", "", "a folder for processor and heap profiles of the bot's process")
	if err := flags.Parse(args); err != nil {
		return o, err
	}
	if o.store != "redis" && o.store != "file" {
		return o, fmt.Errorf("--store is redis or file, not %q", o.store)
	}
	if o.rate <= 0 || o.warm < 1 || o.people < 1 || o.atOnce < 1 || flags.NArg() > 0 {
		return o, fmt.Errorf("a rate above 0, at least one person and no further words; --help says more")
	}
	o.talks = talks
	o.jobs, err = numbers(*jobs)
	return o, err
}

func splitList(text string) []string { return strings.Split(strings.TrimSpace(text), ",") }

// runAll does the stages, each on a new store.
func runAll(ctx context.Context, o options) (all []figures, err error) {
	plans, err := rehearse(ctx, o.talks, o.senders)
	if err != nil {
		return nil, fmt.Errorf("the rehearsal: %w", err)
	}
	stages := make([]stage, 0, len(o.jobs)+1)
	for _, n := range o.jobs {
		stages = append(stages, stage{o: o, jobs: n, plans: plans})
	}
	if o.pending > 0 {
		stages = append(stages, stage{o: o, jobs: o.jobs[len(o.jobs)-1], pending: o.pending, plans: plans})
	}
	for _, s := range stages {
		if s.dir, err = os.MkdirTemp("", "shimload"); err != nil {
			return all, err
		}
		f, err := s.run(ctx)
		os.RemoveAll(s.dir)
		if err != nil {
			return all, err
		}
		all = append(all, f)
	}
	return all, nil
}
