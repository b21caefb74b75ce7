package discord

import (
	"encoding/json"
	"errors"
	"fmt"
	"net/http"

	"shimwright/bot"
)

// Codes of Discord's errors that are told apart.
// Source: Discord developer documentation, "Opcodes and Status Codes", JSON error codes.
const (
	codeUnknownChannel     = 10003
	codeUnknownGuild       = 10004
	codeUnknownMessage     = 10008
	codeUnknownUser        = 10013
	codeUnknownInteraction = 10062
	codeTooManyTalks       = 40003
	codeAlreadyAnswered    = 40060
	codeNoAccess           = 50001
	codeCannotDM           = 50007
	codeEmptyMessage       = 50006
	codeNoPermission       = 50013
	codeChannelKind        = 50024
	codeInvalidForm        = 50035
	codeThreadArchived     = 50083
	codeThreadExists       = 160004
	codeThreadLocked       = 160005
	codeTooManyThreads     = 160006
)

// APIError is what Discord refused.
type APIError struct {
	Status  int             // HTTP
	Code    int             `json:"code"` // Discord's own, 0 when it gave none
	Message string          `json:"message"`
	Errors  json.RawMessage `json:"errors"` // which field it was
}

func (e *APIError) Error() string {
	text := fmt.Sprintf("Discord answers %d", e.Status)
	if e.Code != 0 {
		text += fmt.Sprintf(", code %d", e.Code)
	}
	if e.Message != "" {
		text += ", " + e.Message
	}
	if len(e.Errors) > 0 {
		text += " " + string(e.Errors[:min(300, len(e.Errors))])
	}
	return text
}

// codeOf is Discord's code of an error, 0 for others.
func codeOf(err error) int {
	if e := (*APIError)(nil); errors.As(err, &e) {
		return e.Code
	}
	return 0
}

// gone says that asking again is of no use.
func gone(err error) bool {
	e := (*APIError)(nil)
	if !errors.As(err, &e) {
		return false
	}
	return e.Status/100 == 4 && e.Status != http.StatusUnauthorized || e.Status == http.StatusNotImplemented
}

// refused makes final the errors that trying again does not cure, and says what a
// person can do about them.
func refused(err error, channel string) error {
	e := (*APIError)(nil)
	if !errors.As(err, &e) {
		return err
	}
	final := func(what, do string) error {
		return fmt.Errorf("%w: %s: %w\n%s", bot.ErrRefused, what, err, do)
	}
	at := "channel " + channel
	switch e.Code {
	case codeUnknownChannel:
		return final(at+" is gone", "take it out of the configuration if it was deleted on purpose.")
	case codeNoAccess:
		return final("i cannot see "+at, "give the bot's role View Channel there.")
	case codeNoPermission:
		return final("i may not do this in "+at, "give the bot's role Send Messages, Send Messages in Threads, Create Public Threads, Attach Files and Read Message History there.")
	case codeCannotDM:
		return final("this person takes no private messages from me", "they can allow direct messages from members of the server.")
	case codeUnknownUser:
		return final("this account is not there any more", "take it out of the configuration.")
	case codeTooManyTalks:
		return &bot.LaterError{After: tokenWait, Err: err}
	case codeThreadLocked, codeThreadArchived:
		return final("thread "+channel+" is locked", "unlock it, or give the bot's role Manage Threads.")
	case codeTooManyThreads:
		return &bot.LaterError{After: tokenWait, Err: fmt.Errorf("the server has as many active threads as Discord allows, archive some: %w", err)}
	}
	switch {
	case e.Status == http.StatusUnauthorized:
		return &bot.LaterError{After: tokenWait, Err: fmt.Errorf("the token is not valid any more: %w", err)}
	case e.Status == http.StatusForbidden && e.Code == 0:
		return &bot.LaterError{After: tokenWait, Err: err} // the network before Discord
	case e.Status == http.StatusBadRequest, e.Status == http.StatusForbidden, e.Status == http.StatusRequestEntityTooLarge:
		return final("Discord does not take this post", "the log has the post; please report it.")
	}
	return err
}

// TurnedAway says that Discord will not have this connection, however often it is
// tried.
type TurnedAway struct {
	Code int    // the gateway's close code
	Do   string // what to do about it
}

func (e *TurnedAway) Error() string {
	return fmt.Sprintf("Discord turned the connection away, close code %d\n%s", e.Code, e.Do)
}

// turnedAway tells the close codes after which reconnecting is useless.
// Source: Discord developer documentation, "Gateway close event codes".
func turnedAway(code int) *TurnedAway {
	switch code {
	case 4004:
		return &TurnedAway{code, "the token is not valid: make a new one on the application's Bot page and put it where the configuration says."}
	case 4010, 4011:
		return &TurnedAway{code, "the server needs sharding, which this program does not do: it is made for one shop."}
	case 4012:
		return &TurnedAway{code, "this version of the gateway is no longer served: a newer program is needed."}
	case 4013:
		return &TurnedAway{code, "the intents are not known to Discord: a newer program is needed."}
	case 4014:
		return &TurnedAway{code, "an intent is not allowed: switch Message Content Intent on on the application's Bot page, or set message_content: no."}
	}
	return nil
}
