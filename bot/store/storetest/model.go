package storetest

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"shimwright/bot/store"
)

// model is what the contract says, in the plainest way that can be written: lists
// and loops, no index. Where the contract leaves a choice (which of the waiting
// streams, how many items of a run) it only says whether what the backend did is
// allowed.
type model struct {
	streams map[string]*modelStream
	now     time.Time
}

type modelStream struct {
	events  [][]byte
	items   []modelItem // in order
	added   int
	token   string
	until   time.Time
	claimed []string
}

type modelItem struct {
	store.Item
	seq  int
	hold time.Time
}

func (m *model) stream(name string) *modelStream {
	if m.streams[name] == nil {
		m.streams[name] = &modelStream{}
	}
	return m.streams[name]
}

func (s *modelStream) find(id string) int {
	return slices.IndexFunc(s.items, func(it modelItem) bool { return it.ID == id })
}

// passed says whether a wait until t is over: reached, or so far ahead that it was
// set under another clock.
func (m *model) passed(t time.Time) bool {
	return !t.After(m.now) || t.After(m.now.Add(store.MaxHold+store.ClockSlip))
}

// commit does the batch and gives the version or the error.
func (m *model) commit(b store.Batch) (uint64, error) {
	s := m.stream(b.Stream)
	if b.Expect != store.Any && b.Expect != uint64(len(s.events)) {
		return 0, store.ErrConflict
	}
	ids := map[string]bool{}
	for _, it := range s.items {
		if !slices.Contains(b.Done, it.ID) && !slices.Contains(b.Cancel, it.ID) {
			ids[it.ID] = true
		}
	}
	for _, it := range b.Queue {
		if ids[it.ID] {
			return 0, store.ErrDuplicate
		}
		ids[it.ID] = true
	}
	s.items = slices.DeleteFunc(s.items, func(it modelItem) bool {
		return slices.Contains(b.Done, it.ID) || slices.Contains(b.Cancel, it.ID)
	})
	if s.token != "" && s.token == b.Lease {
		if b.Retry != nil {
			if i := s.find(b.Retry.ID); i >= 0 {
				s.items[i].Attempts++
				s.items[i].hold = b.Retry.Due
				if most := m.now.Add(store.MaxHold); most.Before(b.Retry.Due) {
					s.items[i].hold = most
				}
			}
		}
		if b.Retry != nil || b.Release || !slices.ContainsFunc(s.claimed, func(id string) bool { return s.find(id) >= 0 }) {
			s.token, s.claimed = "", nil
		}
	}
	for _, r := range b.Replace {
		s.events[r.Version-1] = r.Event
	}
	s.events = append(s.events, b.Events...)
	for _, it := range b.Queue {
		it.Stream = b.Stream
		s.added++
		s.items = append(s.items, modelItem{Item: it, seq: s.added})
	}
	slices.SortFunc(s.items, func(a, b modelItem) int {
		if c := a.Due.Compare(b.Due); c != 0 { // the zero time comes first
			return c
		}
		return a.seq - b.seq
	})
	if b.Take != "" && s.token == "" {
		for _, it := range s.items {
			added := slices.ContainsFunc(b.Queue, func(q store.Item) bool { return q.ID == it.ID })
			if !added || it.Due.After(m.now) || len(s.claimed) == store.RunLimit {
				break
			}
			s.claimed = append(s.claimed, it.ID)
		}
		if len(s.claimed) > 0 {
			s.token, s.until = b.Take, m.now.Add(b.TakeFor)
		}
	}
	return uint64(len(s.events)), nil
}

// told is what a commit says beside the version.
func (m *model) told(b store.Batch) (told store.Told) {
	s := m.stream(b.Stream)
	if b.Take != "" && (s.token == b.Take || s.token != "" && s.token == b.Told.Lease) {
		told.Taken = s.claimed
	}
	told.Ready = len(m.run(s)) > 0
	return told
}

// run is what may be claimed of a stream.
func (m *model) run(s *modelStream) (run []store.Item) {
	if s.token != "" && !m.passed(s.until) {
		return nil
	}
	for _, it := range s.items {
		if it.Due.After(m.now) || !m.passed(it.hold) {
			break
		}
		if s.token != "" && slices.Contains(s.claimed, it.ID) {
			it.Attempts++
		}
		run = append(run, it.Item)
	}
	return run
}

// claimed checks what the backend handed out and takes it over.
func (m *model) claimed(items []store.Item, length time.Duration, limit int) error {
	able := 0
	for _, s := range m.streams {
		if len(m.run(s)) > 0 {
			able++
		}
	}
	if able > 0 && len(items) == 0 {
		return fmt.Errorf("nothing was claimed and %d streams have something due", able)
	}
	if len(items) > limit {
		return fmt.Errorf("%d items were claimed with limit %d", len(items), limit)
	}
	seen := map[string]bool{}
	for got := range runs(items) {
		name := got[0].Stream
		if seen[name] {
			return fmt.Errorf("items of %s do not stand together", name)
		}
		seen[name] = true
		s := m.stream(name)
		want := m.run(s)
		if len(got) > len(want) || len(got) > store.RunLimit {
			return fmt.Errorf("claimed %q of %s, at most %q can be", idsOf(got), name, idsOf(want))
		}
		if s.token != "" { // lost now, also for those not handed out again
			for i := range s.items {
				if slices.Contains(s.claimed, s.items[i].ID) {
					s.items[i].Attempts++
				}
			}
		}
		s.token, s.until, s.claimed = got[0].Lease, m.now.Add(length), idsOf(got)
		if s.token == "" {
			return fmt.Errorf("%s was claimed without a token", name)
		}
		for i := range got {
			if got[i].Lease != s.token {
				return fmt.Errorf("items of %s have several tokens", name)
			}
			got[i].Lease = ""
		}
		if d := cmp.Diff(want[:len(got)], got); d != "" {
			return fmt.Errorf("claimed of %s:\n%s", name, d)
		}
	}
	return nil
}

// next is the earliest time at which something can be claimed.
func (m *model) next() (next time.Time, found bool) {
	for _, s := range m.streams {
		if len(s.items) == 0 {
			continue
		}
		at := s.items[0].Due
		if hold := s.items[0].hold; hold.After(at) && !m.passed(hold) {
			at = hold
		}
		if s.token != "" && s.until.After(at) && !m.passed(s.until) {
			at = s.until
		}
		if !found || at.Before(next) {
			next, found = at, true
		}
	}
	return next, found
}

// modelTime bounds the search on backends that are slow to test.
const modelTime = 4 * time.Second

// testModel drives backend and model side by side.
func testModel(tt *testing.T, open Open) {
	count, cut, start := 0, 0, time.Now()
	defer func() { tt.Logf("%d runs, and %d left out after %v", count, cut, modelTime) }()
	rapid.Check(tt, func(t *rapid.T) {
		if !tt.Failed() && count >= 20 && time.Since(start) > modelTime {
			cut++
			return
		}
		count++
		m := &machine{
			model:   &model{streams: map[string]*modelStream{}, now: newClock().now()},
			backend: open(tt, fmt.Sprintf("model%d", count)),
			names:   []string{"a", "b", "c/1", "c/2"},
		}
		defer m.backend.Close()
		m.store = store.New(m.backend, func() time.Time { return m.model.now })
		t.Repeat(map[string]func(*rapid.T){
			"":       m.check,
			"commit": m.commit,
			"finish": m.finish,
			"claim":  m.claim,
			"extend": m.extend,
			"repeat": m.repeat,
			"clock":  m.clock,
		})
	})
}

type machine struct {
	model   *model
	backend store.Backend
	store   *store.Store
	names   []string
	tokens  []store.Item // of past claims, current or lost
	last    *store.Batch // the last that was committed with events
	version uint64
}

func (m *machine) commit(t *rapid.T) {
	name := rapid.SampledFrom(m.names).Draw(t, "stream")
	b := store.Batch{ID: store.NewID(), Stream: name, Expect: uint64(len(m.model.stream(name).events))}
	switch rapid.IntRange(0, 9).Draw(t, "expect") {
	case 0:
		b.Expect = rapid.Uint64Range(0, 5).Draw(t, "at")
	case 1, 2:
		b.Expect = store.Any
	}
	for range rapid.IntRange(1, 3).Draw(t, "events") {
		b.Events = append(b.Events, rapid.SliceOfN(rapid.Byte(), 0, 5).Draw(t, "event"))
	}
	for range rapid.IntRange(0, 3).Draw(t, "items") {
		it := store.Item{ID: rapid.StringMatching(`[a-f][0-9]`).Draw(t, "id"), Kind: "k", Body: b.Events[0]}
		if !rapid.Bool().Draw(t, "at once") {
			it.Due = m.model.now.Add(time.Duration(rapid.IntRange(-3, 5).Draw(t, "due")) * time.Minute)
		}
		it.Attempts = rapid.SampledFrom([]int{0, 0, 0, 2}).Draw(t, "attempts")
		b.Queue = append(b.Queue, it)
	}
	if waiting := m.model.stream(name).items; len(waiting) > 0 && rapid.Bool().Draw(t, "withdraw") {
		b.Cancel = append(b.Cancel, rapid.SampledFrom(waiting).Draw(t, "item").ID)
	}
	if rapid.Bool().Draw(t, "take") {
		b.Take, b.TakeFor = store.NewID(), time.Duration(rapid.IntRange(1, 15).Draw(t, "lease"))*time.Minute
	}
	if n := len(m.model.stream(name).events); n > 0 && b.Expect == uint64(n) && rapid.IntRange(0, 3).Draw(t, "replace") == 0 {
		// Not the last batch: a repeat of what was replaced is another one.
		at := rapid.Uint64Range(1, uint64(n)).Draw(t, "version")
		if m.last == nil || m.last.Stream != name || at <= m.version-uint64(len(m.last.Events)) || at > m.version {
			b.Replace = []store.Replacement{{Version: at, Event: rapid.SliceOfN(rapid.Byte(), 0, 5).Draw(t, "other")}}
		}
	}
	m.do(t, b)
}

// finish says something about a claimed item, perhaps of a lost claim.
func (m *machine) finish(t *rapid.T) {
	if len(m.tokens) == 0 {
		t.Skip("nothing claimed yet")
	}
	it := m.tokens[len(m.tokens)-1-rapid.IntRange(0, min(len(m.tokens)-1, 6)).Draw(t, "claim")]
	b := store.Batch{ID: store.NewID(), Stream: it.Stream, Expect: store.Any, Lease: it.Lease}
	switch rapid.IntRange(0, 5).Draw(t, "how") {
	case 0:
		b.Retry = &store.Retry{ID: it.ID, Due: m.model.now.Add(time.Duration(rapid.IntRange(-1, 30).Draw(t, "in")) * time.Minute)}
	case 1:
		b.Release = true
	case 2:
		b.Done = []string{it.ID}
		b.Events = [][]byte{[]byte("sent")}
	case 3: // by somebody without the lease
		b.Done, b.Lease = []string{it.ID}, ""
	default:
		b.Done = []string{it.ID}
	}
	m.do(t, b)
}

func (m *machine) do(t *rapid.T, b store.Batch) {
	want, wantErr := m.model.commit(b)
	b.Told = &store.Told{}
	got, err := m.store.Commit(context.Background(), b)
	if got != want || !errors.Is(err, wantErr) {
		t.Fatalf("commit gave version %d, error %v; want %d, %v\n%+v", got, err, want, wantErr, b)
	}
	if err == nil {
		told := m.model.told(b)
		if !slices.Equal(b.Told.Taken, told.Taken) || len(b.Told.Items) != len(told.Taken) || b.Told.Ready && !told.Ready {
			t.Fatalf("told %+v, want %+v\n%+v", *b.Told, told, b)
		}
		if !b.Told.Ready && told.Ready && len(b.Queue)+len(b.Done) > 0 {
			t.Fatalf("the commit left something to be claimed and does not say so\n%+v", b)
		}
		if len(told.Taken) > 0 {
			m.model.stream(b.Stream).token = b.Told.Lease
		}
		m.tokens = append(m.tokens, b.Told.Items...)
	}
	if err == nil && len(b.Events) > 0 {
		m.last, m.version = &b, got
	}
}

// repeat commits the last batch again, as after a lost answer.
func (m *machine) repeat(t *rapid.T) {
	if m.last == nil {
		t.Skip("nothing committed yet")
	}
	told := m.model.told(*m.last)
	if got, err := m.store.Commit(context.Background(), *m.last); err != nil || got != m.version {
		t.Fatalf("repeated commit gave version %d, error %v; want %d", got, err, m.version)
	}
	if !slices.Equal(m.last.Told.Taken, told.Taken) {
		t.Fatalf("repeated commit took %q, want %q", m.last.Told.Taken, told.Taken)
	}
}

func (m *machine) claim(t *rapid.T) {
	length := time.Duration(rapid.IntRange(1, 15).Draw(t, "lease")) * time.Minute
	limit := rapid.IntRange(1, 8).Draw(t, "limit")
	items, err := m.store.Claim(context.Background(), length, limit)
	if err != nil {
		t.Fatal(err)
	}
	m.tokens = append(m.tokens, slices.Clone(items)...)
	if err := m.model.claimed(items, length, limit); err != nil {
		t.Fatal(err)
	}
	if len(items) == 0 {
		if at, ok, _ := m.store.NextDue(context.Background()); ok && !at.After(m.model.now) {
			t.Fatal("nothing was claimed and the next is due now: a sender would spin")
		}
	}
}

func (m *machine) extend(t *rapid.T) {
	if len(m.tokens) == 0 {
		t.Skip("nothing claimed yet")
	}
	it := rapid.SampledFrom(m.tokens).Draw(t, "claim")
	err := m.store.Extend(context.Background(), it, 2*time.Minute)
	s := m.model.stream(it.Stream)
	if held := s.token == it.Lease; !held {
		if !errors.Is(err, store.ErrLost) {
			t.Fatalf("extending a lost lease: %v", err)
		}
		return
	}
	if err != nil {
		t.Fatal(err)
	}
	s.until = m.model.now.Add(2 * time.Minute)
}

func (m *machine) clock(t *rapid.T) {
	minutes := rapid.OneOf(rapid.IntRange(0, 5), rapid.IntRange(0, 5), rapid.IntRange(-90, 90)).Draw(t, "minutes")
	m.model.now = m.model.now.Add(time.Duration(minutes) * time.Minute)
}

// check compares all that can be read.
func (m *machine) check(t *rapid.T) {
	ctx := context.Background()
	var names []string
	for _, name := range m.names {
		s := m.model.stream(name)
		if len(s.events) > 0 {
			names = append(names, name)
		}
		after := uint64(len(s.events) / 2)
		events, err := m.store.Events(ctx, name, after)
		if err != nil {
			t.Fatal(err)
		}
		if d := cmp.Diff(s.events[after:], events); d != "" && len(events)+len(s.events[after:]) > 0 {
			t.Fatalf("events of %s:\n%s", name, d)
		}
		items, err := m.store.Waiting(ctx, name)
		if err != nil {
			t.Fatal(err)
		}
		var want []store.Item
		for _, it := range s.items {
			want = append(want, it.Item)
		}
		if d := cmp.Diff(want, items); d != "" && len(want)+len(items) > 0 {
			t.Fatalf("waiting in %s:\n%s", name, d)
		}
	}
	if got, err := m.store.Streams(ctx, "", "", 100); err != nil || !slices.Equal(got, names) {
		t.Fatalf("streams %q, error %v, want %q", got, err, names)
	}
	want, wantOK := m.model.next()
	got, ok, err := m.store.NextDue(ctx)
	// early is allowed, after the clock was stepped back
	if err != nil || ok != wantOK || ok && got.After(want) && got.After(m.model.now) {
		t.Fatalf("next due %v %v, error %v; want %v %v", got, ok, err, want, wantOK)
	}
}
