package mattermost

import (
	"crypto/hmac"
	"crypto/sha256"
	"encoding/base64"
	"encoding/json"
	"errors"
	"strconv"
	"strings"
	"time"

	"github.com/mattermost/mattermost/server/public/model"

	"shimwright/bot"
)

const (
	maxButtons  = 5 // more of them are a list to pick from
	maxChoices  = 25
	maxChoice   = 60 // characters
	choiceLife  = 14 * 24 * time.Hour
	contextKey  = "choice"
	selectedKey = "selected_option" // where the server puts what was picked
	actionPath  = "/action"
	slashPath   = "/slash"
)

// offer is what a button stands for. It travels through the server in the button's
// context, which clients never see, and comes back in a request that nobody signs:
// the signature in it is all there is to go by.
type offer struct {
	Nonce string    `json:"n"`           // of the post
	Place bot.Place `json:"p"`           // the job's thread
	Users []string  `json:"u,omitempty"` // who alone may press; empty: everybody there, and package bot goes by their roles
	Ends  int64     `json:"e"`           // Unix seconds
	Texts []string  `json:"t"`           // one for a button, all for a list
}

// ChoiceLimits is how many choices a post offers: as buttons, or as numbers to tap
// where the server has no address to call.
func (a *Adapter) ChoiceLimits() (count, runes int) {
	if a.callback == "" {
		return len(numbers), maxChoice
	}
	return maxChoices, maxChoice
}

// choices makes buttons, or a list where they are many.
func (a *Adapter) choices(at bot.Place, nonce string, texts []string, who []bot.UserID) *model.MessageAttachment {
	out := &model.MessageAttachment{Fallback: quiet(bot.ChoiceText(texts))}
	o := offer{Nonce: nonce, Place: at, Ends: a.now().Add(choiceLife).Unix()}
	for _, id := range who {
		o.Users = append(o.Users, string(id))
	}
	action := func(id, name, kind string) *model.PostAction {
		return &model.PostAction{
			Id: id, Name: name, Type: kind,
			Integration: &model.PostActionIntegration{URL: a.callback + actionPath, Context: map[string]any{contextKey: a.sign(o)}},
		}
	}
	if len(texts) > maxButtons {
		o.Texts = texts
		list := action("list", "pick one", model.PostActionTypeSelect)
		for i, t := range texts {
			list.Options = append(list.Options, &model.PostActionOptions{Text: t, Value: strconv.Itoa(i)})
		}
		out.Actions = append(out.Actions, list)
		return out
	}
	for i, t := range texts {
		o.Texts = []string{t}
		// The server takes ids with other signs and then never calls for them.
		out.Actions = append(out.Actions, action("choice"+strconv.Itoa(i), t, model.PostActionTypeButton))
	}
	return out
}

func (a *Adapter) sign(o offer) string {
	data, err := json.Marshal(o)
	if err != nil {
		panic(err) // strings and numbers
	}
	return base64.RawURLEncoding.EncodeToString(data) + "." + base64.RawURLEncoding.EncodeToString(a.seal(data))
}

func (a *Adapter) seal(data []byte) []byte {
	mac := hmac.New(sha256.New, a.buttonKey)
	mac.Write(data)
	return mac.Sum(nil)
}

var (
	errForged  = errors.New("not signed here")
	errExpired = errors.New("offered too long ago")
)

// open reads an offer that was signed here.
func (a *Adapter) open(signed string) (offer, error) {
	body, seal, _ := strings.Cut(signed, ".")
	data, err1 := base64.RawURLEncoding.DecodeString(body)
	mac, err2 := base64.RawURLEncoding.DecodeString(seal)
	if err1 != nil || err2 != nil || !hmac.Equal(mac, a.seal(data)) {
		return offer{}, errForged
	}
	var o offer
	if json.Unmarshal(data, &o) != nil {
		return offer{}, errForged
	}
	if a.now().Unix() > o.Ends {
		return o, errExpired
	}
	return o, nil
}

// picked gives which choice was meant, -1 for none that was offered: the server
// passes on any value a person's client sends.
func (o offer) picked(context map[string]any) int {
	if len(o.Texts) == 1 {
		return 0
	}
	value, _ := context[selectedKey].(string)
	if i, err := strconv.Atoi(value); err == nil && i >= 0 && i < len(o.Texts) && strconv.Itoa(i) == value {
		return i
	}
	return -1
}
