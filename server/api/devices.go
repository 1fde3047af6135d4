package api

import (
	"strconv"
	"time"

	"github.com/gofiber/fiber/v2"

	"tablehand/server/desk"
	"tablehand/server/edge"
	"tablehand/server/store"
	"tablehand/stations"
	"tablehand/stations/plan"
	"tablehand/views/paper"
)

// letInAnswer is the answer, of server/interface.md, to a device that may enter.
type letInAnswer struct {
	Device  string    `json:"device"`
	Code    plan.Code `json:"code"`
	URL     string    `json:"url"`
	Expires time.Time `json:"expires"`
}

// letIn: POST /api/devices.
func (a *API) letIn(c *fiber.Ctx) error {
	var body struct {
		Name     string           `json:"name"`
		Kind     store.DeviceKind `json:"kind"`
		Stations []plan.Station   `json:"stations"`
		Language string           `json:"language"`
	}
	if err := edge.Decode(c, &body); err != nil {
		return err
	}
	d, err := edge.DeviceAsked(store.Device{Name: body.Name, Kind: body.Kind, Stations: body.Stations, Language: body.Language}, a.Desk.Shop().Fittings.Layout)
	if err != nil {
		return err
	}
	ctx, cancel := desk.Waiting()
	defer cancel()
	id, code, err := a.Auth.LetIn(ctx, d)
	if err != nil {
		return err
	}
	answer := letInAnswer{id, code.Code, paper.EnterURL(a.Desk.Shop().Address, code.Code), code.Expires.UTC()}
	return c.Status(fiber.StatusCreated).JSON(answer)
}

// enter: POST /api/devices/enter.
func (a *API) enter(c *fiber.Ctx) error {
	var body struct {
		Code string `json:"code"`
	}
	if err := edge.Decode(c, &body); err != nil {
		return err
	}
	if err := edge.CheckTexts(edge.Text("code", body.Code, true, edge.MaxReason)); err != nil {
		return err
	}
	if _, err := a.Enter(c, body.Code); err != nil {
		return err
	}
	return c.SendStatus(fiber.StatusNoContent)
}

// deviceDocument is a device as it is listed. One that hasn't entered yet was never seen.
type deviceDocument struct {
	Device   string           `json:"device"`
	Name     string           `json:"name"`
	Kind     store.DeviceKind `json:"kind"`
	Stations []plan.Station   `json:"stations"`
	Language string           `json:"language,omitempty"`
	Added    time.Time        `json:"added"`
	Seen     *time.Time       `json:"seen,omitempty"`
	Address  string           `json:"address,omitempty"`
}

// listDevices: GET /api/devices.
func (a *API) listDevices(c *fiber.Ctx) error {
	ctx, cancel := desk.Waiting()
	defer cancel()
	all, err := a.Desk.Store.Devices(ctx)
	if err != nil {
		return err
	}
	docs := make([]deviceDocument, len(all))
	for i, d := range all {
		docs[i] = deviceDocument{Device: d.ID, Name: d.Name, Kind: d.Kind, Stations: append([]plan.Station{}, d.Stations...),
			Language: d.Language, Added: d.Added, Address: d.Address}
		if !d.Seen.IsZero() {
			docs[i].Seen = &d.Seen
		}
	}
	return c.JSON(fiber.Map{"devices": docs})
}

// shutOut: DELETE /api/devices/{device}.
func (a *API) shutOut(c *fiber.Ctx) error {
	if err := a.ShutOut(c, edge.Param(c, "device")); err != nil {
		return err
	}
	return c.SendStatus(fiber.StatusNoContent)
}

// tokenDocument is a token as it is listed: nobody knows its secret.
type tokenDocument struct {
	Token   string        `json:"token"`
	Name    string        `json:"name"`
	Role    stations.Role `json:"role"`
	Created time.Time     `json:"created"`
}

// listTokens: GET /api/tokens.
func (a *API) listTokens(c *fiber.Ctx) error {
	ctx, cancel := desk.Waiting()
	defer cancel()
	all, err := a.Desk.Store.Tokens(ctx)
	if err != nil {
		return err
	}
	docs := make([]tokenDocument, len(all))
	for i, t := range all {
		docs[i] = tokenDocument{t.ID, t.Name, t.Role, t.Created}
	}
	return c.JSON(fiber.Map{"tokens": docs})
}

// revokeToken: DELETE /api/tokens/{token}.
func (a *API) revokeToken(c *fiber.Ctx) error {
	if err := a.Revoke(c, edge.Param(c, "token")); err != nil {
		return err
	}
	return c.SendStatus(fiber.StatusNoContent)
}

// recordPage is how many entries an answer has at most.
const recordPage = 1000

// entryDocument is an entry of the record.
type entryDocument struct {
	Entry   int64      `json:"entry"`
	At      time.Time  `json:"at"`
	Who     string     `json:"who"`
	What    store.Deed `json:"what"`
	About   string     `json:"about"`
	Address string     `json:"address"`
}

// showRecord: GET /api/record?after=ENTRY, oldest first.
func (a *API) showRecord(c *fiber.Ctx) error {
	after, err := strconv.ParseInt(c.Query("after", "0"), 10, 64)
	if err != nil || after < 0 {
		return desk.Refuse("bad_value", "after", "Name", "after", "Value", c.Query("after"))
	}
	ctx, cancel := desk.Waiting()
	defer cancel()
	entries, err := a.Desk.Store.Record(ctx, after, recordPage)
	if err != nil {
		return err
	}
	docs := make([]entryDocument, len(entries))
	for i, e := range entries {
		docs[i] = entryDocument{e.ID, e.At, e.Who, e.What, e.About, e.Address}
	}
	return c.JSON(fiber.Map{"entries": docs})
}
