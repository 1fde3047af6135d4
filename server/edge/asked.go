package edge

import (
	"fmt"
	"io"
	"strings"

	"github.com/gofiber/fiber/v2"

	"tablehand/server/books"
	"tablehand/server/desk"
	"tablehand/stations"
	"tablehand/stations/invoice"
	"tablehand/stations/shelf"
)

// InvoiceAsked returns the invoice whose draft id or number the address has.
func (e *Edge) InvoiceAsked(c *fiber.Ctx) (*invoice.Document, error) {
	if i := e.Desk.Store.Floor().Invoice(Param(c, "invoice")); i != nil {
		return i, nil
	}
	return nil, desk.Refuse("not_found", "invoice")
}

// SendPDF sends a sheet to be shown, and kept under a name.
func SendPDF(c *fiber.Ctx, name string, pdf []byte) error {
	c.Set(fiber.HeaderContentType, "application/pdf")
	c.Set(fiber.HeaderContentDisposition, fmt.Sprintf("inline; filename=%q", name+".pdf"))
	return c.Send(pdf)
}

// OrderAsked returns the order that the address names.
func (e *Edge) OrderAsked(c *fiber.Ctx) (*stations.Order, error) {
	if o := e.Desk.Store.Floor().Order(Param(c, "order")); o != nil {
		return o, nil
	}
	return nil, desk.Refuse("not_found", "order")
}

// PhotoOf returns the photograph of a request: the file "photo" of a form, else the body itself. The error is
// too_large, or missing_key where there is none.
func PhotoOf(c *fiber.Ctx) ([]byte, error) {
	if !strings.HasPrefix(strings.ToLower(c.Get(fiber.HeaderContentType)), fiber.MIMEMultipartForm) {
		data := c.BodyRaw()
		switch {
		case len(data) == 0:
			return nil, desk.Refuse("missing_key", "photo")
		case len(data) > desk.MaxPhoto:
			return nil, desk.Refuse("too_large", "photo")
		}
		return data, nil
	}
	header, err := c.FormFile("photo")
	switch {
	case err != nil || header.Size == 0:
		return nil, desk.Refuse("missing_key", "photo")
	case header.Size > desk.MaxPhoto:
		return nil, desk.Refuse("too_large", "photo")
	}
	file, err := header.Open()
	if err != nil {
		return nil, err
	}
	defer file.Close()
	return io.ReadAll(file)
}

// InPhoto returns the ticket or the bolt whose code the photograph of a request shows.
func (e *Edge) InPhoto(c *fiber.Ctx) (*stations.Ticket, *shelf.Bolt, error) {
	data, err := PhotoOf(c)
	if err != nil {
		return nil, nil, err
	}
	code, err := e.Desk.CodeInPhoto(data)
	if err != nil {
		return nil, nil, err
	}
	if b := e.BoltOf(code); b != nil {
		return nil, b, nil
	}
	t, err := e.TicketAsked(c, code)
	return t, nil, err
}

// BookLabels are what a book's fields are called in the language of a request, by key.
func (e *Edge) BookLabels(c *fiber.Ctx, d *books.Data) map[string]string {
	return d.Labels(func(key string) string { return e.Printer(c).T(key) })
}
