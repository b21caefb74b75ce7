package bot

import (
	"context"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"
)

// Place is where something is said: a channel, a private talk or a thread of one.
// It is the adapter's own text and opaque to everybody else, at most 100 bytes.
type Place string

// UserID is an account of the platform.
type UserID string

// MessageID is a message of the platform.
type MessageID string

// JobID names a job and its stream in the store for ever.
type JobID string

// Message is something somebody said.
type Message struct {
	Place  Place  // the channel or private talk
	Thread Place  // the thread in it, empty outside of threads
	Author UserID // who said it
	// ID is the same each time the message is delivered and never used again. A new
	// wording of a message has an ID of its own and names the message in EditOf.
	ID     MessageID
	EditOf MessageID
	At     time.Time // the platform's time; zero for now
	Text   string
	Files  []Attachment
	// ReplyTo is the post of the assistant that it was written below, where the platform
	// tells so; outside of threads of jobs.
	ReplyTo MessageID
	// Pressed is the post whose choice was pressed, Text then being the choice; empty
	// for what was typed. Of one person each choice of a post counts once.
	Pressed MessageID
	// Whisper tells its author alone something about it; nil where that cannot be.
	Whisper   func(context.Context, string) error
	Bot       bool // said by a program, this one included
	Addressed bool // the assistant was mentioned, or it was said in private
}

// Here is the place an answer goes to: the thread, or else the channel.
func (m Message) Here() Place {
	if m.Thread != "" {
		return m.Thread
	}
	return m.Place
}

// Attachment is a file somebody sent.
type Attachment struct {
	Name string
	Type string // media type
	Size int64  // bytes
	Open func(context.Context) (io.ReadCloser, error)
}

// Post is one message to show.
type Post struct {
	Text    string
	Choices []string // offered as buttons; only to a Chooser
	// For is who alone may press them, everybody there when empty. An adapter that knows
	// better tells others so, alone; a press it lets through is looked at again.
	For   []UserID
	Ping  []UserID // people to notify; nobody else may be, whatever the text says
	Files []File   // only to a Filer
	// Large are lines of the text to be shown in large type; only to an Enlarger.
	Large []string
}

// File is a file to show.
type File struct {
	Name string
	Type string // media type
	Alt  string // what is to be seen on it, in words
	Data []byte
}

// Limits is what one post of the platform takes.
type Limits struct {
	Text int // characters (code points), 0 for no limit
}

// Deliver takes a message. Nil means that it is taken for good, or rightly left
// alone; after an error the adapter delivers it again, at the latest when it has
// connected anew.
type Deliver func(context.Context, Message) error

// Adapter is one chat platform.
type Adapter interface {
	// Run connects, hands what is said to deliver, and returns when ctx ends (nil)
	// or the platform turns it away for good (an error that says what to do). It
	// reconnects by itself, and then also delivers what was said meanwhile. Messages
	// of one place come one after the other and in order; different places may be
	// delivered at the same time. deliver blocks as long as the store does.
	Run(ctx context.Context, deliver Deliver) error

	// Send shows a post and returns once the platform has it. Posts of one place are
	// sent one after the other. It may be called before Run has connected, and then
	// waits or errs. A post with a nonce that was sent before is not shown again, as
	// far back as the platform remembers. An error that wraps ErrRefused is final, a
	// *LaterError says when to try again, after any other the post is sent again
	// with the same nonce.
	Send(ctx context.Context, to Place, p Post, nonce string) (MessageID, error)

	// Limits is what one post may hold; Send is never given more.
	Limits() Limits
}

// Threader is an Adapter that can open threads.
type Threader interface {
	// OpenThread opens a thread below a message of a place and gives the thread's
	// place. Asked again for the same message it gives the same thread. Errors as
	// those of Send.
	OpenThread(ctx context.Context, in Place, below MessageID, about Topic) (Place, error)
}

// Topic is what a thread is about.
type Topic struct {
	Job   int    // its number
	Title string // one line of at most 90 characters, the number in it
}

// Editor is an Adapter that can change its own posts.
type Editor interface {
	// Edit puts p in the place of a post of the assistant. Errors as those of Send;
	// it is not tried again.
	Edit(ctx context.Context, at Place, id MessageID, p Post) error
}

// Filer is an Adapter whose posts can carry files.
type Filer interface {
	// FileLimits is what one post takes: how many files, and bytes of each.
	FileLimits() (count, bytes int)
}

// Enlarger is an Adapter whose platform has large text: a heading.
type Enlarger interface {
	// LargeCost is how many characters a line takes more when it is large.
	LargeCost() int
}

// IsLarge says whether a line of the post's text is to be shown large. One that was cut
// where a text was split is not, and stays as the rest.
func (p Post) IsLarge(line string) bool {
	return strings.TrimSpace(line) != "" && slices.Contains(p.Large, line)
}

// Chooser is an Adapter that can offer choices to press. What is pressed is
// delivered as a message with the choice as its text. Choices that were overtaken
// by another post are taken off again where the platform is an Editor too.
type Chooser interface {
	// ChoiceLimits is how many choices one post takes and how many characters of
	// each; none where buttons cannot work just now. What does not fit is written
	// into the text with numbers.
	ChoiceLimits() (count, runes int)
}

// Direct is an Adapter that can begin a private talk.
type Direct interface {
	// Direct gives the place of the private talk with a person, the same each time.
	// Errors as those of Send.
	Direct(ctx context.Context, who UserID) (Place, error)
}

// Guide is an Adapter that can bring a person to a place: a console does, a phone
// does not.
type Guide interface {
	Show(who UserID, at Place)
}

// ErrRefused marks an error of Send that trying again does not cure: the channel is
// gone, the assistant was put out of it.
var ErrRefused = errors.New("the platform refuses this post")

// LaterError says that the platform wants to be left alone for a while.
type LaterError struct {
	After time.Duration
	Err   error
}

func (e *LaterError) Error() string { return fmt.Sprintf("try again in %v: %v", e.After, e.Err) }
func (e *LaterError) Unwrap() error { return e.Err }
