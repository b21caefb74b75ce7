package store

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"time"
)

// exchangeFormat is the version of the lines below. A later reader takes all earlier
// ones.
const exchangeFormat = 1

// An export is JSON lines: a head, then of each stream its name, its events in order,
// what waits in its queue and its files, then an end with the counts, without which it is cut
// short. An event or body is JSON as it was stored, byte for byte, or base64 where it
// is none.
type exchangeLine struct {
	Export  int        `json:"shimwright_export,omitempty"`
	At      *time.Time `json:"at,omitempty"`
	Stream  string     `json:"stream,omitempty"`
	Version uint64     `json:"version,omitempty"`

	Event json.RawMessage `json:"event,omitempty"`
	Bytes []byte          `json:"bytes,omitempty"`
	Empty bool            `json:"empty,omitempty"` // an event without a byte

	Item *exchangeItem `json:"item,omitempty"`
	File *exchangeFile `json:"file,omitempty"`
	End  *Counts       `json:"end,omitempty"`
}

type exchangeFile struct {
	Name  string `json:"name"`
	Bytes []byte `json:"bytes"`
}

type exchangeItem struct {
	ID       string          `json:"id"`
	Kind     string          `json:"kind"`
	Due      *time.Time      `json:"due,omitempty"`
	Attempts int             `json:"attempts,omitempty"`
	Body     json.RawMessage `json:"body,omitempty"`
	Bytes    []byte          `json:"bytes,omitempty"`
}

// Counts is how much an export holds.
type Counts struct {
	Streams int `json:"streams"`
	Events  int `json:"events"`
	Items   int `json:"items"`
	Files   int `json:"files,omitempty"`
}

const streamPage = 500

// Names gives the names of all streams of a backend.
func Names(ctx context.Context, b Backend) ([]string, error) {
	var all []string
	for after := ""; ; after = all[len(all)-1] {
		names, err := b.Streams(ctx, "", after, streamPage)
		if err != nil {
			return nil, err
		}
		all = append(all, names...)
		if len(names) < streamPage {
			return all, nil
		}
	}
}

// Export writes streams, nil for all, as JSON lines. Each stream is of one moment as
// far as its events go; an item that is sent while it is read may be there or not, and
// the streams are of moments one after the other. last is written behind all others
// whatever its name: it should be the stream that names the others, so that none of
// them is unknown to it.
func Export(ctx context.Context, b Backend, streams []string, last string, w io.Writer, now time.Time) (Counts, error) {
	var n Counts
	if streams == nil {
		var err error
		if streams, err = Names(ctx, b); err != nil {
			return n, err
		}
	}
	buffered := bufio.NewWriterSize(w, 64<<10)
	enc := json.NewEncoder(buffered)
	enc.SetEscapeHTML(false) // or the bytes of events change
	now = now.UTC()
	if err := enc.Encode(exchangeLine{Export: exchangeFormat, At: &now}); err != nil {
		return n, err
	}
	var order []string
	named := false
	for _, s := range streams {
		if s == last {
			named = true
		} else {
			order = append(order, s)
		}
	}
	if named {
		order = append(order, last)
	}
	for _, s := range order {
		if err := exportStream(ctx, b, s, enc, &n); err != nil {
			return n, err
		}
	}
	if err := enc.Encode(exchangeLine{End: &n}); err != nil {
		return n, err
	}
	return n, buffered.Flush()
}

func exportStream(ctx context.Context, b Backend, stream string, enc *json.Encoder, n *Counts) error {
	// The queue first: what is queued after it has its events in what is read next.
	items, err := b.Waiting(ctx, stream)
	if err != nil {
		return err
	}
	events, err := b.Events(ctx, stream, 0)
	if err != nil {
		return err
	}
	if len(events) == 0 {
		return nil
	}
	lines := []exchangeLine{{Stream: stream, Version: uint64(len(events))}}
	for _, e := range events {
		l := exchangeLine{Empty: len(e) == 0}
		if l.Event = asJSON(e); l.Event == nil {
			l.Bytes = e
		}
		lines = append(lines, l)
	}
	for _, it := range items {
		x := exchangeItem{ID: it.ID, Kind: it.Kind, Attempts: it.Attempts, Body: asJSON(it.Body)}
		if x.Body == nil {
			x.Bytes = it.Body
		}
		if !it.Due.IsZero() {
			x.Due = &it.Due
		}
		lines = append(lines, exchangeLine{Item: &x})
	}
	for _, l := range lines {
		if err := enc.Encode(l); err != nil {
			return err
		}
	}
	n.Streams, n.Events, n.Items = n.Streams+1, n.Events+len(events), n.Items+len(items)
	files, err := b.Files(ctx, stream)
	if err != nil {
		return err
	}
	for _, f := range files {
		data, err := b.File(ctx, stream, f.Name)
		if errors.Is(err, ErrNoFile) {
			continue // deleted meanwhile
		}
		if err == nil {
			err = enc.Encode(exchangeLine{File: &exchangeFile{Name: f.Name, Bytes: data}})
		}
		if err != nil {
			return err
		}
		n.Files++
	}
	return nil
}

// asJSON gives data where it is JSON that comes out of an encoder as it went in.
func asJSON(data []byte) json.RawMessage {
	var compact bytes.Buffer
	if len(data) == 0 || json.Compact(&compact, data) != nil || !bytes.Equal(compact.Bytes(), data) || bytes.Equal(data, []byte("null")) {
		return nil
	}
	return data
}

// Import writes the streams of an export into a backend that has none of them; a
// stream that is there already is an error, and so is an export that was cut short.
// What was written before an error stays.
func Import(ctx context.Context, r io.Reader, b Backend, now time.Time) (Counts, error) {
	in := importer{ctx: ctx, b: b, now: now, lines: bufio.NewReaderSize(r, 64<<10)}
	if err := in.run(); err != nil {
		return in.n, err
	}
	return in.n, nil
}

// ErrNoExport says that a file is not the export it should be.
var ErrNoExport = errors.New("not a whole export")

type importer struct {
	ctx   context.Context
	b     Backend
	now   time.Time
	lines *bufio.Reader
	line  int
	n     Counts

	stream string
	want   uint64
	done   uint64 // events of the stream that are written
	events [][]byte
	items  []Item
	size   int
}

func (in *importer) wrong(format string, args ...any) error {
	return fmt.Errorf("%w: line %d: %s", ErrNoExport, in.line, fmt.Sprintf(format, args...))
}

// run reads the lines up to the end.
func (in *importer) run() error {
	for {
		data, err := in.lines.ReadBytes('\n')
		in.line++
		if err == io.EOF {
			return in.wrong("it ends without its last line, so it was cut short")
		}
		if err != nil {
			return err
		}
		var l exchangeLine
		if err := json.Unmarshal(data, &l); err != nil {
			return in.wrong("it is no line of an export: %v", err)
		}
		if in.line == 1 {
			if l.Export == 0 {
				return in.wrong("it does not begin like one")
			}
			if l.Export > exchangeFormat {
				return fmt.Errorf("%w: the export has format %d and this version knows %d; update the program", ErrNewer, l.Export, exchangeFormat)
			}
			continue
		}
		if over, err := in.take(l); over || err != nil {
			return err
		}
	}
}

func (in *importer) take(l exchangeLine) (over bool, err error) {
	switch {
	case l.End != nil:
		if err := in.finish(); err != nil {
			return false, err
		}
		if *l.End != in.n {
			return false, in.wrong("it says %+v and has %+v", *l.End, in.n)
		}
		return true, nil
	case l.Stream != "":
		if err := in.finish(); err != nil {
			return false, err
		}
		return false, in.begin(l)
	case in.stream == "":
		return false, in.wrong("it belongs to no stream")
	case l.Item != nil:
		it := Item{ID: l.Item.ID, Stream: in.stream, Kind: l.Item.Kind, Attempts: l.Item.Attempts, Body: l.Item.Body}
		if it.Body == nil {
			it.Body = l.Item.Bytes
		}
		if l.Item.Due != nil {
			it.Due = *l.Item.Due
		}
		if err := checkItem(it); err != nil {
			return false, in.wrong("%v", err)
		}
		in.items = append(in.items, it)
		in.n.Items++
		return false, nil
	case l.File != nil:
		if err := checkFile(in.stream, l.File.Name); err != nil {
			return false, in.wrong("%v", err)
		}
		in.n.Files++
		return false, in.b.PutFile(in.ctx, in.stream, l.File.Name, l.File.Bytes, math.MaxInt64)
	case l.Event == nil && l.Bytes == nil && !l.Empty:
		return false, in.wrong("it says nothing")
	case len(in.items) > 0:
		return false, in.wrong("an event stands behind what waits")
	}
	e := []byte(l.Event)
	if l.Event == nil {
		e = l.Bytes
	}
	in.n.Events++
	if len(in.events) == MaxCount || in.size+len(e) > MaxBatch/2 {
		if err := in.flush(nil); err != nil {
			return false, err
		}
	}
	in.events, in.size = append(in.events, e), in.size+len(e)
	return false, nil
}

func (in *importer) begin(l exchangeLine) error {
	if err := checkName("stream", l.Stream); err != nil {
		return in.wrong("%v", err)
	}
	there, err := in.b.Streams(in.ctx, l.Stream, "", 1)
	if err != nil {
		return err
	}
	if len(there) > 0 && there[0] == l.Stream {
		return fmt.Errorf("%w: %s is there already", ErrConflict, l.Stream)
	}
	in.stream, in.want, in.done = l.Stream, l.Version, 0
	in.n.Streams++
	return nil
}

// finish writes what is left of a stream.
func (in *importer) finish() error {
	if in.stream == "" {
		return nil
	}
	if got := in.done + uint64(len(in.events)); got != in.want {
		return in.wrong("%s should have %d events and has %d", in.stream, in.want, got)
	}
	items := in.items
	in.items = nil
	// Together with the last events, as far as a batch goes.
	for first := true; first || len(items) > 0; first = false {
		n, size := 0, in.size
		for n < len(items) && n < MaxCount && (n == 0 || size+len(items[n].Body) <= MaxBatch) {
			size += len(items[n].Body)
			n++
		}
		if err := in.flush(items[:n]); err != nil {
			return err
		}
		items = items[n:]
	}
	in.stream = ""
	return nil
}

func (in *importer) flush(items []Item) error {
	if len(in.events)+len(items) == 0 {
		return nil
	}
	_, err := in.b.Commit(in.ctx, Batch{ID: NewID(), Stream: in.stream, Expect: in.done, Now: in.now, Events: in.events, Queue: items})
	if err != nil {
		return err
	}
	in.done += uint64(len(in.events))
	in.events, in.size = nil, 0
	return nil
}
