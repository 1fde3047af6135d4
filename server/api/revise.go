package api

import (
	"strconv"

	"github.com/gofiber/fiber/v2"

	"tablehand/server/desk"
	"tablehand/server/edge"
	"tablehand/stations/plan"
)

// changedDoc is a ticket whose numbers a revision changes, in the API's form.
type changedDoc struct {
	Ticket    plan.Code `json:"ticket"`
	Values    []string  `json:"values"`
	Protected bool      `json:"protected"`
}

// revisedDoc answers a revision. Added are new tickets, dropped those that it cancels; short and mixed are fabrics whose
// cloth doesn't suffice, or only from several lots, for what is still to be cut; shared are orders that name the same bolts.
type revisedDoc struct {
	Order    string            `json:"order"`
	Revision int               `json:"revision"`
	Changed  []changedDoc      `json:"changed"`
	Added    []plan.Code       `json:"added,omitempty"`
	Dropped  []plan.Code       `json:"dropped,omitempty"`
	Held     []plan.Code       `json:"held,omitempty"` // cutting tickets that their cloth holds from then on
	Short    []string          `json:"short,omitempty"`
	Mixed    []string          `json:"mixed,omitempty"`
	Shared   []string          `json:"shared,omitempty"`
	Problems []edge.ProblemDoc `json:"problems"`
}

// reviseOrder: PUT /api/orders/{order}, a whole file. ?try=true says what it would change and changes nothing; ?from=N is
// the revision that the file was made from; ?key= as of a scan; ?override=true&reason=… passes over short or mixed cloth.
func (a *API) reviseOrder(c *fiber.Ctx) error {
	source := c.BodyRaw()
	if err := edge.CheckOrder(len(source), "body"); err != nil {
		return err
	}
	how, err := revisingAsked(c)
	if err != nil {
		return err
	}
	ctx, cancel := desk.Waiting()
	defer cancel()
	actor, _ := edge.ActorOf(c)
	got, err := a.Desk.Revise(ctx, actor, edge.Param(c, "order"), source, how)
	if err != nil {
		return err
	}
	return c.JSON(a.revisedDocOf(c, got))
}

// broughtUpDoc answers a revision to the shop's conventions of today: those that the order was worked up with otherwise, too.
type broughtUpDoc struct {
	revisedDoc
	Conventions []wayDoc `json:"conventions"`
}

// wayDoc is a convention, or a tolerance as "tolerances.NAME", before and after.
type wayDoc struct {
	Name string `json:"name"`
	From string `json:"from"`
	To   string `json:"to"`
}

// bringUpOrder: POST /api/orders/{order}/bring_up; the order's own file under the shop's conventions of today, with what revisingAsked reads.
func (a *API) bringUpOrder(c *fiber.Ctx) error {
	how, err := revisingAsked(c)
	if err != nil {
		return err
	}
	o, err := a.OrderAsked(c)
	if err != nil {
		return err
	}
	ctx, cancel := desk.Waiting()
	defer cancel()
	actor, _ := edge.ActorOf(c)
	got, behind, err := a.Desk.BringUp(ctx, actor, o, how)
	if err != nil {
		return err
	}
	doc := broughtUpDoc{a.revisedDocOf(c, got), []wayDoc{}}
	for _, b := range behind {
		doc.Conventions = append(doc.Conventions, wayDoc{b.Name, b.From, b.To})
	}
	return c.JSON(doc)
}

func (a *API) revisedDocOf(c *fiber.Ctx, got desk.Revised) revisedDoc {
	doc := revisedDoc{
		Order: got.Order, Revision: got.Revision, Changed: []changedDoc{}, Dropped: got.Dropped, Short: got.Short, Mixed: got.Mixed, Shared: got.Shared,
		Problems: a.ProblemDocs(c, got.Problems),
	}
	for _, ch := range got.Changed {
		doc.Changed = append(doc.Changed, changedDoc(ch))
	}
	for _, h := range got.Held {
		doc.Held = append(doc.Held, h.Ticket)
	}
	for i := range got.Added {
		doc.Added = append(doc.Added, got.Added[i].Code)
	}
	return doc
}

// revisingAsked reads how a revision is to be taken from the address.
func revisingAsked(c *fiber.Ctx) (desk.Revising, error) {
	how := desk.Revising{Reason: c.Query("reason")}
	var err error
	if how.Key, err = edge.KeyAsked(c); err != nil {
		return how, err
	}
	if how.DryRun, err = strconv.ParseBool(c.Query("try", "false")); err != nil {
		return how, desk.Refuse("bad_value", "try")
	}
	if how.Override, err = strconv.ParseBool(c.Query("override", "false")); err != nil {
		return how, desk.Refuse("bad_value", "override")
	}
	if how.From, err = strconv.Atoi(c.Query("from", "0")); err != nil || how.From < 0 {
		return how, desk.Refuse("bad_value", "from")
	}
	return how, edge.CheckTexts(edge.Text("reason", how.Reason, false, edge.MaxReason))
}
