package dialogs

import (
	"math"
	"strconv"
	"strings"

	"shimwright/calc/lash"
	"shimwright/calc/unit"
	"shimwright/dialogs/phrase"
	"shimwright/dialogs/picture"
	"shimwright/rules"
)

// roundRing looks at backlash round the ring where its spread is over the sheet's
// limit: whether it comes once a turn, as a ring gear that wobbles does, or from
// one place, and a picture of it. It gives nothing where the spread is inside.
func roundRing(v voice, s *rules.Sheet, r *Reading) (string, []Picture) {
	if r == nil {
		return "", nil
	}
	all := r.Lengths()
	limit := s.Limits.BacklashSpread
	if len(all) < 4 || !limit.Set {
		return "", nil
	}
	turns, clock := places(r.Positions, len(all))
	ring, err := lash.Round(all, turns...)
	if err != nil || ring.Spread <= limit.High+unit.MM(1e-4) {
		return "", nil
	}
	p := ringPicture(v, s, r, all, turns, clock)
	h := ring.Harmonic
	line := ""
	switch {
	case !h.Determined || len(all) < 5 && h.Explained < 0.5:
	case h.Explained >= 0.8:
		line = v.words.Say("question.once_a_turn", "place", v.placeOf(r, h.HighAt))
	case h.Worst >= 0:
		line = v.words.Say("question.one_place", "place", v.placeOf(r, h.Worst))
	}
	if h.Determined {
		p.Wave = &picture.Wave{Mean: h.Centre, Amplitude: h.Amplitude, Widest: unit.Rad(2 * math.Pi * h.HighTurn)}
	}
	return line, []Picture{{Name: "backlash", Round: p}}
}

// ringPicture draws backlash readings against the sheet's limits.
func ringPicture(v voice, s *rules.Sheet, r *Reading, all []unit.Length, turns []float64, clock bool) *picture.BacklashPicture {
	p := &picture.BacklashPicture{Units: v.own, SpreadLimit: s.Limits.BacklashSpread.High, Clock: clock}
	if b := s.Limits.Backlash; b.Set {
		p.Low, p.High = b.Low, b.High
	}
	for i, l := range all {
		reading := picture.RoundReading{Value: l, At: unit.Rad(2 * math.Pi * turnOf(turns, i, len(all)))}
		if i < len(r.Positions) {
			reading.Place = v.ringPlace(r.Positions[i])
		}
		p.Readings = append(p.Readings, reading)
	}
	return p
}

// lashPicture shows backlash read in several places, whatever its spread.
func lashPicture(v voice, s *rules.Sheet, r *Reading) []Picture {
	p := lashRound(v, s, r)
	if p == nil {
		return nil
	}
	return []Picture{{Name: "backlash", Round: p}}
}

// lashRound draws backlash against the sheet's limits, nil where it was read at fewer
// than three places.
func lashRound(v voice, s *rules.Sheet, r *Reading) *picture.BacklashPicture {
	if r == nil {
		return nil
	}
	all := r.Lengths()
	if len(all) < 3 || len(all) > picture.MaxReadings {
		return nil
	}
	turns, clock := places(r.Positions, len(all))
	return ringPicture(v, s, r, all, turns, clock)
}

// places turns clock positions into parts of a turn; other names keep the readings
// at equal steps.
func places(names []string, n int) (turns []float64, clock bool) {
	if len(names) != n {
		return nil, false
	}
	for _, name := range names {
		hour, minute, _ := strings.Cut(strings.TrimSuffix(strings.TrimSpace(name), " o'clock"), ":")
		h, err := strconv.Atoi(hour)
		if err != nil || h < 1 || h > 12 {
			return nil, false
		}
		m, _ := strconv.Atoi(minute)
		turns = append(turns, (float64(h%12)+float64(m)/60)/12)
	}
	return turns, true
}

func turnOf(turns []float64, i, n int) float64 {
	if turns != nil {
		return turns[i]
	}
	return float64(i) / float64(n)
}

// placeOf names the place of a reading: as it was said, or its number.
func (v voice) placeOf(r *Reading, i int) string {
	if i < len(r.Positions) {
		return v.ringPlace(r.Positions[i])
	}
	return v.words.Say("question.place", "n", i+1)
}

// ringPlace says a place on the ring gear as it was typed, "bolt 3" in the person's
// language; one of the clock or the compass is the same in all.
func (v voice) ringPlace(typed string) string {
	name, n, ok := strings.Cut(typed, " ")
	switch {
	case !ok || v.words.Language == phrase.English:
		return typed
	case name == "bolt":
		return v.words.Say("question.place_bolt", "n", n)
	case name == "tooth":
		return v.words.Say("question.place_tooth", "n", n)
	}
	return v.words.Say("question.place", "n", n)
}
