package store

import (
	"math"
	"strings"
	"time"
)

// latest is the last due time that a backend keeps exactly: 2^53 µs, the integers
// that a Redis score can hold, reach into 2255.
var latest = time.Date(2250, 1, 1, 0, 0, 0, 0, time.UTC)

// nameMarks are the marks allowed in names beside letters and digits. Braces are
// not: they mean something to Redis.
const nameMarks = "-_.:/@+=#~,"

func checkName(what, s string) error {
	switch {
	case s == "":
		return invalid("%s is empty", what)
	case len(s) > MaxName:
		return invalid("%s has %d bytes, and %d is the limit", what, len(s), MaxName)
	}
	for i := 0; i < len(s); i++ {
		c := s[i]
		if c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c >= '0' && c <= '9' || strings.IndexByte(nameMarks, c) >= 0 {
			continue
		}
		return invalid("%s %q has %q in it; letters, digits and %s are allowed", what, s, string(c), nameMarks)
	}
	return nil
}

func checkLease(d time.Duration) error {
	if d < time.Microsecond || d > MaxHold {
		return invalid("a lease of %v, and it may last up to %v", d, MaxHold)
	}
	return nil
}

func checkTime(what string, t time.Time) error {
	if t.UnixMicro() <= 0 || t.After(latest) {
		return invalid("%s is %v, and 1970 to %d can be kept", what, t, latest.Year())
	}
	return nil
}

func check(b Batch) error {
	if err := checkName("stream", b.Stream); err != nil {
		return err
	}
	if err := checkName("batch id", b.ID); err != nil {
		return err
	}
	if err := checkTime("the clock", b.Now); err != nil {
		return err
	}
	for _, n := range []int{len(b.Events), len(b.Replace), len(b.Queue), len(b.Done) + len(b.Cancel)} {
		if n > MaxCount {
			return invalid("%d records in one batch, and %d is the limit", n, MaxCount)
		}
	}
	if len(b.Queue) > 0 && len(b.Events) == 0 {
		return invalid("something is queued in %q and no event says why", b.Stream)
	}
	if b.Expect == Any && len(b.Events)+len(b.Done)+len(b.Cancel) == 0 && b.Retry == nil && !b.Release {
		return invalid("the batch for %q changes nothing", b.Stream)
	}
	if (b.Retry != nil || b.Release) && b.Lease == "" {
		return invalid("a retry or release in %q names no lease", b.Stream)
	}
	if b.Lease != "" {
		if err := checkName("lease", b.Lease); err != nil {
			return err
		}
	}
	if b.Take != "" {
		if err := checkName("lease to take", b.Take); err != nil {
			return err
		}
		if err := checkLease(b.TakeFor); err != nil {
			return err
		}
	}
	size := 0
	for _, e := range b.Events {
		if len(e) > MaxEvent {
			return invalid("an event of %d bytes, and %d is the limit", len(e), MaxEvent)
		}
		size += len(e)
	}
	if len(b.Replace) > 0 && (b.Expect == Any || len(b.Events) == 0) {
		return invalid("events of %q are replaced without an exact version or an event that says why", b.Stream)
	}
	seen := map[uint64]bool{}
	for _, r := range b.Replace {
		switch {
		case r.Version < 1 || r.Version > b.Expect:
			return invalid("event %d of %q is replaced, and 1 to %d can be", r.Version, b.Stream, b.Expect)
		case seen[r.Version]:
			return invalid("event %d of %q is replaced twice", r.Version, b.Stream)
		case len(r.Event) > MaxEvent:
			return invalid("an event of %d bytes, and %d is the limit", len(r.Event), MaxEvent)
		}
		seen[r.Version] = true
		size += len(r.Event)
	}
	for _, it := range b.Queue {
		if err := checkItem(it); err != nil {
			return err
		}
		size += len(it.Body)
	}
	if size > MaxBatch {
		return invalid("a batch of %d bytes, and %d is the limit", size, MaxBatch)
	}
	for _, ids := range [][]string{b.Done, b.Cancel} {
		for _, id := range ids {
			if err := checkName("item id", id); err != nil {
				return err
			}
		}
	}
	if b.Retry != nil {
		if err := checkName("item id", b.Retry.ID); err != nil {
			return err
		}
		return checkTime("the due time of the retry", b.Retry.Due)
	}
	return nil
}

func checkItem(it Item) error {
	if err := checkName("item id", it.ID); err != nil {
		return err
	}
	if err := checkName("item kind", it.Kind); err != nil {
		return err
	}
	if it.Attempts < 0 || it.Attempts > math.MaxInt32 {
		return invalid("item %q has %d attempts", it.ID, it.Attempts)
	}
	if len(it.Body) > MaxBody {
		return invalid("the body of item %q has %d bytes, and %d is the limit", it.ID, len(it.Body), MaxBody)
	}
	if it.Due.IsZero() {
		return nil
	}
	return checkTime("the due time of item "+it.ID, it.Due)
}
