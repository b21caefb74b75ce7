package bot

import (
	"context"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"shimwright/dialogs"
)

// post sends a parcel: as several posts where the platform's limits want it, each
// with a nonce of its own that is the same when the parcel is sent again.
func (b *Bot) post(ctx context.Context, p parcel, id string) error {
	to, err := b.address(ctx, p)
	if err != nil {
		return err
	}
	a := b.adapters[to.On]
	if a == nil {
		return fmt.Errorf("%w: the platform %q is not connected here any more", ErrRefused, to.On)
	}
	if g, ok := a.(Guide); ok && p.Show != "" {
		g.Show(p.Show, to.In)
	}
	sheetText, sheets := b.printed(ctx, a, p.Out)
	p.Out.Text += sheetText
	posts, err := b.compose(ctx, a, to.On, p.Out, sheets)
	if err != nil {
		return err
	}
	for i, post := range posts {
		nonce := id
		if len(posts) > 1 {
			nonce += "." + strconv.Itoa(i+1)
		}
		sent, err := a.Send(ctx, to.In, post, nonce)
		if err != nil {
			return err
		}
		b.withdraw(ctx, a, to, max(p.Job, p.Of), sent, post, p.Out.For)
	}
	return nil
}

// compose fits a message to what the platform can show. The error is the store's.
func (b *Bot) compose(ctx context.Context, a Adapter, on string, out dialogs.Outgoing, files []File) ([]Post, error) {
	text := out.Text
	choices := out.Choices
	may := b.people.accounts(on, out.For)
	if len(choices) > 0 && (!canOffer(a, choices) || len(out.For) > 0 && len(may) == 0) {
		if !out.Told {
			text += "\n" + ChoiceText(choices)
		}
		choices = nil
	}
	count, size := 0, 0
	if f, ok := a.(Filer); ok {
		count, size = f.FileLimits()
	}
	drawn, told := b.draw(out.Picture, count > 0, size)
	photos, gone, err := b.shown(ctx, out.Photos, count > 0, size)
	if err != nil {
		return nil, err
	}
	files, told = slices.Concat(drawn, photos, files), append(told, gone...)
	for _, alt := range told {
		text += "\n[picture: " + alt + "]"
	}
	limit := a.Limits().Text
	var large []string
	if e, ok := a.(Enlarger); ok {
		for _, line := range out.Large {
			large = append(large, defuse(line))
		}
		if limit > 0 {
			limit -= e.LargeCost() * len(large)
		}
	}
	var posts []Post
	for _, part := range Split(defuse(strings.TrimPrefix(text, "\n")), limit) {
		posts = append(posts, Post{Text: part, Large: large})
	}
	for len(files) > 0 {
		n := min(count, len(files))
		if last := &posts[len(posts)-1]; last.Files == nil {
			last.Files = files[:n]
		} else {
			posts = append(posts, Post{Text: files[0].Alt, Files: files[:n]})
		}
		files = files[n:]
	}
	posts[0].Ping = b.people.accounts(on, out.Ping)
	for _, c := range choices {
		last := &posts[len(posts)-1]
		last.Choices, last.For = append(last.Choices, defuse(c)), may
	}
	return posts, nil
}

func canOffer(a Adapter, choices []string) bool {
	c, ok := a.(Chooser)
	if !ok {
		return false
	}
	count, length := c.ChoiceLimits()
	for _, choice := range choices {
		if runes(choice) > length {
			return false
		}
	}
	return len(choices) <= count
}

// ChoiceText writes choices for typing: the number or the words are the answer.
func ChoiceText(choices []string) string {
	items := make([]string, len(choices))
	short := 0
	for i, c := range choices {
		items[i] = strconv.Itoa(i+1) + ") " + c
		short += runes(items[i]) + 2
	}
	if short <= 60 {
		return strings.Join(items, "  ")
	}
	return strings.Join(items, "\n")
}

// draw makes the pictures; those that cannot be sent are told in words.
func (b *Bot) draw(pictures []dialogs.Picture, files bool, size int) (drawn []File, told []string) {
	if len(pictures) == 0 || b.painter == nil {
		return nil, nil
	}
	painter, err := b.painter()
	if err != nil {
		b.log.Error("pictures are left out", "error", err)
		return nil, nil
	}
	for i, p := range pictures {
		alt := defuse(strings.Join(strings.Fields(p.Alt()), " "))
		if !files {
			told = append(told, alt)
			continue
		}
		data, err := p.PNG(painter)
		if err != nil || len(data) > size {
			b.log.Error("a picture is told in words", "picture", p.Name, "bytes", len(data), "error", err)
			told = append(told, alt)
			continue
		}
		name := p.Name
		if len(pictures) > 1 {
			name += "-" + strconv.Itoa(i+1)
		}
		drawn = append(drawn, File{Name: name + ".png", Type: "image/png", Alt: alt, Data: data})
	}
	return drawn, told
}

// address finds where a parcel goes, and opens the job's thread where it has none.
func (b *Bot) address(ctx context.Context, p parcel) (spot, error) {
	if p.Job == 0 {
		return p.Spot, nil
	}
	card, ok := b.directory.card(p.Job)
	if !ok {
		if err := b.directory.refresh(ctx, b.now()); err != nil {
			return spot{}, err
		}
		if card, ok = b.directory.card(p.Job); !ok {
			return spot{}, fmt.Errorf("%w: job %d is not in the directory", ErrRefused, p.Job)
		}
	}
	if card.erased {
		return spot{}, fmt.Errorf("%w: job %d has no place any more", ErrRefused, p.Job)
	}
	n := card.opened
	threader, ok := b.adapters[n.Spot.On].(Threader)
	if card.thread != nil || !ok {
		return card.home(), nil
	}
	below := n.Below
	if below == "" {
		// It was opened in another job's thread: its own hangs below a post that says so.
		var err error
		nonce := "open-" + strconv.Itoa(n.Number)
		if below, err = b.adapters[n.Spot.On].Send(ctx, n.Spot.In, Post{Text: defuse(b.threadTitle(n))}, nonce); err != nil {
			return spot{}, err
		}
	}
	thread, err := threader.OpenThread(ctx, n.Spot.In, below, Topic{Job: n.Number, Title: b.threadTitle(n)})
	if err != nil {
		return spot{}, err
	}
	err = again(ctx, func(int) error {
		if err := b.directory.refresh(ctx, b.now()); err != nil {
			return err
		}
		if card, _ = b.directory.card(p.Job); card.thread != nil {
			return nil
		}
		l := b.directory.look(spot{}, dialogs.Said{}, b.now())
		return b.enterNote(ctx, l, note{Kind: noteThread, At: b.now(), Number: p.Job, Spot: &spot{n.Spot.On, thread}}, nil)
	})
	if err != nil {
		return spot{}, err
	}
	card, _ = b.directory.card(p.Job)
	return card.home(), nil
}

// threadTitle names a thread, short enough for every platform.
func (b *Bot) threadTitle(n note) string {
	title := b.words(n.Language).Say("job.thread", "n", n.Number, "sheet", n.Sheet, "title", n.Title)
	if r := []rune(title); len(r) > 90 {
		title = string(r[:89]) + "…"
	}
	return strings.ReplaceAll(title, "\n", " ")
}
