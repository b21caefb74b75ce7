package dialogs

import (
	"strings"
	"time"
)

// pause has the break-in stand still.
func (t *turn) pause() error {
	b := t.job.BreakIn
	if !t.road.Pause || b == nil || b.Hold != nil || afterBase(t.sheet, t.job) != nil {
		return nil
	}
	if err := t.add(held{Why: clip(t.said.Text, 120)}); err != nil {
		return err
	}
	t.heardRoad(t.text("breakin.paused"))
	return nil
}

// goOn ends a pause; a hold for heat or noise only by a mentor's word.
func (t *turn) goOn() error {
	b := t.job.BreakIn
	if !t.road.Resume || b == nil || b.Hold == nil {
		return nil
	}
	if b.Hold.Asks != "" && !t.said.By.Role.Reviews() {
		t.tell(t.text("breakin.only_mentor", "why", clip(b.Hold.Why, 60)))
		t.noNext = true
		t.ping = append(t.ping, string(Mentor))
		return nil
	}
	var open []string
	for _, w := range t.job.Stops() {
		open = append(open, w.Rule)
	}
	if len(open) > 0 {
		if err := t.add(overridden{Rules: open, Reason: clip(t.said.Text, 120)}); err != nil {
			return err
		}
	}
	if err := t.add(resumed{}); err != nil {
		return err
	}
	t.heardRoad(t.text("breakin.resumed"))
	if b.Driver != t.said.By.Name {
		t.ping = append(t.ping, b.pings()...)
	}
	return nil
}

// snooze puts a reminder off: the one said last, or the next one.
func (t *turn) snooze() error {
	l := t.road.Later
	if l == nil {
		return nil
	}
	tm, ok := t.putOffable()
	if said, was := t.job.Reminded[tm.Key]; !t.said.Addressed && !strings.Contains(strings.ToLower(t.said.Text), "remind") && !t.job.saidLately(t.said.At) && !(was && t.said.At.Sub(said.At) < lately) {
		ok = false // they say so to each other
	}
	if !ok {
		t.road.Later = nil
		return nil
	}
	now := t.said.At
	until := now.Add(minutes(l.Minutes))
	switch {
	case l.Days > 0:
		until = t.voice.morning(now, l.Days)
	case l.Minutes == 0 && strings.HasPrefix(tm.Key, "breakin/cooled"), l.Minutes == 0 && strings.HasPrefix(tm.Key, "breakin/back"):
		until = now.Add(30 * time.Minute)
	case l.Minutes == 0 && strings.HasPrefix(tm.Key, "breakin/"):
		until = now.Add(2 * time.Hour)
	case l.Minutes == 0:
		until = t.voice.morning(now, 1)
	}
	if err := t.add(putOff{Key: tm.Key, Until: until}); err != nil {
		return err
	}
	t.tell(t.text("breakin.snoozed", "at", t.voice.clock(until)))
	t.noNext = true
	return nil
}

// lately is how long after a reminder "later" is an answer to it.
const lately = 20 * time.Hour

// saidLately says whether a reminder of the road was said not long ago.
func (j *Job) saidLately(now time.Time) bool {
	for key, said := range j.Reminded {
		if (strings.HasPrefix(key, "breakin/") || strings.HasPrefix(key, "after/")) && now.Sub(said.At) < lately {
			return true
		}
	}
	return false
}

// putOffable gives the timer of the road that was said last and still counts, or
// else the next one.
func (t *turn) putOffable() (Timer, bool) {
	var best Timer
	var seq uint64
	all := roadTimers(t.sheet, t.job)
	for _, tm := range all {
		if said, ok := t.job.Reminded[tm.Key]; ok && said.Seq > seq {
			best, seq = tm, said.Seq
		}
	}
	if seq > 0 {
		return best, true
	}
	for _, tm := range all {
		if best.Key == "" || tm.Due.Before(best.Due) {
			best = tm
		}
	}
	return best, best.Key != ""
}

// holdRoad has the break-in stand still after a hot or noisy report and calls the
// mentor.
func (t *turn) holdRoad() error {
	b := t.job.BreakIn
	if b == nil || !t.onRoad && !t.stopped || t.road.Resume {
		return nil
	}
	hot := t.shownNow["housing-hot"] || t.shownNow["housing-heats-fast"] || t.shownNow["pinion-bearing-hot"]
	noisy := t.road.Noise != nil
	if !hot && !noisy && !t.stopped {
		return nil
	}
	if b.Hold != nil && b.Hold.Asks != "" {
		return nil
	}
	if roadOf(t.sheet, t.job).phase == driven {
		if !noisy || !t.wasNoisy {
			t.ping = append(t.ping, string(Mentor))
		}
		return nil
	}
	if err := t.add(held{Asks: string(Mentor), Why: clip(t.said.Text, 120)}); err != nil {
		return err
	}
	t.ping = append(t.ping, string(Mentor))
	t.noNext = true
	t.tell(t.text("breakin.held"))
	return nil
}
