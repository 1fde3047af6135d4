package picture

import (
	"context"
	"fmt"
	"image"

	"github.com/makiuchi-d/gozxing"
	"github.com/makiuchi-d/gozxing/qrcode"
	"golang.org/x/image/draw"
)

// Code returns the text of a QR code in a picture that want takes; other codes, such as the mill's on a bolt's
// label, are passed over. The error is ErrKind, ErrPixels, ErrDamaged, ErrNoCode, or the context's, which is asked
// between tries.
func Code(ctx context.Context, data []byte, want func(text string) bool) (string, error) {
	img, turn, err := open(data)
	if err != nil {
		return "", err
	}
	for _, search := range searches {
		if size := img.Bounds().Size(); max(size.X, size.Y) <= search.above {
			continue
		}
		grey := greyOf(turned(shrink(img, search.side), turn))
		for _, try := range search.tries {
			if err := ctx.Err(); err != nil {
				return "", err
			}
			for _, text := range try(grey) {
				if want(text) {
					return text, nil
				}
			}
		}
	}
	return "", ErrNoCode
}

// try looks for codes in one way.
type try func(*image.Gray) []string

// searches are the ways in which a code is looked for, the likely ones first. Shrinking averages noise away, and
// stretching the contrast brings back what low light has taken: of photographs that the reader can't read as they
// are, these rungs read nearly all. Measured on made pictures; another set may rank them otherwise. A ticket that
// fills a fifth of the picture has 5 pixels a module at 1600; only a code that isn't found there is looked for in a
// larger one.
var searches = []struct {
	side  int // the longest of what is searched, in pixels
	above int // for pictures larger than this only
	tries []try
}{
	{1600, 0, []try{
		read,
		func(g *image.Gray) []string { return read(stretch(scale(g, 0.6))) },
		func(g *image.Gray) []string { return read(stretch(scale(g, 0.4))) },
		func(g *image.Gray) []string { return read(stretch(scale(scale(g, 0.5), 2))) },
		func(g *image.Gray) []string { return read(stretch(scale(scale(g, 0.35), 3))) },
	}},
	{4000, 1600, []try{
		read,
		func(g *image.Gray) []string { return read(stretch(g)) },
	}},
}

// read has the reader look through a picture with each way of telling dark from light.
func read(g *image.Gray) []string {
	w, h := g.Bounds().Dx(), g.Bounds().Dy()
	source, err := gozxing.NewPlanarYUVLuminanceSource(g.Pix, g.Stride, h, 0, 0, w, h, false)
	if err != nil {
		return nil // smaller than anything that could be a code
	}
	var texts []string
	for _, b := range []gozxing.Binarizer{gozxing.NewHybridBinarizer(source), gozxing.NewGlobalHistgramBinarizer(source)} {
		if text, err := readBy(b); err == nil {
			texts = append(texts, text)
		}
	}
	return texts
}

// readBy runs the reader, which sees what strangers send: should it panic, it has found nothing.
func readBy(b gozxing.Binarizer) (text string, err error) {
	defer func() {
		if r := recover(); r != nil {
			err = fmt.Errorf("picture: the reader panicked: %v", r)
		}
	}()
	bitmap, err := gozxing.NewBinaryBitmap(b)
	if err != nil {
		return "", err
	}
	found, err := qrcode.NewQRCodeReader().Decode(bitmap, map[gozxing.DecodeHintType]any{gozxing.DecodeHintType_TRY_HARDER: true})
	if err != nil {
		return "", err
	}
	return found.GetText(), nil
}

// greyOf returns the luma of a picture (ITU-R BT.601 weights).
func greyOf(src *image.RGBA) *image.Gray {
	g := image.NewGray(src.Bounds())
	for i := range g.Pix {
		p := src.Pix[i*4:]
		g.Pix[i] = uint8((299*uint32(p[0]) + 587*uint32(p[1]) + 114*uint32(p[2]) + 500) / 1000)
	}
	return g
}

func scale(g *image.Gray, by float64) *image.Gray {
	w, h := g.Bounds().Dx(), g.Bounds().Dy()
	to := image.NewGray(image.Rect(0, 0, max(1, int(float64(w)*by)), max(1, int(float64(h)*by))))
	draw.CatmullRom.Scale(to, to.Bounds(), g, g.Bounds(), draw.Src, nil)
	return to
}

// stretch spreads the greys over the whole range: the darkest 1 % become black, the lightest 0.1 % white.
func stretch(g *image.Gray) *image.Gray {
	var counts [256]int
	for _, p := range g.Pix {
		counts[p]++
	}
	low, high := 0, 255
	for n := len(g.Pix) / 100; low < 255 && n >= counts[low]; low++ {
		n -= counts[low]
	}
	for n := len(g.Pix) / 1000; high > 0 && n >= counts[high]; high-- {
		n -= counts[high]
	}
	if high <= low {
		return g
	}
	out := image.NewGray(g.Bounds())
	for i, p := range g.Pix {
		out.Pix[i] = uint8(min(max((int(p)-low)*255/(high-low), 0), 255))
	}
	return out
}
