package flows

import (
	"bytes"
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"tablehand/cmd/tablehand/browser"
	"tablehand/cmd/tablehand/shoptest"
)

// TestBrowserClothToTheLastRemnant follows cloth through the pages on the smallest phone, in English by touch and in Spanish by a scanner
// with its cards: it is received, inspected with a flaw, promised by a release, laid, cut; a flaw more is found and what isn't cut moves
// behind it; what came off before the flaw is a remnant with a label, the rest is measured, and the next order is given the remnant first.
func TestBrowserClothToTheLastRemnant(t *testing.T) {
	c := browser.Start(t)
	for _, language := range []string{"en", "es"} {
		t.Run(language, func(t *testing.T) {
			f := &clothFlow{T: t, s: shoptest.Open(t), language: language}
			f.office("PUT /api/cloths/reed", shoptest.Fields{"name": "Reed", "usable_width": "54in", "sold_by": "yd"}, 201)
			f.p = c.SignIn(t, f.s).Tab(t, 320, 640, "/shelf/receive?language="+language)
			f.receive()
			f.inspect()
			f.take("SMI-1", "95 1/2")
			ticket := f.release("SMI-1")
			f.table(ticket)
			f.rest(ticket)
			f.take("SMI-2", "45") // one of its cuts is as short as the remnant is long
			f.offered("SMI-2")
			f.s.Audit(t)
		})
	}
}

type clothFlow struct {
	*testing.T
	s        *shoptest.Shop
	p        *browser.Tab
	language string // by touch in English, else by a scanner
	bolt     string
}

func (f *clothFlow) office(do string, send any, status int) shoptest.Answer {
	f.Helper()
	return f.s.Ask(f.T, shoptest.Request{As: f.s.Office, Do: do, Send: send, Status: status})
}

func (f *clothFlow) byScanner() bool { return f.language != "en" }

// open opens a page in the flow's language and looks at it.
func (f *clothFlow) open(path string) {
	f.Helper()
	f.p.Open(path)
	f.look()
}

// look sees that a page speaks the language and fits the phone.
func (f *clothFlow) look() {
	f.Helper()
	if got := browser.Read[string](f.p, "document.documentElement.lang"); got != f.language {
		f.Errorf("%s speaks %s", browser.Read[string](f.p, "location.pathname"), got)
	}
	if wide := browser.Read[int](f.p, "document.documentElement.scrollWidth"); wide > 320 {
		f.Errorf("%s is %d px wide on a screen of 320", browser.Read[string](f.p, "location.href"), wide)
	}
}

// types fills fields of a form in, by id.
func (f *clothFlow) types(fields ...string) {
	f.Helper()
	for i := 0; i+1 < len(fields); i += 2 {
		f.p.Do(chromedp.Evaluate[chromedp.Void](fmt.Sprintf(`(() => { const e = document.getElementById(%q); const fold = e.closest("details"); if (fold) fold.open = true; e.focus(); })()`, fields[i])))
		f.p.Keys(fields[i+1])
	}
}

func (f *clothFlow) receive() {
	browser.Read[string](f.p, `document.getElementById("f-cloth").value = "reed"`)
	f.types("f-lot", "A", "f-length", "30 yd", "f-place", "3B")
	f.look()
	f.p.Hit("form .main-action")
	f.p.Wait(`location.pathname === "/shelf/reed"`)
	f.look()
	f.bolt = f.office("GET /api/bolts?cloth=reed", nil, 200).At("bolts.0.bolt")
	f.p.Wait(fmt.Sprintf(`document.querySelector("main a[href='/b/%s']")`, f.bolt))
}

// inspect finds a flaw 5 to 5½ yd from the outer end.
func (f *clothFlow) inspect() {
	f.open("/b/" + f.bolt + "/inspect")
	f.types("f-length", "30 yd", "f-width_1", "54", "from-0", "180", "to-0", "198")
	f.p.Hit("form .main-action")
	f.p.Wait(`document.querySelector(".bolt-facts")`)
	f.look()
	if got := f.office("GET /api/bolts/"+f.bolt, nil, 200); got.At("flaws.0.points") != "4" || got.At("state") != "on_shelf" {
		f.Errorf("inspected, the bolt is %s", got.Body)
	}
}

// take takes an order of plain cloth in.
func (f *clothFlow) take(order, length string) {
	f.office("POST /api/orders", shoptest.OrderFile(f.T, order, "  - id: reed\n", "  - id: reed\n    cloth: reed\n", "vertical_repeat: 13 1/2", "vertical_repeat: 0",
		"    bolts:\n      - {id: R1, length: 40 yd, lot: A, first_repeat: 0, flaws: [{from: 7 yd, to: 7 yd 3 in}]}\n", "", "finished_length: 95 1/2", "finished_length: "+length), 201)
}

// release releases an order at its page and returns the ticket of its face.
func (f *clothFlow) release(order string) (ticket string) {
	f.open("/orders/" + order)
	f.p.Hit(`form[action$="/release"] .main-action`)
	f.p.Wait(`!document.querySelector('form[action$="/release"]')`)
	for _, r := range f.rows(order) {
		if r.Fabric == "reed" {
			ticket = r.Ticket
		}
	}
	return ticket
}

func (f *clothFlow) rows(order string) []shoptest.Row {
	var got struct{ Tickets []shoptest.Row }
	f.office("GET /api/orders/"+order, nil, 200).Into(f.T, &got)
	return got.Tickets
}

// line is a cut of a ticket, as its document has it.
type line struct {
	Cut, Bolt, From, Length string
	Done                    bool
}

func (f *clothFlow) cuts(ticket string) []line {
	var got struct{ Cuts []line }
	f.office("GET /api/tickets/"+ticket, nil, 200).Into(f.T, &got)
	return got.Cuts
}

// left is how many cuts of a ticket aren't made.
func (f *clothFlow) left(ticket string) int {
	return len(slices.DeleteFunc(f.cuts(ticket), func(l line) bool { return l.Done }))
}

// cut makes the cut whose turn it is, as planned, and waits for the next one.
func (f *clothFlow) cut() {
	f.Helper()
	f.p.Wait(`document.querySelector("#cut [name=cut]")`)
	now := browser.Read[string](f.p, `document.querySelector("#cut [name=cut]").value`)
	if f.byScanner() {
		f.p.Scan("DO CUT", "done")
	} else {
		f.p.Press(".bar .main-action", "done")
	}
	f.p.Wait(fmt.Sprintf(`!document.querySelector("#cut [name=cut][value='%s']")`, now))
}

// table lays the bolt, makes a cut, tells of a flaw 100 in behind it, and makes the other cuts behind that.
func (f *clothFlow) table(ticket string) {
	f.s.Done(f.T, f.s.Station, shoptest.Scan(ticket, "start", "cutting"), nil)
	f.open("/station/cutting?ticket=" + ticket)
	f.p.Wait(fmt.Sprintf(`document.querySelector("#table").textContent.includes(%q)`, f.bolt))
	if f.byScanner() {
		f.p.Scan(f.s.URL+"/B/"+f.bolt, "done")
	} else {
		f.p.Press(".bar .main-action", "done")
	}
	f.cut()
	f.look()
	before := f.cuts(ticket)
	lay := browser.Read[string](f.p, `document.querySelector("#cut [name=from]").value`)
	if f.byScanner() {
		for _, card := range []string{"DO FLAW", "DO KEY 1", "DO KEY 0", "DO KEY 0", "DO NEXT", "DO KEY 1", "DO KEY 0", "DO KEY 4", "DO FLAW"} {
			f.p.Do(chromedp.Focus(chromedp.CSS("#scan")), chromedp.KeyEvent(card+"\r"))
		}
	} else {
		f.types("flaw-from", "100", "flaw-to", "104")
		f.p.Hit(`#flaw button[value="flaw"]`)
	}
	f.p.Until("the cuts move behind the flaw", func() bool {
		now := f.cuts(ticket)
		return now[1].From != before[1].From || now[1].Bolt != before[1].Bolt
	})
	f.p.Wait(fmt.Sprintf(`document.querySelector("#cut [name=from]").value !== %q`, lay))
	f.look()
	for range f.left(ticket) {
		f.cut()
	}
	if n := f.left(ticket); n > 0 {
		f.Errorf("%d cuts are left", n)
	}
	f.look()
}

// rest keeps what came off before the flaws and tells of what is left of the bolt; then the ticket is finished.
func (f *clothFlow) rest(ticket string) {
	f.p.Wait(`document.querySelector("#rest[open]")`)
	left := f.office("GET /api/bolts/"+f.bolt, nil, 200).At("rest")
	if f.byScanner() {
		f.p.Do(chromedp.Focus(chromedp.CSS("#rest-length")))
		f.p.Keys(strings.TrimSuffix(left, "in"))
	} else {
		f.types("rest-length", left)
	}
	f.types("rest-place", "2A")
	f.p.Unsaid()
	f.p.Hit(`#rest button[value="rest"]`)
	f.p.Answered("done") // a page that is left before sends it once more from the next
	f.p.Until("the bolt is back", func() bool { return f.office("GET /api/bolts/"+f.bolt, nil, 200).At("state") == "on_shelf" })
	f.open("/b/" + f.bolt)
	f.types("part-0", "9C")
	f.p.Hit(`button[value="part"]`)
	f.p.Wait(`location.search.includes("did=part")`)
	f.look()
	f.s.Finish(f.T, f.s.Station, ticket, f.s.Look(f.T, ticket).Step)
	f.s.Expect(f.T, ticket, "cutting", "finished")
}

// offered sees that the next order is to be cut from the remnant, and that its label is there to print.
func (f *clothFlow) offered(order string) {
	var remnant string
	var got struct {
		Bolts []struct{ Bolt, Kind, Place string }
	}
	f.office("GET /api/bolts?cloth=reed", nil, 200).Into(f.T, &got)
	for _, b := range got.Bolts {
		if b.Kind == "remnant" && b.Place == "9C" {
			remnant = b.Bolt
		}
	}
	if label := f.office("GET /api/bolts/"+remnant+"/label.pdf", nil, 200); !bytes.HasPrefix(label.Body, []byte("%PDF")) {
		f.Errorf("the remnant's label is %.40q", label.Body)
	}
	f.open("/orders/" + order + "/cloth")
	if said := f.p.Sees("main"); !strings.Contains(said, remnant) {
		f.Errorf("%s is not offered the remnant %s: %s", order, remnant, said)
	}
	ticket := f.release(order)
	if !slices.ContainsFunc(f.cuts(ticket), func(l line) bool { return l.Bolt == remnant }) {
		f.Errorf("nothing is cut from the remnant: %v", f.cuts(ticket))
	}
}
