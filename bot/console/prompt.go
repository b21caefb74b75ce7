package console

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strings"

	"shimwright/bot"
)

// maxBytes is how much of a line is read at all.
const maxBytes = 1 << 20

// Colours of a terminal.
const (
	dim, bold, plain = "\x1b[2m", "\x1b[1m", "\x1b[0m"
)

// Run shows where one is, delivers what was not taken before, and then takes lines
// until they end, "quit", or the end of ctx. With a script it plays that.
func (c *Console) Run(ctx context.Context, deliver bot.Deliver) error {
	if c.script != nil {
		return c.play(ctx, deliver)
	}
	c.begin()
	if err := c.catchUp(ctx, deliver); err != nil {
		return c.leave(ctx, err)
	}
	lines := readLines(ctx, c.o.In)
	for {
		c.prompt()
		var got typed
		select {
		case <-ctx.Done():
			return c.leave(ctx, nil)
		case got = <-lines:
		}
		c.mu.Lock()
		c.prompted = false
		c.mu.Unlock()
		switch {
		case errors.Is(got.err, io.EOF):
			return c.leave(ctx, nil)
		case errors.Is(got.err, errLong):
			c.echo("…")
			c.hint(fmt.Sprintf("that line has more than %d bytes and was not sent", maxBytes))
			continue
		case got.err != nil:
			return c.leave(ctx, got.err)
		}
		c.echo(got.text)
		in, err := parseLine(got.text, c.o.People)
		if err != nil {
			c.hint(err.Error())
			continue
		}
		if in.quit {
			return nil
		}
		if err := c.obey(ctx, in, deliver); err != nil {
			return c.leave(ctx, err)
		}
	}
}

// leave ends the last line.
func (c *Console) leave(ctx context.Context, err error) error {
	if c.o.Terminal {
		fmt.Fprintln(c.o.Out)
	}
	if ctx.Err() != nil {
		return nil
	}
	return err
}

// begin shows the first lines and the end of the history, and lets posts through.
func (c *Console) begin() {
	c.mu.Lock()
	defer c.mu.Unlock()
	for _, text := range c.o.Intro {
		fmt.Fprintln(c.o.Out, text)
	}
	c.showTail()
	close(c.ready)
}

// saidRows shows what somebody said before.
func saidRows(in inRecord) []string {
	if in.File == "" {
		return strings.Split(visible(in.Text), "\n")
	}
	return strings.Split(strings.TrimSpace(visible("[photo "+filepath.Base(in.File)+"] "+in.Text)), "\n")
}

func place(r record) bot.Place {
	if r.Out != nil {
		return r.Out.Place
	}
	return r.In.Place
}

func (c *Console) placeName() string {
	if title := c.history.titles[c.history.here]; title != "" {
		return title
	}
	if isPrivate(c.history.here) {
		return "what " + string(c.history.here)[1:] + " alone is told"
	}
	return "the " + string(c.history.here)
}

// catchUp delivers what was said and not taken when the program ended.
func (c *Console) catchUp(ctx context.Context, deliver bot.Deliver) error {
	c.mu.Lock()
	open := append([]inRecord(nil), c.history.open...)
	c.mu.Unlock()
	for _, in := range open {
		if _, err := c.deliver(ctx, in, deliver); err != nil {
			return err
		}
	}
	return c.o.Settle(ctx)
}

// obey does what a line says.
func (c *Console) obey(ctx context.Context, in input, deliver bot.Deliver) error {
	if in.clock != "" {
		return c.setClock(ctx, in.clock)
	}
	if there, err := c.turnTo(in); !there || err != nil || in.silent() {
		return err
	}
	if in.file != "" {
		var err error
		if in.file, err = c.find(in.file); err != nil {
			c.hint(err.Error() + ": not sent")
			return nil
		}
	}
	if n := len([]rune(in.text)); n > maxLine {
		c.hint(fmt.Sprintf("that line has %d characters and this chat takes %d: not sent, nothing logged", n, maxLine))
		return nil
	}
	c.mu.Lock()
	who, edits := c.history.who, bot.MessageID("")
	if in.edit {
		edits = c.lastSaid[who]
	}
	c.mu.Unlock()
	if in.edit && edits == "" {
		c.hint(who + " has said nothing yet that could be edited")
		return nil
	}
	record, err := c.said(who, in, edits)
	if err != nil {
		c.hint("not sent: the chat's history cannot be written: " + err.Error())
		return nil
	}
	posts, err := c.deliver(ctx, record, deliver)
	if ctx.Err() != nil {
		return err
	}
	if err != nil {
		c.hint("not taken yet: " + err.Error() + "; it is tried again at the next start")
		return nil
	}
	if posts == 0 {
		c.hint("not for the assistant: nothing logged")
	}
	return nil
}

// turnTo makes somebody else the speaker, or goes to another place; false where
// there is no such place.
func (c *Console) turnTo(in input) (bool, error) {
	if in.as == "" && in.place == "" {
		return true, nil
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	next := hereRecord{Place: c.history.here, Who: c.history.who}
	if in.as != "" {
		next.Who = in.as
	}
	if in.place != "" {
		next.Place = bot.Place(in.place)
		if _, ok := c.history.titles[next.Place]; !ok && next.Place != Shop && !isPrivate(next.Place) {
			c.hintLocked("there is no thread " + in.place + " here; jobs lists the jobs, switch and a number goes to one")
			return false, nil
		}
	}
	if in.as != "" && in.place == "" && isPrivate(c.history.here) && c.history.here != private(in.as) {
		next.Place = Shop // nobody else reads there
	}
	if next.Place == c.history.here && next.Who == c.history.who {
		return true, nil
	}
	came := isPrivate(next.Place) && next.Place != c.history.here
	if err := c.history.append(record{Here: &next}); err != nil || !came {
		return true, err
	}
	c.showTail()
	return true, nil
}

// showTail shows the end of what was said at the place one is at.
func (c *Console) showTail() {
	var last []record
	for _, r := range c.history.lines {
		if place(r) == c.history.here {
			last = append(last, r)
		}
	}
	if c.script != nil { // what was said there stands in it
		last = slices.DeleteFunc(last, func(r record) bool { return r.Out == nil })
	} else if len(last) > 0 {
		c.hintLocked("before, in " + c.placeName() + ":")
	}
	for _, r := range last[max(0, len(last)-tail):] {
		if r.Out != nil {
			c.show(line{place: r.Out.Place, who: "bot", rows: r.Out.Rows, old: true})
		} else {
			c.show(line{place: r.In.Place, who: r.In.Who, rows: saidRows(*r.In), old: true})
		}
	}
}

func (c *Console) setClock(ctx context.Context, by string) error {
	if by != "?" {
		d, err := shift(by)
		if err != nil {
			return err
		}
		all := c.o.Clock.Shift(d)
		c.mu.Lock()
		err = c.history.append(record{Clock: &all})
		c.mu.Unlock()
		if err != nil {
			return err
		}
		if err := c.o.Settle(ctx); err != nil {
			return err
		}
	}
	c.hint("it is " + c.o.Clock.Now().Format("Mon 2 Jan 2006 15:04"))
	return nil
}

// prompt stands before what is typed; without a terminal it comes with the line.
func (c *Console) prompt() {
	c.mu.Lock()
	defer c.mu.Unlock()
	if !c.o.Terminal {
		return
	}
	fmt.Fprint(c.o.Out, c.painted(bold, c.promptText()))
	c.prompted = true
}

func (c *Console) promptText() string {
	if c.history.here == Shop {
		return c.history.who + "> "
	}
	return c.history.who + " " + string(c.history.here) + "> "
}

// echo shows a line that was not typed on a terminal.
func (c *Console) echo(text string) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if !c.o.Terminal {
		if r := []rune(text); len(r) > 200 {
			text = string(r[:200]) + "…"
		}
		fmt.Fprintln(c.o.Out, strings.TrimRight(c.promptText()+visible(text), " "))
	}
}

// print shows a message below what stands there.
func (c *Console) print(l line) {
	if c.prompted {
		fmt.Fprint(c.o.Out, "\r\x1b[K")
	}
	for _, row := range rowsOf(l, c.history.here) {
		switch {
		case l.old:
			row = c.painted(dim, row)
		case l.who == "bot":
			name, text, _ := strings.Cut(row, ">")
			row = c.painted(bold, name+">") + text
		}
		fmt.Fprintln(c.o.Out, row)
	}
	if c.prompted {
		fmt.Fprint(c.o.Out, c.painted(bold, c.promptText()))
	}
}

// rowsOf puts who speaks before each row, and the place where it is not the one
// people are at.
func rowsOf(l line, here bot.Place) []string {
	name := l.who
	if l.place != here {
		name += " " + string(l.place)
	}
	out := make([]string, len(l.rows))
	for i, row := range l.rows {
		out[i] = strings.TrimRight(name+"> "+row, " ")
	}
	return out
}

// hint says something that comes from the console and not from the chat.
func (c *Console) hint(text string) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.hintLocked(text)
}

func (c *Console) hintLocked(text string) {
	fmt.Fprintln(c.o.Out, c.painted(dim, "("+text+")"))
}

func (c *Console) painted(how, text string) string {
	if !c.o.Color {
		return text
	}
	return how + text + plain
}

// typed is a line that was read, or why there is none.
type typed struct {
	text string
	err  error
}

var errLong = errors.New("the line is too long")

// readLines reads lines until the end of the input or of ctx. A read that waits
// for a person cannot be broken off: it is left behind.
func readLines(ctx context.Context, in io.Reader) <-chan typed {
	lines := make(chan typed)
	go func() {
		r := bufio.NewReaderSize(in, 64<<10)
		for {
			text, err := readLine(r)
			select {
			case lines <- typed{text, err}:
			case <-ctx.Done():
				return
			}
			if err != nil && !errors.Is(err, errLong) {
				return
			}
		}
	}()
	return lines
}

// readLine reads one line, the last one without a line end too. A line that is too
// long is read to its end and dropped.
func readLine(r *bufio.Reader) (string, error) {
	var b []byte
	long := false
	for {
		part, err := r.ReadSlice('\n')
		if long = long || len(b)+len(part) > maxBytes; !long {
			b = append(b, part...)
		}
		switch {
		case errors.Is(err, bufio.ErrBufferFull):
			continue
		case long && (err == nil || errors.Is(err, io.EOF)):
			return "", errLong
		case errors.Is(err, io.EOF) && len(b) > 0:
			return string(b), nil
		}
		return strings.TrimRight(string(b), "\r\n"), err
	}
}
