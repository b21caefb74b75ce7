package discord

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"strings"

	"github.com/bwmarrin/discordgo"
)

const (
	sayCommand  = "shim"
	formCommand = "readings"
	maxSaid     = 1500 // characters of a command's text, so that its echo fits
)

// commands is what is typed behind a slash: one that says anything, one that opens
// the form. Everything else is plain talk.
func commands() []*discordgo.ApplicationCommand {
	return []*discordgo.ApplicationCommand{{
		Type: discordgo.ChatApplicationCommand, Name: sayCommand,
		Description: "say something to the assistant: readings, a move, a question",
		Options: []*discordgo.ApplicationCommandOption{{
			Type: discordgo.ApplicationCommandOptionString, Name: "text", Required: true, MaxLength: maxSaid,
			Description: "as you would type it, for example: lash 8 9 8 9",
		}},
	}, {
		Type: discordgo.ChatApplicationCommand, Name: formCommand,
		Description: "fill in readings on a form",
	}}
}

// formField is one row of the form and how its text is put into words.
type formField struct {
	id, label, hint string
	word            string // before the text, unless it is there
}

// formFields has the five rows a form can have.
func formFields() []formField {
	return []formField{
		{"lash", "backlash, all places", "8 9 8 9", "lash"},
		{"drive", "pattern, drive side", "toe, low", "drive"},
		{"coast", "pattern, coast side", "centre", "coast"},
		{"drag", "pinion drag", "18 in-lb", "drag"},
		{"rest", "anything else", "", ""},
	}
}

func form() *discordgo.InteractionResponse {
	d := &discordgo.InteractionResponseData{CustomID: formID, Title: "readings"}
	for _, f := range formFields() {
		input := discordgo.TextInput{CustomID: f.id, Label: f.label, Style: discordgo.TextInputShort, Placeholder: f.hint, MaxLength: 200}
		if f.word == "" {
			input.Style, input.MaxLength = discordgo.TextInputParagraph, 600
		}
		d.Components = append(d.Components, discordgo.ActionsRow{Components: []discordgo.MessageComponent{input}})
	}
	return &discordgo.InteractionResponse{Type: discordgo.InteractionResponseModal, Data: d}
}

// formText puts a filled form into words, a line for each row, as a person types it.
func formText(rows []discordgo.MessageComponent) string {
	values := map[string]string{}
	for _, c := range rows {
		row, ok := c.(*discordgo.ActionsRow)
		if !ok {
			continue
		}
		for _, c := range row.Components {
			if in, ok := c.(*discordgo.TextInput); ok {
				values[in.CustomID] = strings.TrimSpace(in.Value)
			}
		}
	}
	var lines []string
	for _, f := range formFields() {
		v := values[f.id]
		if v == "" {
			continue
		}
		if f.word != "" && !strings.HasPrefix(strings.ToLower(v), f.word) {
			v = f.word + " " + v
		}
		lines = append(lines, v)
	}
	return strings.Join(lines, "\n")
}

// command reads what was typed behind a slash.
func command(d discordgo.ApplicationCommandInteractionData) (string, *discordgo.InteractionResponse) {
	switch d.Name {
	case formCommand:
		return "", form()
	case sayCommand:
		for _, o := range d.Options {
			if text, ok := o.Value.(string); ok && strings.TrimSpace(text) != "" {
				return text, echo(text)
			}
		}
	}
	return "", whisper("i do not know that command.\ntry /" + sayCommand + " with what you want to say.")
}

// registerCommands brings a server's commands up to date. Two hundred a day may be
// made, so it is asked only when the definitions have changed since.
func (r *run) registerCommands(guild string) {
	r.a.registering.Lock()
	defer r.a.registering.Unlock()
	application := r.application()
	if application == "" || guild == "" {
		return
	}
	list := commands()
	b, err := json.Marshal(list)
	if err != nil {
		r.a.c.Log.Error("the commands cannot be written", "error", err)
		return
	}
	sum := sha256.Sum256(append([]byte(application+" "), b...))
	hash := hex.EncodeToString(sum[:8])
	if r.a.marks.command(guild) == hash {
		return
	}
	q := Request{Method: "PUT", URL: discordgo.EndpointApplicationGuildCommands(application, guild), Body: list}
	if err := r.a.poster.Call(r.ctx, q, nil); err != nil {
		if r.ctx.Err() == nil {
			r.a.c.Log.Warn("the slash commands could not be registered; talking works without them. invite the bot again with the scope applications.commands", "server", guild, "error", err)
		}
		return
	}
	r.a.marks.setCommand(guild, hash)
	r.a.c.Log.Info("slash commands registered", "server", guild)
}

// application is the bot's application, which READY usually tells.
func (r *run) application() string {
	r.a.mu.Lock()
	known := r.a.own.application
	r.a.mu.Unlock()
	if known != "" {
		return known
	}
	var app struct {
		ID string `json:"id"`
	}
	if err := r.a.poster.Call(r.ctx, get(discordgo.EndpointApplications+"/@me"), &app); err != nil {
		r.a.c.Log.Warn("the application cannot be looked at, so no slash commands are registered", "error", err)
		return ""
	}
	r.a.setOwn("", app.ID)
	return app.ID
}
