package bot

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"time"

	"shimwright/bot/store"
	"shimwright/dialogs"
	"shimwright/dialogs/phrase"
)

const (
	turnTime = 20 * time.Second // how long a turn may take, waiting for others included
	askAgain = 8 * time.Second  // how long a store that does not answer is asked again
	maxClash = 100              // how often a turn is answered anew because others came first
)

// Handle takes one message of a platform: it is what adapters are given as Deliver.
// Nil means that the message is answered, ignored, or that its author was told why
// it could not be taken.
func (b *Bot) Handle(ctx context.Context, on string, m Message) (err error) {
	if m.Bot {
		return nil
	}
	lang := phrase.English
	defer func() {
		if p := recover(); p != nil {
			id := b.report("a turn broke", p)
			err = b.tell(on, m, broken(b.words(lang), id))
		}
	}()
	t, err := b.newTurn(ctx, on, m)
	if t == nil || err != nil {
		return err
	}
	lang = t.said.By.Language
	// A turn that has begun goes on when the platform's connection ends.
	inner, cancel := b.turnContext(ctx)
	defer cancel()
	err = t.take(inner)
	if err == nil || ctx.Err() != nil {
		return err // while shutting down: it comes again
	}
	words := b.words(lang)
	text := faultText(words, err)
	if half := (*halfOpen)(nil); errors.Is(err, store.ErrFull) && !errors.As(err, &half) && t.refuse(inner, err, text) == nil {
		b.log.Warn("a message was refused", "place", m.Here(), "message", m.ID, "error", err)
		return nil
	}
	if text == "" {
		text = broken(words, b.report("a turn failed", err))
	} else {
		b.log.Warn("a message could not be taken", "place", m.Here(), "message", m.ID, "error", err)
	}
	return b.tell(on, m, text)
}

// turnContext gives a running turn a moment more than the process that shuts down.
func (b *Bot) turnContext(ctx context.Context) (context.Context, context.CancelFunc) {
	inner, cancel := context.WithTimeout(context.WithoutCancel(ctx), turnTime)
	stop := context.AfterFunc(ctx, func() {
		timer := time.AfterFunc(graceTime, cancel)
		context.AfterFunc(inner, func() { timer.Stop() })
	})
	return inner, func() { stop(); cancel() }
}

// turn is one message on its way.
type turn struct {
	bot     *Bot
	on      string
	m       Message
	said    dialogs.Said
	spot    spot
	private bool // the answer is not kept beside the message
	sure    bool // the message is meant for the assistant

	photos []Attachment
	kept   bool // they are kept, or it is known why not
	press  press

	typed string            // what was said, whole
	which *dialogs.Outgoing // it may mean several looks: which, they are asked
}

// newTurn makes the message one of the shop, nil where it is none.
func (b *Bot) newTurn(ctx context.Context, on string, m Message) (*turn, error) {
	person, known, err := b.people.find(ctx, account{on, m.Author})
	switch {
	case err != nil:
		return nil, fmt.Errorf("who wrote a message is not known: %w", err)
	case !known:
		if b.people.stranger(account{on, m.Author}) {
			b.log.Info("messages of an unknown account are ignored", "platform", on, "account", m.Author)
		}
		return nil, nil
	}
	if m.At.IsZero() {
		m.At = b.now()
	}
	text, called := calledBy(b.names, clean(m.Text))
	var photos []Attachment
	if b.photoQuota > 0 {
		photos = pictures(m.Files)
	}
	if text == "" && m.EditOf == "" && len(photos) == 0 {
		return nil, nil
	}
	t := &turn{bot: b, on: on, m: m, spot: spot{on, m.Here()}, sure: called || m.Addressed, photos: photos}
	t.typed = text
	t.said = dialogs.Said{
		ID: on + ":" + string(m.ID), At: m.At, Text: text, Addressed: t.sure,
		By: person.person(), Other: b.other,
	}
	if m.EditOf != "" {
		t.said.Edits = on + ":" + string(m.EditOf)
	}
	return t, nil
}

// take answers the message, from the door on.
func (t *turn) take(ctx context.Context) error {
	b := t.bot
	return again(ctx, func(clashes int) error {
		if clashes > 0 || b.directory.stale(t.spot, b.now()) {
			if err := b.directory.refresh(ctx, b.now()); err != nil {
				return err
			}
		}
		l := b.directory.look(t.spot, t.said, b.now())
		if l.number == 0 && t.openThreads(ctx) {
			l = b.directory.look(t.spot, t.said, b.now())
		}
		if t.m.Pressed != "" {
			var err error
			if t.press, err = b.pressed(ctx, t.spot, t.m.Pressed); err != nil {
				return err
			}
			if t.press.known && t.press.offer.Job != 0 {
				l = b.directory.lookInto(l, t.press.offer.Job)
			}
		}
		var err error
		if l, err = t.inPrivate(ctx, l); err != nil {
			return err
		}
		t.said.By = l.habits.of(t.said.By)
		_, enlarges := b.adapters[t.on].(Enlarger)
		t.said.OneSize = !enlarges
		switch {
		case l.opened != 0:
			return b.open(ctx, l.opened) // it came again after a crash
		case l.heard:
			return nil
		case t.tooLong():
			return t.refuseLong(l)
		}
		err = t.converse(ctx, l)
		if moved := (*movedOn)(nil); errors.As(err, &moved) {
			return moved.err
		}
		return err
	})
}

// freshTime is how long after its opening a job's thread may be missing, for a thread
// whose job is looked for.
const freshTime = 10 * time.Minute

// openThreads opens the threads of jobs that were opened in the channel just now and
// have none yet: people may talk below the opening before it is answered. It says
// whether there were any.
func (t *turn) openThreads(ctx context.Context) bool {
	b := t.bot
	if _, ok := b.adapters[t.on].(Threader); !ok || t.m.Thread == "" {
		return false
	}
	any := false
	for _, number := range b.directory.threadless(spot{t.on, t.m.Place}, t.m.At.Add(-freshTime)) {
		if _, err := b.address(ctx, parcel{Job: number}); err != nil {
			b.log.Warn("the thread of a job cannot be opened yet", "job", number, "error", err)
			continue
		}
		any = true
	}
	return any
}

// again repeats what lost against another writer.
func again(ctx context.Context, do func(clashes int) error) error {
	for clashes := 0; ; clashes++ {
		err := do(clashes)
		if !errors.Is(err, store.ErrConflict) || clashes == maxClash {
			return err
		}
		if clashes > 2 { // many at once: spread them
			if err := sleep(ctx, time.Duration(rand.IntN(5*min(clashes, 20)))*time.Millisecond); err != nil {
				return err
			}
		}
	}
}

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

func (t *turn) tooLong() bool { return runes(t.said.Text) > MaxText }

// refuseLong says so where it may have been meant for the assistant.
func (t *turn) refuseLong(l look) error {
	if l.number == 0 && !t.sure {
		return nil
	}
	return t.bot.tell(t.on, t.m, t.bot.words(t.said.By.Language).Say("fault.too_long", "n", runes(t.said.Text), "most", MaxText))
}

// converse answers in the stream of the job, or of the place where there is none.
func (t *turn) converse(ctx context.Context, l look) error {
	b := t.bot
	stream := t.stream(l)
	return b.inTurn(ctx, stream, func(c *conversation) error {
		return again(ctx, func(clashes int) error {
			if clashes > 0 || !c.loaded {
				if err := b.load(ctx, c, l.number); err != nil {
					return err
				}
			}
			if l.number != 0 && t.m.Thread != "" {
				if err := c.loadBefore(ctx, b.store, t.placeStream()); err != nil {
					return err
				}
			}
			if c.knows(t.said.ID) {
				return nil
			}
			return t.answer(ctx, c, l)
		})
	})
}

// answer asks the door and then the job, and writes down what they say.
func (t *turn) answer(ctx context.Context, c *conversation, l look) error {
	b := t.bot
	if !t.answerable(ctx) {
		c.pass(t.said.ID)
		return nil
	}
	if t.which != nil {
		return t.commit(ctx, c, dialogs.Reply{Out: []dialogs.Outgoing{*t.which}}, parcel{Spot: t.spot})
	}
	said := t.said
	said.Context = slices.Clone(c.recent)
	if card, ok := b.directory.card(l.number); ok {
		said.Elsewhere = card.home() != t.spot
	}
	for _, f := range t.photos {
		said.Unkept = append(said.Unkept, dialogs.Unkept{Name: nameOf(f), Why: dialogs.UnkeptEarly}) // until there is a job to keep them with
	}
	if dialogs.AsksForLooks(said.Text) {
		l.view.Waiting = b.looks(ctx)
	}
	door, err := t.knock(ctx, said, l.view)
	if err != nil {
		return err
	}
	t.private = door.Private
	base := parcel{Spot: t.spot, Of: l.number}
	if _, guide := b.adapters[t.on].(Guide); guide && door.Switch != 0 {
		// The person is brought to the job; the place goes on talking of its own.
		base, door.Switch = parcel{Spot: t.spot, Job: door.Switch, Show: t.m.Author}, 0
	}
	if door.Open != nil && l.edited != 0 {
		text := b.words(t.said.By.Language).Say("fault.opened_before", "n", l.edited)
		door = dialogs.DoorReply{Handled: true, Out: []dialogs.Outgoing{{Text: text}}}
	}
	switch {
	case door.Open != nil, door.Units != "", door.Language != "", door.Replies != "", door.Type != "", door.Called != "", door.Switch != 0:
		return t.enter(ctx, c, l, door)
	case door.Erase != 0:
		return t.erase(ctx, c, l, door)
	case door.Handled || c.job == nil:
		return t.commit(ctx, c, dialogs.Reply{Out: door.Out}, base)
	}
	if err := t.keepPhotos(ctx, c.job); err != nil {
		return err
	}
	said.Files, said.Unkept = t.said.Files, t.said.Unkept
	said.Past = b.past(ctx, c.job.Sheet)
	finished := c.job.Finished
	var reply dialogs.Reply
	if busy := b.think(ctx, func() { reply, err = b.desk().Answer(c.job, said) }); busy != nil || err != nil {
		return cmp.Or(busy, err)
	}
	if said.Elsewhere {
		reply = t.tellHome(reply, l.number)
	}
	if err := t.commit(ctx, c, reply, base); err != nil {
		return err
	}
	if c.job != nil && c.job.Finished != finished {
		b.remember(c.job)
	}
	return nil
}

// knock asks the door; where it needs the cards of all jobs it is asked again with
// those.
func (t *turn) knock(ctx context.Context, said dialogs.Said, view dialogs.View) (door dialogs.DoorReply, err error) {
	b := t.bot
	if err := b.think(ctx, func() { door = b.desk().Door(said, view) }); err != nil || !door.Cards {
		return door, err
	}
	if view.Cards, err = b.cards(ctx); err != nil {
		return door, err
	}
	err = b.think(ctx, func() { door = b.desk().Door(said, view) })
	return door, err
}

// think works on an answer once a processor is free for it: turns that all compute at
// the same time all end late, and hold up what is only to be passed on.
func (b *Bot) think(ctx context.Context, work func()) error {
	select {
	case b.thinking <- struct{}{}:
	case <-ctx.Done():
		return ctx.Err()
	}
	defer func() { <-b.thinking }()
	work()
	return nil
}

// commit writes a turn: events, its record and what is to be sent, all or nothing.
func (t *turn) commit(ctx context.Context, c *conversation, r dialogs.Reply, base parcel) error {
	if len(r.Events) == 0 && len(r.Out) == 0 {
		// Left alone: remembered for a while as what was said last, not logged.
		c.say(senderWord(t.said.By.Role), t.said.Text)
		c.pass(t.said.ID)
		return nil
	}
	return t.bot.write(ctx, c, r, t.record(r.Out), base)
}

func (t *turn) record(out []dialogs.Outgoing) talk {
	r := talk{Message: t.said.ID, At: t.said.At, By: t.said.By.Name, Role: string(t.said.By.Role), Text: t.said.Text}
	for _, f := range t.m.Files {
		r.Files = append(r.Files, f.Name)
	}
	if t.private {
		return r
	}
	for _, o := range out {
		r.Answers = append(r.Answers, o.Text)
	}
	return r
}

// stream is where the turn belongs: to the job, or to the place where there is none.
func (t *turn) stream(l look) string {
	if l.number != 0 {
		return string(jobID(l.number))
	}
	return t.placeStream()
}

// placeStream keeps what is said at a place without a job, a month in each stream,
// so that none grows for ever. The message's own time decides, which stays the same
// when it is delivered again.
func (t *turn) placeStream() string {
	return "place/" + safeName(t.spot.On, 40) + "/" + safeName(string(t.spot.In), 100) + "/" + t.m.At.UTC().Format("2006-01")
}

// movedOn says that the directory moved on while a message was answered: it, not
// the stream of the conversation, has to be read again.
type movedOn struct{ err error }

func (e *movedOn) Error() string { return "the directory: " + e.err.Error() }

// safeName makes any text a part of a stream's name.
func safeName(text string, limit int) string {
	ok := text != "" && len(text) <= limit
	for i := 0; ok && i < len(text); i++ {
		c := text[i]
		ok = c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c >= '0' && c <= '9' || strings.IndexByte("-_.:@+=#~,", c) >= 0
	}
	if ok {
		return text
	}
	return hashName(text)
}
