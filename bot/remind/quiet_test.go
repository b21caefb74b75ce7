package remind

import (
	"testing"
	"time"

	"pgregory.net/rapid"
)

func zone(t testing.TB, name string) *time.Location {
	t.Helper()
	z, err := time.LoadLocation(name)
	if err != nil {
		t.Skipf("no time zones on this machine: %v", err)
	}
	return z
}

// The days on which the clocks change are those of the IANA time zone database:
// 8 March and 1 November 2026 in America/Chicago, 29 March and 25 October 2026 in
// Europe/Berlin.
func TestQuietHoursEndByTheClockOnTheWall(t *testing.T) {
	for _, c := range []struct {
		name, zone, due, want string
		from, to              int
	}{
		{"by day", "America/Chicago", "2026-03-04T12:00:00-06:00", "2026-03-04T12:00:00-06:00", 18 * 60, 6*60 + 30},
		{"in the evening", "America/Chicago", "2026-03-04T18:00:00-06:00", "2026-03-05T06:30:00-06:00", 18 * 60, 6*60 + 30},
		{"after midnight", "America/Chicago", "2026-03-05T06:29:59-06:00", "2026-03-05T06:30:00-06:00", 18 * 60, 6*60 + 30},
		{"at the end", "America/Chicago", "2026-03-05T06:30:00-06:00", "2026-03-05T06:30:00-06:00", 18 * 60, 6*60 + 30},
		{"within a day", "America/Chicago", "2026-03-05T12:10:00-06:00", "2026-03-05T13:00:00-06:00", 12 * 60, 13 * 60},
		{"summer time begins in the night", "America/Chicago", "2026-03-07T22:00:00-06:00", "2026-03-08T06:30:00-05:00", 18 * 60, 6*60 + 30},
		{"summer time ends in the night", "America/Chicago", "2026-10-31T22:00:00-05:00", "2026-11-01T06:30:00-06:00", 18 * 60, 6*60 + 30},
		{"the end is a minute that is left out", "Europe/Berlin", "2026-03-28T23:00:00+01:00", "2026-03-29T03:00:00+02:00", 20 * 60, 2*60 + 30},
		{"the end comes twice", "Europe/Berlin", "2026-10-24T23:00:00+02:00", "2026-10-25T02:30:00+02:00", 20 * 60, 2*60 + 30},
		{"the end comes twice, the second time", "Europe/Berlin", "2026-10-25T02:10:00+01:00", "2026-10-25T02:30:00+01:00", 20 * 60, 2*60 + 30},
		{"none", "Europe/Berlin", "2026-10-24T23:00:00+02:00", "2026-10-24T23:00:00+02:00", 0, 0},
	} {
		q := Quiet{From: c.from, To: c.to, Zone: zone(t, c.zone)}
		due, _ := time.Parse(time.RFC3339, c.due)
		if got := q.End(due).In(q.Zone).Format(time.RFC3339); got != c.want {
			t.Errorf("%s: %s, want %s (IANA time zone database)", c.name, got, c.want)
		}
	}
}

func TestTheEndOfQuietHoursIsTheFirstMinuteThatIsNot(t *testing.T) {
	zones := []*time.Location{nil, zone(t, "America/Chicago"), zone(t, "Europe/Berlin"), zone(t, "Australia/Lord_Howe")}
	rapid.Check(t, func(r *rapid.T) {
		q := Quiet{
			From: rapid.IntRange(0, 1439).Draw(r, "from"), To: rapid.IntRange(0, 1439).Draw(r, "to"),
			Zone: rapid.SampledFrom(zones).Draw(r, "zone"),
		}
		due := time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC).Add(time.Duration(rapid.IntRange(0, 365*24*60).Draw(r, "minutes")) * time.Minute)
		end := q.End(due)
		if q.At(end) || end.Before(due) || end.Sub(due) > 26*time.Hour {
			r.Fatalf("%v: the quiet hours of %v end at %v", q, due, end)
		}
		for m := due; m.Before(end); m = m.Add(time.Minute) {
			if !q.At(m) {
				r.Fatalf("%v: %v is not quiet, and the end for %v is said to be %v", q, m, due, end)
			}
		}
	})
}

func TestOneOfARoleIsEnough(t *testing.T) {
	noon := time.Date(2026, 3, 2, 12, 0, 0, 0, time.UTC)
	until := func(h int) Quiet { return Quiet{From: 11 * 60, To: h * 60} }
	for _, c := range []struct {
		name   string
		shop   Quiet
		groups [][]Quiet
		want   int
	}{
		{"nobody named", Quiet{}, nil, 12},
		{"one person", Quiet{}, [][]Quiet{{until(14)}}, 14},
		{"a role with one awake", Quiet{}, [][]Quiet{{until(14), {}}}, 12},
		{"a role asleep", Quiet{}, [][]Quiet{{until(15), until(14)}}, 14},
		{"two people", Quiet{}, [][]Quiet{{until(14)}, {until(15)}}, 15},
		{"the shop after the person", Quiet{From: 14 * 60, To: 16 * 60}, [][]Quiet{{until(14)}}, 16},
	} {
		if got := When(noon, c.shop, c.groups...); got.Hour() != c.want {
			t.Errorf("%s: %v, want %d:00", c.name, got, c.want)
		}
	}
}
