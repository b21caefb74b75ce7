package dialogs_test

import (
	"slices"
	"strings"
	"testing"

	"shimwright/dialogs"
	"shimwright/dialogs/phrase"
)

// reader is ann with large type, in a language.
func reader(lang phrase.Language) dialogs.Person {
	p := people["ann"]
	p.Type, p.Language = dialogs.LargeType, lang
	return p
}

// answered says a text as a person and gives the reply.
func (k *talk) answered(by dialogs.Person, text string) dialogs.Reply {
	return k.answeredBy("ann", by, text)
}

func (k *talk) answeredBy(who string, by dialogs.Person, text string) dialogs.Reply {
	k.t.Helper()
	s := k.said(who, text)
	s.By = by
	r, err := k.desk.Answer(k.job, s)
	if err != nil {
		k.t.Fatal(err)
	}
	k.keep(r)
	return r
}

func TestLargeTypeIsForTheFiguresOrWhatComesNext(t *testing.T) {
	for _, lang := range []phrase.Language{"", phrase.Spanish} {
		k := toLoop(t, "lapwing")
		for _, said := range []string{"where are we", "what is the spec for lash", "labels", "lash 14 14 13 14, drive high and heel, coast high and heel"} {
			out := k.answered(reader(lang), said).Out[0]
			if len(out.Large) == 0 || len(out.Large) > 3 {
				t.Fatalf("%q: %d large lines in %q", said, len(out.Large), out.Text)
			}
			lines := strings.Split(out.Text, "\n")
			for _, l := range out.Large {
				if !slices.Contains(lines, l) {
					t.Errorf("%q: the large line %q is not in %q", said, l, out.Text)
				}
			}
			if full := k.answered(people["ann"], said).Out[0]; len(full.Large) > 0 {
				t.Errorf("%q: large type for somebody who did not ask: %q", said, full.Large)
			}
		}
	}
	k := toLoop(t, "lapwing")
	change := k.answered(reader(""), "lash 14 14 13 14, drive high and heel, coast high and heel").Out[0]
	has(t, strings.Join(change.Large, "\n"), "pinion shim", "deeper", "left", "right")
	hasNot(t, change.Text, "is over", "shallow (") // reasons stay short
	k = toLoop(t, "lapwing")
	part := k.answered(reader(""), "lash 14 14 13 14").Out[0]
	if len(part.Large) != 1 || !strings.Contains(part.Large[0], "next: drive pattern") {
		t.Errorf("large is %q where nothing but a question is open", part.Large)
	}
	stop := k.answered(reader(""), "i swapped the caps").Out[0]
	if len(stop.Large) == 0 || !strings.HasPrefix(stop.Large[0], "stop: ") {
		t.Errorf("large is %q beside %q", stop.Large, stop.Text)
	}
}

func TestTypeIsAHabit(t *testing.T) {
	d := newDesk(t)
	for _, row := range []struct {
		say  string
		want dialogs.Type
		one  bool // the platform has one size
		has  string
	}{
		{"large type", dialogs.LargeType, false, "large type for ann"},
		{"bigger letters please", dialogs.LargeType, false, "large type for ann"},
		{"normal type", dialogs.NormalType, false, "normal type for ann"},
		{"letra grande", dialogs.LargeType, false, "large type for ann"},
		{"letras normales, por favor", dialogs.NormalType, false, "normal type for ann"},
		{"large type", dialogs.LargeType, true, "this console has one size of letters"},
		{"normal type", dialogs.NormalType, true, "normal type for ann"},
	} {
		for _, here := range []*dialogs.JobLine{nil, {Number: 3}} {
			r := d.Door(dialogs.Said{ID: "m", By: people["ann"], Text: row.say, OneSize: row.one}, dialogs.View{Here: here})
			if !r.Handled || r.Type != row.want || !strings.HasPrefix(r.Out[0].Text, row.has) {
				t.Errorf("%q, one size %v: %+v", row.say, row.one, r)
			}
			if large := len(r.Out[0].Large) > 0; large != (row.want == dialogs.LargeType) {
				t.Errorf("%q: large is %q", row.say, r.Out[0].Large)
			}
		}
	}
	s := dialogs.Said{ID: "m", By: dialogs.Person{Name: "ann", Language: phrase.Spanish}, Text: "letra grande"}
	has(t, d.Door(s, dialogs.View{}).Out[0].Text, "letra grande para ann", "respuestas cortas")
	for _, text := range []string{"large crack in the case", "the type is normal", "big gap", "letra en la caja"} {
		if r := d.Door(dialogs.Said{ID: "m", By: people["ann"], Text: text}, dialogs.View{Here: &dialogs.JobLine{Number: 3}}); r.Type != "" {
			t.Errorf("%q sets the type to %q", text, r.Type)
		}
	}
}
