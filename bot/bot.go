// Package bot brings people, jobs and chat platforms together: it finds the job of
// a message, takes its turn, and sends what there is to say.
//
// # How a message travels
//
// An adapter delivers a Message. The directory (stream "shop") says which job the
// place talks about; dialogs answers; the events, a record of the turn and the
// messages to send are committed as one batch of the job's stream. Only then the
// message counts as taken. A sender claims what is queued, cuts it to the
// platform's limits and posts it with the item's id as nonce.
//
// One turn at a time goes on in a stream of this process; between processes the
// compare-and-append of the store decides: the one that comes second reads what the
// first has written and answers again. A message that is delivered twice finds
// itself in the stream and brings nothing.
//
// Several processes may share one account of a platform: each hears everything, and
// one answers. A turn that was left alone is named by the next record of its stream,
// so that who hears it late, after a cut connection or a restart, leaves it alone, too;
// what was said before a place went over to another job belongs to the job before;
// and a message refused on a server out of memory is written down as refused. What can
// only be told past the queue has a nonce made of the message, so it is shown once.
//
// Two streams cannot be written at once, so opening a job is two steps: the
// directory's entry, which reserves the number and queues the second step, and then
// the job's first events. A crash between the two leaves the queued step, which any
// process finishes; so does a turn that comes first.
package bot

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"runtime"
	"slices"
	"sync"
	"time"

	"shimwright/bot/remind"
	"shimwright/bot/store"
	"shimwright/dialogs"
	"shimwright/dialogs/phrase"
	"shimwright/dialogs/picture"
)

// Desk answers; it is a *dialogs.Desk outside tests. It must be pure, since a turn
// may be answered again after somebody else came first.
type Desk interface {
	Door(dialogs.Said, dialogs.View) dialogs.DoorReply
	Opened(number int, o dialogs.Opening, s dialogs.Said) (dialogs.Reply, error)
	Answer(*dialogs.Job, dialogs.Said) (dialogs.Reply, error)
}

// Config is what a Bot is made of.
type Config struct {
	Store    *store.Store
	Desk     func() Desk // asked once a turn, so that reloaded rules count from the next message on
	People   []Person
	Newcomer Newcomer           // who the others are; nil: strangers
	Adapters map[string]Adapter // by the name that accounts and the log use
	// Painter is asked for the first time when there is a picture to draw; nil: there
	// are none.
	Painter func() (*picture.Painter, error)
	Now     func() time.Time
	Log     *slog.Logger

	Names    []string     // what it listens to, "bot" and "shimwright" when empty
	Senders  int          // how many streams are sent from at the same time, 16 when 0
	Keep     int          // how many folded jobs are kept in memory, 512 when 0
	Quiet    remind.Quiet // hours in which the shop has no reminders
	Printing Printing
	Forget   bool // finished jobs do not sharpen the advice on later ones
	// Reviews is where people are called on a platform about jobs of another, by the
	// adapter's name; a platform that is not there has them called in private.
	Reviews   map[string]Place
	NoPrivate bool // looks are laid before nobody in private
	// Photos is how many bytes the photos of a job may have together, 64 MiB when 0;
	// below 0 photos are left alone.
	Photos int64
}

// Bot is the assistant of a shop. It is safe for many goroutines.
type Bot struct {
	phrasesOnce sync.Once
	phrases     *phrase.Book // what it says itself; read when it first does

	store    *store.Store
	desk     func() Desk
	people   *people
	adapters map[string]Adapter
	painter  func() (*picture.Painter, error)
	now      func() time.Time
	log      *slog.Logger
	names    []string

	directory     *directory
	conversations *conversations
	office        *office
	thinking      chan struct{} // holds a value for each turn that is being worked on
	offers        offers
	memory        memory
	box           cardBox
	forget        bool
	quiet         remind.Quiet
	printing      Printing
	reviews       map[string]Place
	noPrivate     bool
	books         books
	photoQuota    int64
	photoTime     time.Duration
	darkroom      chan struct{} // holds a value while a photo is decoded
}

// New makes a Bot. Nothing runs before Run.
func New(c Config) (*Bot, error) {
	switch {
	case c.Store == nil, c.Desk == nil, c.Now == nil, c.Log == nil:
		return nil, errors.New("a bot needs a store, a desk, a clock and a log")
	case len(c.Adapters) == 0:
		return nil, errors.New("a bot needs a platform to talk on")
	}
	p, err := newPeople(slices.Clone(c.People), c.Newcomer)
	if err != nil {
		return nil, err
	}
	if len(c.Names) == 0 {
		c.Names = []string{"shimwright", "bot"}
	}
	if c.Senders == 0 {
		c.Senders = 16
	}
	if c.Keep == 0 {
		c.Keep = 512
	}
	if c.Photos == 0 {
		c.Photos = photoQuota
	}
	b := &Bot{
		store: c.Store, desk: c.Desk, people: p, adapters: c.Adapters, painter: c.Painter,
		now: c.Now, log: c.Log, names: c.Names, forget: c.Forget, quiet: c.Quiet, printing: c.Printing,
		directory:     newDirectory(c.Store, c.Log),
		conversations: newConversations(c.Keep),
		office:        newOffice(c.Senders),
		reviews:       c.Reviews,
		noPrivate:     c.NoPrivate,
		photoQuota:    c.Photos,
		photoTime:     photoTime,
		darkroom:      make(chan struct{}, 1),
		thinking:      make(chan struct{}, runtime.GOMAXPROCS(0)),
	}
	b.directory.onErased = func(number int) {
		b.box.drop(number)
		b.memory.forget()
		b.conversations.drop(string(jobID(number)))
	}
	return b, nil
}

// Run connects all platforms and works until ctx ends or each of them has ended for
// good; the error says why those did.
func (b *Bot) Run(ctx context.Context) error {
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	var sending sync.WaitGroup
	sending.Go(func() { b.sendAll(ctx) })

	ended := make(chan error, len(b.adapters))
	for name, a := range b.adapters {
		go func() { ended <- b.runAdapter(ctx, name, a) }()
	}
	var errs []error
	for range b.adapters {
		if err := <-ended; err != nil {
			errs = append(errs, err)
		}
	}
	stop()
	sending.Wait()
	return errors.Join(errs...)
}

func (b *Bot) runAdapter(ctx context.Context, name string, a Adapter) (err error) {
	defer func() {
		if p := recover(); p != nil {
			id := b.report("an adapter broke", p)
			err = fmt.Errorf("%s: something broke inside, the log has it under %s", name, id)
		}
	}()
	err = a.Run(ctx, func(ctx context.Context, m Message) error { return b.Handle(ctx, name, m) })
	if err != nil && ctx.Err() == nil {
		b.log.Error("a platform is given up", "platform", name, "error", err)
		return fmt.Errorf("%s: %w", name, err)
	}
	return nil
}

// report writes a failure to the log under a short id that people are told.
func (b *Bot) report(what string, cause any) string {
	id := store.NewID()[:6]
	stack := make([]byte, 16<<10)
	stack = stack[:runtime.Stack(stack, false)]
	b.log.Error(what, "id", id, "cause", fmt.Sprint(cause), "stack", string(stack))
	return id
}
