package pdf

import (
	"bytes"
	"compress/zlib"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/go-fonts/dejavu/dejavusanscondensed"
)

func testFont(tb testing.TB) *Font {
	tb.Helper()
	f, err := NewFont("DejaVuSansCondensed", dejavusanscondensed.TTF)
	if err != nil {
		tb.Fatal(err)
	}
	return f
}

var letter = Size{612, 792}

// begun is a document of so many pages, each with a text, numbered at its end.
func begun(tb testing.TB, w io.Writer, pages int) *Document {
	tb.Helper()
	d, f := New(w, letter, Info{Title: "A título", Language: "es", Made: time.Date(2026, 12, 1, 8, 0, 0, 0, time.UTC)}), testFont(tb)
	var feet []Place
	for n := range pages {
		d.AddPage()
		feet = append(feet, d.Reserve())
		d.Text(36, 100, fmt.Sprintf("Window %d, ½ ñandú", n+1), f, 12)
		d.Save()
		d.Translate(10, 10)
		d.SetLineWidth(3)
		d.Rect(0, 0, 50, 20, Stroked)
		d.Restore()
		d.Modules(300, 300, 2, []Run{{0, 0, 7}, {1, 2, 3}})
	}
	for n, foot := range feet {
		d.Fill(foot, func() { d.Text(36, 700, fmt.Sprintf("%d of %d", n+1, d.Pages()), f, 8) })
	}
	return d
}

// TestAnotherReaderReadsIt: text, pages, title, language and fonts as poppler finds them.
func TestAnotherReaderReadsIt(t *testing.T) {
	file := filepath.Join(t.TempDir(), "document.pdf")
	var b bytes.Buffer
	if err := begun(t, &b, 3).Close(); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(file, b.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		tool string
		args []string
		says []string
	}{
		{"pdftotext", []string{file, "-"}, []string{"Window 3, ½ ñandú", "1 of 3", "3 of 3"}},
		{"pdfinfo", []string{file}, []string{"A título", "Pages:           3", "612 x 792"}},
		{"pdffonts", []string{file}, []string{"AAAAAA+DejaVuSansCondensed", "CID TrueType", "yes yes yes"}},
	} {
		path, err := exec.LookPath(c.tool)
		if err != nil {
			if os.Getenv("CI") != "" {
				t.Fatal(err)
			}
			t.Skipf("no %s here", c.tool)
		}
		out, err := exec.Command(path, c.args...).CombinedOutput()
		if err != nil {
			t.Fatal(c.tool, err)
		}
		for _, want := range c.says {
			if !strings.Contains(string(out), want) {
				t.Errorf("%s says %q, without %q", c.tool, out, want)
			}
		}
		if strings.Contains(string(out), "Error") || strings.Contains(string(out), "Warning") {
			t.Errorf("%s complains: %s", c.tool, out)
		}
	}
}

// TestEveryObjectIsWhereTheTableSays: each offset leads to its object, and each reference to an object that there is.
func TestEveryObjectIsWhereTheTableSays(t *testing.T) {
	var b bytes.Buffer
	d := begun(t, &b, 4)
	if err := d.Close(); err != nil {
		t.Fatal(err)
	}
	for n, at := range d.offsets[1:] {
		if want := fmt.Sprintf("%d 0 obj\n", n+1); !bytes.HasPrefix(b.Bytes()[at:], []byte(want)) {
			t.Errorf("object %d isn't at %d: %.20q", n+1, at, b.Bytes()[at:])
		}
	}
	for _, m := range regexp.MustCompile(`(\d+) 0 R`).FindAllSubmatch(b.Bytes(), -1) {
		if n, _ := strconv.Atoi(string(m[1])); n < 1 || n >= len(d.offsets) {
			t.Errorf("%s leads nowhere", m[0])
		}
	}
	var again bytes.Buffer
	if err := begun(t, &again, 4).Close(); err != nil || !bytes.Equal(b.Bytes(), again.Bytes()) {
		t.Errorf("the same document drawn again is another: %v", err)
	}
}

// TestPagesLeaveAsTheyAreDrawn: before the end all pages but the last are written, and what the document keeps of them
// doesn't grow.
func TestPagesLeaveAsTheyAreDrawn(t *testing.T) {
	var b bytes.Buffer
	d, f := New(&b, letter, Info{}), testFont(t)
	var kept int
	for n := range 200 {
		d.AddPage()
		for range 50 {
			d.Text(36, 100, "Finished length 95 1/2 in", f, 12)
		}
		if left := bytes.Count(b.Bytes(), []byte("/Type /Page ")); left != n {
			t.Fatalf("on page %d %d have left", n+1, left)
		}
		switch n {
		case 1:
			kept = d.content.Cap() + d.zipped.Cap()
		case 199:
			if now := d.content.Cap() + d.zipped.Cap(); now > kept {
				t.Errorf("it kept %d bytes at the second page, %d at the last", kept, now)
			}
		}
	}
}

// TestThePenIsSetWhereItIsUsed: widths that are only measured write nothing, and what is set within a transformation is
// forgotten with it.
func TestThePenIsSetWhereItIsUsed(t *testing.T) {
	d, f := New(io.Discard, letter, Info{}), testFont(t)
	d.AddPage()
	if f.Width("Finished length", 12); d.content.Len() > 0 {
		t.Errorf("measured: %q", d.content.String())
	}
	d.SetLineWidth(3)
	d.Save()
	d.Line(0, 0, 1, 1)
	d.Restore()
	d.Line(0, 0, 1, 1)
	d.Line(0, 0, 1, 2)
	if got := strings.Count(d.content.String(), "3 w\n"); got != 2 {
		t.Errorf("the width is set %d times: %q", got, d.content.String())
	}
}

// TestNumbers: at most two decimals, the nearest, and no minus before a zero.
func TestNumbers(t *testing.T) {
	for n, want := range map[float64]string{0: "0", 12: "12", 0.5: "0.5", 0.056: "0.06", -3.25: "-3.25", -0.001: "0", 1234.999: "1235", -0.1: "-0.1"} {
		if got := number(n); got != want {
			t.Errorf("%g is written %q, want %q", n, got, want)
		}
	}
}

// failing takes so many bytes.
type failing struct{ left int }

var errFull = errors.New("full")

func (w *failing) Write(b []byte) (int, error) {
	if w.left -= len(b); w.left < 0 {
		return 0, errFull
	}
	return len(b), nil
}

// TestAWriterThatFails: its error is kept to the end, wherever it comes.
func TestAWriterThatFails(t *testing.T) {
	for _, left := range []int{0, 100, 2000} {
		if err := begun(t, &failing{left}, 3).Close(); !errors.Is(err, errFull) {
			t.Errorf("after %d bytes: %v", left, err)
		}
	}
}

// TestFontsThatAreNone: what isn't a font, or ends before it should, is an error and no panic.
func TestFontsThatAreNone(t *testing.T) {
	whole := dejavusanscondensed.TTF
	for _, n := range []int{0, 3, 12, 100, 1000, len(whole) / 2} {
		if _, err := NewFont("x", whole[:n]); err == nil {
			t.Errorf("%d bytes of a font are one", n)
		}
	}
}

// TestCompositeGlyphsBringTheirParts: an ñ is made of others, which come into the subset under their new numbers.
func TestCompositeGlyphsBringTheirParts(t *testing.T) {
	d, f := New(io.Discard, letter, Info{}), testFont(t)
	d.AddPage()
	d.Text(0, 0, "ñ", f, 10)
	u := d.fonts[0]
	file := u.subset()
	if len(u.glyphs) < 4 || len(file) > 20_000 {
		t.Errorf("%d glyphs in %d bytes", len(u.glyphs), len(file))
	}
	again, err := NewFont("x", readable(file, f))
	if err != nil {
		t.Fatal(err)
	}
	if n := int(be16(again.outline(1), 12)); n < 2 || n >= len(u.glyphs) {
		t.Errorf("its first part is glyph %d of %d", n, len(u.glyphs))
	}
}

// readable gives a subset the runes that it does without, so that it can be read again.
func readable(file []byte, f *Font) []byte {
	tables := map[string][]byte{"cmap": f.tables["cmap"]}
	for i := range int(be16(file, 4)) {
		entry := file[12+16*i:]
		tables[string(entry[:4])] = file[be32(entry, 8) : be32(entry, 8)+be32(entry, 12)]
	}
	return fontFile(tables)
}

// TestStreamsUnpack: what is packed is what was drawn.
func TestStreamsUnpack(t *testing.T) {
	var b bytes.Buffer
	if err := begun(t, &b, 1).Close(); err != nil {
		t.Fatal(err)
	}
	first := regexp.MustCompile(`(?s)/Length (\d+)>>\nstream\n`).FindSubmatchIndex(b.Bytes())
	length, _ := strconv.Atoi(string(b.Bytes()[first[2]:first[3]]))
	z, err := zlib.NewReader(bytes.NewReader(b.Bytes()[first[1] : first[1]+length]))
	if err != nil {
		t.Fatal(err)
	}
	page, err := io.ReadAll(z)
	for _, want := range []string{"BT /F0 12 Tf 36 692 Td <", "q\n1.00000 0.00000 0.00000 1.00000 10.00000 -10.00000 cm\n3 w\n0 792 50 -20 re\nS\nQ\n", "0 0 7 1.02 re\n2 1 3 1.02 re\nf\n"} {
		if err != nil || !strings.Contains(string(page), want) {
			t.Errorf("%v: %q lacks %q", err, page, want)
		}
	}
}
