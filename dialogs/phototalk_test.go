package dialogs_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"shimwright/dialogs"
	"shimwright/dialogs/phrase"
)

// sends says something with photos.
func (k *talk) sends(who, text string, ids ...string) (string, dialogs.Reply) {
	k.t.Helper()
	s := k.said(who, text)
	for _, id := range ids {
		s.Files = append(s.Files, dialogs.Photo{ID: id, Type: "image/jpeg", Width: 4, Height: 3, Bytes: 9})
	}
	r, err := k.desk.Answer(k.job, s)
	if err != nil {
		k.t.Fatal(err)
	}
	return k.keep(r), r
}

// photos lists the photos on record: number, id, what they show, the readings they
// belong to, the trial.
func (k *talk) photos() []string {
	var out []string
	for _, p := range k.job.Photos {
		out = append(out, fmt.Sprint(p.No, p.ID, p.Shows, p.Slots, p.Trial))
	}
	return out
}

// atLoop brings a job to its first readings.
func atLoop(t *testing.T) *talk {
	k := open(t, "lapwing")
	k.play("ann> gears are new", "ann> skip 2 bare housing", "ann> old pinion shim 30, left 250, right 245", "ann> old mark 0, new mark 0",
		"ann> skip 4 checked", "ann> done", "ann> ring bolts torqued with thread locker, runout 1.5 thou", "ann> same", "ann> same", "ann> caps torqued")
	return k
}

func TestPhotosAreKeptWithWhatTheyShow(t *testing.T) {
	k := atLoop(t)
	for _, c := range []struct {
		who, text string
		ids       string
		want      string // lines, / between them
		shows     string // of the latest photo
	}{
		{"ann", "lash 14 14 13 14", "a", "photo 1 kept: lash; backlash 0.014 / 0.014 / 0.013 / 0.014 in", "[lash] [trial.backlash]"},
		{"ann", "", "b", "photo 2 kept/what does the photo show? (2)", "[] []"},
		{"ann", "1", "", "photo 2 kept: drive", "[drive] [trial.drive]"},
		{"ann", "", "c", "photo 3 kept/what does the photo show? (3)", "[] []"},
		{"ann", "", "d", "photo 4 kept/what does each photo show? (3 and 4)", "[] []"},
		{"ann", "drive, then coast", "", "photo 3 kept: drive; photo 4 kept: coast", "[coast] [trial.coast]"},
		{"ann", "coast then drive", "e f", "photo 5 kept: coast; photo 6 kept: drive", "[drive] [trial.drive]"},
		{"ann", "drive and coast", "g", "photo 7 kept: drive, coast", "[drive coast] [trial.drive trial.coast]"},
		{"ann", "a nick on the carrier", "h", "photo 8 kept", "[other] []"},
		{"ann", "", "i", "photo 9 kept/what does the photo show? (9)", "[] []"},
		{"ann", "drive high toward the heel", "", "photo 9 kept: drive; drive heel, high (face)", "[drive] [trial.drive]"},
		{"ann", "photo 8 is the coast", "", "photo 8 kept: coast", "[drive] [trial.drive]"},
		{"ann", "as found, before teardown: coast heel", "j", "photo 10 kept: coast; as found: coast heel", "[coast] [found.coast]"},
	} {
		got, r := k.sends(c.who, c.text, strings.Fields(c.ids)...)
		want := strings.Split(c.want, "/")
		if lines := strings.Split(got, "\n"); !slices.Equal(lines[:min(len(want), len(lines))], want) && !strings.HasPrefix(got, c.want) {
			t.Errorf("%q %s is answered\n%s\nwant %s", c.text, c.ids, got, c.want)
		}
		last := k.job.Photos[len(k.job.Photos)-1]
		if got := fmt.Sprint(last.Shows, " ", last.Slots); got != c.shows {
			t.Errorf("after %q photo %d shows %s, want %s", c.text, last.No, got, c.shows)
		}
		for _, e := range r.Events {
			if e.Kind == "measured" && !strings.Contains(c.text, "heel") && !strings.Contains(c.text, "lash") {
				t.Errorf("%q made a reading of a photo: %s", c.text, e.Data)
			}
		}
		if c.text == "" && len(r.Out[0].Choices) < 5 {
			t.Errorf("the choices are %q", r.Out[0].Choices)
		}
	}
	var of []string
	for _, p := range k.job.PhotosOf(*k.job.Trial().Drive) {
		of = append(of, p.ID)
	}
	if want := []string{"b", "c", "f", "g", "i"}; !slices.Equal(of, want) {
		t.Errorf("the drive pattern has the photos %q, want %q", of, want)
	}
	if got := k.job.PhotosOf(k.job.Slots[dialogs.FoundCoast]); len(got) != 1 || got[0].ID != "j" {
		t.Errorf("as found coast has %+v", got)
	}
	// A later trial has photos of its own.
	k.play("ann> coast high at the heel", "ann> done")
	k.sends("ann", "drive", "k")
	k.hear("ann", "drive centered")
	if got := k.job.PhotosOf(*k.job.Trial().Drive); len(got) != 1 || got[0].ID != "k" {
		t.Errorf("the second trial's drive has %+v", got)
	}
}

func TestAPhotoIsAskedAboutOnce(t *testing.T) {
	k := atLoop(t)
	k.sends("ann", "", "a")
	if got := k.hear("ann", "lash 8 8 9 8"); !strings.Contains(got, "backlash 0.008") {
		t.Errorf("answered %q", got)
	}
	if got := k.hear("ann", "1"); strings.Contains(got, "photo") {
		t.Errorf("asked a second time: %q", got)
	}
	if got := k.photos(); !cmp.Equal(got, []string{"1a[] [] 1"}) {
		t.Errorf("photos %q", got)
	}
}

func TestPhotosAreTakenBackAndDeleted(t *testing.T) {
	k := atLoop(t)
	k.sends("ann", "drive", "a")
	k.sends("ann", "coast", "b")
	if got := k.hear("ann", "undo"); got != "took back: photo 2\nnext: backlash at four places round the ring?" && !strings.HasPrefix(got, "took back: photo 2\n") {
		t.Errorf("answered %q", got)
	}
	k.sends("ann", "coast", "c")
	if got := k.photos(); !cmp.Equal(got, []string{"1a[drive] [trial.drive] 1", "3c[coast] [trial.coast] 1"}) {
		t.Errorf("photos %q", got)
	}
	for _, c := range []struct {
		who, text, want string
		forgets         []string
	}{
		{"ben", "delete photo 1", "photo 1 is ann's: they, a mentor or the owner can delete it.", nil},
		{"ann", "delete photo 2", "there is no photo 2 in this job.", nil},
		{"ann", "please delete the photo 1.", "deleted for good: photo 1. that it was there stays in the log.", []string{"a"}},
		{"mentor", "delete the last photo", "deleted for good: photo 3. that it was there stays in the log.", []string{"c"}},
		{"ann", "delete the photo", "there is no photo in this job.", nil},
	} {
		got, r := k.sends(c.who, c.text)
		if got != c.want || !slices.Equal(r.Forget, c.forgets) {
			t.Errorf("%s> %s: %q, forgets %q", c.who, c.text, got, r.Forget)
		}
	}
}

func TestAnEditedCaption(t *testing.T) {
	k := atLoop(t)
	s := k.said("ann", "drive")
	s.Files = []dialogs.Photo{{ID: "a"}}
	first, err := k.desk.Answer(k.job, s)
	if err != nil {
		t.Fatal(err)
	}
	k.keep(first)
	e := k.said("ann", "coast")
	e.Files, e.Edits = s.Files, s.ID
	r, err := k.desk.Answer(k.job, e)
	if err != nil {
		t.Fatal(err)
	}
	k.keep(r)
	if got := k.photos(); !cmp.Equal(got, []string{"2a[coast] [trial.coast] 1"}) {
		t.Errorf("photos %q", got)
	}
}

// Why a picture is not kept is said in two lines at most, in both languages, and
// nothing is logged of it.
func TestUnkeptPictures(t *testing.T) {
	k := atLoop(t)
	for _, lang := range phrase.Languages() {
		for _, why := range []dialogs.UnkeptReason{dialogs.UnkeptType, dialogs.UnkeptSize, dialogs.UnkeptDamaged, dialogs.UnkeptFetch, dialogs.UnkeptFull} {
			s := k.said("ann", "")
			s.By.Language = lang
			s.Unkept = []dialogs.Unkept{{Name: "IMG_0001.HEIC", Why: why}}
			r, err := k.desk.Answer(k.job, s)
			if err != nil || len(r.Events) != 0 || len(r.Out) != 1 || !strings.HasPrefix(r.Out[0].Text, "IMG_0001.HEIC ") || strings.Count(r.Out[0].Text, "\n") > 1 {
				t.Errorf("%s: %+v, %v", why, r, err)
			}
		}
	}
	k.hear("owner", "close job enough")
	s := k.said("ann", "")
	s.Files = []dialogs.Photo{{ID: "a"}}
	if r, err := k.desk.Answer(k.job, s); err != nil || len(r.Events) != 0 || len(r.Out) != 1 {
		t.Errorf("in a closed job: %+v, %v", r, err)
	}
}
