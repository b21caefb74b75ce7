package bot

import (
	"context"
	"slices"

	"shimwright/dialogs"
)

// inPrivate finds the job of what somebody says in private who has cards of looks
// there. What was written or pressed on a card belongs to that card. An answer to a
// look belongs to the one card that lay before them when they wrote it; where there
// were several they are asked which. Anything else belongs to the job the talk is about,
// or to the job of the card where it is about none.
func (t *turn) inPrivate(ctx context.Context, l look) (look, error) {
	b := t.bot
	t.said.Text, t.said.Shown, t.which = t.typed, 0, nil
	desk, ok := b.desk().(LookDesk)
	if !ok || !t.said.By.Role.Reviews() || !t.m.Addressed && t.m.Pressed == "" {
		return l, nil
	}
	book, err := b.bookOf(ctx, account{t.on, t.m.Author})
	if err != nil {
		return l, err
	}
	var there []ownCard
	for _, c := range book.cards {
		if c.Place == t.m.Place && len(c.Posts) > 0 {
			there = append(there, c)
		}
	}
	below := t.m.ReplyTo
	if t.m.Pressed != "" {
		below = t.m.Pressed
	}
	if i := slices.IndexFunc(there, func(c ownCard) bool { return below != "" && slices.Contains(c.Posts, below) }); i >= 0 {
		if t.m.Pressed != "" {
			t.press = press{known: true, overtaken: !there[i].Over.IsZero() && !there[i].Over.After(t.said.At), offer: offerNote{Job: there[i].Job}}
		} else if w := desk.LookWord(t.said); w.Job > 0 && w.Job != there[i].Job {
			return t.ofJob(l, there, w), nil
		}
		return t.below(l, there[i]), nil
	}
	if t.m.Pressed != "" {
		return t.pressedBare(l, book, desk.LookWord(t.said)), nil
	}
	there = slices.DeleteFunc(there, func(c ownCard) bool { return c.At.After(t.said.At) })
	if len(there) == 0 {
		return l, nil
	}
	slices.SortStableFunc(there, func(a, b ownCard) int { return a.At.Compare(b.At) })
	w := desk.LookWord(t.said)
	if w.Job > 0 {
		return t.ofJob(l, there, w), nil
	}
	newest := there[len(there)-1]
	if b.directory.movedAt(t.spot, t.said.At).After(newest.At) || b.directory.movedAt(spot{t.on, t.m.Place}, t.said.At).After(newest.At) {
		return l, nil // they went to a job of their own choice since
	}
	var live []ownCard
	for _, c := range there {
		if c.Over.IsZero() || c.Over.After(t.said.At) {
			live = append(live, c)
		}
	}
	if !w.Answer {
		if card, ok := b.directory.card(l.number); len(live) == 1 && (!ok || card.closed) {
			return t.below(l, live[0]), nil
		}
		return l, nil
	}
	return t.answering(l, desk, newest, live, w), nil
}

// answering finds which of the cards that lay before somebody their answer to a look is
// about; where it may be several they are asked.
func (t *turn) answering(l look, desk LookDesk, newest ownCard, live []ownCard, w dialogs.LookWord) look {
	if named := slices.DeleteFunc(slices.Clone(live), func(c ownCard) bool { return c.Look != w.Look }); w.Look > 0 && len(named) > 0 {
		live = named
	}
	switch {
	case len(live) == 0:
		return t.below(l, newest) // it is said what became of that
	case len(live) == 1:
		return t.below(l, live[0])
	case slices.ContainsFunc(live, func(c ownCard) bool { return c.Job != live[0].Job }):
		var refs []dialogs.LookRef
		for _, c := range live {
			refs = append(refs, dialogs.LookRef{Job: c.Job, Look: c.Look})
		}
		out := desk.WhichLook(t.said.By, refs)
		t.which, l.number, l.view.Here = &out, 0, nil
		return l
	}
	return t.bot.directory.lookInto(l, live[0].Job) // two looks of one job: the job asks which
}

// pressedBare judges the press on a post that is on record neither as a card nor as
// anything else. A card that went out is pressed before it is noted, now and then; an
// old one is forgotten at last (keptCards). An answer to a look that may be neither
// counts for no look: not for that of the job the talk is about.
func (t *turn) pressedBare(l look, book privateBook, w dialogs.LookWord) look {
	if t.press.known || !w.Answer || len(book.cards) == 0 {
		return l
	}
	var sent []ownCard
	for _, c := range book.cards {
		if c.Place == t.m.Place && len(c.Posts) == 0 && c.Over.IsZero() && (w.Look == 0 || c.Look == w.Look) {
			sent = append(sent, c)
		}
	}
	if len(sent) == 1 {
		return t.below(l, sent[0])
	}
	t.press = press{known: true, overtaken: true}
	return l
}

// below has a message be about the look of a card.
func (t *turn) below(l look, c ownCard) look {
	t.said.Shown = c.Look
	return t.bot.directory.lookInto(l, c.Job)
}

// ofJob has a message be about the job it names, and about the look of that job that
// was laid before its author last.
func (t *turn) ofJob(l look, there []ownCard, w dialogs.LookWord) look {
	if _, ok := t.bot.directory.card(w.Job); !ok {
		return l
	}
	t.said.Text = w.Text
	for _, c := range slices.Backward(there) {
		if c.Job == w.Job {
			return t.below(l, c)
		}
	}
	return t.bot.directory.lookInto(l, w.Job)
}
