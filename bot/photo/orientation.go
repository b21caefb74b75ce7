package photo

import (
	"encoding/binary"
	"image"
)

// turn is how a stored picture has to be turned to stand upright: the value of the
// orientation tag.
// Source: JEITA CP-3451 (Exif 2.2), section 4.6.4 A, tag 274.
type turn int

const upright turn = 1

const orientationTag = 0x0112

// orientation reads the tag of a JPEG, upright where there is none or it makes no
// sense.
func orientation(data []byte) turn {
	for at := 2; at+4 <= len(data) && data[at] == 0xff; {
		marker := data[at+1]
		if marker == 0xff { // a fill byte
			at++
			continue
		}
		size := int(binary.BigEndian.Uint16(data[at+2:]))
		if marker == 0xda || size < 2 || at+2+size > len(data) {
			break // the picture itself begins, or it is cut short
		}
		part := data[at+4 : at+2+size]
		if marker == 0xe1 && len(part) > 6 && string(part[:6]) == "Exif\x00\x00" {
			return orientationIn(part[6:])
		}
		at += 2 + size
	}
	return upright
}

// orientationIn reads the tag from the first directory of a TIFF.
// Source: TIFF revision 6.0, section 2.
func orientationIn(tiff []byte) turn {
	if len(tiff) < 8 {
		return upright
	}
	var order binary.ByteOrder = binary.BigEndian
	switch string(tiff[:4]) {
	case "II*\x00":
		order = binary.LittleEndian
	case "MM\x00*":
	default:
		return upright
	}
	from := uint64(order.Uint32(tiff[4:]))
	if from+2 > uint64(len(tiff)) {
		return upright
	}
	n := uint64(order.Uint16(tiff[from:]))
	for i := range n {
		at := from + 2 + 12*i
		if at+12 > uint64(len(tiff)) {
			break
		}
		if order.Uint16(tiff[at:]) == orientationTag {
			if t := turn(order.Uint16(tiff[at+8:])); t >= 1 && t <= 8 {
				return t
			}
			break
		}
	}
	return upright
}

// apply turns a picture upright.
func (t turn) apply(m *image.RGBA) *image.RGBA {
	if t == upright {
		return m
	}
	w, h := m.Bounds().Dx(), m.Bounds().Dy()
	out := image.NewRGBA(image.Rect(0, 0, w, h))
	if t >= 5 { // rows and columns change places
		out = image.NewRGBA(image.Rect(0, 0, h, w))
	}
	for y := range out.Bounds().Dy() {
		for x := range out.Bounds().Dx() {
			fx, fy := x, y
			switch t {
			case 2:
				fx = w - 1 - x
			case 3:
				fx, fy = w-1-x, h-1-y
			case 4:
				fy = h - 1 - y
			case 5:
				fx, fy = y, x
			case 6:
				fx, fy = y, h-1-x
			case 7:
				fx, fy = w-1-y, h-1-x
			case 8:
				fx, fy = w-1-y, x
			}
			copy(out.Pix[out.PixOffset(x, y):][:4], m.Pix[m.PixOffset(fx, fy):][:4])
		}
	}
	return out
}
