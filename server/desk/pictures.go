package desk

import (
	"context"
	"errors"
	"time"

	"tablehand/server/picture"
	"tablehand/stations"
)

// Bounds of the work on photographs: one of 12 megapixels takes a core for half a second and up to 100 MB.
const (
	MaxPhoto     = 14 << 20 // bytes; a form around it still fits into a request
	photosAtOnce = 1
	photosWait   = 8                // that may wait for their turn; others are told to come again
	photoWait    = 15 * time.Second // for its turn
	photoSearch  = 5 * time.Second  // for a code in it
)

// photoTurn waits for a turn at photographs, which leave ends. The error is busy.
func (d *Desk) photoTurn() (leave func(), err error) {
	leave, ok := d.photos.Take()
	if !ok {
		return nil, Refuse("busy", "photo")
	}
	return leave, nil
}

// CodeInPhoto returns the ticket's code that a photograph shows.
func (d *Desk) CodeInPhoto(data []byte) (string, error) {
	leave, err := d.photoTurn()
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

// KeepPhoto keeps the small picture of a photograph until a hold names it, and returns its id.
func (d *Desk) KeepPhoto(data []byte) (id string, err error) {
	leave, err := d.photoTurn()
	if err != nil {
		return "", err
	}
	kept, err := picture.Keep(data)
	leave()
	if err != nil {
		return "", refusePhoto(err)
	}
	ctx, cancel := Waiting()
	defer cancel()
	return d.Store.AddPicture(ctx, kept.JPEG)
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
			return Refuse(known.code, "photo")
		}
	}
	return err
}
