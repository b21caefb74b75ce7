package discord

import (
	"context"
	"net/http"

	"github.com/bwmarrin/discordgo"
)

// The adapter sees Discord through three narrow ports. discordgo is behind them,
// three sessions of it, so that neither a rate limit nor a stuck connection of one
// holds up another.

// Gateway receives.
type Gateway interface {
	// Listen hands every event (discordgo's types, *discordgo.Ready among them) to
	// hear, one after the other; hear returns at once. It reconnects by itself and
	// returns nil when ctx ends, or a *TurnedAway.
	Listen(ctx context.Context, hear func(event any)) error
}

// Poster asks and sends.
type Poster interface {
	// Call makes one request and reads its answer into out, which may be nil. It
	// waits for a rate limit of a moment only and never repeats a request by itself.
	// Errors: *bot.LaterError for a rate limit, *APIError for what Discord refuses,
	// anything else when it is not known what became of the request.
	Call(ctx context.Context, q Request, out any) error
}

// Acker answers interactions, within the three seconds that Discord gives.
type Acker interface {
	// Ack gives the first answer. Where that is a message, its id comes back if
	// Discord told it. Errors as those of Call.
	Ack(ctx context.Context, i *discordgo.Interaction, r *discordgo.InteractionResponse) (message string, err error)

	// Whisper says something more to whoever made the interaction, to them alone, after
	// the first answer and within 15 minutes of it.
	Whisper(ctx context.Context, i *discordgo.Interaction, text string) error
}

// Request is one call of Discord's API.
type Request struct {
	Method string
	URL    string // as discordgo's endpoints give it
	Bucket string // calls with the same bucket share a rate limit; the URL when empty
	Body   any    // nil for none
	Files  []*discordgo.File
}

func get(url string) Request { return Request{Method: http.MethodGet, URL: url} }
