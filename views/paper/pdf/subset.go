package pdf

import (
	"cmp"
	"encoding/binary"
	"fmt"
	"slices"
	"strings"
)

// usedFont is a font as a document uses it: with the glyphs of its texts, numbered as they come.
type usedFont struct {
	*Font
	numbers map[uint16]uint16 // by glyph of the font
	glyphs  []uint16
	runes   []rune // that they were set for; those that are only parts of others have none
}

// use returns the place of a font among the document's.
func (d *Document) use(f *Font) int {
	for i, u := range d.fonts {
		if u.Font == f {
			return i
		}
	}
	d.fonts = append(d.fonts, &usedFont{Font: f, numbers: map[uint16]uint16{0: 0}, glyphs: []uint16{0}, runes: []rune{0}})
	return len(d.fonts) - 1
}

// number is that of a rune's glyph in the document.
func (u *usedFont) number(r rune) uint16 {
	glyph := u.glyphOf(r)
	n, known := u.numbers[glyph]
	if !known {
		n = u.add(glyph)
		u.runes = append(u.runes, r)
	}
	return n
}

func (u *usedFont) add(glyph uint16) uint16 {
	n := uint16(len(u.glyphs))
	u.numbers[glyph] = n
	u.glyphs = append(u.glyphs, glyph)
	return n
}

// Text writes at a baseline from (x, y).
func (d *Document) Text(x, y float64, text string, f *Font, size float64) {
	i := d.use(f)
	d.filledWith(d.text)
	d.content.WriteString("BT ")
	if d.set.font != i || d.set.size != size {
		d.set.font, d.set.size = i, size
		fmt.Fprintf(&d.content, "/F%d %s Tf ", i, number(size))
	}
	b := appendNumber(d.scratch[:0], x)
	b = append(appendNumber(append(b, ' '), d.height-y), " Td <"...)
	const digits = "0123456789ABCDEF"
	for _, r := range text {
		n := d.fonts[i].number(r)
		b = append(b, digits[n>>12], digits[n>>8&15], digits[n>>4&15], digits[n&15])
	}
	d.scratch = append(b, "> Tj ET\n"...)
	d.content.Write(d.scratch)
}

// embed writes a font and returns its object.
func (d *Document) embed(u *usedFont) int {
	own, descendant, descriptor, file, runes := d.reserve(), d.reserve(), d.reserve(), d.reserve(), d.reserve()
	name := subsetTag + u.name
	set := len(u.runes) // before the parts of glyphs come to it
	cut := u.subset()
	d.stream(file, fmt.Sprintf("/Length1 %d ", len(cut)), cut)
	d.object(own, "<</Type /Font /Subtype /Type0 /BaseFont /%s /Encoding /Identity-H /DescendantFonts [%d 0 R] /ToUnicode %d 0 R>>", name, descendant, runes)
	var widths strings.Builder
	for _, glyph := range u.glyphs[:set] {
		fmt.Fprintf(&widths, "%d ", u.advances[glyph])
	}
	d.object(descendant, "<</Type /Font /Subtype /CIDFontType2 /BaseFont /%s /CIDSystemInfo <</Registry (Adobe) /Ordering (Identity) /Supplement 0>>"+
		" /FontDescriptor %d 0 R /CIDToGIDMap /Identity /W [0 [%s]]>>", name, descriptor, widths.String())
	head, hhea := u.tables["head"], u.tables["hhea"]
	signed := func(table []byte, at int) int { return u.thousandths(int(int16(be16(table, at)))) }
	const symbolic = 4
	ascent := signed(hhea, 4)
	d.object(descriptor, "<</Type /FontDescriptor /FontName /%s /Flags %d /FontBBox [%d %d %d %d] /ItalicAngle 0 /Ascent %d /Descent %d /CapHeight %d /StemV 80 /FontFile2 %d 0 R>>",
		name, symbolic, signed(head, 36), signed(head, 38), signed(head, 40), signed(head, 42), ascent, signed(hhea, 6), ascent, file)
	d.stream(runes, "", u.toUnicode())
	return own
}

// subsetTag begins a font's name where only some of its glyphs are embedded.
const subsetTag = "AAAAAA+"

// toUnicode says which text each glyph stands for, for those who search and copy.
func (u *usedFont) toUnicode() []byte {
	b := []byte("/CIDInit /ProcSet findresource begin\n12 dict begin\nbegincmap\n/CIDSystemInfo <</Registry (Adobe) /Ordering (UCS) /Supplement 0>> def\n" +
		"/CMapName /Adobe-Identity-UCS def\n/CMapType 2 def\n1 begincodespacerange\n<0000> <FFFF>\nendcodespacerange\n")
	const mostAList = 100
	n := 1
	for chunk := range slices.Chunk(u.runes[1:], mostAList) {
		b = fmt.Appendf(b, "%d beginbfchar\n", len(chunk))
		for _, r := range chunk {
			b = fmt.Appendf(b, "<%04X> <%04X>\n", n, r)
			n++
		}
		b = append(b, "endbfchar\n"...)
	}
	return append(b, "endcmap\nCMapName currentdict /CMap defineresource pop\nend\nend\n"...)
}

// subset is a font file of the glyphs that are used and those that they are made of.
func (u *usedFont) subset() []byte {
	var glyf, loca, hmtx []byte
	for i := 0; i < len(u.glyphs); i++ { // grows as it goes
		loca = binary.BigEndian.AppendUint32(loca, uint32(len(glyf)))
		glyf = append(glyf, u.renumbered(u.outline(u.glyphs[i]))...)
		glyf = append(glyf, make([]byte, -len(glyf)&3)...)
		hmtx = append(hmtx, u.metric(u.glyphs[i])...)
	}
	loca = binary.BigEndian.AppendUint32(loca, uint32(len(glyf)))
	with := func(table string, at int, value uint16) []byte {
		own := slices.Clone(u.tables[table])
		binary.BigEndian.PutUint16(own[at:], value)
		return own
	}
	count := uint16(len(u.glyphs))
	head := with("head", 50, 1)
	clear(head[8:12]) // the sum of the whole file, which PDF doesn't look at
	tables := map[string][]byte{"head": head, "hhea": with("hhea", 34, count), "maxp": with("maxp", 4, count),
		"hmtx": hmtx, "loca": loca, "glyf": glyf, "cvt ": u.tables["cvt "], "fpgm": u.tables["fpgm"], "prep": u.tables["prep"]}
	return fontFile(tables)
}

// metric is a glyph's width and left bearing, as the font has them.
func (u *usedFont) metric(glyph uint16) []byte {
	hmtx, i := u.tables["hmtx"], int(glyph)
	if i < u.metrics {
		return hmtx[4*i : 4*i+4]
	}
	bearing := 4*u.metrics + 2*(i-u.metrics)
	return slices.Concat(hmtx[4*u.metrics-4:4*u.metrics-2], hmtx[bearing:bearing+2])
}

// What a part of a composite glyph says of itself: how large its numbers are, and whether more follow.
const (
	wordArguments = 1 << 0
	oneScale      = 1 << 3
	moreParts     = 1 << 5
	twoScales     = 1 << 6
	fourScales    = 1 << 7
)

// renumbered is an outline whose parts, where it is made of other glyphs, have the document's numbers.
func (u *usedFont) renumbered(outline []byte) []byte {
	if len(outline) == 0 || int16(be16(outline, 0)) >= 0 {
		return outline
	}
	own := slices.Clone(outline)
	for at, flags := 10, uint16(moreParts); flags&moreParts != 0; {
		flags = be16(own, at)
		glyph := be16(own, at+2)
		n, known := u.numbers[glyph]
		if !known {
			n = u.add(glyph)
		}
		binary.BigEndian.PutUint16(own[at+2:], n)
		at += 6
		if flags&wordArguments != 0 {
			at += 2
		}
		switch {
		case flags&oneScale != 0:
			at += 2
		case flags&twoScales != 0:
			at += 4
		case flags&fourScales != 0:
			at += 8
		}
	}
	return own
}

// fontFile puts tables behind a directory of them.
func fontFile(tables map[string][]byte) []byte {
	var names []string
	for name, table := range tables {
		if len(table) > 0 {
			names = append(names, name)
		}
	}
	slices.SortFunc(names, cmp.Compare[string])
	n, log := len(names), 0
	for 2<<log <= n {
		log++
	}
	file := binary.BigEndian.AppendUint32(nil, 0x00010000)
	for _, v := range []int{n, 16 << log, log, 16*n - 16<<log} {
		file = binary.BigEndian.AppendUint16(file, uint16(v))
	}
	at := 12 + 16*n
	for _, name := range names {
		file = append(file, name...)
		for _, v := range []uint32{checksum(tables[name]), uint32(at), uint32(len(tables[name]))} {
			file = binary.BigEndian.AppendUint32(file, v)
		}
		at += (len(tables[name]) + 3) &^ 3
	}
	for _, name := range names {
		file = append(file, tables[name]...)
		file = append(file, make([]byte, -len(file)&3)...)
	}
	return file
}

func checksum(table []byte) (sum uint32) {
	for word := range slices.Chunk(table, 4) {
		var padded [4]byte
		copy(padded[:], word)
		sum += binary.BigEndian.Uint32(padded[:])
	}
	return sum
}
