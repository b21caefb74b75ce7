// Package phrase keeps what the assistant says, by dialog and language: one file
// en/<dialog>.yaml and the same in every other language's folder.
//
// A file is a flat map of keys to texts. The code asks for "<dialog>.<key>" and
// hands over the values by name:
//
//	approved: approved by {by}, for the {n} {n:reading|readings} on record now.
//
//	speaker.Say("review.approved", "by", "mo", "n", 3)
//
// {name} is replaced by the value. {name:one|many} gives the first form where the
// value is 1 and the second otherwise. {name?text} gives the text where the value
// is there: not empty, not zero, not false. A literal brace is written twice.
//
// A test holds every language complete: the same keys and names as English, and no
// key in the code that the files lack or the other way round. So that it can find
// them, keys stand in the code as whole literals.
package phrase

import (
	"embed"
	"fmt"
	"io/fs"
	"path"
	"slices"
	"strings"

	"go.yaml.in/yaml/v4"
)

//go:embed en/*.yaml es/*.yaml
var files embed.FS

// Language is a language the assistant speaks, by its ISO 639-1 code.
type Language string

// The languages there are.
const (
	English Language = "en"
	Spanish Language = "es"
)

// Languages lists them, the first being the one the others are held against.
func Languages() []Language { return []Language{English, Spanish} }

// Book holds the phrases of all languages. It is not changed after Load.
type Book struct {
	texts map[Language]map[string]text
}

// Load reads the phrases that are built in. It errs where a file is no flat map of
// texts, or a text is not well formed.
func Load() (*Book, error) {
	return load(files)
}

func load(from fs.FS) (*Book, error) {
	b := &Book{texts: map[Language]map[string]text{}}
	for _, lang := range Languages() {
		b.texts[lang] = map[string]text{}
		names, err := fs.Glob(from, string(lang)+"/*.yaml")
		if err != nil {
			return nil, err
		}
		for _, name := range names {
			if err := b.read(from, lang, name); err != nil {
				return nil, fmt.Errorf("%s: %w", name, err)
			}
		}
	}
	return b, nil
}

func (b *Book) read(from fs.FS, lang Language, name string) error {
	data, err := fs.ReadFile(from, name)
	if err != nil {
		return err
	}
	var flat map[string]string
	if err := yaml.Unmarshal(data, &flat); err != nil {
		return err
	}
	dialog := strings.TrimSuffix(path.Base(name), ".yaml")
	for key, source := range flat {
		t, err := parse(source)
		if err != nil {
			return fmt.Errorf("%s: %w", key, err)
		}
		b.texts[lang][dialog+"."+key] = t
	}
	return nil
}

// Keys lists the keys of a language in order.
func (b *Book) Keys(lang Language) []string {
	keys := make([]string, 0, len(b.texts[lang]))
	for k := range b.texts[lang] {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return keys
}

// In gives the speaker of a language, English where the language is empty or
// unknown.
func (b *Book) In(lang Language) Speaker {
	if _, ok := b.texts[lang]; !ok {
		lang = English
	}
	return Speaker{book: b, Language: lang}
}

// Speaker says phrases in one language. Its zero value knows none.
type Speaker struct {
	book     *Book
	Language Language
}

// Say gives the phrase of a key with the values put in: name and value in turn.
// What a language lacks is said in English; a key or a value nobody gave shows in
// angle brackets, which the tests look for, and never breaks an answer.
func (s Speaker) Say(key string, namesAndValues ...any) string {
	if s.book == nil {
		return "‹" + key + "›"
	}
	t, ok := s.book.texts[s.Language][key]
	if !ok {
		t, ok = s.book.texts[English][key]
	}
	if !ok {
		return "‹" + key + "›"
	}
	return t.fill(namesAndValues)
}

// Speaks says whether the speaker has a book.
func (s Speaker) Speaks() bool { return s.book != nil }

// Has says whether the book knows a key.
func (s Speaker) Has(key string) bool {
	if s.book == nil {
		return false
	}
	_, ok := s.book.texts[English][key]
	return ok
}
