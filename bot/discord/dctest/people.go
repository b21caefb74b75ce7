package dctest

import (
	"encoding/json"
	"strings"
	"time"
)

// AddChannel makes a text channel.
func (s *Server) AddChannel(name string) string {
	s.mu.Lock()
	defer s.mu.Unlock()
	c := &Channel{ID: s.id(), GuildID: s.Guild, Name: name}
	s.channels[c.ID] = c
	s.emit(c, "CHANNEL_CREATE", c)
	return c.ID
}

// AddDM makes a private talk with the bot.
func (s *Server) AddDM() string {
	s.mu.Lock()
	defer s.mu.Unlock()
	c := &Channel{ID: s.id(), Type: 1}
	s.channels[c.ID] = c
	return c.ID
}

// AddThread makes a person's thread below a message.
func (s *Server) AddThread(channel, message, name string) string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.thread(channel, message, name, 1440).ID
}

func (s *Server) thread(parent, message, name string, archive int) *Channel {
	c := &Channel{ID: message, Type: 11, GuildID: s.Guild, ParentID: parent, Name: name, Thread: &Thread{Archive: archive}}
	s.channels[c.ID] = c
	s.emit(c, "THREAD_CREATE", struct {
		*Channel
		New bool `json:"newly_created"`
	}{c, true})
	return c
}

// Archive archives a thread, and locks it too if wanted.
func (s *Server) Archive(thread string, locked bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.channels[thread].Thread.Archived, s.channels[thread].Thread.Locked = true, locked
}

// Forbid lets every call on a channel fail with a code; 0 allows it again.
func (s *Server) Forbid(channel string, code int) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.channels[channel].Forbidden = code
}

// Option changes a message before it is posted.
type Option func(*Message)

// Say posts as a person and gives the message's id.
func (s *Server) Say(channel string, who User, text string, options ...Option) string {
	s.mu.Lock()
	defer s.mu.Unlock()
	m := &Message{Author: who, Content: text}
	for _, o := range options {
		o(m)
	}
	s.post(channel, m)
	return m.ID
}

// WithFile attaches a file.
func (s *Server) WithFile(name, kind string, data []byte) Option {
	return func(m *Message) { m.Attachments = append(m.Attachments, s.store(name, kind, "", data)) }
}

func (s *Server) store(name, kind, alt string, data []byte) Attachment {
	a := Attachment{ID: s.id(), Filename: name, ContentType: kind, Description: alt, Size: len(data), Data: data}
	a.URL = s.URL + "/files/" + a.ID
	s.files[a.ID] = data
	return a
}

// ExpireFiles lets every link given out until now end, as they do after a day.
func (s *Server) ExpireFiles() {
	s.mu.Lock()
	defer s.mu.Unlock()
	for id, data := range s.files {
		delete(s.files, id)
		s.files[id+"-again"] = data
	}
	for _, c := range s.channels {
		for _, m := range c.Messages {
			for i := range m.Attachments {
				m.Attachments[i].URL += "-again"
			}
		}
	}
}

// post stores and tells a message; with mu held.
func (s *Server) post(channel string, m *Message) {
	c := s.channels[channel]
	if c == nil {
		s.t.Errorf("there is no channel %s", channel)
		return
	}
	m.ID, m.ChannelID, m.GuildID, m.Timestamp = s.id(), c.ID, c.GuildID, s.now().UTC()
	m.Mentions = []User{}
	for _, u := range []User{s.Bot, s.Ann, s.Ben} {
		if strings.Contains(m.Content, "<@"+u.ID+">") || strings.Contains(m.Content, "<@!"+u.ID+">") {
			m.Mentions = append(m.Mentions, u)
		}
	}
	if m.Attachments == nil {
		m.Attachments = []Attachment{}
	}
	if m.Components == nil {
		m.Components = []json.RawMessage{}
	}
	if c.Thread != nil {
		c.Thread.Archived = false
	}
	c.LastMessageID = m.ID
	c.Messages = append(c.Messages, m)
	s.emitMessage(c, "MESSAGE_CREATE", m)
}

// Edit gives a message a new wording.
func (s *Server) Edit(channel, message, text string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, m := range s.channels[channel].Messages {
		if m.ID == message {
			at := s.now().UTC().Truncate(time.Millisecond)
			if m.Edited != nil && !at.After(*m.Edited) {
				at = m.Edited.Add(time.Millisecond)
			}
			m.Content, m.Edited = text, &at
			s.emitMessage(s.channels[channel], "MESSAGE_UPDATE", m)
		}
	}
}

// Unfold sends the update with which Discord adds a link's preview.
func (s *Server) Unfold(channel, message string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, m := range s.channels[channel].Messages {
		if m.ID == message {
			s.emitMessage(s.channels[channel], "MESSAGE_UPDATE", m)
		}
	}
}
