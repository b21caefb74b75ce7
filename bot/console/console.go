// Package console is a shop's group chat on a terminal, for one person who plays
// all of them, and for scripts. It is a chat platform like the others: it keeps a
// history, hands each line out until it is taken, and shows nothing twice. What is
// printed is a view of the history; killed at any moment, it goes on from there.
package console

import (
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"

	"shimwright/bot"
	"shimwright/bot/store"
)

// Name is how accounts and the log call this platform.
const Name = "console"

// Shop is the place outside of all jobs.
const Shop bot.Place = "shop"

// maxLine is how many characters a line may have, as on other platforms.
const maxLine = 16_000

// tail is how much of the history is shown when one comes back.
const tail = 8

// Options is what a Console is made of.
type Options struct {
	Folder string // where history and pictures are kept; empty: they are not
	// Pictures is where the files of "photo FILE" are named from; empty: from where the
	// program runs.
	Pictures string
	People   []string
	Clock    *Clock
	In       io.Reader
	Out      io.Writer
	// Terminal says that a person types into In and reads Out: what is typed shows
	// by itself, and a prompt stands there.
	Terminal bool
	Color    bool
	Intro    []string                    // first lines
	Settle   func(context.Context) error // waits until what is due is sent
}

// Console is the adapter.
type Console struct {
	o       Options
	ready   chan struct{} // closed once posts may be shown
	script  *Script       // played instead of reading In
	verdict Verdict

	mu       sync.Mutex
	history  *history
	show     func(line)
	posts    int  // shown so far
	prompted bool // the cursor stands behind a prompt
	lastSaid map[string]bot.MessageID
	newID    func() bot.MessageID
}

// line is one message in the history.
type line struct {
	place bot.Place
	who   string
	rows  []string
	old   bool // from before this start
}

// New opens the console; with a folder it takes up the history there.
func New(o Options) (*Console, error) {
	if len(o.People) == 0 {
		return nil, fmt.Errorf("a console needs people")
	}
	h, err := openHistory(o.Folder)
	if err != nil {
		return nil, err
	}
	c := &Console{
		o: o, ready: make(chan struct{}), history: h, lastSaid: map[string]bot.MessageID{},
		newID: func() bot.MessageID { return bot.MessageID("c" + store.NewID()[:12]) },
	}
	if !slices.Contains(o.People, h.who) {
		h.who = o.People[0]
	}
	if h.here == "" {
		h.here = Shop
	}
	o.Clock.Shift(h.clock)
	c.show = c.print
	return c, nil
}

// Close closes the history.
func (c *Console) Close() error { return c.history.close() }

// Limits is what one post may hold.
func (c *Console) Limits() bot.Limits { return bot.Limits{Text: maxLine} }

// FileLimits is what one post takes in files.
func (c *Console) FileLimits() (count, bytes int) { return 10, 10 << 20 }

// Send shows a post, once for a nonce.
func (c *Console) Send(ctx context.Context, to bot.Place, p bot.Post, nonce string) (bot.MessageID, error) {
	select {
	case <-c.ready:
	case <-ctx.Done():
		return "", ctx.Err()
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	id := bot.MessageID("b" + nonce)
	if c.history.shown[nonce] {
		return id, nil
	}
	rows, err := c.rows(p, nonce)
	if err != nil {
		return "", err
	}
	// First the history, then the screen: what is cut off between the two is shown
	// with the history at the next start.
	if err := c.history.append(record{Out: &outRecord{Nonce: nonce, Place: to, Rows: rows}}); err != nil {
		return "", err
	}
	if isPrivate(to) && c.history.here != to {
		return id, nil // seen when they go there
	}
	c.posts++
	c.show(line{place: to, who: "bot", rows: rows})
	return id, nil
}

// rows writes a post in lines; pictures are saved, and told in words.
func (c *Console) rows(p bot.Post, nonce string) ([]string, error) {
	text := p.Text
	if len(p.Ping) > 0 {
		names := make([]string, len(p.Ping))
		for i, id := range p.Ping {
			names[i] = "@" + string(id)
		}
		text = strings.Join(names, " ") + " " + text
	}
	rows := strings.Split(text, "\n")
	if text == "" {
		rows = nil
	}
	for _, f := range p.Files {
		name := f.Name
		if c.o.Folder != "" && c.script == nil {
			saved, err := c.save(f, nonce)
			if err != nil {
				return nil, err
			}
			name = saved
		}
		kind := "file"
		if strings.HasPrefix(f.Type, "image/") {
			kind = "picture"
		}
		rows = append(rows, "["+kind+" "+name+": "+brief(f.Alt)+"]")
	}
	for i := range rows {
		rows[i] = visible(rows[i])
	}
	return rows, nil
}

// mostAlt is how much of a picture's words a line of the console takes; the picture
// itself, and the answer above it, say the rest.
const mostAlt = 120

// brief cuts the words for a picture behind the last whole fact that fits.
func brief(alt string) string {
	if len(alt) <= mostAlt {
		return alt
	}
	cut := strings.LastIndex(alt[:mostAlt], "; ")
	if cut < 0 {
		cut = strings.LastIndexByte(alt[:mostAlt], ' ')
	}
	if cut < 0 {
		return alt
	}
	return alt[:cut] + " …"
}

// save writes a picture under a name that stays the same when it is sent again.
func (c *Console) save(f bot.File, nonce string) (string, error) {
	folder := filepath.Join(c.o.Folder, "pictures")
	if err := os.MkdirAll(folder, 0o700); err != nil {
		return "", err
	}
	ext := filepath.Ext(f.Name)
	name := filepath.Join(folder, strings.TrimSuffix(filepath.Base(f.Name), ext)+"-"+nonce[:min(8, len(nonce))]+ext)
	return name, os.WriteFile(name, f.Data, 0o600)
}

// OpenThread opens a thread and takes everybody there.
func (c *Console) OpenThread(_ context.Context, _ bot.Place, below bot.MessageID, about bot.Topic) (bot.Place, error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if place, ok := c.history.threads[below]; ok {
		return place, nil
	}
	place := bot.Place("#" + strconv.Itoa(about.Job))
	if err := c.history.append(record{Thread: &threadRecord{Place: place, Below: below, Title: visible(about.Title)}}); err != nil {
		return "", err
	}
	return place, c.move(place)
}

// Direct gives what a person alone is told; see bot.Direct. It shows once one is there:
// "@mentor>" goes there as that person.
func (c *Console) Direct(_ context.Context, who bot.UserID) (bot.Place, error) {
	if !slices.Contains(c.o.People, string(who)) {
		return "", fmt.Errorf("%w: there is no %q here", bot.ErrRefused, who)
	}
	return private(string(who)), nil
}

// Unnoticed says that nobody is notified of what is said to them alone: it is one
// terminal for all.
func (c *Console) Unnoticed() bool { return true }

// private is the place of what a person alone is told.
func private(who string) bot.Place { return bot.Place("@" + who) }

func isPrivate(at bot.Place) bool { return strings.HasPrefix(string(at), "@") }

// Show takes everybody to a place.
func (c *Console) Show(_ bot.UserID, at bot.Place) {
	c.mu.Lock()
	defer c.mu.Unlock()
	// Where the history cannot be written the place is right until the next start.
	_ = c.move(at)
}

func (c *Console) move(to bot.Place) error {
	if c.history.here == to {
		return nil
	}
	return c.history.append(record{Here: &hereRecord{Place: to, Who: c.history.who}})
}

// said records a line somebody types, until it is taken.
func (c *Console) said(who string, said input, edits bot.MessageID) (inRecord, error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	id := c.newID()
	in := inRecord{ID: id, At: c.o.Clock.Now(), Place: c.history.here, Who: who, Text: said.text, Edits: edits, File: said.file}
	err := c.history.append(record{In: &in})
	if err == nil && edits == "" {
		c.lastSaid[who] = id
	}
	return in, err
}

// deliver hands a line out and notes that it was taken. It says how many posts
// came of it.
func (c *Console) deliver(ctx context.Context, in inRecord, deliver bot.Deliver) (posts int, err error) {
	c.mu.Lock()
	before := c.posts
	c.mu.Unlock()
	m := bot.Message{Place: Shop, Author: bot.UserID(in.Who), ID: in.ID, EditOf: in.Edits, At: in.At, Text: in.Text}
	switch {
	case isPrivate(in.Place):
		m.Place, m.Addressed = in.Place, true
	case in.Place != Shop:
		m.Thread = in.Place
	}
	if in.File != "" {
		m.Files = []bot.Attachment{attached(in.File)}
	}
	if err := deliver(ctx, m); err != nil {
		return 0, err
	}
	c.mu.Lock()
	err = c.history.append(record{Ack: in.ID})
	c.mu.Unlock()
	if err != nil {
		return 0, err
	}
	if err := c.o.Settle(ctx); err != nil {
		return 0, err
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.posts - before, nil
}

// attached is a picture on this machine.
func attached(file string) bot.Attachment {
	a := bot.Attachment{Name: filepath.Base(file), Type: "image/*", Open: func(context.Context) (io.ReadCloser, error) { return os.Open(file) }}
	if info, err := os.Stat(file); err == nil {
		a.Size = info.Size()
	}
	return a
}

// find gives a picture's whole path, from the folder that files are named from. The
// error says that it is not there.
func (c *Console) find(file string) (string, error) {
	if !filepath.IsAbs(file) {
		file = filepath.Join(c.o.Pictures, file)
	}
	file, err := filepath.Abs(file)
	if err != nil {
		return "", err
	}
	switch info, err := os.Stat(file); {
	case err != nil:
		return "", fmt.Errorf("there is no picture %s", file)
	case !info.Mode().IsRegular():
		return "", fmt.Errorf("%s is no file", file)
	}
	return file, nil
}

// visible makes a text harmless for a terminal.
func visible(text string) string {
	return strings.Map(func(r rune) rune {
		if r < ' ' || r >= 0x7f && r < 0xa0 {
			return '\uFFFD'
		}
		return r
	}, strings.ToValidUTF8(text, "\uFFFD"))
}
