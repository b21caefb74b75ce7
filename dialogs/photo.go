package dialogs

import (
	"regexp"
	"slices"
	"strconv"
	"strings"

	"shimwright/dialogs/listen"
)

// Photo is a photo that came with a message and is kept. Caption is what stood with
// it, the message's own text.
type Photo struct {
	ID      string `json:"id"`
	Type    string `json:"type"`   // media type, always one of a picture
	Width   int    `json:"width"`  // pixels
	Height  int    `json:"height"` // pixels
	Bytes   int    `json:"bytes"`
	Caption string `json:"caption,omitempty"`
}

// Unkept is a picture that came with a message and is not kept.
type Unkept struct {
	Name string
	Why  UnkeptReason
}

// UnkeptReason says why a picture is not kept.
type UnkeptReason string

// The reasons.
const (
	UnkeptType    UnkeptReason = "type"    // of a kind that is not read
	UnkeptSize    UnkeptReason = "size"    // too many bytes or pixels
	UnkeptDamaged UnkeptReason = "damaged" // no picture inside, or half of one
	UnkeptFetch   UnkeptReason = "fetch"   // the platform did not give it
	UnkeptFull    UnkeptReason = "full"    // the job has as many as it may
	UnkeptClosed  UnkeptReason = "closed"  // the job is
	UnkeptEarly   UnkeptReason = "early"   // there is no job yet
)

// PhotoRef is a kept photo to be shown with a message.
type PhotoRef struct {
	Job int    `json:"job"`
	ID  string `json:"id"`
	Alt string `json:"alt"` // what is said to be seen on it
}

// Shown is what a photo was said to show.
type Shown string

// What photos are told apart by.
const (
	ShowsDrive Shown = "drive"
	ShowsCoast Shown = "coast"
	ShowsLash  Shown = "lash" // the dial
	ShowsShims Shown = "shims"
	ShowsMark  Shown = "mark" // on the pinion head
	ShowsOther Shown = "other"
)

// shownWords are the words that say what a photo shows.
var shownWords = []struct {
	shows Shown
	words *regexp.Regexp
}{
	{ShowsDrive, regexp.MustCompile(`(?i)\b(drive|drives|tracci[oó]n|empuje)\b`)},
	{ShowsCoast, regexp.MustCompile(`(?i)\b(coast|coasts|retenci[oó]n|desaceleraci[oó]n)\b`)},
	{ShowsLash, regexp.MustCompile(`(?i)\b(lash|backlash|dial|juego|reloj)\b`)},
	{ShowsShims, regexp.MustCompile(`(?i)\b(shims?|stacks?|lea(f|ves)|laina?s?|calzas?)\b`)},
	{ShowsMark, regexp.MustCompile(`(?i)\b(markings?|etch(ed|ing)|stamp(ed|ing)?|pinion mark|head mark|grabado)\b`)},
}

// aPattern finds words for a contact pattern whose side is not said.
var aPattern = regexp.MustCompile(`(?i)\b(patterns?|paint|compound|contact|teeth|tooth|huella|patr[oó]n)\b`)

// showsIn gives what a text says a photo shows, in the order of its words.
func showsIn(text string) []Shown {
	type hit struct {
		at    int
		shows Shown
	}
	var hits []hit
	text = regexp.MustCompile(`(?i)marking compound`).ReplaceAllString(text, "compound")
	for _, w := range shownWords {
		if at := w.words.FindStringIndex(text); at != nil {
			hits = append(hits, hit{at[0], w.shows})
		}
	}
	slices.SortFunc(hits, func(a, b hit) int { return a.at - b.at })
	var out []Shown
	for _, h := range hits {
		out = append(out, h.shows)
	}
	return out
}

// slotsOf gives the readings that what is shown belongs to, as the job stands. Of
// shims and markings a photo does not say which, so it belongs to none.
func (t *turn) slotsOf(shows []Shown) []Slot {
	var out []Slot
	for _, s := range shows {
		var what listen.What
		switch s {
		case ShowsDrive:
			what = listen.PatternDrive
		case ShowsCoast:
			what = listen.PatternCoast
		case ShowsLash:
			what = listen.Backlash
		default:
			continue
		}
		var expect Slot
		if t.field != nil {
			expect = t.field.Slot
		}
		out = append(out, slotFor(listen.Reading{What: what}, t.step.ID, expect))
	}
	return out
}

// attach files the photos of a message, and tells which pictures are not kept.
func (t *turn) attach() error {
	for _, u := range t.said.Unkept {
		t.tell(t.unkept(u)...)
	}
	if len(t.said.Files) == 0 {
		return nil
	}
	shows := showsIn(t.said.Text)
	if len(shows) == 0 && t.said.Text != "" && !aPattern.MatchString(t.said.Text) {
		shows = []Shown{ShowsOther} // it has words of its own
	}
	var a attached
	for i, p := range t.said.Files {
		p.Caption = clip(t.said.Text, 200)
		of := shows
		if len(shows) > 1 && len(shows) == len(t.said.Files) && inTurn.MatchString(t.said.Text) {
			of = shows[i : i+1] // "drive, then coast"
		}
		a.Photos = append(a.Photos, attachedPhoto{Photo: p, Shows: of, Slots: t.slotsOf(of)})
	}
	first := len(t.job.Photos)
	if err := t.add(a); err != nil {
		return err
	}
	for _, p := range t.job.Photos[first:] {
		t.understood = append(t.understood, t.keptWords(p))
	}
	return nil
}

// bindPhotos files the photos of this message with the readings it brought, where
// those belong elsewhere than a photo alone would: "as found, drive heel".
func (t *turn) bindPhotos() error {
	if len(t.said.Files) == 0 {
		return nil
	}
	first := t.job.Version() - uint64(len(t.events))
	read := map[listen.What]Slot{}
	for _, e := range t.job.Log[first:] {
		if m, ok := e.payload.(*measured); ok && e.Live {
			read[m.What] = m.Slot
		}
	}
	var c captioned
	for _, p := range t.job.Photos {
		slots := slices.Clone(p.Slots)
		for i, s := range slots {
			if to, ok := read[whatOf(s)]; ok {
				slots[i] = to
			}
		}
		if p.Seq > first && !slices.Equal(slots, p.Slots) {
			c.Photos = append(c.Photos, caption{Entry: p.Seq, ID: p.ID, Shows: p.Shows, Slots: slots})
		}
	}
	if len(c.Photos) == 0 {
		return nil
	}
	return t.add(c)
}

// inTurn finds that things are named in the order of the photos.
var inTurn = regexp.MustCompile(`(?i)\b(then|first|second|luego|despu[eé]s|primer[oa]?)\b`)

// keptWords say that a photo is kept, and as what.
func (t *turn) keptWords(p JobPhoto) string {
	if len(p.Shows) == 0 || p.Shows[0] == ShowsOther {
		return t.text("photo.kept_unsaid", "n", p.No)
	}
	return t.text("photo.kept", "n", p.No, "what", t.shown(p.Shows))
}

// shown says what a photo shows.
func (t *turn) shown(shows []Shown) string {
	words := make([]string, len(shows))
	for i, s := range shows {
		words[i] = t.shownWord(s)
	}
	return strings.Join(words, ", ")
}

func (t *turn) shownWord(s Shown) string {
	switch s {
	case ShowsDrive:
		return t.text("photo.drive")
	case ShowsCoast:
		return t.text("photo.coast")
	case ShowsLash:
		return t.text("photo.lash")
	case ShowsShims:
		return t.text("photo.shims")
	case ShowsMark:
		return t.text("photo.mark")
	}
	return t.text("photo.other")
}

// unkept says why a picture is not kept, and what to do.
func (t *turn) unkept(u Unkept) []string {
	name := clip(u.Name, 40)
	switch u.Why {
	case UnkeptType:
		return []string{t.text("photo.unkept_type", "name", name), t.text("photo.unkept_type_do")}
	case UnkeptSize:
		return []string{t.text("photo.unkept_size", "name", name), t.text("photo.unkept_size_do")}
	case UnkeptFull:
		return []string{t.text("photo.unkept_full", "name", name), t.text("photo.unkept_full_do")}
	case UnkeptFetch:
		return []string{t.text("photo.unkept_fetch", "name", name)}
	}
	return []string{t.text("photo.unkept_damaged", "name", name)}
}

// askPhotos asks once what the photos of this message show, where nothing with them
// says it. Photos of the messages before it that are still unsaid are asked about
// with them.
func (t *turn) askPhotos() error {
	if len(t.said.Files) == 0 || t.u.Ask != nil || t.job.Open != nil {
		return nil
	}
	var open []JobPhoto
	for _, p := range t.job.Photos {
		if len(p.Shows) == 0 && (p.Seq > t.job.Version()-uint64(len(t.events)) || slices.Contains(t.asking, p.Seq)) {
			open = append(open, p)
		}
	}
	if len(open) == 0 {
		return nil
	}
	q := asked{About: t.said.Text}
	numbers := make([]string, len(open))
	for i, p := range open {
		numbers[i] = strconv.Itoa(p.No)
		if !slices.Contains(q.Photos, p.Seq) {
			q.Photos = append(q.Photos, p.Seq)
		}
	}
	q.Text = t.text("photo.ask", "n", len(open), "numbers", t.voice.list(numbers))
	offer := func(means ...Shown) {
		words := make([]string, len(means))
		for i, m := range means {
			words[i] = t.shownWord(m)
		}
		q.Choices = append(q.Choices, strings.Join(words, t.text("photo.then")))
		q.Means = append(q.Means, means)
	}
	if len(open) == 2 {
		offer(ShowsDrive, ShowsCoast)
		offer(ShowsCoast, ShowsDrive)
	}
	for _, s := range []Shown{ShowsDrive, ShowsCoast, ShowsShims, ShowsMark, ShowsOther} {
		offer(s)
	}
	if err := t.add(q); err != nil {
		return err
	}
	t.tell(q.Text)
	t.choices, t.noNext = q.Choices, true
	return nil
}

// answerPhotos takes the answer to what photos show: one of the choices, or words
// that say it, which are then read like any others. It says whether that was all
// there is in the message.
func (t *turn) answerPhotos() (all bool, err error) {
	q := t.job.Open
	if q == nil || len(q.Photos) == 0 {
		return false, nil
	}
	if t.said.Text == "" && len(t.said.Files) == 0 {
		return false, nil
	}
	if t.said.Text == "" { // a further photo: asked about together
		t.asking = q.Photos
		return false, t.add(answered{Question: q.Seq, Dropped: true})
	}
	var means []Shown
	answer := strings.ToLower(strings.Trim(strings.TrimSpace(t.said.Text), ".!"))
	for i, c := range q.Choices {
		if answer == strconv.Itoa(i+1) || answer == strings.ToLower(c) {
			means, all = q.Means[i], true
		}
	}
	if !all {
		if len(t.said.Files) > 0 {
			return false, t.add(answered{Question: q.Seq, Dropped: true}) // the words are those photos'
		}
		means = showsIn(t.said.Text)
		// A reading that follows is its answer where it is of one side; a lash is not.
		all = len(means) > 0 && len(strings.Fields(answer)) <= 3 && len(t.desk.Listen(t.input(t.said.Text)).Readings) == 0
		if !all && !slices.Equal(means, []Shown{ShowsDrive}) && !slices.Equal(means, []Shown{ShowsCoast}) {
			return false, nil
		}
	}
	if len(means) == 0 {
		return false, nil // resolveChoice drops the question
	}
	if err := t.add(answered{Question: q.Seq}); err != nil {
		return all, err
	}
	var c captioned
	for _, p := range t.job.Photos {
		if slices.Contains(q.Photos, p.Seq) && len(p.Shows) == 0 {
			c.Photos = append(c.Photos, caption{Entry: p.Seq, ID: p.ID, Shows: means})
		}
	}
	for i := range c.Photos {
		if len(means) > 1 && len(c.Photos) == len(means) {
			c.Photos[i].Shows = means[i : i+1]
		}
		c.Photos[i].Slots = t.slotsOf(c.Photos[i].Shows)
	}
	if len(c.Photos) == 0 {
		return all, nil // deleted meanwhile
	}
	if err := t.add(c); err != nil {
		return all, err
	}
	for _, p := range t.job.Photos {
		if slices.ContainsFunc(c.Photos, func(c caption) bool { return c.Entry == p.Seq && c.ID == p.ID }) {
			t.understood = append(t.understood, t.keptWords(p))
		}
	}
	return all, nil
}

// namedPhoto is "photo 2 is the coast side".
var namedPhoto = regexp.MustCompile(`(?i)^\s*(?:photo|pic|picture|foto)\s*#?\s*(\d{1,4})\s*(?:is|shows|was|=|:|es|muestra)?\s+(.{1,40})$`)

// labelPhoto takes what a photo shows, said any time later.
func (t *turn) labelPhoto(text string) (bool, error) {
	m := namedPhoto.FindStringSubmatch(text)
	if m == nil {
		return false, nil
	}
	n, _ := strconv.Atoi(m[1]) // digits
	shows := showsIn(m[2])
	i := slices.IndexFunc(t.job.Photos, func(p JobPhoto) bool { return p.No == n })
	if i < 0 || len(shows) == 0 || len(strings.Fields(m[2])) > 4 {
		return false, nil
	}
	p := t.job.Photos[i]
	if err := t.add(captioned{Photos: []caption{{Entry: p.Seq, ID: p.ID, Shows: shows, Slots: t.slotsOf(shows)}}}); err != nil {
		return true, err
	}
	t.noNext = true
	t.understood = append(t.understood, t.keptWords(t.job.Photos[i]))
	return true, nil
}

// barePhoto is a message that says a photo comes with it, and nothing else.
var barePhoto = regexp.MustCompile(`(?i)^\s*(?:here'?s? (?:is )?)?(?:the |a |la |una )?(?:photo|photos|pic|pics|foto|fotos)(?: attached| adjuntas?)?\s*[.!]?\s*$`)

// dropPhoto is "delete photo 2", "delete the last photo".
var dropPhoto = regexp.MustCompile(`(?i)^\s*(?:please\s+)?(?:delete|remove|drop|borra|elimina)\s+(?:the\s+|la\s+)?(last\s+|[uú]ltima\s+)?(?:photo|pic|picture|foto)\s*(?:#\s*)?(\d{1,4})?\s*[.!]?\s*$`)

// deletePhoto deletes a photo for good, for whoever sent it and for those who review.
func (t *turn) deletePhoto(text string) (bool, error) {
	m := dropPhoto.FindStringSubmatch(text)
	if m == nil {
		return false, nil
	}
	t.noNext = true
	if len(t.job.Photos) == 0 {
		t.tell(t.text("photo.none"))
		return true, nil
	}
	p := t.job.Photos[len(t.job.Photos)-1]
	if m[2] != "" {
		n, _ := strconv.Atoi(m[2]) // digits
		i := slices.IndexFunc(t.job.Photos, func(p JobPhoto) bool { return p.No == n })
		if i < 0 {
			t.tell(t.text("photo.no_such", "n", n))
			return true, nil
		}
		p = t.job.Photos[i]
	}
	if p.By != t.said.By.Name && !t.said.By.Role.Reviews() {
		t.tell(t.text("photo.not_yours", "n", p.No, "who", p.By))
		return true, nil
	}
	var numbers []string
	for _, same := range t.job.Photos { // the same picture, sent twice
		if same.ID == p.ID {
			numbers = append(numbers, strconv.Itoa(same.No))
		}
	}
	if err := t.add(photoDeleted{ID: p.ID}); err != nil {
		return true, err
	}
	t.forget = append(t.forget, p.ID)
	t.tell(t.text("photo.deleted", "n", t.voice.list(numbers)))
	return true, nil
}

// PhotoAlt says in a few words what a photo is said to show, for those who do not see it:
// its number, what it shows, who took it.
func (d *Desk) PhotoAlt(p JobPhoto, to Person) string {
	t := &turn{desk: d, voice: voice{words: d.Phrases.In(to.Language)}}
	if len(p.Shows) == 0 || p.Shows[0] == ShowsOther {
		return t.text("photo.alt_unsaid", "n", p.No, "by", p.By)
	}
	return t.text("photo.alt", "n", p.No, "what", t.shown(p.Shows), "by", p.By)
}
