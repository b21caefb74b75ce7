package main

import (
	"context"
	"crypto/sha256"
	"encoding/base64"
	"errors"
	"fmt"
	"log/slog"
	"os"
	"strings"
	"time"

	"shimwright/bot"
	"shimwright/rules"
)

// shownProblems is how many mistakes a chat is told of; all are in the log.
const shownProblems = 3

// follow takes over the shop's rules and sheets when they change, or at once on a
// signal, and tells the rules channels when they have mistakes.
func (sv *service) follow(ctx context.Context, hup <-chan os.Signal) {
	live := sv.desk.live
	refused := live.Status().Rejected
	if refused != nil {
		sv.notices.tell(refusal("the shop's files have", refused, "what has no mistake is in force."))
	}
	unreadable := false
	tick := time.NewTicker(reloadTime)
	defer tick.Stop()
	for {
		var report *rules.Report
		var err error
		select {
		case <-ctx.Done():
			return
		case <-hup:
			sv.log.Info("told to read the shop's files again")
			report, err = live.Reload(ctx)
		case <-tick.C:
			if sv.c.shop == "" {
				continue
			}
			report, err = live.Poll(ctx)
		}
		switch {
		case ctx.Err() != nil:
			return
		case err != nil && report == nil:
			if !unreadable {
				sv.log.Error("the shop's folder cannot be read; what was read before stays in force", "error", err)
				sv.notices.tell(fmt.Sprintf("the shop's folder cannot be read, so changes of rules and sheets are not seen: %v", err))
			}
			unreadable = true
			continue
		case err != nil:
			for _, p := range report.Problems {
				if !p.Warning {
					sv.log.Warn("a mistake in the shop's files", "at", p.String(), "hint", p.Hint)
				}
			}
			sv.notices.tell(refusal("the changed files were not taken over, they have", report, "the rules and sheets before stay in force."))
			refused = report
		case report != nil && refused != nil:
			refused = nil
			s := live.Status()
			sv.notices.tell(fmt.Sprintf("the files are in order again: %s and %s are in force.", count(s.Rules, "rule"), count(s.Sheets, "sheet")))
		}
		unreadable = false
	}
}

// refusal is what a rules channel is told of files with mistakes.
func refusal(what string, report *rules.Report, then string) string {
	var shown rules.Report
	for _, p := range report.Problems {
		if !p.Warning && len(shown.Problems) < shownProblems {
			shown.Problems = append(shown.Problems, p)
		}
	}
	var list strings.Builder
	_ = shown.Print(&list) // a builder takes everything
	text := fmt.Sprintf("%s %s. %s\n```\n%s```", what, count(report.Mistakes(), "mistake"), then, strings.ReplaceAll(list.String(), "```", "'''"))
	if more := report.Mistakes() - len(shown.Problems); more > 0 {
		text += fmt.Sprintf("\n%d more: shimwright rules check shows all.", more)
	}
	return text
}

const (
	noticeTries = 6
	noticeWait  = time.Second // before the second try, then doubled
	noticeTime  = 20 * time.Second
)

// notices tells the rules channels what the program has to say of itself.
type notices struct {
	log   *slog.Logger
	queue chan notice
	to    []noticeBoard
}

type noticeBoard struct {
	on    string
	a     bot.Adapter
	place bot.Place
}

type notice struct {
	text string
	but  string // the platform that is not told
	at   time.Time
}

func newNotices(log *slog.Logger) *notices {
	return &notices{log: log, queue: make(chan notice, 20)}
}

func (n *notices) add(on string, a bot.Adapter, place bot.Place) {
	n.to = append(n.to, noticeBoard{on, a, place})
}

// tell queues a text for all rules channels, except those on the platforms named.
func (n *notices) tell(text string, but ...string) {
	if len(n.to) == 0 {
		return
	}
	select {
	case n.queue <- notice{text: text, but: strings.Join(but, " "), at: time.Now()}:
	default:
		n.log.Warn("too much to tell the rules channels; left out", "text", text)
	}
}

// run posts what is queued until ctx ends.
func (n *notices) run(ctx context.Context) {
	for {
		select {
		case <-ctx.Done():
			return
		case what := <-n.queue:
			for _, board := range n.to {
				if board.on != what.but {
					n.post(ctx, board, what)
				}
			}
		}
	}
}

func (n *notices) post(ctx context.Context, board noticeBoard, what notice) {
	for i, part := range bot.Split(what.text, board.a.Limits().Text) {
		if err := n.try(ctx, board, part, what.nonce(i)); err != nil {
			if ctx.Err() == nil {
				n.log.Error("the rules channel was not told", "platform", board.on, "channel", board.place, "text", part, "error", err)
			}
			return
		}
	}
}

func (n *notices) try(ctx context.Context, board noticeBoard, text, nonce string) error {
	wait := noticeWait
	for i := 1; ; i++ {
		limited, cancel := context.WithTimeout(ctx, noticeTime)
		_, err := board.a.Send(limited, board.place, bot.Post{Text: text}, nonce)
		cancel()
		if err == nil || errors.Is(err, bot.ErrRefused) || i == noticeTries || ctx.Err() != nil {
			return err
		}
		select {
		case <-time.After(wait):
		case <-ctx.Done():
			return ctx.Err()
		}
		wait *= 2
	}
}

// nonce is the same for the same text within a minute, so that two processes of a
// shop that find the same mistake say it once.
func (w notice) nonce(part int) string {
	h := sha256.Sum256(fmt.Appendf(nil, "%s\x00%s\x00%d", w.at.UTC().Format("2006-01-02 15:04"), w.text, part))
	return base64.RawURLEncoding.EncodeToString(h[:16])
}
