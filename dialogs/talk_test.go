package dialogs_test

import (
	"fmt"
	"log/slog"
	"strings"
	"testing"
	"time"

	"shimwright/dialogs"
	"shimwright/dialogs/advise"
	"shimwright/dialogs/listen"
	"shimwright/dialogs/phrase"
	"shimwright/rules"
)

// talk is a shop with one job, without a store or a platform.
type talk struct {
	t    testing.TB
	desk *dialogs.Desk
	job  *dialogs.Job
	now  time.Time
	n    int
	past []string

	records [][]byte // of the job
}

var people = map[string]dialogs.Person{
	"ann":    {Name: "ann", Role: dialogs.Technician},
	"ben":    {Name: "ben", Role: dialogs.Apprentice},
	"mentor": {Name: "mentor", Role: dialogs.Mentor},
	"owner":  {Name: "owner", Role: dialogs.Owner},
	"cleo":   {Name: "cleo", Role: dialogs.Customer},
}

// someoneOf finds somebody of people by name.
func someoneOf(name string) (dialogs.Person, bool) {
	p, ok := people[name]
	return p, ok
}

func newDesk(t testing.TB) *dialogs.Desk {
	t.Helper()
	book, report := rules.LoadBook(nil)
	if err := report.Err(); err != nil {
		t.Fatal(err)
	}
	set, report := rules.LoadRules(nil, slog.New(slog.DiscardHandler))
	if err := report.Err(); err != nil {
		t.Fatal(err)
	}
	phrases, err := phrase.Load()
	if err != nil {
		t.Fatal(err)
	}
	return &dialogs.Desk{Sheets: book, Rules: set, Advise: advise.Recommend, Listen: listen.Parse, Phrases: phrases}
}

// open starts a job on a sheet.
func open(t testing.TB, sheet string) *talk {
	t.Helper()
	k := &talk{t: t, desk: newDesk(t), now: time.Date(2031, 3, 4, 9, 0, 0, 0, time.UTC)}
	reply, err := k.desk.Opened(7, dialogs.Opening{Sheet: sheet, Title: "whine on drive"}, k.said("ann", "open "+sheet+" whine on drive"))
	if err != nil {
		t.Fatal(err)
	}
	k.job, err = dialogs.Fold("7", nil)
	if err != nil {
		t.Fatal(err)
	}
	k.keep(reply)
	return k
}

func (k *talk) said(who, text string) dialogs.Said {
	k.n++
	k.now = k.now.Add(time.Minute)
	return dialogs.Said{ID: fmt.Sprint("m", k.n), By: people[who], At: k.now, Text: text, Context: k.past, Other: someoneOf}
}

// keep appends a reply's events to the job, as the store would.
func (k *talk) keep(r dialogs.Reply) string {
	k.t.Helper()
	var records [][]byte
	for _, e := range r.Events {
		b, err := dialogs.Encode(e)
		if err != nil {
			k.t.Fatal(err)
		}
		records = append(records, b)
	}
	k.records = append(k.records, records...)
	if err := k.job.Extend(records); err != nil {
		k.t.Fatal(err)
	}
	var texts []string
	for _, o := range r.Out {
		texts = append(texts, o.Text)
		k.past = append(k.past, "bot: "+o.Text)
	}
	return strings.Join(texts, "\n")
}

// hear sends a message and gives the answer.
func (k *talk) hear(who, text string) string {
	k.t.Helper()
	s := k.said(who, text)
	reply, err := k.desk.Answer(k.job, s)
	if err != nil {
		k.t.Fatalf("%s> %s: %v", who, text, err)
	}
	k.past = append(k.past, "tech: "+text)
	return k.keep(reply)
}

// play sends lines of "who> text" and gives the transcript.
func (k *talk) play(lines ...string) string {
	k.t.Helper()
	var b strings.Builder
	for _, line := range lines {
		who, text, _ := strings.Cut(line, "> ")
		fmt.Fprintf(&b, "%s> %s\n", who, text)
		for _, l := range strings.Split(k.hear(who, text), "\n") {
			if l != "" {
				fmt.Fprintf(&b, "   bot> %s\n", l)
			}
		}
	}
	return b.String()
}
