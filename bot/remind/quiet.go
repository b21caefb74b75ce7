package remind

import "time"

// Quiet is the hours in which nobody is reminded, every day the same, by the clock
// on the wall: 18:00 to 06:30 stays that when summer time begins or ends. The zero
// value is no such hours.
type Quiet struct {
	From, To int            // minutes since midnight, 0 to 1439; equal: none
	Zone     *time.Location // whose clock; nil for UTC
}

// At says whether a time falls into the quiet hours.
func (q Quiet) At(t time.Time) bool {
	if q.From == q.To {
		return false
	}
	m := q.minute(t)
	if q.From < q.To {
		return m >= q.From && m < q.To
	}
	return m >= q.From || m < q.To
}

// End gives the end of the quiet hours a time falls into, and other times as they
// are.
func (q Quiet) End(t time.Time) time.Time {
	if !q.At(t) {
		return t
	}
	local := t.In(q.zone())
	year, month, day := local.Date()
	if q.minute(t) >= q.To {
		day++
	}
	// On the days the clock is put on or back, that minute may be missing or come
	// twice: from some hours before it on, the first one that is not quiet.
	end := time.Date(year, month, day, q.To/60, q.To%60, 0, 0, q.zone()).Add(-3 * time.Hour)
	if next := t.Truncate(time.Minute).Add(time.Minute); end.Before(next) {
		end = next
	}
	for i := 0; i < 24*60 && q.At(end); i++ {
		end = end.Add(time.Minute)
	}
	return end
}

func (q Quiet) minute(t time.Time) int {
	local := t.In(q.zone())
	return local.Hour()*60 + local.Minute()
}

func (q Quiet) zone() *time.Location {
	if q.Zone == nil {
		return time.UTC
	}
	return q.Zone
}

// When gives the first time from due on that is quiet neither for the shop nor for
// everybody of one of the groups to be reminded. A group is one person, or all who
// have a role; one of those awake is enough.
func When(due time.Time, shop Quiet, groups ...[]Quiet) time.Time {
	t := due
	for range 8 { // hours that leave no gap between them end nowhere
		next := shop.End(t)
		for _, g := range groups {
			var first time.Time
			for _, q := range g {
				if end := q.End(next); first.IsZero() || end.Before(first) {
					first = end
				}
			}
			if first.After(next) {
				next = first
			}
		}
		if next.Equal(t) {
			break
		}
		t = next
	}
	return t
}
