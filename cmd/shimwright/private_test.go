package main

import (
	"bytes"
	"context"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"shimwright/bot/mattermost/mmtest"
)

// What a mentor alone is told on the console is seen by going there, and what they answer
// there counts for the look it is about.
func TestWhatAMentorAloneIsToldOnTheConsole(t *testing.T) {
	t.Parallel()
	chat := `ben> open lapwing whine on drive, new gears
ben> skip 2 bare housing
ben> old pinion shim 30, left 250, right 245, old mark +2, new mark -1
ben> skip 4 checked yesterday
ben> done
@mentor> why 33?
ben #1> measured it leaf by leaf
@mentor> looks good
@mentor> reviews
ben #1> done
`
	file := filepath.Join(t.TempDir(), "chat.txt")
	if err := os.WriteFile(file, []byte(chat), 0o600); err != nil {
		t.Fatal(err)
	}
	var out, errOut bytes.Buffer
	if code := run(surroundings{in: strings.NewReader(""), out: &out, errOut: &errOut, getenv: os.Getenv}, []string{"try", "--script", file}); code != exitOK {
		t.Fatalf("exit %d\n%s", code, errOut.String())
	}
	text := out.String()
	for _, want := range []string{
		"@mentor> why 33?\nbot> look 1: job 1, lapwing",
		"bot> answer here: it counts for job 1",
		"bot #1> @ben mentor asks ben: why 33?",
		"bot> approved by mentor: look 1, starting pinion shim.\nbot #1> @ben approved by mentor: look 1, starting pinion shim.",
		"bot #1> next, step 6, ring gear to carrier",
		"bot> over: approved by mentor.",
		"bot> nothing is waiting for you.",
	} {
		if !strings.Contains(text, want) {
			t.Errorf("not there: %q", want)
		}
	}
	if t.Failed() {
		io.WriteString(t.Output(), text)
	}
}

// lines says lines in a job's thread, each once the one before is answered.
func (r *replay) lines(thread string, lines ...string) (first string) {
	r.t.Helper()
	for _, line := range lines {
		who, text, _ := strings.Cut(line, "> ")
		id := r.group.say(who, thread, text)
		r.taken(text)
		if first == "" {
			first = id
		}
	}
	return first
}

// taken waits until what was said is taken and answered.
func (r *replay) taken(what string) {
	r.t.Helper()
	ctx, cancel := context.WithTimeout(r.t.Context(), soon)
	defer cancel()
	select {
	case err := <-r.handled:
		if err != nil {
			r.t.Fatalf("%q was not taken: %v", what, err)
		}
	case <-ctx.Done():
		r.t.Fatalf("%q is never heard", what)
	}
	r.settle()
}

func (r *replay) settle() {
	r.t.Helper()
	ctx, cancel := context.WithTimeout(r.t.Context(), soon)
	defer cancel()
	if err := r.bot.Settle(ctx); err != nil {
		r.t.Fatal(err)
	}
}

func (r *replay) later(d time.Duration) {
	r.t.Helper()
	r.mu.Lock()
	r.time = r.time.Add(d)
	r.mu.Unlock()
	r.settle()
}

// last gives what the assistant posted last at a place.
func (r *replay) last(place string) string {
	all := r.group.posts(place)
	if len(all) == 0 {
		return ""
	}
	return plain(all[len(all)-1].rows)
}

// waitingForALook brings an apprentice's job to its first look and gives its thread.
func (r *replay) waitingForALook() string {
	r.t.Helper()
	thread := r.group.thread(r.lines("", "ben> open lapwing whine on drive, new gears"))
	r.lines(thread, "ben> skip 2 bare housing", "ben> old pinion shim 30, left 250, right 245, old mark +2, new mark -1", "ben> skip 4 checked yesterday", "ben> done")
	return thread
}

// On Mattermost the mentor is called in private and not in the thread, reminded once and
// there alone, and what they write below the card approves what it shows and no more.
func TestAPrivateCardOnMattermost(t *testing.T) {
	t.Parallel()
	g := newMattermostGroup(t)
	r := startReplay(t, mustLoad(t, chatConfig(t, g, nil, "")), g)
	thread := r.waitingForALook()
	mentor := g.ids["mentor"]
	talk := g.server.Direct(g.me, mentor)
	at := talk + ":"
	seen := func() []string {
		var out []string
		for _, p := range g.server.Seen(talk, "") {
			if p.UserId == g.me {
				out = append(out, mmtest.Plain(p.Message))
			}
		}
		return out
	}
	if talk == "" || len(seen()) != 1 {
		t.Fatalf("in private: %q, %q", talk, at)
	}
	card := g.server.Seen(talk, "")[0]
	root := strings.SplitN(thread, ":", 2)[1]
	if !strings.Contains(card.Message, g.server.URL+"/_redirect/pl/") {
		t.Errorf("no link: %s", card.Message)
	}
	for _, part := range []string{"look 1: job 1, lapwing", "by ben", "pinion shim 0.033 in", "approve 1", "it counts for job 1"} {
		if !strings.Contains(seen()[0], part) {
			t.Errorf("%q is not on the card:\n%s", part, seen()[0])
		}
	}
	for _, p := range g.server.Seen(g.channel, root) {
		if strings.Contains(p.Message, "@mentor") {
			t.Errorf("called in the thread: %s", p.Message)
		}
	}
	r.later(20 * time.Minute)
	if got := seen(); len(got) != 2 || !strings.Contains(got[1], "job 1, lapwing") || !strings.Contains(got[1], "waits for you since 20 min") {
		t.Errorf("reminded in private: %q", got)
	}
	if last := r.last(thread); !strings.Contains(last, "waits for you") || strings.Contains(last, "@mentor") {
		t.Errorf("in the thread: %s", last)
	}
	// The apprentice corrects the shim: the card above is over, and no word below it counts.
	r.lines(thread, "ben> pinion shim 34")
	if got := seen(); !strings.Contains(got[0], "over: what it showed has changed. look 2") || !strings.Contains(got[len(got)-1], "look 2: job 1") {
		t.Fatalf("after the correction: %q, in the thread %s", got, r.last(thread))
	}
	g.server.Say(mentor, talk, card.Id, "looks good")
	r.taken("looks good")
	if last := g.server.Seen(talk, card.Id); !strings.Contains(last[len(last)-1].Message, "nothing was approved") {
		t.Errorf("below the old card: %s", last[len(last)-1].Message)
	}
	g.server.Say(mentor, talk, "", "looks good")
	r.taken("looks good")
	if last := r.last(thread); !strings.Contains(last, "@ben approved by mentor: look 2") || !strings.Contains(last, "next, step 6") {
		t.Errorf("in the thread: %s", last)
	}
	if got := strings.Join(seen(), "\n"); !strings.Contains(got, "over: approved by mentor.") {
		t.Errorf("in private: %s", got)
	}
}

// On Discord a mentor who takes no messages is called in the thread, once, and reminded
// there.
func TestAPrivateCardThatDiscordRefuses(t *testing.T) {
	t.Parallel()
	g := newDiscordGroup(t)
	r := startReplay(t, mustLoad(t, chatConfig(t, nil, g, "")), g)
	mentor := g.people["mentor"]
	g.server.CloseDM(mentor, true)
	thread := r.waitingForALook()
	calls := func() (n int) {
		for _, p := range g.posts(thread) {
			if strings.HasPrefix(plain(p.rows), "@mentor ") {
				n++
			}
		}
		return n
	}
	if last := r.last(thread); !strings.Contains(last, "could not be reached in private: look 1") || calls() != 1 {
		t.Errorf("called %d times, last: %s", calls(), last)
	}
	r.later(20 * time.Minute)
	if calls() != 2 {
		t.Errorf("reminded %d times, last: %s", calls()-1, r.last(thread))
	}
	g.server.CloseDM(mentor, false)
	g.server.Say(g.place(thread), mentor, "approve 1")
	r.taken("approve 1")
	if last := r.last(thread); !strings.Contains(last, "approved by mentor: look 1") {
		t.Errorf("answered there: %s", last)
	}
	if talk := g.server.DM(mentor); len(g.posts(talk)) != 0 {
		t.Errorf("in private: %q", g.posts(talk))
	}
}
