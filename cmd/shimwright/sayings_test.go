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
	saidLater   = "later"   // a reminder is put off
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
	drives  []string // roots of jobs in their break-in
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

// drive brings jobs to where the axle cools after a drive, in peace: half an hour
// later, by whatever clock, there is something to say.
func (s *sayings) drive(jobs int) {
	steps := []string{
		"skip 2 bare housing", "skip 3 bare housing", "skip 4 checked yesterday", "pinion shim 33",
		"ring bolts torqued with thread locker, runout 1.5 thou", "left 250 right 245, caps torqued",
		"lash 8 8.5 8 8, drive center, coast center", "skip 9 assembled by mo", "skip 10 assembled by mo", "mentor: approve 1",
		"skip 11 closed up by mo", "skip 12 on paper", "start break-in", "off", "back, 10 miles, 185 at the pinion 160 at the carrier, no noise",
	}
	var roots []string
	for range jobs {
		roots = append(roots, s.group.say("ann", "", "open lapwing new gears"))
	}
	s.drives = append(s.drives, roots...)
	for _, step := range steps {
		who := "ann"
		if text, ok := strings.CutPrefix(step, "mentor: "); ok {
			who, step = "mentor", text
		}
		for _, root := range roots {
			before := len(s.group.posts(s.group.thread(root)))
			s.group.say(who, s.group.thread(root), step)
			until(s.t, "answering "+step, func() bool { return len(s.group.posts(s.group.thread(root))) > before })
		}
	}
	for _, root := range roots {
		until(s.t, "cooling", func() bool { return strings.Contains(s.lastPost(root), "cooling until") })
	}
}

func (s *sayings) lastPost(root string) string {
	posts := s.group.posts(s.group.thread(root))
	if len(posts) == 0 {
		return ""
	}
	return plain(posts[len(posts)-1].rows)
}

// cooled waits until all break-ins so far were spoken of: from then on that can be put
// off.
func (s *sayings) cooled() {
	for _, root := range s.drives {
		until(s.t, "reminded", func() bool { return strings.HasPrefix(s.lastPost(root), "@ann it has cooled") })
	}
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
		case n == 39 && len(s.drives) > 0:
			root := s.drives[s.rng.IntN(len(s.drives))]
			s.note(saying{id: s.group.say("ann", s.group.thread(root), "in 1 min"), kind: saidLater, thread: root, mark: "i come back to it at"})
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
	order    map[string][]string // of each stream, the answers in its records
	jobs     map[string]string   // thread of a job's stream
	waiting  int
	unopened map[string]int      // records by message of places without a job
	reminded map[string][]string // of each job's stream, the reminders said
	putOff   map[string]string   // of each job's stream, what was put off last

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
		order: map[string][]string{}, unopened: map[string]int{}, reminded: map[string][]string{}, putOff: map[string]string{}, jobs: map[string]string{}, posts: map[string][]string{}, straight: map[string]int{},
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
	threads := append(append([]string{""}, s.threads...), s.drives...)
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
		for _, it := range items {
			if it.Due.Before(time.Now().Add(2 * time.Hour)) { // else a reminder of tomorrow
				o.waiting++
			}
		}
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
	if strings.HasPrefix(stream, "cards/") {
		return nil // of looks shown in private; their places are plain words
	}
	var r struct {
		Kind, Msg string
		Number    int
		Place     struct{ In string }
		Data      json.RawMessage
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
		refused := false
		for _, a := range r.Talk.Answers {
			refused = refused || strings.HasPrefix(a, refusalText)
			o.order[stream] = append(o.order[stream], a)
		}
		if refused {
			o.refused[id(r.Talk.Msg)]++
		} else {
			o.logged[id(r.Talk.Msg)]++
			if strings.HasPrefix(stream, "place/") {
				o.unopened[id(r.Talk.Msg)]++
			}
		}
	case stream == "shop" && r.Kind == "opened":
		o.openings[id(r.Msg)]++
		o.jobs[fmt.Sprintf("job-%06d", r.Number)] = id(r.Msg)
	case stream == "shop" && r.Kind == "refused":
		o.refused[id(r.Msg)]++
	case r.Kind == "reminded" || r.Kind == "put-off":
		var timer struct {
			Key        string
			Due, Until time.Time
		}
		if err := json.Unmarshal(r.Data, &timer); err != nil {
			return err
		}
		if r.Kind == "put-off" {
			o.putOff[stream] = timer.Key + " of " + timer.Until.String()
		} else {
			o.reminded[stream] = append(o.reminded[stream], timer.Key+" of "+timer.Due.String())
		}
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
		case one.kind == saidChatter, one.kind == saidLater && o.logged[one.id] == 0: // left alone before it has cooled
		case o.refused[one.id] > 0 || o.straight[one.id] > 0 && o.logged[one.id] == 0 && o.openings[one.id] == 0:
		case o.logged[one.id] == 0 || o.answers(one) == 0:
			out = append(out, one)
		}
	}
	return out
}

// closed says whether a message was told that there is no job in its thread, as the
// opening was not taken, or not yet by the process that heard it first.
func (o *outcome) closed(one saying) bool { return o.unopened[one.id] > 0 }

// noJob begins what is said where there is none.
const noJob = "no job is open here, so nothing was logged.\n"

func (o *outcome) unopenedPosts(root string) int {
	n := 0
	for _, text := range o.posts[root] {
		if strings.HasPrefix(text, noJob) {
			n++
		}
	}
	return n
}

// answers counts the answers to a message; where there is no job they are all alike,
// and counted for each.
func (o *outcome) answers(one saying) int {
	n := 0
	if one.kind == saidLater { // all alike, and counted for each
		for _, text := range o.posts[one.thread] {
			if strings.HasPrefix(text, one.mark) {
				n++
			}
		}
		return n
	}
	if o.closed(one) {
		return o.unopenedPosts(one.thread)
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
		if got := o.unopenedPosts(root); got != want {
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
		if o.closed(one) || one.kind == saidLater {
			answers = 0 // counted by thread
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
	s.wereReminded(o, n)
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

// wereReminded looks whether each break-in was spoken of when it had cooled, and again
// when that was put off, once each.
func (s *sayings) wereReminded(o *outcome, n map[string]int) {
	s.t.Helper()
	late := map[string]int{}
	for _, one := range s.all {
		if one.kind == saidLater {
			late[one.thread] += o.logged[one.id]
		}
	}
	for stream, root := range o.jobs {
		if !slices.Contains(s.drives, root) {
			continue
		}
		posts, told := 0, 0
		for _, text := range o.posts[root] {
			if strings.HasPrefix(text, "@ann it has cooled") || strings.HasPrefix(text, "@ann still to be driven") {
				posts++
			}
			if strings.HasPrefix(text, "i come back to it at") {
				told++
			}
		}
		said := o.reminded[stream]
		n["reminded"] += posts
		once := map[string]bool{}
		for _, r := range said {
			if once[r] {
				s.t.Errorf("%s: said twice: %s", stream, r)
			}
			once[r] = true
		}
		if last := o.putOff[stream]; last != "" && !once[last] {
			s.t.Errorf("%s: put off and never said: %s, only %q", stream, last, said)
		}
		if posts != len(said) || len(said) == 0 {
			s.t.Errorf("%s: %d reminders posted, in the log: %q", stream, posts, said)
		}
		if told != late[root] {
			s.t.Errorf("%s: %d answers to %d words to put it off", stream, told, late[root])
		}
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

// firstLine is the first line of an answer, without whom it calls.
func firstLine(text string) string {
	line, _, _ := strings.Cut(text, "\n")
	for strings.HasPrefix(line, "@") {
		_, line, _ = strings.Cut(line, " ")
	}
	return line
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
		for _, text := range firsts {
			want = append(want, firstLine(text))
		}
		for _, text := range o.posts[root] {
			if !strings.HasPrefix(text, noJob) { // these are counted
				got = append(got, firstLine(text))
			}
		}
		if !slices.Equal(want, got) {
			s.t.Errorf("%s: the answers are not those of the log in their order:\nlog    %q\nposted %q", stream, want, got)
		}
	}
}
