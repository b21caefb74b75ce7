package console

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"time"

	"shimwright/bot"
)

// historyFile is the name of the history in its folder, one JSON record a line.
const historyFile = "chat.jsonl"

// A history that is larger at a start is written anew with its last lines.
const (
	rewriteSize = 4 << 20
	keepSize    = 1 << 20
	keepLines   = 2000 // in memory
)

// record is one line of the history; one field is set.
type record struct {
	In     *inRecord      `json:"in,omitempty"`
	Ack    bot.MessageID  `json:"ack,omitempty"` // the line was taken
	Out    *outRecord     `json:"out,omitempty"`
	Thread *threadRecord  `json:"thread,omitempty"`
	Here   *hereRecord    `json:"here,omitempty"`
	Clock  *time.Duration `json:"clock,omitempty"` // in all
}

type inRecord struct {
	ID    bot.MessageID `json:"id"`
	At    time.Time     `json:"at"`
	Place bot.Place     `json:"place"`
	Who   string        `json:"who"`
	Text  string        `json:"text"`
	Edits bot.MessageID `json:"edits,omitempty"`
	File  string        `json:"file,omitempty"` // a picture sent with it, by its whole path
}

type outRecord struct {
	Nonce string    `json:"nonce"`
	Place bot.Place `json:"place"`
	Rows  []string  `json:"rows"`
}

type threadRecord struct {
	Place bot.Place     `json:"place"`
	Below bot.MessageID `json:"below"`
	Title string        `json:"title"`
}

type hereRecord struct {
	Place bot.Place `json:"place"`
	Who   string    `json:"who"`
}

// history is what was said and shown, in a file or only in memory.
type history struct {
	file  *os.File // nil: only in memory
	size  int64
	clock time.Duration // at the start

	open    []inRecord // said and not taken, in order
	shown   map[string]bool
	threads map[bot.MessageID]bot.Place
	titles  map[bot.Place]string
	here    bot.Place
	who     string
	lines   []record // the last In and Out records
}

func openHistory(folder string) (*history, error) {
	h := &history{shown: map[string]bool{}, threads: map[bot.MessageID]bot.Place{}, titles: map[bot.Place]string{}}
	if folder == "" {
		return h, nil
	}
	name := filepath.Join(folder, historyFile)
	f, err := os.OpenFile(name, os.O_RDWR|os.O_CREATE, 0o600)
	if err != nil {
		return nil, err
	}
	h.file = f
	if err := h.read(); err != nil {
		return nil, errors.Join(fmt.Errorf("%s: %w", name, err), f.Close())
	}
	if h.size > rewriteSize {
		if err := h.rewrite(name); err != nil {
			return nil, errors.Join(err, h.file.Close())
		}
	}
	return h, nil
}

// read takes up the file and cuts off a last record that was not written whole.
func (h *history) read() error {
	r := bufio.NewReader(h.file)
	for n := 1; ; n++ {
		data, err := r.ReadBytes('\n')
		if err == io.EOF {
			break // what stands behind the last line end is half a record
		}
		if err != nil {
			return err
		}
		var rec record
		if err := json.Unmarshal(data, &rec); err != nil {
			return fmt.Errorf("line %d is no record of a chat: %w", n, err)
		}
		h.size += int64(len(data))
		h.apply(rec)
		if rec.Clock != nil {
			h.clock = *rec.Clock
		}
	}
	if err := h.file.Truncate(h.size); err != nil {
		return err
	}
	_, err := h.file.Seek(h.size, io.SeekStart)
	return err
}

func (h *history) apply(r record) {
	switch {
	case r.In != nil:
		h.open = append(h.open, *r.In)
		h.lines = append(h.lines, r)
	case r.Ack != "":
		h.open = slices.DeleteFunc(h.open, func(in inRecord) bool { return in.ID == r.Ack })
	case r.Out != nil:
		h.shown[r.Out.Nonce] = true
		h.lines = append(h.lines, r)
	case r.Thread != nil:
		h.threads[r.Thread.Below] = r.Thread.Place
		h.titles[r.Thread.Place] = r.Thread.Title
	case r.Here != nil:
		h.here, h.who = r.Here.Place, r.Here.Who
	}
	if len(h.lines) > 2*keepLines {
		h.lines = append([]record(nil), h.lines[len(h.lines)-keepLines:]...)
	}
}

// append writes a record, whole or not at all.
func (h *history) append(r record) error {
	if h.file != nil {
		data, err := json.Marshal(r)
		if err != nil {
			return err
		}
		data = append(data, '\n')
		if _, err := h.file.Write(data); err != nil {
			// Half a record would spoil the next one.
			_, seek := h.file.Seek(h.size, io.SeekStart)
			return errors.Join(err, h.file.Truncate(h.size), seek)
		}
		h.size += int64(len(data))
	}
	h.apply(r)
	return nil
}

// rewrite leaves out what was said long ago, but for lines that were not taken.
func (h *history) rewrite(name string) error {
	waiting := map[bot.MessageID]bool{}
	for _, in := range h.open {
		waiting[in.ID] = true
	}
	var kept []record
	shown, size := map[string]bool{}, 0
	for _, r := range slices.Backward(h.lines) {
		data, err := json.Marshal(r)
		if err != nil {
			return err
		}
		if size += len(data); size > keepSize {
			break
		}
		if r.Out != nil {
			shown[r.Out.Nonce] = true
		} else if waiting[r.In.ID] {
			continue // with the others that wait, below
		} else {
			kept = append(kept, record{Ack: r.In.ID})
		}
		kept = append(kept, r)
	}
	slices.Reverse(kept)
	all := []record{{Clock: &h.clock}}
	for _, below := range slices.Sorted(maps.Keys(h.threads)) {
		place := h.threads[below]
		all = append(all, record{Thread: &threadRecord{Place: place, Below: below, Title: h.titles[place]}})
	}
	all = append(all, kept...)
	for _, in := range h.open {
		all = append(all, record{In: &in})
	}
	all = append(all, record{Here: &hereRecord{Place: h.here, Who: h.who}})
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	for _, r := range all {
		if err := enc.Encode(r); err != nil {
			return err
		}
	}
	h.shown = shown
	if err := os.WriteFile(name+".new", b.Bytes(), 0o600); err != nil {
		return err
	}
	if err := os.Rename(name+".new", name); err != nil {
		return err
	}
	f, err := os.OpenFile(name, os.O_RDWR|os.O_APPEND, 0o600)
	if err != nil {
		return err
	}
	old := h.file
	h.file, h.size = f, int64(b.Len())
	return old.Close()
}

func (h *history) close() error {
	if h.file == nil {
		return nil
	}
	return h.file.Close()
}
