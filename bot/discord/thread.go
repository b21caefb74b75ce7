package discord

import (
	"cmp"
	"context"
	"fmt"
	"net/url"
	"strings"

	"github.com/bwmarrin/discordgo"

	"shimwright/bot"
)

// keepOpen is for how many minutes of silence a thread stays in the list: a week,
// the longest there is.
const keepOpen = 10080

// OpenThread opens the thread of a message. Discord gives it the message's id and
// lets there be one only, so asking again finds the same. A private talk has no
// threads; there the job is in the talk itself.
func (a *Adapter) OpenThread(ctx context.Context, in bot.Place, below bot.MessageID, about bot.Topic) (bot.Place, error) {
	channel := string(in)
	p, err := a.placeFor(ctx, channel)
	if err != nil && !gone(err) {
		return "", err
	}
	if p.private {
		return in, nil
	}
	message, err := a.anchor(ctx, channel, string(below), about)
	if err != nil {
		return "", refused(err, channel)
	}
	id, err := a.startThread(ctx, channel, message, about)
	if codeOf(err) == codeUnknownMessage {
		// It was deleted meanwhile: the job hangs below a post of its own.
		if message, err = a.ownAnchor(ctx, channel, string(below), about); err == nil {
			id, err = a.startThread(ctx, channel, message, about)
		}
	}
	if err != nil {
		return "", refused(err, channel)
	}
	a.places.set(place{id: id, guild: p.guild, parent: channel, talks: true})
	a.marks.advance(id, mark{Seen: parseID(message), Parent: channel})
	return bot.Place(id), nil
}

// Direct gives the private talk with a person; see bot.Direct. Whether they take
// messages shows when one is sent.
func (a *Adapter) Direct(ctx context.Context, who bot.UserID) (bot.Place, error) {
	if parseID(string(who)) == 0 {
		return "", fmt.Errorf("%w: %q is no account of Discord", bot.ErrRefused, who)
	}
	var c discordgo.Channel
	err := a.poster.Call(ctx, Request{Method: "POST", URL: discordgo.EndpointUserChannels("@me"), Body: map[string]string{"recipient_id": string(who)}}, &c)
	if err != nil {
		return "", refused(err, "@"+string(who))
	}
	a.places.set(place{id: c.ID, private: true, talks: true})
	return bot.Place(c.ID), nil
}

// Link gives the address of a post; see bot.Linker.
// Source: the addresses that Discord's own "Copy Message Link" gives; those of private
// talks lead nobody else there.
func (a *Adapter) Link(ctx context.Context, at bot.Place, post bot.MessageID) string {
	p, err := a.placeFor(ctx, string(at))
	if err != nil || p.private || p.guild == "" && a.c.Guild == "" {
		return ""
	}
	link := "https://discord.com/channels/" + cmp.Or(p.guild, a.c.Guild) + "/" + p.id
	if parseID(string(post)) != 0 {
		link += "/" + string(post)
	}
	return link
}

func (a *Adapter) startThread(ctx context.Context, channel, message string, about bot.Topic) (string, error) {
	title := strings.Join(strings.Fields(about.Title), " ")
	if r := []rune(title); len(r) > maxTitle {
		title = string(r[:maxTitle-1]) + "…"
	}
	if title == "" {
		title = fmt.Sprintf("job %d", about.Job)
	}
	var made struct {
		ID string `json:"id"`
	}
	err := a.poster.Call(ctx, Request{
		Method: "POST", URL: discordgo.EndpointChannelMessageThread(channel, message),
		Body: map[string]any{"name": title, "auto_archive_duration": keepOpen},
	}, &made)
	switch {
	case codeOf(err) == codeThreadExists:
		return message, nil
	case err != nil:
		return "", err
	case made.ID == "":
		return message, nil
	}
	return made.ID, nil
}

// anchor is the message a thread hangs below. For a command or a form it is the one
// in which Discord shows it.
func (a *Adapter) anchor(ctx context.Context, channel, below string, about bot.Topic) (string, error) {
	interaction, ok := strings.CutPrefix(below, "i")
	if !ok {
		return strings.SplitN(below, "~", 2)[0], nil // an edit's thread is that of its message
	}
	message, err := a.sending.anchors.find(ctx, interaction)
	if message != "" || err != nil {
		return message, err
	}
	// Answered by a process before this one, or by a press, which shows no message.
	q := url.Values{"after": {interaction}, "limit": {"50"}}
	var got []struct {
		ID       string `json:"id"`
		Metadata *struct {
			ID string `json:"id"`
		} `json:"interaction_metadata"`
	}
	err = a.poster.Call(ctx, Request{Method: "GET", URL: discordgo.EndpointChannelMessages(channel) + "?" + q.Encode(), Bucket: "history " + channel}, &got)
	if err != nil && !gone(err) {
		return "", err
	}
	for _, m := range got {
		if m.Metadata != nil && m.Metadata.ID == interaction {
			a.sending.anchors.done(interaction, m.ID)
			return m.ID, nil
		}
	}
	message, err = a.ownAnchor(ctx, channel, below, about)
	if err == nil {
		a.sending.anchors.done(interaction, message)
	}
	return message, err
}

// ownAnchor posts a message for a thread to hang below.
func (a *Adapter) ownAnchor(ctx context.Context, channel, below string, about bot.Topic) (string, error) {
	id, err := a.Send(ctx, bot.Place(channel), bot.Post{Text: about.Title}, "t"+below)
	return string(id), err
}
