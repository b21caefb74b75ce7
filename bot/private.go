package bot

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"time"

	"shimwright/bot/remind"
	"shimwright/bot/store"
	"shimwright/dialogs"
)

// A look that a job waits for goes to whoever is to answer it in private as well: a
// card with what the one in the job's thread shows. Whoever gets one is not notified in
// the thread; where it does not go through, they are after all.
//
// A commit that opens a look, or ends one, queues an item in the job's stream
// (kindLook), with who is called. It queues an item (kindOwn) in the stream of each of
// them, and of everybody who was called to a look of that job before. Such an item says
// nothing of what the job looked like: when it is done the job is read, and the card of
// this person is brought to what it is then: shown, taken back, or left. So it may be
// done late, again and by another process. What was shown stands in a stream of each
// account (privatebook.go); privatetalk.go finds the job of what is answered there.
const (
	kindLook = "look"
	kindOwn  = "own"
)

// tellAfter is after how many tries the job is told that somebody was not reached, and
// giveUp after how many nobody tries any more.
const (
	tellAfter = 3
	giveUp    = 30
	tellLater = 20 * time.Second // the same, where the platform says how long it will take
)

// justShown is how long nobody is called up again about a card: after quiet hours it
// comes with the reminder of it that was due meanwhile.
const justShown = 2 * time.Minute

// LookDesk is a Desk with cards for people alone.
type LookDesk interface {
	OpenLook(*dialogs.Job) dialogs.OpenLook
	PrivateLook(j *dialogs.Job, to dialogs.Person, from, link string, now time.Time) (dialogs.Outgoing, bool)
	LookAgain(j *dialogs.Job, look int, to dialogs.Person, now time.Time) (dialogs.Outgoing, bool)
	LookOver(j *dialogs.Job, look int, to dialogs.Person) string
	LookUnreached(look int, who string) dialogs.Outgoing
	LookWord(dialogs.Said) dialogs.LookWord
	WhichLook(to dialogs.Person, looks []dialogs.LookRef) dialogs.Outgoing
}

// Linker is an Adapter whose posts have addresses.
type Linker interface {
	// Link gives the address of a post, of its place where post is empty; empty where
	// there is none.
	Link(ctx context.Context, at Place, post MessageID) string
}

// Unnoticed is a Direct whose private posts nobody is notified of.
type Unnoticed interface{ Unnoticed() bool }

// lookCall is a look of a job and who is called to it; Look is 0 where one is only over.
type lookCall struct {
	Job  int      `json:"job"`
	Look int      `json:"look,omitempty"`
	To   []callee `json:"to,omitempty"`
}

// callee is somebody who is called in private.
type callee struct {
	On    string `json:"on"`
	Who   UserID `json:"who"`
	Name  string `json:"name"`
	Again bool   `json:"again,omitempty"` // they have the card, and are called up once more
}

func (c callee) account() account { return account{c.On, c.Who} }

func (c callee) stream() string { return away{On: c.On, Who: c.Who}.stream() }

// ownCall has the card of one person brought to what a job is.
type ownCall struct {
	callee
	Job  int `json:"job"`
	Look int `json:"look,omitempty"` // what they are called to; 0: only what is over is taken back
}

// callLook gives what has to be queued so that the look a job waits for reaches its
// people in private, and the messages without the names of those.
func (b *Bot) callLook(before, next *dialogs.Job, out []dialogs.Outgoing) ([]dialogs.Outgoing, []store.Item, error) {
	desk, ok := b.desk().(LookDesk)
	if !ok || next == nil || b.noPrivate {
		return out, nil, nil
	}
	was, is := desk.OpenLook(before), desk.OpenLook(next)
	card, known := b.directory.card(next.Number)
	if !known || was.Look == 0 && is.Look == 0 {
		return out, nil, nil
	}
	call := lookCall{Job: next.Number, Look: is.Look}
	fresh := is.Look != was.Look
	if fresh && is.Look > 0 {
		call.To, _ = b.callees(card.home().On, is.To, is.Not)
	}
	out = slices.Clone(out)
	for i, o := range out {
		if o.Look == 0 || o.Look != is.Look || len(o.Ping) == 0 {
			continue
		}
		to, rest := b.callees(card.home().On, o.Ping, is.Not)
		out[i].Ping = rest
		for _, c := range to {
			c.Again = !fresh
			if !slices.ContainsFunc(call.To, func(o callee) bool { return o.account() == c.account() }) {
				call.To = append(call.To, c)
			}
		}
	}
	if !fresh && len(call.To) == 0 {
		return out, nil, nil
	}
	body, err := json.Marshal(call)
	return out, []store.Item{{Kind: kindLook, Body: body}}, err
}

// callees gives who of those called is called in private, and the names to call in the
// thread, as they were where that is everybody.
func (b *Bot) callees(home string, names, not []string) (to []callee, rest []string) {
	spared := false
	for _, name := range names {
		called := b.people.called(name)
		if len(called) == 0 {
			rest = append(rest, name)
		}
		for _, p := range called {
			c, ok := b.privately(home, p)
			if ok = ok && !slices.Contains(not, p.Name); ok {
				to = append(to, c)
			}
			if quiet, is := b.adapters[c.On].(Unnoticed); ok && !(is && quiet.Unnoticed()) {
				spared = true
			} else if !slices.Contains(rest, p.Name) {
				rest = append(rest, p.Name)
			}
		}
	}
	if !spared {
		rest = names
	}
	return to, rest
}

// privately gives where somebody is called to a look in private, false where they are
// not.
func (b *Bot) privately(home string, p Person) (callee, bool) {
	if !p.Role.Reviews() || b.directory.habitsOf(p.Name).called == dialogs.InThread {
		return callee{}, false
	}
	on := calledOn(home, p, b.adapters)
	id, has := p.Accounts[on]
	if _, ok := b.adapters[on].(Direct); !ok || !has || on != home && b.reviews[on] != "" {
		return callee{}, false
	}
	return callee{On: on, Who: id, Name: p.Name}, true
}

// spreadLook queues what a change of a job's look means for each who is called to it or
// was called to one before.
func (b *Bot) spreadLook(ctx context.Context, it store.Item) error {
	var call lookCall
	if err := json.Unmarshal(it.Body, &call); err != nil {
		return fmt.Errorf("%w: %w", ErrRefused, err)
	}
	all, err := b.everCalled(ctx, call, it.ID)
	if err != nil {
		return err
	}
	for _, c := range all {
		own := ownCall{callee: c, Job: call.Job}
		item := store.Item{ID: it.ID + "-" + hashName(c.On + " " + string(c.Who))[:10], Kind: kindOwn}
		if slices.ContainsFunc(call.To, func(o callee) bool { return o.account() == c.account() }) {
			own.Look, item.Due = call.Look, b.awake(c)
		}
		if item.Body, err = json.Marshal(own); err != nil {
			return err
		}
		if err := b.queueAside(ctx, c.stream(), call.Job, item); err != nil {
			return err
		}
	}
	return nil
}

// awake gives when somebody's quiet hours and the shop's are over, the zero time where
// there are none just now.
func (b *Bot) awake(c callee) time.Time {
	var group []remind.Quiet
	for _, p := range b.people.called(c.Name) {
		group = append(group, p.Quiet)
	}
	now := b.now()
	if at := remind.When(now, b.quiet, group); at.After(now) {
		return at
	}
	return time.Time{}
}

// ownLook brings the card of one person to what the job is.
func (b *Bot) ownLook(ctx context.Context, it store.Item) error {
	var call ownCall
	if err := json.Unmarshal(it.Body, &call); err != nil {
		return fmt.Errorf("%w: %w", ErrRefused, err)
	}
	desk, ok := b.desk().(LookDesk)
	if !ok {
		return nil
	}
	err := b.ownLookBy(ctx, desk, call, it)
	if err == nil || ctx.Err() != nil {
		return err
	}
	if it.Attempts >= giveUp && !errors.Is(err, ErrRefused) {
		err = fmt.Errorf("%w: tried for long enough: %w", ErrRefused, err)
	}
	later := (*LaterError)(nil)
	if call.Look == 0 || !errors.Is(err, ErrRefused) && it.Attempts < tellAfter && !(errors.As(err, &later) && later.After > tellLater) {
		return err
	}
	// Whoever waits must not wait for a card that nobody has.
	out, told := parcel{Job: call.Job}.items([]dialogs.Outgoing{desk.LookUnreached(call.Look, call.Name)})
	if told == nil {
		out[0].ID = it.ID + "-u"
		told = b.queueAside(ctx, "away/told/"+string(jobID(call.Job)), call.Job, out[0])
	}
	if told != nil {
		return told
	}
	return err
}

func (b *Bot) ownLookBy(ctx context.Context, desk LookDesk, call ownCall, it store.Item) error {
	book, err := b.bookOf(ctx, call.account())
	if err != nil {
		return err
	}
	person, may, err := b.people.find(ctx, call.account())
	if err != nil {
		return err
	}
	may = may && person.Role.Reviews()
	to := b.directory.habitsOf(call.Name).of(person.person())
	have := book.open(call.Job)
	link, from := "", ""
	if have == nil {
		link = b.linkTo(ctx, call.Job)
	}
	if card, ok := b.directory.card(call.Job); ok && card.home().On != call.On {
		from = card.home().On
	}
	var is int
	var out dialogs.Outgoing
	var mine bool
	over := ""
	home, err := b.readJob(ctx, call.Job, func(j *dialogs.Job) {
		is = desk.OpenLook(j).Look
		switch {
		case have != nil && (have.Look != is || !may):
			over = desk.LookOver(j, have.Look, to)
		case have != nil && len(have.Posts) > 0:
			out, mine = desk.LookAgain(j, is, to, b.now())
		case may:
			out, mine = desk.PrivateLook(j, to, from, link, b.now())
		}
	})
	if err != nil {
		return err
	}
	if over != "" {
		if err := b.takeBack(ctx, call, *have, over, it); err != nil {
			return err
		}
		return b.ownLookBy(ctx, desk, call, it) // there may be another to show by now
	}
	switch {
	case is == 0 || is != call.Look || !may || !mine || home.erased:
		return nil
	case have != nil && len(have.Posts) > 0 && (!call.Again || b.now().Sub(have.At) < justShown):
		return nil // shown before
	case b.directory.habitsOf(call.Name).called == dialogs.InThread:
		return nil
	}
	if at := b.awake(call.callee); !at.IsZero() {
		return b.queueAside(ctx, call.stream(), call.Job, store.Item{ID: it.ID + "q", Kind: kindOwn, Body: it.Body, Due: at})
	}
	if have != nil && len(have.Posts) > 0 {
		_, err := b.sendAlone(ctx, call, have.Place, out, it.ID)
		return err
	}
	return b.showAlone(ctx, call, is, have, home, out, it)
}

// readJob has a job looked at as it stands, and gives its card.
func (b *Bot) readJob(ctx context.Context, number int, look func(*dialogs.Job)) (jobCard, error) {
	card, ok := b.directory.card(number)
	if !ok {
		if err := b.directory.refresh(ctx, b.now()); err != nil {
			return jobCard{}, err
		}
		if card, ok = b.directory.card(number); !ok {
			return jobCard{}, fmt.Errorf("%w: job %d is not in the directory", ErrRefused, number)
		}
	}
	err := b.inTurn(ctx, string(jobID(number)), func(c *conversation) error {
		if err := again(ctx, func(int) error { return b.load(ctx, c, number) }); err != nil {
			return err
		}
		return b.think(ctx, func() { look(c.job) })
	})
	return card, err
}

// showAlone posts a card and notes it: before, so that one which went out unnoticed can
// be taken back, and after.
func (b *Bot) showAlone(ctx context.Context, call ownCall, look int, have *ownCard, home jobCard, out dialogs.Outgoing, it store.Item) error {
	card := ownCard{Job: call.Job, Look: look, Nonce: it.ID}
	if have != nil {
		card = *have
	}
	book, err := b.bookOf(ctx, call.account())
	if err != nil {
		return err
	}
	known := book.place
	if card.Place = known; known == "" {
		if card.Place, err = b.direct(ctx, call.callee); err != nil {
			return b.dropCard(ctx, call, card, err)
		}
	}
	if home.home() == (spot{call.On, card.Place}) {
		return nil // they are talking in the job's own place
	}
	if have == nil || have.Place != card.Place {
		if err := b.noteCard(ctx, call.account(), card, it.ID+"-b"+hashName(string(card.Place))[:6]); err != nil {
			return err
		}
	}
	card.Posts, err = b.sendAlone(ctx, call, card.Place, out, card.Nonce)
	if errors.Is(err, ErrRefused) && known != "" {
		// The talk itself may be another one by now.
		if place, again := b.direct(ctx, call.callee); again == nil && place != known {
			card.Place = place
			card.Posts, err = b.sendAlone(ctx, call, place, out, card.Nonce)
		}
	}
	if err != nil {
		return b.dropCard(ctx, call, card, err)
	}
	card.At = b.now()
	return b.noteCard(ctx, call.account(), card, it.ID+"-a")
}

// dropCard notes a card that was refused for good.
func (b *Bot) dropCard(ctx context.Context, call ownCall, card ownCard, err error) error {
	if !errors.Is(err, ErrRefused) {
		return err
	}
	card.Over = b.now()
	if noted := b.noteCard(ctx, call.account(), card, card.Nonce+"-x"); noted != nil {
		return noted
	}
	return err
}

// takeBack puts what became of a look in the place of its card.
func (b *Bot) takeBack(ctx context.Context, call ownCall, card ownCard, over string, it store.Item) error {
	if card.Place != "" {
		if err := b.replaceCard(ctx, call, card, over, it); err != nil && !errors.Is(err, ErrRefused) {
			return err
		}
	}
	card.Over = b.now()
	return b.noteCard(ctx, call.account(), card, it.ID+"-o"+fmt.Sprint(card.Look))
}

func (b *Bot) replaceCard(ctx context.Context, call ownCall, card ownCard, over string, it store.Item) error {
	posts := card.Posts
	if len(posts) == 0 {
		// Whether it went out is not known. The same nonce finds it, or says this instead.
		var err error
		if posts, err = b.sendAlone(ctx, call, card.Place, dialogs.Outgoing{Text: over}, card.Nonce); err != nil {
			return err
		}
	}
	editor, ok := b.adapters[call.On].(Editor)
	if !ok {
		_, err := b.sendAlone(ctx, call, card.Place, dialogs.Outgoing{Text: over}, it.ID+"-n")
		return err
	}
	for _, id := range posts {
		err := editor.Edit(ctx, card.Place, id, Post{Text: defuse(over)})
		if err == nil {
			continue
		}
		if !errors.Is(err, ErrRefused) && it.Attempts < tellAfter {
			return err
		}
		b.log.Warn("a card stays as it was and is answered instead", "place", card.Place, "post", id, "error", err)
		_, err = b.sendAlone(ctx, call, card.Place, dialogs.Outgoing{Text: over}, it.ID+"-n")
		return err
	}
	return nil
}

// direct gives the private talk with somebody.
func (b *Bot) direct(ctx context.Context, c callee) (Place, error) {
	d, ok := b.adapters[c.On].(Direct)
	if !ok {
		return "", fmt.Errorf("%w: nobody can be called on %q", ErrRefused, c.On)
	}
	return d.Direct(ctx, c.Who)
}

// sendAlone posts in a private talk.
func (b *Bot) sendAlone(ctx context.Context, call ownCall, at Place, out dialogs.Outgoing, nonce string) ([]MessageID, error) {
	a := b.adapters[call.On]
	if a == nil {
		return nil, fmt.Errorf("%w: the platform %q is not connected here any more", ErrRefused, call.On)
	}
	posts, err := b.compose(ctx, a, call.On, out, nil)
	if err != nil {
		return nil, err
	}
	var ids []MessageID
	for i, post := range posts {
		n := nonce
		if i > 0 {
			n = fmt.Sprintf("%s.%d", nonce, i+1)
		}
		id, err := a.Send(ctx, at, post, n)
		if err != nil {
			return nil, err
		}
		ids = append(ids, id)
	}
	return ids, nil
}

// linkTo gives the address of what a job last asked in its own place, or of that.
func (b *Bot) linkTo(ctx context.Context, job int) string {
	card, ok := b.directory.card(job)
	if !ok || card.erased {
		return ""
	}
	home := card.home()
	linker, ok := b.adapters[home.On].(Linker)
	if !ok {
		return ""
	}
	p := b.offers.at(home)
	p.mu.Lock()
	err := p.read(ctx, b.store, home)
	post := p.open[job].Post
	p.mu.Unlock()
	if err != nil {
		b.log.Warn("where a job asked last is not known", "job", job, "error", err)
	}
	return linker.Link(ctx, home.In, post)
}
