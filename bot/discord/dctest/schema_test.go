package dctest

import (
	"net/http/httptest"
	"testing"
)

// TestSchema holds the check itself to requests that are known to be right and wrong.
func TestSchema(t *testing.T) {
	router, err := schema()
	if err != nil {
		t.Fatal(err)
	}
	if router == nil {
		t.Skip("Discord's OpenAPI file is not beside the project: requests are only checked by hand")
	}
	const messages = "/api/v9/channels/1102030405060708090/messages"
	for _, c := range []struct {
		name, method, path, body string
		ok                       bool
	}{
		{"post", "POST", messages, `{"content":"a","nonce":"x","enforce_nonce":true,"embeds":null,"tts":false,"components":null,"sticker_ids":null,"allowed_mentions":{"parse":[]}}`, true},
		{"long nonce", "POST", messages, `{"content":"a","nonce":"12345678901234567890123456"}`, false},
		{"parse null", "POST", messages, `{"content":"a","allowed_mentions":{"parse":["nobody"]}}`, false},
		{"content number", "POST", messages, `{"content":5}`, false},
		{"button", "POST", messages, `{"content":"a","components":[{"type":1,"components":[{"type":2,"style":2,"label":"yes","custom_id":"a"}]}]}`, true},
		{"button without style", "POST", messages, `{"content":"a","components":[{"type":1,"components":[{"type":2,"label":"yes","custom_id":"a"}]}]}`, false},
		{"long label", "POST", messages, `{"content":"a","components":[{"type":1,"components":[{"type":2,"style":2,"label":"` + string(make([]byte, 0)) + `0123456789012345678901234567890123456789012345678901234567890123456789012345678901234","custom_id":"a"}]}]}`, false},
		{"history", "GET", messages + "?after=1102030405060708090&limit=100", "", true},
		{"history too long", "GET", messages + "?limit=101", "", false},
		{"unknown path", "GET", "/api/v9/nothing", "", false},
		{"ack", "POST", "/api/v9/interactions/1102030405060708090/tok/callback?with_response=true", `{"type":6}`, true},
		{"ack of no kind", "POST", "/api/v9/interactions/1102030405060708090/tok/callback", `{"type":77}`, false},
		{"command", "PUT", "/api/v9/applications/1102030405060708090/guilds/1102030405060708090/commands", `[{"name":"a","description":"b","type":1,"options":null}]`, true},
	} {
		req := httptest.NewRequest(c.method, c.path, nil)
		if c.body != "" {
			req.Header.Set("Content-Type", "application/json")
		}
		if err := validate(req, []byte(c.body)); (err == nil) != c.ok {
			t.Errorf("%s: %v, want ok %v", c.name, err, c.ok)
		}
	}
}
