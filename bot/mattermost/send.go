package mattermost

import (
	"context"
	"crypto/hmac"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"path"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"github.com/mattermost/mattermost/server/public/model"

	"shimwright/bot"
)

const (
	maxBody   = 300_000 // bytes of a request that the server reads
	pingRoom  = 400     // characters kept for names to notify
	postTries = 4
	lookPages = 5 // of a place's history, newest first
)

// pendingError is what the server says while it still makes the same post.
const pendingError = "api.post.deduplicate_create_post.pending"

// Send shows a post; see bot.Adapter.
func (a *Adapter) Send(ctx context.Context, to bot.Place, p bot.Post, nonce string) (bot.MessageID, error) {
	channel, _, ok := spotOf(to)
	if !ok {
		return "", fmt.Errorf("%w: %q is no place of this platform", bot.ErrRefused, to)
	}
	me, err := a.who(ctx)
	if err != nil {
		return "", sendError(err)
	}
	leave, err := a.sent.enter(ctx, to)
	if err != nil {
		return "", err
	}
	defer leave()
	post, err := a.show(ctx, me, to, p, nonce)
	if err != nil {
		return "", sendError(err)
	}
	if len(p.Choices) > 0 && a.callback == "" {
		a.offerNumbers(ctx, me, post.Id, len(p.Choices))
	}
	if lost := lostFiles(post, p.Files); len(lost) > 0 {
		// The server made the post and left files out without a word.
		a.log.Warn("files are missing in a post; sending them after it", "platform", Name, "post", post.Id, "files", len(lost), "channel", channel)
		more, err := a.show(ctx, me, to, bot.Post{Text: alts(lost), Files: lost}, nonce+".files")
		if err != nil {
			return "", sendError(err)
		}
		if still := lostFiles(more, lost); len(still) > 0 {
			a.log.Error("the server loses files; they are told in words", "platform", Name, "post", more.Id, "files", len(still))
		}
	}
	return bot.MessageID(post.Id), nil
}

func alts(files []bot.File) string {
	lines := make([]string, len(files))
	for i, f := range files {
		lines[i] = f.Alt
	}
	return strings.Join(lines, "\n")
}

// show gives the post of a nonce: the one that is there, or a new one.
func (a *Adapter) show(ctx context.Context, me *self, to bot.Place, p bot.Post, nonce string) (*model.Post, error) {
	if !a.sent.sure(to) {
		if err := a.look(ctx, me, to); err != nil {
			return nil, err
		}
	}
	if post := a.sent.find(nonce); post != nil {
		return post, nil
	}
	post, err := a.compose(ctx, me, to, p, nonce)
	if err != nil {
		return nil, err
	}
	made, err := a.create(ctx, me, to, post, nonce)
	if err != nil {
		return nil, err
	}
	a.noteOwn(me, made)
	return made, nil
}

// create makes a post, asking again where asking cannot make a second one.
func (a *Adapter) create(ctx context.Context, me *self, to bot.Place, post *model.Post, nonce string) (*model.Post, error) {
	body, err := json.Marshal(post)
	if err != nil {
		return nil, err
	}
	if len(body) > maxBody {
		return nil, fmt.Errorf("%w: the post has %d bytes, and the server reads up to %d", bot.ErrRefused, len(body), maxBody)
	}
	var last error
	for try := range postTries {
		if try > 0 {
			if err := sleep(ctx, 250*time.Millisecond<<try); err != nil {
				return nil, errors.Join(last, err)
			}
			if !a.sent.sure(to) {
				if err := a.look(ctx, me, to); err != nil {
					return nil, err
				}
			}
			if made := a.sent.find(nonce); made != nil {
				return made, nil
			}
		}
		made, resp, err := a.api.CreatePost(ctx, post)
		last = a.fault(resp, err)
		switch f := (*apiFault)(nil); {
		case last == nil && made != nil && made.UserId == me.id && made.GetProp(propNonce) == nonce:
			return made, nil
		case last == nil:
			// Somebody else has used the same pending id: the server gave us theirs.
			post.PendingPostId = a.pendingID(me, to, nonce, try+1)
			last = errors.New("the server answers with another post")
		case errors.As(last, &f) && f.id == pendingError:
			// The same post is being made: its outcome comes with the next try.
		case f != nil && (f.status == 0 || f.status < 400 || f.status >= 500):
			a.sent.doubt(to) // it may be there or not
		default:
			return nil, last
		}
	}
	a.sent.doubt(to)
	return nil, last
}

// pendingID is the server's idempotency key for 30 seconds. It is global there,
// whoever sends it: so nobody else may come to the same, nor guess it.
func (a *Adapter) pendingID(me *self, to bot.Place, nonce string, salt int) string {
	mac := hmac.New(sha256.New, a.postKey)
	mac.Write([]byte(me.id + "\x00" + string(to) + "\x00" + nonce + "\x00" + strconv.Itoa(salt)))
	return me.id + ":" + hex.EncodeToString(mac.Sum(nil)[:16])
}

// look reads the own posts of a place, so that none is made twice.
func (a *Adapter) look(ctx context.Context, me *self, at bot.Place) error {
	channel, root, _ := spotOf(at)
	from := int64(0)
	for page := range lookPages {
		query := "/channels/" + channel + "/posts?page=" + strconv.Itoa(page) + "&per_page=" + strconv.Itoa(pageSize)
		if root != "" {
			query = "/posts/" + root + "/thread?direction=up&perPage=" + strconv.Itoa(pageSize)
			if from != 0 {
				query += "&fromCreateAt=" + strconv.FormatInt(from, 10)
			}
		}
		list, err := a.postList(ctx, query)
		if gone(err) {
			break // making the post will say why
		}
		if err != nil {
			return err
		}
		before := from
		for _, p := range list.Posts {
			if p == nil {
				continue
			}
			a.noteOwn(me, p)
			if p.Id != root && (from == 0 || p.CreateAt < from) {
				from = p.CreateAt
			}
		}
		if root == "" && len(list.Order) < pageSize || root != "" && (len(list.Order) < pageSize || from == before) {
			break
		}
	}
	a.sent.lookedAt(at)
	return nil
}

// compose makes the post the server is given.
func (a *Adapter) compose(ctx context.Context, me *self, to bot.Place, p bot.Post, nonce string) (*model.Post, error) {
	channel, root, _ := spotOf(to)
	var numbered []string
	if len(p.Choices) > 0 && a.callback == "" {
		numbered = p.Choices
		p, p.Choices = withNumbers(p, numbered), nil
	}
	text := shownText(p)
	calls, err := a.calls(ctx, p.Ping)
	if err != nil {
		return nil, err
	}
	if calls != "" && strings.HasPrefix(text, largeMark) {
		calls += "\n" // a heading begins its line
	}
	a.mu.Lock()
	limit := a.limits.post
	a.mu.Unlock()
	if n := utf8.RuneCountInString(text); calls != "" && n+utf8.RuneCountInString(calls) <= limit {
		text = calls + text
	}
	post := &model.Post{ChannelId: channel, RootId: root, Message: text, PendingPostId: a.pendingID(me, to, nonce, 0)}
	post.AddProp(propNonce, nonce)
	if len(numbered) > 0 && len(numbered) <= len(numbers) {
		post.AddProp(propChoices, numbered)
		if len(p.For) > 0 {
			post.AddProp(propFor, p.For)
		}
	}
	var attached []*model.MessageAttachment
	var sent []string
	for _, f := range p.Files {
		id, err := a.upload(ctx, channel, f)
		if err != nil && !errors.Is(sendError(err), bot.ErrRefused) {
			return nil, err
		}
		if err != nil {
			a.log.Error("a picture is told in words", "platform", Name, "name", f.Name, "error", err)
		} else {
			sent = append(sent, id)
		}
		if f.Alt != "" {
			// The platform has no words for pictures: they stand below the text.
			attached = append(attached, &model.MessageAttachment{Fallback: quiet(f.Alt), Text: escape(f.Alt)})
		}
	}
	if len(sent) > 0 {
		post.FileIds = sent
		post.AddProp(propFiles, sent)
	}
	if len(p.Choices) > 0 {
		attached = append(attached, a.choices(to, nonce, p.Choices, p.For))
	}
	if len(attached) > 0 {
		post.AddProp(model.PostPropsAttachments, attached)
	}
	return post, nil
}

// calls writes the names of people to notify, as many as there is room for.
func (a *Adapter) calls(ctx context.Context, who []bot.UserID) (string, error) {
	if len(who) == 0 {
		return "", nil
	}
	ids := make([]string, len(who))
	for i, id := range who {
		ids[i] = string(id)
	}
	users, err := a.lookUp(ctx, ids)
	if err != nil {
		return "", err
	}
	out := ""
	for _, id := range ids {
		if name := users[id].name; name != "" && len(out)+len(name)+2 <= pingRoom {
			out += "@" + name + " "
		}
	}
	return out, nil
}

// withNumbers gives a post with its choices in the text.
func withNumbers(p bot.Post, choices []string) bot.Post {
	p.Text += "\n" + bot.ChoiceText(choices)
	return p
}

func (a *Adapter) upload(ctx context.Context, channel string, f bot.File) (string, error) {
	up, resp, err := a.api.UploadFile(ctx, f.Data, channel, path.Base(f.Name))
	if err := a.fault(resp, err); err != nil {
		return "", err
	}
	if up == nil || len(up.FileInfos) != 1 || up.FileInfos[0] == nil {
		return "", &apiFault{status: http.StatusBadRequest, err: errors.New("the server took the upload and names no file")}
	}
	return up.FileInfos[0].Id, nil
}

// lostFiles gives those of the files that the post should have and has not.
func lostFiles(p *model.Post, files []bot.File) []bot.File {
	var sent []string
	switch ids := p.GetProp(propFiles).(type) {
	case []string:
		sent = ids
	case []any:
		for _, id := range ids {
			if s, ok := id.(string); ok {
				sent = append(sent, s)
			}
		}
	}
	if len(sent) != len(files) {
		return nil // it was told in words why
	}
	var lost []bot.File
	for i, id := range sent {
		if !slices.Contains(p.FileIds, id) {
			lost = append(lost, files[i])
		}
	}
	return lost
}
