package main

import (
	"context"
	"fmt"
	"log/slog"
	"sync"
	"time"

	"shimwright/bot"
)

// platformName is what accounts and the log call the load's platform.
const platformName = "load"

// adapter is the bot's side of the wire: a bot.Adapter with threads, choices and
// edits, as the real platforms have them.
type adapter struct {
	w   *wire
	log *slog.Logger

	mu      sync.Mutex
	last    uint64
	waiting map[uint64]chan string // requests without an answer
	places  map[bot.Place][]frame  // what was said and is not taken; a worker is on while the key is there

	control func(frame) frame // answers opMemory, opFuture and opTrace
}

var (
	_ bot.Adapter  = (*adapter)(nil)
	_ bot.Threader = (*adapter)(nil)
	_ bot.Editor   = (*adapter)(nil)
	_ bot.Chooser  = (*adapter)(nil)
)

func newAdapter(w *wire, log *slog.Logger) *adapter {
	return &adapter{w: w, log: log, waiting: map[uint64]chan string{}, places: map[bot.Place][]frame{}}
}

// Run delivers what is said until the platform hangs up.
func (a *adapter) Run(ctx context.Context, deliver bot.Deliver) error {
	stop := context.AfterFunc(ctx, a.w.close)
	defer stop()
	var working sync.WaitGroup
	defer working.Wait()
	for {
		f, err := a.w.receive()
		if err != nil {
			return nil
		}
		switch f.op {
		case opSay:
			place := messageOf(f).Here()
			a.mu.Lock()
			queue, on := a.places[place]
			a.places[place] = append(queue, f)
			a.mu.Unlock()
			if !on {
				working.Go(func() { a.work(ctx, place, deliver) })
			}
		case opAnswer:
			a.mu.Lock()
			if c := a.waiting[f.n]; c != nil {
				c <- f.id
			}
			delete(a.waiting, f.n)
			a.mu.Unlock()
		default:
			working.Go(func() { a.w.send(a.control(f)) })
		}
	}
}

func messageOf(f frame) bot.Message {
	return bot.Message{Place: bot.Place(f.place), Thread: bot.Place(f.thread), Author: bot.UserID(f.who), ID: bot.MessageID(f.id), Text: f.text}
}

// work delivers what is said at a place, one after the other, until nothing waits.
func (a *adapter) work(ctx context.Context, place bot.Place, deliver bot.Deliver) {
	for {
		a.mu.Lock()
		queue := a.places[place]
		if len(queue) == 0 {
			delete(a.places, place)
			a.mu.Unlock()
			return
		}
		f := queue[0]
		a.places[place] = queue[1:]
		a.mu.Unlock()
		for deliver(ctx, messageOf(f)) != nil {
			if ctx.Err() != nil {
				return
			}
			a.log.Warn("a message is delivered again", "message", f.id)
			time.Sleep(100 * time.Millisecond)
		}
		a.w.send(frame{op: opTaken, n: f.n})
	}
}

// request asks the platform for something and waits for its answer.
func (a *adapter) request(ctx context.Context, f frame) (string, error) {
	answer := make(chan string, 1)
	a.mu.Lock()
	a.last++
	f.n = a.last
	a.waiting[f.n] = answer
	a.mu.Unlock()
	if err := a.w.send(f); err != nil {
		return "", err
	}
	select {
	case id := <-answer:
		return id, nil
	case <-a.w.gone:
		return "", fmt.Errorf("the platform hung up")
	case <-ctx.Done():
		return "", ctx.Err()
	}
}

// Send shows a post.
func (a *adapter) Send(ctx context.Context, to bot.Place, p bot.Post, nonce string) (bot.MessageID, error) {
	id, err := a.request(ctx, frame{op: opPost, place: string(to), text: p.Text, id: nonce})
	return bot.MessageID(id), err
}

// Limits is what one post takes, as the smallest of the real platforms.
func (a *adapter) Limits() bot.Limits { return bot.Limits{Text: 2000} }

// OpenThread opens a thread below a message.
func (a *adapter) OpenThread(ctx context.Context, in bot.Place, below bot.MessageID, _ bot.Topic) (bot.Place, error) {
	id, err := a.request(ctx, frame{op: opThread, place: string(in), id: string(below)})
	return bot.Place(id), err
}

// Edit changes a post.
func (a *adapter) Edit(ctx context.Context, at bot.Place, id bot.MessageID, p bot.Post) error {
	_, err := a.request(ctx, frame{op: opEdit, place: string(at), text: p.Text, id: string(id)})
	return err
}

// ChoiceLimits is how many choices a post takes.
func (a *adapter) ChoiceLimits() (count, runes int) { return 25, 80 }
