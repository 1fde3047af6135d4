package picture

import (
	"bytes"
	"fmt"
	"image/jpeg"
)

// MostKept is how many bytes a kept picture has at most: a thousand of them fit into a backup of 170 MB.
const MostKept = 170_000

// Kept is a picture as the shop keeps it: a JPEG that stands upright and says nothing of where, when or by what it
// was taken.
type Kept struct {
	JPEG          []byte
	Width, Height int
}

// looks are the sizes and qualities tried for a kept picture, until one has few enough bytes. A flaw in cloth is
// still seen at the first few; the last are for pictures that are nothing but noise.
var looks = []struct{ side, quality int }{
	{1600, 82}, {1600, 70}, {1280, 70}, {1280, 55}, {960, 55}, {800, 45}, {640, 35}, {480, 25},
}

// Keep makes the picture to keep of a photograph. The same bytes give the same picture. The error is ErrKind,
// ErrPixels or ErrDamaged.
func Keep(data []byte) (Kept, error) {
	img, turn, err := open(data)
	if err != nil {
		return Kept{}, err
	}
	small := turned(shrink(img, looks[0].side), turn)
	for _, look := range looks {
		small = shrink(small, look.side)
		var b bytes.Buffer
		if err := jpeg.Encode(&b, small, &jpeg.Options{Quality: look.quality}); err != nil {
			return Kept{}, fmt.Errorf("picture: %w", err)
		}
		if b.Len() <= MostKept {
			return Kept{b.Bytes(), small.Bounds().Dx(), small.Bounds().Dy()}, nil
		}
	}
	return Kept{}, ErrPixels // no picture of 480 pixels a side has so many bytes
}
