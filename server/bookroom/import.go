package bookroom

import (
	"fmt"
	"io"
	"strings"

	"github.com/gofiber/fiber/v2"

	"tablehand/server/books"
	"tablehand/server/desk"
	"tablehand/server/web"
	"tablehand/views/page/book"
)

// importPage: GET /books/{book}/import.
func (r *Room) importPage(c *fiber.Ctx, d *books.Data) error {
	return r.Send(c, book.ImportPage{Frame: r.Frame(c), Book: string(d.Book)})
}

// importByForm: POST /books/{book}/import: looks at a table, or (do: take) takes it in as its columns were said to be.
func (r *Room) importByForm(c *fiber.Ctx, d *books.Data) error {
	source, err := tableSent(c)
	if err != nil {
		return err
	}
	p := book.ImportPage{Frame: r.Frame(c), Book: string(d.Book), Source: source}
	ctx, cancel := desk.Waiting()
	defer cancel()
	try := c.FormValue("do") != "take"
	brought, err := r.Desk.Books.Bring(ctx, by(c), d.Book, []byte(source), columnsSaid(c), r.BookLabels(c, d), try)
	if err != nil {
		return err
	}
	if brought.Table == nil {
		problem := brought.Problems[0]
		p.Refused = fmt.Sprintf("%s %d: %s", r.Printer(c).T("book.import.line"), problem.Line, r.Printer(c).Problem(problem))
		c.Status(fiber.StatusUnprocessableEntity)
		return r.Send(c, p)
	}
	if !try && len(brought.Problems) == 0 {
		return web.GoOn(c, fmt.Sprintf("/books/%s?did=imported&count=%d", d.Book, brought.New+brought.Changed))
	}
	r.lookAt(c, d, brought, &p)
	return r.Send(c, p)
}

// mostShown is how many problems of a table are shown at once.
const mostShown = 100

// lookAt puts on the page what the columns of a table are, and what it would bring.
func (r *Room) lookAt(c *fiber.Ctx, d *books.Data, b books.Brought, p *book.ImportPage) {
	p.Keys, p.New, p.Changed, p.Tried = d.Keys(), b.New, b.Changed, true
	for i, name := range b.Table.Columns {
		key, said := b.Mapping[name]
		if !said {
			key = "?"
		}
		p.Columns = append(p.Columns, book.Column{Name: name, Sample: b.Table.Sample(i), Key: key})
	}
	say := func(key string) string { return r.Printer(c).T(key) }
	for i, problem := range b.Problems {
		if i == mostShown {
			p.More = len(b.Problems) - mostShown
			break
		}
		p.Problems = append(p.Problems, book.Cell{Line: problem.Line, Column: b.Column(problem), Problem: d.Label(problem, say)})
	}
}

// columnsSaid is what a form says that the columns are; "?" says nothing.
func columnsSaid(c *fiber.Ctx) books.Mapping {
	said := books.Mapping{}
	form := c.Request().PostArgs()
	columns, fields := form.PeekMulti("column"), form.PeekMulti("field")
	for i := range min(len(columns), len(fields)) {
		if field := string(fields[i]); field != "?" {
			said[string(columns[i])] = field
		}
	}
	return said
}

// tableSent is the table of a form: its file, else its text. The error is missing_key or too_large.
func tableSent(c *fiber.Ctx) (string, error) {
	text := c.FormValue("source")
	if header, err := c.FormFile("file"); err == nil && header.Size > 0 {
		if header.Size > books.MaxTable {
			return "", desk.Refuse("too_large", "file")
		}
		file, err := header.Open()
		if err != nil {
			return "", err
		}
		defer file.Close()
		raw, err := io.ReadAll(file)
		if err != nil {
			return "", err
		}
		text = books.TableText(raw)
	}
	switch {
	case len(text) > books.MaxTable:
		return "", desk.Refuse("too_large", "source")
	case strings.TrimSpace(text) == "":
		return "", desk.Refuse("missing_key", "file", "Name", "file")
	}
	return text, nil
}
