package main

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"shimwright/rules"
)

const sheetsUsage = `usage: shimwright sheets [--shop DIR] list
       shimwright sheets [--shop DIR] show NAME
       shimwright sheets [--shop DIR] source NAME
       shimwright sheets check FILE...

list    the names of the axle sheets, one a line
show    a sheet, a phone wide
source  a sheet as YAML, to start one's own from
check   every mistake in a sheet's file
--shop  the shop's folder, whose sheets/*.yaml come over the shipped ones
`

// sheets lists, shows and checks axle sheets. It gives the exit code: 0, 1 where
// something was not found or has mistakes, 2 where it was called wrongly.
func sheets(args []string, stdout, stderr io.Writer) int {
	shop, args, code := shopFlag("sheets", sheetsUsage, args, stdout, stderr)
	if code >= 0 {
		return code
	}
	switch {
	case len(args) == 1 && args[0] == "list":
		book, report := rules.LoadBook(shop)
		for _, name := range book.Names() {
			fmt.Fprintln(stdout, name)
		}
		return told(report, stderr)
	case len(args) == 2 && (args[0] == "show" || args[0] == "source"):
		book, _ := rules.LoadBook(shop)
		return showSheet(book, args[0], args[1], stdout, stderr)
	case len(args) >= 2 && args[0] == "check":
		return checkSheets(args[1:], stdout)
	}
	fmt.Fprint(stderr, sheetsUsage)
	return 2
}

func showSheet(book *rules.Book, how, name string, stdout, stderr io.Writer) int {
	var err error
	if how == "source" {
		var text []byte
		if text, _, _, err = book.Source(name); err == nil {
			_, err = stdout.Write(text)
		}
	} else {
		var sheet *rules.Sheet
		if sheet, err = book.Sheet(name); err == nil {
			err = sheet.Show(stdout)
		}
	}
	if err != nil {
		fmt.Fprintln(stderr, err)
		return 1
	}
	return 0
}

// checkSheets reads each file as a sheet and prints every mistake.
func checkSheets(files []string, stdout io.Writer) int {
	report := &rules.Report{}
	good := 0
	for _, file := range files {
		data, err := readBounded(file)
		if err != nil {
			report.Problems = append(report.Problems, rules.Problem{File: file, Text: "the file cannot be read: " + err.Error()})
			continue
		}
		name := strings.TrimSuffix(filepath.Base(file), ".yaml")
		if rules.ReadSheet(name, file, data, report) != nil {
			good++
		}
	}
	return closing(report, fmt.Sprintf("%d of %s can be used", good, count(len(files), "sheet")), stdout)
}

// readBounded reads a file up to a little more than a sheet may have; the check
// then says that it is too large.
func readBounded(file string) ([]byte, error) {
	info, err := os.Stat(file)
	switch {
	case err != nil:
		return nil, bare(err)
	case info.IsDir():
		return nil, errors.New("it is a folder")
	case !info.Mode().IsRegular(): // reading a pipe could wait for ever
		return nil, errors.New("it is not a plain file")
	}
	f, err := os.Open(file)
	if err != nil {
		return nil, bare(err)
	}
	defer f.Close()
	return io.ReadAll(io.LimitReader(f, 1<<20))
}

// bare gives an error without the path it repeats.
func bare(err error) error {
	var pe *fs.PathError
	if errors.As(err, &pe) {
		return pe.Err
	}
	return err
}

// shopFlag reads --shop. code is −1 where the command goes on.
func shopFlag(name, usage string, args []string, stdout, stderr io.Writer) (shop fs.FS, rest []string, code int) {
	flags := flag.NewFlagSet(name, flag.ContinueOnError)
	flags.SetOutput(stderr)
	flags.Usage = func() { fmt.Fprint(stderr, usage) }
	dir := flags.String("shop", "", "the shop's folder")
	switch err := flags.Parse(args); {
	case errors.Is(err, flag.ErrHelp):
		return nil, nil, 0
	case err != nil:
		return nil, nil, 2
	}
	if *dir == "" {
		return nil, flags.Args(), -1
	}
	shop, err := openFolder(*dir)
	if err != nil {
		fmt.Fprintln(stderr, err)
		return nil, nil, 1
	}
	return shop, flags.Args(), -1
}

// openFolder opens a folder that must exist.
func openFolder(dir string) (fs.FS, error) {
	info, err := os.Stat(dir)
	switch {
	case err != nil:
		return nil, fmt.Errorf("%s: the folder cannot be opened: %w", dir, bare(err))
	case !info.IsDir():
		return nil, fmt.Errorf("%s is a file, want a folder", dir)
	}
	return os.DirFS(dir), nil
}

// told prints the problems of a load to stderr and gives the exit code.
func told(report *rules.Report, stderr io.Writer) int {
	if err := report.Print(stderr); err != nil || report.Mistakes() > 0 {
		return 1
	}
	return 0
}

// closing prints the problems and one line that sums up.
func closing(report *rules.Report, sum string, stdout io.Writer) int {
	if err := report.Print(stdout); err != nil {
		return 1
	}
	mistakes := report.Mistakes()
	fmt.Fprintf(stdout, "%s; %s", sum, count(mistakes, "mistake"))
	if look := len(report.Problems) - mistakes; look > 0 {
		fmt.Fprintf(stdout, ", %s to look at", count(look, "thing"))
	}
	fmt.Fprintln(stdout)
	if mistakes > 0 {
		return 1
	}
	return 0
}

func count(n int, what string) string {
	switch n {
	case 0:
		return "no " + what + "s"
	case 1:
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}
