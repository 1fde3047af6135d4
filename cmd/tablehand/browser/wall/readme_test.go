package wall

import (
	"bytes"
	"context"
	"flag"
	"image/png"
	"os"
	"path/filepath"
	"testing"

	"github.com/chromedp/cdproto/cdp"
	cdppage "github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"

	"tablehand/cmd/tablehand/browser"
	"tablehand/cmd/tablehand/shoptest"
)

var update = flag.Bool("update", false, "take the README's pictures again")

// TestReadmePictures takes the README's pictures from the demo's week: the wall, and a bench with a panel at work. With
// -update they are kept; without it they have to be takeable, and those that are kept as large.
func TestReadmePictures(t *testing.T) {
	c := browser.Start(t)
	dir := filepath.Join(t.TempDir(), "demo")
	b := c.SignIn(t, shoptest.ServeBy(t, dir, []string{"demo", "--listen", "127.0.0.1:0", "--data", dir}))
	for _, shot := range []struct {
		name, path    string
		width, height int64
		then          string // a link of the page that is followed
		shows         string
	}{
		{"wall", "/screen?language=en", 1920, 1080, "", "#screen"},
		{"bench", "/station/pull_up?language=en", 1024, 768, ".at-work a", `article[data-state="at_work"] #work`},
	} {
		p := b.Tab(t, shot.width, shot.height, shot.path)
		if shot.then != "" {
			p.Open(browser.Read[string](p, "document.querySelector('"+shot.then+"').getAttribute('href')"))
		}
		p.Wait("document.querySelector('" + shot.shows + "')")
		file := filepath.Join("..", "..", "..", "..", "testdata", "pictures", shot.name+".png")
		got := window(p, float64(shot.width), float64(shot.height))
		if *update {
			if err := os.WriteFile(file, got, 0o644); err != nil {
				t.Fatal(err)
			}
		}
		kept, err := os.ReadFile(file)
		if err != nil {
			t.Fatalf("%v: go test ./cmd/tablehand/browser/wall -run ReadmePictures -update takes it", err)
		}
		now, err := png.DecodeConfig(bytes.NewReader(got))
		if err != nil {
			t.Fatal(err)
		}
		before, err := png.DecodeConfig(bytes.NewReader(kept))
		if err != nil || before.Width != now.Width || before.Height != now.Height {
			t.Errorf("%s is %d × %d px, now it is %d × %d (%v): take it again with -update", shot.name, before.Width, before.Height, now.Width, now.Height, err)
		}
	}
}

// window takes a picture of what a window shows, at two thirds of its size.
func window(p *browser.Tab, width, height float64) []byte {
	p.T.Helper()
	got, err := chromedp.Run(p.Ctx, func(ctx context.Context, t *chromedp.Target) ([]byte, error) {
		res, err := cdp.Call(ctx, t, cdppage.CaptureScreenshot, cdppage.CaptureScreenshotParams{Format: cdppage.CaptureScreenshotFormatPng,
			Clip: &cdppage.Viewport{Width: width, Height: height, Scale: 2.0 / 3}})
		return res.Data, err
	})
	if err != nil {
		p.T.Fatalf("picture: %v", err)
	}
	return got
}
