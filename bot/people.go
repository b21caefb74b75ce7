package bot

import (
	"fmt"
	"sync"

	"shimwright/calc/unit"
	"shimwright/dialogs"
)

// Person is somebody of the shop and the accounts they write from.
type Person struct {
	Name     string
	Role     dialogs.Role
	Units    unit.System       // empty for the sheet's
	Accounts map[string]UserID // by the adapter's name
}

// account is one account of one platform.
type account struct {
	on string
	id UserID
}

// people finds persons by account and by name. It does not change but for the
// strangers already reported.
type people struct {
	byAccount map[account]*Person
	byName    map[string]*Person
	all       []Person

	mu       sync.Mutex
	reported map[account]bool
}

func newPeople(list []Person) (*people, error) {
	p := &people{
		byAccount: map[account]*Person{}, byName: map[string]*Person{},
		all: list, reported: map[account]bool{},
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

// accounts gives who is meant on a platform by names of people and of roles, each
// account once.
func (p *people) accounts(on string, names []string) []UserID {
	var out []UserID
	seen := map[UserID]bool{}
	for _, name := range names {
		for i := range p.all {
			person := &p.all[i]
			id, has := person.Accounts[on]
			if has && !seen[id] && (person.Name == name || p.byName[name] == nil && string(person.Role) == name) {
				seen[id] = true
				out = append(out, id)
			}
		}
	}
	return out
}
