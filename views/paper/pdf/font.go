package pdf

import (
	"encoding/binary"
	"errors"
	"fmt"
	"math"
)

// Font is a TrueType font: read once, for any number of documents.
type Font struct {
	name   string
	tables map[string][]byte
	glyphs []uint16 // by rune of the basic plane; 0: the font has none

	unitsPerEm int
	longOffset bool  // of glyphs
	metrics    int   // glyphs with a width of their own; those after them have the last one's
	advances   []int // of all glyphs, in thousandths of the size
}

var errFont = errors.New("pdf: no TrueType font that this program reads")

// NewFont reads a font, which documents call by a name of letters and digits.
func NewFont(name string, file []byte) (f *Font, err error) {
	defer func() {
		if recover() != nil { // shorter than it says
			f, err = nil, errFont
		}
	}()
	file = file[:len(file):len(file)]
	f = &Font{name: name, tables: map[string][]byte{}, glyphs: make([]uint16, 1<<16)}
	for i := range int(be16(file, 4)) {
		entry := file[12+16*i:]
		at, length := be32(entry, 8), be32(entry, 12)
		f.tables[string(entry[:4])] = file[at : at+length]
	}
	for _, name := range []string{"head", "hhea", "hmtx", "maxp", "cmap", "loca", "glyf"} {
		if f.tables[name] == nil {
			return nil, fmt.Errorf("%w: it lacks %s", errFont, name)
		}
	}
	f.unitsPerEm = int(be16(f.tables["head"], 18))
	f.longOffset = be16(f.tables["head"], 50) == 1
	f.metrics = int(be16(f.tables["hhea"], 34))
	f.advances = make([]int, be16(f.tables["maxp"], 4))
	for glyph := range f.advances {
		f.advances[glyph] = f.thousandths(int(be16(f.tables["hmtx"], 4*min(glyph, f.metrics-1))))
	}
	return f, f.readRunes()
}

// readRunes reads which glyph a rune has, from the table of the basic plane for Windows, format 4.
func (f *Font) readRunes() error {
	cmap := f.tables["cmap"]
	for i := range int(be16(cmap, 2)) {
		record := cmap[4+8*i:]
		if be16(record, 0) != 3 || be16(record, 2) != 1 {
			continue
		}
		if t := cmap[be32(record, 4):]; be16(t, 0) == 4 {
			f.readSegments(t)
			return nil
		}
	}
	return fmt.Errorf("%w: it has no runes", errFont)
}

func (f *Font) readSegments(t []byte) {
	twice := int(be16(t, 6)) // of the segments
	ends, starts := 14, 16+twice
	deltas, offsets := starts+twice, starts+2*twice
	for s := 0; s < twice; s += 2 {
		first, last := int(be16(t, starts+s)), int(be16(t, ends+s))
		offset := int(be16(t, offsets+s))
		for r := first; r <= last && r < 0xFFFF; r++ {
			glyph := uint16(r)
			if offset != 0 {
				if glyph = be16(t, offsets+s+offset+2*(r-first)); glyph == 0 {
					continue
				}
			}
			f.glyphs[r] = glyph + be16(t, deltas+s)
		}
	}
}

// glyphOf returns a rune's glyph; 0, which every font draws as a box, where it has none.
func (f *Font) glyphOf(r rune) uint16 {
	if r < 0 || int(r) >= len(f.glyphs) {
		return 0
	}
	return f.glyphs[r]
}

func (f *Font) thousandths(units int) int {
	return int(math.Round(float64(units) * 1000 / float64(f.unitsPerEm)))
}

// Width is that of a text at a size, in points.
func (f *Font) Width(text string, size float64) float64 {
	sum := 0
	for _, r := range text {
		sum += f.advances[f.glyphOf(r)]
	}
	return float64(sum) * size / 1000
}

// outline is a glyph as the font draws it, empty for a space.
func (f *Font) outline(glyph uint16) []byte {
	loca := f.tables["loca"]
	if f.longOffset {
		return f.tables["glyf"][be32(loca, 4*int(glyph)):be32(loca, 4*int(glyph)+4)]
	}
	return f.tables["glyf"][2*int(be16(loca, 2*int(glyph))) : 2*int(be16(loca, 2*int(glyph)+2))]
}

func be16(b []byte, at int) uint16 { return binary.BigEndian.Uint16(b[at:]) }
func be32(b []byte, at int) uint32 { return binary.BigEndian.Uint32(b[at:]) }
