package bot

import (
	"context"
	"errors"
	"testing"

	"shimwright/dialogs"
)

func TestNewcomersAreWhoThePlatformSays(t *testing.T) {
	away := errors.New("the platform does not answer")
	role, fail := dialogs.Mentor, error(nil)
	p, err := newPeople([]Person{
		{Name: "ann", Role: dialogs.Technician, Accounts: map[string]UserID{"one": "1"}},
	}, func(_ context.Context, on string, who UserID) (Person, bool, error) {
		names := map[UserID]string{"2": "mia", "3": "ann", "4": "mia", "5": ""}
		name, ok := names[who]
		return Person{Name: name, Role: role, Accounts: map[string]UserID{"one": "1"}}, ok && role != "", fail
	})
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		id   UserID
		want string
	}{
		{"1", "ann"},       // listed, never asked for
		{"2", "mia"},       // by the group
		{"3", "ann (one)"}, // somebody else has that name
		{"4", "mia (one)"}, // and a newcomer this one
		{"5", ""},          // no name
		{"6", ""},          // in no group
		{"2", "mia"},       // the same again
	} {
		got, known, err := p.find(t.Context(), account{"one", c.id})
		if err != nil || known != (c.want != "") || got.Name != c.want {
			t.Errorf("account %s is %q (%v, %v), want %q", c.id, got.Name, known, err, c.want)
		}
		if known && c.id != "1" && (got.Role != dialogs.Mentor || got.Accounts["one"] != c.id) {
			t.Errorf("account %s is %+v", c.id, got)
		}
	}
	if got := p.accounts("one", []string{"mentor"}); len(got) != 3 {
		t.Errorf("the mentors are %v, want the three who joined", got)
	}
	if got := p.accounts("one", []string{"ann"}); len(got) != 1 || got[0] != "1" {
		t.Errorf("ann is %v", got)
	}
	fail = away
	if _, known, err := p.find(t.Context(), account{"one", "2"}); known || !errors.Is(err, away) {
		t.Errorf("a platform that is away: %v, %v", known, err)
	}
	role, fail = "", nil
	if _, known, _ := p.find(t.Context(), account{"one", "2"}); known {
		t.Error("out of the group and still known")
	}
	if got := p.accounts("one", []string{"mia"}); len(got) != 0 {
		t.Errorf("mia is out of the group and still called at %v", got)
	}
}

// A message whose author cannot be looked up just now is delivered again.
func TestAuthorUnknownForAMoment(t *testing.T) {
	s := newShop(t, &plainPlatform{})
	s.bot.people.newcomer = func(context.Context, string, UserID) (Person, bool, error) {
		return Person{}, false, errors.New("not now")
	}
	if err := s.bot.Handle(t.Context(), "chat", Message{Place: "bay", Author: "new", ID: "n1", Text: "?"}); err == nil {
		t.Error("the message was taken")
	}
}
