package main

import (
	"context"
	"fmt"
	"net"
	"os"
	"os/exec"
	"strconv"
	"strings"
	"time"

	"github.com/redis/go-redis/v9"
)

// server is the Redis of a run: one of its own, or one that was there before.
type server struct {
	addr   string
	pid    int // of a server of its own, else 0
	client *redis.Client
	cmd    *exec.Cmd
}

// startRedis starts a redis-server on a free port with its data in dir: append-only
// file on, written to disk every second, no snapshots.
func startRedis(ctx context.Context, dir string) (*server, error) {
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		return nil, err
	}
	addr := l.Addr().String()
	l.Close()
	_, port, _ := net.SplitHostPort(addr)
	cmd := exec.Command("redis-server", "--port", port, "--bind", "127.0.0.1", "--dir", dir, "--save", "",
		"--appendonly", "yes", "--appendfsync", "everysec")
	if err := cmd.Start(); err != nil {
		return nil, fmt.Errorf("redis-server does not start (--redis names one that runs, --store file needs none): %w", err)
	}
	s := &server{addr: addr, pid: cmd.Process.Pid, cmd: cmd, client: redis.NewClient(&redis.Options{Addr: addr})}
	for range 200 {
		if err = s.client.Ping(ctx).Err(); err == nil {
			return s, nil
		}
		time.Sleep(20 * time.Millisecond)
	}
	s.close()
	return nil, fmt.Errorf("redis-server does not answer: %w", err)
}

// joinRedis takes a server that runs. It must be empty: what is in it would be counted
// too, and the load must not get into a shop's jobs.
func joinRedis(ctx context.Context, addr string) (*server, error) {
	s := &server{addr: addr, client: redis.NewClient(&redis.Options{Addr: addr})}
	n, err := s.client.DBSize(ctx).Result()
	if err != nil {
		return nil, err
	}
	if n > 0 {
		return nil, fmt.Errorf("redis at %s has %d keys, and the load wants an empty one", addr, n)
	}
	return s, nil
}

func (s *server) close() {
	s.client.Close()
	if s.cmd != nil {
		s.cmd.Process.Signal(os.Interrupt)
		s.cmd.Wait()
	}
}

// traffic is what a server has done so far.
type traffic struct {
	scripts, inside float64 // scripts run, and all commands, those inside scripts too
	calls           map[string]float64
	in, out         float64 // bytes on the network
	aof             float64 // bytes of the append-only file
	memory          float64
}

func (s *server) traffic(ctx context.Context) (t traffic, err error) {
	text, err := s.client.Info(ctx, "stats", "persistence", "memory", "commandstats").Result()
	if err != nil {
		return t, err
	}
	t.calls = map[string]float64{}
	for row := range strings.Lines(text) {
		key, value, _ := strings.Cut(strings.TrimSpace(row), ":")
		number, _ := strconv.ParseFloat(value, 64)
		switch key {
		case "total_net_input_bytes":
			t.in = number
		case "total_net_output_bytes":
			t.out = number
		case "aof_current_size":
			t.aof = number
		case "used_memory":
			t.memory = number
		}
		if name, ok := strings.CutPrefix(key, "cmdstat_"); ok {
			calls, _, _ := strings.Cut(strings.TrimPrefix(value, "calls="), ",")
			n, _ := strconv.ParseFloat(calls, 64)
			t.calls[name] = n
			t.inside += n
			if name == "evalsha" || name == "eval" || name == "fcall" {
				t.scripts += n
			}
		}
	}
	return t, nil
}
