package rules

import (
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"path"
	"slices"
	"strings"
)

// ErrUnknownSheet says that no sheet of that name is in the book.
var ErrUnknownSheet = errors.New("unknown sheet")

// UnknownSheet is an ErrUnknownSheet with the names that are there and the nearest of
// them, empty where none is near.
type UnknownSheet struct {
	Asked, Nearest string
	There          []string
}

func (e *UnknownSheet) Error() string {
	if e.Nearest != "" {
		return fmt.Sprintf("%v %q, did you mean %q?", ErrUnknownSheet, e.Asked, e.Nearest)
	}
	return fmt.Sprintf("%v %q, there are: %s", ErrUnknownSheet, e.Asked, strings.Join(e.There, ", "))
}

func (e *UnknownSheet) Unwrap() error { return ErrUnknownSheet }

// ErrBrokenSheet says that the shop's sheet of that name has mistakes. A shipped
// sheet of the same name is not taken instead: its example limits are not the
// shop's.
var ErrBrokenSheet = errors.New("the sheet has mistakes")

// Book holds the axle sheets: the shipped ones and, over them, the shop's own.
// It does not change once it is loaded, so any number of readers may share it.
type Book struct {
	pages map[string]page
}

// page is one sheet with the text it was read from.
type page struct {
	sheet   *Sheet // nil where it has mistakes
	file    string
	text    []byte
	shipped bool
	problem error
}

// Folders of a shop that are read.
const (
	sheetFolder = "sheets"
	ruleFolder  = "rules"
)

// LoadBook reads the shipped sheets and the files sheets/*.yaml of the shop's
// folder, which may be nil. A sheet of the shop replaces a shipped one of the
// same name. The report has every mistake; sheets without one can be used.
func LoadBook(shop fs.FS) (*Book, *Report) {
	report := &Report{}
	b := &Book{pages: map[string]page{}}
	b.load(shipped, true, report)
	if shop != nil {
		b.load(shop, false, report)
	}
	report.sort()
	return b, report
}

func (b *Book) load(dir fs.FS, own bool, report *Report) {
	for _, file := range yamlFiles(dir, sheetFolder, report) {
		name := strings.TrimSuffix(path.Base(file), ".yaml")
		if name != plainName(name) {
			report.Problems = append(report.Problems, Problem{File: file,
				Text: fmt.Sprintf("%q cannot be the name of a sheet", name), Hint: "small letters, digits and hyphens, for example " + plainName(name) + ".yaml"})
			continue
		}
		p := page{file: file, shipped: own}
		before := len(report.Problems)
		if text, ok := readFile(dir, file, report); ok {
			p.text = text
			p.sheet = ReadSheet(name, file, text, report)
		}
		if p.sheet == nil {
			first := Report{Problems: report.Problems[before:]}
			p.problem = fmt.Errorf("%w: %w", ErrBrokenSheet, first.Err())
		}
		b.pages[name] = p
	}
}

// Names lists the sheets that can be used, in order.
func (b *Book) Names() []string {
	var names []string
	for _, name := range slices.Sorted(maps.Keys(b.pages)) {
		if b.pages[name].sheet != nil {
			names = append(names, name)
		}
	}
	return names
}

// Sheet gives the sheet of that name; capitals and spaces do not matter. It errs
// with ErrUnknownSheet, naming the nearest, or with ErrBrokenSheet and the first
// mistake. Nobody may change the sheet it gives.
func (b *Book) Sheet(name string) (*Sheet, error) {
	p, err := b.page(name)
	switch {
	case err != nil:
		return nil, err
	case p.sheet == nil:
		return nil, p.problem
	}
	return p.sheet, nil
}

// Source gives the YAML text of a sheet, to start one's own from, and the file
// it was read from. shipped says whether it came with the program.
func (b *Book) Source(name string) (text []byte, file string, shipped bool, err error) {
	p, err := b.page(name)
	if err != nil {
		return nil, "", false, err
	}
	return slices.Clone(p.text), p.file, p.shipped, nil
}

func (b *Book) page(name string) (page, error) {
	if p, ok := b.pages[plainName(name)]; ok {
		return p, nil
	}
	unknown := &UnknownSheet{Asked: short(name), There: b.Names()}
	if best, ok := nearest(plainName(name), slices.Collect(maps.Keys(b.pages))); ok {
		unknown.Nearest = best
	}
	return page{}, unknown
}

// plainName turns what a person typed into the form of a sheet's name: small
// letters and digits, joined by single hyphens.
func plainName(name string) string {
	var b strings.Builder
	for _, r := range strings.ToLower(name) {
		switch {
		case r >= 'a' && r <= 'z' || r >= '0' && r <= '9':
			b.WriteRune(r)
		case b.Len() > 0 && !strings.HasSuffix(b.String(), "-"):
			b.WriteByte('-')
		}
	}
	return strings.TrimSuffix(b.String(), "-")
}
