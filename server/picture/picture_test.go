package picture

import (
	"bytes"
	"context"
	"encoding/binary"
	"errors"
	"fmt"
	"hash/crc32"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"golang.org/x/image/draw"

	"tablehand/stations/plan"
	"tablehand/views/paper"
)

var ticketURL = paper.TicketURL("http://192.168.1.20:8080", plan.NewCode(7))

// symbol returns the modules that the paper prints for a text, with their quiet zone. It reads them off the half
// blocks that a terminal shows.
func symbol(t testing.TB, text string) [][]bool {
	t.Helper()
	var b bytes.Buffer
	if err := paper.QRTerminal(&b, text); err != nil {
		t.Fatal(err)
	}
	var rows [][]bool
	for line := range strings.Lines(b.String()) {
		var upper, lower []bool
		for _, r := range line[strings.Index(line, "m")+1 : strings.LastIndex(line, "\x1b")] {
			upper = append(upper, r == '█' || r == '▀')
			lower = append(lower, r == '█' || r == '▄')
		}
		rows = append(rows, upper, lower)
	}
	return rows[:len(rows[0])] // a symbol is square
}

// shot says how a photograph of a code was taken.
type shot struct {
	name         string
	w, h         int
	side         float64 // of the code in the middle, in pixels
	turn         float64 // degrees
	tilt         float64 // how much smaller the far edge is, 0 to 1
	blur         float64 // sigma in pixels
	noise        float64 // standard deviation, of 1
	light        float64 // of 1
	smudge       float64 // share of the code's area, a thumb's print in its middle
	shade        float64 // how much darker the right edge is, of 1
	code, second string  // what it shows; "" for nothing
}

// take makes the photograph. The same shot and seed give the same one.
func take(t testing.TB, s shot, seed uint64) *image.Gray {
	t.Helper()
	random := rand.New(rand.NewPCG(seed, 1))
	img := image.NewGray(image.Rect(0, 0, s.w, s.h))
	for i := range img.Pix {
		img.Pix[i] = 200 // the table that the ticket lies on
	}
	if s.code != "" {
		s.place(img, symbol(t, s.code), float64(s.w)/2, float64(s.h)/2)
	}
	if s.second != "" {
		s.place(img, symbol(t, s.second), float64(s.w)*0.15, float64(s.h)*0.2)
	}
	img = blurred(img, s.blur)
	for y := range s.h {
		for x := range s.w {
			p := &img.Pix[y*img.Stride+x]
			light := s.light * (1 - s.shade*float64(x)/float64(s.w))
			*p = uint8(math.Round(min(max(float64(*p)*light+255*s.noise*random.NormFloat64(), 0), 255)))
		}
	}
	return img
}

// place draws a symbol around a point: turned, then seen from below so that its upper edge is smaller.
func (s shot) place(img *image.Gray, modules [][]bool, cx, cy float64) {
	sin, cos := math.Sincos(s.turn * math.Pi / 180)
	n := float64(len(modules))
	smudge := (n - 8) * math.Sqrt(s.smudge/math.Pi) // its radius in modules; 8 are the quiet zone
	for y := range img.Bounds().Dy() {
		for x := range img.Bounds().Dx() {
			dx, dy := (float64(x)-cx)/s.side, (float64(y)-cy)/s.side
			depth := 1 + s.tilt*dy // below 1 at the top, where things are smaller
			dx, dy = dx/depth, dy/depth
			u, v := (cos*dx+sin*dy+0.5)*n, (-sin*dx+cos*dy+0.5)*n
			if u < 0 || v < 0 || u >= n || v >= n {
				continue
			}
			img.Pix[y*img.Stride+x] = 255
			smudged := math.Hypot(u-n/2, v-n/2) < smudge
			if modules[int(v)][int(u)] || smudged {
				img.Pix[y*img.Stride+x] = 20
			}
		}
	}
}

// blurred has each pixel spread over its neighbours, along and across.
func blurred(src *image.Gray, sigma float64) *image.Gray {
	if sigma == 0 {
		return src
	}
	reach := int(3 * sigma)
	weights := make([]float64, 2*reach+1)
	sum := 0.0
	for i := range weights {
		weights[i] = math.Exp(-float64((i-reach)*(i-reach)) / (2 * sigma * sigma))
		sum += weights[i]
	}
	w, h := src.Bounds().Dx(), src.Bounds().Dy()
	for _, step := range []image.Point{{1, 0}, {0, 1}} {
		dst := image.NewGray(src.Bounds())
		for y := range h {
			for x := range w {
				total := 0.0
				for i, weight := range weights {
					sx, sy := min(max(x+(i-reach)*step.X, 0), w-1), min(max(y+(i-reach)*step.Y, 0), h-1)
					total += weight * float64(src.Pix[sy*src.Stride+sx])
				}
				dst.Pix[y*dst.Stride+x] = uint8(total/sum + 0.5)
			}
		}
		src = dst
	}
	return src
}

func asJPEG(t testing.TB, img image.Image) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := jpeg.Encode(&b, img, &jpeg.Options{Quality: 85}); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func asPNG(t testing.TB, img image.Image) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := png.Encode(&b, img); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// withExif puts an orientation, and a place that nobody should learn, into a JPEG.
func withExif(jpeg []byte, o int, order binary.AppendByteOrder) []byte {
	tiff := []byte("II*\x00")
	if order == binary.AppendByteOrder(binary.BigEndian) {
		tiff = []byte("MM\x00*")
	}
	put16 := func(v int) { tiff = order.AppendUint16(tiff, uint16(v)) }
	put32 := func(v int) { tiff = order.AppendUint32(tiff, uint32(v)) }
	put32(8)
	put16(2)
	put16(0x010F) // the maker's name, before the orientation
	put16(2)
	put32(4)
	put32(0x45425553)
	put16(0x0112)
	put16(3)
	put32(1)
	put16(o)
	put16(0)
	put32(0)
	body := append([]byte("Exif\x00\x00"), append(tiff, "GPS 53.5 N 0.1 E"...)...)
	segment := binary.BigEndian.AppendUint16([]byte{0xFF, markerAPP1}, uint16(len(body)+2))
	return append(append(append([]byte{}, jpeg[:2]...), append(segment, body...)...), jpeg[2:]...)
}

func isTicket(text string) bool { return strings.Contains(text, "/T/") }

func TestCodeIsReadFromABadPhotograph(t *testing.T) {
	for _, s := range []shot{
		{name: "clean"},
		{name: "a phone's 12 megapixels", w: 4032, h: 3024, side: 700},
		{name: "far away, in 12 megapixels", w: 4032, h: 3024, side: 190},
		{name: "turned by 20 degrees", turn: 20},
		{name: "upside down", turn: 180},
		{name: "from below", turn: 8, tilt: 0.3},
		{name: "out of focus", blur: 3},
		{name: "noisy", noise: 0.15},
		{name: "in low light", light: 0.18, noise: 0.03},
		{name: "half in the shade", shade: 0.7},
		{name: "smudged over a tenth", smudge: 0.1},
		{name: "small", side: 110},
		{name: "all together", turn: 15, tilt: 0.1, blur: 1, noise: 0.05, light: 0.5, smudge: 0.05},
	} {
		t.Run(s.name, func(t *testing.T) {
			if s.w == 0 {
				s.w, s.h = 1000, 750
			}
			if s.side == 0 {
				s.side = 300
			}
			if s.light == 0 {
				s.light = 1
			}
			s.code = ticketURL
			got, err := Code(context.Background(), asJPEG(t, take(t, s, 1)), isTicket)
			if err != nil || got != ticketURL {
				t.Errorf("read %q, %v", got, err)
			}
		})
	}
}

// However the camera was held, the code is read; the mirrored ones come from cameras that look at their owner.
func TestCodeIsReadInEveryOrientation(t *testing.T) {
	photo := asJPEG(t, take(t, shot{w: 700, h: 500, side: 250, turn: 5, light: 1, code: ticketURL}, 1))
	for o := 1; o <= 8; o++ {
		if got, err := Code(context.Background(), withExif(photo, o, binary.BigEndian), isTicket); got != ticketURL {
			t.Errorf("orientation %d: read %q, %v", o, got, err)
		}
	}
}

func TestOtherCodesArePassedOver(t *testing.T) {
	mill := shot{w: 900, h: 700, side: 250, light: 1, code: "REED CLOTH 54 IN"}
	if got, err := Code(context.Background(), asPNG(t, take(t, mill, 1)), isTicket); !errors.Is(err, ErrNoCode) {
		t.Errorf("a mill's code is read as %q, %v", got, err)
	}
	empty := shot{w: 900, h: 700, side: 1, light: 1, noise: 0.1}
	if got, err := Code(context.Background(), asPNG(t, take(t, empty, 1)), isTicket); !errors.Is(err, ErrNoCode) {
		t.Errorf("an empty table is read as %q, %v", got, err)
	}
}

func TestSearchEndsWithItsTime(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	photo := asPNG(t, take(t, shot{w: 300, h: 300, side: 200, light: 1, code: ticketURL}, 1))
	if _, err := Code(ctx, photo, isTicket); !errors.Is(err, context.Canceled) {
		t.Errorf("a search whose time is up: %v", err)
	}
}

// quarters has a colour in each quarter: red, green over blue, white.
func quarters(w, h int) *image.RGBA {
	img := image.NewRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			c := color.RGBA{255, 0, 0, 255}
			switch right, below := x >= w/2, y >= h/2; {
			case right && below:
				c = color.RGBA{255, 255, 255, 255}
			case right:
				c = color.RGBA{0, 255, 0, 255}
			case below:
				c = color.RGBA{0, 0, 255, 255}
			}
			img.SetRGBA(x, y, c)
		}
	}
	return img
}

// corners names the colours of a picture's quarters, from left to right, above and below.
func corners(img image.Image) string {
	b := img.Bounds()
	var names string
	for _, at := range []image.Point{{b.Dx() / 4, b.Dy() / 4}, {b.Dx() * 3 / 4, b.Dy() / 4}, {b.Dx() / 4, b.Dy() * 3 / 4}, {b.Dx() * 3 / 4, b.Dy() * 3 / 4}} {
		r, g, bl, _ := img.At(at.X, at.Y).RGBA()
		switch on := fmt.Sprint(r>>15, g>>15, bl>>15); on {
		case "1 0 0":
			names += "R"
		case "0 1 0":
			names += "G"
		case "0 0 1":
			names += "B"
		case "1 1 1":
			names += "W"
		default:
			names += "?"
		}
	}
	return names
}

func mustKeep(t *testing.T, data []byte) (Kept, image.Image) {
	t.Helper()
	kept, err := Keep(data)
	if err != nil {
		t.Fatal(err)
	}
	img, kind, err := image.Decode(bytes.NewReader(kept.JPEG))
	if err != nil || kind != "jpeg" {
		t.Fatalf("kept as %s, %v", kind, err)
	}
	if size := img.Bounds().Size(); size.X != kept.Width || size.Y != kept.Height {
		t.Errorf("it is %v, said to be %d × %d", size, kept.Width, kept.Height)
	}
	if len(kept.JPEG) > MostKept {
		t.Errorf("it has %d bytes", len(kept.JPEG))
	}
	return kept, img
}

// A kept picture stands as it was seen, whichever way the camera was held (Exif's table of orientations), and has
// nothing of what the camera wrote into it.
func TestKeptPictureStandsUprightAndIsSilent(t *testing.T) {
	seen := map[int]string{1: "RGBW", 2: "GRWB", 3: "WBGR", 4: "BWRG", 5: "RBGW", 6: "BRWG", 7: "WGBR", 8: "GWRB"}
	photo := asJPEG(t, quarters(400, 200))
	for o, want := range seen {
		for _, order := range []binary.AppendByteOrder{binary.LittleEndian, binary.BigEndian} {
			kept, img := mustKeep(t, withExif(photo, o, order))
			if got := corners(img); got != want {
				t.Errorf("orientation %d (%v) is kept as %s, want %s", o, order, got, want)
			}
			if tall := img.Bounds().Dy() > img.Bounds().Dx(); tall != (o >= 5) {
				t.Errorf("orientation %d is kept %v", o, img.Bounds())
			}
			for _, secret := range []string{"Exif", "GPS", "53.5"} {
				if bytes.Contains(kept.JPEG, []byte(secret)) {
					t.Errorf("the kept picture says %s", secret)
				}
			}
		}
	}
}

func TestKeptPictureIsSmall(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	noise := image.NewRGBA(image.Rect(0, 0, 2600, 1900))
	for i := range noise.Pix {
		noise.Pix[i] = uint8(random.Uint32())
	}
	for _, picture := range []struct {
		name  string
		img   image.Image
		w, h  int // of the kept one, 0 where it doesn't matter
		kinds string
	}{
		{"smaller than it may be", quarters(640, 480), 640, 480, "RGBW"},
		{"a phone's", quarters(4032, 3024), 1600, 1200, "RGBW"},
		{"a strip", quarters(8000, 4), 1600, 1, ""},
		{"one pixel", quarters(1, 1), 1, 1, ""},
		{"nothing but noise", noise, 0, 0, ""},
	} {
		t.Run(picture.name, func(t *testing.T) {
			for _, data := range [][]byte{asJPEG(t, picture.img), asPNG(t, picture.img)} {
				kept, img := mustKeep(t, data)
				if picture.w != 0 && (kept.Width != picture.w || kept.Height != picture.h) {
					t.Errorf("kept as %d × %d, want %d × %d", kept.Width, kept.Height, picture.w, picture.h)
				}
				if picture.kinds != "" && corners(img) != picture.kinds {
					t.Errorf("kept as %s, want %s", corners(img), picture.kinds)
				}
				if again, err := Keep(data); err != nil || !bytes.Equal(again.JPEG, kept.JPEG) {
					t.Errorf("the same bytes give another picture: %v", err)
				}
			}
		})
	}
}

// What is seen through is seen on white, as on a page.
func TestKeptPictureLiesOnWhite(t *testing.T) {
	_, img := mustKeep(t, asPNG(t, image.NewNRGBA(image.Rect(0, 0, 60, 40))))
	if got := corners(img); got != "WWWW" {
		t.Errorf("nothing is kept as %s", got)
	}
}

// pngHeader is a PNG that claims a size and has no picture.
func pngHeader(w, h uint32) []byte {
	body := binary.BigEndian.AppendUint32([]byte("IHDR"), w)
	body = append(binary.BigEndian.AppendUint32(body, h), 8, 6, 0, 0, 0)
	data := binary.BigEndian.AppendUint32([]byte("\x89PNG\r\n\x1a\n"), 13)
	return binary.BigEndian.AppendUint32(append(data, body...), crc32.ChecksumIEEE(body))
}

func TestWhatIsNoPictureIsNamed(t *testing.T) {
	photo := asJPEG(t, quarters(300, 200))
	progressive := asJPEG(t, quarters(300, 200))
	if i := bytes.Index(progressive, []byte{0xFF, 0xC0}); i < 0 {
		t.Fatal("no frame to make progressive")
	} else {
		progressive[i+1] = markerSOF2
		binary.BigEndian.PutUint16(progressive[i+5:], 5000)
		binary.BigEndian.PutUint16(progressive[i+7:], 5000)
	}
	for _, bad := range []struct {
		name string
		data []byte
		want error
	}{
		{"nothing", nil, ErrKind},
		{"text", []byte("order: SMI-014\n"), ErrKind},
		{"WebP", []byte("RIFF\x24\x00\x00\x00WEBPVP8 "), ErrKind},
		{"HEIC", []byte("\x00\x00\x00\x18ftypheic\x00\x00\x00\x00"), ErrKind},
		{"a JPEG cut off", photo[:len(photo)/2], ErrDamaged},
		{"a JPEG of two bytes", photo[:2], ErrDamaged},
		{"a bomb", pngHeader(50_000, 50_000), ErrPixels},
		{"a large PNG", pngHeader(7000, 7000), ErrPixels},
		{"a strip of a PNG", pngHeader(1<<24, 1), ErrPixels},
		{"a large progressive JPEG", progressive, ErrPixels},
		{"a PNG without a picture", pngHeader(100, 100), ErrDamaged},
	} {
		t.Run(bad.name, func(t *testing.T) {
			if _, err := Keep(bad.data); !errors.Is(err, bad.want) {
				t.Errorf("kept: %v, want %v", err, bad.want)
			}
			if _, err := Code(context.Background(), bad.data, isTicket); !errors.Is(err, bad.want) {
				t.Errorf("read: %v, want %v", err, bad.want)
			}
		})
	}
}

// FuzzKeep: whatever a device sends is kept small or named, and what was kept is kept again.
func FuzzKeep(f *testing.F) {
	photo := asJPEG(f, quarters(64, 48))
	f.Add(photo)
	f.Add(withExif(photo, 6, binary.LittleEndian))
	f.Add(asPNG(f, quarters(20, 30)))
	f.Add(pngHeader(9, 9))
	f.Add([]byte{0xFF, 0xD8, 0xFF, 0xE1, 0, 20, 'E', 'x', 'i', 'f', 0, 0, 'I', 'I', '*', 0, 0xFF, 0xFF, 0xFF, 0xFF, 1, 2})
	f.Fuzz(func(t *testing.T, data []byte) {
		kept, err := Keep(data)
		if err != nil {
			if !errors.Is(err, ErrKind) && !errors.Is(err, ErrPixels) && !errors.Is(err, ErrDamaged) {
				t.Errorf("refused without a name: %v", err)
			}
			return
		}
		if len(kept.JPEG) > MostKept {
			t.Errorf("kept with %d bytes", len(kept.JPEG))
		}
		again, err := Keep(kept.JPEG)
		if err != nil || again.Width != kept.Width || again.Height != kept.Height {
			t.Errorf("kept as %d × %d, then as %d × %d, %v", kept.Width, kept.Height, again.Width, again.Height, err)
		}
	})
}

func BenchmarkCode12MP(b *testing.B) {
	photo := asJPEG(b, take(b, shot{w: 4032, h: 3024, side: 700, light: 1, noise: 0.02, code: ticketURL}, 1))
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Code(context.Background(), photo, isTicket); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkKeep12MP(b *testing.B) {
	grey := take(b, shot{w: 4032, h: 3024, side: 700, light: 1, noise: 0.02, code: ticketURL}, 1)
	colour := image.NewRGBA(grey.Bounds())
	draw.Draw(colour, colour.Bounds(), grey, image.Point{}, draw.Src)
	photo := asJPEG(b, colour)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Keep(photo); err != nil {
			b.Fatal(err)
		}
	}
}
