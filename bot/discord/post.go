package discord

import (
	"bytes"
	"cmp"
	"context"
	"crypto/sha256"
	"encoding/base64"
	"errors"
	"fmt"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/bwmarrin/discordgo"

	"shimwright/bot"
)

// Limits of one message.
// Source: Discord developer documentation, "Create Message", "Uploading Files" and
// "Component Reference".
const (
	maxText    = 2000 // characters
	mentions   = 100  // of them left for the people a post notifies
	maxFiles   = 10
	maxFile    = 10 << 20 // bytes
	maxRequest = 25 << 20
	maxChoices = 25
	maxLabel   = 80
	maxNonce   = 25
	maxTitle   = 100
	maxAlt     = 1024
	asButtons  = 10 // more than two rows are a menu
	inRow      = 5
	menuID     = "menu"
)

// newMessage is what discordgo's MessageSend lacks three fields of.
type newMessage struct {
	discordgo.MessageSend
	Nonce        string          `json:"nonce"`
	EnforceNonce bool            `json:"enforce_nonce"`
	Attachments  []newAttachment `json:"attachments,omitempty"`
}

type newAttachment struct {
	ID          string `json:"id"` // the place in the files, as text
	Filename    string `json:"filename"`
	Description string `json:"description,omitempty"`
}

// Send posts.
func (a *Adapter) Send(ctx context.Context, to bot.Place, p bot.Post, nonce string) (bot.MessageID, error) {
	m, files, err := compose(p, nonce)
	if err != nil {
		return "", err
	}
	if parseID(string(to)) == 0 {
		return "", fmt.Errorf("%w: %q is not a channel of Discord", bot.ErrRefused, to)
	}
	done, err := a.sending.take(ctx, string(to))
	if err != nil {
		return "", err
	}
	defer done()
	id, err := a.send(ctx, string(to), m, files)
	if err != nil {
		return "", refused(err, string(to))
	}
	a.sending.sent(id, m.Nonce)
	return bot.MessageID(id), nil
}

// send posts once for a nonce: Discord remembers nonces for a few minutes, after
// that the history is looked through.
func (a *Adapter) send(ctx context.Context, to string, m newMessage, files []bot.File) (string, error) {
	if id, ok := a.sending.known(m.Nonce); ok {
		return id, nil
	}
	now := a.c.Now()
	if since := a.sending.lost(m.Nonce, now); since != 0 {
		all, err := a.ownPosts(ctx, to, since)
		if err != nil {
			return "", err
		}
		if id := a.sending.match(all, m, len(files)); id != "" {
			return id, nil
		}
	}
	if since, look := a.sending.leftover(to, now); look {
		all, err := a.ownPosts(ctx, to, since)
		if err != nil {
			return "", err
		}
		a.sending.keepLeftover(to, all)
	}
	if id := a.sending.matchLeftover(to, m, len(files)); id != "" {
		return id, nil
	}
	a.sending.trying(m.Nonce, now)
	id, err := a.create(ctx, to, m, files)
	switch codeOf(err) {
	case codeThreadArchived, codeThreadLocked:
		if a.unarchive(ctx, to) != nil {
			return "", err
		}
		id, err = a.create(ctx, to, m, files)
	}
	return id, err
}

func (a *Adapter) create(ctx context.Context, to string, m newMessage, files []bot.File) (string, error) {
	q := Request{Method: "POST", URL: discordgo.EndpointChannelMessages(to), Body: m}
	for _, f := range files {
		q.Files = append(q.Files, &discordgo.File{Name: f.Name, ContentType: f.Type, Reader: bytes.NewReader(f.Data)})
	}
	var made struct {
		ID string `json:"id"`
	}
	if err := a.poster.Call(ctx, q, &made); err != nil {
		return "", err
	}
	if made.ID == "" {
		return "", errors.New("Discord took a post and did not say its id")
	}
	return made.ID, nil
}

// unarchive takes a thread up again, which also unlocks it where the bot may.
func (a *Adapter) unarchive(ctx context.Context, thread string) error {
	return a.poster.Call(ctx, Request{Method: "PATCH", URL: discordgo.EndpointChannel(thread), Body: map[string]bool{"archived": false, "locked": false}}, nil)
}

// ownPosts are the bot's own posts of a place, oldest first; none where it may not
// read the history.
func (a *Adapter) ownPosts(ctx context.Context, place string, since snowflake) ([]ownPost, error) {
	own, err := a.me(ctx)
	if err != nil {
		return nil, err
	}
	q := url.Values{"after": {since.String()}, "limit": {fmt.Sprint(pageSize)}}
	var got []struct {
		ID          string         `json:"id"`
		Content     string         `json:"content"`
		Nonce       any            `json:"nonce"`
		Author      discordgo.User `json:"author"`
		Attachments []struct{}     `json:"attachments"`
		Metadata    *struct{}      `json:"interaction_metadata"`
	}
	err = a.poster.Call(ctx, Request{Method: "GET", URL: discordgo.EndpointChannelMessages(place) + "?" + q.Encode(), Bucket: "history " + place}, &got)
	if gone(err) {
		return nil, nil
	}
	var posts []ownPost
	for _, g := range got {
		if g.Author.ID == own.user && g.Metadata == nil && parseID(g.ID) > since {
			nonce, _ := g.Nonce.(string)
			posts = append(posts, ownPost{id: g.ID, text: g.Content, nonce: nonce, files: len(g.Attachments)})
		}
	}
	slices.SortFunc(posts, func(a, b ownPost) int { return cmp.Compare(parseID(a.id), parseID(b.id)) })
	return posts, err
}

// compose makes a message of a post and checks what Discord would refuse.
func compose(p bot.Post, nonce string) (newMessage, []bot.File, error) {
	no := func(format string, args ...any) (newMessage, []bot.File, error) {
		return newMessage{}, nil, fmt.Errorf("%w: "+format, append([]any{bot.ErrRefused}, args...)...)
	}
	p.Text = enlarged(p)
	if n := utf8.RuneCountInString(p.Text); n > maxText {
		return no("it has %d characters, and Discord takes %d", n, maxText)
	}
	if strings.TrimSpace(p.Text) == "" && len(p.Files) == 0 {
		return no("it is empty")
	}
	if len(p.Files) > maxFiles {
		return no("it has %d files, and Discord takes %d", len(p.Files), maxFiles)
	}
	total := len(p.Text)
	for _, f := range p.Files {
		total += len(f.Data)
		if len(f.Data) > maxFile {
			return no("%s has %d bytes, and Discord takes %d", f.Name, len(f.Data), maxFile)
		}
	}
	if total > maxRequest-64<<10 {
		return no("its files have %d bytes together, and Discord takes %d", total, maxRequest)
	}
	components, err := choices(p.Choices, p.For)
	if err != nil {
		return no("%w", err)
	}
	m := newMessage{Nonce: shortNonce(nonce), EnforceNonce: nonce != ""}
	m.Content, m.Components = p.Text, components
	m.AllowedMentions = nobody()
	var pings []string
	for _, u := range p.Ping {
		if id := string(u); parseID(id) != 0 && len(m.AllowedMentions.Users) < 100 {
			m.AllowedMentions.Users = append(m.AllowedMentions.Users, id)
			if mention := "<@" + id + ">"; !strings.Contains(p.Text, mention) {
				pings = append(pings, mention)
			}
		}
	}
	if len(pings) > 0 { // nobody is notified without standing in the text
		line := strings.Join(pings, " ")
		if utf8.RuneCountInString(p.Text)+1+len(line) <= maxText {
			m.Content = p.Text + "\n" + line
		}
	}
	for i, f := range p.Files {
		alt := f.Alt
		if r := []rune(alt); len(r) > maxAlt {
			alt = string(r[:maxAlt-1]) + "…"
		}
		m.Attachments = append(m.Attachments, newAttachment{ID: strconv.Itoa(i), Filename: f.Name, Description: alt})
	}
	return m, p.Files, nil
}

// largeMark makes a line a heading.
// Source: Discord help centre, "Markdown Text 101", headers.
const largeMark = "# "

// LargeCost is what a large line takes more.
func (a *Adapter) LargeCost() int { return len(largeMark) }

// enlarged is the text of a post with its large lines as headings.
func enlarged(p bot.Post) string {
	if len(p.Large) == 0 {
		return p.Text
	}
	lines := strings.Split(p.Text, "\n")
	for i, line := range lines {
		if p.IsLarge(line) {
			lines[i] = largeMark + strings.TrimLeft(line, " ")
		}
	}
	return strings.Join(lines, "\n")
}

// shortNonce fits a nonce into Discord's 25 characters.
func shortNonce(nonce string) string {
	if len(nonce) <= maxNonce {
		return nonce
	}
	sum := sha256.Sum256([]byte(nonce))
	return base64.RawURLEncoding.EncodeToString(sum[:])[:maxNonce]
}

// choices makes buttons, or a menu where they would be too many. What is said by a
// press stands in the button itself, so that it works after a restart.
func choices(list []string, who []bot.UserID) ([]discordgo.MessageComponent, error) {
	if len(list) > maxChoices {
		return nil, fmt.Errorf("it has %d choices, and Discord takes %d", len(list), maxChoices)
	}
	for _, c := range list {
		if n := utf8.RuneCountInString(c); n > maxLabel || strings.TrimSpace(c) == "" {
			return nil, fmt.Errorf("the choice %q has %d characters, and Discord takes 1 to %d", c, n, maxLabel)
		}
	}
	var rows []discordgo.MessageComponent
	if len(list) > asButtons {
		menu := discordgo.SelectMenu{MenuType: discordgo.StringSelectMenu, CustomID: menuID, Placeholder: "choose"}
		for i, c := range list {
			menu.Options = append(menu.Options, discordgo.SelectMenuOption{Label: c, Value: choiceID(i, c, who)})
		}
		return append(rows, discordgo.ActionsRow{Components: []discordgo.MessageComponent{menu}}), nil
	}
	for from := 0; from < len(list); from += inRow {
		var row discordgo.ActionsRow
		for i := from; i < min(from+inRow, len(list)); i++ {
			row.Components = append(row.Components, discordgo.Button{Label: list[i], Style: discordgo.SecondaryButton, CustomID: choiceID(i, list[i], who)})
		}
		rows = append(rows, row)
	}
	return rows, nil
}

const maxID = 100 // characters of a custom_id

// choiceID says what a choice says, and who alone may press it as far as there is room
// for their ids: one of them at least beside the longest label. Without room the
// choice is let through, and package bot looks who pressed it.
func choiceID(n int, label string, who []bot.UserID) string {
	scope := ""
	for _, u := range who {
		scope += "!" + strconv.FormatUint(uint64(parseID(string(u))), 36)
	}
	id := fmt.Sprintf("%s%d%s:%s", sayPrefix, n, scope, label)
	if utf8.RuneCountInString(id) > maxID {
		id = fmt.Sprintf("%s%d:%s", sayPrefix, n, label)
	}
	return id
}

// choiceOf reads an id: what it says, and who may press it, nobody named for all.
func choiceOf(id string) (label string, who []string, ok bool) {
	rest, ok := strings.CutPrefix(id, sayPrefix)
	if !ok {
		return "", nil, false
	}
	head, label, ok := strings.Cut(rest, ":")
	for _, part := range strings.Split(head, "!")[1:] {
		u, err := strconv.ParseUint(part, 36, 64)
		if err != nil {
			return "", nil, false
		}
		who = append(who, strconv.FormatUint(u, 10))
	}
	return label, who, ok && label != ""
}

// Edit gives one of the bot's posts another text and other choices. Its files stay
// as they are. A thread that was archived is taken up first, since nothing in it can
// be changed otherwise.
func (a *Adapter) Edit(ctx context.Context, at bot.Place, id bot.MessageID, p bot.Post) error {
	m, _, err := compose(bot.Post{Text: p.Text, Large: p.Large, Choices: p.Choices, For: p.For, Ping: p.Ping, Files: p.Files}, "")
	if err != nil {
		return err
	}
	done, err := a.sending.take(ctx, string(at))
	if err != nil {
		return err
	}
	defer done()
	body := struct {
		Content         string                            `json:"content"`
		Components      []discordgo.MessageComponent      `json:"components"`
		AllowedMentions *discordgo.MessageAllowedMentions `json:"allowed_mentions"`
	}{m.Content, m.Components, m.AllowedMentions}
	if body.Components == nil {
		body.Components = []discordgo.MessageComponent{} // null would leave them
	}
	q := Request{Method: "PATCH", URL: discordgo.EndpointChannelMessage(string(at), string(id)), Bucket: "edit " + string(at), Body: body}
	err = a.poster.Call(ctx, q, nil)
	switch codeOf(err) {
	case codeThreadArchived, codeThreadLocked:
		if a.unarchive(ctx, string(at)) == nil {
			err = a.poster.Call(ctx, q, nil)
		}
	}
	if codeOf(err) == codeUnknownMessage {
		return fmt.Errorf("%w: the post is gone: %w", bot.ErrRefused, err)
	}
	return refused(err, string(at))
}
