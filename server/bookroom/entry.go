package bookroom

import (
	"cmp"
	"context"
	"slices"
	"strconv"
	"strings"

	"github.com/gofiber/fiber/v2"

	"tablehand/engine"
	"tablehand/server/books"
	"tablehand/server/desk"
	"tablehand/server/edge"
	"tablehand/server/web"
	"tablehand/views"
	"tablehand/views/page/book"
)

// newPage: GET /books/{book}/new, ?name= what it is called.
func (r *Room) newPage(c *fiber.Ctx, d *books.Data) error {
	return r.showEntry(c, d, nil, books.Draft{Texts: map[string]string{d.Named: c.Query("name")}}, nil, nil)
}

// theEntry returns the entry that the address names.
func (r *Room) theEntry(c *fiber.Ctx, d *books.Data) (*books.Entry, error) {
	if e := r.Desk.Books.Entry(d.Book, edge.Param(c, "entry")); e != nil {
		return e, nil
	}
	return nil, desk.Refuse("not_found", d.IDKey)
}

// entryPage: GET /books/{book}/{entry}; ?into= looks for one to merge it with.
func (r *Room) entryPage(c *fiber.Ctx, d *books.Data) error {
	e, err := r.theEntry(c, d)
	if err != nil {
		return err
	}
	return r.showEntry(c, d, e, books.Draft{Version: e.Version, Texts: e.Fields}, nil, r.toldOf(c, e))
}

// showEntry shows an entry, nil for a new one, with what was typed and what is wrong with it.
func (r *Room) showEntry(c *fiber.Ctx, d *books.Data, e *books.Entry, draft books.Draft, wrong []engine.Problem, answer *views.Answer) error {
	p := book.EntryPage{Frame: r.Frame(c), Book: string(d.Book), Keyed: d.Keyed, Chosen: draft.ID, Version: draft.Version, Keeps: keeps(c, d), Answer: answer}
	if e != nil {
		p.ID, p.Name, p.SetAside = e.ID, e.Name(), e.SetAside
		if err := r.entryPast(c, d, e, &p); err != nil {
			return err
		}
		r.others(c, d, e, &p)
	}
	p.Groups = r.groups(c, d, draft, wrong)
	for _, problem := range wrong {
		if d.Field(problem.Where) == nil {
			p.Told = append(p.Told, problem)
		}
	}
	return r.Send(c, p)
}

// groups are the fields with what was typed into them, under their headings.
func (r *Room) groups(c *fiber.Ctx, d *books.Data, draft books.Draft, wrong []engine.Problem) (groups []book.Group) {
	say := r.Printer(c)
	for _, name := range d.Groups() {
		g := book.Group{Name: name}
		for i := range d.Fields {
			f := &d.Fields[i]
			if f.Group != name || !f.SeenBy(by(c).Actor.Role) {
				continue
			}
			field := fieldOf(f, draft.Texts[f.Key])
			if n := slices.IndexFunc(wrong, func(p engine.Problem) bool { return p.Where == f.Key }); n >= 0 {
				wrong[n].Args["Key"] = say.T("book." + f.Key)
				field.Wrong = &wrong[n]
			}
			g.Fields = append(g.Fields, field)
		}
		if len(g.Fields) > 0 {
			groups = append(groups, g)
		}
	}
	return groups
}

// entryPast puts an entry's history on its page, the newest first.
func (r *Room) entryPast(c *fiber.Ctx, d *books.Data, e *books.Entry, p *book.EntryPage) error {
	ctx, cancel := desk.Waiting()
	defer cancel()
	past, err := r.Desk.Books.History(ctx, d.Book, e.ID, by(c).Actor.Role)
	if err != nil {
		return err
	}
	slices.Reverse(past)
	for _, h := range past {
		row := book.Past{At: r.momentOf(h.At), Who: h.Who, What: string(h.What), About: h.About}
		for _, change := range h.Changes {
			if f := d.Field(change.Field); f != nil {
				row.Changes = append(row.Changes, book.Change{Before: fieldOf(f, change.Before), After: fieldOf(f, change.After)})
			}
		}
		p.History = append(p.History, row)
	}
	return nil
}

// mostOthers is how many entries are offered to merge one with.
const mostOthers = 5

// others looks for entries to merge one with; a merge that is refused shows them again.
func (r *Room) others(c *fiber.Ctx, d *books.Data, e *books.Entry, p *book.EntryPage) {
	p.Into, p.Reason = strings.TrimSpace(cmp.Or(c.Query("look"), c.Query("into"))), c.FormValue("reason")
	if p.Into == "" {
		return
	}
	found, _ := r.Desk.Books.Find(d.Book, books.Asked{Find: p.Into, Aside: true, Most: mostOthers + 1})
	for _, other := range found {
		if other.ID != e.ID && len(p.Others) < mostOthers {
			p.Others = append(p.Others, rowOf(other))
		}
	}
}

// typed reads what a form sent.
func typed(c *fiber.Ctx, d *books.Data) books.Draft {
	draft := books.Draft{ID: strings.TrimSpace(c.FormValue("id")), Texts: map[string]string{}}
	draft.Version, _ = strconv.Atoi(c.FormValue("version"))
	for _, f := range d.Fields {
		if text := lines(c.FormValue(f.Key)); text != "" {
			draft.Texts[f.Key] = text
		}
	}
	return draft
}

// addByForm: POST /books/{book}/new.
func (r *Room) addByForm(c *fiber.Ctx, d *books.Data) error {
	draft := typed(c, d)
	ctx, cancel := desk.Waiting()
	defer cancel()
	done, err := r.Desk.Books.Add(ctx, by(c), d.Book, draft)
	if err != nil {
		return r.refused(c, d, nil, draft, err)
	}
	return web.GoOn(c, atEntry(d, done.ID, "added"))
}

// changeByForm: POST /books/{book}/{entry}.
func (r *Room) changeByForm(c *fiber.Ctx, d *books.Data) error {
	e, err := r.theEntry(c, d)
	if err != nil {
		return err
	}
	draft := typed(c, d)
	ctx, cancel := desk.Waiting()
	defer cancel()
	done, err := r.Desk.Books.Change(ctx, by(c), d.Book, e.ID, draft)
	if err != nil {
		return r.refused(c, d, e, draft, err)
	}
	return web.GoOn(c, atEntry(d, done.ID, "changed"))
}

// refused shows what was typed once more, and what is wrong with it.
func (r *Room) refused(c *fiber.Ctx, d *books.Data, e *books.Entry, draft books.Draft, err error) error {
	refusal, ok := edge.RefusalOf(err)
	if !ok || refusal.Code == "not_found" {
		return err
	}
	c.Status(edge.StatusOf(refusal.Code))
	if refusal.Code == "problems" {
		return r.showEntry(c, d, e, draft, refusal.Problems, nil)
	}
	return r.showEntry(c, d, e, draft, nil, &views.Answer{Refused: true, Text: r.Printer(c).Refusal(refusal)})
}

// setAsideByForm: POST /books/{book}/{entry}/set-aside.
func (r *Room) setAsideByForm(c *fiber.Ctx, d *books.Data) error {
	return r.act(c, d, "set_aside", func(ctx context.Context, id string) (books.Done, error) {
		return r.Desk.Books.SetAside(ctx, by(c), d.Book, id, true)
	})
}

// backByForm: POST /books/{book}/{entry}/back.
func (r *Room) backByForm(c *fiber.Ctx, d *books.Data) error {
	return r.act(c, d, "back", func(ctx context.Context, id string) (books.Done, error) {
		return r.Desk.Books.SetAside(ctx, by(c), d.Book, id, false)
	})
}

// mergeByForm: POST /books/{book}/{entry}/merge, into the one named.
func (r *Room) mergeByForm(c *fiber.Ctx, d *books.Data) error {
	return r.act(c, d, "merged", func(ctx context.Context, id string) (books.Done, error) {
		if d.Book == books.Cloths {
			return r.Desk.MergeCloth(ctx, by(c), id, c.FormValue("into"), edge.PersonOf(c), c.FormValue("reason"))
		}
		return r.Desk.Books.Merge(ctx, by(c), d.Book, id, c.FormValue("into"))
	})
}

// act does something to the entry that the address names, and goes on to the page of what it has become.
func (r *Room) act(c *fiber.Ctx, d *books.Data, did string, do func(ctx context.Context, id string) (books.Done, error)) error {
	e, err := r.theEntry(c, d)
	if err != nil {
		return err
	}
	ctx, cancel := desk.Waiting()
	defer cancel()
	done, err := do(ctx, e.ID)
	if err != nil {
		return r.refused(c, d, e, books.Draft{Version: e.Version, Texts: e.Fields}, err)
	}
	return web.GoOn(c, atEntry(d, done.ID, did))
}
