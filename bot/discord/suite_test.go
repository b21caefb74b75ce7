package discord

import (
	"encoding/json"
	"io"
	"strings"
	"testing"
	"time"

	"shimwright/bot"
	"shimwright/bot/bottest"
	"shimwright/bot/discord/dctest"
)

// platform is the fake Discord as the suite of all adapters sees it.
type platform struct {
	d      *dctest.Server
	memory *keep
	last   map[bot.UserID]string
}

func TestSuite(t *testing.T) {
	bottest.Run(t, func(t *testing.T) bottest.Platform {
		return &platform{d: dctest.New(t), memory: &keep{}, last: map[bot.UserID]string{}}
	})
}

func (p *platform) Connect(t *testing.T) bot.Adapter {
	return newAdapter(t, p.d, p.memory, io.Discard)
}

func (p *platform) user(who bot.UserID) dctest.User {
	if string(who) == p.d.Ben.ID {
		return p.d.Ben
	}
	return p.d.Ann
}

func (p *platform) Say(t *testing.T, who bot.UserID, text string) bot.MessageID {
	id := p.d.Say(p.d.Channel, p.user(who), text)
	p.last[who] = id
	return bot.MessageID(id)
}

func (p *platform) Press(t *testing.T, who bot.UserID, at bot.Place, post bot.MessageID, choice string) string {
	for deadline := time.Now().Add(soon); !p.d.Connected(); { // interactions of nobody are lost
		if time.Now().After(deadline) {
			t.Fatal("it is never connected")
		}
		time.Sleep(time.Millisecond)
	}
	a := answered(t, p.d.Press(p.user(who), string(at), string(post), choice))
	return a.Data.Content
}

func (p *platform) Attach(t *testing.T, who bot.UserID, text, name string, data []byte) bot.MessageID {
	return bot.MessageID(p.d.Say(p.d.Channel, p.user(who), text, p.d.WithFile(name, "image/png", data)))
}

func (p *platform) Edit(t *testing.T, who bot.UserID, text string) {
	p.d.Edit(p.d.Channel, p.last[who], text)
}

func (p *platform) Seen(t *testing.T, at bot.Place) []bot.Post {
	var out []bot.Post
	for _, m := range p.d.Posts(string(at)) {
		out = append(out, seen(t, m))
	}
	return out
}

// seen is a message of the bot's as people see it.
func seen(t *testing.T, m dctest.Message) bot.Post {
	post := bot.Post{Text: m.Content}
	for _, id := range m.Pinged {
		post.Ping = append(post.Ping, bot.UserID(id))
		post.Text = strings.TrimSuffix(strings.TrimRight(strings.Replace(post.Text, "<@"+id+">", "", 1), " "), "\n")
	}
	for _, a := range m.Attachments {
		post.Files = append(post.Files, bot.File{Name: a.Filename, Type: a.ContentType, Alt: a.Description, Data: a.Data})
	}
	for _, raw := range m.Components {
		var row dctest.Component
		if err := json.Unmarshal(raw, &row); err != nil {
			t.Error(err)
		}
		for _, c := range row.Components {
			if c.Label != "" {
				post.Choices = append(post.Choices, c.Label)
			}
			for _, o := range c.Options {
				post.Choices = append(post.Choices, o.Label)
			}
		}
	}
	return post
}

func (p *platform) HangUp(t *testing.T) {}

func (p *platform) People() (first, second bot.UserID) {
	return bot.UserID(p.d.Ann.ID), bot.UserID(p.d.Ben.ID)
}
