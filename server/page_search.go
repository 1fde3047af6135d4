package server

import (
	"cmp"
	"io"
	"net/url"
	"slices"
	"strings"

	"github.com/gofiber/fiber/v2"

	"tablehand/stations"
	"tablehand/views"
)

// How many finds of each kind a page shows before the rest is only counted.
const (
	mostOrders   = 12
	mostPanels   = 40
	mostInvoices = 12
)

// searchPage: GET /search?q=…, whatever somebody looks for. A ticket's code leads straight to the ticket.
func (s *Server) searchPage(c *fiber.Ctx) error {
	asked := firstBytes(strings.TrimSpace(c.Query("q")), maxName)
	floor := s.Store.Floor()
	if code, err := stations.ParseCode(asked); err == nil && floor.Ticket(code) != nil {
		return goOn(c, "/t/"+url.PathEscape(string(code)))
	}
	p := views.SearchPage{Frame: s.frame(c, floor), Asked: asked}
	if words := wordsOf(asked); len(words) > 0 {
		if err := s.search(&p, floor, words); err != nil {
			return err
		}
	}
	return sendPage(c, func(w io.Writer) error { return s.viewsFor(c).Search(w, p) })
}

// search finds what has all the words. The panels of an order that has them all itself are not told one by one.
func (s *Server) search(p *views.SearchPage, floor *stations.Floor, words []string) error {
	for _, o := range newestWork(floor.Orders()) {
		known, err := s.wordsOfOrder(o, p.Today)
		if err != nil {
			return err
		}
		if known.order(words, p.Office()) {
			if len(p.Orders) == mostOrders {
				p.MoreOrders++
			} else {
				p.Orders = append(p.Orders, orderRow(o, p.Today, p.Office()))
			}
			continue
		}
		for i, t := range o.Tickets {
			if !known.ticket(i, words, p.Office()) {
				continue
			}
			kind, more := &p.Panels, &p.MorePanels
			if t.Spec.Kind == stations.CuttingTicket {
				kind, more = &p.Cutting, &p.MoreCutting
			}
			if len(*kind) == mostPanels {
				*more++
			} else {
				*kind = append(*kind, views.PieceOf(t, p.Today))
			}
		}
	}
	if p.Office() {
		p.Invoices, p.MoreInvoices = findInvoices(floor, words)
	}
	return nil
}

// newestWork puts orders that are on the books before those that are done, which few look for.
func newestWork(orders []*stations.Order) []*stations.Order {
	sorted := slices.Clone(orders)
	slices.SortStableFunc(sorted, func(a, b *stations.Order) int { return cmp.Compare(count(onTheBooks(b)), count(onTheBooks(a))) })
	return sorted
}

// findInvoices finds invoices and drafts by number, customer and the orders that they bill.
func findInvoices(floor *stations.Floor, words []string) (rows []views.InvoiceRow, more int) {
	for _, i := range floor.Invoices() {
		text := i.Draft + " " + i.Number + " " + i.Customer
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
		rows = append(rows, invoiceRow(i))
	}
	return rows, more
}
