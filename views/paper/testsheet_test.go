package paper

import (
	"bytes"
	"image"
	"image/color"
	"image/png"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"tablehand/views/i18n"
)

func testSheetDoc(sheet Sheet) TestSheetDoc {
	return TestSheetDoc{Say: i18n.For("en"), Sheet: sheet, Address: "http://192.168.100.120:8080", Shop: "Saltmarsh Workroom",
		Made: time.Date(2026, 11, 25, 9, 0, 0, 0, time.UTC)}
}

// TestTestSheetIsToScale measures what was printed: another program's picture of the page at 254 dots an inch has lines
// of 3 in and of 75 mm, and another reader reads every square on it.
func TestTestSheetIsToScale(t *testing.T) {
	toPNG, zbar := tool(t, "pdftoppm"), tool(t, "zbarimg")
	for _, sheet := range []Sheet{Labels, Letter, A4} {
		t.Run(string(sheet), func(t *testing.T) {
			file := filepath.Join(t.TempDir(), "sheet")
			f, err := os.Create(file + ".pdf")
			if err != nil {
				t.Fatal(err)
			}
			p, err := writeTestSheet(f, testSheetDoc(sheet))
			if err != nil {
				t.Fatal(err)
			}
			f.Close()
			for _, w := range p.log {
				if w.x < 0 || w.x+w.width > sheets[sheet].Wd || w.y > sheets[sheet].Ht || w.size < smallest {
					t.Errorf("%q lies at %v, %v, %v wide, in %v points", w.text, w.x, w.y, w.width, w.size)
				}
			}
			if out, err := exec.Command(toPNG, "-r", "254", "-png", "-singlefile", "-gray", file+".pdf", file).CombinedOutput(); err != nil {
				t.Fatalf("%v\n%s", err, out)
			}
			lines := runsOf(t, file+".png")
			for what, dots := range map[string]int{"3 in": 762, "75 mm": 750} {
				if !lines[dots] && !lines[dots+1] && !lines[dots+2] {
					t.Errorf("no line of %s on the page", what)
				}
			}
			out, err := exec.Command(zbar, "-q", "--raw", "--nodbus", "-Sdisable", "-Sqrcode.enable", file+".png").Output()
			if err != nil || strings.Count(string(out), "HTTP://192.168.100.120:8080/HELLO") != 3 {
				t.Errorf("the squares are read as %q, %v", out, err)
			}
		})
	}
}

// runsOf are the lengths in dots of the longest dark run of each row.
func runsOf(t *testing.T, file string) map[int]bool {
	t.Helper()
	raw, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	picture, err := png.Decode(bytes.NewReader(raw))
	if err != nil {
		t.Fatal(err)
	}
	longest := map[int]bool{}
	b := picture.Bounds()
	for y := b.Min.Y; y < b.Max.Y; y++ {
		longest[longestDark(picture, y)] = true
	}
	return longest
}

func longestDark(picture image.Image, y int) (most int) {
	b, run := picture.Bounds(), 0
	for x := b.Min.X; x < b.Max.X; x++ {
		if color.GrayModel.Convert(picture.At(x, y)).(color.Gray).Y > 160 {
			run = 0
			continue
		}
		run++
		most = max(most, run)
	}
	return most
}
