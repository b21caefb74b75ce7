package main

import (
	"context"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"time"
)

// figures is what one stage came to. Times are in milliseconds, per message where a
// name ends in Per.
type figures struct {
	Store     string  `json:"store"`
	Jobs      int     `json:"jobs"`
	Pending   int     `json:"pending"`
	Asked     float64 `json:"asked_per_s"`
	Said      uint64  `json:"said"`
	Rate      float64 `json:"messages_per_s"`
	P50       float64 `json:"p50_ms"`
	P99       float64 `json:"p99_ms"`
	P999      float64 `json:"p99_9_ms"`
	Max       float64 `json:"max_ms"`
	Behind    float64 `json:"generator_behind_p99_ms"`
	Lost      int     `json:"unanswered"`
	Twice     uint64  `json:"answered_twice"`
	Different uint64  `json:"answered_otherwise"`
	First     string  `json:"first_difference,omitempty"`

	BotCPU   float64 `json:"bot_cpu_us_per_message"`
	RedisCPU float64 `json:"redis_cpu_us_per_message,omitempty"`
	LoadCPU  float64 `json:"load_cpu_us_per_message"`

	RSS     float64 `json:"rss_mb"`
	PeakRSS float64 `json:"peak_rss_mb"`
	Heap    float64 `json:"heap_mb"`
	PerJob  float64 `json:"heap_kb_per_job"`
	Cycles  uint32  `json:"collections"`

	Scripts  float64            `json:"redis_scripts_per_message,omitempty"`
	Commands float64            `json:"redis_commands_per_message,omitempty"`
	BytesIn  float64            `json:"redis_bytes_in_per_message,omitempty"`
	BytesOut float64            `json:"redis_bytes_out_per_message,omitempty"`
	Written  float64            `json:"bytes_written_per_message"`
	RedisMB  float64            `json:"redis_mb,omitempty"`
	Calls    map[string]float64 `json:"redis_calls_per_message,omitempty"`

	LoadAvg string `json:"loadavg"`
}

// stage is one run: so many jobs, so many reminders laid up, on a store of its own.
type stage struct {
	o       options
	jobs    int
	pending int
	plans   []plan
	dir     string
}

// run does the stage.
func (s stage) run(ctx context.Context) (f figures, err error) {
	f = figures{Store: s.o.store, Jobs: s.jobs, Pending: s.pending, Asked: s.o.rate, LoadAvg: busyness()}
	var redis *server
	p := product{File: filepath.Join(s.dir, "jobs.db"), People: s.o.people, Senders: s.o.senders, Keep: s.o.keep, Forget: !s.o.memory}
	if s.o.store == "redis" {
		if s.o.redis != "" {
			redis, err = joinRedis(ctx, s.o.redis)
		} else {
			redis, err = startRedis(ctx, s.dir)
		}
		if err != nil {
			return f, err
		}
		defer redis.close()
		p.Redis = redis.addr
		if s.o.redis != "" {
			defer redis.client.FlushDB(context.WithoutCancel(ctx))
		}
	}
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		return f, err
	}
	defer l.Close()
	p.Platform = l.Addr().String()
	told, err := json.Marshal(p)
	if err != nil {
		return f, err
	}
	self, err := os.Executable()
	if err != nil {
		return f, err
	}
	child := exec.Command(self, productWord, string(told))
	child.Stderr = os.Stderr
	if err := child.Start(); err != nil {
		return f, err
	}
	defer child.Wait()
	l.(*net.TCPListener).SetDeadline(time.Now().Add(20 * time.Second))
	conn, err := l.Accept()
	if err != nil {
		return f, fmt.Errorf("the bot's process does not come up: %w", err)
	}
	talk := newPlatform(s.jobs, s.o.people, s.plans, !s.o.memory)
	talk.w = newWire(conn)
	defer talk.w.close()
	go talk.serve()
	err = s.measure(ctx, talk, child.Process.Pid, redis, &f)
	return f, err
}

func (s stage) measure(ctx context.Context, talk *platform, pid int, redis *server, f *figures) error {
	empty, err := talk.memory()
	if err != nil {
		return err
	}
	if err := talk.warm(s.o.warm, s.o.atOnce); err != nil {
		return err
	}
	if s.pending > 0 {
		if r, err := talk.ask(frame{op: opFuture, n: uint64(s.pending)}); err != nil || r.text != "" {
			return fmt.Errorf("laying up reminders: %s %w", r.text, err)
		}
	}
	talk.settle(30 * time.Second)
	if _, err := talk.generate(ctx, s.o.rate/2, s.o.settleIn); err != nil { // so that caches are as they stay
		return err
	}
	talk.settle(30 * time.Second)
	if s.o.profile != "" {
		name := filepath.Join(s.o.profile, fmt.Sprintf("%s-%d-%d.cpu", s.o.store, s.jobs, s.pending))
		if r, err := talk.ask(frame{op: opTrace, text: name}); err != nil || r.text != "" {
			return fmt.Errorf("the profile: %s %w", r.text, err)
		}
	}
	var before, after traffic
	if redis != nil {
		if before, err = redis.traffic(ctx); err != nil {
			return err
		}
	}
	file := size(filepath.Join(s.dir, "jobs.db"))
	said := talk.begin()
	cpu, own, redisCPU := cpuOf(pid), cpuOf(os.Getpid()), time.Duration(0)
	if redis != nil {
		redisCPU = cpuOf(redis.pid)
	}
	start := time.Now()
	behind, err := talk.generate(ctx, s.o.rate, s.o.length)
	if err != nil {
		return err
	}
	talk.settle(30 * time.Second)
	took := time.Since(start)
	n := talk.end(said, f)
	f.Rate = n / took.Seconds()
	f.BotCPU = micros(cpuOf(pid)-cpu) / n
	f.LoadCPU = micros(cpuOf(os.Getpid())-own) / n
	slices.Sort(behind)
	f.Behind = millis(at(behind, 0.99))
	if redis != nil {
		if after, err = redis.traffic(ctx); err != nil {
			return err
		}
		if redis.pid != 0 {
			f.RedisCPU = micros(cpuOf(redis.pid)-redisCPU) / n
		}
		f.Scripts, f.Commands = (after.scripts-before.scripts)/n, (after.inside-before.inside)/n
		f.BytesIn, f.BytesOut = (after.in-before.in)/n, (after.out-before.out)/n
		f.Written, f.RedisMB = (after.aof-before.aof)/n, after.memory/1e6
		f.Calls = map[string]float64{}
		for name, calls := range after.calls {
			if per := (calls - before.calls[name]) / n; per > 0.005 {
				f.Calls[name] = per
			}
		}
	} else {
		f.Written = float64(size(filepath.Join(s.dir, "jobs.db"))-file) / n
	}
	if s.o.profile != "" {
		if r, err := talk.ask(frame{op: opTrace}); err != nil || r.text != "" {
			return fmt.Errorf("the profile: %s %w", r.text, err)
		}
	}
	now, most := residentOf(pid)
	f.RSS, f.PeakRSS = float64(now)/1e6, float64(most)/1e6
	m, err := talk.memory()
	if err != nil {
		return err
	}
	f.Heap, f.PerJob = float64(m.Heap)/1e6, float64(m.Heap-min(m.Heap, empty.Heap))/1e3/float64(s.jobs)
	f.Cycles = m.Cycles
	return nil
}

// generate says messages at a rate, at times drawn beforehand whatever becomes of
// them (Poisson), and gives how far behind its times it was.
func (p *platform) generate(ctx context.Context, rate float64, length time.Duration) (behind []time.Duration, err error) {
	start := time.Now()
	due := time.Duration(0)
	for {
		due += time.Duration(rand.ExpFloat64() / rate * float64(time.Second))
		if due > length {
			return behind, nil
		}
		if wait := due - time.Since(start); wait > 0 {
			time.Sleep(wait)
		}
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		select {
		case <-p.w.gone:
			return nil, fmt.Errorf("the bot's process hung up")
		default:
		}
		behind = append(behind, time.Since(start)-due)
		p.sayAny(start.Add(due))
	}
}

// begin starts counting and gives how much was said before.
func (p *platform) begin() uint64 {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.count, p.took = true, nil
	return p.counts.Said
}

// end stops counting, fills in what was counted and gives how many messages it was.
func (p *platform) end(before uint64, f *figures) float64 {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.count = false
	f.Said = p.counts.Said - before
	f.Lost = p.open + int(p.counts.Said-p.counts.Taken)
	f.Twice = p.counts.Again + p.counts.Unexpected
	f.Different, f.First = p.counts.Different, p.counts.firstDifferent
	slices.Sort(p.took)
	f.P50, f.P99, f.P999, f.Max = millis(at(p.took, 0.5)), millis(at(p.took, 0.99)), millis(at(p.took, 0.999)), millis(at(p.took, 1))
	return max(1, float64(f.Said))
}

// memory asks for the bot's memory after a collection.
func (p *platform) memory() (m memoryFigures, err error) {
	r, err := p.ask(frame{op: opMemory})
	if err != nil {
		return m, err
	}
	return m, json.Unmarshal([]byte(r.text), &m)
}

// at gives the sorted value below which a share of all lies, 0 for none.
func at(sorted []time.Duration, share float64) time.Duration {
	if len(sorted) == 0 {
		return 0
	}
	return sorted[min(int(share*float64(len(sorted))), len(sorted)-1)]
}

func millis(d time.Duration) float64 { return float64(d.Microseconds()) / 1e3 }
func micros(d time.Duration) float64 { return float64(d.Microseconds()) }

func size(file string) int64 {
	info, err := os.Stat(file)
	if err != nil {
		return 0
	}
	return info.Size()
}

func numbers(text string) (out []int, err error) {
	for _, part := range splitList(text) {
		n, err := strconv.Atoi(part)
		if err != nil || n < 1 {
			return nil, fmt.Errorf("%q is not a number of jobs", part)
		}
		out = append(out, n)
	}
	return out, nil
}
