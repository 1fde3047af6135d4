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
}

// civil is the date so many days from now, where the tests run.
func civil(days int) string { return time.Now().AddDate(0, 0, days).Format(time.DateOnly) }

// fillWall brings work to all eleven stations: orders that are late, due soon and neither, of up to 40 panels each, so
// that there are 300 in the long tier.
func fillWall(t *testing.T) *busyWall {
	t.Helper()
	w := &busyWall{Shop: shoptest.Open(t)}
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

// wanted is what must come to be seen within a full turn: everything at work, late, due soon or held at its station,
// as station, name, side and order; and of what is at work, by whom.
func (w *busyWall) wanted(t *testing.T) map[string]string {
	t.Helper()
	var b struct {
		Orders []struct {
			Order, Due string
			Tickets    []shoptest.Row
		}
	}
	w.Ask(t, shoptest.Request{As: w.Screen, Do: "GET /api/board", Status: 200}).Into(t, &b)
	all := map[string]string{}
	for _, o := range b.Orders {
		for _, r := range o.Tickets {
			soon := o.Due <= civil(2) && (r.State == "ready" || r.State == "held")
			if r.State != "at_work" && !soon {
				continue
			}
			name := r.Fabric
			if r.Kind == "panel" {
				name = fmt.Sprintf("%s %d", r.Window, r.Copy)
			} else {
				r.Panel = ""
			}
			all[strings.Join([]string{r.Station, name, r.Panel, o.Order}, "|")] = r.State
		}
	}
	return all
}

// hanging is what a page of the wall shows whole: the same words by the same marks, and its state.
const hanging = `[...document.querySelectorAll(".told")].filter((e) => {
	const r = e.getBoundingClientRect(), c = e.closest(".cloth").getBoundingClientRect();
	return e.checkVisibility() && r.top >= c.top - 1 && r.bottom <= c.bottom + 1 && r.right <= c.right + 1 && c.bottom <= innerHeight && c.right <= innerWidth;
}).flatMap((e) => {
	const text = (s) => e.querySelector(s)?.textContent.replace(/\s+/g, " ").trim() ?? "";
	const station = e.closest(".lane").querySelector(".mark").classList[1].replace("mark-", "");
	const state = e.closest(".hung").className.match(/is-(ready|at_work|held)/)[1];
	const sides = [...e.querySelectorAll(".side")].map((s) => s.textContent.trim());
	return (sides.length ? sides : [""]).map((side) => ({ Key: [station, text("strong"), side, text(".order")].join("|"), State: state, Person: text(".person") }));
})`

type hung struct{ Key, State, Person string }

// turn turns the page by hand, as a key does, and says which one it is.
func turn(p *browser.Tab) string {
	p.T.Helper()
	p.Do(chromedp.Evaluate[chromedp.Void](`dispatchEvent(new KeyboardEvent("keydown", { key: "ArrowRight" })); undefined`))
	return wallPage(p)
}

// wallPage is which page of the wall is shown.
func wallPage(p *browser.Tab) string {
	p.T.Helper()
	return browser.Read[string](p, `[...document.querySelectorAll(".lane:not([hidden])")].map((e) => e.ariaLabel + (e.querySelector(".part:not([hidden])")?.textContent ?? "")).join()`)
}

// eachPage turns through all pages of the wall, once.
func eachPage(p *browser.Tab, see func(page string)) (pages int) {
	p.T.Helper()
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

// smallLetters are words of the wall whose capitals are under so many pixels, but for those that may be small: what is
// counted, beside its count; which part of a queue is shown; and the figures in the marks, which have their shapes.
const smallLetters = `(() => {
	const pen = document.createElement("canvas").getContext("2d");
	const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
	const small = new Set();
	for (let n; (n = walk.nextNode());) {
		const e = n.parentElement;
		if (!n.data.trim() || !e.checkVisibility() || e.closest(".unseen, .skip, .mark, script") || e.matches(".tally > span:not(.so-far)")) continue;
		const s = getComputedStyle(e);
		pen.font = s.fontWeight + " " + s.fontSize + " " + s.fontFamily;
		const high = pen.measureText("H").actualBoundingBoxAscent;
		if (high < %f) small.add(n.data.trim() + ": " + high + " px");
	}
	return [...small];
})()`

// TestBrowserWall reads the wall, full of work, as people do who stand 4 m away: page by page.
func TestBrowserWall(t *testing.T) {
	c := browser.Start(t)
	w := fillWall(t)
	b := c.SignIn(t, w.Shop)
	p := b.Tab(t, 1920, 1080, "/hello")
	p.Bring(browser.LookScript)
	for _, l := range []browser.Look{{Language: "en", Width: 1920}, {Language: "es", Width: 1920, Dark: true}, {Language: "en", Width: 1280, Dark: true}} {
		t.Run(l.String(), func(t *testing.T) {
			p.T = t
			p.As(l)
			p.Open("/screen?language=" + l.Language)
			wanted, at := w.wanted(t), []string{}
			seen, faults, turn, fronts := map[string]bool{}, browser.FaultsSeen{}, 0, map[string]bool{}
			pages := eachPage(p, func(page string) {
				if turn++; turn <= 3 { // four stations a page
					for _, station := range browser.Read[[]string](p, `[...document.querySelectorAll(".lane:not([hidden])")].map((e) => e.ariaLabel)`) {
						fronts[station] = true
					}
				}
				faults.Add(page, browser.Read[[]string](p, "look.faults()"))
				scale := float64(l.Width) / 1920
				faults.Add(page, browser.Read[[]string](p, fmt.Sprintf(smallLetters, wallLetters/wallWide*scale)))
				for _, h := range browser.Read[[]hung](p, hanging) {
					if !seen[h.Key] && h.State == "at_work" {
						at = append(at, h.Person)
					}
					seen[h.Key] = true
				}
			})
			if pages <= 3 || len(fronts) != 11 {
				t.Errorf("of %d pages the first three show %d stations, not the front of each of eleven", pages, len(fronts))
			}
			for key, state := range wanted {
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
		all := browser.Read[[]int](p, `[document.querySelectorAll(".hung").length, [...document.querySelectorAll(".hung")].filter((e) => e.checkVisibility()).length, document.documentElement.scrollWidth]`)
		if all[0] < 30 || all[1] != all[0] || all[2] > int(width) {
			t.Errorf("at %d px %d of %d pieces are seen, and the page is %d px wide", width, all[1], all[0], all[2])
		}
	}
}
