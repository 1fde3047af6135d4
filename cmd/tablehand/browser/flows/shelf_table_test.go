package flows

import (
	"fmt"
	"testing"

	"tablehand/cmd/tablehand/browser"
	"tablehand/cmd/tablehand/shoptest"
)

// TestBrowserTableOfTheShelf cuts from bolts of the shelf with a scanner and a thumb, on the smallest phone: a label that is wrong, the right one, a
// cut, a flaw, the others, what is left measured twice, what came off kept as a remnant, and the next order takes that first.
func TestBrowserTableOfTheShelf(t *testing.T) {
	c := browser.Start(t)
	s := shoptest.Open(t)
	office := func(do string, send shoptest.Fields, status int) shoptest.Answer {
		t.Helper()
		return s.Ask(t, shoptest.Request{As: s.Office, Do: do, Send: send, Status: status})
	}
	office("PUT /api/cloths/reed", shoptest.Fields{"name": "Reed", "usable_width": "54in", "vertical_repeat": "13 1/2in", "sold_by": "yd"}, 201)
	come := func(length, place string) string {
		return office("POST /api/bolts", shoptest.Fields{"cloth": "reed", "lot": "A", "length": length, "place": place}, 201).At("bolts.0")
	}
	bolt, other := come("40 yd", "3B"), come("9 yd", "4A")
	own := []string{"  - id: reed\n", "  - id: reed\n    cloth: reed\n", "    bolts:\n      - {id: R1, length: 40 yd, lot: A, first_repeat: 0, flaws: [{from: 7 yd, to: 7 yd 3 in}]}\n", ""}
	code := s.Release(t, "SMI-1", own...).Cutting[0].Ticket
	s.Done(t, s.Station, shoptest.Scan(code, "start", "cutting"), nil)
	p := c.SignIn(t, s).Tab(t, 320, 640, "/station/cutting?ticket="+code)
	look, shows, fill := eyesAt(t, p, 320)
	shows(bolt)
	shows("3B")
	look("shelf-fetch")
	p.Scan(s.URL+"/B/"+other, "refused") // it isn't cut from that one
	p.Scan(s.URL+"/B/"+bolt, "done")
	p.Wait(`document.querySelector("#cut")`) // what was to be fetched is gone from the page
	shows("Cut 1 of 5")
	p.Press(".bar .main-action", "done")
	shows("Cut 2 of 5")
	look("shelf-cut")
	browser.Read[bool](p, `window.shopFetch = window.fetch, window.fetch = () => Promise.reject(new TypeError()), true`) // the network is away
	fill("#flaw-from", "20")
	fill("#flaw-to", "23")
	p.Hit(`#flaw button[value="flaw"]`)
	p.Wait(`document.querySelector("#kept-flaw")?.checkVisibility()`)
	look("shelf-flaw-waits")
	browser.Read[bool](p, `window.fetch = window.shopFetch, true`)
	p.Wait(`!document.querySelector("#kept-flaw").checkVisibility()`)
	shows("148") // 121 1/2 and 23, an inch clear of the flaw, on the next repeat: there the page has the cut now
	for n := 2; n < 6; n++ {
		shows(fmt.Sprintf("Cut %d of 5", n))
		p.Press(".bar .main-action", "done")
	}
	shows("All is cut")
	look("shelf-owed")
	reckoned := office("GET /api/bolts/"+bolt, nil, 200)
	if reckoned.At("state") != "on_table" || reckoned.At("flaws.#") != "1" {
		t.Errorf("on the table the bolt is %s", reckoned.Body)
	}
	fill("#rest-length", "600")
	fill("#rest-place", "2A")
	p.Hit(`#rest button[value="rest"]`)
	p.Wait(`document.querySelector("#answer .said.refused")`) // far off what was reckoned: measured again
	fill("#rest-length", "600")
	browser.Read[bool](p, `document.querySelector("#rest [name=again]").checked = true`)
	p.Hit(`#rest button[value="rest"]`)
	p.Wait(`document.querySelector("#answer .said.done")`)
	if rest := office("GET /api/bolts/"+bolt, nil, 200); rest.At("rest") != "600in" || rest.At("place") != "2A" || rest.At("state") == "on_table" {
		t.Errorf("measured, the bolt is %s", rest.Body)
	}
	if came := office("GET /api/bolts/"+bolt, nil, 200); came.At("off.1.as") == "remnant" { // what lay before the flaw
		p.Open("/b/" + bolt)
		look("shelf-came-off")
		p.Hit(`button[value="part"]`)
		p.Wait(`location.search.includes("did=part")`)
		p.Open("/station/cutting?ticket=" + code)
	}
	s.Finish(t, s.Station, code, s.Look(t, code).Step)
	s.Expect(t, code, "cutting", "finished")
	next := s.Release(t, "SMI-2", own...).Cutting[0].Ticket
	if lines := office("GET /api/bolts/"+bolt, nil, 200); lines.At("promised.0.ticket") != next {
		t.Errorf("the next order isn't cut from what was opened: %s", lines.Body)
	}
	s.Audit(t)
}
