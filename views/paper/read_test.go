package paper

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/makiuchi-d/gozxing"
	"github.com/makiuchi-d/gozxing/qrcode"
	"golang.org/x/image/draw"

	"tablehand/stations"
	"tablehand/stations/plan"
	"tablehand/views/i18n"
	"tablehand/views/mark"
)

// thermal is the resolution of a common label printer in dots an inch.
const thermal = 203

// damages are what a code suffers on a workroom's floor. Both readers must manage all of them, on every paper, down
// to the tags' modules of 4 dots: zbar with the picture as it is, gozxing with the picture as it is or shrunk to 60 or
// 40 %, which blurred ones need. A blot covers no finder: no reader finds a code that has lost one. Measured beyond the
// set: at a blur of 0.6 of a module both fail.
var damages = []struct {
	name string
	do   func(g *image.Gray, code squareAt) []*image.Gray
}{
	{"as printed", func(g *image.Gray, _ squareAt) []*image.Gray { return []*image.Gray{g} }},
	{"rotated", func(g *image.Gray, _ squareAt) (all []*image.Gray) {
		for _, degrees := range []float64{7, 20, 45, 90, 135, 180} {
			all = append(all, rotated(g, degrees))
		}
		return all
	}},
	{"blurred", func(g *image.Gray, code squareAt) []*image.Gray {
		return []*image.Gray{blurred(g, 0.4*code.module/72*thermal)}
	}},
	{"a tenth under a blot", func(g *image.Gray, code squareAt) (all []*image.Gray) {
		for seed := range uint64(4) {
			all = append(all, smudged(g, code, 0.10, seed))
		}
		return all
	}},
}

// TestPlacardsInColour: a placard's mark has its station's colour, as light as that is on a printer without colour.
func TestPlacardsInColour(t *testing.T) {
	var b bytes.Buffer
	if err := Placards(&b, ShopDoc{Say: i18n.For("en"), Address: "http://shop.test"}); err != nil {
		t.Fatal(err)
	}
	const dpi = 72 // a point is a pixel
	drawn := renderAt(t, tool(t, "pdftoppm"), b.Bytes(), dpi)
	x, y, reach := int(sheets[Letter].Wd/2), int(math.Round(sheetMargin+1.4*placardMark)), int(0.5*placardMark) // the middle of every shape, and what all have around it
	for i, s := range plan.Stations() {
		c, _ := mark.ColourOf(s)
		want := color.GrayModel.Convert(color.RGBA{c.Fill.R, c.Fill.G, c.Fill.B, 255}).(color.Gray).Y
		inside := 0
		for dx := -reach; dx < reach; dx++ {
			for dy := -reach; dy < reach; dy++ {
				if got := drawn[i].GrayAt(x+dx, y+dy).Y; max(got, want)-min(got, want) <= 4 {
					inside++
				}
			}
		}
		if inside < 2*reach*2*reach/3 { // its number has the rest, and of a narrow one the sheet
			t.Errorf("%s has %d of %d points in a grey of %d for %s", s, inside, 4*reach*reach, want, c.Fill)
		}
	}
}

// TestDamagedCodesAreRead renders tickets, tags, cards and placards as a label printer does, spoils their codes, and
// has two readers that we did not write read them.
func TestDamagedCodesAreRead(t *testing.T) {
	toPPM, zbar := tool(t, "pdftoppm"), tool(t, "zbarimg")
	most := 1
	if os.Getenv("TABLEHAND_LONG") == "1" {
		most = 4
	}
	for _, p := range spoiled(t) {
		drawn := renderAt(t, toPPM, p.pdf, thermal)
		if len(p.pen.squares) == 0 {
			t.Fatalf("%s: no codes", p.name)
		}
		for i, code := range p.pen.squares[:min(len(p.pen.squares), most)] {
			clean := cropped(drawn[code.page-1], code)
			for _, d := range damages {
				for n, g := range d.do(clean, code) {
					for reader, text := range map[string]string{"zbar": readByZbar(t, zbar, g), "gozxing": readByZxing(g)} {
						if !slices.Contains(p.texts, text) {
							t.Errorf("%s, code %d, %s %d: %s reads %q", p.name, i, d.name, n, reader, text)
						}
					}
				}
			}
		}
	}
}

// coded is a document with the texts that its codes may have.
type coded struct {
	name  string
	pdf   []byte
	pen   *pen
	texts []string
}

func bolts(doc BoltLabelsDoc) (texts []string) {
	for _, b := range doc.Bolts {
		texts = append(texts, "HTTP://192.168.100.200:8080/B/"+string(b.Bolt))
	}
	return texts
}

func spoiled(t *testing.T) []coded {
	t.Helper()
	doc := ticketsDoc(t, ticketOrder(t, forty))
	shop := ShopDoc{Say: doc.Say, Address: doc.Address, Made: doc.Made}
	var tickets, placards, cards []string
	for _, ticket := range doc.Tickets {
		tickets = append(tickets, "HTTP://192.168.100.200:8080/T/"+string(ticket.Code))
	}
	for _, s := range plan.Stations() {
		placards = append(placards, strings.ToUpper("http://192.168.100.200:8080/station/"+string(s)))
	}
	for _, c := range stations.Cards() {
		cards = append(cards, c.String())
	}
	var all []coded
	add := func(name string, texts []string, write func(b *bytes.Buffer) (*pen, error)) {
		var b bytes.Buffer
		p, err := write(&b)
		if err != nil {
			t.Fatal(err)
		}
		all = append(all, coded{name, b.Bytes(), p, texts})
	}
	add("tickets", tickets, func(b *bytes.Buffer) (*pen, error) {
		l, err := writeTickets(b, doc)
		if err != nil {
			return nil, err
		}
		return l.pen, nil
	})
	add("tags", tickets, func(b *bytes.Buffer) (*pen, error) { return writeTags(b, doc) })
	add("cards", cards, func(b *bytes.Buffer) (*pen, error) { return writeCards(b, shop) })
	labels := boltLabels(doc)
	add("bolt labels", bolts(labels), func(b *bytes.Buffer) (*pen, error) { return writeBoltLabels(b, labels) })
	add("placards", placards, func(b *bytes.Buffer) (*pen, error) { return writePlacards(b, shop) })
	return all
}

// renderAt draws every page of a PDF in grey.
func renderAt(t *testing.T, toPPM string, pdf []byte, dpi int) []*image.Gray {
	t.Helper()
	dir := t.TempDir()
	file := filepath.Join(dir, "paper.pdf")
	if err := os.WriteFile(file, pdf, 0o600); err != nil {
		t.Fatal(err)
	}
	if out, err := exec.Command(toPPM, "-r", fmt.Sprint(dpi), "-png", "-gray", file, filepath.Join(dir, "page")).CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	pages, err := filepath.Glob(filepath.Join(dir, "page*.png"))
	if err != nil || len(pages) == 0 {
		t.Fatalf("no page drawn: %v", err)
	}
	var all []*image.Gray
	for _, page := range pages {
		all = append(all, readGrey(t, page))
	}
	return all
}

func readGrey(t *testing.T, file string) *image.Gray {
	t.Helper()
	b, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	img, err := png.Decode(bytes.NewReader(b))
	if err != nil {
		t.Fatal(err)
	}
	return grey(img)
}

func grey(img image.Image) *image.Gray {
	g := image.NewGray(image.Rect(0, 0, img.Bounds().Dx(), img.Bounds().Dy()))
	for y := range g.Rect.Dy() {
		for x := range g.Rect.Dx() {
			g.Set(x, y, img.At(img.Bounds().Min.X+x, img.Bounds().Min.Y+y))
		}
	}
	return g
}

// cropped cuts a code out of its page, so that a picture of it has one code, as a camera is held to.
func cropped(page *image.Gray, code squareAt) *image.Gray {
	const dots = thermal / 72.0
	return grey(page.SubImage(image.Rect(int(code.x*dots), int(code.y*dots), int(math.Ceil((code.x+code.side)*dots)), int(math.Ceil((code.y+code.side)*dots)))))
}

// rotated turns a picture about its middle, on white.
func rotated(g *image.Gray, degrees float64) *image.Gray {
	side := int(math.Ceil(math.Hypot(float64(g.Rect.Dx()), float64(g.Rect.Dy()))))
	out := image.NewGray(image.Rect(0, 0, side, side))
	sin, cos := math.Sincos(degrees * math.Pi / 180)
	for y := range side {
		for x := range side {
			dx, dy := float64(x)-float64(side)/2, float64(y)-float64(side)/2
			out.SetGray(x, y, color.Gray{uint8(between(g, cos*dx+sin*dy+float64(g.Rect.Dx())/2, cos*dy-sin*dx+float64(g.Rect.Dy())/2))})
		}
	}
	return out
}

// between is the grey at a place between pixels, white outside.
func between(g *image.Gray, x, y float64) float64 {
	x0, y0 := math.Floor(x), math.Floor(y)
	at := func(x, y float64) float64 {
		if p := image.Pt(int(x), int(y)); p.In(g.Rect) {
			return float64(g.GrayAt(p.X, p.Y).Y)
		}
		return 255
	}
	fx, fy := x-x0, y-y0
	return (at(x0, y0)*(1-fx)+at(x0+1, y0)*fx)*(1-fy) + (at(x0, y0+1)*(1-fx)+at(x0+1, y0+1)*fx)*fy
}

// blurred is Gaussian, sigma in pixels.
func blurred(g *image.Gray, sigma float64) *image.Gray {
	reach := int(math.Ceil(3 * sigma))
	var weights []float64
	sum := 0.0
	for i := -reach; i <= reach; i++ {
		w := math.Exp(-float64(i*i) / (2 * sigma * sigma))
		weights, sum = append(weights, w), sum+w
	}
	along := func(g *image.Gray, dx, dy float64) *image.Gray {
		out := image.NewGray(g.Rect)
		for y := range g.Rect.Dy() {
			for x := range g.Rect.Dx() {
				v := 0.0
				for i, w := range weights {
					v += w / sum * between(g, float64(x)+dx*float64(i-reach), float64(y)+dy*float64(i-reach))
				}
				out.SetGray(x, y, color.Gray{uint8(math.Round(v))})
			}
		}
		return out
	}
	return along(along(g, 1, 0), 0, 1)
}

// smudged covers a share of a code's symbol with a blot of grease or chalk, nowhere on a finder.
func smudged(g *image.Gray, code squareAt, share float64, seed uint64) *image.Gray {
	const dots = thermal / 72.0
	out := grey(g)
	random := rand.New(rand.NewPCG(seed, 11))
	module := code.module * dots
	quiet, symbol, finder := 4*module, code.side*dots-8*module, 8.5*module
	r := symbol * math.Sqrt(share/math.Pi)
	for {
		x, y := r+random.Float64()*(symbol-2*r), r+random.Float64()*(symbol-2*r)
		left, right, top, bottom := x-r < finder, x+r > symbol-finder, y-r < finder, y+r > symbol-finder
		if left && top || right && top || left && bottom {
			continue
		}
		shade := color.Gray{uint8(40 + 190*random.IntN(2))}
		for dy := -r; dy <= r; dy++ {
			for dx := -r; dx <= r; dx++ {
				if p := image.Pt(int(quiet+x+dx), int(quiet+y+dy)); dx*dx+dy*dy <= r*r && p.In(out.Rect) {
					out.SetGray(p.X, p.Y, shade)
				}
			}
		}
		return out
	}
}

func readByZbar(t *testing.T, zbar string, g *image.Gray) string {
	t.Helper()
	file := filepath.Join(t.TempDir(), "code.png")
	var b bytes.Buffer
	if err := png.Encode(&b, g); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(file, b.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	out, _ := exec.Command(zbar, "-q", "--raw", "--nodbus", "-Sdisable", "-Sqrcode.enable", file).Output() // an error: nothing read
	return strings.TrimSpace(string(out))
}

// readByZxing tries a picture as it is and shrunk, with both of the reader's ways to tell dark from light.
func readByZxing(g *image.Gray) string {
	for _, by := range []float64{1, 0.6, 0.4} {
		source := gozxing.NewLuminanceSourceFromImage(scaled(g, by))
		for _, b := range []gozxing.Binarizer{gozxing.NewHybridBinarizer(source), gozxing.NewGlobalHistgramBinarizer(source)} {
			bitmap, err := gozxing.NewBinaryBitmap(b)
			if err != nil {
				continue
			}
			found, err := qrcode.NewQRCodeReader().Decode(bitmap, map[gozxing.DecodeHintType]any{gozxing.DecodeHintType_TRY_HARDER: true})
			if err == nil {
				return found.GetText()
			}
		}
	}
	return ""
}

// scaled shrinks a picture, each pixel the mean of those that it stands for.
func scaled(g *image.Gray, by float64) *image.Gray {
	out := image.NewGray(image.Rect(0, 0, int(float64(g.Rect.Dx())*by), int(float64(g.Rect.Dy())*by)))
	draw.CatmullRom.Scale(out, out.Rect, g, g.Rect, draw.Src, nil)
	return out
}
