package access

import (
	"cmp"
	"net/url"
	"strconv"
	"strings"
	"time"

	"github.com/gofiber/fiber/v2"

	"tablehand/engine/orderfile"
	"tablehand/server/desk"
	"tablehand/server/edge"
	"tablehand/server/store"
	"tablehand/server/web"
	"tablehand/stations"
	"tablehand/stations/plan"
	"tablehand/views"
	"tablehand/views/i18n"
	"tablehand/views/page/people"
	"tablehand/views/page/record"
	"tablehand/views/paper"
)

// peoplePage: GET /settings/people.
func (g *Gate) peoplePage(c *fiber.Ctx) error {
	return g.showPeople(c, people.Form{Floor: string(store.Hand), SignIn: "none", Language: g.Printer(c).Language()})
}

func (g *Gate) showPeople(c *fiber.Ctx, form people.Form) error {
	ctx, cancel := desk.Waiting()
	defer cancel()
	all, err := g.Desk.Store.People(ctx)
	if err != nil {
		return err
	}
	p := people.Page{Frame: g.Frame(c), Form: form}
	for _, aside := range []bool{false, true} { // who has left stands last
		for _, one := range all {
			if one.SetAside == aside {
				p.People = append(p.People, shown(one))
			}
		}
	}
	return g.Send(c, p)
}

func shown(p store.Person) people.Person {
	return people.Person{ID: p.ID, Name: p.Name, Initials: p.Initials, Floor: string(p.Floor), SignIn: string(cmp.Or(p.SignsInAs, "none")),
		Badge: paper.BadgeMark + " " + spaced(p.Badge), HasPIN: p.PIN != "", HasPassphrase: p.Passphrase != "", SetAside: p.SetAside}
}

func formOf(p store.Person) people.Form {
	return people.Form{Name: p.Name, Initials: p.Initials, Language: p.Language, Floor: string(p.Floor), SignIn: string(cmp.Or(p.SignsInAs, "none"))}
}

// typedPerson puts what a form sent onto a person, and returns the form as it was typed.
func typedPerson(c *fiber.Ctx, p store.Person) (store.Person, people.Form, error) {
	p.Name, p.Initials, p.Language = c.FormValue("name"), c.FormValue("initials"), c.FormValue("language")
	p.Floor, p.SignsInAs = store.FloorRole(c.FormValue("floor")), stations.Role(c.FormValue("sign_in"))
	if p.SignsInAs == "none" {
		p.SignsInAs = ""
	}
	form := formOf(p)
	p, err := edge.PersonAsked(p)
	return p, form, err
}

// addByForm: POST /settings/people.
func (g *Gate) addByForm(c *fiber.Ctx) error {
	p, form, err := typedPerson(c, store.Person{})
	if err == nil {
		ctx, cancel := desk.Waiting()
		defer cancel()
		p, err = g.Auth.AddPerson(ctx, p, g.Deed(c, store.PersonChanged, p.Name))
	}
	if err != nil {
		return g.refusePerson(c, edge.PeopleRefusal(err), func(why string) error {
			form.Wrong = why
			return g.showPeople(c, form)
		})
	}
	return web.GoOn(c, atPerson(p, "added"))
}

// refusePerson shows why something of a person isn't kept on the page that it was typed on.
func (g *Gate) refusePerson(c *fiber.Ctx, err error, show func(why string) error) error {
	r, ok := edge.RefusalOf(err)
	if !ok || r.Code == "not_found" {
		return err
	}
	c.Status(edge.StatusOf(r.Code))
	return show(g.Printer(c).Refusal(r))
}

func atPerson(p store.Person, did string) string {
	return "/settings/people/" + url.PathEscape(p.ID) + "?did=" + did
}

// peopleDid are what the page of a person says after it was sent on to.
var peopleDid = map[string]bool{"added": true, "kept": true, "pin": true, "passphrase": true, "set_aside": true, "back": true, "signed_out": true}

// personPage: GET /settings/people/{person}.
func (g *Gate) personPage(c *fiber.Ctx) error {
	p, err := g.ThePerson(c)
	if err != nil {
		return err
	}
	var answer *views.Answer
	if did := c.Query("did"); peopleDid[did] {
		answer = &views.Answer{Text: g.Printer(c).T("people.did."+did, "Person", p.Name)}
	}
	return g.showPerson(c, p, formOf(p), answer)
}

func (g *Gate) showPerson(c *fiber.Ctx, p store.Person, form people.Form, answer *views.Answer) error {
	ctx, cancel := desk.Waiting()
	defer cancel()
	sessions, err := g.Desk.Store.SessionsOf(ctx, p.ID)
	if err != nil {
		return err
	}
	page := people.PersonPage{Frame: g.Frame(c), Person: shown(p), Form: form, Answer: answer}
	for _, s := range sessions {
		page.SignIns = append(page.SignIns, people.SignIn{ID: s.ID, Since: g.momentOf(s.Created), Until: g.momentOf(s.Expires)})
	}
	return g.Send(c, page)
}

// endSignInByForm: POST /settings/people/{person}/sign-out, of the sign-in named.
func (g *Gate) endSignInByForm(c *fiber.Ctx) error {
	p, err := g.ThePerson(c)
	if err != nil {
		return err
	}
	ctx, cancel := desk.Waiting()
	defer cancel()
	if err := g.Desk.Store.EndSession(ctx, p.ID, c.FormValue("session"), g.Deed(c, store.ShutOut, p.Name)); err != nil {
		return err
	}
	return web.GoOn(c, atPerson(p, "signed_out"))
}

// changeByForm: POST /settings/people/{person}.
func (g *Gate) changeByForm(c *fiber.Ctx) error {
	was, err := g.ThePerson(c)
	if err != nil {
		return err
	}
	p, form, err := typedPerson(c, was)
	if err == nil {
		err = g.keep(c, p)
	}
	if err != nil {
		return g.refusePerson(c, edge.PeopleRefusal(err), func(why string) error {
			form.Wrong = why
			return g.showPerson(c, was, form, nil)
		})
	}
	return web.GoOn(c, atPerson(p, "kept"))
}

func (g *Gate) keep(c *fiber.Ctx, p store.Person) error {
	ctx, cancel := desk.Waiting()
	defer cancel()
	return g.Desk.Store.ChangePerson(ctx, p, g.Deed(c, store.PersonChanged, p.Name))
}

// setAsideByForm: POST /settings/people/{person}/set-aside.
func (g *Gate) setAsideByForm(c *fiber.Ctx) error { return g.setAside(c, true, "set_aside") }

// backByForm: POST /settings/people/{person}/back.
func (g *Gate) backByForm(c *fiber.Ctx) error { return g.setAside(c, false, "back") }

func (g *Gate) setAside(c *fiber.Ctx, aside bool, did string) error {
	p, err := g.ThePerson(c)
	if err != nil {
		return err
	}
	p.SetAside = aside
	if err := g.keep(c, p); err != nil {
		return err
	}
	return web.GoOn(c, atPerson(p, did))
}

// setPINByForm: POST /settings/people/{person}/pin.
func (g *Gate) setPINByForm(c *fiber.Ctx) error {
	return g.giveByForm(c, "pin", g.GivePIN)
}

// setPassphraseByForm: POST /settings/people/{person}/passphrase.
func (g *Gate) setPassphraseByForm(c *fiber.Ctx) error {
	return g.giveByForm(c, "passphrase", g.GivePassphrase)
}

func (g *Gate) giveByForm(c *fiber.Ctx, what string, give func(*fiber.Ctx, store.Person, string) error) error {
	p, err := g.ThePerson(c)
	if err != nil {
		return err
	}
	if err := give(c, p, c.FormValue(what)); err != nil {
		return g.refusePerson(c, err, func(why string) error {
			return g.showPerson(c, p, formOf(p), &views.Answer{Refused: true, Text: why})
		})
	}
	return web.GoOn(c, atPerson(p, what))
}

// badgePage: GET /p/{code}, what a badge leads to.
func (g *Gate) badgePage(c *fiber.Ctx) error {
	badge, err := plan.ParseCode(edge.Param(c, "code"))
	if err != nil {
		return desk.Refuse("unknown_badge", "person")
	}
	p, err := g.PersonOfBadge(c, badge)
	if err != nil {
		return err
	}
	return g.Send(c, people.BadgePage{Frame: g.Frame(c), Name: p.Name, Initials: p.Initials})
}

// chooseByForm: POST /person, who works at the device from now on.
func (g *Gate) chooseByForm(c *fiber.Ctx) error {
	g.RememberPerson(c, strings.TrimSpace(c.FormValue("person")))
	return web.GoOn(c, g.OwnAddress(c.FormValue("next")))
}

// recordRows is how many entries a page shows at once.
const recordRows = 100

// wayOf says which convention or tolerance an entry is about, as the pages call it, and what it says of that; "" where it is about
// something else.
func wayOf(say *i18n.Printer, about string) (of, change string) {
	setting, rest, _ := strings.Cut(about, ": ")
	name, change, _ := strings.Cut(rest, " ")
	key, heading := "convention."+name, ""
	switch of, field, own := orderfile.OfHeading(name); {
	case setting == string(store.Tolerances):
		key = "entry." + name[strings.LastIndex(name, ".")+1:]
	case setting != string(store.Conventions):
		return "", ""
	case own:
		key, heading = "convention.headings."+field, say.T("ways.of_heading", "Heading", say.Heading(of, ""))+", "
	}
	if !i18n.Has(key) {
		return "", ""
	}
	return heading + say.T(key), change
}

// recordPage: GET /settings/record, with ?before= what was before that entry.
func (g *Gate) recordPage(c *fiber.Ctx) error {
	before, _ := strconv.ParseInt(c.Query("before"), 10, 64) // what is no number asks for the newest
	ctx, cancel := desk.Waiting()
	defer cancel()
	entries, err := g.Desk.Store.RecordBefore(ctx, before, recordRows+1)
	if err != nil {
		return err
	}
	p := record.Page{Frame: g.Frame(c)}
	if len(entries) > recordRows {
		entries = entries[:recordRows]
		p.Before = entries[recordRows-1].ID
	}
	for _, e := range entries {
		row := record.Entry{At: e.At.In(g.Desk.Shop().Zone).Truncate(time.Second), Who: e.Who, What: string(e.What), About: e.About, Address: e.Address}
		if of, change := wayOf(g.Printer(c), e.About); e.What == store.SettingChanged && of != "" {
			row.Of, row.About = of, change
		}
		p.Entries = append(p.Entries, row)
	}
	return g.Send(c, p)
}
