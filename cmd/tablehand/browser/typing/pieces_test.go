package typing

import (
	"bytes"
	"fmt"
	"image"
	"image/jpeg"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"tablehand/cmd/tablehand/browser"
	"tablehand/cmd/tablehand/shoptest"
)

// TestBrowserTypesPieces types a cushion and a repair by keys alone, takes the repair in with a photograph, prints its tag, and works
// both off.
func TestBrowserTypesPieces(t *testing.T) {
	c := browser.Start(t)
	s := shoptest.Open(t)
	p := c.SignIn(t, s).Tab(t, 1280, 900, "/taking")
	p.Back(`[name="order"]`)
	p.TypeIn("order", "OWN-1")
	p.TypeIn("customer", "Saltmarsh Inn")
	p.TypeIn("sidemark", "")
	p.TypeIn("due", "12182026")
	p.TypeIn("fabrics.0.id", "canvas")
	p.TypeIn("usable_width", "54")
	p.TypeIn("vertical_repeat", "")
	p.TypeIn("fabrics.0.bolts.0.id", "C1")
	p.TypeIn(".length", "12 yd")
	p.Keys(kb.F9)
	p.TypeIn(".piece", "")
	p.TypeIn(".text", "Bench seat")
	p.TypeIn(".quantity", "2")
	for _, f := range [][2]string{{".sizes.width", "22"}, {".sizes.depth", "20"}, {".sizes.thickness", "3"}, {".sizes.welt", "1 1/2"}} {
		p.TypeIn(f[0], f[1])
	}
	p.Wait(`[...document.querySelectorAll('#results .numbers h3')].some((h) => h.textContent.includes("Bench seat"))`)
	if at := p.Focus(); !strings.HasSuffix(at, ".fabrics.0.fabric") {
		t.Errorf("behind the sizes comes %s", at)
	}
	p.TypeIn(".fabric", "") // past the cloth, which is worked out
	p.Keys(kb.F9)
	p.Keys("r") // a repair
	if hidden := browser.Read[bool](p, `document.activeElement.closest(".group").querySelector('[name$=".sizes.depth"]').disabled`); !hidden {
		t.Error("a repair is asked for a depth")
	}
	p.TypeIn(".piece", "")
	p.TypeIn(".text", "Torn hem")
	p.TypeIn(".quantity", "")
	p.TypeIn(".fabric", "")
	p.Keys("s") // sewing
	p.Wait(`document.activeElement.closest(".way-of").querySelectorAll("select").length === 2`)
	p.TypeIn(".route.0.station", "")
	p.Keys("check")
	p.Wait(`document.getElementById("taking").dataset.errors === "0" && document.getElementById("source").value.includes("route: [sewing, packing]")`)
	p.Keys(kb.F2)
	p.Wait(`document.querySelectorAll("#sheet .group.pieces").length === 3`)
	p.TypeIn(".piece", "")
	p.TypeIn(".text", "Torn lining")
	p.Wait(`document.getElementById("source").value.includes("text: Torn lining")`)
	shot(t, p, "form", 1280, 768, 360, 320)
	p.Keys("\r", chromedp.ModifierCtrl)
	p.Wait(`location.pathname === "/orders/OWN-1"`)

	if own := p.Sees("#own"); !strings.Contains(own, "2 pieces still to come") {
		t.Errorf("the order's page says %q", own)
	}
	photo := filepath.Join(t.TempDir(), "hem.jpg")
	if err := os.WriteFile(photo, aPhoto(t), 0o600); err != nil {
		t.Fatal(err)
	}
	p.Do(chromedp.SetUploadFiles(chromedp.CSS(`#own-photo-0`), []string{photo}), chromedp.Click(chromedp.CSS(`#own li:first-child button`)))
	p.Wait(`document.querySelector(".said")?.textContent.includes("on record")`)
	if own := p.Sees("#own"); !strings.Contains(own, "1 piece still to come") || !strings.Contains(own, "Came in") {
		t.Errorf("after it came in the page says %q", own)
	}
	shot(t, p, "order", 1280, 360)
	tag := browser.Read[string](p, `document.querySelector("#own a.button").getAttribute("href")`)
	if got := s.Send(t, shoptest.Request{As: s.Office, Do: "GET " + tag}); got.Status != 200 || !strings.HasPrefix(string(got.Body), "%PDF") {
		t.Errorf("its tag: %d", got.Status)
	}
	s.Ask(t, shoptest.Request{As: s.Office, Do: "POST /api/orders/OWN-1/release", Send: shoptest.Fields{}, Status: 200})
	tickets := s.Ask(t, shoptest.Request{As: s.Office, Do: "GET /api/orders/OWN-1", Status: 200})
	for i := range 5 {
		code := tickets.At("tickets." + string(rune('0'+i)) + ".ticket")
		p.Open("/t/" + code)
		if strings.Contains(tag, code) {
			p.Wait(`document.querySelector(".own-piece img")?.complete`)
			shot(t, p, "ticket", 768)
		}
		for steps := 0; s.Look(t, code).State != "finished" && steps < 4; steps++ {
			s.Finish(t, s.Office, code, s.Start(t, s.Office, code))
		}
		if s.Look(t, code).State != "finished" {
			t.Errorf("ticket %d isn't finished", i)
		}
	}
	if state := s.Ask(t, shoptest.Request{As: s.Office, Do: "GET /api/orders/OWN-1", Status: 200}).At("state"); state != "finished" {
		t.Errorf("the order is %s", state)
	}
	s.Audit(t)
}

// shot keeps pictures of a page to look at, where a folder for them is named, and holds it to not scrolling sideways.
func shot(t *testing.T, p *browser.Tab, name string, widths ...int64) {
	t.Helper()
	for _, width := range widths {
		p.As(browser.Look{Language: "en", Width: width})
		if over := browser.Read[int](p, `document.documentElement.scrollWidth - innerWidth`); over > 0 {
			t.Errorf("%s at %d px is %d px too wide", name, width, over)
		}
		folder := os.Getenv("TABLEHAND_SHOTS")
		if folder == "" {
			continue
		}
		png, err := chromedp.Run(p.Ctx, chromedp.FullScreenshot(100))
		if err == nil {
			err = os.WriteFile(filepath.Join(folder, fmt.Sprintf("pieces-%s-%d.png", name, width)), png, 0o600)
		}
		if err != nil {
			t.Error(err)
		}
	}
	p.As(browser.Look{Language: "en", Width: 1280})
}

func aPhoto(t *testing.T) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := jpeg.Encode(&b, image.NewGray(image.Rect(0, 0, 320, 240)), nil); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}
