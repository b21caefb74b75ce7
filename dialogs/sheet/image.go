package sheet

import (
	"bytes"
	"fmt"
	"image"
	"image/jpeg"
	"image/png"

	"codeberg.org/go-pdf/fpdf"
)

// imageKind names the format of a picture by its first bytes, empty for none that
// can be printed.
func imageKind(data []byte) string {
	switch {
	case bytes.HasPrefix(data, []byte("\x89PNG\r\n\x1a\n")):
		return "PNG"
	case bytes.HasPrefix(data, []byte("\xff\xd8\xff")):
		return "JPEG"
	}
	return ""
}

// image prints a picture into a box, as large as fits, and gives its height.
func (p *printer) image(name string, data []byte, x, y, width, height float64) float64 {
	data, err := p.ownWidth(data)
	if err != nil {
		p.fail(fmt.Errorf("the picture %s: %w", name, err))
		return 0
	}
	o := fpdf.ImageOptions{ImageType: imageKind(data)}
	info := p.doc.RegisterImageOptionsReader(name, o, bytes.NewReader(data))
	if p.doc.Err() || info == nil {
		p.fail(fmt.Errorf("the picture %s: %w", name, p.doc.Error()))
		return 0
	}
	w, h := width, width*info.Height()/info.Width()
	if h > height {
		w, h = height*info.Width()/info.Height(), height
	}
	p.doc.ImageOptions(name, x+(width-w)/2, y, w, h, false, o, 0, "")
	return h
}

func (p *printer) fail(err error) {
	if p.err == nil {
		p.err = err
	}
}

// ownWidth gives a picture a width in pixels that none before it has, by cutting a
// pixel or a few off its right edge: fpdf orders images by their width, and those of
// one width as a map happens to give them.
func (p *printer) ownWidth(data []byte) ([]byte, error) {
	c, _, err := image.DecodeConfig(bytes.NewReader(data))
	if err != nil {
		return nil, err
	}
	width := c.Width
	for p.widths[width] && width > 1 {
		width--
	}
	p.widths[width] = true
	if width == c.Width {
		return data, nil
	}
	m, kind, err := image.Decode(bytes.NewReader(data))
	if err != nil {
		return nil, err
	}
	cut, ok := m.(interface {
		SubImage(image.Rectangle) image.Image
	})
	if !ok {
		return data, nil
	}
	at := m.Bounds()
	at.Max.X = at.Min.X + width
	var b bytes.Buffer
	if kind == "png" {
		err = png.Encode(&b, cut.SubImage(at))
	} else {
		err = jpeg.Encode(&b, cut.SubImage(at), &jpeg.Options{Quality: 85})
	}
	return b.Bytes(), err
}
