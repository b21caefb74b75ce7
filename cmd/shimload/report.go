package main

import (
	"encoding/json"
	"fmt"
	"io"
	"text/tabwriter"
)

// report writes the stages side by side, or each as JSON.
func report(w io.Writer, o options, all []figures) {
	if o.json {
		e := json.NewEncoder(w)
		for _, f := range all {
			e.Encode(f)
		}
		return
	}
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', tabwriter.AlignRight)
	row := func(name, format string, value func(figures) any) {
		fmt.Fprintf(t, "%s\t", name)
		for _, f := range all {
			fmt.Fprintf(t, format+"\t", value(f))
		}
		fmt.Fprintln(t)
	}
	row("store", "%s", func(f figures) any { return f.Store })
	row("open jobs", "%d", func(f figures) any { return f.Jobs })
	row("reminders for later", "%d", func(f figures) any { return f.Pending })
	row("messages/s asked", "%.0f", func(f figures) any { return f.Asked })
	row("messages/s answered", "%.0f", func(f figures) any { return f.Rate })
	row("p50 ms", "%.1f", func(f figures) any { return f.P50 })
	row("p99 ms", "%.1f", func(f figures) any { return f.P99 })
	row("p99.9 ms", "%.1f", func(f figures) any { return f.P999 })
	row("longest ms", "%.1f", func(f figures) any { return f.Max })
	row("messages", "%d", func(f figures) any { return f.Said })
	row("unanswered", "%d", func(f figures) any { return f.Lost })
	row("answered twice", "%d", func(f figures) any { return f.Twice })
	if !o.memory {
		row("answered otherwise", "%d", func(f figures) any { return f.Different })
	}
	row("bot µs/message", "%.0f", func(f figures) any { return f.BotCPU })
	if o.store == "redis" {
		row("redis µs/message", "%.0f", func(f figures) any { return f.RedisCPU })
	}
	row("platform µs/message", "%.0f", func(f figures) any { return f.LoadCPU })
	row("resident MB", "%.0f", func(f figures) any { return f.RSS })
	row("resident MB at most", "%.0f", func(f figures) any { return f.PeakRSS })
	row("heap MB", "%.1f", func(f figures) any { return f.Heap })
	row("heap kB/job", "%.1f", func(f figures) any { return f.PerJob })
	if o.store == "redis" {
		row("scripts/message", "%.2f", func(f figures) any { return f.Scripts })
		row("commands/message", "%.1f", func(f figures) any { return f.Commands })
		row("bytes to redis/message", "%.0f", func(f figures) any { return f.BytesIn })
		row("bytes from redis/message", "%.0f", func(f figures) any { return f.BytesOut })
		row("append-only bytes/message", "%.0f", func(f figures) any { return f.Written })
		row("redis MB", "%.0f", func(f figures) any { return f.RedisMB })
	} else {
		row("file growth bytes/message", "%.0f", func(f figures) any { return f.Written })
	}
	row("generator behind, p99 ms", "%.1f", func(f figures) any { return f.Behind })
	row("load average before", "%s", func(f figures) any { return f.LoadAvg })
	t.Flush()
	for _, f := range all {
		if f.First != "" {
			fmt.Fprintf(w, "\nfirst difference with %d jobs %s\n", f.Jobs, f.First)
		}
	}
}
