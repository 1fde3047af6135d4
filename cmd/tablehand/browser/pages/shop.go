package pages

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"tablehand/cmd/tablehand/shoptest"
)

// BusyShop is a shop filled so that everything a page may show is there: panels at each station, ready, at work, held,
// out of tolerance, sent back, changed, remade and finished; orders at each state; a draft and an invoice.
type BusyShop struct {
	*shoptest.Shop
	empty                          *shoptest.Shop // beside it, where nothing is yet
	taped, pinched, revised, uncut *shoptest.Floor
	closing, cutting, apart        *shoptest.Floor
	draft, invoice                 string
	credited, credit, creditDraft  string // an invoice, its credit note, and the draft of another's
	remade                         string // the ticket that another was remade for
	ended, scrapped                string // panels that ended, billed and not
	table                          table
	awaited, code                  string // a device that may enter, and by what
	lead, badge                    string // a lead, and their badge
	piece                          string // a ticket of a piece that isn't a panel
	bolt, heldBolt                 string // on the shelf: one that is inspected, one that is held
	count                          string // a count of a station that has ended, with a ticket astray
	stocktaken, stocktake          string // counts of the shelf: one that has ended, with a line of each kind, and one that goes on
}

// piecesOrder has no window: two cushions, a valance, and two repairs that go out of the house.
const piecesOrder = `
order: SMI-40
customer: Saltmarsh Inn
due: 2026-12-18
units: in
fabrics:
  - {id: canvas, usable_width: 54, use: face, bolts: [{id: C1, length: 12 yd, lot: A}]}
pieces:
  - {piece: cushion, text: Bench seat, quantity: 2, sizes: {width: 22, depth: 20, thickness: 3, welt: 1 1/2}, notes: Zip at the back}
  - {piece: valance, text: Kitchen valance, sizes: {width: 60, drop: 14, fullness: 2}}
  - {piece: repair, text: Torn hem, quantity: 2, route: [outside, sewing, packing], outside: {who: Marsh Upholstery, back: 2026-12-10}, sizes: {tear: 9}}
`

// fillShop makes the busy shop of one of two empty ones.
func fillShop(t *testing.T, s, empty *shoptest.Shop) *BusyShop {
	t.Helper()
	b := &BusyShop{Shop: s, empty: empty}
	office := func(do string, send any, status int) shoptest.Answer {
		t.Helper()
		return s.Ask(t, shoptest.Request{As: s.Office, Do: do, Send: send, Status: status})
	}
	office("PUT /api/prices", shoptest.Fields{"currency": "USD", "rows": []shoptest.Fields{{"heading": "cartridge-tape", "panel": "40.00", "width": "18.00"}, {"heading": "pinch-3", "panel": "38.50", "width": "16.00"}}}, 200)
	office("POST /api/devices", shoptest.Fields{"name": "Wall by the door", "kind": "wall", "language": "en"}, 201)
	device := office("POST /api/devices", shoptest.Fields{"name": "Joining tablet", "kind": "bench", "stations": []string{"joining", "fold"}, "language": "en"}, 201)
	lead := office("POST /api/people", shoptest.Fields{"name": "Ada Brook", "floor": "lead", "sign_in": "office"}, 201)
	b.lead, b.badge = lead.At("person"), lead.At("badge")
	office("POST /api/people", shoptest.Fields{"name": "Ben Tide", "floor": "hand"}, 201)
	office("POST /api/customers", shoptest.Fields{"name": "Salt House Lodge", "kind": "trade", "phone": "555 0199", "mail": "desk@salt-house.test", "billing": "2 Quay Street\nReedham", "order_form": "SHL-{n:3}"}, 201)
	b.awaited, b.code = device.At("device"), device.At("code")
	b.taped = s.Release(t, "SMI-1", shoptest.ManyWindows("9")...)
	b.taped.CutAll(t)
	b.pinched = s.Release(t, "SMI-2", "heading: cartridge-tape", "heading: pinch-3", "due: 2026-12-18", "due: 2026-01-05", "Bay, left", "Breakfast room, east wall")
	b.pinched.CutAll(t)
	office("POST /api/orders", shoptest.OrderFile(t, "SMI-3", "length: 40 yd", "length: 12 yd"), 201) // taken, and short of cloth
	office("POST /api/orders", shoptest.OrderFile(t, "SMI-4"), 201)
	office("POST /api/orders/SMI-4/cancel", shoptest.Fields{"reason": "House sold"}, 200)
	office("POST /api/orders", shoptest.OrderFile(t, "SMI-8", "customer: Saltmarsh Inn\n", ""), 201)
	office("POST /api/orders", longOrder(t, "SMI-20"), 201)
	office("POST /api/orders", roomOrder(t), 201)
	b.uncut = s.Release(t, "SMI-6", shoptest.ManyWindows("2")...)

	finished := []string{b.taped.NextPanel(t), b.taped.NextPanel(t), b.taped.NextPanel(t), b.taped.NextPanel(t), b.taped.NextPanel(t)}
	for _, code := range finished {
		s.WorkTo(t, code, "")
	}
	b.draft = office("POST /api/invoices", shoptest.Fields{"customer": "Saltmarsh Inn", "panels": finished[:1]}, 201).At("draft")
	issued := office("POST /api/invoices", shoptest.Fields{"customer": "Saltmarsh Inn", "panels": finished[1:2]}, 201).At("draft")
	b.invoice = office("POST /api/invoices/"+issued+"/issue", shoptest.Fields{}, 200).At("number")
	b.bills(t, finished[3:])

	for _, station := range []string{"fold", "tape", "pull_up", "inserts", "pressing", "packing"} {
		b.startAt(t, b.taped.NextPanel(t), station)
	}
	b.startAt(t, b.pinched.Panels[0].Ticket, "pleating")
	b.startAt(t, b.pinched.Panels[1].Ticket, "tacking")

	out := b.taped.NextPanel(t) // out of tolerance
	s.WorkTo(t, out, "pull_up")
	s.Finish(t, s.Station, out, s.Start(t, s.Station, out), "finished_width", "52in")
	back := b.taped.NextPanel(t)
	s.WorkTo(t, back, "pull_up")
	s.Done(t, s.Station, shoptest.Scan(back, "send_back", "", "to", "fold", "reason", "The fold is a quarter short"), nil)
	held := b.taped.NextPanel(t)
	s.Done(t, s.Station, shoptest.Scan(held, "hold", "", "reason", "Flaw in the middle of the second width"), nil)

	b.revised = s.Release(t, "SMI-5", shoptest.ManyWindows("2")...)
	b.revised.CutAll(t)
	s.WorkTo(t, b.revised.Panels[0].Ticket, "tape")
	s.Put(t, "SMI-5", "", shoptest.OrderFile(t, "SMI-5", append(shoptest.ManyWindows("2"), "finished_length: 95 1/2", "finished_length: 94")...))
	b.remade = b.revised.Panels[1].Ticket
	s.Done(t, s.Station, shoptest.Scan(b.remade, "hold", "", "reason", "Scorched at the iron"), nil)
	s.Done(t, s.Office, shoptest.Scan(b.remade, "remake", "", "reason", "Scorched at the iron"), nil)
	b.apart = s.Release(t, "SMI-31")
	b.apart.CutAll(t)
	s.WorkTo(t, b.apart.Panels[0].Ticket, "")
	b.startAt(t, b.apart.Panels[1].Ticket, "packing")
	b.ends(t)
	b.table = b.cuts(t)
	office("POST /api/orders", piecesOrder, 201)
	b.piece = office("POST /api/orders/SMI-40/release", shoptest.Fields{}, 200).At("tickets.4.ticket")
	office("POST /api/orders/SMI-40/own", shoptest.Fields{"text": "Torn hem", "copy": 2}, 200)
	office("PUT /api/conventions", shoptest.Fields{"shrink": "1", "headings.tulip.like": "goblet", "headings.tulip.name": "Tulip pleat", "headings.tulip.fullness": "2.3"}, 200) // what is on the books was taken before
	b.count = office("POST /api/floor_counts", shoptest.Fields{"station": "fold"}, 201).At("count")
	office("POST /api/floor_counts/"+b.count+"/seen", shoptest.Fields{"ticket": b.revised.Panels[0].Ticket}, 200)
	office("POST /api/floor_counts/"+b.count+"/end", shoptest.Fields{}, 200)
	b.shelves(t)
	return b
}

// shelves takes cloth in: a bolt that is inspected, one whose lot is in doubt, a customer's.
func (b *BusyShop) shelves(t *testing.T) {
	t.Helper()
	office := func(do string, send shoptest.Fields, status int) shoptest.Answer {
		t.Helper()
		return b.Ask(t, shoptest.Request{As: b.Office, Do: do, Send: send, Status: status})
	}
	office("PUT /api/cloths/reed-oat", shoptest.Fields{"name": "Reed, oat", "usable_width": "54in", "sold_by": "yd"}, 201)
	come := func(lot, place, owner string) string {
		return office("POST /api/bolts", shoptest.Fields{"cloth": "reed-oat", "lot": lot, "invoiced": "50 yd", "place": place, "owner": owner}, 201).At("bolts.0")
	}
	b.bolt, b.heldBolt = come("L7-4432", "3B", ""), come("L8-1", "3C", "Saltmarsh Inn")
	office("POST /api/shelf", shoptest.Fields{"bolt": b.bolt, "action": "inspect", "key": "1", "length": "49.5 yd", "widths": []string{"54in", "53.875in"},
		"flaws": []shoptest.Fields{{"from": "100in", "to": "104in", "kind": "weave"}, {"from": "900in", "kind": "hole"}}}, 200)
	remnant, lost := come("L7-4432", "R1", ""), come("L7-4432", "3B", "")
	count := func() string { return office("POST /api/counts", shoptest.Fields{}, 201).At("count") }
	saw := func(key, bolt, place, length string) {
		office("POST /api/shelf", shoptest.Fields{"bolt": bolt, "action": "count_bolt", "key": key, "place": place, "length": length}, 200)
	}
	b.stocktaken = count()
	saw("3", b.bolt, "3B", "48 yd")
	saw("4", b.heldBolt, "3C", "")
	saw("5", remnant, "3B", "")
	office("POST /api/counts/"+b.stocktaken+"/end", nil, 200)
	office("POST /api/counts/"+b.stocktaken+"/settle", shoptest.Fields{"bolt": lost, "as": "missing"}, 200)
	b.stocktake = count()
	saw("6", b.heldBolt, "3C", "")
	office("POST /api/shelf", shoptest.Fields{"bolt": b.bolt, "action": "place", "key": "7", "place": "3B"}, 200) // since it was scanned for the first
	office("POST /api/shelf", shoptest.Fields{"bolt": b.heldBolt, "action": "hold_bolt", "key": "2", "reason": "The shade is off at the outer end"}, 200)
	b.promises(t)
}

// promises has an order's cloth promised to it, so that another one is short.
func (b *BusyShop) promises(t *testing.T) {
	t.Helper()
	of := func(order string, more ...string) string {
		return shoptest.OrderFile(t, order, append([]string{"    bolts:\n      - {id: R1, length: 40 yd, lot: A, first_repeat: 0, flaws: [{from: 7 yd, to: 7 yd 3 in}]}\n",
			"    cloth: reed-oat\n", "length: 20 yd", "length: 60 yd"}, more...)...)
	}
	for _, file := range []string{of("SMI-44", "due: 2026-12-18", "due: 2027-01-22"), of("SMI-45", "quantity: 1", "quantity: 3")} {
		b.Ask(t, shoptest.Request{As: b.Office, Do: "POST /api/orders", Send: file, Status: 201})
	}
	b.Ask(t, shoptest.Request{As: b.Office, Do: "POST /api/orders/SMI-44/release", Send: shoptest.Fields{}, Status: 200})
}

// ends has one panel of an order end that is billed and one that isn't, and closes another order; a third is being cut.
func (b *BusyShop) ends(t *testing.T) {
	t.Helper()
	b.closing = b.Release(t, "SMI-9", shoptest.ManyWindows("2")...)
	b.closing.CutAll(t)
	b.ended, b.scrapped = b.closing.Panels[0].Ticket, b.closing.Panels[1].Ticket
	b.Done(t, b.Office, shoptest.Scan(b.ended, "scrap", "", "billable", true, "reason", "House sold"), nil)
	b.Done(t, b.Office, shoptest.Scan(b.scrapped, "scrap", "", "billable", false, "reason", "Scorched at the iron"), nil)
	closed := b.Release(t, "SMI-10")
	closed.CutAll(t)
	b.Ask(t, shoptest.Request{As: b.Office, Do: "POST /api/orders/SMI-10/close", Send: shoptest.Fields{"reason": "House sold"}, Status: 200})
	b.cutting = b.Release(t, "SMI-11")
	b.Start(t, b.Station, b.cutting.Cutting[0].Ticket)
}

// bills issues an invoice of each of two panels; the first is credited, a credit note of the second is drafted.
func (b *BusyShop) bills(t *testing.T, panels []string) {
	t.Helper()
	office := func(do string, send any, status int) shoptest.Answer {
		t.Helper()
		return b.Ask(t, shoptest.Request{As: b.Office, Do: do, Send: send, Status: status})
	}
	for i, code := range panels {
		draft := office("POST /api/invoices", shoptest.Fields{"customer": "Saltmarsh Inn", "panels": []string{code}}, 201).At("draft")
		number := office("POST /api/invoices/"+draft+"/issue", shoptest.Fields{}, 200).At("number")
		b.creditDraft = office("POST /api/invoices/"+number+"/credit",
			shoptest.Fields{"whole": true, "frees": true, "reason": "Billed to the hotel, not to its owner"}, 201).At("draft")
		if i == 0 {
			b.credited, b.credit = number, office("POST /api/invoices/"+b.creditDraft+"/issue", shoptest.Fields{}, 200).At("number")
		}
	}
}

// startAt takes a panel to a station and starts it there.
func (b *BusyShop) startAt(t *testing.T, code, station string) {
	t.Helper()
	b.WorkTo(t, code, station)
	b.Start(t, b.Station, code)
}

// roomOrder is the file of an order with a window of every kind in one room.
func roomOrder(t *testing.T) string {
	t.Helper()
	file, err := os.ReadFile(filepath.Join(filepath.Dir(shoptest.ExampleFile), "../orderfile/room.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	return string(file)
}

// longOrder is the file of an order of sixteen windows, made in six ways.
func longOrder(t *testing.T, id string) string {
	file := shoptest.OrderFile(t, id)
	for i := range 15 {
		file += fmt.Sprintf("  - {window: 2%02d, room: %d, heading: cartridge-tape, face_width: %d, finished_length: 84, face: reed, lining: sateen}\n", i, i+10, 40+i%5)
	}
	return file
}
