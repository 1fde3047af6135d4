package paper

import (
	"bytes"
	"flag"
	"fmt"
	"image"
	"image/png"
	"os"
	"path/filepath"
	"testing"

	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
	"tablehand/views/i18n"
)

var update = flag.Bool("update", false, "write the golden pictures anew")

const (
	goldenDPI = 60
	// Another version of the renderer smooths edges otherwise: a pixel differs where it is off by more than this, and
	// a picture where more than a share of its pixels are. A line that moves is beyond it; that the numbers are right
	// is for the tests that read them.
	goldenShade = 70
	goldenShare = 0.0005
)

// TestPaperLooksAsItDid renders every kind of paper and compares it with the picture that somebody has looked at. A
// new look is looked at too, then kept: go test ./views/paper -run Looks -update.
func TestPaperLooksAsItDid(t *testing.T) {
	toPPM := tool(t, "pdftoppm")
	for name, paper := range goldenPapers(t) {
		pages := renderAt(t, toPPM, paper.pdf, goldenDPI)
		for _, n := range paper.pages {
			compare(t, fmt.Sprintf("%s-%d", name, n), pages[n-1])
		}
	}
}

func compare(t *testing.T, name string, got *image.Gray) {
	t.Helper()
	file := filepath.Join("testdata", name+".png")
	if *update {
		writePNG(t, file, got)
		return
	}
	if _, err := os.Stat(file); err != nil {
		t.Errorf("%s: no golden picture; look at it and keep it with -update", name)
		return
	}
	want := readGrey(t, file)
	differ := len(want.Pix)
	if want.Rect == got.Rect {
		differ = 0
		for i := range want.Pix {
			if d := int(want.Pix[i]) - int(got.Pix[i]); max(d, -d) > goldenShade {
				differ++
			}
		}
	}
	if float64(differ) <= goldenShare*float64(len(want.Pix)) {
		return
	}
	now, err := os.CreateTemp("", name+"-*.png")
	if err != nil {
		t.Fatal(err)
	}
	_ = now.Close()
	writePNG(t, now.Name(), got)
	t.Errorf("%s looks otherwise: %d of %d pixels differ; it is now %s: look at it, and keep it with -update if it is right", name, differ, len(want.Pix), now.Name())
}

// writePNG keeps 16 greys, which make a small file.
func writePNG(t *testing.T, file string, g *image.Gray) {
	t.Helper()
	few := grey(g)
	for i, p := range few.Pix {
		few.Pix[i] = p / 17 * 17
	}
	var b bytes.Buffer
	if err := (&png.Encoder{CompressionLevel: png.BestCompression}).Encode(&b, few); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(file, b.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
}

// goldenPaper is a document and those of its pages that are compared, from 1.
type goldenPaper struct {
	pdf   []byte
	pages []int
}

// pinched is an order of pleats set by hand.
const pinched = `order: PIN-1
customer: Saltmarsh Inn
due: 2026-12-18
units: in
fabrics:
  - {id: reed, use: face, usable_width: 52, bolts: [{id: R1, length: 40 yd, lot: A}]}
treatments:
  - {window: Parlour, heading: pinch-3, face_width: 84, finished_length: 95 1/2, face: reed}
  - {window: Stair, heading: pinch-2, draw: one_way_left, face_width: 30, finished_length: 110, face: reed}
`

func worked(t testing.TB, source string) *workup.Workup {
	t.Helper()
	order, problems := orderfile.Parse([]byte(source))
	if order == nil {
		t.Fatal(problems)
	}
	return workup.Compute(order)
}

// ownTags are two customers' own pieces: one that a tag has room for, and one of three with a long name and a note.
func ownTags(doc TicketsDoc) OwnTagsDoc {
	return OwnTagsDoc{Say: doc.Say, Sheet: doc.Sheet, Address: doc.Address, Order: "SMI-40", Customer: "Saltmarsh Inn", Made: doc.Made, Tags: []OwnTag{
		{Ticket: doc.Tickets[0].Code, Text: "Torn hem", Kind: orderfile.Repair, Copy: 1, Of: 1, Received: "2026-12-09"},
		{Ticket: doc.Tickets[1].Code, Text: "Long curtains of the dining room, by the door to the garden", Kind: orderfile.Alteration, Copy: 2, Of: 3,
			Received: "2026-12-10", Notes: "Ring before noon\nDon't cut the fringe"},
	}}
}

// boltLabels are a bolt with little to say and a customer's remnant with much.
func boltLabels(doc TicketsDoc) BoltLabelsDoc {
	return BoltLabelsDoc{Say: doc.Say, Address: doc.Address, Made: doc.Made, Bolts: []BoltLabel{
		{Bolt: doc.Tickets[0].Code, Cloth: "Reed, oat", Length: 50 * measure.Yard, Units: measure.In, Received: "2026-12-09"},
		{Bolt: doc.Tickets[1].Code, Cloth: "Saltmarsh damask, heavy, with the reed border", Lot: "L7-4432 B", Length: 83*measure.Inch + measure.Inch/4,
			Units: measure.In, Width: 53*measure.Inch + 7*measure.Inch/8, Place: "3B", Received: "2026-12-10", Remnant: true, CustomersCloth: true, Owner: "Saltmarsh Inn and Company, the dining rooms"},
		{Bolt: doc.Tickets[2].Code, Cloth: "Marsh, grey", Lot: "9", Length: 30 * measure.Metre, Units: "mm", Place: "top of the stairs", Received: "2026-12-10", CustomersCloth: true},
		{Bolt: doc.Tickets[1].Code, Cloth: "Reed, oat", Lot: "A", Length: 111*measure.Inch + measure.Inch/2, Units: measure.In, Width: 27 * measure.Inch,
			Place: "3B", Received: "2026-12-10", Remnant: true, Half: true},
	}}
}

func goldenPapers(t *testing.T) map[string]goldenPaper {
	t.Helper()
	all := map[string]goldenPaper{}
	add := func(name string, write func(b *bytes.Buffer) error, pages ...int) {
		var b bytes.Buffer
		if err := write(&b); err != nil {
			t.Fatal(err)
		}
		all[name] = goldenPaper{b.Bytes(), pages}
	}
	taped := worked(t, readContract(t))
	doc, full, hand := ticketsDoc(t, taped), ticketsDoc(t, ticketOrder(t, forty)), ticketsDoc(t, worked(t, pinched))
	on := func(doc TicketsDoc, sheet Sheet) TicketsDoc { doc.Sheet = sheet; return doc }
	shop := ShopDoc{Say: doc.Say, Address: doc.Address, Made: doc.Made}

	add("ticket-label", func(b *bytes.Buffer) error { return Tickets(b, doc) }, 1, 3)
	add("ticket-full", func(b *bytes.Buffer) error { return Tickets(b, full) }, 1)
	add("ticket-letter", func(b *bytes.Buffer) error { return Tickets(b, on(doc, Letter)) }, 2)
	add("ticket-a4", func(b *bytes.Buffer) error { return Tickets(b, on(hand, A4)) }, 2)
	add("tags-label", func(b *bytes.Buffer) error { return Tags(b, doc) }, 1)
	add("tags-letter", func(b *bytes.Buffer) error { return Tags(b, on(full, Letter)) }, 1)
	add("own-tags", func(b *bytes.Buffer) error { return OwnTags(b, ownTags(doc)) }, 1)
	add("bolt-labels", func(b *bytes.Buffer) error { return BoltLabels(b, boltLabels(doc)) }, 1, 2)
	add("placard", func(b *bytes.Buffer) error { return Placards(b, shop) }, 5)
	add("cards", func(b *bytes.Buffer) error { return Cards(b, shop) }, 1)
	add("packet", func(b *bytes.Buffer) error {
		return Packet(b, PacketDoc{TicketsDoc: doc, Revision: 2, Workup: taped})
	}, 1, 2, 4, 5)
	add("invoice", func(b *bytes.Buffer) error { return Invoice(b, testInvoice(14)) }, 1, 2)
	add("invoice-a4", func(b *bytes.Buffer) error {
		bill := testInvoice(14)
		bill.Sheet = A4
		return Invoice(b, bill)
	}, 1)
	add("invoice-draft", func(b *bytes.Buffer) error { return Invoice(b, draftOf(testInvoice(1))) }, 1)
	add("credit-note", func(b *bytes.Buffer) error { return Invoice(b, credited(testInvoice(2))) }, 1)
	add("purchases", func(b *bytes.Buffer) error { return Purchases(b, testPurchases(i18n.For("en"), Letter, 4)) }, 1, 2)
	add("purchases-a4", func(b *bytes.Buffer) error { return Purchases(b, testPurchases(i18n.For("es"), A4, 4)) }, 1)
	add("rooms-letter", func(b *bytes.Buffer) error { return Rooms(b, roomsDoc(t, "en", Letter)) }, 1, 2)
	add("rooms-a4", func(b *bytes.Buffer) error { return Rooms(b, roomsDoc(t, "es", A4)) }, 1, 3)
	add("rooms-poles", func(b *bytes.Buffer) error { return Rooms(b, polesDoc(t, "en", Letter)) }, 1)
	cloth := worked(t, readFile(t, "../../testdata/orderfile/cloth.yaml"))
	turned := ticketsDoc(t, cloth)
	add("rooms-cloth", func(b *bytes.Buffer) error { return Rooms(b, roomsOf(t, "cloth", "en", Letter)) }, 1)
	add("packet-cloth", func(b *bytes.Buffer) error {
		return Packet(b, PacketDoc{TicketsDoc: turned, Revision: 1, Workup: cloth})
	}, 1, 4, 6, 16)
	add("tags-cloth", func(b *bytes.Buffer) error { return Tags(b, on(turned, Letter)) }, 2)
	add("packet-hand", func(b *bytes.Buffer) error {
		return Packet(b, PacketDoc{TicketsDoc: on(hand, A4), Revision: 1, Workup: worked(t, pinched)})
	}, 3)
	return all
}
