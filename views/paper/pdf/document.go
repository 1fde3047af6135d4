// Package pdf writes PDF documents as they are drawn: a page leaves for the writer when the next one begins, so that a
// document of thousands of pages takes no more memory than one of its pages. Text is set in TrueType fonts, of which a
// document keeps the glyphs that it uses. Lengths are points; y runs down from the page's top.
//
// It follows ISO 32000-1 (PDF 1.7).
package pdf

import (
	"bytes"
	"compress/zlib"
	"fmt"
	"io"
	"time"
)

// Size is a page's, in points.
type Size struct{ Wd, Ht float64 }

// Info is what a document says of itself.
type Info struct {
	Title    string
	Language string // BCP 47
	Made     time.Time
}

// Objects that stand at the end of a file, but are named from its first page on.
const (
	catalog = 1 + iota
	pageTree
	resources
	information
	firstFree
)

// Document is a document being written. An error of its writer is kept for Close.
type Document struct {
	size Size
	info Info

	w       io.Writer
	err     error
	written int64
	offsets []int64 // of objects, by number; 0 of one that isn't written yet
	pages   []int   // their objects
	zip     *zlib.Writer
	zipped  bytes.Buffer

	canvas
	open   bool    // a page is
	places []Place // on the open page
	fonts  []*usedFont
}

// New begins a document whose pages have a size.
func New(w io.Writer, size Size, info Info) *Document {
	d := &Document{size: size, info: info, w: w, offsets: make([]int64, firstFree)}
	d.zip, _ = zlib.NewWriterLevel(&d.zipped, zlib.BestSpeed)
	d.canvas = canvas{height: size.Ht, wanted: pen{width: 1}}
	d.put("%s", "%PDF-1.7\n%\xe2\xe3\xcf\xd3\n")
	return d
}

// put writes what stands in the file as it is.
func (d *Document) put(format string, args ...any) {
	if d.err != nil {
		return
	}
	n, err := fmt.Fprintf(d.w, format, args...)
	d.written += int64(n)
	d.err = err
}

// reserve takes a number for an object that is written later.
func (d *Document) reserve() int {
	d.offsets = append(d.offsets, 0)
	return len(d.offsets) - 1
}

// object writes an object.
func (d *Document) object(number int, format string, args ...any) {
	d.offsets[number] = d.written
	d.put("%d 0 obj\n"+format+"\nendobj\n", append([]any{number}, args...)...)
}

// stream writes an object of a dictionary and data, which it packs.
func (d *Document) stream(number int, dictionary string, data []byte) {
	d.zipped.Reset()
	d.zip.Reset(&d.zipped)
	_, _ = d.zip.Write(data) // into memory
	_ = d.zip.Close()
	d.offsets[number] = d.written
	d.put("%d 0 obj\n<<%s/Filter /FlateDecode /Length %d>>\nstream\n", number, dictionary, d.zipped.Len())
	if d.err == nil {
		n, err := d.w.Write(d.zipped.Bytes())
		d.written += int64(n)
		d.err = err
	}
	d.put("\nendstream\nendobj\n")
}

// AddPage begins a page. The one before it leaves.
func (d *Document) AddPage() {
	d.endPage()
	d.open = true
	d.canvas.begin()
}

// Pages is how many pages there are.
func (d *Document) Pages() int {
	if d.open {
		return len(d.pages) + 1
	}
	return len(d.pages)
}

func (d *Document) endPage() {
	if !d.open {
		return
	}
	content, page := d.reserve(), d.reserve()
	d.stream(content, "", d.canvas.content.Bytes())
	own := ""
	if len(d.places) > 0 {
		for _, p := range d.places {
			own += fmt.Sprintf("/P%d %d 0 R ", p, p)
		}
		own = "/Resources <</Font " + fmt.Sprint(resources) + " 0 R /XObject <<" + own + ">>>> "
	}
	d.object(page, "<</Type /Page /Parent %d 0 R %s/Contents %d 0 R>>", pageTree, own, content)
	d.pages = append(d.pages, page)
	d.open, d.places = false, nil
}

// Place is where something stands that is known only at the document's end: which sheet of how many.
type Place int

// Reserve keeps a place on the page, for Fill.
func (d *Document) Reserve() Place {
	p := Place(d.reserve())
	d.places = append(d.places, p)
	fmt.Fprintf(&d.canvas.content, "/P%d Do\n", p)
	return p
}

// Fill draws what stands at a place, on the whole page's coordinates. All pages must be drawn by then.
func (d *Document) Fill(p Place, draw func()) {
	d.endPage()
	d.canvas.begin()
	draw()
	d.stream(int(p), fmt.Sprintf("/Type /XObject /Subtype /Form /BBox [0 0 %s %s] /Resources <</Font %d 0 R>> ",
		number(d.size.Wd), number(d.size.Ht), resources), d.canvas.content.Bytes())
}

// Close ends the document. The error is the writer's.
func (d *Document) Close() error {
	d.endPage()
	named := ""
	for i, f := range d.fonts {
		named += fmt.Sprintf("/F%d %d 0 R ", i, d.embed(f))
	}
	d.object(resources, "<<%s>>", named)
	d.object(pageTree, "<</Type /Pages /Kids %s /Count %d /MediaBox [0 0 %s %s] /Resources <</Font %d 0 R>>>>",
		references(d.pages), len(d.pages), number(d.size.Wd), number(d.size.Ht), resources)
	d.object(catalog, "<</Type /Catalog /Pages %d 0 R /Lang %s>>", pageTree, textString(d.info.Language))
	made := d.info.Made.UTC().Format("D:20060102150405Z")
	d.object(information, "<</Title %s /CreationDate (%s) /ModDate (%s)>>", textString(d.info.Title), made, made)
	table := d.written
	d.put("xref\n0 %d\n0000000000 65535 f \n", len(d.offsets))
	for _, at := range d.offsets[1:] {
		d.put("%010d 00000 n \n", at)
	}
	d.put("trailer\n<</Size %d /Root %d 0 R /Info %d 0 R>>\nstartxref\n%d\n%%%%EOF\n", len(d.offsets), catalog, information, table)
	return d.err
}

// references writes a list of objects.
func references(numbers []int) string {
	b := []byte("[")
	for _, n := range numbers {
		b = fmt.Appendf(b, "%d 0 R ", n)
	}
	return string(append(b, ']'))
}
