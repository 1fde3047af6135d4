package web

import (
	"net/url"

	"github.com/gofiber/fiber/v2"

	"tablehand/server/edge"
	"tablehand/stations"
	"tablehand/views"
	"tablehand/views/page/find"
)

// showFindPage shows where a ticket is found by its code or by a photograph.
func (s *Site) showFindPage(c *fiber.Ctx, answer *views.Answer) error {
	p := find.Page{Frame: s.frame(c, s.Desk.Store.Floor()), Answer: answer}
	return s.send(c, p)
}

// findByPhoto: POST /t, a photograph of a ticket from any phone.
func (s *Site) findByPhoto(c *fiber.Ctx) error {
	t, bolt, err := s.InPhoto(c)
	switch {
	case err != nil:
		answer, err := s.sayRefused(c, err)
		if err != nil {
			return err
		}
		return s.showFindPage(c, answer)
	case bolt != nil:
		return GoOn(c, boltAddress(bolt.Code))
	}
	return GoOn(c, "/t/"+url.PathEscape(string(t.Spec.Code)))
}

// openByPhoto: POST /station/{station}/photo, a photograph of the ticket to lay open there.
func (s *Site) openByPhoto(c *fiber.Ctx) error {
	station, err := s.stationAsked(c)
	if err != nil {
		return err
	}
	t, bolt, err := s.InPhoto(c)
	switch {
	case err != nil:
		answer, err := s.sayRefused(c, err)
		if err != nil {
			return err
		}
		return s.showStationPage(c, station, nil, answer, "")
	case bolt != nil:
		return GoOn(c, boltAddress(bolt.Code))
	}
	return GoOn(c, benchAddress(s.benchAt(c, station)[0], string(t.Spec.Code)))
}

// sayRefused sets the status of a refusal and returns its sentence for the page that it is shown on; the error is
// the one given where that is not for a page.
func (s *Site) sayRefused(c *fiber.Ctx, err error) (*views.Answer, error) {
	r, ok := edge.RefusalOf(err)
	if !ok || !s.WantsPage(c) {
		return nil, err
	}
	c.Status(edge.StatusOf(r.Code))
	return &views.Answer{Refused: true, Text: s.Printer(c).Refusal(r)}, nil
}

// pictureOfHold returns the id of the picture that a form's hold shows, "" for none: one kept already, or the
// photograph that comes with it.
func (s *Site) pictureOfHold(c *fiber.Ctx, b edge.ScanBody) (string, error) {
	header, err := c.FormFile("photo")
	if b.Action != stations.Hold || err != nil || header.Size == 0 {
		return b.Picture, nil
	}
	data, err := edge.PhotoOf(c)
	if err != nil {
		return "", err
	}
	return s.Desk.KeepPhoto(data)
}
