package dctest

import (
	"encoding/json"
	"net/http"
	"slices"
	"time"
)

// Interaction is a press, a command or a form on its way.
type Interaction struct {
	ID, Token string
	channel   string
	kind      int
	by        User
	at        time.Time
	from      *Message
	answered  chan Answer
	done      bool
}

// Answer is the first answer to an interaction.
type Answer struct {
	Type int
	Data struct {
		Content    string
		Flags      int
		CustomID   string `json:"custom_id"`
		Title      string
		Components []Component
	}
	After time.Duration // since it was pressed
}

// Answer waits for the first answer; false when none came in time.
func (i *Interaction) Answer(d time.Duration) (Answer, bool) {
	t := time.NewTimer(d)
	defer t.Stop()
	select {
	case a := <-i.answered:
		return a, true
	case <-t.C:
		return Answer{}, false
	}
}

// Press presses a button, by its label, or chooses a line of a menu.
func (s *Server) Press(who User, channel, message, label string) *Interaction {
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, m := range s.channels[channel].Messages {
		if m.ID != message {
			continue
		}
		for _, raw := range m.Components {
			var row Component
			_ = json.Unmarshal(raw, &row) // it was checked when it was posted
			for _, c := range row.Components {
				if c.Label == label {
					return s.interact(channel, who, 3, map[string]any{"custom_id": c.CustomID, "component_type": c.Type}, m)
				}
				for _, o := range c.Options {
					if o.Label == label {
						return s.interact(channel, who, 3, map[string]any{"custom_id": c.CustomID, "component_type": c.Type, "values": []string{o.Value}}, m)
					}
				}
			}
		}
	}
	s.t.Errorf("there is nothing %q to press on %s", label, message)
	return &Interaction{answered: make(chan Answer, 1)}
}

// Command types a command with one text option, or none.
func (s *Server) Command(who User, channel, name, option, value string) *Interaction {
	s.mu.Lock()
	defer s.mu.Unlock()
	data := map[string]any{"id": s.id(), "name": name, "type": 1}
	if option != "" {
		data["options"] = []any{map[string]any{"name": option, "type": 3, "value": value}}
	}
	return s.interact(channel, who, 2, data, nil)
}

// Submit sends a form back with its fields filled in.
func (s *Server) Submit(who User, channel, form string, fields map[string]string) *Interaction {
	s.mu.Lock()
	defer s.mu.Unlock()
	var rows []any
	for id, v := range fields {
		rows = append(rows, map[string]any{"type": 1, "components": []any{map[string]any{"type": 4, "custom_id": id, "value": v}}})
	}
	return s.interact(channel, who, 5, map[string]any{"custom_id": form, "components": rows}, nil)
}

// Raw sends an interaction of any kind and data.
func (s *Server) Raw(who User, channel string, kind int, data any) *Interaction {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.interact(channel, who, kind, data, nil)
}

func (s *Server) interact(channel string, who User, kind int, data any, m *Message) *Interaction {
	c := s.channels[channel]
	i := &Interaction{ID: s.id(), channel: channel, kind: kind, by: who, at: s.now(), from: m, answered: make(chan Answer, 1)}
	i.Token = "tok" + i.ID
	s.interactions[i.ID] = i
	event := map[string]any{
		"id": i.ID, "application_id": s.App, "type": kind, "token": i.Token, "version": 1, "channel_id": channel, "data": data,
		"app_permissions": "0", "locale": "en-GB",
	}
	if c.GuildID != "" {
		event["guild_id"], event["member"] = c.GuildID, map[string]any{"user": who, "roles": []string{}, "permissions": "0"}
	} else {
		event["user"] = who
	}
	if m != nil {
		event["message"] = m
	}
	s.emit(c, "INTERACTION_CREATE", event)
	return i
}

// callback takes the first answer: within three seconds, and once.
func (s *Server) callback(w http.ResponseWriter, r *http.Request) {
	body := readBody(r)
	s.mu.Lock()
	defer s.mu.Unlock()
	i := s.interactions[r.PathValue("interaction")]
	after := time.Duration(0)
	if i != nil {
		after = s.now().Sub(i.at)
	}
	switch {
	case i == nil || i.Token != r.PathValue("token") || after > 3*time.Second:
		refuse(w, 404, 10062, "Unknown interaction")
		return
	case i.done:
		refuse(w, 400, 40060, "Interaction has already been acknowledged.")
		return
	}
	var a Answer
	if err := json.Unmarshal(body, &a); err != nil {
		refuse(w, 400, 50035, err.Error())
		return
	}
	a.After = after
	if complaint := checkAnswer(i, a); complaint != "" {
		go s.errorf("an answer Discord refuses: %s", complaint) // mu is held here
		refuse(w, 400, 50035, complaint)
		return
	}
	i.done = true
	i.answered <- a
	if a.Type != 4 {
		w.WriteHeader(204)
		return
	}
	m := &Message{
		Author: s.Bot, Content: a.Data.Content, Type: 20, Flags: a.Data.Flags, WebhookID: s.App,
		Metadata: map[string]any{"id": i.ID, "type": i.kind, "user": i.by, "authorizing_integration_owners": map[string]string{}},
	}
	if a.Data.Flags&64 != 0 { // seen by one person, stored nowhere
		m.ID = s.id()
	} else {
		s.post(i.channel, m)
	}
	if r.URL.Query().Get("with_response") == "true" {
		reply(w, 200, map[string]any{
			"interaction": map[string]any{"id": i.ID, "type": i.kind}, "resource": map[string]any{"type": 4, "message": m},
		})
		return
	}
	w.WriteHeader(204)
}

// followUp takes what is said after the first answer, here to one person alone.
func (s *Server) followUp(w http.ResponseWriter, r *http.Request) {
	body := readBody(r)
	s.mu.Lock()
	defer s.mu.Unlock()
	var of *Interaction
	for _, i := range s.interactions {
		if i.Token == r.PathValue("token") && s.now().Sub(i.at) < 15*time.Minute {
			of = i
		}
	}
	var p struct {
		Content string
		Flags   int
	}
	switch err := json.Unmarshal(body, &p); {
	case of == nil || r.PathValue("app") != s.App || !of.done:
		refuse(w, 404, 10015, "Unknown Webhook")
	case err != nil || p.Content == "" || p.Flags != 64:
		refuse(w, 400, 50035, "Invalid Form Body")
	default:
		s.whispers = append(s.whispers, of.by.Username+": "+p.Content)
		reply(w, 200, map[string]any{"id": s.id(), "content": p.Content})
	}
}

// Whispers gives what was said to one person alone after a first answer.
func (s *Server) Whispers() []string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return slices.Clone(s.whispers)
}

// openDM gives the private talk with somebody, the same each time.
func (s *Server) openDM(w http.ResponseWriter, r *http.Request) {
	body := readBody(r)
	s.mu.Lock()
	defer s.mu.Unlock()
	var p struct {
		Recipient string `json:"recipient_id"`
	}
	if json.Unmarshal(body, &p) != nil || p.Recipient == s.Bot.ID || number(p.Recipient) == 0 {
		refuse(w, 400, 50007, "Cannot send messages to this user")
		return
	}
	if s.gone[p.Recipient] {
		refuse(w, 400, 50033, "Invalid Recipient(s)")
		return
	}
	reply(w, 200, s.dm(p.Recipient))
}

// dm is the private talk with somebody; with mu held.
func (s *Server) dm(who string) *Channel {
	c := s.channels[s.dms[who]]
	if c == nil {
		c = &Channel{ID: s.id(), Type: 1}
		s.channels[c.ID] = c
		s.dms[who] = c.ID
	}
	return c
}

// CloseDM has somebody take no messages from the bot any more: the talk opens as
// before, and what is written there is refused.
func (s *Server) CloseDM(who User, closed bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	c := s.dm(who.ID)
	if c.Forbidden = 0; closed {
		c.Forbidden = 50007
	}
}

// Leave has somebody be gone: no talk opens with them, and none goes on.
func (s *Server) Leave(who User) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if c := s.channels[s.dms[who.ID]]; c != nil {
		c.Forbidden = 50007
	}
	s.gone[who.ID] = true
}

// DM gives the private talk with somebody, empty where there is none yet.
func (s *Server) DM(with User) string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.dms[with.ID]
}

// checkAnswer has the rules of first answers that the schema lacks.
func checkAnswer(i *Interaction, a Answer) string {
	switch a.Type {
	case 4:
		if a.Data.Content == "" || len([]rune(a.Data.Content)) > 2000 {
			return "an empty or too long message"
		}
	case 5, 8:
	case 6, 7:
		if i.kind != 3 {
			return "an update without a message"
		}
	case 9:
		if i.kind == 5 {
			return "a form from a form"
		}
		if len(a.Data.Components) < 1 || len(a.Data.Components) > 5 || len([]rune(a.Data.Title)) > 45 || a.Data.Title == "" || a.Data.CustomID == "" {
			return "a form of none or more than five rows, or without title"
		}
		seen := map[string]bool{}
		for _, row := range a.Data.Components {
			if row.Type != 1 || len(row.Components) != 1 || row.Components[0].Type != 4 {
				return "a form row that is not one text field"
			}
			f := row.Components[0]
			if f.CustomID == "" || seen[f.CustomID] || f.Label == "" || len([]rune(f.Label)) > 45 {
				return "a form field without its own id, or its label"
			}
			seen[f.CustomID] = true
		}
	default:
		return "a type that is none"
	}
	return ""
}
