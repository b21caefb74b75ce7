package mattermost

import (
	"bytes"
	"context"
	"log/slog"
	"net"
	"net/http/httptest"
	"slices"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"github.com/mattermost/mattermost/server/public/model"

	"shimwright/bot"
	"shimwright/bot/bottest"
	"shimwright/bot/mattermost/mmtest"
)

// shop is a server with a channel, two people and the bot account.
type shop struct {
	server    *mmtest.Server
	ann, ben  string
	me, token string
	bay       string
	marks     *memoryMarks
}

func newShop(s *mmtest.Server) *shop {
	h := &shop{server: s, marks: &memoryMarks{}}
	h.ann, _ = s.AddUser("ann", false)
	h.ben, _ = s.AddUser("ben", false)
	h.me, h.token = s.AddUser("shopbot", true)
	h.bay = s.AddChannel("bay", model.ChannelTypePrivate, h.ann, h.ben, h.me)
	return h
}

// memoryMarks are marks that outlive an adapter.
type memoryMarks struct {
	mu   sync.Mutex
	data []byte
	fail error
}

func (m *memoryMarks) Load(context.Context) ([]byte, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	return bytes.Clone(m.data), nil
}

func (m *memoryMarks) Save(_ context.Context, data []byte) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.fail != nil {
		return m.fail
	}
	m.data = bytes.Clone(data)
	return nil
}

// platform is the adapter as bottest sees it.
type platform struct {
	*shop
	callback *httptest.Server
	last     map[bot.UserID]*model.Post
}

func (p *platform) Connect(t *testing.T) bot.Adapter {
	c := Config{URL: p.server.URL, Token: p.token, Marks: p.marks, Now: time.Now, Log: testLog(t)}
	if p.callback != nil {
		c.CallbackURL = p.callback.URL
	}
	a, err := New(c)
	if err != nil {
		t.Fatal(err)
	}
	if p.callback != nil {
		p.server.Allow("127.0.0.1")
		p.server.Reach(a.Handler())
	}
	return a
}

func (p *platform) Say(_ *testing.T, who bot.UserID, text string) bot.MessageID {
	p.last[who] = p.server.Say(string(who), p.bay, "", text)
	return bot.MessageID(p.last[who].Id)
}

func (p *platform) Press(t *testing.T, who bot.UserID, at bot.Place, post bot.MessageID, choice string) string {
	raw := p.server.Raw(string(post))
	for i, c := range offered(raw) {
		if c == choice {
			p.server.Tap(string(who), raw.Id, numbers[i])
			return ""
		}
	}
	for _, a := range mmtest.Actions(raw) {
		if a.Name != choice {
			continue
		}
		for deadline := time.Now().Add(soon); ; time.Sleep(time.Millisecond) {
			told, err := p.server.Press(string(who), raw.Id, a.Id, "")
			if err != nil || time.Now().After(deadline) {
				t.Fatalf("press of %q: %q, %v", choice, told, err)
			}
			if !strings.Contains(told, "not ready") {
				return told
			}
		}
	}
	t.Fatalf("nothing says %q", choice)
	return ""
}

func (p *platform) Attach(_ *testing.T, who bot.UserID, text, name string, data []byte) bot.MessageID {
	return bot.MessageID(p.server.Attach(string(who), p.bay, text, name, data).Id)
}

func (p *platform) Edit(_ *testing.T, who bot.UserID, text string) {
	p.server.Edit(p.last[who].Id, text)
}

func (p *platform) Seen(_ *testing.T, at bot.Place) []bot.Post { return seen(p.server, at) }

// seen is what people see, without what they say themselves.
func seen(s *mmtest.Server, at bot.Place) []bot.Post {
	channel, root, _ := spotOf(at)
	var out []bot.Post
	for _, p := range s.Seen(channel, root) {
		if p.GetProp(propNonce) == nil {
			continue
		}
		post := bot.Post{Text: mmtest.Plain(p.Message)}
		var alts []string
		for _, a := range mmtest.Attachments(p) {
			if a.Text != "" {
				alts = append(alts, mmtest.Plain(a.Text))
			}
			for _, action := range a.Actions {
				if action.Type == model.PostActionTypeButton {
					post.Choices = append(post.Choices, action.Name)
				}
				for _, o := range action.Options {
					post.Choices = append(post.Choices, o.Text)
				}
			}
		}
		if choices := offered(p); len(choices) > 0 {
			post.Choices = choices
			post.Text = strings.TrimSuffix(post.Text, "\n"+bot.ChoiceText(choices))
		}
		for i, id := range p.FileIds {
			name, data := s.FileData(id)
			post.Files = append(post.Files, bot.File{Name: name, Alt: alts[i], Data: data})
		}
		out = append(out, post)
	}
	return out
}

func (p *platform) HangUp(*testing.T) {}

func (p *platform) People() (bot.UserID, bot.UserID) { return bot.UserID(p.ann), bot.UserID(p.ben) }

func TestConformance(t *testing.T) {
	for _, c := range []struct {
		name    string
		buttons bool
	}{{"with buttons", true}, {"without an inbound port", false}} {
		t.Run(c.name, func(t *testing.T) {
			bottest.Run(t, func(t *testing.T) bottest.Platform {
				s := mmtest.New().Start()
				t.Cleanup(s.Close)
				p := &platform{shop: newShop(s), last: map[bot.UserID]*model.Post{}}
				if c.buttons {
					p.callback = httptest.NewServer(nil)
					t.Cleanup(p.callback.Close)
				}
				return p
			})
		})
	}
}

// testLog writes to the test's log, which shows it when the test fails.
func testLog(t *testing.T) *slog.Logger {
	return slog.New(slog.NewTextHandler(&logWriter{t: t}, nil))
}

type logWriter struct {
	t    *testing.T
	mu   sync.Mutex
	over bool
}

func (w *logWriter) Write(p []byte) (int, error) {
	w.mu.Lock()
	defer w.mu.Unlock()
	if !w.over && w.t.Context().Err() == nil {
		w.t.Log(strings.TrimSpace(string(p)))
	}
	return len(p), nil
}

// line is an adapter that runs against a server in memory, in a bubble where time
// passes at once.
type line struct {
	*shop
	t       *testing.T
	dial    dialFunc
	adapter *Adapter
	stop    context.CancelFunc
	ended   chan error
	config  func(*Config)

	mu    sync.Mutex
	heard []bot.Message
	hook  func(context.Context, bot.Message) error
}

type dialFunc = func(ctx context.Context, network, address string) (net.Conn, error)

// bubble runs a test with a shop in memory.
func bubble(t *testing.T, test func(t *testing.T, l *line)) {
	t.Helper()
	synctest.Test(t, func(t *testing.T) {
		s := mmtest.New()
		dial := s.Listen()
		l := &line{shop: newShop(s), t: t, dial: dial}
		defer s.Close()
		defer l.end()
		test(t, l)
	})
}

// start runs a new adapter and waits until it has nothing to do.
func (l *line) start() *line {
	l.t.Helper()
	c := Config{URL: l.server.URL, Token: l.token, Marks: l.marks, Now: time.Now, Log: testLog(l.t), Dial: l.dial}
	if l.config != nil {
		l.config(&c)
	}
	a, err := New(c)
	if err != nil {
		l.t.Fatal(err)
	}
	ctx, stop := context.WithCancel(context.Background())
	l.adapter, l.stop, l.ended = a, stop, make(chan error, 1)
	go func() { l.ended <- a.Run(ctx, l.deliver) }()
	synctest.Wait()
	return l
}

func (l *line) deliver(ctx context.Context, m bot.Message) error {
	l.mu.Lock()
	hook := l.hook
	l.mu.Unlock()
	if hook != nil {
		if err := hook(ctx, m); err != nil {
			return err
		}
	}
	l.mu.Lock()
	defer l.mu.Unlock()
	l.heard = append(l.heard, m)
	return nil
}

func (l *line) onDeliver(f func(context.Context, bot.Message) error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.hook = f
}

// end stops the adapter.
func (l *line) end() error {
	if l.ended == nil {
		return nil
	}
	l.stop()
	err := <-l.ended
	l.ended = nil
	l.adapter.transport.CloseIdleConnections()
	synctest.Wait()
	return err
}

// texts gives what was heard, after everything under way is done.
func (l *line) texts() []string {
	synctest.Wait()
	l.mu.Lock()
	defer l.mu.Unlock()
	out := make([]string, len(l.heard))
	for i, m := range l.heard {
		out[i] = m.Text
	}
	return out
}

func (l *line) messages() []bot.Message {
	synctest.Wait()
	l.mu.Lock()
	defer l.mu.Unlock()
	return slices.Clone(l.heard)
}

func (l *line) same(what string, want ...string) {
	l.t.Helper()
	if got := l.texts(); !slices.Equal(got, want) {
		l.t.Errorf("%s: heard %q, want %q", what, got, want)
	}
}

func (l *line) say(text string) *model.Post { return l.server.Say(l.ann, l.bay, "", text) }

func (l *line) send(to bot.Place, p bot.Post, nonce string) bot.MessageID {
	l.t.Helper()
	id, err := l.adapter.Send(context.Background(), to, p, nonce)
	if err != nil {
		l.t.Fatalf("Send %q: %v", p.Text, err)
	}
	return id
}

func (l *line) seen(root string) []string {
	var out []string
	for _, p := range seen(l.server, placeOf(l.bay, root)) {
		out = append(out, p.Text)
	}
	return out
}
