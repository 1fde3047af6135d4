package picture

import (
	"bytes"
	"encoding/binary"
	"image"
)

// orientation is how a camera was held: the value of tag 0x0112 of Exif (JEITA CP-3451), 1 to 8.
type orientation int

const upright orientation = 1

// jpegHeader is what a JPEG says of itself before its picture begins, beside its size.
type jpegHeader struct {
	orientation orientation
	progressive bool
}

// Markers of a JPEG file (ITU-T T.81, table B.1).
const (
	markerSOF2 = 0xC2 // start of a progressive frame
	markerSOI  = 0xD8
	markerEOI  = 0xD9
	markerSOS  = 0xDA
	markerAPP1 = 0xE1 // where Exif lies
)

// readJPEGHeader walks the segments in front of the picture. What is no JPEG, or breaks off, stands upright.
func readJPEGHeader(data []byte) jpegHeader {
	h := jpegHeader{orientation: upright}
	if len(data) < 2 || data[0] != 0xFF || data[1] != markerSOI {
		return h
	}
	for rest := data[2:]; len(rest) >= 4 && rest[0] == 0xFF; {
		marker := rest[1]
		if marker == 0xFF { // a marker may have fill bytes before it
			rest = rest[1:]
			continue
		}
		length := int(binary.BigEndian.Uint16(rest[2:]))
		if marker == markerSOS || marker == markerEOI || length < 2 || len(rest) < 2+length {
			return h
		}
		switch body := rest[4 : 2+length]; marker {
		case markerSOF2:
			h.progressive = true
		case markerAPP1:
			if tiff, ok := bytes.CutPrefix(body, []byte("Exif\x00\x00")); ok {
				h.orientation = exifOrientation(tiff)
			}
		}
		rest = rest[2+length:]
	}
	return h
}

// exifOrientation finds the orientation in the first directory of a TIFF header, upright where there is none or it
// makes no sense.
func exifOrientation(tiff []byte) orientation {
	const (
		tag   = 0x0112
		short = 3
		entry = 12 // bytes: tag, type, count, value
	)
	var order binary.ByteOrder
	switch {
	case bytes.HasPrefix(tiff, []byte("II*\x00")):
		order = binary.LittleEndian
	case bytes.HasPrefix(tiff, []byte("MM\x00*")):
		order = binary.BigEndian
	default:
		return upright
	}
	if len(tiff) < 8 {
		return upright
	}
	at := int64(order.Uint32(tiff[4:]))
	if at+2 > int64(len(tiff)) {
		return upright
	}
	entries := tiff[at+2:]
	for n := int(order.Uint16(tiff[at:])); n > 0 && len(entries) >= entry; n-- {
		if order.Uint16(entries) == tag && order.Uint16(entries[2:]) == short {
			if o := orientation(order.Uint16(entries[8:])); o >= 1 && o <= 8 {
				return o
			}
			return upright
		}
		entries = entries[entry:]
	}
	return upright
}

// turned returns a picture as it is to be seen.
func turned(src *image.RGBA, o orientation) *image.RGBA {
	if o == upright {
		return src
	}
	w, h := src.Bounds().Dx(), src.Bounds().Dy()
	dst := image.NewRGBA(image.Rect(0, 0, w, h))
	if o >= 5 { // the sides change places
		dst = image.NewRGBA(image.Rect(0, 0, h, w))
	}
	for y := range h {
		for x := range w {
			tx, ty := o.place(x, y, w, h)
			copy(dst.Pix[ty*dst.Stride+tx*4:][:4], src.Pix[y*src.Stride+x*4:][:4])
		}
	}
	return dst
}

// place says where the pixel at x, y of a stored picture of w × h is seen.
func (o orientation) place(x, y, w, h int) (tx, ty int) {
	right, bottom := w-1-x, h-1-y
	switch o {
	case 2:
		return right, y
	case 3:
		return right, bottom
	case 4:
		return x, bottom
	case 5:
		return y, x
	case 6:
		return bottom, x
	case 7:
		return bottom, right
	case 8:
		return y, right
	}
	return x, y
}
