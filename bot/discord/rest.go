package discord

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"log/slog"
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"sync"
	"time"

	"github.com/bwmarrin/discordgo"

	"shimwright/bot"
)

const (
	requestTime = 20 * time.Second // one request
	shortWait   = time.Second      // a rate limit that is waited out in place
	blindWait   = 30 * time.Second // after a rate limit that does not say how long
	tokenWait   = time.Minute      // after a token was refused
)

// rest is the Poster: one discordgo session that only makes requests.
//
// discordgo's own waiting is not used. It sleeps without looking at the context, it
// repeats a POST after a 502, and it holds back other routes only for some global
// limits; so the bucket is looked at and locked here.
type rest struct {
	session *discordgo.Session
	now     func() time.Time
	log     *slog.Logger

	mu    sync.Mutex
	turns map[string]chan struct{} // a bucket's turn, holds a value while it is used
	until time.Time                // nothing goes out before
}

// newSession makes a discordgo session with nothing of its own will.
func newSession(token string, client *http.Client) (*discordgo.Session, error) {
	s, err := discordgo.New("Bot " + token)
	if err != nil {
		return nil, err
	}
	s.Client = client
	s.StateEnabled = false
	s.SyncEvents = true
	s.Compress = false
	s.ShouldReconnectOnError = false
	s.ShouldReconnectVoiceOnSessionError = false
	s.ShouldRetryOnRateLimit = false
	s.MaxRestRetries = 0
	s.LogLevel = discordgo.LogError - 1 // it writes to standard error; what matters is logged here
	s.UserAgent = "DiscordBot (shimwright, 1) discordgo/" + discordgo.VERSION
	return s, nil
}

func newRest(token string, base *url.URL, next http.RoundTripper, now func() time.Time, log *slog.Logger) (*rest, error) {
	s, err := newSession(token, newClient(base, next))
	if err != nil {
		return nil, err
	}
	return &rest{session: s, now: now, log: log, turns: map[string]chan struct{}{}}, nil
}

// Call makes one request.
func (r *rest) Call(ctx context.Context, q Request, out any) error {
	if q.Bucket == "" {
		q.Bucket = strings.SplitN(q.URL, "?", 2)[0]
	}
	turn := r.turn(q.Bucket)
	select {
	case turn <- struct{}{}:
		defer func() { <-turn }()
	case <-ctx.Done():
		return ctx.Err()
	}
	if wait := r.held(); wait > 0 {
		return &bot.LaterError{After: wait, Err: fmt.Errorf("Discord wants to be left alone")}
	}
	bucket := r.session.Ratelimiter.GetBucket(q.Bucket)
	bucket.Lock()
	if wait := r.session.Ratelimiter.GetWaitTime(bucket, 1); wait > shortWait {
		bucket.Unlock()
		return &bot.LaterError{After: wait, Err: fmt.Errorf("the rate limit of %s", q.Bucket)}
	} else if wait > 0 {
		bucket.Unlock()
		if err := pause(ctx, wait); err != nil {
			return err
		}
		bucket.Lock()
	}
	bucket.Remaining--
	return do(ctx, r.session, bucket, q, out, r.hold)
}

func (r *rest) turn(bucket string) chan struct{} {
	r.mu.Lock()
	defer r.mu.Unlock()
	t := r.turns[bucket]
	if t == nil {
		t = make(chan struct{}, 1)
		r.turns[bucket] = t
	}
	return t
}

// held is how long nothing may go out.
func (r *rest) held() time.Duration {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.until.Sub(r.now())
}

// hold keeps everything back for a while: 10,000 refused requests in ten minutes
// get the whole address banned.
func (r *rest) hold(d time.Duration, why string) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if until := r.now().Add(d); until.After(r.until) {
		r.until = until
		r.log.Warn("requests to Discord are held back", "for", d, "because", why)
	}
}

// do makes a request with a locked bucket, which it releases.
func do(ctx context.Context, s *discordgo.Session, bucket *discordgo.Bucket, q Request, out any, hold func(time.Duration, string)) error {
	kind, body, err := encode(q)
	if err != nil {
		bucket.Unlock()
		return err
	}
	ctx, o := withOutcome(ctx)
	answer, err := s.RequestWithLockedBucket(q.Method, q.URL, kind, body, bucket, 0,
		discordgo.WithContext(ctx), discordgo.WithRetryOnRatelimit(false), discordgo.WithRestRetries(0))
	switch {
	case o.status == 0 && err == nil:
		return fmt.Errorf("%s: nothing came back", q.Bucket)
	case o.status == 0:
		return fmt.Errorf("it is not known whether Discord has it: %w", err)
	case o.status == http.StatusTooManyRequests:
		return limited(o.header, answer, hold)
	case o.status/100 == 2 && err != nil:
		return fmt.Errorf("it is not known what Discord made of it: %w", err)
	case o.status/100 == 2:
		if out == nil || len(bytes.TrimSpace(answer)) == 0 {
			return nil
		}
		if err := json.Unmarshal(answer, out); err != nil {
			// It was done all the same: a failure here must not lead to a second post
			// under another nonce.
			return fmt.Errorf("Discord took it and answered something that cannot be read: %w", err)
		}
		return nil
	}
	e := &APIError{Status: o.status}
	_ = json.Unmarshal(answer, e) // an HTML page leaves code and message empty
	if e.Status == http.StatusUnauthorized {
		hold(tokenWait, "the token was refused")
	}
	return e
}

// limited reads a 429, which may be Discord's JSON or a page of the network before it.
func limited(h http.Header, answer []byte, hold func(time.Duration, string)) error {
	var body struct {
		Message    string  `json:"message"`
		RetryAfter float64 `json:"retry_after"`
		Global     bool    `json:"global"`
	}
	plain := json.Unmarshal(answer, &body) != nil
	after := time.Duration(body.RetryAfter * float64(time.Second))
	for _, name := range []string{"Retry-After", "X-RateLimit-Reset-After"} {
		if s, err := strconv.ParseFloat(h.Get(name), 64); err == nil {
			after = max(after, time.Duration(s*float64(time.Second)))
		}
	}
	if after <= 0 {
		after = blindWait
	}
	switch {
	case plain:
		hold(after, "the network before Discord's API limits this address")
	case body.Global || h.Get("X-RateLimit-Global") != "":
		hold(after, "the global rate limit")
	}
	return &bot.LaterError{After: after, Err: fmt.Errorf("Discord's rate limit: %s", body.Message)}
}

func encode(q Request) (kind string, body []byte, err error) {
	switch {
	case len(q.Files) > 0:
		return discordgo.MultipartBodyWithJSON(q.Body, q.Files)
	case q.Body != nil:
		body, err = json.Marshal(q.Body)
	}
	return "application/json", body, err
}

// pause waits unless ctx ends first.
func pause(ctx context.Context, d time.Duration) error {
	t := time.NewTimer(d)
	defer t.Stop()
	select {
	case <-t.C:
		return nil
	case <-ctx.Done():
		return ctx.Err()
	}
}

// acker is the Acker, a session of its own. Each answer has its own bucket, which
// nothing waits for and which is gone with it.
type acker struct {
	session *discordgo.Session
}

func newAcker(token string, base *url.URL, next http.RoundTripper) (*acker, error) {
	s, err := newSession(token, newClient(base, next))
	if err != nil {
		return nil, err
	}
	return &acker{s}, nil
}

// Whisper is a follow-up that one person sees.
func (a *acker) Whisper(ctx context.Context, i *discordgo.Interaction, text string) error {
	bucket := discordgo.NewRatelimiter().GetBucket("")
	bucket.Lock()
	q := Request{Method: http.MethodPost, URL: discordgo.EndpointWebhookToken(i.AppID, i.Token), Body: discordgo.WebhookParams{
		Content: text, Flags: discordgo.MessageFlagsEphemeral, AllowedMentions: nobody(),
	}}
	return do(ctx, a.session, bucket, q, nil, func(time.Duration, string) {})
}

func (a *acker) Ack(ctx context.Context, i *discordgo.Interaction, r *discordgo.InteractionResponse) (string, error) {
	bucket := discordgo.NewRatelimiter().GetBucket("")
	bucket.Lock()
	var answer struct {
		Resource struct {
			Message struct {
				ID string `json:"id"`
			} `json:"message"`
		} `json:"resource"`
	}
	q := Request{Method: http.MethodPost, URL: discordgo.EndpointInteractionResponse(i.ID, i.Token) + "?with_response=true", Body: r}
	err := do(ctx, a.session, bucket, q, &answer, func(time.Duration, string) {})
	return answer.Resource.Message.ID, err
}
