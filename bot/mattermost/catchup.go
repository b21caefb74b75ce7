package mattermost

import (
	"cmp"
	"context"
	"encoding/json"
	"net/http"
	"net/url"
	"slices"
	"strconv"

	"github.com/mattermost/mattermost/server/public/model"
)

const (
	pageSize = 200 // the server's largest
	maxPages = 500
)

// channels lists where the account is a member, private talks included.
func (a *Adapter) channels(ctx context.Context) ([]*model.Channel, error) {
	me, err := a.who(ctx)
	if err != nil {
		return nil, err
	}
	list, resp, err := a.api.GetChannelsForUserWithLastDeleteAt(ctx, me.id, 0)
	if err := a.fault(resp, err); err == nil || !gone(err) {
		return list, err
	}
	// Servers before 6.0 have it by team only.
	teams, resp, err := a.api.GetTeamsForUser(ctx, me.id, "")
	if err := a.fault(resp, err); err != nil {
		return nil, err
	}
	var all []*model.Channel
	for _, t := range teams {
		list, resp, err := a.api.GetChannelsForTeamForUser(ctx, t.Id, me.id, false, "")
		if err := a.fault(resp, err); err != nil {
			return nil, err
		}
		all = append(all, list...)
	}
	return all, nil
}

// catchUp delivers what was said in a channel since the last that was taken.
func (b *inbox) catchUp(ctx context.Context, channel string, kind model.ChannelType) error {
	select {
	case b.reading <- struct{}{}:
	case <-ctx.Done():
		return ctx.Err()
	}
	posts, err := b.a.postsSince(ctx, channel, b.ledger.floor(channel))
	<-b.reading
	if gone(err) {
		return nil // not a member any more
	}
	if err != nil {
		return err
	}
	taps, err := b.missedTaps(ctx, posts)
	if err != nil {
		return err
	}
	// What was said before the account was let in is not its business.
	joined := int64(0)
	for _, p := range posts {
		if b.me.joins(p) {
			joined = max(joined, p.CreateAt)
		}
	}
	type happening struct {
		at   int64
		post *model.Post
		tap  *model.Reaction
	}
	var all []happening
	for _, p := range posts {
		if p.DeleteAt == 0 && p.OriginalId == "" && p.CreateAt >= joined { // not deleted, nor an earlier wording
			all = append(all, happening{at: b.order(channel, p), post: p})
		}
	}
	for _, r := range taps {
		all = append(all, happening{at: r.CreateAt, tap: r})
	}
	slices.SortStableFunc(all, func(x, y happening) int { return cmp.Compare(x.at, y.at) })
	for _, h := range all {
		if h.tap != nil {
			if err := b.takeReaction(ctx, channel, h.tap); err != nil {
				return err
			}
			continue
		}
		p := h.post
		b.a.noteOwn(b.me, p)
		it := item{post: p, direct: isDirect(kind), edited: p.EditAt != 0 && b.knew(channel, p)}
		if !it.edited && b.knew(channel, p) || it.edited && p.EditAt <= b.ledger.floor(channel) {
			continue // came back because of a reaction or an answer below it
		}
		if err := b.takePost(ctx, channel, it); err != nil {
			return err
		}
	}
	return nil
}

// knew says whether a post's first wording was taken.
func (b *inbox) knew(channel string, p *model.Post) bool {
	return p.CreateAt <= b.ledger.floor(channel) || b.recent.has(p.Id) || b.ledger.has(channel, p.Id)
}

// order is when a post counts: a new wording of one that was taken at its edit.
func (b *inbox) order(channel string, p *model.Post) int64 {
	if p.EditAt != 0 && b.knew(channel, p) {
		return p.EditAt
	}
	return p.CreateAt
}

// joins says whether a post is the server's note that the account came in.
func (me *self) joins(p *model.Post) bool {
	switch p.Type {
	case model.PostTypeAddToChannel:
		return p.GetProp(model.PostPropsAddedUserId) == me.id
	case model.PostTypeJoinChannel:
		return p.UserId == me.id
	}
	return false
}

// postsSince gives the posts of a channel that were changed after a time, in no
// particular order. The server's answer ends at 1000 posts, which ones is undefined;
// then the channel is paged through as well.
func (a *Adapter) postsSince(ctx context.Context, channel string, since int64) ([]*model.Post, error) {
	// per_page is left alone by the servers seen; one that minds it gives the most.
	query := url.Values{"since": {strconv.FormatInt(since, 10)}, "per_page": {strconv.Itoa(pageSize)}}
	list, err := a.postList(ctx, "/channels/"+channel+"/posts?"+query.Encode())
	if err != nil {
		return nil, err
	}
	found := map[string]*model.Post{}
	add := func(l *model.PostList) (oldest int64) {
		for _, id := range l.Order {
			p := l.Posts[id]
			if p == nil {
				continue
			}
			found[id] = p
			if oldest == 0 || p.CreateAt < oldest {
				oldest = p.CreateAt
			}
		}
		return oldest
	}
	add(list)
	for page := 0; len(list.Order) >= pageSize && page < maxPages; page++ {
		// Newest first; what comes in meanwhile only moves posts to later pages.
		query := url.Values{"page": {strconv.Itoa(page)}, "per_page": {strconv.Itoa(pageSize)}}
		l, err := a.postList(ctx, "/channels/"+channel+"/posts?"+query.Encode())
		if err != nil {
			return nil, err
		}
		if oldest := add(l); len(l.Order) == 0 || oldest <= since {
			break
		}
	}
	posts := make([]*model.Post, 0, len(found))
	for _, p := range found {
		posts = append(posts, p)
	}
	return posts, nil
}

func (a *Adapter) postList(ctx context.Context, path string) (*model.PostList, error) {
	resp, err := a.api.DoAPIGet(ctx, path, "")
	if err := a.fault(model.BuildResponse(resp), err); err != nil {
		return nil, err
	}
	defer resp.Body.Close()
	var l model.PostList
	if err := json.NewDecoder(http.MaxBytesReader(nil, resp.Body, 64<<20)).Decode(&l); err != nil {
		return nil, &apiFault{err: err}
	}
	return &l, nil
}
