package mark

import (
	"fmt"

	"tablehand/stations/plan"
)

// Colour is the ground of a mark and the ink of the number on it.
type Colour struct{ Fill, Ink RGB }

// RGB is a colour of sRGB, each part from 0 to 255.
type RGB struct{ R, G, B uint8 }

// String writes the colour as CSS has it: "#e69f00".
func (c RGB) String() string { return fmt.Sprintf("#%02x%02x%02x", c.R, c.G, c.B) }

var black, white = RGB{}, RGB{255, 255, 255}

// colours are those that a station's row can name: the published set of Okabe and Ito, "Color Universal Design" (2008), that
// people with any colour vision keep apart. The ink on each reaches 4.5 : 1. The set has eight; a station beyond them has a
// colour again, on another shape.
var colours = map[string]Colour{
	"orange":    {RGB{0xe6, 0x9f, 0x00}, black},
	"sky_blue":  {RGB{0x56, 0xb4, 0xe9}, black},
	"green":     {RGB{0x00, 0x9e, 0x73}, black},
	"yellow":    {RGB{0xf0, 0xe4, 0x42}, black},
	"blue":      {RGB{0x00, 0x72, 0xb2}, white},
	"vermilion": {RGB{0xd5, 0x5e, 0x00}, black},
	"purple":    {RGB{0xcc, 0x79, 0xa7}, black},
	"black":     {black, white},
}

// ColourOf returns the colour of a station's mark. known is false of a station that only an old ledger knows, which has none.
func ColourOf(s plan.Station) (c Colour, known bool) {
	c, known = colours[plan.MarkOf(s).Colour]
	return c, known
}
