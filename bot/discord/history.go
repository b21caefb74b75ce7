package discord

import (
	"cmp"
	"encoding/json"
	"fmt"
	"net/url"
	"slices"
	"strings"
	"time"

	"github.com/bwmarrin/discordgo"

	"shimwright/bot"
)

const (
	pageSize  = 100 // messages in one answer
	maxPages  = 50  // of a room after a gap
	editPage  = 50  // last messages looked through for edits
	editAge   = 48 * time.Hour
	surveyAge = 14 * 24 * time.Hour // threads quiet for longer are looked at when they are heard of again
)

// survey looks at every place where something may have been said during a gap.
func (r *run) survey(guilds []string) {
	if _, err := r.a.me(r.ctx); err != nil && r.ctx.Err() == nil {
		r.a.c.Log.Warn("the bot does not know its own id; mentions are missed", "error", err)
	}
	for _, g := range guilds {
		if r.a.c.Guild != "" && g != r.a.c.Guild {
			continue
		}
		r.registerCommands(g)
		var active struct {
			Threads []*discordgo.Channel `json:"threads"`
		}
		if err := r.a.poster.Call(r.ctx, get(discordgo.EndpointGuildActiveThreads(g)), &active); err != nil {
			if r.ctx.Err() == nil {
				r.a.c.Log.Warn("the active threads cannot be listed; those known are read", "server", g, "error", err)
			}
			continue
		}
		for _, t := range active.Threads {
			if t != nil {
				r.found(placeOf(t, g))
			}
		}
	}
	now := r.a.c.Now()
	for id, m := range r.a.marks.all() {
		if now.Sub(m.Seen.time()) < surveyAge {
			r.touch(id)
		}
	}
	for _, id := range r.a.c.Channels {
		r.touch(id)
	}
	for _, p := range r.a.places.all() {
		if p.talks && r.a.listens(p) {
			r.touch(p.id)
		}
	}
}

// missed reads what was said and edited in a room since its mark.
func (r *run) missed(id string) []item {
	select {
	case r.fetch <- struct{}{}:
		defer func() { <-r.fetch }()
	case <-r.ctx.Done():
		return nil
	}
	p, ok := r.place(id, "")
	if !ok || !r.a.listens(p) {
		return nil
	}
	m := r.a.marks.room(id)
	after := m.Seen
	if after == 0 && p.parent != "" {
		after = r.a.marks.room(p.parent).Seen
	}
	if after == 0 {
		after = r.a.start
	}
	recentMark := r.a.c.Now().Sub(after.time()) < editAge
	if p.last != 0 && p.last <= after && !recentMark {
		return nil
	}
	var items []item
	for from, page := after, 0; page < maxPages; page++ {
		got, ok := r.page(id, url.Values{"after": {from.String()}, "limit": {fmt.Sprint(pageSize)}})
		if !ok {
			return items
		}
		last := from
		for _, m := range got {
			at := parseID(m.ID)
			last = max(last, at)
			if at <= after {
				continue
			}
			if it, ok := r.fromHistory(m, after); ok {
				items = append(items, it)
			}
		}
		if len(got) < pageSize || last == from {
			break
		}
		from = last
	}
	if m.Seen == 0 || !recentMark {
		return items
	}
	got, _ := r.page(id, url.Values{"limit": {fmt.Sprint(editPage)}})
	since := max(m.Edited, m.Seen.time().UnixMilli())
	for _, old := range got {
		if parseID(old.ID) > after || !speaks(old) || old.EditedTimestamp == nil {
			continue
		}
		at := old.EditedTimestamp.UnixMilli()
		if taken := at == m.Edited && old.ID == m.Edit; at >= since && !taken {
			items = append(items, editItem(old))
		}
	}
	return items
}

// page reads one page of a history, oldest first. False: it cannot be had.
func (r *run) page(id string, q url.Values) ([]*discordgo.Message, bool) {
	wait := firstRetry
	for try := 1; ; try++ {
		var all []json.RawMessage
		err := r.a.poster.Call(r.ctx, Request{Method: "GET", URL: discordgo.EndpointChannelMessages(id) + "?" + q.Encode(), Bucket: "history " + id}, &all)
		switch {
		case err == nil:
			return r.readPage(id, all), true
		case r.ctx.Err() != nil:
			return nil, false
		case gone(err):
			if r.a.said.first("history " + id) {
				r.a.c.Log.Error("what was said here while the bot was away cannot be read; give its role Read Message History", "channel", id, "error", err)
			}
			return nil, false
		case try == historyTries:
			r.a.c.Log.Error("what was said here while the bot was away could not be read", "channel", id, "error", err)
			return nil, false
		}
		if later := waitOf(err); later > 0 {
			wait = min(later, longRetry)
		}
		if pause(r.ctx, wait) != nil {
			return nil, false
		}
		wait = min(2*wait, longRetry)
	}
}

// readPage puts a page in order. A message that cannot be read is left out, but for
// its id, so that paging goes on.
func (r *run) readPage(id string, all []json.RawMessage) []*discordgo.Message {
	var got []*discordgo.Message
	for _, raw := range all {
		m, err := readMessage(raw)
		if err != nil {
			r.a.c.Log.Error("a message of a channel's history cannot be read", "channel", id, "error", err)
			var only struct{ ID string }
			_ = json.Unmarshal(raw, &only) // an empty id is skipped
			m = &discordgo.Message{ID: only.ID}
		}
		m.ChannelID = id
		got = append(got, m)
	}
	slices.SortFunc(got, func(a, b *discordgo.Message) int { return cmp.Compare(parseID(a.ID), parseID(b.ID)) })
	return got
}

// fromHistory makes an item of a stored message: a person's, or the bot's own echo
// of a command or form whose interaction may have been lost with the process.
func (r *run) fromHistory(m *discordgo.Message, after snowflake) (item, bool) {
	if speaks(m) {
		return item{at: parseID(m.ID), key: "m" + m.ID, message: m, guild: m.GuildID}, true
	}
	meta := m.InteractionMetadata
	own := r.a.ownID()
	if meta == nil || meta.User == nil || m.Author == nil || m.Author.ID != own || own == "" {
		return item{}, false
	}
	text, ok := unquote(m.Content)
	id := parseID(meta.ID)
	if !ok || id <= after || m.Flags&discordgo.MessageFlagsEphemeral != 0 {
		return item{}, false
	}
	r.a.sending.anchors.done(meta.ID, m.ID)
	return item{at: id, key: "i" + meta.ID, press: &bot.Message{
		Author: bot.UserID(meta.User.ID), ID: bot.MessageID("i" + meta.ID), At: id.time(), Text: text, Addressed: true,
	}}, true
}

// quote marks a text as what somebody said; unquote takes it back.
func quote(text string) string { return "> " + strings.ReplaceAll(text, "\n", "\n> ") }

func unquote(text string) (string, bool) {
	if !strings.HasPrefix(text, "> ") {
		return "", false
	}
	return strings.ReplaceAll(text[2:], "\n> ", "\n"), true
}
