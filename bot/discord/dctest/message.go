package dctest

import (
	"bytes"
	"encoding/json"
	"mime"
	"mime/multipart"
	"net/http"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"
)

// nonceWindow is what "past few minutes" is here.
const nonceWindow = 3 * time.Minute

// newMessage is what POST /channels/{id}/messages takes.
type newMessage struct {
	Content         string
	Nonce           string
	EnforceNonce    bool `json:"enforce_nonce"`
	Components      []json.RawMessage
	AllowedMentions *struct {
		Parse []string
		Users []string
	} `json:"allowed_mentions"`
	Attachments []struct {
		ID                    string
		Filename, Description string
	}
}

func (s *Server) createMessage(c *Channel, w http.ResponseWriter, r *http.Request, body []byte) {
	var p newMessage
	var files []*multipart.FileHeader
	if kind, params, _ := mime.ParseMediaType(r.Header.Get("Content-Type")); kind == "multipart/form-data" {
		form, err := multipart.NewReader(bytes.NewReader(body), params["boundary"]).ReadForm(64 << 20)
		if err != nil {
			refuse(w, 400, 50035, err.Error())
			return
		}
		body = []byte(form.Value["payload_json"][0])
		for i := 0; len(form.File["files["+strconv.Itoa(i)+"]"]) == 1; i++ {
			files = append(files, form.File["files["+strconv.Itoa(i)+"]"][0])
		}
	}
	if err := json.Unmarshal(body, &p); err != nil {
		refuse(w, 400, 50035, err.Error())
		return
	}
	if complaint := checkMessage(p, r.ContentLength, files); complaint != "" {
		go s.errorf("a post Discord refuses: %s", complaint) // mu is held here
		refuse(w, 400, 50035, complaint)
		return
	}
	if c.Thread != nil && c.Thread.Locked {
		refuse(w, 403, 160005, "Thread is locked")
		return
	}
	if old, ok := s.nonces[p.Nonce]; ok && p.EnforceNonce && p.Nonce != "" && old.message.ChannelID == c.ID && s.now().Sub(old.at) < nonceWindow {
		reply(w, 200, old.message)
		return
	}
	m := &Message{Author: s.Bot, Content: p.Content, Components: p.Components, Nonce: p.Nonce}
	for i, f := range files {
		data, err := readFile(f)
		if err != nil {
			refuse(w, 400, 50035, err.Error())
			return
		}
		alt := ""
		for _, a := range p.Attachments {
			if a.ID == strconv.Itoa(i) {
				alt = a.Description
			}
		}
		m.Attachments = append(m.Attachments, s.store(f.Filename, f.Header.Get("Content-Type"), alt, data))
	}
	s.post(c.ID, m)
	for _, u := range m.Mentions {
		if slices.Contains(p.AllowedMentions.Users, u.ID) {
			m.Pinged = append(m.Pinged, u.ID)
		}
	}
	if p.Nonce != "" {
		s.nonces[p.Nonce] = nonceSeen{m, s.now()}
	}
	reply(w, 200, m)
}

func (s *Server) editMessage(c *Channel, w http.ResponseWriter, r *http.Request, body []byte) {
	var p struct {
		newMessage
		Content    *string
		Components *[]json.RawMessage
	}
	if err := json.Unmarshal(body, &p); err != nil {
		refuse(w, 400, 50035, err.Error())
		return
	}
	if c.Thread != nil && c.Thread.Archived {
		refuse(w, 400, 50083, "Thread is archived")
		return
	}
	for _, m := range c.Messages {
		if m.ID != r.PathValue("message") {
			continue
		}
		if m.Author.ID != s.Bot.ID {
			refuse(w, 403, 50005, "Cannot edit a message authored by another user")
			return
		}
		if p.AllowedMentions == nil || p.AllowedMentions.Parse == nil || len(p.AllowedMentions.Parse) != 0 {
			go s.errorf("an edit may notify anybody: %s", body) // mu is held here
		}
		if p.Content != nil {
			m.Content = *p.Content
		}
		if p.Components != nil {
			m.Components = *p.Components
		}
		at := s.now().UTC()
		m.Edited = &at
		s.emitMessage(c, "MESSAGE_UPDATE", m)
		reply(w, 200, m)
		return
	}
	refuse(w, 404, 10008, "Unknown Message")
}

func readFile(h *multipart.FileHeader) ([]byte, error) {
	f, err := h.Open()
	if err != nil {
		return nil, err
	}
	defer f.Close()
	b := bytes.Buffer{}
	_, err = b.ReadFrom(f)
	return b.Bytes(), err
}

// checkMessage has the limits that the schema lacks.
func checkMessage(p newMessage, size int64, files []*multipart.FileHeader) string {
	switch {
	case utf8.RuneCountInString(p.Content) > 2000:
		return "more than 2000 characters"
	case strings.TrimSpace(p.Content) == "" && len(files) == 0:
		return "an empty message"
	case p.AllowedMentions == nil || p.AllowedMentions.Parse == nil:
		return "allowed_mentions without parse: everybody could be notified"
	case len(p.AllowedMentions.Parse) != 0:
		return "allowed_mentions parses " + strings.Join(p.AllowedMentions.Parse, ", ")
	case p.Nonce != "" && !p.EnforceNonce:
		return "a nonce that is not enforced"
	case len(p.Components) > 5:
		return "more than 5 rows"
	case size > 25<<20:
		return "a request of more than 25 MiB"
	case len(p.Attachments) != len(files):
		return "attachments do not match the files"
	}
	for _, f := range files {
		if f.Size > 10<<20 {
			return "a file of more than 10 MiB"
		}
		if f.Header.Get("Content-Type") == "application/octet-stream" {
			return "a file without its media type"
		}
	}
	return checkComponents(p.Components)
}

// Component is a row, a button, a menu or a text field.
type Component struct {
	Type       int
	CustomID   string `json:"custom_id"`
	Label      string
	Title      string
	Options    []MenuLine
	Components []Component
}

// MenuLine is a line of a menu.
type MenuLine struct{ Label, Value string }

func checkComponents(rows []json.RawMessage) string {
	seen := map[string]bool{}
	for _, raw := range rows {
		var row Component
		if err := json.Unmarshal(raw, &row); err != nil || row.Type != 1 {
			return "a component that is no row"
		}
		if len(row.Components) < 1 || len(row.Components) > 5 {
			return "a row of none or more than five"
		}
		for _, c := range row.Components {
			if c.CustomID == "" || utf8.RuneCountInString(c.CustomID) > 100 || seen[c.CustomID] {
				return "custom_id " + strconv.Quote(c.CustomID) + " missing, too long or used twice"
			}
			seen[c.CustomID] = true
			if c.Type == 3 && (len(row.Components) != 1 || len(c.Options) < 1 || len(c.Options) > 25) {
				return "a menu with company or not 1 to 25 options"
			}
			values := map[string]bool{}
			for _, o := range c.Options {
				if values[o.Value] || utf8.RuneCountInString(o.Value) > 100 || utf8.RuneCountInString(o.Label) > 100 || o.Label == "" {
					return "option " + strconv.Quote(o.Label)
				}
				values[o.Value] = true
			}
		}
	}
	return ""
}
