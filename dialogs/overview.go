package dialogs

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"shimwright/dialogs/picture"
)

// overviewDays is how far back the overview counts what was closed.
const overviewDays = 90

// counts is all jobs counted.
type counts struct {
	open, waiting, held, breakIn int
	closed                       int // in the last overviewDays
	counted                      int // jobs with trial assemblies that ended well
	trials, mostTrials           int // of those
	byTrials                     map[int]int
	again, redone                int // jobs taken up again after closing; steps and readings done again
	stages                       []stageCount
}

// stageCount is the mean minutes of a part of the job, over the jobs that had it.
type stageCount struct {
	id    StepID
	mean  int
	jobs  int
	total int
}

func (c counts) trialMean() float64 { return float64(c.trials) / float64(c.counted) }

// count counts the jobs as they are at the time of the newest of them.
func count(v View) counts {
	c := counts{byTrials: map[int]int{}}
	spent := map[StepID]*stageCount{}
	var latest = func() (t JobLine) {
		if len(v.All) > 0 {
			return v.All[0]
		}
		return t
	}()
	now := latest.At
	for _, l := range v.All {
		if k := v.Cards[l.Number]; k.Last.After(now) {
			now = k.Last
		}
	}
	for _, l := range v.All {
		k, ok := v.Cards[l.Number]
		if !ok {
			continue
		}
		switch k.State {
		case CardClosed, CardErased:
			if now.Sub(k.Last).Hours() <= 24*overviewDays {
				c.closed++
			}
		case CardWaiting:
			c.waiting++
			c.open++
		case CardHeld:
			c.held++
			c.open++
		case CardBreakIn:
			c.breakIn++
			c.open++
		default:
			c.open++
		}
		c.redone += k.Redone
		if k.Again > 0 {
			c.again++
		}
		if k.Good && k.Trials > 0 {
			c.counted++
			c.trials += k.Trials
			c.byTrials[min(k.Trials, 6)]++
			c.mostTrials = max(c.mostTrials, k.Trials)
		}
		for id, minutes := range k.Spent {
			if minutes <= 0 {
				continue
			}
			s := spent[id]
			if s == nil {
				s = &stageCount{id: id}
				spent[id] = s
			}
			s.jobs++
			s.total += minutes
		}
	}
	for _, s := range spent {
		s.mean = (s.total + s.jobs/2) / s.jobs
		c.stages = append(c.stages, *s)
	}
	place := map[StepID]int{}
	for i, id := range []StepID{StepOpen, StepFound, StepTeardown, StepParts, StepStart, StepRing, StepTrial, StepLoop, StepFinalPinion, StepFinalCarrier, StepCloseUp, StepSummary, StepBreakIn, StepAfter} {
		place[id] = i
	}
	slices.SortFunc(c.stages, func(a, b stageCount) int {
		return cmp.Or(cmp.Compare(place[a.id], place[b.id]), cmp.Compare(a.id, b.id))
	})
	return c
}

// stageName names a part of the job where no job is at hand.
func (d *Desk) stageName(s Said, id StepID) string {
	say := d.Words(s.By.Language)
	switch id {
	case StepOpen:
		return say.Say("steps.open")
	case StepFound:
		return say.Say("steps.found")
	case StepTeardown:
		return say.Say("steps.teardown")
	case StepParts:
		return say.Say("steps.parts")
	case StepStart:
		return say.Say("steps.start")
	case StepRing:
		return say.Say("steps.ring")
	case StepLoop, StepTrial:
		return say.Say("steps.loop")
	case StepFinalPinion:
		return say.Say("steps.final_pinion")
	case StepFinalCarrier:
		return say.Say("steps.final_carrier")
	case StepCloseUp:
		return say.Say("steps.close_up")
	case StepBreakIn:
		return say.Say("steps.break_in")
	}
	return strings.ReplaceAll(string(id), "-", " ")
}

func (d *Desk) minutes(s Said, n int) string {
	t := &turn{voice: voice{words: d.Words(s.By.Language)}}
	return t.spanOfTime(n)
}

// overviewPicture draws the overview, nil where nothing was counted yet.
func (d *Desk) overviewPicture(s Said, c counts) *Picture {
	say := d.Words(s.By.Language)
	bar := func(name string, n int) picture.Bar {
		return picture.Bar{Name: name, Value: float64(n), Text: strconv.Itoa(n)}
	}
	p := &picture.BarsPicture{Title: say.Say("finding.p_title")}
	jobs := picture.BarGroup{Name: say.Say("finding.p_jobs"), Bars: []picture.Bar{
		bar(say.Say("finding.p_working"), c.open-c.waiting-c.held-c.breakIn),
		bar(say.Say("finding.state_waiting"), c.waiting), bar(say.Say("finding.state_held"), c.held),
		bar(say.Say("finding.state_break_in"), c.breakIn),
	}}
	p.Groups = append(p.Groups, jobs)
	if c.counted > 0 {
		g := picture.BarGroup{Name: say.Say("finding.p_trials")}
		for n := 1; n <= 6; n++ {
			name := say.Say("finding.p_assemblies", "n", strconv.Itoa(n))
			if n == 6 {
				name = say.Say("finding.p_assemblies", "n", "6+")
			}
			if n <= c.mostTrials {
				g.Bars = append(g.Bars, bar(name, c.byTrials[n]))
			}
		}
		p.Groups = append(p.Groups, g)
	}
	if len(c.stages) > 0 {
		g := picture.BarGroup{Name: say.Say("finding.p_time")}
		for _, st := range c.stages[:min(len(c.stages), picture.MaxBars)] {
			g.Bars = append(g.Bars, picture.Bar{Name: d.stageName(s, st.id), Value: float64(st.mean), Text: d.minutes(s, st.mean)})
		}
		p.Groups = append(p.Groups, g)
	}
	return &Picture{Name: "overview", Language: s.By.Language, Bars: p}
}
