package bot

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"sync/atomic"
	"testing"
	"testing/synctest"
	"time"

	"shimwright/bot/store"
)

// inShop runs a test in a bubble whose clock moves only while everything waits.
func inShop(t *testing.T, p Adapter, f *faulty, test func(t *testing.T, s *shop)) {
	t.Helper()
	synctest.Test(t, func(t *testing.T) {
		var options []shopOption
		if f != nil {
			options = append(options, withFaults(f))
		}
		s := newShop(t, p, options...)
		defer s.end()
		test(t, s)
	})
}

func TestAFailedPostIsSentAgainInItsPlace(t *testing.T) {
	p := &plainPlatform{}
	inShop(t, p, nil, func(t *testing.T, s *shop) {
		s.hear(s.message("bay", "open rear"))
		fails := 3
		p.fail = func(_ Place, post Post, _ string) error {
			if strings.HasPrefix(post.Text, "2:") && fails > 0 {
				fails--
				return errors.New("502")
			}
			return nil
		}
		same(t, "at once", s.hear(s.message("bay", "lash 14")))
		same(t, "behind it", s.hear(s.message("bay", "lash 8")))
		same(t, "elsewhere", s.hear(s.message("bay2", "open front")), "job 2 is open")
		began := time.Now()
		for len(p.texts("bay")) < 3 && time.Since(began) < time.Hour {
			time.Sleep(100 * time.Millisecond)
			s.settle()
		}
		same(t, "in the bay", p.texts("bay"), "job 1 is open", "2: lash 14", "3: lash 8")
		// 1 s, 2 s and 4 s, each up to a fifth less.
		if took := time.Since(began); took < 5*time.Second || took > 8*time.Second {
			t.Errorf("three tries took %v", took)
		}
		var nonces []string
		for _, n := range p.calls {
			if len(nonces) == 0 || nonces[len(nonces)-1] != n {
				nonces = append(nonces, n)
			}
		}
		if len(p.calls) != 4+3 || len(nonces) > 6 {
			t.Errorf("the nonces of the calls: %q", p.calls)
		}
	})
}

func TestAPlatformMayAskForTime(t *testing.T) {
	p := &plainPlatform{}
	inShop(t, p, nil, func(t *testing.T, s *shop) {
		s.hear(s.message("bay", "open rear"))
		first := true
		p.fail = func(Place, Post, string) error {
			if first {
				first = false
				return fmt.Errorf("429: %w", &LaterError{After: 40 * time.Second, Err: errors.New("too many")})
			}
			return nil
		}
		s.hear(s.message("bay", "lash 14"))
		time.Sleep(39 * time.Second)
		s.settle()
		same(t, "too early", p.texts("bay"), "job 1 is open")
		time.Sleep(3 * time.Second)
		s.settle()
		same(t, "then", p.texts("bay"), "job 1 is open", "2: lash 14")
	})
}

func TestARefusedPostIsGivenUp(t *testing.T) {
	p := &plainPlatform{}
	inShop(t, p, nil, func(t *testing.T, s *shop) {
		s.hear(s.message("bay", "open rear"))
		p.fail = func(_ Place, post Post, _ string) error {
			if strings.HasPrefix(post.Text, "2:") {
				return fmt.Errorf("%w: put out of the channel", ErrRefused)
			}
			return nil
		}
		s.hear(s.message("bay", "lash 14"))
		same(t, "the next one is sent", s.hear(s.message("bay", "lash 8")), "3: lash 8")
		if !strings.Contains(s.log.String(), "a message is given up") {
			t.Error("nothing in the log")
		}
	})
}

// The process ends between posting and telling the store: the platform's nonce is
// what keeps the post from being there twice.
func TestAfterACrashThePostHasTheSameNonce(t *testing.T) {
	f := &faulty{}
	p := &plainPlatform{}
	inShop(t, p, f, func(t *testing.T, s *shop) {
		s.hear(s.message("bay", "open rear"))
		f.set(func(b store.Batch) error {
			if len(b.Done) > 0 {
				return errors.New("gone")
			}
			return nil
		}, nil)
		same(t, "posted", s.hear(s.message("bay", "lash 14")), "2: lash 14")
		calls := len(p.calls)
		f.set(nil, nil)
		s.restart()
		s.settle()
		if len(p.calls) != calls+1 || p.calls[calls] != p.calls[calls-1] {
			t.Errorf("nonces: %q", p.calls)
		}
		same(t, "shown", p.texts("bay"), "job 1 is open", "2: lash 14")
	})
}

// While the store cannot be told, this process does not post again and again.
func TestAPostIsNotRepeatedWhileTheStoreIsFull(t *testing.T) {
	f := &faulty{}
	p := &plainPlatform{}
	inShop(t, p, f, func(t *testing.T, s *shop) {
		s.hear(s.message("bay", "open rear"))
		f.set(func(b store.Batch) error {
			if len(b.Done) > 0 {
				return store.ErrFull
			}
			return nil
		}, nil)
		s.hear(s.message("bay", "lash 14"))
		calls := len(p.calls)
		time.Sleep(3 * leaseTime)
		s.settle()
		if len(p.calls) != calls {
			t.Errorf("it was posted %d times more", len(p.calls)-calls)
		}
		f.set(nil, nil)
		time.Sleep(2 * leaseTime)
		same(t, "then it goes on", s.hear(s.message("bay", "lash 8")), "3: lash 8")
	})
}

// A commit whose outcome is unknown is repeated as the same batch, and counts once
// whether it had been done or not.
func TestUnknownOutcomesCountOnce(t *testing.T) {
	for _, done := range []bool{true, false} {
		t.Run(fmt.Sprint("done ", done), func(t *testing.T) {
			f := &faulty{}
			p := &plainPlatform{}
			inShop(t, p, f, func(t *testing.T, s *shop) {
				var n atomic.Int64
				lose := func(store.Batch) error {
					if n.Add(1)%3 != 0 { // every commit fails twice
						return store.ErrTemporary
					}
					return nil
				}
				if done {
					f.set(nil, lose)
				} else {
					f.set(lose, nil)
				}
				s.hear(s.message("bay", "open rear"))
				for i := range 4 {
					s.hear(s.message("bay", fmt.Sprint("lash ", i)))
				}
				time.Sleep(time.Minute)
				s.settle()
				same(t, "log", s.facts(1), "lash 0", "lash 1", "lash 2", "lash 3")
				same(t, "shown", p.texts("bay"), "job 1 is open", "2: lash 0", "3: lash 1", "4: lash 2", "5: lash 3")
			})
		})
	}
}

func TestAStoreThatStaysAwayIsTold(t *testing.T) {
	f := &faulty{}
	p := &plainPlatform{}
	inShop(t, p, f, func(t *testing.T, s *shop) {
		s.hear(s.message("bay", "open rear"))
		f.set(func(store.Batch) error { return store.ErrTemporary }, nil)
		began := time.Now()
		got := s.hear(s.message("bay", "lash 14"))
		if len(got) != 1 || !strings.HasPrefix(got[0], "the shop's store does not answer, so it is not sure that your message was logged.") {
			t.Errorf("told: %q", got)
		}
		if took := time.Since(began); took > turnTime {
			t.Errorf("it took %v", took)
		}
		f.set(nil, nil)
		same(t, "it goes on", s.hear(s.message("bay", "lash 8")), "2: lash 8")
	})
}

func TestShutdownWithinASecond(t *testing.T) {
	t.Run("idle", func(t *testing.T) {
		inShop(t, &plainPlatform{}, nil, func(t *testing.T, s *shop) {
			s.hear(s.message("bay", "open rear"))
			endsSoon(t, s)
		})
	})
	t.Run("a post hangs", func(t *testing.T) {
		p := &plainPlatform{}
		inShop(t, p, nil, func(t *testing.T, s *shop) {
			s.hear(s.message("bay", "open rear"))
			p.block = true
			if err := s.bot.Handle(context.Background(), "chat", s.message("bay", "lash 14")); err != nil {
				t.Fatal(err)
			}
			synctest.Wait()
			endsSoon(t, s)
			p.block = false
			s.start()
			s.settle()
			same(t, "sent by the next one", p.texts("bay"), "job 1 is open", "2: lash 14")
		})
	})
	t.Run("the store hangs", func(t *testing.T) {
		f := &faulty{}
		p := &plainPlatform{}
		inShop(t, p, f, func(t *testing.T, s *shop) {
			s.hear(s.message("bay", "open rear"))
			f.set(func(store.Batch) error { return store.ErrTemporary }, nil)
			ctx, cancel := context.WithCancel(context.Background())
			m := s.message("bay", "lash 14")
			handled := make(chan error)
			go func() { handled <- s.bot.Handle(ctx, "chat", m) }()
			synctest.Wait()
			began := time.Now()
			cancel()
			err := <-handled
			if took := time.Since(began); took > time.Second || err == nil {
				t.Errorf("the turn ended after %v with %v; it is to be delivered again", took, err)
			}
			f.set(nil, nil)
			same(t, "delivered again", s.hear(m), "2: lash 14")
		})
	})
}

func endsSoon(t *testing.T, s *shop) {
	t.Helper()
	began := time.Now()
	s.end()
	if took := time.Since(began); took > time.Second {
		t.Errorf("it took %v to end", took)
	}
}
