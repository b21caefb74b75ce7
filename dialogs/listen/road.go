package listen

import (
	"slices"
	"strings"

	"shimwright/calc/unit"
)

// RoadInput is a message to a job that is at its break-in or past it. There a plain
// 190 is a temperature and "off" is a truck that leaves, so what it says is read on
// its own, beside Parse.
type RoadInput struct {
	Text  string
	Units unit.System // the person's habit
	Asked RoadAsk     // what was asked last, empty for nothing
}

// RoadAsk is what a question about a drive is about.
type RoadAsk string

// What can be asked.
const (
	AskDistance RoadAsk = "distance" // how far, in the unit of the habit
	AskHeat     RoadAsk = "heat"
	AskSound    RoadAsk = "sound"
	AskLoad     RoadAsk = "load"
	AskSpeed    RoadAsk = "speed"
)

// Road is what a message says of drives, cooling, heat and noise. The zero value is
// a message that says nothing of them.
type Road struct {
	Begin  bool // the break-in starts
	Out    bool // a drive sets off
	Back   bool // a drive is over
	Leg    int  // the leg that is named, 0 for none, -1 for the last
	Cooled bool // it is cool, by their word
	Pause  bool
	Resume bool

	Distance *Reading // driven: What is Distance
	Minutes  float64  // driven, 0 where not said
	Cooling  float64  // minutes it has cooled, 0 where not said
	Heat     []Reading
	Quiet    bool
	Noise    *Noise
	Later    *Later

	Oil    bool // the oil was changed
	Torque bool // bolts were gone over
	Dry    bool // looked for leaks, none
	Leak   bool

	Yes, No bool // to what was asked
	// Unsure is a figure that can be two things; it is asked for again.
	Unsure string
}

// Noise is what is heard. Empty fields were not said.
type Noise struct {
	Sound  string   `json:"sound,omitempty"` // howl, hum, growl, click, clunk, chatter
	Loads  []string `json:"loads,omitempty"` // drive, coast, float, turn, shift, always
	Not    []string `json:"not,omitempty"`   // the loads it is gone on
	Low    float64  `json:"low,omitempty"`   // speed
	High   float64  `json:"high,omitempty"`
	Unit   string   `json:"unit,omitempty"`  // mph, km/h
	Speed  bool     `json:"speed,omitempty"` // it changes with the speed, whatever the load
	Louder bool     `json:"louder,omitempty"`
}

// Later is a wish to be reminded at another time; all zero is "later".
type Later struct {
	Minutes float64
	Days    int
}

// Empty says whether the message says nothing of the road.
func (r Road) Empty() bool {
	return !r.Begin && !r.Out && !r.Back && r.Leg == 0 && !r.Cooled && !r.Pause && !r.Resume && r.Distance == nil && r.Minutes == 0 && r.Cooling == 0 &&
		len(r.Heat) == 0 && !r.Quiet && r.Noise == nil && r.Later == nil && !r.Oil && !r.Torque && !r.Dry && !r.Leak && r.Unsure == ""
}

// Report says whether the message tells what a drive was like.
func (r Road) Report() bool {
	return r.Back || r.Distance != nil || r.Minutes > 0 || len(r.Heat) > 0 || r.Quiet || r.Noise != nil
}

// ReadRoad reads such a message. It is pure and total, like Parse.
func ReadRoad(in RoadInput) Road {
	plain, _, _ := reworded(in.Text)
	if strings.TrimSpace(plain) == "" {
		return Road{}
	}
	f := roadFinder{in: in, clauses: splitClauses(prepare(plain, in.Units == unit.Metric, in.Units == unit.InchUnits), "")}
	f.all = allWords(f.clauses)
	f.whole = strings.Join(skipPolite(f.all), " ")
	f.wishes()
	for i := range f.clauses {
		c := &f.clauses[i]
		if c.is(moodQuestion|moodIf|moodOther|moodTarget) || f.out.Later != nil {
			continue
		}
		f.words(c)
		f.noise(i)
		f.figures(i)
	}
	f.settle()
	return f.out
}

// roadFinder goes through one message.
type roadFinder struct {
	in      RoadInput
	clauses []clause
	all     []string
	whole   string // the message in words, without its politeness
	sounds  int    // the clause a noise was heard in, counted from 1
	quiet   bool
	planned bool     // something is yet to be done
	gone    []string // loads without a noise, told before it
	out     Road

	lastHeat heatAt // where the last temperature stood
}

// skipPolite drops words of politeness at both ends.
func skipPolite(words []string) []string {
	for len(words) > 1 && (politeness[words[0]] || words[0] == "," || words[0] == ".") {
		words = words[1:]
	}
	for len(words) > 1 && (politeness[words[len(words)-1]] && words[len(words)-1] != "now" || words[len(words)-1] == "," || words[len(words)-1] == "." || words[len(words)-1] == "!") {
		words = words[:len(words)-1]
	}
	return words
}

// wishes finds what only a whole message says: yes, later, off.
func (f *roadFinder) wishes() {
	w := f.whole
	switch {
	case roadYes[w]:
		f.out.Yes = true
	case roadNo[w]:
		f.out.No = true
	case roadOff[w]:
		f.out.Out = true
	case roadPause[w]:
		f.out.Pause = true
	case roadResume[w]:
		f.out.Resume = true
	}
	if len(f.all) > 0 {
		f.out.Yes = f.out.Yes || roadYes[f.all[0]]
		f.out.No = f.out.No || roadNo[f.all[0]] && len(f.all) > 1 && f.all[1] == "," && !quietWords.in(f.all) && !dryWords.in(f.all)
	}
	f.later()
}

// later reads a wish to be reminded at another time. Anything else that is told
// beside it makes it none.
func (f *roadFinder) later() {
	if len(f.all) > 12 || soundsOf(f.all) != "" || backWords.in(f.all) || pauseWords.in(f.all) || roadPause[f.whole] {
		return
	}
	var l Later
	figure := false
	for _, c := range f.clauses {
		for _, it := range c.items {
			if it.group == nil && it.kind != figureItem {
				continue
			}
			if it.group != nil && it.group.unit == noUnit && len(f.all) < 6 && givesMinutes.in(f.all) {
				figure, l.Minutes = true, it.group.values[0].val
				continue
			}
			if it.group == nil || len(it.group.values) != 1 || it.group.unit.dim() != dimTime {
				return
			}
			figure = true
			l.Minutes = minutesOf(it.group.values[0].val, it.group.unit)
		}
	}
	switch {
	case figure && (laterFigure.in(f.all) || f.whole == "# minutes" && f.in.Asked == ""):
	case figure:
		return
	case laterHour.in(f.all):
		l.Minutes = 60
		if laterHalf.in(f.all) {
			l.Minutes = 30
		}
	case laterWeek.in(f.all):
		l.Days = 7
	case laterDay.in(f.all):
		l.Days = 1
	case laterWords.in(f.all):
	default:
		return
	}
	f.out.Later = &l
}

// minutesOf gives a time in minutes.
func minutesOf(v float64, u unitID) float64 {
	switch u {
	case uHour:
		return v * 60
	case uSecond:
		return v / 60
	}
	return v
}

// words finds what a clause says without figures.
func (f *roadFinder) words(c *clause) {
	w := c.words
	plan := c.is(moodPlan)
	f.planned = f.planned || plan
	f.out.Begin = f.out.Begin || beginWords.in(w)
	f.out.Out = f.out.Out || outWords.in(w)
	f.out.Pause = f.out.Pause || pauseWords.in(w)
	f.out.Resume = f.out.Resume || resumeWords.in(w)
	f.out.Cooled = f.out.Cooled || cooledWords.in(w)
	if leg := legOf(c); leg != 0 {
		f.out.Leg = leg
	}
	if plan {
		return
	}
	f.out.Back = f.out.Back || backWords.in(w)
	f.out.Oil = f.out.Oil || oilWords.in(w)
	f.out.Torque = f.out.Torque || torquedWords.in(w)
	switch {
	case dryWords.in(w):
		f.out.Dry = true
	case leakWords.in(w):
		f.out.Leak = true
	}
	if quietWords.in(w) && (len(loadsOf(w)) != 1 || slices.Contains(w, ",")) {
		f.quiet = true
	}
	f.out.Cooled = f.out.Cooled || len(w) == 1 && (w[0] == "cold" || w[0] == "cool" || w[0] == "frio")
}

// legOf gives the leg a clause names: leg 2, second drive, last loop.
func legOf(c *clause) int {
	for i, it := range c.items {
		n := 0
		switch {
		case it.kind == figureItem && (slices.Contains(c.words, "coast") || soundsOf(c.words) != ""): // "drive 5 coast 15", "noise on drive 5"
		case it.kind == figureItem && i > 0 && it.pos == "" && legNouns[c.items[i-1].text] && (it.group == nil || it.group.unit == noUnit && len(it.group.values) == 1):
			v := it.num.val
			if it.group != nil {
				v = it.group.values[0].val
			}
			n = int(v)
			if float64(n) != v {
				n = 0
			}
		case i > 0 && legNouns[c.items[i-1].text] && legCounts[it.text] > 0:
			n = legCounts[it.text]
		case legOrdinals[it.text] != 0 && i+1 < len(c.items) && (legNouns[strings.Fields(c.items[i+1].text + " ")[0]] || c.items[i+1].text == "one"):
			n = legOrdinals[it.text]
		}
		if n == -1 || n > 0 && n < 10 {
			return n
		}
	}
	return 0
}

// settle decides between what does not go together.
func (f *roadFinder) settle() {
	r := &f.out
	if n := r.Noise; n != nil {
		r.Quiet = false
		if n.Sound == "" && len(n.Loads) == 0 && n.Low == 0 && !n.Speed && f.quiet {
			r.Noise, r.Quiet = nil, true
		}
	} else {
		r.Quiet = f.quiet || len(f.gone) > 1
	}
	if r.Distance != nil || r.Minutes > 0 {
		r.Back = true
	}
	if r.Back {
		r.Out = false
	}
	if r.Resume || r.Out {
		r.Pause = false
	}
	if r.Leak {
		r.Dry = false
	}
	if len(r.Heat) > 0 && slices.ContainsFunc(f.all, func(w string) bool { return w == "still" }) {
		r.Cooled = false
	}
}
