package bot

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"path"
	"strconv"
	"strings"
	"time"

	"shimwright/bot/photo"
	"shimwright/bot/store"
	"shimwright/dialogs"
)

const (
	photoTime  = 12 * time.Second // for all photos of a message; the rest of the turn has to fit behind it
	photoQuota = 64 << 20         // bytes of a job's photos unless said otherwise: a hundred of them at least
	maxPhotos  = 10               // of one message
)

// kindForget is a queued deletion of a photo.
const kindForget = "forget"

// forgotten names a photo whose bytes are to be deleted.
type forgotten struct {
	Job int    `json:"job"`
	ID  string `json:"id"`
}

func (f forgotten) item() (store.Item, error) {
	body, err := json.Marshal(f)
	return store.Item{Kind: kindForget, Body: body}, err
}

// Photo gives the bytes of a photo of a job, a JPEG, by the id its job has on record
// (dialogs.JobPhoto). The error wraps store.ErrNoFile where it was deleted.
//
// The bytes are kept beside the job's stream under that id, which is made of them: so
// a photo that came twice is kept once, and one that is there never changes.
func (b *Bot) Photo(ctx context.Context, job int, id string) ([]byte, error) {
	return b.store.File(ctx, string(jobID(job)), id)
}

// pictures are the files of a message that are or pretend to be pictures.
func pictures(files []Attachment) []Attachment {
	var out []Attachment
	for _, f := range files {
		ext := strings.ToLower(path.Ext(f.Name))
		switch {
		case strings.HasPrefix(f.Type, "image/"),
			ext == ".jpg", ext == ".jpeg", ext == ".png", ext == ".webp", ext == ".heic", ext == ".heif", ext == ".dng":
			out = append(out, f)
		}
	}
	return out
}

// keepPhotos fetches the pictures of a message and keeps them with a job, once for a
// message however often its turn is taken.
func (t *turn) keepPhotos(ctx context.Context, j *dialogs.Job) error {
	switch {
	case t.kept || len(t.photos) == 0 || j.ReadOnly != "":
		return nil
	case j.Closed:
		t.said.Unkept = []dialogs.Unkept{{Name: nameOf(t.photos[0]), Why: dialogs.UnkeptClosed}}
		return nil
	}
	limited, cancel := context.WithTimeout(ctx, t.bot.photoTime)
	defer cancel()
	t.said.Files, t.said.Unkept = nil, nil
	for i, f := range t.photos {
		if i == maxPhotos {
			break
		}
		p, why, err := t.bot.keepPhoto(limited, j.Number, f)
		switch {
		case err != nil && (ctx.Err() != nil || limited.Err() == nil):
			return err // the store is away: the message is taken later as a whole
		case err != nil:
			t.said.Unkept = append(t.said.Unkept, dialogs.Unkept{Name: nameOf(f), Why: dialogs.UnkeptFetch})
		case why != "":
			t.said.Unkept = append(t.said.Unkept, dialogs.Unkept{Name: nameOf(f), Why: why})
		default:
			t.said.Files = append(t.said.Files, p)
		}
	}
	t.kept = true
	return nil
}

// nameOf is how a file is called in an answer.
func nameOf(f Attachment) string {
	if name := defuse(clean(strings.ReplaceAll(f.Name, "\n", " "))); name != "" {
		return name
	}
	return "photo"
}

// keepPhoto fetches, cleans and keeps one picture. why says what is wrong with it; an
// error is the store's.
func (b *Bot) keepPhoto(ctx context.Context, number int, f Attachment) (_ dialogs.Photo, why dialogs.UnkeptReason, _ error) {
	if f.Size > photo.MaxBytes {
		return dialogs.Photo{}, dialogs.UnkeptSize, nil
	}
	data, err := fetch(ctx, f)
	if err != nil {
		b.log.Warn("a photo cannot be fetched", "job", number, "error", err)
		return dialogs.Photo{}, dialogs.UnkeptFetch, nil
	}
	select { // decoding takes memory: one at a time
	case b.darkroom <- struct{}{}:
	case <-ctx.Done():
		return dialogs.Photo{}, dialogs.UnkeptFetch, nil
	}
	p, err := photo.Clean(data)
	<-b.darkroom
	switch {
	case errors.Is(err, photo.ErrType):
		return dialogs.Photo{}, dialogs.UnkeptType, nil
	case errors.Is(err, photo.ErrBytes), errors.Is(err, photo.ErrPixels):
		return dialogs.Photo{}, dialogs.UnkeptSize, nil
	case err != nil:
		return dialogs.Photo{}, dialogs.UnkeptDamaged, nil
	}
	err = b.store.PutFile(ctx, string(jobID(number)), p.ID, p.Data, b.photoQuota)
	if errors.Is(err, store.ErrQuota) {
		return dialogs.Photo{}, dialogs.UnkeptFull, nil
	}
	return dialogs.Photo{ID: p.ID, Type: photo.Type, Width: p.Width, Height: p.Height, Bytes: len(p.Data)}, "", err
}

func fetch(ctx context.Context, f Attachment) ([]byte, error) {
	if f.Open == nil {
		return nil, errors.New("it has no content")
	}
	r, err := f.Open(ctx)
	if err != nil {
		return nil, err
	}
	defer r.Close()
	return io.ReadAll(io.LimitReader(r, photo.MaxBytes+1))
}

// shown gives the kept photos to send with a message; those that are gone are told in
// words.
func (b *Bot) shown(ctx context.Context, refs []dialogs.PhotoRef, files bool, size int) (sent []File, told []string, _ error) {
	for _, ref := range refs {
		alt := defuse(strings.Join(strings.Fields(ref.Alt), " "))
		if !files {
			told = append(told, alt)
			continue
		}
		data, err := b.Photo(ctx, ref.Job, ref.ID)
		switch {
		case errors.Is(err, store.ErrNoFile), err == nil && len(data) > size:
			told = append(told, alt)
		case err != nil:
			return nil, nil, fmt.Errorf("a photo of job %d: %w", ref.Job, err)
		default:
			name := "photo-" + strconv.Itoa(len(sent)+1) + ".jpg"
			sent = append(sent, File{Name: name, Type: photo.Type, Alt: alt, Data: data})
		}
	}
	return sent, told, nil
}
