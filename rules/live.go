package rules

import (
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"io/fs"
	"log/slog"
	"sync"
	"sync/atomic"
	"time"
)

// ErrKept says that a reload found mistakes and the rules and sheets before it
// stay in force.
var ErrKept = errors.New("the rules and sheets before stay in force")

// Live keeps the rules and sheets in force and replaces them, both at once, when
// the shop's files change. Reading takes no lock; any number of goroutines may
// read while one reloads.
type Live struct {
	shop   fs.FS
	now    func() time.Time
	log    *slog.Logger
	ground *ground // the shipped rules; used under mu

	current atomic.Pointer[inForce]

	mu       sync.Mutex // one reload or poll at a time
	tried    digest     // of the files last loaded, with success or without
	seen     digest     // of the files at the last poll
	seenAt   time.Time
	rejected *Report
	failedAt time.Time
}

// digest tells one state of the shop's files from another.
type digest [sha256.Size]byte

// inForce is one generation of rules and sheets.
type inForce struct {
	set  *Set
	book *Book
	at   time.Time
}

// settled is how long the files must stay as they are before they are read, so
// that a file is not taken while an editor or a copy is still writing it.
const settled = time.Second

// NewLive loads the shipped rules and sheets and the shop's over them. shop is
// the shop's folder with rules/ and sheets/, or nil; now is the clock. A mistake
// in the shop's files does not keep the program from starting: what has none is
// in force, a shop's rule that has one leaves the shipped rule of its id in
// place, and the report says so.
func NewLive(shop fs.FS, now func() time.Time, log *slog.Logger) (*Live, *Report) {
	if log == nil {
		log = discard()
	}
	l := &Live{shop: shop, now: now, log: log, ground: newGround()}
	l.tried, _ = l.digest() // what cannot be read is reported by the load
	set, book, report := l.load()
	l.current.Store(&inForce{set: set, book: book, at: now()})
	if report.Mistakes() > 0 {
		l.rejected, l.failedAt = report, now()
	}
	return l, report
}

func (l *Live) load() (*Set, *Book, *Report) {
	set, report := l.ground.under(l.shop, ruleFolder, l.log)
	book, sheets := LoadBook(l.shop)
	report.Problems = append(report.Problems, sheets.Problems...)
	return set, book, report
}

// Rules gives the rules in force.
func (l *Live) Rules() *Set { return l.current.Load().set }

// Book gives the sheets in force.
func (l *Live) Book() *Book { return l.current.Load().book }

// Evaluate, Sheet and Names ask the rules and sheets in force.
func (l *Live) Evaluate(f Facts) []Finding { return l.Rules().Evaluate(f) }

// Sheet is Book.Sheet of the sheets in force.
func (l *Live) Sheet(name string) (*Sheet, error) { return l.Book().Sheet(name) }

// Names is Book.Names of the sheets in force.
func (l *Live) Names() []string { return l.Book().Names() }

// Reload reads all files again, checks them, runs the cases and, where there is
// no mistake, swaps rules and sheets in. Otherwise it errs with ErrKept, and the
// report has every mistake. It also errs where ctx ends before the swap.
func (l *Live) Reload(ctx context.Context) (*Report, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.reload(ctx)
}

func (l *Live) reload(ctx context.Context) (*Report, error) {
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	l.tried, _ = l.digest()
	set, book, report := l.load()
	if err := ctx.Err(); err != nil {
		return report, err
	}
	if err := report.Err(); err != nil {
		l.rejected, l.failedAt = report, l.now()
		l.log.LogAttrs(ctx, slog.LevelWarn, "rules not reloaded", slog.Int("mistakes", report.Mistakes()), slog.String("first", err.Error()))
		return report, fmt.Errorf("%w: %w", ErrKept, err)
	}
	l.current.Store(&inForce{set: set, book: book, at: l.now()})
	l.rejected = nil
	l.log.LogAttrs(ctx, slog.LevelInfo, "rules reloaded", slog.Int("rules", len(set.rules)), slog.Int("sheets", len(book.pages)))
	return report, nil
}

// Poll reloads where the shop's files have changed since they were last tried
// and have been the same at two polls at least a second apart. Where nothing is
// to be done the report is nil. It is meant to be called every few seconds.
func (l *Live) Poll(ctx context.Context) (*Report, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	now, err := l.digest()
	if err != nil {
		return nil, fmt.Errorf("cannot look at the rules: %s", reason(err))
	}
	if now == l.tried {
		l.seen = now
		return nil, nil
	}
	if now != l.seen {
		l.seen, l.seenAt = now, l.now()
		return nil, nil
	}
	if l.now().Sub(l.seenAt) < settled {
		return nil, nil
	}
	return l.reload(ctx)
}

// digest sums up names and contents of the files that would be read.
func (l *Live) digest() (digest, error) {
	if l.shop == nil {
		return digest{}, nil
	}
	h := sha256.New()
	var ignored Report
	for _, folder := range []string{ruleFolder, sheetFolder} {
		if _, err := fs.ReadDir(l.shop, folder); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return digest{}, err
		}
		for _, file := range yamlFiles(l.shop, folder, &ignored) {
			data, ok := readFile(l.shop, file, &ignored)
			fmt.Fprintf(h, "%q %v %d\n", file, ok, len(data))
			h.Write(data)
		}
	}
	return digest(h.Sum(nil)), nil
}

// Status says what is in force and since when, and what was last refused.
type Status struct {
	Loaded   time.Time
	Rules    int
	Sheets   int
	Rejected *Report   // nil where the files in the folder are in force
	FailedAt time.Time // when they were refused
}

// Status gives the state for a person or a metric.
func (l *Live) Status() Status {
	l.mu.Lock()
	defer l.mu.Unlock()
	now := l.current.Load()
	return Status{Loaded: now.at, Rules: len(now.set.rules), Sheets: len(now.book.Names()), Rejected: l.rejected, FailedAt: l.failedAt}
}
