package main

import (
	"context"
	"encoding/binary"
	"time"

	"github.com/hibiken/asynq"
)

// startAsynq runs an asynq server with the workers. The acknowledgement follows the
// handler inside asynq, so the last ones are counted when its inspector says that
// nothing is left; polling that costs it next to nothing.
func startAsynq(_ context.Context, t *task) (func(int) error, func(), error) {
	opt := asynq.RedisClientOpt{Addr: t.addr, PoolSize: t.callers + t.workers}
	server := asynq.NewServer(opt, asynq.Config{
		Concurrency: t.workers, LogLevel: asynq.FatalLevel, DelayedTaskCheckInterval: 100 * time.Millisecond,
		TaskCheckInterval: 20 * time.Millisecond,
	})
	err := server.Start(asynq.HandlerFunc(func(_ context.Context, job *asynq.Task) error {
		t.deliver(int(binary.BigEndian.Uint64(job.Payload())))
		return nil
	}))
	if err != nil {
		return nil, nil, err
	}
	client := asynq.NewClient(opt)
	inspector := asynq.NewInspector(opt)
	over := make(chan struct{})
	go func() {
		tick := time.NewTicker(5 * time.Millisecond)
		defer tick.Stop()
		for {
			select {
			case <-over:
				return
			case <-tick.C:
			}
			if t.delivered.Load() < int64(t.items) {
				continue
			}
			if q, err := inspector.GetQueueInfo("default"); err == nil && q.Size == 0 {
				t.ack(t.items)
				return
			}
		}
	}()
	schedule := func(i int) error {
		var options []asynq.Option
		if t.in > 0 {
			options = append(options, asynq.ProcessAt(t.due))
		}
		_, err := client.Enqueue(asynq.NewTask("post", append(binary.BigEndian.AppendUint64(nil, uint64(i)), t.body[8:]...)), options...)
		return err
	}
	return schedule, func() {
		close(over)
		server.Shutdown()
		client.Close()
		inspector.Close()
	}, nil
}
