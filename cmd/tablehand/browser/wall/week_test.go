package wall

import (
	"context"
	"fmt"
	"net"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/heapprofiler"
	"github.com/chromedp/cdproto/performance"
	"github.com/chromedp/chromedp"

	"tablehand/cmd/tablehand/browser"
	"tablehand/cmd/tablehand/shoptest"
)

// The shop screen hangs there for weeks. These tests have its seconds go by fifty times as fast.
const fastSeconds = `{
	const plain = window.setInterval;
	window.setInterval = (work, ms, ...more) => plain(work, ms === 1000 ? 20 : ms, ...more);
	window.patches = 0;
	document.addEventListener("cloth:shown", (e) => { if (e.detail.region.id === "screen") patches++; });
}`

// A clock that can be put forward, in ms.
const ownClock = `{
	const Plain = Date;
	window.later = 0;
	window.Date = class extends Plain {
		constructor(...given) { if (given.length) super(...given); else super(Plain.now() + window.later); }
		static now() { return Plain.now() + window.later; }
	};
}`

// TestBrowserWallLives sees that the wall turns by itself, follows the shop, and stays true when the network, the day
// or the program changes.
func TestBrowserWallLives(t *testing.T) {
	c := browser.Start(t)
	s := shoptest.Open(t)
	f := s.Release(t, "SMI-1", append(shoptest.ManyWindows("20"), "due: 2026-12-18", "due: "+civil(-1))...)
	f.CutAll(t)
	s.Start(t, s.Station, f.NextPanel(t))
	s.Release(t, "SMI-2") // waits to be cut
	wall := func(t *testing.T, s *shoptest.Shop, scripts ...string) *browser.Tab {
		p := c.SignIn(t, s).Tab(t, 1920, 1080, "/hello")
		for _, script := range scripts {
			p.Bring(script)
		}
		p.Open("/screen")
		return p
	}

	t.Run("turns by itself", func(t *testing.T) {
		p := wall(t, s, fastSeconds)
		seen := map[string]bool{}
		for first := wallPage(p); len(seen) < 2 || !seen[first]; {
			now := wallPage(p)
			seen[now] = true
			p.Until("turn", func() bool { return wallPage(p) != now })
		}
		p.Do(chromedp.Evaluate[chromedp.Void](`document.getElementById("wall-pause").click()`))
		now := wallPage(p)
		time.Sleep(time.Second) // more than three turns
		if then := wallPage(p); then != now {
			t.Errorf("told to stop at %s, it turns to %s", now, then)
		}
	})

	t.Run("cuts no name, however long", func(t *testing.T) {
		s := shoptest.Open(t)
		long := strings.Repeat("The window over the stairs of the east wing, ", 5)[:199]
		f := s.Release(t, "SMI-1", "Bay, left", long)
		f.CutAll(t)
		for _, panel := range f.Panels {
			s.Done(t, s.Station, shoptest.Scan(panel.Ticket, "start", "joining", "person", strings.Repeat("Maximiliano ", 8)), nil)
		}
		p := wall(t, s, browser.LookScript)
		seen := map[string]bool{}
		eachPage(p, func(string) {
			for _, l := range browser.Read[[]line](p, told) {
				seen[l.Key] = true
			}
			for _, fault := range browser.Read[[]string](p, "look.faults()") {
				t.Error(fault)
			}
		})
		if len(seen) != 2 {
			t.Errorf("%d of both panels are seen whole", len(seen))
		}
	})

	t.Run("moves only where that is wanted", func(t *testing.T) {
		p := wall(t, s)
		moving := func() int { // asked with the turn, since what moves is soon at rest
			return browser.Read[int](p, `(dispatchEvent(new KeyboardEvent("keydown", { key: "ArrowRight" })), document.getAnimations().length)`)
		}
		p.Do(motion("no-preference"))
		if moving() == 0 {
			t.Error("a page turns without anybody seeing it")
		}
		p.Wait(`document.getAnimations().length === 0`)
		p.Do(motion("reduce"))
		if n := moving(); n != 0 {
			t.Errorf("%d things move where none should", n)
		}
	})

	t.Run("what stays doesn't move", func(t *testing.T) {
		p := wall(t, s, fastSeconds)
		p.Do(chromedp.Evaluate[chromedp.Void](`document.getElementById("wall-pause").click()`))
		const places = `[...document.querySelectorAll(".lane, .lane h2, #wall-next .line:not([hidden])")].map((e) => JSON.stringify(e.getBoundingClientRect())).join()`
		before := browser.Read[string](p, places)
		patches := browser.Read[int](p, "patches")
		s.WorkTo(t, f.NextPanel(t), "tape") // through the second station and the third to the fourth
		p.Wait(fmt.Sprintf("patches > %d && %s", patches, browser.Stands("Tape sewing", "R")))
		if after := browser.Read[string](p, places); after != before || strings.Count(before, "{") < 20 {
			t.Errorf("the stations were at\n%s\nand, when a panel went on, at\n%s", before, after)
		}
	})

	t.Run("says when it is stale", func(t *testing.T) {
		n := browser.Between(t, s)
		p := wall(t, n.Through(s))
		panel := f.NextPanel(t)
		n.Set(true)
		p.Wait(`!document.getElementById("lost").hidden`)
		if text := p.Sees("#lost"); !regexp.MustCompile(`\d\d:\d\d$`).MatchString(text) {
			t.Errorf("it doesn't say since when: %q", text)
		}
		for _, small := range browser.Read[[]string](p, fmt.Sprintf(smallLetters, wallLetters/wallWide)) {
			t.Errorf("when stale: %s", small)
		}
		if r := browser.Box(p, "#lost"); r.Top < 0 || r.Bottom > 1080 || r.Height < 50 {
			t.Errorf("it says so at %v", r)
		}
		p.Do(chromedp.Evaluate[chromedp.Void](`document.getElementById("wall-clock").textContent = ""`))
		p.Wait(`/^\d\d:\d\d$/.test(document.getElementById("wall-clock").textContent)`)
		s.WorkTo(t, panel, "pull_up")
		n.Set(false)
		p.Wait(`document.getElementById("lost").hidden`)
		p.Wait(browser.Stands("Pull-up & cords", "L") + " || " + browser.Stands("Pull-up & cords", "R"))
	})

	t.Run("comes back when the server does", func(t *testing.T) {
		free, err := net.Listen("tcp", "127.0.0.1:0")
		if err != nil {
			t.Fatal(err)
		}
		free.Close()
		args := []string{"serve", "--listen", free.Addr().String(), "--data", filepath.Join(t.TempDir(), "shop")}
		first := shoptest.ServeBy(t, args[4], args)
		p := wall(t, first)
		p.Wait(`document.querySelector(".empty")`)
		first.Stop()
		p.Wait(`!document.getElementById("lost").hidden`)
		second := shoptest.ServeBy(t, args[4], args)
		p.Wait(`document.getElementById("lost").hidden`)
		second.Office, second.Station = second.Token(t, "Office", "office"), second.Token(t, "Bench 1", "station")
		second.Release(t, "SMI-1").CutAll(t)
		p.Wait(browser.Stands("Joining & hems", "R"))
	})

	t.Run("follows the day", func(t *testing.T) {
		p := wall(t, s, ownClock, fastSeconds)
		p.Wait(`document.readyState === "complete"`)
		const asked = `performance.getEntriesByType("resource").filter((e) => new URL(e.name).pathname === "/screen").length`
		before := browser.Read[int](p, asked)
		p.Do(chromedp.Evaluate[chromedp.Void](`{ const noon = new Date(); noon.setDate(noon.getDate() + 1); noon.setHours(12, 0, 0, 0); later = noon - Date.now(); }`)) // in its first minute a day isn't asked for
		p.Wait(fmt.Sprintf("%s > %d", asked, before))
	})

	t.Run("comes as the newer program has it", func(t *testing.T) {
		p := wall(t, s)
		p.Do(chromedp.Evaluate[chromedp.Void](`{
			window.neverLoadedAgain = true;
			const plain = fetch;
			window.fetch = async (...asked) => {
				const answer = await plain(...asked);
				return asked[0].endsWith("/screen") ? new Response((await answer.text()).replace(/data-files="[^"]*"/, 'data-files="newer"')) : answer;
			};
			document.dispatchEvent(new CustomEvent("cloth:refresh"));
		} undefined`))
		p.Wait(`!window.neverLoadedAgain && document.querySelector(".lane")`)
	})
}

// motion says whether whoever looks at the page wants things to move.
func motion(wanted string) chromedp.Action[chromedp.Void] {
	return chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		_, err := cdp.Call(ctx, t, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{
			Features: []*emulation.MediaFeature{{Name: "prefers-reduced-motion", Value: wanted}}})
		return err
	})
}

// TestBrowserWallWeek gives the wall a week of changes and turns of its pages. It must be no larger afterwards.
func TestBrowserWallWeek(t *testing.T) {
	c := browser.Start(t)
	s := shoptest.Open(t)
	f := s.Release(t, "SMI-1", shoptest.ManyWindows("20")...)
	f.CutAll(t)
	p := c.SignIn(t, s).Tab(t, 1920, 1080, "/hello")
	p.Bring(fastSeconds)
	p.Do(motion("no-preference"))
	p.Open("/screen")
	live := func(changes int) {
		for i := range changes {
			patches := browser.Read[int](p, "patches")
			action := []string{"hold", "resume"}[i%2]
			s.Done(t, s.Station, shoptest.Scan(f.Panels[i/2%10].Ticket, action, "", "reason", "lunch"), nil)
			p.Do(chromedp.Evaluate[chromedp.Void](`document.dispatchEvent(new CustomEvent("cloth:refresh"))`))
			p.Wait(fmt.Sprintf("patches > %d", patches))
		}
	}
	live(browser.Many(1000, 40)) // until it has what it works with
	before := resting(p)
	changes := browser.Many(4000, 120)
	live(changes)
	after := resting(p)
	for _, limit := range []struct {
		name string
		more float64 // that are no growth
	}{
		{"Nodes", 2 * browser.Read[float64](p, nodesOfPage)}, // a browser may still hold a page or two that it was just sent
		{"JSEventListeners", 0},
		{"Documents", 2},
		{"JSHeapUsedSize", 0.15 * before["JSHeapUsedSize"]},
	} {
		if before[limit.name] == 0 {
			t.Errorf("the browser doesn't tell its %s", limit.name)
		}
		if grown := after[limit.name] - before[limit.name]; grown > limit.more {
			t.Errorf("after %d changes there are %.0f %s more than %.0f", changes, grown, limit.name, before[limit.name])
		}
	}
	t.Logf("after %d changes %v, before %v", changes, after, before)
}

const nodesOfPage = `(() => { const walk = document.createTreeWalker(document); let n = 1; while (walk.nextNode()) n++; return n; })()`

// resting is what the wall takes while its pages don't turn.
func resting(p *browser.Tab) map[string]float64 {
	p.T.Helper()
	const pause = `document.getElementById("wall-pause").click()`
	p.Do(chromedp.Evaluate[chromedp.Void](pause))
	p.Wait(`document.getAnimations().length === 0`)
	weight := weight(p)
	p.Do(chromedp.Evaluate[chromedp.Void](pause))
	return weight
}

// weight is what a page takes, when what it has let go of is cleared away.
func weight(p *browser.Tab) map[string]float64 {
	p.T.Helper()
	all := map[string]float64{}
	p.Do(chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		if _, err := cdp.Call(ctx, t, performance.Enable, performance.EnableParams{}); err != nil {
			return err
		}
		for range 3 {
			if _, err := cdp.Call(ctx, t, heapprofiler.CollectGarbage, cdp.Empty{}); err != nil {
				return err
			}
			time.Sleep(200 * time.Millisecond)
		}
		got, err := cdp.Call(ctx, t, performance.GetMetrics, cdp.Empty{})
		if err != nil {
			return err
		}
		for _, m := range got.Metrics {
			if strings.Contains("Nodes JSEventListeners Documents JSHeapUsedSize", m.Name) {
				all[m.Name] = m.Value
			}
		}
		return nil
	}))
	return all
}
