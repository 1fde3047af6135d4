package edge

import (
	"bytes"
	"encoding/json"
	"errors"
	"io"
	"strings"
	"time"
	"unicode/utf8"

	"github.com/gofiber/fiber/v2"

	"tablehand/server/desk"
)

// Decode reads a JSON body strictly into v: a key that v doesn't have, a value of the wrong kind and anything
// after the document are refused as bad_value with the field.
func Decode(c *fiber.Ctx, v any) error {
	d := json.NewDecoder(bytes.NewReader(c.BodyRaw()))
	d.DisallowUnknownFields()
	if err := d.Decode(v); err != nil {
		return desk.Refuse("bad_value", fieldOf(err))
	}
	if _, err := d.Token(); err != io.EOF {
		return desk.Refuse("bad_value", "body")
	}
	return nil
}

// DecodeOptional is decode for a body that may be left out.
func DecodeOptional(c *fiber.Ctx, v any) error {
	if len(bytes.TrimSpace(c.BodyRaw())) == 0 {
		return nil
	}
	return Decode(c, v)
}

// fieldOf returns the field that a decoding error is about, "body" for the whole.
func fieldOf(err error) string {
	var kind *json.UnmarshalTypeError
	if errors.As(err, &kind) && kind.Field != "" {
		return kind.Field
	}
	// encoding/json has no type for this error, only its text.
	if name, found := strings.CutPrefix(err.Error(), "json: unknown field "); found {
		return strings.Trim(name, `"`)
	}
	return "body"
}

// TextField is one text of a request with its bounds, in runes.
type TextField struct {
	field, value string
	required     bool
	most         int
}

// Text is a text of a request, which may be no longer than most runes.
func Text(field, value string, required bool, most int) TextField {
	return TextField{field, value, required, most}
}

// CheckTexts refuses the first text that is missing or too long.
func CheckTexts(texts ...TextField) error {
	for _, t := range texts {
		switch {
		case t.required && strings.TrimSpace(t.value) == "":
			return desk.Refuse("missing_key", t.field)
		case utf8.RuneCountInString(t.value) > t.most:
			return desk.Refuse("bad_value", t.field, "Most", t.most)
		}
	}
	return nil
}

// Key is the key that a device gives what it asks, so that the same is never done twice.
func Key(key string) TextField { return Text("key", key, false, maxKey) }

// KeyAsked returns the key of a request whose body is a file: ?key=.
func KeyAsked(c *fiber.Ctx) (string, error) {
	key := c.Query("key")
	return key, CheckTexts(Key(key))
}

// Told is what a command brings beside what it asks.
type Told struct {
	Key    string     `json:"key"`
	At     *time.Time `json:"at"` // the device's own time
	Person string     `json:"person"`
}

// Check refuses a key or a name that is too long.
func (t Told) Check() error {
	return CheckTexts(Key(t.Key), Text("person", t.Person, false, MaxName))
}

// ToldAsked is that of a request without a body of its own: ?key= ?at= ?person=.
func ToldAsked(c *fiber.Ctx) (Told, error) {
	told := Told{Key: c.Query("key"), Person: c.Query("person")}
	if text := c.Query("at"); text != "" {
		at, err := time.Parse(time.RFC3339, text)
		if err != nil {
			return told, desk.Refuse("bad_value", "at", "Name", "at", "Value", text)
		}
		told.At = &at
	}
	return told, told.Check()
}

// MaxOrder is how large an order file may be, in bytes.
const MaxOrder = 8 << 20

// CheckOrder refuses an order file of more bytes than MaxOrder as too_large, with the field that brought it.
func CheckOrder(size int, field string) error {
	if size > MaxOrder {
		return desk.Refuse("too_large", field)
	}
	return nil
}
