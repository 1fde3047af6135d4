package edge

import (
	"errors"
	"slices"
	"strings"
	"time"

	"github.com/gofiber/fiber/v2"

	"tablehand/server/auth"
	"tablehand/server/desk"
	"tablehand/server/store"
	"tablehand/stations"
	"tablehand/stations/plan"
)

// DeviceOf returns the device that asks, nil where it is none that was let in.
func DeviceOf(c *fiber.Ctx) *store.Device {
	d, _ := c.Locals(localDevice).(*store.Device)
	return d
}

// seenEvery is how often it is kept that a device was seen: our own choice.
const seenEvery = time.Minute

// sawDevice keeps that a device was seen, and has its browser keep the cookie for as long again. That it couldn't be kept is no
// reason to refuse what the device asks.
func (e *Edge) sawDevice(c *fiber.Ctx, d *store.Device, secret string) {
	now := e.Desk.Clock()
	if last, there := e.seen.Load(d.ID); there && now.Sub(last.(time.Time)).Abs() < seenEvery || strings.HasPrefix(c.Path(), "/assets/") {
		return
	}
	e.seen.Store(d.ID, now)
	c.Cookie(e.cookie(c, auth.DeviceCookie, secret, now.Add(auth.DeviceLife)))
	ctx, cancel := desk.Waiting()
	defer cancel()
	if err := e.Desk.Store.SawDevice(ctx, d.ID, e.Client(c).String()); err != nil {
		e.Desk.Log.Warn("a device was seen, which is not kept", "request", RequestID(c), "error", err)
	}
}

// Deed is an entry of the record about what the one who asks does.
func (e *Edge) Deed(c *fiber.Ctx, what store.Deed, about string) store.Entry {
	return store.Entry{Who: e.WhoseDeed(c), What: what, About: about, Address: e.Client(c).String()}
}

// WhoseDeed is what the one who asks is called in the record.
func (e *Edge) WhoseDeed(c *fiber.Ctx) string {
	actor, known := ActorOf(c)
	if known && actor.Name == "" {
		return string(actor.Role)
	}
	return actor.Name
}

// CodeOfDevice reads the code by which a device enters. The error is bad_code.
func CodeOfDevice(typed string) (plan.Code, error) {
	code, err := stations.ParseCode(typed)
	var bad *stations.Refusal
	if errors.As(err, &bad) {
		bad.Field, bad.Args["Device"] = "code", true
	}
	return code, err
}

// Awaited returns the device that a code would let in. The error is a refusal: bad_code, unknown_code, code_used,
// code_expired, or too_many for one guess too many.
func (e *Edge) Awaited(c *fiber.Ctx, typed string) (d store.Device, code plan.Code, err error) {
	guesser := "device " + network(e.Client(c)).String()
	if seconds := e.Guesses.Wait(guesser); seconds > 0 {
		return d, "", desk.Refuse("too_many", "", "Seconds", seconds)
	}
	if code, err = CodeOfDevice(typed); err != nil {
		return d, "", err
	}
	ctx, cancel := desk.Waiting()
	defer cancel()
	d, err = e.Auth.Awaited(ctx, code)
	if errors.Is(err, auth.ErrUnknown) {
		e.Guesses.Fail(guesser)
	}
	return d, code, codeRefusal(err)
}

// Enter has the browser be the device that a code lets in, and nobody's sign-in any more. Errors as of Awaited.
func (e *Edge) Enter(c *fiber.Ctx, typed string) (store.Device, error) {
	if !ourOrigin(c) {
		return store.Device{}, desk.Refuse("forbidden", "origin")
	}
	_, code, err := e.Awaited(c, typed)
	if err != nil {
		return store.Device{}, err
	}
	ctx, cancel := desk.Waiting()
	defer cancel()
	d, secret, err := e.Auth.Enter(ctx, code, e.Client(c).String())
	if err != nil {
		return store.Device{}, codeRefusal(err)
	}
	if cookieOf(&c.Request().Header, auth.CookieName) != "" {
		if err := e.CloseSession(c); err != nil {
			return store.Device{}, err
		}
	}
	now := e.Desk.Clock()
	c.Cookie(e.cookie(c, auth.DeviceCookie, secret, now.Add(auth.DeviceLife)))
	if ThereIs(d.Language) {
		RememberLanguage(c, d.Language, now)
	}
	return d, nil
}

// codeRefusal tells what keeps a code from letting a device in.
func codeRefusal(err error) error {
	switch {
	case errors.Is(err, auth.ErrUnknown):
		return desk.Refuse("unknown_code", "code")
	case errors.Is(err, store.ErrCodeUsed):
		return desk.Refuse("code_used", "code")
	case errors.Is(err, store.ErrCodeExpired):
		return desk.Refuse("code_expired", "code")
	}
	return err
}

// DeviceAsked checks a device that is to be let in to a shop. The error is missing_key or bad_value, with the field.
func DeviceAsked(d store.Device, shop plan.Layout) (store.Device, error) {
	d.Name = strings.TrimSpace(d.Name)
	if err := CheckTexts(Text("name", d.Name, true, MaxName)); err != nil {
		return d, err
	}
	switch {
	case !slices.Contains(store.DeviceKinds(), d.Kind):
		return d, desk.Refuse("bad_value", "kind", "Name", "kind", "Value", string(d.Kind))
	case d.Language != "" && !ThereIs(d.Language):
		return d, desk.Refuse("bad_value", "language", "Name", "language", "Value", d.Language)
	case d.Kind != store.BenchDevice && len(d.Stations) > 0:
		return d, desk.Refuse("bad_value", "stations", "Name", "stations", "Value", string(d.Stations[0]))
	}
	for i, station := range d.Stations {
		if !shop.Has(station) || slices.Contains(d.Stations[:i], station) {
			return d, desk.Refuse("bad_value", "stations", "Name", "stations", "Value", string(station))
		}
	}
	return d, nil
}

// NewCalendar makes a new address by which calendars read the due dates, and ends the one before.
func (e *Edge) NewCalendar(c *fiber.Ctx) (address string, err error) {
	ctx, cancel := desk.Waiting()
	defer cancel()
	secret, err := e.Auth.NewCalendar(ctx)
	if err != nil {
		return "", err
	}
	e.Note(c, store.SettingChanged, string(store.Calendar))
	return e.Desk.Shop().Address + "/calendar/" + secret + ".ics", nil
}

// ShutOut ends a device, at once.
func (e *Edge) ShutOut(c *fiber.Ctx, id string) error {
	ctx, cancel := desk.Waiting()
	defer cancel()
	all, err := e.Desk.Store.Devices(ctx)
	if err != nil {
		return err
	}
	i := slices.IndexFunc(all, func(d store.Device) bool { return d.ID == id })
	if i < 0 {
		return store.ErrNotFound
	}
	return e.Desk.Store.RemoveDevice(ctx, id, e.Deed(c, store.ShutOut, all[i].Name))
}

// Revoke ends a token, at once.
func (e *Edge) Revoke(c *fiber.Ctx, id string) error {
	ctx, cancel := desk.Waiting()
	defer cancel()
	all, err := e.Desk.Store.Tokens(ctx)
	if err != nil {
		return err
	}
	i := slices.IndexFunc(all, func(t store.Token) bool { return t.ID == id })
	if i < 0 {
		return store.ErrNotFound
	}
	return e.Desk.Store.RemoveToken(ctx, id, e.Deed(c, store.TokenRevoked, all[i].Name))
}

// MayWork refuses work at a station that isn't the device's own. A hold, its end and a send back go by the ticket, wherever it is
// scanned.
func MayWork(c *fiber.Ctx, action stations.Action, at plan.Station) error {
	d := DeviceOf(c)
	if d == nil || d.Role() != stations.Bench {
		return nil
	}
	switch action {
	case stations.Start, stations.Finish, stations.ScanIt:
	case stations.Lay, stations.Cut, stations.Flaw, stations.Spoil, stations.Rest:
		at = plan.Cutting
	default:
		return nil
	}
	if at == "" || d.WorksAt(at) {
		return nil
	}
	r := desk.Refuse("not_its_station", "station", "Station", at, "Stations", d.Stations)
	r.Where = &stations.Place{Station: at}
	return r
}
