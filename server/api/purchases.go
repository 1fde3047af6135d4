package api

import (
	"bytes"
	"context"
	"encoding/csv"
	"io"
	"strconv"
	"strings"

	"github.com/gofiber/fiber/v2"

	"tablehand/engine/purchase"
	"tablehand/server/desk"
	"tablehand/server/edge"
	"tablehand/views/paper"
)

// purchaseDoc is a line of a purchase list.
type purchaseDoc struct {
	Line    string             `json:"line"`
	What    purchase.What      `json:"what"`
	ID      string             `json:"id,omitempty"`
	Size    string             `json:"size,omitempty"` // the height of buckram, the drop of hooks, both diameters of eyelets
	Name    string             `json:"name,omitempty"`
	Number  string             `json:"number,omitempty"` // the supplier's
	Need    string             `json:"need"`
	OnHand  string             `json:"on_hand,omitempty"`
	ToOrder string             `json:"to_order"`
	Unit    string             `json:"unit"` // yd, m, pieces
	Packs   int                `json:"packs,omitempty"`
	Orders  []string           `json:"orders"`
	State   desk.PurchaseState `json:"state"`
}

type supplierDoc struct {
	Supplier string        `json:"supplier"`
	Lines    []purchaseDoc `json:"lines"`
}

func (a *API) purchaseDocOf(l desk.PurchaseLine) purchaseDoc {
	doc := purchaseDoc{Line: l.Line, What: l.What, ID: l.ID, Name: l.Name, Number: l.Number, Need: l.Quantity.String(), OnHand: l.OnHand.String(),
		ToOrder: l.ToOrder.String(), Unit: "pieces", Packs: l.Packs, Orders: l.Orders, State: l.State}
	if !l.Counted() {
		doc.Unit = string(l.ToOrder.Unit())
	}
	doc.Size = a.Desk.Sized(&l).String()
	return doc
}

// showPurchases: GET /api/purchases?from=&to=, of the due dates from one day to another, both included.
func (a *API) showPurchases(c *fiber.Ctx) error {
	suppliers, err := a.purchasesAsked(c)
	if err != nil {
		return err
	}
	docs := []supplierDoc{}
	for _, s := range suppliers {
		doc := supplierDoc{Supplier: s.Name}
		for _, l := range s.Lines {
			doc.Lines = append(doc.Lines, a.purchaseDocOf(l))
		}
		docs = append(docs, doc)
	}
	return c.JSON(fiber.Map{"suppliers": docs})
}

func (a *API) purchasesAsked(c *fiber.Ctx) ([]desk.Supplier, error) {
	ctx, cancel := desk.Waiting()
	defer cancel()
	return a.Desk.Purchases(ctx, spanAsked(c))
}

func spanAsked(c *fiber.Ctx) desk.Span { return desk.Span{From: c.Query("from"), To: c.Query("to")} }

// printPurchases: GET /api/purchases.pdf?from=&to=, a sheet for each supplier.
func (a *API) printPurchases(c *fiber.Ctx) error {
	how, err := a.Printing(c, a.Desk.Shop().Paper, paper.Letter, paper.A4)
	if err != nil {
		return err
	}
	span := spanAsked(c)
	return a.SendPaper(c, "purchases-"+span.From, func(ctx context.Context, w io.Writer) error { return a.Desk.PrintPurchases(ctx, w, span, how) })
}

// sendPurchases: GET /api/purchases.csv?from=&to=, a line each.
func (a *API) sendPurchases(c *fiber.Ctx) error {
	suppliers, err := a.purchasesAsked(c)
	if err != nil {
		return err
	}
	var file bytes.Buffer
	w := csv.NewWriter(&file)
	rows := [][]string{{"supplier", "what", "id", "size", "name", "number", "need", "on_hand", "to_order", "unit", "packs", "orders", "state"}}
	for _, s := range suppliers {
		for _, l := range s.Lines {
			d := a.purchaseDocOf(l)
			packs := ""
			if d.Packs > 0 {
				packs = strconv.Itoa(d.Packs)
			}
			rows = append(rows, []string{s.Name, string(d.What), d.ID, d.Size, d.Name, d.Number, d.Need, d.OnHand, d.ToOrder, d.Unit, packs, strings.Join(d.Orders, " "), string(d.State)})
		}
	}
	if err := w.WriteAll(rows); err != nil {
		return err
	}
	c.Attachment("purchases-" + c.Query("from") + ".csv")
	c.Set(fiber.HeaderContentType, "text/csv; charset=utf-8")
	return c.Send(file.Bytes())
}

// setPurchase: POST /api/purchases/{line} says how far it is, and what of it is on hand.
func (a *API) setPurchase(c *fiber.Ctx) error {
	var body struct {
		State  *desk.PurchaseState `json:"state"`
		OnHand *string             `json:"on_hand"`
		Key    string              `json:"key"` // of no use: said twice it is the same
	}
	if err := edge.Decode(c, &body); err != nil {
		return err
	}
	if body.State == nil && body.OnHand == nil {
		return desk.Refuse("missing_key", "state")
	}
	ctx, cancel := desk.Waiting()
	defer cancel()
	actor, _ := edge.ActorOf(c)
	line, err := a.Desk.SetPurchase(ctx, actor, edge.Param(c, "line"), body.State, body.OnHand)
	if err != nil {
		return err
	}
	return c.JSON(a.purchaseDocOf(line))
}
