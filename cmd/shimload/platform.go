package main

import (
	"fmt"
	"math/rand/v2"
	"strconv"
	"strings"
	"sync"
	"time"
)

// slot is a bay of the shop: one job after the other is talked through in it.
type slot struct {
	number   int
	plan     plan
	at       int    // the line said next
	thread   string // of the job that is on
	job      int    // its number, from the answer to the opening
	opening  bool   // nothing can be said before there is a thread
	said     []*question
	answered chan struct{} // told when a message has all its answers, while somebody waits
}

// question is a message whose answers have not all come.
type question struct {
	due     time.Time // when it was to be said
	n       uint64
	line    line
	got     int
	counted bool
}

// counts is what the platform has seen.
type counts struct {
	Said, Taken         uint64
	Posts, Edits        uint64
	Again, Unexpected   uint64 // the same nonce shown before; more posts than the message brings
	Different           uint64 // another text than in the rehearsal
	Opened              uint64
	firstDifferent, why string
}

// platform is the chat platform of the load: it talks in all bays and counts what
// comes back.
type platform struct {
	w      *wire
	exact  bool // compare texts
	people int

	mu      sync.Mutex
	slots   []*slot
	threads map[string]*slot
	below   map[string]*slot // opening messages
	nonces  map[string]string
	last    uint64
	counts  counts
	took    []time.Duration // of counted messages, from due to the last post shown
	count   bool
	open    int // questions without all their answers, and messages not taken
	replies map[byte]chan frame
	changed *sync.Cond
}

func newPlatform(jobs, people int, plans []plan, exact bool) *platform {
	p := &platform{exact: exact, people: people, threads: map[string]*slot{}, below: map[string]*slot{}, nonces: map[string]string{}, replies: map[byte]chan frame{}}
	p.changed = sync.NewCond(&p.mu)
	for i := range jobs {
		p.slots = append(p.slots, &slot{number: i, plan: plans[i%len(plans)]})
	}
	return p
}

// serve answers the bot until it hangs up.
func (p *platform) serve() {
	for {
		f, err := p.w.receive()
		if err != nil {
			p.mu.Lock()
			p.counts.why = err.Error()
			p.changed.Broadcast()
			p.mu.Unlock()
			return
		}
		now := time.Now()
		switch f.op {
		case opTaken:
			p.mu.Lock()
			p.counts.Taken++
			p.changed.Broadcast()
			p.mu.Unlock()
		case opPost:
			p.w.send(frame{op: opAnswer, n: f.n, id: p.post(f, now)})
		case opThread:
			p.w.send(frame{op: opAnswer, n: f.n, id: p.thread(f.id)})
		case opEdit:
			p.mu.Lock()
			p.counts.Edits++
			p.mu.Unlock()
			p.w.send(frame{op: opAnswer, n: f.n, id: f.id})
		default:
			p.mu.Lock()
			c := p.replies[f.op]
			p.mu.Unlock()
			c <- f
		}
	}
}

// thread opens a thread below an opening message, the same when asked again.
func (p *platform) thread(below string) string {
	p.mu.Lock()
	defer p.mu.Unlock()
	s := p.below[below]
	if s == nil {
		return ""
	}
	id := "t-" + below
	s.thread = id
	p.threads[id] = s
	return id
}

// post shows a post and gives its id.
func (p *platform) post(f frame, now time.Time) string {
	p.mu.Lock()
	defer p.mu.Unlock()
	if id, ok := p.nonces[f.id]; ok {
		p.counts.Again++
		return id
	}
	p.counts.Posts++
	id := "p" + strconv.FormatUint(p.counts.Posts, 10)
	p.nonces[f.id] = id
	s := p.threads[f.place]
	if s == nil {
		p.counts.Unexpected++
		p.differs(f.place, "nothing here", f.text)
		return id
	}
	for len(s.said) > 0 && len(s.said[0].line.posts) == 0 {
		s.said = s.said[1:]
	}
	if len(s.said) == 0 {
		p.counts.Unexpected++
		p.differs(f.place, "nothing more", f.text)
		return id
	}
	q := s.said[0]
	if q.got == 0 && s.opening {
		rest, _ := strings.CutPrefix(f.text, "job ")
		digits, _, _ := strings.Cut(rest, " ")
		s.job, _ = strconv.Atoi(digits)
	}
	if want := q.line.posts[q.got]; p.exact && bare(f.text, s.job, personName(s.number%p.people)) != want {
		p.counts.Different++
		p.differs(q.line.text, want, f.text)
	}
	if q.got++; q.got < len(q.line.posts) {
		return id
	}
	s.said, s.opening = s.said[1:], false
	p.open--
	if s.answered != nil {
		s.answered <- struct{}{}
	}
	if q.counted {
		p.took = append(p.took, now.Sub(q.due))
	}
	p.changed.Broadcast()
	return id
}

// differs keeps the first difference for the report. The caller holds mu.
func (p *platform) differs(said, want, got string) {
	if p.counts.firstDifferent == "" {
		p.counts.firstDifferent = fmt.Sprintf("after %q:\nwant %q\n got %q", said, want, got)
	}
}

// say says the next line of a bay that was to be said at due. The caller holds mu.
func (p *platform) say(s *slot, due time.Time) frame {
	l := s.plan[s.at]
	p.last++
	f := frame{op: opSay, n: p.last, who: personName(s.number % p.people), text: l.text, id: "m" + strconv.FormatUint(p.last, 10)}
	f.place = "bench" + strconv.Itoa(s.number/baysPerChannel)
	if s.at == 0 {
		delete(p.threads, s.thread)
		s.opening, s.thread = true, ""
		p.below[f.id] = s
		p.counts.Opened++
	} else {
		f.thread = s.thread
	}
	s.at = (s.at + 1) % len(s.plan)
	p.counts.Said++
	if len(l.posts) > 0 {
		p.open++
		s.said = append(s.said, &question{due: due, n: f.n, line: l, counted: p.count})
	}
	return f
}

// sayAny says the next line of a bay taken at random, passing over those where a job
// is just being opened or closed. Where all are, it waits, and the time counts.
func (p *platform) sayAny(due time.Time) {
	p.mu.Lock()
	s := p.ready()
	for s == nil && p.counts.why == "" {
		p.changed.Wait()
		s = p.ready()
	}
	if s == nil {
		p.mu.Unlock()
		return
	}
	f := p.say(s, due)
	p.mu.Unlock()
	p.w.send(f)
}

// ready gives a bay where something can be said, nil where there is none.
func (p *platform) ready() *slot {
	first := rand.IntN(len(p.slots))
	for i := range p.slots {
		s := p.slots[(first+i)%len(p.slots)]
		if !s.opening && (s.at > 0 || len(s.said) == 0) {
			return s
		}
	}
	return nil
}

// warm opens a job in every bay and talks on to a place in it that is another for each
// bay, about deep lines far, a few bays at the same time.
func (p *platform) warm(deep, atOnce int) error {
	todo := make(chan *slot, len(p.slots))
	for _, s := range p.slots {
		todo <- s
	}
	close(todo)
	var wg sync.WaitGroup
	for range atOnce {
		wg.Go(func() {
			for s := range todo {
				answered := make(chan struct{}, len(s.plan))
				for range min(1+rand.IntN(2*deep), len(s.plan)-1) {
					p.mu.Lock()
					s.answered = answered
					waits := len(s.plan[s.at].posts) > 0
					f := p.say(s, time.Now())
					p.mu.Unlock()
					p.w.send(f)
					if !waits {
						continue
					}
					select {
					case <-answered:
					case <-p.w.gone:
						return
					}
				}
				p.mu.Lock()
				s.answered = nil
				p.mu.Unlock()
			}
		})
	}
	wg.Wait()
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.counts.why != "" {
		return fmt.Errorf("the bot's process hung up: %s", p.counts.why)
	}
	return nil
}

// settle waits until all is taken and answered, and says whether it was in time.
func (p *platform) settle(limit time.Duration) bool {
	late := time.AfterFunc(limit, func() {
		p.mu.Lock()
		defer p.mu.Unlock()
		p.changed.Broadcast()
	})
	defer late.Stop()
	end := time.Now().Add(limit)
	p.mu.Lock()
	defer p.mu.Unlock()
	for (p.open > 0 || p.counts.Taken < p.counts.Said) && p.counts.why == "" && time.Now().Before(end) {
		p.changed.Wait()
	}
	return p.open == 0 && p.counts.Taken == p.counts.Said
}

// ask asks the bot's process for something beside the talk.
func (p *platform) ask(f frame) (frame, error) {
	c := make(chan frame, 1)
	p.mu.Lock()
	p.replies[f.op] = c
	p.mu.Unlock()
	if err := p.w.send(f); err != nil {
		return frame{}, err
	}
	select {
	case r := <-c:
		return r, nil
	case <-p.w.gone:
		return frame{}, fmt.Errorf("the bot's process hung up")
	case <-time.After(2 * time.Minute):
		return frame{}, fmt.Errorf("the bot's process does not answer")
	}
}
