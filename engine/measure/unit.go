package measure

// Unit is a unit of length as order files and JSON name it.
type Unit string

const (
	In Unit = "in"
	Ft Unit = "ft"
	Yd Unit = "yd"
	MM Unit = "mm"
	CM Unit = "cm"
	M  Unit = "m"
)

// Length returns the unit's own length, 0 for a unit that isn't one.
func (u Unit) Length() Length {
	switch u {
	case In:
		return Inch
	case Ft:
		return Foot
	case Yd:
		return Yard
	case MM:
		return Millimetre
	case CM:
		return Centimetre
	case M:
		return Metre
	}
	return 0
}

// Metric reports whether u belongs to the metric system.
func (u Unit) Metric() bool { return u == MM || u == CM || u == M }

// Purchase returns the unit in which cloth is bought where lengths are written in u: yards or metres.
func (u Unit) Purchase() Unit {
	if u.Metric() {
		return M
	}
	return Yd
}

// decimals is how many places a length in this unit is written with at most: enough that every nanometre count
// reads back as itself.
func (u Unit) decimals() int {
	switch u {
	case MM:
		return 6
	case CM:
		return 7
	case M, Ft, Yd:
		return 9
	}
	return 8
}

// names has every way that people write a unit, lower case.
var names = map[string]Unit{
	"in": In, "in.": In, "inch": In, "inches": In, `"`: In, "″": In, "”": In, "''": In,
	"ft": Ft, "ft.": Ft, "foot": Ft, "feet": Ft, "'": Ft, "′": Ft, "’": Ft,
	"yd": Yd, "yd.": Yd, "yds": Yd, "yard": Yd, "yards": Yd,
	"mm": MM, "millimetre": MM, "millimetres": MM, "millimeter": MM, "millimeters": MM,
	"cm": CM, "centimetre": CM, "centimetres": CM, "centimeter": CM, "centimeters": CM,
	"m": M, "metre": M, "metres": M, "meter": M, "meters": M,
}
