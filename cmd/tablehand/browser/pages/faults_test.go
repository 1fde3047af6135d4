package pages

import (
	"net/http"
	"net/http/httptest"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"tablehand/cmd/tablehand/browser"
	"tablehand/cmd/tablehand/shoptest"
)

// faulty are pages with one fault each, and how it is told.
var faulty = []struct{ name, body, told string }{
	{"nothing", `<h1>A page</h1><p>All is <a href="#m">well</a> here.</p><p><a class="onward" href="#m">Go on to what is next</a></p>`, ""},
	{"no name for a field", `<h1>A page</h1><input class="wide">`, "label:"},
	{"pale letters", `<h1>A page</h1><p style="color:#aaa">Pale words</p>`, "color-contrast:"},
	{"targets side by side", `<h1>A page</h1><p><button style="width:20px;height:20px;min-width:0;min-height:0;line-height:1;padding:0;margin:0">a</button><button style="width:20px;height:20px;min-width:0;min-height:0;line-height:1;padding:0;margin:0">b</button></p>`, "target-size:"},
	{"a low button", `<h1>A page</h1><button style="min-height:30px;line-height:20px;width:90px">Go</button>`, "small: main#m button"},
	{"a lone link", `<h1>A page</h1><p><a href="#m">Go on to what is next</a></p>`, "small: main#m a"},
	{"a tick of its own", `<h1>A page</h1><input type="checkbox" aria-label="Pressed">`, "small: main#m input"},
	{"a wide page", `<h1>A page</h1><p style="width:2000px">Wide</p>`, "sideways:"},
	{"words under an edge", `<h1>A page</h1><p style="width:60px;overflow:hidden;white-space:nowrap">Far too long for so little room</p>`, "clipped:"},
	{"words under an edge further out", `<h1>A page</h1><div style="height:30px;overflow:clip"><p style="margin:0">One<br>two<br><span>three</span></p></div>`, "clipped:"},
	{"dots", `<h1>A page</h1><p style="width:90px;overflow:hidden;text-overflow:ellipsis;white-space:nowrap">Far too long for so little room</p>`, "clipped: “Far too long for so little room” ends in dots"},
	{"out of a button", `<h1>A page</h1><button style="width:60px;white-space:nowrap">Far too long for it</button>`, "clipped:"},
	{"a long placeholder", `<h1>A page</h1><input aria-label="Name" style="width:90px" placeholder="Far too long for so little room">`, "clipped:"},
	{"a word in two", `<h1>A page</h1><p style="width:40px;overflow-wrap:anywhere">Pressing and packing</p>`, "broken: “Pressing”"},
	{"words run together", `<h1>A page</h1><p style="word-spacing:-.22em">wound and stitched flat</p>`, "run together: “wound and stitched flat”"},
	{"words on words", `<h1>A page</h1><p>These words</p><p style="margin-top:-2.2em">Those words</p>`, "overlapping: “Those words”"},
	{"words on words of a drawing", `<h1>A page</h1><svg aria-hidden="true" width="200" height="50"><text x="5" y="25">12 in</text><text x="20" y="27">14 in</text></svg>`, "overlapping: “12 in”"},
	{"small letters of a drawing", `<h1>A page</h1><p class="bench"><svg aria-hidden="true" width="200" height="50" viewBox="0 0 400 100"><text x="5" y="50" font-size="24">12 in</text></svg></p>`, "small letters: “12 in” of 12 px"},
	{"letters out of a drawing", `<h1>A page</h1><p class="bench"><svg aria-hidden="true" width="60" height="50"><text x="20" y="25">leading edge</text></svg></p>`, "cut: “leading edge”"},
	{"no sentence", `<h1>⟨page.title⟩</h1>`, "no sentence: ⟨page.title⟩"},
	{"an English sentence", `<h1>What waits</h1>`, "English: What waits"},
	{"an English name", `<h1>Página</h1><nav aria-label="What waits"></nav>`, "English: What waits"},
	{"an error", `<h1>A page</h1><script>undone()</script>`, "exception:"},
	{"a warning", `<h1>A page</h1><script>console.warn("beware")</script>`, "a script's own warning"},
	{"another host", `<h1>A page</h1><img alt="" src="http://elsewhere.invalid/pixel.png">`, "http://elsewhere.invalid/"},
}

// TestBrowserSeesFaults holds the look at pages to finding what is wrong with them, and nothing where nothing is.
func TestBrowserSeesFaults(t *testing.T) {
	c := browser.Start(t)
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Content-Type", "text/html; charset=utf-8")
		for _, f := range faulty {
			if r.URL.Path == "/"+strings.ReplaceAll(f.name, " ", "-") {
				w.Write([]byte(`<!doctype html><html lang="es"><meta name="viewport" content="width=device-width"><link rel="icon" href="data:,"><title>Taller</title>
					<style>button, input, .onward { display: inline-block; min-height: 48px; min-width: 48px; line-height: 48px } input[type=checkbox] { min-height: 24px; min-width: 24px }</style>
					<body><main id="m">` + f.body + `</main></body></html>`))
				return
			}
		}
		http.NotFound(w, r)
	}))
	t.Cleanup(server.Close)
	ctx, leave := chromedp.NewContext(c.Ctx, chromedp.WithNewBrowserContext())
	t.Cleanup(leave)
	p := (&browser.Session{Shop: &shoptest.Shop{URL: server.URL}, Ctx: ctx}).Listen(t, ctx, 800, 600)
	p.Traffic = browser.Watch(t, ctx, server.URL)
	p.Bring(axeScript(t) + ";" + browser.LookScript)
	for _, f := range faulty {
		p.As(browser.Look{Width: 360})
		p.Traffic.Begin()
		p.Open("/" + strings.ReplaceAll(f.name, " ", "-"))
		p.Quiet()
		_, abroad := p.Traffic.Sums()
		told := slices.Concat(p.NewlyHeard(), abroad, browser.Read[[]string](p, "look.faults()"), axe(p), untranslated("es", browser.Read[[]string](p, "look.words()"), []string{"What waits"}))
		found := slices.ContainsFunc(told, func(fault string) bool { return strings.HasPrefix(fault, f.told) })
		if f.told == "" && len(told) > 0 || f.told != "" && !found {
			t.Errorf("%s: told %q, want %q", f.name, told, f.told)
		}
	}
}
