package dialogs_test

import (
	"strings"
	"testing"

	"shimwright/calc/unit"
	"shimwright/dialogs"
	"shimwright/dialogs/phrase"
)

// A mentor's word moves the job on: what comes next is for the apprentice who does it,
// and is said in their words and units; the rest of the answer is the mentor's.
func TestWhatComesNextIsSaidInTheWordsOfWhoeverDoesIt(t *testing.T) {
	before := people["ben"]
	defer func() { people["ben"] = before; delete(people, "luz") }()
	people["luz"] = dialogs.Person{Name: "luz", Role: dialogs.Mentor, Language: phrase.Spanish}
	k := toLoop(t, "lapwing")
	has(t, k.play("ben> lash 14 14 13 14, drive high and heel, coast high and heel"), "look 1")
	has(t, k.play("luz> aprobado 1"), "aprobado por luz", "in deeper", "say done")

	people["ben"] = dialogs.Person{Name: "ben", Role: dialogs.Apprentice, Language: phrase.Spanish, Units: unit.Metric}
	k = toLoop(t, "lapwing")
	has(t, k.play("ben> lash 0.35 0.35 0.33 0.35 mm, drive high and heel, coast high and heel"), "vistazo 1")
	has(t, k.play("mentor> approve 1"), "approved by mentor", "laina del piñón 0.762 → 0.94 mm", "más adentro", "di listo")
	has(t, k.play("mentor> where are we"), "next, step 8")
}

// The picture that comes with the next question is labelled for whoever it is for.
func TestThePictureOfTheNextStepIsForWhoeverDoesIt(t *testing.T) {
	before := people["ben"]
	defer func() { people["ben"] = before }()
	for _, c := range []struct{ does, looks, want phrase.Language }{
		{phrase.Spanish, "", phrase.Spanish}, {"", phrase.Spanish, phrase.English},
	} {
		people["ben"] = dialogs.Person{Name: "ben", Role: dialogs.Apprentice, Language: c.does}
		k := toLoop(t, "lapwing")
		k.play("ben> lash 8 8 8 8", "ben> drive centered, coast centered")
		mentor := people["mentor"]
		mentor.Language = c.looks
		r := k.answeredBy("mentor", mentor, "approve 1")
		if next := map[phrase.Language]string{phrase.Spanish: "ahora, paso 9", phrase.English: "next, step 9"}[c.want]; !strings.Contains(r.Out[0].Text, next) {
			t.Errorf("it does not say %q:\n%s", next, r.Out[0].Text)
		}
		n := 0
		for _, o := range r.Out {
			for _, p := range o.Picture {
				n++
				if p.Language != c.want {
					t.Errorf("the picture %s is labelled in %q, want %q", p.Name, p.Language, c.want)
				}
			}
		}
		if n == 0 {
			t.Errorf("no picture came with the next step: %+v", r.Out)
		}
	}
}
