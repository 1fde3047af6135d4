package flows

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"tablehand/cmd/tablehand/browser"
	"tablehand/cmd/tablehand/shoptest"
)

// TestBrowserJoinedLinings: the office joins the linings of two orders of one cloth, parts them and joins them again; at the table, on the
// smallest phone, the bolt is laid once, each cut of either order is one touch or one card in the turn in which they lie, what is left is
// measured once, and both tickets are finished. In English by touch, in Spanish by a scanner with its cards.
func TestBrowserJoinedLinings(t *testing.T) {
	c := browser.Start(t)
	for _, language := range []string{"en", "es"} {
		t.Run(language, func(t *testing.T) {
			f := &clothFlow{T: t, s: shoptest.Open(t), language: language}
			f.office("PUT /api/cloths/sateen", shoptest.Fields{"name": "Sateen", "usable_width": "54in", "sold_by": "yd"}, 201)
			f.bolt = f.office("POST /api/bolts", shoptest.Fields{"cloth": "sateen", "lot": "A", "length": "30 yd", "place": "3B"}, 201).At("bolts.0")
			tickets := []string{f.lining("SMI-1", "95 1/2"), f.lining("SMI-2", "75 1/2")}
			f.p = c.SignIn(t, f.s).Tab(t, 320, 640, "/shelf/sateen?language="+language)
			f.join(tickets)
			f.run(tickets)
			f.s.Audit(t)
		})
	}
}

// lining releases an order whose lining is of the shop's cloth, and returns the ticket by which that is cut.
func (f *clothFlow) lining(order, length string) string {
	f.Helper()
	of := f.s.Release(f.T, order, "  - id: sateen\n", "  - id: sateen\n    cloth: sateen\n", "    bolts:\n      - {id: S1, length: 20 yd, lot: K}\n", "", "finished_length: 95 1/2", "finished_length: "+length)
	return of.Cutting[slices.IndexFunc(of.Cutting, func(r shoptest.Row) bool { return r.Fabric == "sateen" })].Ticket
}

// join ticks both orders on their cloth's page and has them planned together; the second is parted once, and joined again.
func (f *clothFlow) join(tickets []string) {
	together := func() {
		f.Helper()
		for _, code := range tickets {
			f.p.Hit(fmt.Sprintf(`.joins .tick:has([value=%q])`, code))
		}
		f.p.Hit(`.joins form.stack button:not([form])`)
		f.p.Wait(`document.querySelectorAll('.joins [name="apart"]').length === 2`)
		f.look()
	}
	together()
	f.p.Hit(fmt.Sprintf(`.joins [name="apart"][value=%q]`, tickets[1]))
	f.p.Wait(`document.querySelector('.said') && !document.querySelector('.joins [name="apart"]')`)
	together()
}

// run begins both tickets at the station and cuts them in one run: whichever ticket's cut is next, it is made from the page that is open.
func (f *clothFlow) run(tickets []string) {
	f.open("/station/cutting")
	f.p.Start(tickets[0])
	f.p.Start(tickets[1])
	f.look()
	if f.byScanner() {
		f.p.Scan(f.s.URL+"/B/"+f.bolt, "done")
	} else {
		f.p.Press(".bar .main-action", "done")
	}
	var turns []string
	for range len(f.cuts(tickets[0])) + len(f.cuts(tickets[1])) {
		ticket, cut := f.inFront(tickets)
		turns = append(turns, ticket)
		f.p.Wait(fmt.Sprintf(`document.querySelector('#cut:has([name=code][value=%q]) [name=cut][value=%q]')`, ticket, cut))
		if f.byScanner() {
			f.p.Scan("DO CUT", "done")
		} else {
			f.p.Press(".bar .main-action", "done")
		}
		if after, _ := f.inFront(tickets); after != "" && after != ticket {
			if said, order := f.p.Sees("#answer"), fmt.Sprintf("SMI-%d", 1+slices.Index(tickets, after)); !strings.Contains(said, order) {
				f.Errorf("with a cut of %s next it is said: %s", order, said)
			}
		}
	}
	if n := f.left(tickets[0]) + f.left(tickets[1]); n > 0 || len(slices.Compact(slices.Clone(turns))) < 2 {
		f.Errorf("cut in turn were %v, and %d are left", turns, n)
	}
	last := turns[len(turns)-1]
	f.open("/station/cutting?ticket=" + last)
	f.p.Wait(`document.querySelector("#rest[open]")`)
	f.types("rest-length", strings.TrimSuffix(f.office("GET /api/bolts/"+f.bolt, nil, 200).At("rest"), "in"))
	f.p.Unsaid()
	f.p.Hit(`#rest button[value="rest"]`)
	f.p.Answered("done") // a page that is left before sends it once more from the next
	f.p.Until("the bolt is back", func() bool { return f.office("GET /api/bolts/"+f.bolt, nil, 200).At("state") == "on_shelf" })
	for _, code := range tickets {
		f.open("/station/cutting?ticket=" + code)
		f.p.Unsaid()
		f.p.Tick()
		f.p.Finishes("done")
		f.s.Expect(f.T, code, "cutting", "finished")
	}
}

// inFront is the cut of either ticket that lies outermost on the bolt and isn't made.
func (f *clothFlow) inFront(tickets []string) (ticket, cut string) {
	front := math.Inf(1)
	for _, code := range tickets {
		for _, l := range f.cuts(code) {
			from, err := strconv.ParseFloat(strings.TrimSuffix(l.From, "in"), 64)
			if err != nil {
				f.Fatal(err)
			}
			if !l.Done && from < front {
				front, ticket, cut = from, code, l.Cut
			}
		}
	}
	return ticket, cut
}
