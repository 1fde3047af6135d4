package api

import (
	"regexp"
	"time"

	"github.com/gofiber/fiber/v2"

	"tablehand/engine/orderfile"
	"tablehand/server/desk"
	"tablehand/server/edge"
	"tablehand/stations"
	"tablehand/stations/plan"
)

// readPicture: POST /api/pictures/read, which ticket or bolt a photograph shows.
func (a *API) readPicture(c *fiber.Ctx) error {
	t, b, err := a.InPhoto(c)
	switch {
	case err != nil:
		return err
	case b != nil:
		return c.JSON(fiber.Map{"bolt": b.Code})
	}
	return c.JSON(fiber.Map{"ticket": t.Spec.Code})
}

// addPicture: POST /api/pictures, a picture for a hold to name.
func (a *API) addPicture(c *fiber.Ctx) error {
	data, err := edge.PhotoOf(c)
	if err != nil {
		return err
	}
	id, err := a.Desk.KeepPhoto(data)
	if err != nil {
		return err
	}
	return c.Status(fiber.StatusCreated).JSON(fiber.Map{"picture": id})
}

// ownPiece is a customer's own piece as programs see it.
type ownPiece struct {
	Piece    orderfile.PieceKind `json:"piece"`
	Text     string              `json:"text"`
	Copy     int                 `json:"copy"`
	Of       int                 `json:"of"`
	Ticket   plan.Code           `json:"ticket,omitempty"`
	Received *received           `json:"received,omitempty"`
}

type received struct {
	At      time.Time `json:"at"`
	By      string    `json:"by,omitempty"`
	Picture string    `json:"picture,omitempty"`
}

func ownPieceOf(p desk.OwnPiece) ownPiece {
	row := ownPiece{Piece: p.Kind, Text: p.Text, Copy: p.Copy, Of: p.Of, Ticket: p.Ticket}
	if r := p.Receipt; r != nil {
		row.Received = &received{r.At, r.By, r.Picture}
	}
	return row
}

// listOwnPieces: GET /api/orders/{order}/own, the customer's own pieces, those that came in and those that are still to come.
func (a *API) listOwnPieces(c *fiber.Ctx) error {
	o, err := a.OrderAsked(c)
	if err != nil {
		return err
	}
	pieces, err := a.Desk.OwnPieces(o)
	rows := []ownPiece{}
	for _, p := range pieces {
		rows = append(rows, ownPieceOf(p))
	}
	if err != nil {
		return err
	}
	return c.JSON(fiber.Map{"pieces": rows})
}

// receivePiece: POST /api/orders/{order}/own, one of them came in, or its picture was taken.
func (a *API) receivePiece(c *fiber.Ctx) error {
	body := struct {
		Text    string `json:"text"`
		Copy    int    `json:"copy"`
		Picture string `json:"picture"`
		Person  string `json:"person"`
		Key     string `json:"key"`
	}{Copy: 1}
	if err := edge.Decode(c, &body); err != nil {
		return err
	}
	err := edge.CheckTexts(edge.Text("text", body.Text, true, edge.MaxReason), edge.Text("person", body.Person, false, edge.MaxName), edge.Key(body.Key))
	if err != nil {
		return err
	}
	o, err := a.OrderAsked(c)
	if err != nil {
		return err
	}
	actor, _ := edge.ActorOf(c)
	ctx, cancel := desk.Waiting()
	defer cancel()
	p, err := a.Desk.Receive(ctx, stations.ReceivePiece{
		Actor: actor, Key: body.Key, Order: o.ID, Text: body.Text, Copy: body.Copy, Picture: body.Picture, Person: body.Person,
	})
	if err != nil {
		return err
	}
	return c.JSON(ownPieceOf(p))
}

// unreceivePiece: POST /api/orders/{order}/own/take_back, one of them hasn't come in after all.
func (a *API) unreceivePiece(c *fiber.Ctx) error {
	body := struct {
		Text   string `json:"text"`
		Copy   int    `json:"copy"`
		Person string `json:"person"`
		Reason string `json:"reason"`
		Key    string `json:"key"`
	}{Copy: 1}
	if err := edge.Decode(c, &body); err != nil {
		return err
	}
	err := edge.CheckTexts(edge.Text("text", body.Text, true, edge.MaxReason), edge.Text("reason", body.Reason, true, edge.MaxReason),
		edge.Text("person", body.Person, false, edge.MaxName), edge.Key(body.Key))
	if err != nil {
		return err
	}
	o, err := a.OrderAsked(c)
	if err != nil {
		return err
	}
	actor, _ := edge.ActorOf(c)
	ctx, cancel := desk.Waiting()
	defer cancel()
	p, err := a.Desk.Unreceive(ctx, stations.UnreceivePiece{
		Actor: actor, Key: body.Key, Order: o.ID, Text: body.Text, Copy: body.Copy, Person: body.Person, Reason: body.Reason,
	})
	if err != nil {
		return err
	}
	return c.JSON(ownPieceOf(p))
}

// pictureID is what a picture's id looks like.
var pictureID = regexp.MustCompile(`^[0-9a-f]{64}$`)

// showPicture: GET /api/pictures/{picture}. What an id stands for never changes; yet who is let in may, so a browser
// keeps it for an hour only.
func (a *API) showPicture(c *fiber.Ctx) error {
	id := edge.Param(c, "picture")
	if !pictureID.MatchString(id) {
		return desk.Refuse("not_found", "picture")
	}
	ctx, cancel := desk.Waiting()
	defer cancel()
	data, err := a.Desk.Store.Picture(ctx, id)
	if err != nil {
		return err
	}
	c.Set(fiber.HeaderContentType, "image/jpeg")
	c.Set(fiber.HeaderCacheControl, "private, max-age=3600")
	return c.Send(data)
}
