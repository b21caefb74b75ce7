package phrase

import (
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// One word for one thing: on the left what is not used in Spanish texts, on the
// right what is. Trade words as workshops in the Americas use them; common
// practice, no source.
var spanishWords = map[string]string{
	"suplemento": "laina", "lámina": "hoja", "pila": "paquete", "portador": "portacorona", "colapsable": "deformable", "palier": "semieje",
	"shim": "laina", "backlash": "juego", "lash": "juego", "ring gear": "corona", "pinion": "piñón", "carrier": "portacorona", "housing": "carcasa",
	"toe": "punta", "heel": "talón", "runout": "alabeo", "preload": "precarga", "drag": "arrastre", "bearing": "rodamiento", "break-in": "asentamiento", "rodaje": "asentamiento", "torre": "caballete",
}

// Words that are typed as they are, in any language.
var typedWords = regexp.MustCompile(`\b(lash|shim) [0-9{]`)

// notSpanish finds the words on the left, each by itself or as a plural.
var notSpanish = func() *regexp.Regexp {
	words := slices.Collect(maps.Keys(spanishWords))
	return regexp.MustCompile(`(^|[^\pL])(` + strings.Join(words, "|") + `)(s|es)?($|[^\pL])`)
}()

func TestSpanishKeepsToItsWords(t *testing.T) {
	b, err := Load()
	if err != nil {
		t.Fatal(err)
	}
	for key, text := range b.texts[Spanish] {
		checkSpanish(t, key, text.plain())
	}
	files, err := filepath.Glob(filepath.Join("..", "..", "rules", "shop", "*.yaml"))
	if err != nil || len(files) == 0 {
		t.Fatalf("%d rule files: %v", len(files), err)
	}
	figure := regexp.MustCompile(`\{[^}]*\}`)
	in := false
	for _, file := range files {
		data, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		for line := range strings.SplitSeq(string(data), "\n") {
			switch {
			case line == "    es:":
				in = true
			case !strings.HasPrefix(line, "      "):
				in = false
			case in:
				_, said, _ := strings.Cut(line, ": ")
				checkSpanish(t, filepath.Base(file), figure.ReplaceAllString(said, "…"))
			}
		}
	}
}

func checkSpanish(t *testing.T, where, said string) {
	t.Helper()
	if strings.Count(said, "?") != strings.Count(said, "¿") {
		t.Errorf("%s: a question has two marks: %s", where, said)
	}
	low := typedWords.ReplaceAllString(strings.ToLower(said), "")
	for _, not := range notSpanish.FindAllStringSubmatch(low, -1) {
		t.Errorf("%s says %q, which is %q here: %s", where, not[2], spanishWords[not[2]], said)
	}
}

// plain gives the words of a text without its values.
func (t text) plain() string {
	var b strings.Builder
	for _, p := range t {
		b.WriteString(p.plain)
		b.WriteString(p.one + p.many)
		if p.form == asValue && p.name != "" {
			b.WriteString("…")
		}
	}
	return b.String()
}
