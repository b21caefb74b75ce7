package main

import (
	"context"
	"fmt"
	"log/slog"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"time"

	"shimwright/bot"
	"shimwright/bot/store"
	"shimwright/bot/store/boltstore"
)

// line is one message of a job and what it brings.
type line struct {
	text  string
	posts []string // what is answered, the job's and the person's number written as #
}

// plan is what is said in one job from its opening to its end.
type plan []line

// talks are whole jobs as a shop types them: readings, moves, questions, corrections,
// advice, reviews by numbers and words, and talk that is none of the assistant's
// business.
var talks = []string{`
open lapwing whine on drive, new gears
skip 2 came in as a bare housing
old pinion shim 30, left 250, right 245
old mark +2, new mark -1
who took my 14 mm socket, need it by 3:30
11/41
yes
yes
done
ring bolts torqued with thread locker, runout 1.5 thou
same
same
caps torqued
lash 14 14 13 14
drive high toward the heel, coast high and heel
why
what is toe
scratch that, 13 not 14
where are we
done
lash 8 8.5 8 8, drive center and a touch high, coast centered
summary
close job
`, `
open saltmarsh bearing noise
used
lash 20
skip pattern was wiped
skip
caps marked
old pinion shim 0,85
old mark 0, new mark 0
yes
match numbers are the same
yes
done
lunch in ten, anybody want anything?
ring bolts torqued, runout 4 hundredths
caps torqued
lash 34 35 33 34
drive heel and low
coast toe, low
is 0,20 ok?
done
lash 0,24 0,25 0,24 0,23; drive centered; coast centered
where are we
close job
`, `
open shingle-bank ratio change new gears
skip 2 it came as a bare housing
old pinion shim 20 thou
old mark +2
new mark -3
skip preload pack lost
yes
yes
yes
why
done
ring bolts torqued, runout 1 thou
caps torqued
lash 9 9 9 8
drive high and heel, coast high and heel
where are we
done
lash 8 8 8 7, drive centered, coast centered
summary
close job
`}

// rehearse plays the talks one message at a time through a bot of its own and keeps
// what each brings, so that the load knows what it has to count.
func rehearse(ctx context.Context, talks []string, senders int) (plans []plan, err error) {
	dir, err := os.MkdirTemp("", "shimload")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(dir)
	backend, err := boltstore.Open(filepath.Join(dir, "rehearsal.db"), time.Second)
	if err != nil {
		return nil, err
	}
	st := store.New(backend, time.Now)
	defer st.Close()
	s := &rehearsal{}
	b, err := newBot(product{People: 1, Senders: senders, Forget: true}, st, s, quiet())
	if err != nil {
		return nil, err
	}
	ctx, stop := context.WithCancel(ctx)
	var running sync.WaitGroup
	running.Go(func() { b.Run(ctx) })
	defer running.Wait()
	defer stop()
	for number, talk := range talks {
		var p plan
		place := bot.Place("")
		for i, text := range strings.Split(strings.TrimSpace(talk), "\n") {
			m := bot.Message{Place: "shop", Thread: place, Author: "tech1", ID: bot.MessageID(fmt.Sprintf("r%d.%d", number, i)), Text: text}
			if err := b.Handle(ctx, platformName, m); err != nil {
				return nil, err
			}
			if err := b.Settle(ctx); err != nil {
				return nil, err
			}
			l := line{text: text}
			for _, post := range s.take() {
				l.posts = append(l.posts, bare(post, number+1, "tech1"))
			}
			if i == 0 {
				place = s.thread()
				if place == "" || len(l.posts) == 0 {
					return nil, fmt.Errorf("%q opened no job", text)
				}
			}
			p = append(p, l)
		}
		plans = append(plans, p)
	}
	return plans, nil
}

// quiet is a log of faults alone.
func quiet() *slog.Logger {
	return slog.New(slog.NewTextHandler(os.Stderr, &slog.HandlerOptions{Level: slog.LevelError}))
}

// bare takes a job's number and a person's name out of a text.
func bare(text string, number int, person string) string {
	return strings.ReplaceAll(strings.ReplaceAll(text, fmt.Sprintf("job %d", number), "job #"), person, "tech#")
}

// rehearsal is a platform that keeps what it is given.
type rehearsal struct {
	mu    sync.Mutex
	posts []string
	place bot.Place
}

func (r *rehearsal) Run(ctx context.Context, _ bot.Deliver) error {
	<-ctx.Done()
	return nil
}

func (r *rehearsal) Limits() bot.Limits { return bot.Limits{Text: 2000} }

func (r *rehearsal) Send(_ context.Context, _ bot.Place, p bot.Post, nonce string) (bot.MessageID, error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.posts = append(r.posts, p.Text)
	return bot.MessageID(nonce), nil
}

func (r *rehearsal) OpenThread(_ context.Context, _ bot.Place, below bot.MessageID, _ bot.Topic) (bot.Place, error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.place = bot.Place("thread-" + string(below))
	return r.place, nil
}

func (r *rehearsal) ChoiceLimits() (count, runes int) { return 25, 80 }

func (r *rehearsal) thread() bot.Place {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.place
}

func (r *rehearsal) take() []string {
	r.mu.Lock()
	defer r.mu.Unlock()
	posts := r.posts
	r.posts = nil
	return posts
}
