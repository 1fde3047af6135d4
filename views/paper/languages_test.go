package paper

import (
	"io"
	"strings"
	"testing"

	"tablehand/stations/plan"
	"tablehand/views/i18n"
	"tablehand/views/paper/room"
)

// said is the paper of a document of each kind in a language, with what was written on it.
type said struct {
	name                  string
	write                 func(w io.Writer) (*pen, error)
	width, height, margin float64
	words                 []string // keys of sentences that stand on it
	ofShop                bool     // whatever the order
}

// allPapers are the papers of one order and shop in a language.
func allPapers(t *testing.T, say *i18n.Printer, doc TicketsDoc, packet PacketDoc) []said {
	t.Helper()
	doc.Say, packet.Say = say, say
	var all []said
	for _, sheet := range []Sheet{Labels, Letter, A4} {
		doc, shop, test := doc, ShopDoc{Say: say, Sheet: sheet, Address: doc.Address, Made: doc.Made}, testSheetDoc(sheet)
		doc.Sheet, packet.Sheet, test.Say = sheet, sheet, say
		size := sheets[sheet]
		add := func(name string, margin float64, write func(w io.Writer) (*pen, error), words ...string) {
			ofShop := name == "invoice" || name == "credit note" || name == "cards" || name == "test sheet" || name == "placards" || name == "bolt labels"
			all = append(all, said{name + " on " + string(sheet), write, size.Wd, size.Ht, margin, words, ofShop})
		}
		if sheet == Labels {
			add("tickets", labelMargin-3, func(w io.Writer) (*pen, error) {
				l, err := writeTickets(w, doc)
				return l.pen, err
			}, "paper.ticket.panel.L", "station.joining", "station.packing", "paper.value.pleats", "paper.value.finished_length", "paper.ticket.seen")
		}
		add("tags", 4, func(w io.Writer) (*pen, error) { return writeTags(w, doc) }, "paper.tag.top", "paper.tag.from_return", "paper.tag.pin")
		add("own tags", 4, func(w io.Writer) (*pen, error) { return writeOwnTags(w, ownTags(doc)) }, "piece.repair", "piece.alteration")
		bolts := boltLabels(doc)
		add("bolt labels", 4, func(w io.Writer) (*pen, error) { return writeBoltLabels(w, bolts) }, "bolt.kind.remnant", "paper.bolt.customers")
		add("cards", 4, func(w io.Writer) (*pen, error) { return writeCards(w, shop) }, "card.start", "card.hold.does", "card.reason.cloth")
		add("test sheet", 0, func(w io.Writer) (*pen, error) { return writeTestSheet(w, test) }, "paper.test.title", "paper.test.letters")
		if sheet != Labels {
			bill := testInvoice(14)
			bill.Say, bill.Sheet = say, sheet
			note := credited(bill)
			add("credit note", 24, func(w io.Writer) (*pen, error) { return writeInvoice(w, note) }, "paper.credit.head", "paper.credit.of", "paper.credit.total")
			add("invoice", 24, func(w io.Writer) (*pen, error) { return writeInvoice(w, bill) }, "paper.invoice.head", "paper.invoice.total", "invoice.lined", "paper.invoice.what")
		}
		if sheet == Labels {
			continue
		}
		rooms := RoomsDoc{Say: say, Sheet: sheet, Shop: "Saltmarsh Workroom", Workup: packet.Workup, Rooms: room.Names(packet.Workup)}
		add("rooms", 24, func(w io.Writer) (*pen, error) { return writeRooms(w, rooms) }, "room.help", "room.hung", "room.says.no_hang", "room.says.each")
		packet := packet
		packet.TicketsDoc.Sheet = sheet
		add("packet", 4, func(w io.Writer) (*pen, error) { return writePacket(w, packet) }, "paper.packet.head", "paper.packet.windows", "station.pull_up",
			"check.pockets_up", "caution.cord", "entry.fold_depth", "value.heading_fold", "paper.packet.holds")
		add("placards", 24, func(w io.Writer) (*pen, error) { return writePlacards(w, shop) }, "station.fold", "paper.placard.scan", "caution.iron")
	}
	return all
}

// TestPaperInEveryLanguage prints everything in every language: no word leaves the sheet, lies over another, is
// shortened or missing, and another reader finds it with its accents.
func TestPaperInEveryLanguage(t *testing.T) {
	for _, tag := range i18n.Languages() {
		say := i18n.For(tag)
		for taped, source := range map[bool]string{true: readContract(t), false: pinched} {
			w := worked(t, source)
			doc := ticketsDoc(t, w)
			for _, p := range allPapers(t, say, doc, PacketDoc{TicketsDoc: doc, Revision: 2, Workup: w}) {
				if p.ofShop && !taped {
					continue // seen already
				}
				name := tag + ", " + w.Order.ID + ", " + p.name
				var written *pen
				text := readText(t, func(w io.Writer) (err error) {
					written, err = p.write(w)
					return err
				})
				apart(t, name, written, p.width, p.height, p.margin)
				for _, l := range written.log {
					if strings.Contains(l.text, "…") {
						t.Errorf("%s, page %d: %q is shortened", name, l.page, l.text)
					}
					if strings.Contains(l.text, "⟨") {
						t.Errorf("%s, page %d: no sentence %q", name, l.page, l.text)
					}
				}
				for _, key := range p.words {
					for _, word := range strings.Fields(say.T(key)) { // which may stand on two lines
						if taped && !strings.Contains(text, word) {
							t.Errorf("%s: no %q of %s", name, word, key)
						}
					}
				}
			}
		}
	}
}

// TestFullPaperInEveryLanguage: what fills a sheet to its edges in English, and is tested so elsewhere, does so in the
// longer languages too, and a panel's ticket stays one label.
func TestFullPaperInEveryLanguage(t *testing.T) {
	for name, w := range stressed(t) {
		doc := ticketsDoc(t, w)
		for _, tag := range i18n.Languages() {
			if tag == "en" {
				continue
			}
			for _, p := range allPapers(t, i18n.For(tag), doc, PacketDoc{TicketsDoc: doc, Revision: 2, Workup: w}) {
				if p.ofShop {
					continue
				}
				written, err := p.write(io.Discard)
				if err != nil {
					t.Fatal(err)
				}
				apart(t, tag+", "+name+", "+p.name, written, p.width, p.height, p.margin)
			}
			for _, ticket := range doc.Tickets {
				one := doc
				one.Say, one.Tickets = i18n.For(tag), []*plan.Ticket{ticket}
				if _, l := render(t, one); ticket.Kind == plan.PanelTicket && l.page != 1 && name != "wide" {
					t.Errorf("%s, %s: %d labels for panel %s: the rows of its stations don't fit on one; fewer numbers under label in stations/plan/routes.yaml, or shorter words, do",
						tag, name, l.page, ticket.Panel)
				}
			}
		}
	}
}
