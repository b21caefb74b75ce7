package bot

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"sync"

	"shimwright/bot/remind"
	"shimwright/calc/unit"
	"shimwright/dialogs"
	"shimwright/dialogs/phrase"
)

// Person is somebody of the shop and the accounts they write from.
type Person struct {
	Name     string
	Role     dialogs.Role
	Units    unit.System     // empty for the sheet's
	Language phrase.Language // empty for English
	Quiet    remind.Quiet    // hours in which no reminder is for them
	// Looked are the steps at which a mentor looks at their figures, nil where the axle
	// sheet says it for the role; Mentor is whose look it is, empty for any mentor's.
	Looked   []dialogs.StepID
	Mentor   string
	Accounts map[string]UserID // by the adapter's name
	// AskedOn is the platform on which they are called, also about jobs of another; empty
	// where the job is, if they have an account there.
	AskedOn string
}

// person is who the desk is told somebody is.
func (p Person) person() dialogs.Person {
	return dialogs.Person{Name: p.Name, Role: p.Role, Units: p.Units, Language: p.Language, Looked: p.Looked, Mentor: p.Mentor}
}

// account is one account of one platform.
type account struct {
	on string
	id UserID
}

// Newcomer says who an account is that belongs to none of the listed people, from
// what the platform knows of it, a group or a role; false for a stranger. It is asked
// with each message of such an account and may block for as long as ctx lets it. An
// error means that it cannot be known now: the message is then delivered again.
type Newcomer func(ctx context.Context, on string, who UserID) (Person, bool, error)

// people finds persons by account and by name. The listed ones do not change;
// besides there are the newcomers seen so far and the strangers already reported.
type people struct {
	byAccount map[account]*Person
	byName    map[string]*Person
	all       []Person
	newcomer  Newcomer // may be nil

	mu       sync.Mutex
	joined   map[account]Person
	reported map[account]bool
}

func newPeople(list []Person, newcomer Newcomer) (*people, error) {
	p := &people{
		byAccount: map[account]*Person{}, byName: map[string]*Person{}, newcomer: newcomer,
		all: list, joined: map[account]Person{}, reported: map[account]bool{},
	}
	for i := range list {
		person := &list[i]
		if person.Name == "" {
			return nil, fmt.Errorf("person %d has no name", i+1)
		}
		if p.byName[person.Name] != nil {
			return nil, fmt.Errorf("two people are called %q", person.Name)
		}
		p.byName[person.Name] = person
		for on, id := range person.Accounts {
			a := account{on, id}
			if other := p.byAccount[a]; other != nil {
				return nil, fmt.Errorf("the account %s of %s belongs to %s and to %s", id, on, other.Name, person.Name)
			}
			p.byAccount[a] = person
		}
	}
	return p, nil
}

// find gives who an account belongs to, false for a stranger.
func (p *people) find(ctx context.Context, a account) (Person, bool, error) {
	if person := p.byAccount[a]; person != nil {
		return *person, true, nil
	}
	if p.newcomer == nil {
		return Person{}, false, nil
	}
	person, ok, err := p.newcomer(ctx, a.on, a.id)
	if err != nil {
		return Person{}, false, err
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	if !ok || person.Name == "" {
		delete(p.joined, a)
		return Person{}, false, nil
	}
	if p.taken(a, person.Name) {
		person.Name += " (" + a.on + ")" // the log must not take two people for one
	}
	if p.taken(a, person.Name) {
		person.Name += " " + string(a.id)
	}
	person.Accounts = map[string]UserID{a.on: a.id}
	if len(p.joined) < 10_000 {
		p.joined[a] = person
	}
	return person, true, nil
}

// taken says whether somebody else has a name.
func (p *people) taken(a account, name string) bool {
	if p.byName[name] != nil {
		return true
	}
	for other, person := range p.joined {
		if other != a && person.Name == name {
			return true
		}
	}
	return false
}

// everybody gives the listed people and the newcomers.
func (p *people) everybody() []Person {
	p.mu.Lock()
	defer p.mu.Unlock()
	if len(p.joined) == 0 {
		return p.all
	}
	out := slices.Clone(p.all)
	for _, person := range p.joined {
		out = append(out, person)
	}
	slices.SortStableFunc(out[len(p.all):], func(a, b Person) int { return cmp.Compare(a.Name, b.Name) })
	return out
}

// stranger says whether an account is reported for the first time.
func (p *people) stranger(a account) bool {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.reported[a] || len(p.reported) > 10_000 {
		return false
	}
	p.reported[a] = true
	return true
}

// called gives who is meant by a name: that person, or all of that role.
func (p *people) called(name string) []Person {
	if person := p.byName[name]; person != nil {
		return []Person{*person}
	}
	var out []Person
	for _, person := range p.everybody() {
		if person.Name == name || string(person.Role) == name {
			out = append(out, person)
		}
	}
	return out
}

// accounts gives who is meant on a platform by names of people and of roles, each
// account once.
func (p *people) accounts(on string, names []string) []UserID {
	var out []UserID
	seen := map[UserID]bool{}
	everybody := p.everybody()
	for _, name := range names {
		for i := range everybody {
			person := &everybody[i]
			id, has := person.Accounts[on]
			if has && !seen[id] && (person.Name == name || p.byName[name] == nil && string(person.Role) == name) {
				seen[id] = true
				out = append(out, id)
			}
		}
	}
	return out
}
