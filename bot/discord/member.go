package discord

import (
	"context"
	"errors"
	"fmt"
	"net/http"

	"github.com/bwmarrin/discordgo"

	"shimwright/bot"
)

// Member is an account on the shop's server.
type Member struct {
	Name  string   // of the account
	Bot   bool     // it is a program
	Roles []string // ids; everybody has the one with the server's id besides
}

// Member looks an account up on the configured server, false where it is not there.
// It needs no intent. Errors as those of Send.
func (a *Adapter) Member(ctx context.Context, user bot.UserID) (Member, bool, error) {
	if a.c.Guild == "" {
		return Member{}, false, errors.New("no Discord server is configured to look accounts up on")
	}
	if parseID(string(user)) == 0 {
		return Member{}, false, nil
	}
	var m discordgo.Member
	q := get(discordgo.EndpointGuildMember(a.c.Guild, string(user)))
	q.Bucket = "members"
	err := a.poster.Call(ctx, q, &m)
	if e := (*APIError)(nil); errors.As(err, &e) && e.Status == http.StatusNotFound && e.Code != codeUnknownGuild {
		return Member{}, false, nil
	}
	if err != nil {
		return Member{}, false, fmt.Errorf("Discord does not say who an account is: %w", err)
	}
	if m.User == nil {
		return Member{}, false, errors.New("Discord gives a member without an account")
	}
	return Member{Name: m.User.Username, Bot: m.User.Bot, Roles: m.Roles}, true, nil
}
