package mattermost

import (
	"context"
	"encoding/json"
	"slices"
	"strconv"
	"time"

	"github.com/mattermost/mattermost/server/public/model"

	"shimwright/bot"
)

// Where the server cannot call this program choices are numbers below the text: a
// person types one, or taps the number among the post's reactions, which the account
// puts there itself. A tap counts once and its removal for nothing; whether the post
// is still the latest of its job is for package bot to say.

// numbers are the platform's names of the emoji 1 to 9.
var numbers = [...]string{"one", "two", "three", "four", "five", "six", "seven", "eight", "nine"}

// The props of a post that offers numbers.
const (
	propChoices = "shimwright_choices" // what each number says
	propFor     = "shimwright_for"     // who alone may say it; left out for everybody
)

// offered gives the choices of a post of the account's own, none where it has none or
// they were taken off.
func offered(p *model.Post) []string { return texts(p.GetProp(propChoices)) }

func texts(prop any) []string {
	switch list := prop.(type) {
	case []string:
		return list
	case []any:
		var out []string
		for _, v := range list {
			s, _ := v.(string)
			out = append(out, s)
		}
		return out
	}
	return nil
}

// offerNumbers puts the numbers below a post. What fails is left out: they can be
// typed all the same.
func (a *Adapter) offerNumbers(ctx context.Context, me *self, post string, n int) {
	for _, name := range numbers[:min(n, len(numbers))] {
		_, resp, err := a.api.SaveReaction(ctx, &model.Reaction{UserId: me.id, PostId: post, EmojiName: name})
		if err := a.fault(resp, err); err != nil {
			if ctx.Err() == nil {
				a.log.Warn("numbers to tap are left out below a post", "platform", Name, "post", post, "error", err)
			}
			return
		}
	}
}

// takeNumbers takes the account's own numbers off again.
func (a *Adapter) takeNumbers(ctx context.Context, me *self, post string, n int) {
	for _, name := range numbers[:min(n, len(numbers))] {
		resp, err := a.api.DeleteReaction(ctx, &model.Reaction{UserId: me.id, PostId: post, EmojiName: name})
		if err := a.fault(resp, err); err != nil {
			return // nobody minds them
		}
	}
}

// reacted takes a reaction's event.
func (b *inbox) reacted(f *frame) {
	var r model.Reaction
	if json.Unmarshal([]byte(f.text("reaction")), &r) != nil {
		b.a.log.Warn("a reaction that cannot be read is left out", "platform", Name)
		return
	}
	channel := f.Broadcast.ChannelID
	if channel == "" {
		channel = r.ChannelId
	}
	if channel != "" && b.taps(&r) {
		b.put(channel, item{reaction: &r})
	}
}

// taps says whether a reaction may be somebody's choice.
func (b *inbox) taps(r *model.Reaction) bool {
	return r.UserId != b.me.id && model.IsValidId(r.UserId) && model.IsValidId(r.PostId) && r.DeleteAt == 0 && slices.Contains(numbers[:], r.EmojiName)
}

// tapID is the same for every tap of a person on a number of a post.
func tapID(r *model.Reaction) bot.MessageID {
	return bot.MessageID(pressPrefix + r.PostId + "." + r.UserId + ".n" + strconv.Itoa(slices.Index(numbers[:], r.EmojiName)+1))
}

// takeReaction delivers a reaction that is a choice, once; an error only when ctx
// ended.
func (b *inbox) takeReaction(ctx context.Context, channel string, r *model.Reaction) error {
	key := string(tapID(r))
	if b.recent.has(key) || b.ledger.has(channel, key) {
		return nil
	}
	return b.insist(ctx, key, func() (bool, error) {
		m, ok, err := b.tapped(ctx, channel, r)
		if err == nil && ok {
			err = b.deliver(ctx, m)
		}
		return ok, err
	}, func(ok bool) {
		b.recent.add(key)
		b.ledger.take(channel, key, r.CreateAt, ok)
	})
}

// tapped makes a reaction the message it is, false where it is none: on somebody
// else's post, on one that offers nothing any more, of somebody it is not for.
func (b *inbox) tapped(ctx context.Context, channel string, r *model.Reaction) (bot.Message, bool, error) {
	post, resp, err := b.a.api.GetPost(ctx, r.PostId, "")
	if err := b.a.fault(resp, err); err != nil {
		if gone(err) {
			return bot.Message{}, false, nil
		}
		return bot.Message{}, false, err
	}
	choices, who := offered(post), texts(post.GetProp(propFor))
	n := slices.Index(numbers[:], r.EmojiName)
	if post.UserId != b.me.id || post.ChannelId != channel || post.DeleteAt != 0 || n >= len(choices) || len(who) > 0 && !slices.Contains(who, r.UserId) {
		return bot.Message{}, false, nil
	}
	users, err := b.a.lookUp(ctx, []string{r.UserId})
	if err != nil || users[r.UserId].bot {
		return bot.Message{}, false, err
	}
	m := bot.Message{
		Place: placeOf(channel, ""), Author: bot.UserID(r.UserId), ID: tapID(r), At: time.UnixMilli(r.CreateAt),
		Text: choices[n], Addressed: true, Pressed: bot.MessageID(post.Id),
	}
	if post.RootId != "" {
		m.Thread = placeOf(channel, post.RootId)
	}
	return m, true, nil
}

// missedTaps gives the reactions that may be choices on those of the posts that offer
// some: a reaction changes a post's update_at, so after a gap the post comes again.
func (b *inbox) missedTaps(ctx context.Context, posts []*model.Post) ([]*model.Reaction, error) {
	var out []*model.Reaction
	for _, p := range posts {
		if p.UserId != b.me.id || p.DeleteAt != 0 || p.OriginalId != "" || len(offered(p)) == 0 {
			continue
		}
		list, resp, err := b.a.api.GetReactions(ctx, p.Id)
		if err := b.a.fault(resp, err); err != nil {
			if gone(err) {
				continue
			}
			return nil, err
		}
		for _, r := range list {
			if r != nil && b.taps(r) {
				out = append(out, r)
			}
		}
	}
	return out, nil
}
