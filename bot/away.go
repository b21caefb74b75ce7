package bot

import (
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"slices"

	"shimwright/bot/store"
	"shimwright/dialogs"
)

// A job lives on one platform, and somebody it calls may live on another. The call
// then goes there as well: to the place for reviews of that platform, or into a
// private talk. It goes by a stream of its own, so that a platform that is away holds
// up nobody's answers: an item in the job's stream (kindAway) queues the post itself
// (kindReach) in the stream of whom it is for.
const (
	kindAway  = "away"
	kindReach = "reach"
)

// away is a call that goes to another platform than the job's.
type away struct {
	Job  int              `json:"job"`
	From string           `json:"from"`          // the job's platform
	On   string           `json:"on"`            // where to
	Who  UserID           `json:"who,omitempty"` // in private
	In   Place            `json:"in,omitempty"`  // or at this place
	Name string           `json:"name,omitempty"`
	Out  dialogs.Outgoing `json:"out"`
}

func (a away) stream() string {
	return "away/" + safeName(a.On, 40) + "/" + safeName(string(a.Who)+string(a.In), 100)
}

// Relayer is a Desk with words for calls to another platform.
type Relayer interface {
	// Away fits a message of a job to a place on another platform than the job's; here
	// says that what is typed there is about the job anyway.
	Away(o dialogs.Outgoing, job int, from string, here bool, to dialogs.Person) dialogs.Outgoing
	// Unreached says in the job that somebody could not be reached.
	Unreached(job int, who, on string) dialogs.Outgoing
	// Told says at the job's own place what was said about it elsewhere.
	Told(job int, by, on, said, answer string) dialogs.Outgoing
}

// awayItems gives what has to be queued so that everybody is reached who is called and
// is not, or not first, on the platform a message goes to.
func (b *Bot) awayItems(base parcel, out []dialogs.Outgoing, job int) ([]store.Item, error) {
	if job == 0 || len(b.adapters) < 2 {
		return nil, nil
	}
	home := base.Spot.On
	if card, ok := b.directory.card(job); ok {
		home = card.home().On
	}
	var items []store.Item
	for _, o := range out {
		on := base.Spot.On
		if o.Home != 0 || base.Job != 0 {
			on = home
		}
		for _, a := range b.people.elsewhere(on, o.Ping, b.adapters, b.reviews) {
			a.Job, a.From, a.Out = job, home, o
			a.Out.Home = 0
			body, err := json.Marshal(a)
			if err != nil {
				return nil, err
			}
			items = append(items, store.Item{Kind: kindAway, Body: body})
		}
	}
	return items, nil
}

// elsewhere gives where else than on one platform people are to be called, each person
// once and each place once.
func (p *people) elsewhere(on string, names []string, adapters map[string]Adapter, reviews map[string]Place) []away {
	var out []away
	seen := map[string]bool{}
	for _, name := range names {
		for _, person := range p.called(name) {
			to := calledOn(on, person, adapters)
			id, has := person.Accounts[to]
			if to == "" || to == on || !has || adapters[to] == nil {
				continue
			}
			a := away{On: to, Who: id, Name: person.Name}
			if in := reviews[to]; in != "" {
				a = away{On: to, In: in}
			}
			if key := a.stream(); !seen[key] {
				seen[key] = true
				out = append(out, a)
			}
		}
	}
	return out
}

// calledOn is the platform on which somebody is called about a job that lives on home.
func calledOn(home string, p Person, adapters map[string]Adapter) string {
	if p.AskedOn != "" {
		return p.AskedOn
	}
	if _, here := p.Accounts[home]; here {
		return home
	}
	for _, other := range slices.Sorted(maps.Keys(p.Accounts)) {
		if adapters[other] != nil {
			return other
		}
	}
	return ""
}

// sendAway queues a call in the stream of whom it is for, once however often it is
// done.
func (b *Bot) sendAway(ctx context.Context, it store.Item) error {
	var a away
	if err := json.Unmarshal(it.Body, &a); err != nil {
		return fmt.Errorf("%w: %w", ErrRefused, err)
	}
	return b.queueAside(ctx, a.stream(), a.Job, store.Item{ID: it.ID + "-r", Kind: kindReach, Body: it.Body})
}

// queueAside queues an item in a stream that holds no job, with a record that says
// which job it is about.
func (b *Bot) queueAside(ctx context.Context, stream string, job int, it store.Item) error {
	note, err := json.Marshal(struct {
		Job  int    `json:"job"`
		Item string `json:"item"`
	}{job, it.ID})
	if err != nil {
		return err
	}
	_, err = b.commit(ctx, store.Batch{ID: it.ID, Stream: stream, Expect: store.Any, Events: [][]byte{note}, Queue: []store.Item{it}})
	if errors.Is(err, store.ErrDuplicate) {
		return nil // it waits there already
	}
	return err
}

// reach sends a call where it is for.
func (b *Bot) reach(ctx context.Context, it store.Item) error {
	var a away
	if err := json.Unmarshal(it.Body, &a); err != nil {
		return fmt.Errorf("%w: %w", ErrRefused, err)
	}
	err := b.reachOut(ctx, a, it.ID)
	if words, ok := b.desk().(Relayer); ok && errors.Is(err, ErrRefused) {
		// Whoever waits for the answer has to know.
		who := a.Name
		if who == "" {
			who = string(a.In)
		}
		out, told := parcel{Job: a.Job}.items([]dialogs.Outgoing{words.Unreached(a.Job, who, a.On)})
		if told == nil {
			out[0].ID = it.ID + "-u"
			told = b.queueAside(ctx, "away/told/"+string(jobID(a.Job)), a.Job, out[0])
		}
		if told != nil {
			return told
		}
	}
	return err
}

func (b *Bot) reachOut(ctx context.Context, a away, nonce string) error {
	to := spot{On: a.On, In: a.In}
	here := false
	if a.In == "" {
		d, ok := b.adapters[a.On].(Direct)
		if !ok {
			return fmt.Errorf("%w: nobody can be called on %q", ErrRefused, a.On)
		}
		in, err := d.Direct(ctx, a.Who)
		if err != nil {
			return err
		}
		to.In, a.Out.Ping = in, nil // it is theirs alone
		if here, err = b.talkHere(ctx, to, a.Job); err != nil {
			return err
		}
	}
	if words, ok := b.desk().(Relayer); ok {
		person := dialogs.Person{Name: a.Name}
		if p := b.people.byName[a.Name]; p != nil {
			person.Language = p.Language
		}
		person.Language = cmp.Or(b.directory.habitsOf(a.Name).language, person.Language)
		a.Out = words.Away(a.Out, a.Job, a.From, here, person)
	}
	return b.post(ctx, parcel{Spot: to, Of: a.Job, Out: a.Out}, nonce)
}

// talkHere has a private talk be about a job from here on where it is about none that
// is open, and says whether it is.
func (b *Bot) talkHere(ctx context.Context, at spot, job int) (here bool, err error) {
	err = again(ctx, func(int) error {
		if err := b.directory.refresh(ctx, b.now()); err != nil {
			return err
		}
		now := b.directory.talksOf(at)
		if here = now == job; here {
			return nil
		}
		if card, ok := b.directory.card(now); ok && !card.closed {
			return nil
		}
		l := b.directory.look(at, dialogs.Said{}, b.now())
		here = true
		return b.enterNote(ctx, l, note{Kind: noteHere, At: b.now(), Number: job, Spot: &at}, nil)
	})
	return here, err
}

// tellHome adds to a reply that logged something from another place than the job's own
// what was said and answered, for the job's own place, unless the desk has done so.
func (t *turn) tellHome(r dialogs.Reply, job int) dialogs.Reply {
	words, ok := t.bot.desk().(Relayer)
	home := slices.ContainsFunc(r.Out, func(o dialogs.Outgoing) bool { return o.Home != 0 })
	if !ok || home || len(r.Events) == 0 || len(r.Out) == 0 {
		return r
	}
	o := words.Told(job, t.said.By.Name, t.on, t.said.Text, r.Out[0].Text)
	o.Home = job
	r.Out = append(slices.Clone(r.Out), o)
	return r
}
