package pages

import (
	"fmt"
	"html/template"
	"image"
	"image/color"
	"image/png"
	"maps"
	"os"
	"path/filepath"
	"slices"

	"golang.org/x/image/draw"
	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gomedium"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/math/fixed"
)

// How pictures lie on a sheet, in px: as wide as letters on them can still be read, whatever the page is.
const (
	sheetHeight = 1400
	cellHeight  = 1100 // what lies below is left to the picture itself
	gap         = 16
	labelHeight = 26
)

// cellWidths are how wide a page of a width is shown.
var cellWidths = map[int64]int{360: 250, 768: 380, 1280: 500, 1920: 590}

// laySheets lays pictures out: a sheet for each page by day and one by night, with a row for each language and the
// widths side by side; where that gets too high, a sheet for each language. The index has every picture behind its place.
func laySheets(dir string, all []capture) error {
	label, err := labelFace()
	if err != nil {
		return err
	}
	bySheet := map[string][]capture{}
	for _, shot := range all {
		name := shot.page + "-" + shot.look.Scheme()
		bySheet[name] = append(bySheet[name], shot)
	}
	var sheets []string
	keep := func(name string, rows ...*image.RGBA) error {
		sheets = append(sheets, "sheet-"+name+".png")
		return writePNG(filepath.Join(dir, "sheet-"+name+".png"), stacked(rows))
	}
	for _, name := range slices.Sorted(maps.Keys(bySheet)) {
		var rows []*image.RGBA
		var languages []string
		height := 0
		for shots := bySheet[name]; len(shots) > 0; {
			language := shots[0].look.Language
			n := slices.IndexFunc(shots, func(c capture) bool { return c.look.Language != language })
			if n < 0 {
				n = len(shots)
			}
			row, err := rowOf(dir, shots[:n], label)
			if err != nil {
				return err
			}
			rows, languages, height, shots = append(rows, row), append(languages, language), height+row.Bounds().Dy(), shots[n:]
		}
		if height <= sheetHeight {
			if err := keep(name, rows...); err != nil {
				return err
			}
			continue
		}
		for i, row := range rows {
			if err := keep(name+"-"+languages[i], row); err != nil {
				return err
			}
		}
	}
	return writeIndex(dir, all, sheets)
}

// rowOf lays the widths of one page in one language side by side.
func rowOf(dir string, shots []capture, label font.Face) (*image.RGBA, error) {
	var cells []*image.RGBA
	width, height := gap, 0
	for _, shot := range shots {
		cell, err := cellOf(filepath.Join(dir, shot.file()), cellWidths[shot.look.Width])
		if err != nil {
			return nil, err
		}
		cells = append(cells, cell)
		width += cell.Bounds().Dx() + gap
		height = max(height, cell.Bounds().Dy())
	}
	row := image.NewRGBA(image.Rect(0, 0, max(width, 700), height+labelHeight+gap))
	draw.Draw(row, row.Bounds(), image.NewUniform(color.Gray{0x80}), image.Point{}, draw.Src)
	x := gap
	for i, cell := range cells {
		draw.Draw(row, cell.Bounds().Add(image.Pt(x, labelHeight)), cell, image.Point{}, draw.Src)
		text := fmt.Sprint(shots[i].look.Width)
		if i == 0 {
			text = fmt.Sprintf("%s · %s", shots[i].page, shots[i].look)
		}
		pen := font.Drawer{Dst: row, Src: image.White, Face: label, Dot: fixed.P(x, labelHeight-8)}
		pen.DrawString(text)
		x += cell.Bounds().Dx() + gap
	}
	return row, nil
}

// cellOf reads a picture and makes it as wide as its place on the sheet, cut off where it is too high.
func cellOf(path string, width int) (*image.RGBA, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	whole, err := png.Decode(f)
	if err != nil {
		return nil, err
	}
	from := whole.Bounds()
	height := from.Dy() * width / from.Dx()
	if height > cellHeight {
		from.Max.Y = from.Min.Y + cellHeight*from.Dx()/width
		height = cellHeight
	}
	cell := image.NewRGBA(image.Rect(0, 0, width, height))
	draw.CatmullRom.Scale(cell, cell.Bounds(), whole, from, draw.Src, nil)
	return cell, nil
}

// stacked lays rows under each other.
func stacked(rows []*image.RGBA) *image.RGBA {
	var size image.Point
	for _, row := range rows {
		size = image.Pt(max(size.X, row.Bounds().Dx()), size.Y+row.Bounds().Dy())
	}
	sheet := image.NewRGBA(image.Rectangle{Max: size})
	draw.Draw(sheet, sheet.Bounds(), image.NewUniform(color.Gray{0x80}), image.Point{}, draw.Src)
	y := 0
	for _, row := range rows {
		draw.Draw(sheet, row.Bounds().Add(image.Pt(0, y)), row, image.Point{}, draw.Src)
		y += row.Bounds().Dy()
	}
	return sheet
}

func labelFace() (font.Face, error) {
	parsed, err := opentype.Parse(gomedium.TTF)
	if err != nil {
		return nil, err
	}
	return opentype.NewFace(parsed, &opentype.FaceOptions{Size: 16, DPI: 72})
}

func writePNG(path string, picture image.Image) error {
	f, err := os.Create(path)
	if err != nil {
		return err
	}
	quick := png.Encoder{CompressionLevel: png.BestSpeed}
	if err := quick.Encode(f, picture); err != nil {
		f.Close()
		return err
	}
	return f.Close()
}

// index is the contact sheet to walk through in a browser. Radio buttons, with no script, choose what is shown.
var index = template.Must(template.New("index").Parse(`<!doctype html><html lang="en"><meta charset="utf-8"><title>Every page</title>
<style>
body { font: 16px/1.4 sans-serif; margin: 1rem; background: #808080; color: #fff }
a { color: #fff } nav, fieldset { margin: 0 0 1rem; border: 0; padding: 0 } nav a, label { margin-right: 1em }
section { margin: 0 0 2rem } .row { display: flex; gap: 12px; align-items: flex-start; overflow-x: auto }
figure { margin: 0; flex: none } img { display: block; width: 100%; background: #fff } figcaption { font-size: .8rem }
.w360 { width: 250px } .w768 { width: 380px } .w1280 { width: 500px } .w1920 { width: 590px }
{{range $c := .Choices}}body:has(#only-{{$c}}:checked) figure:not(.{{$c}}) { display: none }
{{end}}</style>
<h1>Every page</h1>
<fieldset><label><input type="radio" name="only" checked> all</label>{{range .Choices}}<label><input type="radio" name="only" id="only-{{.}}"> {{.}}</label>{{end}}</fieldset>
<p>Sheets: {{range .Sheets}}<a href="{{.}}">{{.}}</a> {{end}}</p>
<nav>{{range .Pages}}<a href="#{{.Name}}">{{.Name}}</a> {{end}}</nav>
{{range .Pages}}<section id="{{.Name}}"><h2>{{.Name}}</h2><div class="row">{{range .Shots}}<figure class="{{.Language}} w{{.Width}} {{.Scheme}}"><a href="{{.File}}"><img src="{{.File}}" loading="lazy" alt="{{.Label}}"></a><figcaption>{{.Label}}</figcaption></figure>{{end}}</div></section>
{{end}}`))

type indexShot struct {
	Language, Scheme, File, Label string
	Width                         int64
}

type indexPage struct {
	Name  string
	Shots []indexShot
}

func writeIndex(dir string, all []capture, sheets []string) error {
	var pages []indexPage
	var choices []string
	note := func(choice string) string {
		if !slices.Contains(choices, choice) {
			choices = append(choices, choice)
		}
		return choice
	}
	for _, c := range all {
		if len(pages) == 0 || pages[len(pages)-1].Name != c.page {
			pages = append(pages, indexPage{Name: c.page})
		}
		note(fmt.Sprintf("w%d", c.look.Width))
		last := &pages[len(pages)-1]
		last.Shots = append(last.Shots, indexShot{note(c.look.Language), note(c.look.Scheme()), c.file(), c.look.String(), c.look.Width})
	}
	slices.Sort(choices)
	f, err := os.Create(filepath.Join(dir, "index.html"))
	if err != nil {
		return err
	}
	data := struct {
		Pages           []indexPage
		Choices, Sheets []string
	}{pages, choices, sheets}
	if err := index.Execute(f, data); err != nil {
		f.Close()
		return err
	}
	return f.Close()
}
