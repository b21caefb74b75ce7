package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"log/slog"
	"os"
	"os/signal"
	"strings"
	"sync"
	"syscall"
	"time"

	"shimwright/bot"
	"shimwright/bot/store"
	"shimwright/dialogs"
	"shimwright/dialogs/phrase"
	"shimwright/dialogs/picture"
	"shimwright/dialogs/sheet"
)

const summaryUsage = `usage: shimwright summary --job N [WHERE] [--pdf FILE | --json | --csv]

The summary of a job: in a few lines, as the
printable sheet (--pdf), or for programs and
spreadsheets, on the standard output. FILE may
be - for the standard output too.

--shop DIR        the shop's folder
--paper           a4 or letter
--customer        the customer's page only
--units           inch or metric
--language        en or es

WHERE is one of
--config FILE     as serve is started
--data DIR        as try is started; without any
                  of the three, try's own folder
--store redis://HOST:PORT/N
`

// summaryCall is what the command line of summary asks for.
type summaryCall struct {
	storeCall
	shop  string
	pdf   string
	order dialogs.Printout
	print bot.Printing
}

func summaryOf(s surroundings, args []string) int {
	c := &summaryCall{storeCall: storeCall{s: s}}
	flags := flag.NewFlagSet("summary", flag.ContinueOnError)
	config, data, url := flags.String("config", "", ""), flags.String("data", "", ""), flags.String("store", "", "")
	flags.StringVar(&c.shop, "shop", "", "")
	flags.StringVar(&c.pdf, "pdf", "", "")
	flags.IntVar(&c.order.Job, "job", 0, "")
	flags.BoolVar(&c.order.Customer, "customer", false, "")
	asJSON, asCSV := flags.Bool("json", false, ""), flags.Bool("csv", false, "")
	paper, units, language := flags.String("paper", "", ""), flags.String("units", "", ""), flags.String("language", "", "")
	words, code := parseMixed(flags, summaryUsage, args, s)
	if code >= 0 {
		return code
	}
	usage := func(format string, a ...any) int {
		fmt.Fprintf(s.errOut, "shimwright summary: %s\n%s", fmt.Sprintf(format, a...), summaryUsage)
		return exitUsage
	}
	formats := 0
	for format, set := range map[dialogs.Format]bool{dialogs.PDF: c.pdf != "", dialogs.JSON: *asJSON, dialogs.CSV: *asCSV} {
		if set {
			c.order.Format = format
			formats++
		}
	}
	places := 0
	for _, p := range []string{*config, *data, *url} {
		if p != "" {
			places++
		}
	}
	var err error
	if c.order.Units, err = systemFlag(*units); err != nil {
		return usage("%v", err)
	}
	c.order.Language = phrase.Language(*language)
	switch {
	case len(words) > 0:
		return usage("%q is too much", words[0])
	case c.order.Job < 1:
		return usage("which job? say --job and its number")
	case formats > 1:
		return usage("take one of --pdf, --json and --csv")
	case places > 1:
		return usage("take one of --config, --data and --store")
	case *language != "" && c.order.Language != phrase.English && c.order.Language != phrase.Spanish:
		return usage("--language is en or es, not %q", *language)
	case *paper != "" && !strings.EqualFold(*paper, string(sheet.A4)) && !strings.EqualFold(*paper, string(sheet.Letter)):
		return usage("--paper is a4 or letter, not %q", *paper)
	}
	if *config != "" {
		conf, report := loadConfig(*config, s.getenv)
		if report.Mistakes() == 0 {
			c.print = conf.printing()
			if c.shop == "" {
				c.shop = conf.shop
			}
		}
	}
	if *paper != "" {
		c.print.Paper = sheet.A4
		if strings.EqualFold(*paper, string(sheet.Letter)) {
			c.print.Paper = sheet.Letter
		}
	}
	if code := c.place(*config, *data, *url); code >= 0 {
		return code
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	context.AfterFunc(ctx, stop)
	if err := c.write(ctx); err != nil {
		storeComplain(s.errOut, "", err)
		if errors.Is(err, bot.ErrNoJob) {
			fmt.Fprintln(s.errOut, "shimwright try --data DIR, then jobs, lists them.")
		}
		return exitFail
	}
	return exitOK
}

// write makes the summary and brings it where it is wanted.
func (c *summaryCall) write(ctx context.Context) error {
	backend, done, err := c.reading(ctx)
	if err != nil {
		return err
	}
	defer done()
	log := slog.New(slog.NewTextHandler(c.s.errOut, &slog.HandlerOptions{Level: slog.LevelWarn}))
	d, err := openDesk(c.shop, time.Now, log, c.s.errOut)
	if err != nil {
		return err
	}
	data, err := bot.Print(ctx, bot.Config{
		Store: store.New(backend, time.Now), Desk: func() bot.Desk { return d.now() }, Log: log, Now: time.Now,
		Painter: sync.OnceValues(picture.NewInAll), Printing: c.print,
	}, c.order)
	if err != nil {
		return err
	}
	if c.pdf == "" || c.pdf == "-" {
		_, err = c.s.out.Write(data)
		return err
	}
	return writeNew(c.pdf, func(w io.Writer) error {
		_, err := w.Write(data)
		return err
	})
}
