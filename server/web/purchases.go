package web

import (
	"net/url"
	"time"

	"github.com/gofiber/fiber/v2"

	"tablehand/server/desk"
	"tablehand/server/edge"
	"tablehand/views"
	"tablehand/views/page/purchases"
)

// daysAhead is how far a purchase list looks where nobody says: two weeks, our own choice.
const daysAhead = 13

// spanAsked is the span of due dates that is asked for, today and the two weeks from it where none is.
func (s *Site) spanAsked(c *fiber.Ctx) desk.Span {
	span := desk.Span{From: c.Query("from"), To: c.Query("to")}
	if span.From == "" {
		span.From = s.Desk.Today()
	}
	if day, err := time.Parse(time.DateOnly, span.From); err == nil && span.To == "" {
		span.To = day.AddDate(0, 0, daysAhead).Format(time.DateOnly)
	}
	return span
}

// purchasesPage: GET /purchases?from=&to=.
func (s *Site) purchasesPage(c *fiber.Ctx) error { return s.showPurchases(c, s.spanAsked(c), nil) }

func (s *Site) showPurchases(c *fiber.Ctx, span desk.Span, answer *views.Answer) error {
	ctx, cancel := desk.Waiting()
	defer cancel()
	suppliers, err := s.Desk.Purchases(ctx, span)
	if r, ok := edge.RefusalOf(err); err != nil && ok {
		answer = &views.Answer{Refused: true, Text: s.Printer(c).Refusal(r)}
	} else if err != nil {
		return err
	}
	p := purchases.Page{Frame: s.frame(c, s.Desk.Store.Floor()), From: span.From, To: span.To, Answer: answer}
	for _, state := range desk.PurchaseStates() {
		p.States = append(p.States, string(state))
	}
	for _, from := range suppliers {
		supplier := purchases.Supplier{Name: from.Name}
		for _, l := range from.Lines {
			supplier.Lines = append(supplier.Lines, purchases.Line{ID: l.Line, What: string(l.What), Name: l.Called(), Number: l.Number, Size: s.Desk.Sized(&l),
				Need: l.Quantity, OnHand: l.OnHand, ToOrder: l.ToOrder, Packs: l.Packs, Orders: l.Orders, State: string(l.State)})
		}
		p.Suppliers = append(p.Suppliers, supplier)
	}
	return s.send(c, p)
}

// setPurchaseByForm: POST /purchases/{line}. What can't be read is said on the page.
func (s *Site) setPurchaseByForm(c *fiber.Ctx) error {
	ctx, cancel := desk.Waiting()
	defer cancel()
	actor, _ := edge.ActorOf(c)
	span := desk.Span{From: c.FormValue("from"), To: c.FormValue("to")}
	state, onHand := desk.PurchaseState(c.FormValue("state")), c.FormValue("on_hand")
	_, err := s.Desk.SetPurchase(ctx, actor, edge.Param(c, "line"), &state, &onHand)
	if err == nil {
		return GoOn(c, "/purchases?from="+url.QueryEscape(span.From)+"&to="+url.QueryEscape(span.To))
	}
	r, ok := edge.RefusalOf(err)
	if !ok || r.Code == "not_found" {
		return err
	}
	c.Status(edge.StatusOf(r.Code))
	return s.showPurchases(c, span, &views.Answer{Refused: true, Text: s.Printer(c).Refusal(r)})
}
