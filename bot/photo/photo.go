// Package photo makes pictures that people attach fit to be kept with a job.
//
// A picture is decoded and written anew, always as JPEG: so it is one (whatever its
// name and media type say), nothing but what is seen on it stays (no place, no
// camera, no time, no thumbnail of what was cropped away, nothing behind its end),
// and it is small enough for a store and a chat. The same bytes give the same photo.
package photo

import (
	"bytes"
	"crypto/sha256"
	"encoding/base64"
	"errors"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"image/jpeg"
	"image/png"

	xdraw "golang.org/x/image/draw"
	"golang.org/x/image/webp"
)

// Limits of what is taken and of what is kept.
const (
	MaxBytes = 20 << 20 // of the picture as it was sent
	// MaxPixels is more than a phone's camera gives unless told to. Beyond it the
	// memory that decoding takes would be the shop's: 8 bytes a pixel at worst.
	MaxPixels = 26_000_000
	MaxSide   = 2048    // pixels of a kept photo: a tooth fills a phone's screen several times
	MaxKept   = 2 << 20 // bytes of a kept photo
)

// Why a picture is not kept, for errors.Is.
var (
	ErrType    = errors.New("no picture of a known kind: JPEG, PNG and WebP are")
	ErrBytes   = errors.New("the picture has too many bytes")
	ErrPixels  = errors.New("the picture has too many pixels")
	ErrDamaged = errors.New("the picture is damaged")
)

// Type is the media type of every kept photo.
const Type = "image/jpeg"

// Photo is a picture that can be kept.
type Photo struct {
	ID            string // made of the content: 22 letters, digits, - and _
	Width, Height int    // pixels
	Data          []byte // JPEG
}

// Clean makes a photo of a picture as it was sent. The error is one of the above.
func Clean(data []byte) (Photo, error) {
	if len(data) > MaxBytes {
		return Photo{}, fmt.Errorf("%w: %d", ErrBytes, len(data))
	}
	sort := kindOf(data)
	if sort == nil {
		return Photo{}, ErrType
	}
	// The header first: its figures decide whether the rest is looked at.
	c, err := sort.config(bytes.NewReader(data))
	switch {
	case err != nil:
		return Photo{}, fmt.Errorf("%w: %v", ErrDamaged, err)
	case c.Width < 1 || c.Height < 1:
		return Photo{}, fmt.Errorf("%w: it has no size", ErrDamaged)
	case int64(c.Width)*int64(c.Height) > MaxPixels:
		return Photo{}, fmt.Errorf("%w: %d × %d", ErrPixels, c.Width, c.Height)
	}
	picture, err := sort.decode(bytes.NewReader(data))
	if err != nil {
		return Photo{}, fmt.Errorf("%w: %v", ErrDamaged, err)
	}
	turn := upright
	if sort.turned {
		turn = orientation(data)
	}
	return write(turn.apply(fit(picture)))
}

// write encodes a picture, more coarsely where it would have too many bytes.
func write(m image.Image) (Photo, error) {
	var b bytes.Buffer
	for _, quality := range []int{85, 65, 40, 10} {
		b.Reset()
		if err := jpeg.Encode(&b, m, &jpeg.Options{Quality: quality}); err != nil {
			return Photo{}, fmt.Errorf("%w: %v", ErrDamaged, err)
		}
		if b.Len() <= MaxKept {
			break
		}
	}
	sum := sha256.Sum256(b.Bytes())
	return Photo{
		ID:    base64.RawURLEncoding.EncodeToString(sum[:16]),
		Width: m.Bounds().Dx(), Height: m.Bounds().Dy(), Data: bytes.Clone(b.Bytes()),
	}, nil
}

// fit scales a picture down to MaxSide, on white where it is transparent.
func fit(m image.Image) *image.RGBA {
	from := m.Bounds()
	w, h := from.Dx(), from.Dy()
	if long := max(w, h); long > MaxSide {
		w, h = max(1, w*MaxSide/long), max(1, h*MaxSide/long)
	}
	out := image.NewRGBA(image.Rect(0, 0, w, h))
	draw.Draw(out, out.Bounds(), image.NewUniform(color.White), image.Point{}, draw.Src)
	if w == from.Dx() && h == from.Dy() {
		draw.Draw(out, out.Bounds(), m, from.Min, draw.Over)
	} else {
		xdraw.ApproxBiLinear.Scale(out, out.Bounds(), m, from, draw.Over, nil)
	}
	return out
}

// kind is a format of pictures.
type kind struct {
	config func(*bytes.Reader) (image.Config, error)
	decode func(*bytes.Reader) (image.Image, error)
	turned bool // cameras write it as they were held
}

// kindOf tells a picture by how it begins.
func kindOf(data []byte) *kind {
	switch {
	case bytes.HasPrefix(data, []byte("\xff\xd8\xff")):
		return &kind{
			func(r *bytes.Reader) (image.Config, error) { return jpeg.DecodeConfig(r) },
			func(r *bytes.Reader) (image.Image, error) { return jpeg.Decode(r) }, true,
		}
	case bytes.HasPrefix(data, []byte("\x89PNG\r\n\x1a\n")):
		return &kind{
			func(r *bytes.Reader) (image.Config, error) { return png.DecodeConfig(r) },
			func(r *bytes.Reader) (image.Image, error) { return png.Decode(r) }, false,
		}
	case len(data) >= 12 && string(data[:4]) == "RIFF" && string(data[8:12]) == "WEBP":
		return &kind{
			func(r *bytes.Reader) (image.Config, error) { return webp.DecodeConfig(r) },
			func(r *bytes.Reader) (image.Image, error) { return webp.Decode(r) }, false,
		}
	}
	return nil
}
