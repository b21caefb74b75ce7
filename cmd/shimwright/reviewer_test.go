package main

import (
	"context"
	"testing"
	"time"

	"shimwright/bot"
	"shimwright/bot/discord"
	"shimwright/dialogs"
)

// Where nobody may review, nobody's figures wait for a look: not those of the people
// of the configuration, nor of who is here by a group of the platform.
func TestNobodyWaitsForAReviewerWhoIsNot(t *testing.T) {
	for _, c := range []struct {
		name  string
		group dialogs.Role
		looks bool
	}{{"one of the group may review", dialogs.Mentor, true}, {"nobody may review", dialogs.Apprentice, false}} {
		b := newRoleBook(&config{
			people:  []bot.Person{{Name: "ann", Role: dialogs.Technician}},
			discord: &discordConfig{guild: "100"},
			groups:  []groupRole{{"discord", "100", dialogs.Technician, ""}, {"discord", "7", c.group, ""}},
		}, time.Now)
		b.discord = func(context.Context, bot.UserID) (discord.Member, bool, error) {
			return discord.Member{Name: "ben"}, true, nil
		}
		p, ok, err := b.newcomer(t.Context(), "discord", "1")
		if err != nil || !ok || p.Name != "ben" {
			t.Fatalf("%s: %+v, %v, %v", c.name, p, ok, err)
		}
		// Nil goes by the axle sheet; an empty list is nowhere.
		if sheet := p.Looked == nil; sheet != c.looks {
			t.Errorf("%s: ben is looked at %v", c.name, p.Looked)
		}
	}
}
