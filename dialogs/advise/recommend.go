package advise

import (
	"fmt"
	"math"
	"slices"

	"shimwright/calc/unit"
	"shimwright/rules"
)

// Recommend turns what was read so far into the next change. It errs where the
// request cannot be worked: no sheet, no attempt, a figure that is not a number.
func Recommend(req Request) (Advice, error) {
	a, err := newAxle(req.Sheet)
	if err != nil {
		return Advice{}, err
	}
	if len(req.Attempts) == 0 {
		return Advice{Verdict: More, Reason: "nothing is read yet", Causes: []string{"backlash round the ring", "drive pattern", "coast pattern"}}, nil
	}
	s, now := req.Sheet, req.Attempts[len(req.Attempts)-1]
	marks := [4]struct {
		v  float64
		ok bool
	}{{now.Drive.Along, now.Drive.AlongKnown}, {now.Drive.Across, now.Drive.AcrossKnown},
		{now.Coast.Along, now.Coast.AlongKnown}, {now.Coast.Across, now.Coast.AcrossKnown}}
	seen, fine := false, true
	for _, m := range marks {
		if m.ok {
			seen = true
			fine = fine && math.Abs(m.v) <= 0.4
		}
	}
	if len(now.Backlash) == 0 {
		return Advice{Verdict: More, Reason: "the lash decides how far; read it round the ring", Causes: []string{"backlash round the ring"}}, nil
	}
	low, mean, spread := summary(now.Backlash)
	judged := low
	if s.Limits.JudgeBacklash == rules.JudgeMean {
		judged = mean
	}
	limits := s.Limits.Backlash
	if spread > s.Limits.BacklashSpread.High && len(now.Backlash) > 1 && s.Limits.BacklashSpread.High > 0 {
		return Advice{Verdict: More, Reason: fmt.Sprintf("lash spreads %s round the ring, over %s: no shim cures a spread", s.Units.Length(spread), s.Units.Length(s.Limits.BacklashSpread.High)),
			Causes: []string{"ring gear runout", "dirt or a burr under the ring gear", "ring gear bolts", "carrier bearing seat"}}, nil
	}
	if limits.Has(judged) && fine && seen {
		return Advice{Verdict: Good, Backlash: Interval{judged, judged, judged}, Drive: now.Drive, Coast: now.Coast, Chance: 1,
			Reason: fmt.Sprintf("lash %s is inside %s to %s and the pattern carries well", s.Units.Length(judged), s.Units.Length(limits.Low), s.Units.Length(limits.High))}, nil
	}
	if limits.Has(judged) && !seen {
		return Advice{Verdict: More, Reason: "the lash is inside; the pattern decides", Causes: []string{"drive pattern", "coast pattern"}}, nil
	}
	target := limits.Middle()
	// Weighted least squares in the two moves: lash to its target, pattern to the
	// middle, and no larger moves than that takes.
	var n [3]float64 // pp, pg, gg
	var r [2]float64
	add := func(sp, sg, want, sigma float64) {
		w := 1 / (sigma * sigma)
		n[0] += w * sp * sp
		n[1] += w * sp * sg
		n[2] += w * sg * sg
		r[0] += w * sp * want
		r[1] += w * sg * want
	}
	add(a.lashPinion, a.lashRing, float64(target-judged), 0.01)
	for i, m := range marks {
		if m.ok {
			add(a.pinion[i], a.ring[i], -m.v, 0.25)
		}
	}
	add(1, 0, 0, 0.25)
	add(0, 1, 0, 0.6)
	det := n[0]*n[2] - n[1]*n[1]
	p := unit.MM((r[0]*n[2] - r[1]*n[1]) / det)
	g := unit.MM((r[1]*n[0] - r[0]*n[1]) / det)
	out := Advice{Verdict: Change, Build: map[string]unit.Length{}}
	step := unit.Thou(1)
	if s.Units == unit.Metric {
		step = unit.MM(0.01)
	}
	out.Pinion = round(p, step)
	g -= (out.Pinion - p) * unit.Length(a.lashPinion/a.lashRing)
	if per := s.Carrier.PerNotch(); per > 0 {
		notches := math.Round(float64(g / per))
		out.Ring = unit.Length(notches) * per
		out.LeftNotches, out.RightNotches = notches, -notches
		if s.Ring.Side == rules.Right {
			out.LeftNotches, out.RightNotches = -notches, notches
		}
	} else {
		out.Ring = round(g, step)
		out.Left, out.Right = out.Ring, -out.Ring
		if s.Ring.Side == rules.Right {
			out.Left, out.Right = -out.Ring, out.Ring
		}
	}
	out.PinionShim = out.Pinion * unit.Length(s.Pinion.Shim.Deeper())
	if s.Preload.Coupled {
		out.Preload = out.PinionShim
	}
	for _, b := range []struct {
		name   string
		stack  Stack
		change unit.Length
	}{{"pinion", now.Stacks.Pinion, out.PinionShim}, {"left", now.Stacks.Left, out.Left}, {"right", now.Stacks.Right, out.Right}, {"preload", now.Stacks.Preload, out.Preload}} {
		if b.stack.Known && b.change != 0 {
			out.Build[b.name] = b.stack.Thickness + b.change
		}
	}
	at := judged + unit.Length(a.lashPinion)*out.Pinion + unit.Length(a.lashRing)*out.Ring
	wide := unit.Length(0.25*math.Hypot(a.lashPinion*out.Pinion.MM(), a.lashRing*out.Ring.MM())) + unit.Thou(0.5)
	out.Backlash = Interval{at, at - wide, at + wide}
	shift := func(i int) float64 {
		return max(-1, min(1, marks[i].v+a.pinion[i]*out.Pinion.MM()+a.ring[i]*out.Ring.MM()))
	}
	out.Drive = Mark{shift(0), shift(1), marks[0].ok, marks[1].ok}
	out.Coast = Mark{shift(2), shift(3), marks[2].ok, marks[3].ok}
	out.Reason = fmt.Sprintf("lash %s, wanted %s to %s; geometry says %.2f of lash per unit of ring gear move and %.2f per unit of pinion move",
		s.Units.Length(judged), s.Units.Length(limits.Low), s.Units.Length(limits.High), -a.lashRing, -a.lashPinion)
	return out, nil
}

func round(l, step unit.Length) unit.Length {
	return unit.Length(math.Round(float64(l/step))) * step
}

func summary(all []unit.Length) (low, mean, spread unit.Length) {
	low = slices.Min(all)
	for _, l := range all {
		mean += l / unit.Length(len(all))
	}
	return low, mean, slices.Max(all) - low
}
