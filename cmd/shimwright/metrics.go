package main

import (
	"context"
	"log/slog"
	"net/http"
	"sync"
	"time"

	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/collectors"
	"github.com/prometheus/client_golang/prometheus/promhttp"

	"shimwright/bot/store"
	"shimwright/rules"
)

// meter is what the program counts of itself, in a registry of its own.
type meter struct {
	registry        *prometheus.Registry
	messages, posts *prometheus.CounterVec
	turn, post      *prometheus.HistogramVec
	up              *prometheus.GaugeVec
	records         *prometheus.CounterVec
}

func newMeter() *meter {
	times := []float64{.001, .0025, .005, .01, .025, .05, .1, .25, .5, 1, 2.5, 5, 10, 20}
	m := &meter{
		registry: prometheus.NewRegistry(),
		messages: prometheus.NewCounterVec(prometheus.CounterOpts{Name: "shimwright_messages_total",
			Help: "Messages of people, by what became of them."}, []string{"platform", "outcome"}),
		posts: prometheus.NewCounterVec(prometheus.CounterOpts{Name: "shimwright_posts_total",
			Help: "Tries to show an answer, by what the platform said."}, []string{"platform", "outcome"}),
		turn: prometheus.NewHistogramVec(prometheus.HistogramOpts{Name: "shimwright_turn_seconds",
			Help: "How long a message took until it was answered and on the disk.", Buckets: times}, []string{"platform"}),
		post: prometheus.NewHistogramVec(prometheus.HistogramOpts{Name: "shimwright_post_seconds",
			Help: "How long the platform took to show an answer.", Buckets: times}, []string{"platform"}),
		up: prometheus.NewGaugeVec(prometheus.GaugeOpts{Name: "shimwright_platform_up",
			Help: "1 while a platform is worked with, 0 once it is given up."}, []string{"platform"}),
		records: prometheus.NewCounterVec(prometheus.CounterOpts{Name: "shimwright_log_records_total",
			Help: "Lines of the log by level; errors are faults of the program or of what it stands on."}, []string{"level"}),
	}
	for _, level := range []string{"warn", "error"} {
		m.records.WithLabelValues(level) // so that a first error is a step from 0
	}
	m.registry.MustRegister(m.messages, m.posts, m.turn, m.post, m.up, m.records,
		collectors.NewGoCollector(), collectors.NewProcessCollector(collectors.ProcessCollectorOpts{}))
	return m
}

func (m *meter) handler() http.Handler {
	mux := http.NewServeMux()
	mux.Handle("GET /metrics", promhttp.HandlerFor(m.registry, promhttp.HandlerOpts{MaxRequestsInFlight: 2, Timeout: 10 * time.Second}))
	return mux
}

// countedLog counts records on their way to the log.
type countedLog struct {
	slog.Handler
	records *prometheus.CounterVec
}

func (h countedLog) Handle(ctx context.Context, r slog.Record) error {
	switch {
	case r.Level >= slog.LevelError:
		h.records.WithLabelValues("error").Inc()
	case r.Level >= slog.LevelWarn:
		h.records.WithLabelValues("warn").Inc()
	}
	return h.Handler.Handle(ctx, r)
}

func (h countedLog) WithAttrs(attrs []slog.Attr) slog.Handler {
	return countedLog{h.Handler.WithAttrs(attrs), h.records}
}

func (h countedLog) WithGroup(name string) slog.Handler {
	return countedLog{h.Handler.WithGroup(name), h.records}
}

const (
	lookTime  = 3 * time.Second  // what a scrape may cost the store
	lookEvery = 10 * time.Second // and how often
	lookPage  = 500
)

// stateOf collects what the store and the rules are like at the moment.
type stateOf struct {
	store *store.Store
	live  *rules.Live
	now   func() time.Time

	depth, late, refused, loaded, ruleCount, sheetCount *prometheus.Desc

	mu   sync.Mutex
	at   time.Time
	last queueState
}

type queueState struct {
	depth int
	late  time.Duration
	known bool
}

func newStateOf(s *store.Store, live *rules.Live, now func() time.Time) *stateOf {
	desc := func(name, help string) *prometheus.Desc { return prometheus.NewDesc(name, help, nil, nil) }
	return &stateOf{
		store: s, live: live, now: now,
		depth:      desc("shimwright_outbox_items", "Messages and other work that is queued, on its way or due later."),
		late:       desc("shimwright_outbox_late_seconds", "How long the oldest due item waits; a minute and more is trouble."),
		refused:    desc("shimwright_rules_refused", "1 where the shop's files have mistakes and those before are in force."),
		loaded:     desc("shimwright_rules_loaded_timestamp_seconds", "Since when the rules in force are."),
		ruleCount:  desc("shimwright_rules", "Rules in force."),
		sheetCount: desc("shimwright_sheets", "Axle sheets in force."),
	}
}

// Describe is prometheus.Collector's.
func (s *stateOf) Describe(ch chan<- *prometheus.Desc) { prometheus.DescribeByCollect(s, ch) }

// Collect is prometheus.Collector's.
func (s *stateOf) Collect(ch chan<- prometheus.Metric) {
	gauge := func(d *prometheus.Desc, v float64) { ch <- prometheus.MustNewConstMetric(d, prometheus.GaugeValue, v) }
	status := s.live.Status()
	refused := 0.0
	if status.Rejected != nil {
		refused = 1
	}
	gauge(s.refused, refused)
	gauge(s.loaded, float64(status.Loaded.Unix()))
	gauge(s.ruleCount, float64(status.Rules))
	gauge(s.sheetCount, float64(status.Sheets))
	if q := s.queue(); q.known {
		gauge(s.depth, float64(q.depth))
		gauge(s.late, q.late.Seconds())
	}
}

// queue counts what waits. Most of the time nothing does, and that is one question
// to the store; else every stream is looked at.
func (s *stateOf) queue() queueState {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.last.known && s.now().Sub(s.at).Abs() < lookEvery {
		return s.last
	}
	ctx, cancel := context.WithTimeout(context.Background(), lookTime)
	defer cancel()
	s.last = queueState{}
	due, waits, err := s.store.NextDue(ctx)
	if err != nil {
		return s.last
	}
	if waits {
		// Something that is due at once has no time of its own.
		if !due.IsZero() {
			s.last.late = max(0, s.now().Sub(due))
		}
		if s.last.depth, err = s.count(ctx); err != nil {
			s.last = queueState{}
			return s.last
		}
	}
	s.last.known, s.at = true, s.now()
	return s.last
}

func (s *stateOf) count(ctx context.Context) (int, error) {
	n, after := 0, ""
	for {
		names, err := s.store.Streams(ctx, "", after, lookPage)
		if err != nil {
			return 0, err
		}
		for _, name := range names {
			items, err := s.store.Waiting(ctx, name)
			if err != nil {
				return 0, err
			}
			n += len(items)
		}
		if len(names) < lookPage {
			return n, nil
		}
		after = names[len(names)-1]
	}
}
