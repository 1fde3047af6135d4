package server

import (
	"fmt"
	"html"
	"net/url"
	"regexp"
	"strings"
	"testing"
	"time"

	"tablehand/stations"
)

// hotel is the file of so many windows, a room each, of so many sizes by turns: lined pairs on a tape.
func hotel(windows, sizes int) string {
	var b strings.Builder
	b.WriteString(`order: HOTEL
customer: Saltmarsh Inn
due: 2026-12-18
units: in
fabrics:
  - {id: reed, use: face, usable_width: 54, vertical_repeat: 13 1/2}
  - {id: sateen, use: lining, usable_width: 54}
tapes:
  - {id: cart-4, period: 6 1/2, space: 2 1/2, height: 4, cords: 3, end_margin: {nominal: 3/4, min: 1/2, max: 1}, insert_length: 12}
treatments:
`)
	for i := range windows {
		fmt.Fprintf(&b, "  - {window: Window %d, room: %d, heading: cartridge-tape, face_width: %g, finished_length: 95 1/2, face: reed, lining: sateen}\n",
			i, 1000+i, 48+float64(i%sizes)/4)
	}
	return b.String()
}

// largestPage is what the page of an order of hundreds of windows may have, for a phone in a workroom: in bytes.
const largestPage = 150_000

// TestPageOfAHotel: the page of an order of 300 windows is small whatever is looked at, each window and ticket is reached by links
// alone, a window is found by its name or room, and an address of before leads to it.
func TestPageOfAHotel(t *testing.T) {
	const windows = 300
	for _, sizes := range []int{6, windows} {
		s := openShop(t)
		s.ask(t, scene{as: stations.Office, do: "POST /api/orders", send: hotel(windows, sizes), status: 201})
		s.ask(t, scene{as: stations.Office, do: "POST /api/orders/HOTEL/release", send: fields{}, status: 200})
		look := func(path string) string {
			t.Helper()
			page := string(s.ask(t, scene{as: stations.Office, do: "GET " + path, status: 200}).body)
			if len(page) > largestPage {
				t.Errorf("%d sizes: %s has %d bytes", sizes, path, len(page))
			}
			for _, live := range []string{`id="order-state" data-live`, `id="order-tickets" data-live`, `id="order-cloth" data-live`} {
				if !strings.Contains(page, live) {
					t.Errorf("%s lacks %s", path, live)
				}
			}
			return page
		}
		seen, reached := map[string]bool{}, map[string]bool{}
		ids := regexp.MustCompile(`id="window-\d+"`)
		tickets := regexp.MustCompile(`row" href="/t/(\w+)"`)
		parts := regexp.MustCompile(`class="button" href="(/orders/HOTEL\?[^#"]*)#(windows|tickets|window-\d+)"`)
		open := []string{"/orders/HOTEL"}
		for len(open) > 0 && len(seen) < 500 {
			path := open[0]
			open = open[1:]
			page := look(path)
			for _, id := range ids.FindAllString(page, -1) {
				reached[id] = true
			}
			for _, m := range tickets.FindAllStringSubmatch(page, -1) {
				reached[m[1]] = true
			}
			for _, m := range parts.FindAllStringSubmatch(page, -1) {
				next := html.UnescapeString(m[1])
				if q, _ := url.Parse(next); q.Query().Has("page") && q.Query().Has("tickets") { // one list after the other
					continue
				}
				if !seen[next] {
					seen[next] = true
					open = append(open, next)
				}
			}
		}
		for i := range windows {
			if !reached[fmt.Sprintf(`id="window-%d"`, i)] {
				t.Errorf("%d sizes: no link leads to window %d", sizes, i)
			}
		}
		for _, ticket := range s.Store.Floor().Order("HOTEL").Tickets {
			if !reached[string(ticket.Spec.Code)] {
				t.Errorf("%d sizes: no link leads to ticket %s", sizes, ticket.Spec.Code)
			}
		}
		for path, want := range map[string]string{
			"?window=217": `id="window-217"`, "?find=attic": "“attic”", "?window=9999": `id="window-0"`, "?page=9999": `id="window-5"`, "?page=x&tickets=-3": `id="window-0"`,
		} {
			if sizes == windows && path == "?page=9999" {
				want = `id="window-299"`
			}
			if !strings.Contains(look("/orders/HOTEL"+path), want) {
				t.Errorf("%d sizes: %s lacks %s", sizes, path, want)
			}
		}
		for asked, window := range map[string]int{"window+217": 217, "1217": 217, "299": 299, "WINDOW+2": 2} {
			got := s.ask(t, scene{as: stations.Office, do: "GET /orders/HOTEL?find=" + asked, status: 303}).header.Get("Location")
			if want := fmt.Sprintf("/orders/HOTEL?window=%d#window-%d", window, window); got != want {
				t.Errorf("%s leads to %s, want %s", asked, got, want)
			}
		}
		if page := look("/orders/HOTEL?window=217"); !strings.Contains(page, `id="w217-flat_width"`) || !strings.Contains(page, "Window 217 <span") {
			t.Error("the window asked for isn't told with how its numbers came about, or its tickets aren't shown")
		}
	}
}

// TestWindowsAlikeAreShownOnce: two windows that differ in name and room alone are one of the page's, with both names; one that
// differs in anything that is made is another.
func TestWindowsAlikeAreShownOnce(t *testing.T) {
	s := openShop(t)
	file := hotel(2, 1) + "  - {window: Window 2, room: 1002, heading: cartridge-tape, face_width: 48, finished_length: 95, face: reed, lining: sateen, notes: high}\n" +
		"  - {window: Window 3, room: 1003, heading: cartridge-tape, face_width: 48, finished_length: 95, face: reed, lining: sateen}\n"
	s.ask(t, scene{as: stations.Office, do: "POST /api/orders", send: file, status: 201})
	page := string(s.ask(t, scene{as: stations.Office, do: "GET /orders/HOTEL", status: 200}).body)
	if n := strings.Count(page, `<section class="window"`); n != 2 {
		t.Errorf("four windows of two kinds are shown as %d", n)
	}
	for i := range 4 {
		if n := strings.Count(page, fmt.Sprintf(`id="window-%d"`, i)); n != 1 {
			t.Errorf("window %d has %d places on the page", i, n)
		}
	}
	if strings.Contains(page, `class="part"`) || strings.Contains(page, `class="find-window"`) || !strings.Contains(page, "2 alike") {
		t.Error("a short page is parted, or doesn't say what is alike")
	}
}

// TestHistoryGoesOn: what happens after a history was shown stands in it, once.
func TestHistoryGoesOn(t *testing.T) {
	s := openShop(t)
	codes := s.release(t, "SMI-1")
	rows := func() int {
		return strings.Count(string(s.ask(t, scene{as: stations.Office, do: "GET /orders/SMI-1", status: 200}).body), "<li><time")
	}
	if n := rows(); n != 2 {
		t.Errorf("taken and released, it has %d rows", n)
	}
	s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: scanOf(codes[0], "start", "cutting"), status: 200})
	for range 2 {
		if n := rows(); n != 3 {
			t.Errorf("begun, it has %d rows", n)
		}
	}
	if page := string(s.ask(t, scene{as: stations.Office, do: "GET /t/" + codes[2], status: 200}).body); strings.Count(page, "<li><time") != 1 {
		t.Error("a panel's history isn't its release alone")
	}
}

// TestOrdersBeyondTheFloor: an order of 10,000 windows is refused with the bound named, at its list of windows, and so is one whose
// windows' quantities come to as many; the largest that is taken is released.
func TestOrdersBeyondTheFloor(t *testing.T) {
	s := openShop(t)
	many := strings.ReplaceAll(hotel(30, 3), "lining: sateen}", "lining: sateen, quantity: 67}") // 4,020 panels
	for name, file := range map[string]string{"10,000 windows": hotel(10_000, 10), "quantities": many} {
		got := s.ask(t, scene{as: stations.Office, do: "POST /api/orders", send: file, status: 422, has: map[string]string{"problems.0.where": "treatments"}})
		if said := got.at("problems.0.message"); got.at("problems.0.code") != "too_many_panels" || !strings.Contains(said, "4,000") && !strings.Contains(said, "4000") {
			t.Errorf("%s: %.300s", name, got.body)
		}
	}
	largest := strings.ReplaceAll(hotel(30, 3), "lining: sateen}", "lining: sateen, quantity: 66}")
	s.ask(t, scene{as: stations.Office, do: "POST /api/orders", send: largest, status: 201})
	s.ask(t, scene{as: stations.Office, do: "POST /api/orders/HOTEL/release", send: fields{}, status: 200, has: map[string]string{"state": "released"}})
	if n := len(s.Store.Floor().Order("HOTEL").Tickets); n != 30*66*2+2 {
		t.Errorf("%d tickets", n)
	}
	page := s.ask(t, scene{as: stations.Office, do: "GET /orders/HOTEL?tickets=7", status: 200})
	if len(page.body) > largestPage {
		t.Errorf("its page has %d bytes", len(page.body))
	}
}

// BenchmarkOrderPage shows the pages of an order of four windows and of a hotel by turns, and reports how much longer the hotel's
// takes.
func BenchmarkOrderPage(b *testing.B) {
	pages := map[int]*shop{}
	for _, windows := range []int{4, 300} {
		s := openShop(b)
		s.ask(b, scene{as: stations.Office, do: "POST /api/orders", send: hotel(windows, 6), status: 201})
		s.ask(b, scene{as: stations.Office, do: "POST /api/orders/HOTEL/release", send: fields{}, status: 200})
		pages[windows] = s
	}
	took, runs := map[int]time.Duration{}, 0
	for b.Loop() {
		runs++
		for windows, s := range pages {
			began := time.Now()
			s.ask(b, scene{as: stations.Office, do: "GET /orders/HOTEL", status: 200})
			took[windows] += time.Since(began)
		}
	}
	b.ReportMetric(float64(took[300].Microseconds())/1000/float64(runs), "hotel-ms")
	b.ReportMetric(float64(took[300])/float64(took[4]), "hotel/four")
}
