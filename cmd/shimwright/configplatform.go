package main

import (
	"net"
	"net/url"
	"slices"
	"strings"

	"go.yaml.in/yaml/v4"

	"shimwright/bot/discord"
	"shimwright/bot/mattermost"
	"shimwright/rules"
)

func (r *configReader) platforms(n *yaml.Node) {
	r.Mapping(n, "platforms",
		rules.May("mattermost", r.readMattermost),
		rules.May("discord", r.readDiscord),
	)
	if n.Kind == yaml.MappingNode && len(n.Content) == 0 {
		r.Mistake(n, "add mattermost: or discord:", "there is no platform to talk on")
	}
}

func (r *configReader) readMattermost(n *yaml.Node) {
	m := &mattermostConfig{}
	r.c.mattermost = m
	var slash string
	token, slashToken := r.secret("token", &m.token), r.secret("slash_token", &slash)
	given := r.Mapping(n, "mattermost", append(append([]rules.Field{
		rules.Must("url", r.Text("url", 500, &m.url)),
		rules.May("channels", r.channels(mattermost.Name, &m.channels)),
		rules.May("rules_channel", r.id(mattermost.Name, "rules_channel", &m.rulesChannel)),
		rules.May("reviews_channel", r.id(mattermost.Name, "reviews_channel", &m.reviews)),
		rules.May("called_at", r.Text("called_at", 500, &m.calledAt)),
		rules.May("listen", r.Text("listen", 260, &m.listen)),
	}, token.fields...), slashToken.fields...)...)
	if !token.read(given) && n.Kind == yaml.MappingNode {
		r.Mistake(n, "add token_env: or token_file:", "mattermost has no token")
	}
	if slashToken.read(given) && m.calledAt == "" && given["called_at"] == nil {
		r.Mistake(n, "add called_at: and listen:, or leave the slash command out", "a slash command is of no use where the server does not reach this program")
	}
	m.slashTokens = strings.Fields(slash)
	m.channels = heardToo(m.channels, m.reviews)
	if u := r.web(given["url"], m.url); u != nil && u.Scheme == "http" && !loopbackHost(u.Hostname()) {
		r.Look(given["url"], "use https, unless the network between is the shop's own", "the token goes to %s unencrypted", u.Host)
	}
	r.web(given["called_at"], m.calledAt)
	switch at, listen := given["called_at"], given["listen"]; {
	case at != nil && listen == nil:
		r.Mistake(at, "add listen: with the address to listen on, for example 127.0.0.1:8090", "called_at without listen")
	case at == nil && listen != nil:
		r.Mistake(listen, "add called_at: with the address at which the server reaches it", "listen without called_at")
	case listen != nil && m.listen != "":
		if _, port, err := net.SplitHostPort(m.listen); err != nil || port == "" {
			r.Mistake(listen, "write host:port, for example 127.0.0.1:8090", "%q is no address", m.listen)
		}
	}
}

// web checks an address of the web, nil where it is none.
func (r *configReader) web(n *yaml.Node, text string) *url.URL {
	if n == nil || text == "" {
		return nil
	}
	u, err := url.Parse(text)
	if err != nil || u.Scheme != "http" && u.Scheme != "https" || u.Host == "" || u.User != nil || u.RawQuery != "" || u.Fragment != "" {
		r.Mistake(n, "write it like https://chat.example.org", "%q is no address of the web", text)
		return nil
	}
	return u
}

func (r *configReader) channels(on string, to *[]string) func(*yaml.Node) {
	return func(n *yaml.Node) {
		r.List(n, "channels", func(n *yaml.Node) {
			var id string
			if r.id(on, "a channel", &id)(n); id != "" {
				*to = append(*to, id)
			}
		})
	}
}

// heardToo adds a channel to those that are heard, unless all are.
func heardToo(channels []string, one string) []string {
	if one == "" || len(channels) == 0 || slices.Contains(channels, one) {
		return channels
	}
	return append(channels, one)
}

func (r *configReader) readDiscord(n *yaml.Node) {
	d := &discordConfig{}
	r.c.discord = d
	token := r.secret("token", &d.token)
	given := r.Mapping(n, "discord", append([]rules.Field{
		rules.Must("guild", r.id(discord.Name, "guild", &d.guild)),
		rules.May("channels", r.channels(discord.Name, &d.channels)),
		rules.May("rules_channel", r.id(discord.Name, "rules_channel", &d.rulesChannel)),
		rules.May("reviews_channel", r.id(discord.Name, "reviews_channel", &d.reviews)),
		rules.May("message_content", r.Yes("message_content", &d.messageContent)),
		rules.May("base", r.Text("base", 260, &d.base)),
	}, token.fields...)...)
	if !token.read(given) && n.Kind == yaml.MappingNode {
		r.Mistake(n, "add token_env: or token_file:", "discord has no token")
	}
	d.channels = heardToo(d.channels, d.reviews)
	if strings.HasPrefix(d.token, "Bot ") || strings.ContainsAny(d.token, " \t") {
		r.Mistake(n, "give the token alone, without the word Bot", "the token of discord has a space in it")
	}
	if u := r.web(given["base"], d.base); u != nil && !loopbackHost(u.Hostname()) {
		r.Mistake(given["base"], "leave it out for Discord itself; it is for tests", "base is not on this machine, and the token would go there")
	}
}
