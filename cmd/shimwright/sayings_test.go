package main

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/base64"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/mattermost/mattermost/server/public/model"
	"github.com/redis/go-redis/v9"

	"shimwright/bot"
	"shimwright/bot/mattermost/mmtest"
	"shimwright/bot/store"
	"shimwright/bot/store/redisstore"
)

// Kinds of what is said in the siege.
const (
	saidReading = "reading" // a figure that nothing else in its job has
	saidChatter = "chatter" // to be left alone
	saidOpening = "opening" // of a job
)

// saying is a message of the siege.
type saying struct {
	id, kind, thread string
	mark             string // what its answer begins with
}

// sayings is what people say, kept to be held against log and posts.
type sayings struct {
	t     *testing.T
	group *mmGroup
	rng   *rand.Rand

	mu      sync.Mutex
	all     []saying
	threads []string // roots
	figures map[string]int
}

func newSayings(t *testing.T, g *mmGroup, rng *rand.Rand) *sayings {
	return &sayings{t: t, group: g, rng: rand.New(rand.NewPCG(rng.Uint64(), 2)), figures: map[string]int{}}
}

// open opens jobs in peace.
func (s *sayings) open(jobs int) {
	for range jobs {
		s.sayOpening()
	}
	until(s.t, "open", func() bool {
		for _, root := range s.threads {
			if len(s.group.posts(s.group.thread(root))) == 0 {
				return false
			}
		}
		return true
	})
}

func (s *sayings) sayOpening() {
	n := len(s.all)
	id := s.group.say("ann", "", fmt.Sprintf("open lapwing whine number %d, new gears", n))
	s.note(saying{id: id, kind: saidOpening, thread: id, mark: "job "})
	s.mu.Lock()
	s.threads = append(s.threads, id)
	s.mu.Unlock()
}

func (s *sayings) note(one saying) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.all = append(s.all, one)
}

// talk says something every so often until ctx ends.
func (s *sayings) talk(ctx context.Context, pause time.Duration) {
	for {
		select {
		case <-ctx.Done():
			return
		case <-time.After(time.Duration(s.rng.Int64N(int64(2 * pause)))):
		}
		switch n := s.rng.IntN(40); {
		case n == 0:
			s.sayOpening()
		case n < 4:
			root := s.threads[s.rng.IntN(len(s.threads))]
			id := s.group.say("ann", s.group.thread(root), "who took my 14 mm socket")
			s.note(saying{id: id, kind: saidChatter, thread: root})
		default:
			root := s.threads[s.rng.IntN(len(s.threads))]
			figure := 200 + s.figures[root]
			s.figures[root]++
			id := s.group.say("ann", s.group.thread(root), fmt.Sprintf("old pinion shim %d.%d", figure/10, figure%10))
			s.note(saying{id: id, kind: saidReading, thread: root, mark: "old pinion shim " + trimZeros(fmt.Sprintf("0.%04d", figure)) + " in\n"})
		}
	}
}

// trimZeros is a figure with three decimals at least, as it is said back.
func trimZeros(text string) string {
	if strings.HasSuffix(text, "0") && len(text) > 5 {
		return text[:len(text)-1]
	}
	return text
}

// outcome is what became of the messages, from the log and from what was posted.
type outcome struct {
	logged   map[string]int // records of turns by message
	refused  map[string]int // records of refusals
	readings map[string]int // entries of the job's own by message
	openings map[string]int
	order    map[string][]string // of each thread, the marks of its records
	jobs     map[string]string   // thread of a job's stream
	waiting  int

	posts    map[string][]string // texts by thread, "" for the channel
	straight map[string]int      // told past the queue, by message
}

// refusalText begins what is said of a message that is not taken on a full store.
const (
	refusalText = "the shop's store is full"
)

func (s *sayings) look(client *redis.Client) (*outcome, error) {
	o := &outcome{
		logged: map[string]int{}, refused: map[string]int{}, readings: map[string]int{}, openings: map[string]int{},
		order: map[string][]string{}, jobs: map[string]string{}, posts: map[string][]string{}, straight: map[string]int{},
	}
	ctx, cancel := context.WithTimeout(context.Background(), 20*time.Second)
	defer cancel()
	b, err := redisstore.Open(ctx, &redis.UniversalOptions{Addrs: []string{client.Options().Addr}}, redisstore.Options{})
	if err != nil {
		return nil, err
	}
	defer b.Close()
	if err := s.lookAtLog(ctx, b, o); err != nil {
		return nil, err
	}
	told := map[string]string{}
	s.mu.Lock()
	for _, one := range s.all {
		h := sha256.Sum256([]byte("tell mattermost:" + one.id))
		told[base64.RawURLEncoding.EncodeToString(h[:18])] = one.id
	}
	threads := append([]string{""}, s.threads...)
	s.mu.Unlock()
	for _, root := range threads {
		for _, p := range s.group.server.Seen(s.group.channel, root) {
			if p.UserId != s.group.me {
				continue
			}
			if id, ok := told[nonceOf(p)]; ok {
				o.straight[id]++
				continue
			}
			o.posts[root] = append(o.posts[root], mmtest.Plain(p.Message)+"\n")
		}
	}
	return o, nil
}

func nonceOf(p *model.Post) string {
	text, _ := p.GetProp("shimwright_nonce").(string)
	return text
}

func (s *sayings) lookAtLog(ctx context.Context, b store.Backend, o *outcome) error {
	names, err := store.Names(ctx, b)
	if err != nil {
		return err
	}
	for _, name := range names {
		items, err := b.Waiting(ctx, name)
		if err != nil {
			return err
		}
		o.waiting += len(items)
		records, err := b.Events(ctx, name, 0)
		if err != nil {
			return err
		}
		for _, r := range records {
			if err := o.record(name, r); err != nil {
				return fmt.Errorf("%s: %s: %w", name, r, err)
			}
		}
	}
	return nil
}

func (o *outcome) record(stream string, data []byte) error {
	var r struct {
		Kind, Msg string
		Number    int
		Place     struct{ In string }
		Talk      *struct {
			Msg     string
			Answers []string
		}
	}
	if err := json.Unmarshal(data, &r); err != nil {
		return err
	}
	id := func(text string) string { return strings.TrimPrefix(text, "mattermost:") }
	switch {
	case r.Talk != nil && bytes.HasPrefix(data, []byte(`{"talk":`)):
		first := ""
		if len(r.Talk.Answers) > 0 {
			first = r.Talk.Answers[0] + "\n"
		}
		if strings.HasPrefix(first, refusalText) {
			o.refused[id(r.Talk.Msg)]++
		} else {
			o.logged[id(r.Talk.Msg)]++
		}
		o.order[stream] = append(o.order[stream], first)
	case stream == "shop" && r.Kind == "opened":
		o.openings[id(r.Msg)]++
		o.jobs[fmt.Sprintf("job-%06d", r.Number)] = id(r.Msg)
	case stream == "shop" && r.Kind == "refused":
		o.refused[id(r.Msg)]++
	case r.Kind == "measured":
		o.readings[id(r.Msg)]++
	}
	return nil
}

// missing gives the messages of which nothing has become yet.
func (s *sayings) missing(o *outcome) []saying {
	s.mu.Lock()
	defer s.mu.Unlock()
	var out []saying
	for _, one := range s.all {
		switch {
		case one.kind == saidChatter:
		case o.refused[one.id] > 0 || o.straight[one.id] > 0 && o.logged[one.id] == 0 && o.openings[one.id] == 0:
		case o.logged[one.id] == 0 || o.answers(one) == 0:
			out = append(out, one)
		}
	}
	return out
}

// closed says whether a thread has no job because its opening was not taken: what is
// said there is told so.
func (o *outcome) closed(one saying) bool {
	return one.kind == saidReading && o.openings[one.thread] == 0
}

// noJob begins what is said where there is none.
const noJob = "no job is open here, so nothing was logged.\n"

// answers counts the answers to a message; where there is no job they are all alike,
// and counted for each.
func (o *outcome) answers(one saying) int {
	n := 0
	if o.closed(one) {
		for _, text := range o.posts[one.thread] {
			if strings.HasPrefix(text, noJob) {
				n++
			}
		}
		return n
	}
	for _, text := range o.posts[one.thread] {
		if one.kind == saidOpening && strings.HasPrefix(text, "job ") && strings.Contains(text, " open: ") || one.kind == saidReading && strings.HasPrefix(text, one.mark) {
			n++
		}
	}
	return n
}

// settle waits until something has become of every message and nothing waits, and a
// moment longer for what should not come.
func (s *sayings) settle(limit time.Duration, client *redis.Client) {
	s.t.Helper()
	quiet := 0
	var missing []saying
	for deadline := time.Now().Add(limit); time.Now().Before(deadline) && quiet < 4; time.Sleep(500 * time.Millisecond) {
		o, err := s.look(client)
		if err != nil {
			s.t.Log(err)
			continue
		}
		missing = s.missing(o)
		if quiet++; len(missing) > 0 || o.waiting > 0 {
			quiet = 0
		}
	}
}

// judge holds everything said against log and posts.
func (s *sayings) judge(client *redis.Client) {
	s.t.Helper()
	o, err := s.look(client)
	if err != nil {
		s.t.Fatal(err)
	}
	n := map[string]int{}
	loggedThere := map[string]int{} // in threads without a job
	for _, one := range s.all {
		if o.closed(one) {
			loggedThere[one.thread] += o.logged[one.id]
		}
	}
	for root, want := range loggedThere {
		if got := o.answers(saying{kind: saidReading, thread: root}); got != want {
			s.t.Errorf("%d answers in the thread %s, which has no job, to %d messages", got, root, want)
		}
		n["answered, no job there"] += want
	}
	for _, one := range s.missing(o) {
		s.t.Errorf("lost: %+v (logged %d, answered %d)", one, o.logged[one.id], o.answers(one))
	}
	for _, one := range s.all {
		n["said "+one.kind]++
		logged, refused, answers := o.logged[one.id], o.refused[one.id], o.answers(one)
		if o.closed(one) {
			answers = 0 // counted above
		}
		n["logged"] += logged
		n["refused"] += refused
		n["answered"] += answers
		n["told to look"] += o.straight[one.id]
		switch {
		case logged > 1 || o.openings[one.id] > 1 || one.kind == saidReading && o.readings[one.id] > 1:
			s.t.Errorf("logged twice: %+v: %d records, %d entries, %d openings", one, logged, o.readings[one.id], o.openings[one.id])
		case answers > 1:
			s.t.Errorf("answered %d times: %+v", answers, one)
		case refused > 1 || refused == 1 && logged+o.readings[one.id]+o.openings[one.id]+answers > 0:
			s.t.Errorf("refused and taken: %+v: %d refusals, %d records, %d entries, %d answers", one, refused, logged, o.readings[one.id], answers)
		case o.straight[one.id] > 1:
			s.t.Errorf("told %d times: %+v", o.straight[one.id], one)
		case one.kind == saidChatter && logged+refused+o.readings[one.id] > 0 && refused == 0:
			s.t.Errorf("chatter was taken: %+v", one)
		}
	}
	refusals := 0
	for _, texts := range o.posts {
		for _, text := range texts {
			if strings.HasPrefix(text, refusalText) {
				refusals++
			}
		}
	}
	if refusals != n["refused"] {
		s.t.Errorf("%d refusals were posted and %d are in the log", refusals, n["refused"])
	}
	if o.waiting > 0 {
		s.t.Errorf("%d items still wait", o.waiting)
	}
	s.inOrder(o)
	keys := make([]string, 0, len(n))
	for k := range n {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	var counts []string
	for _, k := range keys {
		counts = append(counts, fmt.Sprintf("%s %d", k, n[k]))
	}
	s.t.Logf("counted: %s", strings.Join(counts, ", "))
	if n["logged"] < len(s.all)/3 {
		s.t.Errorf("only %d of %d were logged: this tests nothing", n["logged"], len(s.all))
	}
}

// dump writes the whole store into a file for whoever looks for the cause.
func (s *sayings) dump(client *redis.Client, name string) string {
	name = filepath.Join(os.TempDir(), name)
	f, err := os.Create(name)
	if err != nil {
		return err.Error()
	}
	defer f.Close()
	ctx := context.Background()
	b, err := redisstore.Open(ctx, &redis.UniversalOptions{Addrs: []string{client.Options().Addr}}, redisstore.Options{})
	if err != nil {
		return err.Error()
	}
	defer b.Close()
	if _, err := store.Export(ctx, b, nil, bot.Directory, f, time.Now()); err != nil {
		return err.Error()
	}
	return name
}

// inOrder looks whether the answers in each thread stand in the order of the log:
// two turns of a job are never mixed.
func (s *sayings) inOrder(o *outcome) {
	s.t.Helper()
	for stream, firsts := range o.order {
		root, ok := o.jobs[stream]
		if !ok {
			continue
		}
		var want, got []string
		for _, f := range firsts {
			if f != "" {
				line, _, _ := strings.Cut(f, "\n")
				want = append(want, line)
			}
		}
		for _, text := range o.posts[root] {
			line, _, _ := strings.Cut(text, "\n")
			got = append(got, line)
		}
		if !slices.Equal(want, got) {
			s.t.Errorf("%s: the answers are not those of the log in their order:\nlog    %q\nposted %q", stream, want, got)
		}
	}
}
