package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"shimwright/bot"
	"shimwright/bot/store"
	"shimwright/bot/store/boltstore"
	"shimwright/bot/store/redisstore"
)

var (
	errNotEmpty = errors.New("the store is not empty")
	errInUse    = errors.New("other processes work on the store")
)

// storeBackup writes everything into a new file: the embedded file as it is at one
// moment, Redis as an export.
func storeBackup(ctx context.Context, c *storeCall) error {
	to := c.words[0]
	if err := c.copyTo(ctx, to); err != nil {
		return err
	}
	jobs, findings, err := examineFile(ctx, to)
	if err != nil {
		return fmt.Errorf("%s was written and cannot be read again: %w", to, err)
	}
	info, err := os.Stat(to)
	if err != nil {
		return err
	}
	fmt.Fprintf(c.s.out, "%s: %s, %s, read again\n", to, count(jobs, "job"), size(info.Size()))
	if c.inRedis() {
		fmt.Fprintln(c.s.out, "of redis each job is of one moment, the jobs of moments one after the other.")
	}
	if len(findings) == 0 {
		return nil
	}
	fmt.Fprintf(c.s.errOut, "shimwright store backup: what was backed up is not all right: %s. shimwright store check says more.\n", count(len(findings), "finding"))
	return errTold
}

func (c *storeCall) copyTo(ctx context.Context, to string) error {
	if c.inRedis() {
		b, err := openServiceStore(ctx, &c.where)
		if err != nil {
			return err
		}
		defer b.Close()
		return writeNew(to, func(w io.Writer) error {
			_, err := store.Export(ctx, b, nil, bot.Directory, w, time.Now())
			return err
		})
	}
	if err := c.there(); err != nil {
		return err
	}
	b, err := boltstore.Open(c.where.file, lockWait)
	if errors.Is(err, store.ErrLocked) {
		return boltstore.FetchCopy(ctx, c.where.file, to)
	}
	if err != nil {
		return err
	}
	defer b.Close()
	return b.Backup(ctx, to)
}

// writeNew writes a file that is not there yet, whole or not at all, for its owner
// alone.
func writeNew(path string, fill func(io.Writer) error) (err error) {
	if _, err := os.Lstat(path); err == nil {
		return fmt.Errorf("%s is there already: %w", path, fs.ErrExist)
	}
	temp, err := os.CreateTemp(filepath.Dir(path), ".part-*")
	if err != nil {
		return err
	}
	defer func() {
		temp.Close()
		if err != nil {
			os.Remove(temp.Name())
		}
	}()
	if err := fill(temp); err != nil {
		return err
	}
	if err := temp.Sync(); err != nil {
		return err
	}
	return os.Rename(temp.Name(), path)
}

func size(bytes int64) string {
	if bytes < 10<<20 {
		return fmt.Sprintf("%d KiB", (bytes+1023)>>10)
	}
	return fmt.Sprintf("%d MiB", (bytes+1<<20-1)>>20)
}

// storeRestore puts a backup or an export where jobs are kept. It is read, checked
// and made a store beside the place first, so that nothing is changed by one that
// turns out to be no good.
func storeRestore(ctx context.Context, c *storeCall) error {
	folder := os.TempDir()
	if !c.inRedis() {
		folder = filepath.Dir(c.where.file) // on the same disk, to be renamed
		if err := os.MkdirAll(folder, 0o700); err != nil {
			return err
		}
	}
	stage, err := os.MkdirTemp(folder, ".restore-*")
	if err != nil {
		return err
	}
	defer os.RemoveAll(stage)
	staged := filepath.Join(stage, "shop.db")
	if err := stageFile(ctx, c.words[0], staged); err != nil {
		return err
	}
	jobs, findings, err := examineStore(ctx, staged)
	if err != nil {
		return err
	}
	if len(findings) > 0 {
		showFindings(c.s.errOut, findings)
		return fmt.Errorf("%w: %s is not all right, so nothing was changed", store.ErrCorrupt, c.words[0])
	}
	if c.inRedis() {
		err = c.intoRedis(ctx, staged)
	} else {
		err = c.intoFile(ctx, staged)
	}
	if err != nil {
		return err
	}
	fmt.Fprintf(c.s.out, "%s has %s from %s\n", c.name(), count(jobs, "job"), c.words[0])
	return nil
}

func (c *storeCall) intoFile(ctx context.Context, staged string) error {
	if c.there() != nil {
		return os.Rename(staged, c.where.file)
	}
	old, err := boltstore.Open(c.where.file, lockWait)
	broken := errors.Is(err, store.ErrCorrupt)
	if err != nil && !(broken && c.replace) {
		return err
	}
	if !broken {
		defer old.Close() // only now, so that nobody opens what is being replaced
		if err := c.mayReplace(ctx, old); err != nil {
			return err
		}
	}
	aside := c.where.file + time.Now().Format(".replaced-20060102-150405")
	if err := os.Rename(c.where.file, aside); err != nil {
		return err
	}
	if err := os.Rename(staged, c.where.file); err != nil {
		return errors.Join(err, os.Rename(aside, c.where.file))
	}
	fmt.Fprintf(c.s.out, "what was there before is kept as %s\n", aside)
	return nil
}

// mayReplace says whether a store may be written over.
func (c *storeCall) mayReplace(ctx context.Context, b store.Backend) error {
	names, err := b.Streams(ctx, "", "", 1)
	if err != nil || len(names) == 0 || c.replace {
		return err
	}
	jobs, err := jobsIn(ctx, b)
	if err != nil {
		return err
	}
	return fmt.Errorf("%w: %s has %s in it, so nothing was changed", errNotEmpty, c.name(), jobs)
}

func (c *storeCall) intoRedis(ctx context.Context, staged string) error {
	opened, err := openServiceStore(ctx, &c.where)
	if err != nil {
		return err
	}
	defer opened.Close()
	to := opened.(*redisstore.Store)
	if err := c.mayReplace(ctx, to); err != nil {
		return err
	}
	if n, err := to.Others(ctx); err != nil {
		return err
	} else if n > 0 {
		return fmt.Errorf("%w: %s on %s, so nothing was changed", errInUse, others(n), c.name())
	}
	from, err := boltstore.Open(staged, lockWait)
	if err != nil {
		return err
	}
	defer from.Close()
	if err := to.Clear(ctx); err != nil {
		return err
	}
	n, err := pour(ctx, from, to)
	if err != nil {
		return fmt.Errorf("it broke off after %s; do it again with --replace: %w", count(n.Streams, "stream"), err)
	}
	return nil
}

// pour writes all of a backend into another.
func pour(ctx context.Context, from, to store.Backend) (store.Counts, error) {
	r, w := io.Pipe()
	go func() {
		_, err := store.Export(ctx, from, nil, bot.Directory, w, time.Now())
		w.CloseWithError(err)
	}()
	n, err := store.Import(ctx, r, to, time.Now())
	r.CloseWithError(err)
	return n, err
}

// fileMark is bbolt's magic number, which stands behind the header of the first page,
// least byte first as on the machines this program is built for.
var fileMark = []byte{0xed, 0xda, 0x0c, 0xed}

// stageFile makes a store of a backup of either kind.
func stageFile(ctx context.Context, from, to string) error {
	f, err := os.Open(from)
	if err != nil {
		return err
	}
	defer f.Close()
	head := make([]byte, 20)
	if _, err := io.ReadFull(f, head); err != nil {
		return fmt.Errorf("%w: %s is too short", store.ErrNoExport, from)
	}
	if _, err := f.Seek(0, io.SeekStart); err != nil {
		return err
	}
	if bytes.Equal(head[16:], fileMark) {
		return writeNew(to, func(w io.Writer) error {
			_, err := io.Copy(w, f)
			return err
		})
	}
	b, err := boltstore.Open(to, lockWait)
	if err != nil {
		return err
	}
	_, err = store.Import(ctx, f, b, time.Now())
	if err = errors.Join(err, b.Close()); err != nil {
		return fmt.Errorf("%s: %w", from, err)
	}
	return nil
}

// storeCompact gives room on the disk back.
func storeCompact(ctx context.Context, c *storeCall) error {
	if c.inRedis() {
		b, err := openServiceStore(ctx, &c.where)
		if err != nil {
			return err
		}
		defer b.Close()
		if err := b.(*redisstore.Store).Shrink(ctx); err != nil {
			return err
		}
		fmt.Fprintf(c.s.out, "%s writes its append-only file anew, in the background\n", c.name())
		return nil
	}
	if err := c.there(); err != nil {
		return err
	}
	before, after, err := boltstore.Shrink(ctx, c.where.file, lockWait)
	if err != nil {
		return err
	}
	fmt.Fprintf(c.s.out, "%s: %s before, %s now\n", c.where.file, size(before), size(after))
	return nil
}

func others(n int) string {
	if n == 1 {
		return "1 other process"
	}
	return fmt.Sprintf("%d other processes", n)
}
