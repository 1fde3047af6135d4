package api

import (
	"regexp"

	"github.com/gofiber/fiber/v2"

	"tablehand/server/desk"
	"tablehand/server/edge"
)

// readPicture: POST /api/pictures/read, which ticket a photograph shows.
func (a *API) readPicture(c *fiber.Ctx) error {
	t, err := a.TicketInPhoto(c)
	if err != nil {
		return err
	}
	return c.JSON(fiber.Map{"ticket": t.Spec.Code})
}

// addPicture: POST /api/pictures, a picture for a hold to name.
func (a *API) addPicture(c *fiber.Ctx) error {
	data, err := edge.PhotoOf(c)
	if err != nil {
		return err
	}
	id, err := a.Desk.KeepPhoto(data)
	if err != nil {
		return err
	}
	return c.Status(fiber.StatusCreated).JSON(fiber.Map{"picture": id})
}

// pictureID is what a picture's id looks like.
var pictureID = regexp.MustCompile(`^[0-9a-f]{64}$`)

// showPicture: GET /api/pictures/{picture}. What an id stands for never changes; yet who is let in may, so a browser
// keeps it for an hour only.
func (a *API) showPicture(c *fiber.Ctx) error {
	id := edge.Param(c, "picture")
	if !pictureID.MatchString(id) {
		return desk.Refuse("not_found", "picture")
	}
	ctx, cancel := desk.Waiting()
	defer cancel()
	data, err := a.Desk.Store.Picture(ctx, id)
	if err != nil {
		return err
	}
	c.Set(fiber.HeaderContentType, "image/jpeg")
	c.Set(fiber.HeaderCacheControl, "private, max-age=3600")
	return c.Send(data)
}
