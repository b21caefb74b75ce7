package mattermost

import (
	"context"
	"encoding/json"
	"fmt"
	"regexp"
	"strings"

	"github.com/mattermost/mattermost/server/public/model"

	"shimwright/bot"
)

// written are the names a post of this account begins with; a text of people never
// does, since what follows an @ there is set apart.
var written = regexp.MustCompile(`^(?:@[a-z0-9._-]+ )+\n?`)

// Edit puts p in the place of an own post; see bot.Editor. Its files stay, with their
// words, and so do the names it began with: nobody is notified again.
func (a *Adapter) Edit(ctx context.Context, at bot.Place, id bot.MessageID, p bot.Post) error {
	channel, _, ok := spotOf(at)
	if !ok || postOf(id) != string(id) {
		return fmt.Errorf("%w: there is no post %q in %q", bot.ErrRefused, id, at)
	}
	me, err := a.who(ctx)
	if err != nil {
		return sendError(err)
	}
	leave, err := a.sent.enter(ctx, at)
	if err != nil {
		return err
	}
	defer leave()
	old, resp, err := a.api.GetPost(ctx, string(id), "")
	if err := a.fault(resp, err); err != nil {
		return sendError(err)
	}
	nonce, ok := old.GetProp(propNonce).(string)
	if !ok || old.UserId != me.id || old.ChannelId != channel {
		return fmt.Errorf("%w: %s is no post of this account there", bot.ErrRefused, id)
	}
	text := shownText(p)
	names := written.FindString(old.Message)
	had := offered(old)
	switch {
	case len(p.Choices) > 0 && a.callback == "":
		text = shownText(withNumbers(p, p.Choices))
	case len(had) > 0 && old.Message == names+shownText(withNumbers(p, had)):
		text = strings.TrimPrefix(old.Message, names) // the numbers stay to be read, and count for nothing
	}
	text = names + text
	// Props replace all that was there, from_bot included.
	props := model.StringInterface{propNonce: nonce, model.PostPropsFromBot: "true"}
	if files := old.GetProp(propFiles); files != nil {
		props[propFiles] = files
	}
	if len(p.Choices) > 0 && len(p.Choices) <= len(numbers) && a.callback == "" {
		props[propChoices] = p.Choices
		if len(p.For) > 0 {
			props[propFor] = p.For
		}
	}
	attached := words(old)
	if len(p.Choices) > 0 && a.callback != "" {
		attached = append(attached, a.choices(at, nonce, p.Choices, p.For))
	}
	if len(attached) > 0 {
		props[model.PostPropsAttachments] = attached
	}
	patch := &model.PostPatch{Props: &props}
	if text != old.Message {
		// Only then: a shop may forbid new wordings after a while, and not new buttons.
		patch.Message = &text
	}
	made, resp, err := a.api.PatchPost(ctx, old.Id, patch)
	if err := a.fault(resp, err); err != nil {
		return sendError(err)
	}
	if made != nil {
		a.noteOwn(me, made)
	}
	switch {
	case len(p.Choices) > 0 && a.callback == "":
		a.offerNumbers(ctx, me, old.Id, len(p.Choices))
	case len(had) > 0:
		a.takeNumbers(ctx, me, old.Id, len(had))
	}
	return nil
}

// words are the blocks of a post that say what is on its pictures. Those with buttons
// cannot be taken from what the server shows: it leaves out what they carry.
func words(p *model.Post) []*model.MessageAttachment {
	data, err := json.Marshal(p.GetProp(model.PostPropsAttachments))
	if err != nil {
		return nil
	}
	var all, kept []*model.MessageAttachment
	if json.Unmarshal(data, &all) != nil {
		return nil
	}
	for _, b := range all {
		if b != nil && len(b.Actions) == 0 {
			kept = append(kept, b)
		}
	}
	return kept
}
