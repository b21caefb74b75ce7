package discord

import (
	"fmt"

	"shimwright/bot"
)

// handle delivers an item until it is taken.
func (r *run) handle(id string, it item) {
	p, ok := r.place(id, it.guild)
	if !ok {
		return
	}
	if !r.a.listens(p) {
		if r.a.said.first("channel " + p.channel()) {
			r.a.c.Log.Info("a channel that is not configured is left alone", "channel", p.channel(), "server", p.guild)
		}
		return
	}
	m, ok := r.message(p, it)
	if !ok {
		return
	}
	if m.EditOf == "" && it.message != nil {
		r.remember(it.message.ID, it.message.Content)
	}
	breaks := 0
	for wait := firstRetry; ; wait = min(2*wait, longRetry) {
		err, broke := r.try(m)
		if err == nil {
			break
		}
		if broke {
			if breaks++; breaks == maxBreaks {
				r.a.c.Log.Error("a message is given up, it breaks the program", "message", m.ID, "error", err)
				break
			}
		}
		if r.ctx.Err() != nil || pause(r.ctx, wait) != nil {
			return // it is fetched at the next start
		}
	}
	done := mark{Parent: p.parent, DM: p.private, Edited: it.edited}
	if it.edited != 0 {
		done.Edit = it.message.ID
	}
	switch {
	case it.message != nil && it.edited == 0:
		done.Seen = parseID(it.message.ID)
		if t := it.message.EditedTimestamp; t != nil {
			done.Edited, done.Edit = t.UnixMilli(), it.message.ID
		}
	case it.press != nil:
		done.Seen = it.at
	}
	r.a.marks.advance(id, done)
}

// try delivers once.
func (r *run) try(m bot.Message) (err error, broke bool) {
	defer func() {
		if p := recover(); p != nil {
			err, broke = fmt.Errorf("it broke: %v", p), true
			r.a.c.Log.Error("a delivery broke", "message", m.ID, "cause", fmt.Sprint(p))
		}
	}()
	return r.deliver(r.ctx, m), false
}

// place finds out what a room is, false when the run ends first.
func (r *run) place(id, guild string) (place, bool) {
	for wait := firstRetry; ; wait = min(2*wait, longRetry) {
		p, err := r.a.placeFor(r.ctx, id)
		switch {
		case err == nil:
			if p.guild == "" && guild != "" {
				p.guild = guild
			}
			return p, true
		case gone(err):
			return place{id: id, guild: guild, private: guild == "", talks: true}, true
		case pause(r.ctx, wait) != nil:
			return place{}, false
		}
	}
}
