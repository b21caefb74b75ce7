package discord

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/url"
	"slices"
	"strings"

	"github.com/bwmarrin/discordgo"

	"shimwright/bot"
)

// message makes an item a message of package bot, false where it is none.
func (r *run) message(p place, it item) (bot.Message, bool) {
	here := bot.Message{Place: bot.Place(p.channel())}
	if p.parent != "" {
		here.Thread = bot.Place(p.id)
	}
	if it.press != nil {
		m := *it.press
		m.Place, m.Thread = here.Place, here.Thread
		return m, true
	}
	d := it.message
	if d.Author == nil { // an update may come without it
		d = r.whole(d)
		if d == nil || !speaks(d) {
			return bot.Message{}, false
		}
	}
	text, mentioned := r.a.unmention(d)
	m := here
	m.Author, m.ID, m.At = bot.UserID(d.Author.ID), bot.MessageID(d.ID), parseID(d.ID).time()
	m.Text, m.Addressed = text, mentioned || p.private
	if d.MessageReference != nil && d.Type == discordgo.MessageTypeReply {
		m.ReplyTo = bot.MessageID(d.MessageReference.MessageID)
	}
	for _, f := range d.Attachments {
		if f != nil {
			m.Files = append(m.Files, r.a.attachment(p.id, d.ID, f))
		}
	}
	if it.edited != 0 {
		if !r.changed(d.ID, d.Content) {
			return bot.Message{}, false
		}
		m.EditOf, m.ID = m.ID, bot.MessageID(fmt.Sprintf("%s~%d", d.ID, it.edited))
		m.At = idAt(*d.EditedTimestamp).time()
	}
	if d.Content == "" && len(d.Attachments) == 0 {
		if !r.a.c.MessageContent && r.a.said.first("content") {
			r.a.c.Log.Info("messages that do not mention the bot come without their text, since message_content is off")
		} else if r.a.c.MessageContent && r.a.said.first("content") {
			r.a.c.Log.Warn("a message came without text; if that goes on, switch Message Content Intent on on the application's Bot page", "message", d.ID)
		}
		return bot.Message{}, false
	}
	return m, true
}

// whole fetches a message that an update told only in part.
func (r *run) whole(d *discordgo.Message) *discordgo.Message {
	got, err := r.a.fetch(r.ctx, d.ChannelID, d.ID)
	if err != nil || got.EditedTimestamp == nil {
		return nil
	}
	return got
}

// fetch asks for one message.
func (a *Adapter) fetch(ctx context.Context, channel, id string) (*discordgo.Message, error) {
	var raw json.RawMessage
	if err := a.poster.Call(ctx, get(discordgo.EndpointChannelMessage(channel, id)), &raw); err != nil {
		return nil, err
	}
	return readMessage(raw)
}

// readMessage reads a message without the parts that are of no use here and that
// newer kinds of which make it unreadable: its components, and other messages inside of it.
func readMessage(raw []byte) (*discordgo.Message, error) {
	var parts map[string]json.RawMessage
	if err := json.Unmarshal(raw, &parts); err != nil {
		return nil, err
	}
	for _, name := range []string{
		"components", "embeds", "referenced_message", "message_snapshots", "poll", "sticker_items", "activity", "application",
		"interaction", "thread", "reactions", "mention_channels", "member",
	} {
		delete(parts, name)
	}
	rest, err := json.Marshal(parts)
	if err != nil {
		return nil, err
	}
	m := new(discordgo.Message)
	return m, json.Unmarshal(rest, m)
}

// remember keeps the wording that was delivered, so that an update without a new
// one is told apart.
func (r *run) remember(id, text string) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.heard.put("t"+id, text)
}

func (r *run) changed(id, text string) bool {
	r.mu.Lock()
	defer r.mu.Unlock()
	old, ok := r.heard.set["t"+id]
	r.heard.put("t"+id, text)
	return !ok || old != text
}

// unmention takes the bot's own mention out of a text and says whether there was one.
func (a *Adapter) unmention(m *discordgo.Message) (string, bool) {
	a.mu.Lock()
	own, roles := a.own.user, slices.Clone(a.own.roles)
	a.mu.Unlock()
	mentioned := false
	for _, u := range m.Mentions {
		mentioned = mentioned || u != nil && u.ID == own && own != ""
	}
	text := m.Content
	if own == "" {
		return text, mentioned
	}
	forms := []string{"<@" + own + ">", "<@!" + own + ">"}
	for _, r := range roles {
		forms = append(forms, "<@&"+r+">")
	}
	for _, form := range forms {
		for strings.Contains(text, form) {
			mentioned = true
			before, after, _ := strings.Cut(text, form)
			before, after = strings.TrimRight(before, " "), strings.TrimLeft(after, " ,:")
			switch {
			case before == "" || after == "" || strings.HasSuffix(before, "\n"):
				text = before + after
			default:
				text = before + " " + after
			}
		}
	}
	return text, mentioned
}

// attachment is a file somebody sent. Its address is signed and good for a while
// only; after that the message is asked for a new one.
func (a *Adapter) attachment(channel, message string, f *discordgo.MessageAttachment) bot.Attachment {
	return bot.Attachment{
		Name: f.Filename, Type: f.ContentType, Size: int64(f.Size),
		Open: func(ctx context.Context) (io.ReadCloser, error) {
			body, err := a.download(ctx, f.URL)
			if err == nil || !errors.Is(err, errExpired) {
				return body, err
			}
			m, err := a.fetch(ctx, channel, message)
			if err != nil {
				return nil, err
			}
			for _, now := range m.Attachments {
				if now != nil && now.ID == f.ID { // names may be changed by Discord
					return a.download(ctx, now.URL)
				}
			}
			return nil, fmt.Errorf("%s is not on the message any more", f.Filename)
		},
	}
}

// cdn are the hosts Discord keeps attachments on.
// Source: Discord developer documentation, "Reference", Image Formatting and "Signed
// Attachment CDN URLs".
var cdn = []string{"cdn.discordapp.com", "media.discordapp.net"}

// ownFile says whether an address is one of Discord's for files, or of the server that
// stands in for it. Any other would have this machine ask whatever somebody wants.
func (a *Adapter) ownFile(u *url.URL) bool {
	if a.base != nil {
		return u.Scheme == a.base.Scheme && u.Host == a.base.Host
	}
	return u.Scheme == "https" && slices.Contains(cdn, u.Host)
}

var errExpired = errors.New("the address of the file has expired")

func (a *Adapter) download(ctx context.Context, url string) (io.ReadCloser, error) {
	req, err := http.NewRequestWithContext(ctx, http.MethodGet, url, nil)
	if err != nil {
		return nil, err
	}
	if !a.ownFile(req.URL) {
		return nil, fmt.Errorf("a file is not where Discord keeps them, and left there: %s", req.URL.Host)
	}
	resp, err := a.files.Do(req)
	if err != nil {
		return nil, err
	}
	switch resp.StatusCode {
	case http.StatusOK:
		return resp.Body, nil
	case http.StatusForbidden, http.StatusNotFound:
		resp.Body.Close()
		return nil, errExpired
	}
	resp.Body.Close()
	return nil, fmt.Errorf("the file is not to be had: %s", resp.Status)
}
