package server

import (
	"github.com/gofiber/fiber/v2"

	"tablehand/engine/billing"
	"tablehand/stations"
)

// readyPanel is a finished panel that stands on no invoice; Price is nil where the list has none for it.
type readyPanel struct {
	Ticket stations.Code  `json:"ticket"`
	Order  string         `json:"order"`
	Window string         `json:"window"`
	Panel  string         `json:"panel"`
	Price  *billing.Money `json:"price,omitempty"`
}

// readyCustomer is what one customer can be billed.
type readyCustomer struct {
	Customer string       `json:"customer"`
	Panels   []readyPanel `json:"panels"`
}

// showReady: GET /api/ready.
func (s *Server) showReady(c *fiber.Ctx) error {
	return c.JSON(struct {
		Customers []readyCustomer `json:"customers"`
	}{readyToInvoice(s.Store.Floor())})
}

// readyToInvoice gathers the floor's finished panels by customer.
func readyToInvoice(floor *stations.Floor) []readyCustomer {
	prices, customers := floor.Prices(), []readyCustomer{}
	for _, t := range floor.Ready() {
		if last := len(customers) - 1; last < 0 || customers[last].Customer != t.Customer {
			customers = append(customers, readyCustomer{Customer: t.Customer})
		}
		panel := readyPanel{Ticket: t.Spec.Code, Order: t.Order, Window: t.Spec.Window, Panel: t.Spec.Panel}
		if price, ok := prices.Price(string(t.Spec.Heading), t.Spec.Widths); ok {
			panel.Price = &price
		}
		here := &customers[len(customers)-1]
		here.Panels = append(here.Panels, panel)
	}
	return customers
}

// showPrices: GET /api/prices.
func (s *Server) showPrices(c *fiber.Ctx) error {
	prices := s.Store.Floor().Prices()
	if prices.Rows == nil {
		prices.Rows = []billing.PriceRow{}
	}
	return c.JSON(prices)
}

// setPrices: PUT /api/prices, the whole list.
func (s *Server) setPrices(c *fiber.Ctx) error {
	var prices billing.PriceList
	if err := decode(c, &prices); err != nil {
		return err
	}
	if problems := prices.Check(); len(problems) > 0 {
		return refuseProblems(problems)
	}
	actor, _ := actorOf(c)
	if err := s.do(stations.SetPriceList{Actor: actor, Prices: prices}); err != nil {
		return err
	}
	return s.showPrices(c)
}
