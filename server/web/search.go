package web

import (
	"cmp"
	"net/url"
	"slices"
	"strings"

	"github.com/gofiber/fiber/v2"

	"tablehand/server/edge"
	"tablehand/stations"
	"tablehand/views"
	"tablehand/views/page/search"
)

// How many finds of each kind a page shows before the rest is only counted.
const (
	mostOrders   = 12
	mostPanels   = 40
	mostInvoices = 12
)

// searchPage: GET /search?q=…, whatever somebody looks for. A ticket's code leads straight to the ticket.
func (s *Site) searchPage(c *fiber.Ctx) error {
	asked := firstBytes(strings.TrimSpace(c.Query("q")), edge.MaxName)
	floor := s.Desk.Store.Floor()
	if code, err := stations.ParseCode(asked); err == nil && floor.Ticket(code) != nil {
		return GoOn(c, "/t/"+url.PathEscape(string(code)))
	}
	if bolt := s.BoltOf(asked); bolt != nil && s.frame(c, floor).Works() {
		return GoOn(c, boltAddress(bolt.Code))
	}
	p := search.Page{Frame: s.frame(c, floor), Asked: asked}
	if words := wordsOf(asked); len(words) > 0 {
		if err := s.search(&p, floor, words); err != nil {
			return err
		}
	}
	return s.send(c, p)
}

// search finds what has all the words. The panels of an order that has them all itself are not told one by one.
func (s *Site) search(p *search.Page, floor *stations.Floor, words []string) error {
	for _, o := range newestWork(floor.Orders()) {
		known, err := s.wordsOfOrder(o, p.Today)
		if err != nil {
			return err
		}
		if p.Books() {
			known = known.of(s.Desk.NamesOf(o.Customer))
		}
		if known.order(words, p.Books()) {
			if len(p.Orders) == mostOrders {
				p.MoreOrders++
			} else {
				p.Orders = append(p.Orders, orderRow(o, p.Today, p.Books()))
			}
			continue
		}
		for i, t := range o.Tickets {
			if !known.ticket(i, words, p.Books()) {
				continue
			}
			if piece := views.PieceOf(t, p.Today); piece.IsCutting() {
				p.Cutting = append(p.Cutting, piece)
			} else {
				p.Panels = append(p.Panels, piece)
			}
		}
	}
	p.Panels, p.MorePanels = firstInWork(p.Panels)
	p.Cutting, p.MoreCutting = firstInWork(p.Cutting)
	if p.Books() {
		p.Invoices, p.MoreInvoices = s.findInvoices(floor, words)
	}
	return nil
}

// firstInWork puts what is not done yet first, and returns as many as are shown and how many more there are.
func firstInWork(pieces []views.Piece) ([]views.Piece, int) {
	done := func(p views.Piece) int { return count(p.Finished() || p.State == stations.Cancelled) }
	slices.SortStableFunc(pieces, func(a, b views.Piece) int { return cmp.Compare(done(a), done(b)) })
	return pieces[:min(len(pieces), mostPanels)], max(0, len(pieces)-mostPanels)
}

// newestWork puts orders that are on the books before those that are done, which few look for.
func newestWork(orders []*stations.Order) []*stations.Order {
	sorted := slices.Clone(orders)
	slices.SortStableFunc(sorted, func(a, b *stations.Order) int { return cmp.Compare(count(onTheBooks(b)), count(onTheBooks(a))) })
	return sorted
}

// findInvoices finds invoices and drafts by number, customer and the orders that they bill.
func (s *Site) findInvoices(floor *stations.Floor, words []string) (rows []views.InvoiceRow, more int) {
	for _, i := range floor.Invoices() {
		text := i.Draft + " " + i.Number + " " + i.RefersTo + " " + s.Desk.NamesOf(i.Customer)
		for _, line := range i.Lines {
			text += " " + line.Order
		}
		folded := fold(text)
		if slices.ContainsFunc(words, func(word string) bool { return !has(folded, word) }) {
			continue
		}
		if len(rows) == mostInvoices {
			more++
			continue
		}
		rows = append(rows, invoiceRow(floor, i))
	}
	return rows, more
}
