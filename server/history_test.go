package server

import (
	"fmt"
	"regexp"
	"strings"
	"testing"

	"tablehand/stations"
)

var ofHistory = regexp.MustCompile(`(?s)<ol class="events">(.*?)</ol>`)

// TestLongHistory: the newest fifty are shown first; the rest is a link away, back and forth, and nothing is told twice
// or left out.
func TestLongHistory(t *testing.T) {
	s := openShop(t)
	code := s.release(t, "SMI-1")[0]
	const holds = 60
	for i := range holds {
		s.ask(t, scene{as: stations.Office, do: "POST /api/scans", send: scanOf(code, "hold", "", "reason", "reason number "+string(rune('A'+i/26))+string(rune('a'+i%26))), status: 200})
		s.ask(t, scene{as: stations.Office, do: "POST /api/scans", send: scanOf(code, "resume", ""), status: 200})
	}
	const all = 2 + 2*holds // taken and released, too
	for _, path := range []string{"/orders/SMI-1", "/t/" + code} {
		told, pages := 0, 0
		seen := map[string]bool{}
		for at := path; at != ""; {
			page := string(s.ask(t, scene{as: stations.Office, do: "GET " + at, status: 200}).body)
			rows := strings.Split(ofHistory.FindString(page), "<li>")[1:]
			if len(rows) > 50 || pages == 0 && !strings.Contains(rows[0], "resumed") {
				t.Fatalf("%s: %d rows, the first %s", at, len(rows), rows[0])
			}
			for _, reason := range regexp.MustCompile(`reason number \w\w`).FindAllString(strings.Join(rows, ""), -1) {
				if seen[reason] {
					t.Errorf("%s is told twice", reason)
				}
				seen[reason] = true
			}
			if open := strings.Contains(page, `id="history" open`); open != (pages > 0) {
				t.Errorf("%s: the history is open: %v", at, open)
			}
			told, pages = told+len(rows), pages+1
			at = ""
			if m := regexp.MustCompile(`href="([^"]*\?before=\d+)#history"`).FindStringSubmatch(page); m != nil {
				at = m[1]
			}
		}
		least := all
		if path != "/orders/SMI-1" {
			least-- // taking the order is before its tickets
		}
		if pages != 3 || told != least || len(seen) != holds {
			t.Errorf("%s: %d rows on %d pages with %d reasons, want %d on 3 with %d", path, told, pages, len(seen), least, holds)
		}
	}
	s.ask(t, scene{as: stations.Office, do: "GET /orders/SMI-1?before=nonsense", status: 200})
}

// TestShortInPlace: an order whose cloth is short says on its page what lacks, of which lot, and what there is; it is
// released there with a reason, in one step.
func TestShortInPlace(t *testing.T) {
	s := openShop(t)
	s.ask(t, scene{as: stations.Office, do: "POST /api/orders", send: orderFile(t, "SMI-1", "length: 20 yd", "length: 10 yd"), status: 201})
	page := string(s.ask(t, scene{as: stations.Office, do: "GET /orders/SMI-1", status: 200}).body)
	text := regexp.MustCompile(`\s+`).ReplaceAllString(regexp.MustCompile(`<[^>]*>`).ReplaceAllString(page, ""), " ")
	for _, said := range []string{"Not enough cloth on hand", "sateen: 3 of 5 cuts fit; order 2 more cuts, 5 5⁄8 yd in all, of lot K", "2 cuts of 99 1⁄2 in for Bay, left, of lot K, as its other cuts are",
		"On hand: S1, lot K: 10 yd", "Add a bolt of sateen"} {
		if !strings.Contains(text, said) {
			t.Errorf("%q is not on the page:\n%s", said, text)
		}
	}
	if !strings.Contains(page, `href="/orders/SMI-1/edit?bolt=2#f-fabrics.1.bolts.1.id"`) || strings.Count(page, `name="override"`) != 1 {
		t.Error("the page doesn't lead to a decision")
	}
	s.ask(t, scene{as: stations.Office, do: "POST /api/orders/SMI-1/release", send: fields{"override": true, "reason": "the rest comes on Friday"}, status: 200})
	page = string(s.ask(t, scene{as: stations.Office, do: "GET /orders/SMI-1", status: 200}).body)
	if strings.Contains(page, `class="short"`) || !strings.Contains(page, "the rest comes on Friday") {
		t.Error("released, and the page asks on or doesn't tell why")
	}
}

// TestTrailsOfALongOrder: an order of many windows tells how the numbers of the one asked for came about, and leads to
// the others'; a short one tells all.
func TestTrailsOfALongOrder(t *testing.T) {
	s := openShop(t)
	file := orderFile(t, "SMI-1")
	s.ask(t, scene{as: stations.Office, do: "POST /api/orders", send: file, status: 201})
	long := strings.Replace(file, "order: SMI-1", "order: SMI-2", 1)
	for i, window := range []string{"B", "C", "D", "E"} {
		long += fmt.Sprintf("  - {window: %s, heading: cartridge-tape, draw: one_way_left, face_width: %d, finished_length: 84, face: reed, lining: sateen}\n", window, 40+i)
	}
	s.ask(t, scene{as: stations.Office, do: "POST /api/orders", send: long, status: 201})
	for path, want := range map[string]string{"/orders/SMI-1": "w0", "/orders/SMI-2?page=2": "", "/orders/SMI-2?window=3": "w3"} {
		page := string(s.ask(t, scene{as: stations.Office, do: "GET " + path, status: 200}).body)
		told := map[string]bool{}
		for _, m := range regexp.MustCompile(`id="(w\d+)-flat_width"`).FindAllStringSubmatch(page, -1) {
			told[m[1]] = true
		}
		if len(told) > 1 || want != "" && !told[want] || want == "" && len(told) > 0 {
			t.Errorf("%s tells %v, want %q", path, told, want)
		}
		if leads := strings.Contains(page, `href="/orders/SMI-2?window=4#window-4"`); leads != (path != "/orders/SMI-1") {
			t.Errorf("%s leads to the last window's: %v", path, leads)
		}
	}
}
