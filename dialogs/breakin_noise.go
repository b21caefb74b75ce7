package dialogs

import (
	"slices"
	"strings"

	"shimwright/dialogs/listen"
)

// cause is what a noise can come from. All of them are common practice, no source.
type cause struct {
	key    string   // of its name, why, and what to check
	sounds []string // what it sounds like
	loads  []string // when it is heard; one is enough, all where both is set
	both   bool
	speed  bool // it goes with the speed, whatever the load
}

// causes lists them, the more usual ones after a setup first.
func causes() []cause {
	return []cause{
		{key: "depth", sounds: []string{"howl", "hum"}, loads: []string{"drive", "coast"}, both: true},
		{key: "drive", sounds: []string{"howl", "hum"}, loads: []string{"drive"}},
		{key: "coast", sounds: []string{"howl", "hum"}, loads: []string{"coast"}},
		{key: "float", sounds: []string{"hum", "howl"}, loads: []string{"float"}},
		{key: "pinion", sounds: []string{"growl", "hum"}, loads: []string{"always"}, speed: true},
		{key: "pinion_load", sounds: []string{"growl"}, loads: []string{"drive", "coast"}},
		{key: "side", sounds: []string{"growl", "hum", "howl"}, loads: []string{"turn"}},
		{key: "clutch", sounds: []string{"chatter"}, loads: []string{"turn"}},
		{key: "spider", sounds: []string{"click", "clunk"}, loads: []string{"turn"}},
		{key: "lash", sounds: []string{"clunk"}, loads: []string{"shift", "drive", "coast"}},
		{key: "tooth", sounds: []string{"click", "clunk"}, loads: []string{"always", "drive", "coast", "float"}, speed: true},
	}
}

// fits says how well a cause explains a noise, 0 for not at all.
func (c cause) fits(n listen.Noise) int {
	for _, gone := range n.Not {
		if slices.Contains(n.Not, "drive") && slices.Contains(n.Not, "coast") && gone == "drive" && c.key == "depth" {
			return 0
		}
		if len(c.loads) == 1 && c.loads[0] == gone || c.both && slices.Contains(c.loads, gone) {
			return 0
		}
	}
	score := 0
	if n.Sound != "" {
		at := slices.Index(c.sounds, n.Sound)
		if at < 0 {
			return 0
		}
		score += 4 - min(at, 2)
	}
	hits := 0
	for _, l := range n.Loads {
		if slices.Contains(c.loads, l) {
			hits++
		}
	}
	switch {
	case c.both && hits < 2 && !slices.Contains(n.Loads, "always"):
		return 0
	case c.both:
		score += 4
	case hits == 0 && !(c.speed && n.Speed):
		return 0
	case len(n.Loads) > hits && len(c.loads) == 1:
		score++ // it is heard elsewhere too
	default:
		score += 3
	}
	if c.speed && n.Speed {
		score += 2
	}
	return score
}

// likely gives the causes that explain a noise, the best first.
func likely(n listen.Noise) []cause {
	var out []cause
	for _, c := range causes() {
		if c.fits(n) > 0 {
			out = append(out, c)
		}
	}
	slices.SortStableFunc(out, func(a, b cause) int { return b.fits(n) - a.fits(n) })
	return out
}

// openNoise gives the noise that was told since the axle was last quiet or gone on
// with: what was said of it bit by bit, together. Later words win.
func (j *Job) openNoise() (listen.Noise, bool) {
	var n listen.Noise
	open := false
	b := j.BreakIn
	if b == nil {
		return n, false
	}
	for _, h := range b.Heard {
		switch {
		case h.Seq < b.Resumed.Seq:
		case h.Quiet:
			n, open = listen.Noise{}, false
		case h.Noise != nil:
			open = true
			if h.Noise.Sound != "" {
				n.Sound = h.Noise.Sound
			}
			for _, l := range h.Noise.Loads {
				if !slices.Contains(n.Loads, l) {
					n.Loads = append(n.Loads, l)
				}
				n.Not = slices.DeleteFunc(n.Not, func(gone string) bool { return gone == l })
			}
			for _, l := range h.Noise.Not {
				if !slices.Contains(n.Not, l) {
					n.Not = append(n.Not, l)
				}
				n.Loads = slices.DeleteFunc(n.Loads, func(on string) bool { return on == l })
			}
			if h.Noise.High > 0 {
				n.Low, n.High, n.Unit = h.Noise.Low, h.Noise.High, h.Noise.Unit
			}
			n.Speed, n.Louder = n.Speed || h.Noise.Speed, n.Louder || h.Noise.Louder
		}
	}
	return n, open
}

// noiseAsks gives what is still to be told of a noise.
func (j *Job) noiseAsks() listen.RoadAsk {
	n, open := j.openNoise()
	switch {
	case !open:
		return ""
	case len(n.Loads) == 0:
		return listen.AskLoad
	case n.Sound == "":
		return listen.AskSound
	case n.Low == 0 && j.Version() <= j.BreakIn.Heard[len(j.BreakIn.Heard)-1].Seq+reportEntries/2:
		return listen.AskSpeed // as long as nothing else came between
	}
	return ""
}

// sound files what a drive sounded like, and says what it can come from.
func (t *turn) sound() error {
	r := t.road
	if r.Noise == nil && !r.Quiet {
		return nil
	}
	if t.job.BreakIn == nil && r.Noise == nil {
		return nil
	}
	if err := t.add(heard{Quiet: r.Quiet && r.Noise == nil, Noise: r.Noise}); err != nil {
		return err
	}
	if r.Noise == nil {
		t.heardRoad(t.text("breakin.quiet"))
		return nil
	}
	t.heardRoad(t.noiseWords(*r.Noise))
	n, _ := t.job.openNoise()
	switch t.job.noiseAsks() {
	case listen.AskLoad:
		t.noNext = true
		t.tell(t.text("noise.ask_load"))
		t.choices = []string{t.text("noise.on_drive"), t.text("noise.on_coast"), t.text("noise.on_float"), t.text("noise.on_turn"), t.text("noise.on_always")}
		return nil
	case listen.AskSound:
		t.noNext = true
		t.tell(t.text("noise.ask_sound"))
		t.choices = []string{t.text("noise.howl"), t.text("noise.hum"), t.text("noise.growl"), t.text("noise.click"), t.text("noise.clunk"), t.text("noise.chatter")}
		return nil
	}
	t.diagnose(n)
	return nil
}

// diagnose says the likely causes with a reason and a check.
func (t *turn) diagnose(n listen.Noise) {
	found := likely(n)
	if len(found) == 0 {
		t.tell(t.text("noise.unknown"))
		return
	}
	for i, c := range found[:min(len(found), 2)] {
		if i == 0 {
			t.tell(t.causeText(c), t.checkText(c))
		} else {
			t.tell(t.text("noise.or", "cause", t.causeText(c)))
		}
	}
	if words := t.readingLines(t.job.Trial()); len(words) > 0 {
		t.tell(t.text("noise.on_record", "what", words[0]))
	}
}

// noiseWords says a noise back: howl on coast at 55 mph.
func (t *turn) noiseWords(n listen.Noise) string {
	words := t.soundText(n.Sound)
	var on, off []string
	for _, l := range n.Loads {
		on = append(on, t.loadText(l))
	}
	for _, l := range n.Not {
		off = append(off, t.loadText(l))
	}
	if len(on) > 0 {
		words += " " + strings.Join(on, ", ")
	}
	if n.High > 0 {
		at := number(n.Low, n.Unit)
		if n.High != n.Low {
			at += "–" + number(n.High, n.Unit)
		}
		words += " " + t.text("noise.at", "speed", at+" "+n.Unit)
	}
	if n.Speed {
		words += ", " + t.text("noise.with_speed")
	}
	if n.Louder {
		words += ", " + t.text("noise.louder")
	}
	if len(off) > 0 {
		words += ", " + t.text("noise.not", "loads", strings.Join(off, ", "))
	}
	return words
}

func (t *turn) soundText(sound string) string {
	switch sound {
	case "howl":
		return t.text("noise.howl")
	case "hum":
		return t.text("noise.hum")
	case "growl":
		return t.text("noise.growl")
	case "click":
		return t.text("noise.click")
	case "clunk":
		return t.text("noise.clunk")
	case "chatter":
		return t.text("noise.chatter")
	}
	return t.text("noise.noise")
}

func (t *turn) loadText(load string) string {
	switch load {
	case "drive":
		return t.text("noise.on_drive")
	case "coast":
		return t.text("noise.on_coast")
	case "float":
		return t.text("noise.on_float")
	case "turn":
		return t.text("noise.on_turn")
	case "shift":
		return t.text("noise.on_shift")
	}
	return t.text("noise.on_always")
}

func (t *turn) causeText(c cause) string {
	switch c.key {
	case "depth":
		return t.text("noise.depth")
	case "drive":
		return t.text("noise.drive")
	case "coast":
		return t.text("noise.coast")
	case "float":
		return t.text("noise.float")
	case "pinion":
		return t.text("noise.pinion")
	case "pinion_load":
		return t.text("noise.pinion_load")
	case "side":
		return t.text("noise.side")
	case "clutch":
		return t.text("noise.clutch")
	case "spider":
		return t.text("noise.spider")
	case "lash":
		return t.text("noise.lash")
	}
	return t.text("noise.tooth")
}

func (t *turn) checkText(c cause) string {
	switch c.key {
	case "depth":
		return t.text("noise.depth_check")
	case "drive":
		return t.text("noise.drive_check")
	case "coast":
		return t.text("noise.coast_check")
	case "float":
		return t.text("noise.float_check")
	case "pinion", "pinion_load":
		return t.text("noise.pinion_check")
	case "side":
		return t.text("noise.side_check")
	case "clutch":
		return t.text("noise.clutch_check")
	case "spider":
		return t.text("noise.spider_check")
	case "lash":
		return t.text("noise.lash_check")
	}
	return t.text("noise.tooth_check")
}
