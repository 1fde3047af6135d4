package api

import (
	"bytes"
	"cmp"

	"github.com/gofiber/fiber/v2"

	"tablehand/server/desk"
	"tablehand/server/edge"
	"tablehand/server/store"
	"tablehand/stations"
	"tablehand/views/paper"
)

// personBody is a person as it is sent.
type personBody struct {
	Name     string          `json:"name"`
	Initials string          `json:"initials"`
	Language string          `json:"language"`
	Floor    store.FloorRole `json:"floor"`
	SignIn   stations.Role   `json:"sign_in"`
}

// onto puts what was sent onto a person.
func (b personBody) onto(p store.Person) (store.Person, error) {
	p.Name, p.Initials, p.Language, p.Floor, p.SignsInAs = b.Name, b.Initials, b.Language, cmp.Or(b.Floor, store.NoFloor), b.SignIn
	if b.SignIn == "none" {
		p.SignsInAs = ""
	}
	return edge.PersonAsked(p)
}

// personDocument is a person as it is listed: of PIN and passphrase only whether there is one.
type personDocument struct {
	Person     string          `json:"person"`
	Name       string          `json:"name"`
	Initials   string          `json:"initials"`
	Language   string          `json:"language,omitempty"`
	Floor      store.FloorRole `json:"floor"`
	SignIn     stations.Role   `json:"sign_in"`
	Badge      string          `json:"badge"`
	PIN        bool            `json:"has_pin"`
	Passphrase bool            `json:"has_passphrase"`
	SetAside   bool            `json:"set_aside"`
}

func personDoc(p store.Person) personDocument {
	return personDocument{p.ID, p.Name, p.Initials, p.Language, p.Floor, cmp.Or(p.SignsInAs, "none"), paper.BadgeMark + string(p.Badge),
		p.PIN != "", p.Passphrase != "", p.SetAside}
}

// listPeople: GET /api/people.
func (a *API) listPeople(c *fiber.Ctx) error {
	ctx, cancel := desk.Waiting()
	defer cancel()
	people, err := a.Desk.Store.People(ctx)
	if err != nil {
		return err
	}
	docs := make([]personDocument, len(people))
	for i, p := range people {
		docs[i] = personDoc(p)
	}
	return c.JSON(fiber.Map{"people": docs})
}

// addPerson: POST /api/people.
func (a *API) addPerson(c *fiber.Ctx) error {
	var body personBody
	if err := edge.Decode(c, &body); err != nil {
		return err
	}
	p, err := body.onto(store.Person{})
	if err != nil {
		return err
	}
	ctx, cancel := desk.Waiting()
	defer cancel()
	if p, err = a.Auth.AddPerson(ctx, p, a.Deed(c, store.PersonChanged, p.Name)); err != nil {
		return edge.PeopleRefusal(err)
	}
	return c.Status(fiber.StatusCreated).JSON(personDoc(p))
}

// changePerson: PUT /api/people/{person}.
func (a *API) changePerson(c *fiber.Ctx) error {
	var body personBody
	if err := edge.Decode(c, &body); err != nil {
		return err
	}
	p, err := a.ThePerson(c)
	if err != nil {
		return err
	}
	if p, err = body.onto(p); err != nil {
		return err
	}
	return a.keepPerson(c, p)
}

// setAside: POST /api/people/{person}/set_aside.
func (a *API) setAside(c *fiber.Ctx) error {
	p, err := a.ThePerson(c)
	if err != nil {
		return err
	}
	p.SetAside = true
	return a.keepPerson(c, p)
}

func (a *API) keepPerson(c *fiber.Ctx, p store.Person) error {
	ctx, cancel := desk.Waiting()
	defer cancel()
	if err := a.Desk.Store.ChangePerson(ctx, p, a.Deed(c, store.PersonChanged, p.Name)); err != nil {
		return edge.PeopleRefusal(err)
	}
	return c.JSON(personDoc(p))
}

// setPIN: POST /api/people/{person}/pin.
func (a *API) setPIN(c *fiber.Ctx) error {
	var body struct {
		PIN string `json:"pin"`
	}
	if err := edge.Decode(c, &body); err != nil {
		return err
	}
	p, err := a.ThePerson(c)
	if err == nil {
		err = a.GivePIN(c, p, body.PIN)
	}
	if err != nil {
		return err
	}
	return c.SendStatus(fiber.StatusNoContent)
}

// setPassphrase: POST /api/people/{person}/passphrase.
func (a *API) setPassphrase(c *fiber.Ctx) error {
	var body struct {
		Passphrase string `json:"passphrase"`
	}
	if err := edge.Decode(c, &body); err != nil {
		return err
	}
	p, err := a.ThePerson(c)
	if err == nil {
		err = a.GivePassphrase(c, p, body.Passphrase)
	}
	if err != nil {
		return err
	}
	return c.SendStatus(fiber.StatusNoContent)
}

// printBadge: GET /api/people/{person}/badge.pdf.
func (a *API) printBadge(c *fiber.Ctx) error {
	p, err := a.ThePerson(c)
	if err != nil {
		return err
	}
	var pdf bytes.Buffer
	doc := paper.BadgeDoc{Say: a.Printer(c), Address: a.Desk.Shop().Address, Shop: a.Desk.Shop().Name, Name: p.Name, Initials: p.Initials, Badge: p.Badge, Made: a.Desk.Clock()}
	if err := paper.Badge(&pdf, doc); err != nil {
		return err
	}
	return edge.SendPDF(c, "badge-"+p.ID, pdf.Bytes())
}
