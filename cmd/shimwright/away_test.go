package main

import (
	"bytes"
	"image"
	"image/jpeg"
	"os"
	"strings"
	"testing"

	"shimwright/bot/mattermost/mmtest"
)

// without takes somebody's account out of a configuration.
func without(t *testing.T, file, line string) {
	t.Helper()
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(string(text), line) {
		t.Fatalf("%q is not in the configuration", line)
	}
	if err := os.WriteFile(file, []byte(strings.Replace(string(text), line, "", 1)), 0o600); err != nil {
		t.Fatal(err)
	}
}

// A technician on Mattermost, without buttons there, and a mentor who is on Discord
// alone: the look reaches him in private with its readings, a press answers it, and
// the job's thread is told. What he types there counts as well.
func TestServeALookOnTheOtherPlatform(t *testing.T) {
	mm, dc := newMattermostGroup(t), newDiscordGroup(t)
	file := chatConfig(t, mm, dc, "memory: no\n")
	mentor := dc.people["mentor"]
	without(t, file, "    mattermost: "+mm.ids["mentor"]+"\n")
	startService(t, file)
	until(t, "on both platforms", func() bool { return mm.online() && dc.online() })

	thread := mm.thread(mm.say("ann", "", "open lapwing whine on drive, new gears"))
	count := func() int { return len(mm.posts(thread)) }
	say := func(text string) string {
		before := count()
		mm.say("ann", thread, text)
		until(t, "answered: "+text, func() bool { return count() > before })
		return plain(mm.posts(thread)[before].rows)
	}
	until(t, "open", func() bool { return count() == 1 })
	say("lash 14 14 13 14")
	var picture bytes.Buffer
	if err := jpeg.Encode(&picture, image.NewGray(image.Rect(0, 0, 40, 30)), nil); err != nil {
		t.Fatal(err)
	}
	before := count()
	mm.attach("ann", thread, "drive side", "drive.jpg", picture.Bytes())
	until(t, "kept", func() bool { return count() > before })
	if got := plain(mm.posts(thread)[before].rows); !strings.Contains(got, "photo 1 kept: drive") {
		t.Errorf("the photo is answered %q", got)
	}
	say("can the mentor have a look at this?")

	direct := ""
	until(t, "in the mentor's private talk", func() bool {
		direct = dc.server.DM(mentor)
		return direct != "" && len(dc.posts(direct)) == 1
	})
	card := dc.server.Posts(direct)[0]
	text := plain(dc.posts(direct)[0].rows)
	for _, part := range []string{"look 1", "0.014", "job 1 on mattermost", "approve 1"} {
		if !strings.Contains(text, part) {
			t.Errorf("%q is not in what the mentor is shown:\n%s", part, text)
		}
	}
	// Somebody on Mattermost who may not: the number below the card is not theirs.
	root := strings.SplitN(thread, ":", 2)[1]
	for _, p := range mm.server.Seen(mm.channel, root) {
		if strings.Contains(mmtest.Plain(p.Message), "look 1") {
			mm.server.Tap(mm.ids["ann"], p.Id, "one")
		}
	}
	before = count()
	if a, ok := dc.server.Press(mentor, direct, card.ID, "approve 1").Answer(soon); !ok || a.Type != 6 {
		t.Errorf("the press is answered %+v", a)
	}
	until(t, "told in the job", func() bool { return count() > before })
	if got := plain(mm.posts(thread)[before].rows); !strings.Contains(got, "approved by mentor") {
		t.Errorf("the job is told %q", got)
	}
	until(t, "answered in private", func() bool { return len(dc.posts(direct)) == 2 })
	before = count()
	dc.say("mentor", direct, "hold, wait for me")
	until(t, "on hold", func() bool {
		return count() > before && strings.Contains(plain(mm.posts(thread)[before].rows), "on hold")
	})
}
