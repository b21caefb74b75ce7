package photo

import (
	"bytes"
	"errors"
	"image"
	"image/jpeg"
	"testing"
)

func TestThumb(t *testing.T) {
	for _, c := range []struct{ w, h, wantW, wantH int }{{2048, 1024, thumbSide, thumbSide / 2}, {1000, 2000, thumbSide / 2, thumbSide}, {40, 30, 40, 30}, {2048, 1, thumbSide, 1}} {
		var in bytes.Buffer
		if err := jpeg.Encode(&in, image.NewGray(image.Rect(0, 0, c.w, c.h)), nil); err != nil {
			t.Fatal(err)
		}
		out, err := Thumb(in.Bytes())
		if err != nil {
			t.Fatal(err)
		}
		size, err := jpeg.DecodeConfig(bytes.NewReader(out))
		if err != nil || size.Width != c.wantW || size.Height != c.wantH {
			t.Errorf("%dx%d became %dx%d (%v), want %dx%d", c.w, c.h, size.Width, size.Height, err, c.wantW, c.wantH)
		}
	}
	if _, err := Thumb([]byte("no picture")); !errors.Is(err, ErrDamaged) {
		t.Errorf("no picture: %v", err)
	}
}
