package photo

import (
	"bytes"
	"encoding/base64"
	"encoding/binary"
	"errors"
	"hash/crc32"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"strings"
	"testing"
)

// quarters is a picture with a corner of each colour: red, green, blue, white, from
// the top left on in reading order.
func quarters(w, h int) *image.RGBA {
	m := image.NewRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			c := color.RGBA{255, 0, 0, 255}
			switch {
			case x >= w/2 && y < h/2:
				c = color.RGBA{0, 255, 0, 255}
			case x < w/2 && y >= h/2:
				c = color.RGBA{0, 0, 255, 255}
			case x >= w/2:
				c = color.RGBA{255, 255, 255, 255}
			}
			m.Set(x, y, c)
		}
	}
	return m
}

// corners names the colours of a photo's corners in reading order.
func corners(t *testing.T, data []byte) string {
	t.Helper()
	m, err := jpeg.Decode(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	w, h := m.Bounds().Dx(), m.Bounds().Dy()
	out := ""
	for _, p := range []image.Point{{w / 4, h / 4}, {w * 3 / 4, h / 4}, {w / 4, h * 3 / 4}, {w * 3 / 4, h * 3 / 4}} {
		r, g, b, _ := m.At(p.X, p.Y).RGBA()
		switch {
		case r > 0xc000 && g > 0xc000 && b > 0xc000:
			out += "w"
		case r > 0xc000:
			out += "r"
		case g > 0xc000:
			out += "g"
		case b > 0xc000:
			out += "b"
		default:
			out += "?"
		}
	}
	return out
}

func jpegOf(t *testing.T, m image.Image) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := jpeg.Encode(&b, m, &jpeg.Options{Quality: 95}); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func pngOf(t *testing.T, m image.Image) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := png.Encode(&b, m); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// withExif puts a block of camera data into a JPEG: an orientation, and words that
// must not stay.
func withExif(data []byte, order binary.AppendByteOrder, orientation uint16) []byte {
	tiff := []byte("MM\x00*")
	if order == binary.LittleEndian {
		tiff = []byte("II*\x00")
	}
	tiff = order.AppendUint32(tiff, 8)
	tiff = order.AppendUint16(tiff, 2)
	for _, e := range []struct{ tag, kind, value uint16 }{{0x010f, 3, 7}, {0x0112, 3, orientation}} {
		tiff = order.AppendUint16(order.AppendUint16(tiff, e.tag), e.kind)
		tiff = order.AppendUint32(tiff, 1)
		tiff = order.AppendUint16(order.AppendUint16(tiff, e.value), 0)
	}
	tiff = append(tiff, "\x00\x00\x00\x00GPS 50.1 N 8.6 E SECRET"...)
	part := append([]byte("Exif\x00\x00"), tiff...)
	out := append([]byte{}, data[:2]...)
	out = append(out, 0xff, 0xe1)
	out = binary.BigEndian.AppendUint16(out, uint16(len(part)+2))
	out = append(out, part...)
	out = append(out, data[2:]...)
	return append(out, "SECRET behind the end"...)
}

func TestOrientation(t *testing.T) {
	plain := jpegOf(t, quarters(64, 32))
	for _, c := range []struct {
		value         uint16
		corners       string // of the photo; stored is rgbw
		width, height int
		source        string
	}{
		{1, "rgbw", 64, 32, "Exif 2.2, tag 274: row 0 is the top, column 0 the left side"},
		{2, "grwb", 64, 32, "row 0 top, column 0 right"},
		{3, "wbgr", 64, 32, "row 0 bottom, column 0 right"},
		{4, "bwrg", 64, 32, "row 0 bottom, column 0 left"},
		{5, "rbgw", 32, 64, "row 0 left, column 0 top"},
		{6, "brwg", 32, 64, "row 0 right, column 0 top"},
		{7, "wgbr", 32, 64, "row 0 right, column 0 bottom"},
		{8, "gwrb", 32, 64, "row 0 left, column 0 bottom"},
		{0, "rgbw", 64, 32, "no value of the tag: left as it is"},
		{9, "rgbw", 64, 32, "no value of the tag: left as it is"},
	} {
		for _, order := range []binary.AppendByteOrder{binary.BigEndian, binary.LittleEndian} {
			p, err := Clean(withExif(plain, order, c.value))
			if err != nil {
				t.Errorf("%d: %v", c.value, err)
				continue
			}
			if got := corners(t, p.Data); got != c.corners || p.Width != c.width || p.Height != c.height {
				t.Errorf("%d: %s, %d × %d; want %s, %d × %d (%s)", c.value, got, p.Width, p.Height, c.corners, c.width, c.height, c.source)
			}
			if bytes.Contains(p.Data, []byte("SECRET")) || bytes.Contains(p.Data, []byte("Exif")) {
				t.Errorf("%d: camera data stays", c.value)
			}
		}
	}
}

// webpDot is a lossless WebP of one pixel.
const webpDot = "UklGRhoAAABXRUJQVlA4TA0AAAAvAAAAEAcQERGIiP4HAA=="

func TestKinds(t *testing.T) {
	dot, err := base64.StdEncoding.DecodeString(webpDot)
	if err != nil {
		t.Fatal(err)
	}
	for name, data := range map[string][]byte{"jpeg": jpegOf(t, quarters(40, 20)), "png": pngOf(t, quarters(40, 20)), "webp": dot} {
		p, err := Clean(data)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		again, err := Clean(data)
		if err != nil || again.ID != p.ID || len(p.ID) != 22 || !bytes.Equal(again.Data, p.Data) {
			t.Errorf("%s: %s and %s of the same bytes, %v", name, p.ID, again.ID, err)
		}
		if name != "webp" && corners(t, p.Data) != "rgbw" {
			t.Errorf("%s: corners %s", name, corners(t, p.Data))
		}
	}
	clear, err := Clean(pngOf(t, image.NewNRGBA(image.Rect(0, 0, 8, 8))))
	if err != nil || corners(t, clear.Data) != "wwww" {
		t.Errorf("a transparent picture: %v", err)
	}
}

func TestLargeOnesAreMadeSmaller(t *testing.T) {
	for _, c := range []struct{ w, h, width, height int }{
		{2048, 100, 2048, 100}, {4000, 3000, 2048, 1536}, {3000, 4000, 1536, 2048}, {20_000, 3, 2048, 1},
	} {
		p, err := Clean(jpegOf(t, image.NewGray(image.Rect(0, 0, c.w, c.h))))
		if err != nil || p.Width != c.width || p.Height != c.height || len(p.Data) > MaxKept {
			t.Errorf("%d × %d: %d × %d with %d bytes, %v", c.w, c.h, p.Width, p.Height, len(p.Data), err)
		}
	}
	// Noise is the worst there is to compress.
	noise := image.NewRGBA(image.Rect(0, 0, MaxSide, MaxSide))
	seed := uint32(1)
	for i := range noise.Pix {
		seed = seed*1664525 + 1013904223
		noise.Pix[i] = byte(seed >> 24)
	}
	p, err := write(noise)
	if err != nil || len(p.Data) > MaxKept {
		t.Errorf("noise has %d bytes, %v", len(p.Data), err)
	}
}

// header is a PNG that says it has so many pixels.
func header(w, h uint32) []byte {
	ihdr := binary.BigEndian.AppendUint32(binary.BigEndian.AppendUint32([]byte("IHDR"), w), h)
	ihdr = append(ihdr, 8, 2, 0, 0, 0)
	out := binary.BigEndian.AppendUint32([]byte("\x89PNG\r\n\x1a\n"), 13)
	out = append(out, ihdr...)
	return binary.BigEndian.AppendUint32(out, crc32.ChecksumIEEE(ihdr))
}

func TestWhatIsNotKept(t *testing.T) {
	good := jpegOf(t, quarters(40, 20))
	for name, c := range map[string]struct {
		data []byte
		want error
	}{
		"nothing":                  {nil, ErrType},
		"text":                     {[]byte("lash 14"), ErrType},
		"a page":                   {[]byte("<svg onload=alert(1)>"), ErrType},
		"a moving picture":         {[]byte("GIF89a\x01\x00\x01\x00"), ErrType},
		"a phone's own format":     {[]byte("\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1heic"), ErrType},
		"too many bytes":           {append(bytes.Clone(good), make([]byte, MaxBytes)...), ErrBytes},
		"too many pixels":          {header(60_000, 60_000), ErrPixels},
		"more than can be counted": {header(1<<30, 1<<30), ErrDamaged},
		"half":                     {good[:len(good)/2], ErrDamaged},
		"a beginning":              {[]byte("\xff\xd8\xff\xe0"), ErrDamaged},
		"a head without a body":    {header(10, 10), ErrDamaged},
		"another's head":           {[]byte("RIFF\x10\x00\x00\x00WEBPVP8X\x00\x00\x00\x00"), ErrDamaged},
		"a picture of no size":     {header(0, 10), ErrDamaged},
		"text with a good head":    {append([]byte("\x89PNG\r\n\x1a\n"), strings.Repeat("x", 100)...), ErrDamaged},
		"a cut block of a camera":  {[]byte("\xff\xd8\xff\xe1\xff\xffExif\x00\x00"), ErrDamaged},
	} {
		if _, err := Clean(c.data); !errors.Is(err, c.want) {
			t.Errorf("%s: %v, want %v", name, err, c.want)
		}
	}
}

func FuzzClean(f *testing.F) {
	var small bytes.Buffer
	if err := jpeg.Encode(&small, image.NewGray(image.Rect(0, 0, 16, 8)), nil); err != nil {
		f.Fatal(err)
	}
	f.Add(withExif(small.Bytes(), binary.LittleEndian, 6))
	f.Add(header(4, 4))
	f.Fuzz(func(t *testing.T, data []byte) {
		p, err := Clean(data)
		if err == nil && (len(p.Data) == 0 || len(p.Data) > MaxKept || max(p.Width, p.Height) > MaxSide || p.ID == "") {
			t.Errorf("%+v", p)
		}
	})
}

func BenchmarkClean(b *testing.B) {
	m := quarters(4032, 3024) // a phone's twelve megapixels
	var buf bytes.Buffer
	if err := jpeg.Encode(&buf, m, nil); err != nil {
		b.Fatal(err)
	}
	data := withExif(buf.Bytes(), binary.BigEndian, 6)
	for b.Loop() {
		if _, err := Clean(data); err != nil {
			b.Fatal(err)
		}
	}
}
