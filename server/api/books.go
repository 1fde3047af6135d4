package api

import (
	"cmp"
	"encoding/json"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/gofiber/fiber/v2"

	"tablehand/engine/measure"
	"tablehand/server/books"
	"tablehand/server/desk"
	"tablehand/server/edge"
	"tablehand/server/stock"
	"tablehand/stations"
)

// bookRoutes are the addresses of a book's entries.
func (a *API) bookRoutes() (routes []edge.Route) {
	for _, d := range books.All() {
		at := "/api/" + string(d.Book)
		entry := at + "/:" + d.IDKey
		of := func(handle func(*fiber.Ctx, *books.Data) error) fiber.Handler {
			return func(c *fiber.Ctx) error { return handle(c, &d) }
		}
		readers := d.Readers
		if d.Book == books.Cloths {
			readers = append(slices.Clip(readers), stations.Bench) // what there is on the shelf
		}
		routes = append(routes,
			edge.Get(at, readers, of(a.listEntries)),
			edge.Post(at, d.Keepers, of(a.addEntry)),
			edge.Get(entry, readers, of(a.showEntry)),
			edge.Put(entry, d.Keepers, of(a.changeEntry)),
			edge.Post(entry+"/set_aside", d.Keepers, of(a.setEntryAside)),
			edge.Post(entry+"/merge", d.Keepers, of(a.mergeEntry)),
			edge.Get(entry+"/history", d.Readers, of(a.showEntryHistory)),
			edge.Post("/api/import/"+string(d.Book), d.Keepers, of(a.importBook)),
			edge.Get("/api/export/"+string(d.Book)+".csv", d.Readers, of(a.exportBook)),
		)
	}
	return routes
}

// Entries that a list has at most, where none or too many are asked for.
const (
	entriesAsked = 100
	mostEntries  = 1000
)

// listEntries: GET /api/{book}, ?find= the beginnings of words, ?aside=true those set aside too.
func (a *API) listEntries(c *fiber.Ctx, d *books.Data) error {
	asked := books.Asked{Find: c.Query("find"), Most: entriesAsked}
	var err error
	if asked.Aside, err = strconv.ParseBool(c.Query("aside", "false")); err != nil {
		return desk.Refuse("bad_value", "aside")
	}
	if limit := c.Query("limit"); limit != "" {
		if asked.Most, err = strconv.Atoi(limit); err != nil || asked.Most < 1 {
			return desk.Refuse("bad_value", "limit", "Name", "limit", "Value", limit)
		}
	}
	if asked.From, err = strconv.Atoi(c.Query("from", "0")); err != nil || asked.From < 0 {
		return desk.Refuse("bad_value", "from", "Name", "from", "Value", c.Query("from"))
	}
	if err := edge.CheckTexts(edge.Text("find", asked.Find, false, edge.MaxName)); err != nil {
		return err
	}
	asked.Most = min(asked.Most, mostEntries)
	entries, total := a.Desk.Books.Find(d.Book, asked)
	actor, _ := edge.ActorOf(c)
	rows := make([]map[string]any, len(entries))
	for i, e := range entries {
		rows[i] = e.Document(actor.Role)
	}
	if d.Book == books.Cloths {
		a.onTheShelf(rows)
	}
	return c.JSON(fiber.Map{string(d.Book): rows, "total": total})
}

// entryAsked is the id in the address.
func entryAsked(c *fiber.Ctx, d *books.Data) string { return edge.Param(c, d.IDKey) }

// showEntry: GET /api/{book}/{id}.
func (a *API) showEntry(c *fiber.Ctx, d *books.Data) error {
	e := a.Desk.Books.Entry(d.Book, entryAsked(c, d))
	if e == nil {
		return desk.Refuse("not_found", d.IDKey)
	}
	actor, _ := edge.ActorOf(c)
	doc := e.Document(actor.Role)
	if d.Book == books.Cloths {
		a.onTheShelf([]map[string]any{doc})
	}
	return c.JSON(doc)
}

// onTheShelf adds to cloths what there is of each.
func (a *API) onTheShelf(cloths []map[string]any) {
	sums := a.Stock().Sums()
	for _, doc := range cloths {
		s := sums[doc["cloth"].(string)]
		if s == nil {
			s = &stock.Sum{Units: a.Stock().UnitsOf(doc["cloth"].(string))}
		}
		for key, l := range map[string]measure.Length{"free": s.Free, "promised": s.Promised, "held": s.Held} {
			doc[key] = measure.OfLength(l, s.Units)
		}
		doc["bolts"], doc["remnants"] = s.Bolts, s.Remnants
	}
}

// draftSent reads an entry that was sent, and the key of the command.
func draftSent(c *fiber.Ctx, d *books.Data) (books.Draft, books.By, error) {
	draft, key, problems := d.ReadDraft(c.BodyRaw())
	if len(problems) > 0 {
		return draft, books.By{}, desk.RefuseProblems(problems)
	}
	actor, _ := edge.ActorOf(c)
	return draft, books.By{Actor: actor, Key: cmp.Or(key, c.Query("key"))}, edge.CheckTexts(edge.Key(key), edge.Key(c.Query("key")))
}

// addEntry: POST /api/{book}.
func (a *API) addEntry(c *fiber.Ctx, d *books.Data) error {
	draft, by, err := draftSent(c, d)
	if err != nil {
		return err
	}
	ctx, cancel := desk.Waiting()
	defer cancel()
	done, err := a.Desk.Books.Add(ctx, by, d.Book, draft)
	if err != nil {
		return err
	}
	return sendEntry(c.Status(fiber.StatusCreated), done)
}

// changeEntry: PUT /api/{book}/{id}, the whole entry. Where the shop chooses the ids, one that isn't there is added.
func (a *API) changeEntry(c *fiber.Ctx, d *books.Data) error {
	draft, by, err := draftSent(c, d)
	if err != nil {
		return err
	}
	ctx, cancel := desk.Waiting()
	defer cancel()
	done, err := a.Desk.Books.Change(ctx, by, d.Book, entryAsked(c, d), draft)
	if err != nil {
		return err
	}
	if done.New {
		c.Status(fiber.StatusCreated)
	}
	return sendEntry(c, done)
}

func sendEntry(c *fiber.Ctx, done books.Done) error {
	c.Set(fiber.HeaderContentType, fiber.MIMEApplicationJSON)
	return c.Send(done.Document)
}

// entryCommand is what the short commands about an entry say.
type entryCommand struct {
	Into   string `json:"into"`
	Reason string `json:"reason"` // of two cloths that are merged though the book has them sized otherwise
	Back   bool   `json:"back"`
	Key    string `json:"key"`
}

func entryCommandOf(c *fiber.Ctx) (body entryCommand, by books.By, err error) {
	if err := edge.DecodeOptional(c, &body); err != nil {
		return body, by, err
	}
	actor, _ := edge.ActorOf(c)
	return body, books.By{Actor: actor, Key: body.Key}, edge.CheckTexts(edge.Key(body.Key), edge.Text("reason", body.Reason, false, edge.MaxName))
}

// setEntryAside: POST /api/{book}/{id}/set_aside, with "back" the other way.
func (a *API) setEntryAside(c *fiber.Ctx, d *books.Data) error {
	body, by, err := entryCommandOf(c)
	if err != nil {
		return err
	}
	ctx, cancel := desk.Waiting()
	defer cancel()
	done, err := a.Desk.Books.SetAside(ctx, by, d.Book, entryAsked(c, d), !body.Back)
	if err != nil {
		return err
	}
	return sendEntry(c, done)
}

// mergeEntry: POST /api/{book}/{id}/merge; it answers with the entry that goes on.
func (a *API) mergeEntry(c *fiber.Ctx, d *books.Data) error {
	body, by, err := entryCommandOf(c)
	if err != nil {
		return err
	}
	if body.Into == "" {
		return desk.Refuse("missing_key", "into", "Name", "into")
	}
	ctx, cancel := desk.Waiting()
	defer cancel()
	merge := func() (books.Done, error) { return a.Desk.Books.Merge(ctx, by, d.Book, entryAsked(c, d), body.Into) }
	if d.Book == books.Cloths {
		merge = func() (books.Done, error) {
			return a.Desk.MergeCloth(ctx, by, entryAsked(c, d), body.Into, edge.PersonOf(c), body.Reason)
		}
	}
	done, err := merge()
	if err != nil {
		return err
	}
	return sendEntry(c, done)
}

// showEntryHistory: GET /api/{book}/{id}/history, the newest first.
func (a *API) showEntryHistory(c *fiber.Ctx, d *books.Data) error {
	ctx, cancel := desk.Waiting()
	defer cancel()
	actor, _ := edge.ActorOf(c)
	past, err := a.Desk.Books.History(ctx, d.Book, entryAsked(c, d), actor.Role)
	if err != nil {
		return err
	}
	slices.Reverse(past)
	return c.JSON(fiber.Map{"history": past})
}

// importBook: POST /api/import/{book}, a CSV file; ?map= which column is which field, as JSON; ?try=true takes nothing.
func (a *API) importBook(c *fiber.Ctx, d *books.Data) error {
	switch {
	case len(c.BodyRaw()) > books.MaxTable:
		return desk.Refuse("too_large", "body")
	case strings.HasPrefix(c.Get(fiber.HeaderContentType), fiber.MIMEApplicationJSON):
		return desk.Refuse("bad_value", "body")
	}
	said := books.Mapping{}
	if text := c.Query("map"); text != "" {
		if err := json.Unmarshal([]byte(text), &said); err != nil {
			return desk.Refuse("bad_value", "map")
		}
	}
	try, err := strconv.ParseBool(c.Query("try", "false"))
	if err != nil {
		return desk.Refuse("bad_value", "try")
	}
	key, err := edge.KeyAsked(c)
	if err != nil {
		return err
	}
	ctx, cancel := desk.Waiting()
	defer cancel()
	actor, _ := edge.ActorOf(c)
	brought, err := a.Desk.Books.Bring(ctx, books.By{Actor: actor, Key: key}, d.Book, c.BodyRaw(), said, a.BookLabels(c, d), try)
	if err != nil {
		return err
	}
	return a.sendImported(c, brought.Imported)
}

func (a *API) sendImported(c *fiber.Ctx, done books.Imported) error {
	return c.JSON(struct {
		New      int               `json:"new"`
		Changed  int               `json:"changed"`
		Problems []edge.ProblemDoc `json:"problems"`
	}{done.New, done.Changed, a.ProblemDocs(c, done.Problems)})
}

// exportBook: GET /api/export/{book}.csv, the table that takes the book in again.
func (a *API) exportBook(c *fiber.Ctx, d *books.Data) error {
	actor, _ := edge.ActorOf(c)
	c.Set(fiber.HeaderContentType, "text/csv; charset=utf-8")
	c.Set(fiber.HeaderContentDisposition, fmt.Sprintf("attachment; filename=%q", string(d.Book)+".csv"))
	return c.Send(a.Desk.Books.CSV(d.Book, actor.Role))
}
