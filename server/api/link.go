package api

import (
	"github.com/gofiber/fiber/v2"

	"tablehand/server/desk"
	"tablehand/server/edge"
	"tablehand/stations"
)

// linkedDoc is the answer to a link of a fabric with one of the shop's cloths.
type linkedDoc struct {
	Seq      int64             `json:"seq"`
	Order    string            `json:"order"`
	Fabric   string            `json:"fabric"`
	Cloth    string            `json:"cloth"` // "" where none is, or as the file says
	Problems []edge.ProblemDoc `json:"problems"`
}

// linkCloth: POST /api/orders/{order}/cloth.
func (a *API) linkCloth(c *fiber.Ctx) error {
	var body struct {
		Fabric string `json:"fabric"`
		Cloth  string `json:"cloth"`
		Reason string `json:"reason"`
		Key    string `json:"key"`
		Person string `json:"person"`
	}
	if err := edge.Decode(c, &body); err != nil {
		return err
	}
	err := edge.CheckTexts(edge.Text("fabric", body.Fabric, true, edge.MaxName), edge.Text("cloth", body.Cloth, true, edge.MaxName),
		edge.Text("reason", body.Reason, false, edge.MaxReason), edge.Text("person", body.Person, false, edge.MaxName), edge.Key(body.Key))
	if err != nil {
		return err
	}
	return a.link(c, stations.LinkCloth{Key: body.Key, Fabric: body.Fabric, Cloth: body.Cloth, Reason: body.Reason, Person: body.Person})
}

// unlinkCloth: DELETE /api/orders/{order}/cloth/{fabric}, ?key=.
func (a *API) unlinkCloth(c *fiber.Ctx) error {
	key, err := edge.KeyAsked(c)
	if err != nil {
		return err
	}
	return a.link(c, stations.LinkCloth{Key: key, Fabric: edge.Param(c, "fabric")})
}

func (a *API) link(c *fiber.Ctx, cmd stations.LinkCloth) error {
	ctx, cancel := desk.Waiting()
	defer cancel()
	cmd.Actor, _ = edge.ActorOf(c)
	cmd.Order = edge.Param(c, "order")
	e, err := a.Desk.LinkCloth(ctx, cmd)
	if err != nil {
		return err
	}
	w, err := a.Desk.Workup(ctx, cmd.Order)
	if err != nil {
		return err
	}
	_, lacks := desk.LacksOf(e, w)
	return c.JSON(linkedDoc{e.Seq, e.Order, e.Fabric, e.Cloth, a.ProblemDocs(c, append(lacks, desk.OfFabric(w.Problems, cmd.Fabric)...))})
}
