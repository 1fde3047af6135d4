// Package bookroom is the pages of the shop's books: their handlers and forms, which follow from the tables of fields.
package bookroom

import (
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/gofiber/fiber/v2"

	"tablehand/server/books"
	"tablehand/server/desk"
	"tablehand/server/edge"
	"tablehand/server/web"
	"tablehand/views"
	"tablehand/views/page/book"
)

// Room is the pages of the books.
type Room struct{ *web.Site }

// Routes are the pages' addresses, and what their forms send.
func (r *Room) Routes() []edge.Route {
	return []edge.Route{
		edge.Get("/books", edge.TheBooks, r.indexPage),
		edge.Get("/books/:book", edge.TheBooks, reads(r.listPage)),
		edge.Form("/books/:book/new", edge.TheBooks, changes(r.newPage), changes(r.addByForm)),
		edge.Form("/books/:book/import", edge.TheBooks, changes(r.importPage), changes(r.importByForm)),
		edge.Form("/books/:book/:entry", edge.TheBooks, reads(r.entryPage), changes(r.changeByForm)),
		edge.Post("/books/:book/:entry/set-aside", edge.TheBooks, changes(r.setAsideByForm)),
		edge.Post("/books/:book/:entry/back", edge.TheBooks, changes(r.backByForm)),
		edge.Post("/books/:book/:entry/merge", edge.TheBooks, changes(r.mergeByForm)),
	}
}

// reads and changes hand on the book that the address names to a handler, if whoever asks may read or change that one.
func reads(handle func(*fiber.Ctx, *books.Data) error) fiber.Handler {
	return ofBook(handle, func(d *books.Data) edge.Access { return d.Readers })
}

func changes(handle func(*fiber.Ctx, *books.Data) error) fiber.Handler {
	return ofBook(handle, func(d *books.Data) edge.Access { return d.Keepers })
}

func ofBook(handle func(*fiber.Ctx, *books.Data) error, who func(*books.Data) edge.Access) fiber.Handler {
	return func(c *fiber.Ctx) error {
		d := books.Book(edge.Param(c, "book")).Data()
		switch {
		case d == nil:
			return desk.Refuse("not_found", "book")
		case !slices.Contains(who(d), by(c).Actor.Role):
			return desk.Refuse("forbidden", "book")
		}
		return handle(c, d)
	}
}

// by is who sends a form.
func by(c *fiber.Ctx) books.By {
	actor, _ := edge.ActorOf(c)
	return books.By{Actor: actor}
}

// indexPage: GET /books, those that whoever asks may read.
func (r *Room) indexPage(c *fiber.Ctx) error {
	p := book.IndexPage{Frame: r.Frame(c)}
	for _, d := range books.All() {
		if slices.Contains(d.Readers, by(c).Actor.Role) {
			_, total := r.Desk.Books.Find(d.Book, books.Asked{})
			p.Shelves = append(p.Shelves, book.Shelf{Book: string(d.Book), Count: total})
		}
	}
	return r.Send(c, p)
}

// entriesAtOnce is how many entries a page of a list has.
const entriesAtOnce = 50

// listPage: GET /books/{book}, ?find=, ?aside=true, ?page=.
func (r *Room) listPage(c *fiber.Ctx, d *books.Data) error {
	find := c.Query("find")
	if err := edge.CheckTexts(edge.Text("find", find, false, edge.MaxName)); err != nil {
		return err
	}
	number, _ := strconv.Atoi(c.Query("page"))
	number = max(number, 1)
	asked := books.Asked{Find: find, Aside: c.Query("aside") == "true", From: (number - 1) * entriesAtOnce, Most: entriesAtOnce}
	entries, total := r.Desk.Books.Find(d.Book, asked)
	p := book.ListPage{Frame: r.Frame(c), Book: string(d.Book), Find: find, Aside: asked.Aside, Keeps: keeps(c, d), Total: total,
		First: min(asked.From+1, total), Last: asked.From + len(entries), Answer: r.told(c)}
	for _, f := range d.Fields {
		if f.Listed {
			p.Columns = append(p.Columns, f.Key)
		}
	}
	for _, e := range entries {
		p.Rows = append(p.Rows, rowOf(e))
	}
	to := func(n int) string {
		q := url.Values{"page": {strconv.Itoa(n)}}
		if find != "" {
			q.Set("find", find)
		}
		if asked.Aside {
			q.Set("aside", "true")
		}
		return "/books/" + string(d.Book) + "?" + q.Encode()
	}
	if number > 1 {
		p.Before = to(number - 1)
	}
	if p.Last < total {
		p.After = to(number + 1)
	}
	return r.Send(c, p)
}

func rowOf(e *books.Entry) book.Row {
	row := book.Row{ID: e.ID, Name: e.Name(), SetAside: e.SetAside}
	for _, f := range e.Book.Data().Fields {
		if f.Listed {
			row.Cells = append(row.Cells, fieldOf(&f, e.Fields[f.Key]))
		}
	}
	return row
}

func fieldOf(f *books.Field, value string) book.Field {
	return book.Field{Key: f.Key, Form: string(f.Kind.Form), Words: f.Kind.Words, Value: value, Required: f.Required, Helped: f.Helped}
}

// keeps reports whether whoever asks may change the book.
func keeps(c *fiber.Ctx, d *books.Data) bool { return slices.Contains(d.Keepers, by(c).Actor.Role) }

// tellings are what a page of a book says after it was sent on to.
var tellings = []string{"added", "changed", "set_aside", "back", "merged"}

// told is what was just done, which the address says: ?did= and the entry's name.
func (r *Room) told(c *fiber.Ctx) *views.Answer {
	did := c.Query("did")
	if did == "imported" {
		count, _ := strconv.Atoi(c.Query("count"))
		return &views.Answer{Text: r.Printer(c).N("book.told.imported", max(count, 0))}
	}
	return nil
}

// toldOf is the same on the page of an entry.
func (r *Room) toldOf(c *fiber.Ctx, e *books.Entry) *views.Answer {
	if did := c.Query("did"); slices.Contains(tellings, did) {
		return &views.Answer{Text: r.Printer(c).T("book.told."+did, "Name", e.Name())}
	}
	return nil
}

// atEntry is the page of an entry, which says what was done.
func atEntry(d *books.Data, id, did string) string {
	return "/books/" + string(d.Book) + "/" + url.PathEscape(id) + "?did=" + did
}

func (r *Room) momentOf(at time.Time) views.Moment {
	at = at.In(r.Desk.Shop().Zone)
	return views.Moment{Date: at.Format(time.DateOnly), At: at}
}

// lines are the lines of a text as a browser sends it.
func lines(text string) string { return strings.ReplaceAll(text, "\r\n", "\n") }
