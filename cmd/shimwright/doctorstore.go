package main

import (
	"context"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"time"

	"github.com/redis/go-redis/v9"
	"github.com/redis/go-redis/v9/maintnotifications"

	"shimwright/bot/store"
	"shimwright/bot/store/boltstore"
)

const (
	storeLook  = 10 * time.Second
	roomWanted = 200 << 20 // bytes
)

// store looks at where jobs are kept. A file that serve has open is left alone; one
// that is not there yet is not made.
func (e *examination) store(ctx context.Context) {
	e.about = "store"
	e.folder(e.c.data)
	if len(e.c.store.addresses) > 0 {
		e.redis(ctx)
		return
	}
	file := e.c.store.file
	if filepath.Dir(file) != e.c.data {
		e.folder(filepath.Dir(file))
	}
	if _, err := os.Stat(file); errors.Is(err, fs.ErrNotExist) {
		e.ok("%s is not there yet; serve makes it", file)
		return
	}
	b, err := boltstore.Open(file, lockWait)
	switch {
	case errors.Is(err, store.ErrLocked):
		e.add(look, "nothing, where serve runs; else end the other program", "%s is held by another program, so it was not opened", file)
		return
	case errors.Is(err, store.ErrFull):
		e.add(wrong, "make room on the disk", "%v", err)
		return
	case errors.Is(err, store.ErrNewer):
		e.add(wrong, "update this program", "%v", err)
		return
	case errors.Is(err, store.ErrCorrupt):
		e.add(wrong, "put a backup of it in its place", "%v", err)
		return
	case err != nil:
		e.add(wrong, "let the user that runs shimwright read and write it", "%v", err)
		return
	}
	defer b.Close()
	jobs, err := countJobs(ctx, b)
	if err != nil {
		e.add(wrong, "put a backup of it in its place", "%v", err)
		return
	}
	e.ok("%s can be written, %s in it", file, count(jobs, "job"))
}

func countJobs(ctx context.Context, b store.Backend) (int, error) {
	n, after := 0, ""
	for {
		names, err := b.Streams(ctx, "job-", after, lookPage)
		if err != nil {
			return 0, err
		}
		n += len(names)
		if len(names) < lookPage {
			return n, nil
		}
		after = names[len(names)-1]
	}
}

// folder looks whether a folder can be written, or made.
func (e *examination) folder(dir string) {
	at := dir
	for {
		if _, err := os.Stat(at); !errors.Is(err, fs.ErrNotExist) || filepath.Dir(at) == at {
			break
		}
		at = filepath.Dir(at)
	}
	f, err := os.CreateTemp(at, ".shimwright-doctor-*")
	if err != nil {
		e.add(wrong, "let the user that runs shimwright write there, or name another folder", "%s cannot be written: %v", at, bare(err))
		return
	}
	f.Close()
	os.Remove(f.Name())
	if info, err := os.Stat(dir); err == nil && info.Mode().Perm()&0o007 != 0 {
		e.add(look, "chmod o-rwx "+dir, "everybody on this machine can look into %s, where the shop's records are", dir)
	}
	if free, ok := freeBytes(at); ok && free < roomWanted {
		e.add(look, "make room", "the disk of %s has only %d MiB left", dir, free>>20)
	}
	e.ok("%s can be written", at)
}

// redis looks at the server, or at each master of a cluster.
func (e *examination) redis(ctx context.Context) {
	ctx, cancel := context.WithTimeout(ctx, storeLook)
	defer cancel()
	opt := redisOptions(&e.c.store)
	opt.ContextTimeoutEnabled, opt.DialerRetries, opt.MaxRetries, opt.DisableIdentity = true, 1, -1, true
	opt.MaintNotificationsConfig = &maintnotifications.Config{Mode: maintnotifications.ModeDisabled}
	client := redis.NewUniversalClient(opt)
	defer client.Close()
	name := strings.Join(e.c.store.addresses, ", ")
	if err := client.Ping(ctx).Err(); err != nil {
		e.add(wrong, redisDo(err), "redis at %s does not answer: %v", name, err)
		return
	}
	if cluster, ok := client.(*redis.ClusterClient); ok {
		// One after the other: findings are in order.
		var masters []*redis.Client
		var mu sync.Mutex // they are gone through at the same time
		if err := cluster.ForEachMaster(ctx, func(_ context.Context, c *redis.Client) error {
			mu.Lock()
			defer mu.Unlock()
			masters = append(masters, c)
			return nil
		}); err != nil {
			e.add(wrong, "see that the cluster is whole: redis-cli cluster info", "the masters of the cluster cannot be found: %v", err)
			return
		}
		for _, c := range masters {
			e.redisServer(ctx, c.Options().Addr, c)
		}
	} else {
		e.redisServer(ctx, name, client)
	}
	key := e.c.store.prefix + ".doctor"
	if err := client.Set(ctx, key, "1", time.Minute).Err(); err != nil {
		e.add(wrong, redisDo(err), "redis at %s cannot be written: %v", name, err)
		return
	}
	if err := client.Eval(ctx, "return redis.call('DEL', KEYS[1])", []string{key}).Err(); err != nil {
		e.add(wrong, "allow the user EVAL, EVALSHA and SCRIPT", "redis at %s runs no scripts for us: %v", name, err)
		return
	}
	e.ok("redis at %s can be written", name)
}

func redisDo(err error) string {
	text := err.Error()
	for _, c := range []struct{ has, do string }{
		{"NOAUTH", "give the password with password_env or password_file"},
		{"WRONGPASS", "correct user and password"},
		{"NOPERM", "allow the user all keys that begin with the prefix, and the commands of the deploy page"},
		{"OOM", "raise maxmemory; with noeviction a full redis refuses to write"},
		{"READONLY", "that is a replica: name the master, or use sentinel"},
		{"MISCONF", "redis cannot save to its disk: see its log"},
		{"NOREPLICAS", "too few replicas are connected for min-replicas-to-write"},
	} {
		if strings.Contains(text, c.has) {
			return c.do
		}
	}
	return "see that redis runs there and lets this machine in"
}

// redisServer looks at how one server is set up.
func (e *examination) redisServer(ctx context.Context, name string, c redis.Cmdable) {
	text, err := c.Info(ctx).Result()
	if err != nil {
		e.add(look, "allow the user INFO", "redis at %s does not say how it is set up: %v", name, err)
		return
	}
	info := map[string]string{}
	for line := range strings.Lines(text) {
		if key, value, ok := strings.Cut(strings.TrimSpace(line), ":"); ok {
			info[key] = value
		}
	}
	what, version := "redis", info["redis_version"]
	if v := info["valkey_version"]; v != "" {
		what, version = "valkey", v
	}
	major, _, _ := strings.Cut(version, ".")
	if n, err := strconv.Atoi(major); err == nil && n < 7 {
		e.add(wrong, "use 7.0 or later", "%s at %s is version %s, too old for what is asked of it", what, name, version)
	} else {
		e.ok("%s at %s is version %s", what, name, version)
	}
	if info["aof_enabled"] == "0" {
		e.add(wrong, "set appendonly yes, in redis.conf as well", "%s at %s keeps nothing over a restart but its last snapshot", what, name)
	}
	if v := info["aof_last_write_status"]; v != "" && v != "ok" {
		e.add(wrong, "see the log of redis, and the room on its disk", "%s at %s cannot write its append-only file", what, name)
	}
	if p := info["maxmemory_policy"]; p != "" && p != "noeviction" {
		level := wrong
		if info["maxmemory"] == "0" {
			level = look // nothing is thrown out as long as there is no limit
		}
		e.add(level, "set maxmemory-policy noeviction", "%s at %s throws records out when it is full (%s)", what, name, p)
	}
	if sync, err := c.ConfigGet(ctx, "appendfsync").Result(); err == nil && sync["appendfsync"] == "no" {
		e.add(look, "set appendfsync everysec, or always", "%s at %s leaves it to the system when records reach the disk", what, name)
	}
	if n, err := strconv.Atoi(info["connected_slaves"]); err == nil && n > 0 {
		if min, err := c.ConfigGet(ctx, "min-replicas-to-write").Result(); err == nil && min["min-replicas-to-write"] == "0" {
			e.add(look, "set min-replicas-to-write 1 where a failover must lose nothing", "%s at %s goes on writing when no replica follows", what, name)
		}
	}
}
