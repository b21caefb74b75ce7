package bot

import (
	"bytes"
	"context"
	"encoding/json"
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
	ids := map[string]MessageID{}
	var texts []string
	for i := range 25 {
		text := fmt.Sprint("lash ", i)
		texts = append(texts, text)
		m := s.message("bay", text)
		ids[text] = m.ID
		s.hear(m)
		if d.one(8) {
			s.restart(withFaults(f))
		}
	}
	d.stop()
	time.Sleep(time.Hour)
	s.settle()

	told := map[string]string{}
	refused := s.refused(1)
	for _, text := range texts {
		told[text] = p.direct(ids[text])
		if word, ok := refused[ids[text]]; ok && told[text] == "" {
			told[text] = word
		} else if ok {
			t.Errorf("%q was refused in the log and told past it: %s", text, told[text])
		}
	}
	faults := 0
	for _, text := range p.texts("bay") {
		if isFault(text) {
			faults++
		}
	}
	for _, text := range texts {
		if told[text] != "" {
			faults--
		}
	}
	if faults != 0 {
		t.Errorf("%d sentences about faults more than there were faults", faults)
	}
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

// direct gives what was said of a fault with a message, past the queue.
func (p *lossyPlatform) direct(id MessageID) string {
	p.mu.Lock()
	defer p.mu.Unlock()
	for _, s := range p.posts {
		if s.nonce == hashName("tell chat:"+string(id)) {
			return s.post.Text
		}
	}
	return ""
}

// refused gives what the job's log says of messages that were not taken.
func (s *shop) refused(number int) map[MessageID]string {
	s.t.Helper()
	records, err := s.store.Events(context.Background(), string(jobID(number)), 0)
	if err != nil {
		s.t.Fatal(err)
	}
	out := map[MessageID]string{}
	for _, r := range records {
		var t struct{ Talk talk }
		if bytes.HasPrefix(r, talkMark) && json.Unmarshal(r, &t) == nil && len(t.Talk.Answers) == 1 && isFault(t.Talk.Answers[0]) {
			out[MessageID(strings.TrimPrefix(t.Talk.Message, "chat:"))] = t.Talk.Answers[0]
		}
	}
	return out
}
