package dialogs_test

import (
	"testing"

	"shimwright/dialogs"
)

// What is about jobs, or about who says it, is the same in the middle of a job.
func TestTheDoorHearsItsCommandsInAJob(t *testing.T) {
	desk := newDesk(t)
	here := dialogs.JobLine{Number: 3, ID: "3", Sheet: "lapwing", By: "ann"}
	view := dialogs.View{Here: &here, All: []dialogs.JobLine{here}}
	for _, c := range []struct {
		text  string
		holds func(dialogs.DoorReply) bool
	}{
		{"open saltmarsh noise", func(r dialogs.DoorReply) bool { return r.Open != nil && r.Open.Sheet == "saltmarsh" }},
		{"switch 3", func(r dialogs.DoorReply) bool { return r.Switch == 3 }},
		{"jobs", func(r dialogs.DoorReply) bool { return len(r.Out) > 0 }},
		{"sheets", func(r dialogs.DoorReply) bool { return len(r.Out) > 0 }},
		{"units metric", func(r dialogs.DoorReply) bool { return r.Units == "metric" }},
		{"language spanish", func(r dialogs.DoorReply) bool { return r.Language == "es" }},
		{"idioma español", func(r dialogs.DoorReply) bool { return r.Language == "es" }},
		{"short replies", func(r dialogs.DoorReply) bool { return r.Replies == dialogs.ShortReplies }},
		{"reviews", func(r dialogs.DoorReply) bool { return len(r.Out) > 0 }},
	} {
		r := desk.Door(dialogs.Said{ID: c.text, By: people["mentor"], Text: c.text}, view)
		if !r.Handled || !c.holds(r) {
			t.Errorf("%s in a job: %+v", c.text, r)
		}
	}
	for _, text := range []string{"lash 8 8 9 8", "where are we", "nice weather"} {
		if r := desk.Door(dialogs.Said{ID: text, By: people["ann"], Text: text}, view); r.Handled {
			t.Errorf("the door took %q: %+v", text, r)
		}
	}
}
