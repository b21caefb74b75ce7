package dialogs_test

import (
	"bufio"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"
	"unicode"
	"unicode/utf8"

	"go.yaml.in/yaml/v4"

	"shimwright/dialogs"
	"shimwright/dialogs/phrase"
	"shimwright/dialogs/picture"
	"shimwright/dialogs/sheet"
)

// Words of English texts that may stand in Spanish ones: names, units, and what is
// typed as it is in any language.
var asTheyAre = strings.Fields(`
	ann ben mo mentor owner customer person
	lapwing saltmarsh curlew dunlin shingle bank shimwright
	in mm mi km h min ft lb lbf mph °f °c deg rpm qt us pt l gl w csv json pdf
`)

// clippedQuote is what somebody typed, cut short.
var clippedQuote = regexp.MustCompile(`"[^"]+…"`)

var wordsOf = regexp.MustCompile(`[\pL]+(?:'[\pL]+)?`)

// english gives the words that are English and not Spanish: those of the texts the
// program has in both languages that stand only in the English ones.
func english(t testing.TB) map[string]bool {
	t.Helper()
	found := map[string]bool{}
	var spanish []string
	take := func(text string, es bool) {
		for _, w := range wordsOf.FindAllString(strings.ToLower(text), -1) {
			if es {
				spanish = append(spanish, w)
			} else {
				found[w] = true
			}
		}
	}
	value := regexp.MustCompile(`\{[^}|]*\}`)
	names := regexp.MustCompile(`\{\w+[?:]`)
	for _, lang := range []string{"en", "es"} {
		files, err := filepath.Glob(filepath.Join("phrase", lang, "*.yaml"))
		if err != nil || len(files) == 0 {
			t.Fatalf("%d files of %s: %v", len(files), lang, err)
		}
		for _, file := range files {
			data, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			var texts map[string]string
			if err := yaml.Unmarshal(data, &texts); err != nil {
				t.Fatal(err)
			}
			for _, text := range texts {
				take(names.ReplaceAllString(value.ReplaceAllString(text, " "), " "), lang == "es")
			}
		}
		labels := reflect.ValueOf(picture.LabelsIn(lang))
		for i := range labels.NumField() {
			if s, ok := labels.Field(i).Interface().(string); ok {
				take(value.ReplaceAllString(s, " "), lang == "es")
			}
		}
	}
	for _, folder := range []string{"shop", "sheets"} {
		files, err := filepath.Glob(filepath.Join("..", "rules", folder, "*.yaml"))
		if err != nil || len(files) == 0 {
			t.Fatalf("%d files in %s: %v", len(files), folder, err)
		}
		for _, file := range files {
			data, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			var root yaml.Node
			if err := yaml.Unmarshal(data, &root); err != nil {
				t.Fatal(err)
			}
			takeYAML(&root, false, func(text string, es bool) { take(value.ReplaceAllString(text, " "), es) })
		}
	}
	for _, w := range append(spanish, asTheyAre...) {
		delete(found, w)
	}
	return found
}

// takeYAML gives the texts for people in a file of rules or a sheet.
func takeYAML(n *yaml.Node, es bool, take func(string, bool)) {
	for i, c := range n.Content {
		if n.Kind != yaml.MappingNode {
			takeYAML(c, es, take)
			continue
		}
		if i%2 == 0 {
			continue
		}
		switch key := n.Content[i-1].Value; {
		case key == "es":
			takeYAML(c, true, take)
		case c.Kind != yaml.ScalarNode:
			takeYAML(c, es, take)
		case es || slices.Contains([]string{"text", "hint", "title", "name", "note"}, key):
			take(c.Value, es)
		}
	}
}

// spanishShop plays whole chats with the desk alone, and hears of every text that
// comes out of it.
type spanishShop struct {
	t     testing.TB
	desk  *dialogs.Desk
	words map[string]bool
	found map[string]string // a text with English words, and where it was said first

	jobs []*dialogs.Job
	here int // the number of the job talked about, 0 for the shop
	now  time.Time
	n    int
	past []string
	said []string // what people typed, in small letters
	// loose is a message whose single words may come back, in a figure or a place as it
	// was typed.
	loose string
	rules *strings.Replacer // takes the names of rules out of a text
}

var spanishPeople = map[string]dialogs.Person{
	"ann":      {Name: "ann", Role: dialogs.Technician, Language: phrase.Spanish},
	"ben":      {Name: "ben", Role: dialogs.Apprentice, Language: phrase.Spanish},
	"mentor":   {Name: "mentor", Role: dialogs.Mentor, Language: phrase.Spanish},
	"owner":    {Name: "owner", Role: dialogs.Owner, Language: phrase.Spanish},
	"customer": {Name: "customer", Role: dialogs.Customer, Language: phrase.Spanish},
}

// ruleNames takes the names of the shipped rules out of a text: they are names.
func ruleNames(t testing.TB) *strings.Replacer {
	t.Helper()
	files, err := filepath.Glob(filepath.Join("..", "rules", "shop", "*.yaml"))
	if err != nil || len(files) == 0 {
		t.Fatalf("%d rule files: %v", len(files), err)
	}
	var pairs []string
	for _, file := range files {
		data, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range regexp.MustCompile(`(?m)^  - id: (\S+)$`).FindAllStringSubmatch(string(data), -1) {
			pairs = append(pairs, " "+m[1], " ")
		}
	}
	return strings.NewReplacer(pairs...)
}

// check looks for English words in a text.
func (s *spanishShop) check(where, text string) {
	for line := range strings.SplitSeq(text, "\n") {
		left := s.rules.Replace(strings.ToLower(line))
		left = clippedQuote.ReplaceAllStringFunc(left, func(quote string) string {
			if slices.ContainsFunc(s.said, func(typed string) bool { return strings.HasPrefix(typed, strings.Trim(quote, `"…`)) }) {
				return ""
			}
			return quote
		})
		for _, typed := range s.said {
			left = without(left, typed)
		}
		var bad []string
		for _, w := range wordsOf.FindAllString(left, -1) {
			if s.words[w] && (s.loose == "" || !slices.Contains(wordsOf.FindAllString(s.loose, -1), w)) {
				bad = append(bad, w)
			}
		}
		if len(bad) > 0 {
			if _, ok := s.found[line]; !ok {
				s.found[line] = where + " " + fmt.Sprint(bad)
			}
		}
	}
}

// without takes a text that was typed out of another, where it stands there by whole
// words.
func without(text, typed string) string {
	for from := 0; ; {
		i := strings.Index(text[from:], typed)
		if i < 0 {
			return text
		}
		i += from
		before, _ := utf8.DecodeLastRuneInString(text[:i])
		after, _ := utf8.DecodeRuneInString(text[i+len(typed):])
		if unicode.IsLetter(before) || unicode.IsLetter(after) {
			from = i + len(typed)
			continue
		}
		text, from = text[:i]+" "+text[i+len(typed):], i
	}
}

// typed remembers what somebody typed, and every end of it of two words and more,
// since reasons and titles are the end of a message; of a short message single words
// too.
func (s *spanishShop) typed(text string) {
	low := strings.ToLower(text)
	least := 2
	if len(strings.Fields(text)) <= 3 {
		least = 1
	}
	for {
		low = strings.Trim(low, " ,.:;")
		if len(strings.Fields(low)) < least {
			break
		}
		s.said = append(s.said, low)
		if r := []rune(low); len(r) > 40 {
			s.said = append(s.said, string(r[:39]))
		}
		_, low, _ = strings.Cut(low, " ")
	}
	slices.SortFunc(s.said, func(a, b string) int { return len(b) - len(a) })
	s.said = slices.Compact(s.said)
}

func (s *spanishShop) out(where string, out []dialogs.Outgoing) {
	for _, o := range out {
		s.check(where, o.Text)
		s.check(where, strings.Join(o.Choices, "\n"))
		for _, p := range o.Picture {
			s.check(where, p.Alt())
		}
		for _, p := range o.Photos {
			s.check(where, p.Alt)
		}
		s.past = append(s.past, "bot: "+o.Text)
	}
}

func (s *spanishShop) keep(where string, j *dialogs.Job, r dialogs.Reply) {
	var records [][]byte
	for _, e := range r.Events {
		b, err := dialogs.Encode(e)
		if err != nil {
			s.t.Fatal(err)
		}
		records = append(records, b)
	}
	if err := j.Extend(records); err != nil {
		s.t.Fatal(err)
	}
	s.out(where, r.Out)
}

func (s *spanishShop) view() dialogs.View {
	v := dialogs.View{Cards: map[int]dialogs.Card{}}
	for i, j := range s.jobs {
		line := dialogs.JobLine{Number: i + 1, ID: j.ID, Sheet: j.Sheet, Title: j.Title, By: j.OpenedBy, At: j.OpenedAt, Closed: j.Closed}
		v.All = append([]dialogs.JobLine{line}, v.All...)
		if i+1 == s.here {
			v.Here = &line
		}
		if w, ok := s.desk.WaitingLook(j); ok {
			v.Waiting = append(v.Waiting, w)
		}
	}
	return v
}

// hear takes one message.
func (s *spanishShop) hear(where, who, text, edits string) {
	s.n++
	s.now = s.now.Add(20 * time.Second)
	said := dialogs.Said{ID: fmt.Sprint("m", s.n), By: spanishPeople[who], At: s.now, Text: text, Context: slices.Clone(s.past[max(0, len(s.past)-6):]), Edits: edits}
	s.typed(text)
	if rest, ok := strings.CutPrefix(text, "photo "); ok {
		_, said.Text, _ = strings.Cut(rest, " ")
		said.Files = []dialogs.Photo{{ID: fmt.Sprint("f", s.n), Type: "image/jpeg", Width: 10, Height: 10, Bytes: 100, Caption: said.Text}}
	}
	s.past = append(s.past, "tech: "+text)
	door := s.desk.Door(said, s.view())
	s.out(where, door.Out)
	switch {
	case door.Open != nil:
		j, err := dialogs.Fold(fmt.Sprint(len(s.jobs)+1), nil)
		if err != nil {
			s.t.Fatal(err)
		}
		reply, err := s.desk.Opened(len(s.jobs)+1, *door.Open, said)
		if err != nil {
			s.t.Fatal(err)
		}
		s.jobs = append(s.jobs, j)
		s.here = len(s.jobs)
		s.keep(where, j, reply)
	case door.Switch > 0 && door.Switch <= len(s.jobs):
		s.here = door.Switch
	case door.Handled || s.here == 0:
	default:
		j := s.jobs[s.here-1]
		reply, err := s.desk.Answer(j, said)
		if err != nil {
			s.t.Fatalf("%s: %v", where, err)
		}
		s.keep(where, j, reply)
	}
}

// wait moves the clock and has said what is due.
func (s *spanishShop) wait(where string, d time.Duration) {
	end := s.now.Add(d)
	for _, j := range s.jobs {
		for range 20 {
			all, err := s.desk.Timers(j)
			if err != nil {
				s.t.Fatal(err)
			}
			if len(all) == 0 || all[0].Due.After(end) {
				break
			}
			s.now = all[0].Due
			reply, err := s.desk.Due(j, all[0].Key, all[0].Due, s.now, spanishPeople["ann"])
			if err != nil || len(reply.Events) == 0 {
				break
			}
			s.keep(where, j, reply)
		}
	}
	s.now = end
}

// printed looks through the summaries of all jobs.
func (s *spanishShop) printed(where string) {
	for _, j := range s.jobs {
		r, err := s.desk.Record(j, spanishPeople["owner"], nil)
		if err != nil {
			s.t.Fatal(err)
		}
		s.record(where+" sheet", reflect.ValueOf(r))
	}
}

// record looks through the texts of a record that are for people.
func (s *spanishShop) record(where string, v reflect.Value) {
	switch v.Kind() {
	case reflect.Pointer:
		if !v.IsNil() {
			s.record(where, v.Elem())
		}
	case reflect.Slice:
		for i := range v.Len() {
			s.record(where, v.Index(i))
		}
	case reflect.Struct:
		if v.Type() == reflect.TypeFor[time.Time]() || v.Type() == reflect.TypeFor[sheet.Mark]() || v.Type().PkgPath() != reflect.TypeFor[sheet.Record]().PkgPath() {
			return
		}
		for i := range v.NumField() {
			f := v.Type().Field(i)
			if f.Type.Kind() == reflect.String && slices.Contains([]string{"ID", "Language", "Units", "Axle", "State", "Decision", "Step", "Field", "Rule", "Level", "Unit", "Kind", "Role", "LeavesFrom", "By", "Thread", "Said"}, f.Name) {
				continue
			}
			s.record(where+"."+f.Name, v.Field(i))
		}
	case reflect.String:
		s.check(where, v.String())
	}
}

func (s *spanishShop) play(file string) {
	f, err := os.Open(file)
	if err != nil {
		s.t.Fatal(err)
	}
	defer f.Close()
	s.jobs, s.here, s.past, s.said = nil, 0, nil, nil
	s.now = time.Date(2031, 3, 4, 9, 0, 0, 0, time.UTC)
	lines := bufio.NewScanner(f)
	for n := 1; lines.Scan(); n++ {
		line, where := lines.Text(), fmt.Sprintf("%s:%d", filepath.Base(file), n)
		who, text, _ := strings.Cut(line, "> ")
		switch {
		case strings.HasPrefix(line, "clock +"):
			d := strings.TrimPrefix(line, "clock +")
			if days, ok := strings.CutSuffix(d, "d"); ok {
				n, _ := strconv.Atoi(days)
				d = fmt.Sprint(24*n, "h")
			}
			wait, err := time.ParseDuration(d)
			if err != nil {
				s.t.Fatal(err)
			}
			s.wait(where, wait)
		case strings.HasPrefix(line, "shop>"):
			s.here = 0
		case strings.HasPrefix(line, "#") && strings.HasSuffix(line, ">"):
			s.here, _ = strconv.Atoi(strings.Trim(line, "#>"))
		case who == "edit":
			s.hear(where, "ann", text, fmt.Sprint("m", s.n))
		case spanishPeople[who].Name != "" && !strings.Contains(text, "language ") && !strings.Contains(text, "idioma"):
			s.hear(where, who, text, "")
		}
	}
	s.printed(filepath.Base(file))
}

// walk goes through a job on a sheet, question by question: why it is asked, how it
// stands, and past it.
func (s *spanishShop) walk(sheet string) {
	s.jobs, s.here, s.past, s.said = nil, 0, nil, nil
	s.now = time.Date(2031, 3, 4, 9, 0, 0, 0, time.UTC)
	n := 0
	hear := func(who, text string) {
		n++
		s.hear(fmt.Sprintf("%s, %d: %s", sheet, n, text), who, text, "")
	}
	hear("ben", "abrir "+sheet+" zumba en retención")
	asked := map[string]bool{}
	job := s.jobs[0]
	for range 150 {
		axle, err := s.desk.Sheets.Sheet(sheet)
		if err != nil {
			s.t.Fatal(err)
		}
		step, field := dialogs.Next(axle, job)
		if field == nil {
			break
		}
		name := fmt.Sprint(field.Slot, field.Facts, field.Choice, field.Fastener, field.Act)
		key := fmt.Sprint(step.No, " ", name)
		switch {
		case field.Act == "review":
			look := 0
			for _, r := range job.Reviews {
				look = max(look, r.Look)
			}
			hear("mentor", "revisiones")
			hear("mentor", fmt.Sprint("aprobado ", look))
			if key := fmt.Sprint("look ", look); asked[key] {
				s.t.Fatalf("%s: look %d stays open", sheet, look)
			} else {
				asked[key] = true
			}
		case !asked[key]:
			asked[key] = true
			hear("ben", "¿por qué?")
			hear("ben", "saltar no lo medí")
		case !asked[key+" step"]:
			asked[key+" step"] = true
			hear("mentor", "estado")
			hear("ben", fmt.Sprintf("saltar %d hecho a mano", step.No))
		default:
			s.t.Fatalf("%s stops at step %d, %s", sheet, step.No, name)
		}
	}
	for _, question := range strings.Split(spanishQuestions, "\n") {
		hear("ann", question)
	}
	s.printed(sheet)
}

// What can be asked in a job at any time.
const spanishQuestions = `registro
registro all
etiquetas
lista de piezas
herramientas
lista de pares
daños
revisiones
ayuda
resumen
hoja
¿qué es la punta?
¿cuánto juego debe tener?
¿cuánto arrastre debe tener el piñón?
¿qué aceite lleva?
¿cómo va el asentamiento?
¿qué lainas tenía?
¿cómo se lee la huella?
¿a cuánto caliento la corona?
corona azulada, piñón picado
cuánto es 15 inlb en nm
undo
deshacer
juego 9
laina 30
5 de un lado al otro
cerrar el trabajo no vino el cliente
reabrir`

// With everybody answered in Spanish no English word is said: in the golden chats, on
// the way through every step of every sheet, in the summaries, and in what single
// messages of the corpus of shop talk lead to. What a person typed may come back as
// it was.
func TestNothingIsSaidInEnglishToWhoSpeaksSpanish(t *testing.T) {
	s := &spanishShop{t: t, desk: newDesk(t), words: english(t), rules: ruleNames(t), found: map[string]string{}}
	if !s.words["bearing"] || !s.words["backlash"] || s.words["corona"] || len(s.words) < 800 {
		t.Fatalf("%d English words, without some of the plainest", len(s.words))
	}
	files, err := filepath.Glob(filepath.Join("..", "testdata", "chats", "*.txt"))
	if err != nil || len(files) == 0 {
		t.Fatalf("%d chats: %v", len(files), err)
	}
	sheets, every := s.desk.Sheets.Names(), 9
	if raceOn {
		t.Log("the race detector is on: a part of the chats only, since nothing here runs at once")
		files, sheets, every = files[:3], sheets[:1], 90
	}
	for _, file := range files {
		s.play(file)
	}
	for _, sheet := range sheets {
		s.walk(sheet)
	}
	s.single(every)
	for text, where := range s.found {
		t.Errorf("%s: %s", where, text)
	}
}

// single has messages of the corpus answered where there is no job, some of each file.
func (s *spanishShop) single(every int) {
	sets, err := filepath.Glob(filepath.Join("listen", "testdata", "*.jsonl"))
	if err != nil || len(sets) == 0 {
		s.t.Fatalf("%d files of shop talk: %v", len(sets), err)
	}
	for _, file := range sets {
		data, err := os.ReadFile(file)
		if err != nil {
			s.t.Fatal(err)
		}
		for n, line := range strings.Split(string(data), "\n") {
			if n%every != 0 || line == "" {
				continue
			}
			var m struct{ Text string }
			if err := json.Unmarshal([]byte(line), &m); err != nil {
				s.t.Fatal(err)
			}
			s.jobs, s.here, s.past, s.said = nil, 0, nil, nil
			s.loose = strings.ToLower(m.Text)
			s.hear(fmt.Sprintf("%s:%d", filepath.Base(file), n+1), "ann", m.Text, "")
		}
	}
	s.loose = ""
}
