package dialogs

import "time"

// at gives the voice for what is said at a time.
func (v voice) at(now time.Time) voice {
	v.now = now
	return v
}

func (v voice) local(t time.Time) time.Time {
	if v.zone == nil {
		return t.UTC()
	}
	return t.In(v.zone)
}

// clock writes a time by the shop's clock: the time of day, with the date where it
// is another day.
func (v voice) clock(t time.Time) string {
	local, now := v.local(t), v.local(v.now)
	if local.YearDay() == now.YearDay() && local.Year() == now.Year() {
		return local.Format("15:04")
	}
	return local.Format("2006-01-02 15:04")
}

// date is a time of which only the day is said.
type date time.Time

// day writes a date by the shop's clock.
func (v voice) day(t time.Time) string { return v.local(t).Format("2006-01-02") }

// morning gives the beginning of the shop's day, so many days from now.
func (v voice) morning(now time.Time, days int) time.Time {
	local := v.local(now)
	return time.Date(local.Year(), local.Month(), local.Day()+days, morning, 0, 0, 0, local.Location())
}
