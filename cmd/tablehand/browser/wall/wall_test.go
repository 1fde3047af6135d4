package wall

import (
	"context"
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"

	"tablehand/cmd/tablehand/browser"
	"tablehand/cmd/tablehand/shoptest"
	"tablehand/views/i18n"
)

// The shop screen is a panel of 55 in, 16 : 9, read from 4 m. Letters of a two-hundredth of the distance are 20 mm.
const (
	wallWide    = 1218.0 / 1920 // mm of a pixel
	wallLetters = 20.0          // mm that capitals and figures have at least
)

// longName is as people call a window when there are several like it.
const longName = "Drawing room, garden side, left of the door"

// busyWall is a shop with so much on its floor that the wall can't show it at once.
type busyWall struct {
	*shoptest.Shop
	late *shoptest.Floor // its windows have long names
	due  string          // when it was due
}

// civil is the date so many days from now, where the tests run.
func civil(days int) string { return time.Now().AddDate(0, 0, days).Format(time.DateOnly) }

// fillWall brings work to all eleven stations: orders that are late, due soon and neither, of up to 40 panels each, so
// that there are 300 in the long tier.
func fillWall(t *testing.T) *busyWall {
	t.Helper()
	w := &busyWall{Shop: shoptest.Open(t), due: civil(-3)}
	due := func(days int, changes ...string) []string {
		return append(changes, "due: 2026-12-18", "due: "+civil(days))
	}
	w.late = w.Release(t, "SMI-1", due(-3, append(shoptest.ManyWindows("6"), "Bay, left", longName)...)...)
	right := w.Release(t, "SMI-2", due(-2, append(shoptest.ManyWindows("4"), "Bay, left", strings.Replace(longName, "left", "right", 1))...)...)
	risk := w.Release(t, "SMI-3", due(1, shoptest.ManyWindows("8")...)...)
	pinched := w.Release(t, "LAN-0003.rev-2_second-floor-wing", due(40, append(shoptest.ManyWindows("6"), "heading: cartridge-tape", "heading: pinch-3")...)...)
	calm := []*shoptest.Floor{w.Release(t, "REE-4", due(9, shoptest.ManyWindows("20")...)...)}
	for i := range browser.Many(6, 0) {
		calm = append(calm, w.Release(t, fmt.Sprintf("REE-%d", 5+i), due(10+i, shoptest.ManyWindows("20")...)...))
	}
	for _, f := range append(calm[1:], calm[0], right, risk, pinched, w.late) {
		f.CutAll(t)
	}
	uncut := w.Release(t, "SMI-6", due(0, shoptest.ManyWindows("2")...)...)
	w.work(t, uncut.Cutting[0].Ticket, "Ada")
	for i, station := range []string{"joining", "fold", "tape", "pull_up", "inserts", "pressing", "packing"} {
		for _, f := range []*shoptest.Floor{w.late, risk, calm[0]} {
			panel := f.NextPanel(t)
			w.WorkTo(t, panel, station)
			if f != calm[0] {
				w.work(t, panel, []string{"Bo", "Cy", "Maximiliano", "Dell"}[i%4])
			}
		}
	}
	for _, station := range []string{"heading", "pleating", "tacking"} {
		panel := pinched.NextPanel(t)
		w.WorkTo(t, panel, station)
		w.work(t, panel, "Fay")
	}
	held := right.NextPanel(t)
	w.WorkTo(t, held, "tape")
	w.Done(t, w.Station, shoptest.Scan(held, "hold", "", "reason", "Flaw in the middle of the second width"), nil)
	return w
}

// work starts a ticket's step, as somebody of that name.
func (w *busyWall) work(t *testing.T, code, person string) {
	t.Helper()
	at := w.Look(t, code)
	w.Done(t, w.Station, shoptest.Scan(code, "start", at.Step.Station, "person", person), map[string]string{"state": "at_work"})
}

// floor is what the shop says of its stations: how many pieces are at each, and what the wall must name there: everything at work, and
// what is due first of what is ready.
type floor struct {
	here  map[string]int
	names map[string]string // as station, name, side and order: "at_work", or "ready"
}

func (w *busyWall) floor(t *testing.T) floor {
	t.Helper()
	var b struct {
		Orders []struct {
			Order, Due string
			Tickets    []shoptest.Row
		}
	}
	w.Ask(t, shoptest.Request{As: w.Screen, Do: "GET /api/board", Status: 200}).Into(t, &b)
	slices.SortStableFunc(b.Orders, func(a, b struct {
		Order, Due string
		Tickets    []shoptest.Row
	}) int {
		return strings.Compare(a.Due, b.Due)
	})
	f, next := floor{map[string]int{}, map[string]string{}}, map[string]bool{}
	for _, o := range b.Orders {
		for _, r := range o.Tickets {
			if r.State != "at_work" && r.State != "ready" && r.State != "held" {
				continue
			}
			f.here[r.Station]++
			if r.State == "held" || r.State == "ready" && next[r.Station] {
				continue
			}
			next[r.Station] = next[r.Station] || r.State == "ready"
			name := r.Fabric
			if r.Kind == "panel" {
				name = fmt.Sprintf("%s %d", r.Window, r.Copy)
			} else {
				r.Panel = ""
			}
			f.names[strings.Join([]string{r.Station, name, r.Panel, o.Order}, "|")] = r.State
		}
	}
	return f
}

// told is what the wall's lists show whole: the same words, by the same marks, with who works on it.
const told = `[...document.querySelectorAll(".told")].filter((e) => {
	const r = e.getBoundingClientRect(), c = e.closest("ul").getBoundingClientRect();
	return e.checkVisibility() && r.top >= c.top - 1 && r.bottom <= c.bottom + 1 && r.right <= c.right + 1 && c.bottom <= innerHeight && c.right <= innerWidth;
}).flatMap((e) => {
	const text = (s) => e.querySelector(s)?.textContent.replace(/\s+/g, " ").trim() ?? "";
	const station = e.querySelector(".mark").classList[1].replace("mark-", "");
	const sides = [...e.querySelectorAll(".side")].map((s) => s.textContent.trim());
	return (sides.length ? sides : [""]).map((side) => ({ Key: [station, text("strong"), side, text(".order")].join("|"), Person: text(".person"), When: text(".when") }));
})`

type line struct{ Key, Person, When string }

// picture is the floor as it is drawn, of what lies whole on the screen: at each station, in its order, its sum, how many panels hang
// there and how many are in bundles, and the least height of one, in px.
const picture = `[...document.querySelectorAll(".lane")].filter((e) => {
	const r = e.getBoundingClientRect();
	return e.checkVisibility() && r.top >= 0 && r.left >= 0 && r.bottom <= innerHeight && r.right <= innerWidth &&
		[...e.querySelectorAll(".cloths > *")].every((c) => c.getBoundingClientRect().bottom <= e.querySelector(".here").getBoundingClientRect().top + 1);
}).map((e) => {
	const cloths = [...e.querySelectorAll(".cloths > *")], high = (c) => c.getBoundingClientRect().height;
	return {
		Station: e.querySelector(".mark").classList[1].replace("mark-", ""), Sum: Number(e.querySelector(".here b").textContent), Fullest: e.matches(".fullest"),
		Panels: e.querySelectorAll(".cloths > svg").length, Bundled: [...e.querySelectorAll(".bundle b")].reduce((n, b) => n + Number(b.textContent.match(/\d+/)[0]), 0),
		Least: Math.min(...cloths.map(high)), Long: cloths.length ? Math.max(...cloths.map((c) => c.getBoundingClientRect().bottom)) : 0,
	};
})`

type column struct {
	Station              string
	Sum, Panels, Bundled int
	Fullest              bool
	Least, Long          float64
}

// shows holds the picture to the floor: all stations at once, each with all that is there, and the fullest the longest.
func shows(t *testing.T, columns []column, f floor, scale float64) {
	t.Helper()
	most, drawn, longest := 0, 0, 0.
	for _, n := range f.here {
		most = max(most, n)
	}
	for _, c := range columns {
		drawn += c.Panels + c.Bundled
		if c.Sum != f.here[c.Station] || c.Panels+c.Bundled != c.Sum || c.Fullest != (c.Sum == most) {
			t.Errorf("at %s %d hang and %d are in bundles; it says %d, and that it is the fullest: %v; there are %d", c.Station, c.Panels, c.Bundled, c.Sum, c.Fullest, f.here[c.Station])
		}
		if c.Sum > 0 && c.Least < 60*scale {
			t.Errorf("at %s a panel is %.0f px high", c.Station, c.Least)
		}
		longest = max(longest, c.Long)
	}
	for _, c := range columns {
		if c.Fullest && c.Long < longest-1 {
			t.Errorf("%s is the fullest with %d, but hangs down to %.0f px, another to %.0f", c.Station, c.Sum, c.Long, longest)
		}
	}
	total := 0
	for _, n := range f.here {
		total += n
	}
	if drawn != total {
		t.Errorf("%d of %d pieces are in the picture", drawn, total)
	}
}

// turn turns the lists by hand, as a key does, and says which parts are shown.
func turn(p *browser.Tab) string {
	p.T.Helper()
	p.Do(chromedp.Evaluate[chromedp.Void](`dispatchEvent(new KeyboardEvent("keydown", { key: "ArrowRight" })); undefined`))
	return wallPage(p)
}

// wallPage is which parts of the wall's lists are shown.
func wallPage(p *browser.Tab) string {
	p.T.Helper()
	return browser.Read[string](p, `[...document.querySelectorAll(".saying")].map((e) => e.id + " " + (e.querySelector(".part:not([hidden])")?.textContent ?? "")).join()`)
}

// eachPage turns through all parts of the wall's lists, once.
func eachPage(p *browser.Tab, see func(page string)) (pages int) {
	p.T.Helper()
	p.Do(chromedp.Evaluate[chromedp.Void](`document.getElementById("wall-pause").setAttribute("aria-pressed", "true")`)) // it turns by itself else, where looking takes long
	first := wallPage(p)
	for page := first; ; {
		see(page)
		pages++
		if page = turn(p); page == first {
			return pages
		}
		if pages > 99 {
			p.T.Fatalf("the wall never comes to %s again: it is at %s", first, page)
		}
	}
}

// smallLetters are words of the wall whose capitals are under so many pixels, but for the figures in the marks, which have their shapes.
const smallLetters = `(() => {
	const pen = document.createElement("canvas").getContext("2d");
	const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
	const small = new Set();
	for (let n; (n = walk.nextNode());) {
		const e = n.parentElement;
		if (!n.data.trim() || !e.checkVisibility() || e.closest(".unseen, .skip, .mark, script")) continue;
		const s = getComputedStyle(e);
		pen.font = s.fontWeight + " " + s.fontSize + " " + s.fontFamily;
		const high = pen.measureText("H").actualBoundingBoxAscent;
		if (high < %f) small.add(n.data.trim() + ": " + high + " px");
	}
	return [...small];
})()`

// TestBrowserWall reads the wall, full of work, as people do who stand 4 m away.
func TestBrowserWall(t *testing.T) {
	c := browser.Start(t)
	w := fillWall(t)
	b := c.SignIn(t, w.Shop)
	p := b.Tab(t, 1920, 1080, "/hello")
	p.Bring(browser.LookScript)
	for _, l := range []browser.Look{{Language: "en", Width: 1920}, {Language: "es", Width: 1920, Dark: true}, {Language: "en", Width: 1280, Dark: true}, {Language: "es", Width: 3840}} {
		t.Run(l.String(), func(t *testing.T) {
			p.T = t
			p.As(l)
			p.Open("/screen?language=" + l.Language)
			scale, f := float64(l.Width)/1920, w.floor(t)
			columns := browser.Read[[]column](p, picture)
			if len(columns) != 11 {
				t.Errorf("%d stations are in the picture", len(columns))
			}
			shows(t, columns, f, scale)
			days := 3
			if w.due != civil(-days) {
				days++ // it is past midnight by now
			}
			at := []string{}
			seen, faults := map[string]bool{}, browser.FaultsSeen{}
			pages := eachPage(p, func(page string) {
				faults.Add(page, browser.Read[[]string](p, "look.faults()"))
				faults.Add(page, browser.Read[[]string](p, fmt.Sprintf(smallLetters, wallLetters/wallWide*scale)))
				if high := browser.Read[float64](p, "document.documentElement.scrollHeight"); high > float64(browser.Heights[l.Width]) {
					t.Errorf("%s: the wall is %.0f px high", page, high)
				}
				for _, told := range browser.Read[[]line](p, told) {
					seen[told.Key] = true
					at = append(at, told.Person)
					if late := strings.HasSuffix(told.Key, "|SMI-1"); late && told.When != "" && !strings.Contains(told.When, fmt.Sprintf(map[string]string{"en": ", %d days late", "es": ", %d días de atraso"}[l.Language], days)) {
						t.Errorf("%s is due %q", told.Key, told.When)
					}
				}
			})
			for key, state := range f.names {
				parts := strings.Split(key, "|")
				if parts[2] != "" {
					parts[2] = i18n.For(l.Language).T("page.panel." + parts[2])
				}
				if !seen[strings.Join(parts, "|")] {
					t.Errorf("%s, %s, is on none of the %d pages", key, state, pages)
				}
			}
			for _, fault := range slices.Sorted(maps.Keys(faults)) {
				t.Errorf("%s on %s", fault, faults[fault])
			}
			for _, person := range []string{"Ada", "Bo", "Cy", "Dell", "Fay", "Maximiliano"} {
				if !slices.Contains(at, person) {
					t.Errorf("nobody reads that %s is at work; those are %q", person, at)
				}
			}
			t.Logf("%d pages, %d pieces", pages, len(seen))
		})
	}
	t.Run("without script", func(t *testing.T) { readsWithoutScript(t, b) })
	t.Run("of a small shop", func(t *testing.T) { showsASmallShop(t, c) })
}

// showsASmallShop sees that a floor whose panels all fit shows each, and has no stations that its work doesn't pass.
func showsASmallShop(t *testing.T, c *browser.Chromium) {
	w := &busyWall{Shop: shoptest.Open(t)}
	f := w.Release(t, "SMI-1", append(shoptest.ManyWindows("12"), "due: 2026-12-18", "due: "+civil(-1))...)
	f.CutAll(t)
	w.WorkTo(t, f.NextPanel(t), "tape")
	p := c.SignIn(t, w.Shop).Tab(t, 1920, 1080, "/screen")
	columns := browser.Read[[]column](p, picture)
	shows(t, columns, w.floor(t), 1)
	if len(columns) != 8 {
		t.Errorf("without pinch pleats there are %d stations", len(columns))
	}
	for _, c := range columns {
		if c.Bundled > 0 {
			t.Errorf("at %s %d are in bundles, though they fit", c.Station, c.Bundled)
		}
	}
}

// readsWithoutScript sees that the wall is one long page where no script runs, also on a phone and a tablet.
func readsWithoutScript(t *testing.T, b *browser.Session) {
	p := b.Tab(t, 1920, 1080, "/hello")
	p.Bring(browser.LookScript)
	p.Do(chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		_, err := cdp.Call(ctx, t, emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{Value: true})
		return err
	}))
	for _, width := range []int64{1920, 768, 360, 320} {
		p.Do(chromedp.EmulateViewport(width, browser.Heights[width]))
		p.Open("/screen?language=en")
		all := browser.Read[[]int](p, `[document.querySelectorAll(".told").length, [...document.querySelectorAll(".told")].filter((e) => e.checkVisibility()).length, document.documentElement.scrollWidth]`)
		if all[0] < 20 || all[1] != all[0] || all[2] > int(width) {
			t.Errorf("at %d px %d of %d pieces are seen, and the page is %d px wide", width, all[1], all[0], all[2])
		}
	}
}
