package console

import (
	"context"
	"fmt"
	"strings"

	"shimwright/bot"
)

// Script is a chat to be played: lines of people, and what the assistant is
// expected to say to them.
//
//	# a comment
//	ann> lash 14
//	bot> what the answer should be,
//	bot> line by line
//	clock +26h
//	mentor> looks good
//	ann> photo drive.jpg drive side
//
// Lines of people and "clock" are as they are typed at the prompt. A script without
// a "bot>" line expects nothing.
type Script struct {
	name  string
	lines []scriptLine
	// Expects says whether any line says what the assistant answers.
	Expects bool
}

type scriptLine struct {
	text     string
	expected bool  // a line of the assistant
	input    input // otherwise; empty for comments
	says     bool
}

// ParseScript reads a script. The error names every line that is none.
func ParseScript(name, text string, people []string) (*Script, error) {
	s := &Script{name: name}
	var wrong []string
	text = strings.ReplaceAll(text, "\r\n", "\n")
	for i, row := range strings.Split(strings.TrimSuffix(text, "\n"), "\n") {
		l := scriptLine{text: strings.TrimRight(row, " \t")}
		trimmed := strings.TrimSpace(row)
		switch {
		case trimmed == "", strings.HasPrefix(trimmed, "#") && !prefix.MatchString(trimmed):
		case isBot(trimmed):
			l.expected = true
			s.Expects = true
		default:
			in, err := parseLine(trimmed, people)
			switch {
			case err != nil:
				wrong = append(wrong, fmt.Sprintf("%s:%d: %v", name, i+1, err))
			case in.as == "" && in.place == "" && in.clock == "" && !in.edit:
				wrong = append(wrong, fmt.Sprintf("%s:%d: nobody says %q; begin the line with who speaks: %s> …", name, i+1, clip(trimmed, 40), people[0]))
			}
			l.input, l.says = in, true
		}
		s.lines = append(s.lines, l)
	}
	if len(wrong) > 0 {
		return nil, fmt.Errorf("%s", strings.Join(wrong, "\n"))
	}
	return s, nil
}

func isBot(row string) bool {
	name, _, ok := strings.Cut(row, ">")
	return ok && (name == "bot" || strings.HasPrefix(name, "bot #") || name == "bot "+string(Shop))
}

func clip(text string, n int) string {
	if r := []rune(text); len(r) > n {
		return string(r[:n]) + "…"
	}
	return text
}

// Text is the script as it was read.
func (s *Script) Text() string {
	rows := make([]string, len(s.lines))
	for i, l := range s.lines {
		rows[i] = l.text
	}
	return strings.Join(rows, "\n") + "\n"
}

// Verdict is how a script went.
type Verdict struct {
	Script     *Script
	Transcript string // the script with what the assistant really said
}

// Same says whether the assistant said what was expected.
func (v Verdict) Same() bool { return !v.Script.Expects || v.Transcript == v.Script.Text() }

// NewScript makes a console that plays a script instead of reading lines. Its
// verdict is there when Run has returned without an error.
func NewScript(o Options, s *Script) (*Console, error) {
	c, err := New(o)
	if err != nil {
		return nil, err
	}
	c.script = s
	return c, nil
}

// Verdict gives how the script went.
func (c *Console) Verdict() Verdict {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.verdict
}

// play runs the script and collects the transcript.
func (c *Console) play(ctx context.Context, deliver bot.Deliver) error {
	var rows []string
	c.mu.Lock()
	c.show = func(l line) { rows = append(rows, rowsOf(l, c.history.here)...) }
	close(c.ready)
	c.mu.Unlock()
	if err := c.catchUp(ctx, deliver); err != nil {
		return err
	}
	for i, l := range c.script.lines {
		if l.expected {
			continue
		}
		c.mu.Lock()
		rows = append(rows, l.text)
		c.mu.Unlock()
		if !l.says {
			continue
		}
		if err := c.act(ctx, l.input, deliver); err != nil {
			return fmt.Errorf("%s:%d: %w", c.script.name, i+1, err)
		}
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	c.verdict = Verdict{Script: c.script, Transcript: strings.Join(rows, "\n") + "\n"}
	return nil
}

// act does what a line of a script says; the prompt's hints are not part of one.
func (c *Console) act(ctx context.Context, in input, deliver bot.Deliver) error {
	if in.clock != "" {
		d, err := shift(in.clock)
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
		return c.o.Settle(ctx)
	}
	c.mu.Lock()
	if in.place != "" {
		at := bot.Place(in.place)
		if _, ok := c.history.titles[at]; !ok && at != Shop && !isPrivate(at) {
			c.mu.Unlock()
			return fmt.Errorf("there is no thread %s yet", in.place)
		}
		came := isPrivate(at) && at != c.history.here
		if c.history.here = at; came {
			c.showTail()
		}
	}
	if in.as != "" {
		c.history.who = in.as
		if in.place == "" && isPrivate(c.history.here) && c.history.here != private(in.as) {
			c.history.here = Shop // nobody else reads there
		}
	}
	who, edits := c.history.who, bot.MessageID("")
	if in.edit {
		edits = c.lastSaid[who]
	}
	c.mu.Unlock()
	if in.file != "" {
		var err error
		if in.file, err = c.find(in.file); err != nil {
			return err
		}
	}
	switch {
	case in.silent():
		return nil
	case in.edit && edits == "":
		return fmt.Errorf("%s has said nothing yet that could be edited", who)
	}
	said, err := c.said(who, in, edits)
	if err != nil {
		return err
	}
	_, err = c.deliver(ctx, said, deliver)
	return err
}
