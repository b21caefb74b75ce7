package bot

import (
	"bytes"
	"context"
	"errors"
	"image"
	"image/color"
	"image/jpeg"
	"io"
	"slices"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"shimwright/bot/photo"
	"shimwright/bot/store"
)

// pictureOf is a small picture of its own for each shade.
func pictureOf(t testing.TB, shade byte) []byte {
	t.Helper()
	m := image.NewGray(image.Rect(0, 0, 32, 16))
	for i := range m.Pix {
		m.Pix[i] = shade
	}
	m.Set(3, 3, color.White)
	var b bytes.Buffer
	if err := jpeg.Encode(&b, m, nil); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func attachment(name string, data []byte) Attachment {
	return Attachment{Name: name, Type: "image/jpeg", Size: int64(len(data)), Open: func(context.Context) (io.ReadCloser, error) {
		return io.NopCloser(bytes.NewReader(data)), nil
	}}
}

// filePlatform takes files, too.
type filePlatform struct{ plainPlatform }

func (p *filePlatform) FileLimits() (count, bytes int) { return 10, 1 << 20 }

func (p *filePlatform) last() Post {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.posts[len(p.posts)-1].post
}

// with is a message with files.
func (s *shop) with(at Place, text string, files ...Attachment) Message {
	m := s.message(at, text)
	m.Files = files
	return m
}

func TestPhotosAreKeptShownAndDeleted(t *testing.T) {
	p := &filePlatform{}
	s := newShop(t, p)
	s.hear(s.message("bay", "open noisy"))
	data := pictureOf(t, 40)
	clean, err := photo.Clean(data)
	if err != nil {
		t.Fatal(err)
	}
	m := s.with("bay", "", attachment("drive.jpg", data), Attachment{Name: "notes.pdf", Type: "application/pdf"})
	same(t, "a photo alone", s.hear(m), clean.ID)
	same(t, "delivered again", s.hear(m))
	got, err := s.bot.Photo(t.Context(), 1, clean.ID)
	if err != nil || !bytes.Equal(got, clean.Data) {
		t.Fatalf("kept %d bytes, %v", len(got), err)
	}
	if _, err := s.bot.Photo(t.Context(), 2, clean.ID); !errors.Is(err, store.ErrNoFile) {
		t.Errorf("another job's photo: %v", err)
	}
	same(t, "the same once more", s.hear(s.with("bay", "again", attachment("drive.jpg", data))), "again "+clean.ID)
	if list, err := s.store.Files(t.Context(), string(jobID(1))); err != nil || len(list) != 1 {
		t.Errorf("kept %v, %v", list, err)
	}
	s.restart()
	s.hear(s.message("bay", "show "+clean.ID))
	if post := p.last(); len(post.Files) != 1 || !bytes.Equal(post.Files[0].Data, clean.Data) || post.Files[0].Alt != "photo 1, drive side" || post.Files[0].Type != "image/jpeg" {
		t.Errorf("shown %q with %d files", post.Text, len(post.Files))
	}
	s.hear(s.message("bay", "forget "+clean.ID))
	if _, err := s.bot.Photo(t.Context(), 1, clean.ID); !errors.Is(err, store.ErrNoFile) {
		t.Errorf("deleted: %v", err)
	}
	s.hear(s.message("bay", "show "+clean.ID))
	if post := p.last(); len(post.Files) != 0 || !strings.Contains(post.Text, "photo 1, drive side") {
		t.Errorf("shown after it was deleted: %q with %d files", post.Text, len(post.Files))
	}
}

func TestPicturesThatAreNotKept(t *testing.T) {
	s := newShop(t, &filePlatform{}, func(c *Config, _ *shop) { c.Photos = 2000 })
	s.hear(s.message("bay", "open noisy"))
	broken := attachment("away.jpg", nil)
	broken.Open = func(context.Context) (io.ReadCloser, error) { return nil, errors.New("404") }
	huge := attachment("huge.jpg", nil)
	huge.Size = photo.MaxBytes + 1
	liar := attachment("liar.jpg", make([]byte, photo.MaxBytes+10))
	liar.Size = 10
	heic := Attachment{Name: "IMG\n@all.HEIC", Type: "application/octet-stream", Open: attachment("", []byte("....ftypheic")).Open}
	good := pictureOf(t, 1)
	got := s.hear(s.with("bay", "see", broken, huge, liar, heic, attachment("half.jpg", good[:100]), attachment("good.jpg", good)))
	clean, _ := photo.Clean(good)
	same(t, "told", got, "see "+clean.ID+" away.jpg:fetch huge.jpg:size liar.jpg:size IMG @\u200ball.HEIC:type half.jpg:damaged")
	var last string
	for shade := range byte(20) {
		last = s.hear(s.with("bay", "", attachment("more.jpg", pictureOf(t, shade))))[0]
	}
	if last != "more.jpg:full" {
		t.Errorf("beyond the quota: %q", last)
	}
	list, err := s.store.Files(t.Context(), string(jobID(1)))
	sum := int64(0)
	for _, f := range list {
		sum += f.Size
	}
	if err != nil || sum > 2000 || len(list) < 2 {
		t.Errorf("%d photos with %d bytes, %v", len(list), sum, err)
	}
	s.hear(s.message("bay", "close"))
	same(t, "closed", s.hear(s.with("bay", "", attachment("late.jpg", pictureOf(t, 99)))), "late.jpg:closed")
	same(t, "without a job", s.hear(s.with("pit", "", attachment("a.jpg", good))))
	if list, _ := s.store.Files(t.Context(), string(jobID(1))); len(list) == 0 || slices.ContainsFunc(list, func(f store.FileInfo) bool { return f.Size == 0 }) {
		t.Errorf("%v", list)
	}
}

func TestPhotosAreLeftAloneWhereTheShopWantsNone(t *testing.T) {
	s := newShop(t, &filePlatform{}, func(c *Config, _ *shop) { c.Photos = -1 })
	s.hear(s.message("bay", "open noisy"))
	same(t, "with words", s.hear(s.with("bay", "lash 9", attachment("a.jpg", pictureOf(t, 1)))), "2: lash 9")
	same(t, "alone", s.hear(s.with("bay", "", attachment("a.jpg", pictureOf(t, 1)))))
}

// A store that is away leaves the whole message for later; it is fetched once more
// then, and answered once.
func TestAPhotoWhileTheStoreIsAway(t *testing.T) {
	var away atomic.Bool
	s := newShop(t, &filePlatform{}, func(_ *Config, s *shop) { s.backend = &fileless{s.backend, &away} })
	s.hear(s.message("bay", "open noisy"))
	m := s.with("bay", "lash 9", attachment("a.jpg", pictureOf(t, 1)))
	away.Store(true)
	told := s.hear(m)
	if len(told) != 1 || !strings.Contains(told[0], "does not answer") || len(s.facts(1)) != 0 {
		t.Fatalf("told %q, logged %q", told, s.facts(1))
	}
	away.Store(false)
	if got := s.hear(m); len(got) != 1 || !strings.HasPrefix(got[0], "lash 9 ") || len(s.facts(1)) != 1 {
		t.Errorf("after it %q, logged %q", got, s.facts(1))
	}
}

// fileless is a backend that cannot keep files now and then.
type fileless struct {
	store.Backend
	away *atomic.Bool
}

func (f *fileless) PutFile(ctx context.Context, stream, name string, data []byte, quota int64) error {
	if f.away.Load() {
		return store.ErrTemporary
	}
	return f.Backend.PutFile(ctx, stream, name, data, quota)
}

// A slow platform takes the photo's time, not the message's.
func TestAPhotoThatNeverComes(t *testing.T) {
	s := newShop(t, &filePlatform{})
	s.bot.photoTime = 20 * time.Millisecond
	s.hear(s.message("bay", "open noisy"))
	slow := attachment("slow.jpg", nil)
	slow.Open = func(ctx context.Context) (io.ReadCloser, error) { <-ctx.Done(); return nil, ctx.Err() }
	same(t, "told", s.hear(s.with("bay", "lash 9", slow)), "lash 9 slow.jpg:fetch")
}
