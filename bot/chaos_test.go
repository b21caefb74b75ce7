package bot

import (
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"shimwright/bot/store"
)

// Faults everywhere and at random: commits that fail before or after they are done,
// a disk that is full for a while, posts that are refused for now before or after
// they are shown, restarts. What was logged is logged once, what is logged is
// answered once and in order, and whoever was told "not logged" was told the truth.
func TestFaultsAtRandom(t *testing.T) {
	for seed := range uint64(30) {
		t.Run(fmt.Sprint(seed), func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) { randomFaults(t, seed) })
		})
	}
}

// dice is a source of chance that several goroutines may use.
type dice struct {
	mu  sync.Mutex
	rng *rand.Rand
	off bool
}

func (d *dice) one(in int) bool {
	d.mu.Lock()
	defer d.mu.Unlock()
	return !d.off && d.rng.IntN(in) == 0
}

func (d *dice) stop() {
	d.mu.Lock()
	defer d.mu.Unlock()
	d.off = true
}

func randomFaults(t *testing.T, seed uint64) {
	d := &dice{rng: rand.New(rand.NewPCG(seed, 1))}
	p := &lossyPlatform{dice: d}
	f := &faulty{}
	s := newShop(t, p, withFaults(f))
	defer s.end()
	s.hear(s.message("bay", "open rear"))
	f.set(func(store.Batch) error {
		switch {
		case d.one(6):
			return store.ErrTemporary
		case d.one(12):
			return store.ErrFull
		}
		return nil
	}, func(store.Batch) error {
		if d.one(6) {
			return store.ErrTemporary
		}
		return nil
	})
	told := map[string]string{}
	var texts []string
	for i := range 25 {
		text := fmt.Sprint("lash ", i)
		texts = append(texts, text)
		before := len(p.direct())
		s.hear(s.message("bay", text))
		if after := p.direct(); len(after) > before {
			told[text] = after[len(after)-1]
		}
		if d.one(8) {
			s.restart(withFaults(f))
		}
	}
	d.stop()
	time.Sleep(time.Hour)
	s.settle()

	logged := s.facts(1)
	count := map[string]int{}
	for _, fact := range logged {
		count[fact]++
	}
	for _, text := range texts {
		switch word := told[text]; {
		case word == "" && count[text] != 1:
			t.Errorf("%q is logged %d times, and nobody was told", text, count[text])
		case strings.Contains(word, "was not logged") && count[text] != 0:
			t.Errorf("%q is logged %d times, and its author was told: %s", text, count[text], word)
		case count[text] > 1:
			t.Errorf("%q is logged %d times", text, count[text])
		}
	}
	var want, got []string
	for i, fact := range logged {
		want = append(want, fmt.Sprintf("%d: %s", i+2, fact))
	}
	for _, text := range p.texts("bay") {
		if strings.Contains(text, ": lash") {
			got = append(got, text)
		}
	}
	same(t, "answers", got, want...)
	if len(logged) < len(texts)/2 {
		t.Errorf("only %d of %d were logged: the test tests nothing", len(logged), len(texts))
	}
}

// lossyPlatform remembers nonces and fails at random, also after it has shown a post.
type lossyPlatform struct {
	plainPlatform
	dice *dice
}

func (p *lossyPlatform) Send(ctx context.Context, to Place, post Post, nonce string) (MessageID, error) {
	if isFault(post.Text) { // past the queue: nobody sends it again
		return p.plainPlatform.Send(ctx, to, post, nonce)
	}
	if p.dice.one(5) {
		return "", errors.New("502")
	}
	id, err := p.plainPlatform.Send(ctx, to, post, nonce)
	if p.dice.one(5) {
		return "", errors.New("timeout")
	}
	return id, err
}

func isFault(text string) bool { return strings.HasPrefix(text, "the shop's store") }

// direct gives what was said of faults.
func (p *lossyPlatform) direct() []string {
	var out []string
	for _, text := range p.texts("") {
		if isFault(text) {
			out = append(out, text)
		}
	}
	return out
}
