package server

import (
	"context"
	"errors"
	"io"
	"regexp"
	"strings"
	"time"

	"github.com/gofiber/fiber/v2"

	"tablehand/server/picture"
	"tablehand/stations"
)

// Bounds of the work on photographs: one of 12 megapixels takes a core for half a second and up to 100 MB.
const (
	maxPhoto     = 14 << 20 // bytes; a form around it still fits into a request
	photosAtOnce = 1
	photosWait   = 8                // that may wait for their turn; others are told to come again
	photoWait    = 15 * time.Second // for its turn
	photoSearch  = 5 * time.Second  // for a code in it
)

// darkroom has the photographs worked on in turn, so that a shop with many phones keeps its scans quick.
type darkroom struct {
	inside chan struct{} // those worked on and those waiting
	turns  chan struct{} // those worked on
}

func newDarkroom() *darkroom {
	return &darkroom{inside: make(chan struct{}, photosAtOnce+photosWait), turns: make(chan struct{}, photosAtOnce)}
}

// enter waits for a turn, which leave ends. The error is busy where too many wait, or the turn doesn't come.
func (d *darkroom) enter() (leave func(), err error) {
	select {
	case d.inside <- struct{}{}:
	default:
		return nil, refuse("busy", "photo")
	}
	late := time.NewTimer(photoWait)
	defer late.Stop()
	select {
	case d.turns <- struct{}{}:
		return func() { <-d.turns; <-d.inside }, nil
	case <-late.C:
		<-d.inside
		return nil, refuse("busy", "photo")
	}
}

// readPicture: POST /api/pictures/read, which ticket a photograph shows.
func (s *Server) readPicture(c *fiber.Ctx) error {
	t, err := s.ticketInPhoto(c)
	if err != nil {
		return err
	}
	return c.JSON(fiber.Map{"ticket": t.Spec.Code})
}

// addPicture: POST /api/pictures, a picture for a hold to name.
func (s *Server) addPicture(c *fiber.Ctx) error {
	data, err := photoOf(c)
	if err != nil {
		return err
	}
	id, err := s.keepPhoto(data)
	if err != nil {
		return err
	}
	return c.Status(fiber.StatusCreated).JSON(fiber.Map{"picture": id})
}

// pictureID is what a picture's id looks like.
var pictureID = regexp.MustCompile(`^[0-9a-f]{64}$`)

// showPicture: GET /api/pictures/{picture}. What an id stands for never changes; yet who is let in may, so a browser
// keeps it for an hour only.
func (s *Server) showPicture(c *fiber.Ctx) error {
	id := param(c, "picture")
	if !pictureID.MatchString(id) {
		return refuse("not_found", "picture")
	}
	ctx, cancel := waiting()
	defer cancel()
	data, err := s.Store.Picture(ctx, id)
	if err != nil {
		return err
	}
	c.Set(fiber.HeaderContentType, "image/jpeg")
	c.Set(fiber.HeaderCacheControl, "private, max-age=3600")
	return c.Send(data)
}

// photoOf returns the photograph of a request: the file "photo" of a form, else the body itself. The error is
// too_large, or missing_key where there is none.
func photoOf(c *fiber.Ctx) ([]byte, error) {
	if !strings.HasPrefix(strings.ToLower(c.Get(fiber.HeaderContentType)), fiber.MIMEMultipartForm) {
		data := c.BodyRaw()
		switch {
		case len(data) == 0:
			return nil, refuse("missing_key", "photo")
		case len(data) > maxPhoto:
			return nil, refuse("too_large", "photo")
		}
		return data, nil
	}
	header, err := c.FormFile("photo")
	switch {
	case err != nil || header.Size == 0:
		return nil, refuse("missing_key", "photo")
	case header.Size > maxPhoto:
		return nil, refuse("too_large", "photo")
	}
	file, err := header.Open()
	if err != nil {
		return nil, err
	}
	defer file.Close()
	return io.ReadAll(file)
}

// ticketInPhoto returns the ticket whose code the photograph of a request shows.
func (s *Server) ticketInPhoto(c *fiber.Ctx) (*stations.Ticket, error) {
	data, err := photoOf(c)
	if err != nil {
		return nil, err
	}
	code, err := s.codeInPhoto(data)
	if err != nil {
		return nil, err
	}
	return s.ticketAsked(c, code)
}

// codeInPhoto returns the ticket's code that a photograph shows.
func (s *Server) codeInPhoto(data []byte) (string, error) {
	leave, err := s.photos.enter()
	if err != nil {
		return "", err
	}
	defer leave()
	ctx, cancel := context.WithTimeout(context.Background(), photoSearch)
	defer cancel()
	code, err := picture.Code(ctx, data, isTicketCode)
	if err != nil {
		return "", refusePhoto(err)
	}
	return code, nil
}

func isTicketCode(text string) bool {
	_, err := stations.ParseCode(text)
	return err == nil
}

// keepPhoto keeps the small picture of a photograph until a hold names it, and returns its id.
func (s *Server) keepPhoto(data []byte) (id string, err error) {
	leave, err := s.photos.enter()
	if err != nil {
		return "", err
	}
	kept, err := picture.Keep(data)
	leave()
	if err != nil {
		return "", refusePhoto(err)
	}
	ctx, cancel := waiting()
	defer cancel()
	return s.Store.AddPicture(ctx, kept.JPEG)
}

// refusePhoto names what is wrong with a photograph. One that is searched for too long shows no code either.
func refusePhoto(err error) error {
	for _, known := range []struct {
		err  error
		code string
	}{
		{picture.ErrKind, "picture_kind"},
		{picture.ErrPixels, "picture_pixels"},
		{picture.ErrDamaged, "picture_damaged"},
		{picture.ErrNoCode, "code_not_found"},
		{context.DeadlineExceeded, "code_not_found"},
	} {
		if errors.Is(err, known.err) {
			return refuse(known.code, "photo")
		}
	}
	return err
}
