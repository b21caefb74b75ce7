package discord

import (
	"context"
	"encoding/json"
	"errors"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"github.com/bwmarrin/discordgo"

	"shimwright/bot"
)

const (
	ackTime   = 3 * time.Second // Source: Discord developer documentation, "Receiving and Responding"
	tapTime   = 5 * time.Second // a second press of the same choice within it is a slip of the glove
	sayPrefix = "say:"          // of a button's custom_id: what follows the number is said
	formID    = "readings"
)

// tap is a press of a choice.
type tap struct {
	message, choice string
	at              time.Time
}

// interact answers a press, a command or a form to Discord at once, and queues what
// it says. Nothing is waited for before the answer: no store, no rate limit of other
// requests, no queue.
func (r *run) interact(i *discordgo.Interaction) {
	if i == nil || i.ID == "" {
		return
	}
	r.mu.Lock()
	again := r.heard.has("i" + i.ID)
	r.heard.add("i" + i.ID)
	r.mu.Unlock()
	if again {
		return
	}
	r.a.setOwn("", i.AppID)
	who := i.User
	if i.Member != nil && i.Member.User != nil {
		who = i.Member.User
	}
	if who == nil || who.Bot {
		return
	}
	text, answer := r.read(i, who.ID)
	if text != "" && !r.mayListen(i) {
		text, answer = "", whisper("i do not listen here. "+r.where())
	}
	if answer == nil {
		return
	}
	if text != "" {
		r.a.sending.anchors.begin(i.ID)
	}
	r.start(func() { r.ack(i, answer) })
	if text == "" {
		return
	}
	at := parseID(i.ID)
	m := &bot.Message{
		Author: bot.UserID(who.ID), ID: bot.MessageID("i" + i.ID), At: at.time(), Text: text, Addressed: true,
		Whisper: func(ctx context.Context, text string) error {
			if _, err := r.a.sending.anchors.find(ctx, i.ID); err != nil { // the first answer has to be there
				return err
			}
			return r.a.acker.Whisper(ctx, i, text)
		},
	}
	if _, on := i.Data.(discordgo.MessageComponentInteractionData); on && i.Message != nil {
		m.Pressed = bot.MessageID(i.Message.ID)
	}
	r.put(i.ChannelID, item{at: at, key: "press " + i.ID, guild: i.GuildID, press: m})
}

// readInteraction reads an interaction, of the message it was pressed on the id only.
// After an error it may have what came before.
func readInteraction(raw []byte) (*discordgo.Interaction, error) {
	i := new(discordgo.Interaction)
	var parts map[string]json.RawMessage
	if err := json.Unmarshal(raw, &parts); err != nil {
		return i, err
	}
	var on struct {
		ID string `json:"id"`
	}
	if m, ok := parts["message"]; ok && json.Unmarshal(m, &on) == nil {
		parts["message"] = strconv.AppendQuote([]byte(`{"id":`), on.ID)
		parts["message"] = append(parts["message"], '}')
	}
	for _, name := range []string{"entitlements", "authorizing_integration_owners", "channel", "guild", "context"} {
		delete(parts, name)
	}
	rest, err := json.Marshal(parts)
	if err != nil {
		return i, err
	}
	return i, json.Unmarshal(rest, i)
}

// read tells what an interaction says (nothing for one that only opens a form) and
// how it is answered.
func (r *run) read(i *discordgo.Interaction, who string) (text string, answer *discordgo.InteractionResponse) {
	// Data is nil where a payload has something the library does not know.
	switch d := i.Data.(type) {
	case discordgo.ApplicationCommandInteractionData:
		if i.Type == discordgo.InteractionApplicationCommandAutocomplete {
			return "", &discordgo.InteractionResponse{Type: discordgo.InteractionApplicationCommandAutocompleteResult, Data: &discordgo.InteractionResponseData{}}
		}
		return command(d)
	case discordgo.MessageComponentInteractionData:
		return r.pressed(i, d, who)
	case discordgo.ModalSubmitInteractionData:
		if d.CustomID == formID {
			if text := formText(d.Components); text != "" {
				return text, echo(text)
			}
			return "", whisper("the form was empty. nothing was logged.")
		}
	}
	return "", whisper("that did not come through as anything i know.\ntype it instead.")
}

// pressed reads a button or a menu.
func (r *run) pressed(i *discordgo.Interaction, d discordgo.MessageComponentInteractionData, who string) (string, *discordgo.InteractionResponse) {
	id := d.CustomID
	if strings.HasPrefix(id, menuID) && len(d.Values) > 0 {
		id = d.Values[0]
	}
	label, may, ok := choiceOf(id)
	if !ok {
		return "", whisper("that button is not one i know any more.\ntype the answer instead.")
	}
	if len(may) > 0 && !slices.Contains(may, who) {
		return "", whisper("that is for somebody else: nothing was logged.")
	}
	later := &discordgo.InteractionResponse{Type: discordgo.InteractionResponseDeferredMessageUpdate}
	message := ""
	if i.Message != nil {
		message = i.Message.ID
	}
	now := r.a.c.Now()
	r.mu.Lock()
	defer r.mu.Unlock()
	last, had := r.taps[who]
	this := tap{message, id, now}
	if had && last.message == this.message && last.choice == this.choice && now.Sub(last.at) < tapTime {
		return "", later
	}
	if len(r.taps) > 1000 {
		clear(r.taps)
	}
	r.taps[who] = this
	return label, later
}

// mayListen decides with what is known; the queue looks again with what it asks.
func (r *run) mayListen(i *discordgo.Interaction) bool {
	p, ok := r.a.places.get(i.ChannelID)
	if !ok {
		if i.GuildID == "" {
			r.a.places.set(place{id: i.ChannelID, private: true, talks: true})
		}
		return r.a.c.Guild == "" || i.GuildID == "" || i.GuildID == r.a.c.Guild
	}
	if p.guild == "" {
		p.guild = i.GuildID
	}
	return r.a.listens(p)
}

func (r *run) where() string {
	if len(r.a.c.Channels) == 0 {
		return "write to me on the shop's own server."
	}
	var list []string
	for _, id := range r.a.c.Channels[:min(5, len(r.a.c.Channels))] {
		list = append(list, "<#"+id+">")
	}
	return "write in " + strings.Join(list, " or ") + "."
}

// ack answers Discord within its three seconds, twice if the first answer is lost.
func (r *run) ack(i *discordgo.Interaction, answer *discordgo.InteractionResponse) {
	ctx, cancel := context.WithTimeout(context.WithoutCancel(r.ctx), ackTime)
	defer cancel()
	message, err := r.a.acker.Ack(ctx, i, answer)
	if e := (*APIError)(nil); err != nil && ctx.Err() == nil && (!errors.As(err, &e) || e.Status >= 500) {
		var again string
		if again, err = r.a.acker.Ack(ctx, i, answer); again != "" {
			message = again
		}
	}
	r.a.sending.anchors.done(i.ID, message)
	if err != nil && codeOf(err) != codeAlreadyAnswered {
		// It was pressed all the same: the answer comes as a message.
		r.a.c.Log.Warn("Discord shows a press or command as failed, it is worked on all the same", "interaction", i.ID, "error", err)
	}
}

// echo shows everybody what was said by command or form.
func echo(text string) *discordgo.InteractionResponse {
	shown := quote(text)
	if utf8.RuneCountInString(shown) > maxText {
		shown = string([]rune(shown)[:maxText-1]) + "…"
	}
	return &discordgo.InteractionResponse{
		Type: discordgo.InteractionResponseChannelMessageWithSource,
		Data: &discordgo.InteractionResponseData{Content: shown, AllowedMentions: nobody()},
	}
}

// whisper answers the one person only; nothing that has to last is said this way.
func whisper(text string) *discordgo.InteractionResponse {
	return &discordgo.InteractionResponse{
		Type: discordgo.InteractionResponseChannelMessageWithSource,
		Data: &discordgo.InteractionResponseData{Content: text, Flags: discordgo.MessageFlagsEphemeral, AllowedMentions: nobody()},
	}
}

func nobody() *discordgo.MessageAllowedMentions {
	return &discordgo.MessageAllowedMentions{Parse: []discordgo.AllowedMentionType{}}
}
