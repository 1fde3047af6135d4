package server

import (
	"fmt"
	"net/url"
	"strconv"
	"strings"
	"sync"
	"testing"

	"tablehand/engine/measure"
	"tablehand/stations"
	"tablehand/stations/plan"
)

// withoutBolts are changes of the example order that leave its face to the shelf.
func withoutBolts(order string, more ...string) []string {
	return append([]string{"    bolts:\n      - {id: R1, length: 40 yd, lot: A, first_repeat: 0, flaws: [{from: 7 yd, to: 7 yd 3 in}]}\n", "",
		"length: 20 yd", "length: 900 yd", "{id: S1,", "{id: S-" + order + ","}, more...)
}

// take takes the example in, changed.
func (s *shop) take(t testing.TB, order string, changes ...string) {
	t.Helper()
	s.ask(t, scene{as: stations.Office, do: "POST /api/orders", send: example(t, order, changes...), status: 201})
}

// reedBook adds the example order's face to the book of cloths.
func (s *shop) reedBook(t *testing.T) {
	s.ask(t, scene{name: "reed", as: stations.Office, do: "PUT /api/cloths/reed", send: fields{"name": "Reed", "sold_by": "yd", "usable_width": "54in", "vertical_repeat": "13 1/2in"}, status: 201})
}

// on are the bolts on which an order's tickets of a fabric lie.
func (s *shop) on(order, fabric string) map[string]int {
	bolts := map[string]int{}
	for _, ticket := range s.Store.Floor().Order(order).Tickets {
		for _, l := range ticket.Spec.Cuts {
			if ticket.Spec.Fabric == fabric && !ticket.Cancelled {
				bolts[l.Bolt]++
			}
		}
	}
	return bolts
}

// TestClothFromTheShelf: a fabric that is linked is cut from the shelf, as its file or the office says; two orders get no stretch twice,
// and what doesn't suffice is short.
func TestClothFromTheShelf(t *testing.T) {
	s := openShop(t)
	s.reedBook(t)
	remnant := s.receiveBolt(t, fields{"cloth": "reed", "lot": "A", "length": "9 yd"})
	bolt := s.receiveBolt(t, fields{"cloth": "reed", "lot": "A", "length": "40 yd"})
	narrow := s.receiveBolt(t, fields{"cloth": "reed", "lot": "A", "length": "99 yd", "usable_width": "52in"})
	theirs := s.receiveBolt(t, fields{"cloth": "reed", "lot": "A", "length": "99 yd", "owner": "Reed House"})
	kept := s.receiveBolt(t, fields{"cloth": "reed", "lot": "A", "length": "99 yd"})
	held := s.receiveBolt(t, fields{"cloth": "reed", "lot": "A", "length": "99 yd"})
	for _, scene := range []scene{
		{send: fields{"bolt": kept, "action": "keep", "customer": "Reed House", "key": "k"}},
		{send: fields{"bolt": held, "action": "hold_bolt", "reason": "shade", "key": "h"}},
	} {
		scene.as, scene.do, scene.status = stations.Office, "POST /api/shelf", 200
		s.ask(t, scene)
	}
	s.take(t, "A", withoutBolts("A")...)
	s.take(t, "B", withoutBolts("B", "  - id: reed\n", "  - id: reed\n    cloth: reed\n")...)
	s.take(t, "C", withoutBolts("C", "  - id: reed\n", "  - id: reed\n    cloth: reed\n")...)
	link := fields{"fabric": "reed", "cloth": "reed", "key": "l1"}
	s.play(t, []scene{
		{name: "a cloth that there isn't", as: stations.Office, do: "POST /api/orders/A/cloth", send: fields{"fabric": "reed", "cloth": "oat"}, status: 404, code: "unknown_cloth"},
		{name: "a fabric that there isn't", as: stations.Office, do: "POST /api/orders/A/cloth", send: fields{"fabric": "oat", "cloth": "reed"}, status: 422, code: "bad_value"},
		{name: "no such order", as: stations.Office, do: "POST /api/orders/Z/cloth", send: link, status: 404, code: "not_found"},
		{name: "not for a bench", as: stations.Bench, do: "POST /api/orders/A/cloth", send: link, status: 403, code: "forbidden"},
		{name: "without it nothing is on hand", as: stations.Office, do: "GET /api/orders/A/workup", status: 200, has: map[string]string{"totals.fabrics.0.on_bolts": ""}},
		{name: "linked", as: stations.Office, do: "POST /api/orders/A/cloth", send: link, status: 200, has: map[string]string{"fabric": "reed", "cloth": "reed", "problems.#": "1", "problems.0.code": "bolt_narrow"}},
		{name: "the same again", as: stations.Office, do: "POST /api/orders/A/cloth", send: link, status: 200},
		{name: "released", as: stations.Office, do: "POST /api/orders/A/release", status: 200},
		{name: "by the file", as: stations.Office, do: "POST /api/orders/B/release", status: 200},
		{name: "on hand is what nobody was promised", as: stations.Office, do: "GET /api/orders/C/workup", status: 200, has: map[string]string{"totals.fabrics.0.on_bolts": "549in"}},
		{name: "no more of it is free", as: stations.Office, do: "POST /api/orders/C/release", status: 409, code: "fabric_short"},
	})
	for _, order := range []string{"A", "B"} {
		for on := range s.on(order, "reed") {
			if on != remnant && on != bolt {
				t.Errorf("%s is cut from %s; %s is narrow, %s another's, %s kept, %s held", order, on, narrow, theirs, kept, held)
			}
		}
	}
	s.promisedOnce(t)
	cancelled := fields{"reason": "sold", "key": "c"}
	s.ask(t, scene{as: stations.Office, do: "POST /api/orders/A/cancel", send: cancelled, status: 200})
	s.ask(t, scene{name: "what is free again is C's", as: stations.Office, do: "POST /api/orders/C/release", status: 200})
	s.promisedOnce(t)
	s.audited(t)
}

// promisedOnce checks that no stretch of the shelf is promised to two.
func (s *shop) promisedOnce(t testing.TB) {
	t.Helper()
	for _, b := range s.Store.Floor().Shelf().Bolts() {
		at := b.Begin
		for _, p := range s.Store.Floor().Promised(b.Code) {
			if p.Span.From < at || p.Span.To > b.End() {
				t.Errorf("%s: %s of %s lies on what is another's, or nobody's: %v", b.Code, p.Cut, p.Order, p.Span)
			}
			at = max(at, p.Span.To)
		}
	}
}

// TestLinkDiffers: a link with a cloth of other sizes needs a reason; after the first cut there is none.
func TestLinkDiffers(t *testing.T) {
	s := openShop(t)
	s.ask(t, scene{as: stations.Office, do: "PUT /api/cloths/oat", send: fields{"name": "Oat", "usable_width": "55in"}, status: 201})
	code := s.receiveBolt(t, fields{"cloth": "oat", "length": "40 yd", "lot": "A"})
	s.take(t, "A", withoutBolts("A")...)
	link := fields{"fabric": "reed", "cloth": "oat", "key": "1"}
	s.ask(t, scene{as: stations.Office, do: "POST /api/orders/A/cloth", send: link, status: 409, code: "cloth_differs"})
	link["reason"], link["key"] = "the mill narrowed it", "2"
	s.play(t, []scene{
		{name: "for a reason", as: stations.Office, do: "POST /api/orders/A/cloth", send: link, status: 200},
		{name: "released", as: stations.Office, do: "POST /api/orders/A/release", status: 200},
		{name: "not cut yet, it is the file's again", as: stations.Office, do: "DELETE /api/orders/A/cloth/reed", status: 200, has: map[string]string{"cloth": ""}},
	})
	if got := s.on("A", "reed"); got[code] > 0 {
		t.Errorf("unlinked, its cuts lie on %v", got)
	}
	link["key"] = "3"
	s.ask(t, scene{name: "and linked after the release", as: stations.Office, do: "POST /api/orders/A/cloth", send: link, status: 200})
	if got := s.on("A", "reed"); len(got) != 1 || got[code] == 0 {
		t.Errorf("linked after the release, its cuts lie on %v", got)
	}
	ticket := s.ticketOf(t, "A", "", "reed")
	s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: fields{"ticket": ticket, "station": "cutting", "action": "start", "key": "s"}, status: 200})
	s.ask(t, scene{as: stations.Office, do: "DELETE /api/orders/A/cloth/reed", status: 409, code: "already_cut"})
	s.audited(t)
}

// TestPutOnTheShelf: a file's bolt that is put on the shelf is that one everywhere from then on, once.
func TestPutOnTheShelf(t *testing.T) {
	s := openShop(t)
	s.reedBook(t)
	s.take(t, "A")
	from := fields{"order": "A", "fabric": "reed", "bolt": "R1"}
	s.play(t, []scene{
		{name: "of which cloth", as: stations.Office, do: "POST /api/bolts", send: fields{"from": from}, status: 422, code: "missing_key"},
		{name: "no such bolt", as: stations.Office, do: "POST /api/bolts", send: fields{"cloth": "reed", "from": fields{"order": "A", "fabric": "reed", "bolt": "R9"}}, status: 404, code: "unknown_bolt"},
	})
	put := fields{"cloth": "reed", "from": from, "key": "1", "place": "2A", "at": "2026-11-30T10:00:00Z"}
	code := s.receiveBolt(t, put)
	s.play(t, []scene{
		{name: "twice", as: stations.Office, do: "POST /api/bolts", send: fields{"cloth": "reed", "from": from}, status: 409, code: "on_shelf_already", has: map[string]string{"where.bolts.0": code}},
		{name: "sent again it is the same", as: stations.Office, do: "POST /api/bolts", send: put, status: 201, has: map[string]string{"bolts.0": code}},
		{name: "whose it is a bench knows by the order", as: stations.Bench, do: "GET /api/bolts/" + code, status: 200, has: map[string]string{"owner": "A"}},
		{name: "what is known of it", as: stations.Office, do: "GET /api/bolts/" + code, status: 200, has: map[string]string{"owner": "Saltmarsh Inn", "rest": "1440in", "lot": "A", "flaws.#": "1", "flaws.0.from": "252in"}},
		{name: "it is still enough", as: stations.Office, do: "POST /api/orders/A/release", status: 200},
		{name: "promised to its order", as: stations.Office, do: "GET /api/bolts/" + code, status: 200, has: map[string]string{"promised.0.order": "A"}},
	})
	for _, l := range s.Store.Floor().Ticket(plan.Code(s.ticketOf(t, "A", "", "reed"))).Spec.Cuts {
		if l.From.Length() < 255*measure.Inch && l.End() > 252*measure.Inch {
			t.Errorf("cut %s lies on the flaw", l.Cut)
		}
	}
	s.promisedOnce(t)
	s.audited(t)
}

// TestManyReleasesOnOneShelf: of releases at once that want the same bolts none is promised what another has.
func TestManyReleasesOnOneShelf(t *testing.T) {
	s := openShop(t)
	s.reedBook(t)
	for i := range 10 {
		s.receiveBolt(t, fields{"cloth": "reed", "lot": "A", "length": strconv.Itoa(30+i) + " yd"})
	}
	const orders = 24
	for i := range orders {
		s.take(t, fmt.Sprintf("T-%d", i), withoutBolts(fmt.Sprintf("T-%d", i), "  - id: reed\n", "  - id: reed\n    cloth: reed\n")...)
	}
	var all sync.WaitGroup
	for i := range orders {
		all.Go(func() {
			for {
				got := s.try(t, scene{as: stations.Office, do: fmt.Sprintf("POST /api/orders/T-%d/release", i)})
				if got.status != 503 {
					if got.status != 200 && !strings.Contains(string(got.body), "fabric_short") {
						t.Errorf("T-%d: %d %s", i, got.status, got.body)
					}
					return
				}
			}
		})
	}
	all.Wait()
	s.promisedOnce(t)
	released := 0
	for _, o := range s.Store.Floor().Orders() {
		if o.State == stations.OrderReleased {
			released++
		}
	}
	if released < 8 {
		t.Errorf("only %d are released", released)
	}
	s.audited(t)
}

// TestReleaseByTheShelfsWays: cuts on the shelf's bolts stay clear of their ends and of flaws as the shop has set it, of their ends as
// the cloth has it where it has its own.
func TestReleaseByTheShelfsWays(t *testing.T) {
	laid := func(ways fields) (first, gap measure.Length) {
		s := openShop(t)
		s.reedBook(t)
		if own, has := ways["reed's"]; has {
			delete(ways, "reed's")
			s.ask(t, scene{as: stations.Office, do: "PUT /api/cloths/reed", send: fields{"name": "Reed", "usable_width": "54in", "end_allowance": own}, status: 200,
				has: map[string]string{"end_allowance": fmt.Sprint(own)}})
		}
		s.ask(t, scene{as: stations.Office, do: "PUT /api/conventions", send: ways, status: 200})
		bolt := s.receiveBolt(t, fields{"cloth": "reed", "lot": "A", "length": "40 yd"})
		s.ask(t, scene{as: stations.Bench, do: "POST /api/shelf", send: fields{"bolt": bolt, "action": "inspect", "key": "i",
			"flaws": []fields{{"from": "0in", "to": "26in", "points": 2}}}, status: 200})
		s.take(t, "A", withoutBolts("A", "  - id: reed\n", "  - id: reed\n    cloth: reed\n", "vertical_repeat: 13 1/2", "vertical_repeat: 0")...)
		s.ask(t, scene{as: stations.Office, do: "POST /api/orders/A/release", status: 200})
		promised := s.Store.Floor().Promised(plan.Code(bolt))
		return promised[0].Span.From, promised[1].Span.From - promised[0].Span.To
	}
	for _, tt := range []struct {
		ways      fields
		from, gap measure.Length // in
	}{
		{fields{}, 27, 0}, {fields{"flaw_clear": "3in"}, 29, 0}, {fields{"cut_around": 3}, 0, 0}, {fields{"cut_around": 3, "end_allowance": "5in"}, 5, 0},
		{fields{"cut_around": 3, "reed's": "2in"}, 2, 0}, {fields{"cut_around": 3, "end_allowance": "5in", "reed's": "0in"}, 0, 0},
		{fields{"kerf": "1in"}, 27, 1},
	} {
		if from, gap := laid(tt.ways); from != tt.from*measure.Inch || gap != tt.gap*measure.Inch {
			t.Errorf("with %v the first cut begins at %s, want %d, and the next %s behind it, want %d", tt.ways, from.In(measure.In), tt.from, gap.In(measure.In), tt.gap)
		}
	}
}

// TestOneLotByTheShopsWay: orders are cut from one dye lot a window, or one in all, as the shop has it when they are taken; those of before keep
// theirs until they are brought up.
func TestOneLotByTheShopsWay(t *testing.T) {
	s := openShop(t)
	s.reedBook(t)
	s.receiveBolt(t, fields{"cloth": "reed", "lot": "A", "length": "20 yd"})
	s.receiveBolt(t, fields{"cloth": "reed", "lot": "B", "length": "20 yd"})
	two := func(order string) []string { // windows, each of which fits on a bolt
		return withoutBolts(order, "  - id: reed\n", "  - id: reed\n    cloth: reed\n", "  - window: Bay, left\n",
			"  - {window: Door, heading: cartridge-tape, draw: pair, face_width: 84, return: 3 1/2, overlap: 6, finished_length: 95 1/2, face: reed, lining: sateen}\n  - window: Bay, left\n")
	}
	s.take(t, "A", two("A")...)
	s.ask(t, scene{as: stations.Office, do: "PUT /api/conventions", send: fields{"lot_group": "order"}, status: 200})
	s.take(t, "B", two("B")...)
	s.play(t, []scene{
		{name: "one in all", as: stations.Office, do: "POST /api/orders/B/release", status: 409, code: "lots_mixed"},
		{name: "it says for which windows", as: stations.Office, do: "GET /api/orders/B/workup", status: 200, has: map[string]string{"practice.lot_group": "order"}},
		{name: "one a window, as it was taken", as: stations.Office, do: "POST /api/orders/A/release", status: 200},
	})
	if got := s.on("A", "reed"); len(got) != 2 {
		t.Errorf("A is cut from %v", got)
	}
	s.audited(t)
}

// TestOrdersClothPage links a fabric, puts a file's bolt on the shelf and takes the link back, by the page's forms without script.
func TestOrdersClothPage(t *testing.T) {
	s := openShop(t)
	s.ask(t, scene{as: stations.Office, do: "PUT /api/cloths/oat", send: fields{"name": "Oat", "usable_width": "55in"}, status: 201})
	s.take(t, "A")
	s.visit(t, stations.Office, "/orders/A/cloth", 200, "It isn’t one of the shop’s cloths", "R1")
	form := func(action string, more ...string) url.Values {
		v := url.Values{"action": {action}, "fabric": {"reed"}}
		for i := 0; i+1 < len(more); i += 2 {
			v.Set(more[i], more[i+1])
		}
		return v
	}
	if got := s.post(t, stations.Office, "/orders/A/cloth", form("link", "cloth", "oat"), false); got.status != 409 || !strings.Contains(string(got.body), "Say why it is that cloth") {
		t.Errorf("without a reason: %d", got.status)
	}
	for _, step := range []struct {
		form url.Values
		says string
	}{
		{form("link", "cloth", "oat", "reason", "the mill narrowed it"), "As the office says"},
		{form("put", "bolt", "R1", "place", "3B"), "It is on the shelf"},
		{form("unlink"), "It is what the order says"},
	} {
		got := s.post(t, stations.Office, "/orders/A/cloth", step.form, false)
		if got.status != 303 {
			t.Fatalf("%v: %d %s", step.form, got.status, got.body)
		}
		s.visit(t, stations.Office, strings.Split(got.header.Get("Location"), "#")[0], 200, step.says)
	}
	if bolts := s.Store.Floor().Shelf().Bolts(); len(bolts) != 1 || bolts[0].Cloth != "oat" || bolts[0].Owner != "Saltmarsh Inn" || bolts[0].Place != "3B" {
		t.Errorf("on the shelf is %+v", bolts)
	}
	s.visit(t, stations.Bench, "/orders/A/cloth", 403)
	s.audited(t)
}
