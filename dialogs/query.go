package dialogs

import (
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode"
)

// query is what somebody looks for among the jobs. Empty fields ask for nothing.
type query struct {
	number   int
	sheet    string
	by       string
	states   []CardState
	from, to time.Time // [from, to)
	words    []string  // each the beginning of a word of the job
}

// seeking says whether a message looks for jobs ("jobs by ann last week", "find
// whine") and gives the words behind the first. A bare "jobs" looks for nothing.
func seeking(text string) (rest []string, ok bool) {
	words := strings.FieldsFunc(strings.ToLower(strings.TrimSpace(text)), func(r rune) bool {
		return unicode.IsSpace(r) || strings.ContainsRune(",;:?!\"'", r)
	})
	if len(words) < 2 || strings.ContainsRune(text, '\n') {
		return nil, false
	}
	switch words[0] {
	case "jobs", "find", "trabajos", "busca", "buscar":
		return words[1:], true
	}
	return nil, false
}

// small words that mean nothing to a search.
func small(w string) bool {
	switch w {
	case "the", "a", "an", "job", "jobs", "on", "in", "for", "of", "with", "from", "at", "all", "that", "were", "was", "is", "are", "please", "me", "show", "under", "way",
		"el", "la", "los", "las", "de", "del", "en", "con", "trabajo", "trabajos", "que", "por", "favor":
		return true
	}
	return false
}

// stateWord gives the states a word asks for.
func stateWord(w string) []CardState {
	switch w {
	case "open", "abiertos", "abierto":
		return []CardState{CardOpen, CardWaiting, CardHeld, CardGood, CardBreakIn}
	case "waiting", "review", "esperando", "revisión", "revision":
		return []CardState{CardWaiting}
	case "held", "hold", "stopped", "espera", "parados":
		return []CardState{CardHeld}
	case "good", "finished", "done", "terminados":
		return []CardState{CardGood}
	case "break-in", "breakin", "asentamiento":
		return []CardState{CardBreakIn}
	case "closed", "cerrados", "cerrado":
		return []CardState{CardClosed, CardErased}
	}
	return nil
}

// readQuery understands what follows "jobs" or "find". sheet says whether a word is
// the name of an axle sheet.
func readQuery(words []string, now time.Time, sheet func(string) bool) query {
	var q query
	for i := 0; i < len(words); i++ {
		w := words[i]
		next := ""
		if i+1 < len(words) {
			next = words[i+1]
		}
		if from, to, used := span(words[i:], now); used > 0 {
			q.from, q.to = from, to
			i += used - 1
			continue
		}
		switch {
		case (w == "by" || w == "por") && next != "" && next != "favor":
			q.by = next
			i++
		case w == "break" && next == "in":
			q.states = append(q.states, CardBreakIn)
			i++
		case stateWord(w) != nil:
			q.states = append(q.states, stateWord(w)...)
		case sheet(w):
			q.sheet = w
		case small(w):
		default:
			if n, err := strconv.Atoi(strings.TrimPrefix(w, "#")); err == nil && n > 0 {
				q.number = n
				continue
			}
			q.words = append(q.words, w)
		}
	}
	return q
}

// span reads a time at the beginning of words: today, last week, october, october
// 2030, 2030-10, 2030-10-05, since 2030-10-05; used is how many words it took.
func span(words []string, now time.Time) (from, to time.Time, used int) {
	day := time.Date(now.Year(), now.Month(), now.Day(), 0, 0, 0, 0, now.Location())
	week := day.AddDate(0, 0, -(int(day.Weekday())+6)%7) // weeks begin on Monday, ISO 8601
	month := time.Date(now.Year(), now.Month(), 1, 0, 0, 0, 0, now.Location())
	two := words[0]
	if len(words) > 1 {
		two += " " + words[1]
	}
	switch two {
	case "this week", "esta semana":
		return week, week.AddDate(0, 0, 7), 2
	case "last week", "semana pasada":
		return week.AddDate(0, 0, -7), week, 2
	case "this month", "este mes":
		return month, month.AddDate(0, 1, 0), 2
	case "last month", "mes pasado":
		return month.AddDate(0, -1, 0), month, 2
	case "this year", "este año":
		return time.Date(now.Year(), 1, 1, 0, 0, 0, 0, now.Location()), time.Date(now.Year()+1, 1, 1, 0, 0, 0, 0, now.Location()), 2
	case "last year", "año pasado":
		return time.Date(now.Year()-1, 1, 1, 0, 0, 0, 0, now.Location()), time.Date(now.Year(), 1, 1, 0, 0, 0, 0, now.Location()), 2
	}
	switch words[0] {
	case "today", "hoy":
		return day, day.AddDate(0, 0, 1), 1
	case "yesterday", "ayer":
		return day.AddDate(0, 0, -1), day, 1
	case "since", "desde":
		if len(words) > 1 {
			if from, _, ok := dated(words[1], now.Location()); ok {
				return from, day.AddDate(0, 0, 1), 2
			}
		}
	}
	if from, to, ok := dated(words[0], now.Location()); ok {
		return from, to, 1
	}
	if m := monthOf(words[0]); m != 0 {
		year, used := now.Year(), 1
		if m > now.Month() {
			year-- // the last one there was
		}
		if len(words) > 1 {
			if y, err := strconv.Atoi(words[1]); err == nil && y > 1990 && y < 2200 {
				year, used = y, 2
			}
		}
		from = time.Date(year, m, 1, 0, 0, 0, 0, now.Location())
		return from, from.AddDate(0, 1, 0), used
	}
	return time.Time{}, time.Time{}, 0
}

// dated reads 2030-10-05, 2030-10 and 2030.
func dated(w string, zone *time.Location) (from, to time.Time, ok bool) {
	for _, c := range []struct {
		layout              string
		years, months, days int
	}{{"2006-01-02", 0, 0, 1}, {"2006-01", 0, 1, 0}, {"2006", 1, 0, 0}} {
		if t, err := time.ParseInLocation(c.layout, w, zone); err == nil && t.Year() > 1990 && t.Year() < 2200 {
			return t, t.AddDate(c.years, c.months, c.days), true
		}
	}
	return time.Time{}, time.Time{}, false
}

func monthOf(w string) time.Month {
	english := []string{"january", "february", "march", "april", "may", "june", "july", "august", "september", "october", "november", "december"}
	spanish := []string{"enero", "febrero", "marzo", "abril", "mayo", "junio", "julio", "agosto", "septiembre", "octubre", "noviembre", "diciembre"}
	if i := slices.Index(english, w); i >= 0 {
		return time.Month(i + 1)
	}
	if i := slices.Index(spanish, w); i >= 0 {
		return time.Month(i + 1)
	}
	if len(w) == 3 && w != "mar" && w != "may" {
		for i, name := range english {
			if strings.HasPrefix(name, w) {
				return time.Month(i + 1)
			}
		}
	}
	return 0
}

// fits says whether a job is what is looked for.
func (q query) fits(l JobLine, c Card) bool {
	switch {
	case q.number != 0 && l.Number != q.number,
		q.sheet != "" && l.Sheet != q.sheet,
		q.by != "" && !q.person(l, c),
		len(q.states) > 0 && !slices.Contains(q.states, c.State):
		return false
	}
	if !q.from.IsZero() {
		begin, end := l.At, c.Last
		if slices.Contains(q.states, CardClosed) {
			begin = end // when it was closed
		}
		if end.Before(q.from) || !begin.Before(q.to) {
			return false
		}
	}
	for _, w := range q.words {
		if !q.word(w, l, c) {
			return false
		}
	}
	return true
}

func (q query) person(l JobLine, c Card) bool {
	if strings.EqualFold(l.By, q.by) {
		return true
	}
	return slices.ContainsFunc(c.People, func(p string) bool {
		return strings.EqualFold(p, q.by) || strings.HasPrefix(strings.ToLower(p), q.by+" ")
	})
}

// word says whether a word is the beginning of one of the job's.
func (q query) word(w string, l JobLine, c Card) bool {
	at, found := slices.BinarySearch(c.Words, w)
	if found || at < len(c.Words) && strings.HasPrefix(c.Words[at], w) {
		return true
	}
	return strings.HasPrefix(l.Sheet, w) || strings.Contains(strings.ToLower(l.Title), w) ||
		slices.ContainsFunc(c.People, func(p string) bool { return strings.HasPrefix(strings.ToLower(p), w) })
}
