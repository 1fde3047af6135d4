package api

import (
	"strings"

	"github.com/gofiber/fiber/v2"

	"tablehand/engine"
	"tablehand/engine/billing"
	"tablehand/server/desk"
	"tablehand/server/edge"
	"tablehand/server/store"
	"tablehand/stations"
	"tablehand/stations/plan"
)

// readyPanel is a finished panel that stands on no invoice; Price is nil where the list has none for it.
type readyPanel struct {
	Ticket plan.Code      `json:"ticket"`
	Order  string         `json:"order"`
	Window string         `json:"window,omitempty"`
	Panel  string         `json:"panel,omitempty"`
	Piece  string         `json:"piece,omitempty"` // of a piece, which has a text for a window
	Text   string         `json:"text,omitempty"`
	Copy   int            `json:"copy,omitempty"`
	Price  *billing.Money `json:"price,omitempty"`
}

// readyCustomer is what one customer can be billed.
type readyCustomer struct {
	Customer string       `json:"customer"`
	Panels   []readyPanel `json:"panels"`
}

// showReady: GET /api/ready.
func (a *API) showReady(c *fiber.Ctx) error {
	return c.JSON(struct {
		Customers []readyCustomer `json:"customers"`
	}{readyToInvoice(a.Desk.Store.Floor().Prices(), a.Desk.Ready())})
}

// readyToInvoice gathers the floor's finished panels by customer.
func readyToInvoice(prices billing.PriceList, ready []desk.Ready) []readyCustomer {
	customers := []readyCustomer{}
	for _, t := range ready {
		if last := len(customers) - 1; last < 0 || customers[last].Customer != t.To {
			customers = append(customers, readyCustomer{Customer: t.To})
		}
		panel := readyPanel{Ticket: t.Spec.Code, Order: t.Order, Window: t.Spec.Window, Panel: t.Spec.Panel}
		if t.Spec.Piece != "" {
			panel.Window, panel.Piece, panel.Text, panel.Copy = "", string(t.Spec.Piece), t.Spec.Window, t.Spec.Copy
		}
		panel.Price = desk.PriceOf(prices, t.Spec)
		here := &customers[len(customers)-1]
		here.Panels = append(here.Panels, panel)
	}
	return customers
}

// showPrices: GET /api/prices.
func (a *API) showPrices(c *fiber.Ctx) error {
	prices := a.Desk.Store.Floor().Prices()
	if prices.Rows == nil {
		prices.Rows = []billing.PriceRow{}
	}
	return c.JSON(prices)
}

// sendPrices: GET /api/prices.yaml, the list as the file that takes it in again; not_found until one is set.
func (a *API) sendPrices(c *fiber.Ctx) error {
	prices := a.Desk.Store.Floor().Prices()
	if prices.Currency == "" {
		return desk.Refuse("not_found", "")
	}
	c.Set(fiber.HeaderContentType, yamlType)
	c.Set(fiber.HeaderContentDisposition, `attachment; filename="prices.yaml"`)
	return c.Send(prices.YAML())
}

const yamlType = "application/yaml"

// setPrices: PUT /api/prices, the whole list as JSON, or as a file, whose problems have line and column.
func (a *API) setPrices(c *fiber.Ctx) error {
	prices, err := a.pricesOf(c)
	if err != nil {
		return err
	}
	key, err := edge.KeyAsked(c)
	if err != nil {
		return err
	}
	actor, _ := edge.ActorOf(c)
	if err := a.Desk.Do(stations.SetPriceList{Actor: actor, Key: key, Prices: prices}); err != nil {
		return err
	}
	a.Note(c, store.PriceChanged, "")
	return a.showPrices(c)
}

func (a *API) pricesOf(c *fiber.Ctx) (prices billing.PriceList, err error) {
	var problems []engine.Problem
	if strings.HasPrefix(c.Get(fiber.HeaderContentType), yamlType) {
		prices, problems = billing.ParsePrices(c.BodyRaw(), a.Desk.PricedHeadings()...)
	} else if err = edge.Decode(c, &prices); err == nil {
		problems = prices.Check(a.Desk.PricedHeadings()...)
	}
	if len(problems) > 0 {
		err = desk.RefuseProblems(problems)
	}
	return prices, err
}
