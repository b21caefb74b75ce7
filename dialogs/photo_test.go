package dialogs

import (
	"strings"
	"testing"
)

func TestWhatACaptionSays(t *testing.T) {
	for text, want := range map[string]string{
		"":                                   "",
		"drive side":                         "drive",
		"Coast, after the change":            "coast",
		"coast then drive":                   "coast drive",
		"here are the shims out of the left": "shims",
		"marking on the head":                "mark",
		"the marking compound dried out on coast": "coast",
		"dial at the fourth spot":                 "lash",
		"lado de tracción":                        "drive",
		"driveway is full":                        "",
		"look at this gouge":                      "",
	} {
		var got []string
		for _, s := range showsIn(text) {
			got = append(got, string(s))
		}
		if strings.Join(got, " ") != want {
			t.Errorf("%q shows %q, want %q", text, got, want)
		}
	}
}
