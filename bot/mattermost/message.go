package mattermost

import (
	"context"
	"fmt"
	"io"
	"net/http"
	"regexp"
	"strconv"
	"strings"
	"time"

	"github.com/mattermost/mattermost/server/public/model"

	"shimwright/bot"
)

// pressPrefix begins the ids of messages that are presses; a post's id follows.
const pressPrefix = "press."

// keys are the ids an item counts under, its own first, and when it happened. A post
// that is first seen in a later wording covers that wording's edit as well.
func (it item) keys() (keys []string, at int64) {
	p := it.post
	edit := p.Id + "@" + strconv.FormatInt(p.EditAt, 10)
	switch {
	case it.edited:
		return []string{edit}, p.EditAt
	case p.EditAt != 0:
		return []string{p.Id, edit}, p.CreateAt
	}
	return []string{p.Id}, p.CreateAt
}

func isDirect(kind model.ChannelType) bool {
	return kind == model.ChannelTypeDirect || kind == model.ChannelTypeGroup
}

// message makes a post the message it is, false for those nobody is to answer. Who
// wrote it is its user_id alone: a person can set any props, so they may make a post
// be ignored and never more than that.
func (b *inbox) message(ctx context.Context, it item) (bot.Message, bool, error) {
	p := it.post
	if p.UserId == b.me.id {
		b.a.noteOwn(b.me, p)
		return bot.Message{}, false, nil
	}
	// An incoming webhook posts with the user_id of whoever made it: what a program
	// says there must not count as that person's word.
	if p.Type != model.PostTypeDefault || isSet(p.GetProp(model.PostPropsFromWebhook)) || isSet(p.GetProp(model.PostPropsFromPlugin)) {
		return bot.Message{}, false, nil
	}
	users, err := b.a.lookUp(ctx, []string{p.UserId})
	if err != nil {
		return bot.Message{}, false, err
	}
	if users[p.UserId].bot {
		return bot.Message{}, false, nil
	}
	keys, at := it.keys()
	m := bot.Message{
		Place: placeOf(p.ChannelId, ""), Author: bot.UserID(p.UserId), ID: bot.MessageID(keys[0]),
		At: time.UnixMilli(at), Text: b.me.mention.strip(p.Message), Files: b.a.attachments(p),
		Addressed: it.direct || b.me.mention.in(p.Message) && (!it.live || it.mentioned),
	}
	if p.RootId != "" {
		m.Thread = placeOf(p.ChannelId, p.RootId)
		if it.direct {
			m.ReplyTo = bot.MessageID(p.RootId)
		}
	}
	if it.edited {
		m.EditOf = bot.MessageID(p.Id)
	}
	return m, true, nil
}

// isSet reads a flag of props, which clients write as text or as a boolean.
func isSet(v any) bool { return v != nil && v != "" && v != "false" && v != false }

// attachments are the files of a post, opened when somebody wants them.
func (a *Adapter) attachments(p *model.Post) []bot.Attachment {
	info := map[string]*model.FileInfo{}
	if p.Metadata != nil {
		for _, f := range p.Metadata.Files {
			if f != nil {
				info[f.Id] = f
			}
		}
	}
	var out []bot.Attachment
	for _, id := range p.FileIds {
		if !model.IsValidId(id) {
			continue
		}
		at := bot.Attachment{Name: id, Open: func(ctx context.Context) (io.ReadCloser, error) { return a.download(ctx, id) }}
		if f := info[id]; f != nil {
			at.Name, at.Type, at.Size = f.Name, f.MimeType, f.Size
		}
		out = append(out, at)
	}
	return out
}

func (a *Adapter) download(ctx context.Context, id string) (io.ReadCloser, error) {
	resp, err := a.api.DoAPIGet(ctx, "/files/"+id, "")
	if err := a.fault(model.BuildResponse(resp), err); err != nil {
		return nil, fmt.Errorf("a file cannot be fetched: %w", err)
	}
	if resp.StatusCode != http.StatusOK {
		resp.Body.Close()
		return nil, fmt.Errorf("a file cannot be fetched: the server answers %d", resp.StatusCode)
	}
	return resp.Body, nil
}

// mention finds the account's name where it calls the account.
type mention struct{ any, first *regexp.Regexp }

func newMention(name string) mention {
	// The server takes "@name-" and "@name_" as calls, "@namex" and "mail@name" not.
	call := `@` + regexp.QuoteMeta(name)
	return mention{
		any:   regexp.MustCompile(`(?i)(?:^|[^\pL\pN_.@-])` + call + `(?:[^\pL\pN]|$)`),
		first: regexp.MustCompile(`(?i)^\s*` + call + `(?:[\s,:;!]+|$)`),
	}
}

// in says whether the account is called by name, as the server does outside of code.
// Being mentioned is not enough: @all and @here mention everybody.
func (m mention) in(text string) bool { return m.any.MatchString(withoutCode(text)) }

// strip takes the name off the front, unless nothing would be left.
func (m mention) strip(text string) string {
	if rest := m.first.ReplaceAllString(text, ""); strings.TrimSpace(rest) != "" {
		return rest
	}
	return text
}

// withoutCode leaves out code blocks and spans.
func withoutCode(text string) string {
	var out strings.Builder
	open := ""
	blank := true
	for line := range strings.Lines(text) {
		trimmed := strings.TrimLeft(line, " ")
		indent := len(line) - len(trimmed)
		switch mark := fenceOf(trimmed); {
		case open != "":
			if mark != "" && mark[0] == open[0] && len(mark) >= len(open) {
				open = ""
			}
		case mark != "" && indent < 4:
			open = mark
		case blank && (indent >= 4 || strings.HasPrefix(trimmed, "\t")):
			continue // an indented block goes on until a line that is not
		default:
			out.WriteString(line)
		}
		blank = strings.TrimSpace(line) == ""
	}
	return withoutSpans(out.String())
}

// fenceOf gives the run of marks a fence begins with.
func fenceOf(line string) string {
	for _, mark := range "`~" {
		run := line[:len(line)-len(strings.TrimLeft(line, string(mark)))]
		if len(run) >= 3 {
			return run
		}
	}
	return ""
}

// withoutSpans leaves out what stands between two equally long runs of backticks.
func withoutSpans(text string) string {
	var out strings.Builder
	for {
		i := strings.IndexByte(text, '`')
		if i < 0 {
			out.WriteString(text)
			return out.String()
		}
		out.WriteString(text[:i])
		rest := strings.TrimLeft(text[i:], "`")
		run := text[i : len(text)-len(rest)]
		end := closing(rest, len(run))
		if end < 0 {
			out.WriteString(run)
			text = rest
			continue
		}
		out.WriteByte(' ')
		text = rest[end:]
	}
}

// closing gives where behind the next run of exactly n backticks the text goes on,
// -1 where there is none.
func closing(text string, n int) int {
	for at := 0; ; {
		i := strings.IndexByte(text[at:], '`')
		if i < 0 {
			return -1
		}
		at += i
		run := len(text[at:]) - len(strings.TrimLeft(text[at:], "`"))
		at += run
		if run == n {
			return at
		}
	}
}
