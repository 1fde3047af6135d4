package access

import (
	"html/template"
	"net/url"
	"slices"
	"time"

	"github.com/gofiber/fiber/v2"

	"tablehand/server/desk"
	"tablehand/server/edge"
	"tablehand/server/store"
	"tablehand/server/web"
	"tablehand/stations/plan"
	"tablehand/views"
	"tablehand/views/page/devices"
	"tablehand/views/page/enter"
	"tablehand/views/paper"
)

// devicesPage: GET /settings/devices.
func (g *Gate) devicesPage(c *fiber.Ctx) error {
	return g.showDevices(c, devices.Form{Kind: string(store.BenchDevice), Language: g.Printer(c).Language()}, g.shutOutAnswer(c))
}

func (g *Gate) showDevices(c *fiber.Ctx, form devices.Form, answer *views.Answer) error {
	ctx, cancel := desk.Waiting()
	defer cancel()
	all, err := g.Desk.Store.Devices(ctx)
	if err != nil {
		return err
	}
	tokens, err := g.Desk.Store.Tokens(ctx)
	if err != nil {
		return err
	}
	form.Shop = g.Desk.Shop().Fittings.Layout
	p := devices.Page{Frame: g.Frame(c), Form: form, Answer: answer}
	for _, d := range all {
		_, waits := g.Auth.CodeOf(d.ID)
		p.Devices = append(p.Devices, devices.Row{ID: d.ID, Name: d.Name, Kind: string(d.Kind), Stations: d.Stations, Entered: !d.Entered.IsZero(),
			Waits: waits, Seen: g.momentOf(d.Seen), Address: d.Address})
	}
	for _, t := range tokens {
		p.Tokens = append(p.Tokens, devices.Token{ID: t.ID, Name: t.Name, Role: string(t.Role), Created: g.momentOf(t.Created)})
	}
	return g.Send(c, p)
}

// momentOf writes an instant in the shop's zone; the zero one is none.
func (g *Gate) momentOf(at time.Time) views.Moment {
	if at.IsZero() {
		return views.Moment{}
	}
	at = at.In(g.Desk.Shop().Zone)
	return views.Moment{Date: at.Format(time.DateOnly), At: at}
}

// shutOutAnswer says what was just ended.
func (g *Gate) shutOutAnswer(c *fiber.Ctx) *views.Answer {
	if c.Query("did") != "shut_out" {
		return nil
	}
	return &views.Answer{Text: g.Printer(c).T("devices.did.shut_out")}
}

// letInByForm: POST /settings/devices.
func (g *Gate) letInByForm(c *fiber.Ctx) error {
	form := devices.Form{Name: c.FormValue("name"), Kind: c.FormValue("kind"), Language: c.FormValue("language")}
	asked := store.Device{Name: form.Name, Kind: store.DeviceKind(form.Kind), Language: form.Language}
	for _, station := range c.Request().PostArgs().PeekMulti("station") {
		form.Stations = append(form.Stations, plan.Station(station))
	}
	shop := g.Desk.Shop().Fittings.Layout
	for _, bench := range c.Request().PostArgs().PeekMulti("together") {
		for _, station := range shop.At(string(bench)) {
			if !form.Has(station) {
				form.Stations = append(form.Stations, station)
			}
		}
	}
	if asked.Kind == store.BenchDevice { // the boxes stand there whatever the kind
		asked.Stations = form.Stations
	}
	d, err := edge.DeviceAsked(asked, shop)
	if r, refused := edge.RefusalOf(err); err != nil && refused {
		c.Status(edge.StatusOf(r.Code))
		form.Wrong = map[string]string{r.Field: g.Printer(c).Refusal(r)}
		return g.showDevices(c, form, nil)
	}
	ctx, cancel := desk.Waiting()
	defer cancel()
	id, _, err := g.Auth.LetIn(ctx, d)
	if err != nil {
		return err
	}
	return web.GoOn(c, "/settings/devices/"+url.PathEscape(id))
}

// codePage: GET /settings/devices/{device}, the code by which a device enters.
func (g *Gate) codePage(c *fiber.Ctx) error {
	ctx, cancel := desk.Waiting()
	defer cancel()
	all, err := g.Desk.Store.Devices(ctx)
	if err != nil {
		return err
	}
	i := slices.IndexFunc(all, func(d store.Device) bool { return d.ID == edge.Param(c, "device") })
	if i < 0 {
		return store.ErrNotFound
	}
	d := all[i]
	p := devices.CodePage{Frame: g.Frame(c), ID: d.ID, Name: d.Name, Kind: string(d.Kind), Stations: d.Stations, Entered: !d.Entered.IsZero()}
	if code, ok := g.Auth.CodeOf(d.ID); ok {
		address := g.Desk.Shop().Address
		square, err := paper.QRSVG(paper.EnterURL(address, code.Code), g.Printer(c).T("devices.code.square", "Device", d.Name))
		if err != nil {
			return err
		}
		p.Square = template.HTML(square) // ours, made of numbers
		p.EnterAt, p.Code, p.Until = address+"/enter", spaced(code.Code), g.momentOf(code.Expires)
	}
	return g.Send(c, p)
}

// spaced writes a code in groups of three, as it is read out.
func spaced(code plan.Code) string { return string(code[:3] + " " + code[3:6] + " " + code[6:]) }

// shutOutByForm: POST /settings/devices/{device}/shut-out.
func (g *Gate) shutOutByForm(c *fiber.Ctx) error {
	if err := g.ShutOut(c, edge.Param(c, "device")); err != nil {
		return err
	}
	return web.GoOn(c, "/settings/devices?did=shut_out")
}

// revokeByForm: POST /settings/tokens/{token}/revoke.
func (g *Gate) revokeByForm(c *fiber.Ctx) error {
	if err := g.Revoke(c, edge.Param(c, "token")); err != nil {
		return err
	}
	return web.GoOn(c, "/settings/devices?did=shut_out")
}

// enterPage: GET /enter, where a device's code is typed.
func (g *Gate) enterPage(c *fiber.Ctx) error { return g.Send(c, enter.Page{Frame: g.Frame(c)}) }

// awaitedPage: GET /enter/{code}, what the square leads to. It changes nothing: a phone may look at an address by itself.
func (g *Gate) awaitedPage(c *fiber.Ctx) error {
	d, code, err := g.Awaited(c, edge.Param(c, "code"))
	if err != nil {
		return g.refuseCode(c, edge.Param(c, "code"), err)
	}
	return g.Send(c, enter.Page{Frame: g.Frame(c), Code: string(code), Name: d.Name, Kind: string(d.Kind), Stations: d.Stations})
}

// refuseCode says why a code lets no device in, where it can be typed again.
func (g *Gate) refuseCode(c *fiber.Ctx, typed string, err error) error {
	r, ok := edge.RefusalOf(err)
	if !ok || !g.WantsPage(c) {
		return err
	}
	c.Status(edge.StatusOf(r.Code))
	return g.Send(c, enter.Page{Frame: g.Frame(c), Typed: typed, Wrong: g.Printer(c).Refusal(r)})
}

// enterByForm: POST /enter.
func (g *Gate) enterByForm(c *fiber.Ctx) error {
	if err := edge.CheckToken(c); err != nil {
		return err
	}
	d, err := g.Enter(c, c.FormValue("code"))
	if err != nil {
		return g.refuseCode(c, c.FormValue("code"), err)
	}
	switch {
	case d.Role() == "":
		return web.GoOn(c, "/sign-in")
	case len(d.Stations) > 0:
		return web.GoOn(c, "/station/"+string(d.Stations[0]))
	}
	return web.GoOn(c, "/")
}
