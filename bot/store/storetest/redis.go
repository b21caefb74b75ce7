package storetest

import (
	"bytes"
	"errors"
	"fmt"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"syscall"
	"testing"
	"time"
)

// NeedRedis is the environment variable that makes a missing redis-server a failure
// where it is "1".
const NeedRedis = "SHIMWRIGHT_NEED_REDIS"

const (
	startTimeout = 10 * time.Second
	startTries   = 5 // another program may take the free port first
)

// Redis is a redis-server process with its data in a folder of the test.
type Redis struct {
	Addr string // host:port on the loopback interface; the same after a restart

	t    testing.TB
	path string
	dir  string
	args []string
	cmd  *exec.Cmd
	done chan struct{} // closed when the process has ended
}

// StartRedis starts a redis-server on a free loopback port, writing an append-only
// file, and ends it with the test. More arguments go to the server as they are
// ("--appendfsync", "always"). Without a redis-server the test is skipped, or fails
// where the environment variable NeedRedis is 1.
func StartRedis(t testing.TB, args ...string) *Redis {
	t.Helper()
	path, err := exec.LookPath("redis-server")
	if err != nil {
		if os.Getenv(NeedRedis) == "1" {
			t.Fatalf("no redis-server, and %s is 1: %v", NeedRedis, err)
		}
		t.Skipf("NOT TESTED on a real server: no redis-server (%v); set %s=1 to make this a failure", err, NeedRedis)
	}
	r := &Redis{t: t, path: path, dir: t.TempDir(), args: args}
	t.Cleanup(r.Kill)
	for range startTries {
		port := freePort(t)
		r.Addr = net.JoinHostPort("127.0.0.1", strconv.Itoa(port))
		if err = r.start(); err == nil {
			return r
		}
	}
	t.Fatalf("redis-server does not start: %v", err)
	return nil
}

func freePort(t testing.TB) int {
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	return l.Addr().(*net.TCPAddr).Port
}

func (r *Redis) start() error {
	host, port, _ := net.SplitHostPort(r.Addr)
	return r.run(append([]string{"--port", port, "--bind", host, "--dir", r.dir, "--save", "", "--appendonly", "yes"}, r.args...)...)
}

// run starts the program and waits until it answers.
func (r *Redis) run(args ...string) error {
	log, err := os.OpenFile(filepath.Join(r.dir, "log"), os.O_CREATE|os.O_APPEND|os.O_WRONLY, 0o600)
	if err != nil {
		return err
	}
	defer log.Close()
	r.cmd = exec.Command(r.path, args...)
	r.cmd.Stdout, r.cmd.Stderr = log, log
	if err := r.cmd.Start(); err != nil {
		return err
	}
	r.done = make(chan struct{})
	go func(cmd *exec.Cmd, done chan struct{}) {
		cmd.Wait()
		close(done)
	}(r.cmd, r.done)
	for deadline := time.Now().Add(startTimeout); ; {
		err := ping(r.Addr)
		if err == nil {
			return nil
		}
		select {
		case <-r.done:
			return fmt.Errorf("it ended at once: %s", r.lastWords())
		default:
		}
		if time.Now().After(deadline) {
			r.Kill()
			return fmt.Errorf("no answer in %v (%w): %s", startTimeout, err, r.lastWords())
		}
		time.Sleep(2 * time.Millisecond) // nothing tells when a process listens
	}
}

func (r *Redis) lastWords() []byte {
	text, _ := os.ReadFile(filepath.Join(r.dir, "log"))
	return text[max(0, len(text)-2000):]
}

// ping is nil when the server has loaded its data and answers.
func ping(addr string) error {
	c, err := net.DialTimeout("tcp", addr, time.Second)
	if err != nil {
		return err
	}
	defer c.Close()
	c.SetDeadline(time.Now().Add(time.Second))
	if _, err := c.Write([]byte("PING\r\n")); err != nil {
		return err
	}
	answer := make([]byte, 64)
	n, err := c.Read(answer)
	if err != nil {
		return err
	}
	if !bytes.HasPrefix(answer[:n], []byte("+PONG")) {
		return errors.New(string(answer[:n]))
	}
	return nil
}

// Kill ends the server at once, as kill -9 does.
func (r *Redis) Kill() { r.end(syscall.SIGKILL) }

// Stop ends the server in good order.
func (r *Redis) Stop() { r.end(syscall.SIGTERM) }

// Pause stops the server from answering until Resume; connections stay open.
func (r *Redis) Pause() { r.cmd.Process.Signal(syscall.SIGSTOP) }

// Resume lets a paused server go on.
func (r *Redis) Resume() { r.cmd.Process.Signal(syscall.SIGCONT) }

func (r *Redis) end(signal os.Signal) {
	if r.cmd == nil || r.cmd.Process == nil {
		return
	}
	r.cmd.Process.Signal(signal)
	<-r.done
}

// Restart starts the server again at the same address with the same data, after Kill
// or Stop.
func (r *Redis) Restart() {
	r.t.Helper()
	r.end(syscall.SIGKILL)
	if err := r.start(); err != nil {
		r.t.Fatalf("redis-server does not start again: %v", err)
	}
}

// StartSentinel starts a sentinel that watches a master under a name, and gives its
// address. It takes a master for gone that has not answered for 300 ms, and needs
// nobody's agreement.
func StartSentinel(t testing.TB, name string, master *Redis) string {
	t.Helper()
	s := &Redis{t: t, path: master.path, dir: t.TempDir()}
	host, port, err := net.SplitHostPort(master.Addr)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(s.Kill)
	for range startTries {
		own := freePort(t)
		s.Addr = net.JoinHostPort("127.0.0.1", strconv.Itoa(own))
		conf := filepath.Join(s.dir, "sentinel.conf")
		text := fmt.Sprintf("port %d\nbind 127.0.0.1\ndir %s\nsentinel monitor %s %s %s 1\nsentinel down-after-milliseconds %s 300\nsentinel failover-timeout %s 2000\n",
			own, s.dir, name, host, port, name, name)
		if err = os.WriteFile(conf, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		if err = s.run(conf, "--sentinel"); err == nil {
			return s.Addr
		}
	}
	t.Fatalf("the sentinel does not start: %v", err)
	return ""
}
