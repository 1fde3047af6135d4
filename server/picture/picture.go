// Package picture works on photographs that phones send: it reads the QR code in one, and makes the small picture
// that is kept of one. Its functions are pure, take strangers' bytes, and are bounded in memory; they panic on
// nothing. HEIC and WebP are not taken: phones send JPEG where a page asks for that.
package picture

import (
	"bytes"
	"errors"
	"fmt"
	"image"
	"image/color"
	stddraw "image/draw"
	_ "image/jpeg" // a format that image.Decode then knows
	_ "image/png"  // the same

	"golang.org/x/image/draw"
)

var (
	// ErrKind is what is neither a JPEG nor a PNG.
	ErrKind = errors.New("picture: neither JPEG nor PNG")
	// ErrPixels is a picture that would take too much memory to open.
	ErrPixels = errors.New("picture: too many pixels")
	// ErrDamaged is a picture that breaks off or contradicts itself.
	ErrDamaged = errors.New("picture: damaged")
	// ErrNoCode is a picture in which no QR code can be read.
	ErrNoCode = errors.New("picture: no code found")
)

// Bounds of what is opened. Phones take up to 50 megapixels; a header may claim any number, and a PNG of one colour
// is some thousand times smaller than its pixels.
const (
	maxPixels = 51 << 20
	maxSide   = 20_000    // a panorama's
	maxMemory = 256 << 20 // bytes that opening may take
)

// Memory that opening takes, in bytes a pixel: three components of a JPEG without subsampling, with the coefficients
// (4 bytes each) of a progressive one beside them; a PNG with 16 bits in each of four channels.
const (
	jpegCost        = 3
	progressiveCost = 3 + 3*4
	pngCost         = 8
)

// open decodes a picture as it lies in its file; turn says how it is to be seen. The error is ErrKind, ErrPixels or
// ErrDamaged.
func open(data []byte) (img image.Image, turn orientation, err error) {
	config, kind, err := image.DecodeConfig(bytes.NewReader(data))
	if errors.Is(err, image.ErrFormat) {
		return nil, 0, ErrKind
	}
	if err != nil {
		return nil, 0, fmt.Errorf("%w: %w", ErrDamaged, err)
	}
	about := jpegHeader{orientation: upright}
	cost := pngCost
	if kind == "jpeg" {
		about, cost = readJPEGHeader(data), jpegCost
		if about.progressive {
			cost = progressiveCost
		}
	}
	if pixels := int64(config.Width) * int64(config.Height); pixels > maxPixels || max(config.Width, config.Height) > maxSide ||
		pixels*int64(cost) > maxMemory {
		return nil, 0, ErrPixels
	}
	img, err = decode(data)
	if err != nil {
		return nil, 0, fmt.Errorf("%w: %w", ErrDamaged, err)
	}
	if img.Bounds().Empty() {
		return nil, 0, ErrDamaged
	}
	return img, about.orientation, nil
}

// decode is image.Decode, which reads what strangers send: should it panic, the picture is damaged.
func decode(data []byte) (img image.Image, err error) {
	defer func() {
		if r := recover(); r != nil {
			err = fmt.Errorf("panic: %v", r)
		}
	}()
	img, _, err = image.Decode(bytes.NewReader(data))
	return img, err
}

// shrink returns a picture on white whose longest side is at most longest pixels, averaging what falls together: a
// weave that is merely skipped through shows bands that the cloth doesn't have.
func shrink(src image.Image, longest int) *image.RGBA {
	size := src.Bounds().Size()
	small := average(src, max(1, max(size.X, size.Y)/longest))
	w, h := small.Bounds().Dx(), small.Bounds().Dy()
	if max(w, h) <= longest {
		return small
	}
	fit := image.NewRGBA(image.Rect(0, 0, max(1, w*longest/max(w, h)), max(1, h*longest/max(w, h))))
	draw.ApproxBiLinear.Scale(fit, fit.Bounds(), small, small.Bounds(), draw.Src, nil) // by less than half
	return fit
}

// average makes one pixel of each k × k, on white. What is left over at the right and below is dropped, unless it is
// all there is. It works by strips, so that the picture in full colour never lies in memory whole.
func average(src image.Image, k int) *image.RGBA {
	b := src.Bounds()
	kx, ky := min(k, b.Dx()), min(k, b.Dy())
	dst := image.NewRGBA(image.Rect(0, 0, b.Dx()/kx, b.Dy()/ky))
	strip := image.NewRGBA(image.Rect(0, 0, b.Dx(), ky))
	white := image.NewUniform(color.White)
	area := uint32(kx * ky)
	for y := range dst.Bounds().Dy() {
		stddraw.Draw(strip, strip.Bounds(), white, image.Point{}, stddraw.Src)
		stddraw.Draw(strip, strip.Bounds(), src, image.Pt(b.Min.X, b.Min.Y+y*ky), stddraw.Over)
		for x := range dst.Bounds().Dx() {
			var red, green, blue uint32
			for row := range ky {
				at := row*strip.Stride + x*kx*4
				for range kx {
					red, green, blue = red+uint32(strip.Pix[at]), green+uint32(strip.Pix[at+1]), blue+uint32(strip.Pix[at+2])
					at += 4
				}
			}
			to := dst.Pix[y*dst.Stride+x*4:]
			to[0], to[1], to[2], to[3] = uint8(red/area), uint8(green/area), uint8(blue/area), 0xff
		}
	}
	return dst
}
