package photo

import (
	"bytes"
	"fmt"
	"image"
	"image/jpeg"

	xdraw "golang.org/x/image/draw"
)

// thumbSide is how many pixels the longer side of a thumbnail has: some 300 to the
// inch where it is printed small.
const thumbSide = 420

// Thumb makes a kept photo small, for print. The same bytes give the same thumbnail.
// The error is ErrDamaged where it is no JPEG.
func Thumb(data []byte) ([]byte, error) {
	m, err := jpeg.Decode(bytes.NewReader(data))
	if err != nil {
		return nil, fmt.Errorf("%w: %v", ErrDamaged, err)
	}
	from := m.Bounds()
	w, h := from.Dx(), from.Dy()
	if long := max(w, h); long > thumbSide {
		w, h = max(1, w*thumbSide/long), max(1, h*thumbSide/long)
	}
	out := image.NewRGBA(image.Rect(0, 0, w, h))
	xdraw.CatmullRom.Scale(out, out.Bounds(), m, from, xdraw.Src, nil)
	var b bytes.Buffer
	if err := jpeg.Encode(&b, out, &jpeg.Options{Quality: 80}); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}
