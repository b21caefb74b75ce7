package main

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"log/slog"
	"slices"
	"strings"
	"time"

	"shimwright/bot"
	"shimwright/dialogs"
	"shimwright/dialogs/phrase"
)

const askUsage = `usage: shimwright ask [--sheet NAME] [--units inch|metric] [--language en|es] [--shop DIR] MESSAGE

Answers one message without a job, and logs
nothing:
  shimwright ask "lash 14, want 8"

--sheet NAME   the axle sheet to go by; without
               it the first of the shop's
--units        how bare numbers are meant
--language     what is answered in, en or es
--shop DIR     the shop's folder, whose sheets
               and rules come over the shipped
`

// ask answers one message. It gives the exit code.
func ask(s surroundings, args []string) int {
	flags := flag.NewFlagSet("ask", flag.ContinueOnError)
	sheet := flags.String("sheet", "", "")
	units := flags.String("units", "", "")
	language, shop := flags.String("language", "", ""), flags.String("shop", "", "")
	words, code := parseMixed(flags, askUsage, args, s)
	if code >= 0 {
		return code
	}
	system, err := systemFlag(*units)
	text := strings.TrimSpace(strings.Join(words, " "))
	lang := phrase.Language(*language)
	if err == nil && lang != "" && !slices.Contains(phrase.Languages(), lang) {
		err = fmt.Errorf("--language is en or es, not %q", *language)
	}
	if err == nil && text == "" {
		err = errors.New("ask what? give the message in quotes")
	}
	if err != nil {
		fmt.Fprintf(s.errOut, "shimwright ask: %v\n%s", err, askUsage)
		return exitUsage
	}
	if text, err = bot.Readable(text); err != nil {
		fmt.Fprintln(s.errOut, err)
		return exitFail
	}
	d, err := openDesk(*shop, time.Now, slog.New(slog.DiscardHandler), s.errOut)
	if err != nil {
		fmt.Fprintln(s.errOut, err)
		return exitFail
	}
	said := dialogs.Said{
		ID: "ask", At: time.Now(), Text: text, Addressed: true,
		By: dialogs.Person{Name: "you", Role: dialogs.Technician, Units: system, Language: lang},
	}
	out, err := d.now().Ask(said, *sheet)
	if err != nil {
		fmt.Fprintln(s.errOut, err)
		return exitFail
	}
	for _, o := range out {
		printOutgoing(s.out, o)
	}
	return exitOK
}

func printOutgoing(w io.Writer, o dialogs.Outgoing) {
	fmt.Fprintln(w, o.Text)
	if len(o.Choices) > 0 {
		fmt.Fprintln(w, bot.ChoiceText(o.Choices))
	}
	for _, p := range o.Picture {
		fmt.Fprintf(w, "[picture: %s]\n", strings.Join(strings.Fields(p.Alt()), " "))
	}
}

// parseMixed reads flags that may stand before, between or behind other words, and
// gives those. code is −1 where the command goes on.
func parseMixed(flags *flag.FlagSet, usage string, args []string, s surroundings) (words []string, code int) {
	flags.SetOutput(s.errOut)
	flags.Usage = func() {}
	for {
		switch err := flags.Parse(args); {
		case errors.Is(err, flag.ErrHelp):
			fmt.Fprint(s.out, usage)
			return nil, exitOK
		case err != nil:
			fmt.Fprint(s.errOut, usage)
			return nil, exitUsage
		}
		rest := flags.Args()
		if len(rest) == 0 {
			return words, -1
		}
		if n := len(args) - len(rest); n > 0 && args[n-1] == "--" {
			return append(words, rest...), -1
		}
		words, args = append(words, rest[0]), rest[1:]
	}
}
