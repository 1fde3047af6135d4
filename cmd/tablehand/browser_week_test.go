package main

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
	c := startChromium(t)
	s := openShop(t)
	f := s.release(t, "SMI-1", append(manyWindows("20"), "due: 2026-12-18", "due: "+civil(-1))...)
	f.cutAll(t)
	s.start(t, s.station, f.nextPanel(t))
	s.release(t, "SMI-2") // waits to be cut
	wall := func(t *testing.T, s *shop, scripts ...string) *tab {
		p := c.signIn(t, s).tab(t, 1920, 1080, "/hello")
		for _, script := range scripts {
			p.bring(script)
		}
		p.open("/screen")
		return p
	}

	t.Run("turns by itself", func(t *testing.T) {
		p := wall(t, s, fastSeconds)
		seen := map[string]bool{}
		for first := p.wallPage(); len(seen) < 3 || !seen[first]; {
			now := p.wallPage()
			seen[now] = true
			p.until("turn", func() bool { return p.wallPage() != now })
		}
		p.do(chromedp.Evaluate[chromedp.Void](`document.getElementById("wall-pause").click()`))
		now := p.wallPage()
		time.Sleep(time.Second) // more than three turns
		if then := p.wallPage(); then != now {
			t.Errorf("told to stop at %s, it turns to %s", now, then)
		}
	})

	t.Run("cuts no name, however long", func(t *testing.T) {
		s := openShop(t)
		long := strings.Repeat("The window over the stairs of the east wing, ", 5)[:199]
		f := s.release(t, "SMI-1", "Bay, left", long)
		f.cutAll(t)
		for _, panel := range f.panels {
			s.done(t, s.station, scan(panel.Ticket, "start", "joining", "person", strings.Repeat("Maximiliano ", 8)), nil)
		}
		p := wall(t, s, lookScript)
		seen := 0
		p.eachPage(func(string) {
			seen += len(read[[]hung](p, hanging))
			for _, fault := range read[[]string](p, "look.faults()") {
				t.Error(fault)
			}
		})
		if seen != 2 {
			t.Errorf("%d of both panels are seen whole", seen)
		}
	})

	t.Run("moves only where that is wanted", func(t *testing.T) {
		p := wall(t, s)
		moving := func() int { p.turn(); return read[int](p, `document.getAnimations().length`) }
		p.do(motion("no-preference"))
		if moving() == 0 {
			t.Error("a page turns without anybody seeing it")
		}
		p.wait(`document.getAnimations().length === 0`)
		p.do(motion("reduce"))
		if n := moving(); n != 0 {
			t.Errorf("%d things move where none should", n)
		}
	})

	t.Run("what stays doesn't move", func(t *testing.T) {
		p := wall(t, s, fastSeconds)
		p.do(chromedp.Evaluate[chromedp.Void](`document.getElementById("wall-pause").click()`))
		const places = `[...document.querySelectorAll(".lane:not([hidden])")].slice(0, %d).map((e) => e.ariaLabel + [...e.querySelectorAll(".told")].map((x) => x.textContent + JSON.stringify(x.getBoundingClientRect()))).join()`
		before := read[string](p, fmt.Sprintf(places, 1))
		patches := read[int](p, "patches")
		s.workTo(t, f.nextPanel(t), "tape") // through the second station and the third to the fourth
		p.wait(fmt.Sprintf("patches > %d && %s", patches, stands("Tape sewing", "R")))
		if after := read[string](p, fmt.Sprintf(places, 1)); after != before || !strings.Contains(before, "SMI-2") {
			t.Errorf("the first station hung at\n%s\nand, when others changed, at\n%s", before, after)
		}
	})

	t.Run("says when it is stale", func(t *testing.T) {
		n := between(t, s)
		p := wall(t, n.through(s))
		panel := f.nextPanel(t)
		n.set(true)
		p.wait(`!document.getElementById("lost").hidden`)
		if text := p.sees("#lost"); !regexp.MustCompile(`\d\d:\d\d$`).MatchString(text) {
			t.Errorf("it doesn't say since when: %q", text)
		}
		for _, small := range read[[]string](p, fmt.Sprintf(smallLetters, wallLetters/wallWide)) {
			t.Errorf("when stale: %s", small)
		}
		if r := box(p, "#lost"); r.top < 0 || r.bottom > 1080 || r.height < 50 {
			t.Errorf("it says so at %v", r)
		}
		p.do(chromedp.Evaluate[chromedp.Void](`document.getElementById("wall-clock").textContent = ""`))
		p.wait(`/^\d\d:\d\d$/.test(document.getElementById("wall-clock").textContent)`)
		s.workTo(t, panel, "pull_up")
		n.set(false)
		p.wait(`document.getElementById("lost").hidden`)
		p.wait(stands("Pull-up & cords", "L") + " || " + stands("Pull-up & cords", "R"))
	})

	t.Run("comes back when the server does", func(t *testing.T) {
		free, err := net.Listen("tcp", "127.0.0.1:0")
		if err != nil {
			t.Fatal(err)
		}
		free.Close()
		args := []string{"serve", "--listen", free.Addr().String(), "--data", filepath.Join(t.TempDir(), "shop")}
		first := serveBy(t, args[4], args)
		p := wall(t, first)
		p.wait(`document.querySelector(".empty")`)
		first.stop()
		p.wait(`!document.getElementById("lost").hidden`)
		second := serveBy(t, args[4], args)
		p.wait(`document.getElementById("lost").hidden`)
		second.office, second.station = second.token(t, "Office", "office"), second.token(t, "Bench 1", "station")
		second.release(t, "SMI-1").cutAll(t)
		p.wait(stands("Joining & hems", "R"))
	})

	t.Run("follows the day", func(t *testing.T) {
		p := wall(t, s, ownClock, fastSeconds)
		p.wait(`document.readyState === "complete"`)
		const asked = `performance.getEntriesByType("resource").filter((e) => new URL(e.name).pathname === "/screen").length`
		before := read[int](p, asked)
		p.do(chromedp.Evaluate[chromedp.Void](`later = 86_400_000`))
		p.wait(fmt.Sprintf("%s > %d", asked, before))
	})

	t.Run("comes as the newer program has it", func(t *testing.T) {
		p := wall(t, s)
		p.do(chromedp.Evaluate[chromedp.Void](`{
			window.neverLoadedAgain = true;
			const plain = fetch;
			window.fetch = async (...asked) => {
				const answer = await plain(...asked);
				return asked[0].endsWith("/screen") ? new Response((await answer.text()).replace(/data-files="[^"]*"/, 'data-files="newer"')) : answer;
			};
			document.dispatchEvent(new CustomEvent("cloth:refresh"));
		} undefined`))
		p.wait(`!window.neverLoadedAgain && document.querySelector(".lane")`)
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
	c := startChromium(t)
	s := openShop(t)
	f := s.release(t, "SMI-1", manyWindows("20")...)
	f.cutAll(t)
	p := c.signIn(t, s).tab(t, 1920, 1080, "/hello")
	p.bring(fastSeconds)
	p.do(motion("no-preference"))
	p.open("/screen")
	live := func(changes int) {
		for i := range changes {
			patches := read[int](p, "patches")
			action := []string{"hold", "resume"}[i%2]
			s.done(t, s.station, scan(f.panels[i/2%10].Ticket, action, "", "reason", "lunch"), nil)
			p.do(chromedp.Evaluate[chromedp.Void](`document.dispatchEvent(new CustomEvent("cloth:refresh"))`))
			p.wait(fmt.Sprintf("patches > %d", patches))
		}
	}
	live(many(1000, 40)) // until it has what it works with
	before := p.resting()
	changes := many(4000, 120)
	live(changes)
	after := p.resting()
	for _, limit := range []struct {
		name string
		more float64 // that are no growth
	}{
		{"Nodes", 2 * read[float64](p, nodesOfPage)}, // a browser may still hold a page or two that it was just sent
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
func (p *tab) resting() map[string]float64 {
	p.t.Helper()
	const pause = `document.getElementById("wall-pause").click()`
	p.do(chromedp.Evaluate[chromedp.Void](pause))
	p.wait(`document.getAnimations().length === 0`)
	weight := p.weight()
	p.do(chromedp.Evaluate[chromedp.Void](pause))
	return weight
}

// weight is what a page takes, when what it has let go of is cleared away.
func (p *tab) weight() map[string]float64 {
	p.t.Helper()
	all := map[string]float64{}
	p.do(chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
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
