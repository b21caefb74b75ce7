package main

import (
	"regexp"
	"strconv"
	"time"
	_ "time/tzdata" // so that a container without them knows the zones, too

	"go.yaml.in/yaml/v4"

	"shimwright/bot/remind"
)

var clockSpan = regexp.MustCompile(`^([01]?[0-9]|2[0-4]):([0-5][0-9]) ?(?:-|–|to) ?([01]?[0-9]|2[0-4]):([0-5][0-9])$`)

// hours reads quiet hours, by the clock on the wall: 18:00-06:30.
func (r *configReader) hours(to *remind.Quiet) func(*yaml.Node) {
	return func(n *yaml.Node) {
		var text string
		if r.Text("quiet_hours", 40, &text)(n); text == "" {
			return
		}
		m := clockSpan.FindStringSubmatch(text)
		if m == nil {
			r.Mistake(n, "write from and to as on the clock: 18:00-06:30", "%q is no time of day to another", text)
			return
		}
		from, to2 := minuteOf(m[1], m[2]), minuteOf(m[3], m[4])
		if from < 0 || to2 < 0 || from%(24*60) == to2%(24*60) {
			r.Mistake(n, "write from and to as on the clock: 18:00-06:30", "%q is no span of a day", text)
			return
		}
		to.From, to.To = from%(24*60), to2%(24*60)
	}
}

// minuteOf gives the minute of the day, −1 for one there is not.
func minuteOf(hour, minute string) int {
	h, _ := strconv.Atoi(hour)
	m, _ := strconv.Atoi(minute)
	if h*60+m > 24*60 {
		return -1
	}
	return h*60 + m
}

// timeZone reads the name of a zone of the IANA database.
func (r *configReader) timeZone(to **time.Location) func(*yaml.Node) {
	return func(n *yaml.Node) {
		var name string
		if r.Text("time_zone", 60, &name)(n); name == "" {
			return
		}
		zone, err := time.LoadLocation(name)
		if err != nil || name == "Local" {
			r.Mistake(n, "write it as America/Chicago, Europe/Berlin or UTC", "%q is no time zone", name)
			return
		}
		*to = zone
	}
}

// setZones gives hours their clock: the person's, or else the shop's.
func (c *config) setZones() {
	if c.zone == nil {
		c.zone = time.UTC
	}
	if c.hours.From != c.hours.To {
		c.hours.Zone = c.zone
	}
	for i := range c.people {
		if q := &c.people[i].Quiet; q.Zone == nil && q.From != q.To {
			q.Zone = c.zone
		}
	}
}
